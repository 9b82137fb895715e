"""What follows an @ in the shorthand, and bytes that come as hexadecimal text."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.problems import RequestError
from profiles.doubts import hearing
from profiles.hardware.references import bytes_or_hex
from profiles.hardware.system import ROOT_VARIABLE
from profiles.shorthand import parse_displays, parse_tablet
from tests.fake_system import DEMO_EDID, SIDE_EDID, connect, demo_descriptor, plug_hidraw, written


def one_display(text):
    (display,) = parse_displays((text,), "--display")
    return display


@pytest.fixture
def files(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    written(tmp_path / "demo.edid", DEMO_EDID)
    written(tmp_path / "side.edid.txt", SIDE_EDID.hex(" ", 16))
    written(tmp_path / "pad.hid", demo_descriptor())
    monkeypatch.setenv(ROOT_VARIABLE, str(tmp_path / "root"))
    return tmp_path


@pytest.mark.usefixtures("files")
def test_files_in_the_shorthand():
    assert one_display("@edid:demo.edid") == one_display("597x336mm 2560x1440")
    doubts = []
    with hearing(doubts.append):
        assert one_display("@edid:side.edid.txt") == one_display("1920x1080")
    assert doubts
    assert all(doubt.startswith("@edid:side.edid.txt: ") for doubt in doubts)
    assert parse_tablet("@hid:pad.hid", "--tablet", turn_deg=90) == parse_tablet(
        "240x152mm@150/mm", "--tablet", turn_deg=90
    )


def test_labels_places_and_names_with_spaces_and_colons(files):
    written(files / "my: demo.edid", DEMO_EDID)
    display = one_display("left: @edid:my: demo.edid at -2560,10")
    assert (display.label, display.left_px, display.top_px, display.width_mm) == (
        "left",
        -2560,
        10,
        597,
    )
    assert one_display("@edid:my: demo.edid").label == "main"
    assert parse_tablet("pad: @hid:pad.hid", "--tablet").label == "pad"
    two = parse_displays(("@edid:demo.edid", "@edid:demo.edid"), "--display")
    assert [(display.label, display.left_px) for display in two] == [("main", 0), ("second", 2560)]


def test_what_is_connected_in_the_shorthand(files):
    root = files / "root"
    connect(root, "card0-DP-1", DEMO_EDID)
    plug_hidraw(root, "hidraw0", demo_descriptor())
    assert (
        one_display("@connected")
        == one_display("@connected:DP-1")
        == one_display("597x336mm 2560x1440")
    )
    assert parse_tablet("@connected", "--tablet") == parse_tablet("@connected:hidraw0", "--tablet")
    assert parse_tablet("@connected", "--tablet").counts_per_mm == 150


@pytest.mark.parametrize(
    ("text", "must"),
    [
        ("@edid:", "a file name is needed after the colon.*Type @edid:FILE"),
        ("@edid:missing.edid", "missing.edid: must be a readable EDID"),
        ("@edid:.", "must be a readable EDID"),
        (
            "@hid:pad.hid",
            "after an @ only these are known.*Type @edid:FILE, @connected or @connected:NAME",
        ),
        ("@edid:pad.hid", "an EDID has at least 128 bytes"),
        (
            "@connected",
            'no such folder.*Type the size and the pixels instead: --display "27in 2560x1440"',
        ),
    ],
)
@pytest.mark.usefixtures("files")
def test_what_cannot_be_read_is_an_error_that_says_what_to_type(text, must):
    with pytest.raises(RequestError, match=f"^--display: .*{must}"):
        one_display(text)


@pytest.mark.parametrize("text", ["@edid:demo.edid", "@hid", "@hid:demo.edid", "@connected", "@"])
@pytest.mark.usefixtures("files")
def test_a_tablet_that_cannot_be_read_likewise(text):
    with pytest.raises(RequestError, match=r"^--tablet: ") as caught:
        parse_tablet(text, "--tablet")
    assert all(problem.instead for problem in caught.value.problems)


# Hexadecimal text
# ------------------------------------------------------------


@given(data=st.binary(min_size=1, max_size=300), per_line=st.integers(1, 20))
def test_bytes_come_back_from_every_way_of_writing_them(data, per_line):
    lines = [data[place : place + per_line] for place in range(0, len(data), per_line)]
    written_as = [
        data.hex(),
        data.hex().upper() + "\r\n",
        "\n".join(line.hex(" ") for line in lines),
        "# a comment, 00\n" + "\n".join(line.hex(":") + "  # and another" for line in lines),
        "{" + ", ".join(f"0x{byte:x}" for byte in data) + "};",
        "".join(f"\\x{byte:02x} " for byte in data),
    ]
    for text in written_as:
        assert bytes_or_hex(text.encode(), "x") == data


def test_bytes_that_are_no_text_stay_as_they_are():
    assert bytes_or_hex(DEMO_EDID, "x") == DEMO_EDID
    assert bytes_or_hex(demo_descriptor(), "x") == demo_descriptor()
    assert bytes_or_hex(b"", "x") == b""


@pytest.mark.parametrize(
    ("text", "line"), [("00 ff\n0g", 2), ("abc", 1), ("hello", 1), ("00 - 11", 1)]
)
def test_text_that_is_no_hex_is_refused_with_its_line(text, line):
    with pytest.raises(
        RequestError, match=rf"^demo\.txt line {line}: .*hexadecimal digits.*xxd -p"
    ):
        bytes_or_hex(text.encode(), "demo.txt")
