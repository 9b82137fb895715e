"""What a person types for a rectangle, a window or a step, in one line.

=========== ===================================================================================
rectangle   ``10,5,200x120mm``: left, top, width x height; ``10,5 to 210,125mm``: two corners;
            ``centre 110,65,200x120mm``: centre and size with decimal commas where spaces or
            semicolons part the numbers: ``0, 8,5, 240x135mm``, ``0;8,5;240x135mm``
its unit    ``mm``, ``cm``, ``in``, ``%`` of the active area, ``counts`` of the tablet
its origin  the top left of the tablet as built; ``... from bottom-left`` measures up from below
            (for a rectangle: its lower left corner), ``... as seen`` takes the turned tablet's
            edges
window      ``100,80,1600x900px`` of the desktop; ``10,10,80x80%`` of what the pen reaches;
``100,80,800x450logical`` in
            the system's own pixels where it has a zoom, of the primary display; all also ``... of
            LABEL``
step        ``0.5mm``, ``0.01in``, ``0.1%``, ``1count``
entry       ``corners mm``, ``size %``, ``centre in comma``, ``corners counts from bottom-left``
=========== ===================================================================================

All of these speak of the tablet as it was built, since driver forms do; only the hold speaks of
what the artist sees.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING

from mapper.desk import Desktop, Tablet
from mapper.mapping.entry import Entry
from mapper.mapping.forms import SHAPES, UNITS, TypedRect
from mapper.mapping.steps import Step
from mapper.problems import Problem, RequestError, quoted
from mapper.rect import Rect
from mapper.units import NUMBER, as_typed, exact_decimal, with_point
from profiles.doubts import doubt

if TYPE_CHECKING:
    from collections.abc import Iterable

RECT_HINT = (
    "Type left,top,width x height and the unit, for example 10,5,200x120mm, or two corners: 10,5 "
    "to 210,125mm"
)
WINDOW_HINT = (
    "Type left,top,width x height in px or %, for example 100,80,1600x900px or 10,10,80x80%"
)
ENTRY_HINT = (
    'Type for example "corners mm", "size %", "centre in comma" or "corners counts from '
    'bottom-left"'
)
STEP_HINT = "Type for example 0.5mm, 0.01in, 0.1% or 1count"

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
_N = rf"\s*({NUMBER})\s*"
_SIZE = re.compile(
    rf"(centre\s|center\s)?{_N},{_N},{_N}[xX\u00d7*]{_N}({_UNIT})?", re.IGNORECASE | re.ASCII
)
_CORNERS = re.compile(rf"{_N},{_N}to{_N},{_N}({_UNIT})?", re.IGNORECASE | re.ASCII)
_PARTED = re.compile(r"\bto\b|[xX\u00d7*]")
_ONE = re.compile(rf"{_N}({_UNIT})?\s*", re.IGNORECASE | re.ASCII)
_FROM_BOTTOM = re.compile(r"(.*\S)\s+from\s+bottom-left", re.IGNORECASE | re.DOTALL)
_AS_SEEN = re.compile(r"(.*\S)\s+as\s+seen", re.IGNORECASE | re.DOTALL)
_OF_DISPLAY = re.compile(r"(.*\S)\s+of\s+(\S.*)", re.IGNORECASE | re.DOTALL)
# More digits than any real length has; a longer text is a slip or an attack on int().
_LONGEST = 200


def parse_rect(text: str, where: str, tablet: Tablet) -> Rect:
    """A rectangle of the tablet as a person types it, in mm, built frame.

    Raises RequestError naming ``where`` and saying what to type instead; whether it lies on the
    tablet is for the caller to judge.
    """
    rest = text.strip()
    from_bottom = as_seen = False
    while match := _FROM_BOTTOM.fullmatch(rest) or _AS_SEEN.fullmatch(rest):
        from_bottom = from_bottom or match.re is _FROM_BOTTOM
        as_seen = as_seen or match.re is _AS_SEEN
        rest = match.group(1)
    numbers, unit, shape = _four(rest, text, where, RECT_HINT)
    if unit in {"px", "logical"}:
        raise RequestError(
            Problem(where, f"is on the tablet, so its unit must be {_TABLET_UNITS}", quoted(text))
        )
    typed = TypedRect(numbers, unit, shape, from_bottom)
    active = tablet.active_seen_mm if as_seen else tablet.active_built_mm
    rect = typed.rect_mm(active, tablet.counts_per_mm, where)
    return tablet.built_rect_mm(rect) if as_seen else rect


def parse_window(text: str, where: str, desktop: Desktop, onto: tuple[str, ...]) -> Rect:
    """A window as a person types it, in px of the desktop.

    Pixels are those of the whole desktop; logical pixels are from the top left of the named or the
    primary display, as large as its zoom makes them; percentages are of the display that is named
    after ``of``, else of the displays ``onto`` together, else of the primary one. Raises
    RequestError naming ``where``.
    """
    rest, label = text.strip(), None
    match = _OF_DISPLAY.fullmatch(rest)
    if match:
        rest, label = match.group(1), match.group(2)
    numbers, unit, shape = _four(rest, text, where, WINDOW_HINT)
    if unit not in {"px", "percent", "logical"}:
        raise RequestError(
            Problem(
                where,
                "is on the screen, so its unit must be px, logical or %",
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
    """A driver's step as a person types it. Raises RequestError naming ``where``."""
    match = _ONE.fullmatch(with_point(text, where)) if len(text) < _LONGEST else None
    if not match or (match.group(2) or "").lower() in {"px", "logical"}:
        raise RequestError(Problem(where, "must be a driver's step", quoted(text), STEP_HINT))
    if match.group(2) is None:
        raise RequestError(Problem(where, "a step needs its unit", quoted(text), STEP_HINT))
    unit, times = _UNITS[match.group(2).lower()]
    return Step(exact_decimal(match.group(1), times), unit, shape_tolerance_percent)


