"""How lengths are said: in mm and inches as a report does, or in the one unit of a person.

A person's unit is the one in which the distance from the display was typed.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from mapper.units import MM_PER_INCH
from profiles.unlikely import typed_unit
from render.sentences.say import say
from render.sentences.words import fixed, number, plain

if TYPE_CHECKING:
    from collections.abc import Callable


class _Unit(NamedTuple):
    """A unit: its mm, the decimals that are said, and the steps in which somebody sits."""

    mm: float
    places: int
    step: float


_UNITS = {
    "mm": _Unit(1.0, 0, 5.0),
    "cm": _Unit(10.0, 1, 1.0),
    "m": _Unit(1000.0, 2, 0.01),
    "in": _Unit(MM_PER_INCH, 1, 0.5),
    "ft": _Unit(12 * MM_PER_INCH, 2, 0.05),
}
_USUAL = "cm"


class Lengths(NamedTuple):
    """How lengths are said.

    ``far`` says how far somebody sits, ``short`` any other length. ``unit`` is the one that is
    meant where somebody typed one: then sources and arc-minutes stand in small print.
    """

    far: Callable[[float], str]
    short: Callable[[float], str]
    unit: str = ""

    @property
    def rules_mm(self) -> tuple[float, ...]:
        """Round lengths for a rule beside a picture, the longest first."""
        if self.unit in {"in", "ft"}:
            return tuple(inches * MM_PER_INCH for inches in (36, 18, 12, 6, 3))
        return 1000.0, 500.0, 200.0, 100.0, 50.0

    def seat_mm(self, value_mm: float, before_mm: float) -> float:
        """A distance to sit at, on the unit's next step away from the one before.

        So what holds from ``value_mm`` on holds there.
        """
        if not self.unit:
            return value_mm
        step_mm = _UNITS[self.unit].step * _UNITS[self.unit].mm
        steps = value_mm / step_mm
        whole = math.ceil(steps - 1e-6) if value_mm > before_mm else math.floor(steps + 1e-6)
        return whole * step_mm

    def typed(self, value_mm: float) -> str:
        """The length as it can be typed: ``70cm``."""
        unit = self.unit or _USUAL
        return f"{plain(value_mm / _UNITS[unit].mm, 2)}{unit}"


def distance_words(value_mm: float) -> str:
    """``700 mm (27.6 in)``."""
    return say(
        "{mm} mm ({inches} in)", mm=fixed(value_mm, 0), inches=fixed(value_mm / MM_PER_INCH, 1)
    )


def _mm_words(value_mm: float) -> str:
    return say("{value} mm", value=fixed(value_mm, 0))


#: As a report says them.
IN_BOTH = Lengths(distance_words, _mm_words)


def in_unit_of(text: str) -> Lengths:
    """Lengths in the unit in which a distance was typed; cm where it has none of them.

    >>> in_unit_of("28in").far(711.2), in_unit_of("about 28 inches").far(711.2)
    ('28 in', '28 in')
    """
    unit = typed_unit(text)
    if unit not in _UNITS:
        unit = _USUAL

    def words(value_mm: float) -> str:
        value = number(value_mm / _UNITS[unit].mm, _UNITS[unit].places)
        return {
            "mm": say("{value} mm", value=value),
            "cm": say("{value} cm", value=value),
            "m": say("{value} m", value=value),
            "in": say("{value} in", value=value),
            "ft": say("{value} ft", value=value),
        }[unit]

    def far(value_mm: float) -> str:
        # Nobody sits to a millimetre.
        step_mm = _UNITS[unit].step * _UNITS[unit].mm
        return words(round(value_mm / step_mm) * step_mm)

    return Lengths(far, words, unit)
