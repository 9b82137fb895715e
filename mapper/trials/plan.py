"""A plan for trials: which pairings are worth a day, and in which balanced order.

Williams's construction serves up to 100 pairings; fewer blocks than his design has are equally
spaced rows of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mapper.choosing.pairing import Pair, pair
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.trials.order import MOST_PAIRINGS, balanced_blocks, spread_choice

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.choosing.recommended import Band
    from mapper.desk import Display, Tablet

#: As a ratio, how far outside the band a pairing is worth a day: common practice, no source.
WORTH_A_DAY = 1.4
#: With more of it lost, another tablet is the better answer: common practice, no source.
MOST_LOST_PERCENT = 50.0


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A pairing that is not tried, and why."""

    pair: Pair
    why: str


@dataclass(frozen=True, slots=True)
class TrialPlan:
    """The pairings to try, in balanced blocks.

    ``pairs`` to try; ``blocks`` of places in ``pairs``, each block holding every pairing once;
    ``left_out`` the others.
    """

    pairs: tuple[Pair, ...]
    blocks: tuple[tuple[int, ...], ...]
    left_out: tuple[LeftOut, ...]


def plan_trials(
    tablets: Sequence[Tablet], displays: Sequence[Display], band: Band, *, most: int = MOST_PAIRINGS
) -> TrialPlan:
    """The pairings of tablets and displays that are worth a day, at most ``most``.

    Those that the geometry does not rule out. Where more are left, those whose scale factors lie
    farthest apart in ratio are taken. Raises RequestError where none is left, or ``most`` is below
    1.
    """
    worth: list[Pair] = []
    left_out: list[LeftOut] = []
    for each in (pair(tablet, display) for tablet in tablets for display in displays):
        why = _ruled_out(each, band)
        if why:
            left_out.append(LeftOut(each, why))
        else:
            worth.append(each)
    if not worth:
        raise RequestError(
            Problem(
                "pairings",
                phrase("the geometry rules out every pair"),
                phrase("{left_out} looked at", left_out=len(left_out)),
            )
        )
    taken = spread_choice([each.scale_factor or 1.0 for each in worth], most)
    left_out += [
        LeftOut(each, phrase("you learn more from other pairs: their scale factors differ more"))
        for at, each in enumerate(worth)
        if at not in taken
    ]
    pairs = tuple(worth[at] for at in taken)
    return TrialPlan(pairs, balanced_blocks(len(pairs)), tuple(left_out))


def _ruled_out(each: Pair, band: Band) -> str | None:
    """Why the geometry rules out a pairing, or None where it does not."""
    if each.scale_factor is None:
        return phrase("the display's size is not known")
    if each.scale_factor < band.low / WORTH_A_DAY:
        return phrase("the hand would move too far")
    if each.scale_factor > band.high * WORTH_A_DAY:
        return phrase("the hand could not be precise enough")
    if each.counts_per_px is not None and each.counts_per_px < 1:
        return phrase("some pixels could not be reached")
    if each.area_lost_percent > MOST_LOST_PERCENT:
        return phrase("more than half of the tablet would not be used")
    return None
