"""The active area, counts, tilt and pressure of a pen, from a digitizer's HID report descriptor.

Source: HID 1.11, section 6.2.2.7. A length is the physical extent times ten to the exponent, in the
unit; the resolution is the logical extent over that. Unit 0x11 is centimetres, 0x13 inches, 0x12
radians, 0x14 degrees. Where no physical range or no unit of length is given the size is unknown,
and never guessed. An active area is 20 to 2000 mm a side.

Both readers of hardware are pure, take bytes of bounded length and walk over them once.
``tests/fuzz`` holds a script for each (``pip install '.[fuzz]'``): run it for ten minutes after
every change.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from mapper.phrases import all_of, phrase
from mapper.problems import Problem, RequestError
from profiles.hardware.hid_items import ReportField, read_fields
from profiles.hardware.pen_facts import PenAxis, PenFacts, pen_facts

_CENTIMETRES, _INCHES, _RADIANS, _DEGREES = 0x11, 0x13, 0x12, 0x14
# A unit of length as tenths of a millimetre, so that a length is one exact quotient of integers.
_TENTHS_OF_MM = {_CENTIMETRES: 100, _INCHES: 254}


@dataclass(frozen=True, slots=True)
class HidFacts:
    """The pens of a report descriptor, in its order, and the doubts about the whole of it."""

    pens: tuple[PenFacts, ...]
    doubts: tuple[str, ...]

    def pen(self, where: str) -> PenFacts:
        """The pen to map with: the first whose size is known, else the first.

        Raises RequestError naming ``where`` if there is none.
        """
        if not self.pens:
            must = phrase("this report descriptor describes no pen")
            instead = phrase(
                "Try the device's other descriptors (evenstroke tablets), or type the size: "
                "240x152mm"
            )
            raise RequestError(Problem(where, must, "", instead))
        return next((pen for pen in self.pens if pen.size_mm), self.pens[0])


def read_descriptor(data: bytes, where: str) -> HidFacts:
    """The pens of the report descriptor ``data``.

    Raises RequestError naming ``where`` if ``data`` is empty or longer than any descriptor.
    Whatever else is wrong with it becomes a doubt.
    """
    fields, doubts = read_fields(data, where)
    reports: dict[tuple[int, int | None], dict[str, ReportField]] = {}
    for one in fields:
        reports.setdefault((one.pen, one.report_id), {}).setdefault(one.use, one)
    pens = [
        _pen(report, report_id)
        for (_, report_id), report in reports.items()
        if _is_range(report.get("x")) and _is_range(report.get("y"))
    ]
    doubts += _differing(pens)
    return HidFacts(tuple(pens), doubts)


def _is_range(one: ReportField | None) -> bool:
    return one is not None and one.logical_max > one.logical_min


def _pen(report: dict[str, ReportField], report_id: int | None) -> PenFacts:
    """The pen whose X, Y, pressure and tilt are the fields of ``report``."""
    x, y = report["x"], report["y"]
    pressure = report.get("pressure")
    return pen_facts(
        _axis(x),
        _axis(y),
        phrase("its report descriptor"),
        report_id=report_id,
        pressure=(pressure.logical_min, pressure.logical_max) if pressure else None,
        tilts_deg=[_angle_deg(report[use]) for use in ("tilt_x", "tilt_y") if use in report],
        doubts=_axis_doubts(x, y),
    )


def _axis(one: ReportField) -> PenAxis:
    """The counts of an axis and its length in mm, None where that is unknown."""
    tenths = _TENTHS_OF_MM.get(one.unit)
    if _why_unknown(one) or tenths is None or one.exponent is None:
        return PenAxis(one.logical_min, one.logical_max, None)
    # One quotient of integers, so the length is correctly rounded: 9.4 in is 238.76 mm.
    extent = one.physical_max - one.physical_min
    length_mm = extent * tenths * 10 ** max(one.exponent, 0) / (10 * 10 ** max(-one.exponent, 0))
    return PenAxis(one.logical_min, one.logical_max, length_mm)


def _why_unknown(one: ReportField) -> str:
    """What keeps an axis's length from being known, by its descriptor; empty for a known one."""
    if one.physical_max <= one.physical_min:
        return phrase("no physical range")
    if one.unit == 0:
        return phrase("no unit")
    if one.unit not in _TENTHS_OF_MM:
        return phrase("the unit 0x{unit}, which is not a unit of length", unit=f"{one.unit:x}")
    if one.exponent is None:
        return phrase("an exponent outside -8 to 7")
    return ""


def _axis_doubts(x: ReportField, y: ReportField) -> list[str]:
    """The doubts about lengths that are unknown and counts that do not fit into their bits."""
    across, down = _why_unknown(x), _why_unknown(y)
    if across and across == down:
        doubts: list[str] = [phrase("It gives {what}, so its size is unknown.", what=across)]
    else:
        doubts = []
        if across:
            doubts.append(phrase("It gives {what} across, so its size is unknown.", what=across))
        if down:
            doubts.append(phrase("It gives {what} down, so its size is unknown.", what=down))
    for one, way in ((x, phrase("across")), (y, phrase("down"))):
        if one.bits < 64 and one.logical_max - one.logical_min >= 1 << one.bits:
            doubts.append(
                phrase(
                    "Its counts {way} go up to {logical_max}, more than its {bits} bits can hold.",
                    way=way,
                    logical_max=one.logical_max,
                    bits=one.bits,
                )
            )
    return doubts


def _angle_deg(one: ReportField) -> tuple[float, float] | None:
    """The physical range of a tilt in degrees, None where it has no unit of angle."""
    if (
        one.unit not in {_RADIANS, _DEGREES}
        or one.exponent is None
        or one.physical_max <= one.physical_min
    ):
        return None
    low, high = (value * 10.0**one.exponent for value in (one.physical_min, one.physical_max))
    return (math.degrees(low), math.degrees(high)) if one.unit == _RADIANS else (low, high)


def _differing(pens: list[PenFacts]) -> tuple[str, ...]:
    """The doubt that the pens differ in size, where they do."""
    sizes = list(dict.fromkeys(pen.size_mm for pen in pens if pen.size_mm))
    if len(sizes) < 2:
        return ()
    words = all_of([f"{width:g} x {height:g} mm" for width, height in sizes[:3]])
    return (
        phrase("It describes pens of different sizes, {words}; the first is taken.", words=words),
    )
