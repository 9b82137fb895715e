"""A wanted feel: so many mm on the glass for one mm of hand, found by a smaller area or a smaller window."""

from __future__ import annotations

import math
from dataclasses import dataclass

from mapper.mapping.fits import place
from mapper.problems import Problem, RequestError
from mapper.rect import Rect
from mapper.units import SAME_SCALE, positive

Fitted = tuple[Rect, Rect]


@dataclass(frozen=True, slots=True)
class Feel:
    """How far the pen goes on the glass for 1 mm of hand, along the screen's x and y (mm per mm).

    Equal ones are a scale factor; unequal ones are the feel of a stretched map. ``of`` names the workstation
    whose feel it is, empty where a number was asked for.
    """

    scale_x: float
    scale_y: float
    of: str = ""

    def __post_init__(self) -> None:
        for name in ("scale_x", "scale_y"):
            object.__setattr__(self, name, positive(getattr(self, name), "scale"))


def felt(
    locked: Fitted, cropped: Fitted, fit: str, hold: str, feel: Feel, *, x_mm_per_px: float, y_mm_per_px: float
) -> Fitted:
    """The area (mm) and the screen (px) that have this feel with this ``fit``.

    ``locked`` and ``cropped`` are what the two fits make with a pixel pitch that is divided by the feel: as large
    as can be, and off the wanted feel by one common factor. ``locked`` is met by a smaller area, which makes the
    scale larger, ``cropped`` by a smaller window, which makes it smaller. Raises RequestError, with the range that
    is possible and the nearest choice, where the fit cannot have it.
    """
    least = _times(locked, feel, x_mm_per_px)
    most = _times(cropped, feel, x_mm_per_px)
    if fit == "locked" and least <= 1 + SAME_SCALE:
        area, screen = locked
        if least >= 1 - SAME_SCALE:
            return locked
        width_mm, height_mm = screen.width * x_mm_per_px / feel.scale_x, screen.height * y_mm_per_px / feel.scale_y
        return place(area, width_mm, height_mm, hold), screen
    if fit == "cropped" and most >= 1 - SAME_SCALE:
        area, screen = cropped
        if most <= 1 + SAME_SCALE:
            return cropped
        width_px, height_px = area.width * feel.scale_x / x_mm_per_px, area.height * feel.scale_y / y_mm_per_px
        return area, place(screen, width_px, height_px, hold)
    raise RequestError(_refusal(least, most, fit, feel))


def trimmed_both(
    source: Rect, target: Rect, hold: str, feel: Feel, *, x_mm_per_px: float, y_mm_per_px: float
) -> Fitted:
    """The largest area and screen of this feel, whatever has to be trimmed for it: each side as far as it goes.

    ``min(W, T / s)`` on the tablet and s times that on the screen: what ``locked`` gives where the scale is at least
    its own, what ``cropped`` gives where it is at most its own, and between the two a part of either.
    """
    width_mm = min(source.width, target.width * x_mm_per_px / feel.scale_x)
    height_mm = min(source.height, target.height * y_mm_per_px / feel.scale_y)
    width_px = min(target.width, source.width * feel.scale_x / x_mm_per_px)
    height_px = min(target.height, source.height * feel.scale_y / y_mm_per_px)
    return place(source, width_mm, height_mm, hold), place(target, width_px, height_px, hold)


def _times(fitted: Fitted, feel: Feel, x_mm_per_px: float) -> float:
    """The scale of a fitted map over the wanted one."""
    area, screen = fitted
    return screen.width * x_mm_per_px / area.width / feel.scale_x


def _refusal(least: float, most: float, fit: str, feel: Feel) -> Problem:
    """Why this feel cannot be had, what can, and what to ask for instead."""
    from_locked = f"{_scale(feel, least, math.ceil)} or more"
    to_cropped = f"{_scale(feel, most, math.floor)} or less"
    came = f"{feel.scale_x:g}" if feel.scale_x == feel.scale_y else f"{feel.scale_x:g} across by {feel.scale_y:g} down"
    if fit == "full":
        must = f"must be asked of a fit that trims; locked allows {from_locked}, cropped {to_cropped}"
        return Problem("scale", must, came)
    if fit == "locked":
        must = f"must be {from_locked} with fit locked, which keeps the whole target"
        other = f"fit cropped, which trims the target, allows {to_cropped}"
        nearest = _scale(feel, least, math.ceil)
    else:
        must = f"must be {to_cropped} with fit cropped, which keeps the whole tablet"
        other = f"fit locked, which trims the tablet, allows {from_locked}"
        nearest = _scale(feel, most, math.floor)
    return Problem("scale", must, came, f"The nearest is {nearest}; {other}")


def _scale(feel: Feel, times: float, towards: object) -> str:
    """A scale that can be had, in four decimals, rounded to the side on which it can be had."""
    across, down = (f"{towards(scale * times * 1e4) / 1e4:g}" for scale in (feel.scale_x, feel.scale_y))  # type: ignore[operator]
    return across if feel.scale_x == feel.scale_y else f"{across} across by {down} down"
