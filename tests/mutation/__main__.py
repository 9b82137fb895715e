"""Which changes of the code no test notices: ``python -m tests.mutation mapper``, run by hand.

    python -m tests.mutation TARGET [--sample 600] [--seed 1] [--jobs 1] [--into FILE]
                             [--only PATH:LINE] [--tests PATH...] [--again FILE]

A seeded sample of places of the target's code, with one of the changes (``operators``) that each
can have, is tried one at a time with the tests that run the changed line (``trying``): those of the
files nearest to it with few invented examples, then all others, then the properties with as many
examples as the suite has. The first failure kills the change. What becomes of each is written into
a file as it goes; what lives is printed at the end, with the line as it was and as it is now. The
reviewed ones that no test could notice stand in ``equivalent.txt``, as they are printed, and are
counted apart.

Needs the extra ``mutation`` (cosmic-ray, which knows the changes, and coverage) and fork.
"""

import argparse
import difflib
import os
import random
import sys
import traceback
import warnings
from collections import Counter, defaultdict
from pathlib import Path

import pytest

from tests.mutation.operators import changed, changes
from tests.mutation.trying import OPTIONS, ROOT, Session

#: By target: what is changed, and where the tests are that should notice.
TARGETS = {
    "mapper": (
        "mapper",
        ["tests/mapper", "tests/profiles/test_entry.py", "tests/render/test_variations.py"],
    ),
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
#: Holds every sentence word for word, so that it is among the first.
LITERAL = "tests/texts/test_english.py"
EQUIVALENT = Path(__file__).with_name("equivalent.txt")
#: The files tried first.
NEAREST = 2
#: What further ones may take for one change, in seconds of the processor; what lives so long,
#: lives.
MOST_S = 10
#: How many times longer a property takes with all its examples.
MORE = 6


def stages(path, nodeids, notes):
    """The tests in the order in which they are tried, file by file, and with how many examples."""
    files = defaultdict(list)
    for nodeid in sorted(nodeids, key=notes.seconds.get):
        files[nodeid.partition("::")[0]].append(nodeid)
    stem = path.stem.strip("_")

    def cost(file):
        first = stem in Path(file).stem or file == LITERAL
        return not first, sum(notes.seconds[each] for each in files[file])

    order = sorted(files, key=cost)
    near, far = (
        [each for file in some for each in files[file]]
        for some in (order[:NEAREST], order[NEAREST:])
    )
    yield near, True
    yield within(MOST_S, far, notes.seconds), True
    properties = [each for each in near + far if each in notes.properties]
    yield within(MOST_S / MORE, properties, notes.seconds), False


def within(most_s, nodeids, seconds):
    """The first of the tests that take so long together, the overlong ones passed over."""
    chosen, left_s = [], most_s
    for nodeid in nodeids:
        if seconds[nodeid] < left_s:
            left_s -= seconds[nodeid]
            chosen.append(nodeid)
    return chosen


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
    """The changes to try: file, place, operator and occurrence.

    In the order of the dice, so that the first of them are a sample too.
    """
    only, _, line = asked.only.partition(":")
    places = defaultdict(list)
    for path, source in sources.items():
        if only in str(path):
            for place, name, occurrence in changes(source):
                if not line or place[0] == int(line):
                    places[path, place].append((name, occurrence))
    chance = random.Random(asked.seed)
    chosen = chance.sample(sorted(places), min(asked.sample, len(places)))
    return [(*each, *chance.choice(places[each])) for each in chosen]


def lived(told):
    """The changes that lived or met no test in an earlier run, as printed into its file."""
    blocks = Path(told).read_text("utf-8").split("\n\n")
    return {
        rest
        for head, _, rest in (block.strip().partition("\n") for block in blocks)
        if head.startswith(("# lives", "# no test"))
    }


def main():
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("target", choices=TARGETS)
    parser.add_argument("--sample", type=int, default=600)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--into", help="the file that tells what became of each")
    parser.add_argument("--only", default="", help="a part of the path, or path:line")
    parser.add_argument("--tests", nargs="*", help="in place of the target's")
    parser.add_argument("--again", help="only what lived in the file of an earlier run")
    asked = parser.parse_args()
    os.chdir(ROOT)
    sys.path.insert(0, str(ROOT))
    os.environ["CI"] = "true"
    where, tests = TARGETS[asked.target]
    tests = asked.tests or tests
    paths = [ROOT / where] if where.endswith(".py") else sorted((ROOT / where).rglob("*.py"))
    sources = {path: path.read_text("utf-8") for path in paths}
    into = Path(asked.into or ROOT / ".pytest_cache" / f"mutation-{asked.target}.txt")
    into.parent.mkdir(exist_ok=True)
    into.write_text("", encoding="utf-8")
    tries = sampled(sources, asked)
    if asked.again:
        told = lived(asked.again)
        tries = [
            (path, place, name, occurrence)
            for path, place, name, occurrence in tries
            if difference(path, sources[path], changed(sources[path], name, occurrence)) in told
        ]
    print(f"{len(tries)} changes of {where}, told in {into}", flush=True)
    session = Session(paths, lambda it: spread(asked.jobs, tries, sources, it, into))
    pytest.main([*OPTIONS, *tests], plugins=[session])
    if session.notes is None:
        sys.exit("The tests could not be collected.")
    summary(asked.target, into)


def spread(jobs, tries, sources, session, into):
    """Try the changes in so many processes."""
    for failed in session.notes.failed:
        print(f"left out, as it fails with no change: {failed}", flush=True)
    # With no change nothing may fail, in either way of trying.
    first = {}
    for path in sources:
        tests, few = next(stages(path, session.notes.tests(path), session.notes))
        first |= dict.fromkeys(tests)
    if session.fails({}, [*first], few=few):
        sys.exit("Tests fail where nothing is changed.")
    if session.fails_afresh(path, sources[path], tests, few=few):
        sys.exit(f"The tests of {path} fail where nothing but a fresh import is done.")
    children = []
    for at in range(jobs):
        child = os.fork()
        if not child:
            code = 1
            try:
                each_told(tries[at::jobs], sources, session, into)
                code = 0
            except BaseException:  # noqa: BLE001 - told, before this process ends
                traceback.print_exc()
            finally:
                os._exit(code)
        children.append(child)
    broken = [child for child in children if os.waitpid(child, 0)[1]]
    if broken:
        sys.exit(f"A process broke off: {into} does not hold every change.")


def each_told(tries, sources, session, into):
    """Try each of the changes, and write what becomes of it."""
    with into.open("a", encoding="utf-8", buffering=1) as file:
        for path, (line, _), name, occurrence in tries:
            after = changed(sources[path], name, occurrence)
            began = sum(os.times()[:4])
            kind = fate(path, line, sources[path], after, session)
            head = f"# {kind}, line {line}, {name}, {sum(os.times()[:4]) - began:.2f} s"
            file.write(f"{head}\n{difference(path, sources[path], after)}\n\n")


def fate(path, line, before, after, session):
    """What becomes of a change: killed, lives, no test runs it, or it is no Python at all."""
    if not is_python(after):
        return "no Python"
    notes = session.notes
    # A line that runs at import alone may be seen by any test of the file.
    nodeids = notes.tests(path, line) or notes.tests(path)
    if not nodeids:
        return "no test"
    codes = session.replaced(path, before, after)
    for tests, few in stages(path, nodeids, notes):
        if not tests:
            continue
        if codes is None:
            failed = session.fails_afresh(path, after, tests, few=few)
        else:
            failed = session.fails(codes, tests, few=few)
        if failed:
            return "killed"
    return "lives"


def is_python(source):
    """Whether a source can be compiled."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", SyntaxWarning)
        try:
            compile(source, "changed", "exec")
        except SyntaxError:
            return False
    return True


def summary(target, into):
    """Print what lives, and the figures."""
    known = reviewed()
    counts = Counter()
    for block in into.read_text("utf-8").split("\n\n"):
        head, _, rest = block.strip().partition("\n")
        if not rest or head.startswith("# no Python"):
            continue
        kind = "equivalent" if rest in known else head[2:].partition(",")[0]
        counts[kind] += 1
        if kind in {"lives", "no test"}:
            print(block + "\n")
    judged = counts.total() - counts["equivalent"]
    print(
        f"{target}: {counts['killed']} of {judged} killed, "
        f"{100 * counts['killed'] / max(1, judged):.1f} %; "
        f"{counts['equivalent']} more that no test could notice"
    )


if __name__ == "__main__":
    main()
