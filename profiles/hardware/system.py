"""The hardware of the running system: displays that are connected, digitizers that are plugged in.

On Linux all is read from files below one root folder: ``/``, or what the environment variable
EVENSTROKE_SYSTEM_ROOT names, such as a copy of another computer's ``/sys``. Nothing is written. No
device is opened except the input nodes, for reading.
"""

from __future__ import annotations

import os
import re
import struct
import sys
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from mapper.phrases import any_of, phrase, phrase_count
from mapper.problems import AnswerIsNo, Collected, EvenstrokeError, Problem, nearest, quoted
from profiles.files import read_bounded
from profiles.hardware import evdev
from profiles.hardware.edid import DisplayFacts, read_edid
from profiles.hardware.edid_blocks import LONGEST_BYTES as LONGEST_EDID
from profiles.hardware.hid import HidFacts, read_descriptor
from profiles.hardware.hid_items import LONGEST_BYTES as LONGEST_DESCRIPTOR

if TYPE_CHECKING:
    from profiles.hardware.pen_facts import PenFacts

T = TypeVar("T")

ROOT_VARIABLE = "EVENSTROKE_SYSTEM_ROOT"

TYPE_DISPLAY = phrase('Type the size and the pixels instead: --display "27in 2560x1440"')
TYPE_TABLET = phrase(
    "Type the size instead, from the manual or measured with a bank card (evenstroke "
    "trace --help): --tablet 240x152mm"
)

_BTN_TOOL_PEN = 0x140
_READ_AXES = (evdev.ABS_X, evdev.ABS_Y, evdev.ABS_PRESSURE, evdev.ABS_TILT_X, evdev.ABS_TILT_Y)
# EVIOCGABS(axis) of linux/input.h on nearly all architectures: read, ABS_INFO_BYTES long, group E,
# 0x40 + axis.
_EVIOCGABS = 2 << 30 | evdev.ABS_INFO_BYTES << 16 | ord("E") << 8 | 0x40
_LONG_BITS = 8 * struct.calcsize("l")
_SMALL_FILE_BYTES = 8192
# Below this two sizes agree: units per mm are whole numbers, and 5 % off already for 10 of them.
_SAME_SIZE = 0.01


@dataclass(frozen=True, slots=True)
class ConnectedDisplay:
    """A display on a connector: its facts, or the problem that kept them from being read.

    ``in_use``: the system shows a picture on it.
    """

    connector: str
    in_use: bool
    facts: DisplayFacts | None
    problem: Problem | None = None


@dataclass(frozen=True, slots=True)
class PluggedTablet:
    """A digitizer with a pen.

    ``node`` identifies it (hidraw0, event5), ``name`` is the system's name for it. ``descriptor``
    is the path of its report descriptor, empty where only the input layer knows it. ``pen`` are the
    facts to use: those of the descriptor where it gives a size. ``doubts`` are about them and about
    contradictions between the two.
    """

    node: str
    name: str
    descriptor: str
    pen: PenFacts
    doubts: tuple[str, ...]


def system_root() -> Path:
    """The folder below which the system's files are looked for."""
    return Path(os.environ.get(ROOT_VARIABLE) or "/")


def connected_displays(root: Path) -> tuple[ConnectedDisplay, ...]:
    """The connected displays, in the order of their connectors' names.

    Raises AnswerIsNo, with what to type instead, if the system has no such folder or nothing is
    connected.
    """
    if _is_other_system(root):
        return _displays_of_other_system()
    folder = root / "sys/class/drm"
    if not folder.is_dir():
        raise AnswerIsNo(
            Problem(
                str(folder),
                phrase("this system has no such folder to ask for displays"),
                "",
                TYPE_DISPLAY,
            )
        )
    connectors = [
        each
        for each in _paths(folder, "card[0-9]*-*")
        if _small_text(each / "status") == "connected"
    ]
    if not connectors:
        raise AnswerIsNo(
            Problem(
                str(folder), phrase("the system knows of no connected display"), "", TYPE_DISPLAY
            )
        )
    names = [each.name.partition("-")[2] for each in connectors]
    return tuple(
        _read_display(
            name if names.count(name) == 1 else each.name,
            str(each / "edid"),
            in_use=_small_text(each / "enabled") != "disabled",
        )
        for each, name in zip(connectors, names, strict=True)
    )


def _read_display(
    connector: str, where: str, edid: bytes | None = None, *, in_use: bool = True
) -> ConnectedDisplay:
    """The display that ``edid`` describes, or where that is None the file ``where``."""
    problems: list[Problem] = []
    with Collected(problems):
        data = read_bounded(where, LONGEST_EDID, "EDID") if edid is None else edid
        return ConnectedDisplay(connector, in_use, read_edid(data, where))
    return ConnectedDisplay(connector, in_use, None, problems[0])


def _is_other_system(root: Path) -> bool:
    return root == Path("/") and sys.platform in {"win32", "darwin"}


