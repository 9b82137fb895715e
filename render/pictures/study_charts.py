"""The pictures of a study: the grid of pairings, the sizes that suit, and people side by side."""

from __future__ import annotations

import math
from collections import Counter
from typing import TYPE_CHECKING

from mapper.paths import Outline
from mapper.phrases import template
from mapper.rect import Rect
from mapper.trials.sizes import SOLD_INCHES, displays_for, trade_diagonals_in
from profiles.library.tried import inches_of
from render.canvas.lettering import LEADING, balanced, fitted, shortened, width_mm, wrapped
from render.canvas.scene import Easel, Scene
from render.canvas.theme import style
from render.pictures.chart import Axis, draw_notes
from render.sentences.grid import cell_words, expected_words, median_word, way_words
from render.sentences.measures import inches_words
from render.sentences.say import Name, listed, paragraph, row_of, say, say_count, scraps
from render.sentences.words import fixed, number

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.trials.people import Interval
    from mapper.trials.sizes import SizeChoice
    from profiles.library.tried import Cell, Study

WIDE_MM, HIGH_MM, MARGIN_MM = 320.0, 180.0, 13.0
RIGHT = WIDE_MM - MARGIN_MM


#: The caution of the slides, short; the page of the study says more.
HURTS = template(
    "A good score says nothing about health: take breaks, and if anything hurts, stop, whatever "
    "the score."
)
# In cells lower than this days are told and not drawn.
_LEAST_DRAWN_MM = 15.5
#: The sheet from margin to margin, as wide as its words.
_SHEET = Rect(MARGIN_MM, MARGIN_MM, WIDE_MM - 2 * MARGIN_MM, HIGH_MM - 2 * MARGIN_MM)


def titled_sheet(title: str, *, shown: bool = True) -> tuple[Easel, float]:
    """A sheet with its title in at most two lines, and the top of the room below, mm.

    Without ``shown`` the title is left out, since the page says it above the picture.
    """
    easel = Easel(WIDE_MM, HIGH_MM)
    if not shown:
        return easel, MARGIN_MM
    room, em = WIDE_MM - 2 * MARGIN_MM, style("title").em_mm
    while len(wrapped(title, em, room, bold=True)) > 2 and em > 4:
        em *= 0.94
    lines = balanced(title, em, room, bold=True)
    with easel.block(_SHEET.left, _SHEET.width):
        for at, line in enumerate(lines):
            easel.text(
                line, MARGIN_MM, MARGIN_MM + at * em * LEADING, "title", level="top", em_mm=em
            )
    return easel, MARGIN_MM + len(lines) * em * LEADING + 3


def grid_scene(study: Study, title: str, *, heading: bool = True) -> Scene:
    """Tablets down and displays across, to one scale, and in each cell the scores of its days."""
    easel, top = titled_sheet(title, shown=heading)
    grid = study.grid
    left, top, bottom = MARGIN_MM + 46.0, top + 24.0, HIGH_MM - 22.0
    wide, high = (
        (RIGHT - left) / max(1, len(grid.displays)),
        (bottom - top) / max(1, len(grid.tablets)),
    )
    largest = max(
        (max(each.width_mm or 1, each.height_mm or 1) for each in grid.displays), default=1
    )
    per_mm = min(0.8 * wide, 30.0) / largest
    for at, display in enumerate(grid.displays):
        centre = left + (at + 0.5) * wide
        across, down = (display.width_mm or 0) * per_mm, (display.height_mm or 0) * per_mm
        easel.rect(Rect(centre - across / 2, top - 8 - down, across, down), "frame")
        label = shortened(display.label, 3.4, wide - 2, bold=True)
        easel.text(label, centre, top - 3, "fact", anchor="middle")
    biggest = max((each.width_mm for each in grid.tablets), default=1)
    deepest = max((each.height_mm for each in grid.tablets), default=1)
    per_mm = min(16.0 / biggest, 0.85 * high / deepest)
    for at, tablet in enumerate(grid.tablets):
        middle = top + (at + 0.5) * high
        across, down = tablet.width_mm * per_mm, tablet.height_mm * per_mm
        easel.rect(Rect(left - 4 - across, middle - down / 2, across, down), "plate")
        with easel.block(MARGIN_MM, 25.0):
            easel.text(shortened(tablet.label, 3.4, 25, bold=True), MARGIN_MM, middle - 1, "fact")
            size = f"{number(tablet.width_mm)} × {number(tablet.height_mm)}"
            easel.text(size, MARGIN_MM, middle + 4, "note", em_mm=fitted(size, 3.0, 25))
    for row, tablet in enumerate(grid.tablets):
        for column, display in enumerate(grid.displays):
            box = Rect(left + column * wide + 0.8, top + row * high + 0.8, wide - 1.6, high - 1.6)
            _draw_cell(easel, study, grid.cell(tablet, display), box)
    _draw_grid_foot(easel, study, drawn=high - 1.6 >= _LEAST_DRAWN_MM)
    cells = [
        say(
            "{tablet} with {display}: {how}",
            tablet=Name(cell.tablet),
            display=Name(cell.display),
            how=cell_words(study, cell),
        )
        for cell in grid.cells.values()
    ]
    words = say("{title}. {cells}.", title=title, cells=scraps(cells))
    return easel.scene(title=title, description=words)


