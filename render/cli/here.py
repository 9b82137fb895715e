"""``evenstroke here``: which desk stands before this computer, so that it need not be named."""

from __future__ import annotations

import click

from mapper.problems import AnswerIsNo, Problem, RequestError
from render.cli.options import desk_argument, examples
from render.cli.types import Command, NamedDesk, open_library


@click.command(
    "here",
    cls=Command,
    then="evenstroke report",
    short_help="Say which desk stands before this computer.",
    epilog=examples(
        'evenstroke here "window desk"',
        "evenstroke here desk.yaml",
        "evenstroke here",
        "evenstroke here --forget",
    ),
)
@desk_argument(required=False)
@click.option("--forget", is_flag=True, help="Note none.")
def command(*, desk: NamedDesk | None, forget: bool) -> None:
    """Say once which desk stands before this computer; then map, report, picture and the others need no name.

    It is noted for this computer alone, among your own settings, and not in the library, which others may share.
    Without DESK, tell which desk is meant where none is named: the one noted, or else the only one in the library.
    """
    from profiles.library.desks import note_this_computers_desk, this_computers_desk, usual_desk

    if desk is not None and forget:
        raise RequestError(Problem("here", "needs a desk or --forget, one of the two", "both"))
    if forget:
        note_this_computers_desk(None)
        click.echo("No desk is noted for this computer.")
    elif desk is not None:
        name = desk.find().workstation.name
        note_this_computers_desk(desk.typed)
        click.echo(f"{name} stands before this computer.")
    else:
        meant = usual_desk(open_library())
        if meant is None:
            must = "no desk is noted for this computer, and the library does not hold just one"
            raise AnswerIsNo(Problem("here", must, instead='Note one: evenstroke here "window desk"'))
        why = "noted for this computer" if this_computers_desk() else "the only one in the library"
        click.echo(f"{meant}: {why}")
