"""``evenstroke stencil``: paper at true size that fits the tablet, with shapes to trace."""

from __future__ import annotations

import os

import click

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, quoted
from mapper.touching.crosses import crosses
from profiles.files import refuse_existing, write_whole
from profiles.standard import is_standard
from render.canvas.draw import pdf_pages
from render.cli.options import desk_and_out, examples, force_option
from render.cli.sheets import language_option
from render.cli.types import Command, NamedDesk
from render.pages.stencil import StencilSheet, cross_pages, probes, stencil_pages
from render.sentences import languages
from render.sentences.say import say, say_count, speaking


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
    help="The hand that you draw with; the other one has room to hold the sheet.",
)
@language_option
@force_option
def command(
    desk: NamedDesk, out: str, *, paper: str, hand: str, language: str, force: bool
) -> None:
    """Print paper that fits the tablet, at true size.

    It shows the active area and the area to use: first with shapes to trace, then with numbered
    crosses to touch.

    Measure the printed line of 100 mm with a ruler. Tape a sheet to the tablet by its corner
    marks. Touch the crosses on the page of evenstroke desk, or give the touches to evenstroke
    touch. Or trace a shape through a thin sheet or on it, and give the picture to evenstroke trace.
    """
    if not out.lower().endswith(".pdf") and not is_standard(out):
        came = quoted(os.path.basename(out))  # noqa: PTH119
        instead = phrase("Type for example {file}", file="stencil.pdf")
        raise RequestError(Problem("OUT.pdf", phrase("the name must end in .pdf"), came, instead))
    refuse_existing(out, force=force)
    workstation = desk.find().workstation
    solved = workstation.map
    sheet = StencilSheet(workstation.name, paper, hand)
    with speaking(languages.language(language)):
        pages = [*stencil_pages(solved, sheet), *cross_pages(solved, sheet)]
        content = pdf_pages(pages)
    write_whole(out, content, force=force)
    click.echo(
        say_count(
            "{file}: {count} page, {paper}. Print at 100 % and measure the printed line: it must "
            "be 100 mm long.",
            "{file}: {count} pages, {paper}. Print at 100 % and measure the printed line: it must "
            "be 100 mm long.",
            len(pages),
            file=out,
            paper=paper.title(),
        )
    )
    for probe in probes(solved.area_seen_mm):
        hint = say("trace it with {option}", option=f'--of "{probe.words}"')
        click.echo(f"  {hint}")
    at = "; ".join(f"{x:g},{y:g}" for x, y in crosses(solved))
    words = say("touch the crosses, whose x_mm,y_mm are {places}", places=at)
    click.echo(f"  {words}")
