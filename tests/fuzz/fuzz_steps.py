"""The search among whole-step rectangles against brute force in exact integers.

It runs for as long as it is told to.

    python tests/fuzz/fuzz_steps.py SECONDS [SEED]

Rectangles of up to 160 steps a side, proportions from plain to nasty (near a fraction of small
terms, of many digits), tolerances from none to large. Leaves with 1 at the first difference and
prints it.
"""

from __future__ import annotations

import random
import sys
import time
from fractions import Fraction
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from mapper.rounding.lattice import best_sides, pareto_front

MOST = 160


def any_ratio(chance):
    """Proportions of small terms, of a float, or a hair beside small terms."""
    small = Fraction(chance.randint(1, 60), chance.randint(1, 60))
    kind = chance.randrange(3)
    if kind == 0:
        return small
    if kind == 1:
        return Fraction(repr(chance.uniform(0.1, 8.0)))
    return small + Fraction(chance.choice([-1, 1]), chance.randint(10_000, 10**9)) / 2


def table(most_across, most_down, ratio):
    """Size and stretch of every rectangle.

    The stretch as an exact fraction in two arrays of Python integers.
    """
    across = np.arange(1, most_across + 1, dtype=object)[:, None]
    down = np.arange(1, most_down + 1, dtype=object)[None, :]
    one, other = across * ratio.denominator, down * ratio.numerator
    longer = one >= other
    return across * down, np.where(longer, one, other), np.where(longer, other, one)


def brute(most_across, most_down, ratio, most_stretch):
    """The best rectangle and the front, by the rule of design, from the whole table."""
    size, over, under = table(most_across, most_down, ratio)
    rows = [
        (int(size[i, j]), Fraction(int(over[i, j]), int(under[i, j])), (i + 1, j + 1))
        for i in range(most_across)
        for j in range(most_down)
    ]
    rows.sort(key=lambda row: (-row[0], row[1]))
    front = []
    for _, stretch, sides in rows:
        if not front or stretch < front[-1][0]:
            front.append((stretch, sides))
    good = [(stretch, sides) for stretch, sides in front if stretch <= most_stretch]
    # The front goes from the largest to the roundest: the last one that is large enough.
    large = [
        sides
        for _, sides in good
        if 100 * sides[0] * sides[1] >= 99 * good[0][1][0] * good[0][1][1]
    ]
    best = large[-1] if large else front[-1][1]
    return best, [sides for _, sides in front[::-1]]


def main(seconds, seed):
    chance, end, tried = random.Random(seed), time.monotonic() + seconds, 0
    while time.monotonic() < end:
        most = chance.randint(1, MOST), chance.randint(1, MOST)
        ratio = any_ratio(chance)
        tolerance = chance.choice([Fraction(0), Fraction(1, 1000), Fraction(1, 50), Fraction(1, 2)])
        tolerance *= Fraction(chance.randint(0, 2000), 1000)
        if ratio <= 0:
            continue
        best, front = brute(*most, ratio, 1 + tolerance)
        found = best_sides(*most, ratio, 1 + tolerance), pareto_front(*most, ratio)
        if found != (best, front):
            sys.exit(
                f"{most} at {ratio}, tolerance {tolerance}: found {found}, brute force says "
                f"{(best, front)}"
            )
        tried += 1
    print(f"{tried} cases in {seconds:.0f} s, seed {seed}: no difference")


if __name__ == "__main__":
    main(float(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1)
