"""The running system's hardware, on made-up trees.

The input layer through the C headers of Linux itself.
"""

from __future__ import annotations

import math
import os
import shutil
import struct
import subprocess
import sys
from pathlib import Path

import pytest

from mapper.problems import AnswerIsNo
from profiles.hardware import evdev
from profiles.hardware import system as hardware
from profiles.hardware.evdev import AbsRange, pen_of_ranges
from tests.fake_system import (
    DEMO_EDID,
    SIDE_EDID,
    connect,
    demo_descriptor,
    plug_event,
    plug_hidraw,
    written,
)

linux = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="asks Linux's input layer")

#: The demo tablet as the input layer tells it: 240 x 152 mm at 150 units per mm, tilt in units per
#: radian.
RANGES = {
    evdev.ABS_X: AbsRange(0, 36000, 150),
    evdev.ABS_Y: AbsRange(0, 22800, 150),
    evdev.ABS_PRESSURE: AbsRange(0, 5999, 0),
    evdev.ABS_TILT_X: AbsRange(-50, 50, 57),
}


@pytest.fixture
def layer(monkeypatch):
    """A stand-in for the input layer: ranges by node, and OSError for any other node."""
    answers = {}

    def ranges(path):
        if path.name not in answers:
            raise PermissionError(13, "Permission denied", str(path))
        return answers[path.name]

    monkeypatch.setattr(hardware, "_abs_ranges", ranges)
    return answers


# Displays
# ------------------------------------------------------------


def test_connected_displays_are_listed_in_the_order_of_their_connectors(tmp_path):
    connect(tmp_path, "card0-HDMI-A-1", SIDE_EDID)
    connect(tmp_path, "card0-DP-10", DEMO_EDID)
    connect(tmp_path, "card0-DP-2", DEMO_EDID, enabled="disabled")
    connect(tmp_path, "card0-DP-3", b"", status="disconnected")
    connect(tmp_path, "card0-VGA-1", b"")
    written(tmp_path / "sys/class/drm/version", "drm 1.1.0 20060810")
    found = hardware.connected_displays(tmp_path)
    assert [(one.connector, one.in_use, one.facts and one.facts.width_mm) for one in found] == [
        ("DP-2", False, 597),
        ("DP-10", True, 597),
        ("HDMI-A-1", True, None),
        ("VGA-1", True, None),
    ]
    assert "holds no EDID" in str(found[3].problem)
    # Those of two cards keep the card in their name.
    connect(tmp_path, "card1-DP-10", DEMO_EDID)
    names = [one.connector for one in hardware.connected_displays(tmp_path)]
    assert names == ["DP-2", "card0-DP-10", "HDMI-A-1", "VGA-1", "card1-DP-10"]


def test_the_display_in_use_is_meant_and_of_two_one_has_to_be_named(tmp_path):
    def meant(name=""):
        return hardware.connected_display(tmp_path, name, "--display").connector

    with pytest.raises(AnswerIsNo, match=r'no such folder.*--display "27in 2560x1440"'):
        meant()
    connect(tmp_path, "card0-DP-1", b"", status="disconnected")
    with pytest.raises(AnswerIsNo, match=r'no connected display.*--display "27in 2560x1440"'):
        meant()
    connect(tmp_path, "card0-DP-1", DEMO_EDID, enabled="disabled")
    connect(tmp_path, "card0-eDP-1", SIDE_EDID)
    assert (meant(), meant("DP-1")) == ("eDP-1", "DP-1")
    with pytest.raises(AnswerIsNo, match=r"no display is connected there.*Type @connected:DP-1"):
        meant("DP-9")
    connect(tmp_path, "card0-VGA-1", b"")
    with pytest.raises(AnswerIsNo, match="holds no EDID"):
        meant("VGA-1")
    with pytest.raises(
        AnswerIsNo,
        match=r'2 displays are in use.*--display "27in 1920x1080" --display @connected:eDP-1',
    ):
        meant()


# Tablets
# ------------------------------------------------------------


