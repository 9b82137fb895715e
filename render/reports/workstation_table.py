"""Many workstations in one table: what to enter on each, and its figures."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mapper.mapping.forms import UNITS
from profiles.plain import DATA_FORMS, data_text, headed
from profiles.times import TIME, shown
from render.sentences.forms import UNIT_WORDS, side_heads
from render.sentences.say import say, say_again
from render.sentences.words import fixed, number
from render.tables import csv_lines, markdown_lines, text_lines

if TYPE_CHECKING:
    from collections.abc import Iterable

    from profiles.format.document import Workstation

#: What is typed after ``--unit``, and the unit that it means.
TABLE_UNITS = {words.option: name for name, words in UNIT_WORDS.items()}
_SIDES = ("left", "top", "width", "height")


def table_text(workstations: Iterable[Workstation], unit: str, form: str) -> str:
    """``workstations`` in one ``form``: text, csv, markdown, yaml or json.

    Numbers for people are rounded as a driver's form takes them; those for machines are in full.
    """
    key = TABLE_UNITS[unit]
    rows = [_row(workstation, key) for workstation in workstations]
    if form in DATA_FORMS:
        areas = [row["area"] and {"frame": "built", key: row["area"]} for row in rows]
        data = [{**row, "area": area} for row, area in zip(rows, areas, strict=True)]
        return data_text(headed("table", {"workstations": data}, "built"), form)
    rest = ("scale_factor", "stretch", "revision", "kept")
    if form == "csv":
        head = ["workstation", *(f"{side}_{key}" for side in _SIDES), *rest]
        return csv_lines([head, *(_csv_cells(row, rest) for row in rows)])
    head = [
        say("desk"),
        *side_heads(say_again(UNITS[key].sign)),
        say("scale factor"),
        say("stretch"),
        say("setting"),
        say("kept"),
    ]
    cells = [_cells(row, UNITS[key].places) for row in rows]
    lines = markdown_lines(head, cells) if form == "markdown" else text_lines(head, cells)
    return "\n".join(lines) + "\n"


def _row(workstation: Workstation, unit: str) -> dict[str, Any]:
    """The rectangle to enter in ``unit`` (built frame) and its figures; None where not known."""
    solved, revision = workstation.map, workstation.revision
    return {
        "workstation": workstation.name,
        "area": solved.forms.get(unit),
        "scale_factor": solved.summary.scale_factor,
        "stretch": solved.figures_on(solved.reference).distortion.stretch,
        "revision": revision and revision.number,
        "kept": revision and revision.kept,
    }


def _cells(row: dict[str, Any], places: int) -> list[str]:
    area, scale, kept = row["area"], row["scale_factor"], row["kept"]
    return [
        # A name may hold line ends, which a line cannot.
        " ".join(row["workstation"].split()),
        *(fixed(getattr(area, side), places) if area else "" for side in _SIDES),
        "" if scale is None else fixed(scale, 2),
        number(row["stretch"], 4),
        "" if kept is None else str(row["revision"]),
        "" if kept is None else shown(kept),
    ]


def _csv_cells(row: dict[str, Any], rest: tuple[str, ...]) -> list[object]:
    area = row["area"]
    row = {**row, "kept": row["kept"] and row["kept"].strftime(TIME)}
    values = (*(getattr(area, side, None) for side in _SIDES), *(row[name] for name in rest))
    return [row["workstation"], *("" if value is None else value for value in values)]
