"""What every command prints as data, against the schemas that the documentation has."""

import json
import shlex
from contextlib import chdir, redirect_stderr, redirect_stdout
from io import StringIO
from pathlib import Path

import jsonschema
import pytest
import yaml

from gallery.data_formats import FORMATS, schema_of, written_files
from gallery.data_words import EVERYWHERE, IN_PART
from profiles.plain import FRAMES
from profiles.written import written
from render.cli import main
from tests.texts import commands

FOLDER = Path(__file__).parents[2] / "gallery" / "formats"
#: PyYAML's safe loader, libyaml's where it is there.
FAST = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
EDGES = ["left", "top", "right", "bottom", "width", "height"]

#: What is done before anything is printed, and every command that prints data, in several states.
FIRST = """
keep studio.yaml
keep before.yaml --workstation studio --note "after the update" --same-desk
keep row.yaml upright.yaml
keep studio.yaml --workstation proved
touch right.csv --against proved
typed proved
pin studio 1 --note "the newer one tires the wrist"
book --add entries.csv
"""
PRINTED = """
report studio.yaml
report row.yaml
report window.yaml
report askew.yaml
report upright.yaml
report projector.yaml
explain 10,5,200x120mm studio.yaml
explain "centre 50,50,90x80%" --tablet 9.4x6in --turn 90
map --tablet 240x152mm --display "27in 2560x1440" --step 10mm --step-choices
map --tablet 240x152mm --display "27in 2560x1440" --fit cropped --step 1mm --step-choices
table studio.yaml projector.yaml window.yaml
table studio.yaml --unit counts
check studio.yaml broken.yaml nothing.yaml
pair
pair --tablet "medium: 240x152mm@150/mm" --display "43in 3840x2160" --display 1920x1080
pair --want 2.5
pair --want 2.5 --display "27in 2560x1440"
seat studio.yaml
seat --display "left: 24in 1920x1200 at -1920,0" --display "main: 27in 2560x1440" --distance 40cm
seat --display "34in 3440x1440" --radius 1500mm --angle 50
seat --display "27in 2560x1440" --distance 70cm --top-below-eyes 2cm --tilt 10 --arc-minutes 1
travel studio.yaml
travel --display "27in 2560x1440"
advise studio.yaml
advise upright.yaml --use handwriting
advise studio.yaml before.yaml
advise projector.yaml
advise row.yaml
trace traced-card.png --of card --against studio.yaml
trace traced-card.png --of card --against before.yaml
trace traced-card.png --of "card at 60,45mm" --against studio.yaml
trace traced-card.png --of card --canvas-zoom 50%
trace traced-card.png --of card --whole-tablet --display "27in 2560x1440"
touch right.csv --against studio.yaml
touch whole.csv --against studio.yaml
touch turned.csv --against studio.yaml
touch missed.csv --against studio.yaml
touch right.csv --against studio.yaml --sheet-anywhere
touch few.csv --against studio.yaml
displays
tablets
doctor
stations --all
history studio
history proved
history studio --last 1 --since 2020-01-01
changes studio
changes studio 2 1
audit
audit --rescue saved
book
book --grid
book --grid --who Mia
band
band --angle --who Mia
band --sizes --who Ben
plan-trials --most 3
plan-trials --most 3 --start 2026-03-16
"""


@pytest.fixture(scope="module")
def printed(tmp_path_factory):
    """What each command prints as data: the command with the data, from JSON and from YAML."""
    folder = tmp_path_factory.mktemp("printed")
    with pytest.MonkeyPatch.context() as patch, chdir(folder):
        patch.setenv("EVENSTROKE_LIBRARY", str(folder / "library"))
        patch.setenv("XDG_CONFIG_HOME", str(folder / "config"))
        patch.setenv("EVENSTROKE_SYSTEM_ROOT", str(folder / "system"))
        commands._fill(folder)
        for command in (commands.DESKS + FIRST).strip().splitlines():
            assert output(command), command
        return [
            (command, *(output(f"{command} --as {form}") for form in ("json", "yaml")))
            for command in PRINTED.strip().splitlines()
        ]


def output(command):
    out = StringIO()
    with redirect_stdout(out), redirect_stderr(StringIO()), pytest.raises(SystemExit):
        main(shlex.split(command))
    return out.getvalue()


def test_the_schemas_of_the_documentation_are_those_of_the_types():
    """``python -m gallery.data_formats`` writes them anew."""
    made = dict(written_files())
    assert {path.name: path.read_text("utf-8") for path in FOLDER.iterdir()} == made
    for name in FORMATS:
        jsonschema.Draft202012Validator.check_schema(schema_of(name))


def test_each_key_of_each_format_is_described_and_nothing_else_is():
    keys = {
        (part, key): value["description"]
        for name in FORMATS
        for part, of_part in schema_of(name)["$defs"].items()
        for key, value in of_part["properties"].items()
    }
    assert all(words.endswith(".") for words in keys.values())
    described = {(part, key) for part, words in IN_PART.items() for key in words}
    assert described <= keys.keys()
    assert EVERYWHERE.keys() <= {key for _, key in keys}


@pytest.mark.oracle
def test_what_is_printed_is_what_the_schema_says(printed):
    """Oracle: the jsonschema package, draft 2020-12. Every format is printed at least once."""
    seen = set()
    for command, as_json, as_yaml in printed:
        data = json.loads(as_json)
        kind, name, number = data["format"].split()
        assert (kind, number) == ("evenstroke", "1"), command
        problems = jsonschema.Draft202012Validator(schema_of(name)).iter_errors(data)
        assert [f"{each.json_path}: {each.message}" for each in problems] == [], command
        # The clock may stand between both, and the room on the disk.
        if "rescue" not in command and command != "doctor":
            assert yaml.load(as_yaml, FAST) == data, command  # noqa: S506 - both are safe
        seen.add(name)
    assert seen == set(FORMATS)


def test_a_rectangle_has_one_shape_and_every_number_the_same_digits(printed):
    for command, as_json, _ in printed:
        data = json.loads(as_json)
        assert written(data) == data, command
        for path, found in _mappings(data, ()):
            if {"left", "width"} <= set(found) and not isinstance(found["left"], dict):
                assert list(found) == EDGES, (command, path)
                frame = data.get("frames", {}).keys() & {"built", "seen", "desktop", "display"}
                # Those of a picture lie in no frame of a desk.
                assert frame or "canvas_px" in path, (command, path)
            assert found.get("frame", "built") in FRAMES, (command, path)


def _mappings(data, path):
    if isinstance(data, dict):
        yield path, data
        for key, value in data.items():
            yield from _mappings(value, (*path, key))
    elif isinstance(data, list):
        for value in data:
            yield from _mappings(value, path)


def test_null_stands_nowhere_and_what_is_not_known_is_absent(printed):
    for command, as_json, _ in printed:
        assert "null" not in as_json.split(), command
