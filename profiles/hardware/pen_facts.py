"""A digitizer's pen: its active area in mm, its counts per mm, and the doubts about them.

They have one form whatever their source, the device's report descriptor or the system's input
layer.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mapper.desk import Tablet, TurnDeg
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.units import agree

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

#: The active areas of what exists, along one side (common practice, no source).
SMALLEST_MM, LARGEST_MM = 20.0, 2000.0
# Lengths are often declared in whole mm or hundredths of an inch, so the counts per mm of the two
# axes differ by rounding.
_SAME_COUNTS = 0.005


@dataclass(frozen=True, slots=True)
class PenAxis:
    """One axis: its range in counts, and the length of that range, None where it is unknown."""

    lowest: int
    highest: int
    length_mm: float | None

    @property
    def counts(self) -> int:
        return self.highest - self.lowest

    @property
    def counts_per_mm(self) -> float | None:
        """Logical extent over physical extent (HID 1.11, section 6.2.2.7)."""
        return None if self.length_mm is None else self.counts / self.length_mm


@dataclass(frozen=True, slots=True)
class PenFacts:
    """A pen of a digitizer.

    The lengths are None where the size is unknown; ``counts_per_mm`` is None where it is unknown or
    differs between the axes. ``pressure`` is its range in counts; ``tilt_deg`` the wider of its two
    tilt ranges in degrees, ``tilt`` whether it reports any. ``source`` names who reported all this.
    """

    x: PenAxis
    y: PenAxis
    counts_per_mm: float | None
    source: str
    report_id: int | None = None
    pressure: tuple[int, int] | None = None
    tilt: bool = False
    tilt_deg: tuple[float, float] | None = None
    doubts: tuple[str, ...] = ()

    @property
    def size_mm(self) -> tuple[float, float] | None:
        """Width and height of the active area."""
        if self.x.length_mm is None or self.y.length_mm is None:
            return None
        return self.x.length_mm, self.y.length_mm

    def tablet(self, where: str, *, turn_deg: TurnDeg = 0, label: str = "") -> Tablet:
        """The tablet to map. Raises RequestError naming ``where`` if its size is unknown."""
        size = self.size_mm
        if size is None:
            must = phrase("this tablet does not say how large its active area is")
            instead = phrase("Measure it, or look it up in its manual, and type it: 240x152mm")
            raise RequestError(Problem(where, must, "", instead))
        return Tablet(*size, self.counts_per_mm, turn_deg, label)


def pen_facts(
    x: PenAxis,
    y: PenAxis,
    source: str,
    *,
    report_id: int | None = None,
    pressure: tuple[int, int] | None = None,
    tilts_deg: Sequence[tuple[float, float] | None] = (),
    doubts: Iterable[str] = (),
) -> PenFacts:
    """The facts of a pen with the axes ``x`` and ``y``.

    A size that no tablet has is left out, with a doubt. ``pressure`` and ``tilts_deg`` are ranges;
    that of a tilt is None where it is not known in degrees.
    """
    found = list(doubts)
    x, y = _plausible(x, "across", found), _plausible(y, "down", found)
    counts_per_mm = _common_counts(x, y, found)
    return PenFacts(
        x,
        y,
        counts_per_mm,
        source,
        report_id,
        pressure if pressure and pressure[1] > pressure[0] else None,
        tilt=bool(tilts_deg),
        tilt_deg=max(filter(None, tilts_deg), key=lambda both: both[1] - both[0], default=None),
        doubts=tuple(dict.fromkeys(found)),
    )


def _plausible(axis: PenAxis, way: str, doubts: list[str]) -> PenAxis:
    """``axis`` without a length that no tablet has, which becomes a doubt."""
    if axis.length_mm is None:
        return axis
    if SMALLEST_MM <= axis.length_mm <= LARGEST_MM:
        return axis
    doubts.append(
        phrase(
            "It says that the active area is {length} mm {way}, which no tablet is; it is "
            "not used.",
            length=f"{axis.length_mm:g}",
            way=way,
        )
    )
    return PenAxis(axis.lowest, axis.highest, None)


def _common_counts(x: PenAxis, y: PenAxis, doubts: list[str]) -> float | None:
    """The counts per mm of both axes: those of the longer one, whose rounding weighs least.

    None where they are unknown or differ.
    """
    across, down = x.counts_per_mm, y.counts_per_mm
    if across is None or down is None:
        return None
    longer = across if x.counts >= y.counts else down
    if agree(across, down):
        return longer
    ways = {"across": f"{across:.6g}", "down": f"{down:.6g}"}
    if abs(across - down) <= _SAME_COUNTS * longer:
        doubts.append(
            phrase(
                "It has {across} counts per mm across and {down} down, which is one number and "
                "some rounding: {longer} is taken.",
                **ways,
                longer=f"{longer:.6g}",
            )
        )
        return longer
    doubts.append(
        phrase(
            "It has {across} counts per mm across and {down} down; one number for both cannot be "
            "given, so nothing is worked out in counts.",
            **ways,
        )
    )
    return None
