"""The step of a driver's form: its settings are whole multiples of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mapper.desk import Tablet
from mapper.mapping.forms import UNITS, UnitName, unit_mm
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, one_of, quoted
from mapper.units import as_typed, finite, positive

if TYPE_CHECKING:
    # Exact fractions are imported where a step is used: a map without one has no reason to pay for
    # them.
    from fractions import Fraction

#: A third of the smallest change of proportions that people see
#: (mapper.distortion.NOTICED_STRETCH_PERCENT).
SHAPE_TOLERANCE_PERCENT = 0.5


@dataclass(frozen=True, slots=True)
class Step:
    """The step of a driver's form.

    ``size`` is in ``unit``: mm, inches, percent of the active area, or device counts.
    ``shape_tolerance_percent`` is how much stretch a larger rectangle is worth. Raises RequestError
    for a size not above zero, another unit, and a negative tolerance.

    >>> Step(0.5, "mm").length_mm(Tablet(240, 152))
    (Fraction(1, 2), Fraction(1, 2))
    """

    size: float
    unit: UnitName
    shape_tolerance_percent: float = SHAPE_TOLERANCE_PERCENT

    def __post_init__(self) -> None:
        object.__setattr__(self, "size", positive(self.size, "step"))
        one_of(self.unit, UNITS, phrase("unit of the step"))
        tolerance = finite(self.shape_tolerance_percent, phrase("shape tolerance"))
        if tolerance < 0:
            raise RequestError(
                Problem("shape tolerance", phrase("must be 0 or more"), quoted(tolerance))
            )
        object.__setattr__(self, "shape_tolerance_percent", tolerance)

    @property
    def most_stretch(self) -> Fraction:
        """The largest stretch that a larger rectangle is worth, as a ratio of at least 1."""
        return 1 + as_typed(self.shape_tolerance_percent) / 100

    def length_mm(self, tablet: Tablet) -> tuple[Fraction, Fraction]:
        """One step along x and y of the built frame, in mm.

        Raises RequestError for counts without a resolution.
        """
        x_mm, y_mm = unit_mm(self.unit, tablet.active_built_mm, tablet.counts_per_mm, "step")
        return as_typed(self.size) * x_mm, as_typed(self.size) * y_mm
