"""The letter: whole sentences with blanks, each blank with the words that stand in it now.

A sentence is a template in which ``{tablet}`` stands for the blank of that name, so that another
language can order it as it likes. The letter speaks as "I"; no word of geometry is in it.
"""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING, NamedTuple

from mapper.units import MM_PER_INCH
from profiles.fields import FIELDS
from render.fields import BLANKS, LetterBlank
from render.sentences.forms import step_words
from render.sentences.measures import size
from render.sentences.words import number

if TYPE_CHECKING:
    from collections.abc import Callable

    from mapper.desk import Desktop, Display
    from mapper.mapping.solve import TabletMap
    from mapper.rect import Rect
    from render.desk.answer import Answer
    from render.desk.described import Description


class Blank(NamedTuple):
    """The words in a blank, and what it is called by undo and to a screen reader."""

    words: str
    wrong: bool = False
    empty: bool = False


class Sentence(NamedTuple):
    """One sentence and its blanks by name."""

    template: str
    blanks: dict[str, Blank]


_NUMBER_WORDS = {2: "two", 3: "three", 4: "four", 5: "five", 6: "six", 7: "seven", 8: "eight"}


def letter(
    answer: Answer, last: TabletMap | None, *, asks: bool = False
) -> tuple[list[Sentence], list[str]]:
    """The sentences of a desk, and the names of the blanks that could be added.

    ``last`` is the map as it was last possible, for words where the one of now is not; ``asks``
    whether the display is only the screen that the browser is on.
    """
    said = answer.said
    told = answer.told or last
    wrong = {each.blank for each in answer.wrong}

    def blank(name: str, words: str, typed: str = "", *, empty: bool = False) -> Blank:
        # What is wrong stands in the letter as it was typed.
        return Blank(typed or words, True) if name in wrong else Blank(words, False, empty)

    first = {
        "tablet": blank("tablet", _tablet(answer, told), said.tablet, empty=not said.tablet),
        "lying": blank("lying", _lying(said.turn, said.slant), f"{said.turn}° and {said.slant}°"),
        "displays": blank(
            "displays",
            f"{_displays(answer, told)} (is it this one?)" if asks else _displays(answer, told),
            "; ".join(said.displays),
            empty=asks or not said.displays,
        ),
        "seat": blank(
            "seat",
            said.distance and _distance(said.distance),
            said.distance,
            empty=not said.distance,
        ),
    }
    opening = (
        "I draw on a tablet of {tablet}, lying {lying}, in front of {displays}, about {seat} away."
    )
    if not said.distance:
        first["seat"] = Blank("at a distance I never measured", "seat" in wrong, empty=True)
        opening = "I draw on a tablet of {tablet}, lying {lying}, in front of {displays}, {seat}."
    sentences = [Sentence(opening, first)]
    second = {
        "reach": blank("reach", _reach(told), said.window or said.onto),
        "fit": blank("fit", fit_words(said.fit, told), said.fit),
    }
    if said.area:
        sentences.append(Sentence("The pen reaches {reach}.", {"reach": second["reach"]}))
    else:
        sentences.append(Sentence("The pen reaches {reach}, and shapes {fit}.", second))
    further = _further(answer, told, blank)
    sentences += further
    there = {name for sentence in further for name in sentence.blanks}
    # An area that is taken as it is set has neither a wanted size nor something that stays.
    more = [
        row.name
        for row in BLANKS.values()
        if row.more and row.name not in there and not (said.area and row.name in {"scale", "hold"})
    ]
    return sentences, more


def _further(
    answer: Answer, solved: TabletMap | None, blank: Callable[[str, str, str], Blank]
) -> list[Sentence]:
    """The sentences that only some letters have."""
    said, found = answer.said, []
    if said.area:
        found.append(Sentence("I keep {part}.", {"part": blank("part", _area(solved), said.area)}))
    elif said.within:
        found.append(
            Sentence("I draw in {part}.", {"part": blank("part", _part(solved), said.within)})
        )
    if said.scale:
        found.append(
            Sentence(
                "Things come out {scale}.",
                {"scale": blank("scale", f"{said.scale} times as large", said.scale)},
            )
        )
    elif said.feel:
        both = f"{number(said.feel.scale_x)} by {number(said.feel.scale_y)} times as large"
        words = f"as on {said.feel.of}" if said.feel.of else both
        found.append(Sentence("Things come out {scale}.", {"scale": blank("scale", words, words)}))
    if solved is not None and len(solved.reached) > 1 and said.fit != "full" and not said.area:
        words = solved.reference.label
        found.append(
            Sentence("Shapes are true on {true}.", {"true": blank("true", words, said.true_on)})
        )
    if said.step:
        step = None if answer.told is None else answer.told.request.step
        words = f"steps of {said.step if step is None else step_words(step)}"
        found.append(
            Sentence(
                "My tablet's settings go in {step}.", {"step": blank("step", words, said.step)}
            )
        )
    found += [
        _plain_sentence(row, said, blank)
        for row in BLANKS.values()
        if row.sentence and any(getattr(said, name) != FIELDS[name].unsaid for name in row.fields)
    ]
    order = list(BLANKS)
    return sorted(found, key=lambda sentence: order.index(next(iter(sentence.blanks))))


