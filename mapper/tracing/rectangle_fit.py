"""Finding a rectangle, turned or sheared, among points that may belong to other things."""

from __future__ import annotations

from itertools import combinations
from typing import NamedTuple

import numpy as np

from mapper.phrases import phrase, phrase_count
from mapper.problems import Problem, RequestError
from mapper.tracing.ellipse_fit import MOST_STRETCH
from mapper.tracing.outline import Array, KnownOutline, Placed, coverage
from mapper.tracing.outline_fit import settle

_POINTS_JUDGED = 1200
# Directions tried, and the directions and pairs of sides kept for judging together.
_DIRECTIONS = 180
_NEARLY_ALL = 0.97
# Points with no larger gap, seen from the middle of a square outline, go all the way round.
_NO_GAP = np.pi / 12
_KEPT_DIRECTIONS = 5
_KEPT_PEAKS = 4
# Sides nearer to each other than this share of the drawing are one side drawn twice.
_APART = 0.2
# Pairs of sides stand at least this far from parallel: no map of a tablet shears more.
_LEAST_ANGLE_DEG = 50
_KEPT_CROSSINGS = 6
# A rectangle has six unknowns: of fewer points of all that are judged no fit can tell.
_FEWEST = 12
# Half of the way round and a third of the points, or the like.
_LEAST_SCORE = 0.4


class _Sides(NamedTuple):
    """Two parallel lines that may be opposite sides.

    ``normal`` (2,), their places ``low`` < ``high`` along it, and the number of points on both.
    """

    direction: int
    normal: Array
    low: float
    high: float
    points: int


def find_rectangle(
    points_px: Array, outline: KnownOutline, *, near_px: float, seed: int = 20
) -> Placed:
    """The place of the rectangle ``outline`` among points (n, 2), some of which may be strays.

    Points on a pair of parallel sides pile up where the points are projected on the sides' normal
    (a Hough transform for pairs of lines). The strongest pairs are crossed with each other, and the
    crossing wins whose outline has most points within ``near_px`` and has them all the way round.
    The longer side is taken for the outline's longer side unless the map would then stretch more
    than the other way; it is pointed to the right, or down. Raises RequestError where no rectangle
    is found.
    """
    points = np.asarray(points_px, dtype=float)
    if len(points) < 8:
        raise RequestError(
            Problem("points", phrase("a rectangle needs at least 8 points"), str(len(points)))
        )
    random = np.random.default_rng(seed)
    judged = points
    if len(points) > _POINTS_JUDGED:
        judged = points[random.choice(len(points), _POINTS_JUDGED, False)]
    boxed = _fit_from_box(judged, outline, near_px)
    if boxed is not None:
        return boxed
    pairs = _pairs_of_sides(judged, near_px)
    crossings: list[Placed] = []
    for one, two in combinations(pairs, 2):
        between = abs(one.direction - two.direction) * 180 / _DIRECTIONS
        if not _LEAST_ANGLE_DEG <= between <= 180 - _LEAST_ANGLE_DEG:
            continue
        placed = _parallelogram(one, two, outline)
        scales = np.hypot(*placed.matrix)
        shortest, longest = sorted(scales)
        sides = scales * (outline.width_mm, outline.height_mm)
        if longest > MOST_STRETCH * shortest or min(sides) < 6 * near_px:
            continue
        crossings.append(placed)
    scores = _scores(judged[::3], crossings, near_px) if crossings else np.zeros(1)
    if float(scores.max()) < _LEAST_SCORE:
        raise RequestError(
            Problem(
                "points",
                phrase("no rectangle runs through them"),
                phrase_count("{count} point", "{count} points", len(points)),
            )
        )
    crossings = [crossings[index] for index in np.argsort(-scores, kind="stable")]
    settled = _refined(judged, crossings, near_px)
    best = max(settled, key=lambda crossing: crossing[0])[1]
    # A fit may have moved the sides of a crossing so far that the other reading is the likelier.
    return _with_sides_reassigned(best)


def _fit_from_box(judged: Array, outline: KnownOutline, near_px: float) -> Placed | None:
    """The rectangle that a fit finds from the box around all points, or None.

    None unless nearly all points lie on it, and all the way round: so they do on an empty canvas,
    where nobody need search.
    """
    low, high = judged.min(axis=0), judged.max(axis=0)
    across, down = (
        _Sides(0, np.eye(2)[axis], float(low[axis]), float(high[axis]), 0) for axis in (0, 1)
    )
    if float(np.min(high - low)) < 6 * near_px:
        return None
    try:
        placed = settle(
            judged[::2], _parallelogram(across, down, outline), "free", floor_px=near_px / 4
        )
    except np.linalg.LinAlgError:
        return None
    longest, shortest = np.linalg.svd(placed.matrix, compute_uv=False)
    off, mm = _distances(judged, [placed], near_px / 2)
    around = np.sort(np.arctan2(mm[0, :, 1] / outline.height_mm, mm[0, :, 0] / outline.width_mm))
    gap = float(np.max(np.diff(around, append=around[0] + 2 * np.pi)))
    clear = (
        float(np.mean(off <= 1)) > _NEARLY_ALL
        and gap < _NO_GAP
        and longest < MOST_STRETCH * shortest
    )
    return _with_sides_reassigned(placed) if clear else None


