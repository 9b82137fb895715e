"""A person's comfortable band in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mapper.trials.comfort import LEAST_WEIGHT
from render.sentences.words import fixed

if TYPE_CHECKING:
    from mapper.trials.next_trial import NextTrial
    from profiles.library.personal import FoundBand


@dataclass(frozen=True, slots=True)
class MeasureWords:
    """The words for a measure of the band: its noun, its unit, and what stands before a value."""

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


def words_of(found: FoundBand) -> MeasureWords:
    """The words for the measure of ``found``."""
    return MEASURES[found.measure]


def value_words(found: FoundBand, value: float) -> str:
    """A value of the measure of ``found``, with its unit: ``2.4``, ``46 degrees``."""
    words = words_of(found)
    return f"{fixed(value, words.places)}{words.unit}"


def band_title(found: FoundBand) -> str:
    """The title of a band: its values, or why the notes make none."""
    doing = f" for {found.doing}" if found.doing else ""
    best = value_words(found, found.band.best)
    if not found.trials:
        return f"No entries yet{doing}: this is common practice"
    if not found.band.one_best:
        return (
            f"These notes do not fit one best{doing}: values on both sides felt better than "
            f"those between"
        )
    if not found.band.enough:
        beyond = _best_beyond(found)
        if beyond and found.band.weight >= LEAST_WEIGHT:
            return f"Your best{doing} may lie {beyond}"
        return f"Not enough yet{doing}: the entries lean towards {best}"
    return (
        f"{words_of(found).noun.capitalize()}s of {value_words(found, found.band.low)} to "
        f"{value_words(found, found.band.high)} felt best{doing}"
    )


def _best_beyond(found: FoundBand) -> str:
    """At which end of what was tried the best may lie; empty where that is open, or at neither."""
    band = found.band
    if band.tried is None:
        return ""
    noun = words_of(found).noun
    low, high = (value_words(found, value) for value in band.tried)
    return {
        "low": f"at or below {low}, the smallest {noun} that you tried",
        "high": f"at or above {high}, the largest {noun} that you tried",
    }.get(band.best_beyond, "")


def next_trial_sentence(found: FoundBand, trial: NextTrial) -> str:
    """What to try next, and why."""
    value = f"{words_of(found).near} {value_words(found, trial.value)}"
    if trial.why in {"below", "above"}:
        return f"Next, try {value}: your best may lie {_best_beyond(found)}."
    if found.band.tried is None:
        return f"Next, try {value}: any first note helps, and this is in the usual band."
    if trial.why == "untried":
        size = "small" if trial.value < found.band.tried[0] else "large"
        return (
            f"Next, try {value}: it is in the usual band, and you have tried nothing so {size} yet."
        )
    return f"Next, try {value}: a day there tells most about where your best lies."


def not_tried(found: FoundBand, before: str = "; ") -> str:
    """Which values of the band nobody tried, as the end of a sentence.

    Empty where all of the band was tried.
    """
    band = found.band
    if band.tried is None or not band.outside:
        return ""
    if band.tried[0] == band.tried[1]:
        return f"{before}only {value_words(found, band.tried[0])} was tried"
    ends = {
        "low": f"below {value_words(found, band.tried[0])}",
        "high": f"above {value_words(found, band.tried[1])}",
    }
    return (
        f"{before}nothing "
        f"{' or '.join(ends[side] for side in ends if band.outside in {side, 'both'})} was tried"
    )
