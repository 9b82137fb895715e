"""Tests whether scores follow a value at all, and which of two values they follow.

They say no where there is nothing. A pairing (one tablet with one display in one seat) is tried for
days, and may be liked or not for reasons of its own. So the pairing is the unit here, not the day:
days of one pairing are never parted from each other.

A permutation test decides and not the model of a band, which always draws a hill. Several things
may be claimed from one book, so the chance of a false claim is that of all of them together.
``python -m tests.studies.study_coverage`` counts how often a study finds what is there and what is
not.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass
from operator import mul
from random import Random
from statistics import correlation
from typing import TYPE_CHECKING, NamedTuple

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.units import positive

if TYPE_CHECKING:
    from collections.abc import Sequence

#: With fewer pairings a hill can be drawn through any scores: six of them can be put in 720 orders.
LEAST_PAIRINGS = 6
#: Of a hundred studies in which liking follows nothing, no more than so many claim anything at all
#: (the customary five: common practice, no source).
FALSE_PERCENT = 5.0
#: Two values correlated beyond this cannot be distinguished: common practice, no source.
TOGETHER = 0.9
#: The chance ratio from which one of two explanations is preferred: common practice, no source.
_DECISIVE_RATIO = 20.0

_SHUFFLES = 999


@dataclass(frozen=True, slots=True)
class TriedPairing:
    """One pairing as it was tried: its value and the scores of its days.

    ``angle_deg`` is how wide its picture was seen, None where nobody knows. First days and the
    person's own level are taken off the scores. Raises RequestError for a value not above zero and
    without scores.
    """

    value: float
    scores: tuple[float, ...]
    angle_deg: float | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "value", positive(self.value, phrase("tried value")))
        if self.angle_deg is not None:
            object.__setattr__(self, "angle_deg", positive(self.angle_deg, "angle"))
        if not self.scores:
            raise RequestError(Problem("scores", phrase("at least one is needed for a pair")))


@dataclass(frozen=True, slots=True)
class Pattern:
    """One thing that scores may show.

    ``enough`` is whether there are LEAST_PAIRINGS; ``p_percent`` how often chance alone shows any
    of the things looked for as clearly; ``explained_percent`` what the pattern explains of the
    differences between pairings.
    """

    enough: bool
    p_percent: float
    explained_percent: float

    @property
    def found(self) -> bool:
        return self.enough and self.p_percent <= FALSE_PERCENT


@dataclass(frozen=True, slots=True)
class Patterns:
    """All that is looked for in one book.

    ``hill`` is one hill or slope over the value, ``seen`` the same over the viewing angle,
    ``valley`` scores that are higher at both ends of the values than between them.
    """

    hill: Pattern
    seen: Pattern
    valley: Pattern


def patterns(tried: Sequence[TriedPairing]) -> Patterns:
    """Whether the pairings' mean scores follow a hill or a slope over the log of value or angle.

    Better than when the pairings are shuffled: a permutation test (R. A. Fisher, The Design of
    Experiments, 1935: not checked against the source). Whole pairings are dealt anew, their days
    with them. Each thing that is looked for has its own chance of coming about in a shuffle; what
    is stated is how often the smallest of them is as small, so that no more than FALSE_PERCENT of
    studies without any pattern show one of any kind (the single-step minP of P. H. Westfall and
    S. S. Young, Resampling-Based Multiple Testing, 1993: not checked against the source). A valley
    is no pattern of liking: nobody's best lies at both ends.
    """
    means = _means(tried)
    places = [at for at, each in enumerate(tried) if each.angle_deg is not None]
    values = [math.log(each.value) for each in tried]
    angles = [math.log(each.angle_deg) for each in tried if each.angle_deg is not None]
    enough = len(tried) >= LEAST_PAIRINGS and len(set(values)) >= 3
    seen = len(places) >= LEAST_PAIRINGS and len(set(angles)) >= 3
    if not (enough or seen) or len({mean.score for mean in means}) < 2:
        nothing = Pattern(enough, 100.0, 0.0), Pattern(seen, 100.0, 0.0)
        return Patterns(*nothing, nothing[0])
    # Python promises that this generator's numbers stay the same.
    random = Random(1)  # noqa: S311
    shown: list[tuple[float, float, float]] = []
    for shuffle in range(_SHUFFLES + 1):
        dealt = means
        if shuffle:
            dealt = sorted(means, key=lambda _: random.random())
        parts = _Parts.of(values, dealt) if enough else _Parts(0.0, 0.0, 0.0)
        across = _Parts.of(angles, [dealt[at] for at in places]) if seen else _Parts(0.0, 0.0, 0.0)
        shown.append((parts.hill, across.hill, parts.curve - parts.hill_curve))
    hill, width, valley = _chances_of_any(shown)
    return Patterns(
        Pattern(enough, hill, 100 * shown[0][0]),
        Pattern(seen, width, 100 * shown[0][1]),
        Pattern(enough, valley, 100 * shown[0][2]),
    )


def _chances_of_any(shown: Sequence[Sequence[float]]) -> list[float]:
    """For each thing looked for, how often anything is as rare as it is in the first row, percent.

    ``shown`` has a row for each shuffle, the first being the book itself.
    """
    rare = []
    for column in zip(*shown, strict=True):
        ranked = sorted(column)
        # Ties count as as good: values that differ by rounding alone are the same.
        rare.append([len(ranked) - bisect_left(ranked, value - 1e-12) for value in column])
    rarest = sorted(map(min, zip(*rare, strict=True)))
    return [100 * bisect_left(rarest, own[0] + 1) / len(shown) for own in rare]


class _Mean(NamedTuple):
    """The mean score of a pairing and the number of its days."""

    score: float
    days: float


def _means(tried: Sequence[TriedPairing]) -> list[_Mean]:
    return [
        _Mean(math.fsum(each.scores) / len(each.scores), float(len(each.scores))) for each in tried
    ]


class _Parts(NamedTuple):
    """What a parabola over some values explains of the spread of means, as shares.

    ``line`` by its slope, ``curve`` by what it bends beyond that, ``hill_curve`` the same where it
    bends down, else nothing.
    """

    line: float
    curve: float
    hill_curve: float

    @classmethod
    def of(cls, x: Sequence[float], means: Sequence[_Mean]) -> _Parts:
        """By weighted least squares, each mean counting for its days."""
        days = [mean.days for mean in means]
        centre = sum(mean.score * mean.days for mean in means) / sum(days)
        off = [(mean.score - centre) * mean.days for mean in means]
        spread = sum(each * each / count for each, count in zip(off, days, strict=True))
        line = _square_to(x, [], days)
        curve = _square_to([each * each for each in line], [line], days)
        shares, bends = [], 0.0
        for basis in (line, curve):
            length = sum(each * each * count for each, count in zip(basis, days, strict=True))
            bends = sum(map(mul, basis, off))
            shares.append(bends * bends / length / spread if length > 1e-12 and spread > 0 else 0.0)
        of_line, of_curve = shares
        return cls(of_line, of_curve, of_curve if bends < 0 else 0.0)

    @property
    def hill(self) -> float:
        """The share of a hill, or of a straight line where the parabola would be a valley."""
        return self.line + self.hill_curve

    @property
    def all(self) -> float:
        return self.line + self.curve


def _square_to(
    values: Sequence[float], bases: Sequence[Sequence[float]], days: Sequence[float]
) -> list[float]:
    """``values`` less their mean and less what ``bases`` (of mean zero) say of them."""
    mean = sum(map(mul, values, days)) / sum(days)
    left = [value - mean for value in values]
    for basis in bases:
        weighted = list(map(mul, basis, days))
        length = sum(map(mul, weighted, basis))
        share = sum(map(mul, weighted, left)) / length if length > 1e-12 else 0.0
        left = [value - share * each for value, each in zip(left, basis, strict=True)]
    return left


@dataclass(frozen=True, slots=True)
class PredictorComparison:
    """Which of two values liking follows.

    ``answer`` is ``value``, ``angle``, ``together`` (the plan moved both at once) or ``open``.
    ``correlation`` is that of the logs over the pairings, ``ratio`` how much likelier the scores
    are by the value.
    """

    answer: str
    correlation: float
    ratio: float


def compare_predictors(tried: Sequence[TriedPairing], found: Patterns) -> PredictorComparison:
    """Whether liking follows the value of pairings or their viewing angle.

    Of those whose angle is known. Both are given a parabola of their own, by weighted least
    squares; the ratio is that of their normal likelihoods. What ``found`` does not hold is no
    answer. Raises RequestError where no angle is known.
    """
    known = [(each, each.angle_deg) for each in tried if each.angle_deg is not None]
    if not known:
        raise RequestError(Problem("pairings", phrase("must say how wide their displays looked")))
    x = [math.log(each.value) for each, _ in known]
    y = [math.log(angle) for _, angle in known]
    together = _correlation(x, y)
    means = _means([each for each, _ in known])
    if abs(together) > TOGETHER:
        return PredictorComparison("together", together, 1.0)
    if len(known) < LEAST_PAIRINGS or len({mean.score for mean in means}) < 2:
        return PredictorComparison("open", together, 1.0)
    left = [max(1 - _Parts.of(side, means).all, 1e-9) for side in (x, y)]
    log_ratio = len(known) / 2 * math.log(left[1] / left[0])
    ratio = math.exp(min(700.0, max(-700.0, log_ratio)))
    answer = "open"
    if ratio >= _DECISIVE_RATIO and found.hill.found:
        answer = "value"
    elif ratio <= 1 / _DECISIVE_RATIO and found.seen.found:
        answer = "angle"
    return PredictorComparison(answer, together, ratio)


def _correlation(x: Sequence[float], y: Sequence[float]) -> float:
    """The correlation of two values; 1 where one of them did not move."""
    if min(max(x) - min(x), max(y) - min(y)) <= 1e-9:
        return 1.0
    return correlation(x, y)


def decorrelating_choices(
    had: Sequence[tuple[float, float]], offered: Sequence[tuple[float, float]], most: int = 3
) -> list[int]:
    """The places in ``offered`` that, added one after the other, part two values most.

    ``had`` and ``offered`` are pairs of the two values. Each time the one after which the
    correlation of the logs is nearest to none.
    """
    chosen: list[int] = []

    def after(at: int) -> float:
        both = [*had, *(offered[place] for place in (*chosen, at))]
        if len(both) < 3:
            return 1.0
        return abs(
            _correlation(*([math.log(value) for value in side] for side in zip(*both, strict=True)))
        )

    while len(chosen) < min(most, len(offered)):
        chosen.append(min((at for at in range(len(offered)) if at not in chosen), key=after))
    return chosen
