"""What matters most about a seat, in one sentence."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mapper.choosing.recommended import RECOMMENDED
from mapper.choosing.sitting import seat_findings
from mapper.choosing.viewing import distance_for_arc_minutes_mm
from render.sentences.say import say
from render.sentences.words import number

if TYPE_CHECKING:
    from mapper.choosing.sitting import Finding, Sitting
    from render.sentences.lengths import Lengths


def seat_heading(sitting: Sitting, lengths: Lengths) -> str:
    """Whether the seat is as recommended, or the figure that is farthest from it."""
    out = outside(sitting)
    if out:
        return outside_sentence(sitting, out[0], lengths)
    pixels = pixels_sentence(sitting, lengths)
    if pixels:
        return pixels
    distance = lengths.far(sitting.seat.distance_mm)
    return say("{distance} from the display is comfortable for most people.", distance=distance)


def outside(sitting: Sitting) -> list[Finding]:
    """The figures that are out of what is recommended, the most pressing first."""
    out = [
        finding
        for finding in seat_findings(sitting)
        if finding.side != "inside" and finding.recommendation.comfort
    ]
    return sorted(out, key=lambda each: -each.excess * each.recommendation.weight)


def outside_sentence(sitting: Sitting, finding: Finding, lengths: Lengths) -> str:
    """The sentence for a figure that is below or above what is recommended."""
    distance = lengths.far(sitting.seat.distance_mm)
    degrees = number(sitting.view.horizontal_deg, 0)
    found = {
        ("distance", "below"): say(
            "{distance} from the display is nearer than recommended.", distance=distance
        ),
        ("distance", "above"): say(
            "{distance} from the display is farther than recommended.", distance=distance
        ),
        ("width", "below"): say(
            "At {distance} the display fills only {degrees}° of your view.",
            distance=distance,
            degrees=degrees,
        ),
        ("width", "above"): say(
            "At {distance} the display fills {degrees}° of your view: its sides are hard to see.",
            distance=distance,
            degrees=degrees,
        ),
        ("top", "below"): say("The top of the display is above your eyes."),
        ("centre", "below"): say("The centre of the display is higher than recommended."),
        ("centre", "above"): say("The centre of the display is lower than recommended."),
        ("gaze", "above"): say("The bottom of the display is lower than recommended."),
        ("side", "above"): say("One display is farther to the side than recommended."),
    }
    return found[finding.key, finding.side]


def pixels_sentence(sitting: Sitting, lengths: Lengths) -> str:
    """Where single pixels can be seen: from where on they cannot; empty where they cannot."""
    finding = next((each for each in seat_findings(sitting) if each.key == "sharpness"), None)
    better_mm = sharp_from_mm(sitting)
    if finding is None or finding.side == "inside" or better_mm is None:
        return ""
    return say(
        "At {distance} you can see single pixels; from {better} on you cannot.",
        distance=lengths.far(sitting.seat.distance_mm),
        better=lengths.far(better_mm),
    )


def sharp_from_mm(sitting: Sitting) -> float | None:
    """From how far on single pixels of the main display cannot be seen; None where not known."""
    pitch_mm = sitting.places[sitting.main].display.mm_per_px
    minutes = RECOMMENDED["sharpness"].high
    if pitch_mm is None or minutes is None:
        return None
    return distance_for_arc_minutes_mm(pitch_mm[0], minutes)
