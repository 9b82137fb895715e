"""The form in which this person's driver asks for the rectangle, and the sentence that tells it in that form.

As text: ``size mm``, ``corners percent``, ``centre inch``, with ``from bottom-left`` where the form counts from there and
``comma`` where it wants a decimal comma.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from mapper.mapping.forms import RectForm, rect_forms
from mapper.problems import Problem, RequestError, quoted
from render.reports.text import FORM_PLACES
from render.words import number

if TYPE_CHECKING:
    from mapper.mapping.solve import TabletMap

SHAPES = {"size": "corner and size", "corners": "two corners", "centre": "middle and size"}
UNITS = {"mm": "mm", "inch": "inches", "percent": "percent", "counts": "counts"}


class Entry(NamedTuple):
    """Which four numbers, in which unit, counted from where, written how."""

    shape: str = "size"
    unit: str = "mm"
    from_bottom: bool = False
    comma: bool = False

    @property
    def text(self) -> str:
        bottom, comma = " from bottom-left" if self.from_bottom else "", " comma" if self.comma else ""
        return f"{self.shape} {self.unit}{bottom}{comma}"

    @property
    def words(self) -> str:
        """``corner and size, in mm, from the bottom left``."""
        bottom = ", from the bottom left" if self.from_bottom else ""
        return f"{SHAPES[self.shape]}, in {UNITS[self.unit]}{bottom}"


def parse_entry(text: str) -> Entry:
    """The form that a text names. Raises RequestError."""
    words = text.replace("from bottom-left", "bottom").split()
    if len(words) >= 2 and words[0] in SHAPES and words[1] in UNITS and set(words[2:]) <= {"bottom", "comma"}:
        return Entry(words[0], words[1], "bottom" in words, "comma" in words)
    raise RequestError(Problem("entry", "must be a form of the rectangle", quoted(text), "Type for example size mm"))


class Number(NamedTuple):
    """One number to type: its text, the word that must not part from it, and what it counts."""

    text: str
    word: str

    @property
    def says(self) -> str:
        return f"{self.text}, {self.word}"


# Whole sentences, one for each form; {0} to {3} are the numbers with their words.
_SENTENCES = {
    "size": "In the tablet's settings, in {unit}: start {0} and {1}. Make it {2} and {3}.",
    "centre": "In the tablet's settings, in {unit}: put the middle {0} and {1}. Make it {2} and {3}.",
    "corners": "In the tablet's settings, in {unit}: one corner lies {0} and {1}, the opposite one {2} and {3}.",
}


def answer_parts(told: TabletMap, entry: Entry) -> tuple[str, tuple[Number, ...]]:
    """The sentence, with ``{0}`` to ``{3}``, and the four numbers. Counts without a resolution are told in mm."""
    tablet = told.request.tablet
    forms = rect_forms(told.area_built_mm, tablet.active_built_mm, tablet.counts_per_mm)
    unit = entry.unit if entry.unit in forms else "mm"
    form, places = forms[unit], FORM_PLACES[unit]
    high = (
        tablet.height_mm
        if unit == "mm"
        else rect_forms(tablet.active_built_mm, tablet.active_built_mm, tablet.counts_per_mm)[unit].height
    )

    def said(value: float) -> str:
        text = number(value, places)
        return text.replace(".", ",") if entry.comma else text

    numbers = tuple(Number(said(value), word) for value, word in _four(form, entry, high))
    return _SENTENCES[entry.shape].replace("{unit}", UNITS[unit]), numbers


def _four(form: RectForm, entry: Entry, high: float) -> tuple[tuple[float, str], ...]:
    side = "bottom" if entry.from_bottom else "top"
    if entry.shape == "size":
        edge = form.up_from_bottom if entry.from_bottom else form.top
        return (form.left, "from the left"), (edge, f"from the {side}"), (form.width, "wide"), (form.height, "high")
    if entry.shape == "centre":
        middle = high - form.centre_y if entry.from_bottom else form.centre_y
        return (
            (form.centre_x, "from the left"),
            (middle, f"from the {side}"),
            (form.width, "wide"),
            (form.height, "high"),
        )
    first, second = (form.up_from_bottom, high - form.top) if entry.from_bottom else (form.top, form.bottom)
    return (
        (form.left, "from the left"),
        (first, f"from the {side}"),
        (form.right, "from the left"),
        (second, f"from the {side}"),
    )
