"""The audit: every file of a library is read, and what is damaged is named.

The rest can be rescued.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from mapper.phrases import phrase
from mapper.problems import EvenstrokeError, RequestError
from profiles.files import names_in, read_bounded
from profiles.format.document import LARGEST_BYTES, loads
from profiles.format.kinds import OtherFormatError
from profiles.library.entries import EntryFile, digest, read_unchanged
from profiles.library.proofs import PROOFS, read_proof
from profiles.library.revisions import (
    LABEL_FILE,
    MARKS,
    PART,
    STATIONS,
    Library,
    RevisionFile,
    files_of,
    read_mark,
)
from profiles.library.station_names import folder_name
from profiles.times import stamp

if TYPE_CHECKING:
    import os

#: What a finding means: ``damaged`` is lost or changed; the others are no harm and are named so
#: that nobody wonders.
Kind = Literal["damaged", "other format", "misplaced", "unfinished", "foreign"]


@dataclass(frozen=True, slots=True)
class Fault:
    """One file that is not simply right, and what there is to say about it."""

    path: Path
    kind: Kind
    says: str


@dataclass(slots=True)
class Audit:
    """What an audit found.

    ``good`` are the paths in a library of the files that are right, each with its content's
    place.
    """

    revisions: int = 0
    entries: int = 0
    findings: list[Fault] = field(default_factory=list)
    good: list[tuple[str, Path]] = field(default_factory=list)

    @property
    def damaged(self) -> list[Fault]:
        return [finding for finding in self.findings if finding.kind == "damaged"]


def audit(library: Library) -> Audit:
    """Read every file of ``library``.

    Raises RequestError where there is no library, or one of a newer layout.
    """
    found = Audit()
    for name in sorted(names_in(library.root)):
        if name not in {LABEL_FILE, "workstations"} and not name.startswith("."):
            found.findings.append(_foreign(library.root / name))
    for folder in library.folders():
        if not folder.is_dir() or folder.is_symlink():
            found.findings.append(_foreign(folder))
        else:
            try:
                _station(library, folder, found)
            except RequestError as error:  # a folder that cannot be read; what is in others can
                found.findings.append(Fault(folder, "damaged", _first_problem(error, folder)))
    return found


def _foreign(path: Path) -> Fault:
    return Fault(path, "foreign", phrase("is not a file of a library"))


def _station(library: Library, folder: Path, found: Audit) -> None:
    names, spoken_of = set(), []
    for path, ours in files_of(folder):
        if isinstance(ours, EntryFile):
            spoken_of.append((path, _entry(library, ours, found)))
        elif ours is not None:
            names.add(ours.name)
            _revision(library, folder, ours, found)
        else:
            _other(library, path, found)
    for path, revision in spoken_of:
        if revision is not None and revision not in names:
            found.findings.append(
                Fault(
                    path,
                    "damaged",
                    phrase("is about setting {revision}, which is not here", revision=revision),
                )
            )


def _entry(library: Library, entry: EntryFile, found: Audit) -> str | None:
    """The revision that an entry speaks of, where it is a mark or a proof of one."""
    try:
        read_unchanged(entry.path, entry.digest, "entry")
        revision = None
        if entry.path.parent.name == MARKS:
            revision = read_mark(entry).revision
        elif entry.path.parent.name == PROOFS:
            revision = read_proof(entry).revision
    except EvenstrokeError as error:
        found.findings.append(Fault(entry.path, "damaged", _first_problem(error, entry.path)))
        return None
    found.entries += 1
    found.good.append((entry.path.relative_to(library.root).as_posix(), entry.path))
    return revision


def _revision(library: Library, folder: Path, revision: RevisionFile, found: Audit) -> None:
    path = revision.path
    try:
        read_unchanged(path, revision.digest, phrase("kept setting"))
    except EvenstrokeError as error:
        found.findings.append(
            Fault(path, "damaged", _with_what_it_is(path, _first_problem(error, path)))
        )
        return
    try:
        workstation = library.load(revision)
    except EvenstrokeError as error:
        # It is what was written, to the byte: of another format, or its writer had other rules. It
        # is not ours to lose.
        whole = isinstance(error, OtherFormatError)
        found.revisions += whole
        kind: Kind = "other format" if whole else "damaged"
        found.findings.append(Fault(path, kind, _first_problem(error, path)))
        found.good.append((_place(folder.name, revision), path))
        return
    found.revisions += 1
    own = folder_name(workstation.name)
    found.good.append((_place(own, revision), path))
    if own != folder.name:
        found.findings.append(
            Fault(
                path,
                "misplaced",
                phrase(
                    "is about {workstation}, whose folder is {own}",
                    workstation=workstation.name,
                    own=own,
                ),
            )
        )


def _other(library: Library, path: Path, found: Audit) -> None:
    """A file under no name of ours.

    A part file, a copy that a sync service renamed, or something else.
    """
    if PART.fullmatch(path.name) or (path.name.startswith(".") and path.name.endswith(".part")):
        found.findings.append(
            Fault(
                path,
                "unfinished",
                phrase("was left when keeping was interrupted; you may remove it"),
            )
        )
        return
    if path.suffix != ".yaml" or path.is_symlink():
        found.findings.append(_foreign(path))
        return
    place = _rightful_place(path)
    if place is None:
        found.findings.append(_foreign(path))
    elif (library.root / place).exists():
        found.findings.append(
            Fault(
                path,
                "foreign",
                phrase("is a copy of {path}; you may remove it", path=Path(place).name),
            )
        )
    else:
        found.revisions += 1
        found.good.append((place, path))
        says = phrase("is an intact setting, which belongs in {place}", place=place)
        found.findings.append(Fault(path, "misplaced", says))


def _rightful_place(path: Path) -> str | None:
    """Where in a library the revision in the file ``path`` belongs, or None where it is none."""
    try:
        content = read_bounded(path, LARGEST_BYTES, phrase("kept setting"), plain=True)
        workstation = loads(content, str(path))
    except EvenstrokeError:
        return None
    if workstation.revision is None:
        return None
    number, kept = workstation.revision.number, workstation.revision.kept
    return _place(folder_name(workstation.name), RevisionFile(number, kept, digest(content), path))


def _place(folder: str, revision: RevisionFile) -> str:
    name = f"{revision.number:04d}-{stamp(revision.kept)}-{revision.digest}.yaml"
    return f"{STATIONS}/{folder}/{name}"


def _first_problem(error: EvenstrokeError, path: Path) -> str:
    """The first problem, without the path that the finding names anyway."""
    return str(error.problems[0]).removeprefix(str(path)).lstrip(": ")


def _with_what_it_is(path: Path, problem: str) -> str:
    """``problem``, and that the file is a whole profile all the same, where it is one."""
    try:
        loads(read_bounded(path, LARGEST_BYTES, phrase("kept setting"), plain=True), str(path))
    except EvenstrokeError:
        return problem
    return phrase(
        "{problem}; as it stands it is a whole profile and can be kept as a new setting",
        problem=problem,
    )


def rescue(found: Audit, into: str | os.PathLike[str]) -> int:
    """Copy every file that is right into the library ``into``; how many were new.

    A misplaced one goes to where it belongs.

    Nothing there is replaced. Raises RequestError where it cannot be written.
    """
    library = Library(into)
    new = 0
    for place, path in found.good:
        if not (library.root / place).exists():
            library.put(place, read_bounded(path, LARGEST_BYTES, phrase("kept setting")))
            new += 1
    return new
