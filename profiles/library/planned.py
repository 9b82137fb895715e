"""A plan of trials from what a person says: what there is to try, on which days, in which order."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mapper.choosing.pairing import CUSTOMARY_TABLETS, USUAL_DISPLAYS
from mapper.phrases import phrase
from mapper.problems import AnswerIsNo, Problem, RequestError, quoted
from mapper.trials.order import spaced_blocks
from mapper.trials.plan import TrialPlan, plan_trials
from mapper.trials.schedule import Rules, Run, scheduled
from profiles.library.trial_book import parse_day
from profiles.numbers import bounded, whole_number
from profiles.times import iso_day

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Sequence

    from mapper.choosing.recommended import Band
    from mapper.desk import Display, Tablet
    from profiles.library.revisions import Library

_STAY = bounded(whole_number, 1, 366)


@dataclass(frozen=True, slots=True)
class PlanWish:
    """What is to be planned.

    ``off`` are days off, as typed: ``2026-04-03`` or ``2026-04-03..2026-04-06``; ``only`` when a
    tablet or display is there: ``large: 2026-03-01..2026-03-31``; ``stay`` for how many days of
    work a display stays: ``32 in: 14``. With ``resume`` what the trial book holds is left out; no
    tablets or displays are the usual ones.
    """

    start: dt.date
    tablets: Sequence[Tablet] = ()
    displays: Sequence[Display] = ()
    most: int = 4
    days_each: int = 3
    blocks: int = 1
    weekends_off: bool = False
    off: Sequence[str] = ()
    only: Sequence[str] = ()
    stay: Sequence[str] = ()
    resume: bool = False
    who: str | None = None
    use: str = "illustration"


@dataclass(frozen=True, slots=True)
class PlannedTrials:
    """A plan and its days.

    ``rounds`` are the blocks that were to be planned, ``missed`` the places for which no days are
    left; ``left`` counts the pairings that the trial book leaves, None where it was not asked.
    """

    plan: TrialPlan
    rules: Rules
    start: dt.date
    rounds: tuple[tuple[int, ...], ...]
    runs: list[Run]
    missed: list[int]
    left: int | None = None


def planned_trials(wish: PlanWish, band: Band, library: Library | None = None) -> PlannedTrials:
    """The plan of ``wish`` for a comfortable ``band``; ``library`` has the book to resume.

    Raises RequestError for a wish that cannot be, AnswerIsNo where nothing is left to try.
    """
    tablets, displays = wish.tablets or CUSTOMARY_TABLETS, wish.displays or USUAL_DISPLAYS
    plan = plan_trials(tablets, displays, band, most=wish.most)
    labels = [(each.tablet.label, each.display.label) for each in plan.pairs]
    shown = {display for _, display in labels}
    rules = _rules(wish, shown | {tablet for tablet, _ in labels}, shown)
    lengths = dict.fromkeys(range(len(labels)), wish.days_each)
    rounds = tuple(tuple(each) for each in spaced_blocks(plan.blocks, wish.blocks))
    left = None
    if wish.resume and library is not None:
        from profiles.library.personal import left_to_try

        found = left_to_try(library, plan.pairs, wish.days_each, who=wish.who, use=wish.use)
        if not found:
            must = phrase("nothing is left to try: the book holds all these days")
            raise AnswerIsNo(Problem("--resume", must))
        rounds, lengths, left = (tuple(place for place, _ in found),), dict(found), len(found)
    runs, missed = scheduled(rounds, labels, lengths, wish.start, rules)
    return PlannedTrials(plan, rules, wish.start, rounds, runs, missed, left)


def _rules(wish: PlanWish, known: set[str], displays: set[str]) -> Rules:
    """The rules of ``wish`` for the labels of a plan, ``known``, and for its ``displays``."""
    given = {each.label for each in wish.tablets} | {each.label for each in wish.displays}
    return Rules(
        weekend=wish.weekends_off,
        off=tuple(_days(each, "--off") for each in wish.off),
        windows=tuple(
            (_of_plan(name, known, given, "--only"), *_days(days, "--only"))
            for name, days in (_named(each, "--only") for each in wish.only)
        ),
        stays=tuple(
            (_of_plan(name, displays, given, "--stay"), _STAY(days, "--stay"))
            for name, days in (_named(each, "--stay") for each in wish.stay)
        ),
    )


def _named(text: str, where: str) -> tuple[str, str]:
    name, colon, rest = text.rpartition(":")
    if not colon or not name.strip() or not rest.strip():
        raise RequestError(Problem(where, phrase("must be a name, a colon and days"), quoted(text)))
    return name.strip(), rest.strip()


def _of_plan(name: str, known: set[str], given: set[str], where: str) -> str:
    """The tablet or display of the plan that is called ``name``.

    In it x may stand for \N{MULTIPLICATION SIGN}. Raises RequestError naming ``where``.
    """
    for called in (name, name.replace(" x ", " \N{MULTIPLICATION SIGN} ")):
        if called in known:
            return called
    instead = ""
    if name in given:
        instead = phrase(
            "It is in none of the pairs that are planned: raise {option}", option="--most"
        )
    must = phrase("must name one of {names}", names=", ".join(sorted(known)))
    raise RequestError(Problem(where, must, quoted(name), instead))


def _days(text: str, where: str) -> tuple[dt.date, dt.date]:
    first, dots, last = text.partition("..")
    days = _day(first, where), _day(last if dots else first, where)
    if days[1] < days[0]:
        must = phrase("must go from the earlier day to the later")
        raise RequestError(Problem(where, must, quoted(text)))
    return days


def _day(text: str, where: str) -> dt.date:
    return parse_day(iso_day(text.strip()), where)
