"""The picture of one map for a page: the two bodies as in the view ``map``, without title and figures, and with handles.

The hand's and the glass's side are drawn by the same functions, to one scale. In the margin beside and below each body
stand dimension lines; their ticks pull an edge, their middles the whole. A file never shows them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mapper.affine import Affine
from mapper.paths import Outline
from mapper.rect import Rect
from render.canvas.lettering import CAP, LEADING, width_mm, wrapped
from render.canvas.scene import Easel, Handle, Scene
from render.canvas.theme import style
from render.measures import bare_length, length
from render.pictures.panels import Demonstration, draw_screens, draw_tablet
from render.pictures.preview import describe, map_title
from render.pictures.stage import ABOVE, BESIDE, Places, Stage, largest
from render.words import ROUND_PERCENT, number

if TYPE_CHECKING:
    from mapper.mapping.solve import TabletMap

# Between a body and its dimension line, half a tick, and the room for both with a number.
_OFF_MM, _TICK_MM, _MARGIN_MM = 4.2, 2.2, 9.5
_HEAD_MM, _GAP_MM, _EDGE_MM = 6.5, 14.0, 1.0
_LEAST_HIGH_MM = 40.0
_SEEN_PERCENT = 0.05

FILLS = "It fills the whole way, so there is nowhere to move it."


#: A hand does not place finer than this.
FINE_MM = 0.1


def pull_grid_mm(told: TabletMap) -> tuple[float, float]:
    """Where a pulled edge may lie, along x and y as seen: whole driver steps, or as fine as a hand places."""
    step, tablet = told.request.step, told.request.tablet
    if step is None:
        return FINE_MM, FINE_MM
    x, y = (float(each) * max(1, math.ceil(FINE_MM / float(each))) for each in step.length_mm(tablet))
    return (y, x) if tablet.turn_deg % 180 else (x, y)


def live_scene(tablet_map: TabletMap, *, width_mm: float, most_high_mm: float, units: str = "mm") -> Scene:
    """The picture of one map in a room of this width and at most this height; the scene is as high as it needs to be.

    ``units`` is mm or in. The handles speak mm of the tablet as seen, and px of the desktop.
    """
    shown = Demonstration.of(tablet_map)
    stage = Stage(shown)
    foot = _MARGIN_MM + 2 * style("note").em_mm * LEADING + 1.0
    layout = _Layout(stage, width_mm, max(most_high_mm, _LEAST_HIGH_MM), foot)
    places, high_mm = layout.places()
    easel = Easel(width_mm, high_mm)
    stage.draw_beam(easel, places)
    with easel.group("hand"):
        draw_tablet(easel, shown, places.desk_mm_to_sheet)
    with easel.group("glass"):
        draw_screens(easel, shown, places.glass_mm_to_sheet)
    _draw_words(easel, shown, places, units)
    _result_words(easel, shown, places)
    _draw_handles(easel, shown, places, units)
    return easel.scene(title=map_title(tablet_map), description=describe(tablet_map, units=units))


class _Layout:
    def __init__(self, stage: Stage, wide: float, most_high: float, foot: float) -> None:
        self.stage, self.wide, self.most_high, self.foot = stage, wide, most_high, foot

    def places(self) -> tuple[Places, float]:
        """Where both bodies stand, and how high the sheet is."""
        beside, above = largest(self._beside_fits), largest(self._above_fits)
        return self._at(beside, BESIDE) if beside * 1.3 >= above else self._at(above, ABOVE)

    def _beside_fits(self, scale: float) -> bool:
        tablet, screens = self.stage.tablet_mm, self.stage.screens_mm
        wide = (tablet.width + screens.width) * scale + 2 * _MARGIN_MM + _GAP_MM + 2 * _EDGE_MM
        high = max(tablet.height, screens.height) * scale + _HEAD_MM + self.foot
        return wide <= self.wide and high <= self.most_high

    def _above_fits(self, scale: float) -> bool:
        tablet, screens = self.stage.tablet_mm, self.stage.screens_mm
        wide = max(tablet.width, screens.width) * scale + _MARGIN_MM + 2 * _EDGE_MM
        high = (tablet.height + screens.height) * scale + 2 * (_HEAD_MM + self.foot)
        return wide <= self.wide and high <= self.most_high

    def _at(self, scale: float, arrangement: str) -> tuple[Places, float]:
        tablet, screens = self.stage.tablet_mm, self.stage.screens_mm
        tablet_wide, tablet_high = tablet.width * scale, tablet.height * scale
        screen_wide, screen_high = screens.width * scale, screens.height * scale
        if arrangement == BESIDE:
            high = max(tablet_high, screen_high)
            spare = self.wide - tablet_wide - screen_wide - 2 * _MARGIN_MM - 2 * _EDGE_MM
            left = _EDGE_MM + _MARGIN_MM
            first = Rect(left, _HEAD_MM + (high - tablet_high) * 0.5, tablet_wide, tablet_high)
            second = Rect(
                left + tablet_wide + min(spare, 2.2 * _GAP_MM),
                _HEAD_MM + (high - screen_high) / 2,
                screen_wide,
                screen_high,
            )
            sheet_high = high + _HEAD_MM + self.foot
        else:
            second = Rect(_EDGE_MM, _HEAD_MM, screen_wide, screen_high)
            top = second.bottom + self.foot + _HEAD_MM
            first = Rect(_EDGE_MM + _MARGIN_MM, top, tablet_wide, tablet_high)
            sheet_high = first.bottom + self.foot
        return (
            Places(
                first,
                second,
                Affine.between(tablet, first),
                Affine.between(screens, second),
                arrangement,
                max(first.width, 30.0),
                second.width,
            ),
            sheet_high,
        )


def _draw_words(easel: Easel, shown: Demonstration, places: Places, units: str) -> None:
    tablet_map = shown.tablet_map
    figures = tablet_map.figures_on(tablet_map.reference)
    easel.text("under the hand", places.tablet.left, places.tablet.top - 2.6, "heading")
    where = "on the glass" if shown.to_scale else "on the glass, not to scale"
    easel.text(where, places.screens.left, places.screens.top - 2.6, "heading")
    said = "Its size in mm is not known, so square pixels are assumed."
    if figures.size_known and shown.step_mm is not None:
        scales = figures.distortion.scale_x, figures.distortion.scale_y
        across, down = (length(shown.step_mm * scale, units) for scale in scales)
        ways = f"{across} of glass, both ways" if across == down else f"{across} across and {down} down"
        said = f"{length(shown.step_mm, units)} of hand become {ways}."
    _note(easel, said, places.screens, easel.width_mm)
    unused = 100 - tablet_map.summary.area_used_percent
    if unused > _SEEN_PERCENT:
        said = f"Hatched: not in use, {number(unused, 1 if unused < 10 else 0)} %."
        _note(easel, said, places.tablet, places.tablet.right + _GAP_MM + 8)


def _note(easel: Easel, said: str, body: Rect, right: float) -> None:
    em = style("note").em_mm
    y = body.bottom + _MARGIN_MM + 0.5
    for line in wrapped(said, em, max(right - body.left, 30.0))[:2]:
        easel.text(line, body.left, y, "note", level="top")
        y += em * LEADING


def _result_words(easel: Easel, shown: Demonstration, places: Places) -> None:
    """In the middle of what the circle became: what it is, where there is room."""
    tablet_map = shown.tablet_map
    pane = next((pane for pane in shown.panes if pane.display == tablet_map.reference), None)
    probes = [] if pane is None else shown.probes.get(pane.display.label, ())
    if pane is None or not probes:
        return
    to_sheet = places.glass_mm_to_sheet @ shown.desk_mm_to_glass_mm(pane)
    left, _, right, _ = probes[0].outline.through(to_sheet).bounds
    x, y = to_sheet.point(*probes[0].about)
    figures = tablet_map.figures_on(tablet_map.reference)
    distortion = figures.distortion
    longer = (distortion.stretch - 1) * 100
    first = "round" if longer < ROUND_PERCENT else f"{number(longer, 1)} % oval"
    scale = tablet_map.summary.scale_factor
    second = "" if scale is None else f"{number(scale, 2)} times as large"
    room = (right - left) * 0.86
    em, small = 4.4, style("note").em_mm
    if width_mm(first, em, bold=True) > room:
        return
    if not second or width_mm(second, small) > room:
        easel.text(first, x, y, "result-word", anchor="middle", level="middle", em_mm=em)
        return
    easel.text(first, x, y - 1.0, "result-word", anchor="middle", em_mm=em)
    easel.text(second, x, y + 1.6, "note", anchor="middle", level="top", em_mm=small)


@dataclass(frozen=True, slots=True)
class _Side:
    """One of the two rectangles that can be pulled: ``area`` (mm as seen) or ``screen`` (px of the desktop).

    ``room`` is what it may fill, ``to_sheet`` its way to the sheet, ``upright_mm`` and ``level_mm`` where its dimension lines
    stand there. ``steps`` are what an arrow key moves, across and down.
    """

    name: str
    thing: str
    rect: Rect
    room: Rect
    to_sheet: Affine
    upright_mm: float
    level_mm: float
    steps: tuple[float, float]
    units: str

    def said(self, value: float) -> str:
        """A distance in its unit, in words."""
        value = max(value, 0.0)
        return length(value, self.units) if self.name == "area" else f"{number(value, 0)} pixels"

    def bare(self, value: float) -> str:
        return bare_length(value, self.units) if self.name == "area" else number(value, 0)


def _draw_handles(easel: Easel, shown: Demonstration, places: Places, units: str) -> None:
    """Dimension lines and their handles: left and below of the tablet, right and below of the screens."""
    told = shown.tablet_map
    tablet, desktop = told.request.tablet, told.request.desktop
    sides = []
    if not (tablet.slant_deg or told.area_angle_deg):
        # The area of a tablet that lies askew is not pulled: its dimensions are not those of an upright rectangle.
        upright, level = places.tablet.left - _OFF_MM, places.tablet.bottom + _OFF_MM
        grid = pull_grid_mm(told)
        steps = max(0.5, grid[0]), max(0.5, grid[1])
        sides.append(
            _Side(
                "area",
                "the area",
                told.area_seen_mm,
                tablet.active_seen_mm,
                places.desk_mm_to_sheet,
                upright,
                level,
                steps,
                units,
            )
        )
    if len(told.reached) == 1:
        pane = next(pane for pane in shown.panes if pane.display == told.reference)
        upright, level = places.screens.right + _OFF_MM, places.screens.bottom + _OFF_MM
        to_sheet = places.glass_mm_to_sheet @ pane.px_to_glass_mm
        sides.append(
            _Side("screen", "the window", told.screen_px, desktop.rect_px, to_sheet, upright, level, (1.0, 1.0), units)
        )
    for side in sides:
        for down in (True, False):
            _draw_line(easel, side, down=down)


def _draw_line(easel: Easel, side: _Side, *, down: bool) -> None:
    """One dimension line: a tick at either end that pulls an edge, and between them the line that moves the whole."""
    on_sheet = side.to_sheet.rect(side.rect)
    start, size, room, at, step = (
        (side.rect.top, side.rect.height, (side.room.top, side.room.bottom), side.upright_mm, side.steps[1])
        if down
        else (side.rect.left, side.rect.width, (side.room.left, side.room.right), side.level_mm, side.steps[0])
    )
    first, last = (on_sheet.top, on_sheet.bottom) if down else (on_sheet.left, on_sheet.right)

    def along(*places: float) -> list[tuple[float, float]]:
        return [(at, each) if down else (each, at) for each in places]

    _draw_dimension(easel, side, side.bare(size), (first, last), at, down=down)
    way = "vertical" if down else "horizontal"
    per_sheet_mm = size / max(last - first, 1e-6)
    for name, value, mark, far in (
        ("top" if down else "left", start, first, start - room[0]),
        ("bottom" if down else "right", start + size, last, room[1] - start - size),
    ):
        tick = (
            [(at - _TICK_MM, mark), (at + _TICK_MM, mark)] if down else [(mark, at - _TICK_MM), (mark, at + _TICK_MM)]
        )
        easel.handle(
            Handle(
                name=f"{side.name}-{name}",
                label=f"{name} edge of {side.thing}",
                says=f"{side.said(far)} from the {name}",
                way=way,
                outline=Outline.line(tick),
                value=value,
                least=room[0],
                most=room[1],
                step=step,
                per_sheet_mm=per_sheet_mm,
            )
        )
    free = room[1] - room[0] - size
    easel.handle(
        Handle(
            name=f"{side.name}-{'down' if down else 'across'}",
            label=f"{side.thing}, {'up and down' if down else 'sideways'}",
            says=f"{side.said(start - room[0])} from the {'top' if down else 'left'}",
            way=way,
            outline=Outline.line(along(first + 3.0, last - 3.0)),
            value=start,
            least=room[0],
            most=max(room[0], room[1] - size),
            step=step,
            per_sheet_mm=per_sheet_mm,
            stays=FILLS if free < 1e-6 * size else "",
        )
    )


def _draw_dimension(easel: Easel, side: _Side, text: str, ends: tuple[float, float], at: float, *, down: bool) -> None:
    """The line with its number in a gap in its middle, or without where there is no room for one."""
    first, last = ends
    role = "hand-dimension" if side.name == "area" else "result-dimension"
    em = style("fact").em_mm
    wide, middle = width_mm(text, em, bold=True), (first + last) / 2
    # On an upright line the number lies level where it is short, else along the line.
    turned = down and wide > 2 * _OFF_MM - 1.0
    half = (em * CAP / 2 if down and not turned else wide / 2) + 1.2
    gaps = [(first, middle - half), (middle + half, last)] if last - first > 2 * half + 3.0 else [(first, last)]
    for low, high in gaps:
        easel.line([(at, low), (at, high)] if down else [(low, at), (high, at)], role)
    if len(gaps) > 1:
        x, y = (at, middle) if down else (middle, at)
        easel.text(text, x, y, "fact", anchor="middle", level="middle", turn_deg=-90.0 if turned else 0.0)
