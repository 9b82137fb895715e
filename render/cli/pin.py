"""``evenstroke pin``: says which revision is in force."""

from __future__ import annotations

import click

from mapper.phrases import in_line
from mapper.problems import Problem, RequestError
from render.cli.options import examples, library_option
from render.cli.types import STATION, Command, open_library


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
@click.option("--release", is_flag=True, help="Remove the pin; the newest is in force again.")
@click.option("--note", metavar="TEXT", help="Why.")
@library_option
def command(*, workstation: str, revision: str | None, release: bool, note: str | None) -> None:
    """Pin a revision as the one in force, however many are kept after it."""
    if (revision is None) != release:
        came = "neither" if revision is None else "both"
        raise RequestError(Problem("pin", "needs the number of a revision, or --release", came))
    library = open_library()
    folder = library.folder_of(workstation)
    pinned = None if revision is None else library.named(folder, revision)
    if pinned is None:
        done = library.decide(folder, "unpin", note=note)
        now = f"revision {library.in_force(folder).number} is in force"
        click.echo(f"{in_line(workstation)}: {'released' if done else 'none was pinned'}; {now}")
        return
    name = library.load(pinned).name
    done = library.decide(folder, "pin", pinned, note=note)
    click.echo(
        f"{in_line(name)}: revision {pinned.number} {'is pinned' if done else 'is already pinned'}"
    )
