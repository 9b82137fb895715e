"""Options that take several tablets and displays, one by one or as lists in files."""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING, Any

import click

from mapper.desk import Display, Tablet
from mapper.phrases import phrase
from mapper.problems import AnswerIsNo, Collected, Problem, RequestError
from profiles import lists
from profiles.files import read_bounded
from profiles.lists import Listed
from profiles.standard import STANDARD, name_of
from render.cli.exits import remark
from render.cli.options import F, together
from render.cli.types import DISPLAY, TABLET, FileType

if TYPE_CHECKING:
    from collections.abc import Callable


_INPUT = phrase("standard input")


def _read_list(file: str | None, kind: str) -> tuple[tuple[Any, ...], tuple[Problem, ...]]:
    """The tablets or displays of one list, and the problems of the lines that were left out.

    A list is CSV or has one item a line; - is standard input.
    """
    if file is None:
        return (), ()
    content = read_bounded(file, lists.LARGEST_LIST_BYTES, "list")
    read: Callable[[bytes, str], Listed[Any]] = (
        lists.tablet_list if kind == "tablets" else lists.display_list
    )
    read_list = read(content, name_of(file))
    if read_list.left_aside:
        columns = ", ".join(read_list.left_aside)
        remark(phrase("{file}: ignored the columns {columns}", file=file, columns=columns))
    return read_list.items, read_list.unread


def read_lists(
    tablets_file: str | None, displays_file: str | None, unread: list[Problem] | None = None
) -> tuple[tuple[Tablet, ...], tuple[Display, ...]]:
    """The tablets and the displays of both lists; none for a list that was not given.

    Problems of single lines are added to ``unread``. Raises RequestError with all problems of both
    lists at once, those of lines too where ``unread`` is None.
    """
    if tablets_file == displays_file == STANDARD:
        must, came = phrase("standard input can be read once"), phrase("- twice")
        raise RequestError(Problem("--displays", must, came))
    problems: list[Problem] = []
    found: list[tuple[Any, ...]] = []
    for kind, file in (("tablets", tablets_file), ("displays", displays_file)):
        with Collected(problems):
            items, left_out = _read_list(file, kind)
            found.append(items)
            (problems if unread is None else unread).extend(left_out)
    if problems:
        raise RequestError(*problems)
    return found[0], found[1]


def _list_option(kind: str) -> Callable[[F], F]:
    return click.option(
        f"--{kind}",
        f"{kind}_file",
        metavar="FILE",
        type=FileType(".csv", ".tsv", ".txt"),
        help="A list: CSV, or one item per line; - for standard input.",
    )


def hardware_options(command: F) -> F:
    """Adds ``--tablet``, ``--tablets``, ``--display`` and ``--displays`` to a command.

    The command gets them as ``tablets`` and ``displays``, empty where none was given.
    """

    @functools.wraps(command)
    def joined(*args: Any, tablets_file: str | None, displays_file: str | None, **more: Any) -> Any:
        unread: list[Problem] = []
        tablets, displays = read_lists(tablets_file, displays_file, unread)
        more["tablets"] += tablets
        more["displays"] += displays
        done = command(*args, **more)
        if unread:
            # The rest was answered, so these problems come last, where they are seen.
            remark(phrase("left out of the answer, since they could not be read:"))
            raise AnswerIsNo(*unread)
        return done

    options = together(
        _list_option("tablets"),
        _list_option("displays"),
        click.option(
            "--tablet",
            "tablets",
            metavar="SIZE",
            multiple=True,
            type=TABLET,
            help=(
                "A tablet: 240x152mm, medium: 9.4x6in@3810/in; several are allowed.  [default: "
                "the four usual sizes]"
            ),
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
    return options(joined)  # type: ignore[return-value]
