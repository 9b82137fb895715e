"""A rectangle in every unit and form of a driver's settings, and back from any of them.

``UNITS`` and ``SHAPES`` are the tables: everything that computes, reads or writes a unit or a form
asks them. Their words for people stand in ``render.sentences.forms``.

Numbers are freed of the last digit's rounding: 12.3 and not 12.300000000000001 percent.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, NamedTuple

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.rect import Rect
from mapper.units import MM_PER_INCH, as_typed

if TYPE_CHECKING:
    from collections.abc import Callable
    from fractions import Fraction

    Numbers = tuple[Fraction, Fraction, Fraction, Fraction]


class Ratio(NamedTuple):
    """A unit against mm: x mm are ``x * times / over_x`` units across, and so down."""

    times: float
    over_x: float
    over_y: float


UnitName = Literal["mm", "inch", "percent", "counts"]
#: Which four numbers say where a rectangle lies: left, top and size; two corners; centre and size.
ShapeName = Literal["size", "corners", "centre"]


class Unit(NamedTuple):
    """A unit of a driver's settings.

    ``name`` stands in files; ``sign`` behind numbers and ``one`` behind a single one; ``typed`` are
    the words by which people name it. ``places`` are the decimals of a form: enough for any driver,
    and no more than a person can type. ``ratio`` compares it with mm on an active area (mm) of a
    resolution (counts/mm, None where unknown). ``is_length`` says whether it is as long on every
    tablet, ``needs_counts`` whether it needs the resolution.
    """

    name: UnitName
    sign: str
    one: str
    typed: tuple[str, ...]
    places: int
    ratio: Callable[[Rect, float | None], Ratio]
    is_length: bool = False
    needs_counts: bool = False


def _length(mm: float) -> Callable[[Rect, float | None], Ratio]:
    return lambda _active_mm, _counts_per_mm: Ratio(1.0, mm, mm)


_ROWS = (
    # A micrometre; a ten-thousandth of an inch.
    Unit("mm", "mm", "mm", ("mm",), 3, _length(1.0), is_length=True),
    Unit(
        "inch", "in", "in", ("in", "inch", "inches", '"'), 4, _length(MM_PER_INCH), is_length=True
    ),
    # Of the active area: across of its width, down of its height.
    Unit(
        "percent",
        "%",
        "%",
        ("%", "percent"),
        3,
        lambda active_mm, _: Ratio(100.0, active_mm.width, active_mm.height),
    ),
    Unit(
        "counts",
        phrase("counts"),
        phrase("count"),
        ("counts", "count"),
        1,
        lambda _, counts_per_mm: Ratio(counts_per_mm or 0.0, 1.0, 1.0),
        needs_counts=True,
    ),
)
#: The units of a driver's settings, by name.
UNITS: dict[str, Unit] = {unit.name: unit for unit in _ROWS}


class Shape(NamedTuple):
    """A form of a driver's settings: which four numbers say where a rectangle lies.

    ``labels`` name them where y runs down from the top left, ``labels_up`` where it runs up from
    the bottom left. ``numbers`` takes them from a rectangle (``RectForm``, y as it runs) and the
    width and height of the active area; ``sides`` makes left, top, width and height of them.
    """

    name: ShapeName
    labels: tuple[str, str, str, str]
    labels_up: tuple[str, str, str, str]
    numbers: Callable[[RectForm, float, float], tuple[float, float, float, float]]
    sides: Callable[[Fraction, Fraction, Fraction, Fraction, Fraction, Fraction], Numbers]


_LEFT, _TOP, _RIGHT, _BOTTOM = (
    phrase("left"),
    phrase("top"),
    phrase("right"),
    phrase("bottom"),
)
_WIDTH, _HEIGHT = phrase("width"), phrase("height")

_SHAPES = (
    Shape(
        "size",
        (_LEFT, _TOP, _WIDTH, _HEIGHT),
        (_LEFT, _BOTTOM, _WIDTH, _HEIGHT),
        lambda form, _wide, _high: (form.left, form.top, form.width, form.height),
        lambda left, top, width, height, _wide, _high: (left, top, width, height),
    ),
    Shape(
        "corners",
        (_LEFT, _TOP, _RIGHT, _BOTTOM),
        (_LEFT, _BOTTOM, _RIGHT, _TOP),
        lambda form, _wide, _high: (form.left, form.top, form.right, form.bottom),
        lambda left, top, right, bottom, _wide, _high: (left, top, right - left, bottom - top),
    ),
    Shape(
        "centre",
        (phrase("centre across"), phrase("centre down"), _WIDTH, _HEIGHT),
        (phrase("centre across"), phrase("centre up"), _WIDTH, _HEIGHT),
        lambda form, _wide, _high: (form.centre_x, form.centre_y, form.width, form.height),
        lambda x, y, width, height, _wide, _high: (x - width / 2, y - height / 2, width, height),
    ),
)
#: The forms of a driver's settings, by name.
SHAPES: dict[str, Shape] = {shape.name: shape for shape in _SHAPES}

# No form has more places, and a number within a few roundings of one with at most nine is that
# number.
_PLACES = 9
_ROUNDINGS = 4e-15


class TypedRect(NamedTuple):
    """A rectangle as somebody reads it off a form: four exact numbers and what they mean.

    ``numbers`` are those of ``shape``, one of SHAPES, from the origin; ``unit`` is one of UNITS.
    ``from_bottom`` puts the origin at the bottom left, with y running up.
    """

    numbers: tuple[Fraction, Fraction, Fraction, Fraction]
    unit: str
    shape: str = "size"
    from_bottom: bool = False

    def rect_mm(self, active_mm: Rect, counts_per_mm: float | None, where: str) -> Rect:
        """The rectangle in mm, in the frame of ``active_mm``.

        Each number is converted exactly and rounded once. Raises RequestError, naming ``where``,
        for counts without a resolution and for a size not above zero.
        """
        x_mm, y_mm = unit_mm(self.unit, active_mm, counts_per_mm, where)
        first, second, third, fourth = (
            number * unit
            for number, unit in zip(self.numbers, (x_mm, y_mm, x_mm, y_mm), strict=True)
        )
        whole = as_typed(active_mm.width), as_typed(active_mm.height)
        left, top, width, height = SHAPES[self.shape].sides(first, second, third, fourth, *whole)
        if width <= 0 or height <= 0:
            raise RequestError(Problem(where, phrase("must have a width and a height above 0")))
        if self.from_bottom:
            top = as_typed(active_mm.height) - top - height
        return Rect(float(left), float(top), float(width), float(height))


def unit_mm(
    unit: str, active_mm: Rect, counts_per_mm: float | None, where: str
) -> tuple[Fraction, Fraction]:
    """One ``unit`` along x and y, in mm, exactly.

    Raises RequestError, naming ``where``, for counts without a resolution.
    """
    row = UNITS[unit]
    if row.needs_counts:
        known_resolution(counts_per_mm, where)
    times, over_x, over_y = map(as_typed, row.ratio(active_mm, counts_per_mm))
    return over_x / times, over_y / times


def known_resolution(counts_per_mm: float | None, where: str) -> float:
    """``counts_per_mm``, which must be known.

    Raises RequestError, naming ``where``, where it is None.
    """
    if counts_per_mm is None:
        instead = phrase(
            "Type after the tablet's size how many it measures for 1 mm, for example "
            "240x152mm@150/mm"
        )
        raise RequestError(
            Problem(where, phrase("counts need the tablet's resolution"), instead=instead)
        )
    return counts_per_mm


@dataclass(frozen=True, slots=True)
class RectForm:
    """A rectangle of the tablet in one unit, with every number that a form may ask for.

    Distances from the left and the top edge of the active area; ``up_from_bottom`` is the distance
    of the lower edge from the bottom of the active area, for forms whose origin is the bottom left.
    """

    left: float
    top: float
    right: float
    bottom: float
    width: float
    height: float
    centre_x: float
    centre_y: float
    up_from_bottom: float

    def from_bottom(self) -> RectForm:
        """The rectangle with y running up from the bottom: its top edge is the lower one."""
        up = self.up_from_bottom
        return replace(self, top=up, bottom=up + self.height, centre_y=up + self.height / 2)

    @classmethod
    def of(cls, rect: Rect, active: Rect, times: float, over_x: float, over_y: float) -> RectForm:
        """``rect`` in a unit of which x mm are ``x * times / over_x``, and y with ``over_y``.

        ``rect`` and ``active`` are in mm in one frame. Multiplied first and divided after, and
        freed of the last digit's rounding, so that what is whole stays whole.
        """

        def x(value: float) -> float:
            return _freed(value * times / over_x, active.width * times / over_x)

        def y(value: float) -> float:
            return _freed(value * times / over_y, active.height * times / over_y)

        centre_x, centre_y = rect.centre
        in_mm = times == over_x == over_y == 1.0
        return cls(
            # In mm these four are the rectangle itself, to the last bit.
            left=rect.left if in_mm else x(rect.left),
            top=rect.top if in_mm else y(rect.top),
            right=x(rect.right),
            bottom=y(rect.bottom),
            width=rect.width if in_mm else x(rect.width),
            height=rect.height if in_mm else y(rect.height),
            centre_x=x(centre_x),
            centre_y=y(centre_y),
            up_from_bottom=y(active.height - rect.bottom),
        )


def _freed(value: float, whole: float) -> float:
    """``value`` in few places where it differs from that by nothing but rounding.

    ``whole`` is the full side, of which the rounding is a share.
    """
    short = round(value, _PLACES) + 0.0
    return short if abs(short - value) <= _ROUNDINGS * whole else value


def rect_forms(
    rect_mm: Rect, active_mm: Rect, counts_per_mm: float | None = None
) -> dict[str, RectForm]:
    """``rect_mm`` in each of UNITS; in device counts only where the resolution is known.

    Both rectangles in the same frame, ``active_mm`` at the origin. Nothing is rounded. An inch is
    25.4 mm. Percentages of x are of the active width, of y of the active height.

    >>> forms = rect_forms(Rect(0, 8.5, 240, 135), Rect(0, 0, 240, 152))
    >>> forms["percent"].width, round(forms["inch"].height, 4)
    (100.0, 5.315)
    """
    return {
        unit.name: RectForm.of(rect_mm, active_mm, *unit.ratio(active_mm, counts_per_mm))
        for unit in UNITS.values()
        if counts_per_mm is not None or not unit.needs_counts
    }
