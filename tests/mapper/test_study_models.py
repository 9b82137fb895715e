"""Patterns, several people, and sizes: what a study rests on."""

import math
from dataclasses import replace
from random import Random

import msgspec
import numpy as np
import pytest
from scipy import stats
from scipy.special import expit

from mapper.choosing.pairing import CUSTOMARY_TABLETS
from mapper.choosing.recommended import BAND_USES
from mapper.desk import Tablet
from mapper.problems import RequestError
from mapper.trials import people as people_together
from mapper.trials.comfort import comfort_band
from mapper.trials.pattern import (
    TriedPairing,
    compare_predictors,
    decorrelating_choices,
    patterns,
)
from mapper.trials.people import Interval, people
from mapper.trials.sizes import (
    UncertainBand,
    displays_for,
    exact_inches,
    sold_display,
    tablets_for,
    trade_diagonals_in,
)
from profiles.library.tried import tried_pairings
from tests.invented_study import invented
from tests.studies.comfort_coverage import practitioner

PRACTICE = BAND_USES["illustration"]
VALUES = [1.2, 1.5, 1.8, 2.1, 2.5, 2.9, 3.4, 4.0, 4.7, 5.5]


def tried(of, random, days=4):
    return [TriedPairing(value, tuple(of(value) + random.normal(size=days))) for value in VALUES]


def test_a_hill_is_a_pattern_and_noise_is_one_as_often_as_is_said():
    """Forty books without a pattern: at most 6 show one.

    More false ones come with a chance of 1 % (binomial, 5 %).
    """
    random = np.random.default_rng(1)
    assert patterns(tried(lambda value: -4 * math.log(value / 2.5) ** 2, random)).hill.found
    false = sum(claimed(tried(lambda _: 0.0, random)) for _ in range(40))
    assert false <= 6


def claimed(pairings):
    """Whether anything at all is claimed."""
    found = patterns(pairings)
    return found.hill.found or found.seen.found or found.valley.found


def test_all_that_may_be_claimed_has_one_chance_of_being_false():
    """Forty books in which liking follows neither factor nor angle: at most 6 show a pattern.

    A valley is no hill, and angles that liking follows are found where the factors say nothing.
    """
    random = np.random.default_rng(5)
    angles = [30.0, 34, 37, 40, 43, 46, 50, 53, 56, 60]

    def book(of):
        seen = random.permutation(angles)
        return [
            TriedPairing(value, tuple(of(value, angle) + random.normal(size=4)), angle)
            for value, angle in zip(VALUES, seen, strict=True)
        ]

    assert sum(claimed(book(lambda *_: 0.0)) for _ in range(40)) <= 6
    valley = patterns(book(lambda value, _: 8 * math.log(value / 2.5) ** 2))
    assert (valley.hill.found, valley.valley.found) == (False, True)
    wide = book(lambda _, angle: -40 * math.log(angle / 45) ** 2)
    assert patterns(wide).seen.found
    assert compare_predictors(wide, patterns(wide)).answer == "angle"


def test_a_pairing_liked_for_itself_is_no_pattern_however_many_days_it_has():
    """The pairing is the unit.

    Twenty days of each do not make a pattern of ten likings of their own.
    """
    found = 0
    for seed in range(20):
        random = np.random.default_rng(seed)
        found += claimed(
            [
                TriedPairing(value, tuple(random.normal() + 0.1 * random.normal(size=20)))
                for value in VALUES
            ]
        )
    assert found <= 4


@pytest.mark.parametrize(("sign", "hill", "valley"), [(-1, 100, 0), (1, 0, 100)])
def test_what_a_hill_and_a_valley_explain(sign, hill, valley):
    """By hand: seven doublings, scores by the square of the steps from the middle one.

    They are tried for one to four days each, alike on both sides, so that no slope is left.
    """
    book = [
        TriedPairing(2.0**at, (sign * (at - 3) ** 2.0,) * count)
        for at, count in enumerate((1, 2, 3, 4, 3, 2, 1))
    ]
    found = patterns(book)
    assert found.hill.explained_percent == pytest.approx(hill, abs=1e-9)
    assert found.valley.explained_percent == pytest.approx(valley, abs=1e-9)


def test_too_few_pairings_say_nothing():
    assert not patterns(
        [TriedPairing(value, (float(at),)) for at, value in enumerate(VALUES[:5])]
    ).hill.enough
    assert not patterns([TriedPairing(2.0, (5.0,))] * 9).hill.enough
    assert not patterns([TriedPairing(value, (4.0,)) for value in VALUES]).hill.found
    with pytest.raises(RequestError):
        TriedPairing(2.0, ())


