"""A plan for trials as text, Markdown, CSV, JSON and a calendar (RFC 5545): one line a day."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from profiles.plain import json_text
from render.sentences.pairs import tablet_name
from render.sentences.say import Name, say, say_count
from render.sentences.words import fixed
from render.tables import csv_lines, markdown_lines, text_lines

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date

    from mapper.choosing.pairing import Pair
    from mapper.trials.plan import TrialPlan
    from mapper.trials.schedule import Run

PLAN_FORMS = ("text", "markdown", "csv", "json", "calendar")
_HEAD = ["day", "block", "pairing", "tablet", "display", "scale"]


def plan_text(
    plan: TrialPlan,
    form: str,
    runs: Sequence[Run],
    *,
    start: date,
    dated: bool,
    rounds: Sequence[Sequence[int]],
    about: str = "",
) -> str:
    """``plan`` as its ``runs`` say; where it is not ``dated``, days are numbered from ``start``.

    ``rounds`` are the blocks that were to be planned; ``about`` stands for the sentences on their
    order.
    """
    if form == "calendar":
        return _calendar(plan, runs)
    rows = [row for run in runs for row in _rows(plan, run, start, dated)]
    if form == "csv":
        return csv_lines([_HEAD, *rows])
    if form == "json":
        return json_text(_data(plan, rows))
    if form == "markdown":
        return "\n".join(markdown_lines(_HEAD, rows, left=5)) + "\n"
    lines = [*([about] if about else _order_sentences(plan, runs, rounds)), ""]
    lines += text_lines(_HEAD, rows, left=5)
    if plan.left_out:
        lines += ["", say("Left out:")]
        cells = [
            [tablet_name(each.pair.tablet), each.pair.display.label, _scale(each.pair), each.why]
            for each in plan.left_out
        ]
        lines += [
            f"  {line}" for line in text_lines(["tablet", "display", "scale", "why"], cells, left=2)
        ]
    lines += [
        "",
        say(
            "After each day: evenstroke felt DESK.yaml --score 1..5. The first day after a change "
            "always feels odd, and the\nband allows for it. If a day hurts, stop, and leave that "
            "pairing out."
        ),
    ]
    return "\n".join(lines) + "\n"


def _order_sentences(
    plan: TrialPlan, runs: Sequence[Run], rounds: Sequence[Sequence[int]]
) -> list[str]:
    """What the order of a plan balances, and what it does not."""
    count, every = len(plan.pairs), len(plan.blocks)
    if count == 1:
        return [say("There is one pairing to try, so there is no order to balance.")]
    slots = {"pairings": str(count), "rounds": str(len(rounds)), "every": str(every)}
    sentences: list[str]
    if len(rounds) == 1:
        sentences = [
            say(
                "This plan tries {pairings} pairings once each. One round cannot make the order "
                "fair:\neach pairing is tried before some and after others. {every} rounds would.",
                **slots,
            )
        ]
    else:
        sentences = [
            say("This plan tries {pairings} pairings once in each of {rounds} rounds.", **slots)
        ]
        sentences.append(
            say(
                "Over all rounds each comes equally often in every position, and within rounds "
                "equally often after each of the others."
            )
            if len(rounds) == every
            else say(
                "{every} rounds would also put each equally often in every position and after each "
                "of the others.",
                **slots,
            )
        )
    wanted = [place for block in rounds for place in block]
    placed = [run.place for run in runs]
    if placed != wanted:
        sentences.append(
            say("What is borrowed and what has to stay changed the order of the calendar.")
        )
    if len(rounds) > 1:
        sentences.append(_border_sentence(placed, count))
    return sentences


def _border_sentence(placed: Sequence[int], count: int) -> str:
    """How often one pairing follows another from day to day, the borders of rounds included."""
    follows = Counter(pairwise(placed))
    twice = sum(times for (one, other), times in follows.items() if one == other)
    others = [follows[one, other] for one in range(count) for other in range(count) if one != other]
    least, most = min(others), max(others)
    times = say_count("{count} time", "{count} times", most)
    if least < most:
        ends = {"least": str(least), "most": str(most)}
        times = say("{least} to {most} times", **ends)
        if most == least + 1:
            times = say("{least} or {most} times", **ends)
    if not twice:
        return say(
            "Counting the days where rounds meet, each pairing follows each other {times}, and "
            "none comes twice in a row.",
            times=times,
        )
    return say_count(
        "Counting the days where rounds meet, each pairing follows each other {times}, and {count} "
        "time a pairing comes twice in a row.",
        "Counting the days where rounds meet, each pairing follows each other {times}, and {count} "
        "times a pairing comes twice in a row.",
        twice,
        times=times,
    )


def _rows(plan: TrialPlan, run: Run, start: date, dated: bool) -> Iterator[list[str]]:
    each = plan.pairs[run.place]
    for day in run.days:
        shown = day.isoformat() if dated else f"{(day - start).days + 1}"
        yield [
            shown,
            str(run.block),
            _letter(run.place),
            tablet_name(each.tablet),
            each.display.label,
            _scale(each),
        ]


def _letter(place: int) -> str:
    """The name of the ``place``-th item: A to Z, then AA, AB and so on, as in a spreadsheet."""
    first, last = divmod(place, 26)
    return (chr(ord("A") + first - 1) if first else "") + chr(ord("A") + last)


def _calendar(plan: TrialPlan, runs: Sequence[Run]) -> str:
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
                "Pairing {letter}, scale factor {scale}, round {round}. In the evening: how did it "
                "feel, from 1 painful to 5 a joy? If it hurts, stop.",
                letter=_letter(run.place),
                scale=_scale(each),
                round=str(run.block),
            )
        )
        for first, after in _stretches(run.days):
            lines += [
                "BEGIN:VEVENT",
                f"UID:{first:%Y%m%d}-{run.block}-{_letter(run.place)}@evenstroke.invalid",
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


def _scale(each: Pair) -> str:
    return "-" if each.scale_factor is None else fixed(each.scale_factor, 2)


def _data(plan: TrialPlan, rows: list[list[str]]) -> dict[str, Any]:
    return {
        "days": [dict(zip(_HEAD, row, strict=True)) for row in rows],
        "left_out": [
            {
                "tablet": tablet_name(each.pair.tablet),
                "display": each.pair.display.label,
                "because": each.why,
            }
            for each in plan.left_out
        ],
    }
