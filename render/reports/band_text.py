"""A personal comfortable band in words and as data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mapper.trials.comfort import (
    INTERVAL_PERCENT,
    LEAST_LEARNED,
    LEAST_WEIGHT,
    most_informative_value,
)
from profiles.plain import plain
from render.sentences.band import band_title, not_tried, value_words, words_of
from render.sentences.words import counted, number

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.trials.comfort import Trial
    from profiles.library.personal import FoundBand


def _days(trials: Sequence[Trial]) -> int:
    return len({trial.day for trial in trials})


def band_lines(found: FoundBand) -> list[str]:
    """A person's band as lines of text."""
    band, practice = found.band, found.practice
    sure = f"{INTERVAL_PERCENT:.0f} %"
    entries, days = len(found.trials), _days(found.trials)
    lines = [
        band_title(found) + ".",
        "",
        f"  from              {counted(entries, 'entry', 'entries')} on {counted(days, 'day')}"
        + (
            f", which count for {number(band.weight, 1)}"
            if entries and band.weight < entries - 0.05
            else ""
        ),
    ]
    # Where no one best fits, its numbers would say nothing.
    if band.one_best:
        lines += [
            (
                f"  band              {value_words(found, band.low)} to "
                f"{value_words(found, band.high)}{not_tried(found)}"
            ),
            (
                f"  its edges         {sure} sure: {_from_to(found, band.low_sure)} and "
                f"{_from_to(found, band.high_sure)}"
            ),
            (
                f"  best              {value_words(found, band.best)} ({sure} sure: "
                f"{value_words(found, band.best_low)} to {value_words(found, band.best_high)})"
            ),
        ]
    lines += [
        (
            f"  common practice   {value_words(found, practice.low)} to "
            f"{value_words(found, practice.high)} ({practice.source})"
        ),
        f"  learned           {100 * band.learned:.0f} % of the doubt about the best value resolved"
        + ("" if band.enough else f"; {_missing(found)}"),
    ]
    value, _ = most_informative_value(found.band, found.practice)
    lines += [
        "",
        f"Most useful next trial: {words_of(found).near} {value_words(found, value)}.",
        "",
        (
            "The band is where liking is near its best: it says nothing about health. If anything "
            "hurts, stop, whatever the score."
        ),
    ]
    return lines


def _missing(found: FoundBand) -> str:
    """Why the band does not count as the person's own yet."""
    band = found.band
    if not band.one_best:
        return "but no band with one best fits, so it does not count"
    if band.weight < LEAST_WEIGHT or band.learned < LEAST_LEARNED:
        return f"your band counts from {100 * LEAST_LEARNED:.0f} % and {LEAST_WEIGHT:.0f} entries"
    return "your band counts once values on both sides of the best were tried"


def _from_to(found: FoundBand, ends: tuple[float, float]) -> str:
    return f"{value_words(found, ends[0])} to {value_words(found, ends[1])}"


def band_data(found: FoundBand) -> dict[str, Any]:
    """A person's band as plain data."""
    band = found.band
    value, bits = most_informative_value(found.band, found.practice)
    return {
        "measure": found.measure,
        "doing": found.doing,
        "enough": band.enough,
        "entries": len(found.trials),
        "days": _days(found.trials),
        **{key: value for key, value in plain(band).items() if key != "draws"},
        "sure_percent": INTERVAL_PERCENT,
        "outside_tried": band.outside or None,
        "common_practice": found.practice,
        "would_teach_most": {"value": value, "bits": bits},
    }
