"""The error of a fit whose residuals wander: a hand's wobble is not white noise.

Neighbouring points of a traced line err together, so a thousand points know little more than a few dozen.
The residuals along the curve are modelled as a correlated part (a Matern kernel of unknown length) plus a white
part of unknown share. Both unknowns are averaged over a grid, each node weighted by how well it explains
the data once the fitted parameters and the size of the noise have been integrated out (restricted, or residual,
likelihood: Patterson and Thompson, Biometrika 58, 1971; with the weights of D. Harville, Biometrika 61, 1974;
both not checked against the source). The parameters themselves are those of plain least squares, which no wrong guess about the wobble
can mislead; only their error bars come from the model, as a mixture of normals that widens by itself when the data
cannot tell a slow wobble from a shape.
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


def _smoother(near: Array) -> Array:
    scaled = math.sqrt(5.0) * near
    return (1 + scaled + scaled**2 / 3) * np.exp(-scaled)


def _smoothest(near: Array) -> Array:
    return np.exp(-(near**2) / 2)


# Matern kernels of smoothness 1/2, 3/2, 5/2 and their limit (C. Rasmussen and C. Williams, Gaussian Processes for Machine
# Learning, 2006, equations 4.9 and 4.14 to 4.17, not checked against the source), and their correlation lengths as shares of the way round.
# The long ones are many since they are what a shape is taken for; tests/studies/trace_coverage.py tells how often
# the bars hold.
_FAMILIES = (
    (_rough, (0.008, 0.02, 0.05, 0.1, 0.2)),
    (_smooth, (0.012, 0.025, 0.05, 0.08, 0.12, 0.2, 0.3)),
    (_smoother, (0.012, 0.025, 0.05, 0.1)),
    (_smoothest, (0.01, 0.02, 0.04, 0.07)),
)
# The white part's share of the variance beside a correlated one. That all of it is white is one node more, which
# is given as much weight beforehand as all others together.
_WHITE = (0.3, 0.03, 0.003, 0.0003)
# A node that weighs less than this part of the best adds nothing to an interval.
_LEAST_WEIGHT = 1e-4
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
        nodes = list(zip(self.weights.tolist(), np.maximum(spreads, 1e-9 * widest).tolist(), strict=True))
        low, high = 0.0, 12 * widest
        for _ in range(60):
            middle = (low + high) / 2
            if sum(weight * math.erf(middle / (spread * math.sqrt(2))) for weight, spread in nodes) < coverage:
                low = middle
            else:
                high = middle
        return (low + high) / 2


def estimate(jacobian: Array, residuals: Array, shares: Array) -> Estimate:
    """The change of the parameters that the residuals ask for, with its uncertainty.

    ``residuals`` (n,) are what is left of the data, modelled as ``jacobian`` (n, p) times the change plus noise;
    ``shares`` (n,) tell how far round the curve, 0 to 1, each residual stands.
    """
    count, unknowns = jacobian.shape
    # Parameters of unlike units on one scale.
    scale = np.sqrt(np.mean(jacobian**2, axis=0))
    scale = np.where(scale == 0, 1.0, scale)
    design = jacobian / scale
    size = float(np.sqrt(np.mean(residuals**2)))
    if size == 0.0 or count <= unknowns:
        return Estimate(np.zeros(unknowns), np.ones(1), np.zeros((1, unknowns, unknowns)))
    solve = np.linalg.pinv(design)
    left = residuals / size
    nodes = [_node(design, left, solve, np.ones(count))]
    for values, vectors in _kernels(shares.tobytes()):
        turned = vectors.T @ design, vectors.T @ left, solve @ vectors
        nodes += [_node(*turned, (1 - white) * values + white) for white in _WHITE]
    logs = np.array([node[0] for node in nodes])
    logs[1:] -= math.log(len(nodes) - 1)
    weights = np.exp(logs - logs.max())
    kept = weights > _LEAST_WEIGHT
    back = size / scale
    return Estimate(
        (solve @ left) * back,
        weights[kept] / weights[kept].sum(),
        np.array([node[1] for node in nodes])[kept] * np.outer(back, back),
    )


@lru_cache(maxsize=4)
def _kernels(shares_bytes: bytes) -> tuple[tuple[Array, Array], ...]:
    """Eigenvalues and eigenvectors of every kernel at these positions; a curve traced whole asks for the same ones again."""
    shares = np.frombuffer(shares_bytes)
    # The chord, so that the curve closes and the kernel stays positive definite.
    apart = np.sin(np.pi * np.abs(shares[:, None] - shares[None, :])) / np.pi
    decomposed = []
    for kernel, lengths in _FAMILIES:
        for length in lengths:
            values, vectors = np.linalg.eigh(kernel(apart / length))
            decomposed.append((np.maximum(values, 0.0), vectors))
    return tuple(decomposed)


def _node(design: Array, residuals: Array, solve: Array, spectrum: Array) -> tuple[float, Array]:
    """Log weight of noise with this ``spectrum``, up to its size, and the covariance of ``solve @ residuals`` under it."""
    count, unknowns = design.shape
    free = count - unknowns
    weighted = design / spectrum[:, None]
    normal = design.T @ weighted
    left = residuals - design @ (np.linalg.pinv(normal, hermitian=True) @ (weighted.T @ residuals))
    variance = max(float(left @ (left / spectrum)) / free, 1e-30)
    log_weight = -0.5 * (np.log(spectrum).sum() + np.linalg.slogdet(normal)[1] + free * math.log(variance))
    # Student's t with `free` degrees of freedom has this much more variance than the normal.
    widen = free / (free - 2) if free > 2 else 3.0
    return float(log_weight), (solve * spectrum) @ solve.T * (variance * widen)
