"""How often the intervals of sizes by card hold the truth.

Run by ``python -m tests.studies.sizing_coverage [ROUNDS]``.

Displays: each edge off by a normal error (0.15 mm standard deviation), each person by a parallax
that both tries share, each card by its tolerance. Tablets: each hand keeps its own distance off the
edge and wavers between traces; scales are known to 0.15 %. Nothing here is taken from
mapper.tracing.sizing but the two functions under study.
"""

import sys

import numpy as np

from mapper.tracing.measure import MeasuredScales
from mapper.tracing.measurement import Measurement
from mapper.tracing.sizing import CardPull, area_size, card_trace, glass_size

CARD = (85.60, 53.98)


def measured(x, y, turn, sd):
    def known(value):
        return Measurement(value, value * (1 - 1.96 * sd), value * (1 + 1.96 * sd))

    nothing = Measurement(0.0, 0.0, 0.0)
    return MeasuredScales(
        known(x),
        known(y),
        known(x / y),
        known(1.0),
        (sd**2, 0.0, sd**2),
        Measurement(turn, turn, turn),
        nothing,
        False,
        None,
    )


def displays(rounds, random, diagonal_in=27.0):
    """The share of intervals that hold the diagonal.

    Also the mean half interval in per cent, and how often a third try is asked.
    """
    pitch = diagonal_in * 25.4 / np.hypot(2560, 1440)
    held, halves, asked = 0, [], 0
    for _ in range(rounds):
        card = np.array(CARD) * (1 + random.normal(0, 0.0007))
        seen = 1 + random.normal(0, 0.003)
        pulls = [
            CardPull(*((card + random.normal(0, 0.15 * np.sqrt(2), 2)) * seen / pitch))
            for _ in range(2)
        ]
        found = glass_size(pulls, CARD, (2560, 1440))
        held += found.diagonal_in.holds(diagonal_in)
        halves.append(100 * found.diagonal_in.half_width / found.diagonal_in.value)
        asked += found.another
    return 100 * held / rounds, float(np.mean(halves)), 100 * asked / rounds


def tablets(rounds, random, *, upright, width_mm=240.0, height_mm=152.0, sd=0.0015):
    """The shares of intervals that hold width and ratio, and the real 95 % errors in per cent."""
    held, errors, halves = np.zeros(2), [], []
    px = (2560.0, 1440.0)
    for _ in range(rounds):
        nib = random.normal(0.7, 0.1)
        traces = []
        for turn in (0.0, 90.0) if upright else (0.0,):
            sides = CARD if turn == 0 else CARD[::-1]
            off = nib + random.normal(0, 0.08)
            scales = [
                px[axis]
                / size
                * (sides[axis] + 2 * off)
                / sides[axis]
                * np.exp(random.normal(0, sd))
                for axis, size in enumerate((width_mm, height_mm))
            ]
            traces.append(card_trace(measured(*scales, turn, sd), CARD))
        found = area_size(traces, px, px[0] / px[1])
        held += [found.width_mm.holds(width_mm), found.ratio.holds(width_mm / height_mm)]
        errors.append(
            [found.width_mm.value / width_mm - 1, found.ratio.value / (width_mm / height_mm) - 1]
        )
        halves.append(
            [
                found.width_mm.half_width / found.width_mm.value,
                found.ratio.half_width / found.ratio.value,
            ]
        )
    return 100 * held / rounds, 196 * np.std(errors, axis=0), 100 * np.mean(halves, axis=0)


def main(rounds):
    random = np.random.default_rng(1)
    print(
        "display: held, half interval, asks for a third: {:.1f} %, {:.2f} %, {:.1f} %".format(
            *displays(rounds, random)
        )
    )
    for upright in (True, False):
        held, errors, halves = tablets(rounds, random, upright=upright)
        print(
            f"tablet, {'lying and upright' if upright else 'lying alone'}: width held "
            f"{held[0]:.1f} %, off by {errors[0]:.2f} %, "
            f"says {halves[0]:.2f} %; ratio held {held[1]:.1f} %, off by {errors[1]:.2f} %, says "
            f"{halves[1]:.2f} %"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 2000)
