"""Lengths, sizes and displays as a person reads them in a picture."""

from __future__ import annotations

import math

from mapper.desk import Display
from mapper.distortion import Distortion
from mapper.problems import Problem, RequestError, quoted
from mapper.units import MM_PER_INCH
from render.sentences.words import ROUND_PERCENT, number

LENGTH_UNITS = ("mm", "in")


def bare_length(value_mm: float, units: str = "mm") -> str:
    """A length to a tenth of a mm or a hundredth of an inch, without its unit.

    Raises RequestError for a unit other than mm and in.
    """
    if units not in LENGTH_UNITS:
        raise RequestError(Problem("units", "must be mm or in", quoted(units)))
    return number(value_mm, 1) if units == "mm" else number(value_mm / MM_PER_INCH, 2)


def length(value_mm: float, units: str = "mm") -> str:
    """``135 mm``, ``4.96 in``."""
    return f"{bare_length(value_mm, units)} {units}"


def size(width_mm: float, height_mm: float, units: str = "mm") -> str:
    """``240 × 135 mm``."""
    return f"{bare_length(width_mm, units)} × {bare_length(height_mm, units)} {units}"


def display_words(display: Display) -> str:
    """``27 in, 2560 × 1440 px``: the diagonal in inches, as displays are sold; the pixels alone
    where it is unknown.
    """
    pixels = f"{display.width_px} × {display.height_px} px"
    if display.width_mm is None or display.height_mm is None:
        return f"{pixels}, size not given"
    return (
        f"{number(math.hypot(display.width_mm, display.height_mm) / MM_PER_INCH, 1)} in, {pixels}"
    )


def shape_words(distortion: Distortion) -> tuple[str, str]:
    """What becomes of a circle's shape, as a number and its way: ``17 %``, ``wider than tall``;
    ``round`` has none.
    """
    longer_percent = (distortion.stretch - 1) * 100
    axis_deg = distortion.longer_axis_deg
    if axis_deg is None or longer_percent < ROUND_PERCENT:
        return "round", ""
    percent = f"{number(longer_percent, 1)} %"
    if axis_deg == 0:
        return percent, "wider than tall"
    if axis_deg == 90:
        return percent, "taller than wide"
    return percent, f"longer along {number(axis_deg, 0)}°"


def circle_words(distortion: Distortion) -> str:
    """What a circle becomes, within a sentence: ``round``, ``17 % wider than tall``."""
    return " ".join(shape_words(distortion)).rstrip()
