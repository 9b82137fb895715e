"""Rectangles, windows, steps and forms of entry as a person types them, in one line.

========== ========================================================================================
rectangle  ``10,5,200x120mm``: left, top, width x height; ``10,5 to 210,125mm``: two corners;
           ``centre 110,65,200x120mm``: centre and size; decimal commas where spaces or semicolons
           part the numbers: ``0, 8,5, 240x135mm``, ``0;8,5;240x135mm``
its unit   ``mm``, ``cm``, ``in``, ``%`` of the active area, ``counts`` of the tablet
its origin the top left of the tablet as built; with ``from bottom-left`` after it heights count up
           from the bottom, and a rectangle is given by its lower left corner; with ``as seen``
           after it the tablet is taken as it lies turned
window     ``100,80,1600x900px`` of the desktop; ``10,10,80x80%`` of what the pen reaches;
           ``100,80,800x450logical`` in the system's own pixels, where it has a zoom, of the primary
           display; each also with ``of LABEL`` after it
step       ``0.5mm``, ``0.01in``, ``0.1%``, ``1count``
entry      ``corners mm``, ``size %``, ``centre in comma``, ``corners counts from bottom-left``
========== ========================================================================================

All of these but the window are in the built frame, as the forms of drivers are. Only the hold
speaks of what the artist sees.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING

from mapper.desk import Desktop, Tablet
from mapper.mapping.entry import Entry
from mapper.mapping.forms import SHAPES, UNITS, TypedRect
from mapper.mapping.steps import Step
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, quoted
from mapper.rect import Rect
from mapper.units import NUMBER, as_typed, exact_decimal, narrowed, with_decimal_point
from profiles.doubts import doubt

if TYPE_CHECKING:
    from collections.abc import Iterable

RECT_HINT = phrase(
    "Type left,top,width x height and the unit, for example 10,5,200x120mm, or two "
    "corners: 10,5 to 210,125mm"
)
WINDOW_HINT = phrase(
    "Type left,top,width x height in px or %, for example 100,80,1600x900px or 10,10,80x80%"
)
ENTRY_HINT = phrase(
    'Type for example "corners mm", "size %", "centre in comma" or "corners counts '
    'from bottom-left"'
)
STEP_HINT = phrase("Type for example 0.5mm, 0.01in, 0.1% or 1count")

# What a word behind a number means: a unit, and how many of it.
_UNITS = {"cm": ("mm", 10)}
_UNITS |= {word: (unit.name, 1) for unit in UNITS.values() for word in unit.typed}
_UNITS |= {"px": ("px", 1), "logical": ("logical", 1)}


def _either(words: Iterable[str]) -> str:
    """``mm, in, % or counts``."""
    *first, last = words
    return f"{', '.join(first)} or {last}"


_TABLET_UNITS = _either(unit.sign for unit in UNITS.values())
_SHAPES = _either(SHAPES)

_UNIT = "|".join(map(re.escape, sorted(_UNITS, key=len, reverse=True)))
_SPACED_NUMBER = rf"\s*({NUMBER})\s*"
# left,top,width x height, with "centre" before it where it is the centre that is given.
_SIZE = re.compile(
    rf"""
    (centre\s|center\s)?
    {_SPACED_NUMBER} , {_SPACED_NUMBER} , {_SPACED_NUMBER} [xX\u00d7*] {_SPACED_NUMBER}
    ({_UNIT})?
    """,
    re.IGNORECASE | re.ASCII | re.VERBOSE,
)
# Two corners: left,top to right,bottom.
_CORNERS = re.compile(
    rf"""
    {_SPACED_NUMBER} , {_SPACED_NUMBER} to {_SPACED_NUMBER} , {_SPACED_NUMBER}
    ({_UNIT})?
    """,
    re.IGNORECASE | re.ASCII | re.VERBOSE,
)
_BY_OR_TO = re.compile(r"(\bto\b|[xX\u00d7*])")
_QUANTITY = re.compile(rf"{_SPACED_NUMBER}({_UNIT})?\s*", re.IGNORECASE | re.ASCII)
_FROM_BOTTOM = re.compile(r"(.*\S)\s+from\s+bottom-left", re.IGNORECASE | re.DOTALL)
_AS_SEEN = re.compile(r"(.*\S)\s+as\s+seen", re.IGNORECASE | re.DOTALL)
_OF_DISPLAY = re.compile(r"(.*\S)\s+of\s+(\S.*)", re.IGNORECASE | re.DOTALL)
# More digits than any real length has; a longer text is a slip or an attack on int().
_LONGEST = 200


def parse_rect(text: str, where: str, tablet: Tablet) -> Rect:
    """The rectangle of ``tablet`` that a person typed, in mm, built frame.

    It need not lie on the tablet: that is for the caller to judge. Raises RequestError naming
    ``where`` and saying what to type instead.
    """
    rest = narrowed(text).strip()
    from_bottom = as_seen = False
    while match := _FROM_BOTTOM.fullmatch(rest) or _AS_SEEN.fullmatch(rest):
        from_bottom = from_bottom or match.re is _FROM_BOTTOM
        as_seen = as_seen or match.re is _AS_SEEN
        rest = match.group(1)
    numbers, unit, shape = _rect_parts(rest, text, where, RECT_HINT)
    if unit in {"px", "logical"}:
        raise RequestError(
            Problem(
                where,
                phrase(
                    "is on the tablet, so its unit must be {tablet_units}",
                    tablet_units=_TABLET_UNITS,
                ),
                quoted(text),
            )
        )
    typed = TypedRect(numbers, unit, shape, from_bottom)
    active = tablet.active_seen_mm if as_seen else tablet.active_built_mm
    rect = typed.rect_mm(active, tablet.counts_per_mm, where)
    return tablet.built_rect_mm(rect) if as_seen else rect


def parse_window(text: str, where: str, desktop: Desktop, onto: tuple[str, ...]) -> Rect:
    """The window that a person typed, in px of the desktop.

    Pixels are those of the whole desktop. Logical pixels count from the top left of the named or
    the primary display, as large as its zoom makes them. Percentages are of the display named after
    ``of``, else of the displays ``onto`` together, else of the primary one. Raises RequestError
    naming ``where``.
    """
    rest, label = narrowed(text).strip(), None
    match = _OF_DISPLAY.fullmatch(rest)
    if match:
        rest, label = match.group(1), match.group(2)
    numbers, unit, shape = _rect_parts(rest, text, where, WINDOW_HINT)
    if unit not in {"px", "percent", "logical"}:
        raise RequestError(
            Problem(
                where,
                phrase("is on the display, so its unit must be px, logical or %"),
                quoted(text),
                WINDOW_HINT,
            )
        )
    if unit == "px":
        whole = desktop.rect_px if label is None else desktop.named(label, where).rect_px
        origin = (0.0, 0.0) if label is None else (whole.left, whole.top)
        part = TypedRect(numbers, "mm", shape).rect_mm(whole, None, where)
        return Rect(origin[0] + part.left, origin[1] + part.top, part.width, part.height)
    if unit == "logical":
        display = desktop.primary if label is None else desktop.named(label, where)
        exact_zoom = as_typed(display.zoom)
        scaled = TypedRect(tuple(each * exact_zoom for each in numbers), "mm", shape)  # type: ignore[arg-type]
        part = scaled.rect_mm(display.rect_px, None, where)
        return Rect(display.left_px + part.left, display.top_px + part.top, part.width, part.height)
    labels = (label,) if label is not None else onto or (desktop.primary.label,)
    whole = Rect.enclosing(*(desktop.named(each, where).rect_px for each in labels))
    part = TypedRect(numbers, "percent", shape).rect_mm(whole, None, where)
    return Rect(whole.left + part.left, whole.top + part.top, part.width, part.height)


def parse_step(text: str, where: str, *, shape_tolerance_percent: float) -> Step:
    """The step of a driver's settings that a person typed. Raises RequestError naming ``where``."""
    match = _QUANTITY.fullmatch(with_decimal_point(text, where)) if len(text) < _LONGEST else None
    if not match or (match.group(2) or "").lower() in {"px", "logical"}:
        raise RequestError(
            Problem(
                where, phrase("must be a step of the tablet's settings"), quoted(text), STEP_HINT
            )
        )
    if match.group(2) is None:
        raise RequestError(Problem(where, phrase("a step needs its unit"), quoted(text), STEP_HINT))
    unit, times = _UNITS[match.group(2).lower()]
    return Step(exact_decimal(match.group(1), times), UNITS[unit].name, shape_tolerance_percent)


