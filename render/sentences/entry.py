"""The rectangle to enter, in a sentence of the form that the tablet's settings ask for."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

from mapper.mapping.entry import Entry, EntryNumber, entry_numbers
from render.sentences.forms import SHAPE_WORDS, UNIT_WORDS, places_of, step_words
from render.sentences.words import circle_words, number, rotation_sentence

if TYPE_CHECKING:
    from mapper.mapping.solve import TabletMap

_TURNED = " Turn it by {4}."


#: From this stretch on, what rounding does to a circle is worth a word.
_OVAL_STRETCH = 1.0005


class Number(NamedTuple):
    """One number to type, and the words behind it that must stay on its line."""

    text: str
    word: str


def form_words(entry: Entry) -> str:
    """``corner and size, in mm, from the bottom left``."""
    bottom = ", from the bottom left" if entry.from_bottom else ""
    return f"{SHAPE_WORDS[entry.numbers].page}, in {UNIT_WORDS[entry.unit].page}{bottom}"


def answer_parts(
    solved: TabletMap, entry: Entry, lead: str = "In the tablet's settings"
) -> tuple[str, tuple[Number, ...]]:
    """The sentence with ``{0}`` and so on for its numbers, and the numbers; ``lead`` begins it.

    Raises RequestError for counts without a resolution.
    """
    numbers = tuple(Number(each.text, place) for each, place in placed_numbers(solved, entry))
    sentence = SHAPE_WORDS[entry.numbers].sentence + (_TURNED if len(numbers) > 4 else "")
    return sentence.replace("{lead}", lead).replace("{unit}", UNIT_WORDS[entry.unit].page), numbers


def placed_numbers(solved: TabletMap, entry: Entry) -> list[tuple[EntryNumber, str]]:
    """The numbers of the form, each with the words behind it: ``from the left``, ``wide``."""
    places = (*places_of(entry), "degrees")
    return list(zip(entry_numbers(solved, entry), places, strict=False))


def beside_the_numbers(solved: TabletMap) -> list[str]:
    """What has to be set or known beside the numbers of the rectangle, a sentence each."""
    request, screen = solved.request, solved.screen_px
    found = []
    if request.tablet.turn_deg:
        found.append(
            f"{rotation_sentence(request.tablet.turn_deg)} The numbers are those of the tablet as "
            f"it was built."
        )
    trimmed = solved.summary.screen_used_percent < 100 or bool(request.window_px)
    if screen != request.desktop.rect_px and (trimmed or len(request.desktop.displays) > 1):
        pixels = f"{number(screen.width, 1)} × {number(screen.height, 1)} pixels"
        place = f"{number(screen.left, 1)} from the left and {number(screen.top, 1)} from the top"
        found.append(f"On the screen, set the part of {pixels}, {place}.")
    if request.step is not None and solved is not solved.exact:
        rounded = f"Rounded to your form's steps of {step_words(request.step)}"
        shape = solved.figures_on(solved.reference).distortion
        exact = solved.exact.figures_on(solved.reference).distortion
        # Only where rounding made it oval: the picture shows a stretch that was asked for.
        if exact.stretch < 1 + 1e-9 and shape.stretch >= _OVAL_STRETCH:
            rounded = f"{rounded}; a circle is {circle_words(shape)}"
        found.append(f"{rounded}.")
    if solved.reference.mm_per_px is None:
        found.append(
            "The display's size in mm is unknown, so how much larger things come out is unknown "
            "too."
        )
    return found


def pieces(template: str) -> list[tuple[str, str]]:
    """A sentence's template in pieces: ``("text", ...)`` and ``("blank", name)``, in turn."""
    return [
        ("blank" if index % 2 else "text", piece)
        for index, piece in enumerate(re.split(r"\{([a-z0-9]+)\}", template))
    ]
