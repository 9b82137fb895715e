"""How large displays look from the chair, and where they lie for eyes and neck.

The eye frame, on which every docstring here relies: origin midway between the eyes, x right, y
down, z straight ahead, all in mm; the head looks level along z. ``bearing`` is an angle about the
vertical, positive to the right; ``below`` an angle under eye level, positive downwards; both in
degrees. A display's own frame has its origin in the centre of the picture, x along its width (along
the curve, where it is curved) and y down.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from operator import mul
from typing import TYPE_CHECKING

from mapper.desk import Display, display_field
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, quoted
from mapper.units import finite, positive

if TYPE_CHECKING:
    from collections.abc import Sequence

#: As far as the eyes turn before the head joins in, degrees to either side. Common practice, no
#: source: at near tasks heads have been seen to join in from 6 to 11 degrees.
EYES_ALONE_DEG = 15.0

Point = tuple[float, float, float]


def visual_angle_deg(size_mm: float, distance_mm: float) -> float:
    """The angle that a flat size fills, seen from ``distance_mm`` in front of its middle.

    ``2·atan(s / 2d)``, the formula of W3C CSS Values and Units (the reference pixel) and the one by
    which ITU-R states design distances. Raises RequestError for a size or distance not above zero.

    >>> round(visual_angle_deg(600, 700), 1)
    46.4
    """
    return math.degrees(
        2 * math.atan2(positive(size_mm, "size") / 2, positive(distance_mm, "distance"))
    )


def distance_for_arc_minutes_mm(pitch_mm: float, arc_minutes: float = 1.0) -> float:
    """The distance at which one pixel of ``pitch_mm`` fills ``arc_minutes``, mm.

    ``p / (2·tan(a / 2))``. One arc-minute a pixel is what ITU-R BT.500 is quoted for; BT.1845 and
    BT.2022 were not checked. Raises RequestError for a pitch not above zero and for an angle
    outside 0 to 180 degrees.
    """
    angle_deg = _viewing_angle(positive(arc_minutes, phrase("arc minutes")) / 60)
    return positive(pitch_mm, phrase("pixel pitch")) / (2 * math.tan(math.radians(angle_deg) / 2))


@dataclass(frozen=True, slots=True)
class Glass:
    """The picture on the glass of one display: size, pixels and curve.

    ``width_mm`` is measured along the glass, so along the curve, as makers state diagonals.
    ``radius_mm`` is the radius of curvature (1800 for a display sold as 1800R), None where it is
    flat. ``bezel_mm`` is the frame around it. Pixels may be None: then what speaks of pixels is
    None too. Raises RequestError for sizes that are not above zero, and for a curve that goes round
    more than half a circle.
    """

    width_mm: float
    height_mm: float
    width_px: int | None = None
    height_px: int | None = None
    radius_mm: float | None = None
    bezel_mm: float = 0.0

    def __post_init__(self) -> None:
        for name in ("width_mm", "height_mm"):
            object.__setattr__(self, name, positive(getattr(self, name), display_field(name)))
        for name in ("width_px", "height_px"):
            if getattr(self, name) is not None:
                positive(getattr(self, name), display_field(name))
        object.__setattr__(self, "bezel_mm", finite(self.bezel_mm, "bezel"))
        if self.bezel_mm < 0:
            raise RequestError(Problem("bezel", phrase("must be 0 or more"), quoted(self.bezel_mm)))
        if self.radius_mm is not None:
            object.__setattr__(
                self, "radius_mm", positive(self.radius_mm, phrase("display radius"))
            )
            if self.width_mm > math.pi * self.radius_mm:
                least = f"{math.ceil(self.width_mm / math.pi)} mm"
                raise RequestError(
                    Problem(
                        "display radius",
                        phrase("must be at least {least} for this width", least=least),
                        quoted(self.radius_mm),
                    )
                )

    @classmethod
    def of_display(cls, display: Display, radius_mm: float | None = None) -> Glass:
        """The glass of ``display``; a frame that is not known counts as none.

        Raises RequestError where its size is not known.
        """
        if display.width_mm is None or display.height_mm is None:
            raise RequestError(
                Problem(
                    f"display {quoted(display.label)}",
                    phrase("its size is needed to know how large it looks"),
                    phrase(
                        "{width}x{height} px alone",
                        width=display.width_px,
                        height=display.height_px,
                    ),
                    phrase("Give its diagonal or its sides as well, for example 27in or 597x336mm"),
                )
            )
        sizes = (display.width_mm, display.height_mm, display.width_px, display.height_px)
        return cls(*sizes, radius_mm, display.bezel_mm or 0.0)

    @property
    def pitch_mm(self) -> tuple[float, float] | None:
        """The pixel pitch along x and y, mm; None where the pixels are not known."""
        if self.width_px is None or self.height_px is None:
            return None
        return self.width_mm / self.width_px, self.height_mm / self.height_px

    @property
    def chord_mm(self) -> float:
        """The straight line from the left edge to the right one: ``2R·sin(w / 2R)``.

        The width, where flat.
        """
        if self.radius_mm is None:
            return self.width_mm
        return 2 * self.radius_mm * math.sin(self.width_mm / (2 * self.radius_mm))

    @property
    def depth_mm(self) -> float:
        """How far the edges stand in front of the middle: ``R·(1 - cos(w / 2R))``; 0 where flat."""
        return -self.point_mm(self.width_mm / 2, 0.0)[2]

    def point_mm(self, across_mm: float, down_mm: float) -> Point:
        """The place of a point of the picture, display frame.

        ``(R·sin(a/R), down, -R·(1 - cos(a/R)))``.
        """
        if self.radius_mm is None:
            return across_mm, down_mm, 0.0
        half = across_mm / self.radius_mm / 2
        # 1 - cos(2h) as 2·sin²(h): a nearly flat curve keeps its digits.
        return (
            self.radius_mm * math.sin(2 * half),
            down_mm,
            -2 * self.radius_mm * math.sin(half) ** 2,
        )

    def frame_end_mm(self, side: int) -> Point:
        """The outer end of the frame to one side, level with the centre, display frame.

        ``side`` is -1 for left, 1 for right.
        """
        at = side * self.width_mm / 2
        x, y, z = (
            p + side * self.bezel_mm * a
            for p, a in zip(self.point_mm(at, 0.0), self.across_mm(at), strict=True)
        )
        return x, y, z

    def across_mm(self, across_mm: float) -> Point:
        """The direction of the picture's x at a point, display frame, of length 1."""
        bend = 0.0 if self.radius_mm is None else across_mm / self.radius_mm
        return math.cos(bend), 0.0, -math.sin(bend)


