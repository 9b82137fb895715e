"""An axis-aligned rectangle. Its frame and unit are those of the name it is kept under."""

from __future__ import annotations

import math
from dataclasses import dataclass

from mapper.units import finite, positive


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle of positive size, y down.

    The caller's name for it says frame and unit (``area_built_mm``). Raises RequestError for
    numbers that are not finite and for a width or height not above zero.

    >>> Rect(10, 20, 240, 135).centre
    (130.0, 87.5)
    >>> Rect(0, 0, 100, 50).overlap(Rect(80, 10, 100, 50))
    Rect(left=80.0, top=10.0, width=20.0, height=40.0)
    """

    left: float
    top: float
    width: float
    height: float

    def __post_init__(self) -> None:
        object.__setattr__(self, "left", finite(self.left, "left"))
        object.__setattr__(self, "top", finite(self.top, "top"))
        object.__setattr__(self, "width", positive(self.width, "width"))
        object.__setattr__(self, "height", positive(self.height, "height"))

    @classmethod
    def enclosing(cls, *rects: Rect) -> Rect:
        """The smallest rectangle that holds all of ``rects`` (at least one)."""
        left, top = min(rect.left for rect in rects), min(rect.top for rect in rects)
        right, bottom = max(rect.right for rect in rects), max(rect.bottom for rect in rects)
        return cls(left, top, right - left, bottom - top)

    @classmethod
    def about(cls, centre: tuple[float, float], width: float, height: float) -> Rect:
        """The rectangle of this size with its middle at ``centre``."""
        return cls(centre[0] - width / 2, centre[1] - height / 2, width, height)

    @property
    def right(self) -> float:
        return self.left + self.width

    @property
    def bottom(self) -> float:
        return self.top + self.height

    @property
    def centre(self) -> tuple[float, float]:
        return self.left + self.width / 2, self.top + self.height / 2

    @property
    def corners(self) -> tuple[tuple[float, float], ...]:
        """Top left, top right, bottom right, bottom left: clockwise as seen."""
        left, top, right, bottom = self.left, self.top, self.right, self.bottom
        return (left, top), (right, top), (right, bottom), (left, bottom)

    def box_turned(self, angle_deg: float) -> Rect:
        """The box around this rectangle once it is turned by ``angle_deg`` about its own centre."""
        if not angle_deg:
            return self
        return Rect.about(self.centre, *turned_extent(self.width, self.height, angle_deg))

    def overlap(self, other: Rect) -> Rect | None:
        """The rectangle that both share, or None; touching edges share none."""
        left, top = max(self.left, other.left), max(self.top, other.top)
        width, height = min(self.right, other.right) - left, min(self.bottom, other.bottom) - top
        return Rect(left, top, width, height) if width > 0 and height > 0 else None

    def holds(self, other: Rect, slack: float = 0.0) -> bool:
        """Whether ``other`` lies inside, edges included.

        ``slack`` is how far it may stick out, in this rectangle's own unit.
        """
        return (
            other.left >= self.left - slack
            and other.top >= self.top - slack
            and other.right <= self.right + slack
            and other.bottom <= self.bottom + slack
        )


def turned_extent(width: float, height: float, angle_deg: float) -> tuple[float, float]:
    """Width and height of the box around a rectangle turned by ``angle_deg``.

    ``w·|cos| + h·|sin|`` by ``w·|sin| + h·|cos|``, in the unit of ``width`` and ``height``.

    >>> turned_extent(240, 152, 0)
    (240.0, 152.0)
    """
    cosine, sine = abs(math.cos(math.radians(angle_deg))), abs(math.sin(math.radians(angle_deg)))
    return width * cosine + height * sine, width * sine + height * cosine
