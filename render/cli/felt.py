"""``evenstroke felt``: notes how a pairing felt."""

from __future__ import annotations

import datetime as dt

import click

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
from render.sentences.say import say_count


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
    help='What you did; shares are allowed: "drawing 90, writing 10".',
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
        "Take a filled-in grid (tablets down, displays across) or a log from a spreadsheet, as CSV."
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
    help="From the eyes to the picture.  [default: the desk's seat]",
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
    library and is only ever added to. If anything hurts, stop and see a professional: a score is
    not medical advice.
    """
    today = str(day or dt.datetime.now().astimezone().date())
    if grid_file is not None:
        if score is not None or desk is not None:
            raise RequestError(
                Problem("--grid", "goes without a desk and without --score: the file has both")
            )
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
            raise RequestError(Problem(name, "goes with --grid; a desk has its own", value))
    if score is None:
        raise RequestError(
            Problem("--score", "must be given: 1 painful, 2 poor, 3 fair, 4 good, 5 a joy")
        )
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
    scale = felt.figures.scale_factor
    at = "a scale factor that is not known" if scale is None else f"a scale factor of {scale:.2f}"
    verb = "noted" if new else "nothing new, this entry is in the book already"
    click.echo(f"{workstation.name}: {verb}: {felt.score} for {felt.doing} at {at} on {felt.date}")


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
    click.echo(f"{say_count('{count} new entry', '{count} new entries', new)} in the book")
