"""Parts of a desktop: what the pen may reach, and what each display has of it.

A window is in pixels of the whole desktop, and the displays that it touches are the ones reached.
In percent it is a part of the displays that were named, and need not touch them all; in logical
pixels it starts at its display's own corner. Logical pixels are given for each display from its own
top left, as systems differ in how they lay out displays of different zoom side by side.
"""

from __future__ import annotations

from typing import NamedTuple

from mapper.desk import Desktop, Display
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.rect import Rect


class Target(NamedTuple):
    """What the pen may reach: ``rect_px`` of the desktop, and its displays.

    Those are the displays that were asked for or, with a window, those that it touches.
    """

    rect_px: Rect
    displays: tuple[Display, ...]


def target_of(desktop: Desktop, onto: tuple[str, ...], window_px: Rect | None) -> Target:
    """The rectangle of the desktop that encloses the displays ``onto``, or the window.

    ``onto`` empty stands for the primary display or, with a window, for the displays that it
    touches. Raises RequestError for an unknown label, and for a window that leaves the desktop or
    that touches no display, or others than those asked for.
    """
    named = tuple(desktop.named(label, "onto") for label in dict.fromkeys(onto))
    if window_px is None:
        chosen = named or (desktop.primary,)
        return Target(Rect.enclosing(*(display.rect_px for display in chosen)), chosen)
    whole = desktop.rect_px
    # A billionth of the desktop is the rounding of a percentage.
    if not whole.holds(window_px, slack=1e-9 * max(whole.width, whole.height)):
        raise RequestError(
            Problem(
                "window",
                phrase("must lie within the desktop, {rect}", rect=_rect_text(whole)),
                _rect_text(window_px),
            )
        )
    touched = tuple(display for display in desktop.displays if display.rect_px.overlap(window_px))
    if not touched:
        raise RequestError(Problem("window", phrase("must touch a display"), _rect_text(window_px)))
    wrong = set(named) ^ set(touched) if named else set()
    if wrong:
        labels = " + ".join(display.label for display in touched)
        came = phrase("{rect}, which touches {labels}", rect=_rect_text(window_px), labels=labels)
        must = phrase(
            "must touch {named} and no other",
            named=" + ".join(display.label for display in named),
        )
        raise RequestError(
            Problem(
                "window", must, came, phrase("Pixels of a window are those of the whole desktop")
            )
        )
    return Target(window_px, named or touched)


def islands(desktop: Desktop) -> tuple[tuple[Display, ...], ...]:
    """The displays in groups that hang together by a shared piece of edge.

    More than one group means a gap.
    """
    groups: list[list[Display]] = []
    for display in desktop.displays:
        touching = [
            group
            for group in groups
            if any(share_edge(display.rect_px, other.rect_px) for other in group)
        ]
        for group in touching:
            groups.remove(group)
        groups.append([each for group in touching for each in group] + [display])
    return tuple(tuple(sorted(group, key=desktop.displays.index)) for group in groups)


def logical_rect(display: Display, rect_px: Rect) -> Rect | None:
    """The part of ``rect_px`` on this display, in logical pixels from its own top left.

    A logical pixel is ``zoom`` device pixels. None where the display has no part of it.
    """
    part = display.rect_px.overlap(rect_px)
    if part is None:
        return None
    zoom = display.zoom
    left, top = (part.left - display.left_px) / zoom, (part.top - display.top_px) / zoom
    return Rect(left, top, part.width / zoom, part.height / zoom)


#: Edges nearer than this are one edge, in px or mm: the last place in which a profile writes them.
SAME_EDGE = 1e-6


class Strips(NamedTuple):
    """What is left over on the four sides, in the unit of the rectangles."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def any(self) -> bool:
        """Whether anything is left over."""
        return max(self) > 0


def strips(outer: Rect, inner: Rect) -> Strips:
    """How far ``inner`` stays away from the four edges of ``outer``; 0 at or beyond an edge.

    Edges within SAME_EDGE are one.
    """
    return Strips(
        _apart(inner.left, outer.left),
        _apart(inner.top, outer.top),
        _apart(outer.right, inner.right),
        _apart(outer.bottom, inner.bottom),
    )


def _apart(more: float, less: float) -> float:
    """``more - less`` where that is more than rounding, else 0."""
    gap = more - less
    return gap if gap > SAME_EDGE else 0.0


def share_edge(one: Rect, other: Rect) -> bool:
    """Whether two rectangles that do not overlap share a piece of edge; a common corner is none."""
    wide = min(one.right, other.right) - max(one.left, other.left)
    high = min(one.bottom, other.bottom) - max(one.top, other.top)
    return max(wide, high) > 0 and min(wide, high) == 0


def _rect_text(rect: Rect) -> str:
    size, place = f"{rect.width:g}x{rect.height:g}", f"{rect.left:g},{rect.top:g}"
    return phrase("{size} px at {place}", size=size, place=place)
