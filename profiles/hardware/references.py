"""References to hardware in shorthand: ``@`` and the name of a file, or of what is plugged in.

=================== ================================================================================
``@edid:FILE``      a display, from the file of its EDID: the bytes, or the same as hexadecimal text
``@hid:FILE``       a tablet, from the file of its HID report descriptor, likewise
``@desktop``        all displays of the running system where they stand now (the optional part
                    ``system``)
``@connected``      the display in use, or the tablet plugged in, of the running system
``@connected:NAME`` the one of that name, as ``evenstroke displays`` and ``tablets`` list them
=================== ================================================================================
"""

from __future__ import annotations

import re
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from mapper.phrases import phrase
from mapper.problems import AnswerIsNo, Problem, RequestError, quoted
from profiles.files import at_line, read_bounded

if TYPE_CHECKING:
    from mapper.desk import Display
    from profiles.hardware.edid import DisplayFacts
    from profiles.hardware.hid import HidFacts
    from profiles.hardware.pen_facts import PenFacts

# Written as text a byte may take six characters and more, and a comment may stand beside it.
_TEXT_FACTOR = 16
_COMMENT = re.compile(r"#.*")
# What stands between and before the digits when bytes are pasted from a dump, a list or a C array.
_BETWEEN = re.compile(r"[\s,;:{}]+")
_BEFORE = re.compile(r"(?:0[xX]|\\x)")
_DIGITS = re.compile(r"(?:[0-9a-fA-F]{2})+|[0-9a-fA-F]")
_TEXT_BYTES = frozenset(range(32, 127)) | frozenset(b"\t\r\n\f")


def edid_file(path: str) -> DisplayFacts:
    """The display whose EDID is the file at ``path``. Raises RequestError naming the file."""
    from profiles.hardware.edid import read_edid
    from profiles.hardware.edid_blocks import LONGEST_BYTES

    return read_edid(
        bytes_or_hex(read_bounded(path, _TEXT_FACTOR * LONGEST_BYTES, "EDID"), path), path
    )


def descriptor_file(path: str) -> HidFacts:
    """The pens whose HID report descriptor is the file at ``path``.

    Raises RequestError naming the file.
    """
    from profiles.hardware.hid import read_descriptor
    from profiles.hardware.hid_items import LONGEST_BYTES

    content = read_bounded(path, _TEXT_FACTOR * LONGEST_BYTES, phrase("report descriptor"))
    return read_descriptor(bytes_or_hex(content, path), path)


def display_of(reference: str, where: str) -> DisplayFacts:
    """The display that ``reference``, a text that starts with @, stands for.

    Raises EvenstrokeError naming ``where`` or the file.
    """
    kind, name = _split_reference(reference, "@edid", where)
    if kind == "@edid":
        return edid_file(name)
    from profiles.hardware.system import connected_display, system_root

    facts = connected_display(system_root(), name, where).facts
    assert facts is not None  # connected_display raises where they could not be read
    return facts


def desktop_of(reference: str, where: str) -> tuple[tuple[Display, ...], tuple[str, ...]]:
    """All displays of the running system, the primary one first, and the doubts about them.

    Raises AnswerIsNo naming ``where``.
    """
    from profiles.hardware import desktop

    name = reference.strip().partition(":")[2].strip()
    if name:
        instead = phrase("Type @desktop for all displays, or @connected:NAME for one")
        raise AnswerIsNo(
            Problem(where, phrase("@desktop stands for the whole desktop"), quoted(name), instead)
        )
    return desktop.displays_of(desktop.monitors(), _facts_by_connector())


def in_use(reference: str, display: Display) -> Display:
    """``display`` with the pixels and zoom that its monitor has now, where the system reports them.

    ``reference`` is the ``@connected`` that the display was read from.
    """
    from profiles.hardware import desktop, system

    if system.system_root() != Path("/"):
        return display
    with suppress(AnswerIsNo):
        connector = system.connected_display(
            Path("/"), reference.strip().partition(":")[2].strip(), ""
        ).connector
        for monitor in desktop.monitors():
            if monitor.name == connector:
                return desktop.as_used(display, monitor)
    return display


def _facts_by_connector() -> dict[str, DisplayFacts]:
    """The facts of the connected displays by connector; empty where the system cannot be asked."""
    from profiles.hardware.system import connected_displays, system_root

    with suppress(AnswerIsNo):
        return {
            display.connector: display.facts
            for display in connected_displays(system_root())
            if display.facts
        }
    return {}


def pen_of(reference: str, where: str) -> tuple[PenFacts, tuple[str, ...]]:
    """The pen that ``reference`` stands for and all doubts about it. Raises EvenstrokeError."""
    kind, name = _split_reference(reference, "@hid", where)
    if kind == "@hid":
        facts = descriptor_file(name)
        pen = facts.pen(where)
        return pen, (*facts.doubts, *pen.doubts)
    from profiles.hardware.system import plugged_tablet, system_root

    tablet = plugged_tablet(system_root(), name, where)
    return tablet.pen, tablet.doubts


def _split_reference(reference: str, file_kind: str, where: str) -> tuple[str, str]:
    """The kind and the name of a ``reference``, before and after its first colon.

    Raises RequestError naming ``where`` if it is neither of ``file_kind`` nor ``@connected``.
    """
    kind, _, name = reference.strip().partition(":")
    kind, name = kind.lower(), name.strip()
    if (kind == file_kind and name) or kind == "@connected":
        return kind, name
    instead = phrase("Type {file_kind}:FILE, @connected or @connected:NAME", file_kind=file_kind)
    must = (
        phrase("a file name is needed after the colon")
        if kind == file_kind
        else phrase("after an @ only these are known")
    )
    raise RequestError(Problem(where, must, quoted(reference), instead))


def bytes_or_hex(content: bytes, where: str) -> bytes:
    r"""The bytes that ``content`` holds, or that it spells where it is ASCII text throughout.

    Two digits make a byte, with or without anything between; ``0x`` and ``\x`` before them, commas,
    colons and braces, and ``#`` with a comment after it, are passed over. Raises RequestError
    naming ``where`` and the line.
    """
    if not content or not _TEXT_BYTES.issuperset(content):
        return content
    found = bytearray()
    for line, text in enumerate(content.decode("ascii").splitlines(), 1):
        for word in _BETWEEN.split(_COMMENT.sub("", text)):
            digits = _BEFORE.sub("", word)
            if not digits:
                continue
            if not _DIGITS.fullmatch(digits):
                must = phrase("text must be bytes as pairs of hexadecimal digits")
                instead = phrase("Give the file itself, or what xxd -p prints of it")
                raise RequestError(Problem(at_line(where, line), must, quoted(word), instead))
            found += bytes.fromhex(digits if len(digits) > 1 else "0" + digits)
    return bytes(found)
