"""``evenstroke stencil``: paper at true size that fits the tablet, with shapes to trace."""

from __future__ import annotations

import os

import click

from mapper.problems import Problem, RequestError, quoted
from mapper.touching.crosses import crosses
from profiles.files import refuse_existing, write_whole
from render.canvas.draw import pdf_pages
from render.cli.options import desk_and_out, examples, force_option
from render.cli.types import Command, NamedDesk
from render.pages.stencil import StencilSheet, cross_pages, probes, stencil_pages
from render.sentences.say import say, say_count


@click.command(
    "stencil",
    cls=Command,
    then="evenstroke trace shot.png --of THING --against {desk}, with one of these things",
    epilog=examples(
        "evenstroke stencil desk.yaml stencil.pdf",
        'evenstroke stencil "window desk" stencil.pdf --paper letter --hand left',
    ),
)
@desk_and_out("OUT.pdf")
@click.option(
    "--paper",
    type=click.Choice(["a4", "a3", "letter"]),
    default="a4",
    show_default=True,
    help="The paper; a larger tablet takes several sheets.",
)
@click.option(
    "--hand",
    type=click.Choice(["right", "left"]),
    default="right",
    show_default=True,
    help="The hand that draws; the other one holds the sheet.",
)
@force_option
def command(desk: NamedDesk, out: str, *, paper: str, hand: str, force: bool) -> None:
    """Print paper that fits the tablet, at true size.

    It shows the active area and the area to use: first with shapes to trace, then with numbered
    crosses to touch.

    Tape a sheet to the tablet by its corner marks and check the 100 mm rule. Touch the crosses on
    the page of evenstroke desk, or give the touches to evenstroke touch. Or trace a shape through a
    thin sheet or on it, and give the picture to evenstroke trace.
    """
    if not out.lower().endswith(".pdf"):
        came = quoted(os.path.basename(out))  # noqa: PTH119
        raise RequestError(
            Problem("OUT.pdf", "the name must end in .pdf", came, "Type for example stencil.pdf")
        )
    refuse_existing(out, force=force)
    workstation = desk.find().workstation
    solved = workstation.map
    sheet = StencilSheet(workstation.name, paper, hand)
    pages = [*stencil_pages(solved, sheet), *cross_pages(solved, sheet)]
    write_whole(out, pdf_pages(pages), force=force)
    click.echo(
        f"{out}: {say_count('{count} page', '{count} pages', len(pages))}, {paper.title()}. Print "
        f"at 100 %; check the rule."
    )
    for probe in probes(solved.area_seen_mm):
        click.echo(f'  trace it with --of "{probe.words}"')
    at = "; ".join(f"{x:g},{y:g}" for x, y in crosses(solved))
    words = say("touch the crosses, whose x_mm,y_mm are {places}", places=at)
    click.echo(f"  {words}")
