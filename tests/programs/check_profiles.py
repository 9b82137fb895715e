"""Checks a studio's profiles: check_profiles.py FOLDER leaves with 1 where one is wrong."""

from __future__ import annotations

import sys
from pathlib import Path

from evenstroke import EvenstrokeError, load

MOST_STRETCH = 1.005


def wrong_with(path: Path) -> list[str]:
    """What is wrong with the profile at ``path``, or with the map in it."""
    try:
        desk = load(path)
    except EvenstrokeError as error:
        return [str(problem) for problem in error.problems]
    return [
        f"{path}: {desk.name}: circles come out {(each.distortion.stretch - 1) * 100:.1f} % oval "
        f"on {each.display}"
        for each in desk.map.figures
        if each.distortion.stretch > MOST_STRETCH
    ]


def main(folder: str) -> int:
    """Print what is wrong; the exit code."""
    wrong = [line for path in sorted(Path(folder).glob("*.yaml")) for line in wrong_with(path)]
    for line in wrong:
        print(line)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
