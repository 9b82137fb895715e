"""``evenstroke table``: many workstations in one table."""

from __future__ import annotations

import click

from mapper.problems import AnswerIsNo, EvenstrokeError, Problem
from render.cli.options import examples, library_option, open_library


@click.command(
    "table",
    short_help="Many workstations in one table.",
    epilog=examples(
        "evenstroke table",
        "evenstroke table desks/*.yaml --unit in",
        "evenstroke table --as markdown",
        "evenstroke table desks/*.yaml --unit counts --as csv",
    ),
)
@click.argument("files", metavar="[FILE]...", nargs=-1, type=click.Path())
@click.option(
    "--unit",
    type=click.Choice(["mm", "in", "percent", "counts"]),
    default="mm",
    show_default=True,
    help="The unit of the area.",
)
@click.option(
    "--as",
    "form",
    type=click.Choice(["text", "csv", "markdown", "json"]),
    default="text",
    show_default=True,
    help="What standard output gets.",
)
@library_option
def command(*, files: tuple[str, ...], unit: str, form: str, library_folder: str | None) -> None:
    """Table of many workstations: the area to enter, scale factor, stretch, revision and date.

    Of the files, or of the settings in force in the library where none is given. What cannot be read is named and
    left out; the exit code is then 1.
    """
    from profiles.format.document import load
    from render.reports.workstation_table import table_row, table_text

    rows, problems = [], list[Problem]()
    if files:
        for file in files:
            try:
                rows.append(table_row(load(file), unit))
            except EvenstrokeError as error:
                problems.extend(error.problems)
    else:
        from profiles.library.history import station_rows

        stations, problems = station_rows(open_library(library_folder))
        rows = [table_row(station.holds, unit) for station in stations if station.holds]
    click.echo(table_text(rows, unit, form), nl=False)
    if problems:
        raise AnswerIsNo(*problems)
