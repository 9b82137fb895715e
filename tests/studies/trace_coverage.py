"""How often a trace's 95 % intervals hold the truth.

Run by ``python -m tests.studies.trace_coverage [TRACES]``.

Each trace is a known outline through a known map, wobbled by noise that is drawn here (from a
spectrum, along the pen's path, whose ends do not meet: not the model's own code), fitted by one
step from the truth and asked: what finding and following the line add is counted by trace_recovery.
How much a hand wobbles is drawn for each trace too, about 0.1 mm (times e to the 0.3, one standard
deviation; common practice, no source), half of the wanders smooth (Gaussian covariance) and half
less so (Matern 3/2). ``whole`` once round; ``gap`` 15 % left out; ``over`` goes on for 15 % over
its own beginning; ``twice`` goes round again. The intervals are right when they hold the truth 93
to 97 % of the time.
"""

import itertools
import math
import sys

import numpy as np

from mapper.tracing.measure import (
    LEAST_LEAN,
    PLACE_ERROR_MM,
    Trace,
    measure,
    measure_trace,
    whole_map,
)
from mapper.tracing.outline import KnownOutline, Placed
from mapper.tracing.outline_fit import OutlineFit, Pose, stretches

SHAPES = {
    "circle 16 mm": KnownOutline.circle(16),
    "circle 25 mm": KnownOutline.circle(25),
    "circle 60 mm": KnownOutline.circle(60),
    "card": KnownOutline(85.6, 53.98, 3.18),
    "a6": KnownOutline(148, 105),
}
#: How slow the wander is, mm; of none, all is white.
WANDERS = {"white": (), "3 mm": (3,), "10 mm": (10,), "15 to 40 mm": (15, 20, 28, 40)}
#: Where on the way round the pen is set down and lifted.
PATHS = {"whole": (0.0, 1.0), "gap": (0.15, 1.0), "over": (0.0, 1.15), "twice": (0.0, 2.0)}
HAND_SD_MM, HAND_LOG_SD = 0.1, 0.3
SHAKE_MM = 0.01
#: Quiet, rough and free hands, and such as shake as much as they wander.
OTHER_HANDS = {
    "0.05 mm": {"hand_mm": 0.05},
    "0.2 mm": {"hand_mm": 0.2},
    "0.5 mm": {"hand_mm": 0.5},
    "half white": {"white": 0.5},
}
X, Y = 6.4, 6.0
POINTS = 288


def wandered(random, smooth, length_mm, step_mm, count):
    """A wander of unit spread along a path of ``count`` points.

    It is made by its spectrum on a circle that is long enough to forget.
    """
    around = count + math.ceil(6 * length_mm / step_mm)
    near = np.minimum(np.arange(around), around - np.arange(around)) * (step_mm / length_mm)
    covariance = (
        np.exp(-(near**2) / 2)
        if smooth
        else (1 + math.sqrt(3) * near) * np.exp(-math.sqrt(3) * near)
    )
    spectrum = np.maximum(np.fft.rfft(covariance).real, 0)
    return np.fft.irfft(np.sqrt(spectrum) * np.fft.rfft(random.normal(size=around)), around)[:count]


def hand(random, outline, wander, path, *, hand_mm=None, white=0.0):
    """Where on the way round the points of a trace lie, and how far off the edge they are, mm.

    The places are counted in POINTS.

    ``hand_mm`` is the hand's spread, where it is not drawn; ``white`` the share of its variance
    that is white beside a wander.
    """
    first, last = (round(POINTS * end) for end in path)
    spread_mm = HAND_SD_MM * math.exp(HAND_LOG_SD * random.normal()) if hand_mm is None else hand_mm
    off = random.normal(size=last - first)
    if wander:
        length_mm, smooth = random.choice(wander), random.random() < 0.5
        along = wandered(random, smooth, length_mm, outline.length_mm / POINTS, last - first)
        off = math.sqrt(1 - white) * along + math.sqrt(white) * off
    return np.arange(first, last) % POINTS, spread_mm * off + SHAKE_MM * random.normal(
        size=last - first
    )


def px_per_mm(matrix):
    return math.sqrt(abs(np.linalg.det(matrix)))


