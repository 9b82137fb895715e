"""What a library knows of one workstation or of all.

What is damaged is named and stops nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mapper.phrases import phrase
from mapper.problems import AnswerIsNo, Collected, Problem
from profiles.library.entries import entries
from profiles.library.proofs import proofs_of
from profiles.library.revisions import MARKS, Library, Marks, RevisionFile, read_mark, short_name
from profiles.times import shown

if TYPE_CHECKING:
    from datetime import datetime
    from pathlib import Path

    from profiles.format.document import Workstation
    from profiles.library.proofs import Proof


@dataclass(frozen=True, slots=True)
class HistoryRow:
    """One revision: its file, what it is called, what it holds and what the one before held.

    The last two are None where there is none or it cannot be read. ``proofs`` are the marks that
    speak of it, the oldest first: typed in, tested.
    """

    file: RevisionFile
    called: str
    holds: Workstation | None
    before: Workstation | None
    in_force: bool
    pinned: bool
    retired: bool
    proofs: tuple[Proof, ...] = ()


@dataclass(frozen=True, slots=True)
class Decision:
    """One decision: when, which (``pin``, ``unpin``, ``retire`` or ``restore``), and why.

    ``revision`` is None where it is about the workstation.
    """

    at: datetime
    mark: str
    revision: str | None
    note: str | None


@dataclass(frozen=True, slots=True)
class History:
    """The newest revisions of a workstation, the newest first.

    ``earlier`` is how many more there are.

    ``decisions`` are all that were made, the newest first.
    """

    name: str
    rows: tuple[HistoryRow, ...]
    earlier: int
    retired: bool
    decisions: tuple[Decision, ...]
    problems: tuple[Problem, ...]


def history(
    library: Library, folder: Path, last: int | None = None, *, since: datetime | None = None
) -> History:
    """The ``last`` revisions (all where None) of the workstation in ``folder``.

    With ``since`` those alone, and the decisions, that were made then or later. Raises AnswerIsNo
    where there is none.
    """
    problems: list[Problem] = []
    # One more than are shown, as each is compared with the one before it.
    few = last if since is None else None
    files = library.revisions(folder) if few is None else library.newest_of(folder, few + 1)
    if not files:
        raise AnswerIsNo(Problem(library.called(folder), phrase("must have a kept setting")))
    marks, in_force = _decided(library, folder, problems)
    wanted = [file for file in files if since is None or file.kept >= since]
    listed = wanted if last is None else wanted[-last:]
    decisions = [each for each in _decisions(library, folder) if since is None or each.at >= since]
    if since is not None and not listed and not decisions:
        must = phrase("must have a kept setting or a decision since {day}", day=shown(since))
        instead = phrase("The newest is of {day}", day=shown(files[-1].kept))
        raise AnswerIsNo(Problem(library.called(folder), must, instead=instead))
    # Copies of a library that were joined may have kept a later number earlier.
    start = files.index(listed[0]) if listed else len(files)
    proofs, unread = proofs_of(library, folder)
    problems += unread
    rows: list[HistoryRow] = []
    before = _holds(library, files[start - 1], []) if start and listed else None
    earlier = (len(wanted) if few is None else library.count(folder)) - len(listed)
    for file in files[start:]:
        if since is not None and file.kept < since:
            before = _holds(library, file, []) or before
            continue
        holds = _holds(library, file, problems)
        pinned, retired = marks.pinned == file.name, file.name in marks.retired
        own = tuple(proof for proof in proofs if proof.revision == file.name)
        rows.append(
            HistoryRow(
                file, short_name(file, files), holds, before, file == in_force, pinned, retired, own
            )
        )
        before = holds or before
    name = next((row.holds.name for row in reversed(rows) if row.holds), None)
    return History(
        name or library.called(folder),
        tuple(reversed(rows)),
        earlier,
        marks.station_retired,
        tuple(reversed(decisions)),
        tuple(problems),
    )


def _decisions(library: Library, folder: Path) -> list[Decision]:
    """All decisions that can be read; what cannot was named already."""
    found: list[Decision] = []
    for entry in entries(library.place(folder, MARKS)):
        with Collected([]):
            mark = library.read_once(entry, read_mark)
            found.append(Decision(entry.at, mark.mark, mark.revision, mark.note))
    return found


def _holds(library: Library, file: RevisionFile, problems: list[Problem]) -> Workstation | None:
    with Collected(problems):
        return library.load(file)
    return None


def _decided(
    library: Library, folder: Path, problems: list[Problem]
) -> tuple[Marks, RevisionFile | None]:
    marks = Marks()
    with Collected(problems):
        marks = library.marks(folder)
        return marks, library.in_force(folder)
    # Where all settings are retired none is in force, and what was decided still holds.
    return marks, None


@dataclass(frozen=True, slots=True)
class StationRow:
    """One workstation: its name, the revision in force and what that holds.

    The last two are None where there is none or it cannot be read.
    """

    name: str
    folder: str
    newest: int
    in_force: RevisionFile | None
    holds: Workstation | None
    pinned: bool
    retired: bool


def station_rows(
    library: Library, *, retired: bool = False
) -> tuple[list[StationRow], list[Problem]]:
    """All workstations of ``library``, the retired ones where asked for, and what is unreadable."""
    stations, problems = library.stations()
    rows = []
    for station in stations:
        if station.marks.station_retired and not retired:
            continue
        again: list[Problem] = []
        marks, in_force = _decided(library, station.folder, again)
        holds = _holds(library, in_force, again) if in_force else None
        problems += [problem for problem in again if problem not in problems]
        row = StationRow(
            station.name,
            station.folder.name,
            station.newest.number,
            in_force,
            holds,
            marks.pinned is not None,
            marks.station_retired,
        )
        rows.append(row)
    return rows, problems
