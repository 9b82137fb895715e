"""A measured value with its interval: what a card and what a trace say alike."""

from __future__ import annotations

from dataclasses import dataclass

#: The two-sided 95 % point of the normal distribution.
NORMAL_95 = 1.959963984540054


@dataclass(frozen=True, slots=True)
class Measurement:
    """A measured value with its 95 % interval, all in the unit of the name it is kept under."""

    value: float
    low: float
    high: float

    @classmethod
    def about(cls, value: float, half: float) -> Measurement:
        """The value with an interval that reaches as far to both sides."""
        return cls(value, value - half, value + half)

    @property
    def half_width(self) -> float:
        return (self.high - self.low) / 2

    def holds(self, value: float) -> bool:
        return self.low <= value <= self.high
