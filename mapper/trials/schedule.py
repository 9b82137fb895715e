"""From an order of pairings to days of the calendar.

With days off, things that are borrowed, and displays that stay.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

#: A plan does not reach farther than this: a hundred pairings of sixty days, weekends and some
#: holidays off, take 26 years.
FARTHEST = timedelta(days=30 * 365)


@dataclass(frozen=True, slots=True)
class Rules:
    """The rules that bind the days.

    ``weekend`` days are free, ``off`` are ranges of free days, both ends included. ``windows`` says
    from when to when (included) a thing by its label is there at all; ``stays`` for how many days
    of work a display stays once it stands, before another may follow.
    """

    weekend: bool = False
    off: tuple[tuple[date, date], ...] = ()
    windows: tuple[tuple[str, date, date], ...] = ()
    stays: tuple[tuple[str, int], ...] = ()

    def is_workday(self, day: date) -> bool:
        """Whether anything is tried on ``day``."""
        if self.weekend and day.weekday() >= 5:
            return False
        return not any(first <= day <= last for first, last in self.off)

    def both_available(self, labels: tuple[str, str], day: date) -> bool:
        """Whether tablet and display (``labels``) are both there on ``day``.

        A thing with several windows is there in each.
        """
        return all(
            any(first <= day <= last for first, last in own) for own in self._windows_of(labels)
        )

    def last_day(self, labels: tuple[str, str]) -> date | None:
        """The last day on which tablet and display may both be there, or None.

        None where nothing binds them.
        """
        return min((max(last for _, last in own) for own in self._windows_of(labels)), default=None)

    def _windows_of(self, labels: tuple[str, str]) -> list[list[tuple[date, date]]]:
        """The windows of each of ``labels`` that has any."""
        each = (
            [(first, last) for name, first, last in self.windows if name == label]
            for label in labels
        )
        return [own for own in each if own]


@dataclass(frozen=True, slots=True)
class Run:
    """One pairing (its place in the list) on some days, in one block."""

    place: int
    block: int
    days: tuple[date, ...]


def scheduled(
    blocks: Sequence[Sequence[int]],
    labels: Sequence[tuple[str, str]],
    lengths: Mapping[int, int],
    start: date,
    rules: Rules,
) -> tuple[list[Run], list[int]]:
    """The days of each pairing, and the places that fit nowhere.

    In the order of ``blocks`` as far as ``rules`` allow. ``labels`` are each pairing's tablet and
    display, ``lengths`` the days of each place. In each block the next pairing is the first in the
    block's order that is there for all of its days. Those that must be done by some day go before
    the others as soon as they need all the days that are left for them. Raises RequestError where
    no day is ever free.
    """
    plan = _Calendar(rules, labels, lengths, start + FARTHEST)
    if not plan.workdays(1, start):
        raise RequestError(
            Problem(
                "days off",
                phrase("must leave a day to try something"),
                phrase("none in thirty years"),
            )
        )
    day, standing = start, _StandingDisplay(dict(rules.stays))
    runs: list[Run] = []
    missed: list[int] = []
    for number, block in enumerate(blocks, 1):
        left = list(block)
        while left:
            here = [at for at in left if plan.fits(at, day)]
            if not here:
                coming = [first for _, first, _ in rules.windows if first > day]
                if not coming:
                    missed += left
                    break
                # Nothing that is left is there now: wait for the next thing to come.
                day = min(coming)
                continue
            if standing.days > 0:
                # The display that stands keeps standing, where anything is left to try on it.
                here = [at for at in here if labels[at][1] == standing.display] or here
            here = _other_than_last(here, runs, len(block))
            place, wait = here[0], None
            for deadline in plan.deadlines(left, day):
                costs = {
                    at: plan.cost(
                        deadline,
                        at,
                        plan.workdays(standing.days_standing(labels[at][1], lengths[at]), day),
                    )
                    for at in here
                }
                if costs[place] > max(0, deadline.spare):
                    first = [at for at in here if at in deadline.places]
                    place = min(first or here, key=lambda at: costs[at] > max(0, deadline.spare))
                    wait = deadline.since if deadline.since > day else None
                    break
            if wait is not None:
                # Whatever came now would last into the only days of things that are not there yet.
                day = wait
                continue
            days = plan.workdays(lengths[place], day)
            runs.append(Run(place, number, tuple(days)))
            left.remove(place)
            standing.put_up(labels[place][1], len(days))
            day = days[-1] + timedelta(days=1)
    return runs, sorted(set(missed))


def _other_than_last(here: list[int], runs: Sequence[Run], size: int) -> list[int]:
    """Those of ``here`` that were not tried just before, in blocks of ``size``; all, if none is.

    Two pairings have no choice where blocks meet: one block is the other backwards.
    """
    if not runs or size < 3:
        return here
    return [at for at in here if at != runs[-1].place] or here


class _StandingDisplay:
    """The display that stands, and for how many days of work it still stays."""

    def __init__(self, stays: Mapping[str, int]) -> None:
        self._stays = stays
        self.display, self.days = "", 0

    def days_standing(self, display: str, length: int) -> int:
        """For how many days of work ``display`` stands at least.

        Once something is tried on it for ``length`` days.
        """
        return length if display == self.display else max(length, self._stays.get(display, 0))

    def put_up(self, display: str, worked: int) -> None:
        if display != self.display:
            self.display, self.days = display, self._stays.get(display, 0)
        self.days -= worked


@dataclass(frozen=True, slots=True)
class _Deadline:
    """What must be done by the last day of some window.

    Its ``places``, the days it can ``spare``, and its first and last day.
    """

    places: set[int]
    spare: int
    since: date
    until: date


@dataclass(frozen=True, slots=True)
class _Calendar:
    """What is to be tried, by ``rules`` and no later than ``last``.

    ``labels`` are each place's tablet and display, ``lengths`` its days.
    """

    rules: Rules
    labels: Sequence[tuple[str, str]]
    lengths: Mapping[int, int]
    last: date

    def workdays(self, count: int, since: date) -> list[date]:
        """``count`` days of work from ``since`` on, fewer where the calendar ends."""
        found: list[date] = []
        day = since
        while len(found) < count and day <= self.last:
            if self.rules.is_workday(day):
                found.append(day)
            day += timedelta(days=1)
        return found

    def fits(self, at: int, day: date) -> bool:
        """Whether the things of the place ``at`` are there on all of its days from ``day`` on."""
        days = self.workdays(self.lengths[at], day)
        return len(days) == self.lengths[at] and all(
            self.rules.both_available(self.labels[at], each) for each in days
        )

    def cost(self, deadline: _Deadline, place: int, days: Sequence[date]) -> int:
        """How many days of ``deadline`` are lost where ``place`` takes ``days``.

        With what must stay with it: of days on which its display only stays, none are lost that
        others of the deadline need on it.
        """
        within = [deadline.since <= day <= deadline.until for day in days]
        length = self.lengths[place]
        taken = 0 if place in deadline.places else sum(within[:length])
        same = sum(
            self.lengths[at]
            for at in deadline.places - {place}
            if self.labels[at][1] == self.labels[place][1]
        )
        return taken + max(0, sum(within[length:]) - same)

    def deadlines(self, left: Sequence[int], day: date) -> list[_Deadline]:
        """What must be done by the last day of some window, the nearest first."""
        last = {at: self.rules.last_day(self.labels[at]) for at in left}
        found = []
        for deadline in sorted({end for end in last.values() if end is not None and end >= day}):
            group = {at for at, end in last.items() if end is not None and day <= end <= deadline}
            needed = sum(self.lengths[at] for at in group)
            days: list[date] = []
            # Days beyond these change nothing: no pairing takes longer than the longest.
            enough, each = needed + max(self.lengths.values()), day
            while each <= deadline and len(days) < enough:
                if self.rules.is_workday(each) and any(
                    self.rules.both_available(self.labels[at], each) for at in group
                ):
                    days.append(each)
                each += timedelta(days=1)
            if days:
                found.append(_Deadline(group, len(days) - needed, days[0], deadline))
        return found
