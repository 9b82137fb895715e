"""What stands on the desk: the tablet, the displays and the desktop they make together."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace
from functools import cache
from typing import Literal, get_args

from mapper.affine import Affine
from mapper.phrases import Phrase, phrase, template
from mapper.problems import Problem, RequestError, nearest, quoted, refuse_other
from mapper.rect import Rect
from mapper.units import finite, positive, readable

TurnDeg = Literal[0, 90, 180, 270]
TURNS_DEG: tuple[TurnDeg, ...] = get_args(TurnDeg)

# Sizes that no desk holds are slips of the keyboard: a missing decimal point, or mm typed for px.
LARGEST_MM = 100_000.0
LARGEST_PX = 1_000_000
LARGEST_ZOOM = 10.0
MOST_SLANT_DEG = 45.0
#: The zooms that systems offer, in percent (common practice, no source).
SYSTEM_ZOOMS_PERCENT = (125, 150, 175, 200, 225, 250, 300)

_TABLET_LABEL = phrase("tablet label")
_DISPLAY_LABEL, _DISPLAY_ZOOM = phrase("display label"), phrase("display zoom")


# Made once each: a search for what would help builds many desks.
@cache
def _tablet_field(name: str) -> Phrase:
    """How a problem names a field of a tablet."""
    return phrase("tablet {field}", field=name)


@cache
def display_field(name: str) -> Phrase:
    """How a problem names a field of a display."""
    return phrase("display {field}", field=name)


@dataclass(frozen=True, slots=True)
class Tablet:
    """A screenless pen tablet as it lies on the desk.

    ``width_mm`` and ``height_mm`` are its active area in the built frame; ``counts_per_mm`` its
    resolution, None where it is not known; ``turn_deg`` how far it has been turned clockwise (0,
    90, 180, 270), as the driver is told; ``slant_deg`` how far it lies askew beyond that,
    clockwise, from -45 to 45, which drivers know nothing of. Raises RequestError for a size that no
    desk holds and for other turns and slants.

    >>> Tablet(240, 152, turn_deg=90).active_seen_mm
    Rect(left=0.0, top=0.0, width=152.0, height=240.0)
    """

    width_mm: float
    height_mm: float
    counts_per_mm: float | None = None
    turn_deg: TurnDeg = 0
    label: str = ""
    slant_deg: float = 0.0

    def __repr__(self) -> str:
        return repr_of(self)

    def __post_init__(self) -> None:
        for name in ("width_mm", "height_mm"):
            object.__setattr__(
                self,
                name,
                _size(getattr(self, name), _tablet_field(name), LARGEST_MM, "mm"),
            )
        if self.counts_per_mm is not None:
            object.__setattr__(
                self,
                "counts_per_mm",
                positive(self.counts_per_mm, _tablet_field("counts_per_mm")),
            )
        if self.label != "":
            readable(self.label, _TABLET_LABEL)
        object.__setattr__(self, "turn_deg", turn_of(self.turn_deg))
        object.__setattr__(self, "slant_deg", self._slant())

    def _slant(self) -> float:
        slant = finite(self.slant_deg, "slant")
        if abs(slant) <= MOST_SLANT_DEG:
            return slant
        # Every angle has one description: the nearest quarter turn, and what is left.
        quarters = round((self.turn_deg + slant) / 90)
        left = self.turn_deg + slant - 90 * quarters
        turn = quarters * 90 % 360
        instead = phrase(
            "Choose a tablet that is not turned, and askew by {slant} degrees", slant=f"{left:g}"
        )
        if turn:
            instead = phrase(
                "Choose a tablet that is turned by {turn} degrees clockwise, and askew by {slant} "
                "degrees",
                slant=f"{left:g}",
                turn=turn,
            )
        raise RequestError(
            Problem(
                "slant",
                phrase("must be between -45 and 45 degrees"),
                quoted(f"{self.slant_deg:g}"),
                instead,
            )
        )

    @property
    def active_built_mm(self) -> Rect:
        """The whole active area, built frame."""
        return Rect(0.0, 0.0, self.width_mm, self.height_mm)

    @property
    def active_seen_mm(self) -> Rect:
        """The whole active area, seen frame."""
        if self.turn_deg % 180 == 0:
            return self.active_built_mm
        return Rect(0.0, 0.0, self.height_mm, self.width_mm)

    @property
    def built_to_seen(self) -> Affine:
        """The map from built mm to seen mm."""
        return Affine.quarter_turn(self.turn_deg, self.width_mm, self.height_mm)

    def built_rect_mm(self, seen_mm: Rect) -> Rect:
        """The rectangle ``seen_mm`` of the seen frame, in the built frame."""
        # The whole active area is the tablet's own in both frames, to the last bit.
        if seen_mm == self.active_seen_mm:
            return self.active_built_mm
        return (~self.built_to_seen).rect(seen_mm)

    def seen_rect_mm(self, built_mm: Rect) -> Rect:
        """The rectangle ``built_mm`` of the built frame, in the seen frame."""
        if built_mm == self.active_built_mm:
            return self.active_seen_mm
        return self.built_to_seen.rect(built_mm)


@dataclass(frozen=True, slots=True)
class Display:
    """One display: its pixels, its place on the desktop and, where known, its size.

    ``width_mm`` and ``height_mm`` are the size of its picture on the glass, both given or both
    None: then square pixels are assumed and nothing that needs mm is computed. Where
    ``diagonal_mm`` is given they follow from it, with square pixels: ``width_mm = diagonal_mm · w /
    √(w² + h²)``. ``left_px`` and ``top_px`` are in the desktop frame. ``zoom`` is how many device
    pixels make one logical pixel, the system's scaling (1.5 for 150 %). ``bezel_mm`` is the frame
    around the picture, as wide on all sides, None where it is not known. Raises RequestError for
    values that no display has.

    >>> display = Display(2560, 1440, diagonal_mm=685.8)
    >>> round(display.width_mm, 1), round(display.height_mm, 1)
    (597.7, 336.2)
    """

    width_px: int
    height_px: int
    width_mm: float | None = None
    height_mm: float | None = None
    left_px: int = 0
    top_px: int = 0
    label: str = "main"
    zoom: float = 1.0
    bezel_mm: float | None = None
    diagonal_mm: float | None = None

    def __repr__(self) -> str:
        sides = () if self.diagonal_mm is None else ("width_mm", "height_mm")
        return repr_of(self, but=sides)

    def __post_init__(self) -> None:
        for name in ("width_px", "height_px"):
            size = _size(getattr(self, name), display_field(name), LARGEST_PX, "px")
            object.__setattr__(self, name, _whole(size, display_field(name)))
        for name in ("left_px", "top_px"):
            place = finite(getattr(self, name), display_field(name))
            if abs(place) > LARGEST_PX:
                raise RequestError(
                    Problem(
                        display_field(name),
                        phrase("must be within {largest} px", largest=LARGEST_PX),
                        quoted(place),
                    )
                )
            object.__setattr__(self, name, _whole(place, display_field(name)))
        if self.diagonal_mm is not None:
            self._size_by_diagonal(self.diagonal_mm)
        if (self.width_mm is None) != (self.height_mm is None):
            raise RequestError(
                Problem(
                    "display size",
                    phrase("width_mm and height_mm must both be given, or neither"),
                    phrase("one of them"),
                )
            )
        for name in ("width_mm", "height_mm"):
            if getattr(self, name) is not None:
                size = _size(getattr(self, name), display_field(name), LARGEST_MM, "mm")
                object.__setattr__(self, name, size)
        readable(self.label, _DISPLAY_LABEL)
        object.__setattr__(self, "zoom", _zoom(self.zoom))
        if self.bezel_mm is not None:
            object.__setattr__(self, "bezel_mm", _bezel_mm(self.bezel_mm))

    def _size_by_diagonal(self, diagonal_mm: float) -> None:
        diagonal_mm = _size(diagonal_mm, display_field("diagonal_mm"), LARGEST_MM, "mm")
        per_px = diagonal_mm / math.hypot(self.width_px, self.height_px)
        size = self.width_px * per_px, self.height_px * per_px
        # A copy of a display comes with the size that it has.
        if (self.width_mm, self.height_mm) not in {(None, None), size}:
            must = phrase("must be given as a diagonal or as width_mm and height_mm")
            raise RequestError(Problem("display size", must, phrase("both")))
        for name, value in zip(
            ("diagonal_mm", "width_mm", "height_mm"), (diagonal_mm, *size), strict=True
        ):
            object.__setattr__(self, name, value)

    def with_diagonal(self, diagonal_mm: float) -> Display:
        """A copy of this display with square pixels and this diagonal."""
        return replace(self, width_mm=None, height_mm=None, diagonal_mm=diagonal_mm)

    @property
    def rect_px(self) -> Rect:
        """The display's place on the desktop, desktop frame."""
        return Rect(self.left_px, self.top_px, self.width_px, self.height_px)

    @property
    def mm_per_px(self) -> tuple[float, float] | None:
        """The pixel pitch along x and y, mm, or None where the size is unknown."""
        if self.width_mm is None or self.height_mm is None:
            return None
        return self.width_mm / self.width_px, self.height_mm / self.height_px


