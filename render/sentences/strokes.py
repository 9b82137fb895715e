"""What a setting does to the strokes of a hand, in sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

from render.sentences.words import circle_parts, circle_words, tilt_words

if TYPE_CHECKING:
    from mapper.mapping.solve import TabletMap


def strokes_sentence(solved: TabletMap, default: TabletMap) -> str:
    """What becomes of circles and strokes, beside what the driver does at its default."""
    figures = solved.figures_on(solved.reference)
    now = circle_words(figures.distortion)
    before = circle_words(default.figures_on(default.reference).distortion)
    tilt = tilt_words(figures.tilt_deg)
    turned = f", and your strokes turn {tilt}" if tilt else ""
    if now == before == "round":
        return f"Your circles stay round, with the driver at its default as well{turned}."
    if now == before:
        return f"Your circles are {now}{turned}."
    they = "they are round" if now == "round" else now
    return f"With the driver at its default your circles are {before}; with this {they}{turned}."


def setting_clause(solved: TabletMap) -> str:
    """What the map does to every shape: ``the setting makes it 12.6 % wider``; may be empty."""
    figures = solved.figures_on(solved.reference)
    share, direction = circle_parts(figures.distortion)
    longer = {
        "": "",
        "wider than tall": f"makes it {share} wider",
        "taller than wide": f"makes it {share} taller",
        "longer than wide": f"makes it {share} longer one way, along a slant",
    }[direction]
    tilt = tilt_words(figures.tilt_deg)
    turned = f"turns it {tilt}" if tilt else ""
    words = " and ".join(filter(None, (longer, turned)))
    return f"the setting {words}" if words else ""
