"""Which displays suit a tablet, and which tablets a display, by a comfortable band."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mapper.choosing.pairing import display_for_scale_mm, pair
from mapper.desk import Display, Tablet
from mapper.units import MM_PER_INCH, mm_of_inches

if TYPE_CHECKING:
    from collections.abc import Sequence

#: Diagonals in whole inches in which 16:9 displays are usually sold: common practice, no source.
SOLD_INCHES = (14, 16, 17, 19, 20, 22, 24, 27, 28, 32, 40, 43, 48, 50, 55, 65, 75, 85)

#: What people of the trade say goes with a tablet of about this diagonal: displays from, to, in
#: inches. Common practice, no source.
TRADE_INCHES = {7: (20, 25), 11: (20, 30), 15: (30, 40), 22: (40, 50)}

#: A display may be told from a tried one by less than this share of its factor: then it was tried.
_SAME_FACTOR = 0.02


@dataclass(frozen=True, slots=True)
class UncertainBand:
    """A band of scale factors with the doubt about its edges, as ``ComfortBand`` has them.

    ``low_sure`` and ``high_sure`` hold each edge; ``tried`` is the smallest and largest factor
    tried, None without any.
    """

    low: float
    high: float
    low_sure: tuple[float, float]
    high_sure: tuple[float, float]
    tried: tuple[float, float] | None = None

    def verdict(self, factor: float) -> str:
        """``suits`` inside the band, ``perhaps`` where an edge is in doubt, else ``no``."""
        if self.low <= factor <= self.high:
            return "suits"
        open_low, open_high = min(self.low, self.low_sure[0]), max(self.high, self.high_sure[1])
        return "perhaps" if open_low <= factor <= open_high else "no"

    def was_tried(self, factor: float) -> bool:
        """Whether ``factor`` lies within what was tried."""
        return self.tried is not None and self.tried[0] * (
            1 - _SAME_FACTOR
        ) <= factor <= self.tried[1] * (1 + _SAME_FACTOR)


@dataclass(frozen=True, slots=True)
class SizeChoice:
    """One size of display or tablet and what it gives.

    ``inches`` is the display's diagonal, ``factor`` the scale factor, ``verdict`` as UncertainBand
    has it, ``tried`` whether it lies within what was tried.
    """

    tablet: Tablet
    display: Display
    inches: float
    factor: float
    verdict: str
    tried: bool


def sold_display(inches: float, aspect: tuple[int, int] = (16, 9)) -> Display:
    """A display of ``inches`` across its corners; its pixels are only its proportions."""
    return Display(aspect[0] * 120, aspect[1] * 120, label=f"{inches:g} in").with_diagonal(
        mm_of_inches(inches)
    )


def displays_for(
    tablet: Tablet,
    suiting: UncertainBand,
    *,
    aspect: tuple[int, int] = (16, 9),
    sold: Sequence[int] = SOLD_INCHES,
) -> list[SizeChoice]:
    """Every sold size with ``tablet``, the smallest first."""
    return [_size_choice(tablet, sold_display(inches, aspect), suiting) for inches in sold]


def tablets_for(
    display: Display, suiting: UncertainBand, tablets: Sequence[Tablet]
) -> list[SizeChoice]:
    """Every one of ``tablets`` with ``display``, whose size is known, in their order."""
    return [_size_choice(tablet, display, suiting) for tablet in tablets]


def exact_inches(tablet: Tablet, factor: float, aspect: tuple[int, int] = (16, 9)) -> float:
    """The diagonal of the display that gives ``tablet`` this scale factor, in inches.

    Of these proportions, sold or not.

    >>> round(exact_inches(Tablet(240, 152), 2.5), 1)
    27.1
    """
    return math.hypot(*display_for_scale_mm(tablet, factor, aspect)) / MM_PER_INCH


def trade_diagonals_in(tablet: Tablet) -> tuple[int, int] | None:
    """The display diagonals that people of the trade say go with ``tablet``, from and to, inches.

    None where they say nothing of its size.
    """
    inches = math.hypot(tablet.width_mm, tablet.height_mm) / MM_PER_INCH
    nearest = min(TRADE_INCHES, key=lambda each: abs(math.log(each / inches)))
    return TRADE_INCHES[nearest] if abs(math.log(nearest / inches)) < 0.15 else None


def _size_choice(tablet: Tablet, display: Display, suiting: UncertainBand) -> SizeChoice:
    factor = pair(tablet, display).scale_factor or math.nan
    diagonal = math.hypot(display.width_mm or math.nan, display.height_mm or math.nan) / MM_PER_INCH
    return SizeChoice(
        tablet, display, diagonal, factor, suiting.verdict(factor), suiting.was_tried(factor)
    )
