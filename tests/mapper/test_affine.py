"""The affine map against the `affine` library (PyPI), numpy, and its own laws."""

import affine as outside
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.affine import Affine
from mapper.problems import RequestError
from tests.strategies import affines, lengths_mm, places, rects, turns_deg

WHOLE_SCALE_MM = 20_000.0


def elements_of(affine):
    return affine.a, affine.b, affine.c, affine.d, affine.e, affine.f


def condition(affine):
    """How much an error of the arguments can grow, as numpy has it."""
    return float(np.linalg.cond(np.array(affine.rows)[:2, :2]))


@pytest.mark.oracle
@given(affines(), affines(), places, places)
def test_composes_and_applies_as_the_affine_library_does(one, other, x, y):
    theirs = outside.Affine(*elements_of(one)) @ outside.Affine(*elements_of(other))
    assert elements_of(one @ other) == pytest.approx(tuple(theirs)[:6], rel=1e-15, abs=0)
    assert one.point(x, y) == pytest.approx(
        outside.Affine(*elements_of(one)) @ (x, y), rel=1e-15, abs=0
    )
    assert one.determinant == outside.Affine(*elements_of(one)).determinant


@pytest.mark.oracle
@given(turns_deg, lengths_mm, lengths_mm, places, places)
def test_a_quarter_turn_is_a_rotation_and_a_translation_exactly(turn_deg, width, height, x, y):
    # With y down a positive rotation of `affine` is clockwise as seen. It moves the rectangle off
    # the origin; the translation brings its top left back.
    moved = {0: (0.0, 0.0), 90: (height, 0.0), 180: (width, height), 270: (0.0, width)}[turn_deg]
    theirs = outside.Affine.translation(*moved) @ outside.Affine.rotation(turn_deg)
    ours = Affine.quarter_turn(turn_deg, width, height)
    assert elements_of(ours) == tuple(theirs)[:6]
    assert ours.point(x, y) == theirs @ (x, y)


@given(lengths_mm, lengths_mm)
def test_turning_four_times_is_nothing_and_twice_is_half(width, height):
    upright, lying = Affine.quarter_turn(90, width, height), Affine.quarter_turn(90, height, width)
    assert lying @ upright == Affine.quarter_turn(180, width, height)
    assert lying @ upright @ lying @ upright == Affine.identity()
    assert Affine.quarter_turn(270, height, width) @ upright == Affine.identity()
    assert ~upright == Affine.quarter_turn(270, height, width)


@pytest.mark.parametrize("turn_deg", [45, -90, 360, 90.5, float("nan"), "90", None, True, False])
def test_other_turns_are_refused(turn_deg):
    with pytest.raises(RequestError, match="must be 0, 90, 180 or 270 degrees clockwise"):
        Affine.quarter_turn(turn_deg, 240.0, 152.0)


@given(rects, rects)
def test_between_takes_corners_to_corners_and_centre_to_centre(source, target):
    between = Affine.between(source, target)
    assert between.b == between.d == 0.0
    assert between.a > 0
    assert between.e > 0
    # The offset alone is as large as the source's place times the scale: that sets the size of the
    # rounding.
    reach = WHOLE_SCALE_MM * (max(between.a, between.e) + 1)
    for from_point, to_point in zip(
        (*source.corners, source.centre), (*target.corners, target.centre), strict=True
    ):
        assert between.point(*from_point) == pytest.approx(to_point, rel=1e-15, abs=1e-15 * reach)


@pytest.mark.oracle
@given(affines())
def test_the_inverse_is_numpys(affine):
    worst = condition(affine)
    theirs = np.linalg.inv(np.array(affine.rows))
    assert np.array((~affine).rows) == pytest.approx(
        theirs, rel=1e-13, abs=1e-14 * worst * float(np.abs(theirs).max())
    )


@given(affines(), places, places, places, places)
def test_a_vector_is_a_difference_of_points_without_the_offset(affine, x, y, dx, dy):
    ahead, here = affine.point(x + dx, y + dy), affine.point(x, y)
    moved = affine.vector(dx, dy)
    assert moved == pytest.approx((ahead[0] - here[0], ahead[1] - here[1]), abs=1e-6)
    assert affine.vector(0.0, 0.0) == (0.0, 0.0)


@given(affines(), rects)
def test_the_image_of_a_rectangle_encloses_the_images_of_its_corners_tightly(affine, rect):
    image = affine.rect(rect)
    xs, ys = zip(*(affine.point(*corner) for corner in rect.corners), strict=True)
    size = 2000.0 * WHOLE_SCALE_MM * 2
    assert (image.left, image.top) == (min(xs), min(ys))
    assert (image.right, image.bottom) == pytest.approx((max(xs), max(ys)), abs=1e-15 * size)


@given(st.integers(-5, 5), st.integers(-5, 5))
def test_the_inverse_of_a_flat_map_is_refused(times, other):
    with pytest.raises(RequestError, match="must not flatten the plane"):
        ~Affine(times, other, 1.0, 2 * times, 2 * other, 0.0)


@pytest.mark.parametrize(
    "use",
    [
        lambda affine: affine @ (1.0, 2.0),
        lambda affine: (1.0, 2.0) @ affine,
        lambda affine: affine * affine,
        lambda affine: affine + affine,
        lambda affine: affine * 2.0,
        lambda affine: affine**2,
        lambda affine: -affine,
        lambda affine: affine < ~affine,
    ],
)
def test_every_operator_but_two_is_refused(use):
    with pytest.raises(TypeError):
        use(Affine.identity())


def test_is_frozen_hashable_and_has_no_room_for_more():
    one = Affine.identity()
    with pytest.raises(AttributeError):
        one.a = 2.0
    assert {one: "found"}[Affine(1, 0, 0, 0, 1, 0)] == "found"
    assert not hasattr(one, "__dict__")
    assert all(type(value) is float for value in elements_of(Affine(1, 0, 0, 0, 1, 0)))
