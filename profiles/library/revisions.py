"""The library: every setting of every workstation, as revisions that are written once.

A library is a folder of plain files, so that version control, a synced folder or a network share
can carry it::

    library.yaml                   which layout this is
    workstations/desk/             one folder a workstation (profiles/library/station_names.py)
        0001-20261125-090311-9f86d081884c7d65.yaml
                                   one file a revision: number, when it was kept (UTC), digest
        marks/20261125-...-pin-...yaml
                                   what was decided: pinned, retired (profiles/library/entries.py)
        proofs/...                 what was typed in and tested (profiles/library/proofs.py)
        trials/...                 any further entries about the workstation

Numbers. ``keep`` takes the number after the newest by making the hidden file ``.0002.part``, which
only one process can; the revision is written into it, flushed, and given its name in one step.
There are no lock files: where the system can, keepers take turns by a lock on the folder itself,
which ends with its process; where it cannot, the part files alone keep numbers apart. A keeper that
was killed leaves a part file, which nothing lists, and a number that nobody has.

Digests in file names. Two copies of a library that each keep a revision 2 must not write two
contents under one name, or one would be lost when the copies are joined, by whatever joins them;
and damage must show without an index, which could itself be wrong. So a file's name ends in a
digest of its content. People never type it: revisions that share a number are called by the order
in which they were kept, ``2a`` and ``2b``, and the last one is the newest.

In force is the revision that was pinned last; where none is pinned, the newest that is not retired.

What is in force follows from dated marks, each a file of its own that is only ever added, so that a
pin joins like a revision; the latest wins. The same content means the same profile but for its
``revision`` part, compared with the newest revision only: going back to an earlier setting is news.
A damaged newest revision is named and not passed over in silence. Line ends do not count in
digests, since version control may change them.
"""

from __future__ import annotations

import os
import re
import time
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path
from string import ascii_lowercase
from typing import TYPE_CHECKING, Annotated, Any, Literal, TypeVar

from msgspec import Meta, Struct

from mapper.phrases import phrase
from mapper.problems import (
    AnswerIsNo,
    Collected,
    EvenstrokeError,
    Problem,
    RequestError,
    nearest,
    quoted,
)
from profiles.files import (
    could_not_write,
    fill_new,
    flush_folder,
    make_folder,
    names_in,
    read_bounded,
    remove_if_there,
    taking_turns,
    write_whole,
)
from profiles.format.document import (
    LARGEST_BYTES,
    Revision,
    Workstation,
    loads,
    refuse_no_workstation,
    to_yaml,
)
from profiles.format.kinds import FORMAT, Kind, read_document
from profiles.library.entries import (
    DIGEST,
    EntryFile,
    append,
    digest,
    entries,
    read_entry,
    read_unchanged,
)
from profiles.library.names import Folders
from profiles.library.station_names import folder_name, new_name, plain_name
from profiles.times import from_stamp, shown, stamp

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

T = TypeVar("T")

LAYOUT = Kind("evenstroke_library", phrase("library's label"))
_MARK = Kind("evenstroke_mark", "mark")

LABEL_FILE = "library.yaml"
_LABEL = (
    "# A library of workstation settings: one file a revision, written once. Add files, never "
    f"change them.\n{LAYOUT.key}: {FORMAT}\n"
)
STATIONS = "workstations"
MARKS = "marks"
_NAME = re.compile(rf"([0-9]{{4,9}})-([0-9]{{8}}-[0-9]{{6}})-({DIGEST})\.yaml")
LARGEST_NUMBER = 999_999_999
PART = re.compile(r"\.[0-9]{4,9}\.part")
#: How a person calls a revision: its number, with a letter where several share it.
WANTED = re.compile(r"0*([1-9][0-9]{0,8})([A-Za-z]{0,2})")
#: A part file this old is no keeper at work.
_STALE_AFTER_S = 24 * 3600


def default_folder() -> Path:
    """Where the library is when nobody says where: in the platform's place for a user's data."""
    from platformdirs import user_data_path

    return user_data_path("evenstroke", appauthor=False) / "library"


@dataclass(frozen=True, slots=True, order=True)
class RevisionFile:
    """One revision's file, as its name says: number, when it was kept (UTC), its content's digest.

    They sort by age.
    """

    number: int
    kept: datetime
    digest: str
    path: Path = field(compare=False)

    @property
    def name(self) -> str:
        """Number and digest: what marks call it, in every copy."""
        return f"{self.number}-{self.digest}"

    @classmethod
    def at_path(cls, path: Path) -> RevisionFile | None:
        """The revision whose name ``path`` bears, or None where it is no revision's name."""
        match = _NAME.fullmatch(path.name)
        kept = from_stamp(match.group(2)) if match else None
        if match is None or kept is None or not int(match.group(1)):
            return None
        return cls(int(match.group(1)), kept, match.group(3), path)


