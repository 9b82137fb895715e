"""A desk is named once.

Every command that takes a desk takes a profile's file and a workstation of the library.
"""

import os
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from mapper.problems import RequestError
from profiles.library.desks import find_desk, stem_of, usual_desk
from profiles.library.revisions import Library
from profiles.library.station_names import new_name

WIDE, ROUND = ("--fit", "full"), ("--fit", "locked")


@pytest.fixture
def run(run_alone, tmp_path, monkeypatch):
    monkeypatch.setenv("EVENSTROKE_LIBRARY", str(tmp_path / "library"))
    return run_alone


@pytest.fixture
def describe(run):
    def write(name, *more, file="described.yaml"):
        desk = ("--tablet", "240x152mm", "--display", "27in 2560x1440", "--workstation", name)
        assert run("map", *desk, *more, "--save", file, "--force")[0] == 0

    return write


@pytest.fixture
def library(run, describe, tmp_path):
    """A library whose window desk was stretched first, and round since; with no file beside it."""
    for fit in (WIDE, ROUND):
        describe("window desk", *fit)
        assert run("keep", "described.yaml")[0] == 0
    Path("described.yaml").unlink()
    return Library(tmp_path / "library")


COMMANDS = {
    "report": ("report", "{desk}"),
    "check": ("check", "{desk}"),
    "picture": ("picture", "{desk}", "out.svg"),
    "pictures": ("picture", "{desk}", "--into", "."),
    "stencil": ("stencil", "{desk}", "out.pdf"),
    "sheet": ("sheet", "{desk}", "out.pdf", "--date", "2026-03-02"),
    "pad": ("pad", "{desk}", "out.html"),
    "advise": ("advise", "{desk}", "{desk}"),
    "seat": ("seat", "{desk}", "--distance", "70cm"),
    "travel": ("travel", "{desk}"),
    "felt": ("felt", "{desk}", "--score", "4", "--date", "2026-03-02"),
    "table": ("table", "{desk}"),
    "feel": (
        "map",
        "--tablet",
        "146x96mm",
        "--display",
        "24in 1920x1080",
        "--fit",
        "cropped",
        "--feel-of",
        "{desk}",
    ),
    "keep": ("keep", "{desk}"),
}


@pytest.mark.usefixtures("library")
@pytest.mark.parametrize("command", COMMANDS.values(), ids=COMMANDS)
def test_a_name_does_what_its_file_does(run, command):
    assert run("recall", "window desk", "--out", "window-desk.yaml")[0] == 0

    def told(desk):
        code, out, err = run(*(part.format(desk=desk) for part in command))
        out = out.replace("window-desk.yaml: OK. window desk:", "window desk: OK.")
        made = {
            path.name: path.stat().st_size for path in Path().glob("*.*") if path.suffix != ".yaml"
        }
        for name in made:
            Path(name).unlink()
        # The book holds an entry from the first time on.
        return (
            code,
            re.sub(r"nothing new, the book already has|noted|, at a scale factor.*", "", out),
            err,
            list(made),
        )

    by_file = told("window-desk.yaml")
    assert by_file[0] == 0
    assert told("window desk") == by_file


@pytest.mark.usefixtures("library")
def test_a_trace_is_compared_with_a_desk_of_the_library(run):
    Path("round.csv").write_text("stroke,x,y\n" + "".join(f"0,{x},{y}\n" for x, y in ring(155)))
    code, out, _ = run("trace", "round.csv", "--of", "circle 60mm", "--against", "window desk")
    assert "window desk" in out
    assert code in {0, 1}
    assert run("trace", "round.csv", "--of", "circle 60mm", "--against", "window dsk")[0] == 2


def ring(radius):
    from math import cos, radians, sin

    return [
        (500 + radius * cos(radians(at)), 500 + radius * sin(radians(at)))
        for at in range(0, 360, 3)
    ]


