"""Parts that charts share: an axis of values, a named band over it, and lines at the foot."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from render.canvas.lettering import fitted, width_mm
from render.canvas.theme import style
from render.pictures.frame import page
from render.sentences.pairs import FEEL
from render.sentences.say import say, say_again
from render.sentences.words import number

if TYPE_CHECKING:
    from collections.abc import Sequence

    from render.canvas.scene import Easel

TICKS = (
    *(0.5, 0.75, 1, 1.5, 2, 2.5, 3, 3.5, 4, 5, 6, 8),
    *(10, 15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 100, 120),
)


@dataclass(frozen=True, slots=True)
class Axis:
    """The values from ``low`` to ``high``, drawn across the sheet from ``left`` to ``right`` (mm).

    They are spaced by their logarithms, or evenly with ``even``.
    """

    low: float
    high: float
    left: float
    right: float
    even: bool = False

    def x(self, value: float) -> float:
        """Where ``value`` lies, mm of the sheet; values beyond the axis lie at its end."""
        ends = self.low, self.high, min(max(value, self.low), self.high)
        low, high, at = ends if self.even else map(math.log, ends)
        return self.left + (at - low) / (high - low) * (self.right - self.left)

    @property
    def ticks(self) -> list[float]:
        """The round values that the axis shows."""
        return [tick for tick in TICKS if self.low <= tick <= self.high]

    def centred(self, x: float, half: float) -> float:
        """The middle nearest to ``x`` at which a mark of half width ``half`` stays on the axis."""
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
        """Draw the edges of ``band`` over ``span`` (top and bottom, mm), and its name above.

        The words ``below`` and ``above`` stand on either side of the name where there is room.
        """
        low, high = (self.x(value) for value in band)
        top, bottom = span
        for edge in (low, high):
            easel.line([(edge, top), (edge, bottom)], "band-edge")
        half = width_mm(words, style("hand-label").em_mm, bold=True) / 2
        centre = self.centred((low + high) / 2, half)
        easel.text(words, centre, top - 3.0, "hand-label", anchor="middle")
        for side_words, x, anchor, room in (
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
            if side_words and width_mm(side_words, style("note").em_mm) + 3.0 <= room:
                easel.text(side_words, x, top - 3.0, "note", anchor=anchor)


def name_comfortable_band(
    easel: Easel, axis: Axis, band: tuple[float, float], span: tuple[float, float]
) -> None:
    """Draw a band of comfortable scale factors, and say what is felt below and above it."""
    words = say("comfortable: {low} to {high}", low=number(band[0]), high=number(band[1]))
    sides = {side: say_again(FEEL[side]) for side in ("below", "above")}
    axis.name_band(easel, band, span, words, **sides)


def draw_notes(easel: Easel, lines: Sequence[str], top: float) -> None:
    """Write lines of words under a chart, from ``top`` down."""
    room = page(easel)
    for at, line in enumerate(lines):
        em = fitted(line, style("note").em_mm, room.width)
        easel.text(line, room.left, top + 5.0 * at, "note", level="top", em_mm=em)
