"""The grid of what was tried: tablets down, displays across, as text, Markdown, CSV and data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from profiles.library.trial_book import SCORE_WORDS
from profiles.library.tried import Way
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
    ways = way_words(cell)
    if ways:
        return "; ".join(f"{way}: {felt_words(each)}, {_days(each)}" for way, each in ways)
    return f"{felt_words(cell)}; {_days(cell)}{factor}"


def _days(cell: Cell) -> str:
    return f"{cell.days} {'day' if cell.days == 1 else 'days'}"


def way_words(cell: Cell) -> list[tuple[str, Cell]]:
    """The ways in which one pairing was tried, each in words that say where they differ; none where there is one way."""
    ways = cell.ways
    if len(ways) < 2:
        return []
    differ = {name: len({getattr(way, name) for way in ways}) > 1 for name in Way.__slots__}
    told = []
    for way, each in ways.items():
        words = [way.doing if differ["doing"] else ""]
        if differ["scale_factor"]:
            words.append("factor not known" if way.scale_factor is None else f"factor {fixed(way.scale_factor, 2)}")
        if differ["stretch"]:
            shape = "shapes not known" if way.stretch is None else "circles stay round" if way.stretch == 1 else ""
            words.append(shape or f"stretched {fixed(100 * ((way.stretch or 1) - 1), 0)} %")
        if differ["distance_cm"]:
            words.append("seat not known" if way.distance_cm is None else f"eyes at {way.distance_cm} cm")
        told.append((", ".join(word for word in words if word), each))
    return told


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
            ways = way_words(cell)
            if ways:
                # Another map, seat or kind of work is another trial: no score is made of them all.
                told.append([display.label, "", f"{len(ways)} ways", f"{cell.days}"])
                for way, each in ways:
                    own = "-" if each.factor is None else fixed(each.factor, 2)
                    told.append([f"  {way}", own, felt_words(each), f"{each.days}"])
            elif cell.tried:
                told.append([display.label, factor, felt_words(cell), f"{cell.days}"])
            else:
                told.append([display.label, factor, f"not tried: {expected_words(study, cell)}", "-"])
        table = text_lines(["display", "factor", "how it felt", "days"], told, left=1)
        lines += [*(f"  {line}" for line in table), ""]
    if grid.unplaced:
        lines += [f"{grid.unplaced} entries give no tablet and display with sizes, and are in no cell.", ""]
    band = study.suiting
    whose = "your band" if study.own else "common practice"
    lines.append(f"The expected scores come from {whose}: factors of {fixed(band.low, 1)} to {fixed(band.high, 1)}.")
    return "\n".join(lines) + "\n"


def _data(study: Study) -> list[dict[str, Any]]:
    """A row for each way in which a pairing was tried, and one for each pairing that was not."""
    rows = []
    for cell in study.grid.cells.values():
        for way, each in cell.ways.items() or ((None, cell),):
            low, high = each.spread if each.tried else (None, None)
            rows.append(
                {
                    "tablet": cell.tablet,
                    "display": cell.display,
                    "doing": way.doing if way else None,
                    "scale_factor": None if each.factor is None else round(each.factor, 4),
                    "stretch": way.stretch if way else None,
                    "distance_cm": way.distance_cm if way else None,
                    "days": each.days,
                    "median": each.median if each.tried else None,
                    "quarter_below": low,
                    "quarter_above": high,
                    "felt": median_word(each) if each.tried else None,
                    "ways": len(cell.ways),
                    "expected": None if each.tried else expected_words(study, each),
                }
            )
    return rows
