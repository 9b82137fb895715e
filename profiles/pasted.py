"""Tablets and displays as shops, forums and spreadsheets write them, put into our own shorthand.

``27" QHD 2560 x 1440 IPS`` becomes ``27in 2560x1440``, and ``Pad M, Arbeitsfläche 24 x 15,2 cm,
3.810 lpi`` becomes ``Pad M: 24x15.2cm@3810/in``. One parser (``profiles.shorthand``) then reads
that, so what is shown as understood is what was taken. Words without a use are handed back as they
were written.

Two sizes of one thing count as one where each side agrees to 1.5 %: the finer written is taken.
Where they differ, the one that is called active or visible is taken; three sides are those of the
body; else nothing is chosen. A comma is a decimal comma, except in pixels and counts, where it may
group digits in threes. Before exactly three digits of a length it could be either, and is refused.

``tests/profiles/samples/pasted.tsv`` holds some 200 lines in six languages. Add the line there that
you find read wrong.
"""

from __future__ import annotations

import math
import re
import unicodedata
from typing import TYPE_CHECKING, NamedTuple

from mapper.phrases import all_of, phrase
from mapper.problems import Problem, RequestError, quoted
from mapper.units import MOST_DIGITS, exact_decimal
from profiles import trade_words as words
from profiles.scaled import NAMED_PIXELS

if TYPE_CHECKING:
    from collections.abc import Iterable

# A longer text is no line of a shop.
_LONGEST = 400
# Two lengths agree within this share of the longer one.
_AGREE = 0.015
# A pair without a unit is pixels from this on; smaller ones are proportions such as 16 x 9.
_LEAST_PX = 200
# Shorter lengths are no diagonal but a pitch or a bezel.
_LEAST_DIAGONAL_MM = 80.0
# A size whose proportions differ from those of the pixels by more than this share is not the
# picture's, but for example the housing's.
_PROPORTIONS = 0.025
_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4}


class Reading(NamedTuple):
    """What was understood of a text.

    ``label`` is empty where none was written; ``shorthand`` is what ``profiles.shorthand`` reads;
    ``left_aside`` holds the phrases that were not understood, as written; ``doubts`` are sentences.
    """

    label: str
    shorthand: str
    left_aside: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()


def pasted_tablet(text: str, where: str) -> Reading | None:
    """The tablet that ``text`` describes, or None where it describes none.

    Raises RequestError naming ``where`` if the text has two possible meanings.
    """
    line = _Line(text)
    if not line.usable or _HALF_COUNTS.search(line.text):
        return None
    _refuse_two_meanings(text, where)
    counts, doubts = _counts(line)
    size = _tablet_size(line, where)
    return None if size is None else line.reading(size + counts, doubts)


def pasted_display(text: str, where: str) -> Reading | None:
    """The display that ``text`` describes, or None where it describes none.

    Raises RequestError naming ``where`` if the text has two possible meanings.
    """
    line = _Line(text)
    if not line.usable or _HALF_A_PLACE.search(line.text):
        return None
    _refuse_two_meanings(text, where)
    several = line.take_all(_SEVERAL)
    after = "".join(f" {each}" for each in _place_zoom_bezel(line))
    pairs = line.pairs()
    pixels = _pixels(line, pairs, where)
    if pixels is None:
        return None
    width_px, height_px, doubts = pixels
    size = _display_size(
        line, [pair for pair in pairs if pair.unit in _MM], width_px / height_px, where
    )
    if not size and (bare := _BARE_DIAGONAL.search(line.masked)):
        number = bare.group(1)
        instead = phrase(
            "Type {number}in {width}x{height} or {number}cm {width}x{height}",
            number=number,
            width=width_px,
            height=height_px,
        )
        raise RequestError(
            Problem(where, phrase("a length needs its unit"), quoted(number), instead)
        )
    if several:
        doubts = (*doubts, phrase("one of several displays was read: type --display once for each"))
    return line.reading(f"{size} {width_px}x{height_px}{after}".strip(), doubts)


def kinds_of_measure(text: str) -> set[str]:
    """The kinds of measure in ``text``: ``pair`` for two sides, ``length`` for one length."""
    line = _Line(text)
    found = {"pair"} if line.pairs() else set()
    return found | ({"length"} if line.take_all(_SINGLE) else set())


# The patterns
# ------------------------------------------------------------
# All are verbose: blanks and comments in them count for nothing, a blank that is meant is written
# [ ] or \s, and ``_any`` escapes those inside its words.


def _any(listed: Iterable[str]) -> str:
    """A pattern for any of the words ``listed``, with the longest first."""
    return "|".join(map(re.escape, sorted(listed, key=len, reverse=True)))


# A number of a length or of pixels: 27, 23.8, 23,8, 1.200,5, 1'200, .5 and 27 1/2.
_NUMBER = r"""
    [+-]?
    (?:
        [0-9]+ (?:[.,'][0-9]+)*    # digits, with decimal signs and signs that group digits
        (?:[ ][0-9]/[0-9]{1,2})?   # and a fraction
      | (?<!\S)[.,][0-9]+          # or a number that begins with its decimal sign
    )
"""
# A number begins in no word, in no other number and in no proportion such as 16:9.
_START = r"(?<![a-z0-9./])(?<![0-9],)(?<![0-9]:)"

