"""What matters most about a seat, in one sentence."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mapper.choosing.recommended import RECOMMENDED
from mapper.choosing.sitting import seat_findings
from mapper.choosing.viewing import distance_for_arc_minutes_mm
from render.sentences.say import say
from render.sentences.words import number

if TYPE_CHECKING:
    from mapper.choosing.sitting import Sitting

#: The figures that make a sentence, the first that is out says it; the eyes alone reach no edge.
_ORDER = ("distance", "width", "sharpness", "top", "centre", "gaze", "side")


def seat_heading(sitting: Sitting) -> str:
    """Whether the seat is as recommended, or the first figure that is not."""
    distance = number(sitting.seat.distance_mm / 10, 0)
    sides = {finding.key: finding.side for finding in seat_findings(sitting)}
    for key in _ORDER:
        if sides.get(key, "inside") != "inside":
            return _out(sitting, key, sides[key], distance)
    return say("{distance} cm from the display is comfortable for most people.", distance=distance)


def _out(sitting: Sitting, key: str, side: str, distance: str) -> str:
    """The sentence for a figure that is ``below`` or ``above`` what is recommended."""
    if key == "sharpness":
        return _pixels(sitting, distance)
    degrees = number(sitting.view.horizontal_deg, 0)
    found = {
        ("distance", "below"): say(
            "{distance} cm from the display is nearer than recommended.", distance=distance
        ),
        ("distance", "above"): say(
            "{distance} cm from the display is farther than recommended.", distance=distance
        ),
        ("width", "below"): say(
            "At {distance} cm the display fills only {degrees}° of your view.",
            distance=distance,
            degrees=degrees,
        ),
        ("width", "above"): say(
            "At {distance} cm the display fills {degrees}° of your view: its sides are hard to "
            "see.",
            distance=distance,
            degrees=degrees,
        ),
        ("top", "below"): say("The top of the display is above your eyes."),
        ("centre", "below"): say("The middle of the display is higher than recommended."),
        ("centre", "above"): say("The middle of the display is lower than recommended."),
        ("gaze", "above"): say("The bottom of the display is lower than recommended."),
        ("side", "above"): say("One display is farther to the side than recommended."),
    }
    return found[key, side]


def _pixels(sitting: Sitting, distance: str) -> str:
    """At what distance single pixels can no longer be seen."""
    pitch_mm = sitting.places[sitting.main].display.mm_per_px
    minutes = RECOMMENDED["sharpness"].high
    if pitch_mm is None or minutes is None:
        return say("At {distance} cm you can see single pixels.", distance=distance)
    better = distance_for_arc_minutes_mm(pitch_mm[0], minutes) / 10
    return say(
        "At {distance} cm you can see single pixels; from {better} cm on you cannot.",
        distance=distance,
        better=number(better, 0),
    )
