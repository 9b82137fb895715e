"""The chart of a band: every score over its value, what the model makes of them, and the band with its doubt."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from mapper.paths import Outline
from mapper.rect import Rect
from mapper.trials.comfort import HELD_PERCENT, SCORES, expected_scores
from profiles.library.trial_book import SCORE_WORDS
from render.canvas.lettering import fitted, width_mm
from render.canvas.scene import Easel, Scene
from render.canvas.theme import style
from render.sentences.band import band_title, not_tried, value_words, words_of
from render.words import number

if TYPE_CHECKING:
    from mapper.trials.comfort import Trial
    from profiles.library.personal import Found

WIDE_MM, HIGH_MM, MARGIN_MM = 320.0, 180.0, 13.0
LEFT, RIGHT, TOP, BOTTOM = MARGIN_MM + 38.0, WIDE_MM - MARGIN_MM, 46.0, 138.0
DOT_MM = 1.9
CURVE_POINTS = 61


def band_chart_scene(found: Found, title: str | None = None, *, heading: bool = True) -> Scene:
    """The chart of ``found``, under a ``title`` of its own unless one is given."""
    return _Chart(found).scene(title or band_title(found), heading=heading)


class _Chart:
    def __init__(self, found: Found) -> None:
        self.found = found
        values = [trial.value for trial in found.trials]
        spread = (found.practice.low / 1.35, found.practice.high * 1.35, found.band.low / 1.1, found.band.high * 1.1)
        self.low = math.log(min(*spread, *(value / 1.08 for value in values)))
        self.high = math.log(max(*spread, *(value * 1.08 for value in values)))

    def x_of(self, value: float) -> float:
        return LEFT + (math.log(value) - self.low) / (self.high - self.low) * (RIGHT - LEFT)

    def y_of(self, score: float) -> float:
        # Half a mark of room below 1 and above 5, for the dots that lie on them.
        return BOTTOM - (score - 0.6) / (5.4 - 0.6) * (BOTTOM - TOP)

    def scene(self, title: str, *, heading: bool) -> Scene:
        easel = Easel(WIDE_MM, HIGH_MM)
        room = WIDE_MM - 2 * MARGIN_MM
        em = fitted(title, style("title").em_mm, room, bold=True)
        if heading:
            easel.text(title, MARGIN_MM, MARGIN_MM, "title", level="top", em_mm=em)
        easel.text(self._subtitle(), MARGIN_MM, MARGIN_MM + 12.0, "subtitle", level="top")
        self._draw_band(easel)
        self._draw_axes(easel)
        self._draw_curve(easel)
        self._draw_dots(easel)
        self._draw_best(easel)
        self._draw_foot(easel)
        return easel.scene(title=title, description=self._description())

    def _subtitle(self) -> str:
        count = len(self.found.trials)
        entries = "1 entry" if count == 1 else f"{count} entries"
        days = len({trial.day for trial in self.found.trials})
        return (
            f"{entries} on {days} {'day' if days == 1 else 'days'}: how it felt, over the {words_of(self.found).noun}"
        )

    def _draw_band(self, easel: Easel) -> None:
        band = self.found.band
        low, high = self.x_of(band.low), self.x_of(band.high)
        easel.rect(Rect(low, TOP, high - low, BOTTOM - TOP), "band")
        for edge in (low, high):
            easel.line([(edge, TOP), (edge, BOTTOM)], "band-edge")
        whose = "your band" if band.enough else "so far" if band.one_best else "if there were one best"
        label = f"{whose}: {value_words(self.found, band.low)} to {value_words(self.found, band.high)}{not_tried(self.found)}"
        half = width_mm(label, style("hand-label").em_mm, bold=True) / 2
        centre = min(max((low + high) / 2, LEFT + half), RIGHT - half)
        easel.text(label, centre, TOP - 3.0, "hand-label", anchor="middle")

    def _draw_axes(self, easel: Easel) -> None:
        for score in SCORES:
            y = self.y_of(score)
            easel.line([(LEFT, y), (RIGHT, y)], "rule")
            easel.text(f"{SCORE_WORDS[score]}  {score}", LEFT - 4.0, y, "label", anchor="end", level="middle")
        for tick in self._ticks():
            easel.text(
                value_words(self.found, tick), self.x_of(tick), BOTTOM + 3.0, "note", anchor="middle", level="top"
            )

    def _ticks(self) -> list[float]:
        steps = (
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
        return [float(tick) for tick in steps if self.low <= math.log(tick) <= self.high]

    def _draw_curve(self, easel: Easel) -> None:
        step = (self.high - self.low) / (CURVE_POINTS - 1)
        values = [math.exp(self.low + at * step) for at in range(CURVE_POINTS)]
        low, middle, high = expected_scores(self.found.band, values)
        xs = [self.x_of(value) for value in values]

        def along(scores: object) -> list[tuple[float, float]]:
            return [(x, self.y_of(float(score))) for x, score in zip(xs, scores, strict=True)]  # type: ignore[call-overload]

        easel.line(along(low), "doubt")
        easel.line(along(high), "doubt")
        easel.line(along(middle), "result")

    def _draw_dots(self, easel: Easel) -> None:
        """A dot for each entry; those that would lie on each other are stacked about their mark."""
        placed: dict[tuple[int, int], int] = {}
        for trial in sorted(self.found.trials, key=lambda each: (each.value, each.score)):
            x = self.x_of(trial.value)
            cell = (round(x / (2.2 * DOT_MM)), trial.score)
            level = placed.get(cell, 0)
            placed[cell] = level + 1
            easel.shape(Outline.circle(x, self._stacked(trial, level), DOT_MM), "dot-out" if trial.first_day else "dot")

    def _stacked(self, trial: Trial, level: int) -> float:
        away = (level + 1) // 2 * (1 if level % 2 else -1)
        # Never so far that a dot could be taken for another mark: beyond that they lie on each other.
        most = 0.42 * (self.y_of(1) - self.y_of(2))
        return self.y_of(trial.score) + max(-most, min(most, away * 2.15 * DOT_MM))

    def _draw_best(self, easel: Easel) -> None:
        band = self.found.band
        y = BOTTOM + 13.0
        low, best, high = (self.x_of(value) for value in (band.best_low, band.best, band.best_high))
        easel.line([(low, y), (high, y)], "area-edge")
        for edge in (low, high):
            easel.line([(edge, y - 1.5), (edge, y + 1.5)], "area-edge")
        easel.shape(Outline.circle(best, y, DOT_MM), "dot")
        words = f"best {value_words(self.found, band.best)}; {HELD_PERCENT:.0f} % sure: {value_words(self.found, band.best_low)} to {value_words(self.found, band.best_high)}"
        half = width_mm(words, style("hand-label").em_mm, bold=True) / 2
        easel.text(
            words, min(max(best, LEFT + half), RIGHT - half), y + 4.0, "hand-label", anchor="middle", level="top"
        )

    def _draw_foot(self, easel: Easel) -> None:
        practice = self.found.practice
        lines = [
            "Line: the score to expect, with its doubt. Hollow dots: first days after a change, which always feel odd.",
            f"Before any entry: {value_words(self.found, practice.low)} to {value_words(self.found, practice.high)} ({practice.source}).",
        ]
        for at, line in enumerate(lines):
            easel.text(line, MARGIN_MM, BOTTOM + 27.0 + 5.0 * at, "note", level="top")

    def _description(self) -> str:
        band, found = self.found.band, self.found
        told = ", ".join(f"{value_words(found, trial.value)} scored {trial.score}" for trial in found.trials[:40])
        more = f" and {len(found.trials) - 40} more" if len(found.trials) > 40 else ""
        return (
            f"{band_title(found)}. Best {value_words(found, band.best)}, {HELD_PERCENT:.0f} % sure between {value_words(found, band.best_low)} and "
            f"{value_words(found, band.best_high)}. Learned {number(100 * band.learned, 0)} %. Entries: {told or 'none'}{more}."
        )