def parse_entry(text: str, where: str) -> Entry:
    """The form of a driver's settings that a person typed, its words in any order.

    Raises RequestError naming ``where``.
    """
    words = (
        re.sub(r"from\s+(?:the\s+)?(top|bottom)[\s-]left", r"from-\1", text.lower())
        .replace(",", " ")
        .split()
    )
    named = {word: unit.name for unit in UNITS.values() for word in unit.typed}
    units = [named[word] for word in words if word in named and word != "in"]
    if not units and "in" in words:
        # "corners in", and not "corners in mm".
        units = [named["in"]]
    shapes = [{"center": "centre"}.get(word, word) for word in words if word in {*SHAPES, "center"}]
    known = {*named, *SHAPES, "center", "from-top", "from-bottom", "comma", "point", "and"}
    if not known.issuperset(words) or len(units) != 1 or len(shapes) > 1:
        must = phrase(
            "must say which numbers ({shapes}) and their unit ({tablet_units})",
            shapes=_SHAPES,
            tablet_units=_TABLET_UNITS,
        )
        raise RequestError(Problem(where, must, quoted(text), ENTRY_HINT))
    return Entry(
        SHAPES[shapes[0] if shapes else "size"].name,
        units[0],
        "from-bottom" in words,
        "comma" in words,
    )


