"""What a setting does to the strokes of a hand, in sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

from render.sentences.say import say
from render.sentences.words import TWICE, circle_words, number, oval_way, tilt_words

if TYPE_CHECKING:
    from mapper.mapping.solve import TabletMap
    from render.sentences.words import Shape


def strokes_sentence(solved: TabletMap, default: TabletMap) -> str:
    """What becomes of circles and strokes, beside what the tablet does at its default."""
    figures = solved.figures_on(solved.reference)
    shape, usual = figures.distortion, default.figures_on(default.reference).distortion
    now, before = circle_words(shape), circle_words(usual)
    if now == before and oval_way(shape) == "round":
        told = say("Your circles stay round, and they do with the tablet's default settings too")
    elif now == before:
        told = say("Your circles are {shape}", shape=now)
    elif oval_way(shape) == "round":
        told = say(
            "With the tablet's default settings your circles are {before}; with these they are "
            "round",
            before=before,
        )
    else:
        told = say(
            "With the tablet's default settings your circles are {before}; with these {now}",
            before=before,
            now=now,
        )
    tilt = tilt_words(figures.tilt_deg)
    if tilt:
        return say("{circles}, and your strokes turn {tilt}.", circles=told, tilt=tilt)
    return say("{circles}.", circles=told)


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
