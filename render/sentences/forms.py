"""How the units and forms of a driver's settings are called, a row for each.

What they are stands in ``mapper.mapping.forms``, under the same names.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from mapper.mapping.forms import UNITS
from mapper.phrases import phrase

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
    "inch": UnitWords(phrase("inches"), phrase("In inches"), "inches", "inches", "in"),
    "percent": UnitWords(
        phrase("percent"),
        phrase("In percent"),
        "% of the active area",
        "% of active area",
        "percent",
    ),
    "counts": UnitWords(phrase("counts"), phrase("In counts"), "counts", "counts", "counts"),
}

SHAPE_WORDS = {
    "size": ShapeWords(phrase("Corner and size"), "corner and size"),
    "corners": ShapeWords(phrase("Two corners"), "two corners"),
    "centre": ShapeWords(phrase("Middle and size"), "centre and size"),
}


def entry_words(entry: Entry) -> str:
    """The form of a driver's settings: ``as two corners in mm, from the bottom left``."""
    shape, unit = SHAPE_WORDS[entry.numbers].report, UNIT_WORDS[entry.unit].report
    origin = ", from the bottom left" if entry.from_bottom else ""
    return f"as {shape} in {unit}{origin}{', with a comma' if entry.comma else ''}"


def step_words(step: Step) -> str:
    """A driver's step: ``0.5 mm``, ``1 count``."""
    unit = UNITS[step.unit]
    return f"{step.size:g} {unit.one if step.size == 1 else unit.sign}"
