"""A personal comfortable band in words and as data."""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING, Any

from mapper.trials.comfort import INTERVAL_PERCENT, LEAST_LEARNED, LEAST_WEIGHT
from mapper.trials.next_trial import next_trial
from profiles.plain import plain
from render.sentences.band import band_title, next_trial_sentence, not_tried, value_words
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
    lines += [
        "",
        next_trial_sentence(found, next_trial(found.band, found.practice)),
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
    return "your band counts once you have tried values on both sides of all that may be best"


def _from_to(found: FoundBand, ends: tuple[float, float]) -> str:
    return f"{value_words(found, ends[0])} to {value_words(found, ends[1])}"


def band_data(found: FoundBand) -> dict[str, Any]:
    """A person's band as plain data."""
    band = found.band
    trial = next_trial(band, found.practice)
    return {
        "measure": found.measure,
        "doing": found.doing,
        "enough": band.enough,
        "entries": len(found.trials),
        "days": _days(found.trials),
        **{
            field.name: plain(getattr(band, field.name))
            for field in fields(band)
            if field.name not in {"posterior", "draws"}
        },
        "sure_percent": INTERVAL_PERCENT,
        "outside_tried": band.outside or None,
        "one_best": band.one_best,
        "best_beyond_tried": band.best_beyond or None,
        "common_practice": found.practice,
        "would_teach_most": plain(trial),
    }
