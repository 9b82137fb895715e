"""`python -m tests.bench [NAME...]`: what things cost, each against a floor of the same run.

No test asserts these numbers: a busy machine is no bug.
"""

import sys
from importlib import import_module
from os import getloadavg

NAMES = (
    "start_up",
    "points",
    "steps",
    "picture",
    "pad",
    "desk",
    "batch",
    "warp",
    "library",
    "trace",
    "attack",
)


def main(names):
    if unknown := set(names) - set(NAMES):
        sys.exit(f"no benchmark {', '.join(sorted(unknown))}; there are {', '.join(NAMES)}")
    load = getloadavg()[0]
    print(
        f"load of the machine: "
        f"{load:.1f}{'; too busy for numbers that mean anything' if load > 1 else ''}"
    )
    for name in names or NAMES:
        for result in import_module(f"tests.bench.{name}").results():
            print(result, flush=True)


main(sys.argv[1:])
