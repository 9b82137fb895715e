"""What traces say of a map.

Known maps recovered, intervals that hold, the whole map from several traces.
"""

import itertools
import math

import numpy as np
import pytest
from skimage.transform import AffineTransform

from mapper.affine import Affine
from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.solve import MapRequest
from mapper.problems import RequestError
from mapper.solving import solve
from mapper.tracing import wobble
from mapper.tracing.diagnosis import diagnose
from mapper.tracing.measure import (
    MeasuredMap,
    Trace,
    Way,
    find_trace,
    measure,
    measure_trace,
    other_reading,
    whole_map,
)
from mapper.tracing.outline import KnownOutline, Placed
from mapper.tracing.outline_fit import fit_outline
from mapper.tracing.wobble import HAND_SD_MM, estimate
from tests.studies.trace_coverage import (
    MAPS,
    PATHS,
    SHAPES,
    WANDERS,
    Stepped,
    coverage,
    drawn,
    hand,
    together,
)

CARD = KnownOutline(85.6, 53.98, 3.18)
CIRCLE = KnownOutline.circle(60)


def turned(matrix, turn_deg):
    cos, sin = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    return np.array(matrix, dtype=float) @ [[cos, -sin], [sin, cos]]


def traced(outline, matrix, centre_px=(700.0, 500.0), *, noise_px=0.0, seed=0):
    boundary = Placed(outline, np.array(matrix, dtype=float), np.array(centre_px)).boundary(300)
    off = np.random.default_rng(seed).normal(0, noise_px, (300, 1)) if noise_px else 0.0
    points = boundary.points_px + boundary.normals * off
    return measure_trace(points, find_trace(points, outline, near_px=3))


@pytest.mark.parametrize("outline", [CARD, CIRCLE, KnownOutline(50, 50)])
def test_an_exact_trace_gives_the_maps_numbers(outline):
    measured = measure([traced(outline, turned([[8, 0], [0, 7.5]], 0 if outline is CIRCLE else 4))])
    assert measured.x_px_per_mm.value == pytest.approx(8, rel=1e-9)
    assert measured.y_px_per_mm.value == pytest.approx(7.5, rel=1e-9)
    assert measured.ratio.value == measured.stretch.value == pytest.approx(8 / 7.5, rel=1e-9)
    assert not measured.leans
    assert measured.long_axis_deg is None
    if outline is CIRCLE:
        assert measured.thing_turn_deg is None
    else:
        turn = measured.thing_turn_deg
        assert (turn.low, turn.value, turn.high) == pytest.approx((4, 4, 4), abs=1e-6)


def test_a_quarter_turn_shows_in_a_card_and_leaves_the_screens_axes():
    measured = measure([traced(CARD, turned([[8, 0], [0, 7]], 90))])
    assert abs(measured.thing_turn_deg.value) == pytest.approx(90, abs=1e-6)
    assert (measured.x_px_per_mm.value, measured.y_px_per_mm.value) == pytest.approx(
        (8, 7), rel=1e-9
    )


def test_a_stretched_canvas_that_was_turned_leans():
    matrix = turned(np.eye(2), 15) @ np.diag([8, 7])
    for outline in (CARD, CIRCLE):
        measured = measure([traced(outline, matrix, noise_px=0.3)])
        assert measured.leans
        assert measured.stretch.value == pytest.approx(8 / 7, rel=2e-3)
        assert measured.long_axis_deg.value == pytest.approx(15, abs=1)
        assert measured.long_axis_deg.holds(15)
    backward = measure([traced(CARD, turned(np.eye(2), -15) @ np.diag([8, 7]), noise_px=0.3)])
    axis = backward.long_axis_deg
    assert axis.value == pytest.approx(165, abs=1)
    assert axis.high - axis.value == pytest.approx(axis.value - axis.low, rel=1e-6)


def test_stretch_is_never_below_one_and_its_interval_reaches_there():
    measured = measure([traced(CIRCLE, np.diag([7, 7]), noise_px=1.0)])
    assert measured.stretch.low == 1.0 <= measured.stretch.value < measured.stretch.high
    taller, wider = (measure([traced(CIRCLE, np.diag(d), noise_px=0.5)]) for d in ((7, 8), (8, 7)))
    assert taller.ratio.value < 1 < wider.ratio.value
    assert taller.stretch.value == pytest.approx(8 / 7, rel=5e-3)