def test_tablets_are_listed_and_other_devices_are_not(tmp_path):
    plug_hidraw(tmp_path, "hidraw10", demo_descriptor(160, 100))
    plug_hidraw(tmp_path, "hidraw2", demo_descriptor())
    plug_hidraw(tmp_path, "hidraw0", bytes.fromhex("05010902a1010930093115002564750895028102c0"))
    plug_hidraw(tmp_path, "hidraw1", b"")
    found = hardware.plugged_tablets(tmp_path)
    assert [(one.node, one.name, one.pen.size_mm) for one in found] == [
        ("hidraw2", "Demo Pad", (240, 152)),
        ("hidraw10", "Demo Pad", (160, 100)),
    ]
    assert found[0].doubts == ()
    assert found[0].descriptor == str(
        tmp_path / "sys/class/hidraw/hidraw2/device/report_descriptor"
    )


def test_the_input_layer_confirms_contradicts_or_completes(tmp_path, layer):
    plug_event(tmp_path, "event7")
    plug_hidraw(tmp_path, "hidraw0", demo_descriptor(), event="event7")
    layer["event7"] = RANGES
    (one,) = hardware.plugged_tablets(tmp_path)
    assert (one.node, one.doubts) == ("hidraw0", ())

    layer["event7"] = RANGES | {evdev.ABS_X: AbsRange(0, 36000, 100)}
    (one,) = hardware.plugged_tablets(tmp_path)
    assert one.pen.size_mm == (240, 152)
    assert one.doubts == (
        "The system's input layer says 360 x 152 mm instead: measure to be sure.",
    )

    layer["event7"] = RANGES
    plug_hidraw(tmp_path, "hidraw0", demo_descriptor(sized=False))
    (one,) = hardware.plugged_tablets(tmp_path)
    assert one.pen.size_mm == (240, 152)
    assert one.pen.source == "the system's input layer"
    assert any("gives no unit" in doubt for doubt in one.doubts)

    del layer["event7"]
    (one,) = hardware.plugged_tablets(tmp_path)
    assert one.pen.size_mm is None
    assert any("event7 is not readable" in doubt for doubt in one.doubts)


def test_a_pen_that_only_the_input_layer_knows(tmp_path, layer):
    plug_event(tmp_path, "event3", name="Demo\tPen\x07")
    plug_event(tmp_path, "event4", name="Demo Mouse", pen_key=False)
    layer.update(event3=RANGES, event4=RANGES)
    (one,) = hardware.plugged_tablets(tmp_path)
    assert (one.node, one.name, one.descriptor) == ("event3", "DemoPen", "")
    assert one.pen.size_mm == (240, 152)
    assert one.pen.counts_per_mm == 150
    del layer["event3"]
    with pytest.raises(AnswerIsNo, match="no plugged-in tablet"):
        hardware.plugged_tablets(tmp_path)


def test_without_the_folders_or_a_tablet_it_says_what_to_type(tmp_path):
    with pytest.raises(AnswerIsNo, match=r"no such folder.*--tablet 240x152mm"):
        hardware.plugged_tablets(tmp_path)
    (tmp_path / "sys/class/hidraw").mkdir(parents=True)
    with pytest.raises(AnswerIsNo, match=r"no plugged-in tablet.*--tablet 240x152mm"):
        hardware.plugged_tablets(tmp_path)


def test_of_two_tablets_one_has_to_be_named(tmp_path):
    plug_hidraw(tmp_path, "hidraw0", demo_descriptor(sized=False))
    plug_hidraw(tmp_path, "hidraw1", demo_descriptor())
    # One alone has a size, so it is the one.
    assert hardware.plugged_tablet(tmp_path, "", "--tablet").node == "hidraw1"
    plug_hidraw(tmp_path, "hidraw2", demo_descriptor(160, 100))
    with pytest.raises(
        AnswerIsNo,
        match=r"2 tablets are plugged in\. Type @connected:hidraw1 or @connected:hidraw2",
    ):
        hardware.plugged_tablet(tmp_path, "", "--tablet")
    assert hardware.plugged_tablet(tmp_path, "hidraw2", "--tablet").pen.size_mm == (160, 100)
    with pytest.raises(AnswerIsNo, match="Type @connected:hidraw"):
        hardware.plugged_tablet(tmp_path, "hidraw7", "--tablet")


