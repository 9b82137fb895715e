"""How exactly a profile is written.

Its numbers can be read aloud, and its map is computed from no others.

Lengths, pixels, percentages and angles are written to a millionth of their unit, factors and
matrices to nine significant digits. What was described is kept as it was described where that is
exact: a diagonal or a resolution in inches, a part of the tablet in percent or counts.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any, TypeVar

from mapper.desk import Desktop, Display, Tablet
from mapper.rect import Rect
from mapper.units import exact_decimal

if TYPE_CHECKING:
    from mapper.mapping.solve import MapRequest
    from mapper.seat import Seat

T = TypeVar("T", Display, "Seat", Tablet)

_PLACES = 6
_DIGITS = 9
#: No digit of a matrix beyond this place means anything: it is the rounding of numbers in the
#: thousands.
_LAST_PLACE = 12
_FACTORS = frozenset(
    {
        "scale_x",
        "scale_y",
        "stretch",
        "areal_scale",
        "scale_factor",
        "largest_sure_scale",
        "wanted_scale_factor",
    }
)
#: Under these keys every number is a factor.
_MATRICES = frozenset({"matrix", "whole_map", "built_mm_to_desktop_px", "seen_mm_to_desktop_px"})


def _is_factor(name: str) -> bool:
    """Whether the numbers under the key ``name`` say how much of one thing goes with another."""
    return name in _FACTORS or name in _MATRICES or "_per_" in name


def length(value: float) -> float:
    """``value`` to a millionth."""
    return round(value, _PLACES) + 0.0


def factor(value: float) -> float:
    """``value`` to nine significant digits."""
    return round(float(f"{value:.{_DIGITS}g}"), _LAST_PLACE) + 0.0


def inches(value_mm: float) -> float | None:
    """The inches, to a millionth, that ``value_mm`` is exactly; None where there are none."""
    value_in = length(value_mm / 25.4)
    return value_in if exact_decimal(f"{value_in:.{_PLACES}f}", 254, 10) == value_mm else None


def per_inch(counts_per_mm: float) -> float | None:
    """The counts per inch, to a millionth, that ``counts_per_mm`` is exactly.

    None where there are none.
    """
    counts_per_in = length(counts_per_mm * 25.4)
    return (
        counts_per_in
        if exact_decimal(f"{counts_per_in:.{_PLACES}f}", 10, 254) == counts_per_mm
        else None
    )


def rect_as_described(rect_mm: Rect, tablet: Tablet) -> tuple[str, Rect]:
    """The first unit in which the numbers of ``rect_mm`` are exact to a millionth, and they.

    Millimetres where there is none.
    """
    if rect_mm == _rect_to_millionths(rect_mm):
        return "mm", rect_mm
    # Exact fractions are imported for what few profiles have.
    from mapper.mapping.forms import TypedRect, rect_forms
    from mapper.units import as_typed

    active_mm = tablet.active_built_mm
    for unit, form in rect_forms(rect_mm, active_mm, tablet.counts_per_mm).items():
        sides = Rect(*(length(side) for side in (form.left, form.top, form.width, form.height)))
        numbers = (
            as_typed(sides.left),
            as_typed(sides.top),
            as_typed(sides.width),
            as_typed(sides.height),
        )
        typed = TypedRect(numbers, unit)
        if typed.rect_mm(active_mm, tablet.counts_per_mm, "area") == rect_mm:
            return unit, sides
    return "mm", rect_mm


def as_written(request: MapRequest) -> MapRequest:
    """``request`` with each number as a profile holds it.

    The very same object where a profile holds them all as they are.
    """
    tablet, feel = request.tablet, request.feel
    written_tablet = _to_millionths(tablet, "width_mm", "height_mm", "slant_deg")
    if tablet.counts_per_mm is not None and per_inch(tablet.counts_per_mm) is None:
        written_tablet = replace(written_tablet, counts_per_mm=factor(tablet.counts_per_mm))
    within, area = request.within_built_mm, request.area_built_mm
    window_px = request.window_px
    return replace(
        request,
        tablet=written_tablet,
        desktop=Desktop(tuple(_display(display) for display in request.desktop.displays)),
        window_px=None if window_px is None else _inside(window_px, request.desktop.rect_px),
        feel=None
        if feel is None
        else replace(feel, scale_x=factor(feel.scale_x), scale_y=factor(feel.scale_y)),
        within_built_mm=None if within is None else _part(within, written_tablet),
        area_built_mm=None if area is None else _part(area, written_tablet),
    )


def seat_as_written(seat: Seat) -> Seat:
    """``seat`` with each number as a profile holds it."""
    return _to_millionths(seat, "distance_mm", "top_below_eyes_mm", "tilt_deg", "curve_radius_mm")


def _to_millionths(described: T, *names: str) -> T:
    """``described`` with its numbers of these ``names`` to a millionth.

    What is not known stays unknown.
    """
    rounded: dict[str, Any] = {
        name: length(value) for name in names if (value := getattr(described, name)) is not None
    }
    return replace(described, **rounded)


def _display(display: Display) -> Display:
    display = replace(_to_millionths(display, "bezel_mm"), zoom=factor(display.zoom))
    if display.diagonal_mm is not None:
        exact = inches(display.diagonal_mm) is not None
        diagonal_mm = display.diagonal_mm if exact else length(display.diagonal_mm)
        return display.with_diagonal(diagonal_mm)
    return _to_millionths(display, "width_mm", "height_mm")


def _part(rect_mm: Rect, tablet: Tablet) -> Rect:
    unit, _ = rect_as_described(rect_mm, tablet)
    return rect_mm if unit != "mm" else _inside(rect_mm, tablet.active_built_mm)


def _inside(rect: Rect, whole: Rect) -> Rect:
    """``rect`` to a millionth, and within ``whole`` as it was.

    An edge that rounding takes over the edge of ``whole`` goes back to it.
    """
    rounded = _rect_to_millionths(rect)
    spare = 1.5 * 10**-_PLACES
    over_x, over_y = rounded.right - whole.right, rounded.bottom - whole.bottom
    width = rounded.width - over_x if 0 < over_x < spare else rounded.width
    height = rounded.height - over_y if 0 < over_y < spare else rounded.height
    return Rect(rounded.left, rounded.top, length(width), length(height))


def _rect_to_millionths(rect: Rect) -> Rect:
    # A side that is next to nothing stays what it is: no side is 0.
    return Rect(
        length(rect.left),
        length(rect.top),
        length(rect.width) or rect.width,
        length(rect.height) or rect.height,
    )


def written(data: Any, key: str = "") -> Any:
    """Plain data that follows from a map, with each number as a profile holds it."""
    if isinstance(data, dict):
        return {
            name: written(value, key if key in _MATRICES else name) for name, value in data.items()
        }
    if isinstance(data, (list, tuple)):
        return type(data)(written(value, key) for value in data)
    if isinstance(data, float):
        return factor(data) if _is_factor(key) else length(data)
    return data


def last_digit(value: float, path: tuple[str | int, ...]) -> float:
    """What one more in the last written digit of the number at ``path`` adds."""
    if not any(isinstance(step, str) and _is_factor(step) for step in path):
        return 10.0**-_PLACES
    if not value:
        return 10.0**-_LAST_PLACE
    return max(10.0 ** (math.floor(math.log10(abs(value))) - _DIGITS + 1), 10.0**-_LAST_PLACE)