class MarkPart(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True, kw_only=True):
    """The document of a mark: a decision about a revision.

    About the whole workstation where it names none.
    """

    evenstroke_mark: Literal[1]
    mark: Literal["pin", "unpin", "retire", "restore"]
    revision: Annotated[str, Meta(pattern=rf"^[1-9][0-9]*-{DIGEST}$")] | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Marks:
    """What was decided about a workstation.

    The revision pinned, the revisions retired, and whether the workstation is retired.
    """

    pinned: str | None = None
    retired: frozenset[str] = frozenset()
    station_retired: bool = False

    def after(self, mark: MarkPart) -> Marks:
        """These decisions and then ``mark``."""
        if mark.mark == "pin":
            return replace(self, pinned=mark.revision)
        if mark.mark == "unpin":
            return replace(self, pinned=None)
        if mark.revision is None:
            return replace(self, station_retired=mark.mark == "retire")
        if mark.mark == "restore":
            return replace(self, retired=self.retired - {mark.revision})
        pinned = None if self.pinned == mark.revision else self.pinned
        return replace(self, retired=self.retired | {mark.revision}, pinned=pinned)


@dataclass(frozen=True, slots=True)
class Station:
    """One workstation of a library.

    Its name as last written, its folder, its newest revision and what was decided.
    """

    name: str
    folder: Path
    newest: RevisionFile
    marks: Marks


