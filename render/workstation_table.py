"""Many workstations in one table: what to enter on each, and how it feels."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from profiles.document import document_of
from profiles.times import TIME, shown
from render.tables import csv_lines, markdown_lines, text_lines
from render.words import fixed, number

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from profiles.document import Workstation

__all__ = ["TABLE_FORMS", "TABLE_UNITS", "TableRow", "table_row", "table_text"]

TABLE_FORMS = ("text", "csv", "markdown", "json")
#: What is typed to the key of the profile, its name in a head, and the places that a driver's form could take.
TABLE_UNITS = {
    "mm": ("mm", "mm", 3),
    "in": ("inch", "in", 4),
    "percent": ("percent", "%", 3),
    "counts": ("counts", "counts", 1),
}


@dataclass(frozen=True, slots=True)
class TableRow:
    """One workstation's rectangle to enter, in the unit of the table (built frame), and its figures; None: not known."""

    workstation: str
    left: float | None
    top: float | None
    width: float | None
    height: float | None
    scale_factor: float | None
    stretch: float
    revision: int | None
    kept: datetime | None


def table_row(workstation: Workstation, unit: str) -> TableRow:
    """The row of ``workstation``; the rounded rectangle where a driver's step was asked for."""
    profile = document_of(workstation)
    entered = profile.rounded or profile
    form = getattr(entered.area, TABLE_UNITS[unit][0])
    stretch = next(figures.stretch for figures in entered.figures if figures.display == profile.map.true_on)
    revision = workstation.revision
    return TableRow(
        workstation=workstation.name,
        left=form and form.left,
        top=form and form.top,
        width=form and form.width,
        height=form and form.height,
        scale_factor=entered.summary.scale_factor,
        stretch=stretch,
        revision=None if revision is None else revision.number,
        kept=None if revision is None else revision.kept,
    )


def table_text(rows: Sequence[TableRow], unit: str, form: str) -> str:
    """``rows`` as text, csv, markdown or json. For people rounded as a driver's form takes it; for machines in full."""
    names = ["left", "top", "width", "height"]
    if form == "json":
        return json.dumps([_plain(row, unit) for row in rows], indent=2, ensure_ascii=False) + "\n"
    if form == "csv":
        key = TABLE_UNITS[unit][0]
        head = ["workstation", *(f"{name}_{key}" for name in names), "scale_factor", "stretch", "revision", "kept"]
        return csv_lines([head, *(_csv_row(row) for row in rows)])
    head = [
        "workstation",
        *(f"{name} {TABLE_UNITS[unit][1]}" for name in names),
        "scale factor",
        "stretch",
        "revision",
        "kept",
    ]
    cells = [_cells(row, TABLE_UNITS[unit][2]) for row in rows]
    lines = markdown_lines(head, cells) if form == "markdown" else text_lines(head, cells)
    return "\n".join(lines) + "\n"


def _cells(row: TableRow, places: int) -> list[str]:
    lengths = ["" if value is None else fixed(value, places) for value in (row.left, row.top, row.width, row.height)]
    return [
        # A name may hold line ends, which a line cannot.
        " ".join(row.workstation.split()),
        *lengths,
        "" if row.scale_factor is None else fixed(row.scale_factor, 2),
        number(row.stretch, 4),
        "" if row.revision is None else str(row.revision),
        "" if row.kept is None else shown(row.kept),
    ]


def _csv_row(row: TableRow) -> list[object]:
    kept = row.kept and row.kept.strftime(TIME)
    values = (row.left, row.top, row.width, row.height, row.scale_factor, row.stretch, row.revision, kept)
    return [row.workstation, *("" if value is None else value for value in values)]


def _plain(row: TableRow, unit: str) -> dict[str, Any]:
    sides = {name: getattr(row, name) for name in ("left", "top", "width", "height")}
    area = None if row.width is None else {TABLE_UNITS[unit][0]: sides}
    plain = {
        "workstation": row.workstation,
        "area": area,
        "scale_factor": row.scale_factor,
        "stretch": row.stretch,
        "revision": row.revision,
        "kept": row.kept and row.kept.strftime(TIME),
    }
    return {key: value for key, value in plain.items() if value is not None}
