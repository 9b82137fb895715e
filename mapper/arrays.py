"""Many points through one map. The only module of this package that imports numpy."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from mapper.problems import Problem, RequestError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

__all__ = ["map_points"]

Row = tuple[float, float, float]


def map_points(points: ArrayLike, x_row: Row, y_row: Row) -> NDArray[Any]:
    """``points`` of shape (..., 2) through the map of these two rows: a new float64 array of the same shape.

    ``x' = x_row · (x, y, 1)``, ``y' = y_row · (x, y, 1)``. Raises RequestError where the last axis is not 2 long.
    """
    given = np.asarray(points, dtype=np.float64)
    if given.ndim == 0 or given.shape[-1] != 2:
        raise RequestError(Problem("points", "must be an array of shape (..., 2)", f"shape {given.shape}"))
    mapped: NDArray[Any] = given @ np.array([x_row[:2], y_row[:2]]).T
    mapped += (x_row[2], y_row[2])
    return mapped
