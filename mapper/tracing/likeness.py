"""Which outline a line resembles: circle, square or rectangle, each seen through a map."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from mapper.problems import EvenstrokeError
from mapper.tracing.measure import find_trace
from mapper.tracing.outline import Array, KnownOutline, Placed
from mapper.tracing.outline_fit import settle

# Sides of a square that a map stretches by more than this are taken for a rectangle's.
_SQUARE = 1.15
# No more points than this are asked.
_ASKED = 1500
# Points farther off than this share of the outline's size are another stroke's.
_NEAR = 0.15
_SECTORS = 48


@dataclass(frozen=True, slots=True)
class Likeness:
    """How well an outline fits a line.

    ``off`` is the root mean square of the distances as a share of the outline's size, ``on_it`` the
    share of the points that are near, ``covered`` the share of the way round that has such points;
    ``name`` is "circle", "square" or "rectangle".
    """

    name: str
    placed: Placed
    off: float
    on_it: float
    covered: float


def likeness(points_px: Array, placed: Placed, thick_px: float = 0.0) -> Likeness:
    """How well the points (n, 2) of a line lie on an outline.

    What the thickness ``thick_px`` of the line alone makes of the distances is subtracted.
    """
    points = points_px[:: max(1, len(points_px) // _ASKED)]
    size = placed.size_px
    distances, feet_mm, _ = placed.feet(points)
    near = np.abs(distances) < _NEAR * size
    sectors = (placed.shares(feet_mm[near]) * _SECTORS).astype(int) % _SECTORS
    across, down = np.hypot(*placed.matrix) * (placed.outline.width_mm, placed.outline.height_mm)
    if placed.outline.is_circle:
        name = "circle"
    elif max(across, down) < _SQUARE * min(across, down):
        name = "square"
    else:
        name = "rectangle"
    # Points spread evenly across a stroke vary by a twelfth of its squared width.
    spread = float(np.mean(distances[near] ** 2)) - thick_px**2 / 12 if near.any() else np.inf
    return Likeness(
        name,
        placed,
        float(np.sqrt(max(spread, 0.0))) / size,
        float(near.mean()),
        len(np.unique(sectors)) / _SECTORS,
    )


def other_likeness(
    points_px: Array, outline: KnownOutline, near_px: float, thick_px: float = 0.0
) -> Likeness | None:
    """How well the points (n, 2) lie on the other kind of outline; None where on none.

    Any ellipse for a rectangle, any parallelogram for a circle.
    """
    try:
        other = KnownOutline(50, 50) if outline.is_circle else KnownOutline.circle(50)
        start = find_trace(points_px, other, near_px=near_px)
        return likeness(points_px, settle(points_px, start, "free", floor_px=near_px / 4), thick_px)
    except (EvenstrokeError, np.linalg.LinAlgError):
        return None