# A unit of length or of pixels, as a word of its own; "in mm" is one too.
_UNIT = rf"""
    (?:in\s+(?=mm|cm))?
    (?:{_any([*words.UNITS, *words.PIXELS])})
    (?![a-wyz])                    # an x may follow: 24cmx15cm
"""
# A name of a side. No letter of any script follows: 縦 is a side, 縦置き is not.
_SIDE_NAME = rf"""
    (?:{_any(words.WIDTH | words.HEIGHT | words.DEPTH | words.SIDE_LETTERS)})
    (?![^\W\d_])
"""
_SIDE_LETTER = f"[{''.join(words.SIDE_LETTERS)}]"
# Names of a side that are more than one Latin letter.
_SIDE_WORDS = [
    word for word in words.WIDTH | words.HEIGHT | words.DEPTH if len(word) > 1 or not word.isascii()
]
# What stands between two sides: x, an asterisk or a word.
_BY = rf"(?:\s*[x*]\s*|[\s-]+(?:{_any(words.BY)})[\s-]+)"


def _name_before(side: int) -> str:
    """A pattern for the name that may stand before a side: ``width: ``, ``Breite ``, ``W``.

    A letter may touch its number (W240). Before a blank it must not follow a word, whose part it
    would be: Pad L 330 x 214 mm.
    """
    return rf"""
        (?:
            (?P<before{side}>
                {_any(_SIDE_WORDS)}
              | {_SIDE_LETTER} (?=[0-9:=.])
              | (?:(?<![a-wyz][ ]) | (?<=[0-9 ](?:mm|cm|in)[ ])) {_SIDE_LETTER} (?=\s)
            )
            \s* [:=.]? \s*
            (?:(?:de|of|von|da)\s+)?
        )?
    """


def _name_after(side: int) -> str:
    """A pattern for the name that may stand after a side: ``240 mm wide``, ``24 cm de large``.

    Where a number follows the name, it is the name of that number.
    """
    return rf"""
        (?:
            \s*
            (?:(?:de|of|in|en)\s+)?
            (?P<after{side}>{_SIDE_NAME})
            (?!\s*[:=]?\s*[0-9])
        )?
    """


def _side(side: int) -> str:
    """A pattern for one side of a pair: its number, with or without name and unit.

    What follows in brackets is the name, or the same length in another unit, which is passed over.
    """
    return rf"""
        {_name_before(side)}
        (?P<number{side}>{_NUMBER})
        (?:\s*-?\s*(?P<unit{side}>{_UNIT})(?:\.(?=\s*(?:[x*]|by\s)))?)?
        (?:
            \s*\(\s*
            (?:{_NUMBER}\s*{_UNIT} | (?P<bracket{side}>{_SIDE_NAME})\.?)
            \s*\)
        )?
        {_name_after(side)}
    """


