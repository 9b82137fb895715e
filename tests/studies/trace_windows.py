"""How many invented screenshots are measured right.

Run by ``python -m tests.studies.trace_windows [SHOTS [FIRST]]``.

Right: both scales within 1 % of the truth; refused: an error that says what to type; wrong:
anything else. The 48 of tests/drawn_windows.py: 48 right, none refused, none wrong.
"""

import sys
import tempfile
from pathlib import Path

from mapper.affine import Affine
from mapper.problems import EvenstrokeError
from mapper.tracing.measure import measure
from profiles.strokes.tracing import trace_picture
from tests.drawn_windows import COUNT, draw_window


def judged(number, folder):
    """What became of a screenshot, its truth, and the trace or the refusal.

    It became "right", "refused" or "wrong".
    """
    path = Path(folder) / f"{number}.{'jpg' if number % 6 == 5 else 'png'}"
    shot = draw_window(path, number)
    try:
        traced = trace_picture(str(path), shot.outline, Affine.identity())
    except EvenstrokeError as error:
        return "refused", shot, error
    measured = measure([traced.trace])
    x, y = (
        measured.x_px_per_mm.value / shot.x_px_per_mm,
        measured.y_px_per_mm.value / shot.y_px_per_mm,
    )
    return ("right" if max(abs(x - 1), abs(y - 1)) < 0.01 else "wrong"), shot, traced


def main(shots, first=0):
    counts = dict.fromkeys(("right", "refused", "wrong"), 0)
    with tempfile.TemporaryDirectory() as folder:
        for number in range(first, first + shots):
            outcome, shot, what = judged(number, folder)
            counts[outcome] += 1
            if outcome != "right":
                print(
                    number,
                    shot.kind,
                    shot.thing,
                    outcome,
                    what if outcome == "refused" else "",
                    flush=True,
                )
    print(counts)


if __name__ == "__main__":
    main(*(int(text) for text in sys.argv[1:]) if len(sys.argv) > 1 else (COUNT,))
