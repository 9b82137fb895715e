"""Hard ends, after which nothing is half and no traceback is shown.

A closed output, a reader that leaves, Control-C at any moment, a parent that is killed, a fault of
ours.
"""

import ast
import os
import random
import signal
import stat
import subprocess
import sys
import time
from pathlib import Path

import click
import pytest

from mapper.problems import Problem, RequestError
from profiles.files import OLD_PART_S, write_whole
from render.cli.exits import MOST_PRINTED, OUR_FAULT, run
from tests.fuzz.fuzz_interrupts import Ground

pytestmark = pytest.mark.skipif(os.name != "posix", reason="signals and modes of POSIX")
ROOT = Path(__file__).parent.parent.parent
PATH = os.pathsep.join([str(ROOT), str(ROOT / "render" / "public")])
ENTRY = "from evenstroke import main; main()"
DESK = ("--tablet", "240x152mm", "--display", "27in 2560x1440")


@pytest.fixture
def environment(tmp_path):
    return os.environ | {"PYTHONPATH": PATH, "EVENSTROKE_LIBRARY": str(tmp_path / "library")}


@pytest.mark.parametrize("closed", [">&-", "2>&-", ">&- 2>&-"])
def test_a_closed_output_is_no_traceback_and_files_are_written(tmp_path, environment, closed):
    line = (
        f'exec "{sys.executable}" -c "{ENTRY}" map --tablet 240x152mm --display "27in 2560x1440" '
        f"--save desk.yaml "
    )
    done = subprocess.run(
        ["/bin/sh", "-c", line + closed],
        cwd=tmp_path,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, "Traceback" in done.stderr) == (0, False)
    assert (tmp_path / "desk.yaml").exists()


@pytest.mark.parametrize(
    ("asked", "unbuffered"),
    [
        # All at once at the end, and line by line.
        (("map", *DESK), ""),
        (("map", *DESK), "1"),
        (("pair",), ""),
        (("--help",), ""),
        (("--help",), "1"),
    ],
)
def test_a_reader_that_leaves_is_no_failure(asked, unbuffered, environment):
    reading, writing = os.pipe()
    os.close(reading)
    done = subprocess.run(
        [sys.executable, "-c", ENTRY, *asked],
        stdout=writing,
        stderr=subprocess.PIPE,
        env=environment | {"PYTHONUNBUFFERED": unbuffered},
        text=True,
        check=False,
    )
    os.close(writing)
    assert (done.returncode, done.stderr) == (0, "")


def test_a_fault_of_ours_is_one_sentence_with_what_to_report(capsys, monkeypatch):
    @click.command()
    def broken():
        raise ZeroDivisionError("by\nnothing")

    monkeypatch.delenv("EVENSTROKE_DEBUG", raising=False)
    with pytest.raises(SystemExit) as left:
        run(broken, ["desk one.yaml"][:0])
    assert left.value.code == OUR_FAULT == 70
    said = capsys.readouterr().err
    assert "Please report this line" in said
    assert "ZeroDivisionError, by nothing (test_hard_ends.py line" in said
    assert said.count("\n") == 1
    monkeypatch.setenv("EVENSTROKE_DEBUG", "1")
    with pytest.raises(ZeroDivisionError):
        run(broken, [])


def test_of_many_problems_the_first_are_told_and_the_others_counted(capsys):
    @click.command()
    def refuses():
        raise RequestError(*(Problem(f"row {row}", "must be right") for row in range(1000)))

    with pytest.raises(SystemExit):
        run(refuses, [])
    said = capsys.readouterr().err.splitlines()
    assert len(said) == MOST_PRINTED + 1
    assert "and 980 more problems like these" in said[-1]


@pytest.mark.parametrize("bad", ["\udcff", "a\udc80b"])
def test_arguments_that_are_no_text_are_refused_in_words(bad, environment):
    for asked in (
        ["map", *DESK, "--workstation", bad, "--save", "desk.yaml"],
        ["map", "--tablet", bad, *DESK[2:]],
        ["report", bad],
        [bad],
    ):
        arguments = [os.fsencode(word) for word in asked]
        done = subprocess.run(
            [sys.executable, "-c", ENTRY, *arguments],
            env=environment,
            capture_output=True,
            check=False,
        )
        assert done.returncode == 2
        assert b"Traceback" not in done.stderr
        assert b"our fault" not in done.stderr


