"""What charts share: an axis of values, a band over it with its name, and lines at the foot."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from render.canvas.lettering import fitted, width_mm
from render.canvas.theme import style
from render.pictures.frame import page

if TYPE_CHECKING:
    from collections.abc import Sequence

    from render.canvas.scene import Easel

TICKS = (
    0.5,
    0.75,
    1,
    1.5,
    2,
    2.5,
    3,
    3.5,
    4,
    5,
    6,
    8,
    10,
    15,
    20,
    25,
    30,
    35,
    40,
    45,
    50,
    60,
    70,
    80,
    100,
    120,
)


@dataclass(frozen=True, slots=True)
class Axis:
    """Values from ``low`` to ``high`` across the sheet from ``left`` to ``right``, mm; by their
    logarithms unless ``even``.
    """

    low: float
    high: float
    left: float
    right: float
    even: bool = False

    def x(self, value: float) -> float:
        """Where ``value`` lies; what is beyond the axis lies at its end."""
        ends = self.low, self.high, min(max(value, self.low), self.high)
        low, high, at = ends if self.even else map(math.log, ends)
        return self.left + (at - low) / (high - low) * (self.right - self.left)

    @property
    def ticks(self) -> list[float]:
        """The round values that it shows."""
        return [tick for tick in TICKS if self.low <= tick <= self.high]

    def centred(self, x: float, half: float) -> float:
        """The middle, as near to ``x`` as it can be, of what reaches ``half`` to either side and
        stays on the axis.
        """
        return min(max(x, self.left + half), self.right - half)

    def name_band(
        self,
        easel: Easel,
        band: tuple[float, float],
        span: tuple[float, float],
        words: str,
        *,
        below: str = "",
        above: str = "",
    ) -> None:
        """The edges of ``band`` over ``span`` (top and bottom, mm), and its name on top.

        Beside the name stands, where there is room, what lies ``below`` and ``above``.
        """
        low, high = (self.x(value) for value in band)
        top, bottom = span
        for edge in (low, high):
            easel.line([(edge, top), (edge, bottom)], "band-edge")
        half = width_mm(words, style("hand-label").em_mm, bold=True) / 2
        centre = self.centred((low + high) / 2, half)
        easel.text(words, centre, top - 3.0, "hand-label", anchor="middle")
        for told, x, anchor, room in (
            (
                below and f"\N{LEFTWARDS ARROW} {below}",
                self.left,
                "start",
                centre - half - self.left,
            ),
            (
                above and f"{above} \N{RIGHTWARDS ARROW}",
                self.right,
                "end",
                self.right - centre - half,
            ),
        ):
            if told and width_mm(told, style("note").em_mm) + 3.0 <= room:
                easel.text(told, x, top - 3.0, "note", anchor=anchor)


def draw_notes(easel: Easel, lines: Sequence[str], top: float) -> None:
    """Lines of words under a chart, from ``top`` down."""
    room = page(easel)
    for at, line in enumerate(lines):
        em = fitted(line, style("note").em_mm, room.width)
        easel.text(line, room.left, top + 5.0 * at, "note", level="top", em_mm=em)
