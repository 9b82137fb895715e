"""``evenstroke book``: the trial book, listed, filtered, as a calendar, and as CSV in and out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from mapper.phrases import phrase
from mapper.problems import AnswerIsNo, Problem, RequestError
from profiles.files import read_bounded
from profiles.library import trial_book
from profiles.lists import decoded
from profiles.plain import DATA_FORMS, headed
from render.cli.options import (
    as_option,
    book_options,
    echo_data,
    examples,
    force_option,
    library_option,
    nothing_fits,
)
from render.cli.sheets import draw_chart, picture_option
from render.cli.types import (
    DAY,
    LENGTH,
    NUMBER_TYPE,
    PAST_DAY,
    STATION,
    Command,
    FileType,
    open_library,
)
from render.reports.book_text import book_lines, calendar_lines
from render.sentences.say import say_count

if TYPE_CHECKING:
    from profiles.library.tried import Study
    from render.canvas.scene import Scene


@click.command(
    "book",
    cls=Command,
    then="evenstroke band, to see what suits you",
    epilog=examples(
        "evenstroke book",
        'evenstroke book --workstation "corner studio" --doing drawing --since 2026-01-01',
        "evenstroke book --calendar",
        "evenstroke book --as csv > trials.csv",
        "evenstroke book --add trials.csv",
        "evenstroke book --grid --picture grid.png",
    ),
)
@book_options
@click.option("--workstation", metavar="NAME", type=STATION, help="Only this desk.")
@click.option(
    "--since", metavar="DAY", type=PAST_DAY, help="Only this day and later, for example 2026-01-01."
)
@click.option("--until", metavar="DAY", type=DAY, help="Only this day and earlier.")
@click.option("--tablet", metavar="NAME", help="Only this tablet, as the book calls it.")
@click.option("--display", metavar="NAME", help="Only this display.")
@click.option(
    "--scale",
    "scale_factor",
    metavar="FACTOR",
    type=NUMBER_TYPE,
    help="Only this scale factor, within 2 %.",
)
@click.option(
    "--distance",
    "distance_mm",
    metavar="LENGTH",
    type=LENGTH,
    help="Only this distance from the eyes, within 5 %.",
)
@click.option(
    "--grid",
    "as_grid",
    is_flag=True,
    help="Print a table: a row for each tablet, a column for each display.",
)
@picture_option(help_text="With --grid: draw it, .png, .svg, .pdf or .webp.")
@force_option
@click.option(
    "--calendar",
    "as_calendar",
    is_flag=True,
    help="A page for each month: desk and score of each day.",
)
@click.option(
    "--add",
    "added",
    metavar="FILE",
    type=FileType(".csv"),
    help=(
        "Add the entries of a CSV file that are not there yet; gaps are filled in from the desks "
        "of the library."
    ),
)
@as_option("text", "markdown", "csv", "yaml", "json")
@library_option
def command(
    *,
    doing: str | None,
    as_grid: bool,
    picture: str | None,
    language: str,
    force: bool,
    as_calendar: bool,
    added: str | None,
    form: str,
    **wanted: Any,
) -> None:
    """List what was tried and how it felt."""
    library = open_library()
    if added is not None:
        content = read_bounded(added, trial_book.LARGEST_BOOK_BYTES, "book")
        new = trial_book.add_all(
            library, trial_book.from_csv(decoded(content, added), added), fill=True
        )
        click.echo(say_count("{count} new note in the book", "{count} new notes in the book", new))
        return
    if not as_grid and (picture is not None or form == "markdown"):
        where, came = ("--as", "markdown") if picture is None else ("--picture", picture)
        raise RequestError(
            Problem(where, phrase("is for the grid"), came, phrase("Type --grid too"))
        )
    fitting = trial_book.EntryFilter(doing=doing, **wanted)
    book, problems = trial_book.in_library(library)
    shown = fitting.of(book)
    if not shown and (form == "text" or as_grid):
        problems.append(nothing_fits(library))
    elif as_grid:
        from profiles.library.tried import study_of
        from render.reports.grid_text import grid_text

        study = study_of(shown, doing=doing)
        if picture is not None:
            draw_chart(lambda: _grid_scene(study), picture, language=language, force=force)
        click.echo(grid_text(study, form), nl=False)
    elif form == "csv":
        # As colour it is passed on as it is, what looks like one in a note too.
        click.echo(trial_book.to_csv(shown), nl=False, color=True)
    elif form in DATA_FORMS:
        echo_data(headed("book", {"entries": shown}), form)
    else:
        click.echo("\n".join(calendar_lines(shown) if as_calendar else book_lines(shown)))
    if problems:
        raise AnswerIsNo(*problems)


def _grid_scene(study: Study) -> Scene:
    from render.pictures.study_charts import grid_scene
    from render.sentences.study import study_sections

    title = next(section.statement for section in study_sections(study) if section.key == "grid")
    return grid_scene(study, title)
