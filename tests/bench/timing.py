"""How a benchmark measures: against a floor, in turns with it, and each by its best run."""

from __future__ import annotations

import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.conftest import CHROMIUM_FLAGS

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class Result:
    """What one thing costs, and what its floor cost in the same run.

    A floor is the least that anybody could pay for the like.
    """

    what: str
    floor: str
    ours_s: float
    floor_s: float
    aim: float | None

    def __str__(self):
        ratio = self.ours_s / self.floor_s
        line = (
            f"{self.what}\n  {self.ours_s * 1000:.1f} ms; {self.floor}: "
            f"{self.floor_s * 1000:.1f} ms; ratio {ratio:.2f}"
        )
        if self.aim is None:
            return f"{line} (for the record)"
        return f"{line}, aim at most {self.aim:g}: {'reached' if ratio <= self.aim else 'MISSED'}"


def processes():
    """The processor time of all ended processes that were started here, in s.

    A busy machine hardly moves this clock.
    """
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def best_of_turns(runs, *calls, clock=time.perf_counter):
    """The shortest time of each call in s.

    They take turns, so that a busy moment of the machine hits them all.

    The first round only warms up: bytecode, file cache, processor. The clock is that on the wall,
    or ``processes`` for calls of ``python`` whose processes have one thread.
    """
    best = [float("inf")] * len(calls)
    for turn in range(runs + 1):
        for index, call in enumerate(calls):
            began = clock()
            call()
            if turn:
                best[index] = min(best[index], clock() - began)
    return best


@contextmanager
def chromium(*flags):
    """A headless Chromium, and a temporary folder."""
    from playwright.sync_api import sync_playwright

    executable = shutil.which("chromium")
    if executable is None:
        sys.exit("this is measured in chromium, which is not installed")
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=executable, args=[*CHROMIUM_FLAGS, *flags]
        )
        yield browser, folder
        browser.close()


def python(*arguments):
    """A call that runs a fresh interpreter with ``arguments``; it must succeed.

    It runs at the top of the checkout.
    """
    # What is installed has its bytecode beside it, so the checkout may write its own in the first
    # round.
    environment = {
        name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"
    }

    def call():
        subprocess.run(
            [sys.executable, *arguments],
            cwd=ROOT,
            env=environment,
            check=True,
            stdout=subprocess.DEVNULL,
        )

    return call
