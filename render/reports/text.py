"""A map as plain text for the terminal."""

from __future__ import annotations

from mapper.desk import Tablet
from mapper.mapping.entry import Entry
from mapper.mapping.solve import TabletMap
from mapper.phrases import in_line
from mapper.rect import Rect
from render.sentences.map_parts import form_parts, map_parts
from render.sentences.parts import Hint, Part, Row, Table
from render.sentences.say import say
from render.terminal import folded

#: The columns of the label before a value.
_LABEL = 15


def map_text(solved: TabletMap, entry: Entry | None = None, *, every_form: bool = True) -> str:
    """One map as text, made of ``render.sentences.map_parts``."""
    return _laid_out(map_parts(solved, entry, every_form=every_form))


def forms_text(rect_built_mm: Rect, tablet: Tablet) -> str:
    """One rectangle of the tablet in every form, and as seen where the tablet is turned."""
    return _laid_out(form_parts(rect_built_mm, tablet, say("In every form")))


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
                wide = _LABEL + len(name) - len(label)
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
    lines: list[str] = []
    # The labels are the first column.
    for _, *group in folded([_LABEL - 2, *widths]):
        lines += [""] if lines else []
        lines += [
            f"  {label:<{_LABEL}}"
            + "  ".join(f"{columns[at - 1][row]:>{widths[at - 1]}}" for at in group)
            for row, label in enumerate(labels)
        ]
    return lines
