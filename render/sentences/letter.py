"""The words of the letter: its sentences as templates, and what can stand in their blanks.

The letter speaks as "I", and no word of geometry is in it. ``{tablet}`` in a template is the blank
of that name, so that another language can put the blanks in its own order.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from render.sentences.measures import diagonal_words, size
from render.sentences.words import number

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.desk import Desktop, Display, Tablet
    from mapper.mapping.solve import TabletMap
    from mapper.rect import Rect

DESK = "I draw on a tablet of {tablet}, lying {lying}, in front of {displays}, about {seat} away."
DESK_WITHOUT_DISTANCE = (
    "I draw on a tablet of {tablet}, lying {lying}, in front of {displays}, {seat}."
)
NEVER_MEASURED = "at a distance I never measured"
REACH = "The pen reaches {reach}."
REACH_AND_SHAPES = "The pen reaches {reach}, and shapes {fit}."
AREA_AS_SET = "I keep {part}."
PART = "I draw in {part}."
SCALE = "Things come out {scale}."
TRUE_ON = "Shapes are true on {true}."
STEP = "My tablet's settings go in {step}."

WHICH_TABLET = "which size?"
WHICH_DISPLAY = "which display?"

_TURNS = {
    "0": "straight",
    "90": "turned a quarter to the right",
    "180": "turned upside down",
    "270": "turned a quarter to the left",
}
_NUMBERS = {2: "two", 3: "three", 4: "four", 5: "five", 6: "six", 7: "seven", 8: "eight"}
#: Above this many displays the letter gives their number instead of their names.
_MOST_NAMED = 3
#: Above this share in percent nobody sees that a part is unused.
_ALL_USED_PERCENT = 99.95


def tablet_words(tablet: Tablet) -> str:
    """A tablet by its name and size: ``medium, 240 × 152 mm``."""
    sides = size(tablet.width_mm, tablet.height_mm)
    return f"{tablet.label}, {sides}" if tablet.label else sides


def lying_words(turn: str, slant: str) -> str:
    """How the tablet lies, by its turn and slant as typed in degrees."""
    turned = _TURNS.get(turn, f"turned by {turn}°")
    if slant in {"", "0"}:
        return turned
    side = "left" if slant.startswith("-") else "right"
    askew = f"{slant.lstrip('-')}° askew to the {side}"
    return askew if turned == "straight" else f"{turned}, {askew}"


def typed_distance_words(text: str) -> str:
    """A distance as typed, with a space between number and unit: ``70 cm``."""
    match = re.fullmatch(r"(.*[^a-z\"'\s])\s*([a-z\"']+)", text)
    return f"{match[1].strip()} {match[2]}" if match else text


def typed_displays_words(texts: Sequence[str]) -> str:
    """Displays as typed, while no map is possible: ``one display, 27in 2560 × 1440``."""
    if len(texts) > 1:
        return f"{len(texts)} displays"
    typed = re.sub(r"(?<=\d)x(?=\d)", " × ", texts[0])
    return f"one display, {typed}"


def displays_words(desktop: Desktop) -> str:
    """The displays of a desktop: one with its size and pixels, up to three by name and place."""
    displays = desktop.displays
    if len(displays) == 1:
        return f"one display, {_only_display(displays[0])}"
    count = _NUMBERS.get(len(displays), str(len(displays)))
    if len(displays) > _MOST_NAMED:
        return f"{count} displays"
    parts = [_one_of_several(display, desktop.primary) for display in displays]
    return f"{count} displays: {', and '.join(parts) if len(parts) == 2 else '; '.join(parts)}"


def _only_display(display: Display) -> str:
    diagonal = diagonal_words(display)
    pixels = f"{display.width_px} × {display.height_px}"
    words = f"{diagonal}, {pixels}" if diagonal else f"{pixels} pixels"
    return words if display.label == "main" else f"{display.label}, {words}"


def _one_of_several(display: Display, primary: Display) -> str:
    words = diagonal_words(display) or f"{display.width_px} × {display.height_px}"
    upright = " upright" if display.height_px > display.width_px else ""
    place = "" if display == primary else f", {place_words(display, primary)}"
    return f"{display.label}, {words}{upright}{place}"


def place_words(display: Display, primary: Display) -> str:
    """Where a display stands beside the primary one: ``to its right``, ``above it``."""
    one, other = display.rect_px, primary.rect_px
    if one.left >= other.right:
        return "to its right"
    if one.right <= other.left:
        return "to its left"
    return "above it" if one.bottom <= other.top else "below it"


def reach_words(solved: TabletMap | None) -> str:
    """What the pen reaches: a window, one display, several or all of them."""
    if solved is None:
        return "the whole display"
    count, window = len(solved.request.desktop.displays), solved.request.window_px
    labels = [display.label for display in solved.reached]
    if window is not None:
        words = f"a window of {number(window.width, 0)} × {number(window.height, 0)} pixels"
        return f"{words} of {labels[0]}" if count > 1 and len(labels) == 1 else words
    if count == 1:
        return "the whole display"
    if len(labels) == count:
        return "both displays" if count == 2 else "all displays"
    return " and ".join(labels) if len(labels) <= _MOST_NAMED else f"{len(labels)} of them"


def fit_words(fit: str, solved: TabletMap | None) -> str:
    """What happens to shapes, as the end of a sentence that begins with them."""
    if fit == "full":
        return "may stretch; everything reaches everything"
    if solved is not None:
        summary = solved.summary
        used = summary.area_used_percent if fit == "locked" else summary.screen_used_percent
        if used >= _ALL_USED_PERCENT:
            return "stay true, and nothing is left over"
    side = "tablet" if fit == "locked" else "display"
    return f"stay true; a strip of the {side} stays unused"


def part_words(within_built_mm: Rect | None) -> str:
    """The part of the tablet that may be used, by size and place; without them where unknown."""
    return _with_place("a part I placed", within_built_mm)


def area_words(area_built_mm: Rect | None) -> str:
    """The area that is taken as it is set, by size and place; without them where unknown."""
    return _with_place("the area as it is set now", area_built_mm)


def _with_place(words: str, rect_mm: Rect | None) -> str:
    if rect_mm is None:
        return words
    sides = size(rect_mm.width, rect_mm.height)
    left, top = number(rect_mm.left, 1), number(rect_mm.top, 1)
    return f"{words}, {sides}, {left} mm from the left and {top} from the top"


def feel_words(of: str, scale_x: float, scale_y: float) -> str:
    """How large things come out: as on another desk, or by two factors."""
    if of:
        return f"as on {of}"
    return f"{number(scale_x)} by {number(scale_y)} times as large"
