"""Values that were typed but can hardly be meant: sentences about them, told through
``profiles/doubts.py``. Never a refusal.

The limits are wide: what lies beyond them is no tablet or display that one can draw with (common
practice, no source).
"""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING

from mapper.units import MM_PER_INCH, parse_length_mm
from profiles.doubts import doubt

if TYPE_CHECKING:
    from mapper.desk import Display, Tablet

#: Diagonals of active areas, from a pocket pad to a digitizer of A0 (ISO 216: 841 x 1189 mm, 1456
#: mm across).
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
    """What is doubtful about a tablet as it was typed."""
    width, height, counts = tablet.width_mm, tablet.height_mm, tablet.counts_per_mm
    if counts is not None and not COUNTS_PER_MM[0] <= counts <= COUNTS_PER_MM[1]:
        return [
            (
                f"{counts:.0f} counts per mm fits no tablet: is it counts per inch, or a count for "
                f"the whole width?"
            )
        ]
    said = f"{width:g} x {height:g} mm"
    diagonal = math.hypot(width, height)
    low, high = TABLET_DIAGONALS_MM
    if not low <= diagonal <= high:
        return [f"{said} fits no tablet{_meant(width, height)}"]
    if max(width, height) > TABLET_PROPORTIONS * min(width, height):
        return [f"{said} is longer than any tablet: is each side right?"]
    if width < height and tablet.turn_deg == 0:
        instead = f"{height:g}x{width:g}mm and --turn 90 or 270"
        return [
            (
                f"{said} is taller than wide. Sizes are those of the tablet as built: if yours only "
                f"lies upright, type {instead}"
            )
        ]
    return []


def _meant(width_mm: float, height_mm: float) -> str:
    """The same numbers in the unit in which they fit a tablet best, as a question; empty where
    there is none.
    """
    best = None
    for unit_typed, typed_mm in _UNITS.items():
        for unit, unit_mm in _UNITS.items():
            width, height = width_mm / typed_mm, height_mm / typed_mm
            diagonal = math.hypot(width, height) * unit_mm
            # A number that a person would type, and the size of a desk.
            if (
                unit != unit_typed
                and _short(width)
                and _short(height)
                and 100.0 <= diagonal <= 700.0
            ):
                far = abs(math.log(diagonal / 300.0))
                if best is None or far < best[0]:
                    best = far, f"{width:.6g}x{height:.6g}{unit}"
    return "" if best is None else f": did you mean {best[1]}?"


def _few(number: float) -> str:
    """``number`` in three digits, and never as a power of ten."""
    return f"{number:.0f}" if abs(number) >= 100 else f"{number:.3g}"


def _short(number: float, places: int = 2) -> bool:
    """Whether a person would type it: a number of a few decimals, whatever units it went
    through.
    """
    return abs(number - round(number, places)) < 1e-9 * number


def unlikely_display(display: Display) -> list[str]:
    """What is doubtful about a display as it was typed."""
    pitch = display.mm_per_px
    if pitch is None or display.width_mm is None or display.height_mm is None:
        return []
    diagonal = math.hypot(display.width_mm, display.height_mm)
    per_inch = math.hypot(display.width_px, display.height_px) / (diagonal / MM_PER_INCH)
    fits_size = DISPLAY_DIAGONALS_MM[0] <= diagonal <= DISPLAY_DIAGONALS_MM[1]
    fits_density = PIXELS_PER_INCH[0] <= per_inch <= PIXELS_PER_INCH[1]
    other = _other_diagonal(diagonal, per_inch)
    if not (fits_size and fits_density) or (
        per_inch > 1.4 * _USUAL_PER_INCH[1] and other.endswith("in")
    ):
        told = (
            f"a diagonal of {_few(diagonal / MM_PER_INCH)} in ({_few(diagonal / 10)} cm) makes "
            f"{_few(per_inch)} pixels an inch"
        )
        return [f"{told}{f': did you mean {other}?' if other else ', which no display has'}"]
    across = pitch[0] / pitch[1]
    if abs(across - 1) <= NOT_SQUARE:
        return []
    size, pixels = (
        f"{display.width_mm:g} x {display.height_mm:g} mm",
        f"{display.width_px} x {display.height_px} px",
    )
    turned = (display.height_mm / display.width_px) / (display.width_mm / display.height_px)
    if abs(turned - 1) <= NOT_SQUARE:
        return [
            (
                f"{size} lies across {pixels}: did you mean "
                f"{display.height_mm:g}x{display.width_mm:g}mm?"
            )
        ]
    way = "wider than tall" if across > 1 else "taller than wide"
    told = (
        f"{size} for {pixels} makes each pixel {_few(100 * (max(across, 1 / across) - 1))} % {way}"
    )
    return [
        (
            f"{told}; on nearly all displays they are square. Circles depend on it: measure the "
            f"picture without its frame"
        )
    ]


