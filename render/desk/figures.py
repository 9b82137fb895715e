"""All figures of a map as a page: the report of the command line, laid out with headings and tables, and the matrices."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from render.reports.text import map_text

if TYPE_CHECKING:
    from mapper.mapping.entry import Entry
    from mapper.mapping.solve import TabletMap

#: What a hint of the command line adds for who types options.
_OPTION = re.compile(r":? --\S+( \S+)?$")


@dataclass(slots=True)
class Block:
    """A part of the report: its heading, sentences, and rows of a table whose first row is its head where ``headed``."""

    heading: str = ""
    sentences: list[str] = field(default_factory=list)
    rows: list[list[str]] = field(default_factory=list)
    headed: bool = False


def figure_blocks(told: TabletMap, entry: Entry) -> tuple[str, list[Block]]:
    """The report's first sentence, and its parts in their order."""
    first, _, rest = map_text(told, entry).partition("\n")
    blocks = []
    for part in re.split(r"\n{2,}", rest.strip("\n")):
        block = Block()
        for line in part.split("\n"):
            _add(block, line)
        blocks.append(block)
    return first, [*blocks, *_matrices(told)]


def _add(block: Block, line: str) -> None:
    """A line of the report: a heading ends with a colon, a row is indented and has its columns two spaces apart."""
    if not line.startswith(" "):
        if line.endswith(":") and not block.heading and not block.sentences:
            block.heading = line.removesuffix(":")
        else:
            block.sentences.append(_OPTION.sub(".", line))
        return
    cells = re.split(r" {2,}", line.strip())
    deep = len(line) - len(line.lstrip())
    if len(cells) == 1 and deep < 10:
        block.sentences.append(cells[0])
    elif deep > 10 and not block.rows and len(cells) > 1:
        # Heads of columns, over no label.
        block.rows.append(["", *cells])
        block.headed = True
    else:
        block.rows.append(["", *cells] if deep > 10 else cells)


def _matrices(told: TabletMap) -> list[Block]:
    named = {
        "mm of the tablet as built to px of the desktop": told.built_mm_to_desktop_px,
        "0 to 1 over the tablet as built to 0 to 1 over the desktop": told.built_unit_to_desktop_unit,
        "px of the desktop to mm of the tablet as built": told.desktop_px_to_built_mm,
    }
    return [
        Block(f"Matrix: {name}", rows=[["", *(f"{value:.9g}" for value in row)] for row in affine.rows])
        for name, affine in named.items()
    ]
