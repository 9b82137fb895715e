"""Tablet and screens in one room of the sheet, to one scale, with a heading and notes at each.

The hand stands left and the screen right, as the answer follows the stroke. Only the picture of the
desk has the screens above and the tablet below, where they stand.

The true shape, drawn dashed, is as large as the real one comes out in its shorter direction, so
that what sticks out is the stretch. A drawing alone keeps its size in that direction, so that a
true map changes nothing. Small sheets lose notes, figures and headings, in this order, before the
two bodies get smaller than 0.4 of what they could be.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from mapper.affine import Affine
from mapper.rect import Rect
from render.canvas.lettering import CAP, LEADING, width_mm, wrapped
from render.canvas.theme import style
from render.pictures.panels import Demonstration, draw_screens, draw_tablet
from render.sentences.say import say
from render.sentences.words import number

if TYPE_CHECKING:
    from collections.abc import Callable

    from render.canvas.scene import Easel

BESIDE, ABOVE = "beside", "above"

# Between a body and the lettering beside, above or below it.
NEAR_MM = 3.0
# The least room for notes under or beside a body.
NOTES_WIDE_MM = 44.0


def largest(fits: Callable[[float], bool]) -> float:
    """The largest scale, sheet mm for physical mm, for which ``fits`` is true; 0 if there is none.

    It is found by halving, since lettering wraps in steps.
    """
    low, high = 0.0, 3.0
    for _ in range(32):
        middle = (low + high) / 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low


@dataclass(frozen=True, slots=True)
class Words:
    """The lettering of one body: a heading, and notes that wrap. Either may be empty."""

    heading: str = ""
    notes: tuple[str, ...] = ()

    @property
    def heading_height_mm(self) -> float:
        return style("heading").em_mm * CAP + NEAR_MM if self.heading else 0.0

    @property
    def least_width_mm(self) -> float:
        """The least width of a column that holds the words."""
        if not self.heading and not self.notes:
            return 0.0
        heading = width_mm(self.heading, style("heading").em_mm, bold=True)
        return max(heading, NOTES_WIDE_MM if self.notes else 0.0)

    def lines(self, room_mm: float) -> list[str]:
        return [line for note in self.notes for line in wrapped(note, style("note").em_mm, room_mm)]

    def notes_height_mm(self, room_mm: float) -> float:
        """The height of the notes in a column of ``room_mm``, with the air above them."""
        return (
            NEAR_MM + len(self.lines(room_mm)) * style("note").em_mm * LEADING
            if self.notes
            else 0.0
        )


NO_WORDS = Words()


@dataclass(frozen=True, slots=True)
class Places:
    """Where the two bodies stand: their boxes, and the maps from mm of each to the sheet."""

    tablet: Rect
    screens: Rect
    desk_mm_to_sheet: Affine
    glass_mm_to_sheet: Affine
    arrangement: str
    tablet_notes_wide_mm: float
    screen_notes_wide_mm: float


@dataclass(frozen=True, slots=True)
class Stage:
    """One map that is to be drawn into a room of the sheet."""

    shown: Demonstration
    tablet_words: Words = NO_WORDS
    screen_words: Words = NO_WORDS
    gap_mm: float = 20.0
    arrangements: tuple[str, ...] = (BESIDE,)
    # The boxes of the two bodies in their own mm.
    tablet_mm: Rect = field(init=False)
    screens_mm: Rect = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "tablet_mm", self.shown.tablet_body_mm())
        object.__setattr__(self, "screens_mm", self.shown.screens_body_mm())

    @property
    def _mark_room_mm(self) -> float:
        """Room below the tablet for the mark of a built top edge that lies there, mm."""
        return 4.0 if self.shown.solved.request.tablet.turn_deg == 180 else 0.0

    # How large

    def best(self, width_mm: float, height_mm: float) -> tuple[float, str]:
        """The largest scale in a room of this size, and the arrangement that has it."""
        choices = [
            (self.scale(width_mm, height_mm, arrangement), arrangement)
            for arrangement in self.arrangements
        ]
        return max(choices)

    def scale(self, width_mm: float, height_mm: float, arrangement: str) -> float:
        """The largest scale of one arrangement."""
        fits = self._fits_beside if arrangement == BESIDE else self._fits_above
        return largest(lambda scale: fits(scale, width_mm, height_mm))

    def _column_widths_mm(self, scale: float) -> tuple[float, float]:
        return (
            max(self.tablet_mm.width * scale, self.tablet_words.least_width_mm),
            max(self.screens_mm.width * scale, self.screen_words.least_width_mm),
        )

    def _beside_heights_mm(self, scale: float) -> tuple[float, float]:
        """Heights above and below the line through both middles, lettering included."""
        tablet_wide, screen_wide = self._column_widths_mm(scale)
        tablet, screen = self.tablet_mm.height * scale / 2, self.screens_mm.height * scale / 2
        up = max(
            tablet + self.tablet_words.heading_height_mm,
            screen + self.screen_words.heading_height_mm,
        )
        down = max(
            tablet + self._mark_room_mm + self.tablet_words.notes_height_mm(tablet_wide),
            screen + self.screen_words.notes_height_mm(screen_wide),
        )
        return up, down

    def _fits_beside(self, scale: float, width: float, height: float) -> bool:
        return (
            sum(self._column_widths_mm(scale)) + self.gap_mm <= width
            and sum(self._beside_heights_mm(scale)) <= height
        )

    def _above_heights_mm(self, scale: float, width: float) -> tuple[float, float]:
        """Height of the screens with lettering and gap, and of the tablet with lettering."""
        screens = (
            self.screen_words.heading_height_mm
            + self.screens_mm.height * scale
            + self.screen_words.notes_height_mm(width)
        )
        beside = width - self.tablet_mm.width * scale - 2 * NEAR_MM
        words = self.tablet_words.heading_height_mm + self.tablet_words.notes_height_mm(
            max(beside, 1.0)
        )
        tablet = self.tablet_mm.height * scale + self._mark_room_mm
        return screens + min(10.0, self.gap_mm), max(tablet, words)

    def _fits_above(self, scale: float, width: float, height: float) -> bool:
        words = self.tablet_words.least_width_mm
        tablet_row = self.tablet_mm.width * scale + (words + 2 * NEAR_MM if words else 0.0)
        wide = max(self.screens_mm.width * scale, self.screen_words.least_width_mm, tablet_row)
        return wide <= width and sum(self._above_heights_mm(scale, width)) <= height

    def box_mm(self, scale: float, arrangement: str) -> tuple[float, float]:
        """The least width and height of a room for both bodies, without any lettering."""
        if arrangement == BESIDE:
            wide = sum(self._column_widths_mm(scale)) + self.gap_mm
            return wide, sum(self._beside_heights_mm(scale))
        wide = max(self.tablet_mm.width, self.screens_mm.width) * scale
        return wide, sum(self._above_heights_mm(scale, wide))

    # Where

    def places(self, room: Rect, scale: float, arrangement: str) -> Places:
        """Where everything stands in ``room`` at ``scale``."""
        tablet_wide, tablet_high = self.tablet_mm.width * scale, self.tablet_mm.height * scale
        screen_wide, screen_high = self.screens_mm.width * scale, self.screens_mm.height * scale
        if arrangement == BESIDE:
            tablet_column, screen_column = self._column_widths_mm(scale)
            spare = room.width - tablet_column - screen_column - self.gap_mm
            # What is left over goes between the two, up to a bound, and then to both sides.
            between = min(spare, 2.5 * self.gap_mm)
            left = room.left + (spare - between) / 2
            up, down = self._beside_heights_mm(scale)
            middle = room.top + (room.height - up - down) / 2 + up
            tablet = Rect(left, middle - tablet_high / 2, tablet_wide, tablet_high)
            screen_left = left + tablet_column + self.gap_mm + between
            screens = Rect(screen_left, middle - screen_high / 2, screen_wide, screen_high)
            notes = tablet_column, screen_column
        else:
            above, below = self._above_heights_mm(scale, room.width)
            top = room.top + (room.height - above - below) / 2
            words = self.tablet_words.least_width_mm
            left = (
                room.left
                if words or self.screen_words.heading
                else room.left + (room.width - screen_wide) / 2
            )
            screens = Rect(
                left, top + self.screen_words.heading_height_mm, screen_wide, screen_high
            )
            furthest = room.right - tablet_wide - (words + 2 * NEAR_MM if words else 0.0)
            tablet_left = min(screens.left + (screen_wide - tablet_wide) / 2, furthest)
            tablet = Rect(max(room.left, tablet_left), top + above, tablet_wide, tablet_high)
            notes = room.right - tablet.right - 2 * NEAR_MM, room.width
        return Places(
            tablet,
            screens,
            Affine.between(self.tablet_mm, tablet),
            Affine.between(self.screens_mm, screens),
            arrangement,
            *notes,
        )

    # Drawing

    def draw(self, easel: Easel, places: Places, *, named: bool | None = None) -> None:
        """Draw both bodies, the beam and the arrow between them, and the lettering."""
        self.draw_beam(easel, places)
        draw_tablet(easel, self.shown, places.desk_mm_to_sheet)
        draw_screens(easel, self.shown, places.glass_mm_to_sheet, named=named)
        if places.arrangement == BESIDE:
            self._draw_arrow(easel, places)
        self.draw_words(easel, places)

    def draw_words(self, easel: Easel, places: Places) -> None:
        """Write the headings and notes."""
        self._draw_words(easel, self.screen_words, places.screens, places.screen_notes_wide_mm)
        if places.arrangement == BESIDE:
            marked = Rect(
                places.tablet.left,
                places.tablet.top,
                places.tablet.width,
                places.tablet.height + self._mark_room_mm,
            )
            self._draw_words(easel, self.tablet_words, marked, places.tablet_notes_wide_mm)
        elif self.tablet_words.heading:
            x = places.tablet.right + 2 * NEAR_MM
            with easel.block(x):
                head = easel.text(
                    self.tablet_words.heading, x, places.tablet.top, "heading", level="top"
                )
                self._draw_notes(
                    easel, self.tablet_words, x, head.y_mm + NEAR_MM, places.tablet_notes_wide_mm
                )

    def draw_beam(self, easel: Easel, places: Places) -> None:
        """Draw a tint from the area to what it reaches, which ties the bodies together."""
        corners = [places.desk_mm_to_sheet.point(x, y) for x, y in self.shown.area_corners_desk_mm]
        parts = [
            pane.px_to_glass_mm.rect(part)
            for pane in self.shown.panes
            if (part := pane.display.rect_px.overlap(self.shown.solved.screen_px))
        ]
        if not parts:
            return
        sheets = [places.glass_mm_to_sheet.rect(part) for part in parts]
        askew = bool(self.shown.solved.request.tablet.slant_deg)
        if places.arrangement == ABOVE:
            left, right = (
                min(sheets, key=lambda part: part.left),
                max(sheets, key=lambda part: part.right),
            )
            ends = (min(corners), max(corners)) if askew else (corners[0], corners[1])
            points = [ends[0], (left.left, left.bottom), (right.right, right.bottom), ends[1]]
        else:
            left = min(sheets, key=lambda part: part.left)
            by_height = sorted(corners, key=lambda point: point[1])
            ends = (by_height[0], by_height[-1]) if askew else (corners[1], corners[2])
            points = [ends[0], (left.left, left.top), (left.left, left.bottom), ends[1]]
        easel.polygon(points, "beam")

    def _draw_arrow(self, easel: Easel, places: Places) -> None:
        x0, x1, y = (
            places.tablet.right,
            places.screens.left,
            places.screens.top + places.screens.height / 2,
        )
        if self.shown.solved.request.tablet.turn_deg == 90:
            # The mark of the built top edge stands there.
            x0 += 4.0
        if places.tablet.height < 4 * style("heading").em_mm:
            # A heading that is wider than a flat tablet reaches into the arrow's way.
            x0 = max(x0, places.tablet.left + self.tablet_words.least_width_mm)
        middle, half = (x0 + x1) / 2, min(7.0, (x1 - x0) / 2 - 2.5)
        if half < 2.5:
            return
        easel.line([(middle - half, y), (middle + half - 2, y)], "arrow")
        tip = middle + half
        easel.polygon([(tip, y), (tip - 2.8, y - 1.5), (tip - 2.8, y + 1.5)], "arrow-head")
        scale = self.shown.solved.summary.scale_factor
        # Several displays have a factor each, which stands with the figures.
        if self.screen_words.heading and scale is not None and len(self.shown.solved.reached) == 1:
            words = say("{times} times", times=number(scale, 2))
            if width_mm(words, style("label").em_mm) < x1 - x0 - 2.0:
                easel.text(words, middle, y - 3.2, "label", anchor="middle")

    def _draw_words(self, easel: Easel, words: Words, body: Rect, room_mm: float) -> None:
        with easel.block(body.left, body.width):
            if words.heading:
                easel.text(words.heading, body.left, body.top - NEAR_MM, "heading")
            self._draw_notes(easel, words, body.left, body.bottom + NEAR_MM, room_mm)

    def _draw_notes(self, easel: Easel, words: Words, x: float, y: float, room_mm: float) -> None:
        em = style("note").em_mm
        for index, line in enumerate(words.lines(room_mm)):
            easel.text(line, x, y + index * em * LEADING, "note", level="top")
