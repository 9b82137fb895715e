"""Many more desks and sheets than the suite tries: labels that overlap, marks that leave the canvas.

``python -m tests.fuzz.fuzz_extents [SECONDS]``; prints each desk that fails and how many were tried.
"""

import sys
import time

from hypothesis import HealthCheck, Phase, given, seed, settings

from mapper.solving import solve
from tests.render.test_extents import VIEWS, extents, outside, overlapping
from tests.strategies import real_desks, sheet_sizes_mm


def main(seconds):
    until, tried, failed, turn = time.monotonic() + seconds, 0, 0, 0
    while time.monotonic() < until:
        turn += 1

        @seed(turn)
        @settings(
            max_examples=50,
            phases=[Phase.generate],
            database=None,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        )
        @given(request=real_desks(), size_mm=sheet_sizes_mm)
        def one(request, size_mm):
            nonlocal tried, failed
            solved = solve(request)
            for name, view in VIEWS.items():
                tried += 1
                texts, others, canvas = extents(view(solved, size_mm=size_mm))
                wrong = overlapping(texts) or outside([box for _, box in texts] + others, canvas)
                if wrong:
                    failed += 1
                    print(name, size_mm, wrong[0], request, flush=True)

        one()
    print(f"{tried} pictures, {failed} wrong")


main(float(sys.argv[1]) if len(sys.argv) > 1 else 600.0)
