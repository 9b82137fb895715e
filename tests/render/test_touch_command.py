"""``evenstroke touch`` from the outside: exit codes, words, plain data, wrong files."""

import csv
import json
from random import Random

import pytest
from click.testing import CliRunner

from mapper.problems import AnswerIsNo, Problem, RequestError
from mapper.touching.setting import DriverSetting
from mapper.touching.verdict import CAUSES, Cause, judge
from profiles.touches import read_touches
from render.cli import group
from render.sentences.touch import cause_sentence
from tests.touched import EIGHTEEN, Hand, as_csv, meant_map, touched_files


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    """A folder with the demo desk and files of touches."""
    folder = tmp_path_factory.mktemp("desk")
    made = ["map", "--tablet", "240x152mm", "--display", "27in 2560x1440"]
    saved = [*made, "--save", str(folder / "desk.yaml")]
    assert CliRunner().invoke(group, saved).exit_code == 0
    touched_files(folder)
    return folder


def run(desk, name, *more):
    arguments = ["touch", str(desk / name), "--against", str(desk / "desk.yaml"), *more]
    result = CliRunner().invoke(group, arguments)
    if result.exception and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


@pytest.mark.parametrize(
    ("name", "more", "code", "words"),
    [
        (
            "right.csv",
            (),
            0,
            ["The tablet uses this setting: 240", "its size is accurate to"],
        ),
        ("whole.csv", (), 1, ["does not use the setting", "Type 135 mm high and 8.5 mm from"]),
        ("turned.csv", (), 1, ["cannot tell", "not turned", "--corner"]),
        ("turned.csv", ("--corner", "2559,1439"), 1, ["does not use the setting", "not turned"]),
        ("missed.csv", (), 0, ["Touch number 5 missed its cross by 2", "was left out"]),
        ("right.csv", ("--sheet-anywhere",), 1, ["so only the size was tested"]),
        ("few.csv", (), 1, ["three touches prove nothing", "Touch nine crosses"]),
    ],
)
def test_the_answer_and_its_exit_code(desk, name, more, code, words):
    result = run(desk, name, *more)
    assert result.exit_code == code
    assert [word for word in words if word not in result.stdout] == []


def test_every_cause_has_its_words():
    meant = meant_map()
    right = DriverSetting.of(meant)
    verdict = judge(Hand().touch(right, Random(4)), meant)
    causes = [Cause(name, right) for name in CAUSES]
    silent = [each.name for each in causes if not cause_sentence(each, verdict)]
    assert silent == ["agrees"]


def test_plain_data_say_the_same_from_csv_and_from_json(desk):
    with (desk / "whole.csv").open() as file:
        rows = [{key: float(cell) for key, cell in row.items()} for row in csv.DictReader(file)]
    (desk / "whole.json").write_text(json.dumps(rows))
    one = json.loads(run(desk, "whole.csv", "--as", "json").stdout)
    assert one == json.loads(run(desk, "whole.json", "--as", "json").stdout)
    assert (one["agrees"], one["answer"]) == (False, "wrong")
    assert one["cause"] == {"name": "whole tablet", "correct": ["height", "top"]}
    height = one["area_built_mm"]["height"]
    assert height["low"] < 152 < height["high"]
    assert one["scale_px_per_mm"]["across"]["value"] == pytest.approx(2560 / 240, rel=0.01)
    assert one["turn_deg"] == 0


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("a.csv", "", "must name the column x_mm"),
        ("a.csv", "x,y\n1,2\n", "must name the column x_mm"),
        ("a.csv", "x_mm,y_mm,x_px,y_px\n", "at least one touch"),
        ("a.csv", "x_mm,y_mm,x_px,y_px\n1,2,3\n", "line 2: must hold 4 numbers"),
        ("a.csv", "x_mm,y_mm,x_px,y_px\n1,2,3,nan\n", "line 2: y_px must be a number"),
        ("a.csv", "x_mm,y_mm,x_px,y_px\n1,2,3,4\n1,2,=1,4\n", "line 3: x_px must be a number"),
        ("a.json", "{", "must be JSON"),
        ("a.json", "{}", "must be a list of touches"),
        ("a.json", "[1]", "touch 1: must be an object"),
        ("a.json", '[{"x_mm": 1, "y_mm": 2, "x_px": 3}]', "must name the column y_px"),
        ("a.json", '[{"x_mm": true, "y_mm": 2, "x_px": 3, "y_px": 4}]', "x_mm must be a number"),
        ("a.json", '[{"x_mm": 1e999, "y_mm": 2, "x_px": 3, "y_px": 4}]', "x_mm must be a number"),
    ],
)
def test_wrong_files_are_refused_with_their_place(tmp_path, name, text, words):
    (tmp_path / name).write_text(text)
    with pytest.raises(RequestError, match=words):
        read_touches(str(tmp_path / name))


def test_other_columns_and_decimal_commas_are_read(tmp_path):
    path = tmp_path / "a.csv"
    path.write_text("y_px;x_px;y_mm;x_mm;note\n4,5;3;2,25;1,5;good\n")
    assert read_touches(str(path))[0][:4] == (1.5, 2.25, 3.0, 4.5)


