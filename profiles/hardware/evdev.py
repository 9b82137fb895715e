"""What Linux's input layer reports of a pen: the ranges of its axes and their units per mm.

Source: linux/input.h and the kernel's documentation of evdev. ``struct input_absinfo`` is six
signed 32-bit integers (value, minimum, maximum, fuzz, flat, resolution). The resolution is in units
per mm for X and Y and in units per radian for tilts, 0 where it is unknown. It is a whole number,
so its own rounding limits the size.
"""

from __future__ import annotations

import math
import struct
from dataclasses import dataclass

from mapper.phrases import phrase
from profiles.hardware.pen_facts import PenAxis, PenFacts, pen_facts

ABS_X, ABS_Y, ABS_PRESSURE, ABS_TILT_X, ABS_TILT_Y = 0x00, 0x01, 0x18, 0x1A, 0x1B

_ABS_INFO = struct.Struct("=6i")
ABS_INFO_BYTES = _ABS_INFO.size


@dataclass(frozen=True, slots=True)
class AbsRange:
    """The range of one axis in counts, and its counts per mm or per radian, 0 where unknown."""

    lowest: int
    highest: int
    resolution: int

    @classmethod
    def of_bytes(cls, data: bytes) -> AbsRange:
        """The range in the ABS_INFO_BYTES that the system answered with."""
        _, lowest, highest, _, _, resolution = _ABS_INFO.unpack(data)
        return cls(lowest, highest, resolution)


def pen_of_ranges(ranges: dict[int, AbsRange]) -> PenFacts | None:
    """The pen whose axes (ABS_X, ABS_Y and so on) have these ranges; None without X or Y."""
    x, y = ranges.get(ABS_X), ranges.get(ABS_Y)
    if x is None or y is None or x.highest <= x.lowest or y.highest <= y.lowest:
        return None
    unsized = phrase("The system's input layer gives no units per mm, so its size is unknown.")
    pressure = ranges.get(ABS_PRESSURE)
    # Of an axis that the device does not have the kernel says zeros.
    asked = (ranges.get(axis) for axis in (ABS_TILT_X, ABS_TILT_Y))
    tilts = [tilt for tilt in asked if tilt and tilt.highest > tilt.lowest]
    return pen_facts(
        _axis(x),
        _axis(y),
        phrase("the system's input layer"),
        pressure=(pressure.lowest, pressure.highest) if pressure else None,
        tilts_deg=[_angle_deg(tilt) for tilt in tilts],
        doubts=[unsized] if x.resolution <= 0 or y.resolution <= 0 else [],
    )


def _angle_deg(tilt: AbsRange) -> tuple[float, float] | None:
    """The range of a tilt in degrees, None where its resolution is unknown."""
    if tilt.resolution <= 0:
        return None
    return math.degrees(tilt.lowest / tilt.resolution), math.degrees(tilt.highest / tilt.resolution)


def _axis(one: AbsRange) -> PenAxis:
    length_mm = (one.highest - one.lowest) / one.resolution if one.resolution > 0 else None
    return PenAxis(one.lowest, one.highest, length_mm)