class Library:
    """The library in the folder ``root``.

    Nothing is read or made before it is asked for.

    All methods raise RequestError for what cannot be read or written, and AnswerIsNo for what is
    not there.

    >>> Library("no such folder").is_there()
    False
    """

    def __init__(self, root: str | os.PathLike[str]) -> None:
        self.root = Path(root)
        self._folders = Folders(_NAME)
        self._read_once: dict[tuple[object, EntryFile], Any] = {}

    # -- keeping

    def keep(
        self, workstation: Workstation, *, note: str | None = None, now: datetime | None = None
    ) -> tuple[RevisionFile, bool]:
        """Keep ``workstation`` as its next revision; the revision's file and whether it is new.

        No new one is made where the newest says the same already (``note`` and ``now`` do not
        count). Raises RequestError for a new name that may not be (``new_name``).
        """
        refuse_no_workstation(workstation)
        folder = self.folder_named(folder_name(workstation.name))
        if not folder.is_dir():
            new_name(workstation.name, "workstation")
        self.begin(folder)
        try:
            with taking_turns(folder):
                names = self._folders.names(folder, anew=True).sorted
                newest = next(_newest_first(folder, names), None)
                number = 1 if newest is None else newest.number + 1
                if number > LARGEST_NUMBER:
                    must = phrase("must have a number left for another setting")
                    raise RequestError(Problem(str(folder), must))  # noqa: TRY301
                for same in _numbered(folder, number - 1, names):
                    if self._is_same(same, workstation):
                        return same, False
                kept = _add(folder, number, workstation, note, now or datetime.now(UTC))
                _sweep(folder, names)
                return kept, True
        except RequestError:
            raise
        except (OSError, ValueError) as error:
            raise could_not_write(getattr(error, "filename", None) or folder, error) from None

    def begin(self, folder: Path) -> None:
        """Make what is missing of the library and of a ``folder`` in it."""
        try:
            if not self._label_is_there():
                make_folder(self.root, above=True)
                with suppress(RequestError):  # somebody else was quicker, with the same content
                    write_whole(self.root / LABEL_FILE, _LABEL.encode())
                self._label_is_there()
            make_folder(folder, above=True)
        except OSError as error:
            raise could_not_write(error.filename or folder, error) from None

    def put(self, place: str, content: bytes, *, force: bool = False) -> None:
        """Write a whole file to its ``place`` in this library, with the folders above it."""
        self.begin((self.root / place).parent)
        write_whole(self.root / place, content, force=force)

    def _label_is_there(self) -> bool:
        path = self.root / LABEL_FILE
        if not path.exists():
            return False
        content = read_bounded(path, LARGEST_BYTES, phrase("library's label"), plain=True)
        read_document(content, str(path), LAYOUT, dict)
        return True

    def _is_same(self, kept: RevisionFile, workstation: Workstation) -> bool:
        try:
            return replace(self.load(kept), revision=None) == replace(workstation, revision=None)
        except EvenstrokeError:
            return False  # damaged or of another format: then what is kept now is something else

    # -- finding

    def is_there(self) -> bool:
        """Whether there is a library in the folder.

        Raises RequestError for one of a newer layout.
        """
        return self._label_is_there() or (self.root / STATIONS).is_dir()

    def require(self) -> None:
        """Raises RequestError where there is no library here, or one of a newer layout.

        An empty folder is an empty library.
        """
        empty = self.root.is_dir() and not names_in(self.root)
        if not empty and not self.is_there():
            instead = phrase(
                "Keep a first profile: evenstroke keep desk.yaml; or say where the library is: "
                "--library FOLDER"
            )
            raise RequestError(
                Problem(str(self.root), phrase("must be a library's folder"), "", instead)
            )

    def folder_if_there(self, name: str) -> Path | None:
        """The folder of the workstation ``name``, or the folder so named.

        None where there is none, or no library.
        """
        if not name.strip() or not self.is_there():
            return None
        for candidate in dict.fromkeys(
            (folder_name(name), name if re.fullmatch("[a-z0-9-]+", name) else "")
        ):
            # A name may be too long for a folder's.
            with suppress(OSError):
                if candidate and (self.root / STATIONS / candidate).is_dir():
                    return self.root / STATIONS / candidate
        return None

    def folder_of(self, name: str) -> Path:
        """The folder of the workstation ``name`` (or of the folder so named).

        Raises AnswerIsNo where there is none.
        """
        self.require()
        plain = plain_name(name)
        found = self.folder_if_there(name)
        if found is not None:
            return found
        near = nearest(plain, [station.name for station in self.stations()[0]])
        instead = (
            phrase("Did you mean {near}?", near=quoted(near))
            if near
            else phrase("See the list: evenstroke stations")
        )
        raise AnswerIsNo(
            Problem(
                str(self.root),
                phrase("no desk named {name}", name=quoted(name)),
                instead=instead,
            )
        )

    def called(self, folder: Path) -> str:
        """The name of the workstation in ``folder``, as a problem says it.

        The folder's own name where none can be read.
        """
        try:
            newest = self.newest(folder)
            return self.load(newest).name if newest else folder.name
        except EvenstrokeError:
            return folder.name

    def folder_named(self, folder: str) -> Path:
        """The place of the workstation folder ``folder``, there or not."""
        return self.root / STATIONS / folder

    def folders(self) -> list[Path]:
        """The folders of all workstations, in the order of their names."""
        self.require()
        home = self.root / STATIONS
        # A library that was only just begun has its label and nothing else.
        return (
            sorted(home / name for name in names_in(home) if name[0] != ".")
            if home.exists()
            else []
        )

    def stations(self) -> tuple[list[Station], list[Problem]]:
        """All workstations that hold a revision, and what is wrong with unreadable ones."""
        found: list[Station] = []
        problems: list[Problem] = []
        for folder in self.folders():
            newest = None
            with Collected(problems):
                newest = self.newest(folder) if folder.is_dir() else None
            if newest is None:
                continue
            name, marks = folder.name, Marks()
            with Collected(problems):
                name = self.load(newest).name
                marks = self.marks(folder)
            found.append(Station(name, folder, newest, marks))
        return sorted(found, key=lambda station: (station.name.casefold(), station.name)), problems

    def count(self, folder: Path) -> int:
        """How many revisions are in a workstation's ``folder``, by their names alone."""
        return self._folders.names(folder).count

    def newest_of(self, folder: Path, most: int) -> list[RevisionFile]:
        """The newest revisions in ``folder``, the oldest of them first: at most ``most``.

        With them all others come that share a number with one of these.
        """
        found: list[RevisionFile] = []
        for revision in self._newest_first(folder):
            if len(found) >= most and revision.number != found[-1].number:
                break
            found.append(revision)
        return found[::-1]

    def revisions(self, folder: Path) -> list[RevisionFile]:
        """All revisions in a workstation's ``folder``, the oldest first."""
        return list(self._newest_first(folder))[::-1]

    def newest(self, folder: Path) -> RevisionFile | None:
        """The newest revision in a workstation's ``folder``, or None where there is none."""
        return next(self._newest_first(folder), None)

    def _newest_first(self, folder: Path) -> Iterator[RevisionFile]:
        """The revisions in ``folder`` from the newest back."""
        return _newest_first(folder, self._folders.names(folder).sorted)

    def _numbered(self, folder: Path, number: int) -> list[RevisionFile]:
        """The revisions of this ``number`` in ``folder``, the oldest first."""
        return _numbered(folder, number, self._folders.names(folder).sorted)

    def file_before(self, revision: RevisionFile) -> RevisionFile | None:
        """The revision before ``revision``, or None where it is the first."""
        folder = self.folder_named(revision.path.relative_to(self.root).parts[1])
        older = (found for found in self._newest_first(folder) if found < revision)
        return next(older, None)

    def before(self, revision: RevisionFile) -> Workstation | None:
        """What the revision before ``revision`` holds.

        None where it is the first, or that one cannot be read.
        """
        file = self.file_before(revision)
        try:
            return None if file is None else self.load(file)
        except EvenstrokeError:
            return None

    def named(self, folder: Path, wanted: str) -> RevisionFile:
        """The revision that a person calls ``wanted``.

        Its number, with a letter where several share it.

        Raises AnswerIsNo where there is none and RequestError where there are several.
        """
        match = WANTED.fullmatch(wanted.strip())
        if not match:
            must = phrase("must be the number of a kept setting")
            raise RequestError(
                Problem(
                    phrase("kept setting"),
                    must,
                    quoted(wanted),
                    phrase("Type for example 3, or 3b for the second of two that are 3"),
                )
            )
        number, letter = int(match.group(1)), match.group(2).lower()
        sharing = self._numbered(folder, number)
        found = [
            revision
            for revision in sharing
            if not letter or short_name(revision, sharing) == f"{number}{letter}"
        ]
        if not found:
            raise self._no_revision(folder, wanted)
        if len(found) > 1:
            which = " or ".join(short_name(revision, found) for revision in found)
            must = phrase(
                "copies of the library each kept a setting {number}; say which", number=number
            )
            raise RequestError(
                Problem(self.called(folder), must, wanted, phrase("Type {which}", which=which))
            )
        return found[0]

    def _no_revision(self, folder: Path, wanted: str) -> AnswerIsNo:
        newest = self.newest(folder)
        instead = (
            phrase("The newest is {number}", number=newest.number)
            if newest
            else phrase("Nothing has been kept yet")
        )
        return AnswerIsNo(
            Problem(
                self.called(folder), phrase("has no setting {wanted}", wanted=wanted), "", instead
            )
        )

    def marked(self, folder: Path, name: str) -> RevisionFile:
        """The revision that a mark calls ``name``, by number and digest.

        Raises AnswerIsNo where it is not here.
        """
        for revision in self._numbered(folder, int(name.partition("-")[0])):
            if revision.name == name:
                return revision
        raise self._no_revision(folder, name)

    def in_force(self, folder: Path, at: datetime | None = None) -> RevisionFile:
        """The revision in force in a workstation's ``folder``: now, or as it was ``at`` a moment.

        Raises AnswerIsNo where there was none.
        """
        marks = self.marks(folder, at)
        if marks.pinned is not None:
            return self.marked(folder, marks.pinned)
        for revision in self._newest_first(folder):
            if (at is None or revision.kept <= at) and revision.name not in marks.retired:
                return revision
        must = phrase("has no setting in use")
        if at is not None:
            must = phrase("had no setting in use at {moment}", moment=shown(at))
        raise AnswerIsNo(Problem(self.called(folder), must))

    # -- reading

    def load(self, revision: RevisionFile) -> Workstation:
        """The workstation of a revision, which must be what was kept under its name."""
        return self.text(revision)[1]

    def text(self, revision: RevisionFile) -> tuple[str, Workstation]:
        """A revision's profile document as it was kept, and the workstation that it holds."""
        content = read_unchanged(revision.path, revision.digest, phrase("kept setting"))
        workstation = loads(content, str(revision.path))
        claimed = workstation.revision
        if claimed is None or (claimed.number, claimed.kept) != (revision.number, revision.kept):
            must = phrase(
                "must be setting {number} of {moment}, as its name says",
                number=revision.number,
                moment=revision.kept.isoformat(),
            )
            raise RequestError(Problem(str(revision.path), must))
        return content.decode(), workstation

    # -- deciding

    def marks(self, folder: Path, at: datetime | None = None) -> Marks:
        """What was decided about a workstation so far, or until the moment ``at``."""
        marks = Marks()
        for entry in entries(self.place(folder, MARKS)):
            if at is None or entry.at <= at:
                marks = marks.after(self.read_once(entry, read_mark))
        return marks

    def decide(
        self,
        folder: Path,
        mark: Literal["pin", "unpin", "retire", "restore"],
        revision: RevisionFile | None = None,
        *,
        note: str | None = None,
        now: datetime | None = None,
    ) -> bool:
        """Write a decision down; False where it holds already and nothing was written."""
        part = MarkPart(
            evenstroke_mark=1,
            mark=mark,
            revision=None if revision is None else revision.name,
            note=note or None,
        )
        before = self.marks(folder)
        if before.after(part) == before:
            return False
        data = {
            key: getattr(part, key)
            for key in part.__struct_fields__
            if getattr(part, key) is not None
        }
        append(self.place(folder, MARKS), mark, data, now or datetime.now(UTC))
        return True

    def read_once(self, entry: EntryFile, read: Callable[[EntryFile], T]) -> T:
        """What ``read`` makes of an entry, which is read once, as its file is never changed.

        Raises what ``read`` raises, each time.
        """
        if (read, entry) not in self._read_once:
            self._read_once[read, entry] = read(entry)
        found: T = self._read_once[read, entry]
        return found

    @staticmethod
    def place(folder: Path, kind: str) -> Path:
        """Where entries of a ``kind`` (``marks``, ``proofs``, ``trials``) about it are."""
        return folder / kind


