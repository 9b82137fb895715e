"""A plan of trials as a calendar that other programs read (RFC 5545)."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from render.sentences.pairs import tablet_name
from render.sentences.plan import pair_scale, pairing_letter
from render.sentences.say import Name, say

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date

    from mapper.trials.plan import TrialPlan
    from mapper.trials.schedule import Run


def plan_calendar(plan: TrialPlan, runs: Sequence[Run]) -> str:
    """The runs as whole-day events of an RFC 5545 calendar.

    There is one event for each stretch of days without a day off between.
    """
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//Evenstroke//plan of trials//EN",
        "CALSCALE:GREGORIAN",
    ]
    for run in runs:
        each = plan.pairs[run.place]
        words = _calendar_text(
            say(
                "{tablet} with {display}",
                tablet=tablet_name(each.tablet),
                display=Name(each.display.label),
            )
        )
        about = _calendar_text(
            say(
                "Pair {letter}, scale factor {scale}, round {round}. In the evening: how did it "
                "feel, from 1 painful to 5 a joy? If it hurts, stop.",
                letter=pairing_letter(run.place),
                scale=pair_scale(each),
                round=str(run.block),
            )
        )
        for first, after in _stretches(run.days):
            lines += [
                "BEGIN:VEVENT",
                f"UID:{first:%Y%m%d}-{run.block}-{pairing_letter(run.place)}@evenstroke.invalid",
                f"DTSTAMP:{first:%Y%m%d}T000000Z",
                f"DTSTART;VALUE=DATE:{first:%Y%m%d}",
                f"DTEND;VALUE=DATE:{after:%Y%m%d}",
                f"SUMMARY:{words}",
                f"DESCRIPTION:{about}",
                "TRANSP:TRANSPARENT",
                "END:VEVENT",
            ]
    return "".join(f"{part}\r\n" for line in [*lines, "END:VCALENDAR"] for part in _folded(line))


def _calendar_text(text: str) -> str:
    """``text`` with backslash, semicolon, comma and line end escaped (RFC 5545, 3.3.11)."""
    return text.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\n", "\\n")


def _folded(line: str) -> Iterator[str]:
    """``line`` folded into lines of at most 75 octets, never within a character (RFC 5545, 3.1).

    Further lines begin with a blank.
    """
    room, part = 75, ""
    for char in line:
        if len((part + char).encode()) > room:
            yield part
            part = " "
        part += char
    yield part


def _stretches(days: Sequence[date]) -> Iterator[tuple[date, date]]:
    """The first day of each unbroken stretch of days, and the day after its last."""
    first = last = days[0]
    for day in days[1:]:
        if day - last > timedelta(days=1):
            yield first, last + timedelta(days=1)
            first = day
        last = day
    yield first, last + timedelta(days=1)
