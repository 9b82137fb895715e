"""Weighted points that stand for a probability distribution, always the same ones.

Adaptive importance sampling (M.-S. Oh and J. O. Berger, Adaptive importance sampling in Monte Carlo
integration, J. Statist. Comput. Simul. 41, 1992: not checked against the source). Points are laid
by a proposal of a middle and a covariance, and each counts for the density there over that of the
proposal. The next proposal has the middle and covariance of the points so weighted, until the two
agree. The points are no random numbers but a fixed sequence that fills the unit cube evenly: the
additive recurrence of powers of a generalised golden ratio (M. Roberts, The unreasonable
effectiveness of quasirandom sequences, 2018, extremelearning.com.au: not checked against the
source). So the same density gives the same points on every system, and fewer do than of random
ones.

Plain Python, since the page that runs from one file has no numpy.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from operator import mul
from statistics import NormalDist
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    Point = Sequence[float]

#: Points of each proposal that is still to be improved, at most so many such stages, and points of
#: the last one.
STAGE, STAGES, LAST = 500, 8, 6000
# So many points must count at each stage; where fewer do, the differences between their logs are
# scaled down until they do. A proposal is good once this share of its points counts.
_LEAST_COUNTING, _GOOD_SHARE = 60.0, 0.4
# Of the last proposal as many points again are laid, until so many count.
_ENOUGH, _MOST_PARTS = 1500.0, 4
# Proposals are this much wider than the points say, so that the tails are not missed.
_WIDER = 1.1


@dataclass(frozen=True, slots=True)
class WeightedPoints:
    """Points and what each counts for; ``weights`` sum to one."""

    points: tuple[Point, ...]
    weights: tuple[float, ...]

    def quantiles(self, values: Iterable[float], shares: Sequence[float]) -> list[float]:
        """The values below which ``shares`` of the weight lie, one of ``values`` for each point."""
        return weighted_quantiles(values, self.weights, shares)

    def drawn(self, count: int) -> list[Point]:
        """``count`` of the points, each as often as it counts for, by their first coordinate.

        Systematic resampling: the points that hold the middles of ``count`` equal shares.
        """
        order = sorted(range(len(self.points)), key=lambda at: self.points[at][0])
        taken: list[Point] = []
        upto = 0.0
        for at in order:
            upto += self.weights[at]
            while len(taken) < count and (len(taken) + 0.5) / count <= upto:
                taken.append(self.points[at])
        # The weights may sum to a little less than one.
        taken += [self.points[order[-1]]] * (count - len(taken))
        return taken


def evenly(count: int, size: int) -> list[int]:
    """The places of ``count`` of ``size`` things in a row: the middles of equal stretches.

    >>> evenly(2, 8)
    [2, 6]
    """
    return [(2 * at + 1) * size // (2 * count) for at in range(count)]


def weighted_quantiles(
    values: Iterable[float], weights: Iterable[float], shares: Sequence[float]
) -> list[float]:
    """The values below which ``shares`` (rising) of the weight lie.

    Straight between the middles of the weights of neighbouring values.
    """
    ranked = sorted(zip(values, weights, strict=True))
    total = math.fsum(weight for _, weight in ranked)
    found: list[float] = []
    upto, before_at, before = 0.0, 0.0, ranked[0][0]
    for value, weight in ranked:
        at = (upto + weight / 2) / total
        upto += weight
        while len(found) < len(shares) and shares[len(found)] <= at:
            along = (shares[len(found)] - before_at) / (at - before_at) if at > before_at else 1.0
            found.append(before + along * (value - before))
        before_at, before = at, value
    return found + [before] * (len(shares) - len(found))


def weighted_points(
    log_density: Callable[[Point], float],
    middle: Point,
    spreads: Point,
    *,
    heavy: int,
) -> WeightedPoints:
    """Points that stand for the distribution of which ``log_density`` is the log of the density.

    But for a constant. ``middle`` and ``spreads`` of each coordinate are where to begin: the first
    proposal should reach what counts. The first ``heavy`` coordinates of a proposal have a t
    distribution of four degrees of freedom, for densities with long tails there; the others are
    normal.
    """
    centre, covariance = list(middle), _diagonal(spreads)
    used = 0
    for _ in range(STAGES):
        found, logs = _stage(log_density, centre, covariance, (used, STAGE, heavy))
        used += STAGE
        heat = 1.0
        weights = _weights(logs, heat)
        while _counting(weights) < _LEAST_COUNTING and heat > 1e-4:
            heat *= 0.8
            weights = _weights(logs, heat)
        good = heat == 1.0 and _counting(weights) > _GOOD_SHARE * STAGE
        centre, covariance = _moments(found, weights)
        if good:
            break
    found, logs = [], []
    for more in range(_MOST_PARTS):
        which = used + more * LAST, LAST, heavy
        points, of_points = _stage(log_density, centre, covariance, which)
        found += points
        logs += of_points
        if _counting(_weights(logs, 1.0)) >= _ENOUGH:
            break
    return WeightedPoints(tuple(found), tuple(_weights(logs, 1.0)))


def _stage(
    log_density: Callable[[Point], float],
    centre: Point,
    covariance: Sequence[Sequence[float]],
    which: tuple[int, int, int],
) -> tuple[list[Point], list[float]]:
    """Points of one proposal, and the logs of the density over the proposal's there."""
    root = [[_WIDER * each for each in row] for row in _cholesky(covariance)]
    found: list[Point] = []
    logs: list[float] = []
    for spot, log_proposal in _spots(len(centre), *which):
        point = [at + sum(map(mul, row, spot)) for at, row in zip(centre, root, strict=True)]
        found.append(point)
        logs.append(log_density(point) - log_proposal)
    return found, logs


