"""A plan for trials as text, Markdown, CSV, JSON and a calendar: one line a day."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Any

from mapper.choosing.recommended import CAUTION
from profiles.plain import DATA_FORMS, data_text, headed
from render.pages.plan_calendar import plan_calendar
from render.sentences.pairs import tablet_name
from render.sentences.plan import (
    day_rows,
    order_sentences,
    pair_scale,
    pairing_letter,
    plan_head,
)
from render.sentences.say import say, say_again
from render.tables import csv_lines, markdown_lines, text_lines

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from mapper.choosing.pairing import Pair
    from mapper.trials.plan import TrialPlan
    from mapper.trials.schedule import Run
    from profiles.library.planned import PlannedTrials

PLAN_FORMS = ("text", "markdown", "csv", "yaml", "json", "calendar")
#: The columns for other programs.
_HEAD = ["day", "block", "pairing", "tablet", "display", "scale"]
_WIDE = 112


def plan_text(planned: PlannedTrials, form: str, *, dated: bool) -> str:
    """A plan in one ``form``; where it is not ``dated``, days are numbered from its start."""
    plan, runs, start = planned.plan, planned.runs, planned.start
    if form == "calendar":
        return plan_calendar(plan, runs)
    rows = [row for run in runs for row in day_rows(plan, run, start, dated=dated)]
    if form == "csv":
        return csv_lines([_HEAD, *rows])
    if form in DATA_FORMS:
        return data_text(_data(plan, runs, start, dated=dated), form)
    if form == "markdown":
        table = markdown_lines(plan_head(), rows, left=5)
        return "\n".join([*table, "", say_again(CAUTION)]) + "\n"
    lines = [*order_sentences(planned), ""]
    lines += text_lines(plan_head(), rows, left=5)
    if plan.left_out:
        lines += ["", say("Left out:")]
        cells = [
            [
                tablet_name(each.pair.tablet),
                each.pair.display.label,
                pair_scale(each.pair),
                say_again(each.why),
            ]
            for each in plan.left_out
        ]
        head = [say("tablet"), say("display"), say("scale factor"), say("why")]
        lines += [f"  {line}" for line in text_lines(head, cells, left=2)]
    lines += [
        "",
        say(
            "After each day: {command}. The first day after a change always feels odd, and the\n"
            "band allows for it. If a day hurts, stop, and leave that pair out.",
            command="evenstroke felt DESK.yaml --score 1..5",
        ),
        "",
        *textwrap.wrap(say_again(CAUTION), _WIDE),
    ]
    return "\n".join(lines) + "\n"


def _data(plan: TrialPlan, runs: Sequence[Run], start: date, *, dated: bool) -> dict[str, Any]:
    days = [
        {
            "day": (day - start).days + 1,
            "date": day if dated else None,
            "block": run.block,
            "pairing": pairing_letter(run.place),
            **_pair_data(plan.pairs[run.place]),
        }
        for run in runs
        for day in run.days
    ]
    left_out = [{**_pair_data(each.pair), "because": each.why} for each in plan.left_out]
    return headed("plan-trials", {"days": days, "left_out": left_out, "caution": CAUTION})


def _pair_data(pair: Pair) -> dict[str, Any]:
    return {
        "tablet": tablet_name(pair.tablet),
        "display": pair.display.label,
        "scale_factor": pair.scale_factor,
    }
