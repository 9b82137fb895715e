"""``evenstroke typed``: notes that a setting was typed into the tablet's settings."""

from __future__ import annotations

import click

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from profiles.library.proofs import note_typed
from render.cli.options import desk_argument, examples
from render.cli.types import Command, NamedDesk, open_library, typed, usual_desk
from render.sentences.proofs import noted_sentence, same_for


@click.command(
    "typed",
    cls=Command,
    then="lay the printed crosses on the tablet, touch them: evenstroke touch points.csv --against "
    "{desk}",
    epilog=examples(
        'evenstroke typed "window desk"',
        'evenstroke typed "window desk@3"',
        'evenstroke typed "window desk" --undo',
    ),
)
@desk_argument(required=False)
@click.option("--undo", is_flag=True, help="Remove the mark, and any tests with it.")
def command(*, desk: NamedDesk | None, undo: bool) -> None:
    """Note that a desk's numbers were typed into the tablet's settings.

    The day is kept with the setting in the library: recall, history, the page and the sheet for
    the wall show it. It stays until other numbers are typed in.
    """
    named = desk or usual_desk()
    found = named.find()
    if found.revision is None:
        must = phrase("must be a desk of the library: only a kept setting can have this note")
        instead = phrase("Keep it there first: evenstroke keep {file}", file=typed(named.typed))
        raise RequestError(Problem(named.typed, must, instead=instead))
    name = found.workstation.name
    proof = note_typed(
        open_library(named.library), found.revision, found.workstation.map, undo=undo
    )
    click.echo(same_for(name) if proof is None else noted_sentence(proof, name))