@dataclass(frozen=True, slots=True)
class Stand:
    """Where the centre of a picture stands for the eyes, and how it is turned.

    ``distance_mm`` is the straight line from the eyes to the centre of the picture. ``bearing_deg``
    and ``below_deg`` say in which direction that line goes. ``turn_deg`` is the bearing from which
    the display faces the eyes: a display at bearing 30 and turn 30 faces them, at turn 0 it stands
    parallel to the shoulders. ``tilt_deg`` is how far its top leans back. None for either stands
    for "faces the eyes".
    """

    distance_mm: float
    bearing_deg: float = 0.0
    below_deg: float = 0.0
    turn_deg: float | None = None
    tilt_deg: float | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "distance_mm", positive(self.distance_mm, "distance"))
        limits = {"bearing_deg": 180.0, "below_deg": 90.0, "turn_deg": 360.0, "tilt_deg": 90.0}
        for name, most in limits.items():
            if getattr(self, name) is None and name in {"turn_deg", "tilt_deg"}:
                continue
            angle = finite(getattr(self, name), name)
            if abs(angle) > most:
                raise RequestError(
                    Problem(
                        name,
                        phrase("must be between -{most} and {most} degrees", most=f"{most:.0f}"),
                        quoted(angle),
                    )
                )
            object.__setattr__(self, name, angle)

    @property
    def turned_deg(self) -> float:
        """The turn, its bearing where it faces the eyes."""
        return self.bearing_deg if self.turn_deg is None else self.turn_deg

    @property
    def tilted_deg(self) -> float:
        """The tilt, the angle under eye level where it faces the eyes."""
        return self.below_deg if self.tilt_deg is None else self.tilt_deg

    @property
    def centre_mm(self) -> Point:
        """The centre of the picture, eye frame."""
        bearing, below = math.radians(self.bearing_deg), math.radians(self.below_deg)
        level = self.distance_mm * math.cos(below)
        return (
            level * math.sin(bearing),
            self.distance_mm * math.sin(below),
            level * math.cos(bearing),
        )

    def direction(self, vector: Point) -> Point:
        """A display-frame direction in the eye frame: leant back by the tilt, then turned."""
        x, y, z = vector
        tilt, turn = math.radians(self.tilted_deg), math.radians(self.turned_deg)
        y, z = y * math.cos(tilt) + z * math.sin(tilt), z * math.cos(tilt) - y * math.sin(tilt)
        return x * math.cos(turn) + z * math.sin(turn), y, z * math.cos(turn) - x * math.sin(turn)

    def place_mm(self, point: Point) -> Point:
        """A point of the display frame in the eye frame, mm."""
        (x, y, z), centre = self.direction(point), self.centre_mm
        return x + centre[0], y + centre[1], z + centre[2]


