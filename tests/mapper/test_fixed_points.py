"""Weighted points that stand for a distribution.

Against exact integration and outside libraries.
"""

import math

import numpy as np
import pytest
from scipy import stats
from scipy.stats import qmc

from mapper.choosing.recommended import BAND_USES
from mapper.trials import comfort, fixed_points
from mapper.trials.comfort import Trial
from mapper.trials.fixed_points import t_quantile, weighted_points, weighted_quantiles

SHARES = (0.1, 0.5, 0.9)


def test_the_quantiles_are_those_of_scipy():
    """Oracle: scipy.stats.t."""
    for share in (1e-6, 0.01, 0.3, 0.5, 0.8, 0.999):
        assert t_quantile(share) == pytest.approx(stats.t.ppf(share, 4), rel=1e-6, abs=1e-9)
    # Nothing and all are taken for one in a thousand million, on either side.
    farthest = stats.t.ppf(1 - 1e-9, 4)
    assert (t_quantile(0), t_quantile(1)) == pytest.approx((-farthest, farthest), rel=1e-4)


def test_the_quantiles_of_weighted_values_are_those_of_numpy():
    """Oracle: numpy.quantile with Hazen's rule.

    On values that are repeated as often as they count.
    """
    random = np.random.default_rng(1)
    values = random.normal(size=50)
    expected = np.quantile(values, SHARES, method="hazen")
    assert weighted_quantiles(values, [3.0] * 50, SHARES) == pytest.approx(expected)
    # Of a value that counts twice the middle lies between its two places.
    assert weighted_quantiles([1.0, 2.0], [2.0, 2.0], (0.25, 0.5, 0.75)) == [1.0, 1.5, 2.0]


def test_the_sequence_fills_the_cube_more_evenly_than_chance():
    """Oracle: scipy's centred discrepancy, of the sequence and of twenty random sets as large."""
    steps = fixed_points._steps(8)
    ours = [[(0.5 + number * step) % 1 for step in steps] for number in range(1, 501)]
    random = np.random.default_rng(1)
    theirs = [qmc.discrepancy(random.random((500, 8))) for _ in range(20)]
    assert qmc.discrepancy(ours) < 0.6 * min(theirs)


def quantiles_on_a_grid(log_density, xs, ys):
    """The quantiles of both coordinates by adding up the density over a fine grid."""
    level = np.array([[log_density((x, y)) for y in ys] for x in xs])
    density = np.exp(level - level.max())
    found = []
    for side, along in ((1, xs), (0, ys)):
        mass = density.sum(axis=side)
        # Half of what stands at a point of the grid lies below it.
        found.append(np.interp(SHARES, (np.cumsum(mass) - mass / 2) / mass.sum(), along))
    return found


def test_a_bent_density_with_long_tails_is_that_of_a_grid():
    def bent(point):
        x, y = point
        return -2.5 * math.log1p(x * x / 4) - (y - 0.7 * x * x) ** 2 / 0.8 - y * y / 40

    points = weighted_points(bent, (0.0, 0.0), (2.0, 3.0), heavy=2)
    exact = quantiles_on_a_grid(bent, np.linspace(-8, 8, 401), np.linspace(-6, 30, 601))
    for side in (0, 1):
        found = points.quantiles((point[side] for point in points.points), SHARES)
        assert found == pytest.approx(exact[side], abs=0.03)
    drawn = points.drawn(1000)
    for side, near in ((0, 0.03), (1, 0.15)):
        along = sorted(point[side] for point in drawn)
        assert [along[100], along[500], along[900]] == pytest.approx(exact[side], abs=near)


def test_a_density_that_ends_at_edges_is_that_of_a_square():
    """By hand: evenly from 0.1 to 0.5 and from -0.2 to 0.2, and nothing beyond."""

    def level(point):
        inside = abs(point[0] - 0.3) < 0.2 and abs(point[1]) < 0.2
        return 0.0 if inside else -math.inf

    points = weighted_points(level, (0.0, 0.0), (1.0, 1.0), heavy=2)
    for side, exact in ((0, (0.14, 0.3, 0.46)), (1, (-0.16, 0.0, 0.16))):
        found = points.quantiles((point[side] for point in points.points), SHARES)
        assert found == pytest.approx(exact, abs=0.005)


@pytest.mark.parametrize("entries", [2, 12, 60])
def test_best_value_and_width_are_those_of_a_grid_where_the_rest_is_known(entries):
    """The model of a band with six of its eight parameters held: the other two, exactly."""
    prior = BAND_USES["illustration"]
    means, spreads = comfort.prior_parameters(prior)
    scored = {1.6: 2, 2.0: 4, 2.4: 5, 2.9: 4, 3.5: 3, 4.2: 1}
    values = list(scored) * 10
    trials = [Trial(value, scored[value], str(day)) for day, value in enumerate(values[:entries])]
    likelihood, before = comfort._log_likelihood(comfort._rows(trials)), comfort._log_prior(prior)

    def level(point):
        whole = (*point, *means[2:])
        return likelihood(whole) + before(whole)

    points = weighted_points(level, means[:2], spreads[:2], heavy=2)
    exact = quantiles_on_a_grid(level, np.linspace(-2.5, 4.5, 501), np.linspace(-2, 8, 151))
    for side in (0, 1):
        found = points.quantiles((point[side] for point in points.points), SHARES)
        # Half a hundredth of the logs: half a percent of the values.
        assert found == pytest.approx(exact[side], abs=0.005 if side == 0 else 0.02)
