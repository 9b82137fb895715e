"""The options of every command that draws: how large, in which colours, in which units."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Any

import click

from mapper.problems import Problem, RequestError, quoted
from mapper.units import NUMBER, parse_length_mm
from render.cli.options import together

theme_option = click.option(
    "--theme",
    type=click.Choice(["light", "dark", "print"]),
    default="light",
    show_default=True,
    help="Colours: dark for a dark room, print for paper.",
)

#: What every picture takes; ``sheet_of`` reads it.
picture_options = together(
    click.option(
        "--size",
        metavar="SIZE",
        help=(
            "The picture's size: 1920x1080 (px), or 297x210mm or 11x8.5in of paper.  [default: "
            "1600x900]"
        ),
    ),
    theme_option,
    click.option(
        "--units",
        type=click.Choice(["mm", "in"]),
        default="mm",
        show_default=True,
        help="Unit of the lengths in the picture.",
    ),
    click.option("--no-text", is_flag=True, help="Leave out all words, for slides."),
)


@dataclass(frozen=True, slots=True)
class PictureSheet:
    """The sheet that ``picture_options`` collected: its size in mm, perhaps its width in px."""

    size_mm: tuple[float, float]
    width_px: int | None
    theme: str
    units: str
    text: bool

    @property
    def arguments(self) -> dict[str, Any]:
        """The keyword arguments that every function takes that makes a scene."""
        return {"units": self.units, "text": self.text, "size_mm": self.size_mm}

    @property
    def width(self) -> dict[str, int]:
        """The keyword argument that every function takes that saves one."""
        return {} if self.width_px is None else {"width_px": self.width_px}


_LEAST_PX, _MOST_PX = 240, 10_000
_LEAST_MM, _MOST_MM = 80.0, 2_000.0
# Letters of 3.4 mm of sheet have to be some 9 pixels high to be read: 2.6 pixels for each mm, and
# the sheet is smaller where there are too few for the usual one.
_LEAST_PX_PER_MM = 2.6
_PAPER_PX_PER_MM = 200 / 25.4


def sheet_of(*, size: str | None, theme: str, units: str, no_text: bool) -> PictureSheet:
    """What ``picture_options`` collected.

    Raises RequestError for a size that is none, or out of bounds.
    """
    if size is None:
        return PictureSheet((320.0, 180.0), None, theme, units, not no_text)
    instead = "Type for example 1920x1080, 297x210mm or 11x8.5in"
    match = re.fullmatch(rf"\s*({NUMBER})\s*[x×]\s*({NUMBER})\s*(px|mm|cm|in)?\s*", size)
    if not match:
        raise RequestError(Problem("--size", "must be width x height", quoted(size), instead))
    wide, high, unit = match.groups()
    if unit in {None, "px"}:
        width_px, height_px = float(wide), float(high)
        if not all(
            _LEAST_PX <= side <= _MOST_PX and side.is_integer() for side in (width_px, height_px)
        ):
            must = f"must be whole pixels, from {_LEAST_PX} to {_MOST_PX} each way"
            raise RequestError(Problem("--size", must, quoted(size), instead))
        # As large as the usual sheet, in the proportions that were asked for; smaller where the
        # pixels are few.
        per_px = min(math.sqrt(320.0 * 180.0 / (width_px * height_px)), 1 / _LEAST_PX_PER_MM)
        return PictureSheet(
            (width_px * per_px, height_px * per_px), int(width_px), theme, units, not no_text
        )
    size_mm = parse_length_mm(wide + unit, "--size"), parse_length_mm(high + unit, "--size")
    if not all(_LEAST_MM <= side <= _MOST_MM for side in size_mm):
        must = f"must be from {_LEAST_MM:g} to {_MOST_MM:g} mm each way"
        raise RequestError(Problem("--size", must, quoted(size), instead))
    return PictureSheet(size_mm, round(size_mm[0] * _PAPER_PX_PER_MM), theme, units, not no_text)
