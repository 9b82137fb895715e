"""``evenstroke doctor``: what was found on this computer, and what to do about what is missing."""

from __future__ import annotations

import platform
import shutil
import sys
import textwrap
import webbrowser
from importlib.metadata import PackageNotFoundError, version
from typing import TYPE_CHECKING

import click

from mapper.problems import EvenstrokeError
from profiles.hardware.desktop import monitors
from profiles.hardware.system import connected_displays, plugged_tablets, system_root
from render.cli.options import examples, library_option
from render.cli.types import Command, open_library

if TYPE_CHECKING:
    from collections.abc import Callable


@click.command(
    "doctor",
    cls=Command,
    then="evenstroke map --tablet @connected --display @connected --save desk.yaml",
    epilog=examples("evenstroke doctor", "evenstroke doctor > for-a-question.txt"),
)
@library_option
def command() -> None:
    """Show what was found, and what to do about what is missing.

    It looks for displays, tablets, a browser, the library and optional parts.

    You can paste the text into a question: the only path in it is the library's folder.
    """
    for label, lines in (
        (
            "evenstroke",
            [
                (
                    f"{_version('evenstroke')} on Python {platform.python_version()}, "
                    f"{platform.platform(terse=True)}"
                )
            ],
        ),
        ("displays", _asked(_displays)),
        ("desktop", _asked(_desktop)),
        ("tablets", _asked(_tablets)),
        ("browser", _browser()),
        ("library", _asked(_library)),
        ("parts", _parts()),
    ):
        for at, line in enumerate(
            each for text in lines for each in textwrap.wrap(text, 92) or [""]
        ):
            click.echo(f"{label if at == 0 else '':<12}{line}")


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "not installed"


def _asked(ask: Callable[[], list[str]]) -> list[str]:
    """The answer, or what is wrong with it."""
    try:
        return ask()
    except EvenstrokeError as error:
        return [str(problem) for problem in error.problems]


def _displays() -> list[str]:
    return [
        f"{display.connector}: {display.facts.title if display.facts else display.problem}"
        + (
            f", {len(display.facts.doubts)} doubts: evenstroke displays shows them"
            if display.facts and display.facts.doubts
            else ""
        )
        for display in connected_displays(system_root())
    ]


def _desktop() -> list[str]:
    return [
        f"{monitor.name}: {monitor.width_px} × {monitor.height_px} px at {monitor.left_px}, "
        f"{monitor.top_px}"
        + (", primary" if monitor.primary else "")
        + (f", zoom {monitor.zoom:g}" if monitor.zoom != 1 else "")
        for monitor in monitors()
    ]


def _tablets() -> list[str]:
    return [
        f"{tablet.node}: "
        + (
            "size unknown; measure it"
            if tablet.pen.size_mm is None
            else "{:g} × {:g} mm".format(*tablet.pen.size_mm)
        )
        for tablet in plugged_tablets(system_root())
    ]


def _browser() -> list[str]:
    try:
        return [f"pages open in ({webbrowser.get().__class__.__name__})"]
    except webbrowser.Error:
        return ["none was found; --no-browser prints the address of a page"]


def _library() -> list[str]:
    library = open_library()
    count = len(library.folders()) if library.root.exists() else 0
    there = "is there" if library.root.exists() else "will be made when the first desk is kept"
    return [f"{library.root}: {there}; workstations: {count}"]


def _parts() -> list[str]:
    found = _version("glfw")
    missing = (
        "is missing; it asks the running system for its desktop: pip install 'evenstroke[system]'"
    )
    room = f"{shutil.disk_usage('.').free // 2**20} MB are free here"
    return [
        f"glfw {missing if found == 'not installed' else found}",
        f"standard output writes {sys.stdout.encoding or 'nothing known'}; {room}",
    ]
