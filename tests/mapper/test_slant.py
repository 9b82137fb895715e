"""A tablet that lies askew, against shapely, affine, scipy and what the hand would see."""

import math
from dataclasses import replace

import affine as outside
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.linalg import polar
from shapely.affinity import rotate
from shapely.geometry import Polygon, box

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.feel import Feel
from mapper.mapping.fits import fit_rects
from mapper.mapping.slant import largest_upright, slanted_fit, tilt_deg
from mapper.mapping.solve import MapRequest, unturned_map
from mapper.mapping.steps import Step
from mapper.problems import RequestError
from mapper.rect import Rect, turned_extent
from mapper.rounding.rounded import rounded
from mapper.solving import solve
from tests.strategies import any_requests, fits, holds, lengths_mm, slants_deg, turns_deg

usual_lengths = st.floats(min_value=50.0, max_value=500.0)
sources = st.builds(Rect, st.just(3.0), st.just(4.0), usual_lengths, usual_lengths)
targets = st.builds(Rect, st.just(-5.0), st.just(6.0), lengths_mm, lengths_mm)
real_slants = slants_deg.filter(lambda slant: abs(slant) > 1e-3)


def askew(slant_deg, *, turn_deg=0, fit="locked", **asked):
    display = Display(2560, 1440).with_diagonal(27 * 25.4)
    tablet = Tablet(240, 152, 150, turn_deg, slant_deg=slant_deg)
    return solve(MapRequest(tablet, Desktop((display,)), fit, **asked))


@pytest.mark.oracle
@given(any_requests())
def test_the_turned_area_stays_on_the_tablet_as_shapely_sees_it(request):
    solved = solve(request)
    source = solved.source_seen_mm
    room = box(source.left, source.top, source.right, source.bottom)
    slack = 1e-9 * max(source.width, source.height)
    assert room.buffer(slack, join_style="mitre").covers(Polygon(solved.area_corners_seen_mm))


@pytest.mark.oracle
@given(sources, targets, slants_deg, holds)
def test_locked_is_the_largest_of_its_proportions(source, target, slant_deg, hold):
    area, screen = slanted_fit(source, target, "locked", hold, slant_deg)
    assert screen == target
    assert area.width / area.height == pytest.approx(target.width / target.height, rel=1e-9)
    # By shapely: the box that the turned area fills is as wide or as tall as the tablet, so no
    # larger one fits.
    left, top, right, bottom = outline(area, slant_deg).bounds
    assert max((right - left) / source.width, (bottom - top) / source.height) == pytest.approx(
        1, rel=1e-9
    )


def outline(area, slant_deg):
    """The area as it lies on the tablet, turned against the slant about its centre.

    shapely's own rotation.
    """
    # With y down shapely's anticlockwise angle is clockwise as seen.
    return rotate(Polygon(area.corners), -slant_deg, origin="centroid")


@pytest.mark.oracle
@given(usual_lengths, usual_lengths, slants_deg, st.floats(-3.0, 3.0))
def test_no_upright_rectangle_of_any_proportions_is_larger_than_full_takes(
    width, height, slant_deg, log_ratio
):
    source = Rect(0, 0, width, height)
    area, _ = slanted_fit(source, Rect(0, 0, 1, 1), "full", "centre", slant_deg)
    other_width, other_height = math.exp(log_ratio), 1.0
    across, down = turned_extent(other_width, other_height, slant_deg)
    times = min(width / across, height / down)
    assert other_width * other_height * times * times <= area.width * area.height * (1 + 1e-9)


@given(sources, targets, fits, holds)
def test_a_slant_of_nothing_is_the_plain_fit(source, target, fit, hold):
    for one, other in zip(
        slanted_fit(source, target, fit, hold, 1e-12),
        fit_rects(source, target, fit, hold),
        strict=True,
    ):
        for side in ("left", "top", "width", "height"):
            assert getattr(one, side) == pytest.approx(getattr(other, side), rel=1e-7, abs=1e-7)


def test_by_hand_at_45_degrees():
    # A square of side 100 turned by half a right angle holds an upright square of half its area
    # (50·√2 a side).
    area, _ = slanted_fit(Rect(0, 0, 100, 100), Rect(0, 0, 1, 1), "locked", "centre", 45)
    assert (area.width, area.height) == pytest.approx((50 * 2**0.5, 50 * 2**0.5))
    # Of 300 x 100 the largest is bound by the short side alone: 50/sin by 50/cos.
    area, _ = slanted_fit(Rect(0, 0, 300, 100), Rect(0, 0, 1, 1), "full", "left", 45)
    assert area.width * area.height == pytest.approx(50 * 2**0.5 * 50 * 2**0.5)