# The table of every kind is tests/studies/trace_coverage.py. Here: two traces of each of its 80
# kinds, seeded; one standard error is 1.7 points.
@pytest.mark.long
def test_intervals_hold_the_truth_as_often_as_they_say_and_no_straight_map_is_said_to_lean():
    kinds = [*itertools.product(SHAPES.values(), WANDERS.values(), PATHS.values())]
    held_percent = np.array(
        [
            coverage(*kinds[seed % len(kinds)], 1, seed=seed, followed=True)[:3]
            for seed in range(2 * len(kinds))
        ]
    )
    x, ratio, lean = held_percent.mean(axis=0)
    assert 93 <= x <= 99
    assert 93 <= ratio <= 99
    assert lean == 0


def test_straight_maps_lean_no_more_often_than_chance_and_agree_with_themselves():
    # The desk whose map is 11 px per mm both ways: traces of it, two of each kind. Called a lean: 1
    # in 1000 by chance.
    desk = solve(MapRequest(Tablet(240, 140), Desktop((Display(2640, 1540),))))
    outlines = [SHAPES[name] for name in ("circle 60 mm", "card", "a6")]
    random = np.random.default_rng(19)
    findings, leans = [], []
    for outline, wander, path in itertools.product(outlines, WANDERS.values(), PATHS.values()):
        lay = np.eye(2) if outline.is_circle else turned(np.eye(2), 2.0)
        stepped = Stepped(outline, 11.0 * lay)
        for _ in range(2):
            measured = measure([stepped.trace(*hand(random, outline, wander, path))])
            leans.append(measured.leans)
            findings.append(diagnose(measured, desk))
    assert len(findings) == 96
    assert sum(leans) <= 1
    assert all(
        finding.agrees for finding, leaning in zip(findings, leans, strict=True) if not leaning
    )


def test_a_lean_that_is_real_is_found_in_every_kind():
    # A canvas turned by 40 degrees after a map that stretches by a quarter; a coin of 16 mm tells
    # no less.
    matrix = turned(np.eye(2), 40) @ np.diag([8, 6.4])
    random = np.random.default_rng(5)
    for outline, wander in itertools.product(
        (SHAPES["circle 16 mm"], SHAPES["card"]), WANDERS.values()
    ):
        points = drawn(random, outline, wander, PATHS["whole"], matrix)
        assert measure(
            [measure_trace(points, Placed(outline, matrix, np.array([700.0, 500.0])))]
        ).leans


def test_white_noise_is_given_the_error_that_least_squares_gives_it():
    # Source: the textbook covariance, sigma² (X'X)⁻¹, here for a straight line.
    random = np.random.default_rng(8)
    share = np.arange(96) / 96
    design = np.stack([np.ones(96), share], axis=1)
    noise = random.normal(0, HAND_SD_MM, (40, 96))
    spreads = [np.sqrt(np.diag(estimate(design, each, share, 200.0).covariance)) for each in noise]
    textbook = HAND_SD_MM * np.sqrt(np.diag(np.linalg.inv(design.T @ design)))
    assert np.median(spreads, axis=0) == pytest.approx(textbook, rel=0.15)


def test_repeated_traces_shrink_the_interval_and_disagreeing_ones_widen_it():
    same = [traced(CIRCLE, np.diag([7, 7]), noise_px=1, seed=seed) for seed in range(4)]
    one, four = measure(same[:1]), measure(same)
    assert four.traces == 4
    assert 0.35 < four.ratio.half_width / one.ratio.half_width < 0.8
    apart = measure([traced(CIRCLE, np.diag([7, y]), noise_px=0.3) for y in (6.8, 7.2)])
    assert apart.ratio.low < 7 / 7.2
    assert apart.ratio.high > 7 / 6.8


PLACES = [(60.0, 45.0), (170.0, 45.0), (60.0, 105.0), (170.0, 105.0)]
TRUE = np.array([[11.4, 0.2, -40.0], [-0.1, 11.1, 25.0], [0, 0, 1]])


def whole(noise_mm, outline=CARD, places=PLACES, seed=3):
    random = np.random.default_rng(seed)
    traces = []
    for place in places:
        x, y = np.array(place) + random.normal(0, noise_mm, 2)
        centre = TRUE[:2, :2] @ (x, y) + TRUE[:2, 2]
        linear, wobble = turned(TRUE[:2, :2], 1.5), (0.5 if noise_mm else 0.0)
        traces.append(
            traced(outline, linear, tuple(centre), noise_px=wobble, seed=random.integers(1 << 30))
        )
    return whole_map(traces, list(places), max(noise_mm, 0.01))


