"""Several writers at once, full disks, folders that are closed or gone, and git.

On a real file system.
"""

import errno
import io
import os
import shutil
import subprocess
import sys
from dataclasses import replace

import msgspec
import pytest

from mapper.problems import RequestError
from profiles.format.document import save, to_yaml
from profiles.library import archive as archive_module
from profiles.library import revisions as library_module
from profiles.library.archive import export_archive
from profiles.library.audit import audit
from profiles.library.revisions import Library
from profiles.library.trial_book import add, in_library
from tests.profiles.killed import FELT
from tests.profiles.libraries import NOW, ROOT, SAMPLE, files_below, sample

unix = pytest.mark.skipif(os.name != "posix", reason="needs Unix's users, limits and mounts")


def keeper(code, *arguments):
    """A process of its own with a library, ready to run ``code``."""
    script = (
        "import os, sys\n"
        "from contextlib import nullcontext\n"
        "from dataclasses import replace\n"
        "from mapper.problems import EvenstrokeError\n"
        "from profiles.library import revisions as library_module\n"
        "from profiles.format.document import load\n"
        "from profiles.library.revisions import Library\n"
        "library, sample = Library(sys.argv[1]), replace(load(sys.argv[2]), name='desk', "
        "revision=None)\n" + code
    )
    return subprocess.Popen(
        [sys.executable, "-c", script, *map(str, arguments)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=os.environ | {"PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1"},
    )


def all_at_once(code, root, count=8):
    """Start ``count`` keepers at the moment when the last of them is ready."""
    ready = "print('ready', flush=True)\nsys.stdin.readline()\n"
    keepers = [keeper(ready + code, root, SAMPLE, number) for number in range(count)]
    for each in keepers:
        assert each.stdout.readline() == "ready\n", each.stderr.read()
    for each in keepers:
        each.stdin.write("go\n")
        each.stdin.flush()
    for each in keepers:
        _, errors = each.communicate(timeout=120)
        assert (each.returncode, errors) == (0, "")


@pytest.mark.parametrize("locks", [True, False])
@pytest.mark.long
def test_eight_at_once_lose_none_and_number_all(tmp_path, locks):
    without = "library_module.taking_turns = lambda folder: nullcontext()\n"
    code = (
        "from profiles.library.trial_book import Felt, add, figures_of\n"
        "for turn in range(3):\n"
        "    note, day = f'{sys.argv[3]} {turn}', f'2026-03-{1 + turn:02}'\n"
        "    library.keep(replace(sample, note=note))\n"
        "    felt = Felt(evenstroke_trial=1, workstation='desk', date=day, doing='drawing', "
        "score=3, note=note,\n"
        "                figures=figures_of(sample))\n"
        "    assert add(library, felt)\n"
    )
    all_at_once(code if locks else without + code, tmp_path / "library")
    library = Library(tmp_path / "library")
    revisions = library.revisions(library.folder_of("desk"))
    assert [revision.number for revision in revisions] == list(range(1, 25))
    notes = [library.load(revision).note for revision in revisions]
    book, problems = in_library(library)
    assert problems == []
    said = sorted(f"{keeper} {turn}" for keeper in range(8) for turn in range(3))
    assert sorted(notes) == sorted(felt.note for felt in book) == said
    # Each keeper's own are in the order in which it kept them.
    for each in range(8):
        assert [note for note in notes if note.startswith(f"{each} ")] == [
            f"{each} {turn}" for turn in range(3)
        ]
    found = audit(library)
    assert (found.revisions, found.entries, found.findings) == (24, 24, [])


@unix
def test_the_same_kept_by_eight_at_once_is_one_revision(tmp_path):
    all_at_once("library.keep(sample)\n", tmp_path / "library")
    library = Library(tmp_path / "library")
    assert len(library.revisions(library.folder_of("desk"))) == 1


@unix
def test_a_halted_keeper_is_not_waited_for_for_ever(tmp_path, monkeypatch):
    import fcntl

    library = Library(tmp_path / "library")
    library.keep(sample("one"))
    folder = library.folder_of("desk")
    monkeypatch.setattr("profiles.files._TURN_S", 0.05)
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX)
        assert library.keep(sample("two"))[0].number == 2
    finally:
        os.close(descriptor)