@dataclass(frozen=True, slots=True)
class View:
    """One display as the eyes see it.

    ============================ =========================================================
    ``horizontal_deg``           from the left edge over the centre to the right edge
    ``vertical_deg``             from the top edge over the centre to the bottom edge
    ``diagonal_deg``             from corner over the centre to opposite corner, the wider
                                 of the two
    ``left_deg, right_deg``      bearing of the middle of each side edge (positive: right
                                 of straight ahead)
    ``top_deg, centre_deg,       how far under eye level the middle of the top edge, the
    bottom_deg``                 centre and the middle of the bottom edge lie (negative:
                                 above)
    ``nearest_mm, farthest_mm``  of the centre, the middles of the four edges and the four
                                 corners
    ``arc_minutes_per_px_x, _y`` of the pixel in the centre; None without pixels
    ``px_per_degree_x, _y``      in the centre: 60 / arc-minutes per px
    ``px_per_degree_edge``       along x at the middle of the side edge where it is largest
    ``neck_deg``                 what the neck must turn for the farther side edge once
                                 the eyes have turned as far as they do alone
                                 (EYES_ALONE_DEG)
    ============================ =========================================================
    """

    glass: Glass
    stand: Stand
    horizontal_deg: float
    vertical_deg: float
    diagonal_deg: float
    left_deg: float
    right_deg: float
    top_deg: float
    centre_deg: float
    bottom_deg: float
    nearest_mm: float
    farthest_mm: float
    arc_minutes_per_px_x: float | None
    arc_minutes_per_px_y: float | None
    px_per_degree_x: float | None
    px_per_degree_y: float | None
    px_per_degree_edge: float | None
    neck_deg: float

    @classmethod
    def of(cls, glass: Glass, stand: Stand) -> View:
        """The view of ``glass`` at ``stand``.

        Raises RequestError where its back is turned to the eyes.
        """
        half_x, half_y = glass.width_mm / 2, glass.height_mm / 2
        seen = {
            (across, down): stand.place_mm(glass.point_mm(across * half_x, down * half_y))
            for across in (-1, 0, 1)
            for down in (-1, 0, 1)
        }
        centre = seen[0, 0]
        towards = stand.direction((0.0, 0.0, -1.0))
        if sum(map(mul, towards, centre)) >= 0:
            raise RequestError(
                Problem(
                    "turn",
                    phrase("the display must show its front to the eyes"),
                    phrase("turned {turned} degrees", turned=f"{stand.turned_deg:g}"),
                )
            )

        def over_centre_deg(one: tuple[int, int], other: tuple[int, int]) -> float:
            return _between_deg(seen[one], centre) + _between_deg(centre, seen[other])

        left_deg, right_deg = _bearing_deg(seen[-1, 0]), _bearing_deg(seen[1, 0])
        minutes_x = minutes_y = edge = None
        if glass.pitch_mm is not None:
            minutes_x, minutes_y = (
                60 * _pixel_angle_deg(centre, stand.direction(along), pitch)
                for along, pitch in zip(
                    ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0)), glass.pitch_mm, strict=True
                )
            )
            edge_deg = (
                _pixel_angle_deg(seen[side, 0], stand.direction(along), glass.pitch_mm[0])
                for side, along in ((-1, glass.across_mm(-half_x)), (1, glass.across_mm(half_x)))
            )
            edge = 1 / min(edge_deg)
        distances = [math.hypot(*point) for point in seen.values()]
        return cls(
            glass=glass,
            stand=stand,
            horizontal_deg=over_centre_deg((-1, 0), (1, 0)),
            vertical_deg=over_centre_deg((0, -1), (0, 1)),
            diagonal_deg=max(over_centre_deg((-1, -1), (1, 1)), over_centre_deg((1, -1), (-1, 1))),
            left_deg=left_deg,
            right_deg=right_deg,
            top_deg=_below_deg(seen[0, -1]),
            centre_deg=_below_deg(centre),
            bottom_deg=_below_deg(seen[0, 1]),
            nearest_mm=min(distances),
            farthest_mm=max(distances),
            arc_minutes_per_px_x=minutes_x,
            arc_minutes_per_px_y=minutes_y,
            px_per_degree_x=None if minutes_x is None else 60 / minutes_x,
            px_per_degree_y=None if minutes_y is None else 60 / minutes_y,
            px_per_degree_edge=edge,
            neck_deg=max(0.0, abs(left_deg) - EYES_ALONE_DEG, abs(right_deg) - EYES_ALONE_DEG),
        )


