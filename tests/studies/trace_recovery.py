"""How exactly stretch is recovered from drawn pictures.

Run by ``python -m tests.studies.trace_recovery [MAPS]``.

Random maps of a tablet, drawn by Skia with strokes of random thickness and colour on random
grounds, some with gaps, stray dots and a second stroke; clean (as a ruler would) and wobbly (spread
0.12 mm, as a pen along an edge).
"""

import sys
import tempfile
from pathlib import Path

import numpy as np

from mapper.affine import Affine
from mapper.tracing.measure import measure
from mapper.tracing.outline import KnownOutline
from profiles.strokes.tracing import trace_picture
from tests.drawn_traces import draw_trace, matrix_of

THINGS = (
    KnownOutline(85.6, 53.98, 3.18),
    KnownOutline.circle(120),
    KnownOutline.circle(60),
    KnownOutline(148, 105),
    KnownOutline(80, 80),
)
WOBBLE_MM = 0.12


def second_stroke(random, size_px):
    def draw(canvas, paint):
        x0, y0, x1, y1 = random.uniform(0, min(size_px), 4)
        canvas.drawLine(x0, y0, x1, y1, paint)
        canvas.drawCircle(random.uniform(20, 120), random.uniform(20, 120), 4, paint)

    return draw


def one(number, folder, *, wobble_mm, seed=0):
    """Error of the stretch in per cent, and whether its interval holds the truth."""
    random = np.random.default_rng((seed, number))
    outline = THINGS[number % len(THINGS)]
    y = random.uniform(4, 9) * 60 / max(outline.height_mm, 60)
    ratio = float(np.exp(random.uniform(-0.3, 0.3)))
    turn = 0.0 if outline.is_circle else random.uniform(-6, 6)
    matrix = matrix_of(y * ratio, y, turn)
    ground = random.integers(190, 256, 3)
    ink = random.integers(0, 150, 3)
    if number % 4 == 3:
        ground, ink = ink // 4, ground
    size_px = (1400, 1200)
    path = Path(folder) / f"{number}.png"
    draw_trace(
        path,
        outline,
        matrix,
        size_px=size_px,
        stroke_px=float(random.uniform(1.2, 12)),
        ground=[int(v) for v in ground],
        ink=[int(v) for v in ink],
        wobble_mm=wobble_mm,
        seed=number,
        gap=float(random.choice([0, 0, 0.08, 0.16])),
        extra=second_stroke(random, size_px) if number % 3 == 1 else None,
    )
    measured = measure([trace_picture(str(path), outline, Affine.identity()).trace])
    return 100 * (measured.ratio.value / ratio - 1), measured.ratio.holds(ratio)


def main(maps):
    with tempfile.TemporaryDirectory() as folder:
        for name, wobble_mm in (("clean", 0.0), (f"wobbly, {WOBBLE_MM:g} mm", WOBBLE_MM)):
            results = [one(number, folder, wobble_mm=wobble_mm) for number in range(maps)]
            errors = np.abs([error for error, _ in results])
            held = 100 * np.mean([holds for _, holds in results])
            print(
                f"{name}: {maps} maps, stretch off by at most {errors.max():.3f} %, 95 % of them "
                f"within "
                f"{np.percentile(errors, 95):.3f} %, interval held {held:.0f} %",
                flush=True,
            )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
