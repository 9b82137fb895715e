"""Which pair suits: this tablet and display among the usual ones, and reach against precision."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from flask import render_template

from mapper.choosing.pairing import USUAL_DISPLAYS
from mapper.choosing.travel import TARGETS_PX, Crossing
from render.desk.chapters import Heading
from render.desk.chapters.known import band, drawn, hand, sheet_mm
from render.sentences.say import say
from render.sentences.words import number

if TYPE_CHECKING:
    from render.desk.desks import Desk


def heading(desk: Desk) -> Heading:
    """Whether the scale factor lies inside the comfortable band."""
    solved = desk.solved
    scale = None if solved is None else solved.summary.scale_factor
    if scale is None:
        return Heading(
            say("There is no scale factor: the size of the display is not known."),
            say("which pair"),
        )
    limits, use = band(desk)
    sentence = _beside_the_band(
        limits.side(scale),
        own=use is None,
        scale=number(scale),
        low=number(limits.low, 1),
        high=number(limits.high, 1),
    )
    return Heading(sentence, say("which pair, how far the hand moves"))


def _beside_the_band(side: str, *, own: bool, **slots: str) -> str:
    """Where a scale factor lies beside the person's own band, or beside the usual one."""
    if own:
        return {
            "below": say("The scale factor {scale} is below your band, {low} to {high}.", **slots),
            "inside": say("The scale factor {scale} is in your band, {low} to {high}.", **slots),
            "above": say("The scale factor {scale} is above your band, {low} to {high}.", **slots),
        }[side]
    return {
        "below": say("The scale factor {scale} is below the usual band, {low} to {high}.", **slots),
        "inside": say("The scale factor {scale} is in the usual band, {low} to {high}.", **slots),
        "above": say("The scale factor {scale} is above the usual band, {low} to {high}.", **slots),
    }[side]


def fragment(desk: Desk) -> str:
    """The chapter's HTML: the chart of pairs, and how far the hand travels."""
    from render.pictures.pair_chart import pair_chart_scene
    from render.pictures.travel_chart import travel_scene
    from render.sentences.pairs import band_sentence, customary_tablets
    from render.sentences.travel import target_words, travel_sentences

    solved = desk.solved
    if solved is None:
        return ""
    limits, use = band(desk)
    own_tablet, own_display = solved.request.tablet, solved.reference
    tablets = [replace(own_tablet, label=say("your tablet")), *customary_tablets()]
    crossed = None
    displays = list(USUAL_DISPLAYS)
    if own_display.mm_per_px is not None:
        displays = [replace(own_display, label=say("your display")), *displays]
        pitch = own_display.mm_per_px[0]
        target_px = TARGETS_PX["button"] * own_display.zoom
        words = target_words(target_px * pitch, target_px, "button")
        crossed = Crossing(
            own_display,
            target_px * pitch,
            words,
            limits,
            own_scale=solved.summary.scale_factor,
            hand=hand(desk),
        )
    return render_template(
        "chapters/pairs.html",
        band=band_sentence(limits, use),
        pairs=drawn(pair_chart_scene(tablets, displays, limits, use, wide_mm=sheet_mm())),
        travel="" if crossed is None else drawn(travel_scene(crossed, wide_mm=sheet_mm())),
        sentences=() if crossed is None else travel_sentences(crossed),
    )
