"""Many points at once: the same numbers as one by one, whatever the array looks like."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as stn

from mapper.affine import Affine
from mapper.problems import RequestError
from tests.strategies import affines, places

SKEWED = Affine(7.1, 0.3, 3.0, -0.2, 6.9, -4.0)


def reference(affine, points):
    """The docstring of Affine.points, written out."""
    x, y = points[..., 0], points[..., 1]
    return np.stack(
        [affine.a * x + affine.b * y + affine.c, affine.d * x + affine.e * y + affine.f],
        axis=-1,
    )


@given(
    affines(), stn.arrays(np.float64, st.tuples(st.integers(0, 40), st.just(2)), elements=places)
)
def test_points_are_to_the_last_bit_what_point_gives(affine, points):
    assert affine.points(points).tolist() == [list(affine.point(x, y)) for x, y in points.tolist()]


@pytest.mark.parametrize(
    "points",
    [
        np.arange(48.0).reshape(4, 3, 2, 2),
        np.arange(48.0).reshape(2, 24).T,
        np.arange(48.0).reshape(12, 4)[:, ::3],
        np.arange(48.0).reshape(24, 2)[::-2],
        np.asfortranarray(np.arange(48.0).reshape(24, 2)),
        np.arange(48).reshape(24, 2),
        np.arange(48, dtype=np.uint8).reshape(24, 2),
        np.arange(48, dtype=np.float32).reshape(24, 2),
        np.array([3.0, 4.0]),
        np.empty((0, 2)),
        np.empty((5, 0, 2)),
    ],
)
def test_any_layout_and_kind_of_number(points):
    before = points.copy()
    mapped = SKEWED.points(points)
    assert mapped.shape == points.shape
    assert mapped.dtype == np.float64
    assert np.array_equal(mapped, reference(SKEWED, points.astype(np.float64)))
    assert np.array_equal(points, before)
    assert not np.shares_memory(mapped, points)


def test_a_missing_point_stays_missing_and_its_neighbours_stay():
    # A pen lifted off the tablet is recorded as nan by many programs.
    mapped = SKEWED.points([[1.0, 2.0], [math.nan, math.nan], [3.0, 4.0]])
    assert np.isnan(mapped[1]).all()
    assert mapped[[0, 2]].tolist() == [list(SKEWED.point(1, 2)), list(SKEWED.point(3, 4))]


@pytest.mark.parametrize(
    "points",
    [
        3.0,
        [1.0, 2.0, 3.0],
        [[1.0], [2.0]],
        np.zeros((2, 3)),
        [],
        [["a", "b"]],
        [[1.0, 2.0], [3.0]],
        [[1j, 2.0]],
        "12",
    ],
    ids=repr,
)
def test_what_is_no_array_of_points_is_refused(points):
    with pytest.raises(RequestError, match="points: must be an array"):
        SKEWED.points(points)
