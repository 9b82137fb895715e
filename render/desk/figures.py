"""All figures of a map as a page: the parts of the report, laid out with headings and tables, and the matrices."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from render.sentences.map_parts import map_parts
from render.sentences.parts import Hint, Row, Table

if TYPE_CHECKING:
    from mapper.affine import Affine
    from mapper.mapping.entry import Entry
    from mapper.mapping.solve import TabletMap
    from render.sentences.parts import Part


@dataclass(slots=True)
class Block:
    """A part as the page lays it out: its heading, a table whose first row is its head where ``headed``, and sentences."""

    heading: str = ""
    rows: list[list[str]] = field(default_factory=list)
    headed: bool = False
    sentences: list[str] = field(default_factory=list)


def figure_blocks(told: TabletMap, entry: Entry) -> tuple[str, list[Block]]:
    """The report's first sentence, and its parts in their order, the matrices last."""
    first, *parts = (_block(part) for part in map_parts(told, entry))
    sentence, *others = first.sentences
    return sentence, [*([Block(sentences=others)] if others else []), *parts, *_matrices(told)]


def _block(part: Part) -> Block:
    block = Block(part.heading)
    for item in part.items:
        match item:
            case Row(label, value, remark):
                block.rows.append([label, value, remark])
            case Table(labels, columns):
                block.rows += [list(row) for row in zip(("", *labels), *columns, strict=True)]
                block.headed = True
            case Hint(words):
                block.sentences.append(f"{words}.")
            case _:
                block.sentences.append(item)
    return block


def _matrices(told: TabletMap) -> list[Block]:
    named: dict[str, Affine] = {
        "mm of the tablet as built to px of the desktop": told.built_mm_to_desktop_px,
        "0 to 1 over the tablet as built to 0 to 1 over the desktop": told.built_unit_to_desktop_unit,
        "px of the desktop to mm of the tablet as built": told.desktop_px_to_built_mm,
    }
    return [
        Block(f"Matrix: {name}", [["", *(f"{value:.9g}" for value in row)] for row in affine.rows])
        for name, affine in named.items()
    ]