def _draw_cell(easel: Easel, study: Study, cell: Cell, box: Rect) -> None:
    inside = cell.factor is not None and study.suiting.low <= cell.factor <= study.suiting.high
    easel.rect(box, "band-outlined" if inside else "chip-ground")
    # Framed besides the tint, which a page in grey or on white paper does not show.
    easel.rect(box, "frame" if inside else "rule")
    em = max(2.0, min(3.8, box.height / 7, box.width / 10))
    ways = [each for _, each in way_words(cell)]
    shown = sorted(each.factor for each in ways or [cell] if each.factor is not None)
    factors = [fixed(each, 2) for each in shown]
    factor = ""
    if factors:
        factor = say("scale factor {factor}", factor=factors[0])
        if factors[0] != factors[-1]:
            factor = say("scale factors {low} to {high}", low=factors[0], high=factors[-1])
    if not cell.tried:
        _draw_lines(easel, [say("not tried"), expected_words(study, cell), factor], box, em)
        return
    word = median_word(cell)
    if ways:
        word = say_count("{count} way", "{count} ways", len(ways))
    known: str = say_count("{count} day", "{count} days", cell.days)
    if factor:
        known = row_of([factor, known])
    if box.height < _LEAST_DRAWN_MM:
        low, high = map(str, cell.spread)
        marks = low if low == high else say("{low} to {high}", low=low, high=high)
        _draw_lines(easel, [word if ways else row_of([word, marks]), known], box, em)
        return
    _draw_days(easel, cell, ways, box, em)
    with easel.block(box.left + 1.4, box.width - 2.8):
        for text, y, role in (
            (word, box.top + 1.6 * em, "fact"),
            (known, box.top + box.height - 1.1 * em, "label"),
        ):
            easel.text(
                text, box.left + 1.4, y, role, em_mm=fitted(text, em, box.width - 2.8, bold=True)
            )


def _draw_lines(easel: Easel, lines: Sequence[str], box: Rect, em: float) -> None:
    """Write lines in the middle of a cell; empty ones are left out."""
    shown = [line for line in lines if line]
    leading = min(1.7 * em, 0.92 * box.height / len(shown))
    for at, line in enumerate(shown):
        y = box.top + box.height / 2 + (at - (len(shown) - 1) / 2) * leading
        em_mm = fitted(line, min(em, leading / 1.25), box.width - 2)
        easel.text(
            line, box.left + box.width / 2, y, "label", anchor="middle", level="middle", em_mm=em_mm
        )


def _draw_days(easel: Easel, cell: Cell, ways: Sequence[Cell], box: Rect, em: float) -> None:
    """Draw a dot for each day on a line from painful to a joy, and a triangle at each median."""
    left, step = box.left + 0.14 * box.width, 0.18 * box.width
    line = box.top + box.height - 3.9 * em
    easel.line([(left, line), (left + 4 * step, line)], "arrow")
    for score in range(5):
        easel.line([(left + score * step, line), (left + score * step, line + 1.0)], "arrow")
    radius = min(0.95, 0.09 * box.width / 2.4)
    counts = Counter(cell.scores)
    # Above the days stands how they felt.
    room = line - box.top - 2.4 * em
    rise = min(2.2 * radius, (room - radius) / max(counts.values()))
    for score, count in counts.items():
        for level in range(count):
            centre = left + (score - 1) * step, line - radius - 0.5 - level * rise
            easel.shape(Outline.circle(*centre, radius), "dot")
    for middle_score in {each.median for each in ways or [cell]}:
        x = left + (middle_score - 1) * step
        easel.polygon([(x, line + 0.4), (x - 1.1, line + 2.4), (x + 1.1, line + 2.4)], "result-dot")


