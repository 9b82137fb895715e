"""The types of the profile document, format 2: what may stand in it, and its JSON Schema.

Keys are snake case with their units; a key that cannot be known is absent. The words are those of
``mapper``'s conventions: built and seen frame, area and screen.
"""

from __future__ import annotations

from dataclasses import fields
from inspect import cleandoc
from typing import TYPE_CHECKING, Annotated, Any, Literal, TypeAlias, get_args, get_type_hints

import msgspec
from msgspec import Meta, Struct

from mapper.desk import LARGEST_ZOOM, MOST_SLANT_DEG
from mapper.mapping import forms, solve
from mapper.mapping.fits import FITS, HOLDS
from mapper.seat import MOST_TILT_DEG

#: The format that this version writes, and the value of the document's first key.
FORMAT: Literal[2] = 2

Positive = Annotated[float, Meta(gt=0)]
Pixels = Annotated[int, Meta(ge=1)]
Text = Annotated[str, Meta(min_length=1)]
Row = tuple[float, float, float]
Matrix = tuple[Row, Row, Row]


class _Part(Struct, frozen=True, forbid_unknown_fields=True):
    pass


def _like(result: type) -> Any:
    """The part of the document with the fields of a ``result`` of the mapper; one that may be
    unknown may be absent.
    """
    hints = get_type_hints(result)
    named: list[Any] = [
        (each.name, hint, None) if type(None) in get_args(hint) else (each.name, hint)
        for each in fields(result)
        for hint in [hints[each.name]]
    ]
    document = {"__doc__": result.__doc__}
    return msgspec.defstruct(
        result.__name__, named, bases=(_Part,), namespace=document, frozen=True, kw_only=True
    )


if TYPE_CHECKING:
    RectForm = forms.RectForm
    Summary = solve.Summary
    UnitName: TypeAlias = str
    ShapeName: TypeAlias = str
    FitName: TypeAlias = str
    HoldName: TypeAlias = str
else:
    UnitName, ShapeName = Literal[tuple(forms.UNITS)], Literal[tuple(forms.SHAPES)]
    FitName, HoldName = Literal[FITS], Literal[tuple(HOLDS)]
    RectForm, Summary = _like(forms.RectForm), _like(solve.Summary)


class RevisionPart(_Part, frozen=True, kw_only=True):
    """Which revision of the library the profile is: its number, when it was kept (UTC), and what
    was noted then.
    """

    number: Annotated[int, Meta(ge=1)]
    kept: Annotated[str, Meta(pattern=r"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}Z$")]
    note: Text | None = None


class TabletPart(_Part, frozen=True, kw_only=True):
    """The tablet: active area in the built frame, resolution (per mm or per inch), and how far it
    lies turned clockwise.

    ``turn_deg`` is what the driver is told, ``slant_deg`` how far it lies askew beyond that.
    """

    label: str | None = None
    width_mm: Positive
    height_mm: Positive
    counts_per_mm: Positive | None = None
    counts_per_in: Positive | None = None
    turn_deg: Literal[0, 90, 180, 270] = 0
    slant_deg: Annotated[float, Meta(ge=-MOST_SLANT_DEG, le=MOST_SLANT_DEG)] | None = None


class DisplayPart(_Part, frozen=True, kw_only=True):
    """A display: pixels, place on the desktop, and the size of its picture where that is known.

    The size is a diagonal, with square pixels, or width and height, as it was described. ``zoom``
    is how many device pixels make a logical one, 1 where absent; ``bezel_mm`` the frame around the
    picture.
    """

    label: Text
    diagonal_in: Positive | None = None
    diagonal_mm: Positive | None = None
    width_mm: Positive | None = None
    height_mm: Positive | None = None
    width_px: Pixels
    height_px: Pixels
    left_px: int = 0
    top_px: int = 0
    zoom: Annotated[float, Meta(ge=1 / LARGEST_ZOOM, le=LARGEST_ZOOM)] | None = None
    bezel_mm: Annotated[float, Meta(ge=0)] | None = None


class SeatPart(_Part, frozen=True, kw_only=True):
    """Where the person sits: from the eyes to the middle of the main display, and how that stands
    and is curved.
    """

    distance_mm: Positive
    top_below_eyes_mm: float | None = None
    tilt_deg: Annotated[float, Meta(ge=-MOST_TILT_DEG, le=MOST_TILT_DEG)] | None = None
    curve_radius_mm: Positive | None = None


class PlainRect(_Part, frozen=True, kw_only=True):
    """A rectangle that was asked for, in the unit of its key."""

    left: float
    top: float
    width: Positive
    height: Positive


class AskedRect(PlainRect, frozen=True, kw_only=True):
    """A rectangle of the tablet that was asked for, built frame, in the unit in which it was
    described.
    """

    unit: UnitName


class EntryPart(_Part, frozen=True, kw_only=True):
    """In which form this person's driver wants the rectangle: which four numbers, their unit, where
    from, what decimals.

    ``size``: corner and size, ``corners``: two opposite corners, ``centre``: centre and size.
    """

    numbers: ShapeName
    unit: UnitName
    origin: Literal["top-left", "bottom-left"] = "top-left"
    decimal: Literal["point", "comma"] = "point"


class FeelPart(_Part, frozen=True, kw_only=True):
    """The hand feel of another workstation: mm on the glass for 1 mm of hand, across and down."""

    of: Text | None = None
    scale_x: Positive
    scale_y: Positive


