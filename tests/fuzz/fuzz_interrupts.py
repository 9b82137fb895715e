"""Control-C at random moments of every command.

No traceback, no half file, no part of one, and a library that is whole.

    python tests/fuzz/fuzz_interrupts.py [MOMENTS] [SEED] [COMMAND...]

Each command runs in a folder of its own with a desk, a library and the files that it needs, and
gets SIGINT, with all its processes, as from a terminal, at MOMENTS (100) moments evenly spread by
chance over the time that it took when nobody interrupted it. A hundred moments of all commands take
about half an hour on two quiet processors; tests/render/test_hard_ends.py tries a few in every run.
Prints what it found, and leaves with 1 where that is anything. What Python itself says that was
interrupted before it reached the program (some 20 ms) is counted and is nothing that the program
could change.
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from profiles.library.audit import audit  # noqa: E402
from profiles.library.revisions import Library  # noqa: E402
from render.cli import COMMANDS  # noqa: E402
from tests.touched import touched_files  # noqa: E402

DESK = ("--tablet", "240x152mm@150/mm", "--display", "27in 2560x1440")
PAIRS = (
    "--tablet",
    "146x96mm",
    "--tablet",
    "240x152mm",
    "--display",
    "24in 1920x1080",
    "--display",
    "32in 3840x2160",
)
COPIES = tuple(f"d{at}.yaml" for at in range(8))
#: What is typed for each command; ``picture --into`` beside it, which has workers.
TYPED = {
    "desk": ("desk.yaml", "--no-browser"),
    "pair": (*PAIRS, "--as", "csv", "--out", "pairs.csv"),
    "seat": ("--display", "27in 2560x1440", "--distance", "70cm", "--picture", "seat.png"),
    "travel": ("desk.yaml", "--picture", "travel.png"),
    "advise": ("desk.yaml",),
    "map": (*DESK, "--save", "new.yaml", "--picture", "new.png"),
    "explain": ("10,5,200x120mm", "--tablet", "240x152mm"),
    "report": ("desk.yaml",),
    "picture": ("desk.yaml", "out.svg", "--drawing", "trace.png"),
    "picture --into": (*COPIES, "--into", "out"),
    "pad": ("desk.yaml", "pad.html"),
    "stencil": ("desk.yaml", "stencil.pdf"),
    "sheet": ("desk.yaml", "wall.pdf"),
    "typed": ("desk",),
    "touch": ("right.csv", "--against", "desk"),
    "trace": ("trace.png", "--of", "card", "--against", "desk.yaml", "--picture", "fit.png"),
    "check": ("desk.yaml",),
    "displays": (),
    "tablets": (),
    "doctor": (),
    "keep": ("other.yaml",),
    "stations": (),
    "history": ("desk",),
    "changes": ("desk",),
    "recall": ("desk", "--out", "back.yaml"),
    "pin": ("desk", "1"),
    "here": ("desk",),
    "retire": ("desk",),
    "table": (),
    "export": ("all.zip",),
    "import": ("given.zip",),
    "audit": (),
    "felt": ("desk.yaml", "--score", "4", "--doing", "ink"),
    "book": (),
    "band": (),
    "plan-trials": PAIRS,
    "study": ("study.html",),
}
assert {name.partition(" ")[0] for name in TYPED} == set(COMMANDS)
#: The desk page serves until it is interrupted.
SERVES_S = 2.0


class Ground:
    """A folder with what the commands need, and runs of them in copies of it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.base = folder / "base"
        self.base.mkdir()
        self.early = 0
        self.whole_s: dict[str, float] = {}
        for asked in (
            ("map", *DESK, "--workstation", "desk", "--save", "desk.yaml"),
            ("map", *DESK, "--workstation", "desk", "--fit", "full", "--save", "other.yaml"),
            ("keep", "desk.yaml"),
            ("felt", "desk.yaml", "--score", "3", "--doing", "ink"),
            ("export", "given.zip"),
            ("keep", "other.yaml", "--note", "second"),
        ):
            done = self.begin(self.base, asked).communicate()
            assert not done[1], done
        for copy in COPIES:
            shutil.copy(self.base / "desk.yaml", self.base / copy)
        shutil.copy(ROOT / "tests" / "fuzz" / "corpus" / "png" / "trace.png", self.base)
        touched_files(self.base)

    def begin(self, folder: Path, asked: tuple[str, ...]) -> subprocess.Popen[str]:
        environment = os.environ | {
            "PYTHONPATH": f"{ROOT / 'render' / 'public'}{os.pathsep}{ROOT}",
            "EVENSTROKE_LIBRARY": str(folder / "library"),
            "XDG_CONFIG_HOME": str(folder / "settings"),
            "XDG_DATA_HOME": str(folder / "data"),
        }
        return subprocess.Popen(
            [
                sys.executable,
                "-c",
                "import sys; from evenstroke import main; sys.exit(main())",
                *asked,
            ],
            cwd=folder,
            env=environment,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            start_new_session=True,
        )

    def whole(self, name: str) -> float:
        """How long the command takes when nobody interrupts it, s."""
        if name not in self.whole_s:
            began = time.monotonic()
            self.interrupt(name, None)
            self.whole_s[name] = SERVES_S if name == "desk" else time.monotonic() - began
        return self.whole_s[name]

    def interrupt(self, name: str, after_s: float | None) -> str:
        """What is wrong about how ``name`` ended when it was interrupted; else nothing."""
        work = self.folder / "work"
        shutil.rmtree(work, ignore_errors=True)
        shutil.copytree(self.base, work)
        running = self.begin(work, (name.partition(" ")[0], *TYPED[name]))
        out, said = "", ""
        try:
            out, said = running.communicate(
                timeout=after_s if name != "desk" or after_s is not None else SERVES_S
            )
        except subprocess.TimeoutExpired:
            os.killpg(running.pid, signal.SIGINT)
            out, said = running.communicate(timeout=60)
        finally:
            if running.poll() is None:
                os.killpg(running.pid, signal.SIGKILL)
        if "KeyboardInterrupt" in said and "evenstroke.py" not in said and "/render/" not in said:
            self.early += 1
            return self.left_in(work)
        allowed = {0, 1, 130, -signal.SIGINT}
        if running.returncode not in allowed:
            return f"left with {running.returncode}: {said}"
        if "Traceback" in said or "our fault" in said or "Exception ignored" in said:
            return said
        return self.left_in(work) or ("" if "Traceback" not in out else out)

    def left_in(self, work: Path) -> str:
        """Parts of files, files that are not whole, and what is wrong with the library."""
        parts = [str(path.relative_to(work)) for path in work.rglob("*.part")]
        empty = [
            str(path) for path in work.rglob("*") if path.is_file() and not path.stat().st_size
        ]
        findings = [
            f"{finding.path.name} {finding.says}"
            for finding in audit(Library(work / "library")).findings
        ]
        return "; ".join([*parts, *empty, *findings])


def main(moments: int, seed: int, names: list[str]) -> int:
    chance, wrong = random.Random(seed), 0
    with tempfile.TemporaryDirectory() as folder:
        ground = Ground(Path(folder))
        for name in names or TYPED:
            found: dict[str, int] = {}
            whole = ground.whole(name)
            for _ in range(moments):
                said = ground.interrupt(name, chance.uniform(0, whole))
                if said:
                    found[said] = found.get(said, 0) + 1
            wrong += sum(found.values())
            print(
                f"{name}: {moments} moments of {whole:.2f} s, {sum(found.values())} ended "
                f"otherwise",
                flush=True,
            )
            for said, times in found.items():
                print(f"  {times} times: {said[-1500:]}", flush=True)
        print(f"{ground.early} times Python was interrupted before it reached the program")
    return 1 if wrong else 0


if __name__ == "__main__":
    given = sys.argv[1:]
    sys.exit(
        main(int(given[0]) if given else 100, int(given[1]) if len(given) > 1 else 1, given[2:])
    )
