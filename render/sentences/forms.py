"""How the units and forms of a driver's settings are called, a row for each.

What they are stands in ``mapper.mapping.forms``, under the same names.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from mapper.mapping.forms import UNITS
from mapper.phrases import phrase
from render.sentences.say import say, say_again, say_count
from render.sentences.words import number

if TYPE_CHECKING:
    from mapper.mapping.entry import Entry
    from mapper.mapping.steps import Step


class UnitWords(NamedTuple):
    """The words for a unit.

    ``page`` stands on the desk page, and ``title`` offers it there; ``report`` stands in reports,
    ``head`` over a column of numbers, and ``option`` is what is typed after ``--unit``.
    """

    page: str
    title: str
    report: str
    head: str
    option: str


class ShapeWords(NamedTuple):
    """Words for a form: ``title`` offers it on the desk page, ``report`` names it in reports."""

    title: str
    report: str


UNIT_WORDS = {
    "mm": UnitWords("mm", phrase("In mm"), "mm", "mm", "mm"),
    "inch": UnitWords(
        phrase("inches"), phrase("In inches"), phrase("inches"), phrase("inches"), "in"
    ),
    "percent": UnitWords(
        phrase("percent"),
        phrase("In percent"),
        phrase("% of the active area"),
        phrase("% of active area"),
        "percent",
    ),
    "counts": UnitWords(
        phrase("counts"), phrase("In counts"), phrase("counts"), phrase("counts"), "counts"
    ),
}

SHAPE_WORDS = {
    "size": ShapeWords(phrase("Corner and size"), phrase("corner and size")),
    "corners": ShapeWords(phrase("Two corners"), phrase("two corners")),
    "centre": ShapeWords(phrase("Centre and size"), phrase("centre and size")),
}


def side_heads(unit: str) -> list[str]:
    """The heads over the columns of a rectangle's left, top, width and height."""
    return [
        say("left {unit}", unit=unit),
        say("top {unit}", unit=unit),
        say("width {unit}", unit=unit),
        say("height {unit}", unit=unit),
    ]


def entry_words(entry: Entry) -> str:
    """The form of a driver's settings: ``as two corners in mm, from the bottom left``."""
    slots = {
        "shape": say_again(SHAPE_WORDS[entry.numbers].report),
        "unit": say_again(UNIT_WORDS[entry.unit].report),
    }
    if entry.from_bottom and entry.comma:
        return say("as {shape} in {unit}, from the bottom left, with a comma", **slots)
    if entry.from_bottom:
        return say("as {shape} in {unit}, from the bottom left", **slots)
    if entry.comma:
        return say("as {shape} in {unit}, with a comma", **slots)
    return say("as {shape} in {unit}", **slots)


def step_words(step: Step) -> str:
    """A driver's step: ``0.5 mm``, ``1 count``."""
    unit = UNITS[step.unit]
    if unit.needs_counts:
        return say_count("{count} count", "{count} counts", round(step.size))
    return f"{number(step.size, 9)} {unit.sign}"
