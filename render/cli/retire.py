"""``evenstroke retire``: takes a workstation or a revision out of use without deleting anything."""

from __future__ import annotations

import click

from render.cli.options import examples, library_option
from render.cli.types import STATION, Command, open_library
from render.sentences.say import Name, say


@click.command(
    "retire",
    cls=Command,
    then="evenstroke stations --all; retire --undo takes it back",
    epilog=examples(
        'evenstroke retire "window desk"',
        'evenstroke retire "window desk" --revision 4 --note "typed wrongly"',
        'evenstroke retire "window desk" --undo',
    ),
)
@click.argument("workstation", type=STATION)
@click.option(
    "--revision",
    metavar="N",
    help="Retire this setting alone; it is not used unless you pin it.",
)
@click.option("--undo", is_flag=True, help="Bring it back.")
@click.option("--note", metavar="TEXT", help="Why you retire it; the history shows this text.")
@library_option
def command(*, workstation: str, revision: str | None, undo: bool, note: str | None) -> None:
    """Retire a desk, which then leaves the list of desks, or one of its kept settings.

    Nothing is deleted.
    """
    library = open_library()
    folder = library.folder_of(workstation)
    found = None if revision is None else library.named(folder, revision)
    done = library.decide(folder, "restore" if undo else "retire", found, note=note)
    what: str = Name(workstation)
    if found is not None:
        what = say("{desk}: setting {revision}", desk=what, revision=str(found.number))
    told = {
        (False, True): say("{what} is retired", what=what),
        (False, False): say("{what} is already retired", what=what),
        (True, True): say("{what} is no longer retired", what=what),
        (True, False): say("{what} is not retired", what=what),
    }
    click.echo(told[undo, done])
