"""The error of a fit whose residuals wander: a hand's wobble is not white noise.

Neighbouring points of a traced line err together, so a thousand points know little more than a few dozen.
The residuals along the curve are modelled as a correlated part (a Matern kernel of unknown length) plus a white
part of unknown share. Both unknowns are averaged over a grid, each node weighted by how well it explains
the data once the fitted parameters and the size of the noise have been integrated out (restricted, or residual,
likelihood: Patterson and Thompson, Biometrika 58, 1971; with the weights of D. Harville, Biometrika 61, 1974;
both not checked against the source), and by how likely a hand is to wobble so much. The latter is what tells a quiet trace of a small
thing from an exact one: a wander as long as the outline makes it larger, longer or moved, and leaves no residuals. Since
all of a wobble, seen and unseen, is about as large in every trace, what the residuals lack is taken to hide in the
shape. The parameters themselves are those of plain least squares, which no wrong guess about the wobble
can mislead; only their error bars come from the model, as a mixture of normals that widens by itself when the data
cannot tell a slow wobble from a shape.

How often the bars hold is counted by tests/studies/trace_coverage.py. Of 120 traces of each kind (one standard error two
points) for circles of 16 and 25 mm, whole, with a gap, with an overshoot and twice round, under white noise and wanders of 3, 10 and
15 to 40 mm, by hands of 0.1 mm: 97.9 % of the scales and 96.1 % of the ratios, and 1 straight trace in 2000 said to lean; three of 32 kinds fewer than 91 % of the ratios,
all under a wander of 10 mm, which makes an oval of such a coin (16 mm, gap 89 and overshoot 84; 25 mm, overshoot 83); white
noise 98 to 100, since a wander that hides cannot be ruled out. Larger things and other hands: not counted all; two traces of
each of 80 kinds stand in tests/mapper/test_trace_measure.py. Half widths of the ratio: 2.4 % (16 mm, 3 mm wander), 1.4 % (25 mm).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from mapper.tracing.outline import Array


def _rough(near: Array) -> Array:
    return np.exp(-near)


def _smooth(near: Array) -> Array:
    scaled = math.sqrt(3.0) * near
    return (1 + scaled) * np.exp(-scaled)


def _smoothest(near: Array) -> Array:
    return np.exp(-(near**2) / 2)


# Matern kernels of smoothness 1/2 and 3/2 and their limit (C. Rasmussen and C. Williams, Gaussian Processes for Machine
# Learning, 2006, equations 4.9 and 4.14 to 4.17, not checked against the source), and how long hands take to wander, in mm of the way round.
_FAMILIES = (_rough, _smooth, _smoothest)
_LENGTHS_MM = np.array((3.0, 6.0, 10.0, 16.0, 25.0, 40.0))
# The white part's share of the variance beside a correlated one. That all of it is white is one node more, which
# is given as much weight beforehand as all others together.
_WHITE = 0.5 ** np.arange(1, 15)
#: The spread of a hand's wobble along a thing's edge, mm, and of its logarithm from hand to hand: seldom half as large, but
#: freehand several times (common practice, no source).
HAND_SD_MM = 0.11
_LOG_SD_BELOW, _LOG_SD_ABOVE = 0.35, 0.6
# A node that weighs less than this part of the best adds nothing to an interval.
_LEAST_WEIGHT = 1e-3
# How much of a normal distribution lies within so many standard deviations.
_TIMES = np.linspace(0.0, 6.0, 1201)
_WITHIN = np.array([math.erf(times / math.sqrt(2)) for times in _TIMES.tolist()])
#: The two-sided 95 % point of the normal distribution.
NORMAL_95 = 1.959963984540054


@dataclass(frozen=True, slots=True)
class Estimate:
    """Parameters with their uncertainty: ``mean`` (p,), and errors that mix ``covariances`` (k, p, p) by ``weights`` (k,)."""

    mean: Array
    weights: Array
    covariances: Array

    @property
    def covariance(self) -> Array:
        """The covariance (p, p) of the mixture."""
        covariance: Array = np.einsum("k,kij->ij", self.weights, self.covariances)
        return covariance

    def half_width(self, gradient: Array, coverage: float = 0.95) -> float:
        """How far ``gradient @ parameters`` reaches to either side with this probability; found by halving."""
        spreads = np.sqrt(np.maximum(np.einsum("kij,i,j->k", self.covariances, gradient, gradient), 0.0))
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

    ``residuals_mm`` (n,) are what is left of the data, under the hand, modelled as ``jacobian`` (n, p) times the change
    plus noise; ``shares`` (n,) tell how far round the curve, 0 to 1, each residual stands, and ``length_mm`` how long the
    way round is.
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
    spectra, vectors = _kernels(shares.tobytes(), length_mm)
    # Sums written out: shared out among threads, products as small as these wait for each other.
    turned = np.einsum("kni,nj->kij", vectors, data)
    products = (turned[:, :, :, None] * turned[:, :, None, :]).reshape(-1, count, (unknowns + 1) ** 2)
    products = np.broadcast_to(products, (len(spectra), *products.shape[1:]))
    weighted = np.einsum("kwn,knm->kwm", 1 / spectra, products).reshape(-1, unknowns + 1, unknowns + 1)
    # The first node is of white noise alone.
    weighted = np.concatenate([(data.T @ data)[None], weighted])
    log_spectra = np.concatenate([[0.0], np.log(spectra).sum(axis=2).ravel()])
    log_normal = np.linalg.slogdet(weighted[:, :-1, :-1])[1]
    # What least squares leaves is the ratio of two determinants, by Schur's complement.
    variances = np.maximum(np.exp(np.linalg.slogdet(weighted)[1] - log_normal) / free, 1e-30)
    unlikely = np.log(np.sqrt(variances) * size / HAND_SD_MM)
    unlikely /= np.where(unlikely < 0, _LOG_SD_BELOW, _LOG_SD_ABOVE)
    logs = -0.5 * (log_spectra + log_normal + free * np.log(variances) + unlikely**2)
    logs[1:] -= math.log(len(logs) - 1)
    weights = np.exp(logs - logs.max())
    kept = np.flatnonzero(weights > _LEAST_WEIGHT)
    solve_turned = np.broadcast_to(np.einsum("in,knj->kij", solve, vectors), (len(spectra), unknowns, count))
    spreads = [
        (solve_turned[kernel] * spectra[kernel, white]) @ solve_turned[kernel].T if node else solve @ solve.T
        for node in kept
        for kernel, white in (divmod(node - 1, len(_WHITE)),)
    ]
    # Student's t with `free` degrees of freedom has this much more variance than the normal.
    grown = variances[kept, None, None] * (free / (free - 2))
    back = size / scale
    return Estimate(
        solve @ data[:, -1] * back,
        weights[kept] / weights[kept].sum(),
        np.array(spreads) * grown * np.outer(back, back),
    )


@lru_cache(maxsize=4)
def _kernels(shares_bytes: bytes, length_mm: float) -> tuple[Array, Array]:
    """Eigenvalues (kernels, white shares, n) of all correlated nodes at these positions, and eigenvectors (kernels or 1, n, n)."""
    shares = np.frombuffer(shares_bytes)
    whole = bool(np.ptp(np.diff(shares, append=shares[0] + 1)) < 1e-9)
    apart = np.abs((shares[:1] if whole else shares)[:, None] - shares[None, :])
    lengths = _LENGTHS_MM[:, None, None] / length_mm
    # Two hands: one whose wander closes with the curve (the chord keeps a kernel positive definite), and one that ends beside
    # where it began. Where that was is not known: on average over all places the pen went straight from one point
    # to the other with the share 1 - apart, and the other way round with the rest.
    closed = [family(np.sin(np.pi * apart) / np.pi / lengths) for family in _FAMILIES]
    ended = [(1 - apart) * family(apart / lengths) + apart * family((1 - apart) / lengths) for family in _FAMILIES[1:]]
    kernels = np.concatenate(closed + ended)
    if whole:
        # All equally spaced kernels are circulant: one basis (Hartley's, as it is real) is all of theirs.
        values, waves = np.fft.fft(kernels[:, 0]).real, np.fft.fft(np.eye(len(shares)), norm="ortho")
        vectors = (waves.real - waves.imag)[None]
    else:
        values, vectors = np.linalg.eigh(kernels)
    values = np.maximum(values, 0.0)[:, None, :]
    return values + _WHITE[:, None] * (1 - values), vectors
