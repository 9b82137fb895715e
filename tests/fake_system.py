"""A made-up Linux system below a temporary folder.

It has connectors, hidraw nodes and input nodes with invented names.
"""

from __future__ import annotations

from tests.hardware_bytes import axis, base_block, detailed, pen

DEMO_EDID = base_block(detailed(2560, 1440, 597, 336), name="demo 27")
SIDE_EDID = base_block(detailed(1920, 1080, 1600, 900), cm=(160, 90), name="demo side")


def demo_descriptor(across_mm=240, down_mm=152, *, counts_per_mm=150, sized=True):
    """The report descriptor of an invented tablet with pressure and tilt.

    Its size is declared in hundredths of a mm; without ``sized`` none is.
    """
    unit = 0x11 if sized else 0
    return pen(
        axis(0x30, (0, across_mm * counts_per_mm), (0, across_mm * 100), exponent=-3, unit=unit),
        axis(0x31, (0, down_mm * counts_per_mm), (0, down_mm * 100), exponent=-3, unit=unit),
        axis(0x30, (0, 5999), (0, 0), unit=0, page=0x0D),
        axis(0x3D, (-50, 50), (-50, 50), unit=0x14, bits=8, page=0x0D),
    )


def written(path, content):
    """Write ``content`` to ``path``, creating its folders."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


def connect(root, connector, edid, *, status="connected", enabled="enabled"):
    """Create a connector of a graphics card, as the kernel shows it under /sys/class/drm."""
    folder = root / "sys/class/drm" / connector
    written(folder / "edid", edid)
    written(folder / "status", status + "\n")
    written(folder / "enabled", enabled + "\n")


def plug_hidraw(root, node, descriptor, *, name="Demo Pad", event=None):
    """Create a HID device, as the kernel shows it under /sys/class/hidraw.

    It has an input node where one is given.
    """
    device = root / "sys/class/hidraw" / node / "device"
    written(device / "report_descriptor", descriptor)
    written(device / "uevent", f"DRIVER=hid-generic\nHID_NAME={name}\nHID_UNIQ=\n")
    if event:
        (device / "input/input3" / event).mkdir(parents=True)


def plug_event(root, event, *, name="Demo Pad Pen", pen_key=True):
    """Create an input node, as the kernel shows it under /sys/class/input.

    BTN_TOOL_PEN is key 0x140 (linux/input.h).
    """
    device = root / "sys/class/input" / event / "device"
    written(device / "name", name + "\n")
    # Key 0x140 is bit 0 of the sixth 64-bit word, and the highest word is written first.
    written(device / "capabilities/key", ("1 0 0 0 0 0" if pen_key else "0") + "\n")
    return written(root / "dev/input" / event, b"")
