"""The error of a fit whose residuals wander: a hand's wobble is not white noise.

Neighbouring points of a traced line err together, so a thousand points know little more than a few
dozen. The residuals along the curve are modelled as a correlated part (a Matern kernel of unknown
length) plus a white part of unknown share. Both unknowns are averaged over a grid, each node
weighted by how well it explains the data once the fitted parameters and the size of the noise have
been integrated out (restricted, or residual, likelihood: Patterson and Thompson, Biometrika 58,
1971; with the weights of D. Harville, Biometrika 61, 1974; both not checked against the source),
and by how likely a hand is to wobble so much. The latter is what tells a quiet trace of a small
thing from an exact one: a wander as long as the outline makes it larger, longer or moved, and
leaves no residuals. Since all of a wobble, seen and unseen, is about as large in every trace, what
the residuals lack is taken to hide in the shape. The parameters themselves are those of plain least
squares, which no wrong guess about the wobble can mislead; only their error bars come from the
model, as a mixture of normals that widens by itself when the data cannot tell a slow wobble from a
shape.

The two ends of a wander do not meet, and where a hand went over its own beginning the line is the
middle of two. A model that does not know of this takes the jump for a rough hand, and so leaves too
little for a slow wander that makes an oval of a small coin. So the place where the pen was set down
is part of the model: in the gap, or where the residuals jump most.

How often the bars hold is counted by tests/studies/trace_coverage.py. Of 200 traces of each of 80
kinds (circles of 16, 25 and 60 mm, a card and A6; whole, with a gap, with an overshoot and twice
round; white noise and wanders of 3, 10 and 15 to 40 mm; by hands of 0.1 mm; one standard error 1.5
points): 96.3 % of the scales and 95.9 % of the ratios. Of the 160 counts 116 lie from 93 to 97.5,
36 above, eight below, the lowest at 91.0 (of bars that hold 95 %, some ten of 160 counts would lie
below 93 by chance). One of 16,000 straight traces was said to lean. Median half widths of the
ratio: 2.3 % (16 mm, 3 mm wander), 1.3 % (25 mm), 0.6 % (60 mm, 10 mm wander), 0.4 % (card), 0.1 %
(A6).

With the very noise as the model's only node, 95 % of the bars hold. What lies above comes from two
things that a small thing cannot tell, and is there on purpose. How much a hand wobbles is known to
the model more vaguely than to the study: about one point. And white residuals do not rule out a
slow wander beside them: another point in white noise, where 98 % hold at 16 and 25 mm. Bars of
unknown hands are right on average over hands and not for each. Of other hands, 200 whole traces a
kind: of 0.05 mm 96 to 100 % hold; of 0.2 mm 94 % on average, 87 in the worst kind; of such as shake
as much as they wander 93 % on coins, 86 in the worst kind; freehand, at 0.5 mm with wanders of 15
to 40 mm, only 70 % of the scales of a coin of 16 mm and 84 % of those of a circle of 60 mm, but 93
% of a card's. So a card is better than a coin, and several traces are better than one. Where the
outline is followed through the points, 97 % of the scales and 94 % of the ratios held (10 mm
wander, 16 and 60 mm and a card, 1,200 traces).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from mapper.tracing.outline import Array


def _matern_1_2(near: Array) -> Array:
    return np.exp(-near)


def _matern_3_2(near: Array) -> Array:
    scaled = math.sqrt(3.0) * near
    return (1 + scaled) * np.exp(-scaled)


def _gaussian(near: Array) -> Array:
    return np.exp(-(near**2) / 2)


# Matern kernels of smoothness 1/2 and 3/2 and their limit (C. Rasmussen and C. Williams, Gaussian
# Processes for Machine Learning, 2006, equations 4.9 and 4.14 to 4.17, not checked against the
# source), and how long hands take to wander, in mm of the way round.
_FAMILIES = (_matern_1_2, _matern_3_2, _gaussian)
_LENGTHS_MM = np.array((3.0, 6.0, 10.0, 16.0, 25.0, 40.0))
# The white part's share of the variance beside a correlated one, and its weight beforehand: a pen
# that wanders by a tenth of a mm shakes by some hundredths, seldom as much as it wanders (common
# practice, no source). That all of it is white is one node more, which is given as much weight
# beforehand as all others together.
_WHITE = 0.25 ** (np.arange(1, 9) - 0.5)
_LOG_WHITE = np.log(np.array((1, 2, 4, 4, 4, 4, 4, 4)) / 27)
#: The likeliest spread of a hand's wobble along a thing's edge, mm, and how its logarithm spreads
#: from hand to hand: seldom half as large, more often twice, and freehand several times (common
#: practice, no source).
HAND_SD_MM = 0.09
_LOG_SD_BELOW, _LOG_SD_ABOVE = 0.35, 0.7
# Kernels of wanders that begin anywhere; those with a known beginning are weighed against one.
_STARTLESS_KERNELS = (2 * len(_FAMILIES) - 1) * len(_LENGTHS_MM)
# A stretch without points that is this long is a gap, in which the pen was set down.
_LEAST_GAP = 0.05
# A jump is seen against so many points on either side.
_BESIDE = 4
# A node that weighs less than this part of the best adds nothing to an interval.
_LEAST_WEIGHT = 1e-3
# How much of a normal distribution lies within so many standard deviations.
_TIMES = np.linspace(0.0, 6.0, 1201)
_WITHIN = np.array([math.erf(times / math.sqrt(2)) for times in _TIMES.tolist()])


@dataclass(frozen=True, slots=True)
class Estimate:
    """Estimated parameters with their uncertainty.

    ``mean`` (p,), and errors that mix ``covariances`` (k, p, p) by ``weights`` (k,).
    """

    mean: Array
    weights: Array
    covariances: Array

    @property
    def covariance(self) -> Array:
        """The covariance (p, p) of the mixture."""
        covariance: Array = np.einsum("k,kij->ij", self.weights, self.covariances)
        return covariance

    def half_width(self, gradient: Array, coverage: float = 0.95) -> float:
        """How far ``gradient @ parameters`` reaches to either side with this probability.

        Found by halving.
        """
        spreads = np.sqrt(
            np.maximum(np.einsum("kij,i,j->k", self.covariances, gradient, gradient), 0.0)
        )
        widest = float(spreads.max())
        if widest == 0.0:
            return 0.0
        spreads = np.maximum(spreads, 1e-9 * widest)
        low, high = 0.0, 12 * widest
        for _ in range(40):
            middle = (low + high) / 2
            within = float(self.weights @ np.interp(middle / spreads, _TIMES, _WITHIN))
            low, high = (middle, high) if within < coverage else (low, middle)
        return (low + high) / 2


def estimate(jacobian: Array, residuals_mm: Array, shares: Array, length_mm: float) -> Estimate:
    """The change of the parameters that the residuals ask for, with its uncertainty.

    ``residuals_mm`` (n,) are what is left of the data, under the hand, modelled as ``jacobian`` (n,
    p) times the change plus noise; ``shares`` (n,) tell how far round the curve, 0 to 1, each
    residual stands, and ``length_mm`` how long the way round is.
    """
    count, unknowns = jacobian.shape
    # Parameters of unlike units on one scale.
    scale = np.sqrt(np.mean(jacobian**2, axis=0))
    scale = np.where(scale == 0, 1.0, scale)
    size = float(np.sqrt(np.mean(residuals_mm**2)))
    free = count - unknowns
    if size == 0.0 or free < 3:
        return Estimate(np.zeros(unknowns), np.ones(1), np.zeros((1, unknowns, unknowns)))
    data = np.column_stack([jacobian / scale, residuals_mm / size])
    solve = np.linalg.pinv(data[:, :unknowns])
    paths = _pen_paths(shares, residuals_mm - jacobian @ (solve @ residuals_mm / scale))
    spectra, vectors, seen = _kernels(shares, length_mm, paths)
    turned = vectors.transpose(0, 2, 1) @ data
    products = (turned[:, :, :, None] * turned[:, :, None, :]).reshape(
        -1, count, (unknowns + 1) ** 2
    )
    weighted = ((1 / spectra) @ products).reshape(-1, unknowns + 1, unknowns + 1)
    # The first node is of white noise alone.
    weighted = np.concatenate([(data.T @ data)[None], weighted])
    log_spectra = np.concatenate([[0.0], np.log(spectra).sum(axis=2).ravel()])
    log_normal = np.linalg.slogdet(weighted[:, :-1, :-1])[1]
    # What least squares leaves is the ratio of two determinants, by Schur's complement.
    variances = np.maximum(np.exp(np.linalg.slogdet(weighted)[1] - log_normal) / free, 1e-30)
    unlikely = np.log(np.sqrt(variances) * size / HAND_SD_MM)
    unlikely /= np.where(unlikely < 0, _LOG_SD_BELOW, _LOG_SD_ABOVE)
    logs = -0.5 * (log_spectra + log_normal + free * np.log(variances) + unlikely**2)
    logs[1:] += (seen[:, None] + _LOG_WHITE).ravel() - math.log(_STARTLESS_KERNELS)
    weights = np.exp(logs - logs.max())
    kept = np.flatnonzero(weights > _LEAST_WEIGHT)
    solve_turned = solve @ vectors
    spreads = []
    for node in kept:
        if node == 0:
            spreads.append(solve @ solve.T)
            continue
        kernel, white = divmod(node - 1, len(_WHITE))
        spreads.append((solve_turned[kernel] * spectra[kernel, white]) @ solve_turned[kernel].T)
    # Student's t with `free` degrees of freedom has this much more variance than the normal.
    grown = variances[kept, None, None] * (free / (free - 2))
    back = size / scale
    return Estimate(
        solve @ data[:, -1] * back,
        weights[kept] / weights[kept].sum(),
        np.array(spreads) * grown * np.outer(back, back),
    )


def _pen_paths(shares: Array, residuals_mm: Array) -> list[tuple[float, float, float]]:
    """Where the pen may have been set down, with overshoot and likelihood.

    How far it then went over its own beginning, and how likely that is beforehand. Places and
    lengths are shares of the way round, likelihoods logarithms. In a gap, where there is one. Else
    where ``residuals_mm`` (n,) jump most, since the two ends of a wander do not meet; over its
    beginning the line is the middle of two, and jumps at both ends of that part.
    """
    order = np.argsort(shares)
    at, residuals, count = shares[order], residuals_mm[order], len(shares)
    step = np.diff(at, append=at[0] + 1)
    between = (at + step / 2) % 1.0
    widest = int(np.argmax(step))
    if step[widest] > _LEAST_GAP:
        return [(float(between[widest]), 0.0, 0.0)]
    # What a line through some points on either side expects in the middle between two.
    ahead = np.linalg.pinv(np.stack([np.ones(_BESIDE), np.arange(_BESIDE) + 0.5], axis=1))[0]
    before = sum(part * np.roll(residuals, number) for number, part in enumerate(ahead))
    after = sum(part * np.roll(residuals, -1 - number) for number, part in enumerate(ahead))
    jump = np.abs(after - before)
    first = int(np.argmax(jump))
    away = np.abs((np.arange(count) - first + count // 2) % count - count // 2)
    one, two = sorted(
        (float(between[first]), float(between[np.argmax(np.where(away < _BESIDE, -1.0, jump))]))
    )
    once = -math.log(count)
    start, over = (one, two - one) if two - one < 0.5 else (two, one + 1 - two)
    return [(one, 0.0, once), (two, 0.0, once), (start, over, 2 * once)]


def _kernels(
    shares: Array, length_mm: float, paths: list[tuple[float, float, float]]
) -> tuple[Array, Array, Array]:
    """Eigenvalues, eigenvectors and prior of all correlated nodes.

    Eigenvalues (kernels, white shares, n), eigenvectors (kernels, n, n), and how likely each kernel
    is beforehand (kernels,), as a logarithm, beside a wander that begins anywhere.
    """
    values, vectors = _kernels_without_start(shares.tobytes(), length_mm)
    every, seen = [(values, vectors)], [np.zeros(len(values))]
    for start, over, likely in paths:
        along = np.round((shares - start) % 1.0, 9)
        order = np.argsort(along)
        values, turned = _kernels_with_start(along[order].tobytes(), length_mm, round(over, 9))
        vectors = np.empty_like(turned)
        vectors[:, order] = turned
        every.append((values, vectors))
        seen.append(np.full(len(values), likely))
    values = np.concatenate([each[0] for each in every])[:, None, :]
    vectors = np.concatenate([each[1] for each in every])
    return values + _WHITE[:, None] * (1 - values), vectors, np.concatenate(seen)


@lru_cache(maxsize=4)
def _kernels_without_start(shares_bytes: bytes, length_mm: float) -> tuple[Array, Array]:
    """Eigenvalues (kernels, n) and eigenvectors (kernels, n, n) of wanders of unknown beginning."""
    shares = np.frombuffer(shares_bytes)
    whole = bool(np.ptp(np.diff(shares, append=shares[0] + 1)) < 1e-9)
    apart = np.abs((shares[:1] if whole else shares)[:, None] - shares[None, :])
    lengths = _LENGTHS_MM[:, None, None] / length_mm
    # Two hands: one whose wander closes with the curve (the chord keeps a kernel positive
    # definite), and one that ends beside where it began. On average over all places for that the
    # pen went straight from one point to the other with the share 1 - apart, and the other way
    # round with the rest.
    closed = [family(np.sin(np.pi * apart) / np.pi / lengths) for family in _FAMILIES]
    ended = [
        (1 - apart) * family(apart / lengths) + apart * family((1 - apart) / lengths)
        for family in _FAMILIES[1:]
    ]
    kernels = np.concatenate(closed + ended)
    if not whole:
        return np.linalg.eigh(kernels)
    # Equally spaced kernels are circulant: Hartley's basis, which is real, serves all of them.
    values, waves = np.fft.fft(kernels[:, 0]).real, np.fft.fft(np.eye(len(shares)), norm="ortho")
    return values, np.broadcast_to(waves.real - waves.imag, (len(values), *waves.shape))


@lru_cache(maxsize=8)
def _kernels_with_start(along_bytes: bytes, length_mm: float, over: float) -> tuple[Array, Array]:
    """Eigenvalues and eigenvectors of wanders that begin at 0 and overshoot to ``over``.

    They go once round and on to ``over``, where the line is the middle of both rounds. Shapes as
    ``_kernels_without_start`` has them.
    """
    along = np.frombuffer(along_bytes)
    again = along < over
    way = np.concatenate([along, along[again] + 1])
    rounds = np.concatenate(
        [np.diag(np.where(again, 0.5, 1.0)), 0.5 * np.eye(len(along))[:, again]], axis=1
    )
    apart = np.abs(way[:, None] - way[None, :])
    lengths = _LENGTHS_MM[:, None, None] / length_mm
    return np.linalg.eigh(
        rounds @ np.concatenate([family(apart / lengths) for family in _FAMILIES[1:]]) @ rounds.T
    )
