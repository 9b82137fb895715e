"""What a setting does to the strokes of a hand, in sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

from render.sentences.outcome import oval_parts, turned_sentences
from render.sentences.say import paragraph, say
from render.sentences.words import TWICE, number, oval_way, tilt_words

if TYPE_CHECKING:
    from mapper.mapping.solve import TabletMap
    from render.sentences.words import Shape


def strokes_sentence(solved: TabletMap, default: TabletMap) -> str:
    """What becomes of circles and strokes, beside what the settings do at their default."""
    now = oval_parts(solved.figures_on(solved.reference).distortion)
    before = oval_parts(default.figures_on(default.reference).distortion)
    found: list[str] = []
    if now == before == ("round", ""):
        found = [say("Your circles stay round, also with the settings at their default.")]
    elif now == before:
        found = [_now(*now)]
    else:
        found = [_now(*now), _at_default(*before)]
    return paragraph([*found, *turned_sentences(solved)])


def _now(way: str, percent: str) -> str:
    return {
        "round": say("Your circles come out round."),
        "wide": say("Your circles come out {percent} % wider than tall.", percent=percent),
        "tall": say("Your circles come out {percent} % taller than wide.", percent=percent),
        "slant": say(
            "Your circles come out {percent} % longer one way, along a slant.", percent=percent
        ),
    }[way]


def _at_default(way: str, percent: str) -> str:
    return {
        "round": say("With the settings at their default they are round."),
        "wide": say(
            "With the settings at their default they are {percent} % wider than tall.",
            percent=percent,
        ),
        "tall": say(
            "With the settings at their default they are {percent} % taller than wide.",
            percent=percent,
        ),
        "slant": say(
            "With the settings at their default they are {percent} % longer one way, along a "
            "slant.",
            percent=percent,
        ),
    }[way]


def setting_clause(solved: TabletMap) -> str:
    """What the map does to every shape: ``the setting makes it 12.6 % wider``; may be empty."""
    figures = solved.figures_on(solved.reference)
    longer, tilt = _longer(figures.distortion), tilt_words(figures.tilt_deg)
    if longer and tilt:
        return say("the setting makes it {longer} and turns it {tilt}", longer=longer, tilt=tilt)
    if longer:
        return say("the setting makes it {longer}", longer=longer)
    return say("the setting turns it {tilt}", tilt=tilt) if tilt else ""


def _longer(shape: Shape) -> str:
    """By how much a shape comes out longer, and which way; empty for a round circle."""
    way = oval_way(shape)
    if way == "round":
        return ""
    if shape.stretch >= TWICE:
        times = number(shape.stretch, 1)
        return {
            "wide": say("{times} times as wide", times=times),
            "tall": say("{times} times as tall", times=times),
            "slant": say("{times} times as long one way, along a slant", times=times),
        }[way]
    percent = number((shape.stretch - 1) * 100, 1)
    return {
        "wide": say("{percent} % wider", percent=percent),
        "tall": say("{percent} % taller", percent=percent),
        "slant": say("{percent} % longer one way, along a slant", percent=percent),
    }[way]