@dataclass(frozen=True, slots=True)
class Desktop:
    """All displays together.

    The primary display is the one whose top left is at (0, 0). Raises RequestError where no display
    stands there, two overlap, or two bear one label.

    >>> left, right = Display(1920, 1080), Display(2560, 1440, left_px=1920, label="right")
    >>> Desktop((left, right)).rect_px
    Rect(left=0.0, top=0.0, width=4480.0, height=1440.0)
    """

    displays: tuple[Display, ...]

    def __post_init__(self) -> None:
        give = template("Give a tuple of displays, for example {example}")
        example = "Desktop((Display(2560, 1440),))"
        given: object = self.displays
        if isinstance(given, str) or not hasattr(given, "__iter__"):
            refuse_other(given, tuple, "displays", give, example=example)
        object.__setattr__(self, "displays", tuple(self.displays))
        for display in self.displays:
            refuse_other(display, Display, "displays", give, example=example)
        problems = []
        if not self.displays:
            raise RequestError(Problem("displays", phrase("at least one display is needed")))
        if not any((display.left_px, display.top_px) == (0, 0) for display in self.displays):
            problems.append(
                Problem(
                    "displays",
                    phrase("one display, the primary, must be at 0,0"),
                    phrase("none there"),
                    phrase("Leave out its place"),
                )
            )
        seen: set[str] = set()
        for display in self.displays:
            if display.label in seen:
                problems.append(
                    Problem(
                        "displays",
                        phrase("each label must be its own"),
                        phrase("{display} twice", display=quoted(display.label)),
                    )
                )
            seen.add(display.label)
        for index, one in enumerate(self.displays):
            problems.extend(
                _overlapping(one, two)
                for two in self.displays[index + 1 :]
                if one.rect_px.overlap(two.rect_px)
            )
        if problems:
            raise RequestError(*problems)

    @property
    def primary(self) -> Display:
        return next(
            display for display in self.displays if (display.left_px, display.top_px) == (0, 0)
        )

    @property
    def rect_px(self) -> Rect:
        """The rectangle that encloses all displays."""
        return Rect.enclosing(*(display.rect_px for display in self.displays))

    @property
    def width_over_height(self) -> float:
        """The proportions of all displays, on the glass where the primary display's size is known.

        With its pitch for all of them, and with square pixels where it has no size.

        >>> Desktop((Display(2560, 1440, 600, 300),)).width_over_height
        2.0
        """
        rect, (x_mm, y_mm) = self.rect_px, self.primary.mm_per_px or (1.0, 1.0)
        return rect.width * x_mm / (rect.height * y_mm)

    def named(self, label: str, where: str) -> Display:
        """The display with this label.

        Raises RequestError naming ``where`` and the nearest label.
        """
        for display in self.displays:
            if display.label == label:
                return display
        labels = [display.label for display in self.displays]
        near = nearest(label, labels)
        instead = (
            phrase("Did you mean {near}?", near=near)
            if near
            else phrase("The displays are: {labels}", labels=", ".join(labels))
        )
        raise RequestError(Problem(where, phrase("must name a display"), quoted(label), instead))


