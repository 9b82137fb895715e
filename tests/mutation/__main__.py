"""Which changes of the code no test notices: ``python -m tests.mutation mapper``, run by hand.

    python -m tests.mutation TARGET [--sample 600] [--seed 1] [--jobs 1]
                             [--only PATH:LINE] [--tests PATH...]

A seeded sample of places of the target's code, with one of the changes (``operators``) that each
can have, is tried one at a time, in a forked process with the tests that run the changed line:
those of the files nearest to it first and with few invented examples, then all others with as many
as the suite has. The first failure kills the change. What lives is printed with the line as it was
and as it is now; the reviewed ones that no test could notice stand in ``equivalent.txt``, as they
are printed, and are counted apart.

Needs the extra ``mutation`` (cosmic-ray, which knows the changes, and coverage) and fork.
"""

import argparse
import contextlib
import difflib
import importlib.abc
import importlib.util
import os
import random
import resource
import signal
import sys
import time
from collections import defaultdict
from pathlib import Path

import coverage
import pytest

from tests.mutation.operators import changed, changes

ROOT = Path(__file__).resolve().parents[2]
OURS = ("mapper", "profiles", "render", "gallery", "tests", "evenstroke")
#: By target: what is changed, and where the tests are that should notice.
TARGETS = {
    "mapper": ("mapper", ["tests/mapper"]),
    "shorthand": (
        "profiles/shorthand.py",
        ["tests/profiles/test_shorthand.py", "tests/profiles/test_pasted.py"],
    ),
    "rectangles": (
        "profiles/rectangles.py",
        ["tests/profiles/test_rectangles.py", "tests/profiles/test_entry.py"],
    ),
    "sentences": ("render/sentences", ["tests/render", "tests/texts"]),
    "desk": ("render/desk", ["tests/render", "tests/texts"]),
}
EQUIVALENT = Path(__file__).with_name("equivalent.txt")
#: The files tried first.
NEAREST = 2
OPTIONS = ["-x", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", "-m", "not chromium"]


class Noted:
    """What each test runs and how long it takes, in seconds of the processor."""

    def __init__(self, measuring):
        self.measuring, self.seconds = measuring, {}

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item, nextitem):  # noqa: ARG002 - pytest's names
        self.measuring.switch_context(item.nodeid)
        began = time.process_time()
        try:
            return (yield)
        finally:
            self.seconds[item.nodeid] = time.process_time() - began
            self.measuring.switch_context("")


class Chosen:
    """Runs the given tests alone, the quick ones first."""

    def __init__(self, seconds):
        self.seconds = seconds

    def pytest_collection_modifyitems(self, items):
        items[:] = sorted(
            (item for item in items if item.nodeid in self.seconds),
            key=lambda item: self.seconds[item.nodeid],
        )


