"""Rectangles whose sides are whole numbers: which one among all of them.

Everything here is in whole steps and exact fractions; what a step is in mm or px is the caller's
business. A rectangle of ``across`` by ``down`` steps is admissible where ``1 ≤ across ≤
most_across`` and ``1 ≤ down ≤ most_down``. ``true_ratio`` is the ratio across : down, in steps,
that would keep a circle round, so that ``stretch = max(r, 1/r)`` with ``r = across / (down ·
true_ratio)``.

Why the search is quick. The rectangles with a stretch of at most t are the lattice points of a
cone, ``down·A ≤ across ≤ down·B`` with ``A = true_ratio / t`` and ``B = true_ratio · t``. For a
given ``down`` the largest of them has ``across = min(most_across, floor(down·B))``, which never
falls as ``down`` grows, so the largest rectangle of all has the greatest ``down`` whose row of the
cone holds a lattice point at all, and no other rectangle is as large. How many points the first n
rows hold is a sum of floors, found in O(log n) as in Euclid's algorithm (R. L. Graham, D. E. Knuth,
O. Patashnik, Concrete Mathematics, section 3.5, for the sums); bisecting that count finds the row
in O(log² n). The least stretched rectangle is one of the two Farey neighbours of ``true_ratio``
whose terms are within the bounds (the Stern-Brocot tree, section 4.5 there).

The tests compare small cases with brute force, ``tests/fuzz/fuzz_steps.py SECONDS`` up to 160 steps
a side: ten minutes of it after every change here.
"""

from __future__ import annotations

from fractions import Fraction
from math import ceil, floor

Sides = tuple[int, int]

#: Up to this share of the largest area is given up for a rounder rectangle.
LEAST_SHARE = Fraction(99, 100)

# A length within a billionth of a step of a whole number of steps is that number: resolutions such
# as 1000 counts an inch have no finite decimal in mm, and no driver resolves a billionth of its own
# step.
_SAME_STEP = Fraction(1, 10**9)


def stretch_of(sides: Sides, true_ratio: Fraction) -> Fraction:
    """Longest over shortest scale of the map from a rectangle of these ``sides``; 1 is true."""
    ratio = Fraction(sides[0], sides[1]) / true_ratio
    return max(ratio, 1 / ratio)


def best_sides(
    most_across: int, most_down: int, true_ratio: Fraction, most_stretch: Fraction
) -> Sides:
    """The roundest admissible rectangle of nearly the largest size within ``most_stretch``.

    Nearly is at least ``LEAST_SHARE`` of the largest; where no rectangle is within the stretch, it
    is the least stretched one. There are never two of one size: see the module's docstring and
    least_stretched().

    >>> best_sides(240, 152, Fraction(16, 9), Fraction(1005, 1000))
    (240, 135)
    >>> best_sides(20, 20, Fraction(16, 9), Fraction(1))
    (16, 9)
    >>> best_sides(20, 20, Fraction(16, 9), Fraction(103, 100))
    (20, 11)
    """
    found = largest(most_across, most_down, true_ratio, most_stretch)
    if found is None:
        return least_stretched(most_across, most_down, true_ratio)
    return _roundest(most_across, most_down, true_ratio, found)


def _roundest(
    most_across: int, most_down: int, true_ratio: Fraction, largest_sides: Sides
) -> Sides:
    """The roundest rectangle with ``LEAST_SHARE`` of the size of ``largest_sides``, or more.

    The largest rectangle within a stretch shrinks with the stretch, so the least stretch at which
    it is large enough is found by halving what is left between 1 and the best one found. The
    search ends where the largest of all rounder ones is too small, so the answer is exact.
    """
    least = LEAST_SHARE * largest_sides[0] * largest_sides[1]
    best, too_small = largest_sides, Fraction(1)
    while True:
        stretch = stretch_of(best, true_ratio)
        rounder = largest(most_across, most_down, true_ratio, stretch, below=True)
        if rounder is None or rounder[0] * rounder[1] < least:
            return best
        best, stretch = rounder, stretch_of(rounder, true_ratio)
        if stretch == 1:
            return best
        between = _between(too_small, stretch)
        found = largest(most_across, most_down, true_ratio, between)
        if found is not None and found[0] * found[1] >= least:
            best = found
        else:
            too_small = between


def _between(low: Fraction, high: Fraction) -> Fraction:
    """A fraction of few digits in the middle half of ``low`` to ``high``."""
    scale = 1 << (4 / (high - low)).__ceil__().bit_length()
    return Fraction(floor((low + high) / 2 * scale), scale)


def largest(
    most_across: int,
    most_down: int,
    true_ratio: Fraction,
    most_stretch: Fraction,
    *,
    below: bool = False,
    guess: int = 0,
) -> Sides | None:
    """The largest admissible rectangle with a stretch of at most ``most_stretch``, or None.

    With ``below`` its stretch is less than that. ``guess`` is a height that it may well have: a
    right one saves most of the search, a wrong one costs little.
    """
    if most_stretch < 1 or (below and most_stretch == 1):
        return None
    flattest, widest = true_ratio / most_stretch, true_ratio * most_stretch
    # Rows beyond this one need more steps across than there are.
    rows = ceil(most_across / flattest) - 1 if below else floor(most_across / flattest)
    down = _last_row_with_a_point(min(most_down, rows), flattest, widest, below=below, guess=guess)
    if down == 0:
        return None
    reach = ceil(down * widest) - 1 if below else floor(down * widest)
    return min(most_across, reach), down


