"""The types of the profile document: what may stand in it, and its JSON Schema.

Keys are snake case with their units; a key that cannot be known is absent. The words are those of
``mapper``'s conventions: built and seen frame, area and screen.
"""

from __future__ import annotations

from inspect import cleandoc
from typing import TYPE_CHECKING, Annotated, Any, Literal, get_args, get_type_hints

import msgspec
from msgspec import Meta, Struct

from mapper.desk import LARGEST_ZOOM, MOST_SLANT_DEG, TurnDeg
from mapper.mapping import solve
from mapper.mapping.fits import Fit, Hold
from mapper.mapping.forms import ShapeName, UnitName
from mapper.seat import MOST_TILT_DEG

if TYPE_CHECKING:
    from collections.abc import Callable

Positive = Annotated[float, Meta(gt=0)]
NotNegative = Annotated[float, Meta(ge=0)]
Pixels = Annotated[int, Meta(ge=1)]
Text = Annotated[str, Meta(min_length=1)]
Row = tuple[float, float, float]
Matrix = tuple[Row, Row, Row]


class _Part(Struct, frozen=True, forbid_unknown_fields=True):
    pass


def like(
    result: type,
    base: type[Struct] = _Part,
    kind_of: Callable[[Any], Any] = lambda hint: hint,
) -> Any:
    """The part of a document with the fields of a ``result``, a dataclass or a named tuple.

    It is a ``base``; ``kind_of`` makes the type of a field in the document of its type in the
    result. A field that may be unknown may be absent.
    """
    named: list[Any] = []
    for name, hint in get_type_hints(result).items():
        kind = kind_of(hint)
        named.append((name, kind, None) if type(None) in get_args(kind) else (name, kind))
    document = {"__doc__": result.__doc__}
    return msgspec.defstruct(
        result.__name__, named, bases=(base,), namespace=document, kw_only=True
    )


if TYPE_CHECKING:
    Summary = solve.Summary
else:
    Summary = like(solve.Summary)


class RevisionPart(_Part, frozen=True, kw_only=True):
    """Which revision of the library the profile is.

    Its number, when it was kept (UTC), and what was noted then.
    """

    number: Annotated[int, Meta(ge=1)]
    kept: Annotated[str, Meta(pattern=r"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}Z$")]
    note: Text | None = None


class TabletPart(_Part, frozen=True, kw_only=True):
    """The tablet: active area as built, resolution per mm or per inch, and how it lies.

    ``turn_deg`` is the rotation that is set in the driver, ``slant_deg`` how far it lies askew
    beyond that; both are clockwise.
    """

    label: str | None = None
    width_mm: Positive
    height_mm: Positive
    counts_per_mm: Positive | None = None
    counts_per_in: Positive | None = None
    turn_deg: TurnDeg = 0
    slant_deg: Annotated[float, Meta(ge=-MOST_SLANT_DEG, le=MOST_SLANT_DEG)] | None = None


class DisplayPart(_Part, frozen=True, kw_only=True):
    """A display: pixels, place on the desktop, and the size of its picture where that is known.

    The size is a diagonal, with square pixels, or width and height, as it was described. ``zoom``
    is how many device pixels make a logical one, 1 where absent; ``bezel_mm`` the frame around the
    picture. ``circles_round`` marks the one on which shapes are to be true, where several are
    reached: the main one where none is marked, or the first that is reached.
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
    circles_round: bool | None = None


class SeatPart(_Part, frozen=True, kw_only=True):
    """Where the person sits: from the eyes to the middle of the main display.

    And how far its top is below the eyes, how it is tilted and curved, and which display is
    straight ahead (``middle``: the middle of all), the main one where absent.
    """

    distance_mm: Positive
    top_below_eyes_mm: float | None = None
    tilt_deg: Annotated[float, Meta(ge=-MOST_TILT_DEG, le=MOST_TILT_DEG)] | None = None
    curve_radius_mm: Positive | None = None
    ahead: Text | None = None


class PlainRect(_Part, frozen=True, kw_only=True):
    """A rectangle that was asked for, in the unit of its key."""

    left: float
    top: float
    width: Positive
    height: Positive


class AskedRect(PlainRect, frozen=True, kw_only=True):
    """A rectangle of the tablet that was asked for, built frame, in its own ``unit``."""

    unit: UnitName


class EntryPart(_Part, frozen=True, kw_only=True):
    """The form of this person's driver: its four numbers, their unit, origin and decimals.

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
    """The step of the driver's form: the rectangle is whole multiples of its ``size``.

    ``shape_tolerance_percent`` is how much stretch a larger area is worth.
    """

    size: Positive
    unit: UnitName
    shape_tolerance_percent: Annotated[float, Meta(ge=0)]


