"""Many points through one map. The only module of this package that imports numpy."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Any

import numpy as np

from mapper.problems import Problem, RequestError, quoted

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

Row = tuple[float, float, float]

# 512 KB of points: what one block reads, writes and keeps beside stays in a core's own cache.
BLOCK = 32_768
# Below this a second thread costs more than it saves.
SHARED_FROM = 16 * BLOCK
MOST_THREADS = 4


def map_points(points: ArrayLike, x_row: Row, y_row: Row) -> NDArray[Any]:
    """``points`` of shape (..., 2) through the map of these two rows: a new float64 array of the same shape.

    With ``x_row`` (a, b, c) and ``y_row`` (d, e, f): ``x' = a·x + b·y + c``, ``y' = d·x + e·y + f``, summed from
    left to right, so that every point is to the last bit what it would be alone. Raises RequestError where
    the points are no numbers or the last axis is not 2 long.
    """
    try:
        given = np.asarray(points, dtype=np.float64)
    except (TypeError, ValueError) as error:
        raise RequestError(Problem("points", "must be an array of numbers", quoted(str(error)))) from None
    if given.ndim == 0 or given.shape[-1] != 2:
        raise RequestError(Problem("points", "must be an array of shape (..., 2)", f"shape {given.shape}"))
    mapped = np.empty(given.shape)
    flat, flat_mapped = given.reshape(-1, 2), mapped.reshape(-1, 2)
    starts = range(0, len(flat), BLOCK)
    threads = min(MOST_THREADS, os.cpu_count() or 1) if len(flat) >= SHARED_FROM else 1

    def work(thread: int) -> None:
        product = np.empty(min(BLOCK, len(flat)))
        for start in starts[thread::threads]:
            _map_block(flat[start : start + BLOCK], flat_mapped[start : start + BLOCK], (x_row, y_row), product)

    if threads == 1:
        work(0)
    else:
        # numpy lets go of the interpreter inside each pass, so threads share the work in earnest.
        from concurrent.futures import ThreadPoolExecutor

        with ThreadPoolExecutor(threads) as pool:
            list(pool.map(work, range(threads)))
    return mapped


def _map_block(points: NDArray[Any], mapped: NDArray[Any], rows: tuple[Row, Row], product: NDArray[Any]) -> None:
    """One block, column by column: long inner loops, and no array that leaves the cache."""
    product = product[: len(points)]
    x, y = points[:, 0], points[:, 1]
    for column, (per_x, per_y, offset) in enumerate(rows):
        result = mapped[:, column]
        np.multiply(x, per_x, out=result)
        np.multiply(y, per_y, out=product)
        result += product
        result += offset
