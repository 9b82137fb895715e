"""A tablet or a display as shops, forums and spreadsheets write it, put into this project's own
shorthand.

``27" QHD 2560 x 1440 IPS`` becomes ``27in 2560x1440``, ``Pad M, Arbeitsfläche 24 x 15,2 cm, 3.810
lpi`` becomes ``Pad M: 24x15.2cm@3810/in``. One parser (``profiles.shorthand``) then reads that, so
what is shown as understood is what was taken. Words without a use are handed back as they are.

Two figures for one thing are one where they agree (1.5 % a side): the finer written is taken. Where
they do not, the one that is called active or visible; three sides are a body's; else nothing is
chosen. A comma is a decimal one, but for whole things (pixels, counts) between groups of three
digits; before exactly three digits of a length it could be either and is refused.

``tests/profiles/samples/pasted.tsv`` holds some 200 lines of six languages: who finds one that is
read wrong adds it there.
"""

from __future__ import annotations

import re
import unicodedata
from typing import NamedTuple

from mapper.problems import Problem, RequestError, quoted
from mapper.units import exact_decimal
from profiles import trade_words as words

# Longer than any line of a shop; a longer text is something else.
_LONGEST = 400
_AGREE = 0.015
# A side of a picture in pixels has at least this; smaller pairs without a unit are proportions such
# as 16 x 9.
_LEAST_PX = 200
# No display is so small, and pitches and bezels are.
_LEAST_DIAGONAL_MM = 80.0
# How far a picture's proportions may be from those of its pixels before it is taken for something
# else, such as the housing.
_PROPORTIONS = 0.025
_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4}


class Reading(NamedTuple):
    """What was understood: ``label`` (empty where none) and ``shorthand``; what was not, as
    written; and what is doubtful.
    """

    label: str
    shorthand: str
    left_aside: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()


def pasted_tablet(text: str, where: str) -> Reading | None:
    """The tablet that ``text`` describes, None where it does not.

    Raises RequestError where it could mean two things.
    """
    line = _Line(text)
    if not line.usable or _HALF_COUNTS.search(line.text):
        return None
    _refuse_two_meanings(text, where)
    counts, more = _counts(line)
    size, doubts = _tablet_size(line, where)
    if size is None:
        return None
    return line.reading(size + counts, (*doubts, *more))


def pasted_display(text: str, where: str) -> Reading | None:
    """The display that ``text`` describes, None where it does not.

    Raises RequestError where it could mean two things.
    """
    line = _Line(text)
    if not line.usable or _HALF_A_PLACE.search(line.text):
        return None
    _refuse_two_meanings(text, where)
    several = line.take_all(_SEVERAL)
    after = "".join(f" {each}" for each in _after(line))
    pairs = line.pairs()
    pixels = _pixels(line, [pair for pair in pairs if pair.unit in {"", "px"}], where)
    if pixels is None:
        return None
    width_px, height_px, doubts = pixels
    size = _display_size(
        line, [pair for pair in pairs if pair.unit in _MM], width_px / height_px, where
    )
    if not size and (bare := _BARE_DIAGONAL.search(line.masked)):
        number = bare.group(1)
        instead = f"Type {number}in {width_px}x{height_px} or {number}cm {width_px}x{height_px}"
        raise RequestError(Problem(where, "a length needs its unit", quoted(number), instead))
    if several:
        doubts = (*doubts, "one of several displays was read: type --display once for each")
    return line.reading(f"{size} {width_px}x{height_px}{after}".strip(), doubts)


def measures(text: str) -> set[str]:
    """Which kinds of measure a text holds: ``pair`` (two sides), ``length``."""
    line = _Line(text)
    found = {"pair"} if line.pairs() else set()
    return found | ({"length"} if line.take_all(_SINGLE) else set())


# What is written
# ------------------------------------------------------------

_NUM = r"[+-]?(?:[0-9]+(?:[.,'][0-9]+)*(?: [0-9]/[0-9]{1,2})?|[.,][0-9]+)"
_START = r"(?<![a-z0-9.,/])(?<![0-9]:)"


def _any(listed: object) -> str:
    return "|".join(map(re.escape, sorted(listed, key=len, reverse=True)))  # type: ignore[call-overload]


