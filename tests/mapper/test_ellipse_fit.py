"""Ellipse fits against scikit-image, OpenCV and scipy on exact, noisy and partial points."""

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.linalg import eig
from scipy.optimize import least_squares
from skimage.measure import EllipseModel

from mapper.problems import RequestError
from mapper.tracing import ellipse_fit
from mapper.tracing.ellipse_fit import direct_ellipse, find_ellipse
from mapper.tracing.outline import KnownOutline, Placed
from mapper.tracing.outline_fit import fit_outline

pytestmark = pytest.mark.oracle


UNIT = KnownOutline.circle(2.0)


def fit_ellipse(points, start=None, *, strict=False):
    """The ellipse whose distances to the points are least: its matrix and its centre."""
    start = start or Placed(UNIT, *direct_ellipse(points))
    placed = fit_outline(points, start, "free", strict=strict).placed
    return placed.matrix, placed.centre_px


def ellipse_points(centre, axes, tilt_deg, count=90, *, from_deg=0.0, to_deg=360.0):
    angle = np.radians(np.linspace(from_deg, to_deg, count, endpoint=to_deg - from_deg < 360))
    tilt = np.radians(tilt_deg)
    x, y = axes[0] * np.cos(angle), axes[1] * np.sin(angle)
    return np.stack(
        [
            centre[0] + x * np.cos(tilt) - y * np.sin(tilt),
            centre[1] + x * np.sin(tilt) + y * np.cos(tilt),
        ],
        axis=1,
    )


def scikit_image(points):
    try:
        model = EllipseModel.from_estimate(points)
    except TypeError as error:
        pytest.skip(f"scikit-image's ellipse cannot run with this numpy: {error}")
    return (*model.center, *model.axis_lengths, model.theta)


def whole_eigenproblem(points):
    """Fitzgibbon, Pilu and Fisher's direct fit as they wrote it, by scipy.

    All six coefficients at once. Ours follows Halir and Flusser, who split it into two parts of
    three. Centre, half axes (longer first), tilt in degrees.
    """
    middle, spread = points.mean(axis=0), points.std()
    x, y = ((points - middle) / spread).T
    design = np.stack([x * x, x * y, y * y, x, y, np.ones_like(x)], axis=1)
    constraint = np.zeros((6, 6))
    constraint[0, 2] = constraint[2, 0] = 2
    constraint[1, 1] = -1
    values, vectors = eig(design.T @ design, constraint)
    kept = np.isfinite(values) & (values.real > -1e-9)
    a, b, c, d, e, f = vectors[:, kept][:, np.argmin(abs(values[kept]))].real
    form = np.array([[a, b / 2], [b / 2, c]])
    centre = np.linalg.solve(-2 * form, [d, e])
    # About its centre the conic is v' F v = -f - (d, e)·centre / 2.
    sizes, axes = np.linalg.eigh(form / (-f - np.array([d, e]) @ centre / 2))
    half = 1 / np.sqrt(sizes)
    tilt = np.degrees(np.arctan2(axes[1, 0], axes[0, 0])) % 180
    return (*(centre * spread + middle), half[0] * spread, half[1] * spread, tilt)


def numbers(ellipse):
    """What a matrix makes of the unit circle.

    Centre, half axes (longer first), tilt of the longer in degrees.
    """
    matrix, centre = ellipse
    axes, sizes, _ = np.linalg.svd(matrix)
    return (*centre, *sizes, np.degrees(np.arctan2(axes[1, 0], axes[0, 0])) % 180)


# The example of scikit-image's and OpenCV's manuals in kind; all give these five numbers.
EXACT = (320.0, 240.0, 120.0, 80.0, 30.0)


def test_exact_points_give_the_five_numbers_that_others_give():
    points = ellipse_points((320, 240), (120, 80), 30)
    assert numbers(direct_ellipse(points)) == pytest.approx(EXACT, abs=1e-9)
    assert numbers(fit_ellipse(points)) == pytest.approx(EXACT, abs=1e-9)
    for fit in (cv2.fitEllipse, cv2.fitEllipseDirect):
        # OpenCV computes with float32 points and gives whole axes, the shorter first.
        centre, axes, angle = fit(points.astype(np.float32))
        assert (*centre, axes[1] / 2, axes[0] / 2, (angle - 90) % 180) == pytest.approx(
            EXACT, abs=2e-3
        )


def test_exact_points_give_the_five_numbers_of_scikit_image():
    x, y, a, b, theta = scikit_image(ellipse_points((320, 240), (120, 80), 30))
    assert (x, y, a, b, np.degrees(theta)) == pytest.approx(EXACT, abs=1e-6)


def test_a_quarter_of_an_ellipse_is_enough_where_it_is_exact():
    points = ellipse_points((320, 240), (120, 80), 30, 60, to_deg=90)
    assert numbers(direct_ellipse(points)) == pytest.approx(EXACT, abs=1e-7)
    assert numbers(fit_ellipse(points)) == pytest.approx(EXACT, abs=1e-7)
    centre, axes, angle = cv2.fitEllipseDirect(points.astype(np.float32))
    # OpenCV drifts by some 1e-3 here: its points are float32.
    assert (*centre, axes[1] / 2, axes[0] / 2, (angle - 90) % 180) == pytest.approx(EXACT, abs=0.05)


@pytest.mark.parametrize("seed", range(5))
def test_the_direct_fit_of_noisy_points_is_that_of_the_whole_eigenproblem(seed):
    points = ellipse_points((320, 240), (120, 80), 30) + np.random.default_rng(seed).normal(
        0, 1.5, (90, 2)
    )
    assert numbers(direct_ellipse(points)) == pytest.approx(whole_eigenproblem(points), rel=1e-6)


