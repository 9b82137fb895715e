"""From an order of pairings to days of the calendar: days off, things that are borrowed, and displays that stay."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from mapper.problems import Problem, RequestError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

#: A plan does not reach farther than this: who plans for longer has made a slip of the keyboard.
FARTHEST = timedelta(days=3653)


@dataclass(frozen=True, slots=True)
class Rules:
    """What binds the days: ``weekend`` days are free, ``off`` are ranges of free days, both ends included.

    ``windows`` says from when to when (included) a thing by its label is there at all; ``stays`` for how many days of
    work a display stays once it stands, before another may follow.
    """

    weekend: bool = False
    off: tuple[tuple[date, date], ...] = ()
    windows: tuple[tuple[str, date, date], ...] = ()
    stays: tuple[tuple[str, int], ...] = ()

    def works(self, day: date) -> bool:
        """Whether anything is tried on ``day``."""
        if self.weekend and day.weekday() >= 5:
            return False
        return not any(first <= day <= last for first, last in self.off)

    def there(self, labels: tuple[str, str], day: date) -> bool:
        """Whether tablet and display (``labels``) are both there on ``day``; a thing with several windows is there in each."""
        for label in labels:
            own = [(first, last) for name, first, last in self.windows if name == label]
            if own and not any(first <= day <= last for first, last in own):
                return False
        return True


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
    """Runs in the order of ``blocks`` as far as ``rules`` allow, and the places that fit nowhere.

    ``labels`` are each pairing's tablet and display, ``lengths`` the days of each place. In each block the next pairing is the first in
    the block's order that is there for all of its days; one whose last chance this is goes before the others. Raises
    RequestError where no day is ever free.
    """
    calendar = _Calendar(rules, start + FARTHEST)
    if not calendar.work(1, start):
        raise RequestError(Problem("days off", "must leave a day to try something", "none in ten years"))
    day, standing = start, _Standing(dict(rules.stays))
    runs: list[Run] = []
    missed: list[int] = []
    for number, block in enumerate(blocks, 1):
        left = list(block)
        while left:
            here = [at for at in left if _fits(rules, labels[at], calendar.work(lengths[at], day), lengths[at])]
            if not here:
                coming = [first for _, first, _ in rules.windows if first > day]
                if not coming:
                    missed += left
                    break
                # Nothing that is left is there now: wait for the next thing to come.
                day = min(coming)
                continue
            here = [at for at in here if labels[at][1] == standing.display] or here if standing.days > 0 else here
            ends = {at: calendar.work(2 * lengths[at], day) for at in here}
            place = next((at for at in here if _last_chance(rules, labels[at], lengths[at], ends[at])), here[0])
            days = calendar.work(lengths[place], day)
            runs.append(Run(place, number, tuple(days)))
            left.remove(place)
            standing.set(labels[place][1], len(days))
            day = days[-1] + timedelta(days=1)
    return runs, sorted(set(missed))


class _Standing:
    """The display that stands, and for how many days of work it still stays."""

    def __init__(self, stays: Mapping[str, int]) -> None:
        self._stays = stays
        self.display, self.days = "", 0

    def set(self, display: str, worked: int) -> None:
        if display != self.display:
            self.display, self.days = display, self._stays.get(display, 0)
        self.days -= worked


@dataclass(frozen=True, slots=True)
class _Calendar:
    rules: Rules
    last: date

    def work(self, count: int, since: date) -> list[date]:
        """``count`` days of work from ``since`` on, fewer where the calendar ends."""
        found: list[date] = []
        day = since
        while len(found) < count and day <= self.last:
            if self.rules.works(day):
                found.append(day)
            day += timedelta(days=1)
        return found


def _fits(rules: Rules, labels: tuple[str, str], days: Sequence[date], length: int) -> bool:
    return len(days) == length and all(rules.there(labels, day) for day in days)


def _last_chance(rules: Rules, labels: tuple[str, str], length: int, days: Sequence[date]) -> bool:
    """Whether ``labels`` could not be tried any more once another pairing of that length went before."""
    bound = [last for name, _, last in rules.windows if name in labels and last >= days[0]]
    return bool(bound) and (len(days) < 2 * length or days[-1] > min(bound))
