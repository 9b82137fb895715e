"""Every one of 2,000 tablets with every one of 2,000 displays, against numpy's expression.

Beside it the memory that both hold at most, and a CSV of 1,000,000 pairs against the csv module
writing such rows.
"""

import csv
import io
import tracemalloc

import numpy as np

from mapper.choosing.pairing import pair_blocks
from mapper.choosing.recommended import band_for
from mapper.desk import Display, Tablet
from render.reports.pairs import pair_chunks
from tests.bench.timing import Result, best_of_turns

COUNT = 2_000


def things():
    random = np.random.default_rng(7)
    sizes = random.uniform((100, 60), (500, 320), (COUNT, 2)).tolist()
    tablets = [
        Tablet(width, height, 200.0, label=f"tablet {at}")
        for at, (width, height) in enumerate(sizes)
    ]
    glass = random.uniform((300, 180), (1500, 900), (COUNT, 2)).tolist()
    displays = [
        Display(2560, 1440, width, height, label=f"display {at}")
        for at, (width, height) in enumerate(glass)
    ]
    return tablets, displays


def peak_mb(call):
    tracemalloc.start()
    call()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak / 1e6


def results():
    tablets, displays = things()
    size = np.array([(tablet.width_mm, tablet.height_mm) for tablet in tablets])
    glass = np.array([(display.width_mm, display.height_mm) for display in displays])
    counts_per_mm = np.array([tablet.counts_per_mm for tablet in tablets])

    def ours():
        for _ in pair_blocks(tablets, displays):
            pass

    def bare():
        scale = np.maximum(glass[:, 0] / size[:, :1], glass[:, 1] / size[:, 1:])
        lost = 100 * (1 - glass.prod(axis=1) / (scale**2 * size.prod(axis=1)[:, None]))
        counts = counts_per_mm[:, None] * np.minimum(glass[:, 0] / 2560, glass[:, 1] / 1440) / scale
        return scale, lost, counts

    ours_s, bare_s = best_of_turns(7, ours, bare)
    yield Result("2,000 x 2,000 pairs", "bare numpy", ours_s, bare_s, 2.0)
    yield f"  memory at most: {peak_mb(ours):.0f} MB; bare numpy: {peak_mb(bare):.0f} MB"

    some = tablets[:500]
    rows = [(*map(str, range(10)), 2.5, 10.25, 17.125)] * (len(some) * COUNT)

    def streamed():
        out = io.StringIO()
        for _, text in pair_chunks("csv", some, displays, band_for("illustration"), None):
            out.write(text)

    def written():
        csv.writer(io.StringIO()).writerows(rows)

    ours_s, written_s = best_of_turns(2, streamed, written)
    yield Result(
        "a CSV of 1,000,000 pairs, figures and all",
        "csv.writer, given the rows",
        ours_s,
        written_s,
        None,
    )