# Two or three sides: "240 x 152 mm", "(mm) 240 x 152", "W 24 cm x H 15.2 cm x D 1 cm".
_PAIR = re.compile(
    rf"""
    (?:[(\[](?P<unit0>{_UNIT})[)\]]\s*[:=]?\s*)?   # the unit of all, in brackets before them
    {_START}
    {_side(1)} {_BY} {_side(2)}
    (?:{_BY}{_side(3)})?
    (?:                                             # the unit of all, after them
        \s*(?P<unit4>{_UNIT})
      | \s*[(\[](?P<unit5>{_UNIT})[)\]]
    )?
    (?![0-9])
    """,
    re.VERBOSE,
)
# A length in brackets.
_BRACKET = re.compile(rf"\(\s* {_NUMBER}\s*{_UNIT} \s*\)", re.VERBOSE)
# One length with its unit: "27 inch", "W: 24 cm", "24 cm wide".
_SINGLE = re.compile(
    rf"""
    {_START}
    {_name_before(1)}
    (?P<number1>{_NUMBER}) \s*-?\s* (?P<unit1>{_UNIT})
    {_name_after(1)}
    """,
    re.VERBOSE,
)
# Two sides with a letter before each and one unit for both: "L 240 W 150 mm", "X: 240, Y: 152 mm".
# L is the longer one where the other is W, and stands first.
_LETTERED = re.compile(
    rf"""
    (?<![a-z0-9])
    (?P<letter1>{_SIDE_LETTER} | x(?=\s*[:=])) \s*[:=.]?\s*
    (?P<number1>{_NUMBER}) (?:\s*(?P<unit1>{_UNIT}))?
    [ ,;/]+
    (?P<letter2>{_SIDE_LETTER} | y(?=\s*[:=])) \s*[:=.]?\s*
    (?P<number2>{_NUMBER}) \s* (?P<unit2>{_UNIT})
    """,
    re.VERBOSE,
)
# Two lengths one after the other, each with its unit: "240 mm, 152 mm".
_LISTED = re.compile(
    rf"""
    {_START}
    (?P<number1>{_NUMBER}) \s* (?P<unit1>{_UNIT}) \s*[,;/]\s*
    (?P<number2>{_NUMBER}) \s* (?P<unit2>{_UNIT})
    (?!\s*[,;/]?\s*[0-9])
    """,
    re.VERBOSE,
)
# 2 560 x 1 440, with the space that groups digits in French and other languages.
_GROUPED = re.compile(
    rf"""
    {_START}
    ([0-9]{{1,2}}[ ][0-9]{{3}}) {_BY} ([0-9]{{1,2}}[ ][0-9]{{3}})
    (?![0-9])
    (?:\s*(?:{_any(words.PIXELS)}))?
    """,
    re.VERBOSE,
)
# A length with a comma before exactly three digits: 240,500 mm could be 240.5 or 240500.
_EITHER = re.compile(
    r"""
    (?<![0-9.,])
    [1-9][0-9]{0,2},[0-9]{3}
    (?![0-9.,])
    (?=                                             # its unit follows it or the other side
        \s*
        (?:mm|cm|in|\"|zoll | x\s*[0-9.,]+\s*(?:mm|cm|in|\"|zoll))
    )
    """,
    re.IGNORECASE | re.VERBOSE,
)
# The resolution of a tablet: "@150/mm", "3 810 lpi", "150 lpmm", "5080 lines per inch".
_COUNTS = re.compile(
    rf"""
    @?\s*
    {_START}
    (?P<number>[0-9]{{1,3}}(?:[ ][0-9]{{3}})+ | {_NUMBER})
    \s*-?\s*
    (?:
        (?P<per_inch>{_any(words.PER_INCH)}|dpi)(?![a-z])
      | (?P<per_mm>{_any(words.PER_MM)})(?![a-z])
      | (?:(?:{_any(words.COUNTED)})\s*)?
        (?:/|(?:{_any(words.PER)})\s)\s*
        (?P<unit>{_any(words.UNITS)})(?![a-z])
    )
    """,
    re.VERBOSE,
)
# The same with its unit before it: "LPI: 5080", "resolution (lpi) 5080".
_COUNTS_AFTER = re.compile(
    rf"""
    (?<![a-z])
    (?: (?P<per_inch>{_any(words.PER_INCH)}) | (?P<per_mm>{_any(words.PER_MM)}) )
    (?: \s*[:=]\s* | \s*[)\]]\s*[:=]?\s* )
    (?P<number>{_NUMBER})
    (?!\s*[x*])
    """,
    re.VERBOSE,
)
# The place of a display on the desktop: "at 2560,0".
_AT = re.compile(
    r"""
    (?<![a-z]) at\s+
    ([+-]?[0-9]{1,9}) \s*,\s* ([+-]?[0-9]{1,9})
    (?![0-9.])
    """,
    re.VERBOSE,
)
# Our own words, begun and not finished: to be refused rather than left aside.
_HALF_COUNTS = re.compile(r"@\s*[0-9.,]*\s*$")
_HALF_A_PLACE = re.compile(
    r"""
    (?<![a-z])at\s+
    (?:
        [+-]?[0-9.]+ \s*,?\s* $                     # its end is missing
      | [+-]?[0-9]*\.[0-9]+ \s*,\s* [+-]?[0-9]      # half a pixel
      | [+-]?[0-9]+ \s*,\s* [+-]?[0-9]*\.[0-9]
    )
    """,
    re.VERBOSE,
)
_SCALING = f"(?:{_any(words.SCALING)})"
# The system's zoom with its word: "zoom 1.5", "scaling: 150 %", "Skalierung auf 150%".
_ZOOM = re.compile(
    rf"""
    (?<![a-z])
    (?:zoom | {_SCALING}(?=[^0-9]{{0,6}}[0-9.,]+\s*[%x]))
    \s* (?:[:=]|(?:{_any(words.AT)})\s)? \s*
    (?P<number>{_NUMBER}) \s* (?P<percent>%?) x?
    """,
    re.VERBOSE,
)
# The zoom as a percentage alone, "@ 150%"; 100 % of a colour space is none.
_PERCENT = re.compile(
    rf"""
    (?:@ | (?<![a-z])(?:{_any(words.AT)})\s)? \s*
    {_START}
    (?P<number>[1-4][0-9]{{2}}(?:[.,]5)?) \s* (?P<percent>%)
    \s* {_SCALING}?
    (?=\s*(?:$|[,;|()\x1f]))                        # the phrase ends here
    """,
    re.VERBOSE,
)
_A_DISPLAY = rf"(?:{_any(words.DISPLAYS)})[a-z]{{0,2}}(?![a-z])"
_INCH = _any(word for word, unit in words.UNITS.items() if unit == "in")
# More displays than one: two 24" monitors, 2 x 27", 27" x2; 2x DisplayPort is none.
_SEVERAL = re.compile(
    rf"""
    (?<![a-z0-9.,])                                 # two monitors, dual 24", 2 x 27"
    (?:(?:{_any(words.SEVERAL)})(?:\s+|-) | [2-9]\s*x\s*)
    (?={_A_DISPLAY} | [1-9][0-9](?:[.,][0-9]+)?\s*-?\s*(?:{_INCH}))
  | ^[2-9]\s+(?={_A_DISPLAY})                       # 2 monitors
  | [2-9]\s*(?:台|(?:stuck|pcs|pieces|pack)(?![a-z]))  # 2 pcs
  | (?<=[\"a-z][ ])x\s?[2-9](?![0-9.,]|\s*(?:{_any(words.UNITS)}))  # 27" x2
    """,
    re.VERBOSE,
)
# The frame around a display's picture: "bezel 8 mm".
_BEZEL = re.compile(rf"(?<![a-z]) bezel\s+ (?P<number>{_NUMBER}) \s* (?P<unit>{_UNIT})", re.VERBOSE)
# The customary name of a number of pixels, such as QHD.
_NAMED = re.compile(
    rf"(?<![a-z0-9]) (?<![0-9][.,]) (?:{_any(NAMED_PIXELS)}) (?![a-z0-9+])", re.VERBOSE
)
# A number alone that could well be a diagonal whose unit was forgotten: "27 2560x1440".
_BARE_DIAGONAL = re.compile(
    r"""
    (?<![\w.,:/$€£+-])
    ([1-9][0-9](?:[.,][0-9])?)
    (?=\s*(?:$|[\x1f,;(|]|qhd|wqhd|uhd|4k|5k|fhd|full|ultra))
    """,
    re.VERBOSE,
)
# What parts the phrases of a line. Where something was understood, \x1f stands in its place.
_SPLIT = re.compile(
    r"""
    [;|()\[\]\x1f\n、。·•]
  | ,(?![0-9]) | (?<![0-9]),                        # a comma that is no decimal one
  | \s[-–—](?=\s|\x1f) | (?<=\x1f)[-–—]             # a dash between blanks
  | \.(?=\s|\x1f|$)                                 # a full stop
    """,
    re.VERBOSE,
)
# The order of the sides, said without numbers: "W x H".
_SIDES_ONLY = re.compile(rf"{_SIDE_LETTER} (?:\s*[x/]\s*{_SIDE_LETTER}?)?", re.VERBOSE)
# What is no label at the start of a line: a reference to a file, measures, signs alone, prices, and
# figures of other kinds such as 60 Hz, 1.5 lb and 8 keys.
_NO_LABEL = re.compile(
    rf"""
    @ | [0-9]{_BY}{_NUMBER} | {_SINGLE.pattern} | ^[\W\d]+$ | [$€£¥]
  | [0-9] \s* (?:{_any(words.OTHER_UNITS)}) (?![a-z])
    """,
    re.VERBOSE,
)


