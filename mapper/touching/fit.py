"""The affine map of touched crosses by least squares, in closed form, and how sure it is.

A hand misses a cross by as much one way as the other, in mm. A touch is then ``px = M(mm + e)``
with ``e`` of one scatter, and each of ``u = a·x + b·y + c`` and ``v = d·x + e·y + f`` is fitted by
ordinary least squares. With centred sums S of the crosses the slopes have the covariance
``s² S⁻¹``, a place has the variance ``s² (1/n + dᵀ S⁻¹ d)``, d from the crosses' middle. The
scatter s² is the sum of squared residuals in mm over 2n - 6 degrees of freedom (any handbook of
regression; the tests compare with numpy and statsmodels).

The cursor stops at the edge of the screen. Such a touch says nothing of that axis but on which side
of the area the cross lies, so each axis is fitted to the touches that are free on it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from mapper.affine import Affine

if TYPE_CHECKING:
    from collections.abc import Sequence

#: Crosses whose least spread is below this lie along one line, mm (one standard deviation).
LEAST_SPREAD_MM = 5.0


class Touch(NamedTuple):
    """One touch: the cross on the tablet, built mm, and where the cursor went, desktop px.

    ``x_free`` and ``y_free`` say whether the cursor was free there, and not held at an edge.
    """

    x_mm: float
    y_mm: float
    x_px: float
    y_px: float
    x_free: bool = True
    y_free: bool = True


class Spread(NamedTuple):
    """How the crosses of one axis lie: how many, their middle, mm, and the inverse of S."""

    touches: int
    x_mm: float
    y_mm: float
    xx: float
    xy: float
    yy: float

    def slope_variance(self, x: float, y: float) -> float:
        """The variance of the slope along the direction (x, y), for a scatter of 1."""
        return self.xx * x * x + 2 * self.xy * x * y + self.yy * y * y

    def variance_at(self, x_mm: float, y_mm: float) -> float:
        """The variance of the fitted map at this place, for a scatter of 1."""
        return 1 / self.touches + self.slope_variance(x_mm - self.x_mm, y_mm - self.y_mm)


@dataclass(frozen=True, slots=True)
class TouchFit:
    """The map of the touches, built mm to desktop px, and how sure it is.

    ``x_spread`` and ``y_spread`` are of the touches that are free along the screen's x and y.
    ``scatter_mm`` is one standard deviation of a touch, along one axis; ``freedom`` its degrees of
    freedom, 2n - 6 where all touches are free.
    """

    to_px: Affine
    x_spread: Spread
    y_spread: Spread
    scatter_mm: float
    freedom: int

    def missed_mm(self, touch: Touch) -> tuple[float, float]:
        """How far the touch lies from the map, mm along the screen's x and y; 0 where held."""
        x_px, y_px = self.to_px.point(touch.x_mm, touch.y_mm)
        x = (touch.x_px - x_px) / math.hypot(self.to_px.a, self.to_px.b)
        y = (touch.y_px - y_px) / math.hypot(self.to_px.d, self.to_px.e)
        return x * touch.x_free, y * touch.y_free


def on_one_line(touches: Sequence[Touch]) -> bool:
    """Whether the crosses lie along one line, or all at one place."""
    return _spread(touches) is None


def fit_touches(touches: Sequence[Touch]) -> TouchFit | None:
    """The map of the touches by least squares, or None where they do not give one.

    >>> crosses = [(25, 25), (215, 25), (25, 127), (215, 127)]
    >>> found = fit_touches([Touch(x, y, 10 * x, 10 * y - 85) for x, y in crosses])
    >>> [round(each, 6) + 0.0 for each in found.to_px.linear], found.freedom
    ([10.0, 0.0, 0.0, 10.0], 2)
    """
    x_free = [touch for touch in touches if touch.x_free]
    y_free = [touch for touch in touches if touch.y_free]
    x_spread = _spread(x_free)
    y_spread = x_spread if y_free == x_free else _spread(y_free)
    if x_spread is None or y_spread is None:
        return None
    x_row = _line(x_spread, x_free, [touch.x_px for touch in x_free])
    y_row = _line(y_spread, y_free, [touch.y_px for touch in y_free])
    if not (math.hypot(*x_row[:2]) > 0 and math.hypot(*y_row[:2]) > 0):
        return None
    fit = TouchFit(Affine(*x_row, *y_row), x_spread, y_spread, 0.0, len(x_free) + len(y_free) - 6)
    if fit.freedom < 1:
        return fit
    squares = sum(x * x + y * y for x, y in map(fit.missed_mm, touches))
    scatter_mm = math.sqrt(squares / fit.freedom)
    return TouchFit(fit.to_px, x_spread, y_spread, scatter_mm, fit.freedom)


def _spread(touches: Sequence[Touch]) -> Spread | None:
    count = len(touches)
    if count < 3:
        return None
    x_mm = sum(touch.x_mm for touch in touches) / count
    y_mm = sum(touch.y_mm for touch in touches) / count
    xx = sum((touch.x_mm - x_mm) ** 2 for touch in touches)
    xy = sum((touch.x_mm - x_mm) * (touch.y_mm - y_mm) for touch in touches)
    yy = sum((touch.y_mm - y_mm) ** 2 for touch in touches)
    # The smaller root of S: the square sum across the line on which the crosses nearly lie.
    least = (xx + yy) / 2 - math.hypot((xx - yy) / 2, xy)
    if least < count * LEAST_SPREAD_MM**2:
        return None
    determinant = xx * yy - xy * xy
    return Spread(count, x_mm, y_mm, yy / determinant, -xy / determinant, xx / determinant)


def _line(
    spread: Spread, touches: Sequence[Touch], values: Sequence[float]
) -> tuple[float, float, float]:
    middle = sum(values) / len(values)
    along_x = sum(
        (touch.x_mm - spread.x_mm) * (value - middle)
        for touch, value in zip(touches, values, strict=True)
    )
    along_y = sum(
        (touch.y_mm - spread.y_mm) * (value - middle)
        for touch, value in zip(touches, values, strict=True)
    )
    a = spread.xx * along_x + spread.xy * along_y
    b = spread.xy * along_x + spread.yy * along_y
    return a, b, middle - a * spread.x_mm - b * spread.y_mm
