"""``evenstroke here``: which desk is this computer's, so that it need not be named."""

from __future__ import annotations

import click

from mapper.phrases import phrase
from mapper.problems import AnswerIsNo, Problem, RequestError
from profiles.library.desks import note_this_computers_desk, this_computers_desk, usual_desk
from render.cli.options import desk_argument, examples
from render.cli.types import Command, NamedDesk, open_library
from render.sentences.say import Name, say


@click.command(
    "here",
    cls=Command,
    then="evenstroke report",
    epilog=examples(
        'evenstroke here "window desk"',
        "evenstroke here desk.yaml",
        "evenstroke here",
        "evenstroke here --forget",
    ),
)
@desk_argument(required=False)
@click.option("--forget", is_flag=True, help="Forget the choice.")
def command(*, desk: NamedDesk | None, forget: bool) -> None:
    """Choose the desk of this computer.

    Then map, report, picture and the others need no name.

    The choice is stored in your own settings on this computer, not in the library, which others may
    share. Without DESK, show which desk is used when you name none: the chosen one, or else the
    only one in the library.
    """
    if desk is not None and forget:
        raise RequestError(
            Problem("here", phrase("needs a desk or --forget, one of the two"), phrase("both"))
        )
    if forget:
        note_this_computers_desk(None)
        click.echo(say("No desk is chosen for this computer."))
    elif desk is not None:
        name = desk.find().workstation.name
        note_this_computers_desk(desk.typed)
        click.echo(say("{desk} is this computer's desk.", desk=Name(name)))
    else:
        meant = usual_desk(open_library())
        if meant is None:
            must = phrase(
                "no desk is chosen for this computer, and the library holds none or more than one"
            )
            instead = phrase("Choose one: {command}", command='evenstroke here "window desk"')
            raise AnswerIsNo(Problem("here", must, instead=instead))
        if this_computers_desk():
            click.echo(say("{desk}: chosen for this computer", desk=Name(meant)))
        else:
            click.echo(say("{desk}: the only one in the library", desk=Name(meant)))