_UNIT = rf"(?:in\s+(?=mm|cm))?(?:{_any([*words.UNITS, *words.PIXELS])})(?![a-wyz])"
# No letter of any script after it: 縦 is a side, 縦置き is not.
_TAG = rf"(?:{_any(words.WIDTH | words.HEIGHT | words.SIDE_LETTERS)})(?![^\W\d_])"
# A letter may touch its number (W240); after a word it is a part of a name: Pad L 330 x 214 mm.
_LETTER = f"[{''.join(words.SIDE_LETTERS)}]"
_BEFORE = (
    rf"(?:(?P<before%d>{_any(one for one in words.WIDTH | words.HEIGHT if len(one) > 1 or not one.isascii())}"
    rf"|{_LETTER}(?=[0-9:=.])|(?:(?<![a-wyz] )|(?<=[0-9 ](?:mm|cm|in) )){_LETTER}(?=\s))"
    rf"\s*[:=.]?\s*(?:(?:de|of|von|da)\s+)?)?"
)
_IN_BRACKETS = rf"(?:\s*\(\s*(?:{_NUM}\s*{_UNIT}|(?P<bracket%d>{_TAG})\.?)\s*\))?"
_AFTER = rf"(?:\s*(?:(?:de|of|in|en)\s+)?(?P<after%d>{_TAG})(?!\s*[:=]?\s*[0-9]))?"
_SIDE = rf"{_BEFORE}(?P<number%d>{_NUM})(?:\s*-?\s*(?P<unit%d>{_UNIT}))?{_IN_BRACKETS}{_AFTER}"
_BY = rf"(?:\s*[x*]\s*|\s+(?:{_any(words.BY)})\s+)"
_PAIR = re.compile(
    rf"(?:[(\[](?P<unit0>{_UNIT})[)\]]\s*[:=]?\s*)?{_START}{_SIDE % ((1,) * 5)}{_BY}{_SIDE % ((2,) * 5)}(?:{_BY}{_SIDE % ((3,) * 5)})?(?:\s*(?P<unit4>{_UNIT})|\s*[(\[](?P<unit5>{_UNIT})[)\]])?(?![0-9])"
)
_SINGLE = re.compile(
    rf"{_START}{_BEFORE % 1}(?P<number1>{_NUM})\s*-?\s*(?P<unit1>{_UNIT}){_AFTER % 1}"
)
# 2 560 x 1 440, with the space that groups digits in French and other languages.
_GROUPED = re.compile(
    rf"{_START}([0-9]{{1,2}} [0-9]{{3}}){_BY}([0-9]{{1,2}} "
    rf"[0-9]{{3}})(?![0-9])(?:\s*(?:{_any(words.PIXELS)}))?"
)
_EITHER = re.compile(
    r"(?<![0-9.,])[1-9][0-9]{0,2},[0-9]{3}(?![0-9.,])(?=\s*(?:mm|cm|in|\"|zoll|x\s*[0-9.,]+\s*(?:mm|cm|in|\"|zoll)))",
    re.IGNORECASE,
)
_COUNTS = re.compile(
    rf"@?\s*{_START}(?P<number>[0-9]{{1,3}}(?: [0-9]{{3}})+|{_NUM})\s*-?\s*"
    rf"(?:(?P<per_inch>{_any(words.PER_INCH)}|dpi)(?![a-z])|(?P<per_mm>{_any(words.PER_MM)})(?![a-z])"
    rf"|(?:(?:{_any(words.COUNTED)})\s*)?(?:/|(?:{_any(words.PER)})\s)\s*(?P<unit>{_any(words.UNITS)})(?![a-z]))"
)
_AT = re.compile(r"(?<![a-z])at\s+([+-]?[0-9]{1,9})\s*,\s*([+-]?[0-9]{1,9})(?![0-9.])")
# Our own words, begun and not finished: to be refused rather than left aside.
_HALF_COUNTS = re.compile(r"@\s*[0-9.,]*\s*$")
_HALF_A_PLACE = re.compile(r"(?<![a-z])at\s+[+-]?[0-9.]+\s*,?\s*$")
_SCALING = f"(?:{_any(words.SCALING)})"
_ZOOM = re.compile(
    rf"(?<![a-z])(?:zoom|{_SCALING}(?=[^0-9]{{0,6}}[0-9.,]+\s*[%x]))\s*(?:[:=]|(?:{_any(words.AT)})\s)?\s*"
    rf"(?P<number>{_NUM})\s*(?P<percent>%?)x?"
)
# A percentage alone, and no 100 % of a colour space.
_PERCENT = re.compile(
    rf"(?:@|(?<![a-z])(?:{_any(words.AT)})\s)?\s*{_START}(?P<number>[1-4][0-9]{{2}}(?:[.,]5)?)\s*(?P<percent>%)"
    rf"\s*{_SCALING}?(?=\s*(?:$|[,;|()\x1f]))"
)
# Two 24" monitors, 2 x 27", and no 2x DisplayPort.
_A_DISPLAY = rf"(?:{_any(words.DISPLAYS)})[a-z]{{0,2}}(?![a-z])"
_SEVERAL = re.compile(
    rf"(?<![a-z0-9.,])(?:(?:{_any(words.SEVERAL)})(?:\s+|-)|[2-9]\s*x\s*)"
    rf"(?={_A_DISPLAY}|[1-9][0-9](?:[.,][0-9]+)?\s*-?\s*(?:{_any(u for u in words.UNITS if words.UNITS[u] == 'in')}))"
    rf"|^[2-9]\s+(?={_A_DISPLAY})|[2-9]\s*(?:台|(?:stuck|pcs|pieces|pack)(?![a-z]))"
    rf"|(?<=[\"a-z] )x\s?[2-9](?![0-9.,]|\s*(?:{_any(words.UNITS)}))"
)
_BEZEL = re.compile(rf"(?<![a-z])bezel\s+(?P<number>{_NUM})\s*(?P<unit>{_UNIT})")
_NAMED = re.compile(rf"(?<![a-z0-9])(?<![0-9][.,])(?:{_any(words.NAMED_PIXELS)})(?![a-z0-9+])")
# A number alone that could well be a diagonal whose unit was forgotten.
_BARE_DIAGONAL = re.compile(
    r"(?<![\w.,:/$€£+-])([1-9][0-9](?:[.,][0-9])?)(?=\s*(?:$|[\x1f,;(|]|qhd|wqhd|uhd|4k|5k|fhd|full|ultra))"
)
_SPLIT = re.compile(
    r"[;|()\[\]\x1f\n、。·•]|,(?![0-9])|(?<![0-9]),|\s[-–—](?=\s|\x1f)|(?<=\x1f)[-–—]|\.(?=\s|\x1f|$)"
)

