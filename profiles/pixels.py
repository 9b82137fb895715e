"""What a person types of pictures: their size, a part of one, a pixel of the desktop.

Each function reads a text and raises RequestError, naming ``where`` the text was typed and saying
what to type instead.
"""

from __future__ import annotations

import math
import re

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, quoted
from mapper.rect import Rect
from mapper.units import NUMBER, parse_length_mm

#: The usual sheet, mm.
USUAL_MM = (320.0, 180.0)

_LEAST_PX, _MOST_PX = 240, 10_000
_LEAST_MM, _MOST_MM = 80.0, 2_000.0
# Letters of 3.4 mm of sheet have to be some 9 pixels high to be read: 2.6 pixels for each mm, and
# the sheet is smaller where there are too few for the usual one.
_LEAST_PX_PER_MM = 2.6
_PAPER_PX_PER_MM = 200 / 25.4

_CROP = re.compile(
    rf"\s*({NUMBER})\s*,\s*({NUMBER})\s*,\s*({NUMBER})\s*[xX\u00d7]\s*({NUMBER})\s*px\s*"
)
_SHEET = re.compile(rf"\s*({NUMBER})\s*[x×]\s*({NUMBER})\s*(px|mm|cm|in)?\s*")


def parse_crop(text: str, where: str) -> Rect:
    """A part of a picture, px: ``300,200,900x800px``, left, top, width x height."""
    match = _CROP.fullmatch(text)
    if not match:
        must = phrase("must be left,top,width x height in px")
        raise RequestError(
            Problem(where, must, quoted(text), phrase("Type for example 300,200,900x800px"))
        )
    return Rect(*(float(part) for part in match.groups()))


def parse_pixel(text: str, where: str) -> tuple[float, float]:
    """A pixel of the desktop, x and y: ``-1920,0``."""
    parts = text.removesuffix("px").split(",")
    try:
        x, y = (float(part) for part in parts)
    except ValueError:
        instead = phrase("Type for example -1920,0")
        raise RequestError(
            Problem(where, phrase("must be two numbers, in px"), quoted(text), instead)
        ) from None
    if not (abs(x) < 1e6 and abs(y) < 1e6):
        raise RequestError(Problem(where, phrase("must be a pixel of the desktop"), quoted(text)))
    return x, y


def parse_sheet(text: str, where: str) -> tuple[tuple[float, float], int]:
    """The size of a picture's sheet in mm, and its width in px: ``1920x1080``, ``297x210mm``."""
    instead = phrase("Type for example 1920x1080, 297x210mm or 11x8.5in")
    match = _SHEET.fullmatch(text)
    if not match:
        raise RequestError(Problem(where, phrase("must be width x height"), quoted(text), instead))
    wide, high, unit = match.groups()
    if unit in {None, "px"}:
        width_px, height_px = float(wide), float(high)
        if not all(
            _LEAST_PX <= side <= _MOST_PX and side.is_integer() for side in (width_px, height_px)
        ):
            must = phrase(
                "must be whole pixels, from {least} to {most} each way",
                least=_LEAST_PX,
                most=_MOST_PX,
            )
            raise RequestError(Problem(where, must, quoted(text), instead))
        # As large as the usual sheet, in the proportions that were asked for; smaller where the
        # pixels are few.
        usual = USUAL_MM[0] * USUAL_MM[1]
        mm_per_px = min(math.sqrt(usual / (width_px * height_px)), 1 / _LEAST_PX_PER_MM)
        return (width_px * mm_per_px, height_px * mm_per_px), int(width_px)
    width_mm, height_mm = parse_length_mm(wide + unit, where), parse_length_mm(high + unit, where)
    if not all(_LEAST_MM <= side <= _MOST_MM for side in (width_mm, height_mm)):
        must = phrase(
            "must be from {least} to {most} mm each way",
            least=f"{_LEAST_MM:g}",
            most=f"{_MOST_MM:g}",
        )
        raise RequestError(Problem(where, must, quoted(text), instead))
    return (width_mm, height_mm), round(width_mm * _PAPER_PX_PER_MM)
