"""Paths as plain commands, and the colours that a person gave one of their own."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable

    from mapper.affine import Affine
    from mapper.rect import Rect

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Outline:
    """A path as a sequence of commands.

    ``("M", x, y)`` moves, ``("L", x, y)`` draws a line, ``("C", x1, y1, x2, y2, x, y)`` a cubic
    Bezier curve, ``("Z",)`` closes. Its unit and frame are those of the name it is kept under; the
    marks of a scene are in mm of the sheet.

    >>> Outline.line([(0, 0), (3, 4)]).commands
    (('M', 0.0, 0.0), ('L', 3.0, 4.0))
    """

    commands: tuple[tuple[Any, ...], ...]

    @classmethod
    def line(cls, points: Iterable[Point], *, closed: bool = False) -> Outline:
        """Straight lines from point to point, back to the first where ``closed``."""
        commands: list[tuple[Any, ...]] = [
            ("L" if at else "M", float(x), float(y)) for at, (x, y) in enumerate(points)
        ]
        return cls((*commands, ("Z",)) if closed else tuple(commands))

    @classmethod
    def rect(cls, rect: Rect) -> Outline:
        return cls.line(rect.corners, closed=True)

    @classmethod
    def rounded(cls, rect: Rect, radius: float) -> Outline:
        """A rectangle with corners rounded by ``radius`` (cut to half the shorter side)."""
        r = min(radius, rect.width / 2, rect.height / 2)
        k = r * (1 - 4 / 3 * math.tan(math.pi / 8))
        left, top, right, bottom = rect.left, rect.top, rect.right, rect.bottom
        return cls(
            (
                ("M", left + r, top),
                ("L", right - r, top),
                ("C", right - k, top, right, top + k, right, top + r),
                ("L", right, bottom - r),
                ("C", right, bottom - k, right - k, bottom, right - r, bottom),
                ("L", left + r, bottom),
                ("C", left + k, bottom, left, bottom - k, left, bottom - r),
                ("L", left, top + r),
                ("C", left, top + k, left + k, top, left + r, top),
                ("Z",),
            )
        )

    @classmethod
    def circle(cls, x: float, y: float, radius: float) -> Outline:
        """A circle of eight cubic curves.

        It leaves the true circle by less than 5 millionths of its radius.
        """
        return cls.arc(x, y, radius, 0.0, 360.0, closed=True)

    @classmethod
    def arc(
        cls,
        x: float,
        y: float,
        radius: float,
        from_deg: float,
        to_deg: float,
        *,
        closed: bool = False,
    ) -> Outline:
        """An arc about (x, y), angles from the x axis towards the y axis."""
        pieces = max(1, math.ceil(abs(to_deg - from_deg) / 45 - 1e-9))
        step = math.radians(to_deg - from_deg) / pieces
        reach = 4 / 3 * math.tan(step / 4) * radius
        commands: list[tuple[Any, ...]] = []
        leave = (0.0, 0.0)
        for piece in range(pieces + 1):
            angle = math.radians(from_deg) + piece * step
            cos, sin = math.cos(angle), math.sin(angle)
            px, py = x + radius * cos, y + radius * sin
            if not piece:
                commands.append(("M", px, py))
            else:
                commands.append(("C", *leave, px + reach * sin, py - reach * cos, px, py))
            leave = (px - reach * sin, py + reach * cos)
        return cls((*commands, ("Z",)) if closed else tuple(commands))

    def through(self, affine: Affine) -> Outline:
        """This path mapped by ``affine``.

        Exact: the affine image of a Bezier curve is the curve of the mapped points.
        """
        mapped: list[tuple[Any, ...]] = []
        for name, *numbers in self.commands:
            pairs = (affine.point(numbers[at], numbers[at + 1]) for at in range(0, len(numbers), 2))
            mapped.append((name, *(number for pair in pairs for number in pair)))
        return Outline(tuple(mapped))

    @property
    def points(self) -> tuple[Point, ...]:
        """All points, control points included."""
        return tuple(
            (command[at], command[at + 1])
            for command in self.commands
            for at in range(1, len(command) - 1, 2)
        )

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom of all points.

        Control points count as well, so that a curve may be smaller.
        """
        xs, ys = zip(*self.points, strict=True)
        return min(xs), min(ys), max(xs), max(ys)


@dataclass(frozen=True, slots=True)
class Style:
    """The colours and line width that a person gave a drawing of their own.

    ``fill`` and ``line`` are ``#RRGGBB`` or empty for none. ``width`` is the line's, in mm of the
    sheet on a shape, and in the drawing's own unit before that.
    """

    fill: str
    line: str
    width: float
