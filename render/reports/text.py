"""A map as plain text for the terminal."""

from __future__ import annotations

from typing import Any

from mapper.desk import Tablet
from mapper.mapping.entry import Entry
from mapper.mapping.forms import rect_forms
from mapper.mapping.solve import TabletMap
from mapper.phrases import in_line
from mapper.rect import Rect
from render.sentences.map_parts import form_parts, map_parts
from render.sentences.parts import Hint, Part, Row, Table
from render.sentences.say import say


def map_text(solved: TabletMap, entry: Entry | None = None, *, every_form: bool = True) -> str:
    """One map as text, made of ``render.sentences.map_parts``."""
    return _laid_out(map_parts(solved, entry, every_form=every_form))


def forms_text(rect_built_mm: Rect, tablet: Tablet) -> str:
    """One rectangle of the tablet in every form, and as seen where the tablet is turned."""
    return _laid_out(form_parts(rect_built_mm, tablet, say("In every form")))


def forms_data(rect_built_mm: Rect, tablet: Tablet) -> dict[str, Any]:
    """One rectangle of the tablet in every form as data, under the keys of a profile's ``area``."""
    forms: dict[str, Any] = dict(
        rect_forms(rect_built_mm, tablet.active_built_mm, tablet.counts_per_mm)
    )
    if tablet.turn_deg:
        forms["seen"] = rect_forms(
            tablet.seen_rect_mm(rect_built_mm), tablet.active_seen_mm, tablet.counts_per_mm
        )
    return forms


def _laid_out(parts: list[Part]) -> str:
    return "\n".join("\n".join(_lines(part)) + "\n" for part in parts)


def _lines(part: Part) -> list[str]:
    """The lines of one part of the report; what follows a heading or a figure is indented."""
    lines = [f"{part.heading}:"] if part.heading else []
    inner = bool(part.heading)
    for item in part.items:
        indent = "  " if inner else ""
        match item:
            case Row(label, value, remark):
                name = in_line(label)
                # What isolates a name takes no room.
                wide = 15 + len(name) - len(label)
                lines.append(f"  {name:<{wide}}{value:<13} {remark}".rstrip())
                inner = True
            case Table(labels, columns):
                lines += _table_lines(("", *labels), columns)
                inner = True
            case Hint(words, option):
                lines.append(f"{indent}{words}: {option}")
            case _:
                lines.append(f"{indent}{item}")
    return lines


def _table_lines(labels: tuple[str, ...], columns: tuple[tuple[str, ...], ...]) -> list[str]:
    widths = [max(map(len, column)) for column in columns]
    return [
        f"  {label:<15}"
        + "  ".join(
            f"{column[row]:>{width}}" for column, width in zip(columns, widths, strict=True)
        )
        for row, label in enumerate(labels)
    ]
