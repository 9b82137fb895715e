"""What was found on a made-up computer, in words that can be pasted into a question."""

from profiles.hardware.system import ROOT_VARIABLE
from tests.fake_system import DEMO_EDID, connect, demo_descriptor, plug_hidraw


def test_it_says_what_is_there_and_what_to_do_about_what_is_not(run, tmp_path, monkeypatch):
    monkeypatch.setenv(ROOT_VARIABLE, str(tmp_path / "root"))
    monkeypatch.delenv("DISPLAY", raising=False)
    code, out, err = run("doctor")
    assert (err, code) == ("", 0)
    said = " ".join(out.split())
    assert "Type the size and the pixels instead" in said
    assert "no display here to ask" in said or "evenstroke[system]" in said
    assert "will be made when the first desk is kept" in said
    connect(tmp_path / "root", "card0-DP-1", DEMO_EDID)
    plug_hidraw(tmp_path / "root", "hidraw0", demo_descriptor())
    said = " ".join(run("doctor")[1].split())
    assert "DP-1: demo 27" in said
    assert "hidraw0: " in said
    assert " mm" in said


def test_no_line_is_longer_than_a_page_is_wide(run):
    assert all(len(line) <= 104 for line in run("doctor")[1].splitlines())
