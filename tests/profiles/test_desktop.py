"""The desktop of the running system.

Against xrandr on real X servers without a display, and with invented answers.
"""

import os
import re
import shutil
import subprocess
from contextlib import contextmanager
from types import SimpleNamespace

import pytest

from mapper.problems import AnswerIsNo, RequestError
from profiles.doubts import hearing
from profiles.hardware import desktop
from profiles.hardware.desktop import Monitor, as_used, displays_of, monitors, monitors_of_glfw
from profiles.hardware.edid import read_edid
from profiles.shorthand import parse_displays
from tests.fake_system import DEMO_EDID

pytest.importorskip("glfw", reason="the optional part 'system' is not installed")
DUMMY = "/usr/lib/xorg/modules/drivers/dummy_drv.so"
CONFIGURATION = """
Section "Device"
  Identifier "card"
  Driver "dummy"
  VideoRam 256000
EndSection
Section "Screen"
  Identifier "screen"
  Device "card"
  DefaultDepth 24
  SubSection "Display"
    Depth 24
    Virtual 8192 4096
  EndSubSection
EndSection
"""
MODES = {
    "wide": "173.00 1920 2048 2248 2576 1080 1083 1088 1120",
    "tall": "118.25 1200 1280 1400 1600 1600 1603 1613 1640",
}


