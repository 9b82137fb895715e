"""Standard input and output in place of a file, notes that can be left out, and what is piped."""

import io
import json
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
import yaml

from evenstroke import Desktop, Display, MapRequest, Tablet, Workstation, load, save, solve
from render.cli import main

DESK = ["--tablet", "240x152mm@150/mm", "--display", "27in 2560x1440"]
TOUCHES = "x_mm,y_mm,x_px,y_px\n" + "".join(
    f"{x},{y},{x * 2560 / 240},{(y - 8.5) * 1440 / 135}\n"
    for x in (20, 120, 220)
    for y in (20, 76, 130)
)


@pytest.fixture
def piped(tmp_path, monkeypatch, capfdbinary):
    """Run one command with these bytes as standard input.

    Its exit code, the bytes on standard output and the text on standard error.
    """
    monkeypatch.chdir(tmp_path)

    def run_one(*arguments, given=b""):
        stdin = io.TextIOWrapper(io.BytesIO(given))
        monkeypatch.setattr(sys, "stdin", stdin)
        with pytest.raises(SystemExit) as left:
            main([str(argument) for argument in arguments])
        out, err = capfdbinary.readouterr()
        return left.value.code, out, err.decode()

    return run_one


@pytest.fixture
def desk(piped):
    code, out, _ = piped("map", *DESK, "--workstation", "studio", "--save", "-")
    assert code == 0
    return out


def test_a_profile_goes_out_alone_and_what_is_said_elsewhere(piped):
    code, out, err = piped("map", *DESK, "--save", "-")
    assert code == 0
    assert yaml.safe_load(out)["workstation"] == "desk"
    assert err.startswith("A circle stays round")
    assert not list(Path().iterdir())


def test_a_profile_comes_in(piped, desk):
    assert piped("check", "-", given=desk)[:2] == (
        0,
        b"-: OK. studio: A circle stays round, 2.49 times as large.\n",
    )
    assert piped("map", "-", "--save", "-", "--force", given=desk)[1] == desk
    code, out, err = piped("report", "-", given=desk.replace(b"fit: locked", b"fit: tight"))
    assert (code, out) == (2, b"")
    assert err.startswith("evenstroke: standard input line ")
    half = desk[: desk.index(b"area:")]
    assert piped("check", "-", given=half)[0] == 1
    assert piped("map", "-", "--save", "-", "--force", given=half)[1] == desk


def test_every_kind_of_file_goes_out(piped, desk):
    starts = {
        b"\x89PNG": [["picture", "-", "-"], ["sheet", "-", "-"], ["map", "-", "--picture", "-"]],
        b"%PDF": [["stencil", "-", "-"]],
        b"<!doctype html>": [["pad", "-", "-"]],
        b"evenstroke: 1\n": [["map", "-", "--save", "-"]],
    }
    for start, commands in starts.items():
        for command in commands:
            code, out, _ = piped(*command, given=desk)
            assert (code, out[: len(start)]) == (0, start), command
    assert piped("pair", "--as", "json", "--out", "-")[1] == piped("pair", "--as", "json")[1]
    assert not list(Path().iterdir())


def test_a_library_goes_out_and_in(piped, desk):
    where = ["--library", "one"]
    assert piped("keep", "-", *where, given=desk)[0] == 0
    code, out, err = piped("export", "-", *where)
    assert (code, err) == (0, "-: 1 file\n")
    assert zipfile.ZipFile(io.BytesIO(out)).testzip() is None
    code, out, _ = piped("import", "-", "--library", "two", given=out)
    assert (code, out) == (0, b"-: 1 new files, 0 were already here\n")
    assert piped("recall", "studio", "--out", "-", *where)[1].startswith(b"evenstroke: 1\n")
    assert piped("felt", "-", "--score", 4, *where, given=desk)[0] == 0
    book = piped("book", "--as", "csv", *where)[1]
    assert piped("book", "--add", "-", "--library", "two", given=book)[0] == 0
    assert piped("study", "-", *where)[1].lower().startswith(b"<!doctype html>")


def test_lists_and_traces_and_touches_come_in(piped, desk):
    Path("desk.yaml").write_bytes(desk)
    code, out, _ = piped("pair", "--tablets", "-", given=b"pad: 240x152mm\n")
    assert (code, "pad, 240 × 152 mm".encode() in out) == (0, True)
    for text in (TOUCHES, json.dumps(_rows(TOUCHES))):
        code, out, _ = piped("touch", "-", "--against", "desk.yaml", given=text.encode())
        assert code == 0, out
    assert piped("touch", "-", "--against", "desk.yaml", given=b"")[0] == 2
    drawing = b'<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0L90 90"/></svg>'
    drawn = ["picture", "desk.yaml", "-", "--drawing", "-"]
    assert piped(*drawn, given=drawing)[1].startswith(b"\x89PNG")
    assert piped(*drawn, given=b"x,y\n0,0\n9,9\n")[1].startswith(b"\x89PNG")


def _rows(table):
    head, *rows = [line.split(",") for line in table.splitlines()]
    return [dict(zip(head, map(float, row), strict=True)) for row in rows]


def test_a_file_of_that_name_is_neither_read_nor_written(piped, desk):
    Path("-").write_text("mine")
    assert piped("check", "-", given=desk)[0] == 0
    assert piped("map", *DESK, "--save", "-")[0] == 0
    assert piped("check", "./-")[0] == 1
    assert Path("-").read_text() == "mine"


def test_two_files_do_not_share_standard_output(piped):
    code, out, err = piped("map", *DESK, "--save", "-", "--picture", "-")
    assert (code, out) == (2, b"")
    assert "standard output takes one file" in err


def test_a_program_may_have_a_file_of_that_name(tmp_path, monkeypatch):
    """The name means something on the command line alone: a server must not wait for its input."""
    desktop = Desktop((Display(2560, 1440, diagonal_mm=685.8),))
    desk = Workstation("desk", solve(MapRequest(Tablet(240, 152), desktop)))
    monkeypatch.chdir(tmp_path)
    save(desk, "-")
    assert Path("-").is_file()
    assert load("-") == desk


def test_quiet_leaves_out_notes_and_nothing_else(piped):
    odd = ["map", "--tablet", "24x15mm", "--display", "27in 2560x1440"]
    code, out, err = piped(*odd)
    assert (code, "evenstroke: note: " in err) == (0, True)
    assert piped(*odd, "--quiet") == (0, out, "")
    assert "--fit" in piped("map", *DESK, "--quiet", "--fit", "x")[2]


def test_what_is_piped_is_utf_8_whatever_the_language_of_the_system(desk):
    named = desk.replace(b"workstation: studio", "workstation: Büro".encode())
    Path("a.yaml").write_bytes(named)
    Path("b.yaml").write_bytes(named.replace(b"fit: locked", "fit: größer".encode()))
    done = subprocess.run(
        [sys.executable, "-m", "evenstroke", "check", "a.yaml", "b.yaml"],
        env={"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
        capture_output=True,
        check=False,
    )
    assert done.returncode == 1
    assert done.stdout.decode("utf-8").startswith("a.yaml: OK. Büro: ")
    assert "größer" in done.stderr.decode("utf-8")
