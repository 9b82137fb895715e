"""The grid of what was tried: tablets down, displays across, as text, Markdown, CSV and data."""

from __future__ import annotations

from typing import Any

from profiles.library.tried import Study
from profiles.plain import DATA_FORMS, data_text, headed
from render.sentences.grid import (
    cell_words,
    expected_words,
    felt_words,
    median_word,
    unplaced_sentence,
    way_words,
)
from render.sentences.pairs import tablet_name
from render.sentences.say import say, say_count
from render.sentences.words import fixed, number
from render.tables import csv_lines, markdown_lines, text_lines


def grid_text(study: Study, form: str) -> str:
    """The grid as ``form`` text, markdown, csv, yaml or json."""
    grid = study.grid
    if form in DATA_FORMS:
        return data_text(headed("book-grid", {"pairings": _data(study)}), form)
    if form == "csv":
        data = _data(study)
        return csv_lines([list(data[0]), *(list(row.values()) for row in data)])
    head = [say("tablet"), *(display.label for display in grid.displays)]
    rows = [
        [
            tablet_name(tablet),
            *(cell_words(study, grid.cell(tablet, display)) for display in grid.displays),
        ]
        for tablet in grid.tablets
    ]
    if form == "markdown":
        return "\n".join(markdown_lines(head, rows, left=len(head))) + "\n"
    lines: list[str] = []
    for tablet in grid.tablets:
        lines += [tablet_name(tablet)]
        cells = []
        for display in grid.displays:
            cell = grid.cell(tablet, display)
            factor = "-" if cell.factor is None else fixed(cell.factor, 2)
            ways = way_words(cell)
            if ways:
                # Another map, seat or kind of work is another trial: no score is made of them all.
                count = say_count("{count} way", "{count} ways", len(ways))
                cells.append([display.label, "", count, f"{cell.days}"])
                for way, each in ways:
                    own = "-" if each.factor is None else fixed(each.factor, 2)
                    cells.append([f"  {way}", own, felt_words(each), f"{each.days}"])
            elif cell.tried:
                cells.append([display.label, factor, felt_words(cell), f"{cell.days}"])
            else:
                expected = say("not tried: {expected}", expected=expected_words(study, cell))
                cells.append([display.label, factor, expected, "-"])
        heads = [say("display"), say("scale factor"), say("how it felt"), say("days")]
        table = text_lines(heads, cells, left=1)
        lines += [*(f"  {line}" for line in table), ""]
    if grid.unplaced:
        lines += [unplaced_sentence(grid.unplaced), ""]
    lines.append(_expected_source(study))
    return "\n".join(lines) + "\n"


def _expected_source(study: Study) -> str:
    """Where the scores come from that are expected of what was not tried."""
    ends = {"low": number(study.suiting.low, 1), "high": number(study.suiting.high, 1)}
    if study.own:
        return say(
            "The expected scores come from your band, scale factors of {low} to {high}.", **ends
        )
    return say(
        "The expected scores come from common practice, scale factors of {low} to {high}.", **ends
    )


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