def drawn(random, outline, wander, path, matrix, **of_hand):
    """The points (n, 2) of a trace of ``outline`` by a hand, px."""
    boundary = Placed(outline, np.array(matrix, dtype=float), np.array([700.0, 500.0])).boundary(
        POINTS
    )
    at, off_mm = hand(random, outline, wander, path, **of_hand)
    return boundary.points_px[at] + boundary.normals[at] * (off_mm * px_per_mm(matrix))[:, None]


class Stepped:
    """Traces of an outline through a map, fitted by one step of least squares from the truth.

    The whole fit all but ends there.
    """

    def __init__(self, outline, matrix, centre_px=(700.0, 500.0)):
        centre = np.array(centre_px)
        placed = Placed(outline, matrix, centre)
        _, feet_mm, normals = placed.feet(placed.boundary(POINTS).points_px)
        self.outline, self.scale, self.shares = outline, px_per_mm(matrix), placed.shares(feet_mm)
        self.poses = []
        for kind in ("straight", "free"):
            pose = Pose(kind, outline.is_circle)
            parameters = pose.parameters(matrix, centre)
            self.poses.append((pose, parameters, pose.jacobian(parameters, feet_mm, normals)))

    def trace(self, at, off_mm):
        fits = []
        for pose, parameters, jacobian in self.poses:
            design, left, where, covered = stretches(
                jacobian[at], off_mm * self.scale, self.shares[at]
            )
            evidence = -design / self.scale, left / self.scale, where, self.outline.length_mm
            followed = np.ones(len(at), bool)
            fits.append(
                OutlineFit(self.outline, pose, parameters, evidence, followed, 0.0, covered)
            )
        return Trace(*fits)


def turned(outline, turn_deg=2.0):
    """The map of the study, with the thing laid a little askew where that shows."""
    cos, sin = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    return np.diag([X, Y]) @ (
        np.eye(2) if outline.is_circle else np.array([[cos, -sin], [sin, cos]])
    )


def coverage(outline, wander, path, traces, *, seed=1, followed=False, **of_hand):
    """The share of traces, in per cent, whose intervals hold x_px_per_mm, and the ratio.

    Then the share falsely called leaning, and the median half width.

    ``followed``: the outline is followed through the points as in a picture's trace, which takes
    several times as long.
    """
    random = np.random.default_rng(seed)
    stepped = Stepped(outline, turned(outline))
    rows = np.zeros((traces, 4))
    for number in range(traces):
        if followed:
            points = drawn(random, outline, wander, path, turned(outline), **of_hand)
            trace = measure_trace(
                points, Placed(outline, np.diag([6.2, 6.2]), np.array([700.5, 499.5]))
            )
        else:
            trace = stepped.trace(*hand(random, outline, wander, path, **of_hand))
        # The wobble alone: these hands keep to no side.
        measured = measure([trace], of_wobble_alone=True)
        ratio = measured.ratio
        held = measured.x_px_per_mm.holds(X), ratio.holds(X / Y), measured.leans
        rows[number] = *held, ratio.half_width / ratio.value
    return (*100 * rows[:, :3].mean(axis=0), 100 * float(np.median(rows[:, 3])))


#: Three things, laid turned, at places under the hand (mm); and a straight and a slanted map of
#: them.
LAID = (
    (SHAPES["card"], 7.0, (60.0, 45.0)),
    (SHAPES["circle 60 mm"], 0.0, (170.0, 50.0)),
    (SHAPES["a6"], -20.0, (110.0, 105.0)),
)
MAPS = {"straight": np.diag([11.0, 10.2]), "slanted": np.array([[11.0, 1.6], [-0.9, 10.2]])}
OFFSET_PX = np.array((30.0, -20.0))


