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
from render.sentences.say import Name, row_of, say, say_again, say_count
from render.sentences.words import number

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

    Read the text before you paste it into a question: it holds the library's folder, which may
    name you, the files in which the system describes displays and tablets, and their names.
    """
    system = say(
        "{version} on Python {python}, {platform}",
        version=_version("evenstroke"),
        python=platform.python_version(),
        platform=platform.platform(terse=True),
    )
    for label, lines in (
        ("evenstroke", [system]),
        (say("displays"), _asked(_displays)),
        (say("desktop"), _asked(_desktop)),
        (say("tablets"), _asked(_tablets)),
        (say("browser"), _browser()),
        (say("library"), _asked(_library)),
        (say("parts"), _parts()),
    ):
        for at, line in enumerate(
            each for text in lines for each in textwrap.wrap(text, 92) or [""]
        ):
            click.echo(f"{label if at == 0 else '':<12}{line}")


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return say("not installed")


def _asked(ask: Callable[[], list[str]]) -> list[str]:
    """The answer, or what is wrong with it."""
    try:
        return ask()
    except EvenstrokeError as error:
        return [say_again(problem.sentence) for problem in error.problems]


def _displays() -> list[str]:
    lines: list[str] = []
    for display in connected_displays(system_root()):
        if display.facts is None:
            problem = display.problem
            said = "" if problem is None else say_again(problem.sentence)
            lines.append(say("{place}: {display}", place=display.connector, display=said))
            continue
        slots = {"place": display.connector, "display": Name(display.facts.title)}
        doubts = len(display.facts.doubts)
        if not doubts:
            lines.append(say("{place}: {display}", **slots))
            continue
        lines.append(
            say_count(
                "{place}: {display}, {count} doubt: {command} shows it",
                "{place}: {display}, {count} doubts: {command} shows them",
                doubts,
                command="evenstroke displays",
                **slots,
            )
        )
    return lines


def _desktop() -> list[str]:
    lines: list[str] = []
    for monitor in monitors():
        parts: list[str] = [
            say(
                "{display}: {width} × {height} px at {left}, {top}",
                display=Name(monitor.name),
                width=str(monitor.width_px),
                height=str(monitor.height_px),
                left=str(monitor.left_px),
                top=str(monitor.top_px),
            )
        ]
        if monitor.primary:
            parts.append(say("primary"))
        if monitor.zoom != 1:
            parts.append(say("zoom {zoom}", zoom=number(monitor.zoom)))
        lines.append(row_of(parts))
    return lines


def _tablets() -> list[str]:
    lines: list[str] = []
    for tablet in plugged_tablets(system_root()):
        size = tablet.pen.size_mm
        if size is None:
            lines.append(say("{place}: size unknown; measure it", place=tablet.node))
            continue
        width, height = (number(side) for side in size)
        lines.append(
            say("{place}: {width} × {height} mm", place=tablet.node, width=width, height=height)
        )
    return lines


def _browser() -> list[str]:
    try:
        return [say("pages open in ({browser})", browser=webbrowser.get().__class__.__name__)]
    except webbrowser.Error:
        return [say("none was found; --no-browser prints the address of a page")]


def _library() -> list[str]:
    library = open_library()
    if not library.root.exists():
        return [say("{folder}: will be made when the first desk is kept", folder=str(library.root))]
    return [
        say(
            "{folder}: is there; desks: {count}",
            folder=str(library.root),
            count=str(len(library.folders())),
        )
    ]


def _parts() -> list[str]:
    try:
        glfw = say("glfw {version}", version=version("glfw"))
    except PackageNotFoundError:
        glfw = say(
            "glfw is missing; it asks the running system for its desktop: {command}",
            command="pip install 'evenstroke[system]'",
        )
    room = str(shutil.disk_usage(".").free // 2**20)
    writes = sys.stdout.encoding or say("nothing known")
    output = say(
        "standard output writes {encoding}; {megabytes} MB are free here",
        encoding=writes,
        megabytes=room,
    )
    return [glfw, output]
