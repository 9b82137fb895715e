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

What is believed after the entries stands as weighted points that are always the same
(``mapper.trials.fixed_points``): the same notes give the same band on every system, with or without
numpy. A band is called a person's own from a weight of eight entries on, when the interval of the
best value is a quarter of what it was and lies inside what was tried, and the scores fit one best.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from mapper.choosing.recommended import Band
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.trials.fixed_points import (
    WeightedPoints,
    evenly,
    weighted_points,
    weighted_quantiles,
)
from mapper.trials.valley import SAME_VALUE, Sitting, chance_of_valley
from mapper.units import finite, positive

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from mapper.trials.fixed_points import Point

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

#: Of people with a very steep side or a cliff so many in 10 had their best in its interval, from
#: the fewest to the most: tests/studies/comfort_coverage.py. Their notes do not give them away.
STEEP_HELD = 4, 6


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
        object.__setattr__(self, "value", positive(self.value, phrase("trial value")))
        if finite(self.score, "score") not in SCORES:
            raise RequestError(
                Problem("score", phrase("must be a whole number from 1 to 5"), str(self.score))
            )
        object.__setattr__(self, "score", int(self.score))


#: Half of a t distribution of three degrees of freedom lies within this many of its scale
#: (scipy.stats.t.ppf(0.75, 3)), and 80 % within this many (scipy.stats.t.ppf(0.9, 3)).
_HALF_T3, _MOST_T3 = 0.7649, 1.6377
# Liking falls faster on one side by a factor of 5.5, give or take (e to the 1.7). Less would make
# the interval of the best too narrow for whom a little more is much worse.
_LOG_UNEVEN_SD = 1.7
# How far the width of a band may be off: by a factor of e to the half.
_LOG_CURVE_SD = 1.0
# How people use five marks where all is at its best: 3 % give 1, 5 % more 2, 17 % more 3, 45 % 4
# and 30 % 5; the first cut freely placed (sd 1), the steps between cuts within a factor of about
# 1.6 (sd 0.5). Common practice, no source.
_CUT, _CUT_SD = -3.5, 1.0
_LOG_STEPS, _LOG_STEP_SD = tuple(map(math.log, (1.06, 1.34, 1.95))), 0.5
# A first day costs about half a logit; it may cost nothing or a whole one.
_FIRST_DAY, _FIRST_DAY_SD = -0.5, 0.5
# Of best value, curve and unevenness the tails may be long: so many coordinates come first.
_LONG_TAILED = 3

#: Points of equal weight that stand for what is believed, for all that looks at it again.
DRAWS = 1000
_REPLICAS = 400


class Parameters(NamedTuple):
    """One guess of everything that the model does not know.

    ``best`` is the log of the value that suits most, ``log_curve`` and ``log_uneven`` as the module
    says, ``cut`` the first cut and ``log_step_2`` to ``log_step_4`` the logs of the steps to the
    next, ``first_day`` what a first day adds to liking.
    """

    best: float
    log_curve: float
    log_uneven: float
    cut: float
    log_step_2: float
    log_step_3: float
    log_step_4: float
    first_day: float

    @property
    def half_widths(self) -> tuple[float, float]:
        """How far the band reaches from its best to smaller and to larger values, in logs."""
        fall = math.sqrt(2 / math.exp(self.log_curve + self.log_uneven / 2))
        return fall, math.sqrt(2 / math.exp(self.log_curve - self.log_uneven / 2))

    @property
    def cuts(self) -> tuple[float, float, float, float]:
        """The four cuts between the scores."""
        second = self.cut + math.exp(self.log_step_2)
        third = second + math.exp(self.log_step_3)
        return self.cut, second, third, third + math.exp(self.log_step_4)

    def liking(self, log_value: float, first_day: float = 0.0) -> float:
        """The liking at a value, on a first day where ``first_day`` is 1."""
        away = log_value - self.best
        side = -self.log_uneven if away > 0 else self.log_uneven
        fall = math.exp(self.log_curve + side / 2) / 2 * away * away
        return self.first_day * first_day - fall

    def chances_upto(self, log_value: float, first_day: float = 0.0) -> tuple[float, ...]:
        """The chances of a score of at most 1, 2, 3 and 4 there."""
        lift = math.exp(self.liking(log_value, first_day))
        return tuple(1 / (1 + lift * math.exp(-cut)) for cut in self.cuts)