def test_what_an_interrupted_library_says_is_the_interruption(capsys):
    @click.command()
    def interrupted():
        try:
            os.kill(os.getpid(), signal.SIGINT)
            time.sleep(5)
        except KeyboardInterrupt:
            raise ImportError("initialization failed") from None

    before = signal.getsignal(signal.SIGINT)
    try:
        with pytest.raises(SystemExit) as left:
            run(interrupted, [])
    finally:
        signal.signal(signal.SIGINT, before)
    assert left.value.code == 130
    assert capsys.readouterr().err == "evenstroke: interrupted; nothing more was written\n"


def test_control_c_is_quiet_from_the_first_statement_on():
    parsed = ast.parse(
        (ROOT / "render" / "public" / "evenstroke" / "__init__.py").read_text("utf-8")
    )
    (main,) = (each for each in parsed.body if getattr(each, "name", "") == "main")
    assert ast.unparse(main.body[1]) == "import _signal"


@pytest.fixture(scope="module")
def ground(tmp_path_factory):
    return Ground(tmp_path_factory.mktemp("ground"))


@pytest.mark.parametrize(
    "seed", [0, *(pytest.param(seed, marks=pytest.mark.long) for seed in range(1, 6))]
)
def test_control_c_at_any_moment_is_no_traceback_and_leaves_nothing_half(seed, ground):
    """Of a few commands; all of them, at a hundred moments each: tests/fuzz/fuzz_interrupts.py."""
    chance = random.Random(seed)
    name = ("map", "picture --into", "keep", "felt", "pin", "export")[seed]
    assert ground.interrupt(name, chance.uniform(0.02, max(0.5, ground.whole(name)))) == ""


def children_of(pid):
    """The process numbers of all below ``pid``, by Linux's /proc."""
    parents = {}
    for path in Path("/proc").glob("[0-9]*/stat"):
        try:
            parents[int(path.parent.name)] = int(path.read_text().rpartition(")")[2].split()[1])
        except OSError:
            continue
    below, more = set(), {pid}
    while more:
        more = {child for child, parent in parents.items() if parent in more} - below
        below |= more
    return below


@pytest.mark.skipif(
    not Path("/proc/self/stat").exists(), reason="looks for processes in Linux's /proc"
)
def test_the_workers_end_with_their_parent(tmp_path, environment):
    # So many pictures that they are not made while we look.
    subprocess.run(
        [sys.executable, "-c", ENTRY, "map", *DESK, "--save", "desk.yaml"],
        cwd=tmp_path,
        env=environment,
        check=True,
        capture_output=True,
    )
    names = []
    for at in range(40):
        (tmp_path / f"d{at}.yaml").write_bytes((tmp_path / "desk.yaml").read_bytes())
        names.append(f"d{at}.yaml")
    parent = subprocess.Popen(
        [sys.executable, "-c", ENTRY, "picture", *names, "--into", "out"],
        cwd=tmp_path,
        env=environment,
    )
    workers = set()
    until = time.monotonic() + 30
    while time.monotonic() < until and len(workers) < 3 and parent.poll() is None:
        workers = children_of(parent.pid)
        time.sleep(0.05)
    if parent.poll() is not None:
        pytest.skip("one processor: there are no workers")
    parent.kill()
    parent.wait()
    until = time.monotonic() + 20
    while time.monotonic() < until and (left := {pid for pid in workers if alive(pid)}):
        time.sleep(0.05)
    assert not left


def alive(pid):
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


def test_force_follows_a_link_keeps_the_mode_and_refuses_what_is_no_plain_file(tmp_path):
    target, link = tmp_path / "target.yaml", tmp_path / "link.yaml"
    target.write_bytes(b"old")
    target.chmod(0o640)
    link.symlink_to("target.yaml")
    write_whole(link, b"new", force=True)
    assert link.is_symlink()
    assert target.read_bytes() == b"new"
    assert stat.S_IMODE(target.stat().st_mode) == 0o640
    os.mkfifo(tmp_path / "pipe")
    for other in (tmp_path / "pipe", tmp_path):
        with pytest.raises(RequestError, match="must be a plain file"):
            write_whole(other, b"new", force=True)
    (tmp_path / "nowhere").symlink_to("not-yet.yaml")
    write_whole(tmp_path / "nowhere", b"new", force=True)
    assert (tmp_path / "not-yet.yaml").read_bytes() == b"new"


