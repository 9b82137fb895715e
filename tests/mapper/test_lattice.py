"""The search among rectangles of whole sides.

Against brute force and the standard library's fractions.
"""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mapper.rounding.lattice import (
    _between,
    _neighbours,
    best_sides,
    largest,
    least_stretched,
    nearest_start,
    pareto_front,
    whole_range,
)
from tests.strategies import small_ratios, small_sides, tolerances


def all_sides(most_across, most_down):
    return [
        (across, down) for across in range(1, most_across + 1) for down in range(1, most_down + 1)
    ]


def brute_stretch(sides, ratio):
    """The longer of the two scales over the shorter.

    As design words it, without the module's help.
    """
    scale_x, scale_y = ratio / sides[0], Fraction(1, sides[1])
    return max(scale_x, scale_y) / min(scale_x, scale_y)


def brute_best(most_across, most_down, ratio, most_stretch):
    admissible = all_sides(most_across, most_down)
    good = [sides for sides in admissible if brute_stretch(sides, ratio) <= most_stretch]
    if good:
        most = max(across * down for across, down in good)
        good = [(across, down) for across, down in good if 100 * across * down >= 99 * most]
    return min(
        good or admissible,
        key=lambda sides: (brute_stretch(sides, ratio), -sides[0] * sides[1]),
    )


def brute_front(most_across, most_down, ratio):
    """Every rectangle that no other beats in both.

    None is as large and truer, none as true and larger.
    """
    points = [
        (across * down, brute_stretch((across, down), ratio), (across, down))
        for across, down in all_sides(most_across, most_down)
    ]
    return sorted(
        (
            sides
            for size, stretch, sides in points
            if not any(
                (other >= size and truer < stretch) or (other > size and truer <= stretch)
                for other, truer, _ in points
            )
        ),
        key=lambda sides: brute_stretch(sides, ratio),
    )


@pytest.mark.oracle
@given(small_sides, small_sides, small_ratios, tolerances)
def test_best_is_what_brute_force_over_all_rectangles_finds(
    most_across, most_down, ratio, tolerance
):
    expected = brute_best(most_across, most_down, ratio, 1 + tolerance)
    assert best_sides(most_across, most_down, ratio, 1 + tolerance) == expected


@pytest.mark.oracle
@settings(max_examples=30)
@given(st.integers(40, 70), st.integers(40, 70), small_ratios, tolerances)
def test_a_hundredth_of_the_area_is_given_up_for_the_roundest_as_brute_force_finds(
    most_across, most_down, ratio, tolerance
):
    expected = brute_best(most_across, most_down, ratio, 1 + tolerance)
    assert best_sides(most_across, most_down, ratio, 1 + tolerance) == expected


@pytest.mark.parametrize("finer", [2, 10, 150])
def test_a_finer_step_is_as_round_where_a_round_rectangle_lies_on_it(finer):
    """240 x 135 of 240 x 152 under 16:9 lies on each of these grids; worked by hand."""
    tolerance = Fraction(1005, 1000)
    assert best_sides(240, 152, Fraction(16, 9), tolerance) == (240, 135)
    assert best_sides(240 * finer, 152 * finer, Fraction(16, 9), tolerance) == (
        240 * finer,
        135 * finer,
    )


@given(st.integers(2, 300), st.integers(2, 300), small_ratios, st.integers(2, 9))
def test_a_finer_step_loses_a_hundredth_of_the_area_at_most_and_no_roundness(
    most_across, most_down, ratio, finer
):
    tolerance = Fraction(1005, 1000)
    coarse = best_sides(most_across, most_down, ratio, tolerance)
    if brute_stretch(coarse, ratio) > tolerance:
        return
    fine = best_sides(most_across * finer, most_down * finer, ratio, tolerance)
    size = coarse[0] * coarse[1] * finer**2
    assert 100 * fine[0] * fine[1] >= 99 * size
    largest_fine = largest(most_across * finer, most_down * finer, ratio, tolerance)
    if 100 * size >= 99 * largest_fine[0] * largest_fine[1]:
        assert brute_stretch(fine, ratio) <= brute_stretch(coarse, ratio)


