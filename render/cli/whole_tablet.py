"""The options of a test: the desk that it is of, or that it measures the active area instead."""

from __future__ import annotations

import click

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from render.cli.options import together
from render.cli.types import DESK, DISPLAY_TEXT, NamedDesk

against_option = click.option(
    "--against",
    metavar="DESK",
    type=DESK,
    help="The desk whose setting you entered, from a file or the library.",
)
whole_tablet_options = together(
    click.option(
        "--whole-tablet",
        is_flag=True,
        help="Measure how large the active area is. Reset the tablet's settings to their defaults "
        "first.",
    ),
    click.option(
        "--display",
        "displays",
        metavar="DISPLAY",
        multiple=True,
        type=DISPLAY_TEXT,
        help="With --whole-tablet: the display that the pen covered.",
    ),
)


def whole_or_against(
    whole_tablet: bool, displays: tuple[str, ...], against: NamedDesk | None
) -> None:
    """Refuse options that do not go together. Raises RequestError."""
    if whole_tablet and against:
        must = phrase(
            "needs no profile: it measures the tablet with its settings at their defaults"
        )
        raise RequestError(
            Problem("--whole-tablet", must, phrase("--against {desk}", desk=against.typed))
        )
    if whole_tablet and not displays:
        instead = phrase('Type for example --display "27in 2560x1440"')
        must = phrase("needs the display or displays that the pen reached")
        raise RequestError(Problem("--whole-tablet", must, "", instead))
    if displays and not whole_tablet:
        must = phrase("goes with --whole-tablet alone")
        raise RequestError(Problem("--display", must, "", phrase("Add --whole-tablet")))
