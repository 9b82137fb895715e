"""The form in which this person's driver asks for the rectangle, as a text, and the sentence that
tells it in that form.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

from mapper.mapping.entry import UNIT_SIGNS, Entry, entry_numbers

if TYPE_CHECKING:
    from mapper.mapping.solve import TabletMap

SHAPE_WORDS = {"size": "corner and size", "corners": "two corners", "centre": "middle and size"}
UNIT_WORDS = {"mm": "mm", "inch": "inches", "percent": "percent", "counts": "counts"}

#: How a number of the form stands in the sentence, by what the form calls it.
_WORDS = {
    "left": "from the left",
    "right": "from the left",
    "top": "from the top",
    "bottom": "from the top",
    "width": "wide",
    "height": "high",
    "centre across": "from the left",
    "centre down": "from the top",
    "centre up": "from the bottom",
    "turned by": "degrees",
}

# Whole sentences, one for each form; {0} to {3} are the numbers with their words, {4} an angle.
_SENTENCES = {
    "size": "{lead}, in {unit}: start {0} and {1}. Make it {2} and {3}.",
    "centre": "{lead}, in {unit}: put the middle {0} and {1}. Make it {2} and {3}.",
    "corners": "{lead}, in {unit}: one corner lies {0} and {1}, the opposite one {2} and {3}.",
}
_TURNED = " Turn it by {4}."


class Number(NamedTuple):
    """One number to type: its text, and the words that must not part from it."""

    text: str
    word: str


def entry_text(entry: Entry) -> str:
    """The form as a person would type it: ``size mm``, ``corners % from bottom-left comma``."""
    bottom, comma = (
        " from bottom-left" if entry.from_bottom else "",
        " comma" if entry.comma else "",
    )
    return f"{entry.numbers} {UNIT_SIGNS[entry.unit]}{bottom}{comma}"


def form_words(entry: Entry) -> str:
    """``corner and size, in mm, from the bottom left``."""
    bottom = ", from the bottom left" if entry.from_bottom else ""
    return f"{SHAPE_WORDS[entry.numbers]}, in {UNIT_WORDS[entry.unit]}{bottom}"


def answer_parts(
    solved: TabletMap, entry: Entry, lead: str = "In the tablet's settings"
) -> tuple[str, tuple[Number, ...]]:
    """The sentence, with ``{0}`` and so on, and its numbers; ``lead`` begins it.

    Raises RequestError for counts without a resolution.
    """
    up = entry.from_bottom

    def word(label: str) -> str:
        return "from the bottom" if up and label in {"top", "bottom"} else _WORDS[label]

    numbers = tuple(Number(each.text, word(each.label)) for each in entry_numbers(solved, entry))
    sentence = _SENTENCES[entry.numbers] + (_TURNED if len(numbers) > 4 else "")
    return sentence.replace("{lead}", lead).replace("{unit}", UNIT_WORDS[entry.unit]), numbers


def pieces(template: str) -> list[tuple[str, str]]:
    """A sentence's template in pieces: ``("text", ...)`` and ``("blank", name)``, in turn."""
    return [
        ("blank" if index % 2 else "text", piece)
        for index, piece in enumerate(re.split(r"\{([a-z0-9]+)\}", template))
    ]
