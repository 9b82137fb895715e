"""One map as one picture: the tablet and the screen to one physical scale, and what becomes of a circle and a grid."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mapper.affine import Affine
from mapper.rect import Rect
from render.lettering import CAP, LEADING, fitted, width_mm, wrapped
from render.measures import bare_length, display_words, length, shape_words, size
from render.panels import Demonstration, draw_screens, draw_tablet, screens_body_mm, tablet_body_mm
from render.scene import Easel, Scene
from render.theme import style
from render.words import ROUND_PERCENT, circle_sentence, map_sentence, number

if TYPE_CHECKING:
    from collections.abc import Callable

    from mapper.solve import TabletMap

__all__ = ["SHEET_MM", "preview_scene"]

#: The sheet: as wide as a page in landscape, 16:9, as projectors and talks are.
SHEET_MM = (320.0, 180.0)

MARGIN_MM = 13.0
# The least distance between tablet and screen; the arrow stands in it.
GAP_MM = 20.0
# Between a body and the lettering beside, above or below it.
NEAR_MM = 3.0
NO_BREAK = "\N{NO-BREAK SPACE}"
FIGURES_WIDE_MM = 54.0
FIGURES_HIGH_MM = 18.5


def preview_scene(
    tablet_map: TabletMap,
    *,
    units: str = "mm",
    text: bool = True,
    size_mm: tuple[float, float] = SHEET_MM,
) -> Scene:
    """The picture of one map.

    ``units`` is mm or in; without ``text`` the two bodies fill the sheet; ``size_mm`` is the sheet's width and height.
    Raises RequestError for another unit.
    """
    bare_length(0.0, units)
    shown = Demonstration.of(tablet_map)
    title = _title(tablet_map)
    easel = Easel(*size_mm)
    _Preview(easel, shown, units, text).draw(title)
    return easel.scene(title=title, description=describe(tablet_map, units=units))


def _title(tablet_map: TabletMap) -> str:
    """What happens to a circle. How large an oval is, is left to the figures: it has no one size."""
    figures = tablet_map.figures_on(tablet_map.reference)
    known = figures.size_known and (figures.distortion.stretch - 1) * 100 < ROUND_PERCENT
    return circle_sentence(figures.distortion, size_known=known).removesuffix(".")


def describe(tablet_map: TabletMap, *, units: str = "mm") -> str:
    """All that the picture says, in sentences, for somebody who cannot see it."""
    tablet, area, summary = tablet_map.request.tablet, tablet_map.area_seen_mm, tablet_map.summary
    turned = f", turned {tablet.turn_deg} degrees clockwise" if tablet.turn_deg else ""
    used = f"{size(area.width, area.height, units)}, {_place_words(area, units)}"
    sentences = [
        map_sentence(tablet_map),
        f"On the left a tablet with an active area of {size(tablet.width_mm, tablet.height_mm, units)}{turned}.",
        f"Its used area is {used}, {number(summary.area_used_percent, 1)} % of it.",
    ]
    for figures in tablet_map.figures:
        display = next(d for d in tablet_map.reached if d.label == figures.display)
        value, words = shape_words(figures.distortion)
        sentences.append(
            f"On {figures.display} ({display_words(display)}) a drawn circle comes out "
            + ("round" if value == "round" else f"{value} {words.split(':')[0]}")
            + f", and angles are wrong by at most {number(figures.distortion.angle_error_deg, 1)} degrees."
        )
    if summary.scale_factor is not None:
        sentences.append(
            f"The screen is {number(summary.scale_factor, 2)} times as large as the area, along the diagonal."
        )
    if summary.screen_used_percent < 100:
        sentences.append(f"The pen reaches {number(summary.screen_used_percent, 1)} % of the screen.")
    return " ".join(sentences)


def _place_words(area: Rect, units: str) -> str:
    return f"{length(area.left, units)} from the left and {length(area.top, units)} from the top"


@dataclass(frozen=True, slots=True)
class _Lettering:
    """What is written at a body: one heading and lines of explanation."""

    heading: str
    notes: tuple[str, ...]

    def wide_mm(self) -> float:
        """The width that the heading asks for."""
        return width_mm(self.heading, style("heading").em_mm, bold=True)

    def lines(self, room_mm: float) -> list[str]:
        return [line for note in self.notes for line in wrapped(note, style("note").em_mm, room_mm)]


class _Preview:
    """Finds the layout in which both bodies are largest, and draws it."""

    def __init__(self, easel: Easel, shown: Demonstration, units: str, text: bool) -> None:
        self.easel = easel
        self.shown = shown
        self.map = shown.tablet_map
        self.units = units
        self.text = text
        self.tablet_mm = tablet_body_mm(self.map)
        self.screens_mm = screens_body_mm(shown.panes)
        self.tablet_words = self._tablet_words()
        self.screen_words = self._screen_words()

    def draw(self, title: str) -> None:
        room = Rect(MARGIN_MM, MARGIN_MM, self.easel.width_mm - 2 * MARGIN_MM, self.easel.height_mm - 2 * MARGIN_MM)
        if not self.text:
            _, arrange = max(
                ((self._scale_beside(room), self._draw_beside), (self._scale_above(room), self._draw_above)),
                key=lambda choice: choice[0],
            )
            arrange(room)
            return
        room = self._draw_title(title, room)
        below = Rect(room.left, room.top, room.width, room.height - FIGURES_HIGH_MM - 7)
        right = Rect(room.left, room.top, room.width - FIGURES_WIDE_MM - 10, room.height)
        choices = [
            (1.05 * self._scale_beside(below), self._draw_beside, below),
            (self._scale_above(below), self._draw_above, below),
            (self._scale_beside(right), self._draw_beside, right),
            (0.95 * self._scale_above(right), self._draw_above, right),
        ]
        _, arrange, stage = max(choices, key=lambda choice: choice[0])
        arrange(stage)
        if stage is below:
            self._figures_in_a_row(Rect(room.left, room.bottom - FIGURES_HIGH_MM, room.width, FIGURES_HIGH_MM))
        else:
            self._figures_in_a_column(Rect(room.right - FIGURES_WIDE_MM, room.top, FIGURES_WIDE_MM, room.height))

    # Layouts

    def _draw_title(self, title: str, room: Rect) -> Rect:
        """The title and what was done; returns the room that is left."""
        em = style("title").em_mm
        lines = [title]
        if fitted(title, em, room.width, bold=True) < 0.75 * em:
            lines = wrapped(title, 0.75 * em, room.width, bold=True)
        em = min(fitted(line, em, room.width, bold=True) for line in lines)
        y = room.top
        for line in lines:
            self.easel.text(line, room.left, y, "title", level="top", em_mm=em)
            y += em * LEADING
        y += 0.5
        what = self._what_was_done()
        small = style("subtitle").em_mm
        self.easel.text(what, room.left, y, "subtitle", level="top", em_mm=fitted(what, small, room.width))
        y += small * CAP + 8.0
        return Rect(room.left, y, room.width, room.bottom - y)

    def _head_mm(self) -> float:
        return style("heading").em_mm * CAP + NEAR_MM if self.text else 0.0

    def _foot_mm(self, words: _Lettering, room_mm: float) -> float:
        return NEAR_MM + len(words.lines(room_mm)) * style("note").em_mm * LEADING if self.text else 0.0

    def _columns(self, scale: float) -> tuple[float, float]:
        """The widths of the two columns at ``scale``: at least what their lettering needs."""
        tablet, screen = self.tablet_mm.width * scale, self.screens_mm.width * scale
        if self.text:
            tablet, screen = (
                max(tablet, 50.0, self.tablet_words.wide_mm()),
                max(screen, 62.0, self.screen_words.wide_mm()),
            )
        return tablet, screen

    def _beside_fits(self, room: Rect, scale: float) -> bool:
        tablet, screen = self._columns(scale)
        high = max(
            self.tablet_mm.height * scale + self._foot_mm(self.tablet_words, tablet),
            self.screens_mm.height * scale + self._foot_mm(self.screen_words, screen),
        )
        return tablet + GAP_MM + screen <= room.width and self._head_mm() + high <= room.height

    def _scale_beside(self, room: Rect) -> float:
        return _largest(lambda scale: self._beside_fits(room, scale))

    def _above_fits(self, room: Rect, scale: float) -> bool:
        beside_tablet = room.width - self.tablet_mm.width * scale - 2 * NEAR_MM
        if self.text and beside_tablet < 62.0:
            return False
        words_high = self._head_mm() + self._foot_mm(self.tablet_words, beside_tablet)
        high = (
            self._head_mm()
            + self.screens_mm.height * scale
            + self._foot_mm(self.screen_words, room.width)
            + (10.0 if self.text else GAP_MM)
            + max(self.tablet_mm.height * scale, words_high)
        )
        return self.screens_mm.width * scale <= room.width and high <= room.height

    def _scale_above(self, room: Rect) -> float:
        return _largest(lambda scale: self._above_fits(room, scale))

    def _draw_beside(self, room: Rect) -> None:
        scale = self._scale_beside(room)
        tablet_wide, screen_wide = self._columns(scale)
        tablet_high, screen_high = self.tablet_mm.height * scale, self.screens_mm.height * scale
        spare = room.width - tablet_wide - screen_wide - GAP_MM
        # What is left over goes between the two, up to a bound, and then to both sides.
        between = min(spare, 50.0) if self.text else 0.0
        left, gap = room.left + (spare - between) / 2, GAP_MM + between
        head = self._head_mm()
        high = max(
            tablet_high + self._foot_mm(self.tablet_words, tablet_wide),
            screen_high + self._foot_mm(self.screen_words, screen_wide),
        )
        top = room.top + (room.height - head - high) / 2 + head
        middle = top + max(tablet_high, screen_high) / 2
        tablet = Rect(left, middle - tablet_high / 2, self.tablet_mm.width * scale, tablet_high)
        screens = Rect(left + tablet_wide + gap, middle - screen_high / 2, self.screens_mm.width * scale, screen_high)
        tablet_to_sheet = Affine.between(self.tablet_mm, tablet)
        screens_to_sheet = Affine.between(self.screens_mm, screens)
        self._beam(tablet_to_sheet, screens_to_sheet, upwards=False)
        draw_tablet(self.easel, self.shown, tablet_to_sheet)
        draw_screens(self.easel, self.shown, screens_to_sheet)
        self._arrow((tablet.right, middle), (screens.left, middle))
        self._words_around(self.tablet_words, tablet, tablet_wide)
        self._words_around(self.screen_words, screens, screen_wide)

    def _draw_above(self, room: Rect) -> None:
        scale = self._scale_above(room)
        wide, high = self.screens_mm.width * scale, self.screens_mm.height * scale
        screens = Rect(
            room.left if self.text else room.left + (room.width - wide) / 2, room.top + self._head_mm(), wide, high
        )
        foot = self._foot_mm(self.screen_words, room.width)
        tablet_wide, tablet_high = self.tablet_mm.width * scale, self.tablet_mm.height * scale
        top = screens.bottom + foot + (10.0 if self.text else GAP_MM)
        left = screens.left + max(0.0, min((wide - tablet_wide) / 2, room.width - tablet_wide - 90.0))
        tablet = Rect(left, top, tablet_wide, tablet_high)
        tablet_to_sheet = Affine.between(self.tablet_mm, tablet)
        screens_to_sheet = Affine.between(self.screens_mm, screens)
        self._beam(tablet_to_sheet, screens_to_sheet, upwards=True)
        draw_tablet(self.easel, self.shown, tablet_to_sheet)
        draw_screens(self.easel, self.shown, screens_to_sheet)
        self._words_around(self.screen_words, screens, room.width)
        if self.text:
            x = tablet.right + 2 * NEAR_MM
            head = self.easel.text(self.tablet_words.heading, x, tablet.top, "heading", level="top")
            self._notes(self.tablet_words, x, head.y_mm + NEAR_MM, room.right - x)

    # Parts

    def _beam(self, tablet_to_sheet: Affine, screens_to_sheet: Affine, *, upwards: bool) -> None:
        """A tint from the area to what it reaches, which ties the two together."""
        area = tablet_to_sheet.rect(self.map.area_seen_mm)
        parts = [
            pane.px_to_glass_mm.rect(part)
            for pane in self.shown.panes
            if (part := pane.display.rect_px.overlap(self.map.screen_px))
        ]
        screen = screens_to_sheet.rect(Rect.enclosing(*parts))
        if upwards:
            points = [
                (area.left, area.top),
                (screen.left, screen.bottom),
                (screen.right, screen.bottom),
                (area.right, area.top),
            ]
        else:
            points = [
                (area.right, area.top),
                (screen.left, screen.top),
                (screen.left, screen.bottom),
                (area.right, area.bottom),
            ]
        self.easel.polygon(points, "beam")

    def _arrow(self, start: tuple[float, float], end: tuple[float, float]) -> None:
        (x0, y), (x1, _) = start, end
        middle, half = (x0 + x1) / 2, min(7.0, (x1 - x0) / 2 - 2.5)
        self.easel.line([(middle - half, y), (middle + half - 2, y)], "arrow")
        tip = middle + half
        self.easel.polygon([(tip, y), (tip - 2.8, y - 1.5), (tip - 2.8, y + 1.5)], "arrow-head")
        scale = self.map.summary.scale_factor
        if self.text and scale is not None:
            self.easel.text(f"× {number(scale, 2)}", middle, y - 3.2, "label", anchor="middle")

    def _words_around(self, words: _Lettering, body: Rect, room_mm: float) -> None:
        if not self.text:
            return
        self.easel.text(words.heading, body.left, body.top - NEAR_MM, "heading")
        self._notes(words, body.left, body.bottom + NEAR_MM, room_mm)

    def _notes(self, words: _Lettering, x: float, y: float, room_mm: float) -> None:
        em = style("note").em_mm
        for index, line in enumerate(words.lines(room_mm)):
            self.easel.text(line, x, y + index * em * LEADING, "note", level="top")

    # Words

    def _what_was_done(self) -> str:
        request = self.map.request
        fit = {
            "full": "the whole tablet on the whole screen",
            "locked": "the tablet trimmed to the screen's shape",
            "cropped": "the screen trimmed to the tablet's shape",
        }[request.fit]
        tablet = f"{size(request.tablet.width_mm, request.tablet.height_mm, self.units)} tablet"
        displays = " + ".join(
            display_words(display) if len(self.map.reached) == 1 else display.label for display in self.map.reached
        )
        return f"{tablet} on {displays}  ·  {request.fit}: {fit}"

    def _tablet_words(self) -> _Lettering:
        tablet, area = self.map.request.tablet, self.map.area_seen_mm
        turned = f", turned {tablet.turn_deg}°" if tablet.turn_deg else ""
        notes = []
        if area != tablet.active_seen_mm:
            unused = 100 - self.map.summary.area_used_percent
            notes.append(f"Hatched: out of use, {number(unused, 1 if unused < 10 else 0)} %")
        notes.append(f"Grid of {length(self.shown.step_mm, self.units)}")
        if tablet.turn_deg:
            notes.append("Triangle: its top edge as built")
        return _Lettering(f"Under the hand{turned}", tuple(notes))

    def _screen_words(self) -> _Lettering:
        notes = []
        scale = "" if self.shown.to_scale else ", not to scale"
        figures = self.map.figures_on(self.map.reference)
        if self.map.summary.screen_used_percent < 100 or len(self.map.reached) < len(self.shown.panes):
            notes.append("Hatched: out of the pen's reach")
        if not self.shown.all_round:
            notes.append("Dashed: a true circle")
        if self.shown.to_scale:
            step = self.shown.step_mm
            now = size(step * figures.distortion.scale_x, step * figures.distortion.scale_y, self.units)
            where = f" on {self.map.reference.label}" if len(self.map.reached) > 1 else ""
            notes.append(f"Each square of the grid is now {now.replace(' ', NO_BREAK)}{where}")
        else:
            notes.append("Its size in mm was not given, so square pixels are assumed")
        heading = "On the screen" if len(self.shown.panes) == 1 else "On the screens"
        return _Lettering(heading + scale, tuple(notes))

    def _figures(self) -> list[tuple[str, str]]:
        """The few numbers that matter, each with what it counts."""
        figures, summary = self.map.figures_on(self.map.reference), self.map.summary
        area = self.map.area_built_mm
        where = f" on {self.map.reference.label}" if len(self.map.reached) > 1 else ""
        value, words = shape_words(figures.distortion)
        found = [(value, words + where)]
        if summary.scale_factor is not None:
            found.append((f"{number(summary.scale_factor, 2)} ×", f"as large on the screen{where}"))
        found.append((f"{number(figures.distortion.angle_error_deg, 1)}°", "largest error of an angle"))
        if summary.screen_used_percent < 100:
            found.append((f"{number(summary.screen_used_percent, 0)} %", "of the screen in reach"))
        else:
            found.append((f"{number(summary.area_used_percent, 0)} %", "of the tablet in use"))
        left, top = bare_length(area.left, self.units), length(area.top, self.units)
        found.append((size(area.width, area.height, self.units), f"to enter, from left {left}, top {top}"))
        return found

    def _figures_in_a_row(self, room: Rect) -> None:
        figures = self._figures()
        self.easel.line([(room.left, room.top), (room.right, room.top)], "rule")
        em, small = style("number").em_mm, style("note").em_mm
        needs = [max(width_mm(value, em, bold=True), width_mm(words, small)) for value, words in figures]
        shrink = min(1.0, (room.width - 6.0 * (len(needs) - 1)) / sum(needs))
        gap = (room.width - shrink * sum(needs)) / (len(needs) - 1)
        x = room.left
        for (value, words), need in zip(figures, needs, strict=True):
            self._figure(value, words, x, room.top + 5.0, shrink)
            x += need * shrink + gap

    def _figures_in_a_column(self, room: Rect) -> None:
        figures = self._figures()
        self.easel.line([(room.left - 5, room.top), (room.left - 5, room.bottom)], "rule")
        em, small = style("number").em_mm, style("note").em_mm
        step = min(24.0, room.height / len(figures))
        for index, (value, words) in enumerate(figures):
            need = max(width_mm(value, em, bold=True), width_mm(words, small))
            self._figure(value, words, room.left, room.top + index * step, min(1.0, room.width / need))

    def _figure(self, value: str, words: str, x: float, y: float, shrink: float) -> None:
        em, small = style("number").em_mm * shrink, style("note").em_mm * shrink
        self.easel.text(value, x, y, "number", level="top", em_mm=em)
        self.easel.text(words, x, y + em * CAP + 3.2 * shrink, "note", level="top", em_mm=small)


def _largest(fits: Callable[[float], bool]) -> float:
    """The largest scale, sheet mm for physical mm, that fits; found by halving, as lettering wraps in steps."""
    low, high = 0.0, 2.0
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low
