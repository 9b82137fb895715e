"""``evenstroke desk``: the whole job as one page in the browser."""

from __future__ import annotations

import os
from typing import Any, NamedTuple

import click

from mapper.phrases import template
from profiles.library.revisions import Library
from render.cli.options import desk_argument, examples
from render.cli.types import Command, NamedDesk, open_library
from render.desk.address import ask_running
from render.sentences.say import say


class _Words(NamedTuple):
    """What is said of a page that was opened."""

    running: str
    opened: str
    closed: str


_WORDS = {
    "desk": _Words(
        template("The desk is already running, at {address}"),
        template("The desk is at {address}"),
        template("The desk is closed."),
    ),
    "pad": _Words(
        template("The desk is already running; the pad is at {address}"),
        template("The pad is at {address}"),
        template("The pad is closed."),
    ),
}


@click.command(
    "desk",
    cls=Command,
    then="what was kept there: evenstroke stations",
    epilog=examples(
        "evenstroke desk",
        "evenstroke desk desk.yaml",
        'evenstroke desk "window desk"',
        "evenstroke desk --shortcut",
    ),
)
@desk_argument(required=False)
@click.option("--no-browser", is_flag=True, help="Print the address, do not open a browser.")
@click.option(
    "--shortcut", is_flag=True, help="Add an icon that starts Evenstroke, and do nothing else."
)
def command(*, desk: NamedDesk | None, no_browser: bool, shortcut: bool) -> None:
    """Describe your desk in the browser.

    See what happens to a circle, and copy the numbers for your tablet's settings.

    Nothing leaves this computer. Closing the page ends the program; changes that you did not keep
    are there next time. If Evenstroke is already running, the same page opens.
    """
    if shortcut:
        from render.desk.shortcut import write_shortcut

        click.echo(say("Written: {file}", file=str(write_shortcut())))
        return
    library = open_library()
    wish: dict[str, Any] = {}
    if desk is not None:
        desk.find()
        wish = {"desk": whole(desk.typed)}

    serve(library, wish, "desk", no_browser=no_browser)


def serve(library: Library, wish: dict[str, Any], what: str, *, no_browser: bool) -> None:
    """Open the page that ``what`` asks for.

    It is opened in the server that runs for this library, else in a new one that runs until its
    last page is gone.
    """
    address = ask_running(library.root, wish)
    if address is not None:
        click.echo(say(_WORDS[what].running, address=address))
        if not no_browser:
            click.launch(address)
        return

    from render.desk.app import path_of
    from render.desk.bodies import Wish
    from render.desk.server import DeskServer

    server = DeskServer(library)
    address = server.door.invite(path_of(server.session, Wish(**wish)))
    try:
        click.echo(say(_WORDS[what].opened, address=address))
        click.echo(
            say(
                "The address works once, in one browser. The program ends when its last page "
                "closes, or with Ctrl+C."
            )
        )
        if not no_browser:
            click.launch(address)
        server.run()
    except KeyboardInterrupt:
        # The usual way to stop a server, and nothing is left half done.
        click.echo("")
    click.echo(say(_WORDS[what].closed))


def whole(typed: str) -> str:
    """A desk as typed, a file with its folder: a running server may stand in another one."""
    return os.path.abspath(typed) if os.path.isfile(typed) else typed  # noqa: PTH100, PTH113 - as typed


def without_console() -> None:
    """Run ``evenstroke desk`` for an icon, where nobody reads what is printed."""
    from render.cli import main

    main(["desk"])
