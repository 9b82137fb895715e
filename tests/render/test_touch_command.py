"""``evenstroke touch`` from the outside: exit codes, words, plain data, wrong files."""

import csv
import json

import pytest
from click.testing import CliRunner

from mapper.problems import RequestError
from profiles.touches import read_touches
from render.cli import group
from tests.touched import touched_files


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
        ("right.csv", (), 0, ["The driver is using this setting: 240", "its place within"]),
        ("whole.csv", (), 1, ["is not using the setting", "Type 135 mm high and 8.5 mm from"]),
        ("turned.csv", (), 1, ["cannot tell", "not turned", "--corner"]),
        ("turned.csv", ("--corner", "2559,1439"), 1, ["is not using the setting", "not turned"]),
        ("missed.csv", (), 0, ["Touch 5 missed its cross by 2", "was left out"]),
        ("right.csv", ("--sheet-anywhere",), 1, ["Where the area lies was not tested"]),
        ("few.csv", (), 1, ["three fit any map", "Touch nine crosses"]),
    ],
)
def test_the_answer_and_its_exit_code(desk, name, more, code, words):
    result = run(desk, name, *more)
    assert result.exit_code == code
    assert [word for word in words if word not in result.stdout] == []


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
