"""A wanted scale: so many mm on the glass for one mm of hand.

It is found by a smaller area or a smaller window.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from mapper.mapping.slant import largest_upright
from mapper.phrases import phrase, template
from mapper.problems import Problem, RequestError, refuse_other
from mapper.rect import Rect
from mapper.units import SAME_SCALE, positive

Fitted = tuple[Rect, Rect]


@dataclass(frozen=True, slots=True)
class Feel:
    """A wanted scale along the screen's x and y, in mm on the glass for 1 mm of hand.

    Equal ones are a scale factor; unequal ones are the feel of a stretched map. ``of`` names the
    workstation whose feel it is, empty where a number was asked for. Raises RequestError for a
    scale not above zero.

    >>> from mapper import Desktop, Display, MapRequest, Tablet, solve
    >>> desktop = Desktop((Display(2560, 1440, diagonal_mm=685.8),))
    >>> solved = solve(MapRequest(Tablet(240, 152), desktop, feel=Feel(3, 3)))
    >>> round(solved.summary.scale_factor, 9)
    3.0
    """

    scale_x: float
    scale_y: float
    of: str = ""

    def __post_init__(self) -> None:
        for name in ("scale_x", "scale_y"):
            object.__setattr__(self, name, positive(getattr(self, name), "scale"))
        refuse_other(self.of, str, "of", template("Give the name of a desk"))


def fit_with_feel(
    largest: Fitted,
    locked: Fitted,
    cropped: Fitted,
    fit: str,
    feel: Feel,
    *,
    x_mm_per_px: float,
) -> Fitted:
    """The area (mm) and the screen (px) that have this feel with this ``fit``.

    They are not yet held where they belong.

    ``locked`` and ``cropped`` are what the two fits make with a pixel pitch that is divided by the
    feel: as large as can be, and off the wanted feel by one common factor. A smaller area makes the
    scale larger, so ``locked`` gives its own scale or more; a smaller window makes it smaller, so
    ``cropped`` gives its own or less. Between the two either fit trims both sides: ``largest``, the
    largest area and window of this feel. ``x_mm_per_px`` is the pixel pitch.

    Raises RequestError with what is possible where only the other fit has the scale.
    """
    least = _over_wanted(locked, feel, x_mm_per_px)
    most = _over_wanted(cropped, feel, x_mm_per_px)
    if fit in _FITS and _can_be_had(fit, least, most):
        if fit == "locked" and abs(least - 1) <= SAME_SCALE:
            return locked
        if fit == "cropped" and abs(most - 1) <= SAME_SCALE:
            return cropped
        return largest
    raise RequestError(_refusal(least, most, fit, feel))


_FITS = ("locked", "cropped")


def _can_be_had(fit: str, least: float, most: float) -> bool:
    """Whether ``fit`` has a scale of which its own is ``least`` (locked) or ``most`` (cropped).

    Both are over the wanted scale.
    """
    if fit == "locked":
        return abs(least - 1) <= SAME_SCALE or most < 1 - SAME_SCALE
    return abs(most - 1) <= SAME_SCALE or least > 1 + SAME_SCALE


def largest_with_feel(
    source: Rect,
    target: Rect,
    feel: Feel,
    slant_deg: float,
    *,
    x_mm_per_px: float,
    y_mm_per_px: float,
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Width and height of the largest area (mm) and of the largest screen (px) of this feel.

    Either side may be trimmed. With the target's ``T / s`` on the tablet as limits, the area is the
    largest upright rectangle within the source and the limits, and the screen is s times that: what
    ``locked`` gives where the scale is at least its own, what ``cropped`` gives where it is at most
    its own, and between the two a part of either.
    """
    limit_x = target.width * x_mm_per_px / feel.scale_x
    limit_y = target.height * y_mm_per_px / feel.scale_y
    width_mm, height_mm = largest_upright(source.width, source.height, slant_deg, limit_x, limit_y)
    # A side of the target that is kept is the target's own to the last bit.
    width_px, height_px = target.width, target.height
    if width_mm != limit_x:
        width_px = min(width_px, width_mm * feel.scale_x / x_mm_per_px)
    if height_mm != limit_y:
        height_px = min(height_px, height_mm * feel.scale_y / y_mm_per_px)
    return (width_mm, height_mm), (width_px, height_px)


def _over_wanted(fitted: Fitted, feel: Feel, x_mm_per_px: float) -> float:
    """The scale of a fitted map over the wanted one."""
    area, screen = fitted
    return screen.width * x_mm_per_px / area.width / feel.scale_x


def _refusal(least: float, most: float, fit: str, feel: Feel) -> Problem:
    """Why this feel cannot be had with this fit, and which fit has it.

    The limits that it names can be typed.
    """
    from_locked = _limit_text(feel, least, most, "locked")
    to_cropped = _limit_text(feel, least, most, "cropped")
    came = _both_ways(f"{feel.scale_x:.4g}", f"{feel.scale_y:.4g}")
    if fit == "full":
        must = phrase(
            "works only with fit locked ({from_locked} or more) or fit cropped ({to_cropped} or "
            "less)",
            from_locked=from_locked,
            to_cropped=to_cropped,
        )
        return Problem("scale", must, came)
    if fit == "locked":
        must = phrase("must be at least {from_locked} with fit locked", from_locked=from_locked)
        return Problem(
            "scale",
            must,
            came,
            phrase(
                "Fit cropped allows it: then a part of the display is not used, instead of a part "
                "of the tablet"
            ),
        )
    must = phrase("must be at most {to_cropped} with fit cropped", to_cropped=to_cropped)
    return Problem(
        "scale",
        must,
        came,
        phrase(
            "Fit locked allows it: then a part of the tablet is not used, instead of a part of "
            "the display"
        ),
    )


def _both_ways(across: str, down: str) -> str:
    if across == down:
        return across
    return phrase("{across} across by {down} down", across=across, down=down)


def _limit_text(feel: Feel, least: float, most: float, fit: str) -> str:
    """The least scale that ``locked`` has, or the most that ``cropped`` has, to be typed."""
    # Locked goes down to where cropped begins, and cropped up to where locked begins.
    times, way = (most, 1) if fit == "locked" else (least, -1)
    limits = []
    for scale in (feel.scale_x, feel.scale_y):
        limit = scale * times
        places = max(2, 2 - math.floor(math.log10(limit)))
        tick = 10.0**-places
        text = f"{round(limit, places) - way * tick:.{places}f}"
        while not _reaches(float(text) / scale, fit, least, most):
            text = f"{float(text) + way * tick:.{places}f}"
        limits.append(text.rstrip("0").rstrip("."))
    return _both_ways(*limits)


def _reaches(times: float, fit: str, least: float, most: float) -> bool:
    """Whether ``fit`` has ``times`` the wanted scale."""
    return times > 0 and _can_be_had(fit, least / times, most / times)
