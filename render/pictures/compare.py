"""Several maps on one sheet at one scale, each with its picture and its numbers.

The numbers of the later maps say how far they are from those of the first.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from mapper.mapping.fits import FITS
from mapper.mapping.reach import in_reach_percent
from mapper.rect import Rect
from mapper.solving import solve
from render.canvas.lettering import CAP, LEADING, fitted, shortened, width_mm
from render.canvas.scene import Easel, Scene
from render.canvas.theme import style
from render.pictures.frame import SHEET_MM, draw_title, page
from render.pictures.panels import DEFAULT_PROBES, Demonstration
from render.pictures.preview import describe
from render.pictures.stage import BESIDE, Stage
from render.sentences.measures import bare_length, size
from render.sentences.say import Name, listed, say, say_count
from render.sentences.words import circle_words, map_title, number, oval_way, tilt_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.mapping.solve import TabletMap
    from profiles.strokes.drawing import Drawing

GUTTER_MM = 10.0
# The words go where they would leave the pictures less than this share of what they could have.
_LEAST_SHARE = 0.4
# What a layout with the facts below its pictures counts beside one with the facts at their side.
_BELOW_SHARE = 0.6
# How wide a map's name may be in a title, in letter sizes.
_NAME_EM = 15.0
NEAR_MM = 3.0


@dataclass(frozen=True, slots=True)
class Fact:
    """One line of numbers under a map: a name, its value, and the difference from the first map.

    The difference is empty where there is none.
    """

    words: str
    value: str
    change: str = ""


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
    shown = [Demonstration.of(solved, probes=probes, drawing=drawing) for _, solved in maps]
    title = _title(maps)
    easel = Easel(*size_mm)
    room = page(easel)
    if text:
        room = draw_title(easel, title, _subtitle(maps, shown), room)
    turned = any(tilt_words(_tilt_deg(solved)) for _, solved in maps)
    facts = [_facts(each, maps[0][1], units, turned=turned) if text else [] for _, each in maps]
    stages = [Stage(each, gap_mm=8.0) for each in shown]
    names = [name for name, _ in maps]
    least = (
        _LEAST_SHARE * _CellGrid(stages, names, [[] for _ in maps], room, named=text).best().scale
    )
    # On a sheet too small for all facts there are fewer, the most telling first.
    for most in (len(facts[0]), 3, 1, 0):
        grid = _CellGrid(stages, names, [each[:most] for each in facts], room, named=text)
        if grid.best().scale >= least:
            break
    grid.draw(easel)
    described = [
        say("{name}: {map}", name=Name(name), map=describe(solved, units=units))
        for name, solved in maps
    ]
    return easel.scene(
        title=title,
        description=" ".join(
            [say_count("One map.", "{count} maps side by side.", len(maps)), *described]
        ),
    )


def three_fits(solved: TabletMap) -> list[tuple[str, TabletMap]]:
    """One desk under each of the three fits, each under its name.

    An area that was set by hand is ignored.
    """
    request = replace(solved.request, area_built_mm=None, feel=None, step=None)
    return [(fit, solve(replace(request, fit=fit))) for fit in FITS]


def _title(maps: Sequence[tuple[str, TabletMap]]) -> str:
    """One sentence on what becomes of a circle under each map."""
    if len(maps) == 1:
        return map_title(maps[0][1])
    distortions = [solved.figures_on(solved.reference).distortion for _, solved in maps]
    shapes = [circle_words(shape) for shape in distortions]
    if len(set(shapes)) == 1:
        return _title_of_one_shape(maps, shapes[0])
    if len(maps) == 2:
        return say("A circle was {before}, and is now {now}", before=shapes[0], now=shapes[1])
    are_round = [oval_way(shape) == "round" for shape in distortions]
    return _title_of_two_shapes([name for name, _ in maps], are_round)


def _title_of_one_shape(maps: Sequence[tuple[str, TabletMap]], shape: str) -> str:
    """The title where every map makes the same of a circle."""
    turning = [(name, tilt) for name, each in maps if (tilt := tilt_words(_tilt_deg(each)))]
    if len(turning) == 1:
        name, tilt = turning[0]
        return say(
            "With {name} strokes come out turned {tilt}; with the others they do not",
            name=_name_in_title(name),
            tilt=tilt,
        )
    if len(maps) == 2:
        return say("A circle comes out {shape} on both", shape=shape)
    return say("A circle comes out {shape} on all {count}", shape=shape, count=str(len(maps)))


def _title_of_two_shapes(names: Sequence[str], are_round: Sequence[bool]) -> str:
    """The title where a circle stays round with some of the maps, or with none."""
    named = [_name_in_title(name) for name in names]
    oval = [name for name, is_round in zip(named, are_round, strict=True) if not is_round]
    if len(oval) == len(names):
        return say("{count} maps, and what each makes of a circle", count=str(len(names)))
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


def _subtitle(maps: Sequence[tuple[str, TabletMap]], shown: Sequence[Demonstration]) -> str:
    notes: list[str] = [
        say("All to one scale")
        if all(each.to_scale for each in shown)
        else say("Not to scale: the size of a display is not given")
    ]
    if any(each.has_ghosts for each in shown):
        notes.append(say("dashed: the round shape"))
    hatched = any(
        solved.summary.area_used_percent < 100 or solved.screen_px != solved.request.desktop.rect_px
        for _, solved in maps
    )
    if hatched:
        notes.append(say("hatched: not used"))
    if any(solved.request.tablet.turn_deg for _, solved in maps):
        notes.append(say("triangle: the tablet's top edge as built"))
    if len(maps) > 1:
        notes.append(say("in brackets: against {name}", name=_name_in_title(maps[0][0])))
    return "  ·  ".join(notes)


def _facts(solved: TabletMap, first: TabletMap, units: str, *, turned: bool) -> list[Fact]:
    now, then = (each.figures_on(each.reference) for each in (solved, first))
    facts = [Fact(say("a circle"), circle_words(now.distortion))]

    def fact(label: str, value: float | None, old: float | None, unit: str, places: int) -> None:
        if value is None:
            return
        change = ""
        if old is not None and solved is not first:
            # What is shown adds up: the difference of the two numbers as they are written.
            by = round(value, places) - round(old, places)
            sign = "+" if by > 0 else ""
            change = f"({sign}{number(by, places)})" if round(by, places) else ""
        facts.append(Fact(label, f"{number(value, places)}{unit}", change))

    fact(say("scale factor"), solved.summary.scale_factor, first.summary.scale_factor, "", 2)
    fact(
        say("angle error"), now.distortion.angle_error_deg, then.distortion.angle_error_deg, "°", 1
    )
    if turned:
        fact(say("all turned by"), now.tilt_deg, then.tilt_deg, "°", 1)
    fact(
        say("tablet used"),
        solved.summary.area_used_percent,
        first.summary.area_used_percent,
        " %",
        0,
    )
    fact(say("display reached"), in_reach_percent(solved), in_reach_percent(first), " %", 0)
    area = solved.area_built_mm
    left, top = bare_length(area.left, units), bare_length(area.top, units)
    where = say("at {left}, {top}", left=left, top=top)
    if solved.area_angle_deg:
        x, y = (bare_length(each, units) for each in area.centre)
        turned_by = number(solved.area_angle_deg, 1)
        where = say("turned {degrees}° about {x}, {y}", degrees=turned_by, x=x, y=y)
    if solved.request.tablet.turn_deg:
        where = say("{place}, as built", place=where)
    facts.append(Fact(say("to enter"), size(area.width, area.height, units), where))
    return facts


@dataclass(frozen=True, slots=True)
class _Cells:
    """How the sheet is divided: scale of the pictures, rows, columns, and where the facts stand."""

    scale: float
    rows: int
    columns: int
    facts_below: bool


class _CellGrid:
    """Cells in rows and columns, each with a name, the two bodies and the facts.

    Of all ways to divide the sheet, the one with the largest scale is taken.
    """

    def __init__(
        self,
        stages: list[Stage],
        names: list[str],
        facts: list[list[Fact]],
        room: Rect,
        *,
        named: bool,
    ) -> None:
        self.stages = stages
        self.names = names
        self.named = named
        self.facts = facts
        self.room = room
        self.em = style("label").em_mm
        if facts and facts[0]:
            self.key_mm = (
                max(width_mm(fact.words, self.em) for each in facts for fact in each) + 3.0
            )
            self.facts_width_mm = max(self._fact_width_mm(fact) for each in facts for fact in each)
        else:
            self.key_mm = self.facts_width_mm = 0.0

    def _fact_width_mm(self, fact: Fact) -> float:
        value = width_mm(fact.value, self.em, bold=True)
        return self.key_mm + value + (2.0 + width_mm(fact.change, self.em) if fact.change else 0.0)

    @property
    def _facts_height_mm(self) -> float:
        return max(map(len, self.facts)) * self.em * LEADING

    @property
    def _head_mm(self) -> float:
        return style("heading").em_mm * CAP + NEAR_MM if self.named else 0.0

    def _body(self, rows: int, columns: int, *, facts_below: bool) -> tuple[float, float]:
        """Width and height left for the two bodies in a cell, mm."""
        wide = (self.room.width - GUTTER_MM * (columns - 1)) / columns
        high = (self.room.height - GUTTER_MM * (rows - 1)) / rows - self._head_mm
        if not self.facts[0]:
            return wide, high
        if facts_below:
            return wide, high - self._facts_height_mm - 2 * NEAR_MM
        return wide - self.facts_width_mm - 2 * NEAR_MM, high

    def best(self) -> _Cells:
        """The division with the largest pictures; small lettering counts against it."""
        choices = [_Cells(0.0, 1, len(self.stages), True)]
        merits = [0.0]
        for rows in range(1, len(self.stages) + 1):
            columns = -(-len(self.stages) // rows)
            for below in (True, False) if self.facts[0] else (True,):
                wide, high = self._body(rows, columns, facts_below=below)
                if wide <= 1 or high <= 1 or (not below and self._facts_height_mm > high):
                    continue
                room = wide if below else self.facts_width_mm
                legibility = (
                    min(1.0, room / self.facts_width_mm) ** 2 if self.facts_width_mm else 1.0
                )
                scale = min(stage.scale(wide, high, BESIDE) for stage in self.stages)
                choices.append(_Cells(scale, rows, columns, below))
                # Facts are read beside the picture that they belong to, unless that makes it much
                # smaller.
                merits.append(scale * legibility * (_BELOW_SHARE if below else 1.0))
        return choices[max(range(len(choices)), key=merits.__getitem__)]

    def draw(self, easel: Easel) -> None:
        cells = self.best()
        wide, high = self._body(cells.rows, cells.columns, facts_below=cells.facts_below)
        cell_wide = (self.room.width - GUTTER_MM * (cells.columns - 1)) / cells.columns
        cell_high = (self.room.height - GUTTER_MM * (cells.rows - 1)) / cells.rows
        heading = style("heading").em_mm
        em = max(
            0.75 * heading, min(fitted(name, heading, cell_wide, bold=True) for name in self.names)
        )
        for index, stage in enumerate(self.stages):
            row, column = divmod(index, cells.columns)
            left = self.room.left + column * (cell_wide + GUTTER_MM)
            top = self.room.top + row * (cell_high + GUTTER_MM)
            if self.named:
                name = shortened(self.names[index], em, cell_wide, bold=True)
                easel.text(name, left, top, "heading", level="top", em_mm=em)
            body = Rect(left, top + self._head_mm, max(wide, 1.0), max(high, 1.0))
            stage.draw(easel, stage.places(body, cells.scale, BESIDE))
            if cells.facts_below:
                self._draw_facts(
                    easel, self.facts[index], left, body.bottom + 2 * NEAR_MM, cell_wide
                )
            else:
                self._draw_facts(
                    easel,
                    self.facts[index],
                    body.right + 2 * NEAR_MM,
                    body.top,
                    self.facts_width_mm,
                )

    def _draw_facts(
        self, easel: Easel, facts: list[Fact], x: float, y: float, room_mm: float
    ) -> None:
        shrink = min(1.0, room_mm / self.facts_width_mm) if facts else 1.0
        em = self.em * shrink
        for index, fact in enumerate(facts):
            at = y + index * em * LEADING
            easel.text(fact.words, x, at, "note", level="top", em_mm=em)
            easel.text(fact.value, x + self.key_mm * shrink, at, "fact", level="top", em_mm=em)
            if fact.change:
                after = (
                    x + self.key_mm * shrink + width_mm(fact.value, em, bold=True) + 2.0 * shrink
                )
                easel.text(fact.change, after, at, "note", level="top", em_mm=em)
