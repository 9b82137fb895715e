"""What a pull does to a desk: an edge of the area or window is moved, or the whole of it.

What the fit holds true stays true. The edge opposite the pulled one stays; where the proportions
are held, the other dimension grows about its middle and slides at the limits. The result is a part
of the tablet (``within``) or of the desktop (``window``) in the letter's own texts, to a thousandth
of a mm and to the pixel, so that it can be said and typed.
"""

from __future__ import annotations

import math
from dataclasses import astuple
from typing import TYPE_CHECKING, Any, NamedTuple

from mapper.affine import Affine
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, quoted
from mapper.rect import Rect
from profiles.fields import set_to, unsaid
from profiles.shorthand import rect_text
from render.pictures.live import pull_grid_mm

if TYPE_CHECKING:
    from mapper.mapping.solve import TabletMap
    from render.desk.answer import Answer
    from render.desk.bodies import PullAsked
    from render.desk.described import Description

EDGES = ("left", "top", "right", "bottom")
MOVES = ("across", "down", "both")
#: The names of all pulls: ``area-top``, ``screen-across``.
PULLS = tuple(f"{side}-{what}" for side in ("area", "screen") for what in (*EDGES, *MOVES))

# A part smaller than this is a slip.
FINE_PX = 1.0
LEAST_MM, LEAST_PX = 5.0, 40.0
_SAME_MM = 0.006
#: A hand that places an edge says size and place itself.
_PULLED = unsaid("scale", "feel", "hold")


class Pull(NamedTuple):
    """A handle of PULLS and how far it was moved, right and down.

    The way is in mm of the tablet as seen, or in px of the desktop.
    """

    what: str
    x: float
    y: float


def pull_of(asked: PullAsked) -> Pull:
    """The pull that a page asks for. Raises RequestError."""
    if asked.what not in PULLS:
        must = phrase("must be a handle of the picture")
        raise RequestError(Problem("pull", must, quoted(asked.what)))
    return Pull(asked.what, asked.x, asked.y)


def pulled(was: Answer, pull: Pull) -> Description:
    """The description after ``pull``. Raises RequestError where there is nothing to pull."""
    solved, (side, what) = was.solved, pull.what.split("-")
    if solved is None:
        raise RequestError(Problem("pull", phrase("needs a tablet and a display first")))
    return (
        _pulled_area(was, solved, what, pull)
        if side == "area"
        else _pulled_screen(was, solved, what, pull)
    )


def _pulled_area(was: Answer, solved: TabletMap, what: str, pull: Pull) -> Description:
    said, tablet = was.said, solved.request.tablet
    exact = solved.exact
    ratio = (
        exact.area_seen_mm.width / exact.area_seen_mm.height
        if solved.request.fit == "locked"
        else None
    )
    area = solved.area_seen_mm
    if solved.area_angle_deg:
        # What is pulled is the box of the turned area, a part of the tablet as any other: the fit
        # makes of it an area of the same shape, so its proportions are held. An edge moves the box
        # by as much as its own side is longer.
        box = solved.area_box_seen_mm
        ratio, by = box.width / box.height, (box.width / area.width, box.height / area.height)
        pull = Pull(pull.what, pull.x * by[0], pull.y * by[1]) if what in EDGES else pull
        area = box
    if tablet.slant_deg and what == "both":
        # A hand moves on the desk, and the area on the tablet that lies askew there.
        pull = Pull(
            pull.what, *Affine.rotation_about(-tablet.slant_deg, 0.0, 0.0).point(pull.x, pull.y)
        )
    limits = Limits(tablet.active_seen_mm, pull_grid_mm(solved), LEAST_MM, ratio)
    part = moved(area, what, pull, limits)
    if solved.area_angle_deg and what in EDGES:
        part = _opposite_stays(solved, what, part)
    built = _rounded(tablet.built_rect_mm(part), tablet.active_built_mm)
    if said.area:
        return said.with_({"area": rect_text(built, "mm")})
    text = "" if _same(built, tablet.active_built_mm) else rect_text(built, "mm")
    return said.with_({"within": text, **_PULLED})


def _opposite_stays(solved: TabletMap, what: str, box: Rect) -> Rect:
    """The ``box`` of a turned area, moved so that the edge opposite the pulled one stays.

    It moves as far as the tablet has room.
    """
    was, room = solved.area_box_seen_mm, solved.request.tablet.active_seen_mm
    grown = (box.width / was.width - 1) / 2
    wide, high = solved.area_seen_mm.width * grown, solved.area_seen_mm.height * grown
    toward = {
        "left": (-wide, 0.0),
        "right": (wide, 0.0),
        "top": (0.0, -high),
        "bottom": (0.0, high),
    }[what]
    x, y = Affine.rotation_about(solved.area_angle_deg, 0.0, 0.0).point(*toward)
    left, width = _about(was.centre[0] + x, box.width, room.left, room.right)
    top, height = _about(was.centre[1] + y, box.height, room.top, room.bottom)
    return Rect(left, top, width, height)


