"""Changes a library once for each call that writes, and is killed at that call.

test_library_killed runs it in a process of its own.

``python killed.py WHAT BASE WORK``: for n = 1, 2, ... the library BASE is copied to WORK, a child
does WHAT there and is killed by SIGKILL at its n-th call of the system that could write, before it
or half-way through it, until a child gets to the end. (After a call is before the next one.) After
each kill the library must hold every earlier revision, list nothing half, and take a further
revision. Prints the number of kills.
"""

import os
import shutil
import signal
import sys
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from profiles.format.document import load
from profiles.library.archive import export_archive, import_archive
from profiles.library.audit import audit, rescue
from profiles.library.revisions import Library
from profiles.library.trial_book import Felt, FeltFigures, add, in_library

#: Every way in which profiles/ touches the disk; test_library_killed compares with what strace
#: sees.
CALLS = ("open", "write", "fsync", "close", "mkdir", "rename", "replace", "link", "unlink", "flock")
NOW = datetime(2026, 11, 25, 9, tzinfo=UTC)
FELT = Felt(
    evenstroke_trial=1,
    workstation="desk",
    date="2026-11-25",
    doing="drawing",
    score=4,
    figures=FeltFigures(scale_factor=2.5),
)


def change_library(what, root):
    """Do ``what`` (keep, pin, import, rescue, export, felt) to the library at ``root``."""
    library = Library(root)
    workstation = replace(load(root / "next.yaml"), revision=None)
    if what == "keep":
        library.keep(workstation, now=NOW)
    elif what == "pin":
        library.decide(
            library.folder_of("desk"), "pin", library.named(library.folder_of("desk"), "1"), now=NOW
        )
    elif what == "import":
        import_archive(library, root / "other.zip")
    elif what == "rescue":
        rescue(audit(library), root / "saved")
    elif what == "export":
        export_archive(library, root / "out.zip", force=True)
    elif what == "felt":
        add(library, FELT, now=NOW)


def die_at(count, when):
    """Kill this process at its ``count``-th call that writes.

    ``when`` is "before" or "half-way" through the call.
    """
    left = count

    def deadly(call, name):
        def counted(*arguments, **more):
            nonlocal left
            left -= when != "half-way" or name == "write"
            if left:
                return call(*arguments, **more)
            if when == "half-way":
                descriptor, content = arguments
                call(descriptor, content[: len(content) // 2])
            os.kill(os.getpid(), signal.SIGKILL)
            raise AssertionError

        return counted

    for name in CALLS:
        if hasattr(os, name):
            setattr(os, name, deadly(getattr(os, name), name))


def contents(library):
    """The workstations, marks and trial entries of a library, by name; every file is read."""
    if (
        not (library.root / "library.yaml").exists()
        and not (library.root / "workstations").exists()
    ):
        return {}
    found = {}
    for folder in library.folders():
        for revision in library.revisions(folder):
            found[revision.name] = library.load(revision)
        found[folder.name] = library.marks(folder)
    book, problems = in_library(library)
    assert not problems
    return found | ({"the trial book": book} if book else {})


def kill_once(what, base, work, count, when):
    """Run one child on a copy of ``base``; the result is whether it was killed."""
    shutil.rmtree(work, ignore_errors=True)
    shutil.copytree(base, work)
    child = os.fork()
    if not child:
        die_at(count, when)
        try:
            change_library(what, work)
        except BaseException as error:  # noqa: BLE001 - a child must never come back
            print(repr(error), file=sys.stderr)
            os._exit(3)
        os._exit(0)
    _, status = os.waitpid(child, 0)
    assert status in {0, signal.SIGKILL}, status
    return status == signal.SIGKILL


def check_library(what, work, before, wanted):
    """Assert that a killed child left a library that holds all that was kept.

    ``before`` are its contents before the change, ``wanted`` after a whole one.
    """
    library = Library(work)
    found = contents(library)
    revisions = {name: kept for name, kept in found.items() if "-" in name}
    assert {name: revisions[name] for name in before if "-" in name} == {
        name: kept for name, kept in before.items() if "-" in name
    }
    # The revision or mark that was being written is there as a whole or not at all.
    assert all(
        found[name] in [before.get(name), wanted.get(name)] or name not in wanted for name in found
    ), found
    if what == "import":
        assert not audit(library).damaged
    if what == "export" and (work / "out.zip").exists():
        done = import_archive(Library(work / "again"), work / "out.zip")
        assert not done.problems
    if what == "rescue" and (work / "saved" / "workstations").exists():
        # Whole as far as it got, and it gets to the end when it is done again.
        assert not audit(Library(work / "saved")).damaged
        change_library(what, work)
        assert contents(Library(work / "saved")) == found
    # A further revision can be kept.
    further = replace(load(work / "next.yaml"), revision=None, note="further")
    kept, new = library.keep(further, now=NOW)
    assert new
    assert replace(library.load(kept), revision=None) == further
    assert kept == library.newest(library.folder_of("desk"))


def main():
    what, base, work = sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3])
    before = contents(Library(base))
    shutil.copytree(base, work)
    change_library(what, work)
    wanted = contents(Library(work))
    kills = 0
    # Whether bytes reach the disk is not tried here, and waiting for it takes most of the time.
    os.fsync = lambda _descriptor: None
    for when in ("before", "half-way"):
        count = 1
        while kill_once(what, base, work, count, when):
            check_library(what, work, before, wanted)
            kills, count = kills + 1, count + 1
    print(kills)


if __name__ == "__main__":
    main()
