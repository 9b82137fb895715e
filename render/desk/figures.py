"""All figures of a map as a page: the parts of the report, and the matrices."""

from __future__ import annotations

from typing import TYPE_CHECKING

from profiles.written import factor
from render.sentences.map_parts import map_parts
from render.sentences.parts import Part, Table
from render.sentences.say import in_order, say

if TYPE_CHECKING:
    from mapper.affine import Affine
    from mapper.mapping.entry import Entry
    from mapper.mapping.solve import TabletMap


def figure_parts(solved: TabletMap, entry: Entry) -> tuple[str, list[Part]]:
    """The report's first sentence, and its parts in their order, the matrices last."""
    first, *parts = map_parts(solved, entry)
    sentence, *others = first.items
    matrices: dict[str, Affine] = {
        say(
            "Matrix: mm on the tablet, when not turned, to px on the desktop"
        ): solved.built_mm_to_desktop_px,
        say(
            "Matrix: 0 to 1 over the tablet, when not turned, to 0 to 1 over the desktop"
        ): solved.built_unit_to_desktop_unit,
        say(
            "Matrix: px on the desktop to mm on the tablet, when not turned"
        ): solved.desktop_px_to_built_mm,
    }
    return str(sentence), [
        *([Part(others)] if others else []),
        *parts,
        *(Part([_matrix(affine)], name) for name, affine in matrices.items()),
    ]


def _matrix(affine: Affine) -> Table:
    columns = zip("xy1", *affine.rows, strict=True)
    return Table(
        ("x'", "y'", "1"),
        tuple(
            (head, *(in_order(f"{factor(value):.9g}") for value in column))
            for head, *column in columns
        ),
    )