def _refined(judged: Array, crossings: list[Placed], near_px: float) -> list[tuple[float, Placed]]:
    """The first crossing, and the fits that the first few lead to, each with its score.

    The score says how closely the points lie on it.
    """
    # A wobbly side has two peaks near each other; only a fit tells which crossing is right.
    settled = [(_close_score(judged, crossings[0], near_px), crossings[0])]
    for placed in _distinct(crossings, 2 * near_px):
        try:
            close = judged[_distances(judged, [placed], near_px)[0][0] <= 3]
            if len(close) < _FEWEST:
                continue
            nearer = settle(close[::2], placed, "free", floor_px=near_px / 4)
        except np.linalg.LinAlgError:
            continue
        if np.linalg.det(nearer.matrix) > 0.5 * np.linalg.det(placed.matrix):
            settled.append((_close_score(judged, nearer, near_px), nearer))
            # Where all points lie on it, as on an empty canvas, no other is any better.
            if float(np.mean(_distances(judged, [nearer], near_px / 2)[0] <= 1)) > _NEARLY_ALL:
                break
    return settled


def _pairs_of_sides(points: Array, near_px: float) -> list[_Sides]:
    """Pairs of parallel lines on which many points lie, those with the most points first."""
    middle = np.median(points, axis=0)
    extent = float(np.max(np.ptp(points, axis=0)))
    width = max(near_px, extent / 400)
    pairs: list[_Sides] = []
    for direction in range(_DIRECTIONS):
        angle = np.pi * direction / _DIRECTIONS
        normal = np.array([np.cos(angle), np.sin(angle)])
        along = (points - middle) @ normal
        bins = np.arange(along.min() - 2 * width, along.max() + 3 * width, width)
        counts = np.histogram(along, bins)[0]
        piled = counts + np.roll(counts, 1) + np.roll(counts, -1)
        peaks = _peaks(piled)
        for first, second in combinations(sorted(peaks), 2):
            if (second - first) * width < _APART * extent:
                continue
            low, high = float(bins[first] + width / 2), float(bins[second] + width / 2)
            pairs.append(
                _Sides(direction, normal, low, high, int(min(piled[first], piled[second]) * 2))
            )
    pairs.sort(key=lambda pair: -pair.points)
    kept: list[_Sides] = []
    # The best of a direction and its neighbours, and of each quarter of the circle alike: the short
    # sides of a long rectangle gather fewer points than the long ones do in many wrong directions.
    away_deg = np.arange(_DIRECTIONS) * 180 / _DIRECTIONS
    away_deg = np.minimum(away_deg, 180 - away_deg)
    rivals, quarter = np.zeros(_DIRECTIONS, int), np.zeros(_DIRECTIONS, int)
    for pair in pairs:
        if rivals[pair.direction] < 6 and quarter[pair.direction] < 3 * _KEPT_DIRECTIONS:
            kept.append(pair)
            away = np.roll(away_deg, pair.direction)
            rivals += away <= 6
            quarter += away <= 40
        if len(kept) >= 9 * _KEPT_DIRECTIONS:
            break
    return [_moved_to_points(pair, points, middle, 1.5 * width) for pair in kept]


def _moved_to_points(pair: _Sides, points: Array, middle: Array, within: float) -> _Sides:
    """``pair`` with its lines moved to where the points lie.

    Its places are counted from ``middle``, those of the result from the origin.
    """
    along, by = (points - middle) @ pair.normal, float(pair.normal @ middle)
    return pair._replace(
        low=_median_near(along, pair.low, within) + by,
        high=_median_near(along, pair.high, within) + by,
    )


def _peaks(piled: Array) -> list[int]:
    """The strongest places that are no shoulder of a stronger one."""
    left = piled.astype(float)
    found = []
    for _ in range(_KEPT_PEAKS):
        peak = int(np.argmax(left))
        if left[peak] <= 0:
            break
        found.append(peak)
        left[max(peak - 3, 0) : peak + 4] = 0
    return found


def _median_near(along: Array, peak: float, within: float) -> float:
    """The median of those of ``along`` within ``within`` of a peak, or the peak itself."""
    near = along[np.abs(along - peak) <= within]
    return float(np.median(near)) if len(near) else float(peak)