def _displays_of_other_system() -> tuple[ConnectedDisplay, ...]:
    """The displays whose EDIDs Windows or macOS keeps."""
    from profiles.hardware.other_systems import (
        WindowsRegistry,
        ask_ioreg,
        edids_of_ioreg,
        edids_of_registry,
    )

    edids = (
        edids_of_registry(WindowsRegistry())
        if sys.platform == "win32"
        else edids_of_ioreg(ask_ioreg())
    )
    if not edids:
        raise AnswerIsNo(
            Problem(
                "displays",
                phrase("this system keeps no description of a display"),
                "",
                TYPE_DISPLAY,
            )
        )
    return tuple(_read_display(name, name, edid) for name, edid in edids.items())


def connected_display(root: Path, connector: str, where: str) -> ConnectedDisplay:
    """The display on ``connector``, or where that is empty the one that is in use.

    Raises AnswerIsNo naming ``where`` and what to type instead, if there is no such display, it
    could not be read, or more than one could be meant.
    """
    displays = {display.connector: display for display in connected_displays(root)}
    in_use = [display for display in displays.values() if display.in_use]
    chosen = _chosen(
        displays, connector, in_use, Problem(where, phrase("no display is connected there"))
    )
    if len(chosen) > 1:
        typed = " ".join(
            f"--display @connected:{display.connector}"
            if display.facts
            else '--display "27in 1920x1080"'
            for display in chosen
        )
        must = phrase_count("{count} display is in use", "{count} displays are in use", len(chosen))
        raise AnswerIsNo(
            Problem(
                where,
                must,
                "",
                phrase("Type them one by one, from left to right: {typed}", typed=typed),
            )
        )
    problem = chosen[0].problem
    if problem:
        raise AnswerIsNo(problem.at(where))
    return chosen[0]


def plugged_tablets(root: Path) -> tuple[PluggedTablet, ...]:
    """The digitizers with a pen, those with a report descriptor first.

    Raises AnswerIsNo, with what to type instead, if the system has none of the folders or no pen is
    found.
    """
    if _is_other_system(root):
        raise AnswerIsNo(
            Problem(
                "tablets",
                phrase("this system does not tell programs how large a tablet is"),
                "",
                TYPE_TABLET,
            )
        )
    raw, nodes = root / "sys/class/hidraw", root / "sys/class/input"
    if not raw.is_dir() and not nodes.is_dir():
        must = phrase("this system has no such folder to ask for tablets")
        raise AnswerIsNo(Problem(str(raw), must, "", TYPE_TABLET))
    found, claimed = [], set()
    for node in _paths(raw, "hidraw[0-9]*"):
        events = [event.name for event in _paths(node / "device", "input/input*/event*")]
        tablet = _tablet_of_descriptor(root, node, events)
        if tablet:
            claimed.update(events)
            found.append(tablet)
    for node in _paths(nodes, "event[0-9]*"):
        tablet = None if node.name in claimed else _tablet_of_node(root, node)
        if tablet:
            found.append(tablet)
    if not found:
        must = phrase("no plugged-in tablet describes a pen")
        raise AnswerIsNo(Problem(str(raw if raw.is_dir() else nodes), must, "", TYPE_TABLET))
    return tuple(found)


def plugged_tablet(root: Path, node: str, where: str) -> PluggedTablet:
    """The digitizer called ``node``, or where that is empty the only one whose size is known.

    Raises AnswerIsNo naming ``where`` and what to type instead, if there is none or more than one.
    """
    tablets = {tablet.node: tablet for tablet in plugged_tablets(root)}
    sized = [tablet for tablet in tablets.values() if tablet.pen.size_mm]
    chosen = _chosen(
        tablets, node, sized, Problem(where, phrase("must be the node of a plugged-in tablet"))
    )
    if len(chosen) > 1:
        typed = any_of([f"@connected:{tablet.node}" for tablet in chosen])
        raise AnswerIsNo(
            Problem(
                where,
                phrase_count(
                    "{count} tablet is plugged in", "{count} tablets are plugged in", len(chosen)
                ),
                "",
                phrase("Type {typed}", typed=typed),
            )
        )
    return chosen[0]


def _chosen(found: dict[str, T], name: str, usual: list[T], wrong: Problem) -> list[T]:
    """The item of that ``name``; without a name the ``usual`` ones, or all.

    Raises AnswerIsNo with ``wrong`` for an unknown name.
    """
    if not name:
        return usual or list(found.values())
    if name not in found:
        near = nearest(name, found) or next(iter(found))
        raise AnswerIsNo(
            replace(
                wrong,
                came=quoted(name),
                instead=phrase("Type {option}", option=f"@connected:{near}"),
            )
        )
    return [found[name]]


