"""A traced picture of 24 megapixels measured, against Pillow decoding it alone."""

import tempfile
from pathlib import Path

import numpy as np

from tests.bench.timing import Result, best_of_turns


def decoded(path):
    from PIL import Image

    with Image.open(path) as image:
        image.load()


def results():
    from PIL import Image

    from mapper.affine import Affine
    from mapper.tracing.measure import measure
    from mapper.tracing.outline import KnownOutline
    from profiles.strokes.tracing import trace_picture
    from tests.drawn_traces import draw_trace, matrix_of

    things = (
        ("a disc", KnownOutline.circle(120), matrix_of(26, 24)),
        ("a card", KnownOutline(85.6, 53.98, 3.18), matrix_of(40, 37, 2)),
    )
    with tempfile.TemporaryDirectory() as folder:
        for name, outline, matrix in things:
            plain = Path(folder) / "plain.png"
            draw_trace(plain, outline, matrix, size_px=(6000, 4000), stroke_px=14)
            with Image.open(plain) as image:
                flat = image.convert("RGB")
            grain = np.random.default_rng(1).integers(0, 3, (4000, 6000, 1), dtype=np.uint8)
            paper = Image.fromarray(np.asarray(flat) - np.minimum(np.asarray(flat), grain))
            for kind, picture, options in (
                ("PNG, plain", flat, {}),
                ("PNG, with the grain of a scan", paper, {}),
                ("JPEG", paper, {"quality": 90}),
            ):
                path = Path(folder) / f"a.{kind[:3].lower().replace('jpe', 'jpg')}"
                picture.save(path, **options)
                ours_s, floor_s = best_of_turns(
                    3,
                    lambda path=path, outline=outline: measure(
                        [trace_picture(str(path), outline, Affine.identity()).trace]
                    ),
                    lambda path=path: decoded(path),
                )
                yield Result(
                    f"{name} traced on 24 megapixels, {kind}: measured",
                    "Pillow's decoding alone",
                    ours_s,
                    floor_s,
                    2.0,
                )
