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
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.trials.comfort import (
    ComfortBand,
    half_widths,
    middle_interval,
    prior_log_density,
    prior_parameters,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.choosing.recommended import Band

#: From so few people nothing is said of most people: common practice, no source.
LEAST_PEOPLE = 5

_DRAWS = 2000
# The grid of best values: so many bins, to so many scales of what is believed to each side. Middles
# are the edges of every second bin.
_BINS, _REACH = 1000, 10.0
# The spread of people (standard deviation of the log of the best) before any entry: half-normal.
_SPREAD = 0.3
_SPREADS = _SPREAD * 3.0 * (np.arange(24) + 0.5) / 24


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


def people(bands: Sequence[ComfortBand], prior: Band, *, seed: int = 1) -> People:
    """The bands of several people together, each found with the same ``prior``.

    Raises RequestError without any.
    """
    if not bands:
        raise RequestError(Problem("people", phrase("at least one is needed"), phrase("none")))
    random = np.random.RandomState(seed)
    means, scales = prior_parameters(prior)
    edges = means[0] + _REACH * scales[0] * np.linspace(-1, 1, _BINS + 1)
    centres = (edges[1:] + edges[:-1]) / 2
    # Each one's draws by their best; ``starts`` says where those of each bin begin, draws beyond
    # the grid being in its ends.
    draws = [band.draws[np.argsort(band.draws[:, 0], kind="stable")] for band in bands]
    starts = np.stack([[0, *np.searchsorted(own[:, 0], edges[1:-1]), len(own)] for own in draws])
    counts = np.diff(starts, axis=1)
    weights = counts / np.exp(prior_log_density(centres, prior))
    middles, spreads = _draw_population(edges[::2], centres, weights, prior, random)
    nearness = np.exp(-0.5 * ((centres - middles[:, None]) / spreads[:, None]) ** 2)
    bests, falls, rises = np.empty((3, len(bands), _DRAWS))
    for at, (own, start, count, weight) in enumerate(
        zip(draws, starts, counts, weights, strict=True)
    ):
        upto = np.cumsum(nearness * weight, axis=1)
        bins = (upto < random.random_sample((_DRAWS, 1)) * upto[:, -1:]).sum(axis=1)
        picked = own[start[bins] + (random.random_sample(_DRAWS) * count[bins]).astype(int)]
        bests[at], (falls[at], rises[at]) = picked[:, 0], half_widths(picked)
    return People(
        low=_interval(middles - falls.mean(axis=0)),
        best=_interval(middles),
        high=_interval(middles + rises.mean(axis=0)),
        another=_interval(middles + spreads * random.standard_normal(_DRAWS)),
        spread=_interval(spreads),
        each=tuple(
            map(
                Person,
                map(_interval, bests - falls),
                map(_interval, bests),
                map(_interval, bests + rises),
            )
        ),
    )


def _draw_population(
    middles: Any, centres: Any, weights: Any, prior: Band, random: Any
) -> tuple[Any, Any]:
    """Middles and spreads of people, drawn from the posterior: two of shape (_DRAWS,), logs.

    ``weights`` (people, bins) is how often each one's best lies in the bin around each of
    ``centres``, over what was believed.
    """
    log_prior = prior_log_density(middles, prior)[:, None] - 0.5 * (_SPREADS / _SPREAD) ** 2
    away = (middles[:, None] - centres) ** 2
    chances = [np.exp(-0.5 * away / spread**2) @ weights.T / spread for spread in _SPREADS]
    level = log_prior + np.log(np.maximum(chances, 1e-300)).sum(axis=2).T
    upto = np.cumsum(np.exp(level - level.max()))
    row, column = np.divmod(
        np.searchsorted(upto, random.random_sample(_DRAWS) * upto[-1]), len(_SPREADS)
    )
    # Not only the points of the grid: anywhere in the cell.
    steps = random.random_sample((2, _DRAWS)) - 0.5
    middle = middles[row] + steps[0] * (middles[1] - middles[0])
    spread = _SPREADS[column] + steps[1] * (_SPREADS[1] - _SPREADS[0])
    return middle, spread


def _interval(logs: Any) -> Interval:
    return Interval(*(math.exp(each) for each in middle_interval(logs)))
