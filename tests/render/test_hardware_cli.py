"""The live path end to end on a made-up system: from what the hardware says to a saved profile."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import yaml

from profiles.hardware.system import ROOT_VARIABLE
from tests.fake_system import DEMO_EDID, SIDE_EDID, connect, demo_descriptor, plug_hidraw, written
from tests.hardware_bytes import base_block

GUIDE = Path(__file__).resolve().parents[2] / "gallery" / "guides" / "desk.md"


@pytest.fixture
def run(run_alone, tmp_path, monkeypatch):
    """Run one command in an empty folder, on the system below ``root``.

    Gives its exit code, output and errors.
    """
    monkeypatch.setenv(ROOT_VARIABLE, str(tmp_path / "root"))

    return run_alone


@pytest.fixture
def root(tmp_path):
    return tmp_path / "root"


def test_from_what_is_connected_to_a_saved_profile(run, root):
    connect(root, "card0-DP-1", DEMO_EDID)
    plug_hidraw(root, "hidraw0", demo_descriptor())
    code, out, err = run("displays")
    assert (code, err) == (0, "")
    assert "--display @connected:DP-1" in out
    code, out, err = run("tablets")
    assert (code, err) == (0, "")
    assert "--tablet @connected:hidraw0" in out
    code, out, err = run(
        "map",
        "--tablet",
        "@connected:hidraw0",
        "--display",
        "@connected:DP-1",
        "--save",
        "desk.yaml",
    )
    assert (code, err) == (0, "")
    saved = yaml.safe_load(Path("desk.yaml").read_text(encoding="utf-8"))
    assert saved["tablet"]["width_mm"] == 240
    assert saved["tablet"]["counts_per_mm"] == 150
    assert saved["displays"][0] | {"label": "main"} == saved["displays"][0]
    assert (saved["displays"][0]["width_mm"], saved["displays"][0]["height_px"]) == (597, 1440)
    assert run("check", "desk.yaml")[0] == 0
    # What the list tells to type in place of the reference is the same desk.
    typed = (
        "--tablet",
        "240x152mm@150/mm",
        "--display",
        "597x336mm 2560x1440",
        "--workstation",
        "desk",
    )
    assert run("map", *typed, "--as", "yaml")[1] == Path("desk.yaml").read_text(encoding="utf-8")


def test_the_list_begins_as_in_the_guide(run, root):
    connect(root, "card0-DP-1", DEMO_EDID)
    connect(root, "card0-HDMI-A-1", SIDE_EDID, enabled="disabled")
    code, out, err = run("displays")
    assert (code, err) == (0, "")
    first = out.split("\n\n")[0]
    assert f"```text\n{first}\n```\n" in GUIDE.read_text("utf-8")


def test_what_gives_no_size_or_nothing_at_all_is_listed_with_what_to_type(run, root):
    connect(root, "card0-VGA-1", b"")
    connect(root, "card0-VGA-2", base_block(cm=(38, 30)))
    plug_hidraw(root, "hidraw1", demo_descriptor(sized=False), name="")
    code, out, err = run("displays")
    assert (code, err) == (0, "")
    silent, without_pixels = out.split("\n\n")
    assert silent.startswith("VGA-1: says nothing about itself\n")
    assert 'type          --display "27in 1920x1080"' in silent
    assert 'type          --display "380x300mm WIDTHxHEIGHT"' in without_pixels
    assert "@connected" not in out
    code, out, err = run("tablets")
    assert (code, err) == (0, "")
    assert "active area   unknown" in out
    assert "note          It gives no unit, so its size is unknown." in out
    assert "type          --tablet WIDTHxHEIGHTmm" in out
    assert "@connected" not in out


def test_the_lists_as_json(run, root):
    connect(root, "card0-DP-1", DEMO_EDID)
    plug_hidraw(root, "hidraw0", demo_descriptor())
    ((display,), (tablet,)) = (
        json.loads(run(command, "--as", "json")[1]) for command in ("displays", "tablets")
    )
    assert (display["connector"], display["in_use"], display["facts"]["width_mm"]) == (
        "DP-1",
        True,
        597,
    )
    assert (tablet["node"], tablet["name"]) == ("hidraw0", "Demo Pad")
    assert tablet["pens"][0]["x"] == {"lowest": 0, "highest": 36000, "length_mm": 240.0}


def test_files_are_listed_and_each_bad_one_is_reported(run, tmp_path):
    written(tmp_path / "my demo.edid", DEMO_EDID)
    written(tmp_path / "bad.edid", b"no hex")
    written(tmp_path / "pad.hid", demo_descriptor())
    code, out, err = run("displays", "my demo.edid", "bad.edid", "gone.edid")
    assert code == 2
    assert "--display '@edid:my demo.edid'" in out
    assert [line.split(": ")[1] for line in err.splitlines()] == ["bad.edid line 1", "gone.edid"]
    code, out, err = run("tablets", "pad.hid")
    assert (code, err) == (0, "")
    assert "240 x 152 mm" in out
    code, out, err = run("tablets", "my demo.edid")
    assert (code, out) == (2, "")
    assert "describes no pen" in err


def test_doubts_are_notes_and_the_work_goes_on(run, tmp_path):
    written(tmp_path / "side.edid", SIDE_EDID)
    code, out, err = run("map", "--tablet", "240x152mm", "--display", "@edid:side.edid")
    assert code == 0
    assert "Its size is not known" in out
    assert err.startswith("evenstroke: note: @edid:side.edid: ")
    assert "proportion" in err


@pytest.mark.parametrize(
    ("command", "instead"), [("displays", '"27in 2560x1440"'), ("tablets", "240x152mm")]
)
def test_a_system_without_the_folders_says_so_and_what_to_type(run, command, instead):
    code, out, err = run(command)
    assert (code, out) == (1, "")
    assert "this system has no such folder" in err
    assert instead in err


def test_all_that_cannot_be_found_is_reported_in_one_run(run):
    code, out, err = run("map", "--tablet", "@connected", "--display", "@connected")
    assert (code, out) == (2, "")
    assert [line.split(": ")[1] for line in err.splitlines()] == ["--tablet", "--display"]


def test_doubts_are_heard_from_every_command(run, tmp_path):
    written(tmp_path / "side.edid", SIDE_EDID)
    code, _, err = run("pair", "--tablet", "240x152mm", "--display", "side: @edid:side.edid")
    assert code == 0
    assert "evenstroke: note: @edid:side.edid: " in err
