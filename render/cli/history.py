"""``evenstroke history``: the revisions of a workstation."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from mapper.problems import AnswerIsNo
from profiles.library.history import history
from render.cli.options import as_option, echo_answer, examples, library_option, station_argument
from render.cli.types import START, Command, open_library, whole_type
from render.reports.library_text import history_data, history_text

if TYPE_CHECKING:
    from datetime import datetime


@click.command(
    "history",
    cls=Command,
    then="evenstroke changes {workstation}",
    epilog=examples(
        'evenstroke history "window desk"',
        'evenstroke history "window desk" --last 3',
        'evenstroke history "window desk" --since 2026-03-01',
        'evenstroke history "window desk" --all --as json',
    ),
)
@station_argument
@click.option(
    "--last", type=whole_type(1, 1_000_000), default=20, show_default=True, help="How many to list."
)
@click.option("--all", "whole", is_flag=True, help="All of them.")
@click.option(
    "--since",
    metavar="DATE",
    type=START,
    help="Only what was kept, pinned or retired on that day or later, or since 2026-03-15T14:30.",
)
@as_option("text", "yaml", "json")
@library_option
def command(*, workstation: str, last: int, whole: bool, since: datetime | None, form: str) -> None:
    """List the kept settings of a desk, the newest first, each with what it changed."""
    library = open_library()
    folder = library.folder_of(workstation)
    found = history(library, folder, None if whole else last, since=since)
    echo_answer(form, found, text=history_text, data=history_data)
    if found.problems:
        raise AnswerIsNo(*found.problems)