def _parallelogram(one: _Sides, two: _Sides, outline: KnownOutline) -> Placed:
    """The parallelogram that two pairs of lines enclose, as a map of ``outline``."""
    normals = np.stack([one.normal, two.normal])
    inverse = np.linalg.inv(normals)
    centre = inverse @ np.array([(one.low + one.high) / 2, (two.low + two.high) / 2])
    # Half a side's vector: along it only the other pair's lines change.
    halves = inverse * np.array([(one.high - one.low) / 2, (two.high - two.low) / 2])
    return _with_sides(halves[:, 0], halves[:, 1], centre, outline)


def _with_sides_reassigned(placed: Placed) -> Placed:
    """``placed`` with its sides told apart anew."""
    along, across = (placed.matrix * (placed.outline.width_mm / 2, placed.outline.height_mm / 2)).T
    return _with_sides(along, across, placed.centre_px, placed.outline)


def _with_sides(first: Array, second: Array, centre: Array, outline: KnownOutline) -> Placed:
    """The map of ``outline`` onto a parallelogram, in the likelier of both readings.

    The sides are twice ``first`` and ``second`` (2,).
    """
    options = [
        np.stack([first * 2 / outline.width_mm, second * 2 / outline.height_mm], axis=1),
        np.stack([second * 2 / outline.width_mm, first * 2 / outline.height_mm], axis=1),
    ]
    if outline.width_mm == outline.height_mm:
        # The sides of a square differ only in where they point.
        matrix = max(options, key=lambda option: abs(option[0, 0]))
    else:
        matrix = min(
            options,
            key=lambda option: abs(np.log(np.hypot(*option[:, 0]) / np.hypot(*option[:, 1]))),
        )
    return Placed(outline, _pointing_right(matrix), centre)


def _pointing_right(matrix: Array) -> Array:
    """``matrix`` with the long side pointing right, or down, and not mirrored."""
    along = matrix[:, 0]
    lead = along[0] if abs(along[0]) >= abs(along[1]) else along[1]
    columns = matrix * (1.0 if lead >= 0 else -1.0)
    if np.linalg.det(columns) < 0:
        columns = columns * np.array([1.0, -1.0])
    return columns


def _distinct(placed: list[Placed], apart_px: float) -> list[Placed]:
    """The first few whose corners do not all lie near those of one before."""
    kept: list[tuple[Array, Placed]] = []
    for each in placed:
        half = np.array([each.outline.width_mm, each.outline.height_mm]) / 2
        corners = each.to_px(np.array([(1, 1), (-1, 1), (-1, -1), (1, -1)]) * half)
        if all(
            np.abs(np.sort(corners, axis=0) - np.sort(other, axis=0)).max() > apart_px
            for other, _ in kept
        ):
            kept.append((corners, each))
        if len(kept) == _KEPT_CROSSINGS:
            break
    return [each for _, each in kept]


def _close_score(points: Array, placed: Placed, near_px: float) -> float:
    """The score of a settled outline, judged from afar and from near by.

    A stray line that passes for a side from afar does not from near by.
    """
    first, second = placed.matrix
    across, down = float(np.hypot(*first)), float(np.hypot(*second))
    lean = abs(float(first @ second)) / (across * down)
    # Of two that fit alike, the map that stretches and leans less is the likelier.
    unlikely = 0.5 * abs(np.log(across / down)) + 5 * lean
    scores = [float(_scores(points, [placed], near)[0]) for near in (near_px, near_px / 3)]
    return sum(scores) - float(unlikely)


def _scores(points: Array, placed: list[Placed], near_px: float) -> Array:
    """The score of each of k outlines.

    The share of points near it, plus the share of its way round that they cover, less how loosely
    they lie.
    """
    off, mm = _distances(points, placed, near_px)
    near = off <= 1
    outline = placed[0].outline
    # Sectors of the outline drawn as a square: a quarter of them to each side.
    around = np.arctan2(mm[..., 1] / outline.height_mm, mm[..., 0] / outline.width_mm)
    # A stray line that passes for a side lies less snugly than the side does.
    loose = np.sum(np.where(near, off, 0.0), axis=1) / np.maximum(near.sum(axis=1), 1)
    scores: Array = near.mean(axis=1) + coverage(around, near) - loose
    return scores


def _distances(points: Array, placed: list[Placed], near_px: float) -> tuple[Array, Array]:
    """How many times ``near_px`` points (n, 2) lie off each of k outlines: (k, n).

    Outlines of one size, to first order. Then where the points lie in the frame of each (k, n, 2).
    """
    inverse = np.linalg.inv(np.array([each.matrix for each in placed]))
    centres = np.array([each.centre_px for each in placed])
    mm = (points[None] - centres[:, None]) @ np.swapaxes(inverse, 1, 2)
    distance, gradient = placed[0].outline.signed_distance(mm.reshape(-1, 2))
    slope = gradient.reshape(mm.shape) @ inverse
    per_mm = np.hypot(slope[..., 0], slope[..., 1])
    return np.abs(distance).reshape(mm.shape[:2]) / (near_px * per_mm), mm