def parse_entry(text: str, where: str) -> Entry:
    """The form of a driver's settings as a person types it, in any order of its words.

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
        units = ["inch"]
    shapes = [{"center": "centre"}.get(word, word) for word in words if word in {*SHAPES, "center"}]
    known = {*named, *SHAPES, "center", "from-top", "from-bottom", "comma", "point", "and"}
    wrong = [word for word in words if word not in known]
    if wrong or len(units) != 1 or len(shapes) > 1:
        must = f"must say which numbers ({_SHAPES}) and their unit ({_TABLET_UNITS})"
        raise RequestError(Problem(where, must, quoted(text), ENTRY_HINT))
    return Entry(
        shapes[0] if shapes else "size", units[0], "from-bottom" in words, "comma" in words
    )


def parse_percent(text: str, where: str) -> float:
    """A percentage as a person types it, its sign optional: ``0.1%``.

    Raises RequestError naming ``where``.
    """
    match = _ONE.fullmatch(with_point(text, where)) if len(text) < _LONGEST else None
    if not match or match.group(2) not in {None, "%", "percent"}:
        raise RequestError(Problem(where, "must be a percentage", quoted(text), "Type 0.1%"))
    return exact_decimal(match.group(1))


def _with_points(text: str) -> str:
    """``text`` with points for its decimal commas and commas between its numbers, where it can be
    read in one way only.

    Semicolons or spaces part the numbers of ``10,5; 5,2; 200,5x120,5mm``, and
    ``10,5,5,2,200,5x120,5mm`` has two commas for each of three numbers; behind the x a comma cannot
    part anything. Else it is left as it is.
    """
    if re.search(r"\d,\d", text) is None:
        return text
    # What stands on either side of the x or the "to", and how many numbers that side has.
    first, between, last = (
        re.split(r"(\bto\b|[xX\u00d7*])", text, maxsplit=1)
        if _PARTED.search(text)
        else (text, "", "")
    )
    numbers = 2 if between == "to" else 3
    return f"{_side(first, numbers)}{between}{_side(last, 2 if between == 'to' else 1)}"


def _side(text: str, count: int) -> str:
    """``text`` with its ``count`` numbers written with points and parted by commas, where only one
    reading has that many.
    """
    match = re.fullmatch(
        r"(\s*(?:centre|center)\s)?(.*?)(\s*[^\d,;.\s]*\s*)", text, re.IGNORECASE | re.DOTALL
    )
    before, numbers, after = (
        (match.group(1) or "", match.group(2).strip(), match.group(3)) if match else ("", text, "")
    )
    parts = re.split(r"\s*;\s*|,?\s+", numbers)
    if len(parts) != count:
        digits = numbers.split(",")
        # A decimal comma has digits alone on both sides; six pieces are three such numbers, four
        # are two.
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


def _four(
    rest: str, text: str, where: str, hint: str
) -> tuple[tuple[Fraction, Fraction, Fraction, Fraction], str, str]:
    """The four numbers, their unit and their shape."""
    if len(rest) >= _LONGEST:
        raise RequestError(Problem(where, "must be a rectangle", quoted(text), hint))
    pointed = _with_points(rest)
    if pointed != rest:
        doubt(f"read as {pointed}", where, is_reading=True)
    size, corners = _SIZE.fullmatch(pointed), _CORNERS.fullmatch(pointed)
    if size:
        shape = "centre" if size.group(1) else "size"
        *digits, unit = size.groups()[1:]
    elif corners:
        shape = "corners"
        *digits, unit = corners.groups()
    else:
        raise RequestError(Problem(where, "must be a rectangle", quoted(text), hint))
    if unit is None:
        raise RequestError(Problem(where, "a rectangle needs its unit", quoted(text), hint))
    name, times = _UNITS[unit.lower()]
    first, second, third, fourth = (Fraction(each) * times for each in digits)
    return (first, second, third, fourth), name, shape