# W x H, with which the order of the sides is said.
_SIDES_ONLY = re.compile(rf"{_LETTER}(?:\s*[x/]\s*{_LETTER}?)?")
# What starts a line and is no name: a reference to a file, measures, and numbers alone.
_SAYS_NO_NAME = re.compile(rf"@|[0-9]{_BY}{_NUM}|{_SINGLE.pattern}|^[\W\d]+$")


class _Dimensions(NamedTuple):
    """Two or three sides: their numbers as written, in the order width, height; ``unit`` is mm, cm,
    in, px or nothing.
    """

    numbers: tuple[str, str]
    unit: str
    start: int
    end: int
    standing: str
    body: bool

    def shorthand(self, where: str) -> str:
        width, height = (_decimal(number, where) for number in self.numbers)
        return f"{width}x{height}{self.unit}"

    def sides_mm(self, where: str) -> tuple[float, float]:
        first, second = (float(_decimal(number, where)) * _MM[self.unit] for number in self.numbers)
        return first, second

    def fineness(self, where: str) -> float:
        """Half a unit of the last place over the number, the two sides together."""
        return sum(_fineness(_decimal(number, where)) for number in self.numbers)


class _Line:
    """One line, folded for matching, with the places of its characters in the text as written."""

    def __init__(self, text: str) -> None:
        # A shell hands on bytes that are no text as lone surrogates.
        self.usable = len(text) <= _LONGEST and not re.search("[\ud800-\udfff]", text)
        shown = _plain(text[:_LONGEST])
        self.shown = shown
        folded = [words.folded(char) or " " for char in shown]
        self.text = "".join(folded)
        self.index = [at for at, chars in enumerate(folded) for _ in chars]
        # What was understood is blanked out, so that nothing is read twice and the rest can be
        # named.
        self.masked = self.text

    def take(self, start: int, end: int) -> None:
        self.masked = self.masked[:start] + "\x1f" * (end - start) + self.masked[end:]

    def take_all(self, pattern: re.Pattern[str]) -> list[re.Match[str]]:
        """All matches, blanked out."""
        found = list(pattern.finditer(self.masked))
        for match in found:
            self.take(*match.span())
        return found

    def give_back(self, start: int, end: int) -> None:
        """What was taken and is of no use after all: it is to be named with the rest."""
        self.masked = self.masked[:start] + self.text[start:end] + self.masked[end:]

    def pairs(self) -> list[_Dimensions]:
        """All pairs of sides, blanked out, each with what it is called."""
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
            standing = (
                "outer" if match.group("number3") else _standing(lead.rpartition("\x1f")[2], tail)
            )
            found.append(_pair_of(match, standing))
        return found

    def reading(self, shorthand: str, doubts: tuple[str, ...]) -> Reading:
        first = self.masked.find("\x1f")
        label, rest = "", []
        for match in re.finditer(
            r"[^\x1e]+", _SPLIT.sub(lambda found: "\x1e" * len(found.group()), self.masked)
        ):
            phrase = self.as_shown(match.start(), match.end())
            says_nothing = not re.search(r"\w", phrase) or _SIDES_ONLY.fullmatch(
                words.folded(phrase)
            )
            if says_nothing or (words.names_a_kind(phrase) and not re.search(r"\d", phrase)):
                continue
            if (
                not label
                and match.start() < first
                and not _SAYS_NO_NAME.search(words.folded(phrase))
            ):
                label = phrase
            else:
                rest.append(phrase)
        return Reading(label, shorthand, tuple(rest), doubts)

    def as_shown(self, start: int, end: int) -> str:
        shown = self.shown[self.index[start] : self.index[end - 1] + 1].strip(" \t.,;:\"'-–—_/*@")
        # Little words that belonged to what was taken: "Schermo da", "Tavoletta di".
        return re.sub(
            r"(?:\s+(?:de|da|di|mit|with|avec|con|of|en|in|im|and|und|et|y|e))+$", "", shown
        )


