import math
import warnings
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import expit

from mapper.choosing.recommended import Band
from mapper.problems import RequestError
from mapper.trials import comfort
from mapper.trials.comfort import Parameters, Trial, comfort_band
from mapper.trials.fixed_points import weighted_points
from mapper.trials.next_trial import expected_information_bits, most_informative_order, next_trial
from mapper.trials.valley import Sitting, chance_of_valley
from tests.studies.band_reference import NAMES, books, reference, stated
from tests.studies.comfort_coverage import PRACTICE, practitioner

parameters = st.tuples(
    st.floats(-1, 3),
    st.floats(-2, 6),
    st.floats(-2, 2),
    st.floats(-6, 0),
    *([st.floats(-2, 2)] * 3),
    st.floats(-2, 1),
).map(lambda row: Parameters(*row))


@given(parameters, st.floats(0.3, 60), st.booleans())
def test_the_chances_are_those_of_the_docstring(guess, value, first_day):
    """Oracle: scipy.special.expit, and the formula of the module written out again."""
    best, log_curve, log_uneven, cut, *log_steps, cost = guess
    half = log_uneven / 2 if math.log(value) < best else -log_uneven / 2
    liking = -math.exp(log_curve + half) / 2 * (math.log(value) - best) ** 2 + cost * first_day
    cuts = cut + np.concatenate([[0], np.cumsum(np.exp(log_steps))])
    below = np.concatenate([[0], expit(cuts - liking), [1]])
    for score, expected in enumerate(np.diff(below), 1):
        one = comfort._rows([Trial(value, score, first_day=first_day)])
        chance = math.exp(comfort._log_likelihood(one)(guess))
        assert chance == pytest.approx(expected, abs=1e-12)
    upto = guess.chances_upto(math.log(value), float(first_day))
    assert upto == pytest.approx(below[1:-1], abs=1e-12)


@pytest.mark.oracle
def test_likelihood_and_best_value_agree_with_statsmodels_on_published_data():
    """Data: the rating of a marriage, 1 to 5, over years of education, as statsmodels has it.

    R. C. Fair, A theory of extramarital affairs, J. Political Economy 86 (1978). Oracle:
    statsmodels' OrderedModel, fitted by maximum likelihood.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # statsmodels and pandas warn of each other's future
        from statsmodels.datasets import fair
        from statsmodels.miscmodels.ordinal_model import OrderedModel

        data = fair.load_pandas().data
        log_years, rating = np.log(data.educ.to_numpy()), data.rate_marriage.to_numpy().astype(int)
        theirs = OrderedModel(rating, np.column_stack([log_years, log_years**2]), distr="logit")
        fit = theirs.fit(method="bfgs", maxiter=1000, gtol=1e-8, disp=False)
    slope, square = fit.params[:2]
    best, curve = -slope / (2 * square), -2 * square
    # Theirs has liking = slope·x + square·x², ours the same less its value at the best: the cuts
    # take that up.
    cuts = theirs.transform_threshold_params(fit.params)[1:-1] - curve * best**2 / 2
    guess = best, math.log(curve), 0.0, cuts[0], *np.log(np.diff(cuts)), 0.0
    trials = [
        Trial(float(years), int(score)) for years, score in zip(data.educ, rating, strict=True)
    ]
    ours = comfort._log_likelihood(comfort._rows(trials))(guess)
    assert ours == pytest.approx(fit.llf, rel=1e-10)

    # Six thousand entries outweigh any weak prior: with sides that are as steep as each other, as
    # theirs are, their estimate lies in what is believed.
    prior = Band(10.0, 60.0)
    likelihood, before = comfort._log_likelihood(comfort._rows(trials)), comfort._log_prior(prior)

    def level(point):
        even = (*point[:2], 0.0, *point[2:])
        return likelihood(even) + before(even)

    middle, spreads = ((*each[:2], *each[3:]) for each in comfort.prior_parameters(prior))
    points = weighted_points(level, middle, spreads, heavy=2)
    low, high = points.quantiles((point[0] for point in points.points), (0.1, 0.9))
    assert low < best < high


def test_without_entries_the_band_is_the_common_practice():
    for prior in (PRACTICE, Band(32.0, 57.0)):
        band = comfort_band([], prior)
        assert band.low == pytest.approx(prior.low, rel=0.02)
        assert band.high == pytest.approx(prior.high, rel=0.02)
        assert band.learned < 0.05
        assert not band.enough


def test_three_entries_move_the_band_a_little_and_sixty_decide_it():
    """A person who likes 1.8 best: far from the middle of the common practice, 2.65."""

    def days(count):
        values = [1.5, 1.8, 2.2, 2.65, 3.2]
        scores = {1.5: 4, 1.8: 5, 2.2: 4, 2.65: 3, 3.2: 1}
        return [Trial(values[day % 5], scores[values[day % 5]], str(day)) for day in range(count)]

    three, sixty = comfort_band(days(3), PRACTICE), comfort_band(days(60), PRACTICE)
    assert 1.8 < three.best < 2.65
    assert not three.enough
    assert sixty.best == pytest.approx(1.8, rel=0.05)
    assert sixty.enough
    assert sixty.best_high - sixty.best_low < (three.best_high - three.best_low) / 2


@pytest.mark.long
def test_the_interval_holds_the_truth_as_often_as_it_says():
    """Twenty-four practitioners of ten entries; tests/studies/comfort_coverage.py has more.

    An interval of 80 % holds 14 to 23 of 24 with a chance of 99 % (binomial distribution): a wrong
    model falls out. The same people are not told, but for one in thirty, that no single best fits
    them: at most 4 of 24 (99 %).
    """
    random = np.random.default_rng(20)
    inside = odd = 0
    for _ in range(24):
        (truth,), trials = practitioner(random, 10)
        band = comfort_band(trials, PRACTICE)
        inside += band.best_low <= truth <= band.best_high
        odd += not band.one_best
    assert 14 <= inside <= 23
    assert odd <= 4


def scored(*pairs, times):
    return comfort_band(
        [Trial(value, score, f"{day}") for day, (value, score) in enumerate(pairs * times)],
        PRACTICE,
    )


def test_two_tops_are_not_one_best():
    band = scored((1.6, 5), (2.1, 4), (2.6, 1), (3.2, 4), (3.9, 5), times=4)
    assert not band.one_best
    assert not band.enough


def test_eight_values_are_each_judged_for_themselves():
    """A valley at the second of eight values is deeper than another's by one mark at the fifth."""
    ours, theirs = (5, 1, 5, 5, 5, 5, 5, 5), (5, 5, 5, 5, 4, 5, 5, 5)
    sittings = [Sitting(0.1 * at, 0.0, score, 1.0) for at, score in enumerate(ours)]

    def person(each):
        score = theirs[round(each.log_value / 0.1)]
        return (0.0,) * (score - 1) + (1.0,) * (5 - score)

    # None of two people gives one as deep: one in three, the own book counted.
    assert chance_of_valley(sittings, [person] * 2) == pytest.approx(1 / 3)


