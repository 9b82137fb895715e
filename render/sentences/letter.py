"""The words of the letter: its sentences, and what can stand in their blanks.

The letter speaks as "I", and no word of geometry is in it. Each blank is a slot of its sentence, so
that another language can put the blanks in its own order; the words in a blank are written for that
slot.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from render.sentences.measures import diagonal_words, size
from render.sentences.say import Name, listed, say, say_count
from render.sentences.words import displays_count, in_language, number

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.desk import Desktop, Display, Tablet
    from mapper.mapping.solve import TabletMap
    from mapper.phrases import Phrase
    from mapper.rect import Rect

#: Above this many displays the letter gives their number instead of their names.
_MOST_NAMED = 3
#: Above this share in percent nobody sees that a part is not used.
_ALL_USED_PERCENT = 99.95


def desk_sentence(tablet: str, lying: str, displays: str, seat: str) -> Phrase:
    """What is on the desk; ``seat`` is a distance."""
    return say(
        "I draw on a tablet of {tablet}, lying {lying}, in front of {displays}, about {seat} away.",
        tablet=tablet,
        lying=lying,
        displays=displays,
        seat=seat,
    )


def desk_sentence_without_distance(tablet: str, lying: str, displays: str, seat: str) -> Phrase:
    """What is on the desk; ``seat`` says that the distance is not known."""
    return say(
        "I draw on a tablet of {tablet}, lying {lying}, in front of {displays}, {seat}.",
        tablet=tablet,
        lying=lying,
        displays=displays,
        seat=seat,
    )


def reach_sentence(reach: str, fit: str = "") -> Phrase:
    """What the pen reaches, and what happens to circles where the letter says it."""
    if not fit:
        return say("The pen reaches {reach}.", reach=reach)
    return say("The pen reaches {reach}. Circles {fit}.", reach=reach, fit=fit)


def area_sentence(part: str) -> Phrase:
    """Which area is taken as it is set."""
    return say("I use {part}.", part=part)


def part_sentence(part: str) -> Phrase:
    """Which part of the tablet may be used."""
    return say("I draw in {part}.", part=part)


def scale_sentence(scale: str) -> Phrase:
    """How large strokes are to come out."""
    return say("Strokes come out {scale}.", scale=scale)


def true_sentence(true: str) -> Phrase:
    """On which display circles are round."""
    return say("Circles are exactly round at least on {true}.", true=true)


def step_sentence(step: str) -> Phrase:
    """Which numbers the tablet's settings accept."""
    return say("My tablet's settings accept steps of {step}.", step=step)


def which_tablet() -> Phrase:
    """What stands in the blank of a tablet that is not known."""
    return say("which size?")


def which_display() -> Phrase:
    """What stands in the blank of a display that is not known."""
    return say("which display?")


def never_measured() -> Phrase:
    """What stands in the blank of a distance that is not known."""
    return say("at a distance I never measured")


def is_it_this(displays: str) -> Phrase:
    """The display that the browser is on, while nobody said that it is the one."""
    return say("{display} (is it this one?)", display=displays)


def tablet_words(tablet: Tablet) -> str:
    """A tablet by its name and size: ``medium, 240 × 152 mm``."""
    sides = size(tablet.width_mm, tablet.height_mm)
    return say("{name}, {size}", name=Name(tablet.label), size=sides) if tablet.label else sides


def turned_words(turn: str) -> Phrase:
    """How the tablet is turned, by its turn as typed in degrees: ``turned 90° to the right``."""
    if turn == "0":
        return say("straight", context="how a tablet lies")
    if turn == "270":
        return say("turned 90° to the left")
    if turn == "180":
        return say("turned 180°")
    return say("turned {degrees}° to the right", degrees=turn)


def lying_words(turn: str, slant: str) -> Phrase:
    """How the tablet lies, by its turn and slant as typed in degrees."""
    turned = turned_words(turn)
    if slant in {"", "0"}:
        return turned
    left = slant.startswith("-")
    askew = _askew(slant.lstrip("-"), left=left)
    return askew if turn == "0" else say("{turned} and {askew}", turned=turned, askew=askew)


def askew_words(slant_deg: float) -> Phrase:
    """How a tablet lies askew: ``10° askew to the right``."""
    return _askew(number(abs(slant_deg), 1), left=slant_deg < 0)


def _askew(degrees: str, *, left: bool) -> Phrase:
    if left:
        return say("{degrees}° askew to the left", degrees=degrees)
    return say("{degrees}° askew to the right", degrees=degrees)


def typed_distance_words(text: str) -> str:
    """A distance as typed, with a space between number and unit: ``70 cm``."""
    match = re.fullmatch(r"(.*[^a-z\"'\s])\s*([a-z\"']+)", text)
    return f"{match[1].strip()} {match[2]}" if match else text


def typed_displays_words(texts: Sequence[str]) -> Phrase:
    """Displays as typed, while no map is possible: ``one display, 27in 2560 × 1440``."""
    if len(texts) > 1:
        return _display_count(len(texts))
    typed = re.sub(r"(?<=\d)x(?=\d)", " × ", texts[0])
    return say("one display, {display}", display=typed)


def _display_count(count: int) -> Phrase:
    if count == 2:
        return say("two displays")
    if count == 3:
        return say("three displays")
    return displays_count(count)


