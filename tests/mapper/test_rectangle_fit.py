"""Rectangles found and fitted.

Against OpenCV's smallest rectangle and against maps known beforehand.
"""

import cv2
import numpy as np
import pytest

from mapper.problems import RequestError
from mapper.tracing import rectangle_fit
from mapper.tracing.outline import KnownOutline, Placed
from mapper.tracing.outline_fit import fit_outline
from mapper.tracing.rectangle_fit import find_rectangle

CARD = KnownOutline(85.6, 53.98, 3.18)
SQUARE = KnownOutline(50, 50)


def fit_rectangle(points, outline, kind, *, near_px=3.0):
    return fit_outline(points, find_rectangle(points, outline, near_px=near_px), kind)


def placed(outline, x_px_per_mm, y_px_per_mm, turn_deg):
    cos, sin = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    matrix = np.diag([x_px_per_mm, y_px_per_mm]) @ [[cos, -sin], [sin, cos]]
    return Placed(outline, matrix, np.array([640.0, 480.0]))


@pytest.mark.oracle
@pytest.mark.parametrize("turn_deg", [0, 7, -20, 33])
def test_a_turned_rectangle_is_the_one_that_opencv_encloses(turn_deg):
    outline = KnownOutline(80, 50)
    points = placed(outline, 6, 6, turn_deg).boundary(2000).points_px
    fit = fit_rectangle(points, outline, "straight")
    (x, y), sides, _ = cv2.minAreaRect(points.astype(np.float32))
    assert fit.nearest[:2] == pytest.approx((x, y), abs=0.05)
    assert (fit.nearest[2] * 80, fit.nearest[3] * 50) == pytest.approx(
        sorted(sides, reverse=True), abs=0.5
    )
    assert np.degrees(fit.nearest[4]) == pytest.approx(turn_deg, abs=1e-6)


@pytest.mark.parametrize("outline", [CARD, SQUARE, KnownOutline(148, 105)])
@pytest.mark.parametrize(
    ("x", "y", "turn_deg"), [(8, 8, 3), (9.5, 7.7, -12), (5, 6, 20), (11, 11, 90)]
)
def test_exact_points_give_the_map_back(outline, x, y, turn_deg):
    points = placed(outline, x, y, turn_deg).boundary(600).points_px
    fit = fit_rectangle(points, outline, "straight")
    turn = np.degrees(fit.nearest[4])
    # A square turned by a quarter is itself, and any rectangle turned by half.
    whole = 90 if outline is SQUARE else 180
    assert fit.nearest[2:4] == pytest.approx((x, y), rel=1e-9)
    assert abs((turn - turn_deg + whole / 2) % whole - whole / 2) < 1e-7
    assert fit.covered == 1


@pytest.mark.parametrize("outline", [CARD, SQUARE])
@pytest.mark.parametrize("seed", range(8))
def test_strays_a_gap_and_a_second_stroke_do_not_move_the_rectangle(outline, seed):
    random = np.random.default_rng(seed)
    x, y, turn_deg = random.uniform(5, 8), random.uniform(5, 8), random.uniform(-15, 15)
    boundary = placed(outline, x, y, turn_deg).boundary(400)
    drawn = (boundary.points_px + boundary.normals * random.normal(0, 0.6, (400, 1)))[50:]
    line = np.linspace((350, 300), (random.uniform(400, 900), 800), 90)
    points = np.concatenate([drawn, line, random.uniform(250, 900, (20, 2))])
    fit = fit_rectangle(points, outline, "straight", near_px=4)
    assert fit.nearest[2:4] == pytest.approx((x, y), rel=0.01)
    assert np.degrees(fit.nearest[4]) == pytest.approx(turn_deg, abs=0.6)


def test_a_sheared_rectangle_is_followed_by_the_free_pose_alone():
    matrix = np.array([[7.0, 1.0], [0.3, 6.0]])
    points = Placed(CARD, matrix, np.array([600.0, 500.0])).boundary(500).points_px
    free = fit_rectangle(points, CARD, "free")
    straight = fit_outline(points, free.placed, "straight", strict=True)
    assert free.placed.matrix == pytest.approx(matrix, abs=1e-7)
    assert free.spread_px < 1e-6
    assert straight.spread_px > 0.5


def test_the_same_points_give_the_same_rectangle():
    points = placed(CARD, 7, 6, 5).boundary(1500).points_px
    one, two = (find_rectangle(points, CARD, near_px=3) for _ in range(2))
    assert np.array_equal(one.matrix, two.matrix)


@pytest.fixture
def searched(monkeypatch):
    """The searches for sides, which take most of the time."""
    seen, search = [], rectangle_fit._pairs_of_sides

    def noted(points, near_px):
        seen.append(len(points))
        return search(points, near_px)

    monkeypatch.setattr(rectangle_fit, "_pairs_of_sides", noted)
    return seen


@pytest.mark.parametrize("outline", [CARD, SQUARE])
def test_on_an_empty_canvas_nothing_is_searched(outline, searched):
    find_rectangle(placed(outline, 7, 6, 5).boundary(600).points_px, outline, near_px=3)
    assert not searched