# A line and its pairs of sides
# ------------------------------------------------------------


class _Dimensions(NamedTuple):
    """Two sides as written, in the order width, height, and their place in the line.

    ``unit`` is mm, cm, in, px or empty. ``part`` is what they measure, by the words around them:
    "active", "outer" or empty. ``body``: a third side was written, so they are those of a body.
    """

    numbers: tuple[str, str]
    unit: str
    start: int
    end: int
    part: str
    body: bool

    def shorthand(self, where: str) -> str:
        """The size as shorthand has it: ``240x152mm``."""
        width, height = (_decimal(number, where) for number in self.numbers)
        return f"{width}x{height}{self.unit}"

    def sides_mm(self, where: str) -> tuple[float, float]:
        """Width and height in mm."""
        first, second = (float(_decimal(number, where)) * _MM[self.unit] for number in self.numbers)
        return first, second

    def fineness(self, where: str) -> float:
        """Half a unit of the last place as a share of the number, summed over both sides."""
        return sum(_fineness(_decimal(number, where)) for number in self.numbers)


class _Line:
    """One line, folded for matching, with the places of its characters in the text as written."""

    def __init__(self, text: str) -> None:
        # A shell hands on bytes that are no text as lone surrogates.
        self.usable = len(text) <= _LONGEST and not re.search("[\ud800-\udfff]", text)
        self.written = _plain(text[:_LONGEST])
        folded = [words.folded(char) or " " for char in self.written]
        self.text = "".join(folded)
        # For each character of the text, which written one it comes from.
        self.index = [at for at, chars in enumerate(folded) for _ in chars]
        # The text with \x1f for what was understood: nothing is read twice, the rest can be named.
        self.masked = self.text

    def take(self, start: int, end: int) -> None:
        """Blank out what was understood."""
        self.masked = self.masked[:start] + "\x1f" * (end - start) + self.masked[end:]

    def take_all(self, pattern: re.Pattern[str]) -> list[re.Match[str]]:
        """All matches of ``pattern``, blanked out."""
        found = list(pattern.finditer(self.masked))
        for match in found:
            self.take(*match.span())
        return found

    def give_back(self, start: int, end: int) -> None:
        """Restore what was blanked out and is of no use after all: it is named with the rest."""
        self.masked = self.masked[:start] + self.text[start:end] + self.masked[end:]

    def pairs(self) -> list[_Dimensions]:
        """All pairs of sides, blanked out, each with the part that it measures."""
        found = [
            _Dimensions((match[1], match[2]), "px", *match.span(), "", False)
            for match in self.take_all(_GROUPED)
        ]
        before = self.masked
        matches = self.take_all(_PAIR)
        for index, match in enumerate(matches):
            # What stands between the one before and this one, and right after it, says what it is.
            lead = before[matches[index - 1].end() if index else 0 : match.start()]
            tail = re.split(r"[,.;|()\x1f]", before[match.end() :], maxsplit=1)[0]
            part = _part_named(lead.rpartition("\x1f")[2], tail)
            found.append(_pair_of(match, "outer" if match.group("number3") else part))
            if not found[-1].unit:
                # Pixels in brackets are no length in another unit: "1920 x 1080 (24 inch)".
                for bracket in _BRACKET.finditer(match.group()):
                    self.give_back(*(match.start() + end for end in bracket.span()))
        return found

    def reading(self, shorthand: str, doubts: tuple[str, ...]) -> Reading:
        """The reading of this line: the phrase before the first measure is its label."""
        first = self.masked.find("\x1f")
        label, rest = "", []
        phrases = _SPLIT.sub(lambda sign: "\x1e" * len(sign.group()), self.masked)
        for match in re.finditer(r"[^\x1e]+", phrases):
            phrase = self.as_written(match.start(), match.end())
            plain = words.folded(phrase)
            if not re.search(r"\w", phrase) or _SIDES_ONLY.fullmatch(plain):
                continue
            if words.names_a_kind(phrase) and not re.search(r"\d", phrase):
                continue
            if not label and match.start() < first and not _NO_LABEL.search(plain):
                label = phrase
            else:
                rest.append(phrase)
        return Reading(label, shorthand, tuple(rest), doubts)

    def as_written(self, start: int, end: int) -> str:
        """What was written from ``start`` to ``end`` of the text, without signs at its ends.

        Little words at its end belonged to what was understood, as in "Schermo da", and are cut.
        """
        written = self.written[self.index[start] : self.index[end - 1] + 1]
        return _LITTLE_WORDS.sub("", written.strip(" \t.,;:\"'-–—_/*@"))


