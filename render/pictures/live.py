"""The picture of one map for the desk's page: the two bodies, and handles that pull them.

It is the view ``map`` without title and figures, drawn by the same functions to one scale. In the
margin beside and below each body stand dimension lines; a tick pulls an edge, the middle of a line
pulls the whole rectangle. Picture files never show them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mapper.affine import Affine
from mapper.paths import Outline
from mapper.phrases import phrase
from mapper.rect import Rect
from render.canvas.lettering import CAP, LEADING, fitted, width_mm, wrapped
from render.canvas.scene import Easel, Handle, Scene
from render.canvas.theme import style
from render.pictures.panels import PLATE_MM, Demonstration, draw_screens, draw_tablet
from render.pictures.preview import describe
from render.pictures.stage import ABOVE, BESIDE, Places, Stage, largest
from render.sentences.measures import bare_length, length
from render.sentences.say import Name, say, say_again, say_count
from render.sentences.words import (
    SEEN_SHARE_PERCENT,
    circle_words,
    map_title,
    number,
    share_words,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.mapping.solve import TabletMap

# Between a body and its dimension line, half a tick, and the room for both with a number.
_OFF_MM, _TICK_MM, _MARGIN_MM = 4.2, 2.2, 9.5
_HEAD_MM, _GAP_MM, _EDGE_MM = 6.5, 14.0, 1.0
_TRIANGLE_MM = 3.6
_DOT_MM = 1.3
_LEAST_HIGH_MM = 40.0
HAND_WORDS = phrase("under the hand")

#: Why a mark of a side stays.
FILLS = {
    "area": phrase("The area fills the whole length, so it cannot move."),
    "screen": phrase("The part of the display fills the whole length, so it cannot move."),
}

#: A hand does not place finer than this.
FINE_MM = 0.1


def pull_grid_mm(solved: TabletMap) -> tuple[float, float]:
    """The spacing of the places where a pulled edge may lie, along x and y as seen, mm.

    That is the driver's step, or as fine as a hand places.
    """
    step, tablet = solved.request.step, solved.request.tablet
    if step is None:
        return FINE_MM, FINE_MM
    x, y = (
        float(each) * max(1, math.ceil(FINE_MM / float(each))) for each in step.length_mm(tablet)
    )
    return (y, x) if tablet.turn_deg % 180 else (x, y)


def live_scene(
    solved: TabletMap, *, width_mm: float, most_high_mm: float, units: str = "mm"
) -> Scene:
    """The picture of one map, ``width_mm`` wide and as high as it needs, up to ``most_high_mm``.

    ``units`` is mm or in. Values of the handles are mm of the tablet as seen, and px of the
    desktop.
    """
    shown = Demonstration.of(solved)
    stage = Stage(shown)
    lines = _most_lines(solved)
    foot = _MARGIN_MM + _mark_room_mm(solved, 180) + lines * style("note").em_mm * LEADING + 1.0
    layout = _Layout(stage, width_mm, max(most_high_mm, _LEAST_HIGH_MM), foot)
    places, high_mm = layout.places()
    easel = Easel(width_mm, high_mm)
    stage.draw_beam(easel, places)
    with easel.group("hand"):
        draw_tablet(easel, shown, places.desk_mm_to_sheet)
        _mark_built_corner(easel, shown, places)
        if solved.request.tablet.slant_deg or solved.area_angle_deg:
            _draw_askew(easel, shown, places, _area_side(shown, places, units))
        else:
            _draw_lines(easel, _area_side(shown, places, units))
    with easel.group("hand-words"):
        _draw_hand_words(easel, shown, places)
    with easel.group("glass"):
        draw_screens(easel, shown, places.glass_mm_to_sheet)
        _draw_lines(easel, _screen_side(shown, places, units))
    _draw_glass_words(easel, shown, places, units)
    _draw_result_words(easel, shown, places)
    return easel.scene(title=map_title(solved), description=describe(solved, units=units))


def _most_lines(solved: TabletMap) -> int:
    """How many lines stand under the tablet at most."""
    if solved.request.tablet.turn_deg:
        return 4
    return 3 if solved.request.tablet.slant_deg else 2


class _Layout:
    def __init__(self, stage: Stage, wide: float, most_high: float, foot: float) -> None:
        self.stage, self.wide, self.most_high, self.foot = stage, wide, most_high, foot

    def places(self) -> tuple[Places, float]:
        """Where both bodies stand, and how high the sheet is."""
        beside, above = largest(self._beside_fits), largest(self._above_fits)
        return (
            self._places_at(beside, BESIDE)
            if beside * 1.3 >= above
            else self._places_at(above, ABOVE)
        )

    def _hand_width_mm(self, scale: float) -> float:
        """The width of the hand's side, with room for the words over the tablet."""
        words = width_mm(say_again(HAND_WORDS), style("heading").em_mm, bold=True)
        return max(self.stage.tablet_mm.width * scale, words - _GAP_MM)

    def _beside_fits(self, scale: float) -> bool:
        tablet, screens = self.stage.tablet_mm, self.stage.screens_mm
        wide = (
            self._hand_width_mm(scale)
            + screens.width * scale
            + 2 * _MARGIN_MM
            + _GAP_MM
            + 2 * _EDGE_MM
        )
        high = max(tablet.height, screens.height) * scale + _HEAD_MM + self.foot
        return wide <= self.wide and high <= self.most_high

    def _above_fits(self, scale: float) -> bool:
        tablet, screens = self.stage.tablet_mm, self.stage.screens_mm
        wide = max(tablet.width, screens.width) * scale + _MARGIN_MM + 2 * _EDGE_MM
        high = (tablet.height + screens.height) * scale + 2 * (_HEAD_MM + self.foot)
        return wide <= self.wide and high <= self.most_high

    def _places_at(self, scale: float, arrangement: str) -> tuple[Places, float]:
        tablet, screens = self.stage.tablet_mm, self.stage.screens_mm
        tablet_wide, tablet_high = tablet.width * scale, tablet.height * scale
        screen_wide, screen_high = screens.width * scale, screens.height * scale
        if arrangement == BESIDE:
            high = max(tablet_high, screen_high)
            hand_wide = self._hand_width_mm(scale)
            spare = self.wide - hand_wide - screen_wide - 2 * _MARGIN_MM - 2 * _EDGE_MM
            left = _EDGE_MM + _MARGIN_MM
            first = Rect(left, _HEAD_MM + (high - tablet_high) * 0.5, tablet_wide, tablet_high)
            second = Rect(
                left + hand_wide + min(spare, 2.2 * _GAP_MM),
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


def _draw_glass_words(easel: Easel, shown: Demonstration, places: Places, units: str) -> None:
    one = len(shown.panes) == 1
    where = say("on the display") if one else say("on the displays")
    if not shown.to_scale:
        where = say("{heading}, not to scale", heading=where)
    with easel.block(places.screens.left, places.screens.width):
        easel.text(where, places.screens.left, places.screens.top - 2.6, "heading")
        _draw_notes(easel, [_glass_note(shown, units)], places.screens, easel.width_mm)


def _glass_note(shown: Demonstration, units: str) -> str:
    """What a square of the grid becomes, and on which of several displays."""
    solved = shown.solved
    figures = solved.figures_on(solved.reference)
    if not figures.size_known or shown.step_mm is None:
        return say("Its size in mm is not known, so square pixels are assumed.")
    scales = figures.distortion.scale_x, figures.distortion.scale_y
    across, down = (length(shown.step_mm * scale, units) for scale in scales)
    slots = {"hand": length(shown.step_mm, units), "across": across, "down": down}
    if len(solved.reached) == 1:
        if across == down:
            return say("{hand} under the hand become {across} in each direction.", **slots)
        return say("{hand} under the hand become {across} across and {down} down.", **slots)
    slots["display"] = Name(solved.reference.label)
    if across == down:
        return say("{hand} under the hand become {across} in each direction on {display}.", **slots)
    return say(
        "{hand} under the hand become {across} across and {down} down on {display}.", **slots
    )


def _draw_hand_words(easel: Easel, shown: Demonstration, places: Places) -> None:
    solved, body = shown.solved, places.tablet
    with easel.block(body.left, body.width):
        easel.text(say_again(HAND_WORDS), body.left, body.top - 2.6, "heading")
    unused = 100 - solved.summary.area_used_percent
    notes: list[str] = []
    if unused > SEEN_SHARE_PERCENT:
        notes.append(say("Hatched: not used, {share}.", share=share_words(unused)))
    if solved.request.tablet.turn_deg:
        notes.append(
            say(
                "Triangle: the edge that is at the top when the tablet is not turned. Dot: its "
                "top left corner."
            )
        )
    if solved.area_angle_deg:
        notes.append(say("The area lies straight in front of you."))
    # Beside the screens the words must end before them.
    right = places.screens.left - 3.0 if places.arrangement == BESIDE else easel.width_mm
    with easel.block(body.left, body.width):
        _draw_notes(
            easel, notes, body, right, below_mm=_mark_room_mm(solved, 180), most=_most_lines(solved)
        )


def _mark_built_corner(easel: Easel, shown: Demonstration, places: Places) -> None:
    """Draw a dot on the corner of a turned tablet that was its upper left one as built."""
    tablet = shown.solved.request.tablet
    if tablet.turn_deg:
        to_sheet = places.desk_mm_to_sheet @ shown.seen_to_desk @ tablet.built_to_seen
        easel.shape(Outline.circle(*to_sheet.point(0.0, 0.0), _DOT_MM), "arrow-head")


def _draw_notes(
    easel: Easel,
    notes: list[str],
    body: Rect,
    right: float,
    *,
    below_mm: float = 0.0,
    most: int = 3,
) -> None:
    em = style("note").em_mm
    y = body.bottom + _MARGIN_MM + 0.5 + below_mm
    room = max(right - body.left, 24.0)
    lines = [line for note in notes for line in wrapped(note, em, room)]
    for line in lines[:most]:
        easel.text(line, body.left, y, "note", level="top")
        y += em * LEADING


def _draw_result_words(easel: Easel, shown: Demonstration, places: Places) -> None:
    """Write what the circle became into its middle, if there is room."""
    solved = shown.solved
    pane = next((pane for pane in shown.panes if pane.display == solved.reference), None)
    probes = [] if pane is None else shown.probes.get(pane.display.label, ())
    if pane is None or not probes:
        return
    to_sheet = places.glass_mm_to_sheet @ shown.desk_mm_to_glass_mm(pane)
    left, _, right, _ = probes[0].outline.through(to_sheet).bounds
    x, y = to_sheet.point(*probes[0].about)
    figures = solved.figures_on(solved.reference)
    distortion = figures.distortion
    shape_words = circle_words(distortion)
    scale = solved.summary.scale_factor
    scale_words = ""
    if scale is not None:
        scale_words = say("{times} times as large", context="in a circle", times=number(scale))
    room = (right - left) * 0.86
    small = style("note").em_mm
    em = fitted(shape_words, 4.4, room, bold=True)
    if em < small:
        return
    if not scale_words or width_mm(scale_words, small) > room:
        easel.text(shape_words, x, y, "result-word", anchor="middle", level="middle", em_mm=em)
        return
    easel.text(shape_words, x, y - 1.0, "result-word", anchor="middle", em_mm=em)
    easel.text(scale_words, x, y + 1.6, "note", anchor="middle", level="top", em_mm=small)


@dataclass(frozen=True, slots=True)
class _Side:
    """A rectangle that can be pulled: ``area`` (mm as seen) or ``screen`` (desktop px).

    ``room`` is the rectangle that it must stay in. ``frames`` are the parts of its frame, each with
    its map to the sheet: one for the tablet, one for each display that is reached. ``upright_mm``
    and ``level_mm`` say where its dimension lines stand on the sheet. ``steps`` are what an arrow
    key moves, across and down.
    """

    name: str
    rect: Rect
    room: Rect
    frames: tuple[tuple[Rect, Affine], ...]
    upright_mm: float
    level_mm: float
    steps: tuple[float, float]
    units: str

    def length_words(self, value: float) -> str:
        """A distance in words, in the unit of this side."""
        value = max(value, 0.0)
        if self.name == "area":
            return length(value, self.units)
        return say_count("{count} pixel", "{count} pixels", round(value), count=number(value, 0))

    def size_words(self, value: float) -> str:
        """The length of a dimension, with its unit."""
        if self.name == "area":
            return length(value, self.units)
        return say("{count} px", count=number(value, 0))

    def bare_words(self, value: float) -> str:
        return bare_length(value, self.units) if self.name == "area" else number(value, 0)

    def on_sheet(self, value: float, *, down: bool) -> tuple[float, float]:
        """Where an edge stands on the sheet, and how much of its unit one mm of the sheet is there.

        Both depend on the frame in which the edge lies.
        """

        def away(frame: tuple[Rect, Affine]) -> float:
            low, high = (frame[0].top, frame[0].bottom) if down else (frame[0].left, frame[0].right)
            return max(low - value, value - high, 0.0)

        to_sheet = min(self.frames, key=away)[1]
        return to_sheet.point(value, value)[down], 1 / (to_sheet.e if down else to_sheet.a)


def _area_side(shown: Demonstration, places: Places, units: str) -> _Side:
    solved = shown.solved
    grid, active = pull_grid_mm(solved), solved.request.tablet.active_seen_mm
    return _Side(
        "area",
        solved.area_box_seen_mm,
        active,
        ((active, places.desk_mm_to_sheet),),
        places.tablet.left - _OFF_MM - _mark_room_mm(solved, 270),
        places.tablet.bottom + _OFF_MM + _mark_room_mm(solved, 180),
        (max(0.5, grid[0]), max(0.5, grid[1])),
        units,
    )


def _mark_room_mm(solved: TabletMap, turn_deg: int) -> float:
    """Room between the tablet and its dimension line for the triangle at the built top edge, mm.

    0 where the turn does not put the triangle there.
    """
    return _TRIANGLE_MM if solved.request.tablet.turn_deg == turn_deg else 0.0


def _screen_side(shown: Demonstration, places: Places, units: str) -> _Side:
    solved = shown.solved
    reached = [pane for pane in shown.panes if pane.display in solved.reached]
    reached.sort(key=lambda pane: pane.display != solved.reference)
    return _Side(
        "screen",
        solved.screen_px,
        solved.request.desktop.rect_px,
        tuple(
            (pane.display.rect_px, places.glass_mm_to_sheet @ pane.px_to_glass_mm)
            for pane in reached
        ),
        places.screens.right + _OFF_MM,
        places.screens.bottom + _OFF_MM,
        (1.0, 1.0),
        units,
    )


def _draw_askew(easel: Easel, shown: Demonstration, places: Places, side: _Side) -> None:
    """Draw the dimensions of an area that lies askew, along the area's own edges.

    They pull ``side``, the box around the area.
    """
    solved, to_sheet = shown.solved, places.desk_mm_to_sheet
    corners = [to_sheet.point(*each) for each in shown.area_corners_desk_mm]
    body = [
        (to_sheet @ shown.seen_to_desk).point(*each)
        for each in solved.request.tablet.active_seen_mm.corners
    ]
    unit_per_sheet_mm = 1 / to_sheet.a
    for down, size, start, end in (
        (False, solved.area_seen_mm.width, corners[3], corners[2]),
        (True, solved.area_seen_mm.height, corners[0], corners[3]),
    ):
        long_mm = math.dist(start, end)
        # Outwards: below the lower edge, left of the left one.
        out_x, out_y = -(end[1] - start[1]) / long_mm, (end[0] - start[0]) / long_mm
        distance_mm = max(
            (x - start[0]) * out_x + (y - start[1]) * out_y for x, y in (*body, *corners)
        )
        distance_mm += PLATE_MM * to_sheet.a + _OFF_MM
        ends = [(x + out_x * distance_mm, y + out_y * distance_mm) for x, y in (start, end)]
        _draw_dimension(easel, side, size, ends, (unit_per_sheet_mm, unit_per_sheet_mm), down=down)


def _draw_lines(easel: Easel, side: _Side) -> None:
    for down in (True, False):
        start, size = (side.rect.left, side.rect.width)
        if down:
            start, size = (side.rect.top, side.rect.height)
        marks = [side.on_sheet(value, down=down) for value in (start, start + size)]
        ends = [(side.upright_mm, mark) if down else (mark, side.level_mm) for mark, _ in marks]
        _draw_dimension(easel, side, size, ends, (marks[0][1], marks[1][1]), down=down)


def _draw_dimension(
    easel: Easel,
    side: _Side,
    size: float,
    ends: Sequence[tuple[float, float]],
    per_sheet_mm: tuple[float, float],
    *,
    down: bool,
) -> None:
    """Draw a dimension line with its number in a gap in the middle, and add its handles.

    The number is left out where there is no room. A tick at either of the ``ends`` pulls an edge,
    the line between them pulls the whole rectangle.
    """
    (x0, y0), (x1, y1) = ends
    long_mm = math.dist(*ends)
    along_x, along_y = (x1 - x0) / long_mm, (y1 - y0) / long_mm
    text, em = side.size_words(size), style("fact").em_mm
    if width_mm(text, em, bold=True) + 2.4 + 3.0 >= long_mm:
        # The unit goes before the number does.
        text = side.bare_words(size)
    text_mm = width_mm(text, em, bold=True)
    role = "hand-dimension" if side.name == "area" else "result-dimension"
    # On an upright line the number lies level where it is short, else along the line.
    level = x0 == x1 and text_mm <= 2 * _OFF_MM - 1.0
    half = (em * CAP if level else text_mm) / 2 + 1.2
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    if long_mm > 2 * half + 3.0:
        easel.line([(x0, y0), (x - along_x * half, y - along_y * half)], role)
        easel.line([(x + along_x * half, y + along_y * half), (x1, y1)], role)
        angle = 0.0 if level else math.degrees(math.atan2(along_y, along_x))
        turn = angle - 180 if angle > 89 else angle
        easel.text(text, x, y, "fact", anchor="middle", level="middle", turn_deg=turn)
    else:
        easel.line(ends, role)
    tick_x, tick_y = along_y * _TICK_MM, -along_x * _TICK_MM
    ticks = [Outline.line([(x - tick_x, y - tick_y), (x + tick_x, y + tick_y)]) for x, y in ends]
    inner = [(x0 + along_x * 3.0, y0 + along_y * 3.0), (x1 - along_x * 3.0, y1 - along_y * 3.0)]
    _add_handles(easel, side, ticks, Outline.line(inner), per_sheet_mm, down=down)


def _add_handles(
    easel: Easel,
    side: _Side,
    ticks: list[Outline],
    line: Outline,
    per_sheet_mm: tuple[float, float],
    *,
    down: bool,
) -> None:
    """Add a dimension line's handles: two ``ticks`` for the edges, ``line`` for the whole."""
    if down:
        start, size, step = side.rect.top, side.rect.height, side.steps[1]
        room, names, direction = (side.room.top, side.room.bottom), ("top", "bottom"), "vertical"
    else:
        start, size, step = side.rect.left, side.rect.width, side.steps[0]
        room, names, direction = (side.room.left, side.room.right), ("left", "right"), "horizontal"
    values, distances = (start, start + size), (start - room[0], room[1] - start - size)
    for name, value, tick, distance, per in zip(
        names, values, ticks, distances, per_sheet_mm, strict=True
    ):
        easel.handle(
            Handle(
                name=f"{side.name}-{name}",
                label=_edge_label(side.name, name),
                says=_from_edge(name, side.length_words(distance)),
                way=direction,
                outline=tick,
                value=value,
                least=room[0],
                most=room[1],
                step=step,
                per_sheet_mm=per,
            )
        )
    name = f"{side.name}-{'down' if down else 'across'}"
    label = _whole_label(side.name, down=down)
    if room[1] - room[0] - size < 1e-6 * size:
        easel.handle(Handle.staying(name, label, line, say_again(FILLS[side.name])))
        return
    easel.handle(
        Handle(
            name=name,
            label=label,
            says=_from_edge(names[0], side.length_words(distances[0])),
            way=direction,
            outline=line,
            value=start,
            least=room[0],
            most=max(room[0], room[1] - size),
            step=step,
            per_sheet_mm=per_sheet_mm[0],
        )
    )


def _edge_label(side: str, edge: str) -> str:
    """What the handle of one edge is called to a screen reader."""
    return {
        ("area", "left"): say("left edge of the area"),
        ("area", "right"): say("right edge of the area"),
        ("area", "top"): say("top edge of the area"),
        ("area", "bottom"): say("bottom edge of the area"),
        ("screen", "left"): say("left edge of the part that the pen reaches"),
        ("screen", "right"): say("right edge of the part that the pen reaches"),
        ("screen", "top"): say("top edge of the part that the pen reaches"),
        ("screen", "bottom"): say("bottom edge of the part that the pen reaches"),
    }[side, edge]


def _whole_label(side: str, *, down: bool) -> str:
    """What the handle of a whole rectangle is called to a screen reader."""
    return {
        ("area", True): say("the area, up and down"),
        ("area", False): say("the area, sideways"),
        ("screen", True): say("the part that the pen reaches, up and down"),
        ("screen", False): say("the part that the pen reaches, sideways"),
    }[side, down]


def _from_edge(edge: str, distance: str) -> str:
    """``8.5 mm from the top``."""
    return {
        "left": say("{distance} from the left", distance=distance),
        "right": say("{distance} from the right", distance=distance),
        "top": say("{distance} from the top", distance=distance),
        "bottom": say("{distance} from the bottom", distance=distance),
    }[edge]