def test_scores_that_only_rise_give_no_band_of_ones_own_and_no_edge_unsaid():
    band = scored((1.6, 1), (2.1, 2), (2.6, 3), (3.2, 4), (3.9, 5), times=8)
    assert band.one_best
    assert band.high > 3.9
    assert band.outside in {"high", "both"}
    assert not band.enough


@pytest.mark.parametrize(("scores", "side"), [((5, 4, 3, 2, 1), "low"), ((1, 2, 3, 4, 5), "high")])
def test_a_best_at_the_end_of_what_was_tried_sends_one_step_beyond_it(scores, side):
    """By hand: 1.6 / (4/3) is 1.2, and 3.9 · 4/3 is 5.2."""
    band = scored(*zip((1.6, 2.1, 2.6, 3.2, 3.9), scores, strict=True), times=8)
    assert band.best_beyond == side
    assert not band.enough
    trial = next_trial(band, PRACTICE)
    assert (trial.why, round(trial.value, 3)) == (
        ("below", 1.2) if side == "low" else ("above", 5.2)
    )


def test_the_next_trial_stays_in_the_usual_band_and_in_what_was_tried():
    """After two notes near 2.5 nobody is sent to 4.4."""
    for notes in ([], [(2.4, 4), (2.6, 5)]):
        trial = next_trial(scored(*notes, times=1), PRACTICE)
        assert 2.0 <= trial.value <= 3.5
        assert trial.why == "untried"
    hill = scored((1.6, 2), (2.0, 4), (2.5, 5), (3.2, 4), (4.0, 2), times=6)
    assert hill.enough
    assert not hill.best_beyond
    trial = next_trial(hill, PRACTICE)
    assert (1.6 <= trial.value <= 4.0, trial.why) == (True, "doubt")


def test_a_steep_side_is_told_from_a_gentle_one():
    band = scored((1.6, 1), (2.0, 2), (2.5, 5), (3.2, 5), (4.0, 4), (5.0, 3), times=10)
    assert band.best / band.low < band.high / band.best
    assert band.enough


