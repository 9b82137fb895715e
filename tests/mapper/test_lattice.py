"""The search among rectangles of whole sides, against brute force and the standard library's
fractions.
"""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.rounding.lattice import (
    _neighbours,
    best_sides,
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
    """As design words it, without the module's help: the longer of the two scales over the
    shorter.
    """
    scale_x, scale_y = ratio / sides[0], Fraction(1, sides[1])
    return max(scale_x, scale_y) / min(scale_x, scale_y)


def brute_best(most_across, most_down, ratio, most_stretch):
    admissible = all_sides(most_across, most_down)
    good = [sides for sides in admissible if brute_stretch(sides, ratio) <= most_stretch]
    if good:
        return min(good, key=lambda sides: (-sides[0] * sides[1], brute_stretch(sides, ratio)))
    return min(admissible, key=lambda sides: (brute_stretch(sides, ratio), -sides[0] * sides[1]))


def brute_front(most_across, most_down, ratio):
    """Every rectangle that no other beats in both: none as large and truer, none as true and
    larger.
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
