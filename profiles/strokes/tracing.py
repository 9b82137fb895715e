"""From a picture of a trace to what it says: the outline found, fitted and checked for being an answer at all."""

from __future__ import annotations

import os
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mapper.affine import Affine
from mapper.problems import Problem, RequestError
from mapper.tracing.measure import AGAIN, Trace, find_trace, measure_trace
from mapper.tracing.outline import KnownOutline, Placed
from mapper.tracing.outline_fit import settle
from profiles.strokes.ink import (
    Picture,
    close_look,
    coarse_ink,
    crossings,
    is_filled,
    open_picture,
    outside_share,
)

if TYPE_CHECKING:
    from mapper.paths import Outline
    from mapper.rect import Rect
    from mapper.tracing.outline import Array

# Below this share of the way round found, a gap is no gap any more.
LEAST_COVERED = 0.6
# Distances from the outline, root mean square, as a share of its size: a hand errs by a few thousandths along a coin's
# edge and by a hundredth freehand; a square taken for a circle is off by five hundredths.
MOST_OFF = 0.03
LEAST_SIZE_PX = 40.0


@dataclass(frozen=True, slots=True)
class Traced:
    """A trace with where it was found: ``points_px`` (n, 2) followed, in upright px of the picture, beside all others there.

    ``picture_to_desktop`` turns upright picture px into desktop px, which the trace is measured in.
    """

    name: str
    trace: Trace
    points_px: Array
    picture: Picture | None
    picture_to_desktop: Affine


def trace_picture(
    path: str, outline: KnownOutline, picture_to_desktop: Affine, *, crop_px: Rect | None = None
) -> Traced:
    """The trace of ``outline`` in the picture at ``path``.

    Raises RequestError where the picture cannot be read or cannot answer, saying what to draw instead.
    """
    picture = open_picture(path, crop_px)
    name = os.path.basename(path)  # noqa: PTH119
    ink = coarse_ink(picture)
    extent = float(np.max(np.ptp(ink.points_px, axis=0))) + ink.spot_px
    # Found upright, so that the long side of a card is the one that lies flat.
    upright = picture.stored_to_upright
    near = max(1.5 * ink.spot_px, 0.01 * extent)
    start = _through(_find(name, upright.points(ink.points_px), outline, near), ~upright)
    size = _size(start)
    reach = 0.09 * size + 2 * ink.spot_px
    close = close_look(picture, ink, start)
    if is_filled(close, start):
        raise RequestError(Problem(name, "the outline must be empty inside", "a filled shape", AGAIN))
    points = np.zeros((0, 2))
    stroke = 0.0
    # Twice: from a better place the lines across the stroke are shorter and squarer to it.
    for narrower in (1.0, 0.6):
        found = crossings(close, start, max(reach * narrower, 2.5 * stroke))
        points, stroke = found.points_px, found.stroke_px
        if len(set(found.rays.tolist())) < 0.35 * found.asked:
            must = f"must show the whole outline of {_kind(outline)}"
            raise RequestError(Problem(name, must, "a part of it, or another shape", _say_what(outline)))
        start = settle(points, start, "free", floor_px=0.25 * close.shrink)
    if outside_share(picture, start) > 0.02:
        raise RequestError(Problem(name, "must show the whole outline", "one that leaves the picture", AGAIN))
    to_desktop = picture_to_desktop @ upright
    mapped = to_desktop.points(points)
    trace = measure_trace(mapped, _through(start, to_desktop))
    _check(name, trace, picture_scale=_scale(to_desktop))
    return Traced(name, trace, upright.points(points), picture, picture_to_desktop)


def trace_points(
    name: str, strokes: list[Array], outline: KnownOutline, picture_to_desktop: Affine, crop_px: Rect | None = None
) -> Traced:
    """The trace of ``outline`` among recorded strokes, each an array (n, 2) of points in upright px.

    Raises RequestError as ``trace_picture`` does.
    """
    points = _evenly(strokes, outline)
    if crop_px is not None:
        low, high = (crop_px.left, crop_px.top), (crop_px.right, crop_px.bottom)
        points = points[((points >= low) & (points <= high)).all(axis=1)]
    if len(points) < 12:
        raise RequestError(Problem(name, "must hold a traced outline", f"{len(points)} points", AGAIN))
    mapped = picture_to_desktop.points(points)
    extent = float(np.max(np.ptp(mapped, axis=0)))
    start = _find(name, mapped, outline, 0.01 * extent)
    trace = measure_trace(mapped, start)
    _check(name, trace, picture_scale=1.0)
    return Traced(name, trace, points, None, picture_to_desktop)