REPORT = (
    "try:\n    print(library.keep(replace(sample, note='new'))[1])\nexcept EvenstrokeError as "
    "error:\n    print(error)\n"
)


def report(root, code=REPORT):
    """The output of a keeper that keeps one more revision."""
    out, errors = keeper(code, root, SAMPLE).communicate(timeout=60)
    assert errors == ""
    return out.strip()


def test_a_full_disk(small_disk):
    library = Library(small_disk / "library")
    library.keep(sample("one"))
    filler = small_disk / "filler"
    with filler.open("wb", buffering=0) as file:
        while True:
            try:
                file.write(b"x" * 512)
            except OSError:
                break
    before = files_below(library.root)
    with pytest.raises(RequestError, match="could not be written; got No space left on device"):
        library.keep(sample("two"))
    with pytest.raises(RequestError, match="could not be written; got No space left on device"):
        library.decide(library.folder_of("desk"), "pin", library.newest(library.folder_of("desk")))
    assert files_below(library.root) == before
    filler.unlink()
    assert library.keep(sample("two"))[0].number == 2


class Room:
    """A fake file system with room for so many bytes more.

    What is beyond is not written, as with write(2).
    """

    def __init__(self, monkeypatch):
        self.left, self.write, room = 0, os.write, self

        class Written(io.FileIO):
            """What the zip module writes into; it takes a short write for a whole one."""

            def write(self, content):
                if self.mode == "rb" or len(content) <= room.left:
                    room.left -= len(content)
                    return super().write(content)
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

        monkeypatch.setattr(os, "write", self.take)
        monkeypatch.setattr(archive_module, "open", Written, raising=False)
        # Whether it reached the disk is not what is tried here.
        monkeypatch.setattr(os, "fsync", lambda _descriptor: None)

    def take(self, descriptor, content):
        if not self.left:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        some = bytes(content)[: self.left]
        self.left -= len(some)
        return self.write(descriptor, some)


@unix
def test_a_disk_that_is_full_after_some_of_the_first_200_bytes(tmp_path, monkeypatch):
    """Keeping, noting how it felt, exporting and saving.

    A sentence, nothing lost, nothing half, and it works afterwards.
    """
    library = Library(tmp_path / "library")
    library.keep(sample("one"))
    before = files_below(tmp_path)
    room, felt = (
        Room(monkeypatch),
        msgspec.structs.replace(FELT, note="of more than 200 bytes " * 10),
    )
    for bytes_left in (*range(8), *range(8, 200, 8)):
        for work in (
            lambda: library.keep(sample("two")),
            lambda: add(library, felt),
            lambda: export_archive(library, tmp_path / "all.zip"),
            lambda: save(sample("two"), tmp_path / "desk.yaml"),
        ):
            room.left = bytes_left
            with pytest.raises(
                RequestError, match="could not be written; got No space left on device"
            ):
                work()
            assert files_below(tmp_path) == before
    room.left = 10**9
    assert library.keep(sample("two"))[0].number == 2
    assert add(library, felt)
    assert export_archive(library, tmp_path / "all.zip")[0] == 3
    save(sample("two"), tmp_path / "desk.yaml")
    assert not audit(library).findings


def test_a_read_only_file_system(small_disk):
    library = Library(small_disk / "library")
    kept, _ = library.keep(sample("one"))
    subprocess.run(["mount", "-o", "remount,ro", small_disk], check=True)  # noqa: S607
    with pytest.raises(RequestError, match="could not be written; got Read-only file system"):
        library.keep(sample("two"))
    with pytest.raises(RequestError, match="could not be written; got Read-only file system"):
        Library(small_disk / "new").keep(sample("two"))
    assert library.load(kept).note == "one"
    assert not audit(library).findings


