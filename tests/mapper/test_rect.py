"""Rectangles, against shapely's boxes."""

import pytest
import shapely
from hypothesis import given

from mapper.rect import Rect
from tests.strategies import rects


def box(rect):
    return shapely.box(rect.left, rect.top, rect.right, rect.bottom)


@pytest.mark.oracle
@given(rects, rects)
def test_overlap_is_shapelys_intersection(one, other):
    shared = one.overlap(other)
    theirs = box(one).intersection(box(other))
    if shared is None:
        assert theirs.area == 0
        assert not box(one).overlaps(box(other))
    else:
        assert (shared.left, shared.top, shared.right, shared.bottom) == pytest.approx(
            theirs.bounds, rel=1e-15, abs=1e-11
        )
    assert other.overlap(one) == shared


@pytest.mark.oracle
@given(rects, rects)
def test_enclosing_is_shapelys_envelope(one, other):
    both = Rect.enclosing(one, other)
    theirs = shapely.union(box(one), box(other)).bounds
    assert (both.left, both.top, both.right, both.bottom) == pytest.approx(
        theirs, rel=1e-15, abs=1e-11
    )
    assert both.holds(one, slack=1e-11)
    assert both.holds(other, slack=1e-11)
    assert Rect.enclosing(one) == Rect(
        one.left, one.top, one.right - one.left, one.bottom - one.top
    )


@given(rects, rects)
def test_holds_means_that_nothing_sticks_out(one, other):
    assert one.holds(other) == (box(one).covers(box(other)))
    assert one.holds(one)


def test_edges_centre_and_corners():
    rect = Rect(-10.0, 20.0, 30.0, 40.0)
    assert (rect.right, rect.bottom, rect.centre) == (20.0, 60.0, (5.0, 40.0))
    assert rect.corners == ((-10.0, 20.0), (20.0, 20.0), (20.0, 60.0), (-10.0, 60.0))


def test_touching_rectangles_share_nothing():
    assert Rect(0, 0, 10, 10).overlap(Rect(10, 0, 10, 10)) is None
    assert Rect(0, 0, 10, 10).overlap(Rect(0, 10, 10, 10)) is None
    assert Rect(0, 0, 10, 10).overlap(Rect(9, 9, 10, 10)) == Rect(9, 9, 1, 1)


def test_slack_is_in_the_rectangles_own_unit():
    assert not Rect(0, 0, 10, 10).holds(Rect(-0.5, 0, 10, 10))
    assert Rect(0, 0, 10, 10).holds(Rect(-0.5, 0, 10, 10), slack=0.5)


def test_about_a_centre_and_the_box_of_a_turned_one_by_hand():
    assert Rect.about((100, 60), 40, 30) == Rect(80, 45, 40, 30)
    # 30 degrees: 100 cos + 40 sin = 106.60 wide, 100 sin + 40 cos = 84.64 high, the same centre.
    box = Rect(0, 0, 100, 40).box_turned(30)
    assert (box.width, box.height) == pytest.approx((106.60254, 84.64102), abs=1e-5)
    assert box.centre == pytest.approx((50, 20))