@pytest.mark.oracle
@given(real_slants, turns_deg, fits)
def test_the_map_is_the_one_that_the_affine_library_composes(slant_deg, turn_deg, fit):
    solved = askew(slant_deg, turn_deg=turn_deg, fit=fit)
    area, screen = solved.area_seen_mm, solved.screen_px
    seen = {
        0: outside.Affine.identity(),
        90: outside.Affine.translation(152, 0) @ outside.Affine.rotation(90),
        180: outside.Affine.translation(240, 152) @ outside.Affine.rotation(180),
        270: outside.Affine.translation(0, 240) @ outside.Affine.rotation(270),
    }[turn_deg]
    # The desk sees the tablet turned clockwise by the slant; about the middle of the area, which
    # stays where it is.
    x, y = area.centre
    theirs = (
        outside.Affine.translation(*screen.centre)
        @ outside.Affine.scale(screen.width / area.width, screen.height / area.height)
        @ outside.Affine.rotation(slant_deg)
        @ outside.Affine.translation(-x, -y)
        @ seen
    )
    ours = solved.built_mm_to_desktop_px
    assert tuple(theirs)[:6] == pytest.approx(
        (ours.a, ours.b, ours.c, ours.d, ours.e, ours.f), rel=1e-9, abs=1e-7
    )
    # What the hand does upright comes out upright.
    assert solved.figures[0].tilt_deg == 0
    assert fit == "full" or solved.figures[0].distortion.stretch == 1


@pytest.mark.oracle
@given(real_slants, fits)
def test_the_unturned_compromise_costs_a_tilt_by_the_polar_decomposition(slant_deg, fit):
    straight = unturned_map(askew(slant_deg, fit=fit))
    figures = straight.figures[0]
    assert straight.area_angle_deg == 0
    assert straight.area_built_mm == askew(0.0, fit=fit).area_built_mm
    # What the hand does, through the slant, into the straight map, on the glass.
    pitch = straight.reference.mm_per_px
    scale = np.diag(
        [
            straight.screen_px.width / straight.area_seen_mm.width * pitch[0],
            straight.screen_px.height / straight.area_seen_mm.height * pitch[1],
        ]
    )
    back = np.radians(-slant_deg)
    linear = scale @ np.array([[np.cos(back), -np.sin(back)], [np.sin(back), np.cos(back)]])
    rotation, _ = polar(linear)
    assert figures.tilt_deg == pytest.approx(
        np.degrees(np.arctan2(rotation[1, 0], rotation[0, 0])), abs=1e-9
    )
    longest, shortest = np.linalg.svd(linear, compute_uv=False)
    assert figures.distortion.stretch == pytest.approx(longest / shortest)
    if fit != "full":
        assert figures.tilt_deg == pytest.approx(-slant_deg)
        assert figures.distortion.stretch == pytest.approx(1)


@given(st.tuples(*[st.floats(-5, 5)] * 4).filter(lambda m: m[0] * m[3] - m[1] * m[2] > 0.1))
def test_tilt_is_the_angle_of_the_polar_rotation(linear):
    rotation, _ = polar(np.array(linear).reshape(2, 2))
    expected = np.degrees(np.arctan2(rotation[1, 0], rotation[0, 0]))
    assert (tilt_deg(*linear) - expected + 180) % 360 - 180 == pytest.approx(0, abs=1e-6)


def test_an_area_that_is_set_now_is_not_turned_and_shows_its_tilt():
    solved = askew(10.0, fit="full", area_built_mm=Rect(0, 8.5, 240, 135))
    assert solved.area_angle_deg == 0
    assert solved.figures[0].tilt_deg == pytest.approx(-10)
    assert solved.figures[0].distortion.stretch == pytest.approx(1)


@given(turns_deg, st.floats(-400, 400).filter(lambda slant: abs(slant) > 45))
def test_a_larger_slant_is_refused_with_the_turn_and_slant_that_lie_the_same(turn_deg, slant_deg):
    with pytest.raises(RequestError) as refused:
        Tablet(240, 152, turn_deg=turn_deg, slant_deg=slant_deg)
    slots = refused.value.problems[0].instead.slots
    turn, slant = float(slots.get("turn", 0)), float(slots["slant"])
    assert turn in {0, 90, 180, 270}
    assert abs(slant) <= 45
    assert (turn + slant - turn_deg - slant_deg + 180) % 360 - 180 == pytest.approx(0, abs=1e-3)


def test_a_slant_does_not_depend_on_what_else_is_asked():
    one = askew(-7.5, hold="top-left")
    other = solve(replace(one.request, onto=(), true_on=None))
    assert one == other


@given(any_requests())
def test_the_corners_of_the_area_as_it_lies_go_to_the_corners_of_the_screen(request):
    solved = solve(request)
    size = max(1.0, *(abs(value) for corner in solved.screen_px.corners for value in corner))
    slack = 1e-8 * size * max(1.0, solved.screen_px.width / solved.area_seen_mm.width)
    for sent, corner in zip(
        (solved.seen_mm_to_desktop_px.point(x, y) for x, y in solved.area_corners_seen_mm),
        solved.screen_px.corners,
        strict=True,
    ):
        assert sent == pytest.approx(corner, abs=slack)
    back = ~solved.request.tablet.built_to_seen
    for (x, y), corner in zip(solved.area_corners_seen_mm, solved.screen_px.corners, strict=True):
        assert solved.built_mm_to_desktop_px.point(*back.point(x, y)) == pytest.approx(
            corner, abs=slack
        )


