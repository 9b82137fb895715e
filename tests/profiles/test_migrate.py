"""Formats grow: older ones are brought up to date by pure steps, newer ones are named before all
else.
"""

import copy
from pathlib import Path

import pytest

from mapper.problems import RequestError
from profiles.format import schema
from profiles.format.document import loads, to_yaml
from profiles.format.migrate import PROFILE, Kind, refuse_newer, to_current
from profiles.yaml_text import parse

SAMPLES = Path(__file__).parent / "samples"


def test_each_format_has_a_step_and_a_kept_sample():
    assert set(PROFILE.steps) == set(range(1, schema.FORMAT))
    assert {path.name for path in SAMPLES.glob("format-*.yaml")} == {
        f"format-{number}.yaml" for number in range(1, schema.FORMAT + 1)
    }


@pytest.mark.parametrize(
    "sample", sorted(SAMPLES.glob("format-*.yaml")), ids=lambda path: path.name
)
def test_each_sample_is_read_for_ever_and_its_step_is_pure(sample):
    text = sample.read_bytes()
    data = parse(text, sample.name).data
    before = copy.deepcopy(data)
    current = to_current(data, sample.name, PROFILE)
    assert data == before
    assert current["evenstroke"] == schema.FORMAT
    workstation = loads(text, sample.name)
    assert workstation.revision.number == 7
    assert loads(to_yaml(workstation), "again") == workstation


# Two invented steps, as a later version could have them: a key renamed, then a unit changed.
def renamed(data):
    rest = {key: value for key, value in data.items() if key != "desk"}
    return {**rest, "evenstroke": 2, "workstation": data["desk"]}


def in_mm(data):
    rest = {key: value for key, value in data.items() if key != "width_in"}
    return {**rest, "evenstroke": 3, "width_mm": data["width_in"] * 25.4}


LATER = Kind("evenstroke", "profile", 3, {1: renamed, 2: in_mm})


def test_steps_follow_one_another_and_leave_their_argument():
    oldest = {"evenstroke": 1, "desk": "window", "width_in": 10}
    assert to_current(oldest, "x", LATER) == {
        "evenstroke": 3,
        "workstation": "window",
        "width_mm": 254.0,
    }
    assert oldest == {"evenstroke": 1, "desk": "window", "width_in": 10}
    middle = {"evenstroke": 2, "workstation": "window", "width_in": 10}
    assert to_current(middle, "x", LATER)["width_mm"] == 254.0
    assert to_current({"evenstroke": 3, "a": 1}, "x", LATER) == {"evenstroke": 3, "a": 1}


@pytest.mark.parametrize(
    "text",
    [
        "evenstroke: 3\nwhatever: [1, &a x, *a]\n",
        "# a note\n\n---\nevenstroke: 3 # next year's\nevenstroke: 3\n",
        "\ufeffevenstroke: 3\r\nworkstation: x\r\n",
        "evenstroke: 3\na: 16:9\n",
        "evenstroke: 3",
        "workstation: x\nevenstroke: 3\n",
        "evenstroke: 3\n" + "}{",
    ],
    ids=ascii,
)
def test_a_newer_format_is_named_first_whatever_else_it_holds(text):
    for form in (text, text.encode()):
        with pytest.raises(RequestError) as caught:
            loads(form, "desk.yaml")
        (problem,) = caught.value.problems
        assert str(problem) == (
            "desk.yaml: is in format 3, and this version reads formats up to 2. "
            "Update evenstroke to read it; nothing was changed"
        )


@pytest.mark.parametrize(
    "data", [None, [], "x", {}, {"evenstroke": "1"}, {"evenstroke": True}, {"evenstroke": 0}]
)
def test_what_has_no_format_is_refused(data):
    with pytest.raises(RequestError, match="evenstroke"):
        to_current(data, "x", PROFILE)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "evenstroke: 1\n",
        "evenstroke: 99999999999\n",
        "a: 1\nevenstroke: 3\n",
        "evenstroke: 3x\n",
    ],
)
def test_the_first_look_says_nothing_about_what_is_not_plainly_newer(text):
    refuse_newer(text, "x", PROFILE)
