"""The seat from above and from the side: eyes, displays, sight lines and what is recommended."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from typing import TYPE_CHECKING

from mapper.affine import Affine
from mapper.choosing.recommended import CAUTION, RECOMMENDED
from mapper.choosing.sitting import sitting_in_arc
from mapper.paths import Outline
from mapper.rect import Rect
from mapper.units import MM_PER_INCH
from render.canvas.lettering import CAP, shortened, width_mm
from render.canvas.scene import Easel, Scene
from render.canvas.theme import style
from render.pictures.chart import NARROW_MM, WIDE_MM, draw_figures_below, draw_head
from render.pictures.frame import (
    Figure,
    figures_height_mm,
    figures_in_a_row,
    margin_mm,
    page,
)
from render.sentences.lengths import IN_BOTH, Lengths
from render.sentences.measures import diagonal_words
from render.sentences.say import Name, paragraph, say, say_again, say_count
from render.sentences.seat import plain_seat_sentences, seat_sentences
from render.sentences.seat_heading import sharp_from_mm
from render.sentences.words import fixed, number

if TYPE_CHECKING:
    from mapper.choosing.sitting import Place, Sitting
    from mapper.paths import Point

HIGH_MM = 190.0
# The two views: their top, their foot, and the gap between them, on the sheet.
TOP_MM, FOOT_MM, GAP_MM = 49.0, 151.0, 22.0
# A head from above and from the side (a round figure near the median adult's, not checked against
# the source), and shoulders.
HEAD_LONG_MM, HEAD_WIDE_MM, SHOULDERS_MM = 195.0, 155.0, 420.0
# How thick a display is drawn.
THICK_MM = 28.0
# Room around what is drawn for lettering, mm of the sheet.
LETTERING_MM = 13.0
# On a narrow sheet the views stand one below the other, each at most so high, with so much between.
# The words of the side view stand below it where it would be narrower than the last.
MOST_VIEW_MM, BETWEEN_MM, LEAST_SIDE_MM = 84.0, 20.0, 45.0


def seat_scene(sitting: Sitting, lengths: Lengths = IN_BOTH, *, wide_mm: float = WIDE_MM) -> Scene:
    """Plan and side view of ``sitting``, both drawn to one scale on a sheet ``wide_mm`` wide.

    With ``lengths`` in a person's unit no source is named, and no arc-minute.

    Where the display's height is not known, the side view shows its top edge at eye level, and says
    so.
    """
    shown = sitting
    if not sitting.height_known:
        # For the drawing alone: as high as is recommended, and facing the eyes.
        places = [place.display for place in sitting.places]
        radii = {
            p.display.label: p.view.glass.radius_mm
            for p in sitting.places
            if p.view.glass.radius_mm is not None
        }
        straight = next(
            (p.display.label for p in sitting.places if abs(p.view.stand.bearing_deg) < 1e-9), None
        )
        main = sitting.places[sitting.main].display
        level = replace(sitting.seat, top_below_eyes_mm=0.0, tilt_deg=None)
        shown = sitting_in_arc(places, level, main, ahead=straight, radii_mm=radii)
    return _SeatView(sitting, shown, lengths, wide_mm).scene()


class _SeatView:
    def __init__(self, sitting: Sitting, shown: Sitting, lengths: Lengths, wide_mm: float) -> None:
        self.sitting = sitting
        self.lengths = lengths
        self.places = sitting.places
        self.view = sitting.view
        self.side = shown.view
        self.easel = Easel(wide_mm, min(HIGH_MM, wide_mm))
        self.margin_mm = margin_mm(self.easel)
        #: Top and foot of the view that is drawn.
        self.top, self.foot = TOP_MM, FOOT_MM
        self.words_below = False
        #: What lettering keeps off, left, top, right, bottom on the sheet: displays and other
        #: words.
        self.taken: list[tuple[float, float, float, float]] = []
        self.band_mm = (RECOMMENDED["distance"].low or 0.0, RECOMMENDED["distance"].high or 0.0)
        self.fan_deg = RECOMMENDED["side"].high or 0.0

    def scene(self) -> Scene:
        words = say(
            "Both views have one scale. Recommendations are marked; they are only advice. Breaks "
            "and changes of posture matter as much."
        )
        down = draw_head(self.easel, self._title(), words)
        self.top, self.foot = TOP_MM + down, FOOT_MM + down
        plan, side = self._plan_bounds(), self._side_bounds()
        if self.easel.width_mm < NARROW_MM:
            self._draw_stacked(plan, side)
        else:
            self._draw_beside(plan, side)
        return self.easel.scene(
            title=self._title(),
            description=paragraph([*self._described(), say_again(CAUTION)]),
        )

    def _draw_beside(self, plan: Rect, side: Rect) -> None:
        """Draw both views beside each other, and the figures below."""
        sheet_mm = self.easel.width_mm
        wide = sheet_mm - 2 * self.margin_mm - GAP_MM - 2 * LETTERING_MM - self._side_words_mm()
        high = FOOT_MM - TOP_MM - LETTERING_MM
        scale = min(wide / (plan.width + side.width), high / max(plan.height, side.height))
        spare = max(0.0, wide - scale * (plan.width + side.width)) / 2
        left = self.margin_mm + LETTERING_MM + spare / 2
        self._draw_plan(self._onto_sheet(plan, left, scale), scale)
        beside = left + plan.width * scale + LETTERING_MM + GAP_MM + spare / 2
        self._draw_side(self._onto_sheet(side, beside, scale), scale, side)
        self._draw_rule(scale)
        room, top, figures = page(self.easel), self.foot + 8.0, self._figures()
        high = figures_height_mm(figures, room.width)
        figures_in_a_row(self.easel, figures, Rect(room.left, top, room.width, high))
        if sheet_mm < WIDE_MM:
            self.easel.height_mm = top + high + self.margin_mm

    def _draw_stacked(self, plan: Rect, side: Rect) -> None:
        """Draw the views and the figures one below the other."""
        room, words_mm = page(self.easel), self._side_words_mm()
        self.words_below = room.width - words_mm < LEAST_SIDE_MM
        fan_mm = -2.0 * plan.top * math.sin(math.radians(self.fan_deg))
        scale = min(
            (room.width - 6.0) / max(plan.width, fan_mm),
            (room.width - (0.0 if self.words_below else words_mm)) / side.width,
            MOST_VIEW_MM / max(plan.height, side.height),
        )
        self.foot = self.top + LETTERING_MM + plan.height * scale
        left = room.left + (room.width - plan.width * scale) / 2
        self._draw_plan(self._onto_sheet(plan, left, scale), scale)
        self._draw_rule(scale)
        self.top = self.foot + BETWEEN_MM
        # Close below its heading.
        self.foot = self.top + side.height * scale - LETTERING_MM + 2.0
        self._draw_side(self._onto_sheet(side, room.left, scale), scale, side)
        y = self.foot + LETTERING_MM + 4.0
        if self.words_below:
            with self.easel.block(room.left, room.width):
                for words, role in self._side_words():
                    self.easel.text(words, room.left, y, role, level="top")
                    y += 4.8
        end = draw_figures_below(self.easel, self._figures(), y + 6.0)
        self.easel.height_mm = end + self.margin_mm

    def _onto_sheet(self, bounds: Rect, left: float, scale: float) -> Affine:
        """The map from mm of a view to mm of the sheet; all views share one base line."""
        middle = (self.top + LETTERING_MM + self.foot) / 2
        shift_y = middle - bounds.height * scale / 2 - bounds.top * scale
        return Affine(scale, 0.0, left - bounds.left * scale, 0.0, scale, shift_y)

    # What there is to draw, in mm: plan x right and y towards the person (so ahead is up); side x
    # ahead and y down.

    def _plan_outline(self, place: Place) -> list[Point]:
        """The picture's front from its left to its right edge, from above."""
        view = place.view
        steps = 1 if view.glass.radius_mm is None else 24
        points = []
        for step in range(steps + 1):
            across = view.glass.width_mm * (step / steps - 0.5)
            x, _, z = view.stand.place_mm(view.glass.point_mm(across, 0.0))
            points.append((x, -z))
        return points

    def _plan_bounds(self) -> Rect:
        points = [
            (x * 1.04, y * 1.04) for place in self.places for x, y in self._plan_outline(place)
        ]
        far = min(self.band_mm[1], 1.15 * max(-y for _, y in points))
        points += [(-SHOULDERS_MM / 2, HEAD_LONG_MM), (SHOULDERS_MM / 2, HEAD_LONG_MM), (0.0, -far)]
        return _bounds(points)

    def _side_points(self) -> tuple[Point, Point, Point]:
        """Top, centre and bottom of the main display from the side."""
        glass, stand = self.side.glass, self.side.stand
        ends = []
        for down in (-0.5, 0.0, 0.5):
            x, y, z = stand.place_mm(glass.point_mm(0.0, down * glass.height_mm))
            ends.append((math.hypot(x, z), y))
        return ends[0], ends[1], ends[2]

    def _side_bounds(self) -> Rect:
        top, _, bottom = self._side_points()
        points = [top, bottom, (-HEAD_LONG_MM * 0.75, -140.0), (-HEAD_LONG_MM * 0.75, 330.0)]
        reach = max(top[0], bottom[0]) + THICK_MM
        return _bounds([*points, (reach, 0.0)])

    def _described(self) -> list[str]:
        if self.lengths.unit:
            return plain_seat_sentences(self.sitting, self.lengths)
        return seat_sentences(self.sitting)

    def _distance(self) -> str:
        distance_mm = self.view.stand.distance_mm
        return self.lengths.far(distance_mm) if self.lengths.unit else IN_BOTH.short(distance_mm)

    # Drawing

    def _title(self) -> str:
        main = self.places[self.sitting.main].display
        slots = {
            "size": diagonal_words(main),
            "distance": self._distance(),
            "degrees": fixed(self.view.horizontal_deg, 0),
        }
        if len(self.places) == 1:
            return say("{size} at {distance} fills {degrees}° of your view", **slots)
        return say_count(
            "{count} display: {display}, {size} at {distance}, fills {degrees}° of your view",
            "{count} displays: {display}, {size} at {distance}, fills {degrees}° of your view",
            len(self.places),
            display=Name(main.label),
            **slots,
        )

    def _draw_plan(self, to_sheet: Affine, scale: float) -> None:
        easel = self.easel
        eye_x, eye_y = to_sheet.point(0.0, 0.0)
        easel.text(say("From above"), self.margin_mm, self.top - 11.0, "heading", level="top")
        self._draw_ring(eye_x, eye_y, scale)
        for place in self.places:
            corners = [to_sheet.point(*point) for point in self._display_plan(place)]
            for one, other in itertools.pairwise((*corners, corners[0])):
                self.taken += _boxes_along(one, other)
        self._name_ring(eye_x, eye_y, scale)
        # Sight lines to the edges of the main display and the way to its middle.
        outline = self._plan_outline(self.places[self.sitting.main])
        for end in (outline[0], outline[-1]):
            easel.line([(eye_x, eye_y), to_sheet.point(*end)], "sight")
        middle = self.view.stand.centre_mm
        easel.line([(eye_x, eye_y), to_sheet.point(middle[0], -middle[2])], "leader")
        for place in self.places:
            easel.polygon([to_sheet.point(*point) for point in self._display_plan(place)], "bezel")
        self._draw_body_plan(to_sheet, scale)
        angle = f"{fixed(self.view.horizontal_deg, 1)}°"
        from_deg, to_deg = self.view.left_deg - 90, self.view.right_deg - 90
        way = math.hypot(middle[0], middle[2]) * scale
        radius = 0.42 * way
        easel.shape(Outline.arc(eye_x, eye_y, radius, from_deg, to_deg), "sight")
        bearing = math.radians(self.view.stand.bearing_deg)
        for words, away, role in (
            (angle, radius + 2.2, "hand-label"),
            (self._distance(), 0.8 * way, "label"),
        ):
            self._plated(
                words, eye_x + away * math.sin(bearing), eye_y - away * math.cos(bearing), role
            )
        if len(self.places) > 1:
            for place in self.places:
                self._name_display(place, to_sheet)

    def _draw_ring(self, eye_x: float, eye_y: float, scale: float) -> None:
        """Draw the recommended distances, as wide as displays are recommended to reach."""
        near, far = (radius * scale for radius in self.band_mm)
        far = min(far, eye_y - self.top + 2.0)
        if far <= near:
            return
        outer = Outline.arc(eye_x, eye_y, far, -90 - self.fan_deg, -90 + self.fan_deg)
        inner = Outline.arc(eye_x, eye_y, near, -90 + self.fan_deg, -90 - self.fan_deg)
        first = inner.commands[0]
        joined = (*outer.commands, ("L", first[1], first[2]), *inner.commands[1:], ("Z",))
        self.easel.shape(Outline(joined), "band-outlined")

    def _name_ring(self, eye_x: float, eye_y: float, scale: float) -> None:
        near = self.band_mm[0] * scale
        if min(self.band_mm[1] * scale, eye_y - self.top + 2.0) <= near:
            return
        fan = math.radians(self.fan_deg)
        x, y = eye_x + near * math.sin(fan), eye_y - near * math.cos(fan)
        low, high = (fixed(each / MM_PER_INCH, 0) for each in self.band_mm)
        words: str = say(
            "{source}: {low} to {high} in",
            source=RECOMMENDED["distance"].short,
            low=low,
            high=high,
        )
        if self.lengths.unit:
            near_words, far_words = (self.lengths.far(each) for each in self.band_mm)
            words = say("{near} to {far}", near=near_words, far=far_words)
        for at, anchor in ((x + 1.5, "start"), (2 * eye_x - x - 1.5, "end")):
            if self._try_text(words, (at, y + 3.4), "hand-label", anchor):
                break

    def _display_plan(self, place: Place) -> list[Point]:
        """The display's front and back from above."""
        front = self._plan_outline(place)
        turn = math.radians(place.view.stand.turned_deg)
        return [
            *front,
            *(
                (x + THICK_MM * math.sin(turn), y - THICK_MM * math.cos(turn))
                for x, y in reversed(front)
            ),
        ]

    def _name_display(self, place: Place, to_sheet: Affine) -> None:
        stand = place.view.stand
        turn = math.radians(stand.turned_deg)
        away_mm = 1.6 * THICK_MM
        x, y = to_sheet.point(
            stand.centre_mm[0] + away_mm * math.sin(turn),
            -stand.centre_mm[2] - away_mm * math.cos(turn),
        )
        words = shortened(place.display.label, 1.0, 9.0)
        if abs(stand.turned_deg) >= 0.05:
            slots = {"display": words, "degrees": fixed(abs(stand.turned_deg), 0)}
            words = (
                say("{display}, {degrees}° right", **slots)
                if stand.turned_deg > 0
                else say("{display}, {degrees}° left", **slots)
            )
        half = width_mm(words, style("label").em_mm) / 2
        # Outside the display, on the line from the eyes through its middle, as near as there is
        # room.
        for more in range(12):
            away = 2.0 + 2.0 * more
            at = (x + math.sin(turn) * (half + away), y - math.cos(turn) * (away + 1.0))
            if self._try_text(words, at, "label", "middle"):
                return

    def _free(self, box: tuple[float, float, float, float]) -> bool:
        return not any(
            min(box[2], other[2]) > max(box[0], other[0])
            and min(box[3], other[3]) > max(box[1], other[1])
            for other in self.taken
        )

    def _try_text(self, words: str, at: Point, role: str, anchor: str) -> bool:
        """Write ``words`` if they lie on the sheet and cover nothing; whether they were written."""
        looks = style(role)
        wide, half = width_mm(words, looks.em_mm, bold=looks.bold), looks.em_mm * 0.6
        left = at[0] - {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
        box = (left, at[1] - half, left + wide, at[1] + half)
        on_sheet = (
            box[0] >= 3.0
            and box[2] <= self.easel.width_mm - 3.0
            and box[1] >= self.top - 5.0
            and box[3] <= self.foot + 5.0
        )
        if not on_sheet or not self._free(box):
            return False
        self.easel.text(words, *at, role, anchor=anchor, level="middle")
        self.taken.append(box)
        return True

    def _draw_body_plan(self, to_sheet: Affine, scale: float) -> None:
        x, y = to_sheet.point(0.0, HEAD_LONG_MM * 0.52)
        shoulders = Outline.circle(0.0, 0.0, 1.0).through(
            Affine(SHOULDERS_MM / 2 * scale, 0.0, x, 0.0, 85.0 * scale, y + 30.0 * scale)
        )
        head = Outline.circle(0.0, 0.0, 1.0).through(
            Affine(HEAD_WIDE_MM / 2 * scale, 0.0, x, 0.0, HEAD_LONG_MM / 2 * scale, y - 8.0 * scale)
        )
        self.easel.shape(shoulders, "body")
        self.easel.shape(head, "body")
        eye_x, eye_y = to_sheet.point(0.0, 0.0)
        self.easel.shape(Outline.circle(eye_x, eye_y, 1.1), "dot")

    def _draw_side(self, to_sheet: Affine, scale: float, bounds: Rect) -> None:
        easel = self.easel
        eye = to_sheet.point(0.0, 0.0)
        easel.text(
            say("From the side"),
            to_sheet.point(bounds.left, 0.0)[0],
            self.top - 11.0,
            "heading",
            level="top",
        )
        top, centre, bottom = self._side_points()
        # The recommended direction of the centre, as a wedge as long as the way to the display.
        band = RECOMMENDED["centre"]
        reach = math.hypot(*centre) * 1.02 * scale
        wedge = Outline.arc(*eye, reach, band.low or 0.0, band.high or 0.0)
        easel.shape(
            Outline((("M", *eye), ("L", *wedge.commands[0][1:]), *wedge.commands[1:], ("Z",))),
            "band-outlined",
        )
        right = to_sheet.point(max(top[0], bottom[0]) + THICK_MM, 0.0)[0]
        easel.line([eye, (right, eye[1])], "eye-level")
        for end, role in ((top, "sight"), (centre, "leader"), (bottom, "sight")):
            easel.line([eye, to_sheet.point(*end)], role)
        tilt = math.radians(self.side.stand.tilted_deg)
        back = [
            (x + THICK_MM * math.cos(tilt), y + THICK_MM * math.sin(tilt)) for x, y in (bottom, top)
        ]
        easel.polygon([to_sheet.point(*point) for point in (top, bottom, *back)], "bezel")
        self._draw_body_side(to_sheet, scale)
        self._draw_side_words(right + 2.5, to_sheet, (top, centre, bottom))

    def _side_words(self) -> list[tuple[str, str]]:
        view = self.side
        recommended = RECOMMENDED["centre"]
        source = say("recommended") if self.lengths.unit else say_again(recommended.short)
        lines: list[tuple[str, str]] = [
            (say("top {place}", place=_below(view.top_deg)), "label"),
            (say("centre {place}", place=_below(view.centre_deg)), "label"),
            (
                say(
                    "{source}: {low} to {high}°",
                    source=source,
                    low=number(recommended.low or 0.0),
                    high=number(recommended.high or 0.0),
                ),
                "hand-label",
            ),
            (say("bottom {place}", place=_below(view.bottom_deg)), "label"),
        ]
        if not self.sitting.height_known:
            lines.append((say("height not given: drawn with"), "note"))
            lines.append((say("its top at eye level"), "note"))
        return lines

    def _side_words_mm(self) -> float:
        return 2.5 + max(
            width_mm(words, style(role).em_mm, bold=style(role).bold)
            for words, role in self._side_words()
        )

    def _draw_side_words(
        self, x: float, to_sheet: Affine, ends: tuple[Point, Point, Point]
    ) -> None:
        """Write the words for top, centre and bottom beside the display, apart from each other."""
        if self.words_below:
            return
        lines = self._side_words()
        levels = [to_sheet.point(*end)[1] for end in ends]
        wished = [
            levels[0],
            levels[1] - 2.4,
            levels[1] + 2.4,
            levels[2],
            *(levels[2] + 8.0 for _ in lines[4:]),
        ]
        y = -math.inf
        for (words, role), wish in zip(lines, wished, strict=True):
            y = max(wish, y + 4.8)
            self.easel.text(words, x, y, role, level="middle")

    def _draw_body_side(self, to_sheet: Affine, scale: float) -> None:
        head_x, head_y = to_sheet.point(-HEAD_LONG_MM * 0.42, -15.0)
        neck = [(-120.0, 40.0), (-150.0, 330.0), (-20.0, 330.0), (-50.0, 70.0)]
        clip = Rect(0.0, 0.0, self.easel.width_mm, self.foot)
        self.easel.polygon([to_sheet.point(*point) for point in neck], "body", clip=clip)
        head = Outline.circle(0.0, 0.0, 1.0).through(
            Affine(HEAD_LONG_MM / 2 * scale, 0.0, head_x, 0.0, 120.0 * scale, head_y)
        )
        self.easel.shape(head, "body")
        self.easel.shape(Outline.circle(*to_sheet.point(0.0, 0.0), 1.1), "dot")

    def _plated(self, words: str, x: float, y: float, role: str) -> None:
        """Write words in the middle of a line, on a ground of their own."""
        em = style(role).em_mm
        wide, high = width_mm(words, em, bold=style(role).bold) + 1.6, em * CAP + 1.8
        box = (x - wide / 2, y - high / 2, x + wide / 2, y + high / 2)
        if not self._free(box):
            return
        self.taken.append(box)
        self.easel.rect(Rect(box[0], box[1], wide, high), "word-ground", radius=0.8)
        self.easel.text(words, x, y, role, anchor="middle", level="middle")

    def _draw_rule(self, scale: float) -> None:
        most, rules = min(40.0, 0.25 * self.easel.width_mm), self.lengths.rules_mm
        length = next((each for each in rules if each * scale <= most), rules[-1])
        right, y = self.easel.width_mm - self.margin_mm, self.top - 10.0
        left = right - length * scale
        self.easel.line([(left, y + 1.2), (left, y), (right, y), (right, y + 1.2)], "rule")
        self.easel.text(
            self.lengths.short(length), left - 2.0, y + 0.6, "note", anchor="end", level="middle"
        )

    def _figures(self) -> list[Figure]:
        view = self.view
        across, down = fixed(view.horizontal_deg, 0), fixed(view.vertical_deg, 0)
        figures = [Figure(f"{across} × {down}°", say("of view, across and down"))]
        sharp_mm = sharp_from_mm(self.sitting)
        if self.lengths.unit and sharp_mm is not None:
            words = say("or more: single pixels cannot be seen")
            figures.append(Figure(self.lengths.far(sharp_mm), words))
        elif view.arc_minutes_per_px_x is not None and view.px_per_degree_x is not None:
            minutes = f"{fixed(view.arc_minutes_per_px_x, 2)}\N{PRIME}"
            figures.append(
                Figure(minutes, say("size of one pixel; below 1\N{PRIME} pixels cannot be seen"))
            )
            figures.append(
                Figure(fixed(view.px_per_degree_x, 0), say("px per degree in the middle"))
            )
        figures.append(
            Figure(
                f"{number(view.neck_deg, 0)}°", say("turn of the neck to a side edge (eyes: 15°)")
            )
        )
        return figures


def _boxes_along(one: Point, other: Point) -> list[tuple[float, float, float, float]]:
    """Small boxes that cover a line, since one box around it would cover much that is free."""
    steps = 1 + int(math.dist(one, other) / 3.0)
    points = [
        tuple(a + (b - a) * step / steps for a, b in zip(one, other, strict=True))
        for step in range(steps + 1)
    ]
    return [
        (min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1]))
        for a, b in itertools.pairwise(points)
    ]


def _below(below_deg: float) -> str:
    if abs(below_deg) < 0.05:
        return say("at eye level")
    degrees = fixed(abs(below_deg), 1)
    if below_deg > 0:
        return say("{degrees}° below", degrees=degrees)
    return say("{degrees}° above", degrees=degrees)


def _bounds(points: list[Point]) -> Rect:
    xs, ys = zip(*points, strict=True)
    return Rect(min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))
