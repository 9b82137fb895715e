"""Whether scores look like those of somebody with one best value: the deepest valley among them.

A posterior predictive check (A. Gelman, X.-L. Meng and H. Stern, Posterior predictive assessment of
model fitness via realized discrepancies, Statistica Sinica 6, 1996; the measure is ours). People
with one best are asked to score the same days again; what counts is how often they give a valley as
deep. The valley of some scores is the largest, over stretches of values with others on both sides,
of the smaller of the two differences between mean scores, in standard errors.
"""

from __future__ import annotations

import math
from random import Random
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

#: Values whose logs differ by less than this are one value.
SAME_VALUE = 0.02
# Values beyond so many are pooled with their neighbours, for the comparison of means.
_MOST_GROUPS = 8


class Sitting(NamedTuple):
    """One entry: the log of its value, 1 on a first day (else 0), score, and what it counts for."""

    log_value: float
    first_day: float
    score: int
    weight: float


def chance_of_valley(
    sittings: Sequence[Sitting], people: Sequence[Callable[[Sitting], Sequence[float]]]
) -> float:
    """How often ``people`` give scores with a valley as deep as that of ``sittings``, 0 to 1.

    Each of ``people`` says the chances of a score of at most 1, 2, 3 and 4 at a sitting.
    """
    ordered = sorted(sittings, key=lambda each: each.log_value)
    weight = [each.weight for each in ordered]
    groups = _groups([each.log_value for each in ordered], weight)
    if len(groups) < 3:
        return 1.0
    # Python promises that this generator's numbers stay the same; only the check rests on them.
    random = Random(1)  # noqa: S311
    valley = _Valley(weight, groups)
    ours = valley.depth([each.score for each in ordered])
    deeper = 0
    for person in people:
        chances: dict[tuple[float, float], Sequence[float]] = {}
        scores = []
        for each in ordered:
            upto = chances.get(each[:2])
            if upto is None:
                upto = chances[each[:2]] = person(each)
            chance = random.random()
            scores.append(1 + sum(chance > share for share in upto))
        deeper += valley.depth(scores) >= ours
    return (1 + deeper) / (len(people) + 1)


def _groups(values: Sequence[float], weight: Sequence[float]) -> list[tuple[int, int]]:
    """Where the entries of one value begin and end, of at most ``_MOST_GROUPS`` values."""
    starts = [0, *(at for at in range(1, len(values)) if values[at] - values[at - 1] > SAME_VALUE)]
    while len(starts) > _MOST_GROUPS:
        # The lightest is pooled with its lighter neighbour, until few enough are left.
        ends = [*starts[1:], len(values)]
        sums = [sum(weight[first:last]) for first, last in zip(starts, ends, strict=True)]
        at = min(range(len(sums) - 1), key=lambda place: sums[place] + sums[place + 1])
        del starts[at + 1]
    return list(zip(starts, [*starts[1:], len(values)], strict=True))


class _Valley:
    """The depth of the deepest valley of scores, for entries that are in these groups."""

    def __init__(self, weight: Sequence[float], groups: Sequence[tuple[int, int]]) -> None:
        self._weight, self._groups = weight, groups
        upto = [0.0]
        for first, last in groups:
            upto.append(upto[-1] + sum(weight[first:last]))
        count = len(groups)
        self._runs = {
            (first, last): upto[last] - upto[first]
            for first in range(count)
            for last in range(first + 1, count + 1)
        }
        # Two stretches, the first before the second, and one over the standard error between them.
        self._pairs = [
            (one, other, 1 / math.sqrt(1 / self._runs[one] + 1 / self._runs[other]))
            for one in self._runs
            for other in self._runs
            if one[1] <= other[0]
        ]

    def depth(self, scores: Sequence[float]) -> float:
        """In standard errors for a spread of one mark."""
        upto = [0.0]
        for first, last in self._groups:
            sums = (self._weight[at] * scores[at] for at in range(first, last))
            upto.append(upto[-1] + sum(sums))
        mean = {run: (upto[run[1]] - upto[run[0]]) / within for run, within in self._runs.items()}
        before = dict.fromkeys(self._runs, 0.0)
        after = dict.fromkeys(self._runs, 0.0)
        for one, other, over_error in self._pairs:
            fall = (mean[one] - mean[other]) * over_error
            before[other] = max(before[other], fall)
            after[one] = max(after[one], -fall)
        return max(min(before[run], after[run]) for run in self._runs)
