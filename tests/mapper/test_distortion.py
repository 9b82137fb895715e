"""Tissot's indicatrix against printed tables, other libraries and 50-digit arithmetic.

Sources: J. P. Snyder, Map Projections: A Working Manual, USGS Professional Paper 1395 (1987); PROJ
by way of pyproj; numpy's singular value decomposition (LAPACK); mpmath; G. Strang, Linear Algebra
and Learning from Data (2019), I.8.
"""

import math

import mpmath
import numpy as np
import pyproj
import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from mapper.distortion import Distortion
from mapper.problems import RequestError
from tests.strategies import affines, elements, lengths_mm

# Printed tables
# ------------------------------------------------------------

# Snyder, Table 21, polar aspect of the orthographic projection: latitude, h, omega in degrees; k is
# 1.
SNYDER_TABLE_21 = [
    (80, ".98481", "0.877"),
    (70, ".93969", "3.563"),
    (60, ".86603", "8.234"),
    (50, ".76604", "15.23"),
    (40, ".64279", "25.12"),
    (30, ".50000", "38.94"),
    (20, ".34202", "58.72"),
    (10, ".17365", "89.51"),
]


@pytest.mark.oracle
@pytest.mark.parametrize(("latitude_deg", "printed_h", "printed_omega"), SNYDER_TABLE_21)
def test_snyders_table_of_the_polar_orthographic(latitude_deg, printed_h, printed_omega):
    h = math.sin(math.radians(latitude_deg))
    assert f"{h:.5f}".lstrip("0") == printed_h
    found = Distortion.of_linear(1.0, 0.0, 0.0, h)
    places = len(printed_omega.partition(".")[2])
    assert f"{found.angle_error_deg:.{places}f}" == printed_omega
    assert (found.longest, found.shortest, found.areal_scale) == (1.0, h, h)
    assert found.longer_axis_deg == 0.0


@pytest.mark.oracle
def test_at_the_rim_of_the_orthographic_the_angle_error_nears_180_and_the_plane_is_flat():
    # The last row of Snyder's table 21: latitude 0, h = .00000, omega = 180 degrees.
    assert Distortion.of_linear(1.0, 0.0, 0.0, 1e-9).angle_error_deg == pytest.approx(
        180.0, abs=0.01
    )
    with pytest.raises(RequestError, match="must not flatten the plane"):
        Distortion.of_linear(1.0, 0.0, 0.0, 0.0)


@pytest.mark.oracle
@pytest.mark.parametrize(
    ("latitude_deg", "h", "k", "omega_deg"),
    # Snyder, Table 14, Miller cylindrical; omega to four places by PROJ 9.5.1 on a sphere.
    [
        (10, 1.00983, 1.01543, 0.3168),
        (30, 1.09464, 1.15470, 3.0603),
        (50, 1.30541, 1.55572, 10.0383),
        (70, 1.78829, 2.92380, 27.8886),
        (85, 2.66947, 11.47371, 76.9991),
    ],
)
def test_snyders_table_of_the_miller_cylindrical(latitude_deg, h, k, omega_deg):
    latitude = math.radians(latitude_deg)
    # Snyder's equations 11-3 and 11-4 of that projection.
    exact = Distortion.of_linear(1 / math.cos(latitude), 0.0, 0.0, 1 / math.cos(0.8 * latitude))
    assert exact.scale_x == pytest.approx(k, abs=6e-6)
    assert exact.scale_y == pytest.approx(h, abs=6e-6)
    assert exact.angle_error_deg == pytest.approx(omega_deg, abs=6e-5)
    # From the printed h and k alone: half a unit of their last digit is worth up to 4e-4 degrees.
    assert Distortion.of_linear(k, 0.0, 0.0, h).angle_error_deg == pytest.approx(
        omega_deg, abs=5e-4
    )


@pytest.mark.oracle
def test_snyders_worked_example_of_the_sinusoidal_is_sheared():
    # Snyder, appendix A, sinusoidal: 50 degrees south, 15 degrees east of the central meridian, on
    # a sphere. Its image is x = lambda cos(phi), y = phi: a map whose axes are not those of the
    # grid.
    phi, lam = math.radians(-50.0), math.radians(15.0)
    found = Distortion.of_linear(1.0, -lam * math.sin(phi), 0.0, 1.0)
    assert found.scale_y == pytest.approx(1.0199119, abs=5e-8)
    assert found.scale_x == 1.0
    assert found.areal_scale == pytest.approx(1.0, rel=1e-15)
    assert found.angle_error_deg == pytest.approx(11.4523842, abs=5e-8)
    assert found.longest == pytest.approx(1.1052899, abs=5e-8)
    assert found.shortest == pytest.approx(0.9047400, abs=5e-8)


