"""Rounding to a driver's step with 100,000 counts a side, against quick brute force.

The floor is numpy's: for each of the 100,000 heights the widest rectangle within the tolerance, and
the largest of them.
"""

from fractions import Fraction

import numpy as np

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.solve import MapRequest
from mapper.mapping.steps import Step
from mapper.rounding.lattice import best_sides, pareto_front
from mapper.rounding.rounded import rounded, step_choices
from mapper.solving import solve
from tests.bench.timing import Result, best_of_turns

MOST = 100_000
RATIOS = (Fraction(16, 9), Fraction(43, 18), Fraction(3552713678800501, 2 * 10**15))
LIMIT_S = 0.05


def rows_by_numpy(ratio, most_stretch):
    down = np.arange(1, MOST + 1)
    across = np.minimum(np.floor(down * float(ratio * most_stretch)), MOST)
    good = across >= down * float(ratio / most_stretch)
    return int(np.argmax(np.where(good, across * down, 0)))


def results():
    tolerance = Fraction(1001, 1000)
    ours_s, floor_s = best_of_turns(
        20,
        lambda: [best_sides(MOST, MOST, ratio, tolerance) for ratio in RATIOS],
        lambda: [rows_by_numpy(ratio, tolerance) for ratio in RATIOS],
    )
    yield Result(
        "the best of 100,000 x 100,000 rectangles, three proportions",
        "numpy over one side",
        ours_s,
        floor_s,
        1,
    )
    solved = solve(
        MapRequest(
            Tablet(500, 500, 200),
            Desktop((Display(5120, 1440).with_diagonal(49 * 25.4),)),
            step=Step(1, "counts"),
        )
    )
    exact = solve(MapRequest(solved.request.tablet, solved.request.desktop))
    for what, call in (
        ("a whole map rounded to counts", lambda: rounded(solved)),
        ("its whole front of choices", lambda: step_choices(solved)),
        ("the search for the front alone", lambda: pareto_front(MOST, MOST, Fraction(32, 9))),
    ):
        ours_s, floor_s = best_of_turns(10, call, lambda: solve(exact.request))
        aim = (
            f"{what} (aim: under {LIMIT_S * 1000:.0f} ms: "
            f"{'reached' if ours_s < LIMIT_S else 'MISSED'})"
        )
        yield Result(aim, "solving the exact map", ours_s, floor_s, None)
