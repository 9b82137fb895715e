"""Tablets and displays by the dozen: options and pasted lists, for the commands that compare them."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any

import click

from mapper.problems import EvenstrokeError, Problem, RequestError
from render.cli.exits import complain

if TYPE_CHECKING:
    from collections.abc import Callable

    from mapper.desk import Display, Tablet
    from profiles.lists import Listed
    from render.cli.options import F

_OPTIONS = (
    click.option(
        "--tablets",
        "tablet_file",
        metavar="FILE",
        type=click.Path(),
        help="A list, CSV or one a line; - for standard input.",
    ),
    click.option(
        "--displays",
        "display_file",
        metavar="FILE",
        type=click.Path(),
        help="A list, CSV or one a line; - for standard input.",
    ),
    click.option(
        "--tablet",
        "tablets",
        metavar="SIZE",
        multiple=True,
        help="A tablet: 240x152mm, medium: 9.4x6in@3810/in; several are allowed.  [default: the four customary sizes]",
    ),
    click.option(
        "--display",
        "displays",
        metavar="DISPLAY",
        multiple=True,
        help='A display: "27in 2560x1440"; several are allowed.  [default: six usual sizes]',
    ),
)


def things_options(command: F) -> F:
    """``--tablet``, ``--tablets``, ``--display`` and ``--displays``; ``things`` reads them."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


def things(
    tablets: tuple[str, ...], displays: tuple[str, ...], tablet_file: str | None, display_file: str | None
) -> tuple[tuple[Tablet, ...], tuple[Display, ...]]:
    """What ``things_options`` collected, all problems at once; empty where nothing was given."""
    if tablet_file == display_file == "-":
        raise RequestError(Problem("--displays", "standard input can be read once", "- twice"))
    problems: list[Problem] = []
    some_tablets = _collected("tablet", tablets, tablet_file, problems)
    some_displays = _collected("display", displays, display_file, problems)
    if problems:
        raise RequestError(*problems)
    return some_tablets, some_displays


def _collected(kind: str, typed: tuple[str, ...], file: str | None, problems: list[Problem]) -> tuple[Any, ...]:
    """The tablets or displays of options and list; what is wrong goes to ``problems``."""
    from profiles import lists

    found: list[Any] = []
    one: Callable[[str, str], Any] = lists.one_tablet
    many: Callable[[bytes, str], Listed[Any]] = lists.tablet_list
    if kind == "display":
        one = lists.one_display
        many = lists.display_list
    for text in typed:
        try:
            found.append(one(text, f"--{kind}"))
        except EvenstrokeError as error:
            problems.extend(error.problems)
    if file is not None:
        try:
            listed = many(_content(file), "standard input" if file == "-" else file)
        except EvenstrokeError as error:
            problems.extend(error.problems)
        else:
            found.extend(listed.items)
            if listed.left_aside:
                complain(f"{file}: left aside the columns {', '.join(listed.left_aside)}")
    return tuple(found)


def _content(file: str) -> bytes:
    from profiles.files import read_bounded
    from profiles.lists import LARGEST_LIST_BYTES

    if file != "-":
        return read_bounded(file, LARGEST_LIST_BYTES, "list")
    content = sys.stdin.buffer.read(LARGEST_LIST_BYTES + 1)
    if len(content) > LARGEST_LIST_BYTES:
        raise RequestError(Problem("standard input", f"must be a list of at most {LARGEST_LIST_BYTES // 1024} KiB"))
    return content
