"""Strokes across the border of two displays.

Against displays that are stood on a desk and measured.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.reach import display_reach
from mapper.mapping.seams import seams
from mapper.mapping.solve import MapRequest
from mapper.rect import Rect
from mapper.solving import solve

TABLET = Tablet(320, 200)


def beside(first, second, **asked):
    """The seams of a map over both."""
    asked.setdefault("onto", (first.label, second.label))
    return seams(solve(MapRequest(TABLET, Desktop((first, second)), **asked)))


def worst_step_mm(first, second, shift_mm):
    """How far a level stroke jumps at the worse end of the border.

    Both are stood on a desk, second ``shift_mm`` lower.
    """
    shared = [
        row
        for row in range(-5000, 5000)
        if first.top_px <= row <= first.top_px + first.height_px
        and second.top_px <= row <= second.top_px + second.height_px
    ]
    pitch_one, pitch_two = first.height_mm / first.height_px, second.height_mm / second.height_px
    ends = shared[0], shared[-1]
    return max(
        abs((row - first.top_px) * pitch_one - ((row - second.top_px) * pitch_two + shift_mm))
        for row in ends
    )


@pytest.mark.oracle
@given(st.integers(-400, 400), st.floats(13, 50), st.floats(13, 50), st.floats(-600, 600))
def test_however_the_displays_stand_a_stroke_jumps_at_least_so_far(
    top_px, inches, other_inches, shift_mm
):
    first = Display(1600, 900).with_diagonal(inches * 25.4)
    second = Display(1080, 1920, left_px=1600, top_px=top_px, label="side").with_diagonal(
        other_inches * 25.4
    )
    (seam,) = beside(first, second)
    assert worst_step_mm(first, second, shift_mm) >= seam.glass_step_mm - 1e-9
    # And as level as can be it is no more: at the shift where both ends are off alike.
    low, high = max(0, top_px), min(900, top_px + 1920)
    middle = (low + high) / 2
    pitch_one, pitch_two = first.height_mm / first.height_px, second.height_mm / second.height_px
    level = middle * pitch_one - (middle - top_px) * pitch_two
    assert worst_step_mm(first, second, level) == pytest.approx(seam.glass_step_mm, abs=1e-9)


def test_a_desk_by_hand():
    # 0.25 mm and 0.2 mm a pixel, 1000 px of common border, a gap of 50 px, bezels of 7 and 9 mm.
    first = Display(2000, 1000, 500, 250, bezel_mm=7)
    second = Display(1500, 1200, 300, 240, left_px=2050, top_px=-100, label="side", bezel_mm=9)
    solved = solve(MapRequest(TABLET, Desktop((first, second)), onto=("main", "side")))
    (seam,) = seams(solved)
    hand_mm_per_px = solved.area_seen_mm.width / solved.screen_px.width
    assert (seam.first, seam.second, seam.crossing) == ("main", "side", "right")
    assert seam.glass_gap_mm == 16
    assert seam.glass_step_mm == pytest.approx(1000 * 0.05 / 2)
    assert seam.glass_jump_mm == pytest.approx(math.hypot(16, 25))
    assert seam.hand_gap_mm == pytest.approx(50 * hand_mm_per_px)
    # To make up for 25 mm on glass of 0.2 mm a pixel takes 125 px of hand.
    assert seam.hand_step_mm == pytest.approx(125 * hand_mm_per_px)
    assert seam.hand_jump_mm == pytest.approx(math.hypot(80, 125) * hand_mm_per_px)
    assert (seam.size_factor_x, seam.size_factor_y) == pytest.approx((0.8, 0.8))
    scales = [figures.distortion.scale_x for figures in solved.figures]
    assert seam.size_factor_x == pytest.approx(scales[1] / scales[0])


def test_one_above_the_other():
    first = Display(1920, 1080, 480, 270)
    second = Display(1920, 1080, 576, 324, left_px=200, top_px=1080, label="below")
    (seam,) = beside(first, second)
    assert (seam.first, seam.second, seam.crossing) == ("main", "below", "down")
    # 1720 shared columns, 0.25 and 0.3 mm a pixel.
    assert seam.glass_step_mm == pytest.approx(1720 * 0.05 / 2)
    assert seam.hand_gap_mm == 0
    assert seam.glass_gap_mm is None
    assert seam.glass_jump_mm is None


def test_the_same_displays_level_meet_without_a_jump():
    first = Display(1920, 1080, 480, 270, bezel_mm=5)
    second = Display(1920, 1080, 480, 270, left_px=1920, label="side", bezel_mm=5)
    (seam,) = beside(first, second)
    assert seam.glass_step_mm == 0
    assert seam.glass_jump_mm == 10
    assert seam.size_factor_x == 1


def test_unknown_sizes_leave_out_what_needs_them():
    first = Display(1920, 1080)
    second = Display(1920, 1080, 480, 270, left_px=1930, label="side", bezel_mm=5)
    (seam,) = beside(first, second)
    assert (
        seam.size_factor_x is seam.glass_step_mm is seam.glass_gap_mm is seam.hand_step_mm is None
    )
    assert seam.hand_gap_mm > 0


def test_displays_that_do_not_face_each_other_have_no_seam():
    first = Display(1920, 1080)
    diagonal = Display(1920, 1080, left_px=1920, top_px=1080, label="diagonal")
    assert beside(first, diagonal) == ()
    # Only what the pen reaches has seams.
    side = Display(1920, 1080, left_px=1920, label="side")
    assert beside(first, side, onto=("main",)) == ()


def test_a_display_between_parts_the_two_beside_it():
    row = [Display(100, 100, left_px=left, label=str(left)) for left in (0, 100, 200)]
    solved = solve(MapRequest(TABLET, Desktop(tuple(row)), onto=("0", "100", "200")))
    assert [(seam.first, seam.second) for seam in seams(solved)] == [("0", "100"), ("100", "200")]


def test_a_window_shortens_the_border():
    first = Display(1000, 1000, 250, 250)
    second = Display(1000, 1000, 300, 300, left_px=1000, label="side")
    whole = beside(first, second)[0].glass_step_mm
    half = beside(first, second, window_px=Rect(0, 0, 2000, 500))[0].glass_step_mm
    assert half == pytest.approx(whole / 2)


def test_an_edge_that_is_a_hair_beside_another_is_the_same_edge():
    """Two displays that touch over 790 px, with an edge that is a hair beside the other.

    -226 logical pixels at a zoom of 1.1 are -205.4545...; from there to 309 is a width whose sum
    with its left end is 309.00000000000006 in floating point.
    """
    main = Display(1920, 1080, 480, 270)
    left = Display(1000, 900, 250, 225, left_px=-691, top_px=-900, label="left")
    right = Display(1920, 790, 480, 197.5, left_px=309, top_px=-790, label="right")
    left_px = -226 / 1.1
    window = Rect(left_px, -900, 900 - left_px, 900)
    solved = solve(MapRequest(TABLET, Desktop((main, left, right)), window_px=window, fit="full"))
    assert left.rect_px.overlap(solved.screen_px).right > 309
    (seam,) = seams(solved)
    assert (seam.first, seam.second, seam.crossing) == ("left", "right", "right")
    assert seam.hand_gap_mm == 0


def test_what_is_less_than_a_millionth_of_a_pixel_is_not_out_of_reach():
    display = Display(1920, 1080, 480, 270)
    window = Rect(0, 0, 1920 - 2.3e-13, 1080)
    solved = solve(MapRequest(TABLET, Desktop((display,)), window_px=window, fit="full"))
    (reach,) = display_reach(solved)
    assert not reach.missed_px.any
    assert reach.missed_percent == 0


def test_pixels_that_are_not_square_have_a_factor_for_each_way():
    # By hand: 0.25 x 0.3 mm a pixel, then 0.2 x 0.36 mm.
    first = Display(1000, 1000, 250, 300)
    second = Display(1000, 1000, 200, 360, left_px=1000, label="side")
    (seam,) = beside(first, second)
    assert (seam.size_factor_x, seam.size_factor_y) == pytest.approx((0.8, 1.2))
    # Half of 1000 px by 0.06 mm.
    assert seam.glass_step_mm == pytest.approx(30)
