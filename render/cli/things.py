"""Tablets and displays by the dozen: options and pasted lists, for the commands that compare them."""

from __future__ import annotations

import functools
import sys
from typing import TYPE_CHECKING, Any

import click

from mapper.problems import EvenstrokeError, Problem, RequestError
from render.cli.exits import complain
from render.cli.types import DISPLAY, TABLET, FileType

if TYPE_CHECKING:
    from collections.abc import Callable

    from profiles.lists import Listed
    from render.cli.options import F


def _listed(file: str | None, kind: str) -> tuple[Any, ...]:
    """The tablets or displays of a list, CSV or one a line; - is standard input."""
    if file is None:
        return ()
    from profiles import lists
    from profiles.files import read_bounded

    if file != "-":
        content = read_bounded(file, lists.LARGEST_LIST_BYTES, "list")
    else:
        content = sys.stdin.buffer.read(lists.LARGEST_LIST_BYTES + 1)
        if len(content) > lists.LARGEST_LIST_BYTES:
            must = f"must be a list of at most {lists.LARGEST_LIST_BYTES // 1024} KiB"
            raise RequestError(Problem("standard input", must))
    read: Callable[[bytes, str], Listed[Any]] = lists.tablet_list if kind == "tablets" else lists.display_list
    listed = read(content, "standard input" if file == "-" else file)
    if listed.left_aside:
        complain(f"{file}: left aside the columns {', '.join(listed.left_aside)}")
    return tuple(listed.items)


def _list_option(kind: str) -> Callable[[F], F]:
    return click.option(
        f"--{kind}",
        f"{kind}_file",
        metavar="FILE",
        type=FileType(".csv", ".tsv", ".txt"),
        help="A list, CSV or one a line; - for standard input.",
    )


def things_options(command: F) -> F:
    """``--tablet``, ``--tablets``, ``--display`` and ``--displays``, as ``tablets`` and ``displays``; empty where none was given."""

    @functools.wraps(command)
    def joined(*args: Any, tablets_file: str | None, displays_file: str | None, **more: Any) -> Any:
        if tablets_file == displays_file == "-":
            raise RequestError(Problem("--displays", "standard input can be read once", "- twice"))
        problems: list[Problem] = []
        for kind, file in (("tablets", tablets_file), ("displays", displays_file)):
            try:
                more[kind] += _listed(file, kind)
            except EvenstrokeError as error:
                problems.extend(error.problems)
        if problems:
            raise RequestError(*problems)
        return command(*args, **more)

    options = (
        _list_option("tablets"),
        _list_option("displays"),
        click.option(
            "--tablet",
            "tablets",
            metavar="SIZE",
            multiple=True,
            type=TABLET,
            help="A tablet: 224x148mm, medium: 8.8x5.8in@5080/in; several are allowed.  [default: the four customary sizes]",
        ),
        click.option(
            "--display",
            "displays",
            metavar="DISPLAY",
            multiple=True,
            type=DISPLAY,
            help='A display: "27in 2560x1440"; several are allowed.  [default: six usual sizes]',
        ),
    )
    decorated: Any = joined
    for option in reversed(options):
        decorated = option(decorated)
    return decorated  # type: ignore[no-any-return]
