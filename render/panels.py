"""The two things that every picture shows: the tablet under the hand, and the screens that answer it.

Both are drawn from mm (seen frame, glass frame) through a map to the sheet, and both maps have one scale, so that
what looks larger is larger.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mapper.affine import Affine
from mapper.rect import Rect
from render.glass import BEZEL_MM, Pane, arrange
from render.lettering import CAP, DESCENT, fitted, width_mm
from render.probes import grid, grid_step_mm
from render.scene import Outline
from render.theme import style
from render.words import ROUND_PERCENT

if TYPE_CHECKING:
    from mapper.solve import TabletMap
    from render.scene import Easel

__all__ = ["Demonstration", "draw_screens", "draw_tablet", "grown", "screens_body_mm", "tablet_body_mm"]

#: The rim of a tablet around its active area; invented, as no map depends on it.
PLATE_MM = 9.0

ELLIPSIS = "\N{HORIZONTAL ELLIPSIS}"


def grown(rect: Rect, by: float) -> Rect:
    """``rect`` with ``by`` more on every side."""
    return Rect(rect.left - by, rect.top - by, rect.width + 2 * by, rect.height + 2 * by)


@dataclass(frozen=True, slots=True)
class Demonstration:
    """What is drawn under the hand to show a map: a grid over the area and a circle for each display reached.

    ``circles_seen_mm``: display label to x, y, radius in seen mm; all radii are the same, so that a display which
    makes things larger shows it. ``panes``: the displays on the glass, ``size_known`` where they are to scale.
    """

    tablet_map: TabletMap
    panes: tuple[Pane, ...]
    step_mm: float
    circles_seen_mm: dict[str, tuple[float, float, float]]

    @classmethod
    def of(cls, tablet_map: TabletMap) -> Demonstration:
        area, screen = tablet_map.area_seen_mm, tablet_map.screen_px
        # A screen of unknown size is drawn two and a half times as large as the area: a usual feel, and said to be no scale.
        panes = arrange(tablet_map.request.desktop, assumed_mm_per_px=2.5 * area.width / screen.width)
        to_seen = ~tablet_map.seen_mm_to_desktop_px
        parts = {
            display.label: to_seen.rect(part)
            for display in tablet_map.reached
            if (part := display.rect_px.overlap(screen))
        }
        radius = 0.36 * min(min(part.width, part.height) for part in parts.values())
        return cls(
            tablet_map,
            panes,
            grid_step_mm(area),
            {label: (*part.centre, radius) for label, part in parts.items()},
        )

    @property
    def to_scale(self) -> bool:
        """Whether the sizes of all displays are known."""
        return all(pane.size_known for pane in self.panes)

    def stays_round(self, pane: Pane) -> bool:
        """Whether a circle comes out round on this display, so far as anybody could see."""
        stretch = self.tablet_map.figures_on(pane.display).distortion.stretch
        return (stretch - 1) * 100 < ROUND_PERCENT

    @property
    def all_round(self) -> bool:
        """The same for every display reached."""
        return all(self.stays_round(pane) for pane in self.panes if pane.display in self.tablet_map.reached)

    def seen_mm_to_glass_mm(self, pane: Pane) -> Affine:
        """What the hand does, on the glass of one display."""
        return pane.px_to_glass_mm @ self.tablet_map.seen_mm_to_desktop_px

    def true_circle_glass_mm(self, pane: Pane) -> tuple[float, float, float]:
        """x, y, radius of a true circle about the drawn one's image: as large as the image is in its shorter direction."""
        x, y, radius = self.circles_seen_mm[pane.display.label]
        to_glass = self.seen_mm_to_glass_mm(pane)
        return *to_glass.point(x, y), radius * min(abs(to_glass.a), abs(to_glass.e))


def tablet_body_mm(tablet_map: TabletMap) -> Rect:
    """The tablet with its rim, seen frame."""
    return grown(tablet_map.request.tablet.active_seen_mm, PLATE_MM)


def screens_body_mm(panes: tuple[Pane, ...]) -> Rect:
    """All displays with their bezels, glass frame."""
    return grown(Rect.enclosing(*(pane.rect_mm for pane in panes)), BEZEL_MM)