# Permissions do not bind root, who becomes the user nobody once all modules are there, which nobody
# may not read.
AS_NOBODY = (
    "import difflib, fcntl, profiles.library.audit, tempfile\n"
    "with tempfile.TemporaryDirectory() as other:\n"
    "    Library(other).keep(sample)\n"
    "if not os.geteuid():\n"
    "    os.setgroups([])\n"
    "    os.setresgid(65534, 65534, 65534)\n"
    "    os.setresuid(65534, 65534, 65534)\n"
)


@unix
def test_permission_denied(open_folder):
    library = Library(open_folder / "library")
    kept, _ = library.keep(sample("one"))
    folder = library.folder_of("desk")
    before = files_below(library.root)
    for path in (folder, library.root):
        path.chmod(0o555)
    denied = "could not be written; got Permission denied"
    assert denied in report(library.root, AS_NOBODY + REPORT)
    assert denied in report(library.root / "workstations" / "new", AS_NOBODY + REPORT)
    read = "library.load(library.newest(library.folder_of('desk'))).note"
    read = f"try:\n    print({read})\nexcept EvenstrokeError as error:\n    print(error)\n"
    assert report(library.root, AS_NOBODY + read) == "one"
    assert files_below(library.root) == before
    kept.path.chmod(0o000)
    assert report(library.root, AS_NOBODY + read).endswith(
        "must be a readable kept setting; got Permission denied"
    )
    library.keep(replace(sample("two"), name="other"))
    folder.chmod(0o000)
    others = (
        "from profiles.library.audit import audit\n"
        "stations, problems = library.stations()\n"
        "print([station.name for station in stations], len(problems))\n"
        "found = audit(library)\n"
        "print(found.revisions, [(finding.path.name, finding.kind) for finding in "
        "found.findings])\n"
    )
    assert report(library.root, AS_NOBODY + others) == "['other'] 1\n1 [('desk', 'damaged')]"
    assert "must be a readable folder; got Permission denied" in report(
        library.root, AS_NOBODY + read
    )


@pytest.mark.parametrize("vanishing", ["fill_new", "names_in", "make_folder", "flush_folder"])
def test_a_folder_that_vanishes_meanwhile(tmp_path, monkeypatch, vanishing):
    """As when a network share is lost or a memory stick is pulled.

    At any step an error that names the file, or done.
    """
    library = Library(tmp_path / "library")
    library.keep(sample("one"))
    step = getattr(library_module, vanishing)

    def gone(*arguments, **more):
        shutil.rmtree(library.root, ignore_errors=True)
        return step(*arguments, **more)

    monkeypatch.setattr(library_module, vanishing, gone)
    try:
        library.keep(sample("two"))
    except RequestError as error:
        assert "library" in str(error)
    monkeypatch.undo()
    shutil.rmtree(library.root, ignore_errors=True)
    assert library.keep(sample("three"))[0].number == 1


def test_a_library_where_a_file_is(tmp_path):
    (tmp_path / "file").write_text("x")
    for root in (tmp_path / "file", tmp_path / "file" / "library"):
        with pytest.raises(RequestError, match="could not be written; got Not a directory"):
            Library(root).keep(sample("one"))
    with pytest.raises(RequestError, match="must be a library's folder"):
        Library(tmp_path / "file").stations()