def parse_percent(text: str, where: str) -> float:
    """The percentage that a person typed, with or without its sign: 0.1 for ``0.1%``.

    Raises RequestError naming ``where``.
    """
    match = _QUANTITY.fullmatch(with_decimal_point(text, where)) if len(text) < _LONGEST else None
    if not match or match.group(2) not in {None, "%", "percent"}:
        raise RequestError(
            Problem(where, phrase("must be a percentage"), quoted(text), phrase("Type 0.1%"))
        )
    return exact_decimal(match.group(1))


def _with_points(text: str) -> str:
    """``text`` with decimal points and commas between its numbers, where one reading is possible.

    Semicolons or spaces part the numbers of ``10,5; 5,2; 200,5x120,5mm``.
    ``10,5,5,2,200,5x120,5mm`` has two commas for each of three numbers, and behind the x a comma
    cannot part anything. Any other text is left as it is.
    """
    if re.search(r"\d,\d", text) is None:
        return text
    # What stands on either side of the x or the "to", and how many numbers that side has.
    first, between, last = text, "", ""
    if _BY_OR_TO.search(text):
        first, between, last = _BY_OR_TO.split(text, maxsplit=1)
    count_first, count_last = (2, 2) if between == "to" else (3, 1)
    first = _numbers_with_points(first, count_first)
    return f"{first}{between}{_numbers_with_points(last, count_last)}"


def _numbers_with_points(text: str, count: int) -> str:
    """``text`` with its ``count`` numbers written with points and parted by commas.

    It stays as it is where no reading, or more than one, has so many numbers.
    """
    match = re.fullmatch(
        r"(\s*(?:centre|center)\s)?(.*?)(\s*[^\d,;.\s]*\s*)", text, re.IGNORECASE | re.DOTALL
    )
    before, numbers, after = "", text, ""
    if match:
        numbers, after = match.group(2).strip(), match.group(3)
        # "1 to 2" keeps its space.
        before = match.group(1) or " " * (text[:1] == " ")
    parts = re.split(r"\s*;\s*|,?\s+", numbers)
    if len(parts) != count:
        digits = numbers.split(",")
        # A decimal comma has digits alone on both sides: six pieces are three numbers, four are
        # two.
        if len(digits) != 2 * count or not all(
            re.fullmatch(r"[-+]?\d+", each.strip()) for each in digits
        ):
            return text
        parts = [
            f"{whole},{places}" for whole, places in zip(digits[::2], digits[1::2], strict=True)
        ]
    # Three digits behind a comma could be grouped thousands.
    if not all(re.fullmatch(r"[-+]?\d+(?:\.\d+|,(?!\d{3}$)\d+)?", each) for each in parts):
        return text
    return f"{before}{','.join(each.replace(',', '.') for each in parts)}{after}"


def _rect_parts(
    rest: str, text: str, where: str, hint: str
) -> tuple[tuple[Fraction, Fraction, Fraction, Fraction], str, str]:
    """The four numbers of a rectangle, their unit and its shape: size, centre or corners.

    ``rest`` is ``text`` without the words after its unit. Raises RequestError naming ``where``,
    with the whole text.
    """
    if len(rest) >= _LONGEST:
        raise RequestError(Problem(where, phrase("must be a rectangle"), quoted(text), hint))
    pointed = _with_points(rest)
    if pointed != rest:
        doubt(phrase("read as {pointed}", pointed=pointed), where, is_reading=True)
    size, corners = _SIZE.fullmatch(pointed), _CORNERS.fullmatch(pointed)
    if size:
        shape = "centre" if size.group(1) else "size"
        *digits, unit = size.groups()[1:]
    elif corners:
        shape = "corners"
        *digits, unit = corners.groups()
    else:
        raise RequestError(Problem(where, phrase("must be a rectangle"), quoted(text), hint))
    if unit is None:
        raise RequestError(Problem(where, phrase("a rectangle needs its unit"), quoted(text), hint))
    name, times = _UNITS[unit.lower()]
    first, second, third, fourth = (Fraction(each) * times for each in digits)
    return (first, second, third, fourth), name, shape