# Cells of a table, the unit in the last of them: "27, 2560 x 1440, inches".
_UNIT_AFTER_PIXELS = re.compile(
    rf"""
    (?<![\w.,])
    (?P<size>[1-9][0-9](?:[.,][0-9]+)?) (?P<sign>[ ,;|]+)
    (?P<pixels>[0-9]{{3,5}}[ ]?x[ ]?[0-9]{{3,5}})
    [ ,;|]+ (?P<unit>{_INCH})(?!\w)
    """,
    re.VERBOSE | re.IGNORECASE,
)
# A slash between a size and its pixels parts them as a comma does: "27in/2560x1440".
_SLASH_AT_PIXELS = re.compile(
    rf"""
    (?<=[a-z\"]) \s*/\s* (?=[0-9]{{3,5}}\s*x)
  | (?:(?<=x[0-9]{{3}})|(?<=x[0-9]{{4}})) \s*/\s* (?=[1-9][0-9.,]*\s*-?\s*(?:{_INCH}|cm))
    """,
    re.VERBOSE | re.IGNORECASE,
)
_LITTLE_WORDS = re.compile(r"(?:\s+(?:de|da|di|mit|with|avec|con|of|en|in|im|and|und|et|y|e))+$")
_FRACTIONS = {
    "½": " 1/2",
    "¼": " 1/4",
    "¾": " 3/4",
    "⅛": " 1/8",
    "⅜": " 3/8",
    "⅝": " 5/8",
    "⅞": " 7/8",
}


def _plain(text: str) -> str:
    """``text`` with plain characters, fractions as 1/2, and one sign each for inches and times."""
    text = re.sub("[½¼¾⅛⅜⅝⅞]", lambda sign: _FRACTIONS[sign.group()], text)
    text = re.sub("(?<=[0-9])-(?=[0-9]/[0-9])", " ", unicodedata.normalize("NFKC", text))
    text = re.sub("′′|''|[″“”„‟〞]", '"', text)
    text = re.sub("[×✕✖⨯хХ]", "x", text)
    text = re.sub("[’‘]", "'", text)
    text = re.sub(r"\s+", " ", text).strip()
    text = _UNIT_AFTER_PIXELS.sub(r"\g<size> \g<unit>\g<sign>\g<pixels>", text)
    return _SLASH_AT_PIXELS.sub(", ", text)


def _part_named(lead: str, tail: str) -> str:
    """The part that a pair measures, by the words before it and right after it.

    Of the words before it the last one counts.
    """
    active, outer = words.last_place(lead, words.ACTIVE), words.last_place(lead, words.OUTER)
    if active > outer or words.last_place(tail, words.ACTIVE) >= 0:
        return "active"
    return "outer" if outer >= 0 else ""


def _pair_of(match: re.Match[str], part: str) -> _Dimensions:
    """The pair that ``match`` of _PAIR holds, width first, in one unit."""
    numbers = match.group("number1"), match.group("number2")
    # Beside a V the H is horizontal.
    if _tag(match, 1) == "v" or (
        _tag(match, 1) in words.HEIGHT and _tag(match, 2) not in words.HEIGHT | {"v"}
    ):
        numbers = numbers[1], numbers[0]
    body = match.group("number3") is not None
    units = [unit for n in (1, 2, 3, 4, 5, 0) if (unit := match.group(f"unit{n}"))]
    unit = _unit(units[-1]) if units else ""
    if unit in _MM and len(units) >= 2 and _unit(units[0]) != unit:
        # 22.4 cm x 148 mm: both in the second's unit, exactly.
        times = {"mm": 1, "cm": 10}
        if {unit, _unit(units[0])} <= set(times):
            mm = [
                exact_decimal(_decimal(number, ""), times[_unit(u)])
                for number, u in zip(numbers, units, strict=False)
            ]
            numbers, unit = (f"{mm[0]:.10g}", f"{mm[1]:.10g}"), "mm"
    return _Dimensions(numbers, unit, *match.span(), part, body)


def _tag(match: re.Match[str], side: int) -> str:
    """The name that was written for a side of a pair, empty where none was."""
    return next(
        (tag for kind in ("before", "bracket", "after") if (tag := match.group(f"{kind}{side}"))),
        "",
    )


def _unit(word: str) -> str:
    """The unit that a ``word`` stands for: mm, cm, in or px."""
    word = re.sub(r"^in\s+", "", word)
    return "px" if word in words.PIXELS else words.UNITS[word]


