"""A personal comfortable band in words and as data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from mapper.trials.comfort import HELD_PERCENT, LEAST_LEARNED, LEAST_WEIGHT, most_telling
from render.words import fixed, number

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.trials.comfort import Trial
    from profiles.library.personal import Found


@dataclass(frozen=True, slots=True)
class MeasureWords:
    """How a measure is spoken of."""

    noun: str
    unit: str
    places: int
    at: str
    near: str


MEASURES: dict[str, MeasureWords] = {
    "scale_factor": MeasureWords("scale factor", "", 1, "a scale factor of", "a scale factor near"),
    "viewing_angle_deg": MeasureWords(
        "viewing angle", " degrees", 0, "a picture as wide as", "a picture about this wide:"
    ),
}


def words_of(found: Found) -> MeasureWords:
    """How the measure of ``found`` is spoken of."""
    return MEASURES[found.measure]


def value_words(found: Found, value: float) -> str:
    """A value of its measure as a person reads it."""
    words = words_of(found)
    return f"{fixed(value, words.places)}{words.unit}"


def band_title(found: Found) -> str:
    """The one sentence on top."""
    doing = f" for {found.doing}" if found.doing else ""
    best = value_words(found, found.band.best)
    if not found.trials:
        return f"No entries yet{doing}: this is common practice"
    if not found.band.one_best:
        return f"These notes do not fit one best{doing}: values on both sides felt better than those between"
    if not found.band.enough:
        return f"Not enough yet{doing}: the entries lean towards {best}"
    return f"{words_of(found).noun.capitalize()}s of {value_words(found, found.band.low)} to {value_words(found, found.band.high)} felt best{doing}"


def _days(trials: Sequence[Trial]) -> int:
    return len({trial.day for trial in trials})


def band_lines(found: Found) -> list[str]:
    """The report, line by line."""
    band, practice = found.band, found.practice
    held = f"{HELD_PERCENT:.0f} %"
    entries, days = len(found.trials), _days(found.trials)
    lines = [
        band_title(found) + ".",
        "",
        f"  from              {_count(entries, 'entry', 'entries')} on {_count(days, 'day', 'days')}"
        + (f", which count for {number(band.weight, 1)}" if entries and band.weight < entries - 0.05 else ""),
        f"  band              {value_words(found, band.low)} to {value_words(found, band.high)}{not_tried(found)}",
        f"  its edges         {held} sure: {_from_to(found, band.low_sure)} and {_from_to(found, band.high_sure)}",
        f"  best              {value_words(found, band.best)} ({held} sure: {value_words(found, band.best_low)} to {value_words(found, band.best_high)})",
        f"  common practice   {value_words(found, practice.low)} to {value_words(found, practice.high)} ({practice.source})",
        f"  learned           {100 * band.learned:.0f} % of the doubt about the best value resolved"
        + ("" if band.enough else f"; {_missing(found)}"),
    ]
    value, _ = most_telling(found.band, found.practice)
    lines += [
        "",
        f"Most useful next trial: {words_of(found).near} {value_words(found, value)}.",
    ]
    lines += [
        "",
        "The band is where liking is near its best: it says nothing about health. If anything hurts, stop, whatever the score.",
    ]
    return lines


def not_tried(found: Found, before: str = "; ") -> str:
    """Which values of the band nobody tried, as the end of a sentence; empty where all of it was."""
    band = found.band
    if band.tried is None or not band.outside:
        return ""
    if band.tried[0] == band.tried[1]:
        return f"{before}only {value_words(found, band.tried[0])} was tried"
    ends = {"low": f"below {value_words(found, band.tried[0])}", "high": f"above {value_words(found, band.tried[1])}"}
    return f"{before}nothing {' or '.join(ends[side] for side in ends if band.outside in {side, 'both'})} was tried"


def _missing(found: Found) -> str:
    """Why the band does not count as the person's own."""
    band = found.band
    if not band.one_best:
        return "but no band with one best fits, so it does not count"
    if band.weight < LEAST_WEIGHT or band.learned < LEAST_LEARNED:
        return f"your band counts from {100 * LEAST_LEARNED:.0f} % and {LEAST_WEIGHT:.0f} entries"
    return "your band counts once values on both sides of the best were tried"


def _from_to(found: Found, ends: tuple[float, float]) -> str:
    return f"{value_words(found, ends[0])} to {value_words(found, ends[1])}"


def _count(count: int, one: str, many: str) -> str:
    return f"{count} {one if count == 1 else many}"


def band_data(found: Found) -> dict[str, Any]:
    """The same as plain data."""
    band = found.band
    value, bits = most_telling(found.band, found.practice)
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
        "held_percent": HELD_PERCENT,
        "low_sure": list(band.low_sure),
        "high_sure": list(band.high_sure),
        "tried": None if band.tried is None else list(band.tried),
        "outside_tried": band.outside or None,
        "one_best": band.one_best,
        "learned": band.learned,
        "common_practice": {"low": found.practice.low, "high": found.practice.high, "source": found.practice.source},
        "would_teach_most": {"value": value, "bits": bits},
    }
