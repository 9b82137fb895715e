"""``evenstroke stations``: the workstations of the library."""

from __future__ import annotations

import click

from mapper.problems import AnswerIsNo
from profiles.library.history import station_rows
from render.cli.options import as_option, echo_data, examples, library_option
from render.cli.types import Command, open_library
from render.reports.library_text import stations_data, stations_text


@click.command(
    "stations",
    cls=Command,
    then='evenstroke recall "window desk", with one of these names',
    epilog=examples("evenstroke stations", "evenstroke stations --all --as json"),
)
@click.option("--all", "retired", is_flag=True, help="Include retired desks.")
@as_option("text", "yaml", "json")
@library_option
def command(*, retired: bool, form: str) -> None:
    """List the desks in the library, each with its setting in use."""
    library = open_library()
    rows, problems = station_rows(library, retired=retired)
    if form == "text":
        hidden = 0 if rows or retired else len(station_rows(library, retired=True)[0])
        click.echo(stations_text(rows, retired=hidden), nl=False)
    else:
        echo_data(stations_data(rows), form)
    if problems:
        raise AnswerIsNo(*problems)
