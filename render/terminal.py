"""How wide the terminal is, and which columns of a table stand side by side on it."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

#: So many columns stand before each line of a table that is part of a longer text.
_INDENT = 2


def terminal_columns() -> int | None:
    """How many columns the terminal has that shows standard output; None where none does."""
    try:
        return os.get_terminal_size(sys.stdout.fileno()).columns or None
    except (AttributeError, ValueError, OSError):  # no terminal, or it is closed
        return None


def folded(widths: Sequence[int], gap: int = 2) -> list[list[int]]:
    """Which columns of these ``widths`` stand side by side, for the terminal that shows them.

    All of them where there is room, or no terminal. Else the first stands in every group.
    """
    room = terminal_columns()
    if room is None or sum(widths) + gap * (len(widths) - 1) <= room - _INDENT:
        return [list(range(len(widths)))]
    groups = [[0]]
    for at in range(1, len(widths)):
        beside = sum(widths[each] + gap for each in groups[-1])
        if len(groups[-1]) > 1 and beside + widths[at] > room - _INDENT:
            groups.append([0])
        groups[-1].append(at)
    return groups
