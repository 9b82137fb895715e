"""What was typed into the tablet's settings and what was tested, in sentences."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from render.sentences.say import Name, say, spoken
from render.sentences.words import number

if TYPE_CHECKING:
    from profiles.library.proofs import Proof, Standing


def day_words(moment: datetime) -> str:
    """``2 March``, with the year where it is not this one; in the reader's own time zone."""
    moment = moment.astimezone()
    this_year = moment.year == datetime.now(UTC).astimezone().year
    language = spoken()
    if language is not None:
        template = language.day if this_year else language.day_of_year
        month = language.months[moment.month - 1]
        return template.format(day=moment.day, month=month, year=moment.year)
    day = f"{moment.day} {moment:%B}"
    return day if this_year else f"{day} {moment.year}"


def proof_words(proof: Proof) -> str:
    """One mark in a few words: ``tested 30 November, within 0.5 mm``."""
    day = day_words(proof.at)
    if proof.mark == "typed":
        return say("typed in on {day}", day=day)
    if proof.mark == "untyped":
        return say("not typed in after all (corrected on {day})", day=day)
    if not proof.right:
        return say("tested on {day}; the tablet does not use it", day=day)
    if proof.within_mm is None:
        return say("tested on {day}", day=day)
    return say("tested on {day}, accurate to {mm} mm", day=day, mm=number(proof.within_mm, 1))


def standing_words(standing: Standing) -> str:
    """Whether a setting is typed in and tested, in a few words; empty where no mark says so."""
    if standing.tested is not None:
        return proof_words(standing.tested)
    if standing.typed is not None:
        return say("{typed}, not tested yet", typed=proof_words(standing.typed))
    if standing.tested_before is not None:
        return say(
            "{tested}; another setting was typed in since",
            tested=proof_words(standing.tested_before),
        )
    return ""


def noted_sentence(proof: Proof, desk: str) -> str:
    """What was written down beside the setting that a test was of."""
    number_ = proof.revision.partition("-")[0]
    return say(
        "Noted with setting {number} of {desk}: {words}.",
        number=number_,
        desk=Name(desk),
        words=proof_words(proof),
    )


def not_noted_sentence(desk: str) -> str:
    """Why a test of a desk in a file leaves no mark."""
    return say(
        "This test is not saved, because {desk} is a file. Keep the desk first, then test it by "
        "its name.",
        desk=Name(desk),
    )


def same_for(desk: str) -> str:
    """What is said where a mark would say nothing new."""
    return say("Nothing new: this was already noted for {desk}.", desk=Name(desk))
