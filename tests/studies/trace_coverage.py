"""How often a trace's 95 % intervals hold the truth: ``python -m tests.studies.trace_coverage [TRACES]``.

Each trace is a known outline through a known map, wobbled by noise that is drawn here (eigenvectors of a covariance
written out once more, not the model's own code), fitted and asked. White noise is a shaky sensor; ``rough`` wobble
is Brownian in kind (exponential covariance), ``smooth`` is analytic (Gaussian covariance), ``hand`` lies between (Matern
3/2); their lengths are shares of the way round. The intervals are right when they hold the truth 93 to 97 % of the time.
"""

import math
import sys

import numpy as np

from mapper.tracing.measure import measure, measure_trace
from mapper.tracing.outline import KnownOutline, Placed

SHAPES = {
    "circle 60 mm": KnownOutline.circle(60),
    "card": KnownOutline(85.6, 53.98, 3.18),
    "square 50 mm": KnownOutline(50, 50),
}
#: Kind of wobble and its length; the first is of white noise alone.
WOBBLES = (
    ("white", 0.0),
    ("rough", 0.02),
    ("rough", 0.05),
    ("hand", 0.02),
    ("hand", 0.04),
    ("smooth", 0.02),
    ("smooth", 0.04),
)
SPREAD_PX = 1.2
POINTS = 288


def wobble_root(kind, length, share):
    """A matrix that turns independent normal numbers into wobble of unit spread at these positions."""
    apart = np.abs(share[:, None] - share[None, :])
    chord = np.sin(np.pi * apart) / np.pi
    if kind == "white":
        return np.eye(len(share))
    near = chord / length
    covariance = {
        "rough": np.exp(-near),
        "hand": (1 + math.sqrt(3) * near) * np.exp(-math.sqrt(3) * near),
        "smooth": np.exp(-(near**2) / 2),
    }[kind]
    values, vectors = np.linalg.eigh(covariance)
    return vectors * np.sqrt(np.maximum(values, 0))


def coverage(outline, kind, length, traces, *, seed=1, gap=0.0):
    """The share of traces, in per cent, whose intervals hold the truth: px per mm along x, their ratio, and the turn."""
    random = np.random.default_rng(seed)
    held = np.zeros((traces, 3))
    halves = []
    turn_deg = 0.0 if outline.is_circle else 2.0
    cos, sin = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    truth = Placed(outline, np.diag([6.4, 6.0]) @ np.array([[cos, -sin], [sin, cos]]), np.array([700.0, 500.0]))
    boundary = truth.boundary(POINTS)
    root = wobble_root(kind, length, boundary.share)
    kept = boundary.share >= gap
    for number in range(traces):
        off = SPREAD_PX * (root @ random.normal(size=POINTS)) + 0.05 * random.normal(size=POINTS)
        points = (boundary.points_px + boundary.normals * off[:, None])[kept]
        start = Placed(outline, np.diag([6.2, 6.2]), np.array([702.0, 499.0]))
        measured = measure([measure_trace(points, start)])
        turn = measured.thing_turn_deg
        held[number] = (
            measured.x_px_per_mm.holds(6.4),
            measured.ratio.holds(6.4 / 6.0),
            turn is None or turn.holds(turn_deg),
        )
        halves.append(measured.ratio.half_width)
    return 100 * held.mean(axis=0), 100 * float(np.median(halves))


def main(traces):
    print(f"{traces} traces each; one standard error is {100 * math.sqrt(0.05 * 0.95 / traces):.1f} points")
    print(f"{'shape':<14}{'wobble':<14}{'gap':>5}{'x scale':>9}{'ratio':>8}{'turn':>8}   half-width of the ratio")
    every = []
    for name, outline in SHAPES.items():
        for kind, length in WOBBLES:
            for gap in (0.0, 0.2) if name == "card" else (0.0,):
                shares, half = coverage(outline, kind, length, traces, gap=gap)
                every.append(shares[:2])
                turn = "" if outline.is_circle else f"{shares[2]:.1f}"
                wobble = f"{kind} {length:g}" if length else kind
                row = f"{name:<14}{wobble:<14}{gap:>5.0%}{shares[0]:>9.1f}{shares[1]:>8.1f}{turn:>8}   {half:.2f} %"
                print(row, flush=True)
    print(f"mean over all: x scale {np.mean(every, axis=0)[0]:.1f}, ratio {np.mean(every, axis=0)[1]:.1f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
