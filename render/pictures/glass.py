"""How the displays stand side by side in mm, from their pixels and sizes.

A desktop knows places in pixels alone. Displays that touch there stand next to each other on the
desk, a bezel apart, and level in the middle of their shared edge; so each display is placed against
one that has its place already.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mapper.affine import Affine
from mapper.desk import Display
from mapper.rect import Rect

if TYPE_CHECKING:
    from mapper.desk import Desktop

#: The frame around a display where it is not known: drawn, and kept between neighbours.
BEZEL_MM = 6.0


def bezel_mm(display: Display) -> float:
    """The width of the frame around the picture of ``display``, assumed where it is not known."""
    return BEZEL_MM if display.bezel_mm is None else display.bezel_mm


@dataclass(frozen=True, slots=True)
class Pane:
    """One display in the glass frame, which all panes share: mm, x right, y down, any origin.

    ``size_known`` is False where ``rect_mm`` is only an assumption.
    """

    display: Display
    rect_mm: Rect
    size_known: bool

    @property
    def px_to_glass_mm(self) -> Affine:
        """The map from desktop px to glass mm, which holds on this display only."""
        return Affine.between(self.display.rect_px, self.rect_mm)


def arrange(desktop: Desktop, *, assumed_mm_per_px: float) -> tuple[Pane, ...]:
    """All displays on one glass frame, in the order of ``desktop``.

    A display of unknown size gets the pitch of the first display whose size is known, else
    ``assumed_mm_per_px``.
    """
    pitches = [pitch for display in desktop.displays if (pitch := display.mm_per_px)]
    fallback = pitches[0] if pitches else (assumed_mm_per_px, assumed_mm_per_px)
    pitch_of = {display.label: display.mm_per_px or fallback for display in desktop.displays}
    placed: dict[str, Rect] = {}
    waiting = sorted(
        desktop.displays, key=lambda display: (display.left_px, display.top_px) != (0, 0)
    )
    while waiting:
        display, neighbour = _next_to_place(waiting, placed, desktop)
        waiting.remove(display)
        x_pitch, y_pitch = pitch_of[display.label]
        width, height = display.width_px * x_pitch, display.height_px * y_pitch
        if neighbour is None:
            placed[display.label] = Rect(0, 0, width, height)
        else:
            placed[display.label] = _place_beside(
                display, neighbour, placed[neighbour.label], (width, height), tuple(placed.values())
            )
    return tuple(
        Pane(display, placed[display.label], display.mm_per_px is not None)
        for display in desktop.displays
    )


def _next_to_place(
    waiting: list[Display], placed: dict[str, Rect], desktop: Desktop
) -> tuple[Display, Display | None]:
    """The waiting display that is nearest, in px, to a placed one, and that placed display."""
    if not placed:
        return waiting[0], None
    standing = [display for display in desktop.displays if display.label in placed]
    return min(
        ((display, other) for display in waiting for other in standing),
        key=lambda pair: (
            _gap_px(pair[0].rect_px, pair[1].rect_px),
            -_shared_edge_px(pair[0].rect_px, pair[1].rect_px),
        ),
    )


def _gap_px(one: Rect, other: Rect) -> float:
    return max(0.0, one.left - other.right, other.left - one.right) + max(
        0.0, one.top - other.bottom, other.top - one.bottom
    )


def _shared_edge_px(one: Rect, other: Rect) -> float:
    """The length of the edge that two rectangles share."""
    across = min(one.right, other.right) - max(one.left, other.left)
    down = min(one.bottom, other.bottom) - max(one.top, other.top)
    return max(across, down)


def _place_beside(
    display: Display,
    neighbour: Display,
    stands: Rect,
    size_mm: tuple[float, float],
    taken: tuple[Rect, ...],
) -> Rect:
    width, height = size_mm
    one, other = display.rect_px, neighbour.rect_px
    gap = bezel_mm(display) + bezel_mm(neighbour)
    right, below = one.left >= other.right, one.top >= other.bottom
    if right or one.right <= other.left:
        across = stands.right + gap if right else stands.left - gap - width
        down = _level_start_mm(
            (one.top, one.height), (other.top, other.height), (stands.top, stands.height), height
        )
        step = (max(gap, 10.0) * (1 if right else -1), 0.0)
    else:
        across = _level_start_mm(
            (one.left, one.width), (other.left, other.width), (stands.left, stands.width), width
        )
        down = stands.bottom + gap if below else stands.top - gap - height
        step = (0.0, max(gap, 10.0) * (1 if below else -1))
    place = Rect(across, down, width, height)
    while True:
        # True sizes may collide where pixels did not: move on, away from the neighbour.
        room = Rect(place.left - gap / 2, place.top - gap / 2, width + gap, height + gap)
        if not any(_overlaps(room, rect) for rect in taken):
            return place
        place = Rect(place.left + step[0], place.top + step[1], width, height)


def _overlaps(one: Rect, other: Rect) -> bool:
    shared = one.overlap(other)
    return shared is not None and min(shared.width, shared.height) > 1e-6


def _level_start_mm(
    one_px: tuple[float, float],
    other_px: tuple[float, float],
    stands_mm: tuple[float, float],
    length_mm: float,
) -> float:
    """Where a display begins along a shared edge, mm, so that the edge's middles are level.

    The pairs are start and length along the edge, in px for both displays and in mm for the one
    that stands; ``length_mm`` is that of the display to be placed.
    """
    (start, length), (other_start, other_length) = one_px, other_px
    middle = (max(start, other_start) + min(start + length, other_start + other_length)) / 2
    there = stands_mm[0] + (middle - other_start) / other_length * stands_mm[1]
    return there - (middle - start) / length * length_mm
