"""``evenstroke pin``: says which revision is in force."""

from __future__ import annotations

import click

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from render.cli.options import examples, library_option
from render.cli.types import STATION, Command, open_library
from render.sentences.say import Name, say


@click.command(
    "pin",
    cls=Command,
    then="evenstroke recall {workstation}",
    epilog=examples(
        'evenstroke pin "window desk" 3',
        'evenstroke pin "window desk" 3 --note "the newer ones tire the wrist"',
        'evenstroke pin "window desk" --release',
    ),
)
@click.argument("workstation", type=STATION)
@click.argument("revision", metavar="[REVISION]", required=False)
@click.option("--release", is_flag=True, help="Remove the pin; the newest is in use again.")
@click.option("--note", metavar="TEXT", help="Why you pin it; the history shows this text.")
@library_option
def command(*, workstation: str, revision: str | None, release: bool, note: str | None) -> None:
    """Pin a kept setting, so that it stays in use however many are kept after it."""
    if (revision is None) != release:
        came = phrase("neither") if revision is None else phrase("both")
        must = phrase("needs the number of a kept setting, or --release")
        raise RequestError(Problem("pin", must, came))
    library = open_library()
    folder = library.folder_of(workstation)
    pinned = None if revision is None else library.named(folder, revision)
    if pinned is None:
        done = library.decide(folder, "unpin", note=note)
        slots = {"desk": Name(workstation), "revision": str(library.in_force(folder).number)}
        if done:
            click.echo(say("{desk}: unpinned; setting {revision} is in use", **slots))
        else:
            click.echo(say("{desk}: none was pinned; setting {revision} is in use", **slots))
        return
    name = library.load(pinned).name
    done = library.decide(folder, "pin", pinned, note=note)
    slots = {"desk": Name(name), "revision": str(pinned.number)}
    if done:
        click.echo(say("{desk}: setting {revision} is pinned", **slots))
    else:
        click.echo(say("{desk}: setting {revision} is already pinned", **slots))