def _draw_grid_foot(easel: Easel, study: Study, *, drawn: bool) -> None:
    band = study.suiting
    ends = {"low": number(band.low, 1), "high": number(band.high, 1)}
    frames: str = say("Framed: the scale factor lies in the usual band, {low} to {high}.", **ends)
    if study.own:
        frames = say("Framed: the scale factor lies in the band found, {low} to {high}.", **ends)
    scores = say(
        "In each cell: how the middle day felt, and the range in which the middle half of the "
        "days scored."
    )
    if drawn:
        scores = say(
            "In each cell from left to right: painful, poor, fair, good, a joy. Each dot is a "
            "day; the triangle marks the middle score."
        )
        if any(way_words(cell) for cell in study.grid.cells.values()):
            several = say(
                "Where a pair was tried in several ways (map, seat or work), each has its triangle."
            )
            frames = paragraph([frames, several])
    draw_notes(easel, [scores, frames, say(HURTS)], HIGH_MM - 17)


#: Between neighbouring displays of a row, mm.
_BETWEEN_MM = 2.4
#: The sides of a usual display for a diagonal of 1.
_WIDE_SHARE, _HIGH_SHARE = 16 / math.hypot(16, 9), 9 / math.hypot(16, 9)
_KIND_ROLES = {"suits": "size-suits", "perhaps": "size-perhaps", "no": "size-no"}


def sizes_scene(study: Study, title: str, *, heading: bool = True) -> Scene:
    """For each tablet, the displays that are sold, to one scale: suits, perhaps, no."""
    easel, top = titled_sheet(title, shown=heading)
    tablets = study.grid.tablets
    top, bottom, left = top + 2.0, HIGH_MM - 30.0, MARGIN_MM + 48.0
    row_high = (bottom - top) / max(1, len(tablets))
    inch_mm = (RIGHT - left - _BETWEEN_MM * (len(SOLD_INCHES) - 1)) / (
        _WIDE_SHARE * sum(SOLD_INCHES)
    )
    inch_mm = min(inch_mm, (row_high - 14.0) / (_HIGH_SHARE * SOLD_INCHES[-1]))
    sentences = []
    for at, tablet in enumerate(tablets):
        foot = top + (at + 1) * row_high - 11.0
        name = shortened(tablet.label, 4.2, 44, bold=True)
        with easel.block(MARGIN_MM, 44.0):
            easel.text(name, MARGIN_MM, foot - 5.5, "heading")
            size = say(
                "{width} × {height} mm",
                width=number(tablet.width_mm),
                height=number(tablet.height_mm),
            )
            easel.text(size, MARGIN_MM, foot, "note")
        choices = displays_for(tablet, study.suiting)
        _draw_displays(easel, choices, trade_diagonals_in(tablet), (left, foot), inch_mm)
        sentences.append(_choices_sentence(tablet.label, choices))
    with easel.block(_SHEET.left, _SHEET.width):
        _draw_kinds(easel, HIGH_MM - 22.0)
    return easel.scene(
        title=title, description=paragraph([say("{title}.", title=title), *sentences])
    )


def _kind(choice: SizeChoice) -> str:
    """What suits only by what was never tried is no more than perhaps."""
    return "perhaps" if choice.verdict == "suits" and not choice.tried else choice.verdict


