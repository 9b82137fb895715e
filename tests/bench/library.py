"""`keep` and `recall` with 1,000 revisions against 10, and `table` over 10,000 profiles.

The floor of `table` is parsing the profiles.
"""

import os
import tempfile
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import yaml

from profiles.format.document import load, loads, to_yaml
from profiles.library.entries import digest
from profiles.library.revisions import Library
from profiles.times import TIME, stamp
from render.reports.workstation_table import table_text
from tests.bench.timing import Result, best_of_turns

SAMPLE = Path(__file__).resolve().parents[1] / "profiles" / "samples" / "format-1.yaml"
FEW, MANY, PROFILES = 10, 1_000, 10_000
KEPT = datetime(2020, 1, 1, tzinfo=UTC)


def filled(root, count):
    """A library with one workstation of ``count`` revisions, each as `keep` writes it."""
    library = Library(root)
    first = replace(load(str(SAMPLE)), name="desk", note="note 1", revision=None)
    kept, _ = library.keep(first, now=KEPT)
    folder = library.folder_of("desk")
    pattern = kept.path.read_text("utf-8")
    for number in range(2, count + 1):
        moment = KEPT + timedelta(minutes=number)
        text = pattern.replace("number: 1\n", f"number: {number}\n").replace(
            "note: note 1\n", f"note: note {number}\n"
        )
        content = text.replace(KEPT.strftime(TIME), moment.strftime(TIME)).encode()
        (folder / f"{number:04d}-{stamp(moment)}-{digest(content)}.yaml").write_bytes(content)
    assert library.load(library.newest(folder)).note == f"note {count}"
    return library


def keeping(library):
    """A call that keeps something new."""
    folder = library.folder_of("desk")
    workstation = replace(library.load(library.newest(folder)), revision=None)
    count = 0

    def call():
        nonlocal count
        count += 1
        assert library.keep(replace(workstation, note=f"another {count}"))[1]

    return call


def recalling(known, number=None):
    """A call that recalls what is in force, or a revision by its number, as a new program does."""

    def call():
        # What an earlier call read of its folder is not known to a new program.
        library = Library(known.root)
        folder = library.folder_of("desk")
        library.text(
            library.in_force(folder) if number is None else library.named(folder, str(number))
        )

    return call


def profiles(folder):
    """10,000 profiles of workstations that all differ."""
    text = to_yaml(replace(load(str(SAMPLE)), name="desk", note="note 1"))
    paths = []
    for number in range(PROFILES):
        path = folder / f"desk-{number}.yaml"
        path.write_text(
            text.replace("workstation: desk\n", f"workstation: desk {number}\n"), encoding="utf-8"
        )
        paths.append(str(path))
    assert loads(Path(paths[-1]).read_bytes(), "x").name == f"desk {PROFILES - 1}"
    return paths


def results():
    with tempfile.TemporaryDirectory() as name:
        few, many = filled(Path(name) / "few", FEW), filled(Path(name) / "many", MANY)
        floor = f"the same with {FEW} revisions"
        many_s, few_s = best_of_turns(30, keeping(many), keeping(few))
        yield Result(f"keep with {MANY:,} revisions", floor, many_s, few_s, 1.5)
        many_s, few_s = best_of_turns(200, recalling(many), recalling(few))
        yield Result(f"recall with {MANY:,} revisions", floor, many_s, few_s, 1.5)
        many_s, few_s = best_of_turns(200, recalling(many, MANY // 2), recalling(few, FEW // 2))
        yield Result(f"recall one by its number with {MANY:,} revisions", floor, many_s, few_s, 1.5)
        flush = os.fsync
        try:
            # The disk's own time hides what the names cost.
            os.fsync = lambda _descriptor: None
            many_s, few_s = best_of_turns(60, keeping(many), keeping(few))
        finally:
            os.fsync = flush
        yield Result(
            f"keep with {MANY:,} revisions, not waiting for the disk", floor, many_s, few_s, 1.5
        )

        paths = profiles(Path(name))
        loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

        def table():
            return table_text(map(load, paths), "mm", "text")

        def parse():
            return [yaml.load(Path(path).read_bytes(), Loader=loader) for path in paths]  # noqa: S506 - a safe one

        ours_s, floor_s = best_of_turns(2, table, parse)
        yield Result(
            f"table over {PROFILES:,} profiles",
            f"parsing them with PyYAML's {loader.__name__}",
            ours_s,
            floor_s,
            1.5,
        )
