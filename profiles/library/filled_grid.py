"""Entries of the trial book from a filled-in grid or log of a spreadsheet.

A grid has tablets down and displays across, and in each cell the scores of one or several days:
``4``, ``5 4 4``, ``good``. It names no days: its scores are put on days of their own, the last on
the day given.

A log has one line an entry and a first line that names its columns, in any language: ``date``,
``tablet``, ``display`` and ``score``, and, where they are there, ``who``, ``doing`` (``drawing 90,
writing 10``), ``minutes``, ``distance`` (with its unit), ``first day`` and ``note``.

Comma, semicolon, tab or bar part the cells. Tablets and displays are in shorthand, or names that
were given with their sizes beside the file.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING, Any, TypeVar

from msgspec.structs import replace

from mapper.choosing.pairing import pair
from mapper.choosing.viewing import visual_angle_deg
from mapper.desk import Display, Tablet
from mapper.phrases import phrase
from mapper.problems import Collected, Problem, RequestError, nearest, quoted
from profiles.doubts import doubt
from profiles.files import at_line
from profiles.library.trial_book import (
    SCORE_WORDS,
    Felt,
    FeltFigures,
    cell_number,
    parse_day,
    parse_doing,
    yes_or_no,
)
from profiles.lists import csv_rows, decoded, one_display, one_tablet, refuse_all, require_column
from profiles.times import iso_day
from profiles.trade_words import LOG_HEADINGS, folded
from profiles.unlikely import likely_length_mm

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

Thing = TypeVar("Thing", Tablet, Display)

_COLUMNS = (
    "date",
    "tablet",
    "display",
    "score",
    "who",
    "doing",
    "minutes",
    "distance",
    "first day",
    "note",
)
_NEEDED = ("tablet", "display", "score")
_SCORES = {word: score for score, word in SCORE_WORDS.items()} | {"joy": 5}


@dataclass(frozen=True, slots=True)
class GridDefaults:
    """What the file does not contain.

    ``date`` and ``who`` are for cells without one; then the work, the distance, and tablets and
    displays by name.
    """

    date: str
    who: str | None = None
    doing: str = "drawing"
    distance_mm: float | None = None
    tablets: tuple[Tablet, ...] = ()
    displays: tuple[Display, ...] = ()


def filled_grid(content: bytes, name: str, given: GridDefaults) -> list[Felt]:
    """The entries of a grid or a log.

    Raises RequestError with all that is wrong, each with its line and column.
    """
    text = decoded(content, name)
    first = next((number for number, line in enumerate(text.splitlines(), 1) if line.strip()), None)
    if first is None:
        raise RequestError(
            Problem(name, phrase("must hold a heading line and scores"), phrase("an empty file"))
        )
    rows = [
        (line, [cell.strip() for cell in row])
        for line, row in csv_rows(text, name, header_line=first)
    ]
    head = [_column(cell) for cell in rows[0][1]]
    if "score" not in head and head.count("note"):
        # A mark is a note where German or French is spoken.
        head[head.index("note")] = "score"
    named = [column for column in head if column in _COLUMNS]
    read = _Rows(name, given)
    if len(named) >= 2:
        read.log(head, rows[1:])
    else:
        read.grid(rows[0][1], rows[1:])
        last = parse_day(given.date, "--date")
        days = (last - timedelta(days=ago) for ago in range(len(read.found) - 1, -1, -1))
        read.found = [
            replace(felt, date=day.isoformat()) for felt, day in zip(read.found, days, strict=True)
        ]
    refuse_all(read.problems, name)
    if not read.found:
        raise RequestError(Problem(name, phrase("must hold at least one score"), phrase("none")))
    return read.found


def _column(cell: str) -> str:
    """The column that a heading names without its brackets, else the heading itself."""
    words = re.findall(r"[^\W_]+", folded(re.sub(r"\(.*?\)", "", cell)))
    return LOG_HEADINGS.get("_".join(words), cell.lower())


class _Rows:
    """The entries of a grid or a log as they are read, with the problems of its cells."""

    def __init__(self, name: str, given: GridDefaults) -> None:
        self.name, self.given = name, given
        self.found: list[Felt] = []
        self.problems: list[Problem] = []
        self.things: dict[tuple[str, object], Any] = {}

    def grid(self, head: list[str], rows: Iterable[tuple[int, list[str]]]) -> None:
        """Read a grid: the headings are displays, the first cell of each row is a tablet."""
        first = at_line(self.name, 1)
        displays = [
            self.thing(cell, first, self.given.displays, one_display) if cell else None
            for cell in head[1:]
        ]
        for number, row in rows:
            where = at_line(self.name, number)
            tablet = self.thing(row[0], where, self.given.tablets, one_tablet) if row[0] else None
            for at, cell in enumerate(row[1:]):
                self.cell(
                    phrase("{place}, column {column}", place=where, column=at + 2),
                    cell,
                    tablet,
                    displays[at] if at < len(displays) else None,
                )

    def thing(
        self, cell: str, where: str, known: tuple[Thing, ...], parse: Callable[[str, str], Thing]
    ) -> Thing | None:
        """The tablet or display in a cell, None where it is wrong.

        Each is read, and doubted, once, however often it stands there.
        """
        with Collected(self.problems):
            if (cell, parse) not in self.things:
                self.things[cell, parse] = _thing(cell, where, known, parse)
        thing: Thing | None = self.things.get((cell, parse))
        return thing

    def cell(self, place: str, cell: str, tablet: Tablet | None, display: Display | None) -> None:
        """Read the scores in one cell of a grid."""
        with Collected(self.problems):
            scores = _scores(cell, place)
            if scores and not (tablet and display) and not self.problems:
                raise RequestError(
                    Problem(
                        place,
                        phrase("has no tablet beside it or no display above it"),
                        quoted(cell),
                    )
                )
            if tablet and display:
                for day, score in enumerate(scores):
                    self.found.append(
                        self._entry_of(place, tablet, display, score, {}, first_day=day == 0)
                    )

    def log(self, head: list[str], rows: Iterable[tuple[int, list[str]]]) -> None:
        """Read a log, whose columns are named in ``head``."""
        require_column(head, _NEEDED, _COLUMNS, at_line(self.name, 1))
        unknown = [column for column in head if column and column not in _COLUMNS]
        if unknown:
            doubt(
                phrase(
                    "ignored, since no such column is known: {columns}",
                    columns=", ".join(map(quoted, unknown)),
                ),
                self.name,
            )
        rows = list(rows)
        if "date" not in head and len(rows) > 1:
            must = phrase("must name the column date, as there is more than one entry")
            raise RequestError(
                Problem(
                    at_line(self.name, 1),
                    must,
                    quoted(",".join(head)),
                    phrase("The columns are {columns}", columns=", ".join(_COLUMNS)),
                )
            )
        for number, row in rows:
            self.entry(
                at_line(self.name, number),
                {column: cell for column, cell in zip(head, row, strict=False) if cell},
            )

    def entry(self, where: str, cells: dict[str, str]) -> None:
        """Read one line of a log, whose cells are given by column."""
        tablet = self.thing(cells.get("tablet", ""), where, self.given.tablets, one_tablet)
        display = self.thing(cells.get("display", ""), where, self.given.displays, one_display)
        with Collected(self.problems):
            scores = _scores(cells.get("score", ""), phrase("{where}, score", where=where))
            if not scores:
                raise RequestError(
                    Problem(
                        phrase("{where}, score", where=where),
                        phrase("must be a score from 1 to 5"),
                        phrase("none"),
                    )
                )
            if tablet and display:
                self.found += [
                    self._entry_of(where, tablet, display, score, cells, first_day=None)
                    for score in scores
                ]

    def _entry_of(
        self,
        where: str,
        tablet: Tablet,
        display: Display,
        score: int,
        cells: dict[str, str],
        *,
        first_day: bool | None,
    ) -> Felt:
        """The entry of one score, with the figures of the pairing."""
        given, figures = self.given, pair(tablet, display)
        distance = (
            likely_length_mm(
                cells["distance"], phrase("{place}, distance", place=where), "--distance"
            )
            if "distance" in cells
            else given.distance_mm
        )
        doing, shares = parse_doing(cells.get("doing", given.doing))
        if "first day" in cells:
            first_day = yes_or_no(cells["first day"], phrase("{place}, first day", place=where))
        seen = None
        if distance is not None and display.width_mm is not None:
            seen = visual_angle_deg(display.width_mm, distance)
        date = iso_day(cells.get("date", given.date))
        parse_day(date, phrase("{place}, date", place=where))
        return Felt(
            evenstroke_trial=1,
            workstation=f"{tablet.label} with {display.label}",
            date=date,
            doing=doing,
            shares=shares,
            score=score,
            minutes=cell_number(cells["minutes"], phrase("{place}, minutes", place=where))
            if "minutes" in cells
            else None,
            who=cells.get("who", given.who),
            note=cells.get("note"),
            tablet=tablet.label,
            display=display.label,
            first_day=first_day,
            figures=FeltFigures(
                scale_factor=figures.scale_factor,
                stretch=1.0,
                area_width_mm=figures.area_width_mm,
                area_height_mm=figures.area_height_mm,
                area_lost_percent=max(0.0, figures.area_lost_percent),
                distance_mm=distance,
                viewing_angle_deg=seen,
                tablet_width_mm=tablet.width_mm,
                tablet_height_mm=tablet.height_mm,
                display_width_mm=display.width_mm,
                display_height_mm=display.height_mm,
            ),
        )


def _thing(
    cell: str, where: str, known: tuple[Thing, ...], parse: Callable[[str, str], Thing]
) -> Thing:
    """The tablet or display in a cell: one of ``known`` by its label, else in shorthand."""
    for each in known:
        if each.label == cell:
            return each
    try:
        return parse(cell, where)
    except RequestError:
        near = nearest(cell, [each.label for each in known])
        if near:
            must = phrase("must be a size or one of the names given")
            raise RequestError(
                Problem(where, must, quoted(cell), phrase("Did you mean {near}?", near=near))
            ) from None
        raise


def _scores(cell: str, where: str) -> list[int]:
    """The scores of a cell, one a day; empty where nothing was tried."""
    text = cell.strip().lower()
    if text in {"", "-", "\u2013", "\u2014"}:
        return []
    if text in _SCORES:
        return [_SCORES[text]]
    if re.fullmatch(r"\d,\d", text):
        must = phrase(
            "must be whole scores: a day's own score, or those of several days with a blank "
            "between them"
        )
        raise RequestError(
            Problem(
                where,
                must,
                quoted(cell),
                phrase("For two days type {scores}", scores=text.replace(",", " ")),
            )
        )
    parts = re.split(r"[\s,;/]+", text)
    if all(re.fullmatch("[1-5]", part) for part in parts):
        return [int(part) for part in parts]
    must = phrase(
        "must be whole scores from 1 to 5, a blank between the days, or a word of {words}",
        words=", ".join(SCORE_WORDS.values()),
    )
    raise RequestError(Problem(where, must, quoted(cell), phrase("Type for example 4 or 5 4 4")))
