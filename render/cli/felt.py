"""``evenstroke felt``: notes how a pairing felt."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

import click

from mapper.choosing.recommended import CAUTION
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from profiles.files import read_bounded
from profiles.library.filled_grid import GridDefaults, filled_grid
from profiles.library.trial_book import LARGEST_BOOK_BYTES, add, add_all, felt_at
from render.cli.hardware_lists import read_lists
from render.cli.options import desk_argument, examples
from render.cli.types import (
    ANY_FILE,
    DAY,
    LENGTH,
    MINUTES,
    Command,
    NamedDesk,
    open_library,
    usual_desk,
    whole_type,
)
from render.sentences.say import Name, say, say_again, say_count
from render.sentences.words import number

if TYPE_CHECKING:
    from profiles.library.trial_book import Felt

#: The score of a day that hurt, and a day's work after which a note carries a caution: common
#: practice, no source.
_PAINFUL, _LONG_MINUTES = 1, 480.0


@click.command(
    "felt",
    cls=Command,
    then="evenstroke band, to see what suits you",
    epilog=examples(
        "evenstroke felt desk.yaml --score 4",
        'evenstroke felt desk.yaml --score 2 --doing lettering --minutes 90 --note "wrist tired '
        'after an hour"',
        'evenstroke felt "window desk" --score 5 --date 2026-03-15 --who Kim',
        'evenstroke felt --score 4 --doing "drawing 90, writing 10" --first-day',
        "evenstroke felt --grid spreadsheet.csv --tablets tablets.csv --displays displays.csv "
        "--distance 70cm",
    ),
)
@desk_argument(required=False)
@click.option(
    "--score",
    type=whole_type(1, 5),
    help="How it felt: 1 painful, 2 poor, 3 fair, 4 good, 5 a joy.",
)
@click.option(
    "--doing",
    metavar="WORK",
    default="drawing",
    show_default=True,
    help='What you did; with percentages if it was several things: "drawing 90, writing 10".',
)
@click.option("--minutes", metavar="N", type=MINUTES, help="How many minutes, or 2h, or 1h30.")
@click.option(
    "--date",
    "day",
    metavar="DAY",
    type=DAY,
    help="The day, for example 2026-03-15.  [default: today]",
)
@click.option("--who", metavar="NAME", help="Who drew, if several people share the library.")
@click.option("--note", metavar="TEXT", help="What you noticed.")
@click.option(
    "--first-day/--no-first-day",
    default=None,
    help="The first day after a change.  [default: worked out from the book]",
)
@click.option(
    "--grid",
    "grid_file",
    metavar="FILE",
    type=ANY_FILE,
    help=(
        "Read a filled-in grid (a row for each tablet, a column for each display) or a log from "
        "a spreadsheet, as CSV."
    ),
)
@click.option(
    "--tablets",
    "tablet_file",
    metavar="FILE",
    type=ANY_FILE,
    help="For --grid: tablets by name, with sizes.",
)
@click.option(
    "--displays",
    "display_file",
    metavar="FILE",
    type=ANY_FILE,
    help="For --grid: displays by name, with sizes.",
)
@click.option(
    "--distance",
    metavar="LENGTH",
    type=LENGTH,
    help="From the eyes to the display.  [default: the desk's seat]",
)
def command(
    *,
    desk: NamedDesk | None,
    score: int | None,
    doing: str,
    minutes: float | None,
    day: dt.date | None,
    who: str | None,
    note: str | None,
    first_day: bool | None,
    grid_file: str | None,
    tablet_file: str | None,
    display_file: str | None,
    distance: float | None,
) -> None:
    """Note in the trial book how drawing at a desk felt.

    The figures of the desk are stored with the note as they were that day. The book is part of the
    library; nothing in it is ever changed or removed. A score says nothing about health: if
    anything hurts, stop and see a doctor or physiotherapist.
    """
    today = str(day or dt.datetime.now().astimezone().date())
    if grid_file is not None:
        if score is not None or desk is not None:
            must = phrase("goes without a desk and without --score: the file has both")
            raise RequestError(Problem("--grid", must))
        _add_grid(
            grid_file,
            (tablet_file, display_file),
            date=today,
            who=who,
            doing=doing,
            distance=distance,
        )
        return
    for name, value in (("--tablets", tablet_file), ("--displays", display_file)):
        if value is not None:
            raise RequestError(Problem(name, phrase("goes with --grid; a desk has its own"), value))
    if score is None:
        must = phrase("must be given: 1 painful, 2 poor, 3 fair, 4 good, 5 a joy")
        raise RequestError(Problem("--score", must))
    workstation = (desk or usual_desk()).find().workstation
    felt = felt_at(
        workstation,
        date=today,
        doing=doing,
        score=score,
        distance_mm=distance,
        first_day=first_day,
        minutes=minutes,
        who=who or None,
        note=note or None,
    )
    new = add(open_library(), felt)
    click.echo(_noted(workstation.name, felt, new=new))
    if score == _PAINFUL or (minutes or 0.0) >= _LONG_MINUTES:
        click.echo(say_again(CAUTION))


def _noted(name: str, felt: Felt, *, new: bool) -> str:
    slots = {
        "desk": Name(name),
        "score": str(felt.score),
        "work": Name(felt.doing),
        "day": felt.date,
    }
    if not new:
        return say("{desk}: nothing new, the book already has {score} for {work} on {day}", **slots)
    scale = felt.figures.scale_factor
    if scale is None:
        return say("{desk}: noted {score} for {work} on {day}", **slots)
    factor = number(scale)
    return say(
        "{desk}: noted {score} for {work} on {day}, at a scale factor of {factor}",
        factor=factor,
        **slots,
    )


def _add_grid(
    file: str,
    lists: tuple[str | None, str | None],
    *,
    date: str,
    who: str | None,
    doing: str,
    distance: float | None,
) -> None:
    """Add the entries of a filled-in grid or log, all or none."""
    known_tablets, known_displays = read_lists(*lists)
    given = GridDefaults(date, who or None, doing, distance, known_tablets, known_displays)
    found = filled_grid(read_bounded(file, LARGEST_BOOK_BYTES, "grid"), file, given)
    new = add_all(open_library(), found)
    click.echo(say_count("{count} new note in the book", "{count} new notes in the book", new))
    if any(each.score == _PAINFUL for each in found):
        click.echo(say_again(CAUTION))
