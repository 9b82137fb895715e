"""The step of a driver's form, in the unit of that form."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mapper.desk import Tablet
from mapper.problems import Problem, RequestError, quoted
from mapper.units import MM_PER_INCH, as_typed, finite, positive

if TYPE_CHECKING:
    # Exact fractions are imported where a step is used: a map without one has no reason to pay for them.
    from fractions import Fraction

STEP_UNITS = ("mm", "inch", "percent", "counts")

#: A third of the smallest change of proportions that people see (mapper.distortion.NOTICED_STRETCH_PERCENT).
SHAPE_TOLERANCE_PERCENT = 0.5


@dataclass(frozen=True, slots=True)
class Step:
    """The step of a driver's form: ``size`` in mm, inches, percent of the active area, or device counts.

    ``shape_tolerance_percent`` is how much stretch a larger rectangle is worth.
    """

    size: float
    unit: str
    shape_tolerance_percent: float = SHAPE_TOLERANCE_PERCENT

    def __post_init__(self) -> None:
        object.__setattr__(self, "size", positive(self.size, "step"))
        if self.unit not in STEP_UNITS:
            raise RequestError(Problem("step", f"its unit must be one of {', '.join(STEP_UNITS)}", quoted(self.unit)))
        tolerance = finite(self.shape_tolerance_percent, "shape tolerance")
        if tolerance < 0:
            raise RequestError(Problem("shape tolerance", "must be 0 or more", quoted(tolerance)))
        object.__setattr__(self, "shape_tolerance_percent", tolerance)

    @property
    def most_stretch(self) -> Fraction:
        return 1 + as_typed(self.shape_tolerance_percent) / 100

    def length_mm(self, tablet: Tablet) -> tuple[Fraction, Fraction]:
        """One step along x and y of the built frame, in mm. Raises RequestError for counts without a resolution."""
        size = as_typed(self.size)
        if self.unit == "percent":
            return size * as_typed(tablet.width_mm) / 100, size * as_typed(tablet.height_mm) / 100
        if self.unit == "counts":
            if tablet.counts_per_mm is None:
                instead = "Add it to the tablet, for example @150/mm"
                raise RequestError(Problem("step", "counts need the tablet's resolution", instead=instead))
            length = size / as_typed(tablet.counts_per_mm)
        else:
            length = size * as_typed(MM_PER_INCH) if self.unit == "inch" else size
        return length, length
