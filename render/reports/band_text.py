"""A personal comfortable band in words and as data."""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING, Any

from mapper.trials.comfort import INTERVAL_PERCENT, LEAST_LEARNED, LEAST_WEIGHT
from mapper.trials.next_trial import next_trial
from profiles.plain import headed, plain
from render.sentences.band import (
    band_caution,
    band_ends,
    band_title,
    best_words,
    from_to,
    next_trial_sentence,
    steep_sentence,
)
from render.sentences.parts import Row
from render.sentences.say import say, say_again, say_count
from render.sentences.words import days_words, fixed, number

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.trials.comfort import Trial
    from profiles.library.personal import FoundBand


def _days(trials: Sequence[Trial]) -> int:
    return len({trial.day for trial in trials})


def band_lines(found: FoundBand) -> list[str]:
    """A person's band as lines of text."""
    band, practice = found.band, found.practice
    rows = [Row(say("from"), notes_words(found))]
    # Where no one best fits, its numbers would say nothing.
    if band.one_best and found.trials:
        rows.append(Row(say("band"), band_ends(found)))
        if not band.best_beyond:
            low, high = (from_to(found, ends) for ends in (band.low_sure, band.high_sure))
            sure = say(
                "{percent} % sure: {low} and {high}",
                percent=fixed(INTERVAL_PERCENT, 0),
                low=low,
                high=high,
            )
            rows.append(Row(say("its ends lie"), sure))
        rows.append(Row(say("best"), best_words(found)))
    usual = from_to(found, (practice.low, practice.high))
    rows.append(
        Row(
            say("usual band"),
            say("{ends} ({source})", ends=usual, source=say_again(practice.source)),
        )
    )
    lines = [say("{title}.", title=band_title(found)), ""]
    lines += [f"  {row.label:<18}{row.value}" for row in rows]
    lines += ["", steep_sentence() if band.enough else _missing(found)]
    return [
        *lines,
        "",
        next_trial_sentence(found, next_trial(found.band, found.practice)),
        "",
        band_caution(),
    ]


def notes_words(found: FoundBand) -> str:
    """How many notes there are, and how many separate days they are worth."""
    notes, days = len(found.trials), _days(found.trials)
    said = say(
        "{notes} on {days}",
        notes=say_count("{count} note", "{count} notes", notes),
        days=days_words(days),
    )
    if not notes or found.band.weight >= notes - 0.05:
        return said
    return say(
        "{notes} (together worth {worth} separate days)",
        notes=said,
        worth=number(found.band.weight, 1),
    )


def _missing(found: FoundBand) -> str:
    """Why the band does not count as the person's own yet."""
    band = found.band
    if not band.one_best:
        return say("No band with one best value fits these notes, so the usual band is used.")
    needed = f"{LEAST_WEIGHT:.0f}"
    if band.weight < LEAST_WEIGHT:
        return say(
            "Too few notes for a band of your own: it needs {needed} separate days (now {worth}).",
            needed=needed,
            worth=number(band.weight, 1),
        )
    if band.learned < LEAST_LEARNED and not band.best_beyond:
        return say(
            "Too few notes for a band of your own. Try more scale factors, each on more days."
        )
    return say(
        "Your band is used once you have tried values below and above the range in which your "
        "best value may lie."
    )


def band_data(found: FoundBand) -> dict[str, Any]:
    """A person's band as plain data."""
    band = found.band
    trial = next_trial(band, found.practice)
    data = {
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
        "would_teach_most": trial,
    }
    return headed("band", data)
