"""Fitting an outline of known size to points, and so the affine map between the two.

One engine for circles and rectangles. What may vary is a pose:

============ ================================ =========================================
pose         circle                           rectangle
============ ================================ =========================================
``free``     centre, symmetric matrix:        centre, any matrix:
             any ellipse                      any parallelogram
``straight`` centre, px per mm along x and y  centre, px per mm along x and y, turn on
                                              the desk
============ ================================ =========================================

A map that is set in a driver sends seen x to screen x and seen y to screen y, so a trace of a
straight map fits the straight pose; where it does not, something turned or sheared the picture.
Orthogonal distances, Tukey's biweight against strays (annealed from coarse to fine), Gauss-Newton
steps, and at the end an uncertainty that allows for wobble (mapper.tracing.wobble).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from mapper.tracing.outline import FOOT_ROUNDS, Array, KnownOutline, Placed
from mapper.tracing.wobble import Estimate, estimate

# Residuals beyond this many times their spread get no weight: 95 % efficiency for normal noise
# (Tukey's biweight; P. Huber and E. Ronchetti, Robust Statistics, 2009, not checked against the
# source).
_TUKEY = 4.685
# Residuals are averaged over this many stretches of the curve before their wobble is modelled.
_STRETCHES = 96
# Smallest over largest singular value of the slopes, each parameter in its own unit.
_DETERMINED = 3e-3
# The same, squared, of a step: a parameter that is determined no better stays where it is.
_LEAST_SINGULAR = 1e-12
_ROUNDS = 60
_ROUGH_ROUNDS = 10
_ROUGH_FOOT_ROUNDS = 3


@dataclass(frozen=True, slots=True)
class Pose:
    """How an outline may be placed: ``kind`` is "free" or "straight" (the module's table)."""

    kind: str
    round_outline: bool

    @property
    def unknowns(self) -> int:
        return {
            ("free", True): 5,
            ("free", False): 6,
            ("straight", True): 4,
            ("straight", False): 5,
        }[self.kind, self.round_outline]

    def parameters(self, matrix: Array, centre_px: Array) -> Array:
        """The pose nearest to a matrix and a centre: centre x, y, then those of the matrix."""
        if self.kind == "free":
            if not self.round_outline:
                return np.array([*centre_px, *matrix.ravel()])
            # A turned circle looks the same: of all matrices of the ellipse the symmetric one
            # serves.
            values, vectors = np.linalg.eigh(matrix @ matrix.T)
            root = vectors @ np.diag(np.sqrt(np.maximum(values, 0.0))) @ vectors.T
            return np.array([*centre_px, root[0, 0], root[0, 1], root[1, 1]])
        scales = np.hypot(matrix[:, 0], matrix[:, 1])
        if self.round_outline:
            return np.array([*centre_px, *scales])
        upright = matrix / scales[:, None]
        turn = np.arctan2(upright[1, 0] - upright[0, 1], upright[0, 0] + upright[1, 1])
        return np.array([*centre_px, *scales, turn])

    def matrix(self, parameters: Array) -> Array:
        """The matrix (2, 2), px per mm, of the parameters."""
        rest = parameters[2:]
        if self.kind == "free":
            if self.round_outline:
                return np.array([[rest[0], rest[1]], [rest[1], rest[2]]])
            return np.array(rest).reshape(2, 2)
        if self.round_outline:
            return np.diag(rest)
        cos, sin = np.cos(rest[2]), np.sin(rest[2])
        return np.array([[rest[0] * cos, -rest[0] * sin], [rest[1] * sin, rest[1] * cos]])

    def slopes(self, parameters: Array) -> Array:
        """How the matrix moves with each of its parameters: (unknowns - 2, 2, 2)."""
        rest = parameters[2:]
        if self.kind == "free":
            if self.round_outline:
                return np.array([[[1, 0], [0, 0]], [[0, 1], [1, 0]], [[0, 0], [0, 1]]], dtype=float)
            return np.eye(4).reshape(4, 2, 2)
        if self.round_outline:
            return np.array([[[1, 0], [0, 0]], [[0, 0], [0, 1]]], dtype=float)
        cos, sin = np.cos(rest[2]), np.sin(rest[2])
        return np.array(
            [
                [[cos, -sin], [0, 0]],
                [[0, 0], [sin, cos]],
                [[-rest[0] * sin, -rest[0] * cos], [rest[1] * cos, -rest[1] * sin]],
            ]
        )

    def jacobian(self, parameters: Array, feet_mm: Array, normals: Array) -> Array:
        """How signed distances (n,) change with the parameters: (n, unknowns).

        A curve that moves out brings points in.
        """
        moved = np.einsum("kij,nj->nki", self.slopes(parameters), feet_mm)
        return -np.concatenate([normals, np.einsum("ni,nki->nk", normals, moved)], axis=1)


@dataclass(frozen=True)
class OutlineFit:
    """An outline fitted to points.

    ``nearest`` holds the pose's parameters (centre x, y in px; the matrix in px per mm; a turn in
    radians) that make the squares of the distances least; ``estimate`` the same parameters with
    their uncertainty once the wobble is allowed for, from ``evidence`` (what
    mapper.tracing.wobble.estimate asks for; worked out when it is asked for, as it takes a while);
    ``inliers`` (n,) tells which points were followed; ``spread_px`` is the root mean square of
    their distances; ``covered`` the share of the way round that has followed points, 0 to 1.
    """

    outline: KnownOutline
    pose: Pose
    nearest: Array
    evidence: tuple[Array, Array, Array, float]
    inliers: Array
    spread_px: float
    covered: float

    @cached_property
    def estimate(self) -> Estimate:
        """The parameters with their uncertainty."""
        around = estimate(*self.evidence)
        return replace(around, mean=self.nearest + around.mean)

    @cached_property
    def determined(self) -> bool:
        """Whether the points determine every parameter.

        They do not where a whole side of a rectangle is missing, for one.
        """
        design = self.evidence[0]
        scaled = design / np.maximum(np.sqrt(np.mean(design**2, axis=0)), 1e-300)
        values = np.linalg.svd(scaled, compute_uv=False)
        return len(design) > design.shape[1] and bool(values[-1] > _DETERMINED * values[0])

    @property
    def placed(self) -> Placed:
        """The nearest outline in its place."""
        return Placed(self.outline, self.pose.matrix(self.nearest), self.nearest[:2])


def robust_scale(distances: Array) -> float:
    """The spread of distances about zero, blind to strays.

    1.4826 times the median of their sizes, which is the standard deviation of a normal
    distribution.
    """
    return 1.4826 * float(np.median(np.abs(distances)))


def fit_outline(
    points_px: Array, start: Placed, kind: str, *, floor_px: float = 0.0, strict: bool = False
) -> OutlineFit:
    """The outline of ``start`` fitted to points (n, 2), from there on.

    ``kind`` is the pose, "free" or "straight"; ``floor_px`` the least spread that strays are judged
    by (half a stroke's width, say, for points all over a thick stroke); ``strict`` follows every
    point alike, as plain least squares does.
    """
    outline = start.outline
    pose = Pose(kind, outline.is_circle)
    parameters, limit = _settle(
        points_px, start, pose, floor_px=floor_px, strict=strict, rounds=_ROUNDS
    )
    placed = Placed(outline, pose.matrix(parameters), parameters[:2])
    distances, feet_mm, normals = placed.feet(points_px)
    inliers = np.abs(distances) <= limit
    shares = placed.shares(feet_mm)
    jacobian = pose.jacobian(parameters, feet_mm, normals)
    kept = inliers if inliers.sum() > pose.unknowns else np.ones_like(inliers)
    design, residuals, where, covered = stretches(jacobian[kept], distances[kept], shares[kept])
    px_per_mm = float(np.sqrt(abs(np.linalg.det(placed.matrix))))
    return OutlineFit(
        outline,
        pose,
        parameters,
        (-design / px_per_mm, residuals / px_per_mm, where, outline.length_mm),
        inliers,
        float(np.sqrt(np.mean(distances[kept] ** 2))),
        covered,
    )


def settle(points_px: Array, start: Placed, kind: str, *, floor_px: float = 0.0) -> Placed:
    """Where ``fit_outline`` would come to rest, roughly and without uncertainty.

    For choosing among starts.
    """
    pose = Pose(kind, start.outline.is_circle)
    parameters, _ = _settle(
        points_px, start, pose, floor_px=floor_px, strict=False, rounds=_ROUGH_ROUNDS
    )
    return Placed(start.outline, pose.matrix(parameters), parameters[:2])


def _settle(
    points_px: Array, start: Placed, pose: Pose, *, floor_px: float, strict: bool, rounds: int
) -> tuple[Array, float]:
    """The parameters at rest and the distance from which on points are strays."""
    outline = start.outline
    parameters = pose.parameters(start.matrix, start.centre_px)
    size = float(np.max(np.abs(start.matrix))) * outline.width_mm
    # No trace is finer: on exact points two sides that fit would make strays of the others.
    smallest = 1e-6 * size
    limit = np.inf
    rough = rounds == _ROUGH_ROUNDS
    for count in range(rounds):
        placed = Placed(outline, pose.matrix(parameters), parameters[:2])
        # Feet need not be exact before the curve has come to rest.
        distances, feet_mm, normals = placed.feet(
            points_px, _ROUGH_FOOT_ROUNDS if rough or count < 4 else FOOT_ROUNDS
        )
        weights = np.ones(len(distances))
        if not strict:
            # Wide at first, so that a rough start is not mistaken for a stray.
            scale = max(robust_scale(distances), floor_px, smallest) * max(1.0, 3.0 - 0.4 * count)
            limit = _TUKEY * scale
            weights = np.maximum(1 - (distances / limit) ** 2, 0.0) ** 2
        jacobian = pose.jacobian(parameters, feet_mm, normals)
        change = _step(jacobian, distances, weights)
        parameters = parameters + change
        moved = np.abs(change) * np.sqrt(np.mean(jacobian**2, axis=0))
        if count > 6 and float(moved.max()) < max(1e-13 * size, 1e-6 * robust_scale(distances)):
            break
    return parameters, limit


def _step(jacobian: Array, distances: Array, weights: Array) -> Array:
    """The Gauss-Newton step of weighted least squares.

    The shortest where the points leave a parameter open.
    """
    weighted = jacobian.T * weights
    normal = weighted @ jacobian
    # Parameters on one scale. The next round makes good what normal equations lose in digits.
    size = np.sqrt(np.diag(normal))
    size = np.where(size == 0, 1.0, size)
    change: Array = (
        np.linalg.pinv(normal / np.outer(size, size), _LEAST_SINGULAR, True)
        @ (weighted @ -distances / size)
        / size
    )
    return change


def stretches(
    jacobian: Array, distances: Array, shares: Array
) -> tuple[Array, Array, Array, float]:
    """Means over equal stretches of the curve, and the share of it that is covered.

    They keep the model of the wobble small. Jacobian, distances, middles of the stretches, share.
    """
    number = np.minimum((shares * _STRETCHES).astype(int), _STRETCHES - 1)
    counts = np.bincount(number, minlength=_STRETCHES)
    present = counts > 0
    # A finely traced curve has a point in every stretch; a sparse one may skip some.
    gap = max(1, round(2 * _STRETCHES / max(len(shares), 1)))
    near = np.zeros(_STRETCHES, bool)
    for shift in range(-gap, gap + 1):
        near |= np.roll(present, shift)
    covered = float(near.mean())
    if gap == 1 and len(shares) >= 2 * _STRETCHES:
        covered = float(present.sum() / _STRETCHES)
    if len(shares) <= _STRETCHES:
        return jacobian, distances, shares, covered
    total = counts[present]
    columns = [distances, *jacobian.T]
    means = [
        np.bincount(number, column, minlength=_STRETCHES)[present] / total for column in columns
    ]
    # The middles of the stretches, not of the points: a whole curve is the same grid every time.
    middles = (np.arange(_STRETCHES) + 0.5)[present] / _STRETCHES
    return np.stack(means[1:], axis=1), means[0], middles, covered