def _plain(text: str) -> str:
    """Compatible forms of characters as the plain ones, fractions as 1/2, one sign for inches and
    one for times.
    """
    fractions = {
        "½": " 1/2",
        "¼": " 1/4",
        "¾": " 3/4",
        "⅛": " 1/8",
        "⅜": " 3/8",
        "⅝": " 5/8",
        "⅞": " 7/8",
    }
    text = re.sub("[½¼¾⅛⅜⅝⅞]", lambda match: fractions[match.group()], text)
    text = re.sub("(?<=[0-9])-(?=[0-9]/[0-9])", " ", unicodedata.normalize("NFKC", text))
    text = re.sub("′′|''|[″“”„‟〞]", '"', text)
    text = re.sub("[×✕✖⨯хХ]", "x", text)
    text = re.sub("[’‘]", "'", text)
    return re.sub(r"\s+", " ", text).strip()


def _standing(lead: str, tail: str) -> str:
    """What a pair is called by the words before and right after it; of the words before it the last
    counts.
    """
    active, outer = words.last_said(lead, words.ACTIVE), words.last_said(lead, words.OUTER)
    if active > outer or words.last_said(tail, words.ACTIVE) >= 0:
        return "active"
    return "outer" if outer >= 0 else ""


def _pair_of(match: re.Match[str], standing: str) -> _Dimensions:
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
    return _Dimensions(numbers, unit, *match.span(), standing, body)


def _tag(match: re.Match[str], side: int) -> str:
    return next(
        (tag for kind in ("before", "bracket", "after") if (tag := match.group(f"{kind}{side}"))),
        "",
    )


def _unit(word: str) -> str:
    word = re.sub(r"^in\s+", "", word)
    return "px" if word in words.PIXELS else words.UNITS[word]


# Numbers
# ------------------------------------------------------------


def _decimal(number: str, where: str) -> str:
    """A number of a length with a decimal point."""
    whole, _, fraction = number.partition(" ")
    if fraction:
        above, below = fraction.split("/")
        if int(below) not in {2, 4, 8, 16}:
            raise RequestError(Problem(where, "must be a number", quoted(number)))
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
    """A length such as 240,500 mm could be a decimal or thousands."""
    number = _EITHER.search(text)
    if number:
        must = "a comma before three digits could be a decimal comma or group thousands"
        instead = (
            f"Type {_EITHER.sub(lambda match: match.group().replace(',', '.'), text).strip()}, "
            f"or leave the comma out"
        )
        raise RequestError(Problem(where, must, quoted(number.group()), instead))


