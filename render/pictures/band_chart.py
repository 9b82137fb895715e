"""The chart of a comfortable band: the scores, the fitted curve, and the band with its doubt."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mapper.paths import Outline
from mapper.rect import Rect
from mapper.trials.comfort import SCORES, expected_scores
from profiles.library.trial_book import SCORE_WORDS
from render.canvas.lettering import width_mm
from render.canvas.scene import Easel, Scene
from render.canvas.theme import style
from render.pictures.chart import NARROW_MM, WIDE_MM, Axis, draw_head, draw_notes
from render.pictures.frame import margin_mm
from render.sentences.band import (
    band_caution,
    band_ends,
    band_title,
    best_words,
    measure_words,
    steep_sentence,
    value_words,
)
from render.sentences.say import listed, say, say_again, say_count

if TYPE_CHECKING:
    from mapper.trials.comfort import Trial
    from profiles.library.personal import FoundBand

HIGH_MM = 180.0
# The room for the words of the scores, and where the scores begin and end.
SCORES_MM, TOP, BOTTOM = 38.0, 46.0, 133.0
DOT_MM = 1.9
CURVE_POINTS = 61
#: So many notes are told in words.
_MOST_TOLD = 40


def band_chart_scene(
    found: FoundBand,
    title: str | None = None,
    *,
    heading: bool = True,
    wide_mm: float = WIDE_MM,
) -> Scene:
    """The chart of a person's band and scores, ``wide_mm`` wide; ``title`` replaces the usual."""
    return _BandChart(found, wide_mm).scene(title or band_title(found), heading=heading)


