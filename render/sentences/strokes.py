"""What a setting does to the strokes of a hand, in sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

from render.sentences.outcome import oval_words, turned_sentences
from render.sentences.say import paragraph, say
from render.sentences.words import tilt_words

if TYPE_CHECKING:
    from mapper.mapping.solve import TabletMap


def strokes_sentence(solved: TabletMap, default: TabletMap) -> str:
    """What becomes of circles and strokes, beside what the settings do at their default."""
    now = oval_words(solved.figures_on(solved.reference).distortion)
    before = oval_words(default.figures_on(default.reference).distortion)
    if not now and not before:
        found: list[str] = [say("Your circles stay round, also with the default settings.")]
    else:
        found = [
            say("Your circles come out {shape}.", shape=now)
            if now
            else say("Your circles come out round.")
        ]
    if now != before:
        found.append(
            say("With the default settings they would be {shape}.", shape=before)
            if before
            else say("With the default settings they would be round.")
        )
    return paragraph([*found, *turned_sentences(solved)])


def setting_sentences(solved: TabletMap) -> str:
    """What the map does to every shape, in a sentence or two.

    Empty where it keeps circles round and turns nothing.
    """
    figures = solved.figures_on(solved.reference)
    found: list[str] = []
    if shape := oval_words(figures.distortion):
        found.append(say("The setting makes a circle {shape}.", shape=shape))
    if tilt := tilt_words(figures.tilt_deg):
        found.append(say("The setting turns it {tilt}.", tilt=tilt))
    return paragraph(found) if found else ""