def _tablet_of_descriptor(root: Path, node: Path, events: list[str]) -> PluggedTablet | None:
    """The pen that the report descriptor of ``node`` describes, or None where it describes none.

    ``events`` are the names of the input nodes of the same device.
    """
    path = node / "device/report_descriptor"
    try:
        content = read_bounded(path, LONGEST_DESCRIPTOR, phrase("report descriptor"))
        facts = read_descriptor(content, str(path))
    except EvenstrokeError:
        return None  # no descriptor to read: the input layer may still know the device
    if not facts.pens:
        return None
    pen = facts.pen(str(path))
    lines = _small_text(node / "device/uevent").splitlines()
    name = dict(line.split("=", 1) for line in lines if "=" in line).get("HID_NAME", "")
    layer, unreadable = _first_pen(root, events)
    pen, doubts = _pen_with_doubts(facts, pen, layer, unreadable)
    return PluggedTablet(node.name, _printable(name), str(path), pen, doubts)


def _pen_with_doubts(
    facts: HidFacts, pen: PenFacts, layer: PenFacts | None, unreadable: str
) -> tuple[PenFacts, tuple[str, ...]]:
    """The descriptor's pen, or the input layer's where only that has a size, and all doubts.

    ``unreadable`` is an input node that could not be read, or empty.
    """
    doubts = [*facts.doubts, *pen.doubts]
    if pen.size_mm is None and layer and layer.size_mm:
        return layer, (*doubts, *layer.doubts)
    if pen.size_mm is None and unreadable:
        doubts.append(
            phrase(
                "The system's input layer could not be asked: {unreadable} is not readable.",
                unreadable=unreadable,
            )
        )
    if pen.size_mm and layer and layer.size_mm and not _same_size(pen.size_mm, layer.size_mm):
        width_mm, height_mm = layer.size_mm
        doubts.append(
            phrase(
                "{capitalize} says {width} × {height} mm instead: measure to be sure.",
                capitalize=layer.source.capitalize(),
                width=f"{width_mm:g}",
                height=f"{height_mm:g}",
            )
        )
    return pen, tuple(doubts)


def _same_size(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return all(abs(a - b) <= _SAME_SIZE * max(a, b) for a, b in zip(one, other, strict=True))


def _tablet_of_node(root: Path, node: Path) -> PluggedTablet | None:
    """The pen that only the input layer knows; None if ``node`` is no pen's or is not readable."""
    if not _has_bit(_small_text(node / "device/capabilities/key"), _BTN_TOOL_PEN):
        return None
    pen, _ = _first_pen(root, [node.name])
    if pen is None:
        return None
    return PluggedTablet(
        node.name, _printable(_small_text(node / "device/name")), "", pen, pen.doubts
    )


def _first_pen(root: Path, events: list[str]) -> tuple[PenFacts | None, str]:
    """The first pen among the input nodes ``events``, and the first node that cannot be read."""
    unreadable = ""
    for event in events:
        keys = root / "sys/class/input" / event / "device/capabilities/key"
        if keys.exists() and not _has_bit(_small_text(keys), _BTN_TOOL_PEN):
            continue
        path = root / "dev/input" / event
        try:
            pen = evdev.pen_of_ranges(_abs_ranges(path))
        except OSError:
            unreadable = unreadable or str(path)
            continue
        if pen:
            return pen, ""
    return None, unreadable


def _abs_ranges(path: Path) -> dict[int, evdev.AbsRange]:
    """The ranges of the axes of the input node at ``path``, by axis.

    Raises OSError if it cannot be asked.
    """
    import contextlib

    try:
        import fcntl
    except ImportError:
        raise OSError(phrase("this system has no input layer to ask")) from None
    ranges = {}
    descriptor = os.open(path, os.O_RDONLY | os.O_NONBLOCK)
    try:
        for axis in _READ_AXES:
            required = axis in {evdev.ABS_X, evdev.ABS_Y}
            with contextlib.nullcontext() if required else contextlib.suppress(OSError):
                answer = fcntl.ioctl(descriptor, _EVIOCGABS + axis, bytes(evdev.ABS_INFO_BYTES))
                ranges[axis] = evdev.AbsRange.of_bytes(answer)
    finally:
        os.close(descriptor)
    return ranges


def _paths(folder: Path, pattern: str) -> list[Path]:
    """The matching paths in ``folder``, in the order a person counts: hidraw2 before hidraw10."""

    def counting(path: Path) -> list[tuple[int, str]]:
        parts = re.split(r"(\d+)", path.name)
        return [(int(part), "") if part.isdigit() else (-1, part) for part in parts]

    return sorted(folder.glob(pattern), key=counting)


def _small_text(path: Path) -> str:
    """The text of a small file of the system, stripped; empty where it cannot be read."""
    try:
        content = read_bounded(path, _SMALL_FILE_BYTES, phrase("file of the system"))
    except EvenstrokeError:
        return ""
    return content.decode("utf-8", "replace").strip()


def _has_bit(bitmap: str, bit: int) -> bool:
    """Whether ``bit`` is set in a ``bitmap`` as Linux writes it.

    That is long words in hexadecimal, the highest first.
    """
    words = bitmap.split()[::-1]
    index, shift = divmod(bit, _LONG_BITS)
    try:
        return index < len(words) and bool(int(words[index], 16) >> shift & 1)
    except ValueError:
        return False


def _printable(text: str) -> str:
    """The printable characters of ``text``, 80 at most."""
    return "".join(char for char in text if char.isprintable())[:80].strip()
