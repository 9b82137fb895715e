"""How wide a line of text is, so that a scene can be laid out before any backend draws it.

One typeface throughout: DejaVu Sans, which ships with matplotlib and is therefore the same
everywhere. Letters that it lacks come from the system's fonts (``render.canvas.scripts``).
"""

from __future__ import annotations

import re
from contextlib import suppress
from functools import cache
from itertools import pairwise
from unicodedata import east_asian_width

from render.canvas.letter_widths import widths
from render.canvas.scripts import is_plain, width_em

#: Of the em: height of capitals, depth of descenders and distance of base lines (DejaVu Sans, OS/2
#: and glyf tables).
CAP = 0.729
DESCENT = 0.24
LEADING = 1.35

ELLIPSIS = "\N{HORIZONTAL ELLIPSIS}"

_UNITS_PER_EM = 2048
_DIRECTIONS = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
_WIDE = frozenset("WF")
#: What holds the letters on both its sides together: no-break spaces and the word joiner.
_HOLDS = "\xa0\u202f\u2060"
#: Marks with which no line of Japanese begins, and with which none ends.
_NEVER_FIRST = frozenset(
    _HOLDS + ",.:;!?)]}%°×·…‐–、。，．・：；？！゛゜ヽヾゝゞ々〻ー）］｝〕〉》」』】〙〗〟’”％"
    "ぁぃぅぇぉっゃゅょゎゕゖァィゥェォッャュョヮヵヶㇰㇱㇲㇳㇴㇵㇶㇷㇸㇹㇺㇻㇼㇽㇾㇿ"
)
_NEVER_LAST = frozenset(_HOLDS + "([{（［｛〔〈《「『【〘〖〝‘“＃＄￥")
_SIZE = re.compile("\u2066(?:[^\u2066-\u2069]|\u2066[^\u2066-\u2069]*\u2069)*\u2069")
_BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:%|mm|cm|in|px)(?!\w))")


def letters(text: str) -> str:
    """``text`` without marks of direction, which are no letters.

    A backend that sets letter after letter would draw a box for each.
    """
    return text if text.isascii() else _DIRECTIONS.sub("", text)


@cache
def _advance_em(text: str, bold: bool) -> float:
    plain = letters(text)
    if is_plain(plain, bold=bold):
        return widths(bold).length(plain) / _UNITS_PER_EM
    # A browser may have another font than this computer: there wide letters take an em each. Where
    # there are no fonts to look at, a box stands for any other letter.
    others = "".join(letter for letter in plain if east_asian_width(letter) not in _WIDE)
    found = widths(bold).length(others) / _UNITS_PER_EM + len(plain) - len(others)
    with suppress(ImportError):
        drawn = width_em(text, bold=bold)
        found = drawn if len(others) == len(plain) else max(drawn, found)
    return found


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
    """``text`` in lines no wider than ``room_mm``, broken at spaces, and between wide letters.

    No-break spaces hold together, and so do a number and its unit. A single word may be wider than
    the room.
    """
    text = _BEFORE_UNIT.sub("\N{NO-BREAK SPACE}", text)
    # A size between isolates that was broken would no longer keep its order.
    text = _SIZE.sub(lambda size: size[0].replace(" ", "\N{NO-BREAK SPACE}"), text)
    lines: list[str] = []
    for word in text.split(" "):
        gap = " "
        for piece in _pieces(word):
            longer = f"{lines[-1]}{gap}{piece}" if lines else piece
            if lines and width_mm(longer, em_mm, bold=bold) <= room_mm:
                lines[-1] = longer
            else:
                lines.append(piece)
            gap = ""
    return lines


def _pieces(word: str) -> list[str]:
    """The pieces between which a text without spaces may be broken; any other word is one piece.

    Japanese breaks between any two letters but before marks that end something, after those that
    begin something and beside what holds together (Unicode Standard Annex 14, classes GL, WJ, CL,
    CP, NS, CJ, EX and OP; W3C, Requirements for Japanese Text Layout, 3.1.7 and 3.1.8).
    """
    if word.isascii():
        return [word]
    pieces = [word[:1]]
    for before, letter in pairwise(word):
        wide = east_asian_width(before) in _WIDE or east_asian_width(letter) in _WIDE
        if wide and letter not in _NEVER_FIRST and before not in _NEVER_LAST:
            pieces.append(letter)
        else:
            pieces[-1] += letter
    return pieces


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