# Numbers, kept as text so that no digit is lost
# ------------------------------------------------------------


def _decimal(number: str, where: str) -> str:
    """The ``number`` of a length with a decimal point and nothing between its groups of digits.

    Raises RequestError for one that is none, or of more digits than any has.
    """
    if len(number) > MOST_DIGITS:
        raise RequestError(Problem(where, phrase("must be a number"), quoted(number)))
    whole, _, fraction = number.partition(" ")
    if fraction:
        above, below = fraction.split("/")
        if int(below) not in {2, 4, 8, 16}:
            raise RequestError(Problem(where, phrase("must be a number"), quoted(number)))
        return f"{int(whole) + int(above) / int(below):.10g}"
    marks = re.sub("[^.,']", "", number)
    if len(marks) > 1:
        # 1.200,5 and 1,200.5: the last sign is the decimal one, unless all are the same.
        if len(set(marks)) == 1:
            return re.sub("[.,']", "", number)
        cut = number.rindex(marks[-1])
        return re.sub("[.,']", "", number[:cut]) + "." + number[cut + 1 :]
    return number.replace(",", ".").replace("'", "")


def _refuse_two_meanings(text: str, where: str) -> None:
    """Raise RequestError for a length such as 240,500 mm, which could be decimal or thousands."""
    number = _EITHER.search(text)
    if number:
        must = phrase("a comma before three digits could be a decimal comma or group thousands")
        instead = phrase(
            "Type {number}, or leave the comma out",
            number=_EITHER.sub(lambda match: match.group().replace(",", "."), text).strip(),
        )
        raise RequestError(Problem(where, must, quoted(number.group()), instead))


def _whole(number: str) -> str:
    """The ``number`` of pixels or counts, without the signs that group its digits in threes."""
    if re.fullmatch(r"[+-]?[0-9]{1,3}(?:[.,' ][0-9]{3})+", number):
        return re.sub("[.,' ]", "", number)
    return number.replace(",", ".")


def _fineness(number: str) -> float:
    """Half a unit of the last place of ``number``, as a share of it."""
    return 0.5 * 10.0 ** -len(number.partition(".")[2]) / (abs(float(number)) or 1.0)


def _agree(one: float, other: float) -> bool:
    """Whether two lengths agree to within _AGREE."""
    return abs(one - other) <= _AGREE * max(abs(one), abs(other))


# Tablets
# ------------------------------------------------------------


def _tablet_size(line: _Line, where: str) -> str | None:
    """The active area as shorthand has it, None where there is none."""
    pairs = line.pairs()
    sized = [pair for pair in pairs if pair.unit in _MM]
    for pair in pairs:
        if pair not in sized:
            line.give_back(pair.start, pair.end)
    if not any(pair.part == "active" for pair in sized):
        _ask_for_the_unit([pair for pair in pairs if pair.part == "active"], sized, where)
        named = _named_sides(line)
        sized = [*(pair for pair in named if not sized or pair.part == "active"), *sized]
        sized = sized or _listed_sides(line)
    chosen = [pair for pair in sized if pair.part == "active"]
    chosen = chosen or [pair for pair in sized if pair.part != "outer"]
    if not chosen and sized:
        outer = sized[0].shorthand(where)
        raise RequestError(
            Problem(
                where,
                phrase("must be the active area, which senses the pen"),
                phrase("{size}, the outer size", size=outer),
                phrase("Type the active area, or {size} where both are the same", size=outer),
            )
        )
    if not chosen:
        return None
    first = chosen[0].sides_mm(where)
    for pair in sized:
        if all(map(_agree, pair.sides_mm(where), first)):
            if pair not in chosen:
                chosen.append(pair)
        elif pair in chosen:
            both = all_of([each.shorthand(where) for each in (chosen[0], pair)])
            instead = phrase(
                "Type the active area alone: {shorthand}", shorthand=chosen[0].shorthand(where)
            )
            raise RequestError(Problem(where, phrase("must be one active area"), both, instead))
        else:
            line.give_back(pair.start, pair.end)
    return min(chosen, key=lambda pair: pair.fineness(where)).shorthand(where)


def _ask_for_the_unit(active: list[_Dimensions], sized: list[_Dimensions], where: str) -> None:
    """Raise RequestError where the active area has no unit and another size has one."""
    if not active or not sized:
        return
    numbers = "x".join(_decimal(number, where) for number in active[0].numbers)
    one, other, *_ = dict.fromkeys([sized[0].unit, "mm", "in"])
    instead = phrase("Type {one} or {other}", one=f"{numbers}{one}", other=f"{numbers}{other}")
    must = phrase("a length needs its unit")
    raise RequestError(Problem(where, must, quoted(numbers), instead))


_SIDE_OF = {
    **dict.fromkeys(words.DEPTH, "depth"),
    **dict.fromkeys(words.HEIGHT, "height"),
    **dict.fromkeys(words.WIDTH, "width"),
}


# Two axes for two sides.
_AXES = {"x": "w", "y": "h"}


