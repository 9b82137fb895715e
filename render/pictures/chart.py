"""Parts that charts share: an axis of values, a named band over it, and lines at the foot."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from render.canvas.lettering import LEADING, balanced, fitted, width_mm, wrapped
from render.canvas.theme import style
from render.pictures.frame import SHEET_MM, draw_title, page
from render.sentences.pairs import FEEL
from render.sentences.say import say, say_again
from render.sentences.words import number

if TYPE_CHECKING:
    from collections.abc import Sequence

    from render.canvas.scene import Easel
    from render.pictures.frame import Figure

#: The usual width of a sheet; a page gives its own, down to that of a telephone.
WIDE_MM = SHEET_MM[0]
#: On sheets narrower than this one thing stands below the other.
NARROW_MM = 220.0
#: No sheet is narrower.
NARROWEST_MM = 72.0
#: Where the room below title and words begins on the usual sheet, with one line of each.
HEAD_MM = 35.6

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

    @property
    def named_ticks(self) -> list[float]:
        """The ticks whose numbers stand clear of each other, whole numbers first."""
        em = style("note").em_mm
        named: list[tuple[float, float, float]] = []
        for tick in sorted(self.ticks, key=lambda tick: (tick % 1 != 0, tick)):
            half = width_mm(number(tick), em) / 2 + 0.8
            low, high = self.x(tick) - half, self.x(tick) + half
            if all(high <= other_low or low >= other_high for _, other_low, other_high in named):
                named.append((tick, low, high))
        return sorted(tick for tick, _, _ in named)

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


def draw_head(easel: Easel, title: str, words: str) -> float:
    """Write title and words of a chart, and return how far all below them moves down, mm.

    On the usual sheet nothing moves; on a narrow one they take as many lines as they need.
    """
    room = page(easel)
    if easel.width_mm >= WIDE_MM:
        draw_title(easel, title, words, room)
        return 0.0
    if easel.width_mm >= NARROW_MM:
        return draw_title(easel, title, words, room).top - HEAD_MM
    y = room.top
    with easel.block(room.left, room.width):
        for text, role, em in ((title, "title", 5.0), (words, "subtitle", 3.4)):
            bold = role == "title"
            for line in balanced(text, em, room.width, bold=bold) if text else ():
                size = fitted(line, em, room.width, bold=bold)
                easel.text(line, room.left, y, role, level="top", em_mm=size)
                y += em * LEADING
            y += 1.0
    return y + 3.0 - HEAD_MM


def draw_notes(easel: Easel, lines: Sequence[str], top: float) -> float:
    """Write lines of words under a chart, from ``top`` down, and return where they end.

    A line that is longer than the sheet becomes smaller on the usual one, and several on others.
    """
    room, small = page(easel), style("note").em_mm
    if easel.width_mm < WIDE_MM:
        lines = [part for line in lines for part in wrapped(line, small, room.width)]
    with easel.block(room.left, room.width):
        for at, line in enumerate(lines):
            em = fitted(line, small, room.width)
            easel.text(line, room.left, top + 5.0 * at, "note", level="top", em_mm=em)
    return top + 5.0 * len(lines)


def draw_figures_below(easel: Easel, figures: Sequence[Figure], top: float) -> float:
    """Draw figures one below the other from ``top``, each with its caption in lines; their end."""
    room, em, small = page(easel), 6.0, style("note").em_mm
    y = top
    with easel.block(room.left, room.width):
        for figure in figures:
            easel.text(figure.value, room.left, y, "number", level="top", em_mm=em)
            y += em * LEADING
            for line in wrapped(figure.words, small, room.width):
                easel.text(line, room.left, y, "note", level="top")
                y += small * LEADING
            y += 3.0
    return y
