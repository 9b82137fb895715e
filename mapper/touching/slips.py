"""Wrong touches: one that missed by far, two that changed places, one cross touched twice.

A touch is left out where it misses the map of all others by more than chance does once in
``_ONE_IN`` tests. A pair is read the other way round, and a row of touches moved on by one, only
where that explains far more than any single touch.
"""

from __future__ import annotations

import math
from itertools import combinations
from typing import TYPE_CHECKING, NamedTuple

from mapper.touching.fit import fit_touches

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.touching.fit import Touch, TouchFit

_ONE_IN = 200
# A miss below this is a hand's, however still the others were.
_LEAST_MISS_MM = 1.5
# A hand that means one cross misses it by no more (one standard deviation).
_ROUGHEST_HAND_MM = 2.0
# A reading that is to replace what was written leaves at most this share of the scatter.
_MUCH_LESS = 0.25
# Two touches within this are one touch made twice, while their crosses lie apart.
_SAME_PLACE_MM = 3.0
_APART_MM = 10.0

SLIPS = ("missed", "changed places", "touched twice")


class Slip(NamedTuple):
    """What was wrong with touches: one of SLIPS, their numbers from 1, and how far off, mm."""

    name: str
    touches: tuple[int, ...]
    off_mm: float = 0.0


def set_right(touches: Sequence[Touch]) -> tuple[list[Touch], list[Slip]]:
    """The touches without their slips, and the slips.

    Nothing is changed where too few touches would be left to tell.
    """
    kept = list(touches)
    numbers = list(range(1, len(kept) + 1))
    slips: list[Slip] = []
    fit = fit_touches(kept)
    if fit is None or fit.freedom < 4:
        return kept, slips
    if fit.scatter_mm > _ROUGHEST_HAND_MM:
        again = _touched_twice(kept, fit) or _changed_places(kept, fit)
        if again is not None:
            kept, slip, gone = again
            slips.append(slip)
            numbers = [number for number in numbers if number != gone]
    for _ in range(max(1, len(touches) // 6)):
        worst = _missed(kept)
        if worst is None:
            break
        index, off_mm = worst
        slips.append(Slip("missed", (numbers.pop(index),), off_mm))
        del kept[index]
    return kept, slips


def _missed(touches: list[Touch]) -> tuple[int, float] | None:
    """The touch that misses the map of all others by more than chance, and by how far, mm.

    The squared miss of both axes over twice the variance that it has is F distributed with 2 and m
    degrees of freedom, whose upper tail is ``(1 + 2F/m)^(-m/2)`` (integrated by hand; the tests
    compare with scipy). Bonferroni's bound holds for the worst of n.
    """
    least, found = 1 / _ONE_IN / len(touches), None
    for index, touch in enumerate(touches):
        if not (touch.x_free and touch.y_free):
            continue
        fit = fit_touches(touches[:index] + touches[index + 1 :])
        if fit is None or fit.freedom < 4:
            continue
        x, y = fit.missed_mm(touch)
        off_mm = math.hypot(x, y)
        place = touch.x_mm, touch.y_mm
        squares = x * x / (1 + fit.x_spread.variance_at(*place)) + y * y / (
            1 + fit.y_spread.variance_at(*place)
        )
        chance = tail_of_f(squares / 2 / max(fit.scatter_mm**2, 1e-12), fit.freedom)
        if off_mm > _LEAST_MISS_MM and chance < least:
            least, found = chance, (index, off_mm)
    return found


def tail_of_f(value: float, freedom: int) -> float:
    """The chance that F with 2 and ``freedom`` degrees of freedom is above ``value``."""
    return float((1 + 2 * value / freedom) ** (-freedom / 2))


def _explains(touches: list[Touch], fit: TouchFit) -> float:
    """The scatter that is left, or infinity where it is not far less than that of ``fit``."""
    again = fit_touches(touches)
    if again is None or again.freedom < 4:
        return math.inf
    limit = min(_ROUGHEST_HAND_MM, _MUCH_LESS * fit.scatter_mm)
    return again.scatter_mm if again.scatter_mm <= limit else math.inf


def _touched_twice(touches: list[Touch], fit: TouchFit) -> tuple[list[Touch], Slip, int] | None:
    """The touches where one cross was touched twice: the second alone, or all after it moved on."""
    px_per_mm = math.sqrt(abs(fit.to_px.determinant))
    best: tuple[float, list[Touch], Slip, int] | None = None
    for index in range(1, len(touches)):
        one, two = touches[index - 1], touches[index]
        near = math.hypot(two.x_px - one.x_px, two.y_px - one.y_px) < _SAME_PLACE_MM * px_per_mm
        apart = math.hypot(two.x_mm - one.x_mm, two.y_mm - one.y_mm) > _APART_MM
        if not (near and apart):
            continue
        slip = Slip("touched twice", (index, index + 1))
        alone = touches[:index] + touches[index + 1 :]
        later = [
            touch._replace(x_mm=cross.x_mm, y_mm=cross.y_mm)
            for cross, touch in zip(touches[index:-1], touches[index + 1 :], strict=True)
        ]
        # The touches after it belong to the crosses before theirs, and the last number is gone.
        for kept, gone in ((alone, index + 1), (touches[:index] + later, len(touches))):
            left = _explains(kept, fit)
            if left < (best[0] if best else math.inf):
                best = left, kept, slip, gone
    return best[1:] if best else None


def _changed_places(touches: list[Touch], fit: TouchFit) -> tuple[list[Touch], Slip, int] | None:
    """The touches with two of them exchanged, where that explains more than any single miss."""
    single = min(
        (_explains(touches[:at] + touches[at + 1 :], fit) for at in range(len(touches))),
        default=math.inf,
    )
    best: tuple[float, list[Touch], Slip, int] | None = None
    for one, two in combinations(range(len(touches)), 2):
        kept = list(touches)
        kept[one] = touches[two]._replace(x_mm=touches[one].x_mm, y_mm=touches[one].y_mm)
        kept[two] = touches[one]._replace(x_mm=touches[two].x_mm, y_mm=touches[two].y_mm)
        left = _explains(kept, fit)
        if left < (best[0] if best else single / 2):
            best = left, kept, Slip("changed places", (one + 1, two + 1)), 0
    return best[1:] if best else None
