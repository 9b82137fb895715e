"""``evenstroke pad``: a page that shows one movement of the hand under every map."""

from __future__ import annotations

import os
from pathlib import Path

import click
from click.core import ParameterSource

from mapper.mapping.fits import FITS
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, quoted
from profiles.files import refuse_existing, write_whole
from profiles.library.desks import refuse_swapped
from profiles.standard import STANDARD
from render.cli.options import desk_argument, examples, force_option
from render.cli.sheets import language_option
from render.cli.types import Command, NamedDesk, all_found, make_way, open_library, usual_desk
from render.desk.pad_maps import candidates, named_maps
from render.desk.pad_page import page
from render.sentences import languages
from render.sentences.say import Name, say, speaking


@click.command(
    "pad",
    cls=Command,
    then=(
        "trace a coin on the pad, save the points, and see: evenstroke trace strokes.json --of "
        '"coin 23.25mm" --against {desk}'
    ),
    epilog=examples(
        "evenstroke pad desk.yaml pad.html",
        'evenstroke pad desk.yaml "window desk@3" pad.html',
        "evenstroke pad desk.yaml pad.html --now full",
        "evenstroke pad desk.yaml --serve",
    ),
)
@desk_argument(several=True, metavar="DESK... [OUT.html]")
@click.option(
    "--now",
    type=click.Choice(FITS),
    help="How your tablet is set today, on the first desk.  [default: as in its profile]",
)
@click.option(
    "--serve",
    is_flag=True,
    help="Open the pad on this computer and save strokes beside its profile; in the browser's "
    "language unless you type --language.",
)
@click.option(
    "--no-browser", is_flag=True, help="With --serve: print the address, do not open a browser."
)
@language_option
@force_option
def command(
    desks: tuple[NamedDesk, ...],
    *,
    now: str | None,
    serve: bool,
    no_browser: bool,
    language: str,
    force: bool,
) -> None:
    """Draw with your own hand and see the stroke with every setting.

    Writes one page that opens in any browser and needs nothing else. Draw in it with your tablet's
    settings as they are today: the page calculates what your hand did, and shows how the same
    movement comes out with each other desk.

    The last name is the page if it ends in .html; the others are desks, from files or the library.
    The first desk is the one whose numbers your tablet's settings have today.
    """
    named, out = _in_and_out(desks, serve=serve)
    make_way(out)
    if out is not None:
        refuse_existing(out, force=force)

    profiles = all_found(named)
    if out is None:
        from render.cli.desk import serve as opened
        from render.cli.desk import whole

        library = open_library(named[0].library)
        source = click.get_current_context().get_parameter_source("language")
        wish = {
            "language": "" if source is ParameterSource.DEFAULT else language,
            "pad": [whole(desk.typed) for desk in profiles],
            "now": now or "",
            "folder": str(Path.cwd()),
        }
        opened(library, wish, "pad", no_browser=no_browser)
        return
    with speaking(languages.language(language)):
        today, others = candidates(
            named_maps([(desk.typed, desk.workstation) for desk in profiles]), now
        )
        content = page(today, others, file_stem=profiles[0].stem).encode()
    write_whole(out, content, force=force)
    display = Name(today.map.reference.label)
    click.echo(
        say("{file}: open it in a browser on {display}, and draw.", file=out, display=display)
    )


def _in_and_out(
    desks: tuple[NamedDesk, ...], *, serve: bool
) -> tuple[tuple[NamedDesk, ...], str | None]:
    """The desks, and the page to write.

    Raises RequestError where there is one too many or too few.
    """
    files = [desk.typed for desk in desks]
    is_page = [os.path.splitext(file)[1].lower() in {".html", ".htm"} for file in files]  # noqa: PTH122 - as typed
    refuse_swapped(files[:-1], files[-1])
    is_page[-1] = is_page[-1] or (files[-1] == STANDARD and not serve)
    profiles, out = (desks[:-1], files[-1]) if is_page[-1] else (desks, None)
    if True in is_page[:-1]:
        name = files[is_page.index(True)]
        raise RequestError(
            Problem("pad", phrase("only the last name can be the page to write"), quoted(name))
        )
    if serve and out is not None:
        must, instead = phrase("with --serve no page is written"), phrase("Leave out the name")
        raise RequestError(Problem("pad", must, quoted(out), instead))
    if not serve and out is None:
        command = f"evenstroke pad {' '.join(files)} pad.html"
        instead = phrase("Type: {command}, or add --serve", command=command)
        must = phrase("the last name must be the page to write, ending in .html")
        raise RequestError(Problem("pad", must, "", instead))
    return profiles or (usual_desk(),), out