@pytest.mark.parametrize("at", [75, 225, 375, 525])
def test_an_outline_with_a_gap_is_searched_for_and_found(at, searched):
    """A gap of a tenth in the middle of a side of a square, whichever it is."""
    square = placed(SQUARE, 7, 7, 0)
    points = np.roll(square.boundary(600).points_px, 30 - at, axis=0)[60:]
    found = find_rectangle(points, SQUARE, near_px=3)
    assert searched == [540]
    assert found.matrix == pytest.approx(square.matrix, abs=0.02)


@pytest.mark.parametrize(("stretch", "is_found"), [(6.4, True), (6.6, False)])
def test_a_rectangle_is_stretched_by_six_and_a_half_at_most(stretch, is_found):
    points = placed(CARD, 2 * stretch, 2, 0).boundary(600).points_px
    if is_found:
        matrix = find_rectangle(points, CARD, near_px=3).matrix
        assert matrix == pytest.approx(np.diag([2 * stretch, 2]), abs=1e-6)
        return
    with pytest.raises(RequestError) as refused:
        find_rectangle(points, CARD, near_px=3)
    assert str(refused.value) == "points: no rectangle runs through them; got 600 points"


@pytest.mark.parametrize(
    ("drawn", "covered"),
    [(slice(None), 1), (slice(450), 0.75), (slice(None, None, 12), 1), (slice(0, 300, 12), 0.65)],
)
def test_how_much_of_the_way_round_is_covered(drawn, covered):
    """Of 600 points three quarters, of 50 all, of 25 a half and what lies beside its ends."""
    circle = placed(KnownOutline.circle(60), 5, 5, 0)
    fit = fit_outline(circle.boundary(600).points_px[drawn], circle, "free")
    assert fit.covered == pytest.approx(covered, abs=0.02)


@pytest.mark.parametrize(
    "points", [np.zeros((30, 2)), np.linspace((0, 0), (500, 300), 60), np.zeros((3, 2))]
)
def test_points_that_no_rectangle_runs_through_are_refused(points):
    with pytest.raises(RequestError):
        find_rectangle(points, CARD, near_px=3)


def test_a_rectangle_without_one_side_is_not_determined():
    card = placed(CARD, 7, 6, 0)
    points = card.boundary(600).points_px
    assert fit_outline(points, card, "straight").determined is True
    # The right side stands at 640 + 7 * 42.8 px.
    without = points[points[:, 0] < 640 + 7 * 38]
    assert fit_outline(without, card, "straight").determined is False


def test_strays_do_not_count_for_the_spread():
    card = placed(CARD, 7, 6, 0)
    points = np.concatenate([card.boundary(600).points_px, np.full((30, 2), 640.0)])
    fit = fit_outline(points, card, "straight")
    assert fit.inliers.sum() == 600
    assert fit.spread_px == pytest.approx(0, abs=1e-9)


def test_the_lines_with_the_most_points_are_the_long_sides():
    """80 x 50 mm turned by 30 degrees at 6 px per mm, about (640, 480).

    The long sides' normal points to 120 degrees, (-1/2, √3/2), along which the middle lies at
    95.6922; the sides lie 150 px to either side of it.
    """
    points = placed(KnownOutline(80, 50), 6, 6, 30).boundary(600).points_px
    best = rectangle_fit._pairs_of_sides(points, 3.0)[0]
    assert best.direction == 120
    assert best.normal == pytest.approx([-0.5, 0.8660254])
    assert (best.low, best.high) == pytest.approx((-54.3078, 245.6922), abs=1e-3)


def test_a_map_that_stretches_and_leans_scores_less():
    """All points on the whole of it: twice 2. Then less half of ln 2.00998 and five times the lean.

    The scales are √(6² + 0.6²) = 6.02993 and 3 px per mm, the lean is 0.6 / 6.02993.
    """
    leaning = Placed(KnownOutline(80, 50), np.array([(6.0, 0.6), (0.0, 3.0)]), np.zeros(2))
    score = rectangle_fit._close_score(leaning.boundary(800).points_px, leaning, 3.0)
    assert score == pytest.approx(4 - 0.34906 - 0.49752, abs=1e-5)


def test_a_sheared_rectangle_is_found_among_strays():
    matrix = np.array([[7.0, 1.0], [0.3, 6.0]])
    points = Placed(CARD, matrix, np.array([600.0, 500.0])).boundary(500).points_px[50:]
    line = np.linspace((350, 300), (900, 800), 90)
    found = find_rectangle(np.concatenate([points, line]), CARD, near_px=4)
    assert found.matrix == pytest.approx(matrix, abs=0.01)


def test_a_rectangle_of_less_than_one_px_to_a_mm_is_not_mirrored():
    small = placed(CARD, 0.6, 0.5, 0)
    found = find_rectangle(small.boundary(600).points_px, CARD, near_px=0.5)
    assert found.matrix == pytest.approx(np.diag([0.6, 0.5]), abs=1e-6)
