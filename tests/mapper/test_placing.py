"""Displays that were dropped hang together, lie over none, and are where they were dropped."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.mapping.placing import settled
from mapper.problems import RequestError
from mapper.rect import Rect

MAIN = Rect(0, 0, 2560, 1440)
SIDE = Rect(2560, 0, 1920, 1080)

places = st.builds(
    Rect,
    st.integers(-6000, 6000),
    st.integers(-6000, 6000),
    st.sampled_from([1080, 1920, 2560, 3840]),
    st.sampled_from([720, 1080, 1440, 2160]),
)


def beside(one, other):
    """Whether two rectangles share more than a corner, by their sides alone."""
    across = min(one.right, other.right) - max(one.left, other.left)
    down = min(one.bottom, other.bottom) - max(one.top, other.top)
    return (across == 0 and down > 0) or (down == 0 and across > 0)


def over(one, other):
    across = min(one.right, other.right) - max(one.left, other.left)
    down = min(one.bottom, other.bottom) - max(one.top, other.top)
    return across > 0 and down > 0


@given(st.lists(places, min_size=1, max_size=5), st.data())
def test_what_is_dropped_anywhere_hangs_together(others, data):
    """Oracle: a flood over the sides, written here."""
    before = [MAIN, *others]
    dropped = data.draw(st.integers(1, len(others)))
    # What stood before stood without a gap: only the last one was dropped anywhere.
    for index in range(1, len(before)):
        if index != dropped:
            before[index] = settled([*before[:index], before[index]], index)[index]
    after = settled(before, dropped)
    assert after[0] == MAIN
    assert [(each.width, each.height) for each in after] == [
        (each.width, each.height) for each in before
    ]
    assert all(each.left == int(each.left) and each.top == int(each.top) for each in after)
    for index, one in enumerate(after):
        assert not any(over(one, other) for other in after[index + 1 :])
    reached, seen = [after[0]], {0}
    while reached:
        one = reached.pop()
        for index, other in enumerate(after):
            if index not in seen and beside(one, other):
                seen.add(index)
                reached.append(other)
    assert seen == set(range(len(after)))
    assert settled(after, dropped) == after, "what is beside another stays where it is"


@pytest.mark.parametrize(
    ("dropped_at", "lands_at"),
    [
        # A gap of 600 px to the right, a little lower: to the edge, as low as it was dropped.
        ((3160, 100), (2560, 100)),
        ((-2000, 100), (-1920, 100)),
        ((300, -1500), (300, -1080)),
        ((300, 1600), (300, 1440)),
        # Over the other one, near its right side, its left, its top and its foot.
        ((2300, 100), (2560, 100)),
        ((-1800, 100), (-1920, 100)),
        ((300, -1000), (300, -1080)),
        ((300, 1300), (300, 1440)),
        # Beside a corner: an edge of a tenth at least is shared.
        ((2800, 1800), (2560, 1332)),
        ((2560, 1440), (2560, 1332)),
        # Beside it already.
        ((2560, -1000), (2560, -1000)),
    ],
)
def test_a_dropped_display_goes_to_the_nearest_edge(dropped_at, lands_at):
    """By hand."""
    after = settled([MAIN, Rect(*dropped_at, 1920, 1080)], 1)[1]
    assert (after.left, after.top) == lands_at


def test_the_nearest_of_all_tenths_is_taken():
    """Oracle: every place beside the other display, one px after the other."""
    dropped = Rect(1500, 900, 640, 480)
    found = settled([MAIN, dropped], 1)[1]
    every = [(x, y) for x in (-640, 2560) for y in range(-432, 1393)]
    every += [(x, y) for y in (-480, 1440) for x in range(-576, 2497)]
    nearest = min(math.dist(each, (1500, 900)) for each in every)
    assert math.dist((found.left, found.top), (1500, 900)) == pytest.approx(nearest)


def test_what_hung_on_it_alone_follows():
    """The middle one of three goes to the left; the third closes up."""
    third = Rect(4480, 0, 1280, 1024)
    after = settled([MAIN, Rect(-2200, 0, 1920, 1080), third], 1)
    assert after[1].left == -1920
    assert after[2].left == 2560


@pytest.mark.parametrize("dropped", [0, 2, -1])
def test_only_another_display_can_be_dropped(dropped):
    with pytest.raises(RequestError):
        settled([MAIN, SIDE], dropped)


@pytest.mark.parametrize(
    # By hand: beside the lower right corner of 100 x 50, sharing a tenth of its own side, and a px
    # at least.
    ("side_px", "top_px"),
    [(4, 49), (10, 49), (16, 48), (30, 47), (600, 45)],
)
def test_a_tenth_of_the_shorter_side_is_shared_and_a_pixel_at_least(side_px, top_px):
    main, dropped = Rect(0, 0, 100, 50), Rect(800, 60, side_px, side_px)
    assert settled([main, dropped], 1)[1] == Rect(100, top_px, side_px, side_px)


@pytest.mark.parametrize(
    ("dropped_at", "lands_at"),
    [
        # Over the upper right part of the main one and over the foot of the other: into the corner
        # between them, 10 px to the right and 5 down.
        ((90, 45), (100, 50)),
        # Over the left side of the main one and the upper side of the other: 5 px to the left and
        # 5 up.
        ((-55, 5), (-60, 0)),
    ],
)
def test_where_two_displays_make_a_corner_it_goes_into_the_corner(dropped_at, lands_at):
    """By hand: 100 x 100 px, a 100 x 50 beside it on either side, and 60 x 60 dropped on both."""
    main, right, left = Rect(0, 0, 100, 100), Rect(100, 0, 100, 50), Rect(-100, 60, 100, 50)
    after = settled([main, right, left, Rect(*dropped_at, 60, 60)], 3)
    assert after[:3] == [main, right, left]
    assert after[3] == Rect(*lands_at, 60, 60)
