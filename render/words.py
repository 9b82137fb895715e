"""The sentences that say what a map does, for the text, the pictures and the pages alike."""

from __future__ import annotations

from mapper.distortion import Distortion
from mapper.solve import TabletMap

__all__ = ["circle_sentence", "fixed", "map_sentence", "number", "times_as_large"]

#: Below this a circle is called round: a tenth of what people notice (1.5 to 3 %: Regan and Hamstra 1992, from memory).
ROUND_PERCENT = 0.1


def fixed(value: float, places: int) -> str:
    """``value`` with ``places`` decimals, never as -0."""
    text = f"{value:.{places}f}"
    return text.removeprefix("-") if float(text) == 0 else text


def number(value: float, places: int = 2) -> str:
    """``value`` with at most ``places`` decimals, without trailing zeros and never as -0."""
    text = fixed(value, places)
    return text.rstrip("0").rstrip(".") if places else text


def times_as_large(scale: float) -> str:
    """How much larger something comes out, in words."""
    return f"{number(scale)} times as large"


def circle_sentence(distortion: Distortion, *, size_known: bool) -> str:
    """What happens to a drawn circle, in one plain sentence."""
    larger = f", {times_as_large(distortion.areal_scale**0.5)}" if size_known else ""
    oval = abs(distortion.oval_percent)
    if (distortion.stretch - 1) * 100 < ROUND_PERCENT:
        return f"A circle stays round{larger}."
    if oval < ROUND_PERCENT or distortion.longer_axis_deg not in {0.0, 90.0}:
        return f"A circle comes out as an oval, {number((distortion.stretch - 1) * 100, 1)} % longer than wide{larger}."
    # The longer way over the shorter, whichever it is: 25 % taller is what 20 % narrower looks like.
    longer = "wider than tall" if distortion.oval_percent > 0 else "taller than wide"
    return f"A circle comes out oval, {number((distortion.stretch - 1) * 100, 1)} % {longer}{larger}."


def map_sentence(solved: TabletMap) -> str:
    """What the map does to a circle on the display that is to be true."""
    figures = solved.figures_on(solved.reference)
    return circle_sentence(figures.distortion, size_known=figures.size_known)
