"""``evenstroke check``: says of each file whether it is a profile that tells the truth."""

from __future__ import annotations

import click

from mapper.problems import AnswerIsNo, EvenstrokeError, Problem
from render.cli.options import examples


@click.command(
    "check",
    short_help="Is each of these files a profile that is right?",
    epilog=examples("evenstroke check desk.yaml", "evenstroke check desks/*.yaml"),
)
@click.argument("files", metavar="FILE...", nargs=-1, required=True, type=click.Path())
def command(files: tuple[str, ...]) -> None:
    """Validate profiles: format, values, and that every number follows from what was asked.

    Each file is read; all problems of all files are reported. Exit code 0 where all are right, 1 where one is not.
    """
    from profiles.format.document import load
    from render.words import map_sentence

    problems: list[Problem] = []
    for file in files:
        try:
            workstation = load(file)
        except EvenstrokeError as error:
            problems.extend(error.problems)
        else:
            click.echo(f"{file}: right. {workstation.name}: {map_sentence(workstation.map)}")
    if problems:
        raise AnswerIsNo(*problems)
