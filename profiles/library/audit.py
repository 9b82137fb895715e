"""The audit: every file of a library is read, what is damaged is named, and the rest can be rescued."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from mapper.problems import EvenstrokeError, RequestError
from profiles.files import could_not_write, names_in, read_bounded, write_whole
from profiles.format.document import LARGEST_BYTES, loads
from profiles.format.migrate import NewerFormatError
from profiles.library.entries import EntryFile, digest, read_unchanged
from profiles.library.miscounted import miscounted
from profiles.library.revisions import HOME, LABEL_FILE, MARKS, PART, Library, RevisionFile, home_of, read_mark
from profiles.library.station_names import folder_name
from profiles.times import stamp

if TYPE_CHECKING:
    import os
    from collections.abc import Iterator

#: What a finding means: ``damaged`` is lost or changed; the others are no harm and are named so that nobody wonders.
Kind = Literal["damaged", "newer", "misplaced", "miscounted", "unfinished", "foreign"]


@dataclass(frozen=True, slots=True)
class Fault:
    """One file that is not simply right, and what there is to say about it."""

    path: Path
    kind: Kind
    says: str


@dataclass(slots=True)
class Audit:
    """What an audit found. ``good`` are the paths in a library of the files that are right, each with its content's place."""

    revisions: int = 0
    entries: int = 0
    findings: list[Fault] = field(default_factory=list)
    good: list[tuple[str, Path]] = field(default_factory=list)

    @property
    def damaged(self) -> list[Fault]:
        return [finding for finding in self.findings if finding.kind == "damaged"]


def audit(library: Library) -> Audit:
    """Read every file of ``library``. Raises RequestError where there is no library, or one of a newer layout."""
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
                found.findings.append(Fault(folder, "damaged", _says(error, folder)))
    return found


def _foreign(path: Path) -> Fault:
    return Fault(path, "foreign", "is not a file of a library")


def _station(library: Library, folder: Path, found: Audit) -> None:
    names = set()
    for path in _files(folder, found):
        revision, entry = RevisionFile.at_path(path), EntryFile.at_path(path)
        inner = path.parent != folder and path.parent.name.isalpha()
        if entry is not None and inner:
            _entry(library, entry, found)
        elif revision is not None and not inner:
            names.add(revision.name)
            _revision(library, folder, revision, found)
        else:
            _other(library, folder, path, found)
    _dangling(folder, names, found)
    found.findings += [
        Fault(
            each.entry.path,
            "miscounted",
            "has the figures from before rounding; to correct it: evenstroke book --correct",
        )
        for each in miscounted(library, folder)
    ]


def _files(folder: Path, found: Audit, *, inner: bool = False) -> Iterator[Path]:
    """Every file in a workstation's folder, in its folders of revisions, and in those of entries."""
    for name in sorted(names_in(folder)):
        path = folder / name
        # A folder under the name of a file of ours is one that others of this program try to read.
        ours = RevisionFile.at_path(path) or (inner and EntryFile.at_path(path))
        if ours or path.is_symlink() or not path.is_dir():
            yield path
        elif HOME.fullmatch(name) or (not inner and name.isascii() and name.isalpha()):
            yield from _files(path, found, inner=True)
        else:
            found.findings.append(_foreign(path))


def _entry(library: Library, entry: EntryFile, found: Audit) -> None:
    try:
        read_unchanged(entry.path, entry.digest, LARGEST_BYTES, "entry")
        if entry.path.parent.name == MARKS:
            read_mark(entry)
    except EvenstrokeError as error:
        found.findings.append(Fault(entry.path, "damaged", _says(error, entry.path)))
        return
    found.entries += 1
    found.good.append((entry.path.relative_to(library.root).as_posix(), entry.path))


