"""What a map comes to, in a line for a choice, a card or a voice."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mapper.mapping.reach import in_reach_percent
from render.sentences.say import Name, listed, paragraph, say
from render.sentences.words import (
    SEEN_SHARE_PERCENT,
    TWICE,
    circle_words,
    number,
    oval_way,
    share_words,
    tilt_words,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.mapping.solve import DisplayFigures, TabletMap
    from render.sentences.words import Shape

#: More displays than this share one range of scale factors.
_MOST_NAMED = 3


def outcome(solved: TabletMap | None) -> str:
    """``Round, 2.49 times as large. 11 % of the tablet is not used.``; empty without a map."""
    if solved is None:
        return ""
    sentences = [*_shapes(solved), *turned_sentences(solved), *_not_used(solved)]
    return paragraph(sentences)


def _shapes(solved: TabletMap) -> list[str]:
    """What a circle becomes, a sentence for all displays or for each shape that it gets."""
    figures = sorted(solved.figures, key=lambda each: each.display != solved.reference.label)
    alike: dict[str, list[DisplayFigures]] = {}
    for each in figures or [solved.figures_on(solved.reference)]:
        alike.setdefault(oval_words(each.distortion), []).append(each)
    if len(alike) == 1:
        (shape,) = alike
        return [say("A circle comes out {shape}.", shape=shape) if shape else _round(figures)]
    return [
        _on_displays(shape, listed([Name(each.display) for each in on]))
        for shape, on in alike.items()
    ]


def oval_words(shape: Shape) -> str:
    """``12.6 % wider than tall``, ``2.2 times as tall as wide``; empty for a circle that is round.

    The share is the longer side over the shorter one, whichever it is.
    """
    way = oval_way(shape)
    if way == "round":
        return ""
    if way != "slant":
        return circle_words(shape)
    if shape.stretch >= TWICE:
        times = number(shape.stretch, 1)
        return say("{times} times as long along a diagonal", times=times)
    percent = number((shape.stretch - 1) * 100, 1)
    return say("{percent} % longer along a diagonal", percent=percent)


def _round(figures: Sequence[DisplayFigures]) -> str:
    """``Round, 2.49 times as large.``, with the scale factor of each display."""
    sized = [(each.scale_factor, each.display) for each in figures if each.scale_factor is not None]
    times = {number(factor) for factor, _ in sized}
    if not sized:
        return say("Round.")
    if times == {"1"}:
        return say("Round, as large as under your hand.")
    if len(times) == 1:
        return say("Round, {times} times as large.", times=times.pop())
    if len(sized) > _MOST_NAMED:
        factors = [factor for factor, _ in sized]
        return say(
            "Round, {low} to {high} times as large.",
            low=number(min(factors)),
            high=number(max(factors)),
        )
    each = [
        say("{times} times as large on {display}", times=number(factor), display=Name(display))
        for factor, display in sized
    ]
    return say("Round, {list}.", list=listed(each))


def _on_displays(shape: str, displays: str) -> str:
    if not shape:
        return say("A circle stays round on {displays}.", displays=displays)
    return say("On {displays} a circle comes out {shape}.", displays=displays, shape=shape)


def turned_sentences(solved: TabletMap) -> list[str]:
    """How far strokes come out turned; nothing where nobody can see it."""
    tilt = tilt_words(solved.figures_on(solved.reference).tilt_deg)
    return [say("Your strokes come out askew {tilt}.", tilt=tilt)] if tilt else []


def _not_used(solved: TabletMap) -> list[str]:
    tablet, display = 100 - solved.summary.area_used_percent, 100 - in_reach_percent(solved)
    shares = {"tablet": share_words(tablet), "display": share_words(display)}
    if tablet > SEEN_SHARE_PERCENT and display > SEEN_SHARE_PERCENT:
        return [say("{tablet} of the tablet and {display} of the display are not used.", **shares)]
    if tablet > SEEN_SHARE_PERCENT:
        return [say("{tablet} of the tablet is not used.", tablet=shares["tablet"])]
    if display > SEEN_SHARE_PERCENT:
        return [say("{display} of the display is not used.", display=shares["display"])]
    return []
