"""One rectangle in every form that a driver's settings could ask for."""

from __future__ import annotations

from dataclasses import dataclass

from mapper.rect import Rect
from mapper.units import MM_PER_INCH

__all__ = ["UNITS", "RectForm", "rect_forms"]

UNITS = ("mm", "inch", "percent", "counts")


@dataclass(frozen=True, slots=True)
class RectForm:
    """A rectangle of the tablet in one unit: enough numbers for any form that asks for four of them.

    Distances from the left and the top edge of the active area; ``up_from_bottom`` is the distance of the
    lower edge from the bottom of the active area, for forms whose origin is the bottom left.
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
        """``rect`` within ``active`` (one frame, mm), each x times ``times / over_x``, each y times ``times / over_y``.

        Multiplied first and divided after, so that what is whole stays whole.
        """
        centre_x, centre_y = rect.centre
        return cls(
            left=rect.left * times / over_x,
            top=rect.top * times / over_y,
            right=rect.right * times / over_x,
            bottom=rect.bottom * times / over_y,
            width=rect.width * times / over_x,
            height=rect.height * times / over_y,
            centre_x=centre_x * times / over_x,
            centre_y=centre_y * times / over_y,
            up_from_bottom=(active.height - rect.bottom) * times / over_y,
        )


def rect_forms(rect_mm: Rect, active_mm: Rect, counts_per_mm: float | None = None) -> dict[str, RectForm]:
    """``rect_mm`` in mm, inches, percent of ``active_mm`` and, where the resolution is known, device counts.

    Both rectangles in the same frame, ``active_mm`` at the origin. Nothing is rounded. An inch is 25.4 mm.
    Percentages of x are of the active width, of y of the active height.
    """
    forms = {
        "mm": RectForm.of(rect_mm, active_mm, 1.0, 1.0, 1.0),
        "inch": RectForm.of(rect_mm, active_mm, 1.0, MM_PER_INCH, MM_PER_INCH),
        "percent": RectForm.of(rect_mm, active_mm, 100.0, active_mm.width, active_mm.height),
    }
    if counts_per_mm is not None:
        forms["counts"] = RectForm.of(rect_mm, active_mm, counts_per_mm, 1.0, 1.0)
    return forms
