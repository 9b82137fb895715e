"""Names in scripts that the typeface lacks, as outlines of a font of the system that has them.

A line is measured with the very fonts that draw it. Hebrew and Arabic are put in the order in which
they are read (Unicode's bidirectional algorithm, UAX 9, by python-bidi) with their letters joined
(by arabic-reshaper). All of this is loaded only for a text that needs it.
"""

from __future__ import annotations

import logging
import unicodedata
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from mapper.affine import Affine
from mapper.paths import Outline
from render.canvas.letter_widths import font_path, widths

if TYPE_CHECKING:
    from collections.abc import Iterator

#: Classes of the bidirectional algorithm that read from the right.
_FROM_THE_RIGHT = frozenset({"R", "AL"})
_LEFT_TO_RIGHT, _RIGHT_TO_LEFT, _FIRST_STRONG = "\u2066\u2067\u2068"
_ISOLATES, _END_OF_ISOLATE = _LEFT_TO_RIGHT + _RIGHT_TO_LEFT + _FIRST_STRONG, "\u2069"
_PARTNERS = dict(zip("()[]{}<>\xab\xbb", ")(][}{><\xbb\xab", strict=True))
#: Marks and selectors without a shape: control characters, and variants of emoji.
_SHAPELESS = frozenset({"Cc", "Cf"})
_SELECTORS = frozenset(map(chr, range(0xFE00, 0xFE10)))
#: A font of Unicode that has every letter, each as a box with the name of its script.
_LAST_RESORT = "LastResort"
_USUAL_WEIGHT, _BOLD_WEIGHT = 400, 700


def is_plain(text: str, *, bold: bool = False) -> bool:
    """Whether the typeface has every letter of ``text``, and all of them read from the left."""
    if text.isascii():
        return True
    known = widths(bold).advances
    return all(
        ord(letter) in known and unicodedata.bidirectional(letter) not in _FROM_THE_RIGHT
        for letter in text
    )


def width_em(text: str, *, bold: bool = False) -> float:
    """The width of one line of ``text`` that is not plain, in letter sizes."""
    return sum(face.advance_em(letter) for letter, face in _placed(text, bold))


def outline(text: str, *, bold: bool = False) -> Outline:
    """The letters of ``text`` as one outline, a letter size high, y down from the base line at 0.

    Letters that no font has are the typeface's box.
    """
    commands: list[tuple[Any, ...]] = []
    x = 0.0
    for letter, face in _placed(text, bold):
        commands += face.outline(letter).through(Affine(1, 0, x, 0, 1, 0)).commands
        x += face.advance_em(letter)
    return Outline(tuple(commands))


def without_font(text: str, *, bold: bool = False) -> str:
    """The letters of ``text`` that no font of this computer has, each once."""
    if is_plain(text, bold=bold):
        return ""
    missing = [letter for letter, face in _placed(text, bold) if letter not in face]
    return "".join(dict.fromkeys(missing))


def _placed(text: str, bold: bool) -> Iterator[tuple[str, _Face]]:
    """The letters of ``text`` from left to right, each with the face that draws it."""
    typeface = _face(str(font_path(bold)))
    for letter in _from_the_left(text):
        if letter in typeface:
            yield letter, typeface
        else:
            yield letter, _system_face(letter, bold) or typeface


def _mirrored(text: str, *, is_leftward: bool) -> str:
    """A line with its brackets turned where it, or their isolate, is read from the right.

    UAX 9, rules N0 and L4: a bracket takes the direction of the text around it. python-bidi turns
    none.
    """
    turns, turned = [is_leftward], ""
    for at, letter in enumerate(text):
        if letter in _ISOLATES:
            turns.append(_runs_leftward(letter, text[at + 1 :]))
        elif letter == _END_OF_ISOLATE and len(turns) > 1:
            turns.pop()
        turned += _PARTNERS.get(letter, letter) if turns[-1] else letter
    return turned


def _runs_leftward(isolate: str, after: str) -> bool:
    """Whether what stands in an isolate is read from the right: by its mark, else its first letter.

    UAX 9, rules P2 and X5c; isolates in it do not count.
    """
    if isolate != _FIRST_STRONG:
        return isolate == _RIGHT_TO_LEFT
    depth = 1
    for letter in after:
        depth += (letter in _ISOLATES) - (letter == _END_OF_ISOLATE)
        kind = unicodedata.bidirectional(letter)
        if not depth or (depth == 1 and (kind == "L" or kind in _FROM_THE_RIGHT)):
            return kind in _FROM_THE_RIGHT
    return False


