"""Affine maps of the plane: one value type that composes, inverts and is applied.

``@`` composes (the right-hand map acts first) and ``~`` inverts; every other operator is refused,
since its meaning would be a matter of opinion. Points and vectors have different methods, as a
vector is not moved by the offset.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, quoted
from mapper.rect import Rect
from mapper.units import finite

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray


_BLOCK = 1 << 13

_ELEMENTS = {name: phrase("matrix element {name}", name=name) for name in "abcdef"}


@dataclass(frozen=True, slots=True)
class Affine:
    """The map ``x' = a·x + b·y + c``, ``y' = d·x + e·y + f``.

    ``a, b, d, e`` are in units of the result per unit of the argument; ``c`` and ``f`` are in the
    unit of the result. ``A @ B`` maps by B first, ``~A`` maps back. Raises RequestError for numbers
    that are not finite.

    >>> from mapper.rect import Rect
    >>> to_px = Affine.between(Rect(0, 0, 240, 135), Rect(0, 0, 1920, 1080))
    >>> to_px.point(120, 67.5)
    (960.0, 540.0)
    >>> to_px.vector(1, 0)
    (8.0, 0.0)
    >>> (~to_px).point(960, 540)
    (120.0, 67.5)
    """

    a: float
    b: float
    c: float
    d: float
    e: float
    f: float

    def __post_init__(self) -> None:
        for name, called in _ELEMENTS.items():
            object.__setattr__(self, name, finite(getattr(self, name), called))

    @classmethod
    def identity(cls) -> Affine:
        return cls(1.0, 0.0, 0.0, 0.0, 1.0, 0.0)

    @classmethod
    def between(cls, source: Rect, target: Rect) -> Affine:
        """The map that takes ``source`` onto ``target``, corner to corner, never mirrored.

        ``x' = (x - source.left)·(target.width / source.width) + target.left``, and the same for y.
        """
        scale_x, scale_y = target.width / source.width, target.height / source.height
        return cls(
            scale_x,
            0.0,
            target.left - source.left * scale_x,
            0.0,
            scale_y,
            target.top - source.top * scale_y,
        )

    @classmethod
    def quarter_turn(cls, turn_deg: int, width: float, height: float) -> Affine:
        """The map from built to seen coordinates of a tablet turned by quarter turns.

        ``turn_deg`` is 0, 90, 180 or 270 degrees clockwise; ``width`` and ``height`` are the built
        size. A built point (x, y) is seen at (x, y), (H - y, x), (W - x, H - y) or (y, W - x).
        Exact: the linear part holds only 0, 1 and -1. Raises RequestError for any other turn.

        >>> Affine.quarter_turn(90, 240, 152).point(0, 0)
        (152.0, 0.0)
        """
        if isinstance(turn_deg, bool) or turn_deg not in (0, 90, 180, 270):
            raise RequestError(
                Problem(
                    "turn", phrase("must be 0, 90, 180 or 270 degrees clockwise"), quoted(turn_deg)
                )
            )
        if turn_deg == 0:
            return cls(1, 0, 0, 0, 1, 0)
        if turn_deg == 90:
            return cls(0, -1, height, 1, 0, 0)
        if turn_deg == 180:
            return cls(-1, 0, width, 0, -1, height)
        return cls(0, 1, 0, -1, 0, width)

    @classmethod
    def rotation_about(cls, angle_deg: float, x: float, y: float) -> Affine:
        """A rotation by ``angle_deg``, clockwise as seen, about the point (x, y)."""
        cosine, sine = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
        return cls(
            cosine, -sine, x - cosine * x + sine * y, sine, cosine, y - sine * x - cosine * y
        )

    @property
    def determinant(self) -> float:
        """The factor by which areas grow; negative where the map mirrors."""
        return self.a * self.e - self.b * self.d

    @property
    def linear(self) -> tuple[float, float, float, float]:
        """The linear part, row by row: a, b, d, e."""
        return self.a, self.b, self.d, self.e

    @property
    def rows(self) -> tuple[tuple[float, float, float], ...]:
        """The 3 by 3 homogeneous matrix, row-major."""
        return (self.a, self.b, self.c), (self.d, self.e, self.f), (0.0, 0.0, 1.0)

    def __matmul__(self, other: Affine) -> Affine:
        """This map after ``other``.

        ``(A @ B).point(x, y) == A.point(*B.point(x, y))`` up to rounding.
        """
        if not isinstance(other, Affine):
            return NotImplemented
        return Affine(
            self.a * other.a + self.b * other.d,
            self.a * other.b + self.b * other.e,
            self.a * other.c + self.b * other.f + self.c,
            self.d * other.a + self.e * other.d,
            self.d * other.b + self.e * other.e,
            self.d * other.c + self.e * other.f + self.f,
        )

    def __invert__(self) -> Affine:
        """The map that undoes this one. Raises RequestError where this one flattens the plane."""
        determinant = self.determinant
        if determinant == 0:
            raise RequestError(
                Problem(
                    "matrix",
                    phrase("must not flatten the plane: it has no inverse"),
                    phrase("determinant 0"),
                )
            )
        a, b = self.e / determinant, -self.b / determinant
        d, e = -self.d / determinant, self.a / determinant
        # 0.0 - x keeps the zeros positive where the offset is zero.
        return Affine(a, b, 0.0 - (a * self.c + b * self.f), d, e, 0.0 - (d * self.c + e * self.f))

    def point(self, x: float, y: float) -> tuple[float, float]:
        """Where the point (x, y) lands."""
        return self.a * x + self.b * y + self.c, self.d * x + self.e * y + self.f

    def vector(self, x: float, y: float) -> tuple[float, float]:
        """What becomes of the movement (x, y), on which the offset does not act."""
        return self.a * x + self.b * y, self.d * x + self.e * y

    def rect(self, rect: Rect) -> Rect:
        """The smallest rectangle around the image of ``rect``.

        It is the exact image where the map keeps axes to axes.
        """
        xs, ys = zip(*(self.point(x, y) for x, y in rect.corners), strict=True)
        # Straight from the linear part: a difference of two corners would lose digits.
        width = abs(self.a) * rect.width + abs(self.b) * rect.height
        height = abs(self.d) * rect.width + abs(self.e) * rect.height
        return Rect(min(xs), min(ys), width, height)

    def points(self, points: ArrayLike) -> NDArray[Any]:
        """Where many points land: a new float64 array of the shape of ``points``, (..., 2).

        ``x' = a·x + b·y + c``, ``y' = d·x + e·y + f``, summed from left to right, so that every
        point is to the last bit what it would be alone. Raises RequestError where the points are no
        numbers or the last axis is not 2 long.

        >>> Affine(2, 0, 1, 0, 2, 0).points([(0, 0), (3, 4)]).tolist()
        [[1.0, 0.0], [7.0, 8.0]]
        """
        # Here and not above: a single map has no reason to pay for numpy's import.
        import numpy as np

        try:
            given = np.asarray(points, dtype=np.float64)
        except (TypeError, ValueError) as error:
            raise RequestError(
                Problem("points", phrase("must be an array of numbers"), quoted(str(error)))
            ) from None
        if given.ndim == 0 or given.shape[-1] != 2:
            raise RequestError(
                Problem(
                    "points",
                    phrase("must be an array of shape (..., 2)"),
                    phrase("shape {shape}", shape=given.shape),
                )
            )
        flat = given.reshape(-1, 2)
        moved = np.empty_like(flat)
        # In blocks that stay in the processor's cache with all that is in between.
        for start in range(0, len(flat), _BLOCK):
            x, y = flat[start : start + _BLOCK].T
            moved[start : start + _BLOCK, 0] = self.a * x + self.b * y + self.c
            moved[start : start + _BLOCK, 1] = self.d * x + self.e * y + self.f
        return moved.reshape(given.shape)