def _whole(number: str) -> str:
    """The number of a whole thing: what groups its digits in threes is left out."""
    if re.fullmatch(r"[+-]?[0-9]{1,3}(?:[.,' ][0-9]{3})+", number):
        return re.sub("[.,' ]", "", number)
    return number.replace(",", ".")


def _fineness(number: str) -> float:
    return 0.5 * 10.0 ** -len(number.partition(".")[2]) / (abs(float(number)) or 1.0)


def _agree(one: float, other: float) -> bool:
    return abs(one - other) <= _AGREE * max(abs(one), abs(other))


# Tablets
# ------------------------------------------------------------


def _tablet_size(line: _Line, where: str) -> tuple[str | None, tuple[str, ...]]:
    pairs = line.pairs()
    sized = [pair for pair in pairs if pair.unit in _MM]
    for pair in pairs:
        if pair not in sized:
            line.give_back(pair.start, pair.end)
    sized = sized or _named_sides(line)
    chosen = [pair for pair in sized if pair.standing == "active"] or [
        p for p in sized if p.standing != "outer"
    ]
    doubts: tuple[str, ...] = ()
    if not chosen and sized:
        chosen = sized
        doubts = (
            f"{sized[0].shorthand(where)} may be the outer size: what counts is the active area",
        )
    if not chosen:
        return None, ()
    first = chosen[0].sides_mm(where)
    for pair in sized:
        if all(map(_agree, pair.sides_mm(where), first)):
            if pair not in chosen:
                chosen.append(pair)
        elif pair in chosen:
            told = " and ".join(each.shorthand(where) for each in (chosen[0], pair))
            instead = f"Type the active area alone: {chosen[0].shorthand(where)}"
            raise RequestError(Problem(where, "must be one active area", told, instead))
        else:
            line.give_back(pair.start, pair.end)
    return min(chosen, key=lambda pair: pair.fineness(where)).shorthand(where), doubts


def _named_sides(line: _Line) -> list[_Dimensions]:
    """Width and height, each said by its name, as a pair; none where one is missing."""
    sides: dict[str, re.Match[str]] = {}
    for match in line.take_all(_SINGLE):
        tag = match.group("before1") or match.group("after1") or ""
        side = "width" if tag in words.WIDTH else "height" if tag in words.HEIGHT else ""
        if side and side not in sides and _unit(match.group("unit1")) in _MM:
            sides[side] = match
        else:
            line.give_back(*match.span())
    if len(sides) < 2:
        for match in sides.values():
            line.give_back(*match.span())
        return []
    width, height = (
        f"{sides[side]['number1']} {sides[side]['unit1']}" for side in ("width", "height")
    )
    starts, ends = zip(*(match.span() for match in sides.values()), strict=True)
    standing = _standing(line.text[: min(starts)], "")
    return [
        _pair_of(both, standing)._replace(start=min(starts), end=max(ends))
        for both in _PAIR.finditer(f"{width} x {height}")
    ]


def _counts(line: _Line) -> tuple[str, tuple[str, ...]]:
    """The resolution as shorthand has it, ``@150/mm``, and a doubt where it was written as dots."""
    found = line.take_all(_COUNTS)
    if not found:
        return "", ()
    for match in found[1:]:
        line.give_back(*match.span())
    match = found[0]
    number = _whole(match.group("number"))
    if match.group("per_mm"):
        return f"@{number}/mm", ()
    if match.group("per_inch"):
        doubt = (
            "dots per inch were read as the tablet's counts"
            if match.group("per_inch") == "dpi"
            else ""
        )
        return f"@{number}/in", (doubt,) if doubt else ()
    return f"@{number}/{words.UNITS[match.group('unit')]}", ()


# Displays
# ------------------------------------------------------------