def together(matrix, placed, sets, *, seed=1):
    """The shares of sets of three traces, in per cent, that are right.

    They are said to lean as the map does; they hold the scales and the lean; and with places they
    hold the screen's corner and the turn.

    ``placed`` of the three are said to lie at their places, each laid with the error that is
    allowed for.
    """
    random = np.random.default_rng(seed)
    gram = matrix @ matrix.T
    x, y = np.sqrt(np.diag(gram))
    truth = [x, y, gram[0, 1] / (x * y)]
    if placed:
        turn_deg = math.degrees(math.atan2(matrix[1, 0] - matrix[0, 1], np.trace(matrix)))
        truth += [*np.linalg.solve(matrix, -OFFSET_PX), turn_deg]
    held = []
    for _ in range(sets):
        traces = []
        for outline, laid_deg, place in LAID:
            cos, sin = math.cos(math.radians(laid_deg)), math.sin(math.radians(laid_deg))
            lay = np.eye(2) if outline.is_circle else np.array([[cos, -sin], [sin, cos]])
            centre = matrix @ (np.array(place) + random.normal(0, PLACE_ERROR_MM, 2)) + OFFSET_PX
            wander, path = random.choice(list(WANDERS)), random.choice(list(PATHS))
            at, off_mm = hand(random, outline, WANDERS[wander], PATHS[path])
            traces.append(Stepped(outline, matrix @ lay, centre).trace(at, off_mm))
        places = [place if number < placed else None for number, (_, _, place) in enumerate(LAID)]
        whole = whole_map(traces, places) if placed else None
        measured = measure(traces, whole)
        known = [measured.x_px_per_mm, measured.y_px_per_mm, measured.lean]
        known += [*whole.back(0, 0), whole.turn_deg] if whole else []
        leans = measured.leans == (abs(truth[2]) > LEAST_LEAN)
        held.append([leans, *(each.holds(value) for each, value in zip(known, truth, strict=True))])
    return 100 * np.mean(held, axis=0)


def main(traces):
    print(
        "three things together: said to lean or not, x and y scale, lean; with places the "
        "corner's x and y, and the turn"
    )
    for name, matrix in MAPS.items():
        for placed in (0, 2, 3):
            print(
                f"{name}, {placed} places: "
                + " ".join(f"{each:.1f}" for each in together(matrix, placed, traces)),
                flush=True,
            )
    print(
        f"{traces} traces each; one standard error is "
        f"{100 * math.sqrt(0.05 * 0.95 / traces):.1f} points"
    )
    print(
        "each: x scale held, ratio held, falsely leaning (per cent of the traces); half width of "
        "the ratio"
    )
    print(f"{'':<26}" + "".join(f"{path:<24}" for path in PATHS))
    every = []
    for name, outline in SHAPES.items():
        for slow, wander in WANDERS.items():
            cells = [
                coverage(outline, wander, path, traces, seed=len(every) + n)
                for n, path in enumerate(PATHS.values())
            ]
            every += cells
            row = "".join(
                f"{x:5.1f} {ratio:5.1f} {lean:3.1f} {half:5.2f} %  "
                for x, ratio, lean, half in cells
            )
            print(f"{name:<14}{slow:<12}{row}", flush=True)
    x, ratio, lean, _ = np.mean(every, axis=0)
    print(f"mean over all: x scale {x:.1f}, ratio {ratio:.1f}, falsely leaning {lean:.2f}")
    print("other hands, whole: x scale and ratio held")
    for label, of_hand in OTHER_HANDS.items():
        for name, outline in SHAPES.items():
            wanders = [wander for wander in WANDERS.values() if wander or "white" not in of_hand]
            held = [
                coverage(outline, wander, PATHS["whole"], traces, seed=n, **of_hand)[:2]
                for n, wander in enumerate(wanders)
            ]
            print(
                f"{label:<12}{name:<14}" + "  ".join(f"{x:5.1f} {ratio:5.1f}" for x, ratio in held),
                flush=True,
            )
    print(
        "followed through the points of the whole fit, at 10 mm: x scale and ratio held, falsely "
        "leaning"
    )
    for seed, (name, path) in enumerate(
        itertools.product(("circle 16 mm", "circle 60 mm", "card"), ("whole", "gap"))
    ):
        held = coverage(
            SHAPES[name], WANDERS["10 mm"], PATHS[path], traces, seed=seed, followed=True
        )
        print(f"{name:<14}{path:<8}" + " ".join(f"{each:5.1f}" for each in held[:3]), flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 400)
