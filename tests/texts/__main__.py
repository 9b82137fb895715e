"""Every English text that a person reads, in one file: ``python -m tests.texts`` writes it anew.

The tests compare the file with what the program says now, so that each change of wording shows as a
change of that file.
"""

from __future__ import annotations

import os
import re
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from unittest.mock import patch
from zoneinfo import ZoneInfo

# Small matrices on many threads wait for each other; set before numpy is loaded.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from typing import TYPE_CHECKING

import time_machine

from tests.texts import commands, page, seam

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

FILE = Path(__file__).with_name("english.txt")
DAY = datetime(2026, 3, 2, 9, tzinfo=ZoneInfo("UTC"))
HEAD = """\
Every English text that people read, by where they meet it.
A text stands once, under the first state that shows it, whatever its numbers are there.
[Brackets] hold blanks, buttons and links; (aloud) is what a screen reader says besides.
Written by: python -m tests.texts
"""
_DIGEST = re.compile(r"\b[0-9a-f]{16}\b")
_NUMBER = re.compile(r"[-+]?\d[\d.,]*")


#: The parts of the file, each with what makes its states in an empty folder.
PARTS = {
    "The page": page.states,
    "The scripts of the page": lambda _folder: commands.scripts(),
    "The commands": commands.states,
}


def english() -> str:
    """The whole file."""
    whole = HEAD
    for title in PARTS:
        whole += "".join(blocks(title, whole))
    return whole


def blocks(title: str, before: str) -> Iterator[str]:
    """One of PARTS state by state, without what stands already in ``before``.

    ``before`` is the file up to there.
    """
    with (
        TemporaryDirectory() as place,
        patch.dict(os.environ, _environment(Path(place))),
        time_machine.travel(DAY, tick=False),
    ):
        folder = Path(place) / title.rpartition(" ")[2]
        folder.mkdir()
        seen = {_masked(line) for line in before.splitlines()}
        states = (
            (state, [_DIGEST.sub("DIGEST", line.replace(place, "FOLDER")) for line in lines])
            for state, lines in PARTS[title](folder)
        )
        for block in _part(title, states, seen):
            yield f"\n{block}"


def stored(title: str) -> tuple[str, str]:
    """What stands in the file before a part, and the part."""
    text = FILE.read_text("utf-8")
    starts = [text.index(f"\n\n{each}\n{'=' * len(each)}\n") for each in PARTS]
    at = [*PARTS].index(title)
    start, end = [*starts, len(text)][at : at + 2]
    return text[:start], text[start:end]


def _masked(line: str) -> str:
    """A line whatever its numbers are."""
    return _NUMBER.sub("#", line)


def _environment(folder: Path) -> dict[str, str]:
    """Nothing of the person and the computer that this runs for."""
    return {
        "EVENSTROKE_LIBRARY": str(folder / "library"),
        "EVENSTROKE_SYSTEM_ROOT": str(folder / "system"),
        "XDG_STATE_HOME": str(folder / "state"),
        "XDG_CONFIG_HOME": str(folder / "settings"),
    }


def _part(title: str, states: Iterable[tuple[str, list[str]]], seen: set[str]) -> Iterator[str]:
    """A title, and each state with what no state before it has shown."""
    yield f"\n{title}\n{'=' * len(title)}"
    for state, lines in states:
        new = []
        for line in lines:
            words = _masked(line)
            if words not in seen and any(letter.isalpha() for letter in line):
                seen.add(words)
                new.append(line)
        if new:
            yield "\n".join((f"\n-- {state}", *new))


if __name__ == "__main__":
    FILE.write_text(english(), encoding="utf-8")
    seam.lower()
