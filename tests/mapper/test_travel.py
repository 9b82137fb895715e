"""Reach and precision.

Against published forms of the index of difficulty and scipy's normal distribution.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from mapper.choosing.recommended import Band
from mapper.choosing.travel import (
    EFFECTIVE_WIDTHS,
    HAND_SCATTER_MM,
    TARGETS_PX,
    WRIST_REACH_MM,
    Crossing,
    index_of_difficulty_bits,
    largest_sure_scale,
    smallest_sure_target_mm,
    travel,
)
from mapper.desk import Display
from mapper.problems import RequestError

scales = st.floats(0.5, 10.0)


@pytest.mark.oracle
@pytest.mark.parametrize(
    ("distance", "width", "bits", "slack"),
    # log2(D/W + 1): ISO/TS 9241-411, MacKenzie (1992); whole powers of two by hand. Then log2(65)
    # and log2(33) by four-figure logarithm tables: lg 65 = 1.8129, lg 33 = 1.5185, lg 2 = 0.3010.
    [
        (1, 1, 1.0, 0),
        (7, 1, 3.0, 0),
        (0, 5, 0.0, 0),
        (512, 8, 6.02, 0.006),
        (1024, 32, 5.04, 0.006),
    ],
)
def test_the_shannon_form(distance, width, bits, slack):
    assert index_of_difficulty_bits(distance, width) == pytest.approx(bits, rel=1e-15, abs=slack)


@pytest.mark.oracle
def test_the_effective_width_holds_96_taps_in_100():
    # MacKenzie 1992, equation 10, as quoted: 4.133 standard deviations; 4 % outside, on two sides,
    # would be 4.107.
    inside = stats.norm.cdf(EFFECTIVE_WIDTHS / 2) - stats.norm.cdf(-EFFECTIVE_WIDTHS / 2)
    # The square root of 2·pi·e, by the entropy of the normal distribution.
    assert math.sqrt(2 * math.pi * math.e) == pytest.approx(EFFECTIVE_WIDTHS, abs=5e-4)
    assert inside == pytest.approx(0.961, abs=5e-4)


@pytest.mark.oracle
@given(scales, st.floats(0.5, 20), st.floats(0.1, 2))
def test_hits_against_scipys_normal_distribution(scale, target_mm, scatter_mm):
    found = travel(600, 340, scale, target_mm, scatter_mm=scatter_mm)
    half = target_mm / scale / 2
    expected = 100 * (
        stats.norm.cdf(half, scale=scatter_mm) - stats.norm.cdf(-half, scale=scatter_mm)
    )
    assert found.hit_percent == pytest.approx(expected, rel=1e-9)


@given(st.floats(100, 2000), st.floats(100, 2000), scales)
def test_what_a_scale_does_to_reach_and_precision(width_mm, height_mm, scale):
    found, twice = (
        travel(width_mm, height_mm, scale, 4.0),
        travel(width_mm, height_mm, 2 * scale, 4.0),
    )
    assert found.corner_to_corner_mm * scale == pytest.approx(math.hypot(width_mm, height_mm))
    assert found.palette_mm * scale == pytest.approx(width_mm / 2 - 2)
    assert twice.corner_to_corner_mm == pytest.approx(found.corner_to_corner_mm / 2)
    # The task is as hard at every scale, the hand gets worse at it.
    assert twice.difficulty_bits == pytest.approx(found.difficulty_bits)
    assert twice.hand_bits < found.hand_bits
    assert twice.hit_percent <= found.hit_percent
    assert 0 <= found.forearm_share_percent < 100
    # Where the hand's bits reach the task's, the target is just hit surely.
    sure = travel(width_mm, height_mm, largest_sure_scale(4.0), 4.0)
    assert sure.hand_bits == pytest.approx(sure.difficulty_bits)
    assert sure.smallest_sure_target_mm == pytest.approx(4.0)


@given(scales, st.floats(0.05, 5))
def test_sure_scale_and_sure_target_are_inverse(scale, scatter_mm):
    assert largest_sure_scale(
        smallest_sure_target_mm(scale, scatter_mm), scatter_mm
    ) == pytest.approx(scale)


def test_five_is_too_much_and_one_too_tiring_for_a_27_inch_display():
    # Common practice, no source: that is how artists speak of it; these are the numbers behind it.
    button_mm = 24 * 597 / 2560
    one, comfortable, five = (travel(597, 336, scale, button_mm) for scale in (1.0, 2.5, 5.0))
    assert one.corner_to_corner_mm > 600
    assert one.forearm_swing_deg > 150
    assert five.hit_percent < 80 < comfortable.hit_percent
    assert comfortable.forearm_swing_deg < 50


def test_what_a_wrist_covers_needs_no_forearm():
    assert travel(60, 20, 1.0, 1.0).forearm_share_percent == 0.0
    assert abs(WRIST_REACH_MM - 67.3) < 0.05
    assert travel(1500, 200, 1.0, 1.0).forearm_swing_deg is None


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: index_of_difficulty_bits(-1, 1), "distance: must be 0 or more"),
        (lambda: index_of_difficulty_bits(1, 0), "target width: must be greater than 0"),
        (lambda: travel(600, 340, math.nan, 4), "scale factor: must be a finite number"),
        (lambda: travel(600, 340, 2, 600), "target width: must be less than the display's"),
        (
            lambda: smallest_sure_target_mm(2, -HAND_SCATTER_MM),
            "hand scatter: must be greater than 0",
        ),
    ],
)
def test_wrong_values_are_named(make, message):
    with pytest.raises(RequestError, match=message):
        make()


@pytest.mark.oracle
def test_what_a_pen_is_aimed_at():
    # W3C WCAG 2.2, success criteria 2.5.8 (24 CSS pixels) and 2.5.5 (44); the others are common
    # practice, no source.
    assert TARGETS_PX == {"handle": 8, "swatch": 16, "button": 24, "large-button": 44}
    # By hand: 24 of 1500 px on 600 mm are 9.6 mm, at 2.5 mm for 1 mm of hand 3.84 mm of it.
    assert travel(600, 337.5, 2.5, TARGETS_PX["button"] * 0.4).target_hand_mm == pytest.approx(3.84)


def test_a_crossing_by_hand():
    # 600 x 250 mm are 650 mm from corner to corner; a target of 10 mm at the side edge is 295 mm
    # from the middle. By 2.5 that is 260 and 118 mm of hand.
    display = Display(1500, 625, 600, 250)
    crossing = Crossing(display, 10.0, "a button", Band(2, 3.5), own_scale=2.2)
    found = crossing.at(2.5)
    assert (found.corner_to_corner_mm, found.palette_mm) == pytest.approx((260, 118))
    assert crossing.mm_per_px == 0.4
    scales = [row.scale_factor for row in crossing.rows]
    assert scales == [1, 1.5, 2, 2.2, 2.5, 3, 3.5, 4, 5, 6]