def _weights(logs: Sequence[float], heat: float) -> list[float]:
    """Weights that sum to one, from their logs scaled by ``heat``."""
    top = max(logs)
    weights = [math.exp(heat * (each - top)) for each in logs]
    total = math.fsum(weights)
    return [weight / total for weight in weights]


def _counting(weights: Sequence[float]) -> float:
    """How many points of equal weight would say as much as these weights, which sum to one.

    ``(sum w)² / sum w²`` (A. Kong, A note on importance sampling using standardized weights,
    University of Chicago, 1992: not checked against the source).
    """
    return 1 / math.fsum(map(mul, weights, weights))


def _moments(
    points: Sequence[Point], weights: Sequence[float]
) -> tuple[list[float], list[list[float]]]:
    """The middle and the covariance of weighted points."""
    columns = list(zip(*points, strict=True))
    centre = [sum(map(mul, column, weights)) for column in columns]
    away = [[each - at for each in column] for column, at in zip(columns, centre, strict=True)]
    weighted = [list(map(mul, column, weights)) for column in away]
    size = len(columns)
    covariance = [[0.0] * size for _ in range(size)]
    for row in range(size):
        for column in range(row + 1):
            both = sum(map(mul, weighted[row], away[column]))
            covariance[row][column] = covariance[column][row] = both
    return centre, covariance


def _diagonal(spreads: Point) -> list[list[float]]:
    return [
        [spread * spread if row == column else 0.0 for column in range(len(spreads))]
        for row, spread in enumerate(spreads)
    ]


def _cholesky(covariance: Sequence[Sequence[float]]) -> list[list[float]]:
    """The lower triangle whose product with its transpose is ``covariance``."""
    size = len(covariance)
    root = [[0.0] * size for _ in range(size)]
    for row in range(size):
        for column in range(row + 1):
            rest = covariance[row][column] - sum(map(mul, root[row][:column], root[column]))
            if row == column:
                root[row][row] = math.sqrt(max(rest, 1e-12))
            else:
                root[row][column] = rest / root[column][column]
    return root


@cache
def _spots(
    size: int, since: int, count: int, heavy: int
) -> tuple[tuple[tuple[float, ...], float], ...]:
    """Places ``since`` to ``since + count`` of the fixed sequence, spread about zero.

    Each with the log of its density, but for a constant.
    """
    steps = _steps(size)
    found = []
    for number in range(since + 1, since + count + 1):
        shares = [(0.5 + number * step) % 1 for step in steps]
        spot = (
            *(t_quantile(share) for share in shares[:heavy]),
            *(_NORMAL.inv_cdf(min(max(share, 1e-9), 1 - 1e-9)) for share in shares[heavy:]),
        )
        # Student's density of four degrees of freedom: (1 + t²/4) to the power of -5/2.
        log_density = -2.5 * sum(math.log1p(each * each / 4) for each in spot[:heavy])
        log_density -= sum(each * each for each in spot[heavy:]) / 2
        found.append((spot, log_density))
    return tuple(found)


_NORMAL = NormalDist()


def _steps(size: int) -> list[float]:
    """The steps of the sequence along each side of the unit cube.

    Powers of 1/g, where g is the root above one of ``g^(size + 1) = g + 1``; for one side that is
    the golden ratio.
    """
    root = 2.0
    for _ in range(60):
        root = (1 + root) ** (1 / (size + 1))
    return [root ** -(side + 1) % 1 for side in range(size)]


def t_quantile(share: float) -> float:
    """The quantile of the t distribution of four degrees of freedom.

    In closed form: W. T. Shaw, Sampling Student's T distribution, J. Comput. Finance 9 (2006) (not
    checked against the source).

    >>> round(t_quantile(0.975), 3)
    2.776
    """
    alpha = 4 * min(max(share, 1e-9), 1 - 1e-9) * (1 - min(max(share, 1e-9), 1 - 1e-9))
    root = math.sqrt(alpha)
    away = 2 * math.sqrt(max(0.0, math.cos(math.acos(min(1.0, root)) / 3) / root - 1))
    return math.copysign(away, share - 0.5)
