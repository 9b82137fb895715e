"""What several people have in common, and each one's band beside the others'.

Each band is drawn towards the others as far as the scores say. First each person alone
(``comfort_band``). Then all together, on a grid of the middle and the spread of people: each point
counts for what is believed of it before any entry, times what it makes of each person's draws, over
what was believed of that person alone. Points are drawn from the grid, and given each of them one
of everybody's own draws. So nothing walks from one guess to the next, and nothing gets stuck where
scores leave two ends open. The idea of two stages is that of D. Lunn, J. Barrett, M. Sweeting and
S. Thompson, Fully Bayesian hierarchical modelling in two stages, with application to meta-analysis,
Applied Statistics 62 (2013) (not checked against the source).

The logs of best values are normal among people. Before any entry little is believed: of the middle
what is believed of one person's best; people differ in their best by a factor of about 1.35. Widths
are each person's own.

Only best values are drawn together, as widths of flat hills would pull everyone with them.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass
from itertools import accumulate
from operator import mul
from random import Random
from statistics import NormalDist
from typing import TYPE_CHECKING

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.trials.comfort import (
    ComfortBand,
    Parameters,
    middle_interval,
    prior_log_density,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from mapper.choosing.recommended import Band

#: From so few people nothing is said of most people: common practice, no source.
LEAST_PEOPLE = 5

_DRAWS = 2000
# The grid of best values: so many bins, from the lowest to the highest that anybody may have and so
# much beyond, in logs. Middles are the edges of every second bin.
_BINS, _BEYOND = 300, 0.4
# All but this share of what is believed of somebody lies inside the grid; the rest is in its ends.
_TAIL = 0.0005
# The spread of people (standard deviation of the log of the best) before any entry: half-normal.
_SPREAD = 0.3
_SPREADS = tuple(_SPREAD * 3.0 * (at + 0.5) / 24 for at in range(24))
# Of a normal distribution nothing that counts lies beyond so many standard deviations.
_REACH = 6.0


@dataclass(frozen=True, slots=True)
class Interval:
    """The middle of what is believed, and the ends that hold it with INTERVAL_PERCENT."""

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
    """What several people have in common, and each one's own.

    ``low``, ``best`` and ``high`` are the middle person's, ``another`` the best of a further
    person. ``spread`` is by what factor people's bests differ (one standard deviation).
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


def people(bands: Sequence[ComfortBand], prior: Band) -> People:
    """The bands of several people together, each found with the same ``prior``.

    Raises RequestError without any.
    """
    if not bands:
        raise RequestError(Problem("people", phrase("at least one is needed")))
    # Python promises that this generator's numbers stay the same.
    random = Random(1)  # noqa: S311
    grid = _Grid.over(bands)
    each = [_Bests(band, grid, prior) for band in bands]
    middles, spreads = _draw_population(each, grid, prior, random)
    drawn: list[list[Parameters]] = [[] for _ in bands]
    for middle, spread in zip(middles, spreads, strict=True):
        since, nearness = grid.nearness(middle, spread)
        for person, own in zip(each, drawn, strict=True):
            own.append(person.drawn(since, nearness, random))
    falls, rises = (
        [[person.half_widths[side] for person in own] for own in drawn] for side in (0, 1)
    )
    normal = NormalDist()
    away = [normal.inv_cdf(max(random.random(), 1e-12)) for _ in range(_DRAWS)]
    return People(
        low=_interval(
            middle - sum(widths) / len(widths)
            for middle, widths in zip(middles, zip(*falls, strict=True), strict=True)
        ),
        best=_interval(middles),
        high=_interval(
            middle + sum(widths) / len(widths)
            for middle, widths in zip(middles, zip(*rises, strict=True), strict=True)
        ),
        another=_interval(
            middle + spread * aside
            for middle, spread, aside in zip(middles, spreads, away, strict=True)
        ),
        spread=_interval(spreads),
        each=tuple(
            Person(
                _interval(person.best - person.half_widths[0] for person in own),
                _interval(person.best for person in own),
                _interval(person.best + person.half_widths[1] for person in own),
            )
            for own in drawn
        ),
    )


