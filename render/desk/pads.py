"""The pads that ``evenstroke pad --serve`` opens: the maps compared, and where strokes go."""

from __future__ import annotations

import threading
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Any

from mapper.phrases import phrase
from mapper.problems import EvenstrokeError, Problem, RequestError
from profiles.files import names_in, write_whole
from profiles.library.desks import find_desk
from render.desk.pad_maps import PadMap, candidates, named_maps

if TYPE_CHECKING:
    from profiles.format.document import Workstation
    from profiles.library.desks import FoundDesk
    from profiles.library.revisions import Library
    from render.desk.bodies import Wish

#: What strokes may be, by what the browser calls it, and the ending of their file.
KINDS = {"application/json": "json", "image/svg+xml": "svg"}
#: So many files of strokes stand beside one profile, and so much; more is no evening's work but a
#: slip.
MOST_SAVED, MOST_SAVED_BYTES = 500, 256 * 1024 * 1024


@dataclass(frozen=True, slots=True)
class OpenPad:
    """One pad: the desks that it compares, as typed, and where its files are saved.

    ``now`` is the fit that the driver has today, None as in the first profile; ``stem`` is what the
    names of the files begin with.
    """

    desks: tuple[tuple[str, Workstation], ...]
    now: str | None
    folder: Path
    stem: str
    _lock: Any = field(default_factory=threading.Lock, compare=False)

    def maps(self) -> tuple[PadMap, tuple[PadMap, ...]]:
        """Today's map and those it is compared with, called in the language in use.

        Raises RequestError where today's fit cannot be had.
        """
        return candidates(named_maps(self.desks), self.now)

    def save(self, kind: str, content: bytes) -> str:
        """Write strokes to the first free ``<stem>.strokes-<n>.<kind>``, and say which.

        Raises RequestError.
        """
        with self._lock:
            start = f"{self.stem}.strokes-"
            taken = {name for name in names_in(self.folder) if name.startswith(start)}
            size = sum((self.folder / name).lstat().st_size for name in taken) + len(content)
            if len(taken) < MOST_SAVED and size <= MOST_SAVED_BYTES:
                number = next(at for at in count(1) if f"{start}{at}.{kind}" not in taken)
                name = f"{start}{number}.{kind}"
                write_whole(self.folder / name, content)
                return name
        came = phrase("{count} of them in {folder}", count=len(taken), folder=self.folder)
        raise RequestError(
            Problem(
                "strokes",
                phrase("cannot be saved beside so many others"),
                came,
                phrase("Move some away."),
            )
        )


def open_pad(library: Library, wish: Wish) -> OpenPad:
    """The pad that a start of the program asks for.

    ``pad`` of ``wish`` lists desks as typed, ``now`` says how the driver is set today, ``folder``
    where strokes of a desk of the library are saved. Raises RequestError with the problems of all
    desks.
    """
    desks: list[FoundDesk] = []
    problems: list[Problem] = []
    for typed in wish.pad:
        try:
            desks.append(find_desk(typed, library))
        except EvenstrokeError as error:
            problems.extend(error.problems)
    if problems:
        raise RequestError(*problems)
    first = desks[0]
    folder = first.file.parent if first.file else Path(wish.folder)
    found = tuple((desk.typed, desk.workstation) for desk in desks)
    pad = OpenPad(found, wish.now or None, folder.absolute(), first.stem)
    pad.maps()
    return pad
