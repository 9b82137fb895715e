"""How the units and forms of a driver's settings are called, a row for each.

What they are stands in ``mapper.mapping.forms``, under the same names.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from mapper.mapping.forms import UNITS
from mapper.phrases import phrase, template
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


class AskedWords(NamedTuple):
    """The words for a form whose numbers run from one corner of the tablet.

    ``page`` names the form on the desk page, ``sentence`` is what to type there; ``numbers`` are
    the slots of its four numbers, in their order.
    """

    page: str
    sentence: str
    numbers: tuple[str, str, str, str]


class ShapeWords(NamedTuple):
    """The words for a form: ``title`` offers it on the desk page, ``report`` names it in reports.

    ``from_top`` and ``from_bottom`` are the words that depend on where its numbers begin.
    """

    title: str
    report: str
    from_top: AskedWords
    from_bottom: AskedWords


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
    "size": ShapeWords(
        phrase("Corner and size"),
        phrase("corner and size"),
        AskedWords(
            template("corner and size, in {unit}"),
            template(
                "In the tablet's settings, in {unit}: start [{left} from the left] and [{top} from "
                "the top]. Make it [{width} wide] and [{height} high]."
            ),
            ("left", "top", "width", "height"),
        ),
        AskedWords(
            template("corner and size, in {unit}, from the bottom left"),
            template(
                "In the tablet's settings, in {unit}: start [{left} from the left] and [{bottom} "
                "from the bottom]. Make it [{width} wide] and [{height} high]."
            ),
            ("left", "bottom", "width", "height"),
        ),
    ),
    "corners": ShapeWords(
        phrase("Two corners"),
        phrase("two corners"),
        AskedWords(
            template("two corners, in {unit}"),
            template(
                "In the tablet's settings, in {unit}: one corner lies [{left} from the left] and "
                "[{top} from the top], the opposite one [{right} from the left] and [{bottom} from "
                "the top]."
            ),
            ("left", "top", "right", "bottom"),
        ),
        AskedWords(
            template("two corners, in {unit}, from the bottom left"),
            template(
                "In the tablet's settings, in {unit}: one corner lies [{left} from the left] and "
                "[{bottom} from the bottom], the opposite one [{right} from the left] and [{top} "
                "from the bottom]."
            ),
            ("left", "bottom", "right", "top"),
        ),
    ),
    "centre": ShapeWords(
        phrase("Centre and size"),
        phrase("centre and size"),
        AskedWords(
            template("centre and size, in {unit}"),
            template(
                "In the tablet's settings, in {unit}: put the centre [{across} from the left] and "
                "[{down} from the top]. Make it [{width} wide] and [{height} high]."
            ),
            ("across", "down", "width", "height"),
        ),
        AskedWords(
            template("centre and size, in {unit}, from the bottom left"),
            template(
                "In the tablet's settings, in {unit}: put the centre [{across} from the left] and "
                "[{up} from the bottom]. Make it [{width} wide] and [{height} high]."
            ),
            ("across", "up", "width", "height"),
        ),
    ),
}


def asked_words(entry: Entry) -> AskedWords:
    """The words of a form, as its numbers run."""
    words = SHAPE_WORDS[entry.numbers]
    return words.from_bottom if entry.from_bottom else words.from_top


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
