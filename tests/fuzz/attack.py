"""Attacks on the whole program with a seed, for as long as one likes; counts come out.

    python -m tests.fuzz.attack servers --count 300 --seed 1
    python -m tests.fuzz.attack bodies --count 5000 --seed 1
    python -m tests.fuzz.attack files --count 3600 --seed 1
    python -m tests.fuzz.attack hands --count 300 --seed 1
    python -m tests.fuzz.attack brought --count 300 --seed 1

``servers``: two servers on one library make changes of one desk and are killed (kill -9) at a
random moment; every change that was answered must be in the draft. ``bodies``: malformed bodies
over all routes that take one; none may be answered with 500. ``files``: the files of ``corpus``
with pieces changed, lost and repeated, each read in a child of its own; what is not read must be
refused in one printable line, within ten seconds of the processor and 500 MB, and no Python warning
may come out. ``hands``: a library and its drafts as hands and synced folders leave them
(``hands``), read by commands and pages; nothing may come out but an answer in words. ``brought``:
files of desks from strangers brought into the page of one file, twice (``brought``); nothing of
theirs may be markup or move a line, nothing may be written elsewhere, and what is kept afterwards
is found. ``--first`` begins with another number of the same seed; ``--seconds``
ends a run earlier. Needs nothing but Linux; exits with 1 where something was found.
"""

from __future__ import annotations

import argparse
import itertools
import json
import os
import random
import shutil
import signal
import tempfile
import time
import warnings
from collections import Counter
from contextlib import suppress
from pathlib import Path

# As the program does; set before numpy is loaded.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from mapper.problems import EvenstrokeError
from render.desk.drafts import Drafts
from tests.fuzz.brought import archive_of, visited
from tests.fuzz.hands import CONTENTS, PLACES, edited, library_in_use, walked
from tests.fuzz.readers import PICTURES, READERS, file_name, in_plain_lines, peak_kb, starts
from tests.hardware_bytes import with_checksum
from tests.render.test_desk_attacked import BODIES, ROUTES
from tests.render.test_strange_names import NAMES
from tests.visitor import DESK, Visitor, kept

LARGEST_MB, LONGEST_S = 500, 10


def child(work) -> tuple[int, int]:
    """Start ``work`` in a child that writes to a pipe; its id and the end to read."""
    reading, writing = os.pipe()
    pid = os.fork()
    if not pid:
        os.close(reading)
        try:
            work(writing)
        finally:
            os._exit(0)
    os.close(writing)
    return pid, reading


def change_one_desk(root: Path, at: str, seed: int, writing: int) -> None:
    """As one server: change the desk for ever, and say each change once it is answered."""
    rng, visitor = random.Random(seed), Visitor(root)
    for number in range(10_000):
        width = f"{100 + seed % 1000}.{number:05d}x{100 + rng.randrange(90)}mm"
        said = visitor.changed(at, {"tablet": width})
        os.write(writing, f"{said['step']} {width}\n".encode())
        at = said["address"][said["address"].index("/desk/") :]


def servers(rng: random.Random, folder: Path) -> Counter:
    """One round of two servers and a kill."""
    root = folder / "library"
    revision = kept(root)
    id_ = f"s-{revision.path.parent.name}"
    if rng.random() < 0.5:
        first = Drafts(root).begin(id_, {"station": "x", "folder": id_[2:]}, DESK)
        first.change(0, "fit", DESK.with_({"fit": "full"}))
    seeds = [rng.randrange(2**30) for _ in range(2)]
    running = [
        child(lambda out, seed=seed: change_one_desk(root, f"/desk/{id_}/0", seed, out))
        for seed in seeds
    ]
    time.sleep(rng.uniform(0.2, 1.5))
    for pid, _ in rng.sample(running, 2):
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)
        time.sleep(rng.uniform(0, 0.05))
    answered = []
    for _, reading in running:
        with os.fdopen(reading) as file:
            answered.append([line.split() for line in file if line.endswith("\n")])
    found = Counter(rounds=1, answered=sum(map(len, answered)))
    found["both answered"] += all(answered)
    draft = Drafts(root).get(id_)
    steps = {} if draft is None else draft.steps
    for number, width in itertools.chain(*answered):
        step = steps.get(int(number))
        found["lost"] += step is None or step.said.tablet != width
    return found


def damaged(rng: random.Random, content: bytes) -> bytes:
    """``content`` with a few pieces changed, lost, repeated or swapped for something large."""
    made = bytearray(content)
    for _ in range(rng.randrange(1, 6)):
        at, size = rng.randrange(len(made) + 1), rng.randrange(40)
        piece = rng.choice(
            [
                b"",
                rng.randbytes(size),
                bytes(made[at : at + size]) * rng.choice([2, 50, 2000]),
                b"1e400",
                b"-1e-320",
                b"[" * rng.choice([1, 200, 20_000]),
                b"\x00",
                b"\xff\xff\xff\xff",
                "\u202e\u0645\u062d".encode(),
                b"{{7*7}}\x1b[31m",
                b"9" * rng.choice([5, 500, 5000]),
            ]
        )
        made[at : at + rng.choice([0, size])] = piece
    return bytes(made)


def bodies(rng: random.Random, visitor: Visitor, at: str) -> Counter:
    """One malformed body at one route."""
    route = rng.choice(ROUTES).format(at=at)
    content = rng.choice(BODIES)
    if rng.random() < 0.8:
        content = damaged(rng, content[:2000])
    kind = rng.choice(["application/json", "text/plain", "image/svg+xml", "image/png", ""])
    secret = {"X-Evenstroke-Secret": visitor.door._secret}
    reply = visitor.send(route, content, kind, **secret)
    if reply.status_code >= 500:
        print("500:", route, content[:200], flush=True)
    return Counter({"asked": 1, f"answer {reply.status_code}": 1})


