"""A person's own comfortable band, from the trial book of a library."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mapper.choosing.recommended import BAND_USES, RECOMMENDED, Band
from mapper.phrases import phrase_count
from mapper.trials.comfort import LEAST_WEIGHT, ComfortBand, Trial, comfort_band
from mapper.trials.next_trial import most_informative_order
from profiles.library.trial_book import SAME_SCALE, EntryFilter, in_library, trials_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.choosing.pairing import Pair
    from mapper.problems import Problem
    from profiles.library.revisions import Library
    from profiles.library.trial_book import Felt, Measure


@dataclass(frozen=True, slots=True)
class FoundBand:
    """A band and what it was found from.

    ``practice`` is the common practice that it started from, ``doing`` the kind of work, None for
    any.
    """

    band: ComfortBand
    trials: tuple[Trial, ...]
    practice: Band
    doing: str | None
    measure: Measure


def practice_of(doing: str | None, measure: Measure) -> Band:
    """The band that is believed before any entry.

    It is the rule of thumb for this kind of work, that of illustration where there is none.
    """
    if measure == "viewing_angle_deg":
        width = RECOMMENDED["width"]
        return Band(width.low or 1.0, width.high or 1.0, width.standing)
    return BAND_USES.get(doing or "", BAND_USES["illustration"])


def found_band(
    library: Library,
    *,
    doing: str | None = None,
    who: str | None = None,
    measure: Measure = "scale_factor",
) -> tuple[FoundBand, list[Problem]]:
    """The band of one person for one kind of work, and the problems of unreadable entries.

    ``doing`` None stands for any work. Without entries the band is the common practice.
    """
    book, problems = _entries(library, who, doing)
    trials = tuple(trials_of(book, measure))
    practice = practice_of(doing, measure)
    return FoundBand(comfort_band(trials, practice), trials, practice, doing, measure), problems


def _entries(
    library: Library, who: str | None, doing: str | None = None
) -> tuple[list[Felt], list[Problem]]:
    """The entries of one person for one kind of work (None: any), and the problems of others.

    Empty where there is no library.
    """
    book, problems = in_library(library) if library.root.exists() else ([], [])
    return EntryFilter(doing=doing, who=who).of(book), problems


def own_band(library: Library, *, doing: str | None = None, who: str | None = None) -> Band | None:
    """The personal band of scale factors, or None where the book holds too little for one."""
    trials = trials_of(_entries(library, who, doing)[0])
    # No entry counts for more than one: with fewer than these the model has no need to be asked.
    if len(trials) < LEAST_WEIGHT:
        return None
    band = comfort_band(trials, practice_of(doing, "scale_factor"))
    if not band.enough or band.tried is None:
        return None
    slots = {"low": f"{band.tried[0]:.1f}", "high": f"{band.tried[1]:.1f}"}
    sources = {
        "low": phrase_count(
            "your own trials, {count} note, nothing below {low} tried",
            "your own trials, {count} notes, nothing below {low} tried",
            band.entries,
            **slots,
        ),
        "high": phrase_count(
            "your own trials, {count} note, nothing above {high} tried",
            "your own trials, {count} notes, nothing above {high} tried",
            band.entries,
            **slots,
        ),
        "both": phrase_count(
            "your own trials, {count} note, nothing below {low} or above {high} tried",
            "your own trials, {count} notes, nothing below {low} or above {high} tried",
            band.entries,
            **slots,
        ),
    }
    source = sources.get(
        band.outside,
        phrase_count(
            "your own trials, {count} note", "your own trials, {count} notes", band.entries
        ),
    )
    return Band(band.low, band.high, source)


def left_to_try(
    library: Library, pairs: Sequence[Pair], days_each: int, *, who: str | None, use: str
) -> list[tuple[int, int]]:
    """The places of ``pairs`` with fewer than ``days_each`` days in the book, and the days left.

    The most telling comes first, each given those before it (``most_informative_order``). A pairing
    of the
    book is one of ``pairs`` if tablet and display have the same names, or if its scale factor and
    tablet size are the same.
    """
    own, _ = _entries(library, who)
    band = comfort_band(trials_of(own), practice_of(use, "scale_factor"))
    days = [
        days_each - len({entry.date for entry in own if _is_pair(entry, each)}) for each in pairs
    ]
    left = [place for place, more in enumerate(days) if more > 0]
    if not left:
        return []
    order = most_informative_order(
        band, [pairs[at].scale_factor or 1.0 for at in left], [days[at] for at in left]
    )
    return [(left[at], days[left[at]]) for at in order]


def _is_pair(entry: Felt, each: Pair) -> bool:
    """Whether an entry of the book is about the pairing ``each``."""
    if (entry.tablet, entry.display) == (each.tablet.label, each.display.label):
        return True
    figures = entry.figures
    if figures.scale_factor is None or each.scale_factor is None or figures.tablet_width_mm is None:
        return False
    same_tablet = abs(figures.tablet_width_mm - each.tablet.width_mm) < 0.5
    return same_tablet and abs(figures.scale_factor / each.scale_factor - 1) < SAME_SCALE / 2
