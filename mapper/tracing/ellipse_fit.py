"""Fitting an ellipse: a direct first guess that strays cannot mislead."""

from __future__ import annotations

import numpy as np

from mapper.phrases import phrase, phrase_count
from mapper.problems import Problem, RequestError
from mapper.tracing.outline import Array, KnownOutline, Placed, coverage

_SAMPLES = 400
_POINTS_JUDGED = 1200
_PICKED = 6
_LOOKED_AT_CLOSELY = 32
# An ellipse is not doubted from this sum on: share of points near it and of its way round.
_CLEARLY = 1.95
#: No trace is looked for that is stretched more: a wide display with the picture a quarter turned
#: stays below.
MOST_STRETCH = 6.5


def direct_ellipse(points_px: Array) -> tuple[Array, Array]:
    """The ellipse that fits points (n, 2) best in the algebraic sense, never a hyperbola.

    The symmetric matrix (2, 2) that makes it of the unit circle, and its centre (2,). R. Halir and
    J. Flusser, Numerically stable direct least squares fitting of ellipses, WSCG 1998, on points
    centred and scaled to unit size. Raises RequestError for fewer than 5 points and for points that
    no ellipse runs through (all on a line, for one).
    """
    points = np.asarray(points_px, dtype=float)
    if len(points) < 5:
        raise RequestError(
            Problem("points", phrase("an ellipse needs at least 5 points"), str(len(points)))
        )
    centre = points.mean(axis=0)
    size = float(np.sqrt(np.mean((points - centre) ** 2)))
    if size == 0:
        raise RequestError(Problem("points", phrase("must not all be the same")))
    conic, found = _direct_conics((points - centre)[None] / size)
    matrix, middle, valid = _ellipses_of_conics(conic)
    if not (found[0] and valid[0]):
        raise RequestError(
            Problem(
                "points",
                phrase("no ellipse runs through them"),
                phrase_count("{count} point", "{count} points", len(points)),
            )
        )
    return matrix[0] * size, middle[0] * size + centre


def find_ellipse(
    points_px: Array, outline: KnownOutline, *, near_px: float, seed: int = 20
) -> Placed:
    """The place of the circle ``outline`` among points (n, 2), some of which may be strays.

    It is seen as the ellipse that most points lie on. Random samples (M. Fischler and R. Bolles,
    Random sample consensus, 1981), each fitted directly and judged by the share of points within
    ``near_px`` of it and by how much of the way round they cover; the same points give the same
    answer. Raises RequestError where no sample gives an ellipse.
    """
    points = np.asarray(points_px, dtype=float)
    if len(points) < _PICKED:
        matrix, centre = direct_ellipse(points)
        return Placed(outline, matrix / outline.radius_mm, centre)
    random = np.random.default_rng(seed)
    judged = points
    if len(points) > _POINTS_JUDGED:
        judged = points[random.choice(len(points), _POINTS_JUDGED, False)]
    middle = np.median(judged, axis=0)
    size = float(np.sqrt(np.mean((judged - middle) ** 2))) or 1.0
    unit = (judged - middle) / size
    near = near_px / size
    # The fit to all points first: where there are no strays, no sample is better.
    matrix, centre = _plausible_ellipses(unit[None], near)
    scores = _scores(unit, matrix, centre, near)
    if scores.max(initial=0.0) < _CLEARLY:
        some, centres = _plausible_ellipses(
            unit[random.integers(0, len(unit), (_SAMPLES, _PICKED))], near
        )
        matrix, centre = np.concatenate([some, matrix]), np.concatenate([centres, centre])
        if not len(matrix):
            raise RequestError(
                Problem(
                    "points",
                    phrase("no ellipse runs through them"),
                    phrase_count("{count} point", "{count} points", len(points)),
                )
            )
        # A quarter of the points tells which samples are worth a closer look.
        rough = np.argsort(-_scores(unit[::4], matrix, centre, near), kind="stable")[
            :_LOOKED_AT_CLOSELY
        ]
        matrix, centre = matrix[rough], centre[rough]
        scores = _scores(unit, matrix, centre, near)
    best = int(np.argmax(scores))
    # Once more from the points that agree, which takes the chance out of the sample.
    for _ in range(3):
        on_it = _points_near(unit, matrix[best : best + 1], centre[best : best + 1], near)[0][0]
        if on_it.sum() < _PICKED:
            break
        again, found = _direct_conics(unit[on_it][None])
        next_matrix, next_centre, good = _ellipses_of_conics(again)
        if not (found[0] and good[0]):
            break
        score = _scores(unit, next_matrix, next_centre, near)[0]
        if score < scores[best]:
            break
        matrix[best], centre[best], scores[best] = next_matrix[0], next_centre[0], score
    return Placed(outline, matrix[best] * (size / outline.radius_mm), centre[best] * size + middle)