def _draw_displays(
    easel: Easel,
    choices: Sequence[SizeChoice],
    usual_in: tuple[float, float] | None,
    place_mm: tuple[float, float],
    inch_mm: float,
) -> None:
    """Draw one tablet's displays on a line from ``place_mm``, and under it what is usual advice."""
    x, foot = place_mm
    usual: list[float] = []
    for choice in choices:
        wide, high = (share * choice.inches * inch_mm for share in (_WIDE_SHARE, _HIGH_SHARE))
        kind = _kind(choice)
        easel.rect(Rect(x, foot - high, wide, high), _KIND_ROLES[kind], radius=0.6)
        inches = number(choice.inches, 0)
        role = "fact" if kind == "suits" else "note"
        em = min(3.4, fitted(inches, 3.4, wide + _BETWEEN_MM - 0.6, bold=True))
        easel.text(inches, x + wide / 2, foot + 1.2, role, anchor="middle", level="top", em_mm=em)
        if usual_in and usual_in[0] <= choice.inches <= usual_in[1]:
            usual += [x, x + wide]
        x += wide + _BETWEEN_MM
    if usual:
        y = foot + 6.4
        easel.line([(min(usual), y), (max(usual), y)], "arrow")
        words = say("usual advice")
        easel.text(words, max(usual) + 2, y, "note", level="middle", em_mm=2.8)


def _draw_kinds(easel: Easel, y: float) -> None:
    """Say what the three kinds of display mean."""
    easel.text(
        say("The displays have one scale. The numbers are their sizes in inches."),
        MARGIN_MM,
        y,
        "note",
        level="top",
    )
    kinds = {
        "suits": say("suits, and similar sizes were tried"),
        "perhaps": say("may suit"),
        "no": say("does not suit"),
    }
    x = MARGIN_MM
    for kind, words in kinds.items():
        easel.rect(Rect(x, y + 6.0, 6.4, 3.6), _KIND_ROLES[kind], radius=0.6)
        easel.text(words, x + 8.4, y + 7.8, "note", level="middle")
        x += 8.4 + width_mm(words, style("note").em_mm) + 8.0
    easel.text(say(HURTS), MARGIN_MM, y + 12.4, "note", level="top")


def _choices_sentence(tablet: str, choices: Sequence[SizeChoice]) -> str:
    """Which sizes suit a tablet and which perhaps, for who cannot see them."""
    sizes = {
        kind: [inches_words(each.inches, 0) for each in of_kind]
        for kind in _KIND_ROLES
        if (of_kind := [each for each in choices if _kind(each) == kind])
    }
    if "suits" in sizes and "perhaps" in sizes:
        return say(
            "{tablet} suits {suits}; it may suit {perhaps}.",
            tablet=Name(tablet),
            suits=listed(sizes["suits"]),
            perhaps=listed(sizes["perhaps"]),
        )
    if "suits" in sizes:
        return say("{tablet} suits {suits}.", tablet=Name(tablet), suits=listed(sizes["suits"]))
    if "perhaps" in sizes:
        perhaps = listed(sizes["perhaps"])
        return say("{tablet} may suit {perhaps}.", tablet=Name(tablet), perhaps=perhaps)
    return say("{tablet}: no size suits.", tablet=Name(tablet))


def people_scene(study: Study, title: str, *, heading: bool = True) -> Scene:
    """Each person's band and best value, and what all have in common, over the scale factor."""
    easel, top = titled_sheet(title, shown=heading)
    together = study.together
    rows: list[tuple[str, Interval, Interval, Interval]] = []
    if together is not None:
        rows = [
            (name, each.low, each.best, each.high)
            for name, each in zip(study.names, together.each, strict=True)
        ]
        rows.append((say("in common"), together.low, together.best, together.high))
    values = [
        each
        for _, low, best, high in rows
        for each in (low.middle, high.middle, best.low, best.high)
    ]
    axis = Axis(
        min(values, default=1.0) / 1.1, max(values, default=6.0) * 1.1, MARGIN_MM + 42.0, RIGHT
    )
    x_of, bottom = axis.x, HIGH_MM - 36.0
    high_mm = (bottom - top) / max(1, len(rows))
    for tick in axis.ticks:
        easel.line([(x_of(tick), top), (x_of(tick), bottom)], "lane-rule")
        easel.text(number(tick), x_of(tick), bottom + 3, "note", anchor="middle", level="top")
    for at, (name, low, best, high) in enumerate(rows):
        y = top + (at + 0.5) * high_mm
        common = at == len(rows) - 1
        if common:
            easel.line([(MARGIN_MM, y - high_mm / 2), (RIGHT, y - high_mm / 2)], "rule")
        with easel.block(MARGIN_MM, 40.0):
            easel.text(
                shortened(name or "-", 4.2, 40, bold=True), MARGIN_MM, y, "heading", level="middle"
            )
        half = min(4.0, 0.3 * high_mm)
        easel.rect(
            Rect(x_of(low.middle), y - half, x_of(high.middle) - x_of(low.middle), 2 * half),
            "band-outlined",
        )
        easel.line([(x_of(best.low), y), (x_of(best.high), y)], "area-edge")
        easel.shape(Outline.circle(x_of(best.middle), y, 1.9), "result-dot" if common else "dot")
    easel.text(say("scale factor"), RIGHT, bottom + 10, "note", anchor="end", level="top")
    notes = [say("Shaded: the band. Dot: the best value; its line: 80 % sure."), say(HURTS)]
    draw_notes(easel, notes, HIGH_MM - 15)
    people = [
        say(
            "{name}: {low} to {high}, best {best}",
            name=Name(name),
            low=number(low.middle, 1),
            high=number(high.middle, 1),
            best=number(best.middle),
        )
        for name, low, best, high in rows
    ]
    words = say("{title}. {people}.", title=title, people=scraps(people))
    return easel.scene(title=title, description=words)


