"""Finds the desk that a person names, as a file or in the library.

``desk.yaml`` is a profile's file. ``window desk`` is a workstation of the library, with the setting
in force. ``window desk@3`` is one revision of it (``@3b`` where copies of the library kept two),
and ``window desk@2026-03-15`` the setting that was in force at the end of that day. A file that
exists wins.

Which desk is this computer's is noted outside the library, which may be on a network share: in the
platform's place for a user's settings, in a file that bears the computer's name, as a home folder
may be shared between computers too.
"""

from __future__ import annotations

import os
import re
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from mapper.phrases import phrase
from mapper.problems import EvenstrokeError, Problem, RequestError, nearest, quoted
from profiles.files import (
    RESERVED,
    could_not_write,
    make_folder,
    names_in,
    read_bounded,
    remove_if_there,
    write_whole,
)
from profiles.format.document import load, load_described
from profiles.library.revisions import WANTED
from profiles.standard import is_standard
from profiles.times import parse_moment
from profiles.unlikely import doubt_day

if TYPE_CHECKING:
    from collections.abc import Sequence

    from profiles.format.document import Workstation
    from profiles.library.revisions import Library, RevisionFile

PROFILE_ENDINGS = (".yaml", ".yml")
_LONGEST_NAME_BYTES = 4096
#: Endings of files that commands write from a desk.
_WRITTEN_ENDINGS = (".png", ".svg", ".pdf", ".webp", ".gif", ".html", ".csv")
# More names than this are no help in an error.
_MOST_NAMES = 3


@dataclass(frozen=True, slots=True)
class FoundDesk:
    """A desk that was found, as it was ``typed``, with what it holds.

    ``revision`` is None if it was read from a file.
    """

    typed: str
    workstation: Workstation
    revision: RevisionFile | None = None

    @property
    def file(self) -> Path | None:
        """The profile's file; None for a desk of the library, whose files belong to the library."""
        return Path(self.typed) if self.revision is None else None

    @property
    def stem(self) -> str:
        """The stem of names for files that are made of it."""
        return stem_of(self.typed)


def stem_of(typed: str) -> str:
    """The stem of names for files that are made of a desk.

    It is its file's name without the ending, or a plain form of its own name.
    """
    if os.path.isfile(typed) and not is_standard(typed):  # noqa: PTH113 - as typed
        return Path(typed).stem
    stem = "-".join(re.findall(r"\w+", typed)) or "desk"
    return f"{stem}-desk" if stem.casefold() in RESERVED else stem


def find_desk(typed: str, library: Library, *, stale: bool = False) -> FoundDesk:
    """The desk that a person calls ``typed``; with ``stale``, of a file only what was described.

    Raises RequestError if a file is no profile, and for a name that is neither a file's nor a
    workstation's, with the nearest of each; AnswerIsNo if the workstation has no such revision.
    """
    there = os.path.exists(typed) and not os.path.isdir(typed)  # noqa: PTH110, PTH112 - as typed
    if there or is_standard(typed):
        return FoundDesk(typed, load_described(typed) if stale else load(typed))
    revision = find_revision(typed, library)
    if revision is None:
        raise _unknown_desk(typed, library)
    return FoundDesk(typed, library.load(revision), revision)


def find_revision(typed: str, library: Library) -> RevisionFile | None:
    """The revision of ``window desk`` (in force), ``window desk@3`` or ``window desk@2026-03-15``.

    None where the library has no such workstation. Raises AnswerIsNo if that has no such revision.
    """
    folder = library.folder_if_there(typed)
    if folder is not None:
        return library.in_force(folder)
    name, at, wanted = typed.rpartition("@")
    folder = library.folder_if_there(name) if at else None
    if folder is None:
        return None
    if WANTED.fullmatch(wanted.strip()):
        return library.named(folder, wanted)
    try:
        moment = parse_moment(wanted, typed)
    except RequestError:
        instead = phrase("Type for example {name}@3 or {name}@2026-03-15", name=name)
        must = phrase("the number of a setting or a day must follow the @")
        raise RequestError(Problem(typed, must, quoted(wanted), instead)) from None
    doubt_day(moment.astimezone().date().isoformat(), typed)
    return library.in_force(folder, moment)


def refuse_swapped(desks: Sequence[str], out: str) -> None:
    """Raise RequestError if a file to write was typed before the desk of which it is made."""
    if out.lower().endswith(_WRITTEN_ENDINGS):
        return
    for typed in desks:
        if typed.lower().endswith(_WRITTEN_ENDINGS):
            must = phrase("must be a profile's file or a desk of the library")
            swapped = phrase("Type the desk first and the file to write after it")
            raise RequestError(Problem(typed, must, phrase("a file to write"), swapped))


