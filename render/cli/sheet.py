"""``evenstroke sheet``: one page for the wall beside the workstation."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import click

from profiles.library.proofs import standing_of
from render.canvas.draw import save
from render.cli.options import desk_and_out, examples, force_option
from render.cli.sheets import language_option
from render.cli.types import PAST_DAY, Command, NamedDesk, open_library
from render.pages.wall_sheet import wall_sheet
from render.sentences import languages
from render.sentences.say import say, speaking

if TYPE_CHECKING:
    from datetime import date


@click.command(
    "sheet",
    cls=Command,
    then="print it at 100 % and hang it beside the desk",
    epilog=examples(
        "evenstroke sheet desk.yaml wall.pdf",
        'evenstroke sheet "window desk" wall.pdf --paper letter --date 2026-03-02',
    ),
)
@desk_and_out("OUT")
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter"]),
    default="a4",
    show_default=True,
    help="The paper.",
)
@click.option(
    "--date",
    "day",
    metavar="DATE",
    type=PAST_DAY,
    help="The date to print if no kept setting has one.  [default: today]",
)
@language_option
@force_option
def command(
    desk: NamedDesk, out: str, *, paper: str, day: date | None, language: str, force: bool
) -> None:
    """Make one page for the wall.

    It holds the rectangle in every form, the picture, figures, distances and cautions.

    OUT's extension sets the format: .pdf, .svg, .png or .webp.
    """
    printed = day or datetime.now(tz=UTC).astimezone().date()
    found = desk.find()
    folder = found.revision.path.parent if found.revision else None
    known = standing_of(open_library(desk.library), folder, found.workstation.map)
    with speaking(languages.language(language)):
        scene = wall_sheet(found.workstation, printed, paper=paper, standing=known)
    save(scene, out, theme="print", force=force)
    click.echo(say("{file}: one page, {paper}.", file=out, paper=paper.title()))