def _pulled_screen(was: Answer, solved: TabletMap, what: str, pull: Pull) -> Description:
    desktop = solved.request.desktop
    ratio = (
        solved.screen_px.width / solved.screen_px.height
        if solved.request.fit == "cropped"
        else None
    )
    part = moved(
        solved.screen_px, what, pull, Limits(desktop.rect_px, (FINE_PX, FINE_PX), LEAST_PX, ratio)
    )
    left, top = math.floor(part.left + 0.5), math.floor(part.top + 0.5)
    # Up rather than down, so that the side that was pulled decides and the fit trims the other.
    width = min(math.ceil(part.width - 1e-6), int(desktop.rect_px.right) - left)
    height = min(math.ceil(part.height - 1e-6), int(desktop.rect_px.bottom) - top)
    window = Rect(left, top, width, height)
    reached = [display for display in desktop.displays if display.rect_px.overlap(window)]
    if not reached:
        return was.said  # a corner of the desktop where no display stands
    change: dict[str, Any] = {**_PULLED, "true_on": was.said.true_on}
    if change["true_on"] not in {display.label for display in reached}:
        change["true_on"] = ""
    if Rect.enclosing(*(display.rect_px for display in reached)) != window:
        return was.said.with_({**change, **set_to({"window": rect_text(window)})})
    # All of one display or of several is called by their names.
    onto = "+".join(display.label for display in reached)
    if len(reached) == 1 or len(reached) == len(desktop.displays):
        onto = "" if reached == [desktop.primary] else onto if len(reached) == 1 else "all"
        change["true_on"] = change["true_on"] if onto == "all" else ""
    return was.said.with_({**change, "window": "", "onto": onto})


class Limits(NamedTuple):
    """What a pulled rectangle keeps to, in its own frame and unit.

    ``room``: it stays inside. ``grid``: the pulled edge comes to lie on whole multiples of it from
    the room's corner, x and y. ``least`` bounds both sides from below; ``ratio`` (width over
    height) is kept where it is given.
    """

    room: Rect
    grid: tuple[float, float]
    least: float
    ratio: float | None = None


def moved(rect: Rect, what: str, pull: Pull, limits: Limits) -> Rect:
    """``rect`` after the pull of one edge (EDGES), or of the whole (MOVES)."""
    room, grid, least, ratio = limits
    if what in MOVES:
        x = pull.x if what != "down" else 0.0
        y = pull.y if what != "across" else 0.0
        left = _on_grid(rect.left + x, room.left, grid[0]) if x else rect.left
        top = _on_grid(rect.top + y, room.top, grid[1]) if y else rect.top
        return Rect(
            _clamp(left, room.left, room.right - rect.width),
            _clamp(top, room.top, room.bottom - rect.height),
            rect.width,
            rect.height,
        )
    if what in {"left", "right"}:
        low, high = _edge(
            (rect.left, rect.right), (room.left, room.right), what == "left", pull.x, grid[0]
        )
        limit = room.width if ratio is None else min(room.width, room.height * ratio)
        low, high = _bounded(low, high, what == "left", min(least, limit), limit)
        if ratio is None:
            return Rect(low, rect.top, high - low, rect.height)
        top, height = _about(
            rect.top + rect.height / 2, (high - low) / ratio, room.top, room.bottom
        )
        return Rect(low, top, high - low, height)
    low, high = _edge(
        (rect.top, rect.bottom), (room.top, room.bottom), what == "top", pull.y, grid[1]
    )
    limit = room.height if ratio is None else min(room.height, room.width / ratio)
    low, high = _bounded(low, high, what == "top", min(least, limit), limit)
    if ratio is None:
        return Rect(rect.left, low, rect.width, high - low)
    left, width = _about(rect.left + rect.width / 2, (high - low) * ratio, room.left, room.right)
    return Rect(left, low, width, high - low)


def _edge(
    ends: tuple[float, float], room: tuple[float, float], first: bool, by: float, grid: float
) -> tuple[float, float]:
    """Both ends of one side after the pull of the first or the second."""
    low, high = ends
    if first:
        return max(room[0], _on_grid(low + by, room[0], grid) if by else low), high
    return low, min(room[1], _on_grid(high + by, room[0], grid) if by else high)


def _bounded(
    low: float, high: float, first: bool, least: float, most: float
) -> tuple[float, float]:
    """The same no shorter than ``least`` and no longer than ``most``, by the end that is pulled."""
    size = _clamp(high - low, least, most)
    return (high - size, high) if first else (low, low + size)


def _about(middle: float, size: float, low: float, high: float) -> tuple[float, float]:
    """Start and size about ``middle``, slid into the room."""
    size = min(size, high - low)
    return _clamp(middle - size / 2, low, high - size), size


def _clamp(value: float, low: float, high: float) -> float:
    return min(max(value, low), max(low, high))


def _on_grid(value: float, origin: float, grid: float) -> float:
    return origin + round((value - origin) / grid) * grid


def _rounded(rect: Rect, active: Rect) -> Rect:
    """``rect`` as fine as the answer says it, inside the tablet.

    Its sides are rounded up, so that the pulled one decides.
    """
    left, top = round(rect.left, 3) + 0.0, round(rect.top, 3) + 0.0
    width = min(math.ceil(round(rect.width * 1000, 3)) / 1000, active.width - left)
    height = min(math.ceil(round(rect.height * 1000, 3)) / 1000, active.height - top)
    return Rect(left, top, round(width, 6), round(height, 6))


def _same(one: Rect, other: Rect) -> bool:
    return all(abs(a - b) < _SAME_MM for a, b in zip(astuple(one), astuple(other), strict=True))