def distance_for_angle_mm(glass: Glass, horizontal_deg: float) -> float:
    """The distance, square in front, at which ``glass`` fills ``horizontal_deg``, mm.

    From side to side: ``d = c / (2·tan(a / 2)) + e`` with the chord c and the depth e of the curve,
    so ``w / (2·tan(a / 2))`` where it is flat. Raises RequestError for an angle outside 0 to 180
    degrees.
    """
    half = math.radians(_viewing_angle(horizontal_deg)) / 2
    return glass.chord_mm / (2 * math.tan(half)) + glass.depth_mm


def below_deg_of_top(
    glass: Glass, distance_mm: float, top_below_eyes_mm: float, tilt_deg: float | None
) -> float:
    """How far under eye level the centre lies when the top edge's drop is known, degrees.

    ``top_below_eyes_mm`` is that drop. ``distance_mm`` runs from the eyes to the centre. With a
    given tilt t and the drop T of the top edge, ``sin b = (T + h/2·cos t) / d``; where the display
    faces the eyes, t = b, which solves to ``b = atan(h / 2d) + asin(T / √(d² + h²/4))``. Raises
    RequestError where no such place exists at that distance.
    """
    distance, half = positive(distance_mm, "distance"), glass.height_mm / 2
    drop = finite(top_below_eyes_mm, phrase("top below eyes"))
    if tilt_deg is None:
        sine = drop / math.hypot(distance, half)
        more = math.atan2(half, distance)
    else:
        sine = (drop + half * math.cos(math.radians(finite(tilt_deg, "tilt_deg")))) / distance
        more = 0.0
    below_deg = math.degrees(more + math.asin(sine)) if abs(sine) < 1 else math.inf
    if abs(below_deg) > 90:
        raise RequestError(
            Problem(
                "top below eyes",
                phrase(
                    "is too far for a centre {distance} mm from the eyes", distance=f"{distance:g}"
                ),
                phrase("{drop} mm", drop=f"{drop:g}"),
            )
        )
    return below_deg


