"""Tests whether scores follow a value at all, and which of two values they follow.

They say no where there is nothing. A pairing (one tablet with one display in one seat) is tried for
days, and may be liked or not for reasons of its own. So the pairing is the unit here, not the day.

A permutation test decides and not the model of a band, which always draws a hill. ``python -m
tests.studies.study_coverage`` counts how often a study finds what is there and what is not.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.units import positive

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Array = NDArray[np.float64]

#: With fewer pairings a hill can be drawn through any scores: six of them can be put in 720 orders.
LEAST_PAIRINGS = 6
#: Chance alone gives a pattern in so many of a hundred studies in which there is none. One less
#: than the customary five (common practice, no source), so that of a few hundred studies no more
#: than five in a hundred do.
FALSE_PERCENT = 4.0
#: Two values correlated beyond this cannot be distinguished: common practice, no source.
TOGETHER = 0.9
#: The chance ratio from which one of two explanations is preferred: common practice, no source.
_DECISIVE_RATIO = 20.0

_SHUFFLES = 999


@dataclass(frozen=True, slots=True)
class TriedPairing:
    """One pairing as it was tried: its value and the scores of its days.

    First days and the person's own level are taken off the scores. Raises RequestError for a value
    not above zero and without scores.
    """

    value: float
    scores: tuple[float, ...]

    def __post_init__(self) -> None:
        object.__setattr__(self, "value", positive(self.value, "tried value"))
        if not self.scores:
            raise RequestError(Problem("scores", phrase("at least one is needed for a pairing")))


@dataclass(frozen=True, slots=True)
class Pattern:
    """Whether scores rise, fall or have one hill over the value.

    ``enough`` is whether there are LEAST_PAIRINGS; ``p_percent`` how often chance alone does as
    well; ``explained_percent`` what the pattern explains of the differences between pairings.
    """

    enough: bool
    p_percent: float
    explained_percent: float

    @property
    def found(self) -> bool:
        return self.enough and self.p_percent <= FALSE_PERCENT


def pattern(tried: Sequence[TriedPairing], *, seed: int = 1) -> Pattern:
    """Whether the pairings' mean scores follow a hill or a slope over the log of the value.

    Better than when the pairings are shuffled. A permutation test (R. A. Fisher, The Design of
    Experiments, 1935: not checked against the source), so that no more than FALSE_PERCENT of
    studies without a pattern show one, whatever scores look like. A valley is no pattern: nobody's
    best lies at both ends.
    """
    if len({each.value for each in tried}) < 3 or len(tried) < LEAST_PAIRINGS:
        return Pattern(enough=False, p_percent=100.0, explained_percent=0.0)
    x = np.log([each.value for each in tried])
    means, days = _means(tried)
    if np.ptp(means) == 0:
        return Pattern(enough=True, p_percent=100.0, explained_percent=0.0)
    random = np.random.RandomState(seed)
    orders = np.array(
        [np.arange(len(means)), *(random.permutation(len(means)) for _ in range(_SHUFFLES))]
    )
    # Means and what they count for stay together; the values are what is dealt anew.
    explained = _explained_share(x[orders], means, days, hill=True)
    as_good = int((explained[1:] >= explained[0] - 1e-12).sum())
    return Pattern(
        enough=True,
        p_percent=100 * (1 + as_good) / (_SHUFFLES + 1),
        explained_percent=100 * float(explained[0]),
    )


def _means(tried: Sequence[TriedPairing]) -> tuple[Array, Array]:
    """The mean score of each pairing, and its number of days."""
    means = np.array([np.mean(each.scores) for each in tried])
    days = np.array([float(len(each.scores)) for each in tried])
    return means, days


def _explained_share(x: Array, means: Array, weight: Array, *, hill: bool = False) -> Array:
    """The share of the spread of ``means`` (n,) that a parabola explains: (m,).

    Over each row of ``x`` (m, n), by weighted least squares. With ``hill`` a straight line stands
    where the parabola would be a valley.
    """
    away = x - x.mean(axis=1, keepdims=True)
    root = np.sqrt(weight)
    basis, turned = np.linalg.qr(np.stack([np.ones_like(x), away, away**2], axis=2) * root[:, None])
    parts = np.einsum("mnk,n->mk", basis, means * root)
    # The last coefficient of the fit has the sign of its part over the last diagonal element.
    if hill:
        parts[:, 2] = np.where(parts[:, 2] * turned[:, 2, 2] < 0, parts[:, 2], 0.0)
    centre = (weight * means).sum() / weight.sum()
    share: Array = (parts[:, 1:] ** 2).sum(axis=1) / (weight * (means - centre) ** 2).sum()
    return share


@dataclass(frozen=True, slots=True)
class PredictorComparison:
    """Which of two values liking follows.

    ``answer`` is ``first``, ``second``, ``together`` (the plan moved both at once) or ``open``.
    ``correlation`` is that of the logs over the pairings, ``ratio`` how much likelier the scores
    are by the first.
    """

    answer: str
    correlation: float
    ratio: float


def compare_predictors(
    first: Sequence[TriedPairing], second: Sequence[TriedPairing]
) -> PredictorComparison:
    """Which of two values of the same pairings liking follows.

    The pairings are in the same order, with the same scores. Both values are given a parabola of
    their own, by weighted least squares; the ratio is that of their normal likelihoods. Raises
    RequestError where there are none, or not as many of the one as of the other.
    """
    if not first or len(first) != len(second):
        raise RequestError(
            Problem(
                "pairings",
                phrase("must be the same for both values"),
                phrase("{first} and {second}", first=len(first), second=len(second)),
            )
        )
    x, y = (np.log([each.value for each in tried]) for tried in (first, second))
    moved = min(float(np.ptp(x)), float(np.ptp(y))) > 1e-9
    correlation = float(np.corrcoef(x, y)[0, 1]) if moved else 1.0
    means, days = _means(first)
    if abs(correlation) > TOGETHER or len(first) < LEAST_PAIRINGS or np.ptp(means) == 0:
        return PredictorComparison(
            "together" if abs(correlation) > TOGETHER else "open", correlation, 1.0
        )
    left = np.maximum(1 - _explained_share(np.stack([x, y]), means, days), 1e-9)
    ratio = math.exp(min(700.0, max(-700.0, len(first) / 2 * math.log(left[1] / left[0]))))
    answer = "open"
    if ratio >= _DECISIVE_RATIO:
        answer = "first"
    elif ratio <= 1 / _DECISIVE_RATIO:
        answer = "second"
    return PredictorComparison(answer, correlation, ratio)


def decorrelating_choices(
    first: Sequence[float],
    second: Sequence[float],
    offered: Sequence[tuple[float, float]],
    most: int = 3,
) -> list[int]:
    """The places in ``offered`` that, added one after the other, part two values most.

    ``offered`` are pairs of the two values. Each time the one after which the correlation of the
    logs is nearest to none.
    """
    had, logs = np.log([first, second]).T, np.log(offered)
    chosen: list[int] = []

    def after(at: int) -> float:
        both = np.vstack([had, logs[[*chosen, at]]]).T
        if both.shape[1] > 2 and np.ptp(both, axis=1).min() > 0:
            return abs(float(np.corrcoef(both)[0, 1]))
        return 1.0

    while len(chosen) < min(most, len(offered)):
        chosen.append(min((at for at in range(len(offered)) if at not in chosen), key=after))
    return chosen