@pytest.mark.parametrize(("seed", "to_deg"), [(0, 360), (1, 360), (2, 250), (3, 180)])
def test_the_nearest_ellipse_is_the_one_that_scipy_finds(seed, to_deg):
    points = ellipse_points((320, 240), (120, 80), 30, 60, to_deg=to_deg)
    points = points + np.random.default_rng(seed).normal(0, 1, points.shape)

    def apart(unknowns):
        x, y, a, b, tilt, *angles = unknowns
        cos, sin = np.cos(angles), np.sin(angles)
        drawn = [
            x + a * cos * np.cos(tilt) - b * sin * np.sin(tilt),
            y + a * cos * np.sin(tilt) + b * sin * np.cos(tilt),
        ]
        return (np.stack(drawn, axis=1) - points).ravel()

    start = [
        320,
        240,
        120,
        80,
        np.radians(30),
        *np.radians(np.linspace(0, to_deg, 60, endpoint=to_deg < 360)),
    ]
    best = least_squares(apart, start, xtol=1e-15, ftol=1e-15, gtol=1e-13).x
    ours = fit_ellipse(points, strict=True)
    assert numbers(ours) == pytest.approx((*best[:4], np.degrees(best[4])), rel=1e-5)


def test_strays_a_gap_and_a_second_stroke_do_not_move_the_ellipse():
    random = np.random.default_rng(4)
    drawn = ellipse_points((320, 240), (120, 80), 30, 200, from_deg=40, to_deg=330) + random.normal(
        0, 0.4, (200, 2)
    )
    line = np.stack([np.linspace(150, 520, 80), np.linspace(90, 400, 80)], axis=1)
    points = np.concatenate([drawn, line, random.uniform(100, 500, (40, 2))])
    start = find_ellipse(points, UNIT, near_px=3)
    fitted = numbers(fit_ellipse(points, start))
    assert fitted == pytest.approx(EXACT, abs=0.3)
    # Plain least squares is far off, or the test would prove nothing.
    assert abs(numbers(fit_ellipse(points, strict=True))[2] - 120) > 3
    assert np.array_equal(find_ellipse(points, UNIT, near_px=3).matrix, start.matrix)


def test_five_points_are_fitted_as_they_are():
    points = ellipse_points((320, 240), (120, 80), 30)[[0, 15, 33, 50, 71]]
    found = find_ellipse(points, UNIT, near_px=3)
    assert numbers((found.matrix, found.centre_px)) == pytest.approx(EXACT, abs=1e-6)


@pytest.mark.parametrize(("stretch", "is_found"), [(6.4, True), (6.6, False)])
def test_an_ellipse_is_stretched_by_six_and_a_half_at_most(stretch, is_found):
    points = ellipse_points((800, 240), (100 * stretch, 100), 0, 400)
    if is_found:
        matrix = find_ellipse(points, UNIT, near_px=3).matrix
        assert matrix == pytest.approx(np.diag([100 * stretch, 100]), abs=1e-6)
        return
    with pytest.raises(RequestError) as refused:
        find_ellipse(points, UNIT, near_px=3)
    assert str(refused.value) == "points: no ellipse runs through them; got 400 points"


def test_the_very_centre_lies_on_no_ellipse():
    places = np.array([(0.0, 0.0), (0.0, 2.0), (0.0, 2.2)])
    near, _ = ellipse_fit._points_near(places, np.diag([3.0, 2.0])[None], np.zeros((1, 2)), 0.1)
    assert near.tolist() == [[False, True, False]]


@settings(max_examples=40, deadline=None)
@given(
    st.floats(-5000, 5000),
    st.floats(-5000, 5000),
    st.floats(20, 3000),
    st.floats(0.3, 0.98),
    st.floats(0, 179),
)
def test_exact_points_of_any_ellipse_give_it_back(x, y, longest, proportion, tilt):
    points = ellipse_points((x, y), (longest, longest * proportion), tilt)
    for ellipse in (direct_ellipse(points), fit_ellipse(points)):
        *others, found_tilt = numbers(ellipse)
        assert others == pytest.approx((x, y, longest, longest * proportion), abs=1e-6 * longest)
        assert abs((found_tilt - tilt + 90) % 180 - 90) < 1e-4


@pytest.mark.parametrize(
    "points",
    [
        [(0, 0), (1, 0), (2, 1), (0, 3)],
        [(0, 0)] * 9,
        [(float(i), 2.0 * i) for i in range(20)],
    ],
)
def test_points_that_no_ellipse_runs_through_are_refused(points):
    with pytest.raises(RequestError):
        direct_ellipse(np.array(points, dtype=float))


def test_a_line_is_refused_with_the_number_of_its_points():
    with pytest.raises(RequestError) as refused:
        direct_ellipse(np.array([(float(at), 2.0 * at) for at in range(20)]))
    assert str(refused.value) == "points: no ellipse runs through them; got 20 points"


def test_what_is_found_is_the_direct_fit_of_the_points_that_lie_on_it():
    random = np.random.default_rng(4)
    drawn = ellipse_points((320, 240), (120, 80), 30, 200) + random.normal(0, 0.4, (200, 2))
    strays = random.uniform(-200, 100, (80, 2))
    found = find_ellipse(np.concatenate([drawn, strays]), UNIT, near_px=3)
    matrix, centre = direct_ellipse(drawn)
    assert found.matrix == pytest.approx(matrix, abs=1e-9)
    assert found.centre_px == pytest.approx(centre, abs=1e-9)
