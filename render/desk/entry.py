"""The form in which this person's driver asks for the rectangle, as a text, and the sentence that
tells it in that form.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

from mapper.mapping.entry import Entry, entry_numbers
from render.sentences.forms import SHAPE_WORDS, UNIT_WORDS, places_of

if TYPE_CHECKING:
    from mapper.mapping.solve import TabletMap

_TURNED = " Turn it by {4}."


class Number(NamedTuple):
    """One number to type: its text, and the words that must not part from it."""

    text: str
    word: str


def form_words(entry: Entry) -> str:
    """``corner and size, in mm, from the bottom left``."""
    bottom = ", from the bottom left" if entry.from_bottom else ""
    return f"{SHAPE_WORDS[entry.numbers].page}, in {UNIT_WORDS[entry.unit].page}{bottom}"


def answer_parts(
    solved: TabletMap, entry: Entry, lead: str = "In the tablet's settings"
) -> tuple[str, tuple[Number, ...]]:
    """The sentence, with ``{0}`` and so on, and its numbers; ``lead`` begins it.

    Raises RequestError for counts without a resolution.
    """
    places = (*places_of(entry), "degrees")
    numbers = tuple(
        Number(each.text, place)
        for each, place in zip(entry_numbers(solved, entry), places, strict=False)
    )
    sentence = SHAPE_WORDS[entry.numbers].sentence + (_TURNED if len(numbers) > 4 else "")
    return sentence.replace("{lead}", lead).replace("{unit}", UNIT_WORDS[entry.unit].page), numbers


def pieces(template: str) -> list[tuple[str, str]]:
    """A sentence's template in pieces: ``("text", ...)`` and ``("blank", name)``, in turn."""
    return [
        ("blank" if index % 2 else "text", piece)
        for index, piece in enumerate(re.split(r"\{([a-z0-9]+)\}", template))
    ]
