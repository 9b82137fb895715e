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
    """``rows`` of cells under ``head``, aligned: the first ``left`` columns to the left, the others
    to the right.

    What stands first is a name: of more than WIDEST columns it is cut, and shown whole where it is
    shown alone.
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
    """How many columns of a terminal ``text`` takes: wide characters two, combining ones none
    (Unicode annex 11).
    """
    if text.isascii():
        return len(text)
    return sum(
        0 if combining(char) else 2 if east_asian_width(char) in "WF" else 1 for char in text
    )


def markdown_lines(
    head: Sequence[str], rows: Iterable[Sequence[str]], *, left: int = 1
) -> list[str]:
    """The same as a Markdown table (GitHub Flavored Markdown, tables extension), bars in cells
    escaped.
    """
    rule = ["---" if at < left else "---:" for at in range(len(head))]
    return [
        "| " + " | ".join(cell.replace("\\", "\\\\").replace("|", "\\|") for cell in row) + " |"
        for row in (head, rule, *rows)
    ]


def csv_lines(rows: Iterable[Sequence[object]]) -> str:
    """``rows`` as CSV (RFC 4180 but for the line ends, which are LF)."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue()
