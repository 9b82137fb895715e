"""What a driver does otherwise than was meant, and what to set: for touched crosses and traces.

It loads no numpy, as touched crosses need none.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from render.sentences.say import say
from render.sentences.words import number, to_type, turn_words

if TYPE_CHECKING:
    from mapper.mapping.entry import Entry
    from mapper.rect import Rect


def way_words(name: str, *, top_to_bottom: bool = False) -> str:
    """How the picture lies against the hand, by the name of the cause."""
    mirrored = say("Strokes come out mirrored, left to right.")
    if top_to_bottom:
        mirrored = say("Strokes come out mirrored, top to bottom.")
    return {
        "turned": say("Strokes come out turned."),
        "mirrored": mirrored,
        "turned and mirrored": say("Strokes come out turned and mirrored."),
        "several": say("Several settings are wrong."),
    }[name]


def set_rotation(turn_deg: int) -> str:
    """The rotation to set in the tablet's settings, for a tablet that lies turned so."""
    turned = turn_words(turn_deg)
    if not turned:
        return say("Set the rotation in the tablet's settings: not turned.")
    return say("Set the rotation in the tablet's settings: turned {turn}.", turn=turned)


def set_no_mirror() -> str:
    """What to do about a mirror."""
    return say("Switch mirroring off.")


def set_angle(angle_deg: float, entry: Entry) -> str:
    """The angle of an area that is turned by other than quarters."""
    return say("Set the angle of the area to {angle} degrees.", angle=to_type(angle_deg, 2, entry))


def part_words(rect: Rect) -> str:
    """A part of the desktop, as a tablet's settings ask for it."""
    return say(
        "{width} × {height} pixels, {left} from the left and {top} from the top",
        width=number(rect.width, 0),
        height=number(rect.height, 0),
        left=number(rect.left, 0),
        top=number(rect.top, 0),
    )