def _after(line: _Line) -> list[str]:
    """Place, zoom and bezel, which may stand anywhere."""
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
    found: dict[tuple[int, int], bool] = {}
    for pair in pairs:
        sides = [_whole(number) for number in pair.numbers]
        whole = not pair.body and all(re.fullmatch(r"[0-9]{1,9}", side) for side in sides)
        if not whole or (pair.unit != "px" and min(map(int, sides)) < _LEAST_PX):
            line.give_back(pair.start, pair.end)
            continue
        size = int(sides[0]), int(sides[1])
        found[size] = found.get(size, False) or pair.unit == "px"
    named = _named_pixels(line)
    if not found:
        if named is None:
            return None
        name, size = named
        return *size, (f"{name} was read as {size[0]} x {size[1]} px, its usual number",)
    sizes = [size for size, sure in found.items() if sure] or list(found)
    if named is not None and named[1] in sizes:
        sizes = [named[1]]
    if len(sizes) > 1:
        first, last = (f"{width}x{height}" for width, height in (sizes[0], sizes[-1]))
        instead = (
            f"Type --display again for a second display, or the size with its unit: {first}mm "
            f"{last}"
        )
        raise RequestError(
            Problem(where, "a length needs its unit", f"{first} and {last}", instead)
        )
    doubts: tuple[str, ...] = ()
    if named is not None and named[1] != sizes[0] and not _very_wide(line):
        doubts = (
            (
                f"{named[0]} is usually {named[1][0]} x {named[1][1]} px; the pixels were read as "
                f"written"
            ),
        )
    return *sizes[0], doubts


def _very_wide(line: _Line) -> bool:
    return any(word in line.text for word in words.VERY_WIDE)


def _named_pixels(line: _Line) -> tuple[str, tuple[int, int]] | None:
    """The name of a number of pixels and what it usually means; None for none, for two that differ,
    and for what is wider than usual.
    """
    matches = line.take_all(_NAMED)
    sizes = {words.NAMED_PIXELS[match.group()] for match in matches}
    if len(sizes) != 1:
        for match in matches:
            line.give_back(*match.span())
        return None
    (size,) = sizes
    if _very_wide(line) and size[0] / size[1] < 2:
        return None
    return line.as_shown(*matches[0].span()), size


def _display_size(line: _Line, pairs: list[_Dimensions], proportions: float, where: str) -> str:
    """The size as shorthand has it, empty where none is told."""
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
        right = diagonal is None or _agree((width * width + height * height) ** 0.5, diagonal[0])
        if (
            pair.standing == "active"
            or (fits and right)
            or (diagonal is None and pair.standing != "outer")
        ):
            pictures.append(pair)
        else:
            line.give_back(pair.start, pair.end)
    if pictures:
        finest = min(pictures, key=lambda pair: pair.fineness(where))
        if not all(
            all(map(_agree, pair.sides_mm(where), finest.sides_mm(where))) for pair in pictures
        ):
            told = " and ".join(pair.shorthand(where) for pair in pictures)
            raise RequestError(
                Problem(
                    where,
                    "must have one size of its picture",
                    told,
                    "Type its diagonal, for example 27in",
                )
            )
        return finest.shorthand(where)
    return f"{diagonal[1]}{diagonal[2]}" if diagonal else ""


_Single = tuple[float, str, str, "re.Match[str]"]


def _one_diagonal(line: _Line, singles: list[_Single], where: str) -> _Single | None:
    """The diagonal among the lengths: those in inches first, the finest of those that agree."""
    if not singles:
        return None
    named = [one for one in singles if _says_diagonal(line, one[3])]
    inches = [one for one in singles if one[2] == "in"]
    chosen = named or inches or singles
    first = chosen[0]
    if not all(_agree(one[0], first[0]) for one in chosen):
        told = " and ".join(f"{number}{unit}" for _, number, unit, _ in chosen)
        raise RequestError(
            Problem(where, "must have one diagonal", told, f"Type {first[1]}{first[2]} alone")
        )
    same = [one for one in singles if _agree(one[0], first[0])]
    for one in singles:
        if one not in same:
            line.give_back(*one[3].span())
    return min(same, key=lambda one: _fineness(one[1]))


def _says_diagonal(line: _Line, match: re.Match[str]) -> bool:
    """Whether a word right before or after says that this is the diagonal, or what can be seen of
    it.
    """
    lead = re.split(r"[,;()0-9]", line.text[: match.start()])[-1]
    tail = re.split(r"[,;()0-9]", line.text[match.end() :], maxsplit=1)[0]
    return any(
        word in words.DIAGONAL | words.VISIBLE
        for word in re.findall(r"[^\W\d_]+", f"{lead} {tail}")
    )
