"""Several maps on one sheet: a picture of each, the two numbers that matter, and a table below.

The numbers of the later maps say how far they are from those of the first. Pictures stand to one
scale unless that would leave the smallest too small to see.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from mapper.mapping.fits import FITS
from mapper.mapping.reach import in_reach_percent
from mapper.rect import Rect
from mapper.solving import solve
from render.canvas.lettering import CAP, LEADING, balanced, fitted, shortened, width_mm
from render.canvas.scene import Easel, Scene
from render.canvas.theme import style
from render.pictures.frame import (
    FIGURE_MM,
    SHEET_MM,
    Figure,
    draw_figure,
    draw_title,
    figure_width_mm,
    page,
)
from render.pictures.panels import DEFAULT_PROBES, Demonstration
from render.pictures.preview import describe
from render.pictures.stage import ABOVE, BESIDE, Stage
from render.sentences.letter import fit_name
from render.sentences.measures import bare_length, size
from render.sentences.outcome import outcome
from render.sentences.say import Name, listed, paragraph, say, say_count
from render.sentences.words import (
    circle_words,
    drawn_shape,
    drawn_title,
    map_title,
    number,
    oval_caption,
    oval_figure,
    oval_way,
    signed,
    tilt_words,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.mapping.solve import TabletMap
    from profiles.strokes.drawing import Drawing

GUTTER_MM = 10.0
NEAR_MM = 3.0
#: The letter size of the sentences under a picture.
SENTENCE_EM_MM = 4.0
#: Words go where they would leave the pictures less than this share of what they could have.
_LEAST_SHARE = 0.4
#: The pictures stand to one scale while none could be more than this much larger alone.
_ONE_SCALE = 2.2
#: How wide a map's name may be in a title or a table, in letter sizes.
_NAME_EM = 15.0
#: The figures of one map are at most this share of those of a whole sheet, and at least that.
_FIGURE_SHRINK = 0.75
_LEAST_FIGURE_SHRINK = 0.5
#: A table that would take more than this share of the sheet is not drawn.
_TABLE_SHARE = 0.35
_COLUMN_GAP_MM = 6.0


@dataclass(frozen=True, slots=True)
class Fact:
    """One number of a map: a name, its value, and the difference from the first map.

    The difference is empty where there is none.
    """

    words: str
    value: str
    change: str = ""

    def width_mm(self, em_mm: float) -> float:
        """How wide value and difference are."""
        value = width_mm(self.value, em_mm, bold=True)
        return value + (2.0 + width_mm(self.change, em_mm) if self.change else 0.0)


#: The numbers of each map, by its name.
Rows = list[tuple[str, list[Fact]]]


@dataclass(frozen=True, slots=True)
class _Cell:
    """One map on the sheet: its picture, its name, and the figures or sentences below."""

    stage: Stage
    name: str = ""
    figures: tuple[Figure, ...] = ()
    sentences: tuple[str, ...] = ()


def compare_scene(
    maps: Sequence[tuple[str, TabletMap]],
    *,
    units: str = "mm",
    text: bool = True,
    size_mm: tuple[float, float] = SHEET_MM,
    probes: tuple[str, ...] = DEFAULT_PROBES,
    drawing: Drawing | None = None,
) -> Scene:
    """The sheet of ``maps``, each a name and a map; the others are compared with the first.

    The other arguments are those of ``preview.preview_scene``. Raises RequestError for an unknown
    unit or probe.
    """
    bare_length(0.0, units)
    stages = [_stage(solved, probes, drawing) for _, solved in maps]
    title = _title(maps, stages[0].shown.subject)
    cells = [
        _Cell(stage, name, _figures(solved))
        for stage, (name, solved) in zip(stages, maps, strict=True)
    ]
    turned = any(tilt_words(_tilt_deg(solved)) for _, solved in maps)
    rows = [(name, _facts(each, maps[0][1], units, turned=turned)) for name, each in maps]
    easel = Easel(*size_mm)
    _draw_sheet(easel, cells, rows, title, text=text)
    return easel.scene(title=title, description=_description(maps, units))


def fits_scene(
    solved: TabletMap,
    *,
    units: str = "mm",
    text: bool = True,
    size_mm: tuple[float, float] = SHEET_MM,
    probes: tuple[str, ...] = DEFAULT_PROBES,
    drawing: Drawing | None = None,
) -> Scene:
    """One desk under each of the three fits, with a sentence under each.

    An area that was set by hand, a wanted scale factor and a step are ignored. The arguments are
    those of ``preview.preview_scene``. Raises RequestError for an unknown unit or probe.
    """
    bare_length(0.0, units)
    request = replace(solved.request, area_built_mm=None, feel=None, step=None)
    maps = [(fit_name(fit), solve(replace(request, fit=fit))) for fit in FITS]
    title = _fits_title([each for _, each in maps])
    cells = [
        _Cell(
            _stage(each, probes, drawing),
            name,
            sentences=(outcome(each), _area_sentence(each, units)),
        )
        for name, each in maps
    ]
    easel = Easel(*size_mm)
    _draw_sheet(easel, cells, [], title, text=text)
    return easel.scene(title=title, description=_description(maps, units))


def _stage(solved: TabletMap, probes: tuple[str, ...], drawing: Drawing | None) -> Stage:
    return Stage(Demonstration.of(solved, probes=probes, drawing=drawing), gap_mm=8.0)


def _description(maps: Sequence[tuple[str, TabletMap]], units: str) -> str:
    described = [
        say("{name}: {map}", name=Name(name), map=describe(solved, units=units))
        for name, solved in maps
    ]
    count = say_count("One map.", "{count} maps side by side.", len(maps))
    return paragraph([count, *described])


def _fits_title(maps: Sequence[TabletMap]) -> str:
    """One sentence on the three fits: which of them keep a circle round."""
    shapes = [each.figures_on(each.reference).distortion for each in maps]
    full, *others = [oval_way(shape) == "round" for shape in shapes]
    if not all(others):
        return say("Three fits, and what each does to a circle")
    if full:
        return say("A circle stays round with all three fits")
    return say("Only the whole tablet on the whole display makes a circle oval")


def _area_sentence(solved: TabletMap, units: str) -> str:
    area, place = _area_words(solved, units)
    return say("Area to enter: {area} {place}", area=area, place=place)


def _title(maps: Sequence[tuple[str, TabletMap]], subject: str) -> str:
    """One sentence on what becomes of a circle, or of a drawn ``subject``, under each map."""
    if len(maps) == 1:
        return drawn_title(maps[0][1], subject) if subject else map_title(maps[0][1])
    distortions = [solved.figures_on(solved.reference).distortion for _, solved in maps]
    if subject and len(maps) == 2:
        first, second = (drawn_shape(shape) for shape in distortions)
        return say(
            "{subject} comes out {first} with {a}, and {second} with {b}",
            subject=subject,
            first=first,
            second=second,
            a=_name_in_title(maps[0][0]),
            b=_name_in_title(maps[1][0]),
        )
    shapes = [circle_words(shape) for shape in distortions]
    if len(set(shapes)) == 1:
        return _title_of_one_shape(maps, shapes[0])
    if len(maps) == 2:
        return say("A circle was {before}, and is now {now}", before=shapes[0], now=shapes[1])
    are_round = [oval_way(shape) == "round" for shape in distortions]
    return _title_of_two_shapes([name for name, _ in maps], are_round)


def _title_of_one_shape(maps: Sequence[tuple[str, TabletMap]], shape: str) -> str:
    """The title where every map makes the same of a circle."""
    tilts = [tilt_words(_tilt_deg(each)) for _, each in maps]
    turning = [index for index, tilt in enumerate(tilts) if tilt]
    if len(turning) == 1:
        (index,) = turning
        slots = {"name": _name_in_title(maps[index][0]), "tilt": tilts[index]}
        if len(maps) == 2:
            return say(
                "With {name} strokes come out askew {tilt}; with {other} they do not",
                other=_name_in_title(maps[1 - index][0]),
                **slots,
            )
        return say(
            "With {name} strokes come out askew {tilt}; with the others they do not", **slots
        )
    if len(maps) == 2:
        return say("A circle comes out {shape} with both", shape=shape)
    return say("A circle comes out {shape} with all {count}", shape=shape, count=str(len(maps)))


def _title_of_two_shapes(names: Sequence[str], are_round: Sequence[bool]) -> str:
    """The title where a circle stays round with some of the maps, or with none."""
    named = [_name_in_title(name) for name in names]
    oval = [name for name, is_round in zip(named, are_round, strict=True) if not is_round]
    if len(oval) == len(names):
        return say_count(
            "{count} map, and what it does to a circle",
            "{count} maps, and what each does to a circle",
            len(names),
        )
    if len(oval) <= len(names) / 2:
        return say("With {names} a circle is oval; with the others it is round", names=listed(oval))
    whole = [name for name, is_round in zip(named, are_round, strict=True) if is_round]
    return say("With {names} a circle is round; with the others it is oval", names=listed(whole))


def _tilt_deg(solved: TabletMap) -> float:
    return solved.figures_on(solved.reference).tilt_deg


def _name_in_title(name: str) -> str:
    """A name in quotation marks, as short as a title can bear."""
    return say(
        "\N{LEFT DOUBLE QUOTATION MARK}{name}\N{RIGHT DOUBLE QUOTATION MARK}",
        name=Name(shortened(name, 1.0, _NAME_EM)),
    )


def _subtitle(cells: Sequence[_Cell], rows: Rows, *, one_scale: bool) -> str:
    shown = [cell.stage.shown for cell in cells]
    maps = [each.solved for each in shown]
    if not all(each.to_scale for each in shown):
        notes = [say("Not to scale: the size of a display is not given")]
    elif one_scale:
        notes = [say("All to one scale")]
    else:
        notes = [say("Each to its own scale")]
    if any(each.has_ghosts for each in shown):
        circles = all(each.ghosts_are_circles for each in shown)
        notes.append(say("dashed: the round shape") if circles else say("dashed: as it was drawn"))
    hatched = any(
        solved.summary.area_used_percent < 100 or solved.screen_px != solved.request.desktop.rect_px
        for solved in maps
    )
    if hatched:
        notes.append(say("hatched: not used"))
    if any(solved.request.tablet.turn_deg for solved in maps):
        notes.append(say("triangle: the tablet's top edge when not turned"))
    if len(rows) > 1:
        notes.append(say("in brackets: compared with {name}", name=_name_in_title(rows[0][0])))
    return "  ·  ".join(notes)


def _figures(solved: TabletMap) -> tuple[Figure, ...]:
    """What a circle becomes, and how large."""
    distortion = solved.figures_on(solved.reference).distortion
    shape = Figure(oval_figure(distortion), oval_caption(distortion))
    factor = solved.summary.scale_factor
    if factor is None:
        return (shape,)
    return (shape, Figure(number(factor, 2), say("times as large")))


def _facts(solved: TabletMap, first: TabletMap, units: str, *, turned: bool) -> list[Fact]:
    """The numbers of one map, the most telling first."""
    now, then = (each.figures_on(each.reference) for each in (solved, first))
    facts = [Fact(say("a circle"), circle_words(now.distortion))]

    def fact(label: str, value: float | None, old: float | None, unit: str, places: int) -> None:
        if value is None:
            facts.append(Fact(label, say("not known")))
            return
        change = ""
        if old is not None and solved is not first:
            # What is shown adds up: the difference of the two numbers as they are written.
            by = round(value, places) - round(old, places)
            sign = "+" if by > 0 else "\N{MINUS SIGN}"
            change = f"({sign}{number(abs(by), places)})" if round(by, places) else ""
        facts.append(Fact(label, f"{signed(number(value, places))}{unit}", change))

    fact(say("scale factor"), solved.summary.scale_factor, first.summary.scale_factor, "", 2)
    facts.append(Fact(say("area to enter"), *_area_words(solved, units)))
    used, used_then = solved.summary.area_used_percent, first.summary.area_used_percent
    fact(say("tablet used"), used, used_then, " %", 0)
    fact(say("display used"), in_reach_percent(solved), in_reach_percent(first), " %", 0)
    angle, angle_then = now.distortion.angle_error_deg, then.distortion.angle_error_deg
    fact(say("angle error"), angle, angle_then, "°", 1)
    if turned:
        fact(say("all askew by"), now.tilt_deg, then.tilt_deg, "°", 1)
    return facts


def _area_words(solved: TabletMap, units: str) -> tuple[str, str]:
    """The size of the area, and where it lies."""
    area = solved.area_built_mm
    wide_high = size(area.width, area.height, units)
    as_built = bool(solved.request.tablet.turn_deg)
    if solved.area_angle_deg:
        angle = number(solved.area_angle_deg, 1)
        x, y = (bare_length(each, units) for each in area.centre)
        if as_built:
            return wide_high, say(
                "angle {angle}°, centre {x}, {y}, when not turned", angle=angle, x=x, y=y
            )
        return wide_high, say("angle {angle}°, centre {x}, {y}", angle=angle, x=x, y=y)
    x, y = (bare_length(each, units) for each in (area.left, area.top))
    if as_built:
        return wide_high, say("at {x}, {y}, when not turned", x=x, y=y)
    return wide_high, say("at {x}, {y}", x=x, y=y)


class _Table:
    """The numbers of all maps below their pictures, a line each, as many columns as fit."""

    def __init__(self, rows: Rows, room_mm: float) -> None:
        self.em = style("label").em_mm
        self.rows = rows
        self.widths: list[float] = []
        if not rows:
            return
        names = [width_mm(name, self.em, bold=True) for name, _ in rows]
        self.name_mm = min(max(names), _NAME_EM * self.em)
        left = room_mm - self.name_mm
        for facts in zip(*(facts for _, facts in rows), strict=True):
            head = width_mm(facts[0].words, self.em)
            wide = _COLUMN_GAP_MM + max(head, *(fact.width_mm(self.em) for fact in facts))
            if wide > left:
                break
            self.widths.append(wide)
            left -= wide

    @property
    def height_mm(self) -> float:
        """How high it is; nothing where not even two columns fit."""
        if len(self.widths) < 2:
            return 0.0
        return (len(self.rows) + 1) * self.em * LEADING + 3 * NEAR_MM

    def draw(self, easel: Easel, room: Rect) -> None:
        """Draw it at the bottom of ``room``, under a rule."""
        y = room.bottom - self.height_mm + NEAR_MM
        easel.line([(room.left, y), (room.right, y)], "rule")
        y += NEAR_MM
        x = room.left + self.name_mm + _COLUMN_GAP_MM
        for fact, wide in zip(self.rows[0][1], self.widths, strict=False):
            easel.text(fact.words, x, y, "note", level="top", em_mm=self.em)
            x += wide
        for name, facts in self.rows:
            y += self.em * LEADING
            name_shown = shortened(name, self.em, self.name_mm, bold=True)
            easel.text(name_shown, room.left, y, "fact", level="top", em_mm=self.em)
            x = room.left + self.name_mm + _COLUMN_GAP_MM
            for fact, wide in zip(facts, self.widths, strict=False):
                easel.text(fact.value, x, y, "fact", level="top", em_mm=self.em)
                if fact.change:
                    after = x + width_mm(fact.value, self.em, bold=True) + 2.0
                    easel.text(fact.change, after, y, "note", level="top", em_mm=self.em)
                x += wide


@dataclass(frozen=True, slots=True)
class _Division:
    """How the room is divided: columns, the size of a cell, and the scale of each picture."""

    columns: int
    wide_mm: float
    high_mm: float
    scales: tuple[float, ...]
    arrangement: str

    @property
    def merit(self) -> float:
        """How large the pictures are: their mean scale, so that one small one decides little."""
        return sum(self.scales) / len(self.scales)


def _draw_sheet(easel: Easel, cells: list[_Cell], rows: Rows, title: str, *, text: bool) -> None:
    """Draw the title, the cells and the table; small sheets lose the table, then the figures.

    Without ``text`` only the pictures are drawn.
    """
    sheet = page(easel)
    pictures_alone = [_Cell(cell.stage) for cell in cells]
    if not text:
        _draw_cells(easel, pictures_alone, _divided(pictures_alone, sheet), sheet)
        return
    rooms = []
    for one_scale in (True, False):
        subtitle = _subtitle(cells, rows, one_scale=one_scale)
        rooms.append(draw_title(Easel(easel.width_mm, easel.height_mm), title, subtitle, sheet))
    room = min(rooms, key=lambda each: each.height)
    no_table = _Table([], room.width)
    table = _Table(rows, room.width)
    if table.height_mm > _TABLE_SHARE * room.height:
        table = no_table
    bare = [_Cell(cell.stage, cell.name) for cell in cells]
    least = _LEAST_SHARE * _divided(pictures_alone, room).merit
    for shown, below in ((cells, table), (cells, no_table), (bare, no_table)):
        pictures = Rect(room.left, room.top, room.width, room.height - below.height_mm)
        division = _divided(shown, pictures)
        if division.merit >= least:
            break
    compared = below.rows if below.height_mm else []
    subtitle = _subtitle(cells, compared, one_scale=len(set(division.scales)) == 1)
    draw_title(easel, title, subtitle, sheet)
    _draw_cells(easel, shown, division, pictures)
    if below.height_mm:
        with easel.block(room.left, room.width):
            below.draw(easel, room)


def _divided(cells: list[_Cell], room: Rect) -> _Division:
    """The division of ``room`` with the largest pictures."""
    best: _Division | None = None
    for rows in range(1, len(cells) + 1):
        columns = -(-len(cells) // rows)
        wide = (room.width - GUTTER_MM * (columns - 1)) / columns
        high = (room.height - GUTTER_MM * (rows - 1)) / rows
        picture_high = high - _head_mm(cells) - _below_mm(cells, wide)
        for arrangement in (ABOVE, BESIDE):
            scales = [0.0] * len(cells)
            if wide > 1 and picture_high > 1:
                scales = [cell.stage.scale(wide, picture_high, arrangement) for cell in cells]
            if max(scales) <= _ONE_SCALE * min(scales):
                scales = [min(scales)] * len(cells)
            division = _Division(columns, wide, high, tuple(scales), arrangement)
            if best is None or division.merit > best.merit:
                best = division
    assert best is not None
    return best


def _head_mm(cells: list[_Cell]) -> float:
    return style("heading").em_mm * CAP + NEAR_MM if any(cell.name for cell in cells) else 0.0


def _figure_shrink(cells: list[_Cell], wide_mm: float) -> float:
    """The factor by which the figures of all cells are smaller than those of a whole sheet."""
    gap = 2 * NEAR_MM
    least = [
        sum(map(figure_width_mm, cell.figures)) + gap * (len(cell.figures) - 1)
        for cell in cells
        if cell.figures
    ]
    return min(_FIGURE_SHRINK, wide_mm / max(least)) if least else 0.0


def _below_mm(cells: list[_Cell], wide_mm: float) -> float:
    """The height of what stands below the picture in a cell."""
    high = 0.0
    shrink = _figure_shrink(cells, wide_mm)
    if shrink:
        # Figures that are too small to read ask for more room than there is.
        high = 2 * NEAR_MM + FIGURE_MM * shrink if shrink >= _LEAST_FIGURE_SHRINK else 1e6
    lines = max(len(_lines(cell, wide_mm)) for cell in cells)
    return high + (2 * NEAR_MM + lines * SENTENCE_EM_MM * LEADING if lines else 0.0)


def _lines(cell: _Cell, wide_mm: float) -> list[str]:
    return [line for each in cell.sentences for line in balanced(each, SENTENCE_EM_MM, wide_mm)]


def _draw_cells(easel: Easel, cells: list[_Cell], division: _Division, room: Rect) -> None:
    wide, high = division.wide_mm, division.high_mm
    heading = style("heading").em_mm
    em = max(0.75 * heading, min(fitted(cell.name, heading, wide, bold=True) for cell in cells))
    head, shrink = _head_mm(cells), _figure_shrink(cells, wide)
    boxes = [
        cell.stage.box_mm(scale, division.arrangement)
        for cell, scale in zip(cells, division.scales, strict=True)
    ]
    highest = max(box_high for _, box_high in boxes)
    for index, (cell, box) in enumerate(zip(cells, boxes, strict=True)):
        row, column = divmod(index, division.columns)
        left = room.left + column * (wide + GUTTER_MM)
        top = room.top + row * (high + GUTTER_MM)
        body = Rect(left, top + head, *box)
        if cell.name:
            name = shortened(cell.name, em, wide, bold=True)
            with easel.block(body.left, body.width):
                easel.text(name, left, top, "heading", level="top", em_mm=em)
        scale, arrangement = division.scales[index], division.arrangement
        cell.stage.draw(easel, cell.stage.places(body, scale, arrangement))
        x, y = left, body.top + highest + 2 * NEAR_MM
        with easel.block(body.left, body.width):
            for figure in cell.figures:
                draw_figure(easel, figure, x, y, shrink)
                x += (figure_width_mm(figure) + 2 * NEAR_MM) * shrink
            for line in _lines(cell, wide):
                small = fitted(line, SENTENCE_EM_MM, wide)
                easel.text(line, left, y, "label", level="top", em_mm=small)
                y += SENTENCE_EM_MM * LEADING
