"""What a further day would tell about a person's best value, and so what to try next."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from operator import mul
from random import Random
from typing import TYPE_CHECKING

from mapper.trials.comfort import LEAST_WEIGHT
from mapper.trials.fixed_points import evenly
from mapper.trials.valley import SAME_VALUE
from mapper.units import positive

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.choosing.recommended import Band
    from mapper.trials.comfort import ComfortBand, Parameters

#: How far beyond what was tried the next step goes, as a ratio: common practice, no source.
STEP = 4 / 3

_TENTHS = 10
_DRAWS_FORESEEN, _PEOPLE_FORESEEN = 400, 24


@dataclass(frozen=True, slots=True)
class NextTrial:
    """The value for one more day, its expected information in bits, and why it is useful.

    ``why`` is ``below`` or ``above`` (the best may lie beyond the smallest or the largest value
    tried), ``untried`` (inside the common practice, and nothing so small or so large was tried) or
    ``doubt`` (of all that is in reach a day there tells most).
    """

    value: float
    bits: float
    why: str


def expected_information_bits(band: ComfortBand, value: float) -> float:
    """How much one more day at ``value`` would tell about the best value, in bits.

    The expected information: the mutual information between the score to come and the tenth of the
    posterior in which the best value lies, ``H(mean p) - mean H(mean p in each tenth)``.
    """
    weights = [1.0] * len(band.draws)
    return _information_bits(weights, _Foreseen(band.draws, positive(value, "value")))


def next_trial(band: ComfortBand, practice: Band) -> NextTrial:
    """The most useful value for one more day.

    Where so much was tried that it would make a band, but the best may lie beyond one end, it is a
    step beyond that end. Else it is the most informative of 25 values in equal ratios, from the
    smallest to the largest of the common practice and of what was tried: nobody is sent to where
    work is a pain for what it might tell.
    """
    tried = band.tried or (practice.high, practice.low)
    ends = {"low": ("below", tried[0] / STEP), "high": ("above", tried[1] * STEP)}
    if band.best_beyond in ends and band.weight >= LEAST_WEIGHT and band.one_best:
        why, value = ends[band.best_beyond]
        return NextTrial(value, expected_information_bits(band, value), why)
    low, high = min(practice.low, tried[0]), max(practice.high, tried[1])
    values = [low * (high / low) ** (at / 24) for at in range(25)]
    bits, value = max((expected_information_bits(band, value), value) for value in values)
    inside = tried[0] * (1 - SAME_VALUE) <= value <= tried[1] * (1 + SAME_VALUE)
    return NextTrial(value, bits, "doubt" if inside else "untried")


def most_informative_order(
    band: ComfortBand, values: Sequence[float], days: Sequence[int]
) -> list[int]:
    """The places of ``values``, the most informative first.

    Each is given its ``days`` before the next is chosen. What a day would tell is counted as in
    ``expected_information_bits``, given the days planned before it: their scores are simulated for
    people drawn from the posterior, what is then believed is the draws weighted by how likely they
    make those scores, and the mean over these people decides.
    """
    # Python promises that this generator's numbers stay the same.
    random = Random(1)  # noqa: S311
    draws = [band.draws[at] for at in evenly(_DRAWS_FORESEEN, len(band.draws))]
    foreseen = [_Foreseen(draws, positive(value, "value")) for value in values]
    people = evenly(_PEOPLE_FORESEEN, len(draws))
    beliefs = [[1.0] * len(draws) for _ in people]
    left, order = list(range(len(values))), []
    while left:
        place = max(
            left,
            key=lambda at: sum(_information_bits(belief, foreseen[at]) for belief in beliefs),
        )
        order.append(place)
        left.remove(place)
        for at, person in enumerate(people):
            for _ in range(days[place]):
                chance = random.random()
                score = sum(chance > share for share in foreseen[place].upto[person])
                likely = map(mul, beliefs[at], foreseen[place].chances[score])
                beliefs[at] = _normed(list(likely))
    return order


class _Foreseen:
    """The scores that draws, sorted by their best, would give at a value.

    ``upto`` the chances of a score of at most 1 to 4 by draw, ``chances`` of each score, of all
    draws in a row.
    """

    def __init__(self, draws: Sequence[Parameters], value: float) -> None:
        log_value = math.log(value)
        self.upto = [draw.chances_upto(log_value) for draw in draws]
        one, two, three, four = zip(*self.upto, strict=True)
        ends = [0.0] * len(draws), one, two, three, four, [1.0] * len(draws)
        self.chances = [
            [high - low for low, high in zip(below, above, strict=True)]
            for below, above in pairwise(ends)
        ]


def _normed(weights: list[float]) -> list[float]:
    """The weights with the largest at one, so that they never all come near nothing."""
    top = max(weights)
    return [weight / top for weight in weights] if top > 0 else [1.0] * len(weights)


def _information_bits(belief: Sequence[float], foreseen: _Foreseen) -> float:
    """``expected_information_bits`` for a belief: a weight for each draw, sorted by their best."""
    size = len(belief)
    ends = [tenth * size // _TENTHS for tenth in range(_TENTHS + 1)]
    parts = [
        [sum(map(mul, belief[first:last], chances[first:last])) for chances in foreseen.chances]
        for first, last in pairwise(ends)
    ]
    total = math.fsum(map(math.fsum, parts))
    within = math.fsum(sum(part) / total * _entropy_bits(part) for part in parts)
    return _entropy_bits([sum(column) for column in zip(*parts, strict=True)]) - within


def _entropy_bits(parts: Sequence[float]) -> float:
    """The entropy of shares that are as ``parts``, in bits."""
    total = sum(parts)
    shares = [part / total for part in parts if part > 0] if total > 0 else []
    return -sum(share * math.log2(share) for share in shares)