def _other_diagonal(diagonal_mm: float, per_inch: float) -> str:
    """The same number in another unit, or without a slip of the decimal point, where that makes a
    usual display.
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
                _short(number, 1)
                and 250.0 <= mm <= 1400.0
                and low <= per_inch * diagonal_mm / mm <= high
            ):
                return f"{number * times:.4g}{unit}"
    return ""


def likely_length_mm(text: str, where: str, name: str = "") -> float:
    """The length that a person typed, in mm, also in words (``about 28 inches``); one that can
    hardly be meant is doubted.

    ``name`` says which of LENGTHS_MM it is, else ``where`` does. Raises RequestError as
    ``parse_length_mm`` does.
    """
    from profiles.trade_words import ABOUT, LONG_UNITS, folded

    plain = re.sub(
        r"[^\W\d_]+", lambda word: LONG_UNITS.get(folded(word[0]), word[0]), ABOUT.sub("", text)
    )
    length_mm = parse_length_mm(plain, where, usual_mm=LENGTHS_MM[name or where])
    doubt_length(length_mm, where, name)
    return length_mm


def likely_labelled_length_mm(text: str, where: str) -> tuple[str | None, float]:
    """The label and the length of ``left: 1800mm``; the label is None where there is none.

    Raises RequestError and doubts as ``likely_length_mm`` does.
    """
    label, colon, length = text.rpartition(":")
    return (label.strip() if colon else None), likely_length_mm(length, where)


def doubt_length(length_mm: float, where: str, name: str = "") -> None:
    """Tells what is doubtful about a length, wherever one is typed or follows from what is."""
    low, high = LENGTHS_MM[name or where]
    if not low <= length_mm <= high:
        doubt(
            f"{_few(length_mm)} mm, and {low:g} to {high:g} mm is usual: are the number and its "
            f"unit right?",
            where,
        )


def unlikely_minutes(minutes: float | None) -> list[str]:
    """What is doubtful about how long somebody drew; more than a day is refused."""
    if minutes is None or minutes >= LEAST_MINUTES:
        return []
    return [f"{_few(minutes)} minutes are too few to tell how something felt: were they hours?"]


def unlikely_scale(scale_factor: float | None) -> list[str]:
    """What is doubtful about the scale of a whole map."""
    if scale_factor is None or SCALE_FACTORS[0] <= scale_factor <= SCALE_FACTORS[1]:
        return []
    told = (
        f"1 mm of hand would become {_few(scale_factor)} mm on the glass, and nobody can draw "
        f"like that"
    )
    return [f"{told}: are the sizes of tablet and display right, and their units?"]


def doubt_scale(scale_factor: float | None, where: str = "") -> None:
    """Tells what is doubtful about the scale of a map, wherever one is computed or read."""
    for sentence in unlikely_scale(scale_factor):
        doubt(sentence, where)


def unlikely_day(day: str) -> list[str]:
    """A day in the future: written down as what was, it can only be a slip.

    ``day`` is ``2026-03-15``.
    """
    # Few commands have a day, and start-up is a feature.
    from datetime import UTC, datetime, timedelta

    try:
        moment = datetime.fromisoformat(day).replace(tzinfo=UTC)
    except ValueError:
        return []
    # Somewhere on earth it is tomorrow already.
    return [f"{day} is in the future"] if moment > datetime.now(UTC) + timedelta(hours=14) else []
