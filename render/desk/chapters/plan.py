"""What to try next: a plan of trials with tablets and displays, and its calendar.

The tablets and displays of the library's desks are offered to begin with; what one could borrow or
buy is added as a line. The plan that was last asked for lies beside the draft.
"""

from __future__ import annotations

import datetime as dt
from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING, Any, TypeVar

import msgspec
from flask import render_template

from mapper.choosing.pairing import USUAL_DISPLAYS
from mapper.choosing.recommended import CAUTION
from mapper.phrases import phrase
from mapper.problems import EvenstrokeError, Problem, RequestError
from mapper.trials.order import MOST_PAIRINGS
from profiles.doubts import hearing
from profiles.library.planned import PlannedTrials, PlanWish, planned_trials
from profiles.library.trial_book import parse_day
from profiles.lists import display_list, tablet_list
from profiles.numbers import bounded, whole_number
from profiles.shorthand import display_text, tablet_text
from profiles.times import iso_day
from render.desk.answer import problem_words
from render.desk.bodies import PlanSent, body
from render.desk.chapters import Heading
from render.desk.chapters.known import band, book
from render.desk.other_desks import other_desks
from render.pages.plan_calendar import plan_calendar
from render.sentences.measures import diagonal_words, size
from render.sentences.pairs import customary_tablets, tablet_name
from render.sentences.plan import (
    order_sentences,
    pair_scale,
    run_head,
    run_row,
    unplaced_words,
)
from render.sentences.proofs import day_words
from render.sentences.say import listed, say, say_again, say_count

if TYPE_CHECKING:
    from collections.abc import Callable

    from flask import Request

    from mapper.desk import Display, Tablet
    from profiles.lists import Listed
    from render.desk.desks import Desk

T = TypeVar("T", "Tablet", "Display")
_FILE = "plan.json"
#: So many rows are shown as a table; the calendar has all.
_MOST_ROWS = 120


def heading(desk: Desk) -> Heading:
    """Of how many days the plan is that was last made."""
    aside = say("plan your trials")
    sent = _stored(desk)
    if sent is not None:
        with suppress(EvenstrokeError):
            runs = _planned(desk, sent).runs
            first, last = runs[0].days[0], runs[-1].days[-1]
            sentence = say_count(
                "Your plan tries {count} pair, from {first} to {last}.",
                "Your plan tries {count} pairs, from {first} to {last}.",
                len({run.place for run in runs}),
                first=_day_words(first),
                last=_day_words(last),
            )
            return Heading(sentence, aside)
    if book(desk):
        return Heading(say("Which tablets and displays do you want to try next?"), aside)
    return Heading(say("Try several tablets and displays before you choose."), aside)


def _day_words(day: dt.date) -> str:
    return day_words(dt.datetime.combine(day, dt.time(12)))


def fragment(desk: Desk) -> str:
    """The chapter's HTML: what is to be tried and when, and the plan that was last made."""
    sent = _stored(desk)
    planned, wrong = None, ""
    if sent is not None:
        try:
            planned = _planned(desk, sent)
        except EvenstrokeError as error:
            # Days or desks may have changed since it was asked for.
            wrong = _words(error)
    return render_template(
        "chapters/plan.html",
        desk=desk,
        sent=sent or _offered(desk),
        most=MOST_PAIRINGS,
        noted=bool(book(desk)),
        plan=None if planned is None else _shown(planned),
        wrong=wrong,
        caution=CAUTION,
    )


def do(desk: Desk, verb: str, request: Request) -> dict[str, Any]:
    """Makes a plan (``make``), or forgets it (``away``). Raises RequestError."""
    if verb == "away":
        desk.draft.drop(_FILE)
        return {"html": fragment(desk), "say": say("The plan is deleted.")}
    if verb != "make":
        raise RequestError(Problem("plan", phrase("cannot do this"), verb))
    sent = body(request, PlanSent)
    try:
        planned = _planned(desk, sent)
    except EvenstrokeError as error:
        raise RequestError(*(_under_its_label(each) for each in error.problems)) from None
    desk.draft.put(_FILE, msgspec.json.encode(sent))
    days = sum(len(run.days) for run in planned.runs)
    says = say_count("Planned: {count} day.", "Planned: {count} days.", days)
    return {"html": fragment(desk), "say": says}


def calendar(desk: Desk) -> bytes | None:
    """The plan as a calendar for other programs (RFC 5545); None where none was made.

    Raises RequestError where it can no longer be made.
    """
    sent = _stored(desk)
    if sent is None:
        return None
    planned = _planned(desk, sent)
    return plan_calendar(planned.plan, planned.runs).encode()


def _stored(desk: Desk) -> PlanSent | None:
    content = desk.draft.get(_FILE)
    if content is None:
        return None
    with suppress(msgspec.DecodeError):
        return msgspec.json.decode(content, type=PlanSent)
    return None


