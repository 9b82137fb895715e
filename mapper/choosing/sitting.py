"""A person before one display or several, and how that compares with what is recommended.

The seat speaks of the main display. In an arc all displays stand as far from the eyes and face
them; where the display's height is not said, nothing is said of up and down, and the drawing shows
its top at eye level and says so.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from mapper.choosing.recommended import RECOMMENDED, Recommendation
from mapper.choosing.viewing import (
    Glass,
    Stand,
    View,
    arc_bearings_deg,
    below_deg_of_top,
    distance_for_angle_mm,
    distance_for_arc_minutes_mm,
)
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, quoted
from mapper.seat import MIDDLE
from mapper.units import finite

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from mapper.desk import Display
    from mapper.seat import Seat


@dataclass(frozen=True, slots=True)
class Place:
    """One display of the arc and the view of it.

    Its turn is ``view.stand.turned_deg``, positive to the right.
    """

    display: Display
    view: View


@dataclass(frozen=True, slots=True)
class Sitting:
    """A person before displays that all face the eyes, left to right.

    ``main`` is the index of the display sat before. Where the seat does not say how high the
    display stands, its centre is taken to be at eye level, and nothing is said of top, centre and
    bottom. ``stacked`` are the displays that stand above or below another one, which are no part of
    the arc.
    """

    seat: Seat
    places: tuple[Place, ...]
    main: int
    stacked: tuple[Display, ...] = ()

    @property
    def view(self) -> View:
        """The view of the main display."""
        return self.places[self.main].view

    @property
    def height_known(self) -> bool:
        return self.seat.top_below_eyes_mm is not None

    @property
    def farthest_side_deg(self) -> float:
        """The bearing of the centre of the display that is farthest to one side."""
        return max(abs(place.view.stand.bearing_deg) for place in self.places)

    def step_mm(self, index: int) -> float:
        """How much nearer to the eyes the display after ``index`` is, where both frames meet, mm.

        Negative where it is farther.
        """
        one, two = (
            math.hypot(*place.view.stand.place_mm(place.view.glass.frame_end_mm(side)))
            for place, side in zip(self.places[index : index + 2], (1, -1), strict=True)
        )
        return one - two


def sitting_in_arc(
    displays: Sequence[Display],
    seat: Seat,
    main: Display,
    *,
    ahead: str | None = None,
    radii_mm: Mapping[str, float] | None = None,
) -> Sitting:
    """The displays in an arc about the eyes, left to right as on the desktop.

    ``seat`` speaks of ``main``; the other centres stand as far and as low. ``ahead`` is the label
    of the display that is straight ahead, None for the middle of the whole arc. ``radii_mm`` has
    the radius of each curved display by its label. A display that stands above or below another is
    left out. Raises RequestError where a size is unknown or the arc cannot be.
    """
    row, stacked = _side_by_side(displays, main)
    curves = {main.label: seat.curve_radius_mm, **(radii_mm or {})}
    glasses = [Glass.of_display(display, curves.get(display.label)) for display in row]
    labels = [display.label for display in row]
    here = labels.index(main.label)
    if ahead is not None and ahead not in labels:
        raise RequestError(
            Problem(
                "ahead",
                phrase("must be a display of the arc"),
                quoted(ahead),
                phrase("Those are {labels}", labels=", ".join(labels)),
            )
        )
    below = 0.0
    if seat.top_below_eyes_mm is not None:
        below = below_deg_of_top(
            glasses[here], seat.distance_mm, seat.top_below_eyes_mm, seat.tilt_deg
        )
    # At an unknown height a tilt says nothing: the display is taken to face the eyes.
    tilt = seat.tilt_deg if seat.top_below_eyes_mm is not None else None
    at = None if ahead is None else labels.index(ahead)
    bearings = arc_bearings_deg(glasses, seat.distance_mm, ahead=at, below_deg=below, tilt_deg=tilt)
    places = tuple(
        Place(display, View.of(glass, Stand(seat.distance_mm, bearing, below, None, tilt)))
        for display, glass, bearing in zip(row, glasses, bearings, strict=True)
    )
    return Sitting(seat, places, here, stacked)


def straight_ahead(seat: Seat, displays: Sequence[Display], main: Display) -> str | None:
    """The label of the display that ``seat`` has straight ahead, None for the middle of all.

    It is ``main`` where the seat names none, or one that is not among ``displays``.
    """
    labels = {display.label for display in displays}
    if seat.ahead in labels:
        return seat.ahead
    return None if seat.ahead == MIDDLE else main.label


def _side_by_side(
    displays: Sequence[Display], main: Display
) -> tuple[list[Display], tuple[Display, ...]]:
    """The displays of the arc, left to right, and those above or below one of them.

    The main display is in the arc, and of the others those that are level with it are asked first.
    """
    row = [display for display in displays if display.label == main.label]
    middle = main.rect_px.centre[1]
    others = [display for display in displays if display.label != main.label]
    for display in sorted(others, key=lambda display: abs(display.rect_px.centre[1] - middle)):
        if all(
            display.rect_px.right <= one.left_px or display.left_px >= one.rect_px.right
            for one in row
        ):
            row.append(display)
    row.sort(key=lambda display: display.left_px)
    return row, tuple(display for display in others if display not in row)


@dataclass(frozen=True, slots=True)
class Finding:
    """A value and what is recommended about it; ``key`` names the figure."""

    key: str
    value: float
    recommendation: Recommendation

    @property
    def side(self) -> str:
        return self.recommendation.side(self.value)

    @property
    def excess(self) -> float:
        """How far the value lies outside its band, as a share of the band's nearest end; 0 inside.

        Of 10 degrees, for an end at 0.
        """
        low, high = self.recommendation.low, self.recommendation.high
        if self.side == "below" and low is not None:
            return (low - self.value) / (low or 10.0)
        if self.side == "above" and high is not None:
            return (self.value - high) / (high or 10.0)
        return 0.0


def seat_findings(sitting: Sitting) -> tuple[Finding, ...]:
    """Every figure of ``sitting`` beside its recommendation, in the order of RECOMMENDED.

    What is recommended can hold together: a width that no recommended place gives is a fact.
    """
    view = sitting.view
    values = {
        "distance": view.stand.distance_mm,
        "eyes": max(abs(view.left_deg), abs(view.right_deg)),
        "width": view.horizontal_deg,
        "sharpness": view.arc_minutes_per_px_x,
    }
    if sitting.height_known:
        values["top"] = view.top_deg
        values["centre"] = view.centre_deg
        values["gaze"] = max(place.view.bottom_deg for place in sitting.places)
    if len(sitting.places) > 1:
        values["side"] = sitting.farthest_side_deg
    return tuple(
        Finding(key, value, recommended if key != "width" else _width_of_view(view.glass))
        for key, recommended in RECOMMENDED.items()
        if (value := values.get(key)) is not None
    )


def _width_of_view(glass: Glass) -> Recommendation:
    """What is recommended about the width seen of ``glass``; no limit where nothing gives it.

    With the top edge at eye level the centre lies half the height below, so that it is no lower
    than recommended from ``h / (2·tan(b))`` on.
    """
    distance, centre, width = (RECOMMENDED[key] for key in ("distance", "centre", "width"))
    lowest = math.radians(centre.high or 90.0)
    near = max(distance.low or 0.0, glass.height_mm / (2 * math.tan(lowest)))
    nearest, farthest = _distances_for_width_mm(glass)
    possible = max(near, nearest) <= min(distance.high or math.inf, farthest)
    return replace(width, comfort=possible)


def _distances_for_width_mm(glass: Glass) -> tuple[float, float]:
    """The nearest and the farthest distance at which ``glass`` is as wide as recommended, mm."""
    width = RECOMMENDED["width"]
    nearest, farthest = (
        distance_for_angle_mm(glass, end or 1.0) for end in (width.high, width.low)
    )
    return nearest, farthest


def distance_bands_mm(glass: Glass) -> list[tuple[str, float, float]]:
    """For distance, width of view and sharpness, the distances at which they are as recommended.

    Key, nearest and farthest, mm.
    """
    distance = RECOMMENDED["distance"]
    bands = [
        ("distance", distance.low or 0.0, distance.high or math.inf),
        ("width", *_distances_for_width_mm(glass)),
    ]
    if glass.pitch_mm is not None:
        minutes = RECOMMENDED["sharpness"].high or 1.0
        bands.append(
            ("sharpness", distance_for_arc_minutes_mm(glass.pitch_mm[0], minutes), math.inf)
        )
    return bands


def comfortable_distance_mm(glass: Glass) -> tuple[float, float, tuple[str, ...]]:
    """The nearest and farthest distance at which most recommendations hold, and which hold.

    Distance and width of view, in this order: each narrows the range unless it would leave nothing.
    """
    near, far, held = 0.0, math.inf, []
    for key, low, high in distance_bands_mm(glass):
        if RECOMMENDED[key].comfort and max(near, low) <= min(far, high):
            near, far = max(near, low), min(far, high)
            held.append(key)
    return near, far, tuple(held)


def top_for_centre_mm(
    glass: Glass, distance_mm: float, below_deg: float, tilt_deg: float | None
) -> float:
    """How far under eye level the top edge is when the centre lies ``below_deg`` under it, mm.

    ``d·sin b - h/2·cos t``, with the tilt t, which is b where ``tilt_deg`` is None.
    """
    below = math.radians(finite(below_deg, "below_deg"))
    tilt = below if tilt_deg is None else math.radians(tilt_deg)
    return distance_mm * math.sin(below) - glass.height_mm / 2 * math.cos(tilt)
