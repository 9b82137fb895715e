"""Cells of CSV that a spreadsheet may open: a stranger's text is no formula there."""

from __future__ import annotations

import re

#: What a spreadsheet takes for the beginning of a formula (OWASP, "CSV Injection"), the wide forms
#: of it too; a number and a lone sign are none.
_SIGNS = r"=+\-@\t\r\n\uff1d\uff0b\uff0d\uff20"
_FORMULA = re.compile(f"[{_SIGNS}]")
_GUARDED = re.compile(f"'['{_SIGNS}]")


def guarded(cell: object) -> object:
    """A cell as it is written to CSV: a text that a spreadsheet would run gets a leading quote.

    A text that begins with a quote gets another one, so that ``unguarded`` finds the same text.
    Numbers stay as they are.
    """
    if not isinstance(cell, str) or len(cell) < 2:
        return cell
    if not cell.startswith("'") and (not _FORMULA.match(cell) or _is_number(cell)):
        return cell
    return f"'{cell}"


def unguarded(cell: str) -> str:
    """A cell that ``guarded`` wrote, as it was; any other one as it is."""
    return cell[1:] if _GUARDED.match(cell) else cell


def _is_number(cell: str) -> bool:
    try:
        float(cell.replace(",", "."))
    except ValueError:
        return False
    return True