def _plain_sentence(
    row: LetterBlank, said: Description, blank: Callable[[str, str, str], Blank]
) -> Sentence:
    typed = str(getattr(said, row.fields[0]))
    return Sentence(row.sentence, {row.name: blank(row.name, row.words.get(typed, typed), typed)})


def _tablet(answer: Answer, solved: TabletMap | None) -> str:
    if not answer.said.tablet:
        return "which size?"
    if answer.told is None and solved is None:
        return str(answer.said.tablet)
    tablet = (answer.told or solved).request.tablet  # type: ignore[union-attr]
    sides = size(tablet.width_mm, tablet.height_mm)
    return f"{tablet.label}, {sides}" if tablet.label else sides


def _lying(turn: str, slant: str) -> str:
    turned = {
        "0": "straight",
        "90": "turned a quarter to the right",
        "180": "turned upside down",
        "270": "turned a quarter to the left",
    }
    words = turned.get(turn, f"turned by {turn}°")
    if slant not in {"", "0"}:
        askew = f"{slant.lstrip('-')}° askew to the {'left' if slant.startswith('-') else 'right'}"
        return askew if words == "straight" else f"{words}, {askew}"
    return words


def _distance(text: str) -> str:
    # As typed, with room between number and unit.
    head = text.rstrip("abcdefghijklmnopqrstuvwxyz\"'")
    return f"{head.strip()} {text[len(head) :]}" if head != text and head.strip() else text


def _displays(answer: Answer, solved: TabletMap | None) -> str:
    if not answer.said.displays:
        return "which display?"
    if solved is None:
        typed = re.sub(r"(?<=\d)x(?=\d)", " × ", answer.said.displays[0])
        return (
            f"one display, {typed}"
            if len(answer.said.displays) == 1
            else f"{len(answer.said.displays)} displays"
        )
    return displays_words(solved.request.desktop)


def displays_words(desktop: Desktop) -> str:
    """All displays in words: one with its size and pixels, up to three by name and place, more by
    their number.
    """
    displays = desktop.displays
    if len(displays) == 1:
        only = displays[0]
        inches = diagonal(only)
        named = "" if only.label == "main" else f"{only.label}, "
        pixels = f"{only.width_px} × {only.height_px}"
        return (
            f"one display, "
            f"{named}{inches + ', ' if inches else ''}{pixels}{'' if inches else ' pixels'}"
        )
    count = _NUMBER_WORDS.get(len(displays), str(len(displays)))
    if len(displays) > 3:
        return f"{count} displays"
    parts = []
    for display in displays:
        upright = " upright" if display.height_px > display.width_px else ""
        words = (
            f"{display.label}, "
            f"{diagonal(display) or f'{display.width_px} × {display.height_px}'}{upright}"
        )
        if display != desktop.primary:
            words += f", {place_words(display, desktop.primary)}"
        parts.append(words)
    return f"{count} displays: {', and '.join(parts) if len(parts) == 2 else '; '.join(parts)}"


def diagonal(display: Display) -> str:
    """``27 in``, empty where the size is not known."""
    if display.width_mm is None or display.height_mm is None:
        return ""
    return f"{number(math.hypot(display.width_mm, display.height_mm) / MM_PER_INCH, 1)} in"


def place_words(display: Display, primary: Display) -> str:
    """Where a display stands, as seen from the main one."""
    one, other = display.rect_px, primary.rect_px
    if one.left >= other.right:
        return "to its right"
    if one.right <= other.left:
        return "to its left"
    return "above it" if one.bottom <= other.top else "below it"


def _reach(solved: TabletMap | None) -> str:
    if solved is None:
        return "the whole display"
    desktop, window = solved.request.desktop, solved.request.window_px
    labels = [display.label for display in solved.reached]
    if window is not None:
        where = f" of {labels[0]}" if len(desktop.displays) > 1 and len(labels) == 1 else ""
        return f"a window of {number(window.width, 0)} × {number(window.height, 0)} pixels{where}"
    if len(desktop.displays) == 1:
        return "the whole display"
    if len(labels) == len(desktop.displays):
        return "both displays" if len(labels) == 2 else "all displays"
    return " and ".join(labels) if len(labels) < 4 else f"{len(labels)} of them"


def fit_words(fit: str, solved: TabletMap | None) -> str:
    """What happens to shapes, as the end of a sentence that began with them."""
    if fit == "full":
        return "may stretch; everything reaches everything"
    unused = solved is None or (
        solved.summary.area_used_percent < 99.95
        if fit == "locked"
        else solved.summary.screen_used_percent < 99.95
    )
    if not unused:
        return "stay true, and nothing is left over"
    return f"stay true; a strip of the {'tablet' if fit == 'locked' else 'display'} stays unused"


def _place(rect: Rect) -> str:
    return (
        f"{size(rect.width, rect.height)}, {number(rect.left, 1)} mm from the left and "
        f"{number(rect.top, 1)} from the top"
    )


def _part(solved: TabletMap | None) -> str:
    within = None if solved is None else solved.request.within_built_mm
    return "a part I placed" if within is None else f"a part I placed, {_place(within)}"


def _area(solved: TabletMap | None) -> str:
    area = None if solved is None else solved.request.area_built_mm
    return (
        "the area as it is set now"
        if area is None
        else f"the area as it is set now, {_place(area)}"
    )
