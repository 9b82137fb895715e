"""From scores of trials to a band that suits one person: a cumulative-logit model with weak priors.

The model, for a score y of 1 to 5 at a value v (a scale factor, or an angle) with x = ln v:

``P(y ≤ k) = logistic(cut_k - liking)``, ``liking = -curve/2 · (x - best)² + first_day · f``

``best`` is the log of the value that suits most, ``curve`` how quickly liking falls off around it,
``curve · √uneven`` on the side of smaller values and ``curve / √uneven`` on that of larger ones,
the four ``cuts`` how this person uses the scores, and ``first_day`` what a first day on a changed
pairing costs (``f`` is 1 then, else 0). Source of the model: P. McCullagh, Regression Models for
Ordinal Data, JRSS B 42 (1980), the proportional-odds model; the two half parabolas in the log of
the value are this project's choice, common practice, no source.

The band is where liking lies within one logit of its best: ``√(2 / curve)`` to each side, with that
side's curve. There the odds of a score above any mark are at least 1/e of what they are at the best
value.

How often the stated interval holds is counted by ``tests/studies/comfort_coverage.py``, whose
docstring has the numbers.

The sampler is our own (some forty lines), since scipy is no runtime dependency; its numbers come
from numpy's frozen generator, so that the same notes give the same band for ever. A band is called
a person's own from a weight of eight entries on, when the interval of the best value is a quarter
of what it was, values on both sides of the best were tried, and the scores fit one best.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from mapper.choosing.recommended import Band
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.units import finite, positive

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Array = NDArray[np.float64]

SCORES = (1, 2, 3, 4, 5)

#: Entries on one day with one pairing say much the same; each of m counts for 1 / (1 + (m - 1) ·
#: SAME_DAY). Common practice, no source: half of what makes one entry good or bad belongs to the
#: day.
SAME_DAY = 0.5

#: What entries must count for, and how much narrower the interval of the best value must have
#: become, before a band is called a person's own. At three quarters the entries say sixteen times
#: what was believed before them, as precision (one over the variance) goes. Common practice, no
#: source.
LEAST_WEIGHT, LEAST_LEARNED = 8.0, 3 / 4

#: Percent of people with one best whose notes look as odd; below it the oddity is reported.
ODD_PERCENT = 3.0

#: The share of the interval that is reported.
INTERVAL_PERCENT = 80.0


@dataclass(frozen=True, slots=True)
class Trial:
    """One entry of a trial: a value, its score, and the day.

    ``value`` is what was tried (scale factor, or degrees), ``score`` from 1 to 5. ``day`` tells
    entries of one day apart from those of another; ``first_day`` is true on the first day after the
    pairing was changed. Raises RequestError for a value not above zero and for any other score.
    """

    value: float
    score: int
    day: str = ""
    first_day: bool = False

    def __post_init__(self) -> None:
        object.__setattr__(self, "value", positive(self.value, "trial value"))
        if finite(self.score, "score") not in SCORES:
            raise RequestError(
                Problem("score", phrase("must be a whole number from 1 to 5"), str(self.score))
            )
        object.__setattr__(self, "score", int(self.score))


#: Half of a t distribution of three degrees of freedom lies within this many of its scale
#: (scipy.stats.t.ppf(0.75, 3)).
_HALF_T3 = 0.7649
# Liking falls faster on one side by a factor of e, give or take: 1 to 7 for two in three.
_LOG_UNEVEN_SD = 1.0
# How far the width of a band may be off: by a factor of e to the half.
_LOG_CURVE_SD = 1.0
# How people use five marks where all is at its best: 3 % give 1, 5 % more 2, 17 % more 3, 45 % 4
# and 30 % 5; the first cut freely placed (sd 1), the steps between cuts within a factor of about
# 1.6 (sd 0.5). Common practice, no source.
_CUT, _CUT_SD = -3.5, 1.0
_LOG_STEPS, _LOG_STEP_SD = np.log([1.06, 1.34, 1.95]), 0.5
# A first day costs about half a logit; it may cost nothing or a whole one.
_FIRST_DAY, _FIRST_DAY_SD = -0.5, 0.5


@dataclass(frozen=True, slots=True)
class ComfortBand:
    """The comfortable band that entries show, with its uncertainty.

    ``low, high`` the band's edges (the posterior medians of best value and widths), with
    ``low_sure`` and ``high_sure`` the intervals that hold each with INTERVAL_PERCENT belief;
    ``best`` the value that suits most, with ``best_low, best_high`` its interval; ``tried`` the
    smallest and largest value of the entries, None without any; ``entries`` how many, ``weight``
    what they count for; ``learned`` how much narrower than before any entry the interval of the
    best value is, 0 (nothing) to 1 (all); ``one_best`` whether the entries look like those of
    somebody with one best value; ``draws`` the posterior, shape (m, 8).
    """

    low: float
    high: float
    best: float
    best_low: float
    best_high: float
    low_sure: tuple[float, float]
    high_sure: tuple[float, float]
    tried: tuple[float, float] | None
    entries: int
    weight: float
    learned: float
    one_best: bool
    draws: Any

    @property
    def outside(self) -> str:
        """Which edge lies beyond all that was tried: ``low``, ``high``, ``both``, or nothing."""
        low, high = self.tried or (0.0, math.inf)
        below, above = self.low < low * (1 - _SAME_VALUE), self.high > high * (1 + _SAME_VALUE)
        if below:
            return "both" if above else "low"
        return "high" if above else ""

    @property
    def best_tried(self) -> bool:
        """Whether values on both sides of the best were tried.

        So it is a top and not the end of a slope.
        """
        return self.tried is not None and self.tried[0] < self.best < self.tried[1]

    @property
    def enough(self) -> bool:
        """Whether this is a person's own band and not the common practice.

        Its entries outweigh the common practice, and one best is among them.
        """
        learned = self.weight >= LEAST_WEIGHT and self.learned >= LEAST_LEARNED
        return learned and self.one_best and self.best_tried


def comfort_band(trials: Sequence[Trial], prior: Band, *, seed: int = 1) -> ComfortBand:
    """The band that suits one person; without any trials the ``prior``, the common practice.

    The order of ``trials`` does not matter. The posterior is drawn by the affine-invariant ensemble
    sampler of J. Goodman and J. Weare, Ensemble samplers with affine invariance, Comm. App. Math.
    Comp. Sci. 5 (2010), with a fixed ``seed``: the same entries give the same band.
    """
    data = _TrialArrays.of(trials)
    draws = _sample(data, prior, seed)
    best, (fall, rise) = draws[:, 0], half_widths(draws)
    low, middle, high = middle_interval(best).tolist()
    low_edge = middle_interval(best - fall).tolist()
    high_edge = middle_interval(best + rise).tolist()
    # Of a t distribution of three degrees of freedom, 80 % lie within 1.638 of its scale
    # (scipy.stats.t.ppf(0.9, 3)).
    prior_width = 2 * 1.6377 * prior_parameters(prior)[1][0]
    values = [trial.value for trial in trials]
    return ComfortBand(
        low=math.exp(middle - float(np.median(fall))),
        high=math.exp(middle + float(np.median(rise))),
        best=math.exp(middle),
        best_low=math.exp(low),
        best_high=math.exp(high),
        low_sure=(math.exp(low_edge[0]), math.exp(low_edge[2])),
        high_sure=(math.exp(high_edge[0]), math.exp(high_edge[2])),
        tried=(min(values), max(values)) if values else None,
        entries=len(trials),
        weight=float(data.weight.sum()),
        learned=max(0.0, 1 - (high - low) / float(prior_width)),
        one_best=100 * _chance_of_valley(data, draws, seed) >= ODD_PERCENT,
        draws=draws,
    )


def middle_interval(values: Array) -> Array:
    """The ends of the middle INTERVAL_PERCENT of values, with the median between them.

    ``values`` (m, ...) along their first axis: (3, ...).
    """
    tail = (100 - INTERVAL_PERCENT) / 2
    found: Array = np.percentile(values, [tail, 50, 100 - tail], axis=0)
    return found


def half_widths(draws: Array) -> tuple[Array, Array]:
    """How far the band reaches from its best to smaller and to larger values, in logs.

    Two of shape (m,).
    """
    fall = np.sqrt(2 / np.exp(draws[:, 1] + draws[:, 2] / 2))
    rise = np.sqrt(2 / np.exp(draws[:, 1] - draws[:, 2] / 2))
    return fall, rise


#: Values that differ by less than this share are one value.
_SAME_VALUE = 0.02
# Values beyond so many are pooled with their neighbours, for the comparison of means.
_MOST_GROUPS = 8
_REPLICAS = 400


def _chance_of_valley(data: _TrialArrays, draws: Array, seed: int) -> float:
    """How often people with one best give scores with a valley as deep as that of ``data``.

    The posterior predictive p-value. The valley of some scores is the largest, over stretches of
    values with others on both sides, of the smaller of the two differences between mean scores, in
    standard errors. Source of the check: A. Gelman, X.-L. Meng and H. Stern, Posterior predictive
    assessment of model fitness via realized discrepancies, Statistica Sinica 6 (1996); the measure
    is ours.
    """
    # Rows that stand for several entries are those again, so that replicas scatter as entries do.
    times = np.ceil(data.weight - 1e-9).astype(int)
    by_value = np.argsort(data.log_value, kind="stable")
    order = np.repeat(by_value, times[by_value])
    values, weight = data.log_value[order], (data.weight / times)[order]
    starts = [0, *(at for at in range(1, len(values)) if values[at] - values[at - 1] > _SAME_VALUE)]
    while len(starts) > _MOST_GROUPS:
        # The lightest is pooled with its lighter neighbour, until few enough are left.
        sums = np.add.reduceat(weight, starts)
        at = int(np.argmin(sums[:-1] + sums[1:]))
        del starts[at + 1]
    if len(starts) < 3:
        return 1.0
    random = np.random.RandomState(seed)
    chosen = draws[random.choice(len(draws), _REPLICAS, replace=False)]
    liking, cuts = _liking(chosen, values, data.first_day[order]), _cuts(chosen)[:, 1:-1]
    noise = random.logistic(size=(_REPLICAS, len(values)))
    scores = 1.0 + ((liking + noise)[:, :, None] > cuts[:, None, :]).sum(axis=2)
    depths = _valley(np.vstack([data.score[order].astype(float), scores]), weight, starts)
    return float((1 + (depths[1:] >= depths[0]).sum()) / (_REPLICAS + 1))


def _valley(scores: Array, weight: Array, starts: list[int]) -> Array:
    """The depth of the deepest valley of each row of ``scores`` (m, n): shape (m,).

    In standard errors for a spread of one mark.
    """
    sums = np.cumsum(np.add.reduceat(scores * weight, starts, axis=1), axis=1)
    weights = np.cumsum(np.add.reduceat(weight, starts))
    sums, weights = np.pad(sums, ((0, 0), (1, 0))), np.pad(weights, (1, 0))
    runs = [
        (first, last) for first in range(len(starts)) for last in range(first + 1, len(starts) + 1)
    ]
    first, last = np.array(runs).T
    within = weights[last] - weights[first]
    mean = (sums[:, last] - sums[:, first]) / within
    above = (mean[:, :, None] - mean[:, None, :]) / np.sqrt(1 / within[:, None] + 1 / within)
    left, right = last[:, None] <= first, first[:, None] >= last
    both = np.minimum(
        np.where(left, above, 0.0).max(axis=1, initial=0.0),
        np.where(right, above, 0.0).max(axis=1, initial=0.0),
    )
    deepest: Array = both.max(axis=1, initial=0.0)
    return deepest


def expected_information_bits(band: ComfortBand, value: float) -> float:
    """How much one more day at ``value`` would tell about the best value, in bits.

    The expected information: the mutual information between the score to come and the tenth of the
    posterior in which the best value lies, ``H(mean p) - mean H(mean p in each tenth)``.
    """
    draws = band.draws[np.argsort(band.draws[:, 0], kind="stable")]
    chances = _chances(draws, positive(value, "value"))
    return float(_information_bits(np.ones((1, len(draws))), chances[:, None])[0, 0])


def most_informative_order(
    band: ComfortBand, values: Sequence[float], days: Sequence[int], *, seed: int = 1
) -> list[int]:
    """The places of ``values``, the most informative first.

    Each is given its ``days`` before the next is chosen. What a day would tell is counted as in
    ``expected_information_bits``, given the days planned before it: their scores are simulated for
    people drawn from the posterior, what is then believed is the draws weighted by how likely they
    make those scores, and the mean over these people decides.
    """
    random = np.random.RandomState(seed)
    draws = band.draws[:: max(1, len(band.draws) // _DRAWS_FORESEEN)][:_DRAWS_FORESEEN]
    draws = draws[np.argsort(draws[:, 0], kind="stable")]
    chances = np.stack([_chances(draws, positive(value, "value")) for value in values], axis=1)
    people = random.choice(len(draws), _PEOPLE_FORESEEN)
    log_weight = np.zeros((_PEOPLE_FORESEEN, len(draws)))
    left, order = list(range(len(values))), []
    while left:
        weight = np.exp(log_weight - log_weight.max(axis=1, keepdims=True))
        place = left[int(_information_bits(weight, chances[:, left]).mean(axis=0).argmax())]
        order.append(place)
        left.remove(place)
        own = chances[people, place].cumsum(axis=1)
        for _ in range(days[place]):
            scores = (random.random_sample((len(people), 1)) > own[:, :-1]).sum(axis=1)
            log_weight += np.log(np.maximum(chances[:, place, :].T[scores], 1e-300))
    return order


_DRAWS_FORESEEN, _PEOPLE_FORESEEN = 800, 40


def _information_bits(weight: Array, chances: Array) -> Array:
    """``expected_information_bits`` for several beliefs and values: (p, v).

    Beliefs ``weight`` (p, m) over draws sorted by their best, ``chances`` (m, v, 5) at values.
    """
    tenths = zip(np.array_split(weight, 10, axis=1), np.array_split(chances, 10), strict=True)
    # Unnormed: shape (10, p, v, 5).
    parts = np.stack([np.einsum("pd,dvs->pvs", own, there, optimize=True) for own, there in tenths])
    total, shares = weight.sum(axis=1)[:, None, None], parts.sum(axis=-1, keepdims=True)
    within = (
        shares[..., 0] / total[..., 0] * _entropy_bits(parts / np.maximum(shares, 1e-300))
    ).sum(axis=0)
    told: Array = _entropy_bits(parts.sum(axis=0) / total) - within
    return told


def most_informative_value(band: ComfortBand, practice: Band) -> tuple[float, float]:
    """The most informative value for one more day, and its information in bits.

    Among 25 values in equal ratios, from a quarter below the common practice to a quarter above it:
    nobody should be sent to where work is a pain.
    """
    values = np.geomspace(practice.low / 1.25, practice.high * 1.25, 25).tolist()
    return max(
        ((value, expected_information_bits(band, value)) for value in values),
        key=lambda each: each[1],
    )


def expected_scores(band: ComfortBand, values: Sequence[float]) -> tuple[Array, Array, Array]:
    """The score to be expected at each of ``values``: low, middle and high, shape (n,) each.

    On a day that is no first day. Low and high hold INTERVAL_PERCENT of what is believed of the
    expected score, ``sum of k · P(y = k)``.
    """
    marks = np.array(SCORES, dtype=float)
    means = np.stack(
        [_chances(band.draws, positive(value, "value")) @ marks for value in values], axis=1
    )
    low, middle, high = middle_interval(means)
    return low, middle, high


def _entropy_bits(chances: Array) -> Array:
    """The entropies of ``chances`` over the last axis, in bits."""
    bits: Array = -(chances * np.log2(np.maximum(chances, 1e-300))).sum(axis=-1)
    return bits


@dataclass(frozen=True, slots=True)
class _TrialArrays:
    """The entries as arrays of shape (n,); ``weight`` is what each counts for."""

    log_value: Array
    score: NDArray[np.int64]
    first_day: Array
    weight: Array

    @classmethod
    def of(cls, trials: Sequence[Trial]) -> _TrialArrays:
        """The trials as arrays; those that say the same of the model are one row."""
        same_day = Counter((trial.day, trial.value) for trial in trials if trial.day)
        weights: dict[tuple[float, int, bool], float] = {}
        for trial in trials:
            together = same_day[trial.day, trial.value] if trial.day else 1
            row = (trial.value, trial.score, trial.first_day)
            weights[row] = weights.get(row, 0.0) + 1 / (1 + (together - 1) * SAME_DAY)
        # In a fixed order, so that the same entries give the same draws.
        rows = sorted(weights)
        return cls(
            np.log([value for value, _, _ in rows]) if rows else np.zeros(0),
            np.array([score for _, score, _ in rows], dtype=np.int64),
            np.array([float(first_day) for _, _, first_day in rows]),
            np.array([weights[row] for row in rows]),
        )


def _liking(parameters: Array, log_value: Array, first_day: Array) -> Array:
    """The liking at n values for m sets of parameters (m, 8): shape (m, n)."""
    away = log_value - parameters[:, :1]
    log_curve = parameters[:, 1:2] - np.sign(away) * parameters[:, 2:3] / 2
    return parameters[:, 7:8] * first_day - np.exp(log_curve) / 2 * away**2


def _cuts(parameters: Array) -> Array:
    """The four cuts between the scores, with the ends at infinity: shape (m, 6)."""
    inner = np.cumsum(np.column_stack([parameters[:, 3], np.exp(parameters[:, 4:7])]), axis=1)
    end = np.full((len(parameters), 1), np.inf)
    return np.concatenate([-end, inner, end], axis=1)


def _log_chance(liking: Array, below: Array, above: Array) -> Array:
    """The log of the chance of a score between two cuts.

    ``log(s(above - liking) - s(below - liking))``, s the logistic function, as ``log s(above -
    liking) + log s(liking - below) + log(1 - exp(below - above))``, which cancels no digits.
    """
    # Infinite ends: exp(-inf) is 0 and log(1) is 0, as it should be.
    return (
        np.log(-np.expm1(below - above))
        - np.logaddexp(0, liking - above)
        - np.logaddexp(0, below - liking)
    )


def _chances(parameters: Array, value: float) -> Array:
    """The chance of each score on a day at ``value`` that is no first day: shape (m, 5)."""
    liking, cuts = _liking(parameters, np.array([math.log(value)]), np.zeros(1)), _cuts(parameters)
    return np.exp(_log_chance(liking, cuts[:, :-1], cuts[:, 1:]))


def _log_likelihood(parameters: Array, data: _TrialArrays) -> Array:
    liking, cuts = _liking(parameters, data.log_value, data.first_day), _cuts(parameters)
    return _log_chance(liking, cuts[:, data.score - 1], cuts[:, data.score]) @ data.weight


def prior_parameters(prior: Band) -> tuple[Array, Array]:
    """Means and spreads of the eight parameters before any entry; all are independent.

    The best value (t distribution of three degrees of freedom: little is known of people, and its
    tails let entries speak) lies in the ``prior`` as likely as not, and the prior's width is the
    middle of what is believed about the width. The others are normal.
    """
    half = math.log(prior.high / prior.low) / 2
    best, log_curve = math.log(prior.low * prior.high) / 2, math.log(2 / half**2)
    means = np.array([best, log_curve, 0.0, _CUT, *_LOG_STEPS, _FIRST_DAY])
    spreads = [
        half / _HALF_T3,
        _LOG_CURVE_SD,
        _LOG_UNEVEN_SD,
        _CUT_SD,
        *([_LOG_STEP_SD] * 3),
        _FIRST_DAY_SD,
    ]
    return means, np.array(spreads)


def prior_log_density(best: Array, prior: Band) -> Array:
    """The log density of the log of the best value before any entry, but for a constant.

    Of any shape.
    """
    means, spreads = prior_parameters(prior)
    density: Array = -2 * np.log1p(((best - means[0]) / spreads[0]) ** 2 / 3)
    return density


def _log_posterior(parameters: Array, data: _TrialArrays, prior: Band) -> Array:
    means, spreads = prior_parameters(prior)
    away = ((parameters - means) / spreads) ** 2
    log_prior: Array = prior_log_density(parameters[:, 0], prior) - 0.5 * away[:, 1:].sum(axis=1)
    return log_prior + _log_likelihood(parameters, data)


_WALKERS, _WARM_UP, _KEPT, _THIN = 256, 200, 400, 8


def _sample(data: _TrialArrays, prior: Band, seed: int) -> Array:
    """Draws of the posterior, shape (_WALKERS · _KEPT / _THIN, 8)."""
    # The old generator on purpose: numpy promises its numbers for ever.
    random = np.random.RandomState(seed)
    means, spreads = prior_parameters(prior)
    walkers = means + spreads * random.standard_normal((_WALKERS, means.size))
    level = _log_posterior(walkers, data, prior)
    halves = np.arange(_WALKERS // 2), np.arange(_WALKERS // 2, _WALKERS)
    kept = []
    for step in range(_WARM_UP + _KEPT):
        for moving, standing in (halves, halves[::-1]):
            # Goodman and Weare's stretch move, a = 2: z on [1/2, 2] with density as 1/sqrt(z).
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
