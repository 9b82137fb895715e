"""One page for the wall beside the workstation: what to enter, what it does, and how to sit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mapper.affine import Affine
from mapper.choosing.recommended import CAUTION
from mapper.choosing.sitting import comfortable_distance_mm
from mapper.choosing.viewing import Glass, visual_angle_deg
from mapper.mapping.entry import Entry, EntryNumber, entry_numbers
from mapper.mapping.forms import UNITS
from mapper.rect import Rect
from mapper.units import MM_PER_INCH
from profiles.library.proofs import NOTHING_NOTED
from render.canvas.lettering import CAP, LEADING, balanced, fitted, width_mm, wrapped
from render.canvas.scene import Easel, Scene
from render.pictures.panels import Demonstration
from render.pictures.stage import Stage
from render.sentences.forms import UNIT_WORDS, entry_words
from render.sentences.map_parts import FORM_ROWS
from render.sentences.measures import display_words
from render.sentences.proofs import standing_words
from render.sentences.say import Name, listed, paragraph, row_of, say, say_again, scraps
from render.sentences.words import (
    fixed_to_type,
    map_sentence,
    number,
    rotation_sentence,
    to_type,
    turn_words,
    usual_entry,
)

if TYPE_CHECKING:
    from datetime import date

    from profiles.format.document import Workstation
    from profiles.library.proofs import Standing

#: ISO 216 A4, ANSI/ASME Y14.1 letter: upright.
PAPERS_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
MARGIN_MM = 14.0
ENTER_HIGH_MM = 62.0
#: The letter size of the desk's name; a long one is smaller and wraps.
_NAME_EM_MM = 9.0
DIMENSION_EM_MM = 3.2
NO_BREAK = "\N{NO-BREAK SPACE}"
# Numbers of a form that run across; the others run down or up.
_ACROSS = {"left", "right", "width", "centre across"}


def wall_sheet(
    workstation: Workstation,
    day: date,
    *,
    paper: str = "a4",
    standing: Standing = NOTHING_NOTED,
) -> Scene:
    """The page of ``workstation``.

    ``day`` is the date that is printed where the profile carries none of its own; ``standing`` says
    whether the setting was typed in and tested.
    """
    easel = Easel(*PAPERS_MM[paper])
    wall = _WallPage(easel, workstation, day, standing_words(standing))
    y = wall.draw_head(MARGIN_MM)
    y = wall.draw_entry(y + 5)
    with easel.block(wall.room.left, wall.room.width):
        y = wall.draw_forms(y + 6)
    with easel.block(wall.room.left, wall.room.width):
        foot = wall.draw_foot()
    seat_top = foot - wall.seat_height_mm()
    wall.draw_picture(Rect(wall.left, y + 6, wall.width_mm, seat_top - y - 12))
    with easel.block(wall.room.left, wall.room.width):
        wall.seat(seat_top)
    title = say("{desk}: what to enter in the tablet's settings", desk=Name(workstation.name))
    numbers = entry_numbers(workstation.map, usual_entry(workstation.entry))
    entered = row_of([_dimension_words(each) for each in numbers])
    return easel.scene(
        title=title,
        description=paragraph(
            [
                say("{title}: {numbers}.", title=title, numbers=entered),
                map_sentence(workstation.map),
                *wall.seat_words(),
                say_again(CAUTION),
            ]
        ),
    )


class _WallPage:
    """The parts of the page, from the top down."""

    def __init__(self, easel: Easel, workstation: Workstation, day: date, marked: str) -> None:
        self.easel = easel
        self.marked = marked
        self.workstation = workstation
        self.map = workstation.map
        self.day = day
        self.left = MARGIN_MM
        self.width_mm = easel.width_mm - 2 * MARGIN_MM
        self.right = self.left + self.width_mm
        #: From margin to margin: where the words are.
        self.room = Rect(self.left, 0.0, self.width_mm, easel.height_mm)

    def draw_head(self, y: float) -> float:
        """Draw the name of the workstation, the hardware and the note."""
        name, em = self.workstation.name, _NAME_EM_MM
        lines = [name]
        if width_mm(name, em, bold=True) > self.width_mm:
            em *= 0.7
            lines = balanced(name, em, self.width_mm, bold=True)
        with self.easel.block(self.room.left, self.room.width):
            for line in lines:
                small = fitted(line, em, self.width_mm, bold=True)
                self.easel.text(line, self.left, y, "title", level="top", em_mm=small)
                y += em * LEADING
        y += 4 - em * (LEADING - CAP)
        tablet = self.map.request.tablet
        sides = f"{number(tablet.width_mm, 2)} × {number(tablet.height_mm, 2)} mm"
        words = say("Tablet {size}", size=sides)
        if tablet.label:
            words = say("Tablet {tablet}: {size}", tablet=Name(tablet.label), size=sides)
        if tablet.turn_deg:
            words = say("{tablet}, turned {turn}", tablet=words, turn=turn_words(tablet.turn_deg))
        hardware = [words]
        hardware += [
            say("{display}: {size}", display=Name(display.label), size=display_words(display))
            for display in self.map.request.desktop.displays
        ]
        lines = wrapped("  ·  ".join(hardware), 3.4, self.width_mm)
        if self.workstation.note:
            lines += wrapped(self.workstation.note, 3.4, self.width_mm)[:3]
        with self.easel.block(self.room.left, self.room.width):
            for line in lines:
                self.easel.text(
                    line, self.left, y, "note", level="top", em_mm=fitted(line, 3.4, self.width_mm)
                )
                y += 3.4 * LEADING
        return y

    def draw_entry(self, y: float) -> float:
        """Draw what to enter, as a dimensioned drawing of the tablet, and a sentence."""
        entry = usual_entry(self.workstation.entry)
        numbers = entry_numbers(self.map, entry)
        self.easel.rect(Rect(self.left, y, self.width_mm, ENTER_HIGH_MM), "plate", radius=3)
        drawn = self._draw_dimensioned(
            Rect(self.left + 6, y + 6, 0.46 * self.width_mm, ENTER_HIGH_MM - 22), numbers, entry
        )
        room = Rect(drawn + 5, y + 5, self.right - drawn - 10, ENTER_HIGH_MM - 10)
        values = listed([_dimension_words(each).replace(" ", NO_BREAK) for each in numbers])
        sentences: list[str] = [say("In the tablet's settings enter {numbers}.", numbers=values)]
        if self.workstation.entry:
            sentences = [
                say(
                    "In the tablet's settings, {form}, enter {numbers}.",
                    form=entry_words(entry),
                    numbers=values,
                )
            ]
        turn_deg = self.map.request.tablet.turn_deg
        if turn_deg:
            sentences += [
                say("The numbers are for the tablet when it is not turned."),
                rotation_sentence(turn_deg),
            ]
        sentence = paragraph(sentences)
        em = 6.4
        while (
            len(lines := wrapped(sentence, em, room.width, bold=True)) * em * LEADING > room.height
        ):
            em *= 0.94
        top = room.top + (room.height - len(lines) * em * LEADING) / 2
        with self.easel.block(room.left, room.width):
            for index, line in enumerate(lines):
                self.easel.text(
                    line, room.left, top + index * em * LEADING, "heading", level="top", em_mm=em
                )
        return y + ENTER_HIGH_MM

    def _draw_dimensioned(
        self, room: Rect, numbers: tuple[EntryNumber, ...], entry: Entry
    ) -> float:
        """Draw the tablet as built with its area, and a dimension line for each number.

        Each dimension has its own row below the tablet, or column beside it. Returns the right end
        of the drawing, mm.
        """
        tablet, area = self.map.request.tablet, self.map.area_built_mm
        scale = min((room.width - 14) / tablet.width_mm, room.height / tablet.height_mm)
        to_sheet = Affine(scale, 0, room.left, 0, scale, room.top)
        on_sheet, part = to_sheet.rect(tablet.active_built_mm), to_sheet.rect(area)
        self.easel.rect(on_sheet, "spare")
        self.easel.rect(on_sheet, "stencil-edge")
        corners = [
            (to_sheet @ ~tablet.built_to_seen).point(*each)
            for each in self.map.area_corners_seen_mm
        ]
        self.easel.polygon(corners, "hand-ground")
        self.easel.polygon(corners, "area-edge")
        x0, y0 = on_sheet.left, on_sheet.bottom if entry.from_bottom else on_sheet.top
        middle_x, middle_y = part.centre
        top, bottom = (part.top, part.bottom)
        ends = {
            "left": (x0, part.left),
            "right": (x0, part.right),
            "width": (part.left, part.right),
            "centre across": (x0, middle_x),
            "top": (y0, top),
            "bottom": (y0, bottom),
            "height": (top, bottom),
            "centre down": (y0, middle_y),
            "centre up": (y0, middle_y),
        }
        row, column = on_sheet.bottom + 2.5, on_sheet.right + 2.5
        for each in numbers:
            if each.label not in ends:
                continue
            start, end = sorted(ends[each.label])
            words = _dimension_words(each)
            if each.label in _ACROSS:
                self._draw_dimension([(start, row), (end, row)], (0.0, 1.0))
                wide = width_mm(words, DIMENSION_EM_MM) / 2
                x = max(on_sheet.left + wide, min((start + end) / 2, on_sheet.right - wide))
                self.easel.text(
                    words, x, row + 3.6, "label", anchor="middle", em_mm=DIMENSION_EM_MM
                )
                row += 5.6
            else:
                self._draw_dimension([(column, start), (column, end)], (1.0, 0.0))
                half = width_mm(words, DIMENSION_EM_MM) / 2
                y = max(on_sheet.top + half, min((start + end) / 2, on_sheet.bottom - half))
                self.easel.text(
                    words,
                    column + 2.8,
                    y,
                    "label",
                    anchor="middle",
                    level="middle",
                    turn_deg=-90,
                    em_mm=DIMENSION_EM_MM,
                )
                column += 6.0
        return column

    def _draw_dimension(self, line: list[tuple[float, float]], across: tuple[float, float]) -> None:
        """Draw a line with a tick at either end, as on a working drawing."""
        self.easel.line(line, "scale-bar")
        for x, y in line:
            self.easel.line(
                [(x - across[0], y - across[1]), (x + across[0], y + across[1])], "scale-bar"
            )

    def draw_forms(self, y: float) -> float:
        """Write the rectangle in every form, as built; and as seen where the tablet is turned."""
        tablet, entry = self.map.request.tablet, usual_entry(self.workstation.entry)
        forms = self.map.forms
        step = self.width_mm / (len(forms) + 1)
        em = 3.3
        y += em * CAP
        for index, unit in enumerate(forms):
            self.easel.text(
                say_again(UNIT_WORDS[unit].head),
                self.left + (index + 2) * step,
                y,
                "label",
                anchor="end",
                em_mm=em,
            )
        self.easel.text(say("in every form"), self.left, y, "label", em_mm=em)
        y += 2.2
        self.easel.line([(self.left, y), (self.right, y)], "rule")
        for key, words in FORM_ROWS:
            y += 4.9
            self.easel.text(say_again(words), self.left, y, "note", em_mm=em)
            for index, (unit, form) in enumerate(forms.items()):
                cell = fixed_to_type(getattr(form, key), UNITS[unit].places, entry)
                self.easel.text(
                    cell, self.left + (index + 2) * step, y, "label", anchor="end", em_mm=em
                )
        if tablet.turn_deg or self.map.area_angle_deg:
            area = self.map.area_seen_mm
            sides = {
                "left": to_type(area.left, 2, entry),
                "top": to_type(area.top, 2, entry),
                "width": to_type(area.width, 2, entry),
                "height": to_type(area.height, 2, entry),
            }
            seen = say(
                "as you see it: left {left}, top {top}, width {width}, height {height} mm", **sides
            )
            if tablet.turn_deg:
                seen = say(
                    "for settings that show the turned tablet: left {left}, top {top}, width "
                    "{width}, height {height} mm",
                    **sides,
                )
            if self.map.area_angle_deg:
                degrees = to_type(self.map.area_angle_deg, 2, entry)
                seen = say(
                    "{area}; turned {degrees} degrees around its centre", area=seen, degrees=degrees
                )
            y += 6
            self.easel.text(seen, self.left, y, "note", em_mm=fitted(seen, em, self.width_mm))
        screen = self.map.screen_px
        labels = " + ".join(display.label for display in self.map.reached)
        y += 6
        line = say(
            "The pen reaches: {displays}, {width} × {height} px from {left}, {top}",
            displays=labels,
            width=to_type(screen.width, 1, entry),
            height=to_type(screen.height, 1, entry),
            left=to_type(screen.left, 1, entry),
            top=to_type(screen.top, 1, entry),
        )
        self.easel.text(line, self.left, y, "label", em_mm=fitted(line, em, self.width_mm))
        return y

    def draw_picture(self, room: Rect) -> None:
        """Draw tablet and screens, and the figures under them."""
        sentence = map_sentence(self.map)
        figures = self._figures()
        bottom = room.bottom - 13
        with self.easel.block(room.left, room.width):
            self.easel.text(
                sentence,
                room.left,
                room.top + 3,
                "heading",
                em_mm=fitted(sentence, 4.2, room.width, bold=True),
            )
        stage = Stage(Demonstration.of(self.map))
        where = Rect(room.left, room.top + 7, room.width, bottom - room.top - 11)
        scale, arrangement = stage.best(where.width, where.height)
        stage.draw(self.easel, stage.places(where, scale, arrangement), named=None)
        column = room.width / len(figures)
        with self.easel.block(room.left, room.width):
            for index, (value, words) in enumerate(figures):
                x = room.left + index * column
                self.easel.text(
                    value, x, bottom + 6, "number", em_mm=fitted(value, 6.0, column - 4, bold=True)
                )
                self.easel.text(
                    words, x, bottom + 11.5, "note", em_mm=fitted(words, 3.0, column - 3)
                )

    def _figures(self) -> list[tuple[str, str]]:
        summary, distortion = self.map.summary, self.map.figures_on(self.map.reference).distortion
        figures: list[tuple[str, str]] = []
        if summary.scale_factor is not None:
            figures.append(
                (number(summary.scale_factor, 2), say("times as large as under the hand"))
            )
        figures.append((number(distortion.stretch, 4), say("stretch (1 = circles stay round)")))
        figures.append(
            (f"{number(distortion.angle_error_deg, 2)}°", say("largest error of an angle"))
        )
        figures.append(
            (f"{number(summary.area_used_percent, 1)} %", say("of the active area used"))
        )
        return figures

    def seat_words(self) -> list[str]:
        """The distances that suit the main display, and where this person sits."""
        display, seat = self.map.request.desktop.primary, self.workstation.seat
        words: list[str] = []
        if display.width_mm is None:
            words.append(
                say(
                    "How far to sit from {display} is not known, because its size is not known.",
                    display=Name(display.label),
                )
            )
        else:
            glass = Glass.of_display(display, None if seat is None else seat.curve_radius_mm)
            near, far, _ = comfortable_distance_mm(glass)
            name = Name(display.label)
            if far >= 1e6:
                words.append(
                    say("Sit at least {near} from {display}.", near=_distance(near), display=name)
                )
            else:
                words.append(
                    say(
                        "Usual advice: sit {near} to {far} from the display {display}.",
                        near=_distance(near),
                        far=_distance(far),
                        display=name,
                    )
                )
            if seat is not None:
                angle = visual_angle_deg(display.width_mm, seat.distance_mm)
                words.append(
                    say(
                        "Here: {distance}, where it fills {degrees} degrees across.",
                        distance=_distance(seat.distance_mm),
                        degrees=number(angle, 0),
                    )
                )
        if seat is not None and seat.top_below_eyes_mm is not None:
            below_eyes_mm = seat.top_below_eyes_mm
            mm = number(abs(below_eyes_mm), 0)
            words.append(
                say("Top edge {mm} mm below eye level.", mm=mm)
                if below_eyes_mm >= 0
                else say("Top edge {mm} mm above eye level.", mm=mm)
            )
        return words

    def _seat_lines(self) -> list[tuple[str, str]]:
        lines = [
            ("label", line) for line in wrapped(paragraph(self.seat_words()), 3.3, self.width_mm)
        ]
        return lines + [("note", line) for line in wrapped(say_again(CAUTION), 3.0, self.width_mm)]

    def seat_height_mm(self) -> float:
        return 8.0 + len(self._seat_lines()) * 4.4

    def seat(self, y: float) -> None:
        """Write the distances and the caution."""
        self.easel.line([(self.left, y), (self.right, y)], "rule")
        y += 5.6
        for role, line in self._seat_lines():
            self.easel.text(line, self.left, y, role, em_mm=3.3 if role == "label" else 3.0)
            y += 4.4

    def draw_foot(self) -> float:
        """Write revision and date, and return their upper edge."""
        y = self.easel.height_mm - MARGIN_MM + 2
        revision = self.workstation.revision
        right: str
        if revision is None:
            right = say("not yet kept, {day}", day=self.day.isoformat())
        else:
            right = say(
                "setting {number}, {day}",
                number=str(revision.number),
                day=revision.kept.date().isoformat(),
            )
        if self.marked:
            right = scraps([right, self.marked])
        self.easel.line([(self.left, y - 5), (self.right, y - 5)], "rule")
        mark = self.easel.text(right, self.right, y, "label", anchor="end", em_mm=3.3)
        note = "" if revision is None or not revision.note else revision.note
        if note:
            room = mark.box_mm[0] - self.left - 4
            line = wrapped(note, 3.0, room)[0]
            self.easel.text(line, self.left, y, "note", em_mm=fitted(line, 3.0, room))
        return y - 8


def _distance(value_mm: float) -> str:
    return say(
        "{cm} cm ({inches} in)",
        cm=number(value_mm / 10, 0),
        inches=number(value_mm / MM_PER_INCH, 0),
    )


def _dimension_words(number_to_enter: EntryNumber) -> str:
    """A number to enter with its name and its unit: ``left 12.5 mm``."""
    return say(
        "{name} {number} {unit}",
        name=say_again(number_to_enter.label),
        number=number_to_enter.text,
        unit=say_again(number_to_enter.unit),
    )
