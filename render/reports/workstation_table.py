"""Many workstations in one table: what to enter on each, and how it feels."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from mapper.mapping.forms import rect_forms
from profiles.plain import json_text
from profiles.times import TIME, shown
from render.tables import csv_lines, markdown_lines, text_lines
from render.words import fixed, number

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from mapper.mapping.forms import RectForm
    from profiles.format.document import Workstation

TABLE_FORMS = ("text", "csv", "markdown", "json")
#: What is typed to the key of the profile, its name in a head, and the places that a driver's form could take.
TABLE_UNITS = {
    "mm": ("mm", "mm", 3),
    "in": ("inch", "in", 4),
    "percent": ("percent", "%", 3),
    "counts": ("counts", "counts", 1),
}
_SIDES = ("left", "top", "width", "height")


@dataclass(frozen=True, slots=True)
class TableRow:
    """One workstation's rectangle to enter, in the unit of the table (built frame), and its figures; None: not known."""

    workstation: str
    area: RectForm | None
    scale_factor: float | None
    stretch: float
    revision: int | None
    kept: datetime | None


def table_row(workstation: Workstation, unit: str) -> TableRow:
    """The row of ``workstation``."""
    solved = workstation.map
    tablet = solved.request.tablet
    forms = rect_forms(solved.area_built_mm, tablet.active_built_mm, tablet.counts_per_mm)
    revision = workstation.revision
    return TableRow(
        workstation=workstation.name,
        area=forms.get(TABLE_UNITS[unit][0]),
        scale_factor=solved.summary.scale_factor,
        stretch=solved.figures_on(solved.reference).distortion.stretch,
        revision=None if revision is None else revision.number,
        kept=None if revision is None else revision.kept,
    )


def table_text(rows: Sequence[TableRow], unit: str, form: str) -> str:
    """``rows`` as text, csv, markdown or json. For people rounded as a driver's form takes it; for machines in full."""
    if form == "json":
        return json_text([_plain(row, unit) for row in rows])
    if form == "csv":
        key = TABLE_UNITS[unit][0]
        head = ["workstation", *(f"{name}_{key}" for name in _SIDES), "scale_factor", "stretch", "revision", "kept"]
        return csv_lines([head, *(_csv_row(row) for row in rows)])
    head = [
        "workstation",
        *(f"{name} {TABLE_UNITS[unit][1]}" for name in _SIDES),
        "scale factor",
        "stretch",
        "revision",
        "kept",
    ]
    cells = [_cells(row, TABLE_UNITS[unit][2]) for row in rows]
    lines = markdown_lines(head, cells) if form == "markdown" else text_lines(head, cells)
    return "\n".join(lines) + "\n"


def _sides(row: TableRow) -> tuple[float | None, ...]:
    area = row.area
    return (None,) * len(_SIDES) if area is None else (area.left, area.top, area.width, area.height)


def _cells(row: TableRow, places: int) -> list[str]:
    lengths = ["" if value is None else fixed(value, places) for value in _sides(row)]
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
    values = (*_sides(row), row.scale_factor, row.stretch, row.revision, kept)
    return [row.workstation, *("" if value is None else value for value in values)]


def _plain(row: TableRow, unit: str) -> dict[str, Any]:
    area = None if row.area is None else {TABLE_UNITS[unit][0]: dict(zip(_SIDES, _sides(row), strict=True))}
    return {
        "workstation": row.workstation,
        "area": area,
        "scale_factor": row.scale_factor,
        "stretch": row.stretch,
        "revision": row.revision,
        "kept": row.kept,
    }