@pytest.mark.oracle
@given(st.integers(1, 14), st.integers(1, 14), small_ratios)
def test_choices_are_the_front_that_brute_force_finds(most_across, most_down, ratio):
    assert pareto_front(most_across, most_down, ratio) == brute_front(most_across, most_down, ratio)


@given(small_sides, small_sides, small_ratios)
def test_no_two_proportions_are_stretched_alike_least(most_across, most_down, ratio):
    # What least_stretched() claims, so that no tie is ever left to chance.
    least = min(brute_stretch(sides, ratio) for sides in all_sides(most_across, most_down))
    found = {
        Fraction(*sides)
        for sides in all_sides(most_across, most_down)
        if brute_stretch(sides, ratio) == least
    }
    assert len(found) == 1


# Source: Python's fractions.Fraction.limit_denominator, which bounds the denominator alone and
# measures the difference, not the ratio: with room for any numerator it is one of the two
# neighbours.
@pytest.mark.oracle
@given(st.fractions(Fraction(1, 50), 50, max_denominator=10_000), st.integers(1, 400))
def test_neighbours_hold_what_limit_denominator_finds(ratio, most_down):
    nearest = ratio.limit_denominator(most_down)
    neighbours = [Fraction(*sides) for sides in _neighbours(10**9, most_down, ratio)]
    assert nearest == 0 or nearest in neighbours
    if len(neighbours) == 2:
        low, high = neighbours
        assert low < ratio < high
        assert abs(nearest - ratio) == min(ratio - low, high - ratio)


# By Python's Fraction.limit_denominator; 64/27 and 43/18 are exact, 169/95 is not.
@pytest.mark.oracle
@pytest.mark.parametrize(
    ("width_px", "height_px", "most", "expected"),
    [(2560, 1080, 50, (64, 27)), (3440, 1440, 50, (43, 18)), (1366, 768, 100, (169, 95))],
)
def test_known_proportions_of_displays(width_px, height_px, most, expected):
    ratio = Fraction(width_px, height_px)
    assert ratio.limit_denominator(most) == Fraction(*expected)
    across, down = least_stretched(1000, most, ratio)
    assert Fraction(across, down) == Fraction(*expected)


def test_a_hair_off_a_whole_multiple_is_that_multiple():
    step = 1 / Fraction("39.37007874015748")
    assert whole_range(Fraction(0), Fraction("238.76"), step) == (0, 9400)


@given(st.integers(-20, 20), st.integers(1, 30), st.data())
def test_the_start_is_as_near_to_the_wanted_one_as_can_be(first, room, data):
    side = data.draw(st.integers(1, room))
    wanted = data.draw(st.fractions(-60, 60, max_denominator=8))
    start = nearest_start(first, first + room, side, wanted)
    admissible = range(first, first + room - side + 1)
    assert start == min(admissible, key=lambda each: (abs(each - wanted), each))


def test_a_billionth_of_a_step_is_no_step():
    hair, more = Fraction(9, 10**10), Fraction(11, 10**10)
    assert whole_range(Fraction(0), Fraction(24), Fraction(5)) == (0, 4)
    assert whole_range(5 + hair, 20 - hair, Fraction(1)) == (5, 20)
    assert whole_range(5 + more, 20 - more, Fraction(1)) == (6, 19)


@pytest.mark.parametrize("gap", [Fraction(1, 3), Fraction(1, 1000), Fraction(1, 10**9 + 7)])
def test_what_is_tried_between_two_stretches_lies_well_between(gap):
    for low in (Fraction(1), Fraction(7, 5)):
        assert low + gap / 4 <= _between(low, low + gap) <= low + gap * 3 / 4