class _BandChart:
    def __init__(self, found: FoundBand, wide_mm: float) -> None:
        self.found = found
        self.easel = Easel(wide_mm, min(HIGH_MM, wide_mm))
        self.margin_mm = margin_mm(self.easel)
        self.top, self.bottom = TOP, BOTTOM
        left = self.margin_mm + SCORES_MM
        if wide_mm < NARROW_MM:
            left = self.margin_mm + 6.0 + max(map(_score_mm, SCORES))
        values = [trial.value for trial in found.trials]
        spread = (
            found.practice.low / 1.35,
            found.practice.high * 1.35,
            found.band.low / 1.1,
            found.band.high * 1.1,
        )
        low = min(*spread, *(value / 1.08 for value in values))
        high = max(*spread, *(value * 1.08 for value in values))
        self.axis = Axis(low, high, left, wide_mm - self.margin_mm)

    def y_of(self, score: float) -> float:
        # Half a mark of room below 1 and above 5, for the dots that lie on them.
        return self.bottom - (score - 0.6) / (5.4 - 0.6) * (self.bottom - self.top)

    def scene(self, title: str, *, heading: bool) -> Scene:
        easel = self.easel
        down = draw_head(easel, title if heading else "", self._subtitle())
        self.top, self.bottom = TOP + down, BOTTOM + down
        self._draw_band(easel)
        self._draw_axes(easel)
        self._draw_curve(easel)
        self._draw_dots(easel)
        self._draw_best(easel)
        end = self._draw_foot(easel, alone=heading)
        if easel.width_mm < WIDE_MM:
            easel.height_mm = end + self.margin_mm
        return easel.scene(title=title, description=self._description())

    def _subtitle(self) -> str:
        days = len({trial.day for trial in self.found.trials})
        return say(
            "How it felt, by {measure} ({notes}, {days})",
            notes=say_count("{count} note", "{count} notes", len(self.found.trials)),
            days=say_count("{count} day", "{count} days", days),
            measure=measure_words(self.found),
        )

    def _draw_band(self, easel: Easel) -> None:
        band = self.found.band
        low, high = self.axis.x(band.low), self.axis.x(band.high)
        easel.rect(Rect(low, self.top, high - low, self.bottom - self.top), "band")
        ends = band_ends(self.found)
        words = say("your band: {ends}", ends=ends)
        if not band.enough:
            words = (
                say("so far: {ends}", ends=ends)
                if band.one_best
                else say("if there were one best: {ends}", ends=ends)
            )
        self.axis.name_band(easel, (band.low, band.high), (self.top, self.bottom), words)

    def _draw_axes(self, easel: Easel) -> None:
        for score in SCORES:
            y = self.y_of(score)
            easel.line([(self.axis.left, y), (self.axis.right, y)], "rule")
            easel.text(
                _score_words(score),
                self.axis.left - 4.0,
                y,
                "label",
                anchor="end",
                level="middle",
            )
        for tick in self.axis.named_ticks:
            words = value_words(self.found, tick)
            easel.text(
                words, self.axis.x(tick), self.bottom + 3.0, "note", anchor="middle", level="top"
            )
        name = measure_words(self.found)
        easel.text(name, self.axis.right, self.bottom + 8.0, "note", anchor="end", level="top")

    def _draw_curve(self, easel: Easel) -> None:
        ratio = (self.axis.high / self.axis.low) ** (1 / (CURVE_POINTS - 1))
        values = [self.axis.low * ratio**at for at in range(CURVE_POINTS)]
        xs = [self.axis.x(value) for value in values]
        low, middle, high = zip(*expected_scores(self.found.band, values), strict=True)
        for scores, role in ((low, "doubt"), (high, "doubt"), (middle, "result")):
            ys = [self.y_of(score) for score in scores]
            easel.line(list(zip(xs, ys, strict=True)), role)

    def _draw_dots(self, easel: Easel) -> None:
        """Draw a dot for each entry, stacked where they would lie on each other."""
        placed: dict[tuple[int, int], int] = {}
        for trial in sorted(self.found.trials, key=lambda each: (each.value, each.score)):
            x = self.axis.x(trial.value)
            cell = (round(x / (2.2 * DOT_MM)), trial.score)
            level = placed.get(cell, 0)
            placed[cell] = level + 1
            easel.shape(
                Outline.circle(x, self._stacked_y(trial, level), DOT_MM),
                "dot-out" if trial.first_day else "dot",
            )

    def _stacked_y(self, trial: Trial, level: int) -> float:
        away = (level + 1) // 2 * (1 if level % 2 else -1)
        # Never so far that a dot could be taken for another mark: beyond that they lie on each
        # other.
        furthest = 0.42 * (self.y_of(1) - self.y_of(2))
        return self.y_of(trial.score) + max(-furthest, min(furthest, away * 2.15 * DOT_MM))

    def _draw_best(self, easel: Easel) -> None:
        band = self.found.band
        y = self.bottom + 13.0
        best = self.axis.x(band.best)
        if not band.best_beyond:
            low, high = self.axis.x(band.best_low), self.axis.x(band.best_high)
            easel.line([(low, y), (high, y)], "area-edge")
            for edge in (low, high):
                easel.line([(edge, y - 1.5), (edge, y + 1.5)], "area-edge")
        easel.shape(Outline.circle(best, y, DOT_MM), "dot")
        words = say("best {value}", value=best_words(self.found))
        half = width_mm(words, style("hand-label").em_mm, bold=True) / 2
        easel.text(
            words,
            self.axis.centred(best, half),
            y + 4.0,
            "hand-label",
            anchor="middle",
            level="top",
        )

    def _draw_foot(self, easel: Easel, *, alone: bool) -> float:
        """Write the words at the foot, and return where they end."""
        practice = self.found.practice
        lines: list[str] = [
            say(
                "Thick line: the score to expect; thin lines: how sure it is. Hollow dots: first "
                "days after a change, which always feel odd."
            ),
            say(
                "Before any note: {low} to {high} ({source}).",
                low=value_words(self.found, practice.low),
                high=value_words(self.found, practice.high),
                source=say_again(practice.source),
            ),
            band_caution(),
        ]
        # A page around it says so itself.
        if alone and self.found.band.enough:
            lines.append(steep_sentence())
        return draw_notes(easel, lines, self.bottom + 33.0 - 3.0 * len(lines))

    def _description(self) -> str:
        found = self.found
        notes = [
            say(
                "{value} scored {score}",
                value=value_words(found, trial.value),
                score=str(trial.score),
            )
            for trial in found.trials[:_MOST_TOLD]
        ]
        more = len(found.trials) - _MOST_TOLD
        if more > 0:
            notes.append(say_count("{count} more", "{count} more", more))
        return say(
            "{title}. Best: {best}. Notes: {notes}.",
            title=band_title(found),
            best=best_words(found),
            notes=listed(notes) if notes else say("none", context="notes"),
        )


def _score_words(score: int) -> str:
    return f"{say_again(SCORE_WORDS[score])}  {score}"


def _score_mm(score: int) -> float:
    return width_mm(_score_words(score), style("label").em_mm)