def git(folder, *arguments):
    done = subprocess.run(
        ["git", "-c", "user.name=a", "-c", "user.email=a@example.org", *arguments],  # noqa: S607
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
        env=os.environ | {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_SYSTEM": os.devnull},
    )
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.skipif(shutil.which("git") is None, reason="git is not installed")
@pytest.mark.parametrize("line_ends", ["false", "true"])
def test_two_copies_joined_by_version_control_keep_both_sides(tmp_path, line_ends):
    one = Library(tmp_path / "one")
    one.keep(sample("common"), now=NOW)
    git(one.root, "init", "-q", "-b", "main")
    git(one.root, "config", "core.autocrlf", line_ends)
    git(one.root, "add", ".")
    git(one.root, "commit", "-qm", "common")
    git(tmp_path, "clone", "-q", "-c", f"core.autocrlf={line_ends}", "one", "two")
    two = Library(tmp_path / "two")
    for library, side in ((one, "one"), (two, "two")):
        for turn in range(2):
            library.keep(sample(f"{side} {turn}"), now=NOW)
        library.decide(library.folder_of("desk"), "pin", library.newest(library.folder_of("desk")))
        library.keep(replace(sample("new"), name=f"desk of {side}"), now=NOW)
        library.keep(replace(sample(side), name="new in both"), now=NOW)
        git(library.root, "add", ".")
        git(library.root, "commit", "-qm", side)
    git(two.root, "pull", "-q", "--no-rebase", "--no-edit", "origin", "main")
    git(one.root, "pull", "-q", "--no-rebase", "--no-edit", str(two.root), "main")
    for library in (one, two):
        folder = library.folder_of("desk")
        held = [
            (revision.number, library.load(revision).note) for revision in library.revisions(folder)
        ]
        assert sorted(held) == [
            (1, "common"),
            (2, "one 0"),
            (2, "two 0"),
            (3, "one 1"),
            (3, "two 1"),
        ]
        assert len(library.revisions(library.folder_of("new in both"))) == 2
        assert {station.name for station in library.stations()[0]} == {
            "desk",
            "desk of one",
            "desk of two",
            "new in both",
        }
        # The pin that was made last holds in both.
        assert library.load(library.in_force(folder)).note == "two 1"
        found = audit(library)
        assert (found.revisions, found.entries, found.findings) == (9, 2, [])
    assert [revision.name for revision in one.revisions(one.folder_of("desk"))] == [
        revision.name for revision in two.revisions(two.folder_of("desk"))
    ]
    assert two.keep(sample("after"), now=NOW)[0].number == 4
    assert to_yaml(two.load(two.newest(two.folder_of("desk"))))


@unix
def test_links_pipes_and_files_in_the_wrong_place_are_named_and_nothing_hangs(tmp_path):
    library = Library(tmp_path / "library")
    library.keep(sample("right"), now=NOW)
    folder = library.folders()[0]
    kept = next(path for path in folder.rglob("*.yaml") if path.is_file())
    pipe = kept.with_name(kept.name.replace("0001-", "0002-"))
    os.mkfifo(pipe)
    (folder / "again").symlink_to(folder)
    (folder.parent / "itself").symlink_to("itself")
    (folder.parent / "a-file").write_bytes(b"no folder")
    code = (
        "from profiles.library.audit import audit\n"
        "from profiles.library.archive import export_archive\n"
        "found = audit(library)\n"
        "print(*(finding.path.name for finding in found.findings), sep='|')\n"
        "print(found.revisions, export_archive(library, sys.argv[3])[0])\n"
    )
    out, errors = keeper(code, library.root, SAMPLE, tmp_path / "out.zip").communicate(timeout=20)
    assert errors == ""
    named, counts = out.strip().split("\n")
    assert {"again", "itself", "a-file", pipe.name} <= set(named.split("|"))
    assert counts == "1 1"


def test_audit_names_what_recall_stumbles_over(tmp_path):
    library = Library(tmp_path / "library")
    kept = library.keep(sample("right"), now=NOW)[0]
    name = kept.path.name.replace("0001-", "0002-")
    kept.path.with_name(name).mkdir()
    (folder,) = library.folders()
    with pytest.raises(RequestError, match=f"{name}.*plain file"):
        library.load(library.in_force(folder))
    assert [finding.path.name for finding in audit(library).damaged] == [name]