def _kind(outline: KnownOutline) -> str:
    return "a circle" if outline.is_circle else "a rectangle"


def _say_what(outline: KnownOutline) -> str:
    other = "a rectangle" if outline.is_circle else "a circle"
    return f"If it is {other} or something else, say so with --of; else trace all of it again, slowly, along the thing's edge"


def _check(name: str, trace: Trace, *, picture_scale: float) -> None:
    fit = trace.free
    size = trace.size_px
    if not np.isfinite(size) or size < LEAST_SIZE_PX * picture_scale:
        must = f"the outline must be at least {LEAST_SIZE_PX:g} px large"
        raise RequestError(Problem(name, must, f"{size / picture_scale:.0f} px", "Trace a larger thing, at 100 %"))
    off = fit.spread_px / size
    if off > MOST_OFF or float(np.mean(fit.inliers)) < 0.4:
        must = f"must look like {_kind(trace.outline)}"
        instead = _say_what(trace.outline)
        raise RequestError(
            Problem(name, must, f"a line that strays from one by {100 * off:.1f} % of its size", instead)
        )
    if fit.covered < LEAST_COVERED:
        must = f"must show at least {100 * LEAST_COVERED:.0f} % of the outline"
        raise RequestError(Problem(name, must, f"{100 * fit.covered:.0f} %", AGAIN))


def _size(placed: Placed) -> float:
    matrix, outline = placed.matrix, placed.outline
    return float(np.hypot(*matrix[:, 0]) * outline.width_mm + np.hypot(*matrix[:, 1]) * outline.height_mm) / 2


def _scale(affine: Affine) -> float:
    return float(abs(affine.determinant) ** 0.5)


def _through(placed: Placed, affine: Affine) -> Placed:
    linear = np.array([[affine.a, affine.b], [affine.d, affine.e]])
    matrix = linear @ placed.matrix
    if np.linalg.det(matrix) < 0:
        # A mirrored file: outlines look the same mirrored, maps do not.
        matrix = matrix * np.array([1.0, -1.0])
    return Placed(placed.outline, matrix, np.array(affine.point(*(float(c) for c in placed.centre_px))))


def _find(name: str, points: Array, outline: KnownOutline, near_px: float) -> Placed:
    try:
        return find_trace(points, outline, near_px=near_px)
    except RequestError:
        raise RequestError(
            Problem(name, f"must show the whole outline of {_kind(outline)}", "none found", AGAIN)
        ) from None


def flattened(path: Outline) -> Array:
    """The points (n, 2) of a path, its curves by 32 steps each."""
    points: list[tuple[float, float]] = []
    start: tuple[float, float] | None = None
    for name, *numbers in path.commands:
        if name == "C" and points:
            p0, p1, p2, p3 = (np.array(p) for p in (points[-1], numbers[:2], numbers[2:4], numbers[4:]))
            t = np.linspace(0, 1, 33)[1:, None]
            curve = (1 - t) ** 3 * p0 + 3 * (1 - t) ** 2 * t * p1 + 3 * (1 - t) * t**2 * p2 + t**3 * p3
            points += [(float(x), float(y)) for x, y in curve]
        elif name == "Z" and start is not None:
            points.append(start)
        elif numbers:
            points.append((float(numbers[-2]), float(numbers[-1])))
            start = points[-1] if name == "M" else start
    return np.array(points, dtype=float).reshape(-1, 2)


def _evenly(strokes: list[Array], outline: KnownOutline) -> Array:
    """Points at equal distances along strokes that are dense enough to be curves; others as they are.

    A hand that slows down leaves more points there, which must not count for more.
    """
    strokes = [np.asarray(stroke, dtype=float) for stroke in strokes if len(stroke)]
    if not strokes:
        return np.zeros((0, 2))
    every = np.concatenate(strokes)
    extent = float(np.max(np.ptp(every, axis=0)))
    step = extent / 300
    even = []
    for stroke in strokes:
        length = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(stroke, axis=0).T))])
        # Chords between few points cut a circle's corners; a straight side they may follow.
        coarse = outline.is_circle and len(stroke) > 1 and float(np.max(np.diff(length))) > 0.06 * extent
        if len(stroke) < 2 or coarse or length[-1] == 0:
            even.append(stroke)
            continue
        at = np.linspace(0.0, length[-1], max(2, round(length[-1] / step) + 1))
        even.append(np.stack([np.interp(at, length, stroke[:, axis]) for axis in (0, 1)], axis=1))
    return np.concatenate(even)