def _named_sides(line: _Line) -> list[_Dimensions]:
    """The pair of sides that are called width and height, in either order; empty without one.

    A depth stands for the height where no height is named; with all three they are a body's.
    """
    lettered = _LETTERED.search(line.masked)
    if lettered:
        line.take(*lettered.span())
        one, other = (_AXES.get(lettered[f"letter{n}"], lettered[f"letter{n}"]) for n in (1, 2))
        return _pair_of_texts(
            line,
            f"{one} {lettered['number1']} {lettered['unit1'] or ''}",
            f"{other} {lettered['number2']} {lettered['unit2']}",
            lettered.span(),
        )
    sides: dict[str, re.Match[str]] = {}
    for match in line.take_all(_SINGLE):
        tag = match.group("before1") or match.group("after1") or ""
        side = _SIDE_OF.get(tag, "")
        if side and side not in sides and _unit(match.group("unit1")) in _MM:
            sides[side] = match
        else:
            line.give_back(*match.span())
    body = len(sides) == 3
    second = "depth" if body or "height" not in sides else "height"
    if "width" not in sides or second not in sides:
        for match in sides.values():
            line.give_back(*match.span())
        return []
    width, height = (
        f"{sides[side]['number1']} {sides[side]['unit1']}" for side in ("width", second)
    )
    starts, ends = zip(*(match.span() for match in sides.values()), strict=True)
    found = _pair_of_texts(line, width, height, (min(starts), max(ends)))
    return (
        [pair._replace(part=pair.part or "outer", body=True) for pair in found] if body else found
    )


def _pair_of_texts(
    line: _Line, first: str, second: str, span: tuple[int, int]
) -> list[_Dimensions]:
    """The pair of two sides that stood apart at ``span`` of the line."""
    part = _part_named(line.text[: span[0]], line.text[span[1] :].partition(",")[0])
    return [
        _pair_of(both, part)._replace(start=span[0], end=span[1])
        for both in _PAIR.finditer(f"{first} x {second}")
    ]


def _listed_sides(line: _Line) -> list[_Dimensions]:
    """Two lengths that are all that the line holds besides its label: ``240 mm, 152 mm``."""
    found = line.take_all(_LISTED)
    if len(found) != 1 or _SINGLE.search(line.masked):
        for match in found:
            line.give_back(*match.span())
        return []
    match = found[0]
    first, second = (f"{match[f'number{n}']} {match[f'unit{n}']}" for n in (1, 2))
    return _pair_of_texts(line, first, second, match.span())


def _counts(line: _Line) -> tuple[str, tuple[str, ...]]:
    """The resolution as shorthand has it (``@150/mm``), with a doubt where it was dots."""
    found = line.take_all(_COUNTS)
    if not found:
        after = line.take_all(_COUNTS_AFTER)[:1]
        return "".join(
            f"@{_whole(each['number'])}/{'mm' if each['per_mm'] else 'in'}" for each in after
        ), ()
    for match in found[1:]:
        line.give_back(*match.span())
    match = found[0]
    number = _whole(match.group("number"))
    if match.group("per_mm"):
        return f"@{number}/mm", ()
    if match.group("per_inch"):
        dots = match.group("per_inch") == "dpi"
        return f"@{number}/in", (
            phrase("dots per inch were read as the tablet's counts"),
        ) if dots else ()
    return f"@{number}/{words.UNITS[match.group('unit')]}", ()


# Displays
# ------------------------------------------------------------


def _place_zoom_bezel(line: _Line) -> list[str]:
    """The place, zoom and bezel as shorthand has them; they may stand anywhere in the line."""
    found = [f"at {match.group(1)},{match.group(2)}" for match in line.take_all(_AT)[:1]]
    found += [
        f"zoom {_whole(m.group('number'))}{m.group('percent')}"
        for m in (line.take_all(_ZOOM) or line.take_all(_PERCENT))[:1]
    ]
    found += [
        f"bezel {_whole(m.group('number'))}{_unit(m.group('unit'))}"
        for m in line.take_all(_BEZEL)[:1]
        if _unit(m.group("unit")) in _MM
    ]
    return found


def _pixels(
    line: _Line, pairs: list[_Dimensions], where: str
) -> tuple[int, int, tuple[str, ...]] | None:
    """Width and height in px with doubts about them, None where none are written.

    ``pairs`` are all pairs of the line; those in a unit of length are passed over.
    """
    found = _pixel_pairs(line, pairs)
    named = _named_pixels(line)
    if not found:
        if named is None:
            return None
        name, size = named
        return *size, (
            phrase(
                "{name} was read as {width} × {height} px, its usual number",
                name=name,
                width=size[0],
                height=size[1],
            ),
        )
    sure = [size for size, each in found.items() if any(pair.unit == "px" for pair in each)]
    sizes = sure or list(found)
    if named is not None and named[1] in sizes:
        for pair in (pair for size in sizes if size != named[1] for pair in found[size]):
            line.give_back(pair.start, pair.end)
        sizes = [named[1]]
    if len(sizes) > 1:
        first, last = (f"{width}x{height}" for width, height in (sizes[0], sizes[-1]))
        if any(pair.unit in _MM for pair in pairs) or _SINGLE.search(line.masked):
            raise RequestError(
                Problem(
                    where,
                    phrase("must have one resolution"),
                    phrase("{first} and {last}", first=first, last=last),
                    phrase(
                        "Type {first} or {last} alone; a second display has its own --display",
                        first=first,
                        last=last,
                    ),
                )
            )
        instead = phrase(
            "Type --display again for a second display, or the size with its unit: {first}mm "
            "{last}",
            first=first,
            last=last,
        )
        raise RequestError(
            Problem(
                where,
                phrase("a length needs its unit"),
                phrase("{first} and {last}", first=first, last=last),
                instead,
            )
        )
    if named is None or named[1] == sizes[0] or _very_wide(line):
        return *sizes[0], ()
    name, (usual_width, usual_height) = named
    doubt = phrase(
        "{name} is usually {usual_width} × {usual_height} px; the pixels were read as written",
        name=name,
        usual_width=usual_width,
        usual_height=usual_height,
    )
    return *sizes[0], (doubt,)