def least_stretched(most_across: int, most_down: int, true_ratio: Fraction) -> Sides:
    """The admissible rectangle nearest to true, and of all with its proportions the largest.

    There are never two of one stretch: neighbours a/b < c/d have cb - ad = 1, equal stretch would
    need ac/bd to be a square and so ad·cb = x·(x + 1) as well, which no x ≥ 1 gives.
    """
    neighbours = _neighbours(most_across, most_down, true_ratio)
    across, down = min(neighbours, key=lambda sides: stretch_of(sides, true_ratio))
    times = min(most_across // across, most_down // down)
    return across * times, down * times


def pareto_front(most_across: int, most_down: int, true_ratio: Fraction) -> list[Sides]:
    """All admissible rectangles that no other beats in both size and stretch, the truest first."""
    front = []
    # With one side whole, every step that the other gains costs shape and wins size.
    if most_across <= most_down * true_ratio:
        start = ceil(most_across / true_ratio)
        front = [(most_across, down) for down in range(most_down, start - 1, -1)]
    else:
        start = ceil(most_down * true_ratio)
        front = [(across, most_down) for across in range(most_across, start - 1, -1)]
    # And from there each truer one is the largest with less stretch than the one before. They come
    # in runs whose differences are the same.
    guess = 0
    while True:
        last = front[-1]
        stretch = stretch_of(last, true_ratio)
        truer = largest(most_across, most_down, true_ratio, stretch, below=True, guess=guess)
        if truer is None:
            return front[::-1]
        front.append(truer)
        guess = 2 * truer[1] - last[1]


def whole_range(start: Fraction, end: Fraction, step: Fraction) -> tuple[int, int]:
    """The first and the last whole multiple of ``step`` from ``start`` to ``end``, in steps."""
    return ceil(start / step - _SAME_STEP), floor(end / step + _SAME_STEP)


def nearest_start(first: int, last: int, side: int, wanted: Fraction) -> int:
    """Where a side of ``side`` steps starts, as near to ``wanted`` as it can be.

    From ``first`` on, and so that it ends at ``last`` at the latest. Of two places as near, the
    lower one.
    """
    return min(max(ceil(wanted - Fraction(1, 2)), first), last - side)


def _last_row_with_a_point(
    rows: int, flattest: Fraction, widest: Fraction, *, below: bool, guess: int
) -> int:
    """The last of the first ``rows`` rows of the cone that holds a whole number; 0 without any."""
    if rows < 1:
        return 0
    total = _points_in_rows(rows, flattest, widest, below=below)
    if total > _points_in_rows(rows - 1, flattest, widest, below=below):
        return rows
    # The count of the first n rows never falls with n: the first to reach the total is the row.
    low, high = 0, rows - 1
    if 1 <= guess < rows and _points_in_rows(guess, flattest, widest, below=below) == total:
        if _points_in_rows(guess - 1, flattest, widest, below=below) < total:
            return guess
        high = guess
    while low < high:
        middle = (low + high) // 2
        if _points_in_rows(middle, flattest, widest, below=below) == total:
            high = middle
        else:
            low = middle + 1
    return low


def _points_in_rows(rows: int, flattest: Fraction, widest: Fraction, *, below: bool) -> int:
    """How many whole numbers lie in [n·flattest, n·widest] for n = 1..rows together.

    With ``below`` in the open intervals.
    """
    p, q = flattest.numerator, flattest.denominator
    r, s = widest.numerator, widest.denominator
    if below:
        # ceil(n·r/s) - 1 - floor(n·p/q), and ceil(x/s) - 1 is floor((x - 1)/s).
        return _floor_sum(rows, s, r, r - 1) - _floor_sum(rows, q, p, p)
    # floor(n·r/s) - ceil(n·p/q) + 1, and ceil(x/q) - 1 is floor((x - 1)/q).
    return _floor_sum(rows, s, r, r) - _floor_sum(rows, q, p, p - 1)


def _floor_sum(count: int, divisor: int, slope: int, offset: int) -> int:
    """The sum of ``floor((slope·i + offset) / divisor)`` over i = 0..count-1.

    Slope and offset are not negative.
    """
    total = 0
    while count > 0:
        whole, slope = divmod(slope, divisor)
        total += whole * count * (count - 1) // 2
        whole, offset = divmod(offset, divisor)
        total += whole * count
        # What is left lies under a line of slope below 1: count by rows instead of by columns.
        count, offset = divmod(slope * count + offset, divisor)
        divisor, slope = slope, divisor
    return total


def _neighbours(most_across: int, most_down: int, ratio: Fraction) -> list[Sides]:
    """The nearest fractions across/down on either side of ``ratio`` within the bounds.

    One where the ratio is met exactly.
    """
    p, q = ratio.numerator, ratio.denominator
    low, high = (0, 1), (1, 0)
    while low[0] + high[0] <= most_across and low[1] + high[1] <= most_down:
        # How often the mediant falls on the low side within the bounds, then on the high side.
        times = (p * low[1] - q * low[0]) // (q * high[0] - p * high[1])
        low = _after_strides(
            low, high, min(times, _strides_within(most_across, most_down, low, high))
        )
        if low[0] * q == p * low[1]:
            return [low]
        times = (q * high[0] - p * high[1]) // (p * low[1] - q * low[0])
        high = _after_strides(
            high, low, min(times, _strides_within(most_across, most_down, high, low))
        )
        if high[0] * q == p * high[1]:
            return [high]
    return [sides for sides in (low, high) if sides[0] and sides[1]]


def _strides_within(most_across: int, most_down: int, start: Sides, stride: Sides) -> int:
    """How many strides from ``start`` stay within the bounds."""
    rooms = [(most_across - start[0]) // stride[0]] if stride[0] else []
    rooms += [(most_down - start[1]) // stride[1]] if stride[1] else []
    return min(rooms)


def _after_strides(start: Sides, stride: Sides, times: int) -> Sides:
    return start[0] + times * stride[0], start[1] + times * stride[1]
