"""A map against the whole desktop.

For drivers that can only use all of it, and for displays that stand apart.
"""

from __future__ import annotations

from dataclasses import dataclass

from mapper.affine import Affine
from mapper.mapping.solve import TabletMap
from mapper.mapping.windows import Strips, islands, strips
from mapper.rect import Rect


@dataclass(frozen=True, slots=True)
class WholeDesktop:
    """The area to enter in a driver that always maps to the whole desktop.

    ``area_built_mm`` may leave the active area; ``beyond_mm`` says by how much on each side, and
    ``possible`` whether it does not. For a turned area the rectangle before its turn about its own
    centre.
    """

    area_built_mm: Rect
    beyond_mm: Strips
    possible: bool


def whole_desktop(solved: TabletMap) -> WholeDesktop:
    """The area that reaches the whole desktop, and each display as ``solved`` reaches it."""
    back = Affine.between(solved.screen_px, solved.area_seen_mm)
    wide_seen = back.rect(solved.request.desktop.rect_px)
    if solved.area_angle_deg:
        # The wider area turns about its own middle: where that lies once the area has been turned.
        turn = Affine.rotation_about(solved.area_angle_deg, *solved.area_seen_mm.centre)
        wide_seen = Rect.about(turn.point(*wide_seen.centre), wide_seen.width, wide_seen.height)
    tablet = solved.request.tablet
    wide_built = tablet.built_rect_mm(wide_seen)
    beyond = strips(wide_built.box_turned(solved.area_angle_deg), tablet.active_built_mm)
    return WholeDesktop(wide_built, beyond, not beyond.any)


def separate_displays(solved: TabletMap) -> tuple[tuple[str, ...], ...]:
    """The labels, by groups, of displays that share no edge with the primary one's group."""
    primary = solved.request.desktop.primary
    groups = islands(solved.request.desktop)
    return tuple(
        tuple(display.label for display in group) for group in groups if primary not in group
    )
