"""How traces in invented programs are read, by kind of window and of hand.

Run by ``python -m tests.studies.trace_kinds [EACH [tuned|held]]``.
"""

import sys
import tempfile
import warnings
from collections import Counter
from pathlib import Path

from mapper.affine import Affine
from mapper.problems import EvenstrokeError
from mapper.tracing.measure import measure
from profiles.strokes.tracing import trace_picture
from tests.drawn_programs import (
    EVEN,
    HANDS,
    HELD_HANDS,
    HELD_WINDOWS,
    THINGS,
    WINDOWS,
    draw_program,
)


def judged(folder, number, **kind):
    """ "right", "wrong" or "refused", whether the intervals held, and what was said."""
    name = f"{number}.{'jpg' if kind.get('hand') == 'jpeg' else 'png'}"
    path = Path(folder) / name
    truth = draw_program(path, number, **kind)
    try:
        traced = trace_picture(str(path), truth.outline, Affine.identity())
    except EvenstrokeError as error:
        return "refused", None, str(error), path
    finally:
        pass
    measured = measure([traced.trace])
    offs = (
        measured.x_px_per_mm.value / truth.x_px_per_mm - 1,
        measured.y_px_per_mm.value / truth.y_px_per_mm - 1,
    )
    far = 0.03 if min(truth.outline.width_mm, 1e9) < 30 else 0.015
    if kind.get("empty"):
        return "answered", None, f"{traced.canvas_px}", path
    if max(map(abs, offs)) > far:
        return "wrong", None, f"{offs}", path
    held = (
        measured.x_px_per_mm.holds(truth.x_px_per_mm),
        measured.y_px_per_mm.holds(truth.y_px_per_mm),
        measured.ratio.holds(truth.x_px_per_mm / truth.y_px_per_mm),
    )
    return "right", held, "", path


def main(each=4, which="tuned", say="quiet"):
    is_held = which == "held"
    windows = [w for w in WINDOWS if (w in HELD_WINDOWS) == is_held]
    hands = [h for h in HANDS if (h in HELD_HANDS) == is_held]
    with tempfile.TemporaryDirectory() as folder:
        for window in windows:
            counts = Counter()
            for number in range(each):
                usual = [h for h in HANDS if h not in HELD_HANDS]
                outcome, _, what, _ = judged(
                    folder, number, window=window, hand=usual[number % len(usual)]
                )
                counts[outcome] += 1
                if outcome != "right" and say != "quiet":
                    print(
                        "   ", number, usual[number % len(usual)], outcome, what[:200], flush=True
                    )
            if window in EVEN:
                for number in range(each):
                    outcome, _, what, _ = judged(folder, number, window=window, empty=True)
                    counts["empty " + outcome] += 1
                    if outcome != "refused" and say != "quiet":
                        print("    empty", number, what[:200], flush=True)
            print(f"{window:<34}", dict(counts), flush=True)
        for hand in hands:
            for thing in THINGS:
                counts, sums = Counter(), [0, 0, 0]
                for number in range(each):
                    outcome, held, what, _ = judged(
                        folder, number, window="plain white", hand=hand, thing=thing
                    )
                    counts[outcome] += 1
                    if held:
                        sums = [a + b for a, b in zip(sums, held, strict=True)]
                    elif say != "quiet":
                        print("   ", number, outcome, what[:200], flush=True)
                print(f"{hand:<16}{thing:<14}", dict(counts), "held", sums, flush=True)


if __name__ == "__main__":
    main(*(int(t) if t.isdigit() else t for t in sys.argv[1:]))