@pytest.fixture
def kept(desk, tmp_path, monkeypatch):
    """The same desk in a library, and a way to run commands on it."""
    monkeypatch.setenv("EVENSTROKE_LIBRARY", str(tmp_path / "library"))

    def command(*arguments):
        result = CliRunner().invoke(group, [str(each) for each in arguments])
        if result.exception and not isinstance(result.exception, SystemExit):
            raise result.exception
        return result

    assert command("keep", desk / "desk.yaml", "--workstation", "window desk").exit_code == 0
    return command


def test_a_test_of_a_kept_desk_is_remembered_wherever_the_desk_is_shown(desk, kept, tmp_path):
    assert "Noted with setting 1" in kept("typed", "window desk").stdout
    assert "typed in" in kept("recall", "window desk").stdout.splitlines()[1]
    told = kept("touch", desk / "right.csv", "--against", "window desk")
    assert (told.exit_code, "tested" in told.stdout.splitlines()[-1]) == (0, True)
    line = kept("recall", "window desk").stdout.splitlines()[1]
    assert line.startswith("tested ")
    assert ", accurate to 1." in line
    assert line in kept("history", "window desk").stdout
    marks = json.loads(kept("history", "window desk", "--as", "json").stdout)
    assert [each["mark"] for each in marks["revisions"][0]["proofs"]] == ["typed", "touch"]
    kept("sheet", "window desk", tmp_path / "wall.svg")
    assert line in (tmp_path / "wall.svg").read_text("utf-8")
    failed = kept("touch", desk / "whole.csv", "--against", "window desk")
    assert failed.exit_code == 1
    assert "the tablet does not use it" in kept("recall", "window desk").stdout
    kept("typed", "window desk", "--undo")
    assert kept("recall", "window desk").stdout.splitlines()[1] == ""


def test_data_say_no_more_than_the_data_and_the_mark_is_kept_all_the_same(desk, kept):
    told = kept("touch", desk / "right.csv", "--against", "window desk", "--as", "json")
    json.loads(told.stdout)
    assert "tested" in kept("recall", "window desk").stdout


def test_a_file_keeps_no_mark_and_says_so(desk, kept):
    assert "This test is not saved" in run(desk, "right.csv").stdout
    with pytest.raises(RequestError, match="only a kept setting can have this note"):
        kept("typed", desk / "desk.yaml")


def test_a_library_that_cannot_be_written_spoils_no_answer(desk, kept, monkeypatch):
    def fails(*_, **__):
        raise RequestError(Problem("library", "cannot be written"))

    monkeypatch.setattr("profiles.library.proofs.append", fails)
    told = kept("touch", desk / "right.csv", "--against", "window desk")
    assert (told.exit_code, "cannot be written" in told.stderr) == (0, True)


def test_eighteen_touches_measure_the_hand_for_travel_and_advise(kept, tmp_path):
    meant = meant_map()
    touches = Hand(0.3).touch(DriverSetting.of(meant), Random(2), EIGHTEEN)
    (tmp_path / "18.csv").write_text(as_csv(touches))
    before = json.loads(kept("travel", "window desk", "--as", "json").stdout)
    assert before["hand_scatter_source"] == "common practice, no source"
    kept("touch", tmp_path / "18.csv", "--against", "window desk")
    after = json.loads(kept("travel", "window desk", "--as", "json").stdout)
    assert after["hand_scatter_mm"] == pytest.approx(0.3, rel=0.35)
    assert "18 touches" in after["hand_scatter_source"]
    assert "Your own taps land about" in kept("travel", "window desk").stdout
    assert "the hand: measured with 18 touches" in kept("advise", "window desk").stdout
    said = json.loads(kept("travel", "window desk", "--scatter", "1mm", "--as", "json").stdout)
    assert (said["hand_scatter_mm"], said["hand_scatter_source"]) == (1.0, "your own")


def test_the_size_of_an_unknown_tablet(desk):
    screen = ("--display", "27in 2560x1440")
    command = ["touch", str(desk / "whole.csv"), "--whole-tablet"]
    told = CliRunner().invoke(group, [*command, *screen])
    assert told.exit_code == 0
    assert "about 240 × 152 mm" in told.stdout
    assert "evenstroke map --tablet 24" in told.stdout
    data = json.loads(CliRunner().invoke(group, [*command, *screen, "--as", "json"]).stdout)
    assert data["height_mm"]["low"] < 152 < data["height_mm"]["high"]
    few = CliRunner().invoke(group, ["touch", str(desk / "few.csv"), "--whole-tablet", *screen])
    assert isinstance(few.exception, AnswerIsNo)
    for wrong in (command, command[:2], [*command[:2], *screen]):
        assert isinstance(CliRunner().invoke(group, wrong).exception, RequestError)
    with pytest.raises(RequestError, match="needs no profile"):
        run(desk, "whole.csv", "--whole-tablet")
