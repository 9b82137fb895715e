"""``evenstroke doctor``: what was found on this computer, and what to do about what is missing."""

from __future__ import annotations

import platform
import shutil
import sys
import textwrap
import webbrowser
from importlib.metadata import PackageNotFoundError, version
from typing import TYPE_CHECKING, Any

import click

from mapper.problems import EvenstrokeError
from profiles.hardware.desktop import monitors
from profiles.hardware.system import connected_displays, plugged_tablets, system_root
from profiles.plain import headed
from render.cli.options import as_option, echo_data, examples, library_option
from render.cli.types import Command, open_library
from render.sentences.say import Name, row_of, say, say_again, say_count
from render.sentences.words import number

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence


@click.command(
    "doctor",
    cls=Command,
    then="evenstroke map --tablet @connected --display @connected --save desk.yaml",
    epilog=examples(
        "evenstroke doctor",
        "evenstroke doctor > for-a-question.txt",
        "evenstroke doctor --as json",
    ),
)
@as_option("text", "yaml", "json")
@library_option
def command(*, form: str) -> None:
    """Show what was found, and what to do about what is missing.

    It looks for displays, tablets, a browser, the library and optional parts.

    Read the text before you send it to somebody: it contains the library's folder (perhaps with
    your name) and the names of your displays and tablets and of the system's files about them.
    """
    found = _found()
    if form != "text":
        echo_data(headed("doctor", found), form)
        return
    for label, lines in _sections(found):
        for at, line in enumerate(
            each for text in lines for each in textwrap.wrap(text, 92) or [""]
        ):
            click.echo(f"{label if at == 0 else '':<12}{line}")


def _found() -> dict[str, Any]:
    """What was found; what could not be asked has its problem under ``problems``."""
    problems: dict[str, list[str]] = {}
    asked = {
        about: _asked(about, ask, problems)
        for about, ask in (
            ("displays", _displays),
            ("desktop", _desktop),
            ("tablets", _tablets),
            ("library", _library),
        )
    }
    return {
        "version": _version("evenstroke"),
        "python": platform.python_version(),
        "platform": platform.platform(terse=True),
        **asked,
        "browser": _browser(),
        "glfw": _version("glfw"),
        "output_encoding": sys.stdout.encoding,
        "free_mb": shutil.disk_usage(".").free // 2**20,
        "problems": problems,
    }


def _asked(about: str, ask: Callable[[], Any], problems: dict[str, list[str]]) -> Any:
    """The answer, or None with what is wrong with it in ``problems``."""
    try:
        return ask()
    except EvenstrokeError as error:
        problems[about] = [say_again(problem.sentence) for problem in error.problems]
        return None


def _version(name: str) -> str | None:
    try:
        return version(name)
    except PackageNotFoundError:
        return None


def _displays() -> list[dict[str, Any]]:
    return [
        {
            "connector": display.connector,
            "title": display.facts.title if display.facts else None,
            "doubts": len(display.facts.doubts) if display.facts else None,
            "problem": display.problem.sentence if display.problem else None,
        }
        for display in connected_displays(system_root())
    ]


def _desktop() -> list[dict[str, Any]]:
    names = ("name", "left_px", "top_px", "width_px", "height_px", "zoom", "primary")
    return [{name: getattr(monitor, name) for name in names} for monitor in monitors()]


def _tablets() -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = []
    for tablet in plugged_tablets(system_root()):
        width_mm, height_mm = tablet.pen.size_mm or (None, None)
        found.append({"node": tablet.node, "width_mm": width_mm, "height_mm": height_mm})
    return found


def _browser() -> str | None:
    try:
        return webbrowser.get().__class__.__name__
    except webbrowser.Error:
        return None


def _library() -> dict[str, Any]:
    library = open_library()
    is_there = library.root.exists()
    desks = len(library.folders()) if is_there else 0
    return {"folder": str(library.root), "is_there": is_there, "desks": desks}


def _sections(found: dict[str, Any]) -> Iterator[tuple[str, Sequence[str]]]:
    """What was found in words: the label of each section, and its texts."""
    system = say(
        "{version} on Python {python}, {platform}",
        version=found["version"] or say("not installed"),
        python=found["python"],
        platform=found["platform"],
    )
    yield "evenstroke", [system]
    for about, label, words in (
        ("displays", say("displays"), _display_words),
        ("desktop", say("desktop"), _monitor_words),
        ("tablets", say("tablets"), _tablet_words),
    ):
        yield label, found["problems"].get(about) or [words(each) for each in found[about]]
    browser = say("none was found; --no-browser prints the address of a page")
    if found["browser"]:
        browser = say("pages open in ({browser})", browser=found["browser"])
    yield say("browser"), [browser]
    yield say("library"), found["problems"].get("library") or [_library_words(found["library"])]
    yield say("parts"), _part_words(found)


def _display_words(display: dict[str, Any]) -> str:
    place = display["connector"]
    if display["title"] is None:
        said = say_again(display["problem"]) if display["problem"] else ""
        return say("{place}: {display}", place=place, display=said)
    slots = {"place": place, "display": Name(display["title"])}
    if not display["doubts"]:
        return say("{place}: {display}", **slots)
    return say_count(
        "{place}: {display}, {count} doubt: {command} shows it",
        "{place}: {display}, {count} doubts: {command} shows them",
        display["doubts"],
        command="evenstroke displays",
        **slots,
    )


def _monitor_words(monitor: dict[str, Any]) -> str:
    parts: list[str] = [
        say(
            "{display}: {width} × {height} px at {left}, {top}",
            display=Name(monitor["name"]),
            width=str(monitor["width_px"]),
            height=str(monitor["height_px"]),
            left=str(monitor["left_px"]),
            top=str(monitor["top_px"]),
        )
    ]
    if monitor["primary"]:
        parts.append(say("primary"))
    if monitor["zoom"] != 1:
        parts.append(say("zoom {zoom}", zoom=number(monitor["zoom"])))
    return row_of(parts)


def _tablet_words(tablet: dict[str, Any]) -> str:
    if tablet["width_mm"] is None:
        return say("{place}: size unknown; measure it", place=tablet["node"])
    width, height = (number(tablet[side]) for side in ("width_mm", "height_mm"))
    return say("{place}: {width} × {height} mm", place=tablet["node"], width=width, height=height)


def _library_words(library: dict[str, Any]) -> str:
    folder = library["folder"]
    if not library["is_there"]:
        return say("{folder}: will be made when the first desk is kept", folder=folder)
    return say("{folder}: is there; desks: {count}", folder=folder, count=str(library["desks"]))


def _part_words(found: dict[str, Any]) -> list[str]:
    glfw = say(
        "glfw is missing; it asks the running system for its desktop: {command}",
        command="pip install 'evenstroke[system]'",
    )
    if found["glfw"]:
        glfw = say("glfw {version}", version=found["glfw"])
    output = say(
        "standard output writes {encoding}; {megabytes} MB are free here",
        encoding=found["output_encoding"] or say("nothing known"),
        megabytes=str(found["free_mb"]),
    )
    return [glfw, output]