def draw_tablet(easel: Easel, shown: Demonstration, seen_mm_to_sheet: Affine) -> None:
    """The tablet as the artist sees it: what is out of use hatched, the area with its grid and circles."""
    tablet_map = shown.tablet_map
    active, area = tablet_map.request.tablet.active_seen_mm, tablet_map.area_seen_mm
    scale = seen_mm_to_sheet.a
    easel.rect(seen_mm_to_sheet.rect(tablet_body_mm(tablet_map)), "plate", radius=6 * scale)
    if area != active:
        on_sheet = seen_mm_to_sheet.rect(active)
        easel.rect(on_sheet, "spare")
        easel.hatch(on_sheet, "spare-hatch")
    on_sheet = seen_mm_to_sheet.rect(area)
    circles = [Outline.circle(*circle).through(seen_mm_to_sheet) for circle in shown.circles_seen_mm.values()]
    easel.rect(on_sheet, "hand-ground")
    for circle in circles:
        easel.shape(circle, "hand-fill")
    easel.shape(grid(area, shown.step_mm).through(seen_mm_to_sheet), "hand-grid")
    easel.rect(on_sheet, "area-edge")
    for circle in circles:
        easel.shape(circle, "hand")
    if tablet_map.request.tablet.turn_deg:
        _mark_built_top(easel, shown, seen_mm_to_sheet)


def _mark_built_top(easel: Easel, shown: Demonstration, seen_mm_to_sheet: Affine) -> None:
    """A small triangle outside the rim, at the middle of the edge that was the top as built."""
    tablet = shown.tablet_map.request.tablet
    to_sheet = seen_mm_to_sheet @ tablet.built_to_seen
    x, y = to_sheet.point(tablet.width_mm / 2, -PLATE_MM)
    out_x, out_y = tablet.built_to_seen.vector(0.0, -1.0)
    along_x, along_y = tablet.built_to_seen.vector(1.0, 0.0)
    easel.polygon(
        [
            (x + out_x * 3.4, y + out_y * 3.4),
            (x + out_x * 1.0 + along_x * 1.6, y + out_y * 1.0 + along_y * 1.6),
            (x + out_x * 1.0 - along_x * 1.6, y + out_y * 1.0 - along_y * 1.6),
        ],
        "arrow-head",
    )


def draw_screens(easel: Easel, shown: Demonstration, glass_mm_to_sheet: Affine) -> None:
    """All displays: what is out of reach hatched, and on what is reached the grid and the circle as they come out."""
    tablet_map = shown.tablet_map
    scale = glass_mm_to_sheet.a
    sheets = [glass_mm_to_sheet.rect(pane.rect_mm) for pane in shown.panes]
    for on_sheet in sheets:
        easel.rect(grown(on_sheet, max(BEZEL_MM * scale, 0.7)), "bezel", radius=3 * scale)
    reached = {display.label for display in tablet_map.reached}
    for pane, on_sheet in zip(shown.panes, sheets, strict=True):
        part_px = pane.display.rect_px.overlap(tablet_map.screen_px) if pane.display.label in reached else None
        if part_px != pane.display.rect_px:
            easel.rect(on_sheet, "spare")
            easel.hatch(on_sheet, "spare-hatch")
        if part_px is not None:
            _draw_reached(easel, shown, pane, part_px, glass_mm_to_sheet)
        if len(shown.panes) > 1:
            _draw_label(easel, pane.display.label, on_sheet)


def _draw_reached(easel: Easel, shown: Demonstration, pane: Pane, part_px: Rect, glass_mm_to_sheet: Affine) -> None:
    """The part of one display that the pen reaches: the grid and the circle as they come out there."""
    part = (glass_mm_to_sheet @ pane.px_to_glass_mm).rect(part_px)
    to_sheet = glass_mm_to_sheet @ shown.seen_mm_to_glass_mm(pane)
    easel.rect(part, "glass")
    image = Outline.circle(*shown.circles_seen_mm[pane.display.label]).through(to_sheet)
    ghost = Outline.circle(*shown.true_circle_glass_mm(pane)).through(glass_mm_to_sheet)
    round_here = shown.stays_round(pane)
    easel.shape(image, "result-fill")
    if not round_here:
        easel.shape(ghost, "ghost-fill")
    lines = grid(shown.tablet_map.area_seen_mm, shown.step_mm).through(to_sheet)
    easel.shape(lines, "result-grid", clip=part)
    easel.rect(part, "screen-edge")
    easel.shape(image, "result")
    if not round_here:
        easel.shape(ghost, "ghost")


def _draw_label(easel: Easel, label: str, on_sheet: Rect) -> None:
    """The name of a display in its upper left corner, on a ground of its own so that no line runs through it."""
    em = style("label").em_mm
    room = on_sheet.width - 2.4
    em = max(0.6 * em, fitted(label, em, room))
    while label and width_mm(label, em) > room:
        label = label.removesuffix(ELLIPSIS)[:-1] + ELLIPSIS if label != ELLIPSIS else ""
    high = em * (CAP + DESCENT)
    if not label or high > on_sheet.height / 2:
        return
    easel.rect(Rect(on_sheet.left, on_sheet.top, width_mm(label, em) + 2.4, high + 1.0), "glass")
    easel.text(label, on_sheet.left + 1.2, on_sheet.top + 0.9, "label", level="top", em_mm=em)