def test_factor_and_angle_are_told_apart_only_where_the_plan_parts_them():
    random = np.random.default_rng(2)
    scores = [
        (-6 * math.log(value / 2.5) ** 2, -6 * math.log(value / 2.5) ** 2 + 0.1) for value in VALUES
    ]
    angles = random.permutation([30.0, 34, 37, 40, 43, 46, 50, 53, 56, 60])

    def answer(factors, widths):
        book = [
            TriedPairing(factor, score, width)
            for factor, score, width in zip(factors, scores, widths, strict=True)
        ]
        return compare_predictors(book, patterns(book)).answer

    assert answer(VALUES, angles) == "value"
    assert answer(angles, VALUES) == "angle"
    assert answer(VALUES, [12 * value for value in VALUES]) == "together"
    # What a shuffle shows as well is no answer, whatever the ratio says.
    few = [TriedPairing(2.0 + at, (float(at % 2),), 40.0 + at * 3 % 5) for at in range(5)]
    assert compare_predictors(few, patterns(few)).answer == "open"
    # Of pairings that go on as before and one that does not, the latter is named.
    offered = [(2.0, 24.0), (3.0, 36.0), (5.0, 20.0)]
    alike = [(value, 12 * value) for value in VALUES]
    assert decorrelating_choices(alike, offered, most=1) == [2]
    # A third one makes a correlation: 1 with (4, 4), a half with (1, 2).
    assert decorrelating_choices([(1.0, 1.0), (2.0, 2.0)], [(4.0, 4.0), (1.0, 2.0)], 1) == [1]


def metropolis(books, chains=24, rounds=1500):
    """The logs of people's middle, of their spread and of each one's best, by a random walk.

    A plain walk over everything at once.

    Oracle: N. Metropolis and others (1953); the model is written out from the docstrings of
    ``mapper.trials``, with its constants, and shares no code with it. Likelihood by
    ``scipy.special.expit``, beliefs by ``scipy.stats``.
    """
    random = np.random.default_rng(1)
    half = math.log(3.5 / 2) / 2
    centre = np.array(
        [math.log(7) / 2, math.log(2 / half**2), 0, -3.5, *np.log([1.06, 1.34, 1.95]), -0.5]
    )
    sd = np.array([0.3, 1, 1.7, 1, 0.5, 0.5, 0.5, 0.5])
    t_scale = half / stats.t.ppf(0.75, 3)
    x = np.array([[math.log(trial.value) for trial in book] for book in books])
    first = np.array([[float(trial.first_day) for trial in book] for book in books])
    score = np.broadcast_to([[trial.score for trial in book] for book in books], (chains, *x.shape))

    def level(each, middle, log_spread):
        away = x - each[..., :1]
        curve = np.exp(each[..., 1:2] - np.sign(away) * each[..., 2:3] / 2)
        liking = -curve / 2 * away**2 + each[..., 7:8] * first
        cuts = np.cumsum(np.concatenate([each[..., 3:4], np.exp(each[..., 4:7])], axis=-1), axis=-1)
        end = np.full((*each.shape[:2], 1), np.inf)
        upto = expit(np.concatenate([-end, cuts, end], axis=-1)[:, :, None] - liking[..., None])
        chance = np.take_along_axis(np.diff(upto, axis=-1), score[..., None] - 1, axis=-1)
        of_best = (
            -0.5 * ((each[..., 0] - middle[:, None]) / np.exp(log_spread)[:, None]) ** 2
            - log_spread[:, None]
        )
        of_rest = -0.5 * (((each[..., 1:] - centre[1:]) / sd[1:]) ** 2).sum(-1)
        return np.log(np.maximum(chance, 1e-300)).sum((-2, -1)) + of_best + of_rest

    def level_of_all(each, middle, log_spread):
        spread = np.exp(log_spread)
        believed = (
            stats.t.logpdf((middle - centre[0]) / t_scale, 3)
            - 0.5 * (spread / 0.3) ** 2
            + log_spread
        )
        among = (
            -0.5 * ((each[..., 0] - middle[:, None]) / spread[:, None]) ** 2 - log_spread[:, None]
        ).sum(1)
        return np.where((spread > 0.015) & (spread < 0.9), believed + among, -np.inf)

    each = centre + 0.2 * sd * random.normal(size=(chains, len(books), 8))
    middle, log_spread = each[..., 0].mean(1), np.full(chains, math.log(0.2))
    kept = []
    for number in range(rounds):
        there = each + 0.3 * sd * random.normal(size=each.shape)
        gain = level(there, middle, log_spread) - level(each, middle, log_spread)
        each = np.where((np.log(random.random(gain.shape)) < gain)[..., None], there, each)
        for _ in range(2):
            to = (
                middle + 0.15 * random.normal(size=chains),
                log_spread + 0.5 * random.normal(size=chains),
            )
            gain = level_of_all(each, *to) - level_of_all(each, middle, log_spread)
            taken = np.log(random.random(chains)) < gain
            middle, log_spread = np.where(taken, to[0], middle), np.where(taken, to[1], log_spread)
        if number >= rounds // 4:
            kept.append(np.column_stack([middle, log_spread, each[..., 0]]))
    return np.concatenate(kept)


