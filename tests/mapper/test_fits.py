"""The three fits: worked values, and laws that hold for every rectangle.

The web's own rules are in test_fits_in_browser.py.
"""

from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from mapper.mapping.fits import fit_rects, place, trimmed
from mapper.problems import RequestError
from mapper.rect import Rect
from tests.strategies import HOLD_SHARES, holds, lengths_mm, rects

pitches = st.floats(min_value=0.01, max_value=2.0)


@pytest.mark.oracle
def test_the_worked_example_of_meet():
    # SVG 2, section 8.7 (preserveAspectRatio="xMidYMid meet"), by hand: 210 x 135 in 1920 x 1080 is
    # drawn 8 times as large, 1680 x 1080, with 120 px spare on the left.
    source, target = Rect(0, 0, 210, 135), Rect(0, 0, 1920, 1080)
    assert fit_rects(source, target, "cropped", "centre") == (source, Rect(120, 0, 1680, 1080))


@pytest.mark.oracle
@pytest.mark.parametrize(
    ("active", "pixels", "area"),
    [
        # By hand: 240 / 16 = 15 whole steps of 16:9, so 135 of the 152 mm.
        ((240, 152), (2560, 1440), Rect(0, 8.5, 240, 135)),
        # A portrait screen of 9:16 takes 152 / 16 · 9 = 85.5 mm of the width.
        ((240, 152), (1080, 1920), Rect(77.25, 0, 85.5, 152)),
        # 4:3 on 5:4: 150 / 4 · 5 = 187.5 of 200 mm.
        ((200, 150), (1280, 1024), Rect(6.25, 0, 187.5, 150)),
        # The proportions agree already.
        ((240, 150), (1920, 1200), Rect(0, 0, 240, 150)),
    ],
)
def test_worked_examples_of_locked(active, pixels, area):
    source, target = Rect(0, 0, *active), Rect(0, 0, *pixels)
    assert fit_rects(source, target, "locked", "centre") == (area, target)


def test_proportions_are_those_of_the_glass_and_not_of_the_pixels():
    # Pixels twice as wide as tall: 1000 x 1000 of them fill a picture of 2:1, which takes half of a
    # square tablet.
    source, target = Rect(0, 0, 100, 100), Rect(0, 0, 1000, 1000)
    assert fit_rects(source, target, "locked", "centre", x_mm_per_px=0.5, y_mm_per_px=0.25) == (
        Rect(0, 25, 100, 50),
        target,
    )
    assert fit_rects(source, target, "cropped", "centre", x_mm_per_px=0.5, y_mm_per_px=0.25) == (
        source,
        Rect(250, 0, 500, 1000),
    )


@given(rects, rects, holds, pitches, pitches)
def test_full_keeps_both_whole(source, target, hold, x_mm_per_px, y_mm_per_px):
    assert fit_rects(
        source, target, "full", hold, x_mm_per_px=x_mm_per_px, y_mm_per_px=y_mm_per_px
    ) == (source, target)


def rounding_of(rect):
    """What adding up places and lengths of this size can be off by.

    A few units in the last place.
    """
    return 1e-15 * (abs(rect.left) + abs(rect.top) + rect.width + rect.height)


@given(rects, lengths_mm, lengths_mm, holds)
@example(Rect(0, 0, 240, 152), 16.0, 9.0, "centre")
# The same proportions but for rounding: the quotient W·h/w alone comes out above H.
@example(
    Rect(0, 0, 1.616621800965165, 1.6884897110693093),
    2.6964225907765527,
    2.8162937048744934,
    "centre",
)
def test_what_is_trimmed_stays_inside_keeps_one_side_and_has_the_proportions(
    outer, width, height, hold
):
    inner = trimmed(outer, width, height, hold)
    assert inner.width <= outer.width
    assert inner.height <= outer.height
    assert outer.holds(inner, slack=rounding_of(outer))
    assert inner.width == outer.width or inner.height == outer.height
    # SAME_SCALE, and the rounding of this very line.
    assert inner.width / inner.height == pytest.approx(width / height, rel=1e-12 + 1e-15)


@pytest.mark.oracle
@given(rects, lengths_mm, lengths_mm, holds)
def test_what_is_trimmed_is_the_fraction_that_exact_arithmetic_gives(outer, width, height, hold):
    inner = trimmed(outer, width, height, hold)
    proportion = Fraction(width) / Fraction(height)
    exact_width = min(Fraction(outer.width), Fraction(outer.height) * proportion)
    exact_height = min(Fraction(outer.height), Fraction(outer.width) / proportion)
    across, down = HOLD_SHARES[hold]
    # Three roundings; or nothing trimmed, where the proportions agree to 1e-12.
    close = 1.01e-12 if inner == outer else 3.4e-16
    assert inner.width == pytest.approx(float(exact_width), rel=close)
    assert inner.height == pytest.approx(float(exact_height), rel=close)
    exact_left = Fraction(outer.left) + (Fraction(outer.width) - exact_width) * across
    exact_top = Fraction(outer.top) + (Fraction(outer.height) - exact_height) * down
    slack = rounding_of(outer) + (outer.width + outer.height) * (close - 3.4e-16)
    assert inner.left == pytest.approx(float(exact_left), abs=slack)
    assert inner.top == pytest.approx(float(exact_top), abs=slack)


@given(rects, rects, holds, pitches, pitches)
def test_locked_and_cropped_are_true_and_the_same_thing_seen_from_the_two_sides(
    source, target, hold, x_pitch, y_pitch
):
    for fit in ("locked", "cropped"):
        area, screen = fit_rects(
            source, target, fit, hold, x_mm_per_px=x_pitch, y_mm_per_px=y_pitch
        )
        scale_x = screen.width * x_pitch / area.width
        scale_y = screen.height * y_pitch / area.height
        assert scale_x / scale_y == pytest.approx(1.0, rel=1e-12 + 1e-15)
    # With square pixels, what is trimmed of one by the other is what would be trimmed of the other
    # by the one.
    area, _ = fit_rects(source, target, "locked", hold)
    _, screen = fit_rects(target, source, "cropped", hold)
    assert area == screen


@pytest.mark.parametrize(
    ("hold", "left", "top"),
    [
        # By hand: 40 x 30 in 100 x 60 at 10, 20, so 60 to spare across and 30 down.
        ("top-left", 10, 20),
        ("top", 40, 20),
        ("top-right", 70, 20),
        ("left", 10, 35),
        ("centre", 40, 35),
        ("right", 70, 35),
        ("bottom-left", 10, 50),
        ("bottom", 40, 50),
        ("bottom-right", 70, 50),
    ],
)
def test_the_nine_holds_by_hand(hold, left, top):
    assert place(Rect(10, 20, 100, 60), 40, 30, hold) == Rect(left, top, 40, 30)


@pytest.mark.parametrize(
    ("fit", "hold", "says"),
    [
        (
            "loked",
            "centre",
            'fit: must be one of full, locked, cropped; got "loked". Did you mean locked?',
        ),
        ("", "centre", 'fit: must be one of full, locked, cropped; got ""'),
        (
            "locked",
            "topleft",
            (
                "hold: must be one of centre, left, right, top, bottom, top-left, top-right, "
                'bottom-left, bottom-right; got "topleft". Did you mean top-left?'
            ),
        ),
    ],
)
def test_unknown_words_are_refused_with_the_nearest_one(fit, hold, says):
    rect = Rect(0, 0, 1, 1)
    with pytest.raises(RequestError, match=says):
        fit_rects(rect, rect, fit, hold)
