"""Reach against precision: how hand travel falls and misses rise as the scale factor grows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mapper.choosing.recommended import CAUTION, PRACTICE
from mapper.paths import Outline
from mapper.rect import Rect
from render.canvas.lettering import width_mm
from render.canvas.scene import Easel, Scene
from render.canvas.theme import style
from render.pictures.chart import (
    NARROW_MM,
    WIDE_MM,
    Axis,
    draw_head,
    draw_notes,
    name_comfortable_band,
)
from render.pictures.frame import margin_mm
from render.sentences.say import paragraph, say, say_again
from render.sentences.travel import display_name, travel_sentences
from render.sentences.words import fixed, number

if TYPE_CHECKING:
    from collections.abc import Callable

    from mapper.choosing.travel import Crossing

HIGH_MM = 190.0
# The words beside the panels, and the room to their right; on a narrow sheet they stand above them.
WORDS_MM, RIGHT_MM = 79.0, 20.0
PANELS_MM = ((47.0, 99.0), (113.0, 165.0))
NARROW_PANELS_MM = ((58.0, 103.0), (121.0, 166.0))
# How far above its panel the words begin there: over the first stands the name of the band.
ABOVE_MM = (18.0, 13.0)
# The axis always shows these.
LEAST_RANGE = (1.0, 6.0)
STEPS = 120


def travel_scene(crossed: Crossing, *, wide_mm: float = WIDE_MM) -> Scene:
    """The chart of one crossing: hand travel above, misses below, over the scale factor.

    Its sheet is ``wide_mm`` wide.
    """
    return _TravelChart(crossed, wide_mm).scene()


class _TravelChart:
    def __init__(self, crossed: Crossing, wide_mm: float) -> None:
        self.crossed = crossed
        self.easel = Easel(wide_mm, min(HIGH_MM, wide_mm))
        self.is_narrow = wide_mm < NARROW_MM
        self.margin_mm = margin_mm(self.easel)
        self.left, self.right = self.margin_mm + WORDS_MM, wide_mm - RIGHT_MM
        self.panels = PANELS_MM
        if self.is_narrow:
            self.left, self.right = self.margin_mm + 10.0, wide_mm - self.margin_mm - 2.0
            self.panels = NARROW_PANELS_MM
        own = LEAST_RANGE[0] if crossed.own_scale is None else crossed.own_scale
        self.low, self.high = min(LEAST_RANGE[0], own / 1.05), max(LEAST_RANGE[1], own * 1.05)
        self.axis = Axis(self.low, self.high, self.left, self.right, even=True)
        self.far_mm = crossed.at(self.low).corner_to_corner_mm

    def title(self) -> str:
        own = self.crossed.own_scale
        if own is None:
            return say("A small scale factor needs long movements, a large one precise ones")
        at = self.crossed.at(own)
        return say(
            "At a scale factor of {factor} the hand moves {mm} mm, and {misses} of 100 taps miss",
            factor=number(own),
            mm=fixed(at.corner_to_corner_mm, 0),
            misses=fixed(100 - at.hit_percent, 0),
        )

    def scene(self) -> Scene:
        easel = self.easel
        title = self.title()
        words = say(
            "The hand crosses {display} from corner to corner, and taps on {target}.",
            display=display_name(self.crossed.display),
            target=say_again(self.crossed.target_words),
        )
        down = draw_head(easel, title, words)
        reach, misses = ((top + down, bottom + down) for top, bottom in self.panels)
        self.panels, foot = (reach, misses), misses[1]
        self._draw_band()
        self._panel(
            self.panels[0],
            self._reach_words(),
            lambda scale: self.crossed.at(scale).corner_to_corner_mm,
            self.far_mm * (1.3 if self.is_narrow else 1.05),
        )
        self._panel(
            self.panels[1],
            self._miss_words(),
            lambda scale: 100 - self.crossed.at(scale).hit_percent,
            max(10.0, 100 - self.crossed.at(self.high).hit_percent) * 1.08,
        )
        for tick in range(1, int(self.high) + 1, 1 if self.high < 15 else 5):
            easel.text(
                number(tick),
                self.axis.x(tick),
                foot + 2.5,
                "note",
                anchor="middle",
                level="top",
            )
        easel.text(say("scale factor"), self.right, foot + 8.0, "note", anchor="end", level="top")
        end = draw_notes(easel, [self._hand_words()], foot + 15.5)
        if easel.width_mm < WIDE_MM:
            easel.height_mm = end + self.margin_mm
        return easel.scene(title=title, description=self.description())

    def _hand_words(self) -> str:
        """Where the hand's scatter is from, and the band."""
        hand, thumb = self.crossed.hand, self.crossed.band.source == PRACTICE
        mm = number(hand.mm)
        if hand.source != PRACTICE:
            return say(
                "Taps land about {mm} mm off: {source}. Take breaks; if anything hurts, stop.",
                mm=mm,
                source=say_again(hand.source),
            )
        if thumb:
            return say(
                "Two rules of thumb (common practice, no source): the band, and taps that land "
                "about {mm} mm off. Take breaks; if anything hurts, stop.",
                mm=mm,
            )
        return say(
            "Taps land about {mm} mm off: a rule of thumb (common practice, no source). "
            "Take breaks; if anything hurts, stop.",
            mm=mm,
        )

    def description(self) -> str:
        """All that the chart shows, in sentences, for people who cannot see it."""
        crossed, band = self.crossed, self.crossed.band
        low, high = crossed.at(self.low), crossed.at(self.high)
        return paragraph(
            [
                say(
                    "The hand crosses {display}, and taps on {target}.",
                    display=display_name(crossed.display),
                    target=say_again(crossed.target_words),
                ),
                say(
                    "Two curves by scale factor, from {low} to {high}.",
                    low=number(self.low),
                    high=number(self.high),
                ),
                say(
                    "Above, the distance that the hand moves from corner to corner falls from "
                    "{most} to {least} mm.",
                    most=fixed(low.corner_to_corner_mm, 0),
                    least=fixed(high.corner_to_corner_mm, 0),
                ),
                say(
                    "Below, the misses of 100 taps grow from {fewest} to {most}.",
                    fewest=fixed(100 - low.hit_percent, 0),
                    most=fixed(100 - high.hit_percent, 0),
                ),
                say(
                    "The band from {low} to {high} is marked as comfortable.",
                    low=number(band.low),
                    high=number(band.high),
                ),
                *travel_sentences(crossed),
                say_again(CAUTION),
            ]
        )

    def _draw_band(self) -> None:
        band = self.crossed.band.low, self.crossed.band.high
        low, high = map(self.axis.x, band)
        (top, end), (again, bottom) = self.panels
        spans = [(top - 3.0, bottom)]
        if self.is_narrow:
            # Between the panels stand words.
            spans = [(top, end), (again, bottom)]
        for first, last in spans:
            self.easel.rect(Rect(low, first, max(high - low, 0.5), last - first), "band")
        name_comfortable_band(self.easel, self.axis, band, spans[0])

    def _reach_words(self) -> list[str]:
        if self.is_narrow:
            return [say("Hand movement"), say("mm under the hand, corner to corner")]
        return [say("Hand movement"), say("mm under the hand,"), say("corner to corner")]

    def _miss_words(self) -> list[str]:
        if self.is_narrow:
            return [say("Misses"), say("of 100 taps on the target")]
        return [say("Misses"), say("of 100 taps"), say("on the target")]

    def _write(self, words: list[str], top: float) -> None:
        """Write what a panel shows beside it, or above it on a narrow sheet."""
        y, below = top + 4.0, 7.0
        if self.is_narrow:
            y, below = top - ABOVE_MM[top != self.panels[0][0]], 5.8
        # Beside a panel the words are in a column of their own.
        end = self.right if self.is_narrow else self.left - 8.0
        with self.easel.block(self.margin_mm, end - self.margin_mm):
            self.easel.text(words[0], self.margin_mm, y, "heading", level="top")
            for index, line in enumerate(words[1:]):
                self.easel.text(line, self.margin_mm, y + below + index * 4.8, "note", level="top")

    def _panel(
        self,
        span: tuple[float, float],
        words: list[str],
        value: Callable[[float], float],
        most: float,
    ) -> None:
        easel = self.easel
        top, bottom = span

        def y_of(number_: float) -> float:
            return bottom - number_ / most * (bottom - top)

        self._write(words, top)
        easel.line([(self.left, bottom), (self.right, bottom)], "rule")
        points = [self.low + (self.high - self.low) * step / STEPS for step in range(STEPS + 1)]
        easel.line([(self.axis.x(scale), y_of(value(scale))) for scale in points], "curve")
        own = self.crossed.own_scale
        shown = {1.0: False, 2.0: False, 3.5: False, 5.0: False}
        if own is not None:
            shown = {
                scale: False for scale in shown if abs(self.axis.x(scale) - self.axis.x(own)) > 16.0
            } | {own: True}
        for scale, mine in shown.items():
            x, y = self.axis.x(scale), y_of(value(scale))
            easel.shape(Outline.circle(x, y, 2.3 if mine else 1.5), "result-dot" if mine else "dot")
            text = fixed(value(scale), 0)
            # Beside the curve, on the side from which it comes away.
            falling = value(scale) > value(self.high)
            role = "result-label" if mine else "label"
            at = x - 3.0
            if falling:
                wide = width_mm(text, style(role).em_mm, bold=style(role).bold)
                at = min(x + 3.0, easel.width_mm - wide - 0.5)
            easel.text(text, at, y - 3.0, role, anchor="start" if falling else "end")
