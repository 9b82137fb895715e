"""Many workstations in one table: what to enter on each, and its figures."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from profiles.plain import DATA_FORMS, data_text, headed
from profiles.times import TIME
from render.sentences.desk_table import SIDES, desk_row, row_cells, table_head
from render.sentences.forms import UNIT_WORDS
from render.tables import csv_lines, markdown_lines, text_lines

if TYPE_CHECKING:
    from collections.abc import Iterable

    from profiles.format.document import Workstation

#: What is typed after ``--unit``, and the unit that it means.
TABLE_UNITS = {words.option: name for name, words in UNIT_WORDS.items()}


def table_text(workstations: Iterable[Workstation], unit: str, form: str) -> str:
    """``workstations`` in one ``form``: text, csv, markdown, yaml or json.

    Numbers for people are rounded as a driver's form takes them; those for machines are in full.
    """
    key = TABLE_UNITS[unit]
    workstations = tuple(workstations)
    rows = [desk_row(workstation, key) for workstation in workstations]
    if form in DATA_FORMS:
        areas = [row["area"] and {"frame": "built", key: row["area"]} for row in rows]
        data = [{**row, "area": area} for row, area in zip(rows, areas, strict=True)]
        return data_text(headed("table", {"workstations": data}, "built"), form)
    rest = ("scale_factor", "stretch", "revision", "kept")
    if form == "csv":
        head = ["workstation", *(f"{side}_{key}" for side in SIDES), *rest]
        return csv_lines([head, *(_csv_cells(row, rest) for row in rows)])
    head, cells = table_head(key), [row_cells(each, key) for each in workstations]
    lines = markdown_lines(head, cells) if form == "markdown" else text_lines(head, cells)
    return "\n".join(lines) + "\n"


def _csv_cells(row: dict[str, Any], rest: tuple[str, ...]) -> list[object]:
    area = row["area"]
    row = {**row, "kept": row["kept"] and row["kept"].strftime(TIME)}
    values = (*(getattr(area, side, None) for side in SIDES), *(row[name] for name in rest))
    return [row["workstation"], *("" if value is None else value for value in values)]