def _plausible_ellipses(points: Array, near: float) -> tuple[Array, Array]:
    """The ellipses through k sets of points (k, n, 2) that may be a trace.

    Symmetric matrices (m, 2, 2) and centres (m, 2).
    """
    conics, found = _direct_conics(points)
    matrix, centre, valid = _ellipses_of_conics(conics)
    # An ellipse far larger than the drawing was fitted to a few neighbours; a sliver runs along a
    # line, and a speck covers a dot: all points are near them all the way round.
    shortest, longest = np.linalg.eigvalsh(matrix).T
    valid &= found & (longest < 8) & (shortest > 3 * near) & (longest < MOST_STRETCH * shortest)
    return matrix[valid], centre[valid]


def _direct_conics(points: Array) -> tuple[Array, Array]:
    """Conics (k, 6) through k sets of points (k, n, 2), and which of them were found."""
    x, y = points[..., 0], points[..., 1]
    curved = np.stack([x * x, x * y, y * y], axis=-1)
    straight = np.stack([x, y, np.ones_like(x)], axis=-1)
    s1 = np.einsum("kni,knj->kij", curved, curved)
    s2 = np.einsum("kni,knj->kij", curved, straight)
    s3 = np.einsum("kni,knj->kij", straight, straight)
    sound = np.abs(np.linalg.det(s3)) > 1e-12
    s3[~sound] = np.eye(3)
    reduce = -np.linalg.solve(s3, np.swapaxes(s2, 1, 2))
    reduced = s1 + s2 @ reduce
    constrained = np.stack([reduced[:, 2] / 2, -reduced[:, 1], reduced[:, 0] / 2], axis=1)
    _, vectors = np.linalg.eig(constrained)
    vectors = np.real(vectors)
    ellipse = 4 * vectors[:, 0] * vectors[:, 2] - vectors[:, 1] ** 2
    # Exactly one eigenvector meets the ellipse's condition; rounding may leave it among three.
    chosen = np.argmax(ellipse, axis=1)
    index = np.arange(len(points))
    first = vectors[index, :, chosen]
    conics = np.concatenate([first, np.einsum("kij,kj->ki", reduce, first)], axis=1)
    return conics, sound & (ellipse[index, chosen] > 0)


def _ellipses_of_conics(conics: Array) -> tuple[Array, Array, Array]:
    """Matrices (k, 2, 2) and centres (k, 2) of conics (k, 6), and which are real ellipses."""
    a, b, c, d, e, f = conics.T
    determinant = 4 * a * c - b * b
    valid = determinant > 1e-12 * (a * a + b * b + c * c)
    safe = np.where(valid, determinant, 1.0)
    centre = np.stack([(b * e - 2 * c * d) / safe, (b * d - 2 * a * e) / safe], axis=1)
    level = -(f + (d * centre[:, 0] + e * centre[:, 1]) / 2)
    form = np.stack([np.stack([a, b / 2], axis=1), np.stack([b / 2, c], axis=1)], axis=1)
    valid &= np.sign(level) == np.sign(a)
    safe = np.where(valid, level, 1.0)[:, None, None]
    # With a determinant so far above nothing both values are: both axes are real.
    values, vectors = np.linalg.eigh(np.where(valid[:, None, None], form / safe, np.eye(2)))
    radii = 1 / np.sqrt(values)
    return (vectors * radii[:, None, :]) @ np.swapaxes(vectors, 1, 2), centre, valid


def _points_near(
    points: Array, matrices: Array, centres: Array, near: float
) -> tuple[Array, Array]:
    """Which points (n, 2) lie within ``near`` of each of k ellipses, and their angles about it.

    Both of shape (k, n).
    """
    inverse = np.linalg.inv(matrices)
    unit = (points[None] - centres[:, None]) @ np.swapaxes(inverse, 1, 2)
    radius = np.hypot(unit[..., 0], unit[..., 1])
    safe = np.where(radius == 0, 1.0, radius)
    # To first order: the value of the distance function over the size of its gradient.
    slope = (unit / safe[..., None]) @ inverse
    distance = (radius - 1) / np.maximum(np.hypot(slope[..., 0], slope[..., 1]), 1e-12)
    return np.abs(distance) <= near, np.arctan2(unit[..., 1], unit[..., 0])


def _scores(points: Array, matrices: Array, centres: Array, near: float) -> Array:
    on_it, angles = _points_near(points, matrices, centres, near)
    score: Array = on_it.mean(axis=1) + coverage(angles, on_it)
    return score
