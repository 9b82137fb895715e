"""Tables in the forms that people paste elsewhere: aligned text, Markdown and CSV."""

from __future__ import annotations

import csv
import io
import re
from typing import TYPE_CHECKING
from unicodedata import category, combining, east_asian_width

from mapper.phrases import in_line
from profiles.csv_cells import guarded
from render import terminal

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence


#: The widest cell of a table for people, in columns of a terminal.
WIDEST = 60


def text_lines(
    head: Sequence[str],
    rows: Sequence[Sequence[str]],
    *,
    left: int = 1,
    note: bool = False,
) -> list[str]:
    """``rows`` of cells under ``head`` as aligned lines of text.

    The first ``left`` columns are flush left, and the last where it is a ``note``; the others are
    flush right. A first cell of more than WIDEST columns, or half a terminal, is cut: it is a name,
    which is shown in full elsewhere. On a terminal that is too narrow the table is folded: the
    columns that find no room follow below, beside the first again.
    """
    widest = min(WIDEST, (terminal.terminal_columns() or 2 * WIDEST) // 2)
    rows = [[in_line(_cut(row[0], widest)), *map(in_line, row[1:])] for row in rows]
    widths = [max(map(_columns, column)) for column in zip(head, *rows, strict=True)]
    flush_left = {*range(left), *([len(head) - 1] if note else [])}
    lines: list[str] = []
    for columns in terminal.folded(widths):
        lines += [""] if lines else []
        lines += [
            "  ".join(
                _padded(row[at], widths[at], left=at in flush_left) for at in columns
            ).rstrip()
            for row in (head, *rows)
        ]
    return lines


def _cut(cell: str, widest: int) -> str:
    if _columns(cell) <= widest:
        return cell
    kept = cell
    while _columns(kept) > widest - 1:
        kept = kept[:-1] if len(kept) <= 2 * widest else kept[: 2 * widest]
    return f"{kept.rstrip()}\N{HORIZONTAL ELLIPSIS}"


def _padded(cell: str, width: int, *, left: bool) -> str:
    spaces = " " * (width - _columns(cell))
    return cell + spaces if left else spaces + cell


def _columns(text: str) -> int:
    """The columns of a terminal that ``text`` takes (Unicode annex 11).

    Wide characters take two, combining ones and marks of direction none.
    """
    if text.isascii():
        return len(text)
    drawn = [char for char in text if not combining(char) and category(char) != "Cf"]
    return len(drawn) + sum(east_asian_width(char) in "WF" for char in drawn)


def markdown_lines(
    head: Sequence[str], rows: Iterable[Sequence[str]], *, left: int = 1
) -> list[str]:
    """``rows`` of cells under ``head`` as a Markdown table, in which cells are text.

    The grammar is the tables extension of GitHub Flavored Markdown.
    """
    rule = ["---" if at < left else "---:" for at in range(len(head))]
    return [
        "| " + " | ".join(row) + " |"
        for row in (map(markdown_text, head), rule, *(map(markdown_text, row) for row in rows))
    ]


_MARKUP = re.compile(r"[\\|<>&*_`~\[\]]|:(?=//)|(?<=\bwww)\.", re.IGNORECASE)


def markdown_text(text: str) -> str:
    """``text`` so that Markdown shows it as it is: names come from strangers.

    What would be a mark, a tag, a link or a line of its own there is escaped (CommonMark 0.31,
    backslash escapes; autolinks of GitHub Flavored Markdown).
    """
    return _MARKUP.sub(lambda found: f"\\{found.group()}", in_line(text))


def csv_lines(rows: Iterable[Sequence[object]]) -> str:
    """``rows`` as CSV (RFC 4180, but lines end in LF), safe to open in a spreadsheet."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows([*map(guarded, row)] for row in rows)
    return out.getvalue()
