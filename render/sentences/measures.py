"""Lengths, sizes and displays as a person reads them in a picture."""

from __future__ import annotations

import math

from mapper.desk import Display
from mapper.phrases import Phrase, phrase
from mapper.problems import Problem, RequestError, quoted
from mapper.units import MM_PER_INCH
from render.sentences.say import row_of, say
from render.sentences.words import number

LENGTH_UNITS = ("mm", "in")


def bare_length(value_mm: float, units: str = "mm") -> str:
    """A length to a tenth of a mm or a hundredth of an inch, without its unit.

    Raises RequestError for a unit other than mm and in.
    """
    if units not in LENGTH_UNITS:
        raise RequestError(Problem("units", phrase("must be mm or in"), quoted(units)))
    return number(value_mm, 1) if units == "mm" else number(value_mm / MM_PER_INCH, 2)


def length(value_mm: float, units: str = "mm") -> str:
    """``135 mm``, ``4.96 in``."""
    return f"{bare_length(value_mm, units)} {units}"


def size(width_mm: float, height_mm: float, units: str = "mm") -> str:
    """``240 × 135 mm``."""
    return f"{bare_length(width_mm, units)} × {bare_length(height_mm, units)} {units}"


def diagonal_inches(width_mm: float | None, height_mm: float | None) -> float | None:
    """The diagonal in inches, as displays are sold; None where the size is unknown."""
    if width_mm is None or height_mm is None:
        return None
    return math.hypot(width_mm, height_mm) / MM_PER_INCH


def diagonal_words(display: Display) -> str:
    """The diagonal of a display: ``27 in``; empty where its size is unknown."""
    inches = diagonal_inches(display.width_mm, display.height_mm)
    return "" if inches is None else inches_words(inches)


def inches_words(inches: float, places: int = 1) -> Phrase:
    """A length that is sold in inches: ``27 in``."""
    return say("{inches} in", inches=number(inches, places))


def display_words(display: Display) -> str:
    """A display by its diagonal and pixels: ``27 in, 2560 × 1440 px``."""
    pixels = f"{display.width_px} × {display.height_px} px"
    diagonal = diagonal_words(display)
    if not diagonal:
        return say("{pixels}, size not given", pixels=pixels)
    return row_of([diagonal, pixels])