def test_of_a_person_of_whom_nothing_lies_near_the_nearest_guess_is_taken():
    band = comfort_band([], PRACTICE)
    bests = sorted(point[0] for point in band.posterior.points)
    width = (bests[-1] - bests[0]) / 100
    # A grid that goes on below and above all that is believed of this person.
    far = people_together._Grid(bests[0] - 150 * width, 4 * width)
    person = people_together._Bests(band, far, PRACTICE)
    for since, best in ((0, bests[0]), (len(person.levels) - 1, bests[-1])):
        assert person.drawn(since, [1.0], Random(1)).best == best


@pytest.mark.oracle
@pytest.mark.long
def test_people_together_agree_with_a_plain_sampler_of_the_whole_model():
    """Oracle: ``metropolis`` above.

    Two stages of draws and a random walk agree to a tenth of the log, and mostly to a few
    hundredths.
    """
    random = np.random.default_rng(6)
    books = [practitioner(random, 30, kind)[1] for kind in ("1.4", "5", "modelled")]
    together = people([comfort_band(book, PRACTICE) for book in books], PRACTICE)
    theirs = np.percentile(metropolis(books), [10, 50, 90], axis=0).T
    ours = [together.best, together.spread, *(each.best for each in together.each)]
    found = np.log([(each.low, each.middle, each.high) for each in ours])
    # Spreads are kept as logs of factors; few draws lie in the tails.
    theirs[1] = np.exp(theirs[1])
    assert np.allclose(found, theirs, atol=0.12)


def test_few_days_lean_on_the_others_and_three_people_say_nothing_of_most():
    random = np.random.default_rng(8)
    bands = [comfort_band(practitioner(random, 60, "5")[1], PRACTICE) for _ in range(2)]
    few = comfort_band(practitioner(random, 2, "1.4")[1], PRACTICE)
    together = people([*bands, few], PRACTICE)
    assert together.each[2].best.middle > few.best
    assert not together.says_of_most
    with pytest.raises(RequestError) as refused:
        people([], PRACTICE)
    assert str(refused.value) == "people: at least one is needed"
    # Five people or more, of whom a further one lies within a factor of two.
    for count, high, says in ((4, 3.0, False), (5, 3.0, True), (5, 4.1, False)):
        group = replace(together, each=together.each[:1] * count, another=Interval(2.0, 2.5, high))
        assert group.says_of_most is says


def test_the_common_band_comes_near_the_rows_of_the_trade_for_the_middle_sizes():
    """Common practice, no source: 20 to 25 in for about 7 in, 20 to 30 for 11, and so on.

    30 to 40 for 15, 40 to 50 for 22.

    Factors of 2.0 to 3.5 give these exactly, by hand: a 230 x 144 mm tablet locked to 16:9 is 230 x
    129.4 mm, 10.39 in across, so 20.8 to 36.4 in.
    """
    suiting = UncertainBand(2.0, 3.5, (2.0, 2.0), (3.5, 3.5))
    small, medium, large, extra = CUSTOMARY_TABLETS
    assert exact_inches(medium, 2.0) == pytest.approx(2 * math.hypot(230, 230 * 9 / 16) / 25.4)
    for tablet in CUSTOMARY_TABLETS:
        low, high = trade_diagonals_in(tablet)
        suits = [
            round(each.inches) for each in displays_for(tablet, suiting) if each.verdict == "suits"
        ]
        # Every row of the trade shares at least half of itself with the band, but for the largest,
        # where the picture gets too wide.
        shared = min(high, exact_inches(tablet, 3.5)) - max(low, exact_inches(tablet, 2.0))
        assert shared >= 0.5 * (high - low)
        assert suits
    assert [trade_diagonals_in(each) for each in (small, large, extra)] == [
        (20, 25),
        (30, 40),
        (40, 50),
    ]