def _pixel_pairs(line: _Line, pairs: list[_Dimensions]) -> dict[tuple[int, int], list[_Dimensions]]:
    """The pairs that are numbers of pixels, by width and height; others are given back."""
    found: dict[tuple[int, int], list[_Dimensions]] = {}
    for pair in pairs:
        if pair.unit in _MM:
            continue
        sides = [_whole(number) for number in pair.numbers]
        whole = not pair.body and all(re.fullmatch(r"[0-9]{1,9}", side) for side in sides)
        if not whole or (pair.unit != "px" and min(map(int, sides)) < _LEAST_PX):
            line.give_back(pair.start, pair.end)
            continue
        found.setdefault((int(sides[0]), int(sides[1])), []).append(pair)
    return found


def _very_wide(line: _Line) -> bool:
    """Whether the line calls the display wider than usual."""
    return any(word in line.text for word in words.VERY_WIDE)


def _named_pixels(line: _Line) -> tuple[str, tuple[int, int]] | None:
    """A name such as QHD, as written, with the pixels that it usually means.

    None where no name is written, where two differ, and where the display is wider than the name's.
    """
    matches = line.take_all(_NAMED)
    sizes = {NAMED_PIXELS[match.group()] for match in matches}
    if len(sizes) != 1:
        for match in matches:
            line.give_back(*match.span())
        return None
    (size,) = sizes
    if _very_wide(line) and size[0] / size[1] < 2:
        return None
    return line.as_written(*matches[0].span()), size


def _display_size(line: _Line, pairs: list[_Dimensions], proportions: float, where: str) -> str:
    """The size as shorthand has it, empty where none is written.

    ``proportions`` is the width of the pixels over their height.
    """
    pairs = pairs or _named_sides(line)
    singles = []
    for match in line.take_all(_SINGLE):
        unit = _unit(match.group("unit1"))
        tag = match.group("before1") or match.group("after1") or ""
        number = "" if unit not in _MM else _decimal(match.group("number1"), where)
        mm = float(number or 0) * _MM.get(unit, 0.0)
        if tag in words.WIDTH | words.HEIGHT or not number or 0 < mm < _LEAST_DIAGONAL_MM:
            line.give_back(*match.span())
        else:
            singles.append((mm, number, unit, match))
    diagonal = _one_diagonal(line, singles, where)
    pictures = []
    for pair in pairs:
        width, height = pair.sides_mm(where)
        fits = min(width, height) > 0 and abs(width / height / proportions - 1) <= _PROPORTIONS
        if diagonal is None:
            is_picture = fits or pair.part != "outer"
        else:
            is_picture = fits and _agree(math.hypot(width, height), diagonal[0])
        if pair.part == "active" or is_picture:
            pictures.append(pair)
        else:
            line.give_back(pair.start, pair.end)
    if not pictures:
        return f"{diagonal[1]}{diagonal[2]}" if diagonal else ""
    finest = min(pictures, key=lambda pair: pair.fineness(where))
    for pair in pictures:
        if not all(map(_agree, pair.sides_mm(where), finest.sides_mm(where))):
            must = phrase("must have one size of its picture")
            sizes = all_of([each.shorthand(where) for each in pictures])
            instead = phrase("Type its diagonal, for example 27in")
            raise RequestError(Problem(where, must, sizes, instead))
    return finest.shorthand(where)


# One length: in mm, its number and unit as shorthand has them, and where it stands.
_Single = tuple[float, str, str, "re.Match[str]"]


def _one_diagonal(line: _Line, singles: list[_Single], where: str) -> _Single | None:
    """The diagonal among the lengths: one called so first, then those in inches.

    Of those that agree the finest is taken. Raises RequestError where they differ.
    """
    if not singles:
        return None
    named = [one for one in singles if _is_named_diagonal(line, one[3])]
    inches = [one for one in singles if one[2] == "in"]
    chosen = named or inches or singles
    first = chosen[0]
    if not all(_agree(one[0], first[0]) for one in chosen):
        lengths = all_of([f"{number}{unit}" for _, number, unit, _ in chosen])
        raise RequestError(
            Problem(
                where,
                phrase("must have one diagonal"),
                lengths,
                phrase("Type {length} alone", length=f"{first[1]}{first[2]}"),
            )
        )
    same = [one for one in singles if _agree(one[0], first[0])]
    for one in singles:
        if one not in same:
            line.give_back(*one[3].span())
    return min(same, key=lambda one: _fineness(one[1]))


def _is_named_diagonal(line: _Line, match: re.Match[str]) -> bool:
    """Whether a word next to the length calls it the diagonal, or visible."""
    lead = re.split(r"[,;()0-9]", line.text[: match.start()])[-1]
    tail = re.split(r"[,;()0-9]", line.text[match.end() :], maxsplit=1)[0]
    return any(
        word in words.DIAGONAL | words.VISIBLE
        for word in re.findall(r"[^\W\d_]+", f"{lead} {tail}")
    )
