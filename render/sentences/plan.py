"""A plan of trials in words: what its order balances, and a row for each day."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise
from typing import TYPE_CHECKING

from mapper.phrases import phrase
from render.sentences.pairs import tablet_name
from render.sentences.say import paragraph, say, say_count
from render.sentences.words import fixed

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date

    from mapper.choosing.pairing import Pair
    from mapper.trials.plan import TrialPlan
    from mapper.trials.schedule import Run
    from profiles.library.planned import PlannedTrials


def plan_head() -> list[str]:
    """The heads of the columns of ``day_rows``."""
    return [
        say("day"),
        say("round", context="of a plan"),
        say("pair"),
        say("tablet"),
        say("display"),
        say("scale factor"),
    ]


def order_sentences(planned: PlannedTrials) -> list[str]:
    """What the order of a plan balances, and what it does not."""
    plan, runs, rounds = planned.plan, planned.runs, planned.rounds
    count, every = len(plan.pairs), len(plan.blocks)
    if planned.left is not None:
        return [
            say(
                "Pairs that still need days: {left} of {count}. The next one is always the one "
                "that you learn most from.",
                left=str(planned.left),
                count=str(count),
            )
        ]
    if count == 1:
        return [say("There is one pair to try, so there is no order to balance.")]
    sentences: list[str]
    if len(rounds) == 1:
        sentences = [
            paragraph(
                [
                    say_count(
                        "This plan tries {count} pair once.",
                        "This plan tries {count} pairs once each.",
                        count,
                    ),
                    say(
                        "One round cannot make the order fair:\n"
                        "each pair is tried before some and after others."
                    ),
                    say_count("{count} round would.", "{count} rounds would.", every),
                ]
            )
        ]
    else:
        sentences = [
            paragraph(
                [
                    say_count(
                        "This plan tries {count} pair once in each round.",
                        "This plan tries {count} pairs once in each round.",
                        count,
                    ),
                    say_count("It has {count} round.", "It has {count} rounds.", len(rounds)),
                ]
            )
        ]
        sentences.append(
            say(
                "Over all rounds each pair has every position equally often. Within rounds it "
                "follows each of the others equally often."
            )
            if len(rounds) == every
            else say_count(
                "With {count} round each pair would also have every position, and follow each "
                "of the others, equally often.",
                "With {count} rounds each pair would also have every position, and follow each "
                "of the others, equally often.",
                every,
            )
        )
    wanted = [place for block in rounds for place in block]
    placed = [run.place for run in runs]
    if placed != wanted:
        sentences.append(
            say(
                "The order was changed to allow for what is borrowed and for displays that have to "
                "stay."
            )
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
        times = say_count(
            "{least} to {count} time", "{least} to {count} times", most, least=str(least)
        )
        if most == least + 1:
            times = say_count(
                "{least} or {count} time", "{least} or {count} times", most, least=str(least)
            )
    if not twice:
        return say(
            "If the changes between rounds are counted too, each pair follows each of the "
            "others {times}, and none comes twice in a row.",
            times=times,
        )
    return say_count(
        "From one round to the next, the same pair comes twice in a row {count} time.",
        "From one round to the next, the same pair comes twice in a row {count} times.",
        twice,
    )


def day_rows(plan: TrialPlan, run: Run, start: date, *, dated: bool) -> Iterator[list[str]]:
    """A row for each day of a run; where it is not ``dated``, days are numbered from ``start``."""
    cells = _run_cells(plan, run)
    for day in run.days:
        yield [day.isoformat() if dated else f"{(day - start).days + 1}", *cells]


def _run_cells(plan: TrialPlan, run: Run) -> list[str]:
    """The cells of a run beside its days: its round and its pairing."""
    each = plan.pairs[run.place]
    return [
        str(run.block),
        pairing_letter(run.place),
        tablet_name(each.tablet),
        each.display.label,
        pair_scale(each),
    ]


def run_head() -> list[str]:
    """The heads of the columns of ``run_row``."""
    return [say("from"), say("to"), *plan_head()[1:]]


def run_row(plan: TrialPlan, run: Run) -> list[str]:
    """The days of a run as its first and last, with its pairing."""
    return [run.days[0].isoformat(), run.days[-1].isoformat(), *_run_cells(plan, run)]


def pairing_letter(place: int) -> str:
    """The name of the ``place``-th item: A to Z, then AA, AB and so on, as in a spreadsheet."""
    first, last = divmod(place, 26)
    return (chr(ord("A") + first - 1) if first else "") + chr(ord("A") + last)


def pair_scale(each: Pair) -> str:
    """The scale factor of a pairing, ``-`` where it is not known."""
    return "-" if each.scale_factor is None else fixed(each.scale_factor, 2)


def unplaced_words(planned: PlannedTrials) -> list[str]:
    """The pairings for which no days are left, by tablet and display."""
    pairs = [planned.plan.pairs[at] for at in planned.missed]
    return [
        phrase("{tablet} with {display}", tablet=each.tablet.label, display=each.display.label)
        for each in pairs
    ]
