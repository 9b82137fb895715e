"""A personal comfortable band in words and as data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mapper.trials.comfort import INTERVAL_PERCENT, LEAST_LEARNED, LEAST_WEIGHT
from mapper.trials.next_trial import next_trial
from render.sentences.band import band_title, next_trial_sentence, not_tried, value_words
from render.sentences.words import counted, number

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.trials.comfort import Trial
    from profiles.library.personal import Found


def _days(trials: Sequence[Trial]) -> int:
    return len({trial.day for trial in trials})


def band_lines(found: Found) -> list[str]:
    """The report, line by line."""
    band, practice = found.band, found.practice
    held = f"{INTERVAL_PERCENT:.0f} %"
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
                f"  its edges         {held} sure: {_from_to(found, band.low_sure)} and "
                f"{_from_to(found, band.high_sure)}"
            ),
            (
                f"  best              {value_words(found, band.best)} ({held} sure: "
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


def _missing(found: Found) -> str:
    """Why the band does not count as the person's own."""
    band = found.band
    if not band.one_best:
        return "but no band with one best fits, so it does not count"
    if band.weight < LEAST_WEIGHT or band.learned < LEAST_LEARNED:
        return f"your band counts from {100 * LEAST_LEARNED:.0f} % and {LEAST_WEIGHT:.0f} entries"
    return "your band counts once you have tried values on both sides of all that may be best"


def _from_to(found: Found, ends: tuple[float, float]) -> str:
    return f"{value_words(found, ends[0])} to {value_words(found, ends[1])}"


def band_data(found: Found) -> dict[str, Any]:
    """The same as plain data."""
    band = found.band
    trial = next_trial(band, found.practice)
    return {
        "measure": found.measure,
        "doing": found.doing,
        "enough": band.enough,
        "entries": len(found.trials),
        "days": _days(found.trials),
        "weight": band.weight,
        "low": band.low,
        "high": band.high,
        "best": band.best,
        "best_low": band.best_low,
        "best_high": band.best_high,
        "held_percent": INTERVAL_PERCENT,
        "low_sure": list(band.low_sure),
        "high_sure": list(band.high_sure),
        "tried": None if band.tried is None else list(band.tried),
        "outside_tried": band.outside or None,
        "one_best": band.one_best,
        "learned": band.learned,
        "common_practice": {
            "low": found.practice.low,
            "high": found.practice.high,
            "source": found.practice.source,
        },
        "best_beyond_tried": band.best_beyond or None,
        "would_teach_most": {"value": trial.value, "bits": trial.bits, "why": trial.why},
    }
