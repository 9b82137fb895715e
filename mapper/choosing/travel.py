"""How far the hand must move to cross the screen, and what that buys or costs in precision.

A scale factor s spreads 1 mm under the hand over s mm on the glass. A small s asks for long
movements, a large s for small targets under the hand: both tire, in different ways, and the
comfortable band lies between.

The index of difficulty is the same at every scale, since distance and target shrink together; what
changes is what a hand that scatters by a fixed amount can do. So the task's index stands beside the
hand's own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from mapper.choosing.recommended import PRACTICE
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, quoted
from mapper.units import finite, positive

if TYPE_CHECKING:
    from mapper.choosing.recommended import Band
    from mapper.desk import Display

#: Sizes of things that a pen is aimed at, px. 24 and 44 are W3C WCAG 2.2, success criteria 2.5.8
#: (minimum) and 2.5.5 (enhanced), in CSS pixels, so in device pixels at a zoom of 1, with
#: exceptions there (spacing, inline, equivalent, user agent, essential); the others are common
#: practice, no source.
TARGETS_PX = {"handle": 8.0, "swatch": 16.0, "button": 24.0, "large-button": 44.0}

#: Standard deviation of a careful pen tap, mm under the hand. Common practice, no source.
HAND_SCATTER_MM = 0.5


class HandScatter(NamedTuple):
    """How far a hand's careful pen taps scatter.

    ``mm`` is one standard deviation along one axis, under the hand; ``source`` says where it is
    from, and ``measured`` whether that is the person's own touches.
    """

    mm: float
    source: str
    measured: bool = False


#: The hand of whom nothing was measured.
USUAL_HAND = HandScatter(HAND_SCATTER_MM, PRACTICE)

#: From the wrist to the pen's tip, mm, and how far the wrist turns to either side without effort,
#: degrees. Common practice, no source.
WRIST_TO_TIP_MM, WRIST_TURN_DEG = 130.0, 15.0
#: What the wrist alone covers: the chord ``2·r·sin(turn)``, about 67 mm.
WRIST_REACH_MM = 2 * WRIST_TO_TIP_MM * math.sin(math.radians(WRIST_TURN_DEG))
#: From the elbow to the pen's tip, mm. Common practice, no source.
ELBOW_TO_TIP_MM = 350.0

#: The scale factors at which a crossing is always shown.
SCALES = (1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 5.0, 6.0)

#: Effective width over standard deviation: sqrt(2·pi·e) = 4.1327, by the entropy of the normal
#: distribution, which 96.1 % of taps hit (I. S. MacKenzie 1992, equation 10, as quoted).
EFFECTIVE_WIDTHS = 4.133


def index_of_difficulty_bits(distance: float, width: float) -> float:
    """The index of difficulty in its Shannon form, bits: ``log2(D / W + 1)``.

    Distance and width in one unit. ISO/TS 9241-411:2012 (there for pointing devices), after
    MacKenzie (1992). Raises RequestError for a distance below zero or a width not above it.

    >>> index_of_difficulty_bits(70, 10)
    3.0
    """
    far = finite(distance, "distance")
    if far < 0:
        raise RequestError(Problem("distance", phrase("must be 0 or more"), quoted(distance)))
    return math.log1p(far / positive(width, phrase("target width"))) / math.log(2)


def smallest_sure_target_mm(scale_factor: float, scatter_mm: float = HAND_SCATTER_MM) -> float:
    """The smallest target on the glass that is hit 96 times in 100, mm.

    ``4.133·SD·s``: the effective width (EFFECTIVE_WIDTHS) of a hand that scatters by
    ``scatter_mm``.
    """
    return (
        EFFECTIVE_WIDTHS
        * positive(scatter_mm, phrase("hand scatter"))
        * positive(scale_factor, phrase("scale factor"))
    )


def largest_sure_scale(target_mm: float, scatter_mm: float = HAND_SCATTER_MM) -> float:
    """The largest scale factor at which ``target_mm`` on the glass is hit 96 times in 100."""
    return positive(target_mm, phrase("target width")) / (
        EFFECTIVE_WIDTHS * positive(scatter_mm, phrase("hand scatter"))
    )


@dataclass(frozen=True, slots=True)
class Travel:
    """What one scale factor asks of the arm and of the hand on one screen.

    =========================== ==========================================================
    ``corner_to_corner_mm``     the pen's way on the tablet for the screen's diagonal, mm
    ``palette_mm``              its way from the middle of the screen to a target at its
                                side edge, mm
    ``forearm_share_percent``   the part of corner to corner beyond the wrist's reach
    ``forearm_swing_deg``       the turn about the elbow that would cover corner to
                                corner: ``2·asin(way / 2r)``; None where the arm is too
                                short for it and the shoulder must follow
    ``target_hand_mm``          the target's size under the hand
    ``difficulty_bits``         what the target asks: index of difficulty from the middle
                                to the side edge
    ``hand_bits``               what the hand can do there: the index with its own
                                effective width, 4.133·SD
    ``hit_percent``             taps that land on the target (across it, normal scatter):
                                ``erf(w / (2·√2·SD))``
    ``smallest_sure_target_mm`` on the glass, 96 hits in 100
    =========================== ==========================================================
    """

    scale_factor: float
    corner_to_corner_mm: float
    palette_mm: float
    forearm_share_percent: float
    forearm_swing_deg: float | None
    target_hand_mm: float
    difficulty_bits: float
    hand_bits: float
    hit_percent: float
    smallest_sure_target_mm: float


def travel(
    width_mm: float,
    height_mm: float,
    scale_factor: float,
    target_mm: float,
    *,
    scatter_mm: float = HAND_SCATTER_MM,
) -> Travel:
    """The travel at ``scale_factor`` on a screen of this size, for a target of ``target_mm``.

    Screen and target are in mm on the glass. The palette's target touches the side edge, so its
    centre lies ``(width - target) / 2`` from the middle. Raises RequestError for sizes not above
    zero and for a target wider than the screen.

    >>> ways = travel(600, 337.5, 2.5, 10)
    >>> round(ways.corner_to_corner_mm, 1), ways.palette_mm, ways.target_hand_mm
    (275.4, 118.0, 4.0)
    """
    width, height = (
        positive(width_mm, phrase("display width")),
        positive(height_mm, phrase("display height")),
    )
    scale, target = (
        positive(scale_factor, phrase("scale factor")),
        positive(target_mm, phrase("target width")),
    )
    scatter = positive(scatter_mm, phrase("hand scatter"))
    if target >= width:
        raise RequestError(
            Problem(
                "target width",
                phrase("must be less than the display's"),
                phrase("{target} mm", target=f"{target:g}"),
            )
        )
    way, palette = math.hypot(width, height) / scale, (width - target) / 2 / scale
    sine = way / 2 / ELBOW_TO_TIP_MM
    return Travel(
        scale_factor=scale,
        corner_to_corner_mm=way,
        palette_mm=palette,
        forearm_share_percent=100 * max(0.0, way - WRIST_REACH_MM) / way,
        forearm_swing_deg=None if sine > 1 else math.degrees(2 * math.asin(sine)),
        target_hand_mm=target / scale,
        difficulty_bits=index_of_difficulty_bits(palette, target / scale),
        hand_bits=index_of_difficulty_bits(palette, EFFECTIVE_WIDTHS * scatter),
        hit_percent=100 * math.erf(target / scale / (2 * math.sqrt(2) * scatter)),
        smallest_sure_target_mm=smallest_sure_target_mm(scale, scatter),
    )


@dataclass(frozen=True, slots=True)
class Crossing:
    """The task of crossing a display of known size to a target of ``target_mm`` on its glass.

    ``target_words`` name the target. ``own_scale`` is that of the desk, where there is one;
    ``hand`` is the hand that crosses.
    """

    display: Display
    target_mm: float
    target_words: str
    band: Band
    own_scale: float | None = None
    hand: HandScatter = USUAL_HAND

    @property
    def mm_per_px(self) -> float:
        """The pixel pitch along x."""
        return (self.display.mm_per_px or (1.0, 1.0))[0]

    @property
    def rows(self) -> tuple[Travel, ...]:
        """The travel at each of SCALES and at the desk's own."""
        return tuple(self.at(scale) for scale in sorted({*SCALES, self.own_scale or SCALES[0]}))

    def at(self, scale: float) -> Travel:
        """The travel at ``scale``."""
        width_mm, height_mm = self.display.width_mm or 0.0, self.display.height_mm or 0.0
        return travel(width_mm, height_mm, scale, self.target_mm, scatter_mm=self.hand.mm)