def read_and_tell(kind: str, path: Path, writing: int) -> None:
    """What a reader says of a file, and what it takes: MB more than before, and seconds."""
    said, began_s = "read", time.process_time()
    before = peak_kb(anew=True)
    with warnings.catch_warnings(record=True) as heard:
        warnings.simplefilter("always")
        try:
            READERS[kind](path)
        except EvenstrokeError as error:
            said = "refused" if in_plain_lines(error) else "lines"
        except BaseException as error:  # noqa: BLE001 - whatever it is, it is what was looked for
            said = f"fault {type(error).__name__}: {error}"[:200]
    if heard:
        said = f"warning {heard[0].message}"
    found = [said, (peak_kb() - before) // 1024, time.process_time() - began_s]
    os.write(writing, json.dumps(found).encode())


def files(rng: random.Random, folder: Path, most: dict[str, list[float]]) -> Counter:
    """One damaged file."""
    # Pictures take long, so that each kind of them comes a third as often.
    often = [1 if f".{kind}" in PICTURES else 3 for kind in READERS]
    (kind,) = rng.choices([*READERS], often)
    path = folder / file_name(kind)
    content = damaged(rng, rng.choice(starts()[kind]))
    if kind == "edid" and rng.random() < 0.8:
        # Past the sums of its blocks.
        blocks = [content[at : at + 127].ljust(127, b"\0") for at in range(0, len(content), 128)]
        content = b"".join(map(with_checksum, blocks))
    path.write_bytes(content)
    pid, reading = child(lambda out: read_and_tell(kind, path, out))
    with os.fdopen(reading) as file:
        told = file.read()
    os.waitpid(pid, 0)
    said, mb, seconds = json.loads(told or '["fault: ended", 0, 0]')
    most[kind] = [max(pair) for pair in zip(most.get(kind, [0, 0]), (mb, seconds), strict=True)]
    bad = said not in {"read", "refused"} or mb > LARGEST_MB or seconds > LONGEST_S
    if bad:
        saved = (
            Path(tempfile.gettempdir())
            / f"attack-{os.getpid()}-{rng.randrange(10**6)}{path.suffix}"
        )
        shutil.copy(path, saved)
        print(said, mb, "MB", round(seconds, 1), "s:", saved, flush=True)
    return Counter({"files": 1, said.split(" ")[0]: 1, "found": int(bad)})


def hands(rng: random.Random, folder: Path) -> Counter:
    """A library with one to three files as hands leave them, walked through."""
    visitor, at = library_in_use(folder)
    done = []
    for _ in range(rng.randrange(1, 4)):
        files = [path for path in sorted(folder.rglob("*")) if path.is_file()]
        files = [path for path in files if "library" in path.parts[len(folder.parts)]]
        if files:
            path, how = rng.choice(files), rng.choice([*CONTENTS, *PLACES])
            with suppress(FileExistsError):
                edited(path, how, rng)
            done.append(f"{path.relative_to(folder)}: {how}")
    wrong = walked(visitor, at)
    visitor.close()
    for each in wrong:
        print(each, "after", "; ".join(done), flush=True)
    return Counter({"libraries": 1, "found": int(bool(wrong))})


def brought(rng: random.Random, folder: Path) -> Counter:
    """A stranger's file of desks, brought in and looked at."""
    name = rng.choice([*NAMES.values(), "desk"])
    wrong = visited(folder, archive_of(rng, folder, name), name)
    for each in wrong:
        print(each[:300], flush=True)
    return Counter({"archives": 1, "found": int(bool(wrong))})


def wrong_in(total: Counter) -> int:
    """How much of what was counted must not be."""
    of_500 = sum(count for what, count in total.items() if what.startswith("answer 5"))
    return total["lost"] + total["found"] + of_500


def main() -> int:
    """Run one attack and print its counts."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("attack", choices=["servers", "bodies", "files", "hands", "brought"])
    parser.add_argument("--first", type=int, default=0, help="the number to begin with")
    parser.add_argument("--count", type=int, default=10**9)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=600.0)
    asked = parser.parse_args()
    os.nice(10)
    total, until = Counter(), time.monotonic() + asked.seconds
    most: dict[str, list[float]] = {}
    with tempfile.TemporaryDirectory() as name:
        os.environ["XDG_STATE_HOME"] = name
        visitor = Visitor(Path(name) / "bodies") if asked.attack == "bodies" else None
        at = visitor.begin() if visitor else ""
        for number in range(asked.first, asked.first + asked.count):
            if time.monotonic() > until:
                break
            # Each by its own dice, so that one can be had again alone.
            rng, found_before = random.Random(f"{asked.seed} {number}"), wrong_in(total)
            folder = Path(name) / f"{number}"
            folder.mkdir()
            if asked.attack == "servers":
                total += servers(rng, folder)
            elif asked.attack == "hands":
                total += hands(rng, folder)
            elif asked.attack == "brought":
                total += brought(rng, folder)
            elif visitor is not None:
                total += bodies(rng, visitor, at)
            else:
                total += files(rng, folder, most)
            shutil.rmtree(folder)
            if wrong_in(total) > found_before:
                print(f"had again with: --seed {asked.seed} --first {number} --count 1", flush=True)
        if visitor is not None:
            visitor.close()
    print(f"seed {asked.seed}:", ", ".join(f"{what} {count}" for what, count in total.items()))
    for kind, (mb, seconds) in sorted(most.items()):
        print(f"  {kind}: at most {mb:.0f} MB and {seconds:.1f} s")
    return int(wrong_in(total) > 0)


if __name__ == "__main__":
    raise SystemExit(main())
