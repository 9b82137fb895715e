"""What a map leaves out and how fine it is.

Dead strips of the tablet, pixels out of reach, and the smallest movements.
"""

from __future__ import annotations

from math import ceil
from typing import NamedTuple

from mapper.affine import Affine
from mapper.desk import Display
from mapper.mapping.solve import TabletMap
from mapper.mapping.windows import Strips, logical_rect, strips
from mapper.rect import Rect


class DisplayReach(NamedTuple):
    """What the pen reaches of one display.

    ``part_px`` in the desktop frame, ``logical`` the same in the display's logical pixels from its
    own top left, and ``area_built_mm`` the part of the tablet that belongs to it (for a turned
    area: before the turn about the middle of the whole area); all None where nothing is reached.
    ``missed_px`` and ``missed_percent`` is what the pen cannot reach.
    """

    display: str
    part_px: Rect | None
    logical: Rect | None
    area_built_mm: Rect | None
    missed_px: Strips
    missed_percent: float


class Fineness(NamedTuple):
    """How fine the hand has to be, along the screen's x and y.

    ``hand_mm_per_px``: mm under the hand for one pixel. ``smallest_mm``: the smallest movement that
    is sure to move the pen to another pixel: a pixel's width in whole device counts, or one count
    where that is coarser than a pixel; equal to ``hand_mm_per_px`` where the resolution is unknown.
    ``skips`` says that a count is coarser than a pixel, so that some pixels cannot be hit.
    """

    hand_mm_per_px: tuple[float, float]
    smallest_mm: tuple[float, float]
    counts_per_px: tuple[float, float] | None
    skips: bool


def dead_strips_mm(solved: TabletMap) -> tuple[Strips, Strips]:
    """The strips of the active area outside the area, in mm: built frame and seen frame.

    For a turned area those outside the box that it fills.
    """
    tablet = solved.request.tablet
    built = strips(tablet.active_built_mm, solved.area_built_mm.box_turned(solved.area_angle_deg))
    seen = strips(tablet.active_seen_mm, solved.area_box_seen_mm)
    return built, seen


def display_reach(solved: TabletMap) -> tuple[DisplayReach, ...]:
    """What the pen reaches of every display of the desktop."""
    return tuple(_reach_of(solved, display) for display in solved.request.desktop.displays)


def in_reach_percent(solved: TabletMap) -> float:
    """The share of the pixels asked for that the pen reaches.

    It is below 100 where there is a window.
    """
    asked = [
        display
        for display in solved.request.desktop.displays
        if display.label in solved.request.onto
    ]
    there = sum(display.width_px * display.height_px for display in asked)
    parts = [display.rect_px.overlap(solved.screen_px) for display in asked]
    return 100 * sum(part.width * part.height for part in parts if part) / there


def fineness(solved: TabletMap) -> Fineness:
    """How fine the hand has to be: alike on all displays, since pixels are what is mapped."""
    per_px, counts_per_mm = solved.hand_mm_per_px, solved.request.tablet.counts_per_mm
    if counts_per_mm is None:
        return Fineness(per_px, per_px, None, skips=False)
    counts = per_px[0] * counts_per_mm, per_px[1] * counts_per_mm
    # A whole number of counts that came out a hair above itself is that number.
    smallest = tuple(max(1, ceil(count * (1 - 1e-9))) / counts_per_mm for count in counts)
    return Fineness(per_px, (smallest[0], smallest[1]), counts, skips=min(counts) < 1 - 1e-9)


def shown_percent(solved: TabletMap) -> float:
    """The share of the screen that displays show.

    The rest lies beside or between them, where the pen draws nothing.
    """
    screen = solved.screen_px
    # Exact, as displays never overlap.
    parts = (display.rect_px.overlap(screen) for display in solved.reached)
    return 100 * sum(
        part.width / screen.width * part.height / screen.height for part in parts if part
    )


def _reach_of(solved: TabletMap, display: Display) -> DisplayReach:
    """What the pen reaches of one display."""
    part = display.rect_px.overlap(solved.screen_px)
    if part is None:
        nothing = Strips(float(display.width_px), 0.0, 0.0, 0.0)
        return DisplayReach(display.label, None, None, None, nothing, 100.0)
    if part == solved.screen_px:
        area_built = solved.area_built_mm
    else:
        back = Affine.between(solved.screen_px, solved.area_seen_mm)
        area_built = solved.request.tablet.built_rect_mm(back.rect(part))
    missed = strips(display.rect_px, part)
    share = 1 - part.width / display.width_px * (part.height / display.height_px)
    return DisplayReach(
        display.label,
        part,
        logical_rect(display, part),
        area_built,
        missed,
        100 * share if missed.any else 0.0,
    )
