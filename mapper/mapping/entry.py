"""In which form a person's driver wants the rectangle, and the numbers that go into that form."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from mapper.desk import Tablet
from mapper.mapping.forms import (
    SHAPES,
    UNITS,
    ShapeName,
    UnitName,
    known_resolution,
    rect_forms,
)
from mapper.mapping.solve import TabletMap
from mapper.phrases import phrase, template
from mapper.problems import one_of, refuse_other


@dataclass(frozen=True, slots=True)
class Entry:
    """The form of a driver's settings, as a person fills it in.

    ``numbers`` is one of SHAPES, ``unit`` one of UNITS. ``from_bottom`` puts the origin at the
    bottom left of the tablet as built, with y running up. ``comma`` says that decimals are typed
    with a comma. Raises RequestError for any other shape or unit.

    >>> Entry("corners", "inch").unit
    'inch'
    """

    numbers: ShapeName = "size"
    unit: UnitName = "mm"
    from_bottom: bool = False
    comma: bool = False

    def __post_init__(self) -> None:
        one_of(self.numbers, SHAPES, phrase("entry numbers"))
        one_of(self.unit, UNITS, phrase("entry unit"))
        for name in ("from_bottom", "comma"):
            where = phrase("entry {name}", name=name)
            refuse_other(getattr(self, name), bool, where, template("Give True or False"))

    def check(self, tablet: Tablet) -> None:
        """Raises RequestError where the form asks for counts and the tablet's are not known."""
        if UNITS[self.unit].needs_counts:
            known_resolution(tablet.counts_per_mm, "entry")


class EntryNumber(NamedTuple):
    """One number to enter.

    ``label`` is what the form calls it, ``value`` is in ``unit``, ``text`` is the value as it is
    typed.
    """

    label: str
    value: float
    text: str
    unit: str


def entry_numbers(
    solved: TabletMap, entry: Entry, *, as_seen: bool = False
) -> tuple[EntryNumber, ...]:
    """The numbers to enter, in the order of the form: four, and an angle for a turned area.

    In the built frame, or ``as_seen`` in the seen one. With the origin at the bottom, ``bottom``
    and ``top`` are the heights of those edges above it. Raises RequestError for counts where the
    tablet's resolution is not known.

    >>> from mapper import Desktop, Display, MapRequest, Tablet, solve
    >>> solved = solve(MapRequest(Tablet(240, 152), Desktop((Display(1920, 1080),))))
    >>> [(number.label, number.text) for number in entry_numbers(solved, Entry("corners"))]
    [('left', '0'), ('top', '8.5'), ('right', '240'), ('bottom', '143.5')]
    """
    tablet = solved.request.tablet
    entry.check(tablet)
    unit, shape = UNITS[entry.unit], SHAPES[entry.numbers]
    area, active = solved.area_built_mm, tablet.active_built_mm
    if as_seen:
        area, active = tablet.seen_rect_mm(area), tablet.active_seen_mm
    form = rect_forms(area, active, tablet.counts_per_mm)[unit.name]
    times, over_x, over_y = unit.ratio(active, tablet.counts_per_mm)
    values = shape.numbers(
        form.from_bottom() if entry.from_bottom else form,
        active.width * times / over_x,
        active.height * times / over_y,
    )
    labels = shape.labels_up if entry.from_bottom else shape.labels
    places = _places(solved, entry.unit)
    numbers = [
        EntryNumber(label, value, _number_text(value, places, entry), unit.sign)
        for label, value in zip(labels, values, strict=True)
    ]
    if solved.area_angle_deg:
        angle = solved.area_angle_deg
        numbers.append(
            EntryNumber(
                phrase("turned by"), angle, _number_text(angle, 2, entry), phrase("degrees")
            )
        )
    return tuple(numbers)


def _places(solved: TabletMap, unit: str) -> int:
    """The decimals that a form of this unit takes, more where the driver's own step is finer."""
    step = solved.request.step
    if step is None or step.unit != unit:
        return UNITS[unit].places
    _, _, decimals = f"{step.size:.9f}".rstrip("0").partition(".")
    # The middle between two multiples of a step has a place more.
    return max(UNITS[unit].places, len(decimals) + 1)


def _number_text(value: float, places: int, entry: Entry) -> str:
    text = f"{value:.{places}f}".rstrip("0").rstrip(".")
    text = "0" if text == "-0" else text
    return text.replace(".", ",") if entry.comma else text
