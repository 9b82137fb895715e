"""One PNG: `evenstroke picture` against matplotlib's barest figure, processor time.

A process of its own saves that figure, of the same size.

Beside it the drawing alone, with all imports done.
"""

import io
import tempfile
from pathlib import Path

from tests.bench.start_up import MAP, evenstroke
from tests.bench.timing import Result, best_of_turns, processes, python

BAREST = """
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
figure = Figure(figsize=({width} / 100, {height} / 100), dpi=100)
FigureCanvasAgg(figure).print_png({out!r})
"""


def barest_png(width, height):
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(width / 100, height / 100), dpi=100)
    FigureCanvasAgg(figure).print_png(io.BytesIO())


def results():
    from PIL import Image

    from profiles.format.document import load
    from render.canvas.draw import to_bytes
    from render.pictures.preview import preview_scene

    with tempfile.TemporaryDirectory() as folder:
        profile, drawn, bare = (
            str(Path(folder, name)) for name in ("desk.yaml", "desk.png", "bare.png")
        )
        evenstroke(*MAP, "--save", profile)()
        draw = evenstroke("picture", profile, drawn, "--force")
        draw()
        with Image.open(drawn) as opened:
            width, height = opened.size
        barest = python("-c", BAREST.format(width=width, height=height, out=bare))
        ours_s, floor_s = best_of_turns(7, draw, barest, clock=processes)
        size = f"{width} x {height} px"
        floor = "a process that saves matplotlib's barest figure of that size"
        yield Result(f"one PNG of {size}: evenstroke picture", floor, ours_s, floor_s, 1.5)

        # Not the aim: an empty figure has nothing to draw and nothing to compress.
        solved = load(profile).map
        ours_s, floor_s = best_of_turns(
            7, lambda: to_bytes(preview_scene(solved), "png"), lambda: barest_png(width, height)
        )
        yield Result(
            "the same with all imports done", "the barest figure likewise", ours_s, floor_s, None
        )
