"""A measured value and how sure it is."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Measurement:
    """A measured value with its 95 % interval, all in the unit of the name it is kept under."""

    value: float
    low: float
    high: float

    @property
    def half_width(self) -> float:
        return (self.high - self.low) / 2

    def holds(self, value: float) -> bool:
        return self.low <= value <= self.high
