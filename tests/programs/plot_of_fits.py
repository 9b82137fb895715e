"""How round and how large a map is with each fit, as a plot: plot_of_fits.py PLOT.png."""

from __future__ import annotations

import sys

import numpy as np
from matplotlib.figure import Figure

from evenstroke import Desktop, Display, MapRequest, Tablet, TabletMap, solve


def maps(height_mm: float) -> list[TabletMap]:
    """The map of a tablet 240 mm wide with each fit."""
    tablet = Tablet(240, height_mm)
    desktop = Desktop((Display(2560, 1440, diagonal_mm=685.8),))
    return [
        solve(MapRequest(tablet, desktop, fit="full")),
        solve(MapRequest(tablet, desktop, fit="locked")),
        solve(MapRequest(tablet, desktop, fit="cropped")),
    ]


def main(path: str) -> None:
    """Plot the stretch and the part of the tablet in use over the tablet's height."""
    figure = Figure(figsize=(8, 4))
    above, below = figure.subplots(2, 1, sharex=True)
    heights = np.linspace(100, 200, 41)
    solved = [maps(float(height)) for height in heights]
    for index, fit in enumerate(("full", "locked", "cropped")):
        of_fit = [each[index] for each in solved]
        above.plot(heights, [each.figures[0].distortion.stretch for each in of_fit], label=fit)
        below.plot(heights, [each.summary.area_used_percent for each in of_fit])
    above.set_ylabel("stretch")
    below.set_ylabel("tablet used, %")
    below.set_xlabel("height of a tablet 240 mm wide, mm")
    above.legend()
    figure.savefig(path)


if __name__ == "__main__":
    main(*sys.argv[1:])
