"""Three figures at a glance: two rulers for the scale, nested outlines, what is not used."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mapper.affine import Affine
from mapper.mapping.reach import in_reach_percent
from mapper.paths import Outline
from mapper.rect import Rect
from mapper.units import MM_PER_INCH
from render.canvas.lettering import CAP, LEADING, fitted, wrapped
from render.canvas.scene import Easel, Scene
from render.canvas.theme import style
from render.pictures.frame import SHEET_MM, draw_title, page
from render.pictures.preview import describe, what_was_done
from render.pictures.probes import nice_step
from render.sentences.measures import bare_length, length
from render.sentences.say import Name, listed, say
from render.sentences.words import (
    ROUND_PERCENT,
    SEEN_SHARE_PERCENT,
    circle_words,
    map_title,
    number,
    oval_figure,
    oval_way,
    share_words,
)

if TYPE_CHECKING:
    from mapper.distortion import Distortion
    from mapper.mapping.solve import TabletMap

GUTTER_MM = 16.0

# Steps of a ruler, in its unit.
_STEPS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 1000.0)


def glance_scene(
    solved: TabletMap,
    *,
    units: str = "mm",
    text: bool = True,
    size_mm: tuple[float, float] = SHEET_MM,
) -> Scene:
    """The three figures of one map, in columns, or in rows on a tall sheet.

    ``units``, ``text`` and ``size_mm`` are those of preview.preview_scene. Raises RequestError for
    an unknown unit.
    """
    bare_length(0.0, units)
    easel = Easel(*size_mm)
    room = page(easel)
    title = map_title(solved)
    if text:
        room = draw_title(easel, title, what_was_done(solved, units=units), room)
    glance = _Glance(easel, solved, units, text)
    if room.width >= 1.2 * room.height:
        wide = (room.width - 2 * GUTTER_MM) / 3
        cells = [
            Rect(room.left + i * (wide + GUTTER_MM), room.top, wide, room.height) for i in range(3)
        ]
    else:
        gutter = min(GUTTER_MM, room.height / 8)
        high = (room.height - 2 * gutter) / 3
        cells = [
            Rect(room.left, room.top + i * (high + gutter), room.width, high) for i in range(3)
        ]
    if text:
        cells = _draw_words(
            easel, cells, [glance.ruler_words(), glance.outline_words(), glance.share_words()]
        )
    for draw, cell in zip((glance.ruler, glance.outlines, glance.share), cells, strict=True):
        draw(cell)
    return easel.scene(title=title, description=describe(solved, units=units))


def _draw_words(easel: Easel, cells: list[Rect], words: list[tuple[str, str]]) -> list[Rect]:
    """Write a number and its sentence at the foot of each cell, and return the room above them.

    All stand level, and none takes more than half of its cell.
    """
    small = style("note").em_mm
    em = min(
        fitted(value, 10.0, cell.width, bold=True)
        for cell, (value, _) in zip(cells, words, strict=True)
    )
    lines = [
        wrapped(lines_of_cell, small, cell.width)
        for cell, (_, lines_of_cell) in zip(cells, words, strict=True)
    ]
    gap = 3.0
    high = em * CAP + gap + max(map(len, lines)) * small * LEADING
    shrunk = min(1.0, 0.5 * cells[0].height / high)
    em, small, gap, high = (shrunk * each for each in (em, small, gap, high))
    rooms = []
    for cell, (value, _), lines_of_cell in zip(cells, words, lines, strict=True):
        y = cell.bottom - high
        with easel.block(cell.left, cell.width):
            easel.text(value, cell.left, y, "number", level="top", em_mm=em)
            for index, line in enumerate(lines_of_cell):
                at = y + em * CAP + gap + index * small * LEADING
                easel.text(
                    line, cell.left, at, "note", level="top", em_mm=fitted(line, small, cell.width)
                )
        rooms.append(
            Rect(cell.left, cell.top, cell.width, max(cell.height - high - 7.0 * shrunk, 1.0))
        )
    return rooms


class _Glance:
    def __init__(self, easel: Easel, solved: TabletMap, units: str, text: bool) -> None:
        self.easel = easel
        self.map = solved
        self.units = units
        self.text = text
        self.figures = solved.figures_on(solved.reference)

    @property
    def unit_mm(self) -> float:
        return 1.0 if self.units == "mm" else MM_PER_INCH

    @property
    def hand_mm(self) -> float:
        """The length of a stroke under the hand: a round number of mm that the area holds."""
        return nice_step(0.35 * self.map.area_seen_mm.width / self.unit_mm) * self.unit_mm

    # The scale

    def ruler_words(self) -> tuple[str, str]:
        scale, hand_mm = self.map.summary.scale_factor, self.hand_mm
        distortion = self.figures.distortion
        if scale is None:
            return say("no scale factor"), say("The size of the display in mm was not given.")
        value = say("{times} times as large", times=number(scale, 2))
        hand = length(hand_mm, self.units)
        across = length(hand_mm * distortion.scale_x, self.units)
        if (distortion.stretch - 1) * 100 >= ROUND_PERCENT:
            down = length(hand_mm * distortion.scale_y, self.units)
            words = say(
                "{hand} under the hand become {across} on the display across, and {down} down.",
                hand=hand,
                across=across,
                down=down,
            )
        elif len(self.map.figures) > 1:
            each = [
                say(
                    "{length} on {display}",
                    length=length(hand_mm * figures.distortion.scale_x, self.units),
                    display=Name(figures.display),
                )
                for figures in self.map.figures
                if figures.size_known
            ]
            words = say("{hand} under the hand become {list}.", hand=hand, list=listed(each))
        else:
            words = say(
                "{hand} under the hand become {across} on the display.", hand=hand, across=across
            )
        return value, words

    def ruler(self, room: Rect) -> None:
        """Draw a stroke under the hand and the same stroke on the display, to one scale."""
        if self.map.summary.scale_factor is None:
            self._rulers(room, 1.0, 1.0, hatched=True)
        else:
            self._rulers(room, self.hand_mm, self.hand_mm * self.figures.distortion.scale_x)

    def _rulers(
        self, room: Rect, hand_mm: float, glass_mm: float, *, hatched: bool = False
    ) -> None:
        longest = max(hand_mm, glass_mm)
        to_sheet = room.width / longest
        thickness = min(15.0, room.height / 5)
        y = room.top + room.height / 2 - thickness - 2.5
        for long_mm, role, top in ((hand_mm, "hand", y), (glass_mm, "result", y + thickness + 5.0)):
            bar = Rect(room.left, top, long_mm * to_sheet, thickness)
            self.easel.rect(bar, f"{role}-ground" if role == "hand" else "result-fill")
            self._ticks(bar, long_mm, to_sheet, role)
            self.easel.rect(bar, "area-edge" if role == "hand" else "screen-edge")
            if hatched:
                self.easel.hatch(bar, "spare-hatch")
            if (
                self.text
                and not hatched
                and room.height > 2 * thickness + 5.0 + 4 * style("hand-label").em_mm
            ):
                words = say("hand") if role == "hand" else say("display")
                label = f"{role}-label"
                em = style(label).em_mm
                at = top - 1.6 if role == "hand" else top + thickness + 1.6 + CAP * em
                self.easel.text(words, room.left, at, label)

    def _ticks(self, bar: Rect, long_mm: float, to_sheet: float, role: str) -> None:
        """Draw ticks as on a ruler, every tenth the longest.

        The step is the finest that leaves 0.9 mm of sheet between two ticks.
        """
        per_unit = self.unit_mm * to_sheet
        step = next((step for step in _STEPS if step * per_unit >= 0.9), _STEPS[-1]) * self.unit_mm
        commands: list[tuple[Any, ...]] = []
        count = int(long_mm / step + 1e-9)
        for index in range(1, count):
            share = 0.25
            if index % 5 == 0:
                share = 0.6 if index % 10 == 0 else 0.42
            x = bar.left + index * step * to_sheet
            commands += [("M", x, bar.top), ("L", x, bar.top + share * bar.height)]
        if commands:
            self.easel.shape(Outline(tuple(commands)), f"{role}-thin")

    # The shape

    def outline_words(self) -> tuple[str, str]:
        distortion = self.figures.distortion
        if oval_way(distortion) == "round":
            return oval_figure(distortion), say("Circles stay round.")
        worst = number(distortion.angle_error_deg, 1)
        return circle_words(distortion), say(
            "Dashed: the round circle. Angles are wrong by up to {degrees}°.", degrees=worst
        )

    def outlines(self, room: Rect) -> None:
        """Draw the true circle and what it became, one inside the other."""
        distortion = self.figures.distortion
        is_round = oval_way(distortion) == "round"
        x, y = room.centre
        radius = 0.47 * min(
            room.width / self._extent(distortion)[0], room.height / self._extent(distortion)[1]
        )
        to_sheet = self._shape(distortion, radius, x, y)
        circle = Outline.circle(0, 0, 1)
        ghost = Affine(radius, 0, x, 0, radius, y)
        self.easel.shape(circle.through(to_sheet), "result-fill")
        if not is_round:
            self.easel.shape(circle.through(ghost), "ghost-fill")
        self.easel.shape(circle.through(to_sheet), "result")
        if not is_round:
            self.easel.shape(circle.through(ghost), "ghost")

    def _shape(self, distortion: Distortion, radius: float, x: float, y: float) -> Affine:
        """The map from the unit circle to the ellipse it becomes, about (x, y) on the sheet.

        ``radius`` is that of the true circle, which fits the ellipse in its shorter direction.
        """
        axis = distortion.longer_axis_deg or 0.0
        turn, back = Affine.rotation_about(axis, 0, 0), Affine.rotation_about(-axis, 0, 0)
        return (
            Affine(1, 0, x, 0, 1, y)
            @ turn
            @ Affine(radius * distortion.stretch, 0, 0, 0, radius, 0)
            @ back
        )

    def _extent(self, distortion: Distortion) -> tuple[float, float]:
        """Width and height of the ellipse, in diameters of the true circle."""
        shape = self._shape(distortion, 1.0, 0.0, 0.0)
        return (shape.a**2 + shape.b**2) ** 0.5, (shape.d**2 + shape.e**2) ** 0.5

    # The share

    def share_words(self) -> tuple[str, str]:
        used, in_reach = self.map.summary.area_used_percent, in_reach_percent(self.map)
        if in_reach < 100:
            value = say("{share} of the display not used", share=share_words(100 - in_reach))
            return value, say(
                "The pen reaches {reached} of the display, and uses {used} of the tablet.",
                reached=share_words(in_reach),
                used=share_words(used),
            )
        value = say("all of it used")
        if 100 - used > SEEN_SHARE_PERCENT:
            value = say("{share} not used", share=share_words(100 - used))
        return value, say(
            "{used} of the tablet is used, and all of the display.", used=share_words(used)
        )

    def share(self, room: Rect) -> None:
        """Draw the tablet with its used part, or the screen with its reached part."""
        if in_reach_percent(self.map) < 100:
            asked = [
                each
                for each in self.map.request.desktop.displays
                if each.label in self.map.request.onto
            ]
            whole = Rect.enclosing(*(display.rect_px for display in asked))
            part, inside, edge = Outline.rect(self.map.screen_px), "reach", "screen-edge"
            pitch = self.map.reference.mm_per_px or (1.0, 1.0)
        else:
            whole, pitch = self.map.request.tablet.active_seen_mm, (1.0, 1.0)
            part = Outline.line(self.map.area_corners_seen_mm, closed=True)
            inside, edge = "hand-ground", "area-edge"
        scale = min(room.width / (whole.width * pitch[0]), room.height / (whole.height * pitch[1]))
        wide, high = whole.width * pitch[0] * scale, whole.height * pitch[1] * scale
        x, y = room.centre
        box = Rect(x - wide / 2, y - high / 2, wide, high)
        outline = part.through(Affine.between(whole, box))
        self.easel.rect(box, "spare")
        self.easel.hatch(box, "spare-hatch")
        self.easel.shape(outline, inside)
        self.easel.shape(outline, edge)
        self.easel.rect(box, "frame")
