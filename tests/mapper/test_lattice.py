"""The search among rectangles of whole sides, against brute force and the standard library's fractions."""

from fractions import Fraction
from math import ceil, floor

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.rounding.lattice import (
    _floor_sum,
    _neighbours,
    best_sides,
    choices,
    largest,
    least_stretched,
    nearest_start,
    stretch_of,
    whole_range,
)
from tests.strategies import small_ratios, small_sides, tolerances


def all_sides(most_across, most_down):
    return [(across, down) for across in range(1, most_across + 1) for down in range(1, most_down + 1)]


def brute_stretch(sides, ratio):
    """As design words it, without the module's help: the longer of the two scales over the shorter."""
    scale_x, scale_y = ratio / sides[0], Fraction(1, sides[1])
    return max(scale_x, scale_y) / min(scale_x, scale_y)


def brute_best(most_across, most_down, ratio, most_stretch):
    admissible = all_sides(most_across, most_down)
    good = [sides for sides in admissible if brute_stretch(sides, ratio) <= most_stretch]
    if good:
        return min(good, key=lambda sides: (-sides[0] * sides[1], brute_stretch(sides, ratio)))
    return min(admissible, key=lambda sides: (brute_stretch(sides, ratio), -sides[0] * sides[1]))


def brute_front(most_across, most_down, ratio):
    """Every rectangle that no other beats in both: none as large and truer, none as true and larger."""
    points = [
        (across * down, brute_stretch((across, down), ratio), (across, down))
        for across, down in all_sides(most_across, most_down)
    ]
    return sorted(
        (
            sides
            for size, stretch, sides in points
            if not any(
                (other >= size and truer < stretch) or (other > size and truer <= stretch) for other, truer, _ in points
            )
        ),
        key=lambda sides: brute_stretch(sides, ratio),
    )


@pytest.mark.oracle
@given(small_sides, small_sides, small_ratios, tolerances)
def test_best_is_what_brute_force_over_all_rectangles_finds(most_across, most_down, ratio, tolerance):
    expected = brute_best(most_across, most_down, ratio, 1 + tolerance)
    assert best_sides(most_across, most_down, ratio, 1 + tolerance) == expected


@pytest.mark.oracle
@given(st.integers(1, 14), st.integers(1, 14), small_ratios)
def test_choices_are_the_front_that_brute_force_finds(most_across, most_down, ratio):
    assert choices(most_across, most_down, ratio) == brute_front(most_across, most_down, ratio)


@pytest.mark.oracle
@given(small_sides, small_sides, small_ratios, tolerances, st.booleans())
def test_largest_below_a_stretch_by_brute_force(most_across, most_down, ratio, tolerance, below):
    limit = 1 + tolerance
    inside = [
        sides
        for sides in all_sides(most_across, most_down)
        if brute_stretch(sides, ratio) < limit or (not below and brute_stretch(sides, ratio) == limit)
    ]
    expected = max(inside, key=lambda sides: sides[0] * sides[1]) if inside else None
    assert largest(most_across, most_down, ratio, limit, below=below) == expected


@given(small_sides, small_sides, small_ratios)
def test_no_two_proportions_are_stretched_alike_least(most_across, most_down, ratio):
    # What least_stretched() claims, so that no tie is ever left to chance.
    least = min(brute_stretch(sides, ratio) for sides in all_sides(most_across, most_down))
    found = {Fraction(*sides) for sides in all_sides(most_across, most_down) if brute_stretch(sides, ratio) == least}
    assert len(found) == 1


# Source: Python's fractions.Fraction.limit_denominator, which bounds the denominator alone and measures the
# difference, not the ratio: with room for any numerator it is one of the two neighbours.
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


# Source: checks.md's list of roundings, each by limit_denominator; 64/27 and 43/18 are exact, 169/95 is not.
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


# Source: checks.md, brute force over all integer rectangles.
@pytest.mark.parametrize(("ratio", "expected"), [(Fraction(16, 9), (240, 135)), (Fraction(43, 18), (215, 90))])
def test_the_largest_exact_area_in_whole_mm_of_240_by_152(ratio, expected):
    assert best_sides(240, 152, ratio, Fraction(1)) == expected
    assert brute_best(240, 152, ratio, Fraction(1)) == expected


@given(st.integers(0, 60), st.integers(1, 40), st.integers(0, 90), st.integers(0, 90))
def test_floor_sum_is_the_sum(count, divisor, slope, offset):
    assert _floor_sum(count, divisor, slope, offset) == sum((slope * i + offset) // divisor for i in range(count))


@given(small_sides, small_sides, small_ratios)
def test_choices_run_from_the_truest_to_the_largest(most_across, most_down, ratio):
    front = choices(most_across, most_down, ratio)
    assert front[0] == least_stretched(most_across, most_down, ratio)
    assert front[-1] == (most_across, most_down)
    stretches = [stretch_of(sides, ratio) for sides in front]
    assert stretches == sorted(set(stretches))


@given(st.fractions(-50, 50), st.fractions(0, 50), st.fractions(Fraction(1, 7), 3))
def test_whole_range_holds_every_multiple_between(start, length, step):
    first, last = whole_range(start, start + length, step)
    assert first == ceil(start / step - Fraction(1, 10**9))
    assert last == floor((start + length) / step + Fraction(1, 10**9))


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


@pytest.mark.parametrize(("wanted", "start"), [("2.5", 2), ("2.51", 3), ("-0.5", 0), ("7.5", 7), ("9", 7), ("-3", 0)])
def test_of_two_starts_as_near_the_lower_one(wanted, start):
    assert nearest_start(0, 10, 3, Fraction(wanted)) == start