class StepPart(_Part, frozen=True, kw_only=True):
    """The step of the driver's form: whole multiples of a size, and how much stretch a larger area
    is worth.
    """

    size: Positive
    unit: UnitName
    shape_tolerance_percent: Annotated[float, Meta(ge=0)]


class MapPart(_Part, frozen=True, kw_only=True):
    """What was asked: fit, hold, the labels of the displays to reach, and the one on which shapes
    are to be true.

    Where they were asked for: the window (desktop frame), the part of the active area that may be
    used and the area that is set now (both built frame), the scale factor or another workstation's
    feel, and the driver's step.
    """

    fit: FitName
    hold: HoldName = "centre"
    onto: list[Text]
    true_on: Text
    window_px: PlainRect | None = None
    within: AskedRect | None = None
    area: AskedRect | None = None
    scale: Positive | None = None
    feel: FeelPart | None = None
    step: StepPart | None = None


class Forms(_Part, frozen=True, kw_only=True):
    """The four units of one rectangle; counts where the tablet's resolution is known."""

    mm: RectForm
    inch: RectForm
    percent: RectForm
    counts: RectForm | None = None


class AreaPart(Forms, frozen=True, kw_only=True):
    """The rectangle to enter, built frame; ``seen`` is the same in the seen frame, where the tablet
    is turned.

    ``angle_deg`` is there where the tablet lies askew: how far the rectangle is turned clockwise
    about its own centre.
    """

    angle_deg: float | None = None
    seen: Forms | None = None


class PixelRect(_Part, frozen=True, kw_only=True):
    """A rectangle of the desktop, px."""

    left: float
    top: float
    right: float
    bottom: float
    width: float
    height: float


class OnDisplay(_Part, frozen=True, kw_only=True):
    """The part of the screen on one display, from its own top left, in device and in logical
    pixels.
    """

    display: Text
    px: PixelRect
    logical_px: PixelRect


class ScreenPart(_Part, frozen=True, kw_only=True):
    """The pixels that the pen reaches; ``displays`` where a display reached has a zoom."""

    px: PixelRect
    displays: list[OnDisplay] | None = None


class FiguresPart(_Part, frozen=True, kw_only=True):
    """The figures on one display that the pen reaches; what needs its size in mm is absent where
    that is unknown.
    """

    display: str
    scale_x: float | None = None
    scale_y: float | None = None
    stretch: float
    oval_percent: float
    angle_error_deg: float
    areal_scale: float | None = None
    longer_axis_deg: float | None = None
    tilt_deg: float | None = None
    counts_per_px_x: float | None = None
    counts_per_px_y: float | None = None


class MatrixPart(_Part, frozen=True, kw_only=True):
    """The map as homogeneous matrices, row-major."""

    built_mm_to_desktop_px: Matrix
    built_unit_to_desktop_unit: Matrix
    desktop_px_to_built_mm: Matrix


class Derived(_Part, frozen=True, kw_only=True):
    """What follows from a map."""

    area: AreaPart
    screen: ScreenPart
    figures: list[FiguresPart]
    summary: Summary
    matrix: MatrixPart


class CostPart(_Part, frozen=True, kw_only=True):
    """What rounding does: how much larger (+) or smaller (-), how much more stretched, and how far
    it moved.
    """

    area_percent: float
    stretch_percent: float
    scale_percent: float | None = None
    shift_mm: float


class BeforeRounding(Derived, frozen=True, kw_only=True):
    """The exact map, and what it cost to round it to the driver's step."""

    cost: CostPart


class UnrotatedCost(_Part, frozen=True, kw_only=True):
    """What it costs that the area is not turned: strokes come out tilted, a line of 100 mm ends so
    far off, on the desk.
    """

    tilt_deg: float
    drift_mm_per_100_mm: float
    area_percent: float


class UnrotatedPart(Derived, frozen=True, kw_only=True):
    """The map for a driver whose area cannot be turned, where the tablet lies askew."""

    cost: UnrotatedCost


class Profile(_Part, frozen=True, kw_only=True):
    """The profile document of one workstation and one map.

    ``area`` to ``matrix`` are those of the map that is entered, rounded where the driver has a
    step.
    """

    evenstroke: Literal[2]
    workstation: Text
    note: str | None = None
    revision: RevisionPart | None = None
    tablet: TabletPart
    displays: Annotated[list[DisplayPart], Meta(min_length=1)]
    seat: SeatPart | None = None
    map: MapPart
    entry: EntryPart | None = None
    area: AreaPart
    screen: ScreenPart
    figures: list[FiguresPart]
    summary: Summary
    matrix: MatrixPart
    unrotated: UnrotatedPart | None = None
    before_rounding: BeforeRounding | None = None


def json_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of the document, from the same types that validate it."""
    schema = msgspec.json.schema(Profile)
    for part in schema["$defs"].values():
        # From Python 3.13 on docstrings come without their indentation.
        if "description" in part:
            part["description"] = cleandoc(part["description"])
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Evenstroke profile, format 2",
        **schema,
    }


def _print_schema() -> None:
    print(msgspec.json.format(msgspec.json.encode(json_schema()), indent=2).decode())  # noqa: T201 - for the shell


if __name__ == "__main__":
    _print_schema()
