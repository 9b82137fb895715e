"""The trial book for a person: a table of entries, and a calendar of what was tried."""

from __future__ import annotations

import calendar
from typing import TYPE_CHECKING

from mapper.phrases import in_line
from profiles.library.trial_book import SCORE_WORDS, day_of
from render.sentences.say import say, say_again
from render.sentences.words import number
from render.tables import text_lines

if TYPE_CHECKING:
    from collections.abc import Sequence

    from profiles.library.trial_book import Felt

_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def book_lines(book: Sequence[Felt]) -> list[str]:
    """The entries as a table, in the order given."""
    people = any(entry.who for entry in book)
    rows = []
    for entry in book:
        scale, angle = entry.figures.scale_factor, entry.figures.viewing_angle_deg
        cells = [
            entry.date,
            entry.workstation,
            entry.doing,
            f"{entry.score} {say_again(SCORE_WORDS[entry.score])}",
            "-" if entry.minutes is None else number(entry.minutes, 0),
            "-" if scale is None else number(scale),
            "-" if angle is None else f"{number(angle, 0)}°",
            in_line(" ".join((entry.note or "").split())),
        ]
        rows.append([cells[0], entry.who or "-", *cells[1:]] if people else cells)
    head: list[str] = [
        say("day"),
        *([say("who")] if people else []),
        say("desk"),
        say("doing"),
        say("score"),
        say("minutes"),
        say("scale factor"),
        say("view"),
        say("note"),
    ]
    # The note last and flush left: it is the only cell without an end.
    return text_lines(head, rows, left=5 if people else 4, note=True)


def calendar_lines(book: Sequence[Felt]) -> list[str]:
    """A page for each month with entries: on each day the letter of the workstation and its score.

    Where a day holds several entries the last one stands there, with a + after it.
    """
    stations = list(dict.fromkeys(entry.workstation for entry in book))
    letter = {name: _LETTERS[at] if at < len(_LETTERS) else "*" for at, name in enumerate(stations)}
    days: dict[tuple[int, int, int], list[Felt]] = {}
    for entry in book:
        day = day_of(entry)
        days.setdefault((day.year, day.month, day.day), []).append(entry)
    lines: list[str] = []
    for year, month in sorted({key[:2] for key in days}):
        lines += [
            f"{calendar.month_name[month]} {year}",
            " ".join(f"{name:<5}" for name in _WEEK).rstrip(),
        ]
        for week in calendar.Calendar().monthdayscalendar(year, month):
            cells = [_cell(day, days.get((year, month, day), []), letter) for day in week]
            lines.append(" ".join(f"{cell:<5}" for cell in cells).rstrip())
        lines.append("")
    lines += [f"{letter[name]}  {in_line(name)}" for name in stations]
    return lines


_WEEK = ("Mo", "Tu", "We", "Th", "Fr", "Sa", "Su")


def _cell(day: int, entries: list[Felt], letter: dict[str, str]) -> str:
    if not day:
        return ""
    if not entries:
        return f"{day:2}"
    last = entries[-1]
    return f"{day:2} {letter[last.workstation]}{last.score}{'+' if len(entries) > 1 else ''}"
