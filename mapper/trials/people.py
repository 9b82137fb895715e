"""Several people: each one's band, drawn towards the others as far as the scores say, and what they have in common.

Two stages, after D. Lunn, J. Barrett, M. Sweeting and S. Thompson, Fully Bayesian hierarchical modelling in two stages,
with application to meta-analysis, Applied Statistics 62 (2013) (not checked against the source). First each person alone (``comfort_band``);
then a Gibbs sampler that draws, in turns, one of each person's draws, weighted by what the others say over what was
believed of that person alone, and the middle and spread of people given those.

The logs of best values are normal among people. Before any entry little is believed: of the middle what is believed of
one person's best; people differ in their best by a factor of about 1.35. Widths are each person's own.

Only best values are drawn together, as widths of flat hills would pull everyone with them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from mapper.problems import Problem, RequestError
from mapper.trials.comfort import HELD_PERCENT, ComfortBand, belief, belief_log_density, half_widths

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.choosing.recommended import Band

#: From so few people nothing is said of most people: common practice, no source.
LEAST_PEOPLE = 5

_ROUNDS, _WARM_UP, _OF_EACH = 1200, 200, 800
# The spread of people (standard deviation of the log of the best) before any entry: half-normal.
_SPREAD = 0.3


@dataclass(frozen=True, slots=True)
class Interval:
    """The middle of what is believed, and the ends that hold it with HELD_PERCENT."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class Person:
    """One person's band beside the others': edges and best value, as values, not logs."""

    low: Interval
    best: Interval
    high: Interval


@dataclass(frozen=True, slots=True)
class People:
    """What several people have in common: the middle person's edges and best, the best of a further person, and each one's own.

    ``spread`` is by what factor people's bests differ (one standard deviation).
    """

    low: Interval
    best: Interval
    high: Interval
    another: Interval
    spread: Interval
    each: tuple[Person, ...]

    @property
    def says_of_most(self) -> bool:
        """Whether there are people enough, and alike enough, to say something of most."""
        return len(self.each) >= LEAST_PEOPLE and self.another.high / self.another.low < 2


def people(bands: Sequence[ComfortBand], prior: Band, *, seed: int = 1) -> People:
    """What the ``bands`` of several people, each found with the same ``prior``, say together. Raises RequestError without any."""
    if not bands:
        raise RequestError(Problem("people", "at least one is needed", "none"))
    random = np.random.RandomState(seed)
    draws = [_thinned(band.draws) for band in bands]
    best = np.stack([each[:, 0] for each in draws])
    alone = belief_log_density(best, prior)
    fall, rise = (np.stack(sides) for sides in zip(*(half_widths(each) for each in draws), strict=True))
    grid, rows = _Grid.of(prior), np.arange(len(draws))
    middle, spread = float(np.median(best)), _SPREAD
    kept: list[tuple[float, float]] = []
    picks = []
    for step in range(_ROUNDS):
        level = -0.5 * ((best - middle) / spread) ** 2 - alone
        # The largest of level plus Gumbel noise is a draw in proportion to exp(level).
        chosen = (level + random.gumbel(size=level.shape)).argmax(axis=1)
        middle, spread = grid.draw(best[rows, chosen], random)
        if step >= _WARM_UP:
            kept.append((middle, spread))
            picks.append(chosen)
    middles, spreads = np.array(kept).T
    at = np.stack(picks)
    own_best, own_fall, own_rise = best[rows, at], fall[rows, at], rise[rows, at]
    each = zip(own_best.T, own_fall.T, own_rise.T, strict=True)
    return People(
        low=_interval(middles - own_fall.mean(axis=1)),
        best=_interval(middles),
        high=_interval(middles + own_rise.mean(axis=1)),
        another=_interval(middles + spreads * random.standard_normal(len(middles))),
        spread=_interval(spreads),
        each=tuple(Person(_interval(b - f), _interval(b), _interval(b + r)) for b, f, r in each),
    )


def _thinned(draws: Any) -> Any:
    return draws[:: max(1, len(draws) // _OF_EACH)][:_OF_EACH]


def _interval(logs: Any) -> Interval:
    tail = (100 - HELD_PERCENT) / 2
    low, middle, high = (math.exp(float(each)) for each in np.percentile(logs, [tail, 50, 100 - tail]))
    return Interval(low, middle, high)


@dataclass(frozen=True, slots=True)
class _Grid:
    """Middles and spreads on a grid with what is believed of each before any entry (logs)."""

    middles: Any
    spreads: Any
    log_prior: Any

    @classmethod
    def of(cls, prior: Band) -> _Grid:
        means, scales = belief(prior)
        middles = np.linspace(means[0] - 4 * scales[0], means[0] + 4 * scales[0], 121)
        spreads = _SPREAD * np.linspace(0.05, 3.0, 24)
        return cls(middles, spreads, belief_log_density(middles, prior)[:, None] - 0.5 * (spreads / _SPREAD) ** 2)

    def draw(self, values: Any, random: Any) -> tuple[float, float]:
        """A middle and a spread given the values of all people."""
        count, mean = len(values), float(values.mean())
        scatter = float(((values - mean) ** 2).sum())
        squares = scatter + count * (self.middles - mean) ** 2
        level = self.log_prior - count * np.log(self.spreads) - 0.5 * squares[:, None] / self.spreads**2
        at = int((level + random.gumbel(size=level.shape)).argmax())
        row, column = divmod(at, len(self.spreads))
        # Not only the points of the grid: anywhere in the cell.
        step = (self.middles[1] - self.middles[0]) * (random.random_sample() - 0.5)
        return float(self.middles[row]) + step, float(self.spreads[column])