def test_the_spreads_before_any_entry_are_those_of_a_t_distribution():
    """Oracle: scipy.stats.t.

    Half of all bests lie in the common practice; the intervals are those of 80 %.
    """
    from scipy.stats import t

    prior = comfort_band([], PRACTICE)
    scale = math.log(3.5 / 2.0) / 2 / t.ppf(0.75, 3)
    assert math.log(prior.best_high / prior.best_low) == pytest.approx(
        2 * t.ppf(0.9, 3) * scale, rel=0.05
    )


def test_the_same_entries_give_the_same_band_in_any_order():
    _, trials = practitioner(np.random.default_rng(3), 12)
    one, other = comfort_band(trials, PRACTICE), comfort_band(trials[::-1], PRACTICE)
    assert (one.low, one.high, one.best) == (other.low, other.high, other.best)


def test_entries_of_one_day_count_for_less_than_entries_of_many():
    one_day = comfort_band([Trial(2.0, 5, "monday")] * 6, PRACTICE)
    six_days = comfort_band([Trial(2.0, 5, str(day)) for day in range(6)], PRACTICE)
    assert one_day.weight == pytest.approx(6 / (1 + 5 * 0.5))
    assert six_days.weight == 6
    assert (one_day.entries, six_days.entries) == (6, 6)


def test_a_poor_first_day_speaks_less_against_a_value_than_a_poor_later_day():
    def with_first_day(first_day):
        days = [Trial(1.6, 2, str(day), first_day) for day in range(8)]
        return comfort_band([*days, *(Trial(2.6, 5, f"b{day}") for day in range(8))], PRACTICE)

    assert with_first_day(True).low < with_first_day(False).low


def test_most_is_learned_where_liking_is_in_doubt():
    """Once 2.0 to 3.0 have been tried for months, a day at the edge tells more."""
    trials = [
        Trial(value, score, f"{value}{day}")
        for day in range(20)
        for value, score in ((2.0, 4), (3.0, 4), (2.5, 5))
    ]
    band = comfort_band(trials, PRACTICE)
    assert expected_information_bits(band, 2.5) < expected_information_bits(band, 3.2)
    assert next_trial(band, PRACTICE).value > 3.0


def test_a_day_that_tells_five_bests_apart_tells_log_2_of_5_bits():
    """By hand: ten guesses, of which each two foretell another score for sure."""
    # Steps of 100 between the cuts, and no curve: the score of any value is the same.
    draws = tuple(
        Parameters(at / 10, -50.0, 0.0, 50.0 - 100 * (at // 2), *[math.log(100)] * 3, 0.0)
        for at in range(10)
    )
    band = replace(comfort_band([], PRACTICE), draws=draws)
    assert expected_information_bits(band, 2.0) == pytest.approx(math.log2(5))


@given(st.floats(0.5, 10))
@settings(max_examples=10)
def test_a_day_never_tells_less_than_nothing(value):
    assert expected_information_bits(comfort_band([], PRACTICE), value) >= 0


def test_the_next_pairing_is_chosen_given_the_days_before_it():
    """Of three, two are alike at one end and the third is at the other end.

    The two alike do not come one after the other.
    """
    trials = [Trial(2.4, score, str(at)) for at, score in enumerate([4, 4, 5, 4])]
    band = comfort_band(trials, PRACTICE)
    order = most_informative_order(band, [4.2, 4.21, 1.5], [5, 5, 5])
    assert sorted(order) == [0, 1, 2]
    assert order[2] != 2
    singly = [expected_information_bits(band, value) for value in (4.2, 4.21, 1.5)]
    assert order[0] == max(range(3), key=lambda at: singly[at]) or singly[order[0]] > 0.95 * max(
        singly
    )


@pytest.mark.oracle
@pytest.mark.parametrize("number", [0, 4, 8, 13, 19, 34, 38])
@pytest.mark.long
def test_the_band_is_that_of_plain_importance_sampling(number):
    """Oracle: ``tests/studies/band_reference.py``, which shares no code and draws at random.

    To one percent, and three standard errors of those draws.
    """
    trials = list(books())[number]
    expected, errors = reference(trials, 160_000)
    away = np.abs(stated(comfort_band(trials, PRACTICE)) - expected)
    assert (away <= 0.01 + 3 * errors).all(), dict(zip(NAMES, away - 3 * errors, strict=True))


@pytest.mark.parametrize(("score", "came"), [(0, "0"), (6, "6"), (3.5, "3.5")])
def test_a_score_is_a_whole_number_from_one_to_five(score, came):
    with pytest.raises(RequestError) as refused:
        Trial(2.0, score)
    assert str(refused.value) == f"score: must be a whole number from 1 to 5; got {came}"
