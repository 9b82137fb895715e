"""The trial book for a person: a table of entries, and a calendar of what was tried."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mapper.phrases import in_line
from profiles.library.trial_book import SCORE_WORDS
from render.sentences.months import desk_letters, months_of, week_days
from render.sentences.say import say, say_again
from render.sentences.words import number
from render.tables import text_lines

if TYPE_CHECKING:
    from collections.abc import Sequence

    from profiles.library.trial_book import Felt


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
    letter = desk_letters(book)
    lines: list[str] = []
    for month in months_of(book):
        lines += [month.title, " ".join(f"{name:<5}" for name in week_days()).rstrip()]
        for week in month.weeks:
            cells = [_cell(day.number, day.felt, letter) for day in week]
            lines.append(" ".join(f"{cell:<5}" for cell in cells).rstrip())
        lines.append("")
    lines += [f"{letter[name]}  {in_line(name)}" for name in letter]
    return lines


def _cell(day: int, entries: Sequence[Felt], letter: dict[str, str]) -> str:
    if not day:
        return ""
    if not entries:
        return f"{day:2}"
    last = entries[-1]
    return f"{day:2} {letter[last.workstation]}{last.score}{'+' if len(entries) > 1 else ''}"