def test_a_revision_and_a_day_are_named_after_an_at(run, library):
    assert find_desk("window desk", library).workstation.map.request.fit == "locked"
    assert find_desk("window desk@1", library).workstation.map.request.fit == "full"
    assert find_desk(" window  desk @ 1", library).revision.number == 1
    assert find_desk("window desk@2099-01-01", library).revision.number == 2
    for typed, code, says in (
        ("window desk@7", 1, "window desk: has no setting 7. The newest is 2"),
        ("window desk@1999-01-01", 1, "had no setting in use at 1999-01-01"),
        (
            "window desk@spring",
            2,
            (
                'the number of a setting or a day must follow the @; got "spring". '
                "Type for example window desk@3"
            ),
        ),
    ):
        assert run("report", typed)[0] == code
        assert says in run("report", typed)[2]


@pytest.mark.usefixtures("library")
def test_a_new_name_may_not_hold_an_at(run, describe):
    describe("kim", file="described.yaml")
    at = 'must have no @: what follows one is a setting\'s number or a day; got "kim@home"'
    for command in (
        ("keep", "described.yaml", "--workstation", "kim@home"),
        ("map", "described.yaml", "--workstation", "kim@home", "--keep"),
    ):
        code, _, err = run(*command)
        assert code == 2
        assert at in err
        assert '"kim at home"' in err
    Path("described.yaml").write_text(
        Path("described.yaml").read_text().replace("workstation: kim", "workstation: kim@home")
    )
    code, _, err = run("keep", "described.yaml")
    assert code == 2
    assert at in err


@pytest.mark.parametrize(
    ("name", "instead"), [("@attic", "attic"), ("kim @ home", "kim at home"), ("@", "desk")]
)
def test_what_is_named_instead_of_an_at_can_be_typed(name, instead):
    with pytest.raises(RequestError, match=f'Type for example "{instead}"$'):
        new_name(name, "name")
    assert new_name(instead, "name") == instead


@pytest.mark.usefixtures("library")
def test_a_profile_is_saved_with_its_ending_so_that_no_file_stands_before_a_desk(run):
    assert run("map", "window desk", "--turn", "180", "--save", "window desk")[0] == 0
    assert not Path("window desk").exists()
    assert Path("window desk.yaml").exists()
    assert run("recall", "window desk", "--out", "back")[0] == 0
    assert Path("back.yaml").exists()
    assert run("seat", "back.yaml", "--distance", "70cm", "--save", "Seat.YML")[0] == 0
    assert Path("Seat.YML").exists()


def test_an_empty_folder_is_an_empty_library(run, tmp_path):
    (tmp_path / "new").mkdir()
    for command in (("stations",), ("audit",)):
        code, _, err = run(*command, "--library", str(tmp_path / "new"))
        assert (code, err) == (0, "")
    (tmp_path / "new" / "letter.txt").write_text("x")
    assert "must be a library's folder" in run("stations", "--library", str(tmp_path / "new"))[2]


def test_a_file_that_exists_wins(describe, library):
    describe("another")
    Path("described.yaml").rename("window desk")
    assert find_desk("window desk", library).workstation.name == "another"
    Path("window desk").unlink()
    Path("window desk").mkdir()
    assert find_desk("window desk", library).workstation.name == "window desk"


def test_what_is_neither_is_told_with_the_nearest_of_each(run, describe, library):
    describe("x", file="window-desk.yaml")
    must = "must be a profile's file or a desk of the library; got neither. "
    assert run("report", "windw desk") == (
        2,
        "",
        (
            f"evenstroke: windw desk: {must}The nearest file is window-desk.yaml; the nearest "
            f'desk is "window desk"\n'
        ),
    )
    assert 'No file has a similar name; the library holds "window desk"' in run("report", "q")[2]
    assert "a file has no kept settings" in run("report", "window-desk.yaml@2")[2]
    shutil.rmtree(library.root)
    assert "is empty" in run("report", "q")[2]


def test_all_that_is_wrong_with_several_desks_is_told_at_once(run, library):
    assert library
    code, out, err = run("picture", "one", "window desk", "two", "out.png")
    assert (code, out) == (2, "")
    assert [line.split(": ")[1] for line in err.splitlines()] == ["one", "two"]


