"""Tablets and displays as a person types them, in one line.

======== ==========================================================================================
tablet   ``240x152mm``, ``9.4x6in``; with the resolution ``240x152mm@150/mm`` or ``@3810/in``;
         ``medium``, one of the usual sizes that ``pair`` lists
display  ``27in 2560x1440`` (diagonal, square pixels), ``597x336mm 2560x1440``, ``2560x1440`` (size
         unknown), ``27in-qhd``
either   with a label before it: ``desk: 240x152mm``; in double quotes a label may hold anything, a
         quote twice: ``"desk: left": 24in 1920x1080``
display  with its place, the system's zoom and the frame around the picture after it, in any order:
         ``left: 24in 1920x1080 at -1920,0 zoom 1.5 bezel 8mm``
either   as the hardware describes itself: ``@edid:FILE``, ``@hid:FILE``, ``@connected``
         (``profiles/hardware/references.py``); what is doubtful in that becomes a doubt
either   as shops, forums and spreadsheets write it (``profiles/pasted.py``); how it was understood
         and what was left aside become a doubt
======== ==========================================================================================

Displays without a place stand side by side, from left to right, tops aligned. Doubts go to the
listener of ``profiles/doubts.py``.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from mapper.desk import Display, Tablet, TurnDeg
from mapper.phrases import any_of, phrase
from mapper.problems import Collected, Problem, RequestError, found_at, quoted
from mapper.units import MOST_DIGITS, NUMBER, exact_decimal, parse_length_mm, usual_units
from profiles.doubts import doubt
from profiles.written import inches, per_inch

if TYPE_CHECKING:
    from mapper.rect import Rect
    from profiles.pasted import Reading

TABLET_HINT = phrase(
    "Type width x height and the unit, for example 240x152mm, 9.4x6in or 240x152mm@150/mm"
)
DISPLAY_HINT = phrase(
    'Type for example "27in 2560x1440", "597x336mm 2560x1440" or "left: 24in 1920x1080 at -1920,0"'
)

_BY = r"\s*[xX\u00d7*]\s*"
_UNIT = r"(?:\s*([a-zA-Z\"″']+))?"
_LABEL = re.compile(r"\s*([^:]*\S)\s*:\s+(.*)", re.DOTALL)
# In quotes a label may hold anything, a quote twice.
_QUOTED_LABEL = re.compile(r'\s*"((?:[^"]|"")+)"\s*:\s+(.*)', re.DOTALL)
_SIZE = rf"({NUMBER}){_UNIT}{_BY}({NUMBER}){_UNIT}"
_TABLET = re.compile(rf"\s*{_SIZE}\s*(?:@\s*(.*))?", re.DOTALL)
#: A size and pixels, which only a display has.
_SWAPPED = rf"(?s:.*)\d\s*(?:mm|cm|in|\")\s+\d{{3,5}}{_BY}\d{{3,5}}\s*(?:px)?\s*"
#: Whoever typed a longer tablet in metres meant mm.
_LONGEST_IN_METRES_MM = 5000.0
#: Compiled where it is used, as most tablets are typed without one.
_RESOLUTION = rf"({NUMBER})\s*(?:counts)?\s*(?:/|per)\s*(mm|cm|in|inch)\s*"
_PER_MM = {"mm": (1, 1), "cm": (1, 10), "in": (10, 254), "inch": (10, 254)}
_WHOLE = re.compile(r"[+-]?\d{1,9}", re.ASCII)
_PLACE_ZOOM_BEZEL = re.compile(r"(.*\S)\s+(at|zoom|bezel)\s+(\S.*)", re.DOTALL)
# 2x27in are two displays.
_COUNTED = re.compile(rf"[2-9]{_BY}[1-9]\d")
_DISPLAY = re.compile(rf"\s*(.*?)\s*(?<![\d.])(\d{{1,9}}){_BY}(\d{{1,9}})(?:\s*px)?\s*", re.DOTALL)


def parse_tablet(text: str, where: str, *, turn_deg: TurnDeg = 0) -> Tablet:
    """The tablet that a person typed.

    Raises RequestError naming ``where`` and saying what to type instead.
    """
    label, rest = _split_label(text)
    if rest.lstrip().startswith("@"):
        return _hardware_tablet(rest, where, turn_deg, label or "")
    try:
        tablet = _plain_tablet(rest, where, turn_deg, label or "")
    except RequestError:
        reading = _named_tablet(text) or _reading("pasted_tablet", text, where)
        if reading is None:
            raise
        tablet = _plain_tablet(reading.shorthand, where, turn_deg, reading.label)
        _doubt_reading(reading, where)
    _doubt_unlikely("unlikely_tablet", tablet, where)
    return tablet


def _plain_tablet(text: str, where: str, turn_deg: TurnDeg, label: str) -> Tablet:
    """The tablet in the shorthand ``text``, which has no label."""
    match = _TABLET.fullmatch(text)
    if not match:
        hint = TABLET_HINT
        if re.fullmatch(_SWAPPED, text):
            hint = phrase("That is a display: type it after --display")
        raise RequestError(
            Problem(where, phrase("must be a tablet's active area"), quoted(text), hint)
        )
    width, width_unit, height, height_unit, resolution = match.groups()
    width_mm, height_mm = _size_mm(width, width_unit, height, height_unit, where)
    if "m" in {width_unit, height_unit} and max(width_mm, height_mm) > _LONGEST_IN_METRES_MM:
        meant = phrase("Did you mean {meant}?", meant=f"{width}x{height}mm")
        must = phrase("must be a tablet's active area")
        raise RequestError(Problem(where, must, quoted(text), meant))
    with found_at(where):
        counts = None if resolution is None else _counts_per_mm(resolution, where)
        return Tablet(width_mm, height_mm, counts, turn_deg, label)


def parse_displays(texts: tuple[str, ...], where: str) -> tuple[Display, ...]:
    """The displays that a person typed.

    Without a place the first stands at 0,0 and each other to the right of the one before it. Labels
    default to ``main``, ``second``, ``third`` and so on. Raises RequestError naming ``where``, with
    the problems of all displays at once.
    """
    if any(text.strip().lower().partition(":")[0] == "@desktop" for text in texts):
        if len(texts) > 1:
            must = phrase("@desktop stands for all displays, and stands alone")
            raise RequestError(
                Problem(
                    where, must, quoted(", ".join(texts)), phrase("Leave the other displays out")
                )
            )
        return _system_displays(texts[0], where)
    displays: list[Display] = []
    problems: list[Problem] = []
    next_left = 0
    for index, text in enumerate(texts):
        with Collected(problems):
            display = _parse_display(
                text, where, next_left, _ORDINALS.get(index, f"display {index + 1}")
            )
            displays.append(display)
            next_left = display.left_px + display.width_px
    if problems:
        raise RequestError(*problems)
    return tuple(displays)


_ORDINALS = {0: "main", 1: "second", 2: "third", 3: "fourth", 4: "fifth"}


def _system_displays(text: str, where: str) -> tuple[Display, ...]:
    """All displays of the running system."""
    from profiles.hardware.references import desktop_of

    with found_at(where):
        displays, doubts = desktop_of(text, where)
    _doubt_each(text, doubts)
    return displays


def _parse_display(text: str, where: str, left_px: int, label: str) -> Display:
    """The display that a person typed, by default at ``left_px`` and called ``label``."""
    typed_label, rest = _split_label(text)
    reference = rest.lstrip().startswith("@")
    try:
        rest, after = _split_after(rest, where)
        placed = {"label": typed_label or label, "left_px": left_px, **after}
        if reference:
            return _hardware_display(rest, where, placed)
        display = _plain_display(rest, where, placed)
    except RequestError:
        reading = None if reference else _reading("pasted_display", text, where)
        if reading is None:
            raise
        rest, after = _split_after(reading.shorthand, where)
        display = _plain_display(
            rest, where, {"label": reading.label or label, "left_px": left_px, **after}
        )
        _doubt_reading(reading, where)
    _doubt_unlikely("unlikely_display", display, where)
    return display


def _plain_display(text: str, where: str, placed: dict[str, Any]) -> Display:
    """The display in the shorthand ``text``, which has no label and nothing after its pixels.

    ``placed`` are the further fields of the Display.
    """
    match = _DISPLAY.fullmatch(text)
    if not match:
        must = phrase("must be the size and the pixels of a display")
        raise RequestError(Problem(where, must, quoted(text), _display_hint(text, where)))
    size, width_px, height_px = match.groups()
    with found_at(where):
        return _with_size(Display(int(width_px), int(height_px), **placed), size, where)


def _display_hint(text: str, where: str) -> str:
    """What to type instead of ``text``, with the size in it where one was typed."""
    try:
        reading = _reading("pasted_display", f"{text} 2560x1440", where)
    except RequestError:
        return DISPLAY_HINT
    if reading is None or not reading.shorthand.endswith("1440"):
        return DISPLAY_HINT
    size = reading.shorthand.removesuffix("2560x1440").strip()
    return (
        phrase("Add its pixels, for example {size} 2560x1440 or {size}-qhd", size=size)
        if size
        else DISPLAY_HINT
    )


def _reading(reader: str, text: str, where: str) -> Reading | None:
    # Imported where shorthand was not typed: most people type it, and start-up is a feature.
    """What ``reader``, a function of profiles.pasted, understands of ``text``."""
    from profiles import pasted

    read: Reading | None = getattr(pasted, reader)(text, where)
    return read


def _named_tablet(text: str) -> Reading | None:
    """The usual size of tablet that ``text`` names, or None.

    A resolution and a remark in brackets may follow its name.
    """
    name, at, counts = re.sub(r"\s*\([^()]*\)", "", text).partition("@")
    if not name.strip().replace(" ", "").isalpha():
        return None
    from mapper.choosing.pairing import CUSTOMARY_TABLETS
    from profiles.pasted import Reading

    for tablet in CUSTOMARY_TABLETS:
        if " ".join(name.lower().split()) == tablet.label:
            size = f"{tablet.width_mm:g}x{tablet.height_mm:g}mm{at}{counts}"
            return Reading(
                tablet.label,
                size,
                doubts=(phrase("a usual size; yours may differ, so measure it"),),
            )
    return None


def _doubt_reading(reading: Reading, where: str) -> None:
    """Send a doubt that says how a text was read."""
    label = f"{reading.label}: " if reading.label else ""
    said: str = phrase("read as {text}", text=f"{label}{reading.shorthand}")
    for sentence in reading.doubts:
        said = phrase("{said}; {further}", said=said, further=sentence)
    if reading.left_aside:
        ignored = phrase("ignored: {words}", words=", ".join(reading.left_aside))
        said = phrase("{said}; {further}", said=said, further=ignored)
    doubt(said, where, is_reading=True)


def _doubt_unlikely(judge: str, thing: Tablet | Display, where: str) -> None:
    """Send what ``judge``, a function of profiles.unlikely, says of ``thing`` as doubts."""
    from profiles import unlikely

    for sentence in getattr(unlikely, judge)(thing):
        doubt(sentence, where)


def _split_after(text: str, where: str) -> tuple[str, dict[str, Any]]:
    """What stands before place, zoom and bezel, and those of the three that were typed.

    They are handed back as fields of a Display.
    """
    after: dict[str, Any] = {}
    while match := _PLACE_ZOOM_BEZEL.fullmatch(text):
        before, word, value = match.groups()
        if not re.match(r"[+-]?[.0-9]", value):
            # "bezel design" of a shop's line, and no bezel.
            break
        if word == "bezel":
            from profiles.unlikely import likely_length_mm

            typed = {"bezel_mm": likely_length_mm(value, where, "--bezel")}
        elif word == "zoom":
            typed = {"zoom": _zoom(value, where)}
        else:
            x, comma, y = value.partition(",")
            sides = (x.strip(), y.strip() if comma else "0")
            if not all(re.fullmatch(NUMBER, side) and len(side) <= MOST_DIGITS for side in sides):
                break
            if not comma or not all(map(_WHOLE.fullmatch, sides)):
                must = phrase("must stand at whole pixels")
                if not comma:
                    must = phrase("must stand at two numbers")
                place = ",".join(str(round(float(side))) for side in sides)
                instead = phrase("Type {before} at {place}", before=before, place=place)
                raise RequestError(Problem(where, must, quoted(f"at {value}"), instead))
            typed = {"left_px": int(x), "top_px": int(y)}
        text, after = before, {**typed, **after}
    return text, after


def _zoom(text: str, where: str) -> float:
    """The zoom that was typed as ``1.5`` or ``150%``: 1.5."""
    digits = text.strip().removesuffix("%").strip()
    if not re.fullmatch(NUMBER, digits, re.ASCII) or len(digits) > MOST_DIGITS:
        raise RequestError(
            Problem(where, phrase("zoom must be a number"), quoted(text), phrase("Type zoom 1.5"))
        )
    return exact_decimal(digits, divisor=100 if text.strip().endswith("%") else 1)


def _hardware_tablet(reference: str, where: str, turn_deg: TurnDeg, label: str) -> Tablet:
    """The tablet that ``reference`` stands for, as it describes itself."""
    from profiles.hardware.references import pen_of

    with found_at(where):
        pen, doubts = pen_of(reference, where)
        _doubt_each(reference, doubts)
        return pen.tablet(where, turn_deg=turn_deg, label=label)


def _hardware_display(reference: str, where: str, placed: dict[str, Any]) -> Display:
    """The display that ``reference`` stands for, with the fields ``placed``."""
    from profiles.hardware.references import display_of, in_use

    with found_at(where):
        facts = display_of(reference, where)
        _doubt_each(reference, facts.doubts)
        display = replace(facts.display(where), **placed)
        if reference.strip().lower().startswith("@connected"):
            return in_use(reference, display)
        return display


def _doubt_each(reference: str, sentences: tuple[str, ...]) -> None:
    for sentence in sentences:
        doubt(sentence, reference.strip())


def _with_size(bare: Display, size: str, where: str) -> Display:
    """``bare`` with the ``size`` that was typed: empty, a diagonal, or width and height."""
    if not size:
        return bare
    both = re.fullmatch(_SIZE, size)
    if both and not _COUNTED.match(size):
        width, width_unit, height, height_unit = both.groups()
        width_mm, height_mm = _size_mm(width, width_unit, height, height_unit, where)
        return replace(bare, width_mm=width_mm, height_mm=height_mm)
    return bare.with_diagonal(parse_length_mm(size, where))


def label_text(label: str) -> str:
    """A label as it is typed before its colon, in quotes where it needs them."""
    plain = _split_label(f"{label}: 1x1mm") == (label, "1x1mm")
    return label if plain else '"{}"'.format(label.replace('"', '""'))


def _split_label(text: str) -> tuple[str | None, str]:
    """The label before the first colon, None where there is none, and the rest of ``text``."""
    in_quotes = _QUOTED_LABEL.fullmatch(text)
    if in_quotes:
        return in_quotes.group(1).replace('""', '"'), in_quotes.group(2)
    # @edid:my: display is a file and no label.
    match = None if text.lstrip().startswith("@") else _LABEL.fullmatch(text)
    if not match or not _is_label(*match.groups()):
        return None, text
    return match.group(1), match.group(2)


def _is_label(before: str, rest: str) -> bool:
    """Whether the text ``before`` a colon is a label.

    It is none where it describes the thing: ``27" monitor, pixels: 2560x1440``.
    """
    if re.search(r"\d", before) and not rest.lstrip().startswith("@"):
        from profiles.pasted import kinds_of_measure

        return kinds_of_measure(before) <= kinds_of_measure(rest) - {"pair"}
    from profiles.trade_words import is_about_the_body

    return not is_about_the_body(before)


def _size_mm(
    width: str, width_unit: str | None, height: str, height_unit: str | None, where: str
) -> tuple[float, float]:
    """Width and height in mm; a unit that stands only after the height counts for both."""
    if height_unit is None:
        from profiles.unlikely import TABLET_DIAGONALS_MM

        diagonal = math.hypot(float(width), float(height))
        units = usual_units(diagonal, TABLET_DIAGONALS_MM, ("mm", "cm", "in"))
        sizes = any_of([f"{width}x{height}{unit}" for unit in units])
        instead = phrase("Type {sizes}", sizes=sizes)
        raise RequestError(
            Problem(where, phrase("a length needs its unit"), quoted(f"{width}x{height}"), instead)
        )
    width_mm = parse_length_mm(width + (width_unit or height_unit), where)
    return width_mm, parse_length_mm(height + height_unit, where)


def _counts_per_mm(text: str, where: str) -> float:
    """The resolution in counts per mm."""
    match = re.fullmatch(_RESOLUTION, text, re.IGNORECASE)
    if not match:
        must = phrase("must be counts for a length after the @")
        raise RequestError(Problem(where, must, quoted(text), phrase("Type @150/mm or @3810/in")))
    times, over = _PER_MM[match.group(2).lower()]
    return exact_decimal(match.group(1), times, over)


# -- and back: the shorthand that says the same


def number_text(value: float) -> str:
    """A number in full and in plain digits, as a person would type it: ``240``, ``22.35``."""
    if value == int(value) and abs(value) < 1e15:
        return str(int(value))
    text = repr(float(value))
    return f"{value:.18f}".rstrip("0").removesuffix(".") if "e" in text else text


def tablet_text(tablet: Tablet) -> str:
    """A tablet in shorthand: ``Pad: 240x152mm@150/mm``."""
    label = f"{label_text(tablet.label)}: " if tablet.label else ""
    counts = ""
    if tablet.counts_per_mm is not None:
        counts = f"@{number_text(tablet.counts_per_mm)}/mm"
        counts_per_in = per_inch(tablet.counts_per_mm)
        # Whole numbers are what was typed.
        if counts_per_in is not None and tablet.counts_per_mm != int(tablet.counts_per_mm):
            counts = f"@{number_text(counts_per_in)}/in"
    return f"{label}{number_text(tablet.width_mm)}x{number_text(tablet.height_mm)}mm{counts}"


def display_text(display: Display, *, alone: bool = False) -> str:
    """A display in shorthand: ``main: 27in 2560x1440 at 0,0``.

    The only display of a desk (``alone``) has no place, and no label where it is ``main``.
    """
    size = ""
    if display.diagonal_mm is not None:
        size = f"{number_text(display.diagonal_mm)}mm "
        diagonal_in = inches(display.diagonal_mm)
        if diagonal_in is not None:
            size = f"{number_text(diagonal_in)}in "
    elif display.width_mm is not None and display.height_mm is not None:
        size = f"{number_text(display.width_mm)}x{number_text(display.height_mm)}mm "
    zoom = "" if display.zoom == 1 else f" zoom {number_text(display.zoom)}"
    bezel = "" if display.bezel_mm is None else f" bezel {number_text(display.bezel_mm)}mm"
    label = "" if alone and display.label == "main" else f"{label_text(display.label)}: "
    place = "" if alone else f" at {display.left_px},{display.top_px}"
    return f"{label}{size}{display.width_px}x{display.height_px}{place}{zoom}{bezel}"


def rect_text(rect: Rect, unit: str = "px") -> str:
    """A rectangle in shorthand: ``10,5,200x120mm``."""
    edges = f"{number_text(rect.left)},{number_text(rect.top)}"
    return f"{edges},{number_text(rect.width)}x{number_text(rect.height)}{unit}"