def test_what_was_not_tried_and_what_is_in_doubt_is_said():
    suiting = UncertainBand(2.0, 3.0, (1.8, 2.2), (2.8, 3.3), tried=(2.1, 2.9))
    assert [suiting.verdict(each) for each in (1.7, 1.9, 2.0, 3.0, 3.2, 3.4)] == [
        "no",
        "perhaps",
        "suits",
        "suits",
        "perhaps",
        "no",
    ]
    assert [suiting.was_tried(each) for each in (2.0, 2.1, 2.9, 3.0)] == [False, True, True, False]
    assert trade_diagonals_in(Tablet(100, 60)) is None
    display = displays_for(CUSTOMARY_TABLETS[1], suiting)[6].display
    verdicts = {
        each.tablet.label: each.verdict for each in tablets_for(display, suiting, CUSTOMARY_TABLETS)
    }
    assert verdicts == {"small": "no", "medium": "suits", "large": "no", "extra large": "no"}


def test_a_day_that_several_pairings_share_speaks_for_none_of_them():
    """By hand: on a day of 5 and 3 one lies 1 above its mean and one 1 below, as on one of 2 and 4.

    A day of one pairing keeps its score, less the person's mean of 3.2.
    """
    desk = invented(1, 2.5)[0]
    notes = [("a", "2026-03-02", 5), ("b", "2026-03-02", 3), ("a", "2026-03-03", 2)]
    notes += [("c", "2026-03-03", 4), ("b", "2026-03-04", 2)]
    book = [
        msgspec.structs.replace(desk, tablet=tablet, date=date, score=score, first_day=False)
        for tablet, date, score in notes
    ]
    scores = [each.scores for each in tried_pairings(book)]
    assert scores == [pytest.approx((1, -1)), pytest.approx((-1, 2 - 3.2)), pytest.approx((1,))]


def test_without_entries_people_are_as_the_practice_says():
    """Student's t (any table): 80 % lie within 1.6377 of its scale for three degrees of freedom.

    Its quartiles, 0.7649 of it, are at 2 and 3.5, so the ends are √7 times or over
    e^(1.6377 * 0.2798 / 0.7649). A further person's are drawn by numpy.
    """
    together = people([comfort_band([], PRACTICE)], PRACTICE)
    best = together.best
    assert (best.low, best.middle, best.high) == pytest.approx((1.453, 2.646, 4.817), rel=0.03)
    random = np.random.default_rng(1)
    spread = np.abs(0.3 * random.normal(size=100_000))
    logs = 0.2798 / 0.7649 * random.standard_t(3, 100_000) + spread * random.normal(size=100_000)
    another = math.sqrt(7) * np.exp(np.percentile(logs, [10, 50, 90]))
    found = together.another
    assert (found.low, found.middle, found.high) == pytest.approx(another, rel=0.05)


def test_bests_lie_about_the_middle_as_a_normal_distribution_says():
    # Any table: e^(-1/2) one standard deviation away, e^(-2) two.
    grid = people_together._Grid(0.0, 1.0)
    first, densities = grid.nearness(2.5, 1.0)
    assert first == 0
    assert densities[:5] == pytest.approx([0.13534, 0.60653, 1, 0.60653, 0.13534], abs=1e-5)
    assert grid.nearness(2.5, 0.5)[1][2:4] == pytest.approx([2, 2 * 0.13534], abs=2e-5)


def test_a_predictor_that_does_not_move_cannot_be_parted_from_the_other():
    book = [TriedPairing(2.0, (score,), angle) for score, angle in ((3, 30.0), (4, 40.0))]
    found = compare_predictors(book, patterns(book))
    assert (found.answer, found.correlation, found.ratio) == ("together", 1.0, 1.0)


def test_two_scores_are_enough_to_tell_factor_from_angle():
    angles = [40.0, 30, 50, 60, 34, 56, 37, 46, 43, 53]
    book = [
        TriedPairing(value, (3.0 if value < 3 else 4.0,), angle)
        for value, angle in zip(VALUES, angles, strict=True)
    ]
    assert compare_predictors(book, patterns(book)).answer == "value"


def test_a_ratio_that_no_computer_holds_is_given_as_the_largest_told():
    """Of eighty-one pairings on one parabola; e^700 is 1.0142 * 10^304."""
    book = [
        TriedPairing(2.0 ** (at / 10), (-((at - 40) ** 2) / 100,), 30.0 + 7 * at % 41)
        for at in range(81)
    ]
    assert compare_predictors(book, patterns(book)).ratio == pytest.approx(1.01423205e304)


def test_a_sold_display_has_the_sides_of_its_diagonal():
    # 16 and 9 of √337: 24 in are 531.3 x 298.9 mm (any table of display sizes).
    display = sold_display(24)
    assert (display.width_mm, display.height_mm) == pytest.approx((531.3, 298.9), abs=0.05)
    assert display.label == "24 in"
