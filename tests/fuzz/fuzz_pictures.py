"""Damaged pictures of every kind: each must give an answer or a clear error, never anything else.

``python -m tests.fuzz.fuzz_pictures [SECONDS] [SEED]``; prints each file that does otherwise and how many were tried.
"""

import io
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from PIL import Image

from mapper.affine import Affine
from mapper.problems import RequestError
from mapper.tracing.measure import measure
from mapper.tracing.outline import KnownOutline
from profiles.strokes.tracing import trace_picture
from tests.drawn_traces import draw_trace, matrix_of

KINDS = {
    "PNG": ("RGB", "RGBA", "P", "L", "1", "I;16"),
    "JPEG": ("RGB", "L", "CMYK"),
    "WEBP": ("RGB", "RGBA"),
    "TIFF": ("RGB", "CMYK", "L", "I;16", "F"),
    "BMP": ("RGB", "L"),
    "GIF": ("P", "L"),
}
CARD = KnownOutline(85.6, 53.98, 3.18)


def seeds(folder):
    plain = Path(folder) / "plain.png"
    draw_trace(plain, CARD, matrix_of(2.4, 2.2, 2), size_px=(280, 220), stroke_px=3)
    with Image.open(plain) as opened:
        image = opened.convert("RGB")
    for kind, modes in KINDS.items():
        for mode in modes:
            grey = np.asarray(image.convert("L"))
            if mode == "I;16":
                converted = Image.fromarray(grey.astype(np.uint16) * 200)
            elif mode == "F":
                converted = Image.fromarray(grey.astype(np.float32))
            else:
                converted = image.convert(mode)
            out = io.BytesIO()
            converted.save(out, kind)
            yield out.getvalue()


def mutated(random, content):
    data = bytearray(content)
    for _ in range(random.integers(1, 6)):
        at = (
            int(random.integers(0, len(data)))
            if random.random() < 0.5
            else int(random.integers(0, min(200, len(data))))
        )
        action = random.integers(0, 5)
        if action == 0:
            data[at] = int(random.integers(0, 256))
        elif action == 1:
            data[at : at + 4] = random.choice([b"\xff\xff\xff\xff", b"\x7f\xff\xff\xff", b"\0\0\0\0", b"\0\0\0\x01"])
        elif action == 2:
            del data[at:]
        elif action == 3:
            del data[at : at + int(random.integers(1, 40))]
        else:
            data[at:at] = random.bytes(int(random.integers(1, 40)))
        if not data:
            break
    return bytes(data)


def main(seconds, seed):
    random = np.random.default_rng(seed)
    tried = answered = failed = 0
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.picture"
        corpus = list(seeds(folder))
        until = time.monotonic() + seconds
        while time.monotonic() < until:
            content = mutated(random, corpus[random.integers(len(corpus))])
            path.write_bytes(content)
            tried += 1
            try:
                measure([trace_picture(str(path), CARD, Affine.identity()).trace])
                answered += 1
            except RequestError:
                pass
            except Exception as error:  # noqa: BLE001 - what a fuzzer looks for
                failed += 1
                kept = Path(tempfile.gettempdir()) / f"picture-{seed}-{tried}"
                kept.write_bytes(content)
                print(f"{kept}: {type(error).__name__}: {error}", flush=True)
    print(f"{tried} files tried, {answered} answered, {failed} did otherwise")


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 600, int(sys.argv[2]) if len(sys.argv) > 2 else 1)
