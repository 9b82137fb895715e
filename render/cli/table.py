"""``evenstroke table``: many workstations in one table."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from mapper.mapping.forms import UNITS, known_resolution
from mapper.problems import AnswerIsNo, Collected, Problem, RequestError
from profiles.library.history import station_rows
from render.cli.exits import remark
from render.cli.options import as_option, desk_argument, examples
from render.cli.types import Command, NamedDesk, found, open_library
from render.reports.workstation_table import TABLE_UNITS, table_text

if TYPE_CHECKING:
    from profiles.format.document import Workstation


@click.command(
    "table",
    cls=Command,
    then="evenstroke sheet {desk} wall.pdf, for the wall beside it",
    epilog=examples(
        "evenstroke table",
        "evenstroke table desks/*.yaml --unit in",
        "evenstroke table --as markdown",
        "evenstroke table desks/*.yaml --unit counts --as csv",
    ),
)
@desk_argument(required=False, several=True)
@click.option(
    "--unit",
    type=click.Choice(list(TABLE_UNITS)),
    default="mm",
    show_default=True,
    help="The unit of the area.",
)
@as_option("text", "csv", "markdown", "yaml", "json")
def command(*, desks: tuple[NamedDesk, ...], unit: str, form: str) -> None:
    """Print a table of many desks: area to enter, scale factor, stretch, setting and date.

    If you name no desks, all desks of the library are shown, each with its setting in use. If a
    desk cannot be read, it is named and left out, and the exit code is 1.
    """
    if desks:
        named, problems = found(desks)
        workstations = [desk.workstation for desk in named]
    else:
        stations, problems = station_rows(open_library())
        workstations = [station.holds for station in stations if station.holds]
    _without_resolution(workstations, unit)
    click.echo(table_text(workstations, unit, form), nl=False, color=True)
    if problems:
        raise AnswerIsNo(*problems)


def _without_resolution(workstations: list[Workstation], unit: str) -> None:
    """Say which of ``workstations`` have no area in this ``unit``.

    Raises RequestError where none has one.
    """
    if not UNITS[TABLE_UNITS[unit]].needs_counts:
        return
    wanting: list[Problem] = []
    for workstation in workstations:
        with Collected(wanting):
            known_resolution(workstation.map.request.tablet.counts_per_mm, workstation.name)
    if wanting and len(wanting) == len(workstations):
        raise RequestError(*(problem.at("--unit") for problem in wanting))
    for problem in wanting:
        remark(problem)