class MapPart(_Part, frozen=True, kw_only=True):
    """What was asked of the map.

    The fit, the hold and the labels of the displays to reach.

    Where they were asked for: the window (desktop frame), the part of the active area that may be
    used and the area that is set now (both built frame), the scale factor or another workstation's
    feel, and the driver's step.
    """

    fit: Fit
    hold: Hold = "centre"
    onto: Annotated[list[Text], Meta(min_length=1)]
    window_px: PlainRect | None = None
    within: AskedRect | None = None
    area: AskedRect | None = None
    scale: Positive | None = None
    feel: FeelPart | None = None
    step: StepPart | None = None


class EdgesPart(_Part, frozen=True, kw_only=True):
    """A rectangle by its edges and its size, in the unit of its key."""

    left: float
    top: float
    right: float
    bottom: float
    # Of an area of less than a millionth 0 is written.
    width: NotNegative
    height: NotNegative


class AreaPart(_Part, frozen=True, kw_only=True):
    """The rectangle to enter, built frame; counts where the tablet's resolution is known.

    ``angle_deg`` is there where the tablet lies askew: how far the rectangle is turned clockwise
    about its own centre.
    """

    frame: Literal["built"] = "built"
    mm: EdgesPart
    inch: EdgesPart
    percent: EdgesPart
    counts: EdgesPart | None = None
    angle_deg: float | None = None


class AreaMm(_Part, frozen=True, kw_only=True):
    """Another rectangle of the tablet, built frame."""

    frame: Literal["built"] = "built"
    mm: EdgesPart


class ScreenPart(_Part, frozen=True, kw_only=True):
    """The rectangle of the desktop that the pen reaches, device pixels."""

    frame: Literal["desktop"] = "desktop"
    px: EdgesPart


class FiguresPart(_Part, frozen=True, kw_only=True):
    """The figures on one display that the pen reaches.

    What needs its size in mm is absent where that is unknown.
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
    """The map as a homogeneous matrix, row-major.

    From the tablet as built to the desktop, each 0 to 1 from its top left.
    """

    built_unit_to_desktop_unit: Matrix


class Described(_Part, frozen=True, kw_only=True):
    """What was described and asked of one workstation: all that the rest follows from."""

    evenstroke: Literal[1]
    workstation: Text
    note: str | None = None
    revision: RevisionPart | None = None
    tablet: TabletPart
    displays: Annotated[list[DisplayPart], Meta(min_length=1)]
    seat: SeatPart | None = None
    map: MapPart
    entry: EntryPart | None = None


class Profile(Described, frozen=True, kw_only=True):
    """The profile document of one workstation and one map.

    ``area`` to ``matrix`` are those of the map that is entered, rounded where the driver has a
    step. ``before_rounding`` is the area before that, where it differs; ``unturned`` the area for
    a driver that cannot turn it, where the tablet lies askew.
    """

    area: AreaPart
    screen: ScreenPart
    summary: Summary
    figures: list[FiguresPart]
    matrix: MatrixPart
    unturned: AreaMm | None = None
    before_rounding: AreaMm | None = None


DRAFT = "https://json-schema.org/draft/2020-12/schema"
#: Names the schema and leads nowhere: ``.invalid`` belongs to nobody (RFC 2606).
SCHEMA_ID = "https://evenstroke.invalid/profile-1.schema.json"


def json_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of the document, from the same types that validate it.

    Each key has its description. Raises KeyError for one that has none.
    """
    from profiles.format.descriptions import DESCRIPTIONS

    schema = msgspec.json.schema(Profile)
    for name, part in schema["$defs"].items():
        # From Python 3.13 on docstrings come without their indentation.
        part["description"] = cleandoc(part["description"])
        for key, value in part["properties"].items():
            value["description"] = DESCRIPTIONS[name][key]
    # An area that is not turned lies within the active area, which begins at 0.
    within = {"properties": {"left": {"minimum": 0}, "top": {"minimum": 0}}}
    units = ("mm", "inch", "percent", "counts")
    schema["$defs"]["AreaPart"] |= {
        "if": {"not": {"required": ["angle_deg"]}},
        "then": {"properties": dict.fromkeys(units, within)},
    }
    # Shapes are true on one display.
    schema["$defs"]["Profile"]["properties"]["displays"] |= {
        "contains": {
            "properties": {"circles_round": {"const": True}},
            "required": ["circles_round"],
        },
        "minContains": 0,
        "maxContains": 1,
    }
    return {
        "$schema": DRAFT,
        "$id": SCHEMA_ID,
        "title": "Evenstroke profile, format 1",
        **schema,
    }


if __name__ == "__main__":
    text = msgspec.json.format(msgspec.json.encode(json_schema()), indent=2).decode()
    print(text)  # noqa: T201 - for the shell