def words_scene(
    title: str, paragraphs: Sequence[str], head: Sequence[str], rows: Sequence[Sequence[str]]
) -> Scene:
    """A slide of words: a few sentences, and a table where there is one."""
    easel, y = titled_sheet(title)
    y += 4
    room, foot = WIDE_MM - 2 * MARGIN_MM, HIGH_MM - MARGIN_MM
    table = [list(head), *map(list, rows)] if rows else []
    em = 7.0 if not table else 5.4
    table_em, widths = table_fit(table, 6.4, room)

    def height_mm(size: float) -> float:
        words = sum(
            len(wrapped(each, size, room)) * size * LEADING + 0.7 * size for each in paragraphs
        )
        return words + len(table) * table_em * 1.75

    while height_mm(em) > foot - y and table_em + em > 5.0:
        # Words give way first: the table is what the slide is about.
        if table and em < 4.2:
            table_em, widths = table_em * 0.96, [width * 0.96 for width in widths]
        em = max(em * 0.96, 3.4 if table else 2.5)
    with easel.block(_SHEET.left, _SHEET.width):
        draw_table(easel, table, (MARGIN_MM, y), table_em, widths)
        y += len(table) * table_em * 1.75 + (3 if table else 0)
        for words in paragraphs:
            for line in wrapped(words, em, room):
                easel.text(line, MARGIN_MM, y, "label", level="top", em_mm=em)
                y += em * LEADING
            y += 0.7 * em
    table_words = [
        "; ".join(": ".join(pair) for pair in zip(head, row, strict=True)) + "." for row in rows
    ]
    return easel.scene(title=title, description=paragraph([f"{title}.", *paragraphs, *table_words]))


def table_fit(table: Sequence[Sequence[str]], em: float, room: float) -> tuple[float, list[float]]:
    """The letter size, at most ``em``, at which ``table`` fits ``room``, and column widths."""
    widths = [
        max(width_mm(cell, em, bold=True) for cell in column) + 1.6 * em
        for column in zip(*table, strict=True)
    ]
    shrink = min(1.0, room / sum(widths)) if widths else 1.0
    return em * shrink, [width * shrink for width in widths]


def draw_table(
    easel: Easel,
    table: Sequence[Sequence[str]],
    place_mm: tuple[float, float],
    em: float,
    widths: Sequence[float],
) -> None:
    """Draw ``table`` with its first row as head and a rule under it.

    ``place_mm`` is its left and top on the sheet.
    """
    left, top = place_mm
    for at, row in enumerate(table):
        y, x = top + at * em * 1.75, left
        for cell, width in zip(row, widths, strict=True):
            easel.text(cell, x, y, "fact" if at == 0 else "label", level="top", em_mm=em)
            x += width
        if at == 0:
            easel.line(
                [(left, y + em * 1.25), (left + sum(widths) - 1.6 * em, y + em * 1.25)], "rule"
            )


def display_words(study: Study) -> str:
    """The displays of the study from the smallest to the largest, in inches."""
    return row_of([inches_words(inches_of(each)) for each in study.grid.displays])
