"""Outlines of known size, and what an affine map makes of them.

Circles and rectangles with round corners. An outline lies in its own frame: mm, centred on the
origin, the long side of a rectangle along x. A circle is the rectangle whose corners have eaten its
sides, so one set of formulas serves both.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.units import finite, positive

Array = NDArray[Any]

# Points on each quarter arc and each side of the dense polyline from which positions are
# interpolated. The chord of a 1/64 of a quarter turn misses the arc's length by 2.5e-5 of it:
# positions only, never shapes.
_STEPS = 64
# Each round shrinks a foot's error by distance times curvature, some hundredths for strokes.
FOOT_ROUNDS = 8
_SECTORS = 48


@dataclass(frozen=True, slots=True)
class KnownOutline:
    """A rectangle with round corners, or a circle, of known size.

    ``width_mm`` by ``height_mm`` with corners of ``radius_mm``; a circle where both are twice the
    radius. Raises RequestError for sizes that are not above zero and for a radius above half the
    shorter side.

    >>> round(KnownOutline.circle(50).length_mm, 2)
    157.08
    """

    width_mm: float
    height_mm: float
    radius_mm: float = 0.0

    def __post_init__(self) -> None:
        for name in ("width_mm", "height_mm"):
            object.__setattr__(
                self, name, positive(getattr(self, name), phrase("outline {field}", field=name))
            )
        radius = finite(self.radius_mm, phrase("outline {field}", field="radius_mm"))
        most = min(self.width_mm, self.height_mm) / 2
        if not 0 <= radius <= most:
            must = phrase("must be from 0 to {most} mm, half the shorter side", most=f"{most:g}")
            raise RequestError(
                Problem("corner radius", must, phrase("{radius} mm", radius=f"{radius:g}"))
            )
        object.__setattr__(self, "radius_mm", radius)

    @classmethod
    def circle(cls, diameter_mm: float) -> KnownOutline:
        diameter = positive(diameter_mm, "diameter")
        return cls(diameter, diameter, diameter / 2)

    @property
    def is_circle(self) -> bool:
        return self.width_mm == self.height_mm == 2 * self.radius_mm

    @property
    def length_mm(self) -> float:
        """The length of the outline, once round."""
        return 2 * (self.width_mm + self.height_mm) - (8 - 2 * np.pi) * self.radius_mm

    def grown(self, by_mm: float) -> KnownOutline:
        """The outline that a pen draws whose centre keeps ``by_mm`` outside this one's edge.

        Inside it where negative.
        """
        radius = max(self.radius_mm + by_mm, 0.0)
        return KnownOutline(self.width_mm + 2 * by_mm, self.height_mm + 2 * by_mm, radius)

    def signed_distance(self, points_mm: Array) -> tuple[Array, Array]:
        """The distance (n,) of points (n, 2) from the outline and its gradient (n, 2).

        Positive outside. The usual distance function of a box shrunk by its corner radius, less
        that radius.
        """
        inner = np.array([self.width_mm / 2 - self.radius_mm, self.height_mm / 2 - self.radius_mm])
        sign = np.where(points_mm < 0, -1.0, 1.0)
        past = np.abs(points_mm) - inner
        outside = np.maximum(past, 0.0)
        length = np.hypot(outside[:, 0], outside[:, 1])
        in_box = length == 0
        distance = np.where(in_box, past.max(axis=1), length) - self.radius_mm
        gradient = outside / np.where(in_box, 1.0, length)[:, None]
        along_x = past[:, 0] >= past[:, 1]
        gradient[in_box] = np.stack([along_x, ~along_x], axis=1)[in_box]
        return distance, gradient * sign

    def polyline(self) -> Array:
        """Points (n, 2) once round the outline, from x towards y, dense on its arcs.

        The first is repeated at the end.
        """
        x, y = self.width_mm / 2 - self.radius_mm, self.height_mm / 2 - self.radius_mm
        angle = np.linspace(0.0, np.pi / 2, _STEPS + 1)
        side = np.linspace(0.0, 1.0, _STEPS + 1)[1:-1, None]
        arc = self.radius_mm * np.stack([np.cos(angle), np.sin(angle)], axis=1)
        pieces = []
        for centre_x, centre_y, next_x, next_y in (
            (x, y, -x, y),
            (-x, y, -x, -y),
            (-x, -y, x, -y),
            (x, -y, x, y),
        ):
            corner = arc + np.array((centre_x, centre_y))
            arc = np.stack([-arc[:, 1], arc[:, 0]], axis=1)
            following = arc[0] + np.array((next_x, next_y))
            pieces += [corner, corner[-1] + (following - corner[-1]) * side]
        points = np.concatenate([*pieces, pieces[0][:1]])
        # Corners without radius and circles without sides repeat points, which have no position.
        keep = np.append(np.hypot(*np.diff(points, axis=0).T) > 1e-12 * self.width_mm, True)
        kept: Array = points[keep]
        return kept


@dataclass(frozen=True, slots=True)
class Boundary:
    """Positions along a placed outline.

    ``points_px`` (n, 2), outward unit ``normals`` (n, 2), and ``share`` (n,) of the way round in
    [0, 1).
    """

    points_px: Array
    normals: Array
    share: Array


@dataclass(frozen=True, slots=True)
class Placed:
    """An outline as it appears in the picture, seen through ``p = matrix @ q + centre_px``.

    ``matrix`` (2, 2) is in px per mm, ``centre_px`` (2,).
    """

    outline: KnownOutline
    matrix: Array
    centre_px: Array

    @property
    def size_px(self) -> float:
        """The mean of the outline's two extents in the picture."""
        across, down = np.hypot(*self.matrix)
        return float(across * self.outline.width_mm + down * self.outline.height_mm) / 2

    def to_mm(self, points_px: Array) -> Array:
        """Points (n, 2) of the picture, in the outline's own frame."""
        mapped: Array = (points_px - self.centre_px) @ np.linalg.inv(self.matrix).T
        return mapped

    def to_px(self, points_mm: Array) -> Array:
        """Points (n, 2) of the outline's own frame, in the picture."""
        mapped: Array = points_mm @ self.matrix.T + self.centre_px
        return mapped

    def feet(self, points_px: Array, rounds: int = FOOT_ROUNDS) -> tuple[Array, Array, Array]:
        """The nearest points of the curve to ``points_px`` (n, 2).

        Signed distances (n,) in px, feet (n, 2) in mm, outward normals (n, 2) in px. Orthogonal, in
        px: a step along the gradient onto the curve and one along the tangent towards the point, in
        turn, at most ``rounds`` times (E. Hartmann, The normalform of a space curve and its
        application to surface design, 1998, from memory). Each pair of steps shrinks the error by
        about distance times curvature.
        """
        inverse = np.linalg.inv(self.matrix)
        foot = points_px - self.centre_px
        given = foot
        outside = None
        for turn in range(rounds):
            distance, gradient = self.outline.signed_distance(foot @ inverse.T)
            normal = gradient @ inverse
            size = np.hypot(normal[:, 0], normal[:, 1])
            normal = normal / size[:, None]
            if outside is None:
                outside = np.where(distance < 0, -1.0, 1.0)
            moved = foot - normal * (distance / size)[:, None]
            settled = turn > 0 and np.max(np.abs(moved - foot), initial=0.0) < 1e-12 * np.max(
                np.abs(self.matrix)
            )
            foot = moved
            if settled:
                break
            if turn < rounds - 2:
                # The last rounds only settle onto the curve.
                apart = given - foot
                foot = foot + apart - normal * np.sum(apart * normal, axis=1)[:, None]
        apart = given - foot
        feet_mm = foot @ inverse.T
        _, gradient = self.outline.signed_distance(feet_mm)
        normal = gradient @ inverse
        size = np.hypot(normal[:, 0], normal[:, 1])
        normal = normal / size[:, None]
        distances = (
            outside * np.hypot(apart[:, 0], apart[:, 1]) if outside is not None else np.zeros(0)
        )
        return distances, feet_mm, normal

    def boundary(self, count: int) -> Boundary:
        """``count`` positions at equal distances (px) along the curve."""
        dense_mm, length_px = self._measured()
        share = np.arange(count) / count
        at = share * length_px[-1]
        points_mm = np.stack(
            [np.interp(at, length_px, dense_mm[:, axis]) for axis in (0, 1)], axis=1
        )
        _, feet_mm, normals = self.feet(self.to_px(points_mm))
        return Boundary(self.to_px(feet_mm), normals, share)

    def _measured(self) -> tuple[Array, Array]:
        """The outline's dense polyline and the curve's length up to each of its points.

        (n, 2) in mm, and (n,) in px of the picture.
        """
        dense_mm = self.outline.polyline()
        steps = np.hypot(*np.diff(self.to_px(dense_mm), axis=0).T)
        return dense_mm, np.concatenate([[0.0], np.cumsum(steps)])

    def shares(self, feet_mm: Array) -> Array:
        """How far round the curve (0 to 1, by length in px) feet (n, 2) stand."""
        dense_mm, length_px = self._measured()
        # The angle about the centre runs once round with the position, as the outline is convex.
        angle = np.unwrap(np.arctan2(dense_mm[:, 1], dense_mm[:, 0]))
        start = angle[0]
        at = (np.arctan2(feet_mm[:, 1], feet_mm[:, 0]) - start) % (2 * np.pi)
        found: Array = np.interp(at, angle - start, length_px / length_px[-1])
        return found


def coverage(around: Array, on_it: Array) -> Array:
    """The share of the way round that has points on it, for k outlines: (k,).

    By 48 sectors about the centre. Points are seen at angles ``around`` (k, n), radians, and
    ``on_it`` (k, n) says which lie on the outline.
    """
    sectors = ((around / (2 * np.pi) % 1.0) * _SECTORS).astype(int) % _SECTORS
    seen = np.zeros((len(around), _SECTORS), bool)
    which, point = np.nonzero(on_it)
    seen[which, sectors[which, point]] = True
    share: Array = seen.mean(axis=1)
    return share
