"""Slips of typing: each is answered by what was most likely meant."""

from pathlib import Path

import pytest

DISPLAY = ("--display", "27in 2560x1440")
PAIR = ("pair", "--tablet", "240x152mm", *DISPLAY)


@pytest.fixture
def desks(run_alone, monkeypatch, tmp_path):
    monkeypatch.setenv("EVENSTROKE_LIBRARY", str(tmp_path / "library"))
    side = ("--display", "main: 27in 2560x1440", "--display", "side: 24in 1920x1080 at 2560,0")
    for name, displays in (("desk.yaml", DISPLAY), ("two.yaml", side)):
        assert run_alone("map", "--tablet", "240x152mm", *displays, "--save", name)[0] == 0
    return run_alone


@pytest.mark.parametrize(
    ("typed", "answer"),
    [
        (("map", "--tablet", "240x152m", *DISPLAY), "Did you mean 240x152mm?"),
        (
            ("map", "--tablet", "27in 2560x1440", "--display", "240x152mm"),
            "That is a display: type it after --display",
        ),
        (("map", "two.yaml", "--onto", "main,side"), "Type main+side"),
        (("picture", "out.png", "desk.yaml"), "Type the desk first and the file to write after it"),
        (("stencil", "out.pdf", "desk.yaml"), "Type the desk first and the file to write after it"),
        (("pad", "out.html", "desk.yaml"), "Type the desk first and the file to write after it"),
        (("trace", "desk.yaml", "--of", "card"), "Type the profile after --against"),
        (("touch", "desk.yaml", "--against", "two.yaml"), "Type the profile after --against"),
        (
            ("map", "--tablet", "240x152mm", "--display", "27in 2560x1440 at 10.5,3"),
            "Type 27in 2560x1440 at 10,3",
        ),
        (("map", "desk.yaml", "--turn", "45"), "Type --turn 0 --slant 45"),
        (("map", "desk.yaml", "--turn", "100"), "Type --turn 90 --slant 10"),
        (("map", "desk.yaml", "--turn", "-90"), "Type --turn 270"),
        (("seat", "desk.yaml", "--distance", "5"), "Is it 5cm or 50cm?"),
        ((*PAIR, "--want", "2.5", "--want", "3"), "--want: takes one value; got 2"),
    ],
)
def test_a_slip_is_answered_by_what_was_meant(desks, typed, answer):
    code, _, err = desks(*typed)
    assert code == 2
    assert answer in " ".join(err.split())


@pytest.mark.parametrize("name", ["csv", "txt"])
def test_two_lists_in_the_wrong_order_are_told(desks, tmp_path, name):
    tablets = {"csv": "name,size\nmedium,240x152mm\n", "txt": "medium: 240x152mm\n"}
    displays = {"csv": "name,size,pixels\n27,27in,2560x1440\n", "txt": "27in 2560x1440\n"}
    for kind, text in (("t", tablets), ("d", displays)):
        (tmp_path / f"{kind}.{name}").write_text(text[name])
    code, _, err = desks("pair", "--tablets", f"d.{name}", "--displays", f"t.{name}")
    assert code == 2
    assert "must be a list of tablets; got a list of displays." in err
    assert "Are both files in the right order?" in err
    code, _, err = desks("pair", "--displays", f"t.{name}")
    assert "must be a list of displays; got a list of tablets." in err
    assert code == 2


@pytest.mark.parametrize(
    ("typed", "minutes"),
    [("90", 90), ("90 min", 90), ("2h", 120), ("1h30", 90), ("1.5 h", 90), ("1 h 5 min", 65)],
)
def test_minutes_may_be_hours(desks, typed, minutes):
    assert desks("felt", "desk.yaml", "--score", "4", "--minutes", typed)[0] == 0
    book = next(path for path in Path("library").rglob("*felt*.yaml"))
    assert f"minutes: {float(minutes)}" in book.read_text()


def test_a_day_that_is_still_to_come_is_noted_with_a_doubt(desks):
    code, _, err = desks("felt", "desk.yaml", "--score", "4", "--date", "2099-01-01")
    assert code == 0
    assert "2099-01-01 is in the future" in err
    assert "--since: 2099-01-01 is in the future" in desks("book", "--since", "2099-01-01")[2]
