"""Which pair suits: this tablet and display among the usual ones, and reach against precision."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from flask import render_template

from mapper.choosing.pairing import CUSTOMARY_TABLETS, USUAL_DISPLAYS
from mapper.choosing.travel import TARGETS_PX, Crossing
from render.desk.chapters import Heading
from render.desk.chapters.known import band, drawn
from render.sentences.words import number

if TYPE_CHECKING:
    from render.desk.desks import Desk

_WHERE = {"below": "lies below", "inside": "lies inside", "above": "lies above"}


def heading(desk: Desk) -> Heading:
    """Whether the scale factor lies inside the comfortable band."""
    solved = desk.solved
    scale = None if solved is None else solved.summary.scale_factor
    if scale is None:
        return Heading(
            "How much larger things come out is unknown: the display's size is missing.",
            "which pair",
        )
    limits, use = band(desk)
    what = "what usually suits drawing" if use else "what suits you"
    return Heading(
        f"{number(scale)} {_WHERE[limits.side(scale)]} {what}, {number(limits.low, 1)} to "
        f"{number(limits.high, 1)}.",
        "which pair, how far the hand goes",
    )


def fragment(desk: Desk) -> str:
    """The chapter's HTML: the chart of pairs, and how far the hand travels."""
    from render.pictures.pair_chart import pair_chart_scene
    from render.pictures.travel_chart import travel_scene
    from render.sentences.pairs import band_sentence
    from render.sentences.travel import travel_sentences

    solved = desk.solved
    if solved is None:
        return ""
    limits, use = band(desk)
    own_tablet, own_display = solved.request.tablet, solved.reference
    tablets = [replace(own_tablet, label="yours"), *CUSTOMARY_TABLETS]
    crossed = None
    displays = list(USUAL_DISPLAYS)
    if own_display.mm_per_px is not None:
        displays = [replace(own_display, label="yours"), *displays]
        pitch = own_display.mm_per_px[0]
        target_px = TARGETS_PX["button"] * own_display.zoom
        words = f"a button of {target_px:g} px, {target_px * pitch:.1f} mm"
        crossed = Crossing(
            own_display, target_px * pitch, words, limits, own_scale=solved.summary.scale_factor
        )
    return render_template(
        "chapters/pairs.html",
        band=band_sentence(limits, use),
        pairs=drawn(pair_chart_scene(tablets, displays, limits, use)),
        travel="" if crossed is None else drawn(travel_scene(crossed)),
        sentences=() if crossed is None else travel_sentences(crossed),
    )
