"""Visual angles, distances, edges, arcs and curves.

Against published values, exact trigonometry and integration.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import integrate, special
from scipy.spatial.transform import Rotation

from mapper.choosing.viewing import (
    EYES_ALONE_DEG,
    Glass,
    Stand,
    View,
    arc_bearings_deg,
    below_deg_of_top,
    distance_for_angle_mm,
    distance_for_arc_minutes_mm,
    visual_angle_deg,
)
from mapper.desk import Display
from mapper.problems import RequestError
from mapper.units import MM_PER_INCH

sizes_mm = st.floats(50.0, 2000.0)
distances_mm = st.floats(300.0, 3000.0)


def wide(diagonal_in, across=16, down=9):
    unit = diagonal_in * MM_PER_INCH / math.hypot(across, down)
    return Glass(across * unit, down * unit)


# published and customary values
# ------------------------------------------------------------


@pytest.mark.oracle
def test_the_reference_pixel_is_about_0_0213_degrees():
    # W3C CSS Values and Units Level 4, section 6.2: 1/96 inch at 28 inches, "about 0.0213 degrees".
    assert visual_angle_deg(25.4 / 96, 28 * 25.4) == pytest.approx(0.0213, abs=5e-5)


@pytest.mark.oracle
@pytest.mark.parametrize(
    ("width_px", "height_px", "heights", "degrees"),
    # ITU-R BT.1845 / BT.2022, design viewing distance (not checked against the standards; the
    # formula reproduces them).
    [(1920, 1080, 3.2, 31), (3840, 2160, 1.6, 58), (7680, 4320, 0.8, 96)],
)
def test_itu_design_distances_are_one_arc_minute_a_pixel(width_px, height_px, heights, degrees):
    glass = Glass(1600, 900, width_px, height_px)
    distance_mm = distance_for_arc_minutes_mm(glass.pitch_mm[1])
    assert round(distance_mm / 900, 1) == heights
    view = View.of(glass, Stand(distance_mm))
    assert round(view.horizontal_deg) == degrees
    assert view.arc_minutes_per_px_x == pytest.approx(1, rel=1e-12)


@pytest.mark.parametrize(("diagonal_in", "distance_in", "degrees"), [(24, 36, 32), (50, 40, 57)])
def test_customary_widths_of_view(diagonal_in, distance_in, degrees):
    # Common practice, no source.
    view = View.of(wide(diagonal_in), Stand(distance_in * MM_PER_INCH))
    assert round(view.horizontal_deg) == degrees


def test_top_at_eye_level_at_arms_length_puts_the_centre_where_it_is_recommended():
    # OSHA, as quoted: top at eye level and the centre 15 to 20 degrees below horizontal are one
    # advice for a display of ordinary height: 24 inch, 4:3, at 24 inches.
    glass = wide(24, 4, 3)
    below_deg = below_deg_of_top(glass, 24 * MM_PER_INCH, 0.0, None)
    assert 15 <= below_deg <= 20


def test_the_neck_turns_for_what_lies_beyond_15_degrees():
    # Common practice, no source. By hand: 1400 mm at 700 mm reach 45 degrees to either side.
    assert View.of(Glass(1400, 300), Stand(700)).neck_deg == pytest.approx(30)


# exact trigonometry
# ------------------------------------------------------------


@pytest.mark.oracle
@pytest.mark.parametrize("degrees", [30, 36, 45, 60, 72, 90, 120])
def test_angles_against_sympy_exact_values(degrees):
    import sympy  # takes a second to load

    # The size that fills a whole number of degrees at 1000 mm, exact by sympy, to 50 digits and
    # then to a float.
    size_mm = float(sympy.N(2000 * sympy.tan(sympy.pi * degrees / 360), 50))
    assert visual_angle_deg(size_mm, 1000) == pytest.approx(degrees, rel=1e-14)
    assert distance_for_angle_mm(Glass(size_mm, 1), degrees) == pytest.approx(1000, rel=1e-14)


@pytest.mark.oracle
@given(st.floats(0.001, 179.0), distances_mm)
def test_angles_against_scipys_degree_functions(degrees, distance_mm):
    size_mm = 2 * distance_mm * special.tandg(degrees / 2)
    assert visual_angle_deg(size_mm, distance_mm) == pytest.approx(degrees, rel=1e-12)


@pytest.mark.oracle
def test_one_arc_minute_against_sympy():
    import sympy

    exact = sympy.N(sympy.Rational(1, 4) / (2 * sympy.tan(sympy.pi / 21600)), 50)
    assert distance_for_arc_minutes_mm(0.25) == pytest.approx(float(exact), rel=1e-14)


@given(sizes_mm, distances_mm)
def test_a_pixel_in_the_centre_is_the_closed_form(size_mm, distance_mm):
    view = View.of(Glass(size_mm, size_mm, 1000, 500), Stand(distance_mm))
    pitch_mm = size_mm / 1000
    assert view.arc_minutes_per_px_x == pytest.approx(
        60 * visual_angle_deg(pitch_mm, distance_mm), rel=1e-9
    )
    assert view.px_per_degree_x * view.arc_minutes_per_px_x == pytest.approx(60)
    assert view.arc_minutes_per_px_y == pytest.approx(
        60 * visual_angle_deg(2 * pitch_mm, distance_mm), rel=1e-9
    )
    # Off the axis a flat display's pixels shrink by d²/(d² + x²).
    lean = distance_mm**2 / (distance_mm**2 + size_mm**2 / 4)
    assert view.px_per_degree_edge == pytest.approx(view.px_per_degree_x / lean, rel=1e-4)


@given(sizes_mm, sizes_mm, distances_mm)
def test_a_display_square_in_front(width_mm, height_mm, distance_mm):
    view = View.of(Glass(width_mm, height_mm), Stand(distance_mm))
    assert view.horizontal_deg == pytest.approx(visual_angle_deg(width_mm, distance_mm), rel=1e-12)
    assert view.vertical_deg == pytest.approx(visual_angle_deg(height_mm, distance_mm), rel=1e-12)
    assert view.diagonal_deg == pytest.approx(
        visual_angle_deg(math.hypot(width_mm, height_mm), distance_mm), rel=1e-12
    )
    assert -view.left_deg == view.right_deg == pytest.approx(view.horizontal_deg / 2, rel=1e-12)
    assert -view.top_deg == view.bottom_deg == pytest.approx(view.vertical_deg / 2, rel=1e-12)
    assert view.nearest_mm == distance_mm
    assert view.farthest_mm == pytest.approx(
        math.sqrt(distance_mm**2 + (width_mm**2 + height_mm**2) / 4), rel=1e-12
    )
    assert view.neck_deg == pytest.approx(
        max(0.0, view.horizontal_deg / 2 - EYES_ALONE_DEG), abs=1e-9
    )
    assert view.px_per_degree_x is None
    assert view.px_per_degree_edge is None


# any place and any turn, against scipy's rotations
# ------------------------------------------------------------


@pytest.mark.oracle
@given(
    st.tuples(sizes_mm, sizes_mm),
    distances_mm,
    st.tuples(st.floats(-50, 50), st.floats(-40, 40)),
    st.tuples(st.floats(-30, 30), st.floats(-30, 30)),
    st.none() | st.floats(1000, 4000),
)
def test_places_against_scipys_rotations(sizes, distance_mm, where, more, radius):
    (width_mm, height_mm), (bearing, below), (more_turn, more_tilt) = sizes, where, more
    glass, stand = (
        Glass(width_mm, height_mm, None, None, radius),
        Stand(distance_mm, bearing, below, bearing + more_turn, below + more_tilt),
    )
    # Right-handed axes: leaning back is a negative rotation about x (right), a turn a positive one
    # about y (down).
    turning = Rotation.from_euler("y", stand.turn_deg, degrees=True) * Rotation.from_euler(
        "x", -stand.tilt_deg, degrees=True
    )
    point = glass.point_mm(width_mm / 3, -height_mm / 2)
    towards = Rotation.from_euler("y", bearing, degrees=True) * Rotation.from_euler(
        "x", -below, degrees=True
    )
    centre = towards.apply([0, 0, distance_mm])
    assert stand.centre_mm == pytest.approx(centre, abs=1e-9)
    assert stand.place_mm(point) == pytest.approx(turning.apply(point) + centre, abs=1e-9)


@given(sizes_mm, sizes_mm, distances_mm, st.floats(-80, 80), st.floats(-50, 50))
def test_a_display_that_faces_the_eyes_looks_the_same_wherever_it_stands(
    width_mm, height_mm, distance_mm, bearing, below
):
    ahead = View.of(Glass(width_mm, height_mm, 100, 100), Stand(distance_mm))
    aside = View.of(Glass(width_mm, height_mm, 100, 100), Stand(distance_mm, bearing, below))
    for name in (
        "horizontal_deg",
        "vertical_deg",
        "diagonal_deg",
        "arc_minutes_per_px_x",
        "px_per_degree_edge",
    ):
        assert getattr(aside, name) == pytest.approx(getattr(ahead, name), rel=1e-9)
    assert aside.centre_deg == pytest.approx(below, abs=1e-9)
    assert aside.farthest_mm == pytest.approx(ahead.farthest_mm, rel=1e-12)


@given(sizes_mm, st.floats(700, 3000), st.floats(-100, 300), st.none() | st.floats(-15, 30))
def test_the_top_edge_lies_where_it_was_put(height_mm, distance_mm, drop_mm, tilt_deg):
    glass = Glass(500, height_mm)
    try:
        below_deg = below_deg_of_top(glass, distance_mm, drop_mm, tilt_deg)
    except RequestError:
        assume(False)
    stand = Stand(distance_mm, 0.0, below_deg, None, tilt_deg)
    assert stand.place_mm(glass.point_mm(0.0, -height_mm / 2))[1] == pytest.approx(
        drop_mm, abs=1e-6
    )


def test_a_top_edge_that_cannot_be_there_is_refused():
    with pytest.raises(RequestError, match="top below eyes: is too far"):
        below_deg_of_top(Glass(500, 300), 700, 900, 0.0)


def test_the_farthest_that_a_display_may_be_turned():
    farthest = Stand(700, bearing_deg=180, below_deg=-90, turn_deg=-360, tilt_deg=90)
    assert (farthest.bearing_deg, farthest.below_deg) == (180, -90)
    assert (farthest.turn_deg, farthest.tilt_deg) == (-360, 90)


def test_a_display_that_shows_its_back_is_refused():
    with pytest.raises(RequestError, match="must show its front to the eyes"):
        View.of(Glass(500, 300), Stand(700, 0.0, 0.0, 100.0))


# curved displays
# ------------------------------------------------------------


@given(st.floats(300, 1500), st.floats(800, 4000), st.floats(300, 2500))
@pytest.mark.oracle
def test_a_curved_display_against_numerical_integration(width_mm, radius_mm, distance_mm):
    glass = Glass(width_mm, width_mm / 3, 4000, 1000, radius_mm)

    # Independent of the code: walk along the curve in the plan and add up the angle each step
    # fills.
    def slope(s):
        x, z = (
            radius_mm * np.sin(s / radius_mm),
            distance_mm - radius_mm * (1 - np.cos(s / radius_mm)),
        )
        dx, dz = np.cos(s / radius_mm), -np.sin(s / radius_mm)
        return (z * dx - x * dz) / (x * x + z * z)

    angle, _ = integrate.quad(
        slope, -width_mm / 2, width_mm / 2, epsabs=1e-12, epsrel=1e-12, limit=200
    )
    # The edges must stay in front of the eyes for the display to be looked at.
    assume(distance_mm > glass.depth_mm + 50)
    view = View.of(glass, Stand(distance_mm))
    assert view.horizontal_deg == pytest.approx(math.degrees(angle), rel=1e-9)
    rate_deg_per_mm = math.degrees(slope(width_mm / 2))
    assert view.px_per_degree_edge == pytest.approx(
        1 / (rate_deg_per_mm * width_mm / 4000), rel=1e-4
    )


@pytest.mark.oracle
@given(st.floats(300, 1500), st.floats(800, 4000))
def test_chord_and_length_of_a_curve_against_numerical_integration(width_mm, radius_mm):
    glass = Glass(width_mm, 300, radius_mm=radius_mm)
    steps = np.linspace(-width_mm / 2, width_mm / 2, 2001)
    points = np.array([glass.point_mm(step, 0.0) for step in steps])
    assert np.linalg.norm(np.diff(points, axis=0), axis=1).sum() == pytest.approx(
        width_mm, rel=1e-6
    )
    assert glass.chord_mm == pytest.approx(points[-1, 0] - points[0, 0], rel=1e-12)
    assert glass.depth_mm == pytest.approx(-points[:, 2].min(), rel=1e-9)


@given(sizes_mm, st.none() | st.floats(800, 4000), st.floats(5, 120))
def test_the_distance_for_an_angle_gives_that_angle(width_mm, radius_mm, degrees):
    glass = Glass(width_mm, 100, radius_mm=radius_mm)
    distance_mm = distance_for_angle_mm(glass, degrees)
    assert View.of(glass, Stand(distance_mm)).horizontal_deg == pytest.approx(degrees, rel=1e-9)


# arcs
# ------------------------------------------------------------


@given(
    st.lists(
        st.tuples(st.floats(200, 700), st.none() | st.floats(1000, 2000)), min_size=2, max_size=4
    ),
    st.floats(0, 20),
)
def test_no_two_frames_of_an_arc_cross_and_the_smaller_edge_lies_on_the_neighbours_ray(
    sizes, bezel_mm
):
    glasses = [Glass(width, 300, radius_mm=radius, bezel_mm=bezel_mm) for width, radius in sizes]
    try:
        bearings = arc_bearings_deg(glasses, 900)
    except RequestError:
        assume(False)
    outer = []
    for glass, bearing in zip(glasses, bearings, strict=True):
        ends = (Stand(900, bearing).place_mm(glass.frame_end_mm(side)) for side in (-1, 1))
        outer.append([math.degrees(math.atan2(end[0], end[2])) for end in ends])
    for one, two in itertools.pairwise(outer):
        assert one[1] == pytest.approx(two[0], abs=1e-7)
    assert outer[0][0] == pytest.approx(-outer[-1][1], abs=1e-7)


def test_the_display_that_is_ahead_is_at_bearing_0():
    glasses = [Glass(500, 300), Glass(600, 340), Glass(300, 500)]
    assert arc_bearings_deg(glasses, 700, ahead=1)[1] == 0.0
    assert arc_bearings_deg(glasses, 700, ahead=0)[0] == 0.0


def test_an_arc_that_closes_behind_the_head_is_refused():
    with pytest.raises(RequestError, match="must stay open behind the head"):
        arc_bearings_deg([Glass(600, 340)] * 5, 300)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Glass(600, 300, radius_mm=100), "display radius: must be at least 191 mm"),
        (lambda: Stand(700, tilt_deg=91), "tilt_deg: must be between -90 and 90"),
        (lambda: distance_for_angle_mm(Glass(600, 300), 180), "angle: must be less than 180"),
        (lambda: Glass.of_display(Display(1920, 1080)), "its size is needed"),
    ],
)
def test_wrong_values_are_named(make, message):
    with pytest.raises(RequestError, match=message):
        make()


def test_a_display_on_the_left_looks_as_large_as_its_mirror_image_on_the_right():
    left, right = (
        View.of(Glass(600, 340, 2560, 1440), Stand(700, side * 30, 15, side * 10, 20))
        for side in (-1, 1)
    )
    assert left.diagonal_deg == pytest.approx(right.diagonal_deg, rel=1e-12)
    assert left.horizontal_deg == pytest.approx(right.horizontal_deg, rel=1e-12)
    assert (left.left_deg, left.right_deg) == pytest.approx((-right.right_deg, -right.left_deg))