def displays_words(desktop: Desktop) -> Phrase:
    """The displays of a desktop: one with its size and pixels, up to three by name and place."""
    displays = desktop.displays
    if len(displays) == 1:
        return say("one display, {display}", display=_only_display(displays[0]))
    count = _display_count(len(displays))
    if len(displays) > _MOST_NAMED:
        return count
    parts = [_one_of_several(display, desktop.primary) for display in displays]
    if len(parts) == 2:
        one, two = parts
        return say("{displays}: {one}, and {two}", displays=count, one=one, two=two)
    one, two, three = parts
    return say("{displays}: {one}; {two}; {three}", displays=count, one=one, two=two, three=three)


def pixels_words(display: Display) -> str:
    """``2560 × 1440``."""
    return f"{display.width_px} × {display.height_px}"


def _only_display(display: Display) -> str:
    diagonal, pixels = diagonal_words(display), pixels_words(display)
    words: str = say("{pixels} pixels", pixels=pixels)
    if diagonal:
        words = f"{diagonal}, {pixels}"
    if display.label == "main":
        return words
    return say("{name}, {size}", name=Name(display.label), size=words)


def _one_of_several(display: Display, primary: Display) -> Phrase:
    name, words = Name(display.label), diagonal_words(display) or pixels_words(display)
    if display.height_px > display.width_px:
        words = say("{size} upright", size=words)
    if display == primary:
        return say("{name}, {size}", name=name, size=words)
    place = place_words(display, primary)
    return say("{name}, {size}, {place}", name=name, size=words, place=place)


def place_words(display: Display, primary: Display) -> Phrase:
    """Where a display stands beside the primary one: ``to its right``, ``above it``."""
    one, other = display.rect_px, primary.rect_px
    if one.left >= other.right:
        return say("to its right")
    if one.right <= other.left:
        return say("to its left")
    return say("above it") if one.bottom <= other.top else say("below it")


def reach_words(solved: TabletMap | None) -> str:
    """What the pen reaches: a window, one display, several or all of them."""
    if solved is None or len(solved.request.desktop.displays) == 1:
        window = None if solved is None else solved.request.window_px
        return say("the whole display") if window is None else _window_words(window, "")
    count = len(solved.request.desktop.displays)
    labels = [Name(display.label) for display in solved.reached]
    if solved.request.window_px is not None:
        return _window_words(solved.request.window_px, labels[0] if len(labels) == 1 else "")
    if len(labels) == count:
        return say("both displays") if count == 2 else say("all displays")
    if len(labels) <= _MOST_NAMED:
        return listed(labels)
    return say_count(
        "{some} of the {count} display",
        "{some} of the {count} displays",
        count,
        some=str(len(labels)),
    )


def _window_words(window_px: Rect, display: str) -> Phrase:
    """A window by its size, and the one display that it lies on where that is worth saying."""
    pixels = f"{number(window_px.width, 0)} × {number(window_px.height, 0)}"
    if not display:
        return say("{pixels} pixels of the display", pixels=pixels)
    return say("{pixels} pixels of {display}", pixels=pixels, display=display)


def fit_words(fit: str, solved: TabletMap | None) -> Phrase:
    """What happens to circles: ``stay round; part of the tablet is not used``."""
    about = "circles"
    if fit == "full":
        return say("may come out oval; the whole tablet reaches the whole display", context=about)
    if solved is not None:
        summary = solved.summary
        used = summary.area_used_percent if fit == "locked" else summary.screen_used_percent
        if used >= _ALL_USED_PERCENT:
            return say("stay round, and the whole tablet and display are used", context=about)
    if fit == "locked":
        return say("stay round; part of the tablet is not used", context=about)
    return say("stay round; part of the display is not used", context=about)


def fit_name(fit: str) -> Phrase:
    """A way to map, as the name of its picture."""
    if fit == "full":
        return say("Whole tablet, whole display")
    return say("Part of the tablet") if fit == "locked" else say("Part of the display")


def fit_title(fit: str) -> Phrase:
    """A way to map, as a choice."""
    if fit == "full":
        return say("Whole tablet, whole display; circles may come out oval")
    if fit == "locked":
        return say("Circles stay round; part of the tablet is not used")
    return say("Circles stay round; part of the display is not used")


def part_words(within_built_mm: Rect | None) -> Phrase:
    """The part of the tablet that may be used, by size and place; without them where unknown."""
    if within_built_mm is None:
        return say("a part I placed")
    return say(
        "a part I placed, {size}, {left} mm from the left and {top} mm from the top",
        **_placed(within_built_mm),
    )


def area_words(area_built_mm: Rect | None) -> Phrase:
    """The area that is taken as it is set, by size and place; without them where unknown."""
    if area_built_mm is None:
        return say("the area as it is now")
    return say(
        "the area as it is now, {size}, {left} mm from the left and {top} mm from the top",
        **_placed(area_built_mm),
    )


def _placed(rect_mm: Rect) -> dict[str, str]:
    return {
        "size": size(rect_mm.width, rect_mm.height),
        "left": number(rect_mm.left, 1),
        "top": number(rect_mm.top, 1),
    }


def times_words(times: str) -> Phrase:
    """A wanted scale factor as typed: ``2.6 times as large``."""
    return say("{times} times as large", times=in_language(times))


def feel_words(of: str, scale_x: float, scale_y: float) -> Phrase:
    """How large strokes come out: as on another desk, or by two scale factors."""
    if of:
        return say("as large as at the desk “{desk}”", desk=Name(of))
    return say(
        "{across} times as large across and {down} down",
        across=number(scale_x),
        down=number(scale_y),
    )
