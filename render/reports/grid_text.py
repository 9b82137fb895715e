"""The grid of what was tried: tablets down, displays across, as text, Markdown, CSV and data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from profiles.library.trial_book import SCORE_WORDS
from profiles.plain import json_text
from render.reports.pairs import FEEL, tablet_name
from render.tables import csv_lines, markdown_lines, text_lines
from render.words import fixed, number

if TYPE_CHECKING:
    from profiles.library.tried import Cell, Study

GRID_FORMS = ("text", "markdown", "csv", "json")


def felt_words(cell: Cell) -> str:
    """``good, 4 (3 to 5)``: the median in words and as a mark, with the marks that leave a quarter out on each side."""
    low, high = cell.spread
    spread = f" ({low} to {high})" if high > low else ""
    return f"{median_word(cell)}, {number(cell.median, 1)}{spread}"


def median_word(cell: Cell) -> str:
    """The word of the median; between two marks, both."""
    low, high = int(cell.median), -int(-cell.median // 1)
    return SCORE_WORDS[low] if low == high else f"{SCORE_WORDS[low]} to {SCORE_WORDS[high]}"


def expected_words(study: Study, cell: Cell) -> str:
    """What the band expects of a pairing that nobody tried."""
    if cell.factor is None:
        return "size not known"
    verdict = study.suiting.verdict(cell.factor)
    if verdict == "perhaps":
        return "may suit"
    band = study.suiting
    side = "below" if cell.factor < band.low else "above" if cell.factor > band.high else "inside"
    return "should suit" if side == "inside" else FEEL[side]


def cell_words(study: Study, cell: Cell) -> str:
    """All that is known of a cell in one line."""
    factor = "" if cell.factor is None else f"; factor {fixed(cell.factor, 2)}"
    if not cell.tried:
        return f"not tried: {expected_words(study, cell)}{factor}"
    days = f"{cell.days} {'day' if cell.days == 1 else 'days'}"
    ways = f"; {len(cell.variants)} ways" if len(cell.variants) > 1 else ""
    return f"{felt_words(cell)}; {days}{factor}{ways}"


def grid_text(study: Study, form: str) -> str:
    """The grid in one of GRID_FORMS."""
    grid = study.grid
    if form == "json":
        return json_text(_data(study))
    if form == "csv":
        return csv_lines([list(_data(study)[0]), *(list(row.values()) for row in _data(study))])
    head = ["tablet", *(display.label for display in grid.displays)]
    rows = [
        [tablet_name(tablet), *(cell_words(study, grid.cell(tablet, display)) for display in grid.displays)]
        for tablet in grid.tablets
    ]
    if form == "markdown":
        return "\n".join(markdown_lines(head, rows, left=len(head))) + "\n"
    lines: list[str] = []
    for tablet in grid.tablets:
        lines += [tablet_name(tablet)]
        told = []
        for display in grid.displays:
            cell = grid.cell(tablet, display)
            factor = "-" if cell.factor is None else fixed(cell.factor, 2)
            if cell.tried:
                told.append([display.label, factor, felt_words(cell), f"{cell.days}"])
            else:
                told.append([display.label, factor, f"not tried: {expected_words(study, cell)}", "-"])
        table = text_lines(["display", "factor", "how it felt", "days"], told, left=1)
        lines += [f"  {line}" for line in table]
        lines += [f"  {line}" for display in grid.displays for line in _ways(grid.cell(tablet, display))] + [""]
    if grid.unplaced:
        lines += [f"{grid.unplaced} entries name no tablet and display with their sizes, and stand in no cell.", ""]
    band = study.suiting
    whose = "your band" if study.own else "the common practice"
    lines.append(f"What is expected comes from {whose}: factors of {fixed(band.low, 1)} to {fixed(band.high, 1)}.")
    return "\n".join(lines) + "\n"


def _ways(cell: Cell) -> list[str]:
    """The ways in which one pairing was tried, where there are several."""
    if len(cell.variants) < 2:
        return []
    told = []
    for scale, seat, doing in cell.variants:
        seat_words = "" if seat is None else f" from {number(seat, 0)} cm"
        told.append(f"{doing} at {'-' if scale is None else number(scale)}{seat_words}")
    return [f"{cell.display}, told apart: {'; '.join(told)}"]


def _data(study: Study) -> list[dict[str, Any]]:
    rows = []
    for cell in study.grid.cells.values():
        low, high = cell.spread if cell.tried else (None, None)
        rows.append(
            {
                "tablet": cell.tablet,
                "display": cell.display,
                "scale_factor": None if cell.factor is None else round(cell.factor, 4),
                "days": cell.days,
                "median": cell.median if cell.tried else None,
                "quarter_below": low,
                "quarter_above": high,
                "felt": median_word(cell) if cell.tried else None,
                "ways": len(cell.variants),
                "expected": None if cell.tried else expected_words(study, cell),
            }
        )
    return rows