@pytest.mark.oracle
@pytest.mark.parametrize(
    ("linear", "longest", "shortest", "omega_deg"),
    [
        # Equirectangular at the latitude whose secant is 2 (Snyder, chapter 12).
        ((2.0, 0.0, 0.0, 1.0), 2.0, 1.0, 38.9424413),
        # Cylindrical equal-area, standard parallel 30, at latitude 60 (Snyder, chapter 10): k =
        # sqrt 3, h = 1 / k.
        ((math.sqrt(3), 0.0, 0.0, 1 / math.sqrt(3)), math.sqrt(3), 1 / math.sqrt(3), 60.0),
        # Strang's example of the singular value decomposition.
        ((3.0, 0.0, 4.0, 5.0), math.sqrt(45), math.sqrt(5), 60.0),
        # The unit shear: the golden ratio and its inverse; omega is 2 asin(1 / sqrt 5).
        ((1.0, 1.0, 0.0, 1.0), (1 + math.sqrt(5)) / 2, (math.sqrt(5) - 1) / 2, 53.1301024),
        # A 16:10 area on a 16:9 screen and a 4:3 area on one: by hand, a / b = 10/9 and 4/3.
        ((1 / 16, 0.0, 0.0, 1 / 10 * 9 / 16), 1 / 16, 9 / 160, 6.0339226),
        ((16 / 4, 0.0, 0.0, 9 / 3), 4.0, 3.0, 16.4264214),
    ],
    ids=["equirectangular", "equal-area", "Strang", "shear", "16:10 on 16:9", "4:3 on 16:9"],
)
def test_worked_examples(linear, longest, shortest, omega_deg):
    found = Distortion.of_linear(*linear)
    assert found.longest == pytest.approx(longest, rel=1e-14)
    assert found.shortest == pytest.approx(shortest, rel=1e-14)
    assert found.stretch == pytest.approx(longest / shortest, rel=1e-14)
    assert found.angle_error_deg == pytest.approx(omega_deg, abs=6e-8)


# Libraries
# ------------------------------------------------------------


@pytest.mark.oracle
@pytest.mark.parametrize(
    "projection",
    [
        "mill",
        "merc",
        "eqc",
        "cea +lat_ts=30",
        "sinu",
        "moll",
        "robin",
        "eck4",
        "aeqd +lat_0=90",
        "stere +lat_0=90",
        "bonne +lat_1=40",
    ],
)
def test_agrees_with_proj_on_its_projections(projection):
    for longitude_deg, latitude_deg in ((15.0, -50.0), (40.0, 20.0), (-70.0, 60.0), (3.0, 5.0)):
        there = pyproj.Proj(f"+proj={projection} +R=1").get_factors(longitude_deg, latitude_deg)
        shrink = math.cos(math.radians(latitude_deg))
        found = Distortion.of_linear(
            there.dx_dlam / shrink, there.dx_dphi, there.dy_dlam / shrink, there.dy_dphi
        )
        # PROJ's own derivatives are differences over 1e-5 radians and carry about nine digits; in
        # its angular distortion near zero they come out of a square root and keep half of them.
        assert found.scale_x == pytest.approx(there.parallel_scale, rel=1e-8)
        assert found.scale_y == pytest.approx(there.meridional_scale, rel=1e-8)
        assert found.areal_scale == pytest.approx(there.areal_scale, rel=1e-8)
        assert found.longest == pytest.approx(there.tissot_semimajor, rel=1e-7)
        assert found.shortest == pytest.approx(there.tissot_semiminor, rel=1e-7)
        assert found.angle_error_deg == pytest.approx(there.angular_distortion, abs=2e-5)


@pytest.mark.oracle
@given(elements, elements, elements, elements)
@example(1.0, 0.0, 0.0, -2.0)
@example(0.0, 3.0, 2.0, 0.0)
@example(2.0, 1e-16, 0.0, 1.0)
@example(2.0, -1e-17, 0.0, 1.0)
def test_agrees_with_the_singular_value_decomposition(m11, m12, m21, m22):
    turned, sizes, _ = np.linalg.svd(np.array([[m11, m12], [m21, m22]]))
    # LAPACK promises each singular value to within a few roundings of the largest one.
    assume(sizes[1] > 1e-9 * sizes[0] > 0 and sizes[0] > 1e-100)
    found = Distortion.of_linear(m11, m12, m21, m22)
    assert found.longest == pytest.approx(sizes[0], rel=1e-14)
    if found.longer_axis_deg is None:
        # A circle up to SAME_SCALE is called one.
        assert found.shortest == found.longest == pytest.approx(sizes[1], rel=1.01e-12)
        return
    assert found.shortest == pytest.approx(sizes[1], rel=1e-14, abs=1e-14 * sizes[0])
    assert found.areal_scale == pytest.approx(
        sizes[0] * sizes[1], rel=1e-14, abs=1e-14 * sizes[0] ** 2
    )
    assert 0.0 <= found.longer_axis_deg < 180.0
    # The direction is known the better, the more the two axes differ.
    off_deg = math.degrees(math.atan2(turned[1, 0], turned[0, 0])) - found.longer_axis_deg
    off_deg -= 180.0 * round(off_deg / 180.0)
    assert abs(off_deg) <= 1e-13 / (sizes[0] / sizes[1] - 1) + 1e-12