def read_mark(entry: EntryFile) -> MarkPart:
    """The mark of an entry's file. Raises RequestError."""
    return read_entry(entry, _MARK, MarkPart)


def files_of(
    folder: Path, *, inner: bool = False
) -> Iterator[tuple[Path, RevisionFile | EntryFile | None]]:
    """Every file in a workstation's ``folder`` and its folders of entries, by what its name says.

    None for a name that none of ours has there, and for a folder where there should be none.
    """
    named = EntryFile if inner else RevisionFile
    for name in sorted(names_in(folder)):
        path = folder / name
        # A folder under the name of a file of ours is one that others of this program try to read.
        ours = named.at_path(path)
        if ours or path.is_symlink() or not path.is_dir():
            yield path, ours
        elif not inner and name.isascii() and name.isalpha():
            yield from files_of(path, inner=True)
        else:
            yield path, None


def short_name(revision: RevisionFile, among: Iterable[RevisionFile]) -> str:
    """What a person may call ``revision``: its number, with a letter where others share it.

    The letters go by age, ``among`` are the revisions that may share it.
    """
    sharing = sorted(other for other in among if other.number == revision.number)
    if len(sharing) < 2:
        return str(revision.number)
    tens, ones = divmod(sharing.index(revision), len(ascii_lowercase))
    return f"{revision.number}{ascii_lowercase[tens - 1] if tens else ''}{ascii_lowercase[ones]}"


