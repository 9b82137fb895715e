"""How often the touch test tells the truth, for ten kinds of hands.

Run by ``python -m tests.studies.touch_coverage [TESTS]``; TESTS of nine touches each for every kind
with a right setting, and as many with a wrong one.

Seen with 1,000 tests of each kind. Right settings told right, per cent: 100, 100
and 99.7 with a scatter of 0.2, 0.4 and 0.5 mm, 75 with 0.8, 99.9 with a slip, 100 on shrunk paper,
1 on a sheet that lay off and askew; of the kinds set aside 2 with a scatter of 1.5 mm, 98.4 with
heavy tails, 100 with a bias of 0.5 mm. The others were "cannot tell"; two of 9,100 were called
wrong (scatter 0.8, heavy tails). Of some 5,600 settings that were wrong by more than 2 mm or 2 %
beyond the stated limit none passed. The touches' own 95 % held in 94.6 to 95.6 % where the model is
right (in 95.0 with 1.5 mm), in 94.5 with heavy tails, 84 under a bias, 86 on shrunk paper, 52 on
the sheet that lay off; the stated limit, which allows for these, in 98.7 to 100 % everywhere.
"""

from __future__ import annotations

import random
import sys
from collections import Counter
from dataclasses import replace

from mapper.rect import Rect
from mapper.touching.crosses import crosses
from mapper.touching.setting import DriverSetting
from mapper.touching.verdict import CANNOT_TELL, RIGHT, WRONG, judge
from tests.touched import Hand, meant_map

HANDS = {
    "scatter 0.2": Hand(0.2),
    "scatter 0.4": Hand(0.4),
    "scatter 0.5": Hand(0.5),
    "scatter 0.8": Hand(0.8),
    "scatter 1.5": Hand(1.5),
    "heavy tails": Hand(0.5, tails=3),
    "bias 0.5": Hand(0.4, bias_mm=0.5),
    "a slip of 8": Hand(0.4, slip_mm=8.0),
    "sheet off": Hand(0.4, off_mm=1.0, turn_deg=1.0),
    "paper shrunk": Hand(0.4, paper=0.997),
}
#: A third of the kinds, chosen before anything was tuned, and reported by itself.
SET_ASIDE = random.Random(28).sample(sorted(HANDS), 3)
MAPS = {
    "whole width": meant_map(),
    "a part": meant_map(within_built_mm=Rect(20, 10, 200, 130)),
    "tablet turned": meant_map(turn_deg=90, fit="full"),
    "askew": meant_map(slant_deg=8.0),
}
SIDES = ("width", "height", "left", "top")


def spoiled(setting, chance):
    """The setting with one number off, and by how much: percent of a size, mm of a place."""
    side = chance.choice(SIDES)
    off = chance.uniform(2.0, 6.0) * chance.choice((-1, 1))
    area = setting.area_built_mm
    sides = {name: getattr(area, name) for name in SIDES}
    if side in {"width", "height"}:
        sides[side] *= 1 + off / 100
        # The far edge moves, and the near one stays.
    else:
        sides[side] += off
    return replace(setting, area_built_mm=Rect(**sides)), side, off


def count(hand, tests, seed):
    """Counts of the answers and of the intervals that hold, for one kind of hands."""
    chance = random.Random(seed)
    counts = Counter()
    for number in range(tests):
        meant = MAPS[list(MAPS)[number % len(MAPS)]]
        setting = DriverSetting.of(meant)
        places = crosses(meant)
        verdict = judge(hand.touch(setting, chance, places), meant)
        counts[verdict.answer] += 1
        if verdict.found is not None:
            for side in SIDES:
                counts["intervals"] += 1
                counts["held"] += verdict.found.sizes_known[side].holds(
                    getattr(setting.area_built_mm, side)
                )
            for off in verdict.found.offs:
                if off.name in SIDES:
                    counts["limits"] += 1
                    counts["limits held"] += abs(off.value) <= off.limit
        wrong, side, off = spoiled(setting, chance)
        verdict = judge(hand.touch(wrong, chance, places), meant)
        counts[f"spoiled: {verdict.answer}"] += 1
        if verdict.found is not None:
            limit = next(each.limit for each in verdict.found.offs if each.name == side)
            beyond = abs(off) > limit + 2
            counts["beyond"] += beyond
            counts["beyond and passed"] += beyond and verdict.answer == RIGHT
    return counts


def main(tests):
    print(f"{tests} tests of each kind with a right setting, as many with a wrong one")
    print(f"{'':<14}right, cannot tell, wrong (right setting); 95 % held, stated limit held;")
    print(f"{'':<14}beyond the limit by 2 and passed / of; wrong setting: passed, untold, wrong")
    for seed, name in enumerate(sorted(HANDS, key=SET_ASIDE.__contains__)):
        found = count(HANDS[name], tests, seed)
        answers = [100 * found[each] / tests for each in (RIGHT, CANNOT_TELL, WRONG)]
        spoilt = [100 * found[f"spoiled: {each}"] / tests for each in (RIGHT, CANNOT_TELL, WRONG)]
        print(
            f"{name:<14}"
            + " ".join(f"{each:5.1f}" for each in answers)
            + f"   {100 * found['held'] / found['intervals']:5.1f}"
            f" {100 * found['limits held'] / found['limits']:5.1f}"
            f"   {found['beyond and passed']:3} / {found['beyond']:<6}"
            + " ".join(f"{each:5.1f}" for each in spoilt)
            + ("   (set aside)" if name in SET_ASIDE else ""),
            flush=True,
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