class Changed(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Imports one module from changed source."""

    def __init__(self, path, source):
        self.path, self.source = path, source
        self.name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
        self.name = self.name.removesuffix(".__init__")

    def find_spec(self, name, _path=None, _target=None):
        if name == self.name:
            return importlib.util.spec_from_file_location(name, self.path, loader=self)
        return None

    def exec_module(self, module):
        exec(compile(self.source, str(self.path), "exec"), module.__dict__)  # noqa: S102


def noted(paths, tests):
    """By file and line the tests that run it, and the seconds of each test; 0 is the whole file."""
    measuring = coverage.Coverage(data_file=None, include=[str(path) for path in paths])
    plugin = Noted(measuring)
    measuring.start()
    # A line that is only reached by one of many invented examples counts as one of the whole file.
    code = pytest.main([*OPTIONS, "--hypothesis-profile=few", *tests], plugins=[plugin])
    measuring.stop()
    if code:
        sys.exit("The tests must pass before anything is changed.")
    data = measuring.get_data()
    lines = defaultdict(set)
    for path in paths:
        for line, contexts in data.contexts_by_lineno(str(path)).items():
            within = {context for context in contexts if context}
            lines[path, line] |= within
            lines[path, 0] |= within
    return lines, plugin.seconds


def without_us():
    """Forget everything of this project's that was imported."""
    for name in list(sys.modules):
        if name.partition(".")[0] in OURS and not name.startswith("tests.mutation"):
            del sys.modules[name]


def notices(path, source, seconds, profile):
    """Whether one of the tests fails with ``source`` in place of ``path``: tried in a child."""
    child = os.fork()
    if not child:
        os.setsid()
        limit_s = int(20 + 10 * sum(seconds.values()))
        resource.setrlimit(resource.RLIMIT_CPU, (limit_s, limit_s))
        signal.alarm(30 * limit_s)
        nowhere = os.open(os.devnull, os.O_RDWR)
        for descriptor in (0, 1, 2):
            os.dup2(nowhere, descriptor)
        without_us()
        sys.meta_path.insert(0, Changed(path, source))
        files = sorted({nodeid.partition("::")[0] for nodeid in seconds})
        code = 1
        with contextlib.suppress(BaseException):
            code = pytest.main(
                [*OPTIONS, f"--hypothesis-profile={profile}", *files], plugins=[Chosen(seconds)]
            )
        os._exit(0 if code == pytest.ExitCode.OK else 1)
    _, status = os.waitpid(child, 0)
    # Processes that the tests had started.
    with contextlib.suppress(ProcessLookupError):
        os.killpg(child, signal.SIGKILL)
    return status != 0


def nearest(path, nodeids, seconds):
    """The few files of tests that are the most likely to notice: named alike, then the quickest."""
    files = defaultdict(float)
    for nodeid in nodeids:
        files[nodeid.partition("::")[0]] += seconds[nodeid]
    stem = path.stem.strip("_")
    order = sorted(files, key=lambda file: (stem not in Path(file).stem, files[file]))
    return order[:NEAREST]


def lives(path, source, nodeids, seconds):
    """Whether no test notices."""
    near = nearest(path, nodeids, seconds)
    first = {each: seconds[each] for each in nodeids if each.partition("::")[0] in near}
    every = {each: seconds[each] for each in nodeids}
    return not (notices(path, source, first, "few") or notices(path, source, every, "evenstroke"))


def difference(path, before, after):
    """The lines that differ, in one text that names the place."""
    lines = difflib.unified_diff(before.splitlines(), after.splitlines(), n=0, lineterm="")
    changed_lines = [line for line in list(lines)[2:] if line[:1] in {"+", "-"}]
    place = path.relative_to(ROOT).as_posix()
    return "\n".join([place, *changed_lines])


def reviewed():
    """The changes that no test could notice, as printed."""
    text = EQUIVALENT.read_text("utf-8") if EQUIVALENT.exists() else ""
    blocks = (block.strip().splitlines() for block in text.split("\n\n"))
    return {"\n".join(line for line in block if line[:1] != "#") for block in blocks}


def sampled(sources, asked):
    """The changes to try: file, place, operator and occurrence, in the order of the files."""
    only, _, line = asked.only.partition(":")
    places = defaultdict(list)
    for path, source in sources.items():
        if only in str(path):
            for place, name, occurrence in changes(source):
                if not line or place[0] == int(line):
                    places[path, place].append((name, occurrence))
    chance = random.Random(asked.seed)
    chosen = chance.sample(sorted(places), min(asked.sample, len(places)))
    return [(*each, *chance.choice(places[each])) for each in sorted(chosen)]


def main():
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("target", choices=TARGETS)
    parser.add_argument("--sample", type=int, default=600)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--only", default="", help="a part of the path, or path:line")
    parser.add_argument("--tests", nargs="*", help="in place of the target's")
    asked = parser.parse_args()
    os.chdir(ROOT)
    sys.path.insert(0, str(ROOT))
    os.environ["CI"] = "true"
    where, tests = TARGETS[asked.target]
    tests = asked.tests or tests
    paths = [ROOT / where] if where.endswith(".py") else sorted((ROOT / where).rglob("*.py"))
    sources = {path: path.read_text("utf-8") for path in paths}
    sample = sampled(sources, asked)
    print(f"{len(sample)} changes of {where}", flush=True)
    lines, seconds = noted(paths, tests)
    share = [sample[at :: asked.jobs] for at in range(asked.jobs)]
    children = []
    for at, part in enumerate(share):
        log = ROOT / ".pytest_cache" / f"mutation-{asked.target}-{at}.txt"
        log.parent.mkdir(exist_ok=True)
        child = os.fork()
        if not child:
            with log.open("w", encoding="utf-8", buffering=1) as file:
                work(part, sources, lines, seconds, file)
            os._exit(0)
        children.append((child, log))
    for child, _ in children:
        os.waitpid(child, 0)
    summary(asked.target, len(sample), [log for _, log in children])


def work(part, sources, lines, seconds, file):
    """Try each of the changes and write a block about each that lives."""
    for path, (line, _), name, occurrence in part:
        before = sources[path]
        after = changed(before, name, occurrence)
        nodeids = lines[path, line] or lines[path, 0]
        if nodeids and not lives(path, after, nodeids, seconds):
            print(f"killed {path.relative_to(ROOT)}:{line} {name}\n", file=file)
            continue
        kind = "lives" if nodeids else "no test"
        print(f"# {kind}, line {line}, {name}\n{difference(path, before, after)}\n", file=file)


def summary(target, count, logs):
    blocks = [
        block for log in logs for block in log.read_text("utf-8").split("\n\n") if block.strip()
    ]
    known = reviewed()
    living = [block for block in blocks if not block.startswith("killed")]
    same = [block for block in living if "\n".join(block.splitlines()[1:]) in known]
    for block in living:
        if block not in same:
            print(block + "\n")
    killed, judged = count - len(living), count - len(same)
    print(
        f"{target}: {killed} of {judged} killed, {100 * killed / max(1, judged):.1f} %; "
        f"{len(same)} more that no test could notice"
    )


if __name__ == "__main__":
    main()