#: What each command that replaces a file is asked to write, by its name and words.
REPLACING = {
    "profile": "map DESK --fit full --save OUT.yaml",
    "profile and picture": "map DESK --picture OUT.svg",
    "picture": "picture DESK OUT.png",
    "document": "picture DESK OUT.pdf",
    "moving picture": "picture DESK OUT.gif",
    "sheet": "sheet DESK OUT.pdf",
    "stencil": "stencil DESK OUT.pdf",
    "pad": "pad DESK OUT.html",
    "setting": "recall window --out OUT.yaml",
    "archive": "export OUT.zip",
    "study": "study OUT.md",
}
#: Those that take long over it.
DRAWING = ("picture", "sheet", "stencil")


@pytest.mark.parametrize(
    "what",
    [
        pytest.param(what, marks=pytest.mark.long) if words.startswith(DRAWING) else what
        for what, words in REPLACING.items()
    ],
)
def test_force_replaces_what_a_link_leads_to_and_nobody_else_may_read_it(what, run, tmp_path):
    os.environ["EVENSTROKE_LIBRARY"] = str(tmp_path / "library")
    run("map", *DESK, "--workstation", "window", "--save", "desk.yaml", "--keep")
    run("felt", "window", "--score", "4", "--minutes", "90")
    asked = REPLACING[what].replace("DESK", "desk.yaml").split()
    at = next(at for at, word in enumerate(asked) if word.startswith("OUT"))
    target, link = tmp_path / f"kept{asked[at][3:]}", tmp_path / asked[at]
    target.write_bytes(b"old")
    target.chmod(0o600)
    link.symlink_to(target.name)
    seen = []
    create = os.open

    def watched(path, flags, mode=0o777, **more):
        if flags & os.O_CREAT and str(path).endswith(".part") and "kept" in str(path):
            seen.append(mode)
        return create(path, flags, mode, **more)

    assert run(*asked)[0] == 2, "not without --force"
    assert target.read_bytes() == b"old"
    os.open = watched
    try:
        code, _, err = run(*asked, "--force")
    finally:
        os.open = create
    assert code == 0, err
    assert link.is_symlink()
    assert target.read_bytes() != b"old"
    assert stat.S_IMODE(target.stat().st_mode) == 0o600
    assert seen == [0o600], "closed from the first byte on"
    link.unlink()
    link.symlink_to(os.devnull)
    code, _, err = run(*asked, "--force")
    assert (code, "must be a plain file" in err) == (2, True), err


def test_parts_that_killed_runs_left_are_cleared_when_they_are_old(tmp_path):
    parts = [tmp_path / f".desk.yaml.{number:012x}.part" for number in range(2)]
    other = tmp_path / ".other.yaml.000000000000.part"
    for part in (*parts, other):
        part.touch()
    for part in (parts[0], other):
        os.utime(part, times=(time.time() - 2 * OLD_PART_S,) * 2)
    write_whole(tmp_path / "desk.yaml", b"new")
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(
        [other.name, parts[1].name, "desk.yaml"]
    )


@pytest.mark.skipif(os.name != "posix", reason="signals are a matter of POSIX")
@pytest.mark.parametrize("name", ["SIGTERM", "SIGHUP", "SIGINT"])
def test_a_signal_in_the_midst_of_writing_leaves_nothing_half(tmp_path, environment, name):
    code = """
import os, signal, sys, time, click
from profiles.files import writing_whole
from render.cli.exits import run

# Whoever started the tests may have it ignored, as nohup does; then it stays so.
signal.signal(getattr(signal, sys.argv[1]), signal.SIG_DFL if sys.argv[1] != "SIGINT" else
              signal.default_int_handler)

@click.command()
def slow():
    with writing_whole("out") as part:
        part.write_bytes(b"half")
        os.kill(os.getpid(), getattr(signal, sys.argv[1]))
        time.sleep(20)

run(slow, [])
"""
    done = subprocess.run(
        [sys.executable, "-c", code, name],
        cwd=tmp_path,
        env=environment | {"PYTHONPATH": os.getcwd()},  # noqa: PTH109
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 128 + getattr(signal, name)
    assert "Traceback" not in done.stderr
    assert os.listdir(tmp_path) == []  # noqa: PTH208
