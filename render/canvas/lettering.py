"""How wide a line of text is, so that a scene can be laid out before any backend draws it.

One typeface throughout: DejaVu Sans, which ships with matplotlib and is therefore the same
everywhere.
"""

from __future__ import annotations

import re
from functools import cache

from render.canvas.letter_widths import widths

#: Of the em: height of capitals, depth of descenders and distance of base lines (DejaVu Sans, OS/2
#: and glyf tables).
CAP = 0.729
DESCENT = 0.24
LEADING = 1.35

ELLIPSIS = "\N{HORIZONTAL ELLIPSIS}"

_UNITS_PER_EM = 2048
_BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:%|mm|cm|in|px)(?!\w))")


@cache
def _advance_em(text: str, bold: bool) -> float:
    return widths(bold).length(text) / _UNITS_PER_EM


def width_mm(text: str, em_mm: float, *, bold: bool = False) -> float:
    """The width of one line of ``text`` at a letter size of ``em_mm``."""
    return _advance_em(text, bold) * em_mm


def fitted(text: str, em_mm: float, room_mm: float, *, bold: bool = False) -> float:
    """The letter size, at most ``em_mm``, at which ``text`` is no wider than ``room_mm``."""
    wide = width_mm(text, em_mm, bold=bold)
    return em_mm if wide <= room_mm else em_mm * room_mm / wide


def shortened(text: str, em_mm: float, room_mm: float, *, bold: bool = False) -> str:
    """``text`` cut to ``room_mm`` with an ellipsis at its end.

    The whole ``text`` where it fits; empty where not even one letter does.
    """
    if width_mm(text, em_mm, bold=bold) <= room_mm:
        return text
    while text and width_mm(text.rstrip() + ELLIPSIS, em_mm, bold=bold) > room_mm:
        text = text[:-1]
    return text.rstrip() + ELLIPSIS if text.strip() else ""


def wrapped(text: str, em_mm: float, room_mm: float, *, bold: bool = False) -> list[str]:
    """``text`` in lines no wider than ``room_mm``, broken at spaces.

    No-break spaces hold together, and so do a number and its unit. A single word may be wider than
    the room.
    """
    text = _BEFORE_UNIT.sub("\N{NO-BREAK SPACE}", text)
    lines: list[str] = []
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_mm(longer, em_mm, bold=bold) <= room_mm:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def balanced(text: str, em_mm: float, room_mm: float, *, bold: bool = False) -> list[str]:
    """``text`` in as few lines as ``wrapped`` makes, but of lengths as even as possible.

    So no single number is left over in the last line.
    """
    lines = wrapped(text, em_mm, room_mm, bold=bold)
    room = room_mm
    while room > 0.4 * room_mm:
        room -= em_mm / 2
        closer = wrapped(text, em_mm, room, bold=bold)
        if (
            len(closer) > len(lines)
            or max(width_mm(line, em_mm, bold=bold) for line in closer) > room
        ):
            break
        lines = closer
    return lines
