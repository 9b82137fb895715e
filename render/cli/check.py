"""``evenstroke check``: says of each file whether it is a profile that tells the truth."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from mapper.phrases import in_line
from mapper.problems import AnswerIsNo, Collected, Problem
from render.cli.options import as_option, desk_argument, echo_data, examples
from render.cli.types import Command, NamedDesk
from render.reports.check_data import check_data
from render.sentences.words import map_sentence

if TYPE_CHECKING:
    from profiles.library.desks import FoundDesk


@click.command(
    "check",
    cls=Command,
    then="evenstroke keep {desk}",
    epilog=examples(
        "evenstroke check desk.yaml",
        "evenstroke check desks/*.yaml",
        'evenstroke check "window desk"',
        "evenstroke check desks/*.yaml --as json",
    ),
)
@desk_argument(several=True)
@as_option("text", "yaml", "json")
def command(desks: tuple[NamedDesk, ...], *, form: str) -> None:
    """Validate profiles: format, values, and that every number agrees with the description.

    Each file is read; all problems of all files are reported. Exit code 0: all are valid; 1: one is
    not; 2: one is missing or cannot be read.
    """
    checked: list[tuple[str, FoundDesk | None, list[Problem]]] = []
    for desk in desks:
        wrong: list[Problem] = []
        right = None
        with Collected(wrong):
            right = desk.find()
        checked.append((desk.typed, right, wrong))
    if form == "text":
        for typed, right, _ in checked:
            if right is not None:
                name = right.workstation.name
                called = "" if name == typed else f" {in_line(name)}:"
                sentence = map_sentence(right.workstation.map)
                click.echo(f"{in_line(typed)}: OK.{called} {sentence}")
    else:
        echo_data(check_data(checked), form)
    problems = [problem for _, _, wrong in checked for problem in wrong]
    if problems:
        raise AnswerIsNo(*problems)
