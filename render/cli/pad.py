"""``evenstroke pad``: a page to draw in, that shows the same movement of the hand under every map."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

import click

from mapper.mapping.fits import FITS
from mapper.problems import Problem, RequestError, quoted
from render.cli.options import examples, force_option

if TYPE_CHECKING:
    from render.desk.pad_page import Page


@click.command(
    "pad",
    short_help="Draw with your own hand, see it under every map.",
    epilog=examples(
        "evenstroke pad desk.yaml pad.html",
        "evenstroke pad desk.yaml other.yaml pad.html",
        "evenstroke pad desk.yaml pad.html --now full",
        "evenstroke pad desk.yaml --serve",
    ),
)
@click.argument("files", metavar="PROFILE... [OUT.html]", nargs=-1, required=True, type=click.Path())
@click.option(
    "--now",
    type=click.Choice(FITS),
    help="How your driver is set today, on the first profile's desk.  [default: as the first profile says]",
)
@click.option("--serve", is_flag=True, help="Open the pad on this computer and save strokes beside the first profile.")
@click.option("--no-open", is_flag=True, help="With --serve: print the address and open no browser.")
@force_option
def command(files: tuple[str, ...], *, now: str | None, serve: bool, no_open: bool, force: bool) -> None:
    """Draw with your own hand and see the stroke under every map.

    Writes one page that opens in any browser and needs nothing else. Draw in it with your driver as it is today: the
    page knows what your hand did, and shows how the same movement lands under each other profile.

    The last name is the page if it ends in .html; all others are profiles, the first of them today's.
    """
    profiles, out = _in_and_out(files, serve=serve)

    from profiles.files import refuse_existing, write_whole

    if out is not None:
        refuse_existing(out, force=force)

    from profiles.format.document import load
    from render.desk.pad_maps import candidates, named_maps
    from render.desk.pad_page import page

    today, others = candidates(named_maps([(path, load(path)) for path in profiles]), now)
    first = Path(profiles[0])
    if out is not None:
        write_whole(out, page(today, others, file_stem=first.stem).html.encode(), force=force)
        click.echo(f"{out}: open it in a browser on {today.map.reference.label}, and draw.")
        return

    from render.desk.pad_server import PadServer

    def make_page(name: str) -> Page:
        return page(today, others, file_stem=first.stem, served_as=name)

    server = PadServer(make_page, first.parent, first.stem)
    click.echo(f"The pad is at {server.url}\nIt stops when the page is closed, or with Ctrl+C.")
    if not no_open:
        click.launch(server.url)
    try:
        server.run()
    except KeyboardInterrupt:
        # The usual way to stop a server, and nothing is left half done.
        click.echo("")
    click.echo("The pad has stopped.")


def _in_and_out(files: tuple[str, ...], *, serve: bool) -> tuple[tuple[str, ...], str | None]:
    """The profiles, and the page to write. Raises RequestError where there is one too many or too few."""
    is_page = [os.path.splitext(file)[1].lower() in {".html", ".htm"} for file in files]  # noqa: PTH122 - as typed
    profiles, out = (files[:-1], files[-1]) if is_page[-1] else (files, None)
    if True in is_page[:-1]:
        name = files[is_page.index(True)]
        raise RequestError(Problem("pad", "only the last name can be the page to write", quoted(name)))
    if serve and out is not None:
        raise RequestError(Problem("pad", "with --serve no page is written", quoted(out), "Leave out the name"))
    if not serve and out is None:
        instead = f"Type: evenstroke pad {' '.join(files)} pad.html, or add --serve"
        raise RequestError(Problem("pad", "the last name must be the page to write, ending in .html", "", instead))
    if not profiles:
        raise RequestError(Problem("pad", "needs a profile", "", "Make one with: evenstroke map ... --save desk.yaml"))
    return profiles, out