# The input layer
# ------------------------------------------------------------


def test_ranges_become_a_pen():
    told = pen_of_ranges(RANGES)
    assert told.size_mm == (240, 152)
    assert told.counts_per_mm == 150
    assert told.pressure == (0, 5999)
    assert told.tilt_deg == pytest.approx((-math.degrees(50 / 57), math.degrees(50 / 57)))
    without = pen_of_ranges(
        RANGES | {evdev.ABS_TILT_X: AbsRange(0, 0, 0), evdev.ABS_PRESSURE: AbsRange(0, 0, 0)}
    )
    assert (without.tilt, without.tilt_deg, without.pressure) == (False, None, None)
    unsized = pen_of_ranges(RANGES | {evdev.ABS_Y: AbsRange(0, 22800, 0)})
    assert unsized.size_mm is None
    assert unsized.doubts == (
        "The system's input layer gives no units per mm, so its size is unknown.",
    )
    assert pen_of_ranges({evdev.ABS_X: AbsRange(0, 9, 1)}) is None
    assert pen_of_ranges({evdev.ABS_X: AbsRange(0, 9, 1), evdev.ABS_Y: AbsRange(5, 5, 1)}) is None


SHIM = r"""
#include <errno.h>
#include <stdarg.h>
#include <string.h>
#include <linux/input.h>
/* Stands in for the kernel: a pen of 240 x 152 mm at 150 units per mm.
   It is asked with the constants of linux/input.h. */
int ioctl(int descriptor, unsigned long request, ...) {
    va_list arguments;
    va_start(arguments, request);
    struct input_absinfo *info = va_arg(arguments, struct input_absinfo *);
    va_end(arguments);
    memset(info, 0, sizeof *info);
    info->value = 7; info->fuzz = 4; info->flat = 8;
    if (request == EVIOCGABS(ABS_X)) { info->maximum = 36000; info->resolution = 150; return 0; }
    if (request == EVIOCGABS(ABS_Y)) { info->maximum = 22800; info->resolution = 150; return 0; }
    if (request == EVIOCGABS(ABS_PRESSURE)) { info->maximum = 5999; return 0; }
    if (request == EVIOCGABS(ABS_TILT_X)) {
        info->minimum = -50; info->maximum = 50; info->resolution = 57; return 0;
    }
    errno = EINVAL;
    return -1;
}
"""


@linux
@pytest.mark.oracle
def test_an_input_node_is_asked_as_the_headers_of_linux_have_it(tmp_path):
    compiler = shutil.which("cc")
    if compiler is None or not Path("/usr/include/linux/input.h").exists():
        pytest.skip("no C compiler or no headers of Linux (Debian: apt-get install gcc libc6-dev)")
    source, library = written(tmp_path / "shim.c", SHIM), tmp_path / "shim.so"
    subprocess.run([compiler, "-shared", "-fPIC", "-o", library, source], check=True)
    node = written(tmp_path / "event7", b"")
    code = (
        f"from pathlib import Path\nfrom profiles.hardware.system import _abs_ranges\n"
        f"print(_abs_ranges(Path({str(node)!r})))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        env=os.environ | {"LD_PRELOAD": str(library), "PYTHONPATH": os.pathsep.join(sys.path)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == repr(RANGES)


@linux
def test_a_file_that_is_no_input_node_is_an_os_error_and_no_more(tmp_path):
    with pytest.raises(OSError, match=r"ioctl|device"):
        hardware._abs_ranges(written(tmp_path / "event7", b""))
    with pytest.raises(FileNotFoundError):
        hardware._abs_ranges(tmp_path / "event8")


def test_bitmaps_are_read_from_the_lowest_word():
    bits = 8 * struct.calcsize("l")
    assert hardware._has_bit("1 0", bits)
    assert not hardware._has_bit("1 0", 0)
    assert hardware._has_bit("80000000", 31)
    assert not hardware._has_bit("", 0)
    assert not hardware._has_bit("no bitmap", 0)
