"""The pads that ``evenstroke pad --serve`` opens: which maps each compares, and where its strokes are saved."""

from __future__ import annotations

import threading
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from mapper.problems import EvenstrokeError, Problem, RequestError
from profiles.files import names_in, write_whole
from profiles.library.desks import find_desk
from render.desk.pad_maps import PadMap, candidates, named_maps

if TYPE_CHECKING:
    from profiles.library.desks import FoundDesk
    from profiles.library.revisions import Library

#: What strokes may be, by what the browser calls it, and the ending of their file.
KINDS = {"application/json": "json", "image/svg+xml": "svg"}
#: So many files of strokes stand beside one profile; more is no evening's work but a slip.
MOST_SAVED = 500


@dataclass(frozen=True, slots=True)
class OpenPad:
    """One pad: today's map, those it is compared with, and the folder and first letters of its files."""

    today: PadMap
    others: tuple[PadMap, ...]
    folder: Path
    stem: str
    _lock: Any = field(default_factory=threading.Lock, compare=False)

    def save(self, kind: str, content: bytes) -> str:
        """Write strokes to the first free ``<stem>.strokes-<n>.<kind>``, and say which. Raises RequestError."""
        with self._lock:
            taken = set(names_in(self.folder))
            for number in range(1, MOST_SAVED + 1):
                name = f"{self.stem}.strokes-{number}.{kind}"
                if name not in taken:
                    write_whole(self.folder / name, content)
                    return name
        came = f"{MOST_SAVED} of them in {self.folder}"
        raise RequestError(Problem("strokes", "cannot be saved beside so many others", came, "Move some away"))


def open_pad(library: Library, wish: dict[str, Any]) -> OpenPad:
    """The pad that a start of the program asks for: ``pad`` lists desks as typed, ``now`` how the driver is set today.

    ``folder`` is where strokes of a desk of the library are saved. Raises RequestError with the problems of all desks.
    """
    desks: list[FoundDesk] = []
    problems: list[Problem] = []
    for typed in wish["pad"]:
        try:
            desks.append(find_desk(str(typed), library))
        except EvenstrokeError as error:
            problems.extend(error.problems)
    if problems:
        raise RequestError(*problems)
    maps = named_maps([(desk.typed, desk.workstation) for desk in desks])
    today, others = candidates(maps, wish.get("now") or None)
    first = desks[0]
    folder = first.file.parent if first.file else Path(str(wish.get("folder") or ""))
    return OpenPad(today, others, folder.absolute(), first.stem)
