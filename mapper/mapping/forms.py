"""One rectangle in every form that a driver's settings could ask for, and back from any one of
them.

Numbers are freed of the last digit's rounding: 12.3 and not 12.300000000000001 percent.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from mapper.problems import Problem, RequestError
from mapper.rect import Rect
from mapper.units import MM_PER_INCH, as_typed

if TYPE_CHECKING:
    from fractions import Fraction

UNITS = ("mm", "inch", "percent", "counts")

#: What the four numbers of a form may be: a corner and a size, two corners, or the centre and a
#: size.
SHAPES = ("size", "corners", "centre")

#: Enough places for any driver's form, and no more than a person can type: a micrometre, a
#: ten-thousandth of an inch.
FORM_PLACES = {"mm": 3, "inch": 4, "percent": 3, "counts": 1}

# No form has more places, and a number within a few roundings of one with at most nine is that
# number.
_PLACES = 9
_ROUNDINGS = 4e-15


class TypedRect(NamedTuple):
    """A rectangle as somebody reads it off a form: four exact numbers and what they mean.

    ``numbers`` are x, y, width, height for the shapes ``size`` (x, y is the corner at the origin)
    and ``centre``; for ``corners`` x, y, and the x, y of the opposite corner. ``unit`` is one of
    UNITS. ``from_bottom`` puts the origin at the bottom left, with y running up.
    """

    numbers: tuple[Fraction, Fraction, Fraction, Fraction]
    unit: str
    shape: str = "size"
    from_bottom: bool = False

    def rect_mm(self, active_mm: Rect, counts_per_mm: float | None, where: str) -> Rect:
        """It as a rectangle of the frame of ``active_mm``, each number converted exactly and
        rounded once.

        Raises RequestError, naming ``where``, for counts without a resolution and for a size not
        above zero.
        """
        x_mm, y_mm = unit_mm(self.unit, active_mm, counts_per_mm, where)
        left, top, third, fourth = (
            number * unit
            for number, unit in zip(self.numbers, (x_mm, y_mm, x_mm, y_mm), strict=True)
        )
        if self.shape == "corners":
            width, height = third - left, fourth - top
        else:
            width, height = third, fourth
        if self.shape == "centre":
            left, top = left - width / 2, top - height / 2
        if width <= 0 or height <= 0:
            raise RequestError(Problem(where, "must have a width and a height above 0"))
        if self.from_bottom:
            top = as_typed(active_mm.height) - top - height
        return Rect(float(left), float(top), float(width), float(height))


def unit_mm(
    unit: str, active_mm: Rect, counts_per_mm: float | None, where: str
) -> tuple[Fraction, Fraction]:
    """One ``unit`` along x and y, in mm, exactly.

    Raises RequestError, naming ``where``, for counts without a resolution.
    """
    if unit == "percent":
        return as_typed(active_mm.width) / 100, as_typed(active_mm.height) / 100
    if unit == "counts":
        return (1 / as_typed(known_resolution(counts_per_mm, where)),) * 2
    return (as_typed(MM_PER_INCH if unit == "inch" else 1.0),) * 2


def known_resolution(counts_per_mm: float | None, where: str) -> float:
    """``counts_per_mm``. Raises RequestError, naming ``where``, where it is not known."""
    if counts_per_mm is None:
        instead = "Add it to the tablet, for example @150/mm"
        raise RequestError(Problem(where, "counts need the tablet's resolution", instead=instead))
    return counts_per_mm


@dataclass(frozen=True, slots=True)
class RectForm:
    """A rectangle of the tablet in one unit: enough numbers for any form that asks for four of
    them.

    Distances from the left and the top edge of the active area; ``up_from_bottom`` is the distance
    of the lower edge from the bottom of the active area, for forms whose origin is the bottom left.
    """

    left: float
    top: float
    right: float
    bottom: float
    width: float
    height: float
    centre_x: float
    centre_y: float
    up_from_bottom: float

    @classmethod
    def of(cls, rect: Rect, active: Rect, times: float, over_x: float, over_y: float) -> RectForm:
        """``rect`` within ``active`` (one frame, mm), each x times ``times / over_x``, each y times
        ``times / over_y``.

        Multiplied first and divided after, and freed of the last digit's rounding, so that what is
        whole stays whole.
        """

        def x(value: float) -> float:
            return _freed(value * times / over_x, active.width * times / over_x)

        def y(value: float) -> float:
            return _freed(value * times / over_y, active.height * times / over_y)

        centre_x, centre_y = rect.centre
        in_mm = times == over_x == over_y == 1.0
        return cls(
            # In mm these four are the rectangle itself, to the last bit.
            left=rect.left if in_mm else x(rect.left),
            top=rect.top if in_mm else y(rect.top),
            right=x(rect.right),
            bottom=y(rect.bottom),
            width=rect.width if in_mm else x(rect.width),
            height=rect.height if in_mm else y(rect.height),
            centre_x=x(centre_x),
            centre_y=y(centre_y),
            up_from_bottom=y(active.height - rect.bottom),
        )


def _freed(value: float, whole: float) -> float:
    """``value``, or the number of few places that it differs from by nothing but rounding;
    ``whole`` is the full side.
    """
    short = round(value, _PLACES) + 0.0
    return short if abs(short - value) <= _ROUNDINGS * whole else value


def rect_forms(
    rect_mm: Rect, active_mm: Rect, counts_per_mm: float | None = None
) -> dict[str, RectForm]:
    """``rect_mm`` in mm, inches, percent of ``active_mm`` and, where the resolution is known,
    device counts.

    Both rectangles in the same frame, ``active_mm`` at the origin. Nothing is rounded. An inch is
    25.4 mm. Percentages of x are of the active width, of y of the active height.
    """
    forms = {
        "mm": RectForm.of(rect_mm, active_mm, 1.0, 1.0, 1.0),
        "inch": RectForm.of(rect_mm, active_mm, 1.0, MM_PER_INCH, MM_PER_INCH),
        "percent": RectForm.of(rect_mm, active_mm, 100.0, active_mm.width, active_mm.height),
    }
    if counts_per_mm is not None:
        forms["counts"] = RectForm.of(rect_mm, active_mm, counts_per_mm, 1.0, 1.0)
    return forms