@contextmanager
def serving(command, monkeypatch):
    """An X server under ``DISPLAY`` that is ready, with a number of its own choosing.

    ``-noreset``: without it the server starts anew when its last client leaves, and turns away
    whoever comes just then.
    """
    ready, told = os.pipe()
    server = subprocess.Popen(
        [*command, "-noreset", "-displayfd", str(told)],
        pass_fds=[told],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    os.close(told)
    with os.fdopen(ready) as answer:
        number = answer.readline().strip()
    try:
        if not number:
            pytest.skip(f"{command[0]} did not start")
        monkeypatch.setenv("DISPLAY", f":{number}")
        yield
    finally:
        server.terminate()
        server.wait()


@pytest.fixture
def xvfb(monkeypatch):
    if not (shutil.which("Xvfb") and shutil.which("xrandr")):
        pytest.skip(
            "Xvfb or xrandr is not installed (Debian: apt-get install xvfb x11-xserver-utils)"
        )
    with serving(["Xvfb", "-screen", "0", "1600x1200x24"], monkeypatch):
        yield


@pytest.fixture
def three(tmp_path, monkeypatch):
    """An Xorg on the dummy driver with three displays."""
    if not (shutil.which("Xorg") and shutil.which("xrandr") and os.path.exists(DUMMY)):  # noqa: PTH110
        pytest.skip(
            "Xorg's dummy driver is not installed (Debian: xserver-xorg-core "
            "xserver-xorg-video-dummy x11-xserver-utils)"
        )
    if os.geteuid() != 0:
        pytest.skip("only root may start an Xorg here")
    (tmp_path / "x.conf").write_text(CONFIGURATION)
    with serving(
        ["Xorg", "-config", str(tmp_path / "x.conf"), "-logfile", str(tmp_path / "log")],
        monkeypatch,
    ):
        for name, mode in MODES.items():
            xrandr("--newmode", name, *mode.split())
        xrandr("--addmode", "DUMMY1", "wide")
        xrandr("--addmode", "DUMMY2", "tall")
        yield


def xrandr(*asked):
    return subprocess.run(
        [shutil.which("xrandr") or "xrandr", *asked], capture_output=True, text=True, check=True
    ).stdout


def by_xrandr():
    """Place, pixels and primary flag of each connector, as ``xrandr --query`` prints them."""
    found = re.findall(
        r"^(\S+) connected (primary )?(\d+)x(\d+)\+(\d+)\+(\d+)", xrandr("--query"), re.MULTILINE
    )
    return {
        name: (int(left), int(top), int(width), int(height), bool(primary))
        for name, primary, width, height, left, top in found
    }


def by_us():
    """Place, pixels and primary flag of each connector, as this project reads them."""
    return {
        each.name: (each.left_px, each.top_px, each.width_px, each.height_px, each.primary)
        for each in monitors()
    }


@pytest.mark.oracle
@pytest.mark.usefixtures("xvfb")
def test_one_screen_is_what_xrandr_says():
    found = by_xrandr()
    if found:
        (one,) = found.values()
        (ours,) = by_us().values()
        assert ours[:4] == one[:4]
    heard = []
    with hearing(heard.append):
        (display,) = parse_displays(("@desktop",), "--display")
    assert (display.width_px, display.height_px, display.left_px, display.top_px) == (
        1600,
        1200,
        0,
        0,
    )
    # RandR says 0 mm, and GLFW makes 423 x 317 mm of that: 96 px per inch.
    assert (display.label, display.width_mm) == ("main", None)
    assert any("made up" in doubt for doubt in heard)


@pytest.mark.oracle
@pytest.mark.usefixtures("three")
def test_three_displays_are_what_xrandr_says_before_and_after_it_moves_them():
    main = "--output DUMMY0 --mode 1024x768 --pos 1920x312 --primary"
    others = "--output DUMMY1 --mode wide --pos 0x0 --output DUMMY2 --mode tall --pos 2944x0"
    xrandr(*main.split(), *others.split())
    # xrandr first: its query makes the dummy driver see that its outputs are in use.
    assert by_xrandr() == by_us()
    displays = parse_displays(("@desktop",), "--display")
    assert [(one.label, one.left_px, one.top_px) for one in displays] == [
        ("DUMMY0", 0, 0),
        ("DUMMY1", -1920, -312),
        ("DUMMY2", 1024, -312),
    ]
    moved = (
        "--output DUMMY1 --pos 800x0 --primary --output DUMMY0 --mode 800x600 --pos 0x480 "
        "--output DUMMY2 --off"
    )
    xrandr(*moved.split())
    # xrandr first: its query makes the dummy driver see that its outputs are in use.
    assert by_xrandr() == by_us()
    assert parse_displays(("@desktop",), "--display")[0].label == "DUMMY1"


def glfw_of(*told):
    """A stand-in for GLFW that reports monitors of (name, place, pixels, mm, zoom)."""
    return SimpleNamespace(
        get_monitors=lambda: list(range(len(told))),
        get_video_mode=lambda at: SimpleNamespace(
            size=SimpleNamespace(width=told[at][2][0], height=told[at][2][1])
        ),
        get_monitor_pos=lambda at: told[at][1],
        get_monitor_physical_size=lambda at: told[at][3],
        get_monitor_content_scale=lambda at: (told[at][4], told[at][4]),
        get_monitor_name=lambda at: told[at][0].encode(),
    )


def test_turned_and_zoomed_displays_from_invented_answers():
    found = monitors_of_glfw(
        glfw_of(
            ("DP-1", (100, 50), (2560, 1440), (597, 336), 1.5),
            ("DP-2", (2660, -200), (1200, 1920), (324, 518), 1.0),
        )
    )
    displays, doubts = displays_of(found, {"DP-1": read_edid(DEMO_EDID, "x")})
    assert [(one.left_px, one.top_px, one.zoom, one.width_mm) for one in displays] == [
        (0, 0, 1.5, 597),
        (2560, -250, 1.0, 324),
    ]
    assert doubts == ()


def test_an_edids_size_wins_and_a_contradiction_names_both():
    monitor = Monitor("DP-1", 0, 0, 1440, 2560, 400, 700, 1.0, primary=True)
    (display,), (doubt,) = displays_of([monitor], {"DP-1": read_edid(DEMO_EDID, "x")})
    assert (display.width_mm, display.height_mm) == (336, 597)
    assert "336 × 597 mm of itself and the system 400 × 700" in doubt


@pytest.mark.parametrize(
    ("pixels", "density"),
    [((1920, 1080), 96), ((2560, 1440), 96), ((3840, 2160), 192), ((1024, 768), 72)],
)
def test_a_size_of_a_round_density_is_a_guess(pixels, density):
    size = [int(px * 25.4 / density) for px in pixels]
    assert Monitor("x", 0, 0, *pixels, *size, 1.0, primary=True).size_is_made_up
    assert not Monitor(
        "x", 0, 0, *pixels, size[0] + 20, size[1] + 11, 1.0, primary=True
    ).size_is_made_up


def test_pixels_in_use_replace_those_that_the_panel_prefers():
    display = read_edid(DEMO_EDID, "x").display("x")
    used = as_used(display, Monitor("DP-1", 0, 0, 1080, 1920, 336, 597, 1.25, primary=True))
    assert (used.width_px, used.height_px, used.zoom, used.width_mm, used.height_mm) == (
        1080,
        1920,
        1.25,
        336,
        597,
    )


def test_no_screen_no_library_and_no_displays_are_sentences(monkeypatch):
    monkeypatch.delenv("DISPLAY", raising=False)
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    with pytest.raises(RequestError, match=r"no display here to ask.*Type the displays instead"):
        parse_displays(("@desktop",), "--display")
    with pytest.raises(AnswerIsNo, match="no display in use"):
        monitors_of_glfw(glfw_of())
    monkeypatch.setitem(__import__("sys").modules, "glfw", None)
    with pytest.raises(AnswerIsNo, match=r"evenstroke\[system\]"):
        desktop.monitors()
    with pytest.raises(RequestError, match="stands alone"):
        parse_displays(("@desktop", "27in 2560x1440"), "--display")
