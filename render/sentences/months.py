"""The trial book by month: for each month with notes its weeks, and what was noted on each day."""

from __future__ import annotations

import calendar
from typing import TYPE_CHECKING, NamedTuple

from profiles.library.trial_book import day_of
from render.sentences.say import say

if TYPE_CHECKING:
    from collections.abc import Sequence

    from profiles.library.trial_book import Felt

_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


class Day(NamedTuple):
    """A day of a month, 0 for one of another month, with its notes in the order of the book."""

    number: int
    felt: Sequence[Felt]


class Month(NamedTuple):
    """A month and its weeks of seven days, the first one a Monday."""

    title: str
    weeks: list[list[Day]]


def months_of(book: Sequence[Felt]) -> list[Month]:
    """The months that have notes, the earliest first."""
    days: dict[tuple[int, int, int], list[Felt]] = {}
    for entry in book:
        day = day_of(entry)
        days.setdefault((day.year, day.month, day.day), []).append(entry)
    return [
        Month(
            _title(year, month),
            [
                [Day(day, days.get((year, month, day), [])) for day in week]
                for week in calendar.Calendar().monthdayscalendar(year, month)
            ],
        )
        for year, month in sorted({key[:2] for key in days})
    ]


def desk_letters(book: Sequence[Felt]) -> dict[str, str]:
    """A letter for each desk of the book, by its name; ``*`` where they run out."""
    stations = dict.fromkeys(entry.workstation for entry in book)
    return {name: _LETTERS[at] if at < len(_LETTERS) else "*" for at, name in enumerate(stations)}


def week_days() -> tuple[str, ...]:
    """The days of a week in two letters each, from Monday."""
    return (say("Mo"), say("Tu"), say("We"), say("Th"), say("Fr"), say("Sa"), say("Su"))


def _title(year: int, month: int) -> str:
    """``March 2026``."""
    name = (
        say("January"),
        say("February"),
        say("March"),
        say("April"),
        say("May", context="month"),
        say("June"),
        say("July"),
        say("August"),
        say("September"),
        say("October"),
        say("November"),
        say("December"),
    )[month - 1]
    return say("{month} {year}", month=name, year=str(year))
