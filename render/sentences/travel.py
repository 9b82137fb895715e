"""How far the hand travels and what it hits, in sentences."""

from __future__ import annotations

from mapper.choosing.travel import WRIST_REACH_MM, Crossing, largest_sure_scale
from mapper.desk import Display
from render.sentences.measures import display_words
from render.sentences.words import fixed


def display_name(display: Display) -> str:
    """``main, 27 in, 2560 × 1440 px``; the size alone where the display is only called by it."""
    return (
        display_words(display)
        if display.label.endswith(" px")
        else f"{display.label}, {display_words(display)}"
    )


def travel_sentences(crossed: Crossing) -> list[str]:
    """What the numbers of ``crossed`` mean for arm and hand, a sentence each."""
    slow, fast = crossed.at(1.0), crossed.at(5.0)
    sure = largest_sure_scale(crossed.target_mm, crossed.scatter_mm)
    swing = (
        "more than the forearm can turn to"
        if slow.forearm_swing_deg is None
        else f"a turn of {fixed(slow.forearm_swing_deg, 0)} degrees about the elbow"
    )
    sentences = [
        (
            f"Why 1 is tiring: corner to corner takes {fixed(slow.corner_to_corner_mm, 0)} mm of "
            f"movement, {swing}; the wrist alone covers about {fixed(WRIST_REACH_MM, 0)} mm."
        ),
        (
            f"Why 5 is too much: the target is {fixed(fast.target_hand_mm, 1)} mm under the hand "
            f"and {fixed(fast.hit_percent, 0)} of 100 taps land on it."
        ),
        f"The target is hit 96 times in 100 up to a scale factor of {fixed(sure, 2)}.",
    ]
    if crossed.own_scale is not None:
        own = crossed.at(crossed.own_scale)
        sentences.append(
            f"Here, at {fixed(own.scale_factor, 2)}: {fixed(own.corner_to_corner_mm, 0)} mm "
            f"corner to corner, and {fixed(own.hit_percent, 0)} of 100 taps land."
        )
    return sentences