@pytest.mark.oracle
def test_the_whole_map_of_exact_traces_is_the_one_that_scikit_image_estimates_from_their_centres():
    centres = [tuple(TRUE[:2, :2] @ place + TRUE[:2, 2]) for place in PLACES]
    theirs = AffineTransform.from_estimate(np.array(PLACES), np.array(centres)).params
    ours = np.array(whole(0.0).seen_mm_to_desktop_px.rows)
    assert theirs == pytest.approx(TRUE, abs=1e-6)
    assert ours == pytest.approx(theirs, abs=1e-5)


@pytest.mark.parametrize("outline", [CARD, CIRCLE])
def test_two_corners_give_the_offset_with_error_bars(outline):
    found = whole(0.4, outline, [(60.0, 45.0), (170.0, 105.0)])
    for element, value in zip("abcdef", TRUE[:2].ravel(), strict=True):
        known = found.interval(element)
        assert abs(known.value - value) < 2 * known.half_width + 1e-9
    left, top = found.back(0, 0)
    x, y = np.linalg.solve(TRUE[:2, :2], -TRUE[:2, 2])
    assert abs(left.value - x) < 2 * left.half_width < 6
    assert abs(top.value - y) < 2 * top.half_width < 6


@pytest.mark.parametrize("outline", [CARD, CIRCLE])
def test_places_in_a_line_leave_a_mirror_open_and_others_do_not(outline):
    in_line = [(60.0, 45.0), (170.0, 45.0)]
    assert whole(0.0, outline, in_line).other_way == Way(180, True)
    for spread in (PLACES, PLACES[:3], [PLACES[0], PLACES[3]]):
        found = whole(0.0, outline, spread)
        assert (found.way, found.other_way) == (Way(), None)


@pytest.mark.parametrize("turn_deg", [90, 180, 270])
@pytest.mark.parametrize("mirrored", [False, True])
def test_two_corners_tell_a_quarter_turn_and_a_mirror(turn_deg, mirrored):
    linear = np.diag([-1 if mirrored else 1, 1]) @ turned(np.diag([10, 10]), turn_deg)
    places = [PLACES[0], PLACES[3]]
    traces = [traced(CIRCLE, linear, tuple(linear @ place + (700, 500))) for place in places]
    assert whole_map(traces, places).way == Way(turn_deg, mirrored)


def test_a_worked_example_of_a_map_from_two_circles():
    """Two exact circles of 60 mm, 110 mm apart along x, each laid to 0.5 mm.

    A hand beside the edge, 0.16 of 60 mm, and a slow wander, 0.08 of 60, make ln x of a circle
    0.0029814 unsure, that of two 0.0021082. The places add 0.5 * √2 / 110 = 0.0064282: together
    1 / √(1 / 0.0021082² + 1 / 0.0064282²) = 0.0020032, of 10 px per mm 0.03926 (1.96 times).
    """
    circles = [traced(CIRCLE, np.diag([10, 9]), centre) for centre in ((700, 500), (1800, 500))]
    found = whole_map(circles, [(60, 45), (170, 45)])
    assert found.interval("a").value == pytest.approx(10)
    assert found.interval("a").half_width == pytest.approx(0.03926, abs=1e-5)
    # What is along x alone tells nothing of y: f goes with a as far as e does, 45 mm up.
    row = found.covariance[0]
    assert row[5] == pytest.approx(-45 * row[4], rel=1e-3)


def test_the_other_reading_of_a_rectangle_has_its_sides_exchanged():
    outline, matrix = KnownOutline(80, 50), np.diag([8.0, 7.5])
    points = Placed(outline, matrix, np.array([700.0, 500.0])).boundary(300).points_px
    other = measure([other_reading(points, traced(outline, matrix))])
    # 640 px across are 50 mm, and 375 px down are 80.
    assert other.x_px_per_mm.value == pytest.approx(12.8)
    assert other.y_px_per_mm.value == pytest.approx(4.6875)
    assert other.thing_turn_deg.value == pytest.approx(90)
    assert other_reading(points, traced(CIRCLE, matrix)) is None
    # 640 px for 10 mm and 75 px for 80: no map stretches 68 times.
    sliver = KnownOutline(80, 10)
    assert other_reading(points, traced(sliver, matrix)) is None