def are_mirrored(one: Display, two: Display) -> bool:
    """Whether two displays begin at the same pixel, so that they show the same."""
    return (one.left_px, one.top_px) == (two.left_px, two.top_px)


def _overlapping(one: Display, two: Display) -> Problem:
    """The problem of two displays, one over the other."""
    names = {"one": quoted(one.label), "two": quoted(two.label)}
    if are_mirrored(one, two):
        must = phrase("displays that show the same are mirrored, and count as one")
        instead = phrase("Leave {two} out, or give it a place of its own", two=names["two"])
        return Problem("displays", must, phrase("{one} and {two}", **names), instead)
    return Problem(
        "displays", phrase("displays must not overlap"), phrase("{one} over {two}", **names)
    )


def turn_of(value: object) -> TurnDeg:
    """``value`` as a turn. Raises RequestError where it is none."""
    for turn in TURNS_DEG:
        if turn == value and not isinstance(value, bool):
            return turn
    must = phrase("must be 0, 90, 180 or 270 degrees clockwise")
    raise RequestError(Problem("turn", must, quoted(value)))


def repr_of(value: Tablet | Display, but: tuple[str, ...] = ()) -> str:
    """What makes ``value`` again, on a line: its fields that are not as usual.

    Those of ``but`` are left out.
    """
    said = [
        f"{each.name}={getattr(value, each.name)!r}"
        for each in fields(value)
        if each.name not in but and getattr(value, each.name) != each.default
    ]
    return f"{type(value).__name__}({', '.join(said)})"


def _size(value: object, where: str, largest: float, unit: str) -> float:
    size = positive(value, where)
    if size > largest:
        raise RequestError(
            Problem(
                where,
                phrase("must be at most {largest} {unit}", largest=f"{largest:.0f}", unit=unit),
                quoted(value),
            )
        )
    return size


def _zoom(value: object) -> float:
    zoom = positive(value, _DISPLAY_ZOOM)
    if 1 / LARGEST_ZOOM <= zoom <= LARGEST_ZOOM:
        return zoom
    instead = (
        phrase("{percent} % is {zoom}", percent=f"{zoom:g}", zoom=f"{zoom / 100:g}")
        if LARGEST_ZOOM < zoom <= 100 * LARGEST_ZOOM
        else ""
    )
    raise RequestError(
        Problem("display zoom", phrase("must be from 0.1 to 10"), quoted(value), instead)
    )


def _bezel_mm(value: object) -> float:
    bezel_mm = finite(value, display_field("bezel_mm"))
    if 0 <= bezel_mm <= LARGEST_MM:
        return bezel_mm
    raise RequestError(
        Problem(
            "display bezel_mm",
            phrase("must be from 0 to {largest} mm", largest=f"{LARGEST_MM:.0f}"),
            quoted(value),
        )
    )


def _whole(value: float, where: str) -> int:
    if value != int(value):
        raise RequestError(
            Problem(where, phrase("must be a whole number of pixels"), quoted(value))
        )
    return int(value)
