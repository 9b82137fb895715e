"""Sentences about typed values that can hardly be meant. None of them is a refusal.

They are sent as doubts (``profiles/doubts.py``). The limits are wide: beyond them is no tablet or
display that one can draw with (common practice, no source).
"""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING

from mapper.phrases import phrase, phrase_count
from mapper.problems import Problem, RequestError, quoted
from mapper.units import MM_PER_INCH, narrowed, parse_length_mm
from profiles.doubts import doubt
from profiles.scaled import own_pixels

if TYPE_CHECKING:
    from mapper.desk import Display, Tablet

#: Diagonals of active areas, from a pocket pad to a digitizer of A0 (ISO 216: 1456 mm across).
TABLET_DIAGONALS_MM = (80.0, 1500.0)
#: Longer side over shorter side, at most.
TABLET_PROPORTIONS = 2.2
#: From the coarsest to the finest digitizer that there is, with room (common practice, no source).
COUNTS_PER_MM = (5.0, 2000.0)
#: Diagonals of displays, from a pocket screen to a projected wall.
DISPLAY_DIAGONALS_MM = (100.0, 8000.0)
#: Pixels for an inch: from a projected wall to the finest pocket screen.
PIXELS_PER_INCH = (8.0, 650.0)
#: Those of displays that one sits before.
_USUAL_PER_INCH = (60.0, 180.0)
#: Pixels are square within what rounding to whole mm makes of them.
NOT_SQUARE = 0.02
#: Pixels along the shorter side at least, and the longer side over the shorter at most: from a
#: pocket screen to a bar.
LEAST_SIDE_PX = 240
DISPLAY_PROPORTIONS = 5.5
#: Scale factors: beyond these no hand can draw.
SCALE_FACTORS = (0.3, 15.0)
#: Every other length that a person types, mm, by the option or the word that it stands behind.
LENGTHS_MM = {
    "--distance": (200.0, 10_000.0),
    "--top-below-eyes": (-1500.0, 1500.0),
    "--radius": (500.0, 20_000.0),
    "--bezel": (0.0, 100.0),
    "--target": (0.5, 200.0),
    "--scatter": (0.02, 20.0),
    "--nib": (0.0, 5.0),
    "--place-error": (0.0, 20.0),
}
#: Minutes that somebody drew, at least.
LEAST_MINUTES = 1.0

_UNITS = {"mm": 1.0, "cm": 10.0, "in": MM_PER_INCH}


def unlikely_tablet(tablet: Tablet) -> list[str]:
    """What is doubtful about a tablet as it was typed; empty for a likely one."""
    width, height, counts = tablet.width_mm, tablet.height_mm, tablet.counts_per_mm
    if counts is not None and not COUNTS_PER_MM[0] <= counts <= COUNTS_PER_MM[1]:
        return [
            phrase(
                "{counts} counts per mm is unlikely for a tablet: is it counts per inch, or a "
                "count for the "
                "whole width?",
                counts=f"{counts:.0f}",
            )
        ]
    size = f"{width:g} × {height:g} mm"
    diagonal = math.hypot(width, height)
    low, high = TABLET_DIAGONALS_MM
    if not low <= diagonal <= high:
        meant = _meant(width, height)
        if meant:
            return [
                phrase(
                    "{size} is unlikely for a tablet: did you mean {meant}?", size=size, meant=meant
                )
            ]
        return [phrase("{size} is unlikely for a tablet", size=size)]
    if max(width, height) > TABLET_PROPORTIONS * min(width, height):
        return [phrase("{size} is longer than any tablet: is each side right?", size=size)]
    if width < height and tablet.turn_deg == 0:
        return [
            phrase(
                "{size} is taller than wide. Give the sizes for the tablet when it is not turned: "
                "if you only turned yours, type {typed} and --turn 90 or 270",
                size=size,
                typed=f"{height:g}x{width:g}mm",
            )
        ]
    return []


def _meant(width_mm: float, height_mm: float) -> str:
    """The same numbers in the unit in which they fit a tablet best, as shorthand.

    Empty where they fit in none.
    """
    best = None
    for unit_typed, typed_mm in _UNITS.items():
        for unit, unit_mm in _UNITS.items():
            width, height = width_mm / typed_mm, height_mm / typed_mm
            diagonal = math.hypot(width, height) * unit_mm
            # A number that a person would type, and the size of a desk.
            if (
                unit != unit_typed
                and _has_few_places(width)
                and _has_few_places(height)
                and 100.0 <= diagonal <= 700.0
            ):
                far = abs(math.log(diagonal / 300.0))
                if best is None or far < best[0]:
                    best = far, f"{width:.6g}x{height:.6g}{unit}"
    return "" if best is None else best[1]


def _three_digits(number: float) -> str:
    """``number`` in three digits, never as a power of ten."""
    return f"{number:.0f}" if abs(number) >= 100 else f"{number:.3g}"


def _has_few_places(number: float, places: int = 2) -> bool:
    """Whether ``number`` has at most so many decimal ``places``, as a person would type it."""
    return abs(number - round(number, places)) < 1e-9 * number


