"""The names in a folder, read again only where the folder may have changed since.

A page asks for the newest kept settings at each change, and a folder may hold 50,000. A folder's
own time tells that it changed, but on some shares only every other second. So names are used again
once that time had stood still for longer when they were read; and never for long, as some file
systems keep no time of a folder.
"""

from __future__ import annotations

import os
import time
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from profiles.files import names_in

if TYPE_CHECKING:
    import re
    from pathlib import Path

#: Twice as long as the coarsest time of a folder stands still (FAT: 2 s).
SETTLED_S = 4.0
#: So long names are used again at most.
TRUSTED_S = 20.0


@dataclass(frozen=True)
class Names:
    """The names in a folder, the shorter ones first and those of one length in their order.

    ``facts`` are device, file number and time of the folder, ``since_s`` when it was first seen so,
    and ``read_s`` when the names were read.
    """

    sorted: list[str]
    written: re.Pattern[str]
    facts: tuple[int, int, int] | None
    since_s: float
    read_s: float

    @cached_property
    def count(self) -> int:
        """How many of the names are ``written`` as a pattern says."""
        return sum(self.written.fullmatch(name) is not None for name in self.sorted)

    def settled(self, facts: tuple[int, int, int] | None, now_s: float) -> bool:
        """Whether these are the names in the folder still, which has these ``facts`` now."""
        rested = self.read_s - self.since_s >= SETTLED_S
        young = now_s - self.read_s < TRUSTED_S
        return facts is not None and facts == self.facts and rested and young


class Folders:
    """Folders whose names were read, those that are ``written`` as a pattern counted apart."""

    def __init__(self, written: re.Pattern[str]) -> None:
        self._written = written
        self._known: dict[Path, Names] = {}

    def names(self, folder: Path, *, anew: bool = False) -> Names:
        """The names in ``folder``; ``anew``: read now.

        Raises RequestError if it cannot be read.
        """
        now_s, facts = time.monotonic(), _facts(folder)
        known = self._known.get(folder)
        if known is not None and not anew and known.settled(facts, now_s):
            return known
        same = known is not None and known.facts == facts
        since_s = known.since_s if known is not None and same else now_s
        # Names of the same length sort as their numbers do, and a longer one is of a larger number.
        names = sorted(sorted(names_in(folder)), key=len)
        read = Names(names, self._written, facts, since_s, now_s)
        self._known[folder] = read
        return read


def _facts(folder: Path) -> tuple[int, int, int] | None:
    """What tells that a folder was changed; None where it cannot be asked."""
    try:
        found = os.stat(folder)  # noqa: PTH116
    except OSError:
        return None
    return found.st_dev, found.st_ino, found.st_mtime_ns
