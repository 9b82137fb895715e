"""One PNG: `evenstroke picture` against a process that saves matplotlib's barest figure of the same size.

And the drawing alone, with all imports done, against the same.
"""

import io
import tempfile
from pathlib import Path

from tests.bench.start_up import MAP
from tests.bench.timing import Result, best_of_turns, python

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

    from profiles.document import load
    from render.draw import to_bytes
    from render.preview import preview_scene

    with tempfile.TemporaryDirectory() as folder:
        profile, drawn, bare = (str(Path(folder, name)) for name in ("desk.yaml", "desk.png", "bare.png"))
        python(*MAP, "--save", profile)()
        picture = ("-m", "render.cli", "picture", profile, drawn, "--force")
        python(*picture)()
        with Image.open(drawn) as opened:
            width, height = opened.size
        ours_s, floor_s = best_of_turns(
            7, python(*picture), python("-c", BAREST.format(width=width, height=height, out=bare))
        )
        size = f"{width} x {height} px"
        floor = "a process that saves matplotlib's barest figure of that size"
        yield Result(f"one PNG of {size}: evenstroke picture", floor, ours_s, floor_s, 1.5)

        solved = load(profile).map
        ours_s, floor_s = best_of_turns(
            7, lambda: to_bytes(preview_scene(solved), "png"), lambda: barest_png(width, height)
        )
        yield Result(f"the same PNG with all imports done, {size}", "the barest figure likewise", ours_s, floor_s, 1.5)
