"""The two bodies that every picture shows: the tablet under the hand, and the screens.

The hand's side is drawn in desk mm: the seen frame, turned about the tablet's centre where the
tablet lies askew, so that what the artist draws upright is upright. The screens' side is in glass
mm. Both go to the sheet with one scale, so that what looks larger is larger.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from mapper.affine import Affine
from mapper.paths import Outline, Style
from mapper.rect import Rect, turned_extent
from render.canvas.lettering import CAP, DESCENT, fitted, shortened, width_mm
from render.canvas.theme import style
from render.pictures.glass import Pane, arrange, bezel_mm
from render.pictures.probes import Probe, grid, grid_step_mm, probe
from render.sentences.say import Name, row_of, say
from render.sentences.words import ROUND_PERCENT, drawn_title, map_title, number

if TYPE_CHECKING:
    from mapper.desk import Display, Tablet
    from mapper.mapping.solve import TabletMap
    from profiles.strokes.drawing import Drawing
    from render.canvas.scene import Easel

#: The rim of a tablet around its active area; invented, as no map depends on it.
PLATE_MM = 9.0

DEFAULT_PROBES = ("grid", "circle")

# A part of the area that is this much smaller than the largest is a sliver.
_SLIVER = 0.2

# Images on the sheet: fine enough for a projector, small enough for a page.
_DOTS_PER_SHEET_MM = 6.0
_MOST_DOTS = 2400
#: How wide the subject of a title may be, in letter sizes.
_SUBJECT_EM = 15.0
# How much of the true drawing shines through the one that came out, where both are pixels.
_PALE = 0.4


def grown(rect: Rect, by: float) -> Rect:
    """``rect`` enlarged by ``by`` on every side."""
    return Rect(rect.left - by, rect.top - by, rect.width + 2 * by, rect.height + 2 * by)


@dataclass(frozen=True, slots=True)
class Demonstration:
    """One map and what is drawn under the hand to show it.

    ``probes``: display label to the shapes drawn in its middle, desk mm; their size is the same for
    every display, so that a display which makes things larger shows it. ``step_mm``: the grid's,
    None for no grid. ``panes``: the displays on the glass.
    """

    solved: TabletMap
    panes: tuple[Pane, ...]
    step_mm: float | None
    probes: dict[str, tuple[Probe, ...]]
    drawing: Drawing | None = field(default=None)

    @classmethod
    def of(
        cls,
        solved: TabletMap,
        *,
        probes: tuple[str, ...] = DEFAULT_PROBES,
        drawing: Drawing | None = None,
    ) -> Demonstration:
        """The demonstration of a map with ``probes`` (names of PROBES) and a ``drawing``.

        Raises RequestError for an unknown name.
        """
        area, screen = solved.area_seen_mm, solved.screen_px
        # A screen of unknown size is drawn two and a half times as large as the area: a usual feel,
        # and said to be no scale.
        panes = arrange(solved.request.desktop, assumed_mm_per_px=2.5 * area.width / screen.width)
        to_area, to_desk = Affine.between(screen, area), _area_to_desk(solved)
        parts = {
            display.label: to_area.rect(part)
            for display in solved.reached
            if (part := display.rect_px.overlap(screen))
        }
        sides = {label: min(part.width, part.height) for label, part in parts.items()}
        # A display of which the pen reaches no more than a sliver would make all shapes tiny: it
        # has none.
        least = _SLIVER * max(sides.values(), default=0.0)
        parts = {label: part for label, part in parts.items() if sides[label] >= least}
        radius = 0.36 * min((sides[label] for label in parts), default=1.0)
        shapes = tuple(name for name in probes if name != "grid")
        return cls(
            solved,
            panes,
            grid_step_mm(area) if "grid" in probes else None,
            {
                label: tuple(probe(name, *to_desk.point(*part.centre), radius) for name in shapes)
                for label, part in parts.items()
            },
            drawing,
        )

    @property
    def subject(self) -> str:
        """What is drawn that is more than a circle, as the subject of a sentence; else empty."""
        if self.drawing is not None:
            named = self.drawing.subject
            return Name(shortened(named, 1.0, _SUBJECT_EM)) if named else say("The drawing")
        drawn = {shape.name for shapes in self.probes.values() for shape in shapes}
        if "signature" in drawn:
            return say("The signature")
        return say("The square") if "square" in drawn else ""

    @property
    def title(self) -> str:
        """What becomes of what is drawn, as a title."""
        subject = self.subject
        return drawn_title(self.solved, subject) if subject else map_title(self.solved)

    @property
    def to_scale(self) -> bool:
        """Whether the sizes of all displays are known."""
        return all(pane.size_known for pane in self.panes)

    @property
    def seen_to_desk(self) -> Affine:
        """The map from seen mm to desk mm: the slant, about the middle of the active area."""
        return _seen_to_desk(self.solved)

    @property
    def area_corners_desk_mm(self) -> tuple[tuple[float, float], ...]:
        """The corners of the area as it lies on the desk."""
        corners = self.solved.area_seen_mm.corners
        if not self.solved.request.tablet.slant_deg:
            return corners
        return tuple(_area_to_desk(self.solved).point(x, y) for x, y in corners)

    def stays_round(self, pane: Pane) -> bool:
        """Whether a circle comes out round on this display, as far as anybody could see."""
        stretch = self.solved.figures_on(pane.display).distortion.stretch
        return (stretch - 1) * 100 < ROUND_PERCENT

    @property
    def all_round(self) -> bool:
        """Whether a circle comes out round on every display reached."""
        return all(
            self.stays_round(pane) for pane in self.panes if pane.display in self.solved.reached
        )

    @property
    def has_ghosts(self) -> bool:
        """Whether a true shape is drawn dashed beside any shape."""
        shapes = any(not shape.thin for shapes in self.probes.values() for shape in shapes)
        return not self.all_round and (shapes or self.drawing is not None)

    @property
    def ghosts_are_circles(self) -> bool:
        """Whether all that is drawn dashed is circles."""
        ghosts = [shape for shapes in self.probes.values() for shape in shapes if not shape.thin]
        return self.drawing is None and all(shape.name == "circle" for shape in ghosts)

    def desk_mm_to_glass_mm(self, pane: Pane) -> Affine:
        """The map from desk mm to glass mm, on one display."""
        to_px = self.solved.seen_mm_to_desktop_px
        if self.solved.request.tablet.slant_deg:
            to_px @= ~self.seen_to_desk
        return pane.px_to_glass_mm @ to_px

    def true_to_glass_mm(self, pane: Pane, shape: Probe) -> Affine:
        """The map from desk mm to glass mm as if shapes stayed true.

        It keeps the point where the shape stands, and the scale of the real map's shorter
        direction.
        """
        x, y = shape.about
        there_x, there_y = self.desk_mm_to_glass_mm(pane).point(x, y)
        scale = self.solved.figures_on(pane.display).distortion.shortest
        if not self.solved.figures_on(pane.display).size_known:
            scale *= pane.px_to_glass_mm.a
        return Affine(scale, 0, there_x - scale * x, 0, scale, there_y - scale * y)

    def drawing_to_desk_mm(self) -> Affine:
        """The map from the drawing's own unit to desk mm.

        It lays the drawing into the largest upright part of the area with its proportions.
        """
        assert self.drawing is not None
        area = self.solved.area_seen_mm
        # How far the area lies turned on the desk; 0 without a slant that is left.
        tilt_deg = self.solved.request.tablet.slant_deg + self.solved.area_angle_deg
        across, down = (
            turned_extent(area.width, area.height, tilt_deg)
            if tilt_deg
            else (area.width, area.height)
        )
        shrink = min(area.width / across, area.height / down)
        x, y = _area_to_desk(self.solved).point(*area.centre)
        width, height = area.width * shrink, area.height * shrink
        placed = self.drawing.onto_area(Rect(x - width / 2, y - height / 2, width, height))
        return self.seen_to_desk @ placed if self.drawing.in_mm else placed

    def tablet_body_mm(self) -> Rect:
        """The box around the tablet with its rim, desk frame."""
        plate = grown(self.solved.request.tablet.active_seen_mm, PLATE_MM)
        if not self.solved.request.tablet.slant_deg:
            return plate
        return self.seen_to_desk.rect(plate)

    def screens_body_mm(self) -> Rect:
        """The box around all displays with their bezels, glass frame."""
        return Rect.enclosing(*(grown(pane.rect_mm, bezel_mm(pane.display)) for pane in self.panes))


def _seen_to_desk(solved: TabletMap) -> Affine:
    tablet = solved.request.tablet
    if not tablet.slant_deg:
        return Affine.identity()
    return Affine.rotation_about(tablet.slant_deg, *tablet.active_seen_mm.centre)


def _area_to_desk(solved: TabletMap) -> Affine:
    """The map from the area as an upright rectangle, seen frame, to where it lies on the desk."""
    if not solved.area_angle_deg:
        return _seen_to_desk(solved)
    turned = Affine.rotation_about(solved.area_angle_deg, *solved.area_seen_mm.centre)
    return _seen_to_desk(solved) @ turned


def draw_tablet(
    easel: Easel, shown: Demonstration, desk_mm_to_sheet: Affine
) -> tuple[float, float, float, float] | None:
    """Draw the tablet as the artist sees it, unused parts hatched, with the drawing on it.

    Where the tablet is turned, a triangle outside the rim marks the edge that was the top as built.
    Returns the triangle's left, top, right and bottom on the sheet, so that nothing is written over
    it.
    """
    solved = shown.solved
    tablet = solved.request.tablet
    active = tablet.active_seen_mm
    scale = desk_mm_to_sheet.a
    to_sheet = desk_mm_to_sheet @ shown.seen_to_desk
    easel.shape(Outline.rounded(grown(active, PLATE_MM), 6).through(to_sheet), "plate")
    if solved.area_seen_mm != active:
        easel.shape(Outline.rect(active).through(to_sheet), "spare")
        easel.hatch(
            Rect(active.left, active.top, active.width, active.height),
            "spare-hatch",
            through=to_sheet,
        )
    corners = shown.area_corners_desk_mm
    area = Outline.line(corners, closed=True).through(desk_mm_to_sheet)
    probes = [shape for shapes in shown.probes.values() for shape in shapes]
    easel.shape(area, "hand-ground")
    for shape in probes:
        if shape.closed:
            easel.shape(shape.outline.through(desk_mm_to_sheet), "hand-fill")
    if shown.drawing is not None:
        draw_drawing(easel, shown, desk_mm_to_sheet, "hand", None)
    if shown.step_mm is not None:
        easel.shape(grid(corners, shown.step_mm).through(desk_mm_to_sheet), "hand-grid")
    easel.shape(area, "area-edge")
    for shape in probes:
        easel.shape(shape.outline.through(desk_mm_to_sheet), "hand-thin" if shape.thin else "hand")
    if not tablet.turn_deg:
        return None
    mark = _built_top_mark(tablet, to_sheet, scale)
    easel.shape(mark, "arrow-head")
    return mark.bounds


def _built_top_mark(tablet: Tablet, seen_mm_to_sheet: Affine, scale: float) -> Outline:
    """Draw a small triangle outside the rim at the built top edge, and return its box."""
    to_sheet = seen_mm_to_sheet @ tablet.built_to_seen
    x, y = to_sheet.point(tablet.width_mm / 2, -PLATE_MM)
    out_x, out_y = (value / scale for value in to_sheet.vector(0.0, -1.0))
    along_x, along_y = (value / scale for value in to_sheet.vector(1.0, 0.0))
    return Outline.line(
        [
            (x + out_x * 3.4, y + out_y * 3.4),
            (x + out_x * 1.0 + along_x * 1.6, y + out_y * 1.0 + along_y * 1.6),
            (x + out_x * 1.0 - along_x * 1.6, y + out_y * 1.0 - along_y * 1.6),
        ],
        closed=True,
    )


def factor_words(solved: TabletMap, display: Display) -> list[str]:
    """How large a circle comes out on one of several displays, in full and short.

    Empty for a single display, and where the scale factor is not known.
    """
    if len(solved.reached) < 2 or display not in solved.reached:
        return []
    figures = solved.figures_on(display)
    if not figures.size_known:
        return []
    times = number(figures.distortion.areal_scale**0.5, 2)
    return [say("{times} times as large", times=times), say("{times} times", times=times)]


def draw_screens(
    easel: Easel,
    shown: Demonstration,
    glass_mm_to_sheet: Affine,
    *,
    named: bool | None = None,
    ground: str = "glass",
) -> None:
    """Draw all displays: out of reach hatched, and on the reached part all that was drawn.

    ``named`` says whether each display bears its name; None means only where there are several.
    ``ground`` is the role of the reached part.
    """
    solved = shown.solved
    scale = glass_mm_to_sheet.a
    sheets = [glass_mm_to_sheet.rect(pane.rect_mm) for pane in shown.panes]
    for pane, on_sheet in zip(shown.panes, sheets, strict=True):
        easel.rect(
            grown(on_sheet, max(bezel_mm(pane.display) * scale, 0.5)), "bezel", radius=3 * scale
        )
    reached = {display.label for display in solved.reached}
    for pane, on_sheet in zip(shown.panes, sheets, strict=True):
        part_px = (
            pane.display.rect_px.overlap(solved.screen_px)
            if pane.display.label in reached
            else None
        )
        if part_px != pane.display.rect_px:
            easel.rect(on_sheet, "spare")
            easel.hatch(on_sheet, "spare-hatch")
        if part_px is not None:
            _draw_reached(easel, shown, pane, part_px, glass_mm_to_sheet, ground=ground)
        if named if named is not None else len(shown.panes) > 1:
            label = pane.display.label
            labels = [row_of([label, words]) for words in factor_words(solved, pane.display)]
            _draw_label(easel, labels or [label], on_sheet)


def _draw_reached(
    easel: Easel,
    shown: Demonstration,
    pane: Pane,
    part_px: Rect,
    glass_mm_to_sheet: Affine,
    *,
    ground: str,
) -> None:
    """Draw the reached part of one display, with all that was drawn as it comes out there."""
    part = (glass_mm_to_sheet @ pane.px_to_glass_mm).rect(part_px)
    to_sheet = glass_mm_to_sheet @ shown.desk_mm_to_glass_mm(pane)
    easel.rect(part, ground)
    probes = shown.probes.get(pane.display.label, ())
    ghosts = not shown.stays_round(pane)
    for shape in probes:
        if shape.closed:
            easel.shape(shape.outline.through(to_sheet), "result-fill", clip=part)
            if ghosts:
                true = glass_mm_to_sheet @ shown.true_to_glass_mm(pane, shape)
                easel.shape(shape.outline.through(true), "ghost-fill", clip=part)
    if shown.drawing is not None:
        draw_drawing(easel, shown, to_sheet, "result", part)
        if ghosts:
            _draw_ghost(easel, shown, pane, glass_mm_to_sheet, part)
    if shown.step_mm is not None:
        easel.shape(
            grid(shown.area_corners_desk_mm, shown.step_mm).through(to_sheet),
            "result-grid",
            clip=part,
        )
    easel.rect(part, "screen-edge")
    for shape in probes:
        easel.shape(
            shape.outline.through(to_sheet), "result-thin" if shape.thin else "result", clip=part
        )
        if ghosts and not shape.thin:
            true = glass_mm_to_sheet @ shown.true_to_glass_mm(pane, shape)
            easel.shape(shape.outline.through(true), "ghost", clip=part)


def draw_drawing(
    easel: Easel, shown: Demonstration, desk_mm_to_sheet: Affine, role: str, clip: Rect | None
) -> None:
    """Draw the artist's own drawing on its paper.

    Strokes without colours of their own take those of ``role``.
    """
    drawing = shown.drawing
    assert drawing is not None
    to_sheet = desk_mm_to_sheet @ shown.drawing_to_desk_mm()
    if any(stroke.look for stroke in drawing.strokes) or drawing.raster is not None:
        paper = Outline.rect(drawing.bounds).through(to_sheet)
        easel.shape(paper, "paper-fill", clip=clip)
        if drawing.raster is not None:
            _draw_raster(easel, drawing, to_sheet, clip)
        easel.shape(paper, "paper-edge", clip=clip)
    # A pen's width goes with the size of what it draws.
    grow = math.sqrt(abs(to_sheet.determinant))
    for stroke in drawing.strokes:
        outline = stroke.outline.through(to_sheet)
        if stroke.look is None:
            easel.shape(outline, f"{role}-thin", clip=clip)
        else:
            look = Style(stroke.look.fill, stroke.look.line, stroke.look.width * grow)
            easel.shape(outline, "drawing", clip=clip, look=look)


def _draw_ghost(
    easel: Easel, shown: Demonstration, pane: Pane, glass_mm_to_sheet: Affine, part: Rect
) -> None:
    """Draw the drawing as it would lie if shapes stayed true, about the same middle.

    Lines are dashed, pixels pale.
    """
    assert shown.drawing is not None
    to_desk = shown.drawing_to_desk_mm()
    about = to_desk.point(*shown.drawing.bounds.centre)
    frame = Outline.rect(shown.drawing.bounds).through(to_desk)
    true = glass_mm_to_sheet @ shown.true_to_glass_mm(pane, Probe("frame", frame, about)) @ to_desk
    if shown.drawing.raster is not None:
        pale = shown.drawing.raster.convert("RGBA")
        pale.putalpha(pale.getchannel("A").point(lambda alpha: round(alpha * _PALE)))
        _draw_raster(easel, replace(shown.drawing, raster=pale), true, part)
    for stroke in shown.drawing.strokes:
        easel.shape(stroke.outline.through(true), "ghost", clip=part)


def _draw_raster(easel: Easel, drawing: Drawing, to_sheet: Affine, clip: Rect | None) -> None:
    from render.pictures.warp import resized, warped

    assert drawing.raster is not None
    box = to_sheet.rect(drawing.bounds)
    dots = min(_DOTS_PER_SHEET_MM, _MOST_DOTS / max(box.width, box.height))
    width_px, height_px = max(1, round(box.width * dots)), max(1, round(box.height * dots))
    if to_sheet.b == 0 == to_sheet.d:
        easel.image(resized(drawing.raster, width_px, height_px), box, clip=clip)
        return
    to_dots = Affine.between(box, Rect(0, 0, width_px, height_px)) @ to_sheet
    easel.image(
        warped(drawing.raster.convert("RGBA"), to_dots, width_px, height_px), box, clip=clip
    )


def _draw_label(easel: Easel, labels: list[str], on_sheet: Rect) -> None:
    """Write the first label that fits in its top left corner, on a ground that hides lines."""
    em = style("label").em_mm
    room = on_sheet.width - 2.4
    label = next((each for each in labels if width_mm(each, 0.8 * em) <= room), labels[-1])
    em = max(0.6 * em, fitted(label, em, room))
    label = shortened(label, em, room)
    high = em * (CAP + DESCENT)
    if not label or high > on_sheet.height / 2:
        return
    easel.rect(Rect(on_sheet.left, on_sheet.top, width_mm(label, em) + 2.4, high + 1.0), "glass")
    easel.text(label, on_sheet.left + 1.2, on_sheet.top + 0.9, "label", level="top", em_mm=em)