# Formulas of the docstring
# ------------------------------------------------------------


@given(affines())
def test_the_docstring_written_out(affine):
    a, b, d, e = affine.linear
    found = Distortion.of_linear(a, b, d, e)
    assert found.stretch == pytest.approx(found.longest / found.shortest, rel=1e-12)
    assert found.oval_percent == pytest.approx(
        (found.scale_x / found.scale_y - 1) * 100, rel=1e-9, abs=1e-9
    )
    assert found.areal_scale == pytest.approx(found.longest * found.shortest, rel=1e-15)
    assert found.longest >= found.shortest > 0
    sine = (found.longest - found.shortest) / (found.longest + found.shortest)
    # The sine's own rounding is worth sqrt(2 * 2.2e-16) of a radian where it nears 1.
    assert found.angle_error_deg == pytest.approx(2 * math.degrees(math.asin(sine)), abs=4e-6)
    # Snyder's equations 4-12 and 4-13, with h, k and theta', the angle between the images of the
    # two directions.
    h, k = found.scale_y, found.scale_x
    hk_sine = abs(a * e - b * d)
    assert found.longest + found.shortest == pytest.approx(
        math.sqrt(h * h + k * k + 2 * hk_sine), rel=1e-12
    )
    difference = math.sqrt(max(h * h + k * k - 2 * hk_sine, 0.0))
    assert found.longest - found.shortest == pytest.approx(
        difference, rel=1e-7, abs=1e-7 * found.longest
    )


@pytest.mark.oracle
@pytest.mark.parametrize("shortest", [1 - 1e-11, 1 - 1e-6, 0.5, 1e-6, 1e-12], ids=str)
def test_the_angle_error_keeps_its_digits_near_0_and_near_180_degrees(shortest):
    with mpmath.workdps(50):
        b = mpmath.mpf(shortest)
        exact = mpmath.degrees(2 * mpmath.asin((1 - b) / (1 + b)))
        found = Distortion.of_linear(1.0, 0.0, 0.0, shortest).angle_error_deg
        assert abs(found - exact) <= 4e-16 * exact


# What is special
# ------------------------------------------------------------


@given(st.floats(0.001, 1000.0), st.floats(-math.pi, math.pi), st.booleans())
def test_a_turned_circle_stays_a_circle_and_has_no_axis(scale, turn_rad, mirrored):
    sine, cosine = scale * math.sin(turn_rad), scale * math.cos(turn_rad)
    flip = -1.0 if mirrored else 1.0
    found = Distortion.of_linear(cosine, -sine * flip, sine, cosine * flip)
    assert (found.stretch, found.oval_percent, found.angle_error_deg) == (1.0, 0.0, 0.0)
    assert found.longer_axis_deg is None
    assert (
        found.longest
        == found.shortest
        == found.scale_x
        == found.scale_y
        == pytest.approx(scale, rel=1e-15)
    )


@pytest.mark.parametrize(
    ("linear", "axis_deg"),
    [
        ((-1.0, -0.0, -0.0, -2.0), 90.0),
        # A quarter turn: the tablet's y, drawn out, lies along the screen's x.
        ((0.0, -2.0, 1.0, 0.0), 0.0),
        # Stretched along the rising diagonal, which with y down is 135 degrees.
        ((1.5, -0.5, -0.5, 1.5), 135.0),
        # A hair anticlockwise of the x axis comes out as 0 or just below 180, and never as 180.
        ((2.0, -1e-18, -1e-18, 1.0), 0.0),
    ],
)
def test_the_direction_of_the_longer_axis(linear, axis_deg):
    assert Distortion.of_linear(*linear).longer_axis_deg == pytest.approx(axis_deg, abs=1e-13)


@given(lengths_mm, lengths_mm, st.integers(-300, 300))
def test_the_figures_do_not_depend_on_the_unit_of_length(scale_x, scale_y, power):
    found = Distortion.of_linear(scale_x, 0.0, 0.0, scale_y)
    unit = 2.0**power
    scaled = Distortion.of_linear(scale_x * unit, 0.0, 0.0, scale_y * unit)
    assert (
        scaled.stretch,
        scaled.oval_percent,
        scaled.angle_error_deg,
        scaled.longer_axis_deg,
    ) == (
        found.stretch,
        found.oval_percent,
        found.angle_error_deg,
        found.longer_axis_deg,
    )
    assert scaled.longest == found.longest * unit


@pytest.mark.parametrize("linear", [(0, 0, 0, 0), (1, 2, 2, 4), (0, 1, 0, 1), (1, 0, 0, 0)])
def test_a_map_that_flattens_the_plane_is_refused(linear):
    with pytest.raises(RequestError, match="must not flatten the plane"):
        Distortion.of_linear(*linear)
