"""From scores of trials to a band that suits one person: a cumulative-logit model with weak priors.

The model, for a score y of 1 to 5 at a value v (a scale factor, or an angle) with x = ln v:

``P(y ≤ k) = logistic(cut_k - liking)``, ``liking = -curve/2 · (x - best)² + first_day · f``

``best`` is the log of the value that suits most, ``curve`` how quickly liking falls off around it, the four ``cuts`` how
this person uses the scores, and ``first_day`` what a first day on a changed pairing costs (``f`` is 1 then, else 0).
Source of the model: P. McCullagh, Regression Models for Ordinal Data, JRSS B 42 (1980), the proportional-odds
model; the quadratic in the log of the value is this project's choice, common practice, no source.

The band is where liking lies within one logit of its best: ``best ± √(2 / curve)``. There the odds of a score above any
mark are at least 1/e of what they are at the best value.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from mapper.choosing.recommended import Band
from mapper.problems import Problem, RequestError
from mapper.units import finite, positive

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Array = NDArray[np.float64]

SCORES = (1, 2, 3, 4, 5)

#: Entries on one day with one pairing say much the same; each of m counts for 1 / (1 + (m - 1) · SAME_DAY).
#: Common practice, no source: half of what makes one entry good or bad belongs to the day.
SAME_DAY = 0.5

#: What entries must count for, and how much must be learned, before a band is called a person's own. A lucky three
#: entries can narrow the interval by half: common practice, no source.
LEAST_WEIGHT, LEAST_LEARNED = 8.0, 1 / 3

#: The share of the interval that is reported.
HELD_PERCENT = 80.0


@dataclass(frozen=True, slots=True)
class Trial:
    """One entry: the value tried (scale factor, or degrees), its score from 1 to 5, and what is known about the day.

    ``day`` tells entries of one day apart from those of another; ``first_day`` is true on the first day after the pairing
    was changed. Raises RequestError for a value not above zero and for any other score.
    """

    value: float
    score: int
    day: str = ""
    first_day: bool = False

    def __post_init__(self) -> None:
        object.__setattr__(self, "value", positive(self.value, "trial value"))
        if finite(self.score, "score") not in SCORES:
            raise RequestError(Problem("score", "must be a whole number from 1 to 5", str(self.score)))
        object.__setattr__(self, "score", int(self.score))


#: Of a normal distribution, 80 % lie within this many standard deviations (NIST/SEMATECH e-Handbook, 1.3.6.7.1).
_HELD_SD = 1.2816
# How far the width of a band may be off: by a factor of e to the half.
_LOG_CURVE_SD = 1.0
# How people use five marks where all is at its best: 3 % give 1, 5 % more 2, 17 % more 3, 45 % 4 and 30 % 5; the first
# cut freely placed (sd 1), the steps between cuts within a factor of about 1.6 (sd 0.5). Common practice, no source.
_CUT, _CUT_SD = -3.5, 1.0
_LOG_STEPS, _LOG_STEP_SD = np.log([1.06, 1.34, 1.95]), 0.5
# A first day costs about half a logit; it may cost nothing or a whole one.
_FIRST_DAY, _FIRST_DAY_SD = -0.5, 0.5


@dataclass(frozen=True, slots=True)
class ComfortBand:
    """What the entries say.

    ``low, high`` the band's edges (the posterior medians of best value and width); ``best`` the value that suits most, with ``best_low, best_high`` the
    interval that holds it with HELD_PERCENT belief; ``entries`` how many entries, ``weight`` what they count for;
    ``learned`` how much narrower than before any entry the interval of the best value is, 0 (nothing) to 1 (all).
    """

    low: float
    high: float
    best: float
    best_low: float
    best_high: float
    entries: int
    weight: float
    learned: float
    draws: Any

    @property
    def enough(self) -> bool:
        """Whether the entries say more than the common practice does: enough of them, and the interval shrunk by a third."""
        return self.weight >= LEAST_WEIGHT and self.learned >= LEAST_LEARNED


def comfort_band(trials: Sequence[Trial], prior: Band, *, seed: int = 1) -> ComfortBand:
    """The band that suits one person, from ``trials`` in any order; without any it is the ``prior``, the common practice.

    The posterior is drawn by the affine-invariant ensemble sampler of J. Goodman and J. Weare, Ensemble samplers with
    affine invariance, Comm. App. Math. Comp. Sci. 5 (2010), with a fixed ``seed``: the same entries give the same band.
    """
    data = _Data.of(trials)
    draws = _sample(data, prior, seed)
    best, half = draws[:, 0], math.sqrt(2 / math.exp(np.median(draws[:, 1])))
    tail = (100 - HELD_PERCENT) / 2
    low, middle, high = np.percentile(best, [tail, 50, 100 - tail])
    prior_width = math.log(prior.high / prior.low)
    return ComfortBand(
        low=math.exp(middle - half),
        high=math.exp(middle + half),
        best=math.exp(middle),
        best_low=math.exp(low),
        best_high=math.exp(high),
        entries=len(trials),
        weight=float(data.weight.sum()),
        learned=max(0.0, 1 - float(high - low) / prior_width),
        draws=draws,
    )


def expected_learning(band: ComfortBand, value: float) -> float:
    """How much one more day at ``value`` would tell about the best value, in bits.

    The mutual information between the score to come and the tenth of the posterior in which the best value lies:
    ``H(mean p) - mean H(mean p in each tenth)``.
    """
    draws = band.draws
    chances = _chances(draws, positive(value, "value"))
    tenths = np.array_split(chances[np.argsort(draws[:, 0], kind="stable")], 10)
    return _entropy_bits(chances.mean(axis=0)) - float(np.mean([_entropy_bits(tenth.mean(axis=0)) for tenth in tenths]))


def expected_scores(band: ComfortBand, values: Sequence[float]) -> tuple[Array, Array, Array]:
    """The score to be expected at each of ``values``, on a day that is no first day: low, middle and high, shape (n,) each.

    Low and high hold HELD_PERCENT of what is believed of the expected score, ``sum of k · P(y = k)``.
    """
    marks = np.array(SCORES, dtype=float)
    means = np.stack([_chances(band.draws, positive(value, "value")) @ marks for value in values], axis=1)
    tail = (100 - HELD_PERCENT) / 2
    low, middle, high = np.percentile(means, [tail, 50, 100 - tail], axis=0)
    return low, middle, high


def _entropy_bits(chances: Array) -> float:
    return float(-(chances * np.log2(np.maximum(chances, 1e-300))).sum())


@dataclass(frozen=True, slots=True)
class _Data:
    log_value: Array
    score: NDArray[np.int64]
    first_day: Array
    weight: Array

    @classmethod
    def of(cls, trials: Sequence[Trial]) -> _Data:
        """The trials with what each counts for; those that say the same of the model are one row."""
        same_day = Counter((trial.day, trial.value) for trial in trials if trial.day)
        weights: dict[tuple[float, int, bool], float] = {}
        for trial in trials:
            together = same_day[trial.day, trial.value] if trial.day else 1
            row = (trial.value, trial.score, trial.first_day)
            weights[row] = weights.get(row, 0.0) + 1 / (1 + (together - 1) * SAME_DAY)
        # In one order whatever the order of the entries, so that the same entries give the same draws.
        rows = sorted(weights)
        return cls(
            np.log([value for value, _, _ in rows]) if rows else np.zeros(0),
            np.array([score for _, score, _ in rows], dtype=np.int64),
            np.array([float(first_day) for _, _, first_day in rows]),
            np.array([weights[row] for row in rows]),
        )


def _liking(parameters: Array, log_value: Array, first_day: Array) -> Array:
    """Parameters of shape (m, 7), n values; shape (m, n)."""
    return parameters[:, 6:7] * first_day - np.exp(parameters[:, 1:2]) / 2 * (log_value - parameters[:, :1]) ** 2


def _cuts(parameters: Array) -> Array:
    """The four cuts between the scores, with the ends at infinity: shape (m, 6)."""
    inner = np.cumsum(np.column_stack([parameters[:, 2], np.exp(parameters[:, 3:6])]), axis=1)
    end = np.full((len(parameters), 1), np.inf)
    return np.concatenate([-end, inner, end], axis=1)


def _log_chance(liking: Array, below: Array, above: Array) -> Array:
    """Log of the chance of a score between two cuts: ``log(s(above - liking) - s(below - liking))``, s the logistic function.

    As ``log s(above - liking) + log s(liking - below) + log(1 - exp(below - above))``, which cancels no digits.
    """
    # Infinite ends: exp(-inf) is 0 and log(1) is 0, as it should be.
    return np.log(-np.expm1(below - above)) - np.logaddexp(0, liking - above) - np.logaddexp(0, below - liking)


def _chances(parameters: Array, value: float) -> Array:
    """The chance of each score on a day at ``value`` that is no first day: shape (m, 5)."""
    liking, cuts = _liking(parameters, np.array([math.log(value)]), np.zeros(1)), _cuts(parameters)
    return np.exp(_log_chance(liking, cuts[:, :-1], cuts[:, 1:]))


def _log_likelihood(parameters: Array, data: _Data) -> Array:
    liking, cuts = _liking(parameters, data.log_value, data.first_day), _cuts(parameters)
    return _log_chance(liking, cuts[:, data.score - 1], cuts[:, data.score]) @ data.weight


def _belief(prior: Band) -> tuple[Array, Array]:
    """Means and standard deviations of the seven parameters before any entry; all are normal and independent.

    The best value lies in the ``prior`` with 80 % belief, and the prior's width is the middle of what is believed about
    the width.
    """
    half = math.log(prior.high / prior.low) / 2
    best, log_curve = math.log(prior.low * prior.high) / 2, math.log(2 / half**2)
    means = np.array([best, log_curve, _CUT, *_LOG_STEPS, _FIRST_DAY])
    return means, np.array([half / _HELD_SD, _LOG_CURVE_SD, _CUT_SD, *([_LOG_STEP_SD] * 3), _FIRST_DAY_SD])


def _log_posterior(parameters: Array, data: _Data, prior: Band) -> Array:
    means, spreads = _belief(prior)
    log_prior: Array = -0.5 * (((parameters - means) / spreads) ** 2).sum(axis=1)
    return log_prior + _log_likelihood(parameters, data)


_WALKERS, _WARM_UP, _KEPT, _THIN = 256, 200, 400, 8


def _sample(data: _Data, prior: Band, seed: int) -> Array:
    """Draws of the posterior, shape (_WALKERS · _KEPT / _THIN, 7)."""
    # The old generator on purpose: numpy promises its numbers for ever, and the same entries must give the same band.
    random = np.random.RandomState(seed)
    means, spreads = _belief(prior)
    walkers = means + spreads * random.standard_normal((_WALKERS, means.size))
    level = _log_posterior(walkers, data, prior)
    halves = np.arange(_WALKERS // 2), np.arange(_WALKERS // 2, _WALKERS)
    kept = []
    for step in range(_WARM_UP + _KEPT):
        for moving, standing in (halves, halves[::-1]):
            # Goodman and Weare's stretch move, a = 2: z with density proportional to 1/sqrt(z) on [1/2, 2].
            stretch = (1 + random.random_sample(moving.size)) ** 2 / 2
            partners = walkers[random.choice(standing, moving.size)]
            proposal = partners + stretch[:, None] * (walkers[moving] - partners)
            there = _log_posterior(proposal, data, prior)
            gain = (means.size - 1) * np.log(stretch) + there - level[moving]
            taken = np.log(random.random_sample(moving.size)) < gain
            walkers[moving[taken]], level[moving[taken]] = proposal[taken], there[taken]
        if step >= _WARM_UP and step % _THIN == 0:
            kept.append(walkers.copy())
    return np.concatenate(kept)