@dataclass(frozen=True, slots=True)
class ComfortBand:
    """The comfortable band that entries show, with its uncertainty.

    ``low, high`` the band's edges (the posterior medians of best value and widths), with
    ``low_sure`` and ``high_sure`` the intervals that hold each with INTERVAL_PERCENT belief;
    ``best`` the value that suits most, with ``best_low, best_high`` its interval; ``tried`` the
    smallest and largest value of the entries, None without any; ``entries`` how many, ``weight``
    what they count for; ``learned`` how much narrower than before any entry the interval of the
    best value is, 0 (nothing) to 1 (all); ``valley_percent`` how often people with one best value
    give scores that look as little like it; ``posterior`` what is believed, weighted points of
    Parameters, and ``draws`` as many of equal weight as DRAWS says, by their best.
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
    valley_percent: float
    posterior: WeightedPoints
    draws: tuple[Parameters, ...]

    @property
    def one_best(self) -> bool:
        """Whether the entries look like those of somebody with one best value."""
        return self.valley_percent >= ODD_PERCENT

    @property
    def outside(self) -> str:
        """Which edge lies beyond all that was tried: ``low``, ``high``, ``both``, or nothing."""
        return untried_end(self.low, self.high, self.tried)

    @property
    def best_beyond(self) -> str:
        """At which end of what was tried the best may lie: ``low``, ``high``, ``both``, or nothing.

        It may where its interval reaches the smallest or the largest value that was tried: then
        liking may go on rising beyond. Without entries, ``both``.
        """
        return which_end(self.best_low, self.best_high, self.tried)

    @property
    def enough(self) -> bool:
        """Whether this is a person's own band and not the common practice.

        Its entries outweigh the common practice, one best is among them, and it lies inside what
        was tried.
        """
        learned = self.weight >= LEAST_WEIGHT and self.learned >= LEAST_LEARNED
        return learned and self.one_best and not self.best_beyond


def which_end(low: float, high: float, tried: tuple[float, float] | None) -> str:
    """Which end of what was ``tried`` an interval reaches: ``low``, ``high``, ``both``, or nothing.

    Without anything tried, ``both``.

    >>> which_end(1.3, 1.9, (1.6, 4.2))
    'low'
    """
    least, most = tried or (math.inf, 0.0)
    return _side(low <= least, high >= most)


def untried_end(low: float, high: float, tried: tuple[float, float] | None) -> str:
    """Which end of a band nobody tried: ``low``, ``high``, ``both``, or nothing.

    It is an end that lies beyond all that was ``tried``; without anything tried, nothing.

    >>> untried_end(1.3, 1.9, (1.6, 4.2))
    'low'
    """
    least, most = tried or (0.0, math.inf)
    return _side(low < least * (1 - SAME_VALUE), high > most * (1 + SAME_VALUE))


def _side(low: bool, high: bool) -> str:
    if low:
        return "both" if high else "low"
    return "high" if high else ""


def comfort_band(trials: Sequence[Trial], prior: Band) -> ComfortBand:
    """The band that suits one person; without any trials the ``prior``, the common practice.

    The order of ``trials`` does not matter: the same entries give the same band.
    """
    return _band(tuple(trials), prior)


# One command, and more so the page, asks for the same band several times.
@lru_cache(maxsize=16)
def _band(trials: tuple[Trial, ...], prior: Band) -> ComfortBand:
    rows = _rows(trials)
    spreads = prior_parameters(prior)[1]
    posterior = _posterior(rows, prior)
    people = [Parameters(*point) for point in posterior.points]
    half_widths = [person.half_widths for person in people]
    best = [person.best for person in people]

    def believed(values: Iterable[float]) -> tuple[float, float, float]:
        return middle_interval(values, posterior.weights)

    low, middle, high = believed(best)
    low_edge = believed(at - fall for at, (fall, _) in zip(best, half_widths, strict=True))
    high_edge = believed(at + rise for at, (_, rise) in zip(best, half_widths, strict=True))
    values = [trial.value for trial in trials]
    draws = tuple(Parameters(*point) for point in posterior.drawn(DRAWS))
    return ComfortBand(
        low=math.exp(middle - believed(fall for fall, _ in half_widths)[1]),
        high=math.exp(middle + believed(rise for _, rise in half_widths)[1]),
        best=math.exp(middle),
        best_low=math.exp(low),
        best_high=math.exp(high),
        low_sure=(math.exp(low_edge[0]), math.exp(low_edge[2])),
        high_sure=(math.exp(high_edge[0]), math.exp(high_edge[2])),
        tried=(min(values), max(values)) if values else None,
        entries=len(trials),
        weight=math.fsum(sum(row.weights) for row in rows),
        learned=max(0.0, 1 - (high - low) / (2 * _MOST_T3 * spreads[0])),
        valley_percent=100 * chance_of_valley(_sittings(rows), _scorers(draws)),
        posterior=posterior,
        draws=draws,
    )


def middle_interval(
    values: Iterable[float], weights: Iterable[float]
) -> tuple[float, float, float]:
    """The ends of the middle INTERVAL_PERCENT of weighted values, with the median between them."""
    tail = (100 - INTERVAL_PERCENT) / 200
    low, middle, high = weighted_quantiles(values, weights, (tail, 0.5, 1 - tail))
    return low, middle, high


def expected_scores(band: ComfortBand, values: Sequence[float]) -> list[tuple[float, float, float]]:
    """The score to be expected at each of ``values``: low, middle and high.

    On a day that is no first day. Low and high hold INTERVAL_PERCENT of what is believed of the
    expected score, ``sum of k · P(y = k)``.
    """
    people = band.draws[::2]
    found = []
    for value in values:
        log_value = math.log(positive(value, "value"))
        # Of five marks: 5 less the chances of at most 1, at most 2, at most 3 and at most 4.
        means = [5 - sum(person.chances_upto(log_value)) for person in people]
        found.append(middle_interval(means, [1.0] * len(means)))
    return found


class _Row(NamedTuple):
    """All entries at one value, first days apart from others.

    The log of the value, 1 on first days (else 0), and what the entries of each score count for.
    """

    log_value: float
    first_day: float
    weights: tuple[float, ...]


def _rows(trials: Sequence[Trial]) -> list[_Row]:
    """The trials by value and first day, in a fixed order."""
    same_day = Counter((trial.day, trial.value) for trial in trials if trial.day)
    weights: dict[tuple[float, bool], list[list[float]]] = {}
    for trial in trials:
        together = same_day[trial.day, trial.value] if trial.day else 1
        row = weights.setdefault((trial.value, trial.first_day), [[] for _ in SCORES])
        row[trial.score - 1].append(1 / (1 + (together - 1) * SAME_DAY))
    return [
        _Row(math.log(value), float(first_day), tuple(map(math.fsum, weights[value, first_day])))
        for value, first_day in sorted(weights)
    ]


def _sittings(rows: Sequence[_Row]) -> list[Sitting]:
    """The rows as entries again, of at most one each, so that replicas scatter as entries do."""
    found = []
    for row in rows:
        for score, weight in zip(SCORES, row.weights, strict=True):
            times = math.ceil(weight - 1e-9)
            found += [
                Sitting(row.log_value, row.first_day, score, weight / times) for _ in range(times)
            ]
    return found


def _scorers(draws: Sequence[Parameters]) -> list[Callable[[Sitting], Sequence[float]]]:
    """Some of ``draws``, evenly over their bests, as people who score."""

    def scorer(person: Parameters) -> Callable[[Sitting], Sequence[float]]:
        return lambda sitting: person.chances_upto(sitting.log_value, sitting.first_day)

    return [scorer(draws[at]) for at in evenly(_REPLICAS, len(draws))]


def _log_likelihood(rows: Sequence[_Row]) -> Callable[[Point], float]:
    """The log of the chance of all entries, as a function of Parameters.

    The log of the chance of a score between the cuts ``below`` and ``above`` is ``log s(above -
    liking) + log s(liking - below) + log(1 - exp(below - above))``, s the logistic function, which
    cancels no digits. With ``log s(x) = x + log s(-x)`` the entries of a row ask for one logarithm
    a cut: ``log(1 + exp(liking - cut))``, times what the scores on both sides of the cut count for.
    """
    totals = [math.fsum(row.weights[at] for row in rows) for at in range(5)]
    terms = []
    for log_value, first_day, weights in rows:
        one, two, three, four, five = weights
        above_one = two + three + four + five
        terms.append(
            (log_value, first_day, above_one, one + two, two + three, three + four, four + five)
        )
    exp, log, log1p, expm1 = math.exp, math.log, math.log1p, math.expm1

    def log_likelihood(point: Point) -> float:
        best, log_curve, log_uneven, first_cut, log_2, log_3, log_4, first = point
        step_2, step_3, step_4 = exp(log_2), exp(log_3), exp(log_4)
        cuts = first_cut, first_cut + step_2, first_cut + step_2 + step_3
        last_cut = cuts[2] + step_4
        total = totals[1] * (log(-expm1(-step_2)) - cuts[0])
        total += totals[2] * (log(-expm1(-step_3)) - cuts[1])
        total += totals[3] * (log(-expm1(-step_4)) - cuts[2]) - totals[4] * last_cut
        low_1, low_2, low_3, low_4 = exp(-cuts[0]), exp(-cuts[1]), exp(-cuts[2]), exp(-last_cut)
        rise, fall = exp(log_curve - log_uneven / 2) / 2, exp(log_curve + log_uneven / 2) / 2
        for log_value, first_day, above_one, at_1, at_2, at_3, at_4 in terms:
            away = log_value - best
            liking = first * first_day - (rise if away > 0 else fall) * away * away
            lift = exp(liking)
            total += above_one * liking - at_1 * log1p(lift * low_1) - at_2 * log1p(lift * low_2)
            total -= at_3 * log1p(lift * low_3) + at_4 * log1p(lift * low_4)
        return total

    return log_likelihood


def prior_parameters(prior: Band) -> tuple[Parameters, Parameters]:
    """Means and spreads of the eight parameters before any entry; all are independent.

    The best value (t distribution of three degrees of freedom: little is known of people, and its
    tails let entries speak) lies in the ``prior`` as likely as not, and the prior's width is the
    middle of what is believed about the width. The others are normal.
    """
    half = math.log(prior.high / prior.low) / 2
    best, log_curve = math.log(prior.low * prior.high) / 2, math.log(2 / half**2)
    means = Parameters._make((best, log_curve, 0.0, _CUT, *_LOG_STEPS, _FIRST_DAY))
    of_cuts = (_CUT_SD, *[_LOG_STEP_SD] * 3)
    spreads = (half / _HALF_T3, _LOG_CURVE_SD, _LOG_UNEVEN_SD, *of_cuts, _FIRST_DAY_SD)
    return means, Parameters._make(spreads)


def prior_log_density(best: float, prior: Band) -> float:
    """The log density of the log of the best value before any entry, but for a constant."""
    means, spreads = prior_parameters(prior)
    return -2 * math.log1p(((best - means.best) / spreads.best) ** 2 / 3)


def _log_prior(prior: Band) -> Callable[[Point], float]:
    """The log density of Parameters before any entry, but for a constant."""
    means, spreads = prior_parameters(prior)
    believed = list(zip(means[1:], spreads[1:], strict=True))
    middle, scale, log1p = means.best, spreads.best, math.log1p

    def log_prior(point: Point) -> float:
        total = 0.0
        for value, (mean, spread) in zip(point[1:], believed, strict=True):
            away = (value - mean) / spread
            total += away * away
        away = (point[0] - middle) / scale
        return -2 * log1p(away * away / 3) - total / 2

    return log_prior


def _posterior(rows: Sequence[_Row], prior: Band) -> WeightedPoints:
    """What is believed of the parameters after the entries."""
    log_prior, log_likelihood = _log_prior(prior), _log_likelihood(rows)
    return weighted_points(
        lambda point: log_prior(point) + log_likelihood(point),
        *prior_parameters(prior),
        heavy=_LONG_TAILED,
    )
