"""``evenstroke check``: says of each file whether it is a profile that tells the truth."""

from __future__ import annotations

import click

from mapper.phrases import in_line
from mapper.problems import AnswerIsNo
from render.cli.options import desk_argument, examples
from render.cli.types import Command, NamedDesk, found
from render.sentences.words import map_sentence


@click.command(
    "check",
    cls=Command,
    then="evenstroke keep {desk}",
    epilog=examples(
        "evenstroke check desk.yaml",
        "evenstroke check desks/*.yaml",
        'evenstroke check "window desk"',
    ),
)
@desk_argument(several=True)
def command(desks: tuple[NamedDesk, ...]) -> None:
    """Validate profiles: format, values, and that every number follows from what was asked.

    Each file is read; all problems of all files are reported. Exit code 0: all are valid; 1: one is
    not.
    """
    right, problems = found(desks)
    for desk in right:
        name = desk.workstation.name
        called = "" if name == desk.typed else f" {in_line(name)}:"
        click.echo(f"{in_line(desk.typed)}: OK.{called} {map_sentence(desk.workstation.map)}")
    if problems:
        raise AnswerIsNo(*problems)