def unlikely_display(display: Display) -> list[str]:
    """What is doubtful about a display as it was typed; empty for a likely one."""
    odd_pixels = _unlikely_pixels(display.width_px, display.height_px)
    if not odd_pixels and display.zoom == 1:
        odd_pixels = _zoomed_pixels(display.width_px, display.height_px)
    pitch = display.mm_per_px
    if odd_pixels or pitch is None or display.width_mm is None or display.height_mm is None:
        return odd_pixels
    diagonal = math.hypot(display.width_mm, display.height_mm)
    per_inch = math.hypot(display.width_px, display.height_px) / (diagonal / MM_PER_INCH)
    fits_size = DISPLAY_DIAGONALS_MM[0] <= diagonal <= DISPLAY_DIAGONALS_MM[1]
    fits_density = PIXELS_PER_INCH[0] <= per_inch <= PIXELS_PER_INCH[1]
    other = _other_diagonal(diagonal, per_inch)
    if not (fits_size and fits_density) or (
        per_inch > 1.4 * _USUAL_PER_INCH[1] and other.endswith("in")
    ):
        in_inches, in_cm = diagonal / MM_PER_INCH, diagonal / 10
        slots = {
            "inches": _three_digits(in_inches),
            "cm": _three_digits(in_cm),
            "density": _three_digits(per_inch),
        }
        if other:
            return [
                phrase(
                    "a diagonal of {inches} in ({cm} cm) makes {density} pixels an inch: did you "
                    "mean {meant}?",
                    meant=other,
                    **slots,
                )
            ]
        return [
            phrase(
                "a diagonal of {inches} in ({cm} cm) makes {density} pixels an inch, which no "
                "display has",
                **slots,
            )
        ]
    across = pitch[0] / pitch[1]
    if abs(across - 1) <= NOT_SQUARE:
        return []
    slots = {
        "size": f"{display.width_mm:g} × {display.height_mm:g} mm",
        "pixels": f"{display.width_px} × {display.height_px} px",
    }
    turned = (display.height_mm / display.width_px) / (display.width_mm / display.height_px)
    if abs(turned - 1) <= NOT_SQUARE:
        meant = f"{display.height_mm:g}x{display.width_mm:g}mm"
        return [
            phrase(
                "{size} does not fit {pixels}, since one is wide and the other is tall: did you "
                "mean {meant}?",
                meant=meant,
                **slots,
            )
        ]
    slots["longer"] = _three_digits(100 * (max(across, 1 / across) - 1))
    return [_not_square(across, slots)]


def _not_square(across: float, slots: dict[str, str]) -> str:
    """That each pixel is ``across`` times as wide as tall, which displays hardly ever have."""
    if across > 1:
        return phrase(
            "{size} for {pixels} makes each pixel {longer} % wider than tall; on nearly all "
            "displays they are square. Circles depend on it: measure the picture without its "
            "frame",
            **slots,
        )
    return phrase(
        "{size} for {pixels} makes each pixel {longer} % taller than wide; on nearly all "
        "displays they are square. Circles depend on it: measure the picture without its frame",
        **slots,
    )


def _unlikely_pixels(width_px: int, height_px: int) -> list[str]:
    """What is doubtful about a display's numbers of pixels; empty for likely ones."""
    shorter, longer = sorted((width_px, height_px))
    if shorter >= LEAST_SIDE_PX and longer <= DISPLAY_PROPORTIONS * shorter:
        return []
    return [
        phrase(
            "{width} × {height} pixels fit no display: is a digit missing?",
            width=width_px,
            height=height_px,
        )
    ]


def _zoomed_pixels(width_px: int, height_px: int) -> list[str]:
    """That a system's zoom has probably made these numbers; empty where it has not."""
    return [
        phrase(
            "a system that shows {own} pixels at {percent} % counts {counted}: the display's own "
            "pixels are needed",
            counted=f"{width_px} × {height_px}",
            own=f"{own.width_px} × {own.height_px}",
            percent=own.zoom_percent,
        )
        for own in own_pixels(width_px, height_px)[:1]
    ]


def _other_diagonal(diagonal_mm: float, per_inch: float) -> str:
    """The diagonal that was probably meant, as shorthand; empty where none is likely.

    It is the same number in another unit, or with its decimal point moved.
    """
    for unit_typed, typed_mm in (("cm", 10.0), ("in", MM_PER_INCH), ("mm", 1.0)):
        number = diagonal_mm / typed_mm
        for times, unit in (
            (1.0, "in"),
            (1.0, "cm"),
            (1.0, "mm"),
            (0.1, "in"),
            (0.01, "in"),
            (0.1, "cm"),
            (10.0, "in"),
        ):
            if times == 1.0 and unit == unit_typed:
                continue
            mm = number * times * _UNITS[unit]
            low, high = _USUAL_PER_INCH
            if (
                _has_few_places(number, 1)
                and 250.0 <= mm <= 1400.0
                and low <= per_inch * diagonal_mm / mm <= high
            ):
                return f"{number * times:.4g}{unit}"
    return ""