def _from_the_left(text: str) -> str:
    """``text`` in the order in which it is laid, without what has no shape."""
    classes = [unicodedata.bidirectional(letter) for letter in text]
    leftward = sum(each in _FROM_THE_RIGHT for each in classes)
    if leftward:
        from arabic_reshaper import reshape
        from bidi import get_display

        # A line of another language in which a name is written from the right stays what it is.
        is_leftward = leftward > classes.count("L")
        turned = reshape(_mirrored(text, is_leftward=is_leftward))
        laid = get_display(turned, base_dir="LR"[is_leftward])
        text = str(laid)
    return "".join(
        letter
        for letter in text
        if unicodedata.category(letter) not in _SHAPELESS and letter not in _SELECTORS
    )


class _Face:
    """One font file, opened as far as it is needed."""

    def __init__(self, path: str) -> None:
        from fontTools.ttLib import TTFont

        # Whether a font's date is plausible is nothing that anybody could mend.
        logging.getLogger("fontTools.ttLib.tables._h_e_a_d").setLevel(logging.ERROR)
        # Of a collection the first font.
        self.font = TTFont(path, fontNumber=0, lazy=True)
        self.glyphs: dict[int, str] = self.font.getBestCmap() or {}
        self.per_em: int = self.font["head"].unitsPerEm
        #: A font of coloured pixels has no outlines.
        tables = {tag.strip() for tag in self.font.keys()}  # noqa: SIM118 - no mapping
        self.has_outlines = not tables.isdisjoint({"glyf", "CFF"})
        self._shapes: Any = None

    def __contains__(self, letter: str) -> bool:
        return ord(letter) in self.glyphs

    def _name(self, letter: str) -> str:
        return self.glyphs.get(ord(letter), ".notdef")

    def advance_em(self, letter: str) -> float:
        """How far ``letter`` moves the next one on."""
        metrics = self.font["hmtx"]
        advance: int = metrics[self._name(letter)][0]
        return advance / self.per_em

    def outline(self, letter: str) -> Outline:
        """The shape of ``letter``, its origin at 0, 0."""
        from fontTools.pens.qu2cuPen import Qu2CuPen
        from fontTools.pens.recordingPen import DecomposingRecordingPen, RecordingPen

        if self._shapes is None:
            self._shapes = self.font.getGlyphSet()
        # A letter of several parts is put together first, then its curves become cubic ones.
        whole, pen = DecomposingRecordingPen(self._shapes), RecordingPen()
        self._shapes[self._name(letter)].draw(whole)
        whole.replay(Qu2CuPen(pen, 0.5, all_cubic=True))
        down = Affine(1 / self.per_em, 0, 0, 0, -1 / self.per_em, 0)
        return Outline(tuple(_commands(pen.value))).through(down)


def _commands(recorded: list[tuple[str, Any]]) -> Iterator[tuple[Any, ...]]:
    """What a pen recorded, as commands of an outline."""
    for name, points in recorded:
        if name == "moveTo":
            yield ("M", *points[0])
        elif name == "lineTo":
            yield ("L", *points[0])
        elif name == "curveTo":
            yield ("C", *points[0], *points[1], *points[2])
        else:
            yield ("Z",)


@cache
def _face(path: str) -> _Face:
    return _Face(path)


@cache
def _system_face(letter: str, bold: bool) -> _Face | None:
    """The first font of the system that has ``letter``; None where none has."""
    from fontTools.ttLib import TTLibError

    for path in _system_fonts(bold):
        try:
            face = _face(path)
        except (OSError, TTLibError, KeyError):
            continue
        if face.has_outlines and letter in face:
            return face
    return None


@cache
def _system_fonts(bold: bool) -> tuple[str, ...]:
    """The files of all fonts: those of matplotlib's list by weight, then those newer than it."""
    from matplotlib.font_manager import findSystemFonts, fontManager, weight_dict

    wanted = _BOLD_WEIGHT if bold else _USUAL_WEIGHT

    def far(entry: Any) -> tuple[bool, int, str]:
        weight = weight_dict.get(entry.weight, entry.weight)
        away = abs(weight - wanted) if isinstance(weight, int) else wanted
        return entry.style != "normal", away, entry.fname

    listed = [entry.fname for entry in sorted(fontManager.ttflist, key=far)]
    files = dict.fromkeys([*listed, *sorted(findSystemFonts())])
    return tuple(path for path in files if not Path(path).name.startswith(_LAST_RESORT))
