"""How the units and forms of a driver's settings are called, a row for each.

What they are stands in ``mapper.mapping.forms``, under the same names.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from mapper.mapping.forms import UNITS

if TYPE_CHECKING:
    from mapper.mapping.entry import Entry
    from mapper.mapping.steps import Step


class UnitWords(NamedTuple):
    """The words for a unit.

    ``page`` stands on the desk page, ``report`` in reports, ``head`` over a column of numbers, and
    ``option`` is what is typed after ``--unit``.
    """

    page: str
    report: str
    head: str
    option: str


class ShapeWords(NamedTuple):
    """The words for a form.

    ``page`` stands on the desk page, ``report`` in reports. ``sentence`` tells the four numbers:
    ``{lead}`` begins it, ``{unit}`` is the unit, ``{0}`` to ``{3}`` are the numbers, each with its
    words of ``places``.
    """

    page: str
    report: str
    sentence: str
    places: tuple[str, str, str, str]


UNIT_WORDS = {
    "mm": UnitWords("mm", "mm", "mm", "mm"),
    "inch": UnitWords("inches", "inches", "inches", "in"),
    "percent": UnitWords("percent", "% of the active area", "% of active area", "percent"),
    "counts": UnitWords("counts", "counts", "counts", "counts"),
}

SHAPE_WORDS = {
    "size": ShapeWords(
        "corner and size",
        "corner and size",
        "{lead}, in {unit}: start {0} and {1}. Make it {2} and {3}.",
        ("from the left", "from the top", "wide", "high"),
    ),
    "corners": ShapeWords(
        "two corners",
        "two corners",
        "{lead}, in {unit}: one corner lies {0} and {1}, the opposite one {2} and {3}.",
        ("from the left", "from the top", "from the left", "from the top"),
    ),
    "centre": ShapeWords(
        "middle and size",
        "centre and size",
        "{lead}, in {unit}: put the middle {0} and {1}. Make it {2} and {3}.",
        ("from the left", "from the top", "wide", "high"),
    ),
}

_UPSIDE_DOWN = {"from the top": "from the bottom", "from the bottom": "from the top"}


def places_of(entry: Entry) -> tuple[str, ...]:
    """Where each of the four numbers is measured from, or what it measures."""
    places = SHAPE_WORDS[entry.numbers].places
    return tuple(_UPSIDE_DOWN.get(each, each) if entry.from_bottom else each for each in places)


def entry_words(entry: Entry) -> str:
    """The form of a driver's settings: ``as two corners in mm, from the bottom left``."""
    shape, unit = SHAPE_WORDS[entry.numbers].report, UNIT_WORDS[entry.unit].report
    origin = ", from the bottom left" if entry.from_bottom else ""
    return f"as {shape} in {unit}{origin}{', with a comma' if entry.comma else ''}"


def step_words(step: Step) -> str:
    """A driver's step: ``0.5 mm``, ``1 count``."""
    unit = UNITS[step.unit]
    return f"{step.size:g} {unit.one if step.size == 1 else unit.sign}"