@pytest.mark.parametrize(("half_deg", "askew"), [(1.15, True), (1.25, False)])
def test_a_turn_is_more_than_chance_beyond_3_29_standard_errors(half_deg, askew):
    """Any table of the normal distribution: 99.9 % lie within 3.29, 95 % within 1.96.

    Two degrees with 1.15 either way are 3.41, with 1.25 they are 3.14.
    """
    # The turn is atan2(d - b, a + e): the variances of b and d count, over (2 * 10 px per mm)².
    variance = (math.radians(half_deg) / 1.96 * 20) ** 2 / 2
    covariance = tuple(tuple(row) for row in (np.eye(6) * [0, 1, 0, 1, 0, 0] * variance).tolist())
    cos, sin = 10 * math.cos(math.radians(2)), 10 * math.sin(math.radians(2))
    found = MeasuredMap(Affine(cos, -sin, 0, sin, cos, 0), covariance, 1.0)
    assert found.turn_deg.value == pytest.approx(2)
    assert found.turn_deg.half_width == pytest.approx(half_deg, rel=2e-3)
    assert found.askew is askew


def test_traces_at_one_place_cannot_tell_the_whole_map():
    traces = [traced(CARD, np.diag([7, 7])) for _ in range(2)]
    with pytest.raises(RequestError, match="apart"):
        whole_map(traces, [(60, 45), (61, 45)])


def scipy_figures(diameters, points):
    """x and y px per mm and the lean of one map of several circles, by scipy.

    Each circle has a centre of its own.
    """
    from scipy.optimize import least_squares

    def off(unknowns):
        # The distance from |M (p - c)| = r, to first order in px, M being the inverse of the map:
        # one M, a centre for each.
        inverse = np.array([[unknowns[0], unknowns[1]], [unknowns[1], unknowns[2]]])
        found = []
        for index, (d, each) in enumerate(zip(diameters, points, strict=True)):
            hand = (each - unknowns[3 + 2 * index : 5 + 2 * index]) @ inverse
            length = np.hypot(*hand.T)
            found.append((length - d / 2) * length / np.hypot(*(hand @ inverse).T))
        return np.concatenate(found)

    start, sizes = [0.1, 0, 0.1, *[700, 500] * len(points)], [0.01] * 3 + [1] * 2 * len(points)
    theirs = least_squares(off, start, x_scale=sizes, xtol=1e-12, ftol=1e-12).x
    inverse = np.array([[theirs[0], theirs[1]], [theirs[1], theirs[2]]])
    gram = np.linalg.inv(inverse @ inverse)
    return (
        math.sqrt(gram[0, 0]),
        math.sqrt(gram[1, 1]),
        gram[0, 1] / math.sqrt(gram[0, 0] * gram[1, 1]),
    )


@pytest.mark.oracle
def test_circles_give_what_scipy_finds_of_each_and_of_all_their_points_at_once():
    diameters = (40, 60)
    circles, points = [], []
    for d in diameters:
        placed = Placed(KnownOutline.circle(d), MAPS["slanted"], np.array((700.0, 500.0)))
        boundary = placed.boundary(300)
        points.append(
            boundary.points_px
            + boundary.normals * np.random.default_rng(d).normal(0, 0.8, (300, 1))
        )
        # Plain least squares, as scipy's are.
        circles.append(
            Trace(
                *(
                    fit_outline(points[-1], placed, kind, strict=True)
                    for kind in ("straight", "free")
                )
            )
        )

    def apart(ours, theirs):
        assert ours.leans
        return [
            abs(known.value - value) / known.half_width
            for known, value in zip(
                (ours.x_px_per_mm, ours.y_px_per_mm, ours.lean), theirs, strict=True
            )
        ]

    for index in (0, 1):
        theirs = scipy_figures(diameters[index : index + 1], points[index : index + 1])
        # Their distances are those of first order.
        assert max(apart(measure(circles[index : index + 1]), theirs)) < 0.05
    # Together the weights differ: theirs are those of white noise that is known to be white.
    assert max(apart(measure(circles), scipy_figures(diameters, points))) < 0.2