@dataclass(frozen=True, slots=True)
class _Grid:
    """Bins of equal width over the logs of best values, from ``low`` on."""

    low: float
    width: float

    @classmethod
    def over(cls, bands: Sequence[ComfortBand]) -> _Grid:
        """The grid that holds all that is believed of anybody's best."""
        ends = [
            band.posterior.quantiles(
                (point[0] for point in band.posterior.points), (_TAIL, 1 - _TAIL)
            )
            for band in bands
        ]
        low = min(end[0] for end in ends) - _BEYOND
        return cls(low, (max(end[1] for end in ends) + _BEYOND - low) / _BINS)

    def bin_of(self, best: float) -> int:
        return min(max(int((best - self.low) / self.width), 0), _BINS - 1)

    def nearness(self, middle: float, spread: float) -> tuple[int, list[float]]:
        """How dense bests lie in the bins near ``middle``: the first such bin, and the densities.

        Normal with a standard deviation of ``spread``, but for a constant.
        """
        reach = _REACH * spread
        first, last = self.bin_of(middle - reach), self.bin_of(middle + reach)
        away = ((self.low + (at + 0.5) * self.width - middle) for at in range(first, last + 1))
        return first, [math.exp(-0.5 * (each / spread) ** 2) / spread for each in away]


class _Bests:
    """What is believed of one person's best, over what was believed before any entry."""

    def __init__(self, band: ComfortBand, grid: _Grid, prior: Band) -> None:
        points, weights = band.posterior.points, band.posterior.weights
        order = sorted(range(len(points)), key=lambda at: points[at][0])
        self._points = [points[at] for at in order]
        self._upto = [0.0, *accumulate(weights[at] for at in order)]
        bins = [grid.bin_of(point[0]) for point in self._points]
        self._starts = [bisect_left(bins, at) for at in range(_BINS + 1)]
        self.levels = [0.0] * _BINS
        for at, point, bin_number in zip(order, self._points, bins, strict=True):
            self.levels[bin_number] += weights[at] / math.exp(prior_log_density(point[0], prior))

    def chance(self, since: int, nearness: Sequence[float]) -> float:
        """How likely the entries are where bests lie so near the bins from ``since`` on."""
        return math.fsum(map(mul, self.levels[since : since + len(nearness)], nearness))

    def drawn(self, since: int, nearness: Sequence[float], random: Random) -> Parameters:
        """One guess of this person, where bests lie so near the bins from ``since`` on."""
        here = self.levels[since : since + len(nearness)]
        upto = list(accumulate(map(mul, here, nearness)))
        # Where nothing of this person's lies near at all, the nearest bin stands for it.
        at = since + min(bisect_left(upto, random.random() * upto[-1] or 1e-300), len(upto) - 1)
        first, last = self._starts[at], self._starts[at + 1]
        low, high = self._upto[first], self._upto[last]
        place = bisect_left(self._upto, low + random.random() * (high - low)) - 1
        return Parameters(*self._points[min(max(place, first), len(self._points) - 1)])


def _draw_population(
    each: Sequence[_Bests], grid: _Grid, prior: Band, random: Random
) -> tuple[list[float], list[float]]:
    """Middles and spreads of people, drawn from the posterior, in logs."""
    step = 2 * grid.width
    middles = [grid.low + step * at for at in range(_BINS // 2 + 1)]
    cells, logs = [], []
    for middle in middles:
        believed = prior_log_density(middle, prior)
        for spread in _SPREADS:
            near = grid.nearness(middle, spread)
            chances = (max(person.chance(*near), 1e-300) for person in each)
            cells.append((middle, spread))
            logs.append(believed - 0.5 * (spread / _SPREAD) ** 2 + sum(map(math.log, chances)))
    top = max(logs)
    upto = list(accumulate(math.exp(log - top) for log in logs))
    found: tuple[list[float], list[float]] = [], []
    for _ in range(_DRAWS):
        middle, spread = cells[bisect_left(upto, random.random() * upto[-1])]
        # Not only the points of the grid: anywhere in the cell.
        found[0].append(middle + (random.random() - 0.5) * step)
        found[1].append(spread + (random.random() - 0.5) * (_SPREADS[1] - _SPREADS[0]))
    return found


def _interval(logs: Iterable[float]) -> Interval:
    """The interval of logs of equal weight, as values."""
    values = list(logs)
    return Interval(*map(math.exp, middle_interval(values, [1.0] * len(values))))
