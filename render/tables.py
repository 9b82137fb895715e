"""Tables in the forms that people paste elsewhere: aligned text, Markdown and CSV."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING
from unicodedata import combining, east_asian_width

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence


#: The widest cell of a table for people, in columns of a terminal.
WIDEST = 60


def text_lines(head: Sequence[str], rows: Sequence[Sequence[str]], *, left: int = 1) -> list[str]:
    """``rows`` of cells under ``head`` as aligned lines of text.

    The first ``left`` columns are flush left, the others flush right. A first cell of more than
    WIDEST columns is cut: it is a name, which is shown in full elsewhere.
    """
    rows = [[_cut(row[0]), *row[1:]] for row in rows]
    widths = [max(map(_columns, column)) for column in zip(head, *rows, strict=True)]
    return [
        "  ".join(
            _padded(cell, width, left=at < left)
            for at, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in (head, *rows)
    ]


def _cut(cell: str) -> str:
    if _columns(cell) <= WIDEST:
        return cell
    kept = cell
    while _columns(kept) > WIDEST - 1:
        kept = kept[:-1] if len(kept) <= 2 * WIDEST else kept[: 2 * WIDEST]
    return f"{kept.rstrip()}\N{HORIZONTAL ELLIPSIS}"


def _padded(cell: str, width: int, *, left: bool) -> str:
    spaces = " " * (width - _columns(cell))
    return cell + spaces if left else spaces + cell


def _columns(text: str) -> int:
    """The columns of a terminal that ``text`` takes (Unicode annex 11).

    Wide characters take two, combining ones none.
    """
    if text.isascii():
        return len(text)
    drawn = [char for char in text if not combining(char)]
    return len(drawn) + sum(east_asian_width(char) in "WF" for char in drawn)


def markdown_lines(
    head: Sequence[str], rows: Iterable[Sequence[str]], *, left: int = 1
) -> list[str]:
    """``rows`` of cells under ``head`` as a Markdown table, with bars in cells escaped.

    The grammar is the tables extension of GitHub Flavored Markdown.
    """
    rule = ["---" if at < left else "---:" for at in range(len(head))]
    return [
        "| " + " | ".join(cell.replace("\\", "\\\\").replace("|", "\\|") for cell in row) + " |"
        for row in (head, rule, *rows)
    ]


def csv_lines(rows: Iterable[Sequence[object]]) -> str:
    """``rows`` as CSV (RFC 4180, but lines end in LF)."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue()