def _newest_first(folder: Path, names: list[str]) -> Iterator[RevisionFile]:
    """The revisions in ``folder``, the newest first, by its ``names`` as ``Names`` sorts them."""
    for name in reversed(names):
        revision = RevisionFile.at_path(folder / name)
        if revision:
            yield revision


def _numbered(folder: Path, number: int, names: Iterable[str]) -> list[RevisionFile]:
    """The revisions of this ``number`` among ``names``, the oldest first.

    That is one, unless copies were joined.
    """
    start = f"{number:04d}-"
    found = (RevisionFile.at_path(folder / name) for name in names if name.startswith(start))
    return sorted(filter(None, found))


def _add(
    folder: Path, number: int, workstation: Workstation, note: str | None, now: datetime
) -> RevisionFile:
    """Write ``workstation`` under the first free number from ``number`` up. Raises OSError."""
    while True:
        revision = Revision(number, now, note)
        content = to_yaml(replace(workstation, revision=revision)).encode()
        kept = RevisionFile(number, revision.kept, digest(content), folder)
        kept = replace(kept, path=folder / f"{number:04d}-{stamp(kept.kept)}-{kept.digest}.yaml")
        part = folder / f".{number:04d}.part"
        try:
            fill_new(part, content)
        except FileExistsError:  # somebody is at it, or was killed at it
            number += 1
            continue
        except BaseException:
            remove_if_there(part)
            raise
        try:
            # Whoever had this number before us has finished, or never will: now its name is either
            # there or free.
            if not _numbered(folder, number, names_in(folder)):
                os.rename(part, kept.path)  # noqa: PTH104
                flush_folder(folder)
                return kept
        finally:
            remove_if_there(part)
        number += 1


def _sweep(folder: Path, names: Iterable[str]) -> None:
    """Remove what killed keepers left in ``folder`` a day ago or earlier, by its ``names``."""
    with suppress(OSError):
        for name in names:
            if (
                name.endswith(".part")
                and PART.fullmatch(name)
                and time.time() - (folder / name).stat().st_mtime > _STALE_AFTER_S
            ):
                remove_if_there(folder / name)
