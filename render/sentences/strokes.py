"""What a setting does to the strokes of a hand, in sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

from render.sentences.outcome import oval_parts, turned_sentences
from render.sentences.say import paragraph, say
from render.sentences.words import SEEN_TILT_DEG, number

if TYPE_CHECKING:
    from mapper.mapping.solve import TabletMap


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


def setting_sentences(solved: TabletMap) -> str:
    """What the map does to every shape: ``The setting makes it 12.6 % wider.``; may be empty."""
    figures = solved.figures_on(solved.reference)
    way, percent = oval_parts(figures.distortion)
    found: list[str] = []
    if way == "wide":
        found.append(say("The setting makes it {percent} % wider.", percent=percent))
    elif way == "tall":
        found.append(say("The setting makes it {percent} % taller.", percent=percent))
    elif way == "slant":
        found.append(
            say("The setting makes it {percent} % longer one way, along a slant.", percent=percent)
        )
    degrees = number(abs(figures.tilt_deg), 1)
    if figures.tilt_deg >= SEEN_TILT_DEG:
        found.append(say("The setting turns it by {degrees}° clockwise.", degrees=degrees))
    elif figures.tilt_deg <= -SEEN_TILT_DEG:
        found.append(say("The setting turns it by {degrees}° anticlockwise.", degrees=degrees))
    return paragraph(found)