def likely_length_mm(text: str, where: str, name: str = "") -> float:
    """The length that a person typed, in mm; it may be in words: ``about 28 inches``.

    A length outside its usual range sends a doubt. ``name``, else ``where``, is its key in
    LENGTHS_MM. Raises RequestError as ``parse_length_mm`` does.
    """
    from profiles.trade_words import ABOUT, LONG_UNITS, folded

    plain = re.sub(
        r"[^\W\d_]+",
        lambda word: LONG_UNITS.get(folded(word[0]), word[0]),
        ABOUT.sub("", narrowed(text)),
    )
    if (name or where) == "--distance" and re.fullmatch(r"\s*\d(?:\.\d+)?\s*", plain):
        # Nobody sits five metres away: a digit was left out, or it is a very near display.
        number = float(plain)
        must, cm = phrase("a length needs its unit"), f"{number:g}cm"
        instead = phrase("Is it {cm} or {ten_times}?", cm=cm, ten_times=f"{10 * number:g}cm")
        raise RequestError(Problem(where, must, quoted(text), instead))
    length_mm = parse_length_mm(plain, where, usual_mm=LENGTHS_MM[name or where])
    doubt_length(length_mm, where, name)
    return length_mm


def typed_unit(text: str) -> str:
    """The unit of a length as ``likely_length_mm`` reads it, by its usual name; empty without one.

    >>> typed_unit("about 28 inches"), typed_unit('28"'), typed_unit("28")
    ('in', 'in', '')
    """
    from profiles.trade_words import LONG_UNITS, folded

    found = re.search(r"([^\W\d_]+|[\"\u2033]|'')\s*$", text)
    name = found[1].lower() if found else ""
    return "in" if name in {"\u2033", "''"} else LONG_UNITS.get(folded(name), name)


def likely_labelled_length_mm(text: str, where: str) -> tuple[str | None, float]:
    """The label and the length of ``left: 1800mm``; the label is None where there is none.

    Raises RequestError and doubts as ``likely_length_mm`` does.
    """
    label, colon, length = text.rpartition(":")
    return (label.strip() if colon else None), likely_length_mm(length, where)


def doubt_length(length_mm: float, where: str, name: str = "") -> None:
    """Send a doubt if a length lies outside its usual range.

    ``name``, else ``where``, is its key in LENGTHS_MM.
    """
    low, high = LENGTHS_MM[name or where]
    if not low <= length_mm <= high:
        doubt(
            phrase(
                "{length} mm, but {low} to {high} mm is usual: are the number and its unit right?",
                length=_three_digits(length_mm),
                low=f"{low:g}",
                high=f"{high:g}",
            ),
            where,
        )


def unlikely_minutes(minutes: float | None) -> list[str]:
    """A sentence if somebody drew for less than LEAST_MINUTES; empty otherwise, and for None."""
    if minutes is None or minutes >= LEAST_MINUTES:
        return []
    few = _three_digits(minutes)
    return [
        phrase_count(
            "{few} minute is too short to tell how something felt: was it an hour?",
            "{few} minutes are too few to tell how something felt: were they hours?",
            1 if few == "1" else max(2, round(minutes)),
            few=few,
        )
    ]


def unlikely_scale(scale_factor: float | None) -> list[str]:
    """A sentence if the scale factor of a map lies outside SCALE_FACTORS; empty otherwise."""
    if scale_factor is None or SCALE_FACTORS[0] <= scale_factor <= SCALE_FACTORS[1]:
        return []
    times = _three_digits(scale_factor)
    if scale_factor < 1:
        return [
            phrase(
                "a stroke becomes only {times} times as large, which is very hard to draw with: "
                "please check the sizes and their units",
                times=times,
            )
        ]
    return [
        phrase(
            "a stroke becomes {times} times as large, which is very hard to draw with: please "
            "check the sizes and their units",
            times=times,
        )
    ]


def doubt_scale(scale_factor: float | None, where: str = "") -> None:
    """Send a doubt if the scale factor of a map lies outside SCALE_FACTORS."""
    for sentence in unlikely_scale(scale_factor):
        doubt(sentence, where)


def unlikely_day(day: str) -> list[str]:
    """A sentence if ``day`` (``2026-03-15``) lies in the future; empty otherwise.

    A day that is written down as past can only be a slip then.
    """
    # Few commands have a day, and start-up is a feature.
    from datetime import UTC, datetime, timedelta

    try:
        moment = datetime.fromisoformat(day).replace(tzinfo=UTC)
    except ValueError:
        return []
    # Somewhere on earth it is tomorrow already.
    return (
        [phrase("{day} is in the future", day=day)]
        if moment > datetime.now(UTC) + timedelta(hours=14)
        else []
    )


def doubt_day(day: str, where: str = "") -> None:
    """Send a doubt if ``day`` lies in the future."""
    for sentence in unlikely_day(day):
        doubt(sentence, where)