def refuse_profiles(files: Sequence[str]) -> None:
    """Raise RequestError if a profile was typed in place of what is held against it."""
    for typed in files:
        if typed.lower().endswith(PROFILE_ENDINGS):
            must = phrase("must be a picture or a file of points")
            instead = phrase("Type the profile after --against")
            raise RequestError(Problem(typed, must, phrase("a profile"), instead))


def _unknown_desk(typed: str, library: Library) -> RequestError:
    """The error for a name of no file and no workstation, with the nearest of each."""
    name, _, wanted = typed.rpartition("@")
    if name and os.path.isfile(name):  # noqa: PTH113 - as typed
        must = phrase("a file has no kept settings; desks of the library do")
        return RequestError(
            Problem(typed, must, f"@{wanted}", phrase("Type {name} alone", name=name))
        )
    folder = Path(os.path.dirname(typed) or ".")  # noqa: PTH120
    instead = ""
    must = phrase("must be a profile's file or a desk of the library")
    with suppress(EvenstrokeError, ValueError):
        file = nearest(Path(typed).name, _profiles_in(folder))
        near_file = (
            phrase("The nearest file is {folder}", folder=folder / file)
            if file
            else phrase("No file has a similar name")
        )
        names = station_names(library)
        station = nearest(name or typed, names)
        if station:
            near_station = phrase("the nearest desk is {station}", station=quoted(station))
        elif not names:
            near_station = phrase("the library ({root}) is empty", root=library.root)
        elif len(names) <= _MOST_NAMES:
            near_station = phrase("the library holds {names}", names=", ".join(map(quoted, names)))
        else:
            near_station = phrase("see the library's: evenstroke stations")
        instead = phrase("{file}; {desk}", file=near_file, desk=near_station)
    return RequestError(Problem(typed, must, phrase("neither"), instead, is_missing=True))


def _profiles_in(folder: Path) -> list[str]:
    if not folder.is_dir():
        return []
    return [name for name in names_in(folder) if name.lower().endswith(PROFILE_ENDINGS)]


def station_names(library: Library) -> list[str]:
    """The names of the workstations in ``library`` that are not retired, in order.

    Empty where there is no library.
    """
    if not library.is_there():
        return []
    return [station.name for station in library.stations()[0] if not station.marks.station_retired]


def usual_desk(library: Library) -> str | None:
    """What to type for the desk that is meant where none is named, or None.

    It is this computer's, else the only one of the library.
    """
    here = this_computers_desk()
    if here is not None:
        return here
    names = station_names(library)
    return names[0] if len(names) == 1 else None


def require_usual_desk(library: Library) -> str:
    """What to type for the desk that is meant where none is named, as ``usual_desk``.

    Raises RequestError if none, or more than one, could be meant.
    """
    usual = usual_desk(library)
    if usual is not None:
        return usual
    names = station_names(library)
    must = phrase("must be the file of a profile or a desk of the library")
    if not names:
        instead = phrase(
            'Describe one: evenstroke map --tablet 240x152mm --display "27in 2560x1440" '
            "--save desk.yaml"
        )
        raise RequestError(Problem("DESK", must, phrase("none, and the library is empty"), instead))
    instead = phrase(
        "Type its name, or choose the desk of this computer once: evenstroke here {names}",
        names=quoted(names[0]),
    )
    raise RequestError(
        Problem(
            "DESK", must, phrase("none, and the library holds {count}", count=len(names)), instead
        )
    )


def this_computers_desk() -> str | None:
    """What to type for the desk before this computer, as it was noted; None where none was."""
    note = _note()
    try:
        if not note.is_file():
            return None
    except OSError:  # a folder of settings that nobody may look into
        return None
    typed = (
        read_bounded(note, _LONGEST_NAME_BYTES, phrase("note of this computer's desk"))
        .decode("utf-8", "replace")
        .strip()
    )
    return typed or None


def note_this_computers_desk(typed: str | None) -> None:
    """Note which desk is this computer's; None forgets it. A file is noted by its whole path.

    Raises RequestError if the note cannot be written.
    """
    note = _note()
    if typed is None:
        remove_if_there(note)
        return
    if os.path.isfile(typed):  # noqa: PTH113 - as typed
        typed = os.path.abspath(typed)  # noqa: PTH100 - links stay as they are
    try:
        make_folder(note.parent, above=True)
    except OSError as error:
        raise could_not_write(note, error) from None
    write_whole(note, f"{typed}\n".encode(), force=True)


def _note() -> Path:
    """The file in which this computer's desk is noted."""
    from platform import node

    from platformdirs import user_config_path

    computer = re.sub("[^a-z0-9-]+", "-", node().partition(".")[0].lower()) or "computer"
    return user_config_path("evenstroke", appauthor=False) / f"desk-of-{computer}.txt"
