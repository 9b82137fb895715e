"""A desk as the page has it: the texts that the command line takes, and the way there and back.

The page holds no numbers of a map. Each blank of the letter is one or a few of these texts, so that
what may be typed there is what may be typed after an option, and the same text means the same on
both ways.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import msgspec
from msgspec import Meta, Struct

from mapper.mapping.entry import UNIT_SIGNS
from mapper.problems import Problem, RequestError, quoted
from mapper.seat import Seat
from profiles.shorthand import label_text
from profiles.unlikely import likely_length_mm
from profiles.written import inches, per_inch, rect_as_described
from render.sentences.entry import entry_text

if TYPE_CHECKING:
    from collections.abc import Callable

    from mapper.desk import Display, Tablet
    from mapper.mapping.solve import MapRequest
    from mapper.rect import Rect
    from profiles.format.document import Workstation

    #: From the texts of ``request_options`` to a request, as the command line reads them.
    Reader = Callable[..., MapRequest]

#: No text that a person types for a desk is nearly as long, and no desk has as many displays.
LONGEST_TEXT, MOST_DISPLAYS = 300, 32

Line = Annotated[str, Meta(max_length=LONGEST_TEXT)]
Positive = Annotated[float, Meta(gt=0)]


class FeelOf(Struct, frozen=True, forbid_unknown_fields=True):
    """The feel of another workstation, which no one text says: mm of glass for a mm of hand, across
    and down.
    """

    scale_x: Positive
    scale_y: Positive
    of: Line = ""


class Description(
    Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True, kw_only=True
):
    """What is said of a desk, blank by blank; an empty text was not said.

    ``tablet`` to ``shape_tolerance`` are the options of ``evenstroke map`` by these names;
    ``distance``, ``drop``, ``tilt`` and ``curve`` are those of ``evenstroke seat``; ``entry`` is
    the form in which the driver wants the rectangle (render.sentences.entry).
    """

    name: Line = ""
    note: Annotated[str, Meta(max_length=4000)] = ""
    tablet: Line = ""
    turn: Line = "0"
    slant: Line = "0"
    displays: Annotated[tuple[Line, ...], Meta(max_length=MOST_DISPLAYS)] = ()
    distance: Line = ""
    drop: Line = ""
    tilt: Line = ""
    curve: Line = ""
    onto: Line = ""
    true_on: Line = ""
    window: Line = ""
    fit: Line = "locked"
    hold: Line = "centre"
    within: Line = ""
    area: Line = ""
    scale: Line = ""
    feel: FeelOf | None = None
    step: Line = ""
    shape_tolerance: Line = ""
    entry: Line = "size mm"

    def with_(self, change: dict[str, Any]) -> Description:
        """This description with some texts changed.

        Raises RequestError for what is no text of a description.
        """
        return from_plain({**msgspec.to_builtins(self), **change})


def from_plain(data: Any) -> Description:
    """A description from plain data, as JSON has it. Raises RequestError for anything else."""
    try:
        return msgspec.convert(data, Description)
    except msgspec.ValidationError as error:
        raise RequestError(Problem("description", "must be a desk's texts", str(error))) from None


def request_of(said: Description, read: Reader) -> MapRequest:
    """The request that a complete description makes.

    Raises RequestError with all problems at once.
    """
    request = read(
        None,
        tablet=said.tablet,
        displays=said.displays,
        turn_deg=said.turn,
        slant=said.slant,
        fit=said.fit if not said.area else "full",
        hold=said.hold,
        onto=said.onto or None,
        true_on=said.true_on or None,
        within=said.within or None,
        area=said.area or None,
        window=said.window or None,
        scale=said.scale or None,
        feel_of=None,
        step=said.step or None,
        shape_tolerance=(said.shape_tolerance or None) if said.step else None,
    )
    if said.feel is not None and not said.scale:
        from dataclasses import replace

        from mapper.mapping.feel import Feel

        return replace(request, feel=Feel(said.feel.scale_x, said.feel.scale_y, said.feel.of))
    return request


def seat_of(said: Description) -> Seat | None:
    """Where the person sits, None where no distance is said. Raises RequestError."""
    if not said.distance:
        return None

    return Seat(
        likely_length_mm(said.distance, "--distance"),
        likely_length_mm(said.drop, "--top", "--top-below-eyes") if said.drop else None,
        _angle(said.tilt) if said.tilt else None,
        likely_length_mm(said.curve, "--curve", "--radius") if said.curve else None,
    )


def _angle(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise RequestError(
            Problem("--tilt", "must be an angle in degrees", quoted(text), "Type for example 10")
        ) from None


# -- from a workstation back to texts


def described(workstation: Workstation) -> Description:
    """The texts that say the same as a workstation's request."""
    request, seat = workstation.map.request, workstation.seat
    tablet, displays = request.tablet, request.desktop.displays
    primary = request.desktop.primary
    feel, step = request.feel, request.step
    plain_feel = feel is not None and not feel.of and feel.scale_x == feel.scale_y
    window = request.window_px
    onto = "" if window is not None or request.onto == (primary.label,) else "+".join(request.onto)
    if len(request.onto) == len(displays) > 1 and window is None:
        onto = "all"
    default_true = primary.label if primary.label in request.onto else request.onto[0]
    return Description(
        name=workstation.name,
        note=workstation.note or "",
        tablet=tablet_text(tablet),
        turn=str(tablet.turn_deg),
        slant=plain(tablet.slant_deg),
        displays=tuple(display_text(display, alone=len(displays) == 1) for display in displays),
        distance="" if seat is None else f"{plain(seat.distance_mm / 10)}cm",
        drop=""
        if seat is None or seat.top_below_eyes_mm is None
        else f"{plain(seat.top_below_eyes_mm)}mm",
        tilt="" if seat is None or seat.tilt_deg is None else plain(seat.tilt_deg),
        curve=""
        if seat is None or seat.curve_radius_mm is None
        else f"{plain(seat.curve_radius_mm)}mm",
        onto=onto,
        true_on="" if request.true_on in {None, default_true} else str(request.true_on),
        window="" if window is None else rect_text(window, "px"),
        fit=request.fit,
        hold=request.hold,
        within=""
        if request.within_built_mm is None
        else part_text(request.within_built_mm, tablet),
        area="" if request.area_built_mm is None else part_text(request.area_built_mm, tablet),
        scale=plain(feel.scale_x) if feel is not None and plain_feel else "",
        feel=None if feel is None or plain_feel else FeelOf(feel.scale_x, feel.scale_y, feel.of),
        step="" if step is None else f"{plain(step.size)}{_STEP_UNITS[step.unit]}",
        shape_tolerance="" if step is None else f"{plain(step.shape_tolerance_percent)}%",
        entry="size mm" if workstation.entry is None else entry_text(workstation.entry),
    )


