"""kill -9 in the middle of whatever writes to a library.

Nothing earlier is lost, nothing half is listed.
"""

import os
import re
import shutil
import signal
import subprocess
import sys

import pytest

from profiles.format.document import to_yaml
from profiles.library.archive import export_archive
from profiles.library.revisions import Library
from tests.profiles import killed
from tests.profiles.libraries import NOW, ROOT, sample

pytestmark = pytest.mark.skipif(os.name != "posix", reason="SIGKILL and fork are Unix's")


def base(folder, revisions):
    """A library with some revisions.

    Beside its folders stand a profile to keep and an archive to import.
    """
    folder.mkdir()
    library = Library(folder)
    for note in revisions:
        library.keep(sample(note), now=NOW)
    (folder / "next.yaml").write_text(to_yaml(sample("next")), encoding="utf-8")
    other = Library(folder.with_name("other"))
    for note in ("theirs", "next"):
        other.keep(sample(note), now=NOW)
    other.decide(other.folder_of("desk"), "pin", other.newest(other.folder_of("desk")), now=NOW)
    export_archive(other, folder / "other.zip")
    return library


@pytest.mark.parametrize(
    ("what", "revisions", "at_least"),
    [
        ("keep", ["one", "two", "three"], 10),
        *(
            pytest.param(*row, marks=pytest.mark.long)
            for row in (
                ("keep", [], 25),
                ("pin", ["one", "two"], 10),
                ("import", ["one"], 30),
                ("rescue", ["one"], 20),
                ("export", ["one", "two"], 5),
                ("felt", [], 10),
                ("felt", ["one"], 8),
            )
        ),
    ],
)
def test_killed_at_every_call_that_writes(tmp_path, what, revisions, at_least):
    base(tmp_path / "base", revisions)
    done = subprocess.run(
        [sys.executable, killed.__file__, what, tmp_path / "base", tmp_path / "work"],
        capture_output=True,
        text=True,
        check=False,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) >= at_least


#: System calls that change a file system, or bring its change about.
CHANGING = (
    "openat,open,creat,write,pwrite64,writev,fsync,fdatasync,sync,syncfs,ftruncate,truncate,rename,renameat,renameat2,"
    "link,linkat,symlink,symlinkat,unlink,unlinkat,rmdir,mkdir,mkdirat,copy_file_range,sendfile,utimensat,fchmod,chmod"
)
_CALL = re.compile(r"(?:\d+ +)?(\w+)\((.*)")


@pytest.fixture(scope="module")
def _strace():
    if shutil.which("strace") is None:
        pytest.skip("strace is not installed (Debian: apt-get install strace)")
    if subprocess.run(
        ["strace", "-o", os.devnull, "true"],  # noqa: S607
        capture_output=True,
        check=False,
    ).returncode:
        pytest.skip("strace is not allowed to trace here")


def traced_keep(root, *inject):
    """Run ``keep`` of the real program under strace.

    The result is its exit code, and the changing calls with their ordinals by name. Only calls on a
    path in ``root`` count, and opening only where it makes a file.
    """
    log = root.with_name("strace.log")
    known = [
        each
        for each in CHANGING.split(",")
        if each not in {"open", "creat", "mkdir"} or os.uname().machine == "x86_64"
    ]
    arguments = [
        "strace",
        "-f",
        "-y",
        "-s",
        "16",
        "-o",
        log,
        "-e",
        f"trace={','.join(known)}",
        *inject,
    ]
    done = subprocess.run(
        [
            *arguments,
            sys.executable,
            "-m",
            "render.cli",
            "keep",
            root / "next.yaml",
            "--library",
            root,
        ],
        capture_output=True,
        text=True,
        check=False,
        env=os.environ | {"PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1"},
    )
    calls, seen = [], {}
    for line in log.read_text(encoding="utf-8", errors="replace").splitlines():
        match = _CALL.match(line)
        if match:
            name, rest = match.groups()
            seen[name] = seen.get(name, 0) + 1
            if str(root) in rest and (name != "openat" or "O_CREAT" in rest):
                calls.append((name, seen[name]))
    return done, calls


@pytest.mark.usefixtures("_strace")
def test_strace_sees_no_other_calls_that_write_than_are_killed_above(tmp_path, monkeypatch):
    base(tmp_path / "one", ["one", "two"])
    shutil.copytree(tmp_path / "one", tmp_path / "two")
    done, calls = traced_keep(tmp_path / "one")
    assert done.returncode == 0, done.stderr
    seen = []

    def noting(call, name):
        def noted(*arguments, **more):
            if name != "open" or arguments[1] & os.O_CREAT:
                seen.append({"open": "openat"}.get(name, name))
            return call(*arguments, **more)

        return noted

    for name in killed.CALLS:
        if hasattr(os, name) and name != "close":
            monkeypatch.setattr(os, name, noting(getattr(os, name), name))
    killed.change_library("keep", tmp_path / "two")
    assert [name for name, _ in calls] == seen
    assert seen == ["openat", "write", "fsync", "rename", "fsync", "unlink"]


@pytest.mark.usefixtures("_strace")
@pytest.mark.long
def test_the_real_program_killed_at_each_real_system_call(tmp_path):
    base(tmp_path / "base", ["one", "two"])
    shutil.copytree(tmp_path / "base", tmp_path / "whole")
    _, calls = traced_keep(tmp_path / "whole")
    wanted = killed.contents(Library(tmp_path / "whole"))
    before = killed.contents(Library(tmp_path / "base"))
    assert len(wanted) == len(before) + 1
    for name, ordinal in calls:
        work = tmp_path / f"{name}-{ordinal}"
        shutil.copytree(tmp_path / "base", work)
        done, _ = traced_keep(work, "-e", f"inject={name}:signal=SIGKILL:when={ordinal}")
        assert done.returncode in {-signal.SIGKILL, 128 + signal.SIGKILL}, done.stderr
        killed.check_library("keep", work, before, {})