@given(any_requests(), st.floats(0, 1), st.floats(0, 1))
def test_the_unit_matrix_is_the_same_map(request, x, y):
    solved = solve(request)
    tablet, desktop = solved.request.tablet, solved.request.desktop.rect_px
    to_px = solved.built_mm_to_desktop_px.point(x * tablet.width_mm, y * tablet.height_mm)
    to_unit = solved.built_unit_to_desktop_unit.point(x, y)
    size = max(1.0, abs(to_unit[0]), abs(to_unit[1]))
    assert to_unit == pytest.approx(
        ((to_px[0] - desktop.left) / desktop.width, (to_px[1] - desktop.top) / desktop.height),
        abs=1e-8 * size,
    )
    back = solved.desktop_px_to_built_mm.point(*to_px)
    assert back == pytest.approx(
        (x * tablet.width_mm, y * tablet.height_mm), abs=1e-6 * max(tablet.width_mm, 1)
    )


@given(real_slants, st.sampled_from(["locked", "cropped"]), st.floats(0.3, 3.0), holds)
def test_a_wanted_feel_is_kept_without_the_turn(slant_deg, fit, times, hold):
    largest = askew(slant_deg, fit=fit).summary.scale_factor
    # As much as the turned area can have of it, and all else that it can have.
    scale = largest * (max(1.0, times) if fit == "locked" else min(1.0, times))
    solved = askew(slant_deg, fit=fit, hold=hold, feel=Feel(scale, scale))
    straight = unturned_map(solved)
    assert straight.summary.scale_factor == pytest.approx(scale, rel=1e-9)
    assert straight.figures[0].distortion.stretch == pytest.approx(1)
    assert straight.source_seen_mm.holds(straight.area_seen_mm, slack=1e-9)
    assert straight.target_px.holds(straight.screen_px, slack=1e-6)
    # No side of it could grow: on each axis the tablet or the screen is used up.
    area, screen = straight.area_seen_mm, straight.screen_px
    assert max(area.width / 240, screen.width / 2560) == pytest.approx(1)
    assert max(area.height / 152, screen.height / 1440) == pytest.approx(1)
    on_step = rounded(solve(replace(solved.request, step=Step(0.05, "mm"))))
    assert on_step.summary.scale_factor == pytest.approx(scale, rel=0.02)


@given(any_requests(fit=st.sampled_from(["locked", "cropped"]), sized=True), st.floats(0.05, 20.0))
def test_without_a_slant_what_trims_both_is_the_fit_where_that_has_the_scale(request, times):
    request = replace(request, tablet=replace(request.tablet, slant_deg=0.0), area_built_mm=None)
    request = replace(request, fit="locked" if request.fit == "full" else request.fit)
    scale = times * solve(request).summary.scale_factor
    request = replace(request, feel=Feel(scale, scale))
    try:
        solved = solve(request)
    except RequestError:
        return
    loose = unturned_map(solved)
    for one, other in (
        (solved.area_seen_mm, loose.area_seen_mm),
        (solved.screen_px, loose.screen_px),
    ):
        size = max(one.width, one.height)
        for side in ("left", "top", "width", "height"):
            assert getattr(one, side) == pytest.approx(
                getattr(other, side), rel=1e-9, abs=1e-9 * size
            )


@pytest.mark.parametrize("slant_deg", [5e-324, 1e-200, 1e-11])
def test_a_slant_too_small_to_turn_anything_changes_nothing(slant_deg):
    assert largest_upright(240.0, 152.0, slant_deg, 240.0, 100.0) == pytest.approx((240, 100))
    assert largest_upright(240.0, 152.0, slant_deg) == pytest.approx((240, 152))


@pytest.mark.parametrize(
    ("most", "sides"),
    [
        # By hand, with sin 30 = 0.5 and cos 30 = 0.8660: 240 x 152 takes w·c + h·s <= 240 and
        # w·s + h·c <= 152. Alone the short side binds, at its middle: 76 / 0.5 by 76 / 0.8660.
        ((math.inf, math.inf), (152, 87.757)),
        # No wider than 100: (152 - 50) / 0.8660 high, as 306.8 would be left the other way.
        ((100, math.inf), (100, 117.779)),
        # No higher than 50: (152 - 43.301) / 0.5 wide, as 248.3 would be left the other way.
        ((math.inf, 50), (217.397, 50)),
        # Both limits are the less.
        ((100, 50), (100, 50)),
    ],
)
def test_the_largest_that_lies_askew_within_limits_by_hand(most, sides):
    assert largest_upright(240, 152, 30, *most) == pytest.approx(sides, abs=5e-4)


def test_of_two_that_a_limit_each_leaves_the_larger_is_taken_by_hand():
    # 152 x 240 no wider than 110 is 113.5 high, 12483 square mm: (152 - 110 cos 30) / sin 30. No
    # higher than 150 it is (152 - 150 sin 30) / cos 30 wide, 13337 square mm.
    assert largest_upright(152, 240, 30, 110, 150) == pytest.approx((88.912, 150), abs=5e-4)