_STEP_UNITS = {"mm": "mm", "inch": "in", "percent": "%", "counts": "count"}


def plain(value: float) -> str:
    """A number in full and in plain digits, as a person would type it: ``240``, ``22.35``."""
    if value == int(value) and abs(value) < 1e15:
        return str(int(value))
    text = repr(float(value))
    return f"{value:.18f}".rstrip("0") if "e" in text else text


def tablet_text(tablet: Tablet) -> str:
    """``Pad: 240x152mm@150/mm``."""
    label = f"{label_text(tablet.label)}: " if tablet.label else ""
    counts = ""
    if tablet.counts_per_mm is not None:
        counts_per_in = per_inch(tablet.counts_per_mm)
        # Whole numbers are what was typed.
        inch = counts_per_in is not None and tablet.counts_per_mm != int(tablet.counts_per_mm)
        counts = (
            f"@{plain(counts_per_in or 0)}/in" if inch else f"@{plain(tablet.counts_per_mm)}/mm"
        )
    return f"{label}{plain(tablet.width_mm)}x{plain(tablet.height_mm)}mm{counts}"


def display_text(display: Display, *, alone: bool = False) -> str:
    """``main: 27in 2560x1440 at 0,0``; without the usual label and place where it stands
    ``alone``.
    """
    size = ""
    if display.diagonal_mm is not None:
        diagonal_in = inches(display.diagonal_mm)
        size = (
            f"{plain(display.diagonal_mm)}mm "
            if diagonal_in is None
            else f"{plain(diagonal_in)}in "
        )
    elif display.width_mm is not None and display.height_mm is not None:
        size = f"{plain(display.width_mm)}x{plain(display.height_mm)}mm "
    zoom = "" if display.zoom == 1 else f" zoom {plain(display.zoom)}"
    bezel = "" if display.bezel_mm is None else f" bezel {plain(display.bezel_mm)}mm"
    label = "" if alone and display.label == "main" else f"{label_text(display.label)}: "
    place = "" if alone else f" at {display.left_px},{display.top_px}"
    return f"{label}{size}{display.width_px}x{display.height_px}{place}{zoom}{bezel}"


def part_text(rect_mm: Rect, tablet: Tablet) -> str:
    """A part of the tablet in the unit in which it was described: ``10,5,200x120mm``,
    ``5,5,90x90%``.
    """
    unit, rect = rect_as_described(rect_mm, tablet)
    return rect_text(rect, UNIT_SIGNS[unit])


def rect_text(rect: Rect, unit: str) -> str:
    """``10,5,200x120mm``."""
    return f"{plain(rect.left)},{plain(rect.top)},{plain(rect.width)}x{plain(rect.height)}{unit}"
