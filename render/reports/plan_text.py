"""A plan for trials as text, Markdown, CSV and JSON: one line a day."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any

from profiles.plain import json_text
from render.reports.pairs import tablet_name
from render.tables import csv_lines, markdown_lines, text_lines
from render.words import fixed

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date

    from mapper.choosing.pairing import Pair
    from mapper.trials.plan import TrialPlan

PLAN_FORMS = ("text", "markdown", "csv", "json")
_HEAD = ["day", "block", "pairing", "tablet", "display", "scale"]


def plan_text(plan: TrialPlan, form: str, *, start: date | None, days_each: int, blocks: int) -> str:
    """The first ``blocks`` blocks of ``plan``; with a ``start``, days of the calendar, else numbered ones."""
    rows = list(_rows(plan, start, days_each, blocks))
    if form == "csv":
        return csv_lines([_HEAD, *rows])
    if form == "json":
        return json_text(_data(plan, rows))
    if form == "markdown":
        return "\n".join(markdown_lines(_HEAD, rows, left=5)) + "\n"
    lines = [_order_sentence(plan, blocks), ""]
    lines += text_lines(_HEAD, rows, left=5)
    if plan.left_out:
        lines += ["", "Not tried:"]
        cells = [
            [tablet_name(each.pair.tablet), _display(each.pair), _scale(each.pair), each.why] for each in plan.left_out
        ]
        lines += [f"  {line}" for line in text_lines(["tablet", "display", "scale", "because"], cells, left=2)]
    lines += [
        "",
        "After each day: evenstroke felt DESK.yaml --score 1..5. The first day after a change always feels odd, and the",
        "band knows it. A day that hurts is not worth its entry: stop, and leave that pairing out.",
    ]
    return "\n".join(lines) + "\n"


def _order_sentence(plan: TrialPlan, blocks: int) -> str:
    count = len(plan.pairs)
    if count == 1:
        return "One pairing is left to try."
    all_of_it = len(plan.blocks)
    balance = "each comes once in each block"
    if blocks >= all_of_it:
        balance += ", once at each place and after each other one equally often"
    else:
        balance += f"; over {all_of_it} blocks each would also follow each other one equally often"
    return f"{count} pairings in {min(blocks, all_of_it)} of {all_of_it} blocks: {balance}."


def _rows(plan: TrialPlan, start: date | None, days_each: int, blocks: int) -> Iterator[list[str]]:
    day = 0
    for number, block in enumerate(plan.blocks[:blocks], 1):
        for place in block:
            each = plan.pairs[place]
            for _ in range(days_each):
                shown = f"{day + 1}" if start is None else (start + timedelta(days=day)).isoformat()
                day += 1
                yield [shown, str(number), _letter(place), tablet_name(each.tablet), _display(each), _scale(each)]


def _letter(place: int) -> str:
    return "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[place]


def _display(each: Pair) -> str:
    return each.display.label


def _scale(each: Pair) -> str:
    return "-" if each.scale_factor is None else fixed(each.scale_factor, 2)


def _data(plan: TrialPlan, rows: list[list[str]]) -> dict[str, Any]:
    return {
        "days": [dict(zip(_HEAD, row, strict=True)) for row in rows],
        "left_out": [
            {"tablet": tablet_name(each.pair.tablet), "display": _display(each.pair), "because": each.why}
            for each in plan.left_out
        ],
    }