def arc_bearings_deg(
    glasses: Sequence[Glass],
    distance_mm: float,
    *,
    ahead: int | None = None,
    below_deg: float = 0.0,
    tilt_deg: float | None = None,
) -> list[float]:
    """The bearing, and so the turn, of each display of an arc that faces the eyes, left to right.

    In degrees. The centre of every picture stands at ``distance_mm`` and ``below_deg`` under eye
    level, and leans back by ``tilt_deg`` (None: it faces the eyes); the frames touch and do not cut
    into each other. ``ahead`` is the index of the display that is straight ahead; None puts the
    middle of the whole arc there. A display that stands behind the head is nearer by the other
    side, so bearings stay within -180 and 180. Raises RequestError where the arc would close behind
    the head.

    All are copies turned about the vertical through the eyes. With the outer end (x, z) of its
    frame, b the angle below and t the tilt, a display reaches ``atan2(x, d·cos b + z·cos t - y·sin
    t)`` to each side at y down its frame: the farthest where its lean brings it nearest. Two stand
    apart by the sum of what each reaches at heights where both are.
    """
    distance = positive(distance_mm, "distance")
    below, tilt = math.radians(below_deg), math.radians(below_deg if tilt_deg is None else tilt_deg)
    level, lean, upright = distance * math.cos(below), abs(math.sin(tilt)), math.cos(tilt)
    ends = [
        (*glass.frame_end_mm(1)[::2], glass.height_mm / 2 + glass.bezel_mm) for glass in glasses
    ]

    def reach_deg(index: int, other: int) -> float:
        """How far the display at ``index`` reaches to a side at heights shared with ``other``."""
        (x, z, half), (_, other_z, other_half) = ends[index], ends[other]
        # The ends of a curve stand in front of its middle, so that a lean moves them up or down.
        shared = other_half + (abs(z) + abs(other_z)) * lean / upright if upright > 0 else half
        return math.degrees(math.atan2(x, level + z * upright - min(half, shared) * lean))

    whole = [reach_deg(index, index) for index in range(len(ends))]
    bearings: list[float] = []
    for index in range(len(ends)):
        beside = (
            bearings[left] + reach_deg(left, index) + reach_deg(index, left)
            for left in range(index)
        )
        bearings.append(max(beside, default=0.0))
    first = min(bearing - half for bearing, half in zip(bearings, whole, strict=True))
    last = max(bearing + half for bearing, half in zip(bearings, whole, strict=True))
    if last - first > 360:
        instead = phrase("Put the displays farther away")
        raise RequestError(
            Problem(
                "arc",
                phrase("must stay open behind the head"),
                phrase("{last} degrees", last=f"{last - first:.0f}"),
                instead,
            )
        )
    middle = (first + last) / 2 if ahead is None else bearings[ahead]
    return [math.remainder(bearing - middle, 360) for bearing in bearings]


def _viewing_angle(angle_deg: float) -> float:
    angle = positive(angle_deg, "angle")
    if angle >= 180:
        raise RequestError(
            Problem("angle", phrase("must be less than 180 degrees"), quoted(angle_deg))
        )
    return angle


def _between_deg(one: Point, other: Point) -> float:
    """The angle between two directions as seen from the eyes, degrees.

    By the half angle, which keeps all digits (W. Kahan): ``2·atan(| u/|u| - v/|v| | / | u/|u| +
    v/|v| |)``.
    """
    far, near = math.hypot(*one), math.hypot(*other)
    apart, along = (
        [p * near + sign * q * far for p, q in zip(one, other, strict=True)] for sign in (-1, 1)
    )
    return math.degrees(2 * math.atan2(math.hypot(*apart), math.hypot(*along)))


def _bearing_deg(point: Point) -> float:
    """The angle of ``point`` about the vertical, eye frame, positive to the right."""
    return math.degrees(math.atan2(point[0], point[2]))


def _below_deg(point: Point) -> float:
    """The angle of ``point`` under eye level, eye frame."""
    return math.degrees(math.atan2(point[1], math.hypot(point[0], point[2])))


def _pixel_angle_deg(place: Point, along: Point, pitch_mm: float) -> float:
    """The angle that one pixel around ``place`` fills, lying along the direction ``along``."""
    ends = [
        [at + side * pitch_mm / 2 * way for at, way in zip(place, along, strict=True)]
        for side in (-1, 1)
    ]
    return _between_deg((ends[0][0], ends[0][1], ends[0][2]), (ends[1][0], ends[1][1], ends[1][2]))
