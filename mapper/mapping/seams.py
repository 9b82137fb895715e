"""What happens to a stroke where it crosses from one display to the next."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

from mapper.desk import Display
from mapper.mapping.solve import TabletMap
from mapper.mapping.windows import SAME_EDGE
from mapper.rect import Rect


@dataclass(frozen=True, slots=True)
class Seam:
    """The border between two displays that face each other, as far as the pen reaches both.

    ========================= ==============================================================
    ``first, second``         labels; ``second`` is to the right of ``first``, or below it
    ``crossing``              ``right`` or ``down``: how a stroke goes from first to second
    ``hand_gap_mm``           the hand's way over desktop px between the two that no display
                              shows
    ``glass_gap_mm``          from picture to picture: both bezels, the displays standing
                              frame to frame; None where a bezel is unknown
    ``glass_step_mm``         how far a stroke jumps along the border at its worse end; None
                              where a size is unknown
    ``glass_jump_mm``         both together, straight over the glass; None where either is
                              unknown
    ``hand_step_mm``          the hand's way on ``second`` that makes up for the step
    ``hand_jump_mm``          the hand's way that bridges the jump at the scale of
                              ``second``
    ``size_factor_x, _y``     how many times as large what is drawn becomes on ``second``;
                              None where a size is unknown
    ========================= ==============================================================

    The step along the border: over a length of n shared pixels the two pictures differ by n times
    the difference of their pixel pitches. Displays that stand with the middle of the shared border
    level, as well as they can, share it between both ends, so ``glass_step_mm = n · |pitch of
    second - pitch of first| / 2``. However they stand, at one of the ends it is at least this.
    """

    first: str
    second: str
    crossing: str
    hand_gap_mm: float
    glass_gap_mm: float | None
    glass_step_mm: float | None
    glass_jump_mm: float | None
    hand_step_mm: float | None
    hand_jump_mm: float | None
    size_factor_x: float | None
    size_factor_y: float | None


def seams(solved: TabletMap) -> tuple[Seam, ...]:
    """All seams that the pen can cross, sideways ones first.

    Each in the order in which the displays were described.
    """
    found = []
    for axis in (0, 1):
        for first in solved.reached:
            for second in solved.reached:
                border = _border(solved, first, second, axis)
                if border:
                    found.append(_seam(solved, first, second, axis, border))
    return tuple(found)


def _border(
    solved: TabletMap, first: Display, second: Display, axis: int
) -> tuple[float, float] | None:
    """The gap and the shared length in px between two displays along ``axis`` (0: x), or None.

    None too where a third display stands between them. Edges within SAME_EDGE are one: those of a
    trimmed screen come out a hair beside those of the display.
    """
    one, other = first.rect_px.overlap(solved.screen_px), second.rect_px.overlap(solved.screen_px)
    if one is None or other is None or first is second:
        return None
    (_, start), (low, high) = _spans(one, axis)
    (end, _), (other_low, other_high) = _spans(other, axis)
    low, high = max(low, other_low), min(high, other_high)
    if end < start - SAME_EDGE or high - low <= SAME_EDGE:
        return None
    if end - start <= SAME_EDGE:
        end = start
    if end > start:
        between = Rect(start, low, end - start, high - low)
        if axis == 1:
            between = Rect(low, start, high - low, end - start)
        if any(third.rect_px.overlap(between) for third in solved.request.desktop.displays):
            return None
    return end - start, high - low


def _spans(rect: Rect, axis: int) -> tuple[tuple[float, float], tuple[float, float]]:
    """From where to where ``rect`` goes along ``axis``, and across it."""
    across, down = (rect.left, rect.right), (rect.top, rect.bottom)
    return (across, down) if axis == 0 else (down, across)


def _seam(
    solved: TabletMap, first: Display, second: Display, axis: int, border: tuple[float, float]
) -> Seam:
    """The seam between two displays whose ``border`` is a gap and a shared length in px."""
    gap_px, shared_px = border
    hand_mm_per_px = solved.hand_mm_per_px
    bezels = first.bezel_mm, second.bezel_mm
    glass_gap = None if bezels[0] is None or bezels[1] is None else bezels[0] + bezels[1]
    glass_step = glass_jump = hand_step = hand_jump = None
    factors: tuple[float | None, float | None] = (None, None)
    one, other = first.mm_per_px, second.mm_per_px
    if one is not None and other is not None:
        along = 1 - axis
        factors = other[0] / one[0], other[1] / one[1]
        glass_step = shared_px * abs(other[along] - one[along]) / 2
        hand_step = glass_step / other[along] * hand_mm_per_px[along]
        if glass_gap is not None:
            glass_jump = hypot(glass_gap, glass_step)
            hand_jump = hypot(glass_gap / other[axis] * hand_mm_per_px[axis], hand_step)
    return Seam(
        first=first.label,
        second=second.label,
        crossing=("right", "down")[axis],
        hand_gap_mm=gap_px * hand_mm_per_px[axis],
        glass_gap_mm=glass_gap,
        glass_step_mm=glass_step,
        glass_jump_mm=glass_jump,
        hand_step_mm=hand_step,
        hand_jump_mm=hand_jump,
        size_factor_x=factors[0],
        size_factor_y=factors[1],
    )
