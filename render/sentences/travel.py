"""How far the hand travels and what it hits, in sentences."""

from __future__ import annotations

from mapper.choosing.travel import WRIST_REACH_MM, Crossing, largest_sure_scale
from mapper.desk import Display
from mapper.phrases import Phrase, phrase, template
from render.sentences.measures import display_words
from render.sentences.say import Name, say, say_again
from render.sentences.words import fixed, number, plain


def display_name(display: Display) -> str:
    """``main, 27 in, 2560 × 1440 px``; the size alone where the display is only called by it."""
    size = display_words(display)
    if display.label.endswith(" px"):
        return size
    return say("{display}, {size}", display=Name(display.label), size=size)


def travel_sentences(crossed: Crossing) -> list[str]:
    """What the numbers of ``crossed`` mean for arm and hand, a sentence each."""
    slow, fast = crossed.at(1.0), crossed.at(5.0)
    sure = largest_sure_scale(crossed.target_mm, crossed.hand.mm)
    way = {
        "movement": fixed(slow.corner_to_corner_mm, 0),
        "wrist": fixed(WRIST_REACH_MM, 0),
    }
    if slow.forearm_swing_deg is None:
        tiring = say(
            "At a scale factor of 1 the arm has to move {movement} mm from corner to corner, "
            "farther than the forearm can swing, which is tiring; the wrist alone covers about "
            "{wrist} mm.",
            **way,
        )
    else:
        tiring = say(
            "At a scale factor of 1 the arm has to move {movement} mm from corner to corner, a "
            "turn of {degrees} degrees about the elbow, which is tiring; the wrist alone covers "
            "about {wrist} mm.",
            degrees=fixed(slow.forearm_swing_deg, 0),
            **way,
        )
    sentences: list[str] = [
        tiring,
        say(
            "At a scale factor of 5 the target is only {target} mm under the hand, and {hits} of "
            "100 taps land on it.",
            target=fixed(fast.target_hand_mm, 1),
            hits=fixed(fast.hit_percent, 0),
        ),
        say(
            "The target is hit 96 times in 100 up to a scale factor of {scale}.",
            scale=number(sure),
        ),
    ]
    if crossed.hand.measured:
        sentences.append(
            say(
                "Your own taps land about {mm} mm off, {source}.",
                mm=fixed(crossed.hand.mm, 2),
                source=say_again(crossed.hand.source),
            )
        )
    if crossed.own_scale is not None:
        own = crossed.at(crossed.own_scale)
        sentences.append(
            say(
                "Here, at {scale}, the hand moves {movement} mm from corner to corner, and {hits} "
                "of 100 taps land on the target.",
                scale=number(own.scale_factor),
                movement=fixed(own.corner_to_corner_mm, 0),
                hits=fixed(own.hit_percent, 0),
            )
        )
    return sentences


#: How a target is called whose size is known in pixels.
_TARGETS = {
    "handle": template("a handle of {pixels} px, {size} mm"),
    "swatch": template("a swatch of {pixels} px, {size} mm"),
    "button": template("a button of {pixels} px, {size} mm"),
    "large-button": template("a large button of {pixels} px, {size} mm"),
    "": template("a target of {pixels} px, {size} mm"),
}
_WCAG = template("W3C WCAG 2.2, success criterion {number}")
#: Where the size of a target is published, of those that are.
SOURCES = {
    "button": phrase(_WCAG, number="2.5.8"),
    "large-button": phrase(_WCAG, number="2.5.5"),
}


def target_words(
    size_mm: float, size_px: float | None = None, name: str = "", source: str = ""
) -> Phrase:
    """A target with its size and the source of that, free of language.

    ``name`` is one of ``TARGETS_PX``, or empty for any other target.
    """
    if size_px is None:
        return phrase("a target of {size} mm", size=f"{size_mm:g}")
    words = phrase(_TARGETS[name], pixels=f"{size_px:g}", size=plain(size_mm, 1))
    return phrase("{target} ({source})", target=words, source=source) if source else words