def test_residuals_that_tell_nothing_give_one_estimate_that_is_sure():
    exact = estimate(np.eye(8, 2), np.zeros(8), np.arange(8) / 8, 100.0)
    few = estimate(np.eye(4, 2), np.ones(4), np.arange(4) / 4, 100.0)
    for found in (exact, few):
        assert found.mean.tolist() == [0, 0]
        assert found.weights.tolist() == [1]
        assert found.covariances.tolist() == [[[0, 0], [0, 0]]]


@pytest.mark.parametrize("begin", [0, 20, 50, 80])
def test_an_overshoot_counts_alike_wherever_the_outline_is_counted_from(begin):
    """Residuals of a pen that set down at 10 of 96 stretches and overshot to 22."""
    share = np.arange(96) / 96
    random = np.random.default_rng(4)
    wander = np.cumsum(random.normal(0, 0.02, 96))
    wander = np.roll(np.where(np.arange(96) < 12, (wander + 0.3) / 2, wander), 10)
    design = np.stack([np.ones(96), np.cos(2 * np.pi * share)], axis=1)
    spreads = [
        estimate(np.roll(design, by, axis=0), np.roll(wander, by), share, 188.0).covariance
        for by in (0, begin)
    ]
    assert spreads[1] == pytest.approx(spreads[0], rel=1e-6)


@pytest.mark.parametrize("matrix", MAPS.values(), ids=MAPS)
@pytest.mark.parametrize("placed", [3, 2, 0])
@pytest.mark.long
def test_different_things_together_hold_scales_lean_and_place(matrix, placed):
    leans, *held = together(matrix, placed, 12, seed=placed)
    assert leans == 100
    assert np.mean(held) >= 88


@pytest.mark.parametrize(("line_deg", "open_way"), [(7, True), (8, False)])
def test_a_mirror_is_ruled_out_where_the_tablet_would_lie_more_than_15_degrees_askew(
    line_deg, open_way
):
    """Two places leave a mirror open, but then the map is turned by twice the angle of their line.

    Tablets lie askew within 5 degrees (one standard deviation; common practice, no source), and
    three are too much: 14 are possible, 16 are not.
    """
    direction = math.radians(line_deg)
    places = [(60, 45), (60 + 100 * math.cos(direction), 45 + 100 * math.sin(direction))]
    circles = [traced(CIRCLE, np.diag([9, 9]), (200 + 9 * x, 100 + 9 * y)) for x, y in places]
    found = whole_map(circles, places)
    assert found.way == Way()
    assert (found.other_way is not None) is open_way


def test_what_a_hand_does_that_no_wobble_shows():
    """A twelfth of a mm to one side, twice, and 0.08 mm of oval, or 0.03 mm of a card's sides."""
    assert traced(CIRCLE, np.diag([7, 7])).unseen == pytest.approx(
        np.array([(0.16 / 60, 0.16 / 60), (0.08 / 60, -0.08 / 60)])
    )
    upright = traced(CARD, turned(np.diag([7, 7]), 90))
    assert upright.unseen == pytest.approx(
        np.array([(0.16 / 53.98, 0.16 / 85.6), (0.03 / 53.98, -0.03 / 85.6)])
    )


def test_a_pen_was_set_down_where_the_line_jumps():
    """A line that lies 0.1 mm farther out from the eleventh to the twenty-sixth of forty points.

    Its jumps are a quarter and 0.65 of the way round, 0.4 apart: it began at the one, at the other,
    or went over its beginning from the one to the other.
    """
    shares = np.arange(40) / 40 + 0.0125
    residuals = np.where((np.arange(40) >= 10) & (np.arange(40) < 26), 0.1, 0.0)
    paths = wobble._pen_paths(shares, residuals)
    once = -math.log(40)
    assert [each for path in paths for each in path] == pytest.approx(
        [0.25, 0, once, 0.65, 0, once, 0.25, 0.4, 2 * once]
    )


def test_how_alike_a_wander_is_one_length_on():
    """Matern kernels of smoothness 1/2 and 3/2 and the Gaussian, by a pocket calculator.

    e^-1, (1 + √3) e^-√3 and e^(-1/2).
    """
    near = np.array([0.0, 1.0])
    alike = [family(near).tolist() for family in wobble._FAMILIES]
    assert alike == [
        pytest.approx([1, 0.367879], abs=1e-6),
        pytest.approx([1, 0.483358], abs=1e-6),
        pytest.approx([1, 0.606531], abs=1e-6),
    ]
