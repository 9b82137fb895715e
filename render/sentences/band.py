"""A person's comfortable band in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mapper.phrases import phrase
from mapper.trials.comfort import INTERVAL_PERCENT, LEAST_WEIGHT, STEEP_HELD
from render.sentences.say import Name, say, say_again
from render.sentences.words import fixed

if TYPE_CHECKING:
    from mapper.trials.next_trial import NextTrial
    from profiles.library.personal import FoundBand


def measure_words(found: FoundBand) -> str:
    """What the band is of: ``scale factor``, ``viewing angle``."""
    return {"scale_factor": say("scale factor"), "viewing_angle_deg": say("viewing angle")}[
        found.measure
    ]


def value_words(found: FoundBand, value: float) -> str:
    """A value of the measure of ``found``, with its unit: ``2.4``, ``46 degrees``."""
    if found.measure == "viewing_angle_deg":
        return say("{degrees} degrees", degrees=fixed(value, 0))
    return fixed(value, 1)


def band_caution() -> str:
    """What a band is not."""
    return say(
        "Your band is the range of values that felt best to you: it says nothing about health. "
        "If anything hurts, stop, whatever the score."
    )


def band_title(found: FoundBand) -> str:
    """The title of a band: its values, or why the notes make none."""
    best = value_words(found, found.band.best)
    if not found.trials:
        title = say("No notes yet, so this is the usual band")
    elif not found.band.one_best:
        title = say(
            "These notes do not fit one best value: values on both sides felt better than those "
            "between"
        )
    elif not found.band.enough and found.band.weight >= LEAST_WEIGHT and _best_beyond(found):
        title = say("Your best value may lie {beyond}", beyond=_best_beyond(found))
    elif not found.band.enough and found.band.weight >= LEAST_WEIGHT:
        title = say(
            "These notes do not make a band of your own yet; so far about {best} seems best",
            best=best,
        )
    elif not found.band.enough:
        title = say(
            "Too few notes for a band of your own; so far about {best} seems best", best=best
        )
    else:
        ends = {
            "low": value_words(found, found.band.low),
            "high": value_words(found, found.band.high),
        }
        title = {
            "scale_factor": say("Scale factors of {low} to {high} felt best", **ends),
            "viewing_angle_deg": say("Viewing angles of {low} to {high} felt best", **ends),
        }[found.measure]
    if found.doing:
        return say("For {doing}: {title}", doing=work_words(found.doing), title=title)
    return title


def _best_beyond(found: FoundBand) -> str:
    """At which end of what was tried the best may lie; empty where that is open, or at neither."""
    band = found.band
    if band.tried is None or not band.best_beyond:
        return ""
    low, high = (value_words(found, value) for value in band.tried)
    return {
        ("scale_factor", "low"): say(
            "at or below {low}, the smallest scale factor that you tried", low=low
        ),
        ("scale_factor", "high"): say(
            "at or above {high}, the largest scale factor that you tried", high=high
        ),
        ("viewing_angle_deg", "low"): say(
            "at or below {low}, the smallest viewing angle that you tried", low=low
        ),
        ("viewing_angle_deg", "high"): say(
            "at or above {high}, the largest viewing angle that you tried", high=high
        ),
    }.get((found.measure, band.best_beyond), "")


def best_words(found: FoundBand) -> str:
    """The best value, and how sure it is where its interval lies inside what was tried."""
    band, best = found.band, value_words(found, found.band.best)
    if band.best_beyond:
        return say("{best} so far", best=best)
    return say(
        "{best} ({percent} % sure: {ends})",
        best=best,
        percent=fixed(INTERVAL_PERCENT, 0),
        ends=from_to(found, (band.best_low, band.best_high)),
    )


def next_trial_sentence(found: FoundBand, trial: NextTrial) -> str:
    """What to try next, and why."""
    value = value_words(found, trial.value)
    what = {
        "scale_factor": say("a scale factor near {value}", value=value),
        "viewing_angle_deg": say("a display that looks about {value} wide", value=value),
    }[found.measure]
    if trial.why in {"below", "above"}:
        return say(
            "Next, try {what}: your best value may lie {beyond}.",
            what=what,
            beyond=_best_beyond(found),
        )
    if found.band.tried is None:
        return say(
            "Next, try {what}: any first note helps, and this is in the usual band.", what=what
        )
    if trial.why == "untried" and trial.value < found.band.tried[0]:
        return say(
            "Next, try {what}: it is in the usual band, and you have tried nothing so small yet.",
            what=what,
        )
    if trial.why == "untried":
        return say(
            "Next, try {what}: it is in the usual band, and you have tried nothing so large yet.",
            what=what,
        )
    return say(
        "Next, try {what}: you learn most about your best value from a day there.", what=what
    )


def steep_sentence() -> str:
    """For whom the ranges of a person's own band are less sure than they say."""
    few, many = STEEP_HELD
    return say(
        "The best value is less sure than that if a little more is suddenly much worse: in "
        "simulations of such people, this range held the best value for {few} to {many} in 10.",
        few=str(few),
        many=str(many),
    )


def not_tried(found: FoundBand) -> str:
    """Which values of the band nobody tried; empty where all of the band was tried."""
    band = found.band
    if band.tried is None or not band.outside:
        return ""
    low, high = (value_words(found, value) for value in band.tried)
    if band.tried[0] == band.tried[1]:
        return say("only {value} was tried", value=low)
    return nothing_beyond(band.outside, low, high)


def nothing_beyond(side: str, low: str, high: str) -> str:
    """That nothing was tried beyond the ``low`` end, the ``high`` end or ``both``."""
    return {
        "low": say("nothing below {low} was tried", low=low),
        "high": say("nothing above {high} was tried", high=high),
        "both": say("nothing below {low} or above {high} was tried", low=low, high=high),
    }[side]


def from_to(found: FoundBand, ends: tuple[float, float]) -> str:
    """Two values of the measure of ``found``: ``2.1 to 3.4``."""
    low, high = (value_words(found, end) for end in ends)
    return say("{low} to {high}", low=low, high=high)


def band_ends(found: FoundBand) -> str:
    """The values of the band, and which of them nobody tried."""
    ends = from_to(found, (found.band.low, found.band.high))
    untried = not_tried(found)
    return say("{ends}; {untried}", ends=ends, untried=untried) if untried else ends


#: The kind of work that is meant where nobody names one.
_USUAL_WORK = phrase("drawing")


def work_words(doing: str) -> str:
    """A kind of work, as somebody typed it; the usual one in the language in use."""
    return say_again(_USUAL_WORK) if doing == _USUAL_WORK else Name(doing)


def work_typed(text: str) -> str:
    """The kind of work that is meant by ``text``: the usual one is typed as it is shown."""
    shown = work_words(str(_USUAL_WORK))
    return str(_USUAL_WORK) if text.casefold() in {"", shown.casefold()} else text
