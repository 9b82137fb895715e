"""Probes: shapes in mm under the hand, drawn to show what a map does to them.

Every probe has a name and is drawn about a point within a radius, so that it fits where a circle
fits.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

from mapper.paths import Outline
from mapper.problems import one_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from mapper.rect import Rect


@dataclass(frozen=True, slots=True)
class Probe:
    """One shape under the hand, seen mm.

    ``closed`` shapes have an inside, which is tinted. ``thin`` ones have many lines, drawn fine and
    without a ghost.
    """

    name: str
    outline: Outline
    about: tuple[float, float]
    closed: bool = False
    thin: bool = False


def _square(x: float, y: float, r: float) -> Outline:
    half = 0.86 * r
    return Outline.line(
        [(x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)],
        closed=True,
    )


def _diagonals(x: float, y: float, r: float) -> Outline:
    """Two lines at 45 degrees, one rising and one falling."""
    reach = r * math.sqrt(0.5) * 1.1
    return Outline(
        (
            ("M", x - reach, y + reach),
            ("L", x + reach, y - reach),
            ("M", x - reach, y - reach),
            ("L", x + reach, y + reach),
        )
    )


def _hatching(x: float, y: float, r: float) -> Outline:
    """Shading as a hand does it: strokes at 45 degrees, evenly spaced, over a round patch."""
    commands: list[tuple[Any, ...]] = []
    strokes = 15
    for index in range(strokes):
        away = r * (2 * (index + 0.5) / strokes - 1)
        half = math.sqrt(r * r - away * away)
        # Along (1, -1)/√2, set off along (1, 1)/√2.
        cx, cy = x + away * math.sqrt(0.5), y + away * math.sqrt(0.5)
        step = half * math.sqrt(0.5)
        commands += [("M", cx - step, cy + step), ("L", cx + step, cy - step)]
    return Outline(tuple(commands))


# A flourish of our own, in units of the radius, y down: a tall loop, two waves and a long swash
# under them.
_FLOURISH = (
    ("M", -1.0, 0.28),
    ("C", -0.86, -0.3, -0.72, -0.92, -0.5, -0.78),
    ("C", -0.28, -0.64, -0.78, 0.1, -0.7, 0.3),
    ("C", -0.64, 0.46, -0.5, -0.02, -0.38, -0.04),
    ("C", -0.26, -0.06, -0.42, 0.3, -0.3, 0.3),
    ("C", -0.18, 0.3, -0.12, -0.06, 0.0, -0.06),
    ("C", 0.12, -0.06, -0.06, 0.28, 0.08, 0.28),
    ("C", 0.24, 0.28, 0.3, -0.5, 0.42, -0.52),
    ("C", 0.54, -0.54, 0.3, 0.2, 0.42, 0.26),
    ("C", 0.56, 0.33, 0.62, -0.04, 0.74, -0.06),
    ("C", 0.86, -0.08, 0.78, 0.18, 0.98, 0.1),
    ("M", -0.78, 0.62),
    ("C", -0.3, 0.4, 0.3, 0.42, 0.72, 0.5),
    ("C", 0.98, 0.56, 0.4, 0.66, 0.1, 0.72),
)


def _signature(x: float, y: float, r: float) -> Outline:
    commands = []
    for name, *numbers in _FLOURISH:
        placed = [
            x + r * value if at % 2 == 0 else y + r * value for at, value in enumerate(numbers)
        ]
        commands.append((name, *placed))
    return Outline(tuple(commands))


def _span(x: float, y: float, r: float) -> Outline:
    """A fan of 100 degrees: the arc that a hand draws about its wrist, and the two sides."""
    wrist_y, long = y + 0.65 * r, 1.35 * r
    arc = Outline.arc(x, wrist_y, long, -140, -40)
    short = Outline.arc(x, wrist_y, 0.55 * long, -140, -40)
    (_, x0, y0), (*_, x1, y1) = arc.commands[0], arc.commands[-1]
    return Outline(
        (*arc.commands, *short.commands, ("M", x0, y0), ("L", x, wrist_y), ("L", x1, y1))
    )


class _Kind(NamedTuple):
    """How a probe is drawn: see ``Probe`` for the words."""

    outline: Callable[[float, float, float], Outline]
    closed: bool = False
    thin: bool = False


_KINDS = {
    "circle": _Kind(Outline.circle, closed=True),
    "square": _Kind(_square, closed=True),
    "diagonals": _Kind(_diagonals),
    "hatching": _Kind(_hatching, thin=True),
    "signature": _Kind(_signature),
    "span": _Kind(_span),
}

#: All names; ``grid`` lies over the whole area, the others stand in the middle of each display's
#: part of it.
PROBES = ("grid", *_KINDS)


def probe(name: str, x: float, y: float, radius: float) -> Probe:
    """The shape ``name`` about (x, y), within about ``radius``.

    Raises RequestError for an unknown name, and for grid, which has a function of its own.
    """
    kind = _KINDS[one_of(name, tuple(_KINDS), "probe")]
    return Probe(name, kind.outline(x, y, radius), (x, y), kind.closed, kind.thin)


def nice_step(value: float) -> float:
    """The largest round number that is at most ``value``: 1, 2 or 5 times a power of ten."""
    power = 10.0 ** math.floor(math.log10(value))
    return max((m * power for m in (1, 2, 5) if m * power <= value * (1 + 1e-9)), default=power)


def grid_step_mm(area_mm: Rect) -> float:
    """The width of the grid's squares: a round number, about a fifth of the shorter side or less.

    It is larger for an area that is a mere strip, so that there are never more than some hundred
    lines.
    """
    shorter, longer = sorted((area_mm.width, area_mm.height))
    return nice_step(max(shorter / 5, longer / 50))


def grid(corners_mm: tuple[tuple[float, float], ...], step_mm: float) -> Outline:
    """Lines along x and y, ``step_mm`` apart, from edge to edge of a convex area.

    One line each way runs through the middle.
    """
    x = sum(corner[0] for corner in corners_mm) / len(corners_mm)
    y = sum(corner[1] for corner in corners_mm) / len(corners_mm)
    flipped = tuple((b, a) for a, b in corners_mm)
    commands: list[tuple[Any, ...]] = []
    for at, low, high in _chords(corners_mm, x, step_mm):
        commands += [("M", at, low), ("L", at, high)]
    for at, low, high in _chords(flipped, y, step_mm):
        commands += [("M", low, at), ("L", high, at)]
    return Outline(tuple(commands))


def _chords(
    corners: tuple[tuple[float, float], ...], middle: float, step: float
) -> list[tuple[float, float, float]]:
    """The lines x = middle + n·step inside a convex polygon: x, and the lower and the higher y."""
    left, right = min(x for x, _ in corners), max(x for x, _ in corners)
    found = []
    for index in range(
        math.ceil((left - middle) / step - 1e-9), math.floor((right - middle) / step + 1e-9) + 1
    ):
        at = min(max(middle + index * step, left), right)
        ys = []
        for (x0, y0), (x1, y1) in zip(corners, (*corners[1:], corners[0]), strict=True):
            if min(x0, x1) <= at <= max(x0, x1):
                ys += [y0, y1] if x0 == x1 else [y0 + (y1 - y0) * (at - x0) / (x1 - x0)]
        if ys and max(ys) > min(ys):
            found.append((at, min(ys), max(ys)))
    return found