def _offered(desk: Desk) -> PlanSent:
    """What the form begins with: what the desks of the library have, or the usual things."""
    solved = desk.solved
    requests = [solved.request] if solved is not None else []
    requests += [each.map.request for each in other_desks(desk)]
    tablets = {_tablet_line(each.tablet): None for each in requests}
    displays = {
        _display_line(display): None
        for each in requests
        for display in each.desktop.displays
        if display.mm_per_px is not None
    }
    if len(tablets) * len(displays) < 2:
        tablets |= {_tablet_line(each): None for each in customary_tablets()}
        displays |= {_display_line(each): None for each in USUAL_DISPLAYS}
    return PlanSent(
        tablets="\n".join(tablets),
        displays="\n".join(displays),
        start=(_today() + dt.timedelta(days=1)).isoformat(),
    )


def _tablet_line(tablet: Tablet) -> str:
    return str(tablet_text(replace(tablet, turn_deg=0, slant_deg=0.0)))


def _display_line(display: Display) -> str:
    """A display by itself; its name on its own desktop says nothing about it elsewhere."""
    alone = replace(display, left_px=0, top_px=0, label="main", bezel_mm=None)
    return str(display_text(alone, alone=True))


def _today() -> dt.date:
    return dt.datetime.now().astimezone().date()


def _planned(desk: Desk, sent: PlanSent) -> PlannedTrials:
    """The plan of a form. Raises RequestError, or AnswerIsNo where nothing is left to try."""

    def lines(text: object) -> list[str]:
        return [line.strip() for line in str(text).splitlines() if line.strip()]

    def whole(text: object, where: str, most: int) -> int:
        return bounded(whole_number, 1, most)(str(text), where)

    start = str(sent.start).strip()
    wish = PlanWish(
        tablets=_items(tablet_list, sent.tablets, "tablets"),
        displays=_items(display_list, sent.displays, "displays"),
        most=whole(sent.most, "most", MOST_PAIRINGS),
        days_each=whole(sent.days_each, "days_each", 60),
        blocks=whole(sent.blocks, "blocks", 2 * MOST_PAIRINGS),
        start=parse_day(iso_day(start), "start") if start else _today(),
        weekends_off=bool(sent.weekends_off),
        off=lines(str(sent.off).replace(",", "\n")),
        only=lines(sent.only),
        stay=lines(sent.stay),
        resume=bool(sent.resume),
    )
    return planned_trials(wish, band(desk)[0], desk.session.library)


def _items(read: Callable[[bytes, str], Listed[T]], text: object, name: str) -> tuple[T, ...]:
    """What a list of lines holds, none for an empty one. Raises RequestError with all problems."""
    if not str(text).strip():
        return ()
    # How a line was read shows in the plan.
    with hearing(lambda _: None):
        found = read(str(text).encode(), name)
    if found.unread:
        raise RequestError(*found.unread)
    return found.items


def _under_its_label(problem: Problem) -> Problem:
    """A problem under the name of its line in the form."""
    labels = {
        "tablets": say("Tablets"),
        "displays": say("Displays"),
        "most": say("Largest number of pairs"),
        "days_each": say("Days in a row for each pair"),
        "blocks": say("Rounds"),
        "start": say("First day"),
        "--off": say("Days off"),
        "--only": say("When something is available"),
        "--stay": say("How long a display stays"),
        "--resume": say("What my notes hold"),
    }
    name, *further = problem.where.split(" ")
    where = labels.get(name, problem.where)
    if further and further[-1].isdigit() and name in labels:
        where = say("{label}, line {number}", label=where, number=further[-1])
    return replace(problem, where=where)


def _words(error: EvenstrokeError) -> str:
    return problem_words(_under_its_label(error.problems[0]))


def _shown(planned: PlannedTrials) -> dict[str, Any]:
    """What the template shows of a plan."""
    rows = [run_row(planned.plan, run) for run in planned.runs]
    unplaced = unplaced_words(planned)
    missed = ""
    if unplaced:
        missed = say("No days are left for {pairings}.", pairings=listed(unplaced))
    return {
        "head": run_head(),
        "rows": rows[:_MOST_ROWS],
        "more": max(0, len(rows) - _MOST_ROWS),
        "order": order_sentences(planned),
        "missed": missed,
        "left_out": [
            {
                "pair": say(
                    "{tablet} with {display}",
                    tablet=tablet_name(each.pair.tablet),
                    display=_display_name(each.pair.display),
                ),
                "scale": pair_scale(each.pair),
                "why": say_again(each.why),
            }
            for each in planned.plan.left_out
        ],
    }


def _display_name(display: Display) -> str:
    return display.label or diagonal_words(display) or size(display.width_px, display.height_px)
