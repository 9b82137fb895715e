"""200 pictures in one batch, against 200 bare figures of the same size.

As many processes draw the figures as there are processors.
"""

import tempfile
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

from render.pictures.batch import processors
from tests.bench.start_up import MAP, evenstroke
from tests.bench.timing import Result, best_of_turns

COUNT = 200


def bare_figure(path):
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(16, 9), dpi=100)
    FigureCanvasAgg(figure)
    figure.add_axes((0, 0, 1, 1)).plot([0, 1], [0, 1])
    figure.savefig(path)


def results():
    with tempfile.TemporaryDirectory() as folder:
        profiles = [str(Path(folder, f"desk{index:03}.yaml")) for index in range(COUNT)]
        evenstroke(*MAP, "--save", profiles[0])()
        text = Path(profiles[0]).read_text("utf-8")
        for profile in profiles[1:]:
            Path(profile).write_text(text, "utf-8")
        outs = [str(Path(folder, f"bare{index:03}.png")) for index in range(COUNT)]

        def bare():
            with ProcessPoolExecutor(processors(), mp_context=get_context("forkserver")) as pool:
                list(pool.map(bare_figure, outs, chunksize=8))

        batch = evenstroke("picture", *profiles, "--into", str(Path(folder, "drawn")), "--force")
        ours_s, floor_s = best_of_turns(1, batch, bare)
        what = f"{COUNT} pictures in one batch on {processors()} processors"
        yield Result(
            what, "as many bare figures, each with its axes and one line", ours_s, floor_s, None
        )