def _revision(library: Library, folder: Path, revision: RevisionFile, found: Audit) -> None:
    path = revision.path
    try:
        read_unchanged(path, revision.digest, LARGEST_BYTES, "revision")
    except EvenstrokeError as error:
        found.findings.append(Fault(path, "damaged", _says(error, path) + _still_a_profile(path)))
        return
    try:
        workstation = library.load(revision)
    except EvenstrokeError as error:
        # It is what was written, to the byte: of a newer format, or its writer had other rules. It is not ours to lose.
        newer = isinstance(error, NewerFormatError)
        found.revisions += newer
        found.findings.append(Fault(path, "newer" if newer else "damaged", _says(error, path)))
        found.good.append((_place(folder.name, revision), path))
        return
    found.revisions += 1
    own = folder_name(workstation.name)
    found.good.append((_place(own, revision), path))
    if own != folder.name:
        found.findings.append(Fault(path, "misplaced", f"is about {workstation.name}, whose folder is {own}"))
    elif home_of(folder, revision.number) != path.parent:
        home = home_of(folder, revision.number)
        found.findings.append(Fault(path, "misplaced", f"belongs in the folder {home.name}"))


def _other(library: Library, folder: Path, path: Path, found: Audit) -> None:
    """A file under no name of ours: a part file, a copy that a sync service renamed, or something else."""
    if PART.fullmatch(path.name) or (path.name.startswith(".") and path.name.endswith(".part")):
        found.findings.append(Fault(path, "unfinished", "was left when keeping was interrupted; you may remove it"))
        return
    if path.suffix != ".yaml" or path.is_symlink():
        found.findings.append(_foreign(path))
        return
    place = _rightful_place(path)
    if place is None:
        found.findings.append(_foreign(path))
    elif (library.root / place).exists():
        found.findings.append(Fault(path, "foreign", f"is a copy of {Path(place).name}; you may remove it"))
    else:
        found.revisions += 1
        found.good.append((place, path))
        name = Path(place).name
        says = f"is a whole revision under another name; {'its own is' if path.parent == folder else 'it belongs to'} {name}"
        found.findings.append(Fault(path, "misplaced", says))


def _rightful_place(path: Path) -> str | None:
    """Where in a library the revision in the file ``path`` belongs, or None where it is none."""
    try:
        content = read_bounded(path, LARGEST_BYTES, "revision", plain=True)
        workstation = loads(content, str(path))
    except EvenstrokeError:
        return None
    if workstation.revision is None:
        return None
    number, kept = workstation.revision.number, workstation.revision.kept
    return _place(folder_name(workstation.name), RevisionFile(number, kept, digest(content), path))


def _place(folder: str, revision: RevisionFile) -> str:
    home = home_of(Path("workstations", folder), revision.number)
    return (home / f"{revision.number:04d}-{stamp(revision.kept)}-{revision.digest}.yaml").as_posix()


def _dangling(folder: Path, names: set[str], found: Audit) -> None:
    """Marks that speak of a revision that is not here."""
    if not (folder / MARKS).is_dir():
        return
    for entry in (EntryFile.at_path(folder / MARKS / name) for name in sorted(names_in(folder / MARKS))):
        try:
            revision = read_mark(entry).revision if entry else None
        except EvenstrokeError:
            continue  # named already
        if entry and revision is not None and revision not in names:
            found.findings.append(Fault(entry.path, "damaged", f"speaks of revision {revision}, which is not here"))


def _says(error: EvenstrokeError, path: Path) -> str:
    """The first problem, without the path that the finding names anyway."""
    return str(error.problems[0]).removeprefix(str(path)).lstrip(": ")


def _still_a_profile(path: Path) -> str:
    try:
        loads(read_bounded(path, LARGEST_BYTES, "revision", plain=True), str(path))
    except EvenstrokeError:
        return ""
    return "; as it stands it is a whole profile and can be kept as a new revision"


def rescue(found: Audit, into: str | os.PathLike[str]) -> int:
    """Copy every file that is right into the library ``into``, a misplaced one to where it belongs; how many were new.

    Nothing there is replaced. Raises RequestError where it cannot be written.
    """
    library = Library(into)
    new = 0
    for place, path in found.good:
        target = library.root / place
        if target.exists():
            continue
        try:
            library.make_home(target)
        except OSError as error:
            raise could_not_write(target, error) from None
        write_whole(target, read_bounded(path, LARGEST_BYTES, "revision"))
        new += 1
    return new