def test_the_only_desk_of_the_library_and_the_one_noted_here_need_no_name(
    run, describe, library, tmp_path
):
    assert run("here")[1] == "window desk: the only one in the library\n"
    for command in (
        ("report",),
        ("advise",),
        ("sheet", "wall.pdf"),
        ("picture", "desk.svg"),
        ("pad", "pad.html"),
    ):
        assert run(*command)[0] == 0, command
    describe("other desk", file="other.yaml")
    assert run("keep", "other.yaml")[0] == 0
    code, _, err = run("report")
    assert code == 2
    assert (
        "got none, and the library holds 2. Type its name, or choose the desk of this computer "
        "once: " in err
    )
    assert run("here", "nowhere")[0] == 2
    before = sorted(path for path in library.root.rglob("*"))
    assert run("here", "other.yaml") == (0, "other desk is this computer's desk.\n", "")
    assert sorted(path for path in library.root.rglob("*")) == before, (
        "a library may be shared; nothing is noted there"
    )
    assert usual_desk(library) == str(tmp_path / "other.yaml"), (
        "a file is noted so that it is found from everywhere"
    )
    assert run("report")[0] == 0
    assert run("here", "--forget")[0] == 0
    assert run("here")[0] == 1


def test_files_made_of_a_desk_are_called_after_it():
    assert stem_of("window desk@3") == "window-desk-3"
    assert stem_of("???") == "desk"


@pytest.mark.skipif(shutil.which("bash") is None, reason="bash is not installed")
def test_bash_completes_files_and_names(library, describe):
    describe("x", file="wide.yaml")
    program = Path("bin") / "evenstroke"
    program.parent.mkdir()
    program.write_text(f"#!{sys.executable}\nfrom render.cli import main\nmain()\n")
    program.chmod(0o755)
    env = os.environ | {
        "PATH": f"{program.parent.absolute()}:{os.environ['PATH']}",
        "EVENSTROKE_LIBRARY": str(library.root),
    }

    def completed(*words):
        script = (
            'eval "$(_EVENSTROKE_COMPLETE=bash_source evenstroke 2>/dev/null)"; COMP_WORDS=("$@"); '
            'COMP_CWORD=$(($# - 1)); _evenstroke_completion evenstroke; printf "%s\\n" '
            '"${COMPREPLY[@]}"'
        )
        ran = subprocess.run(
            [shutil.which("bash"), "-c", script, "bash", "evenstroke", *words],
            env=env,
            capture_output=True,
            text=True,
            check=True,
        )
        return ran.stdout.splitlines()

    assert completed("report", "wi") == ["wide.yaml", r"window\ desk"]
    assert completed("report", '"wind') == ["window desk"]
    assert completed("map", "--feel-of", "wid") == ["wide.yaml"]
    assert completed("history", "w") == [r"window\ desk"]
    assert completed("trace", "shot.png", "--of", "ca") == ["card"]
    assert completed("pair", "--tablet", "@c") == ["@connected"]


def test_the_whole_tour_with_one_description_typed_once(run):
    """From the description to the proof and the trial book.

    Nothing after the first line describes a desk.
    """
    tour = """
        map --tablet 240x152mm@150/mm --display '27in 2560x1440' --distance 70cm \
            --workstation 'window desk' --keep
        map --fit full --picture stretched.svg --save stretched.yaml
        map --turn 180 --keep
        map --step 0.5mm --step-choices
        map --scale 3 --within 20,0,220x152mm
        report
        check 'window desk' 'window desk@1' stretched.yaml
        picture 'window desk@1' 'window desk' change.svg
        pad pad.html --now full
        stencil stencil.pdf
        sheet wall.pdf
        seat
        travel
        advise 'window desk' stretched.yaml
        pair --tablet 'pad: 240x152mm' --display '27in 2560x1440'
        history 'window desk'
        changes 'window desk'
        recall 'window desk@1' --out first.yaml
        table
        felt --score 4
        book
        export studio.zip
    """
    described = 0
    for line in filter(None, map(str.strip, tour.splitlines())):
        arguments = shlex.split(line)
        described += "--tablet" in arguments and arguments[0] == "map"
        code, _, err = run(*arguments)
        assert code == 0, f"{line}: {err}"
    assert described == 1
