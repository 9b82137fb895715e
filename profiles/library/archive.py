"""A whole library, or some of its workstations, as one zip archive.

It has a list of contents with checksums.

The archive holds the files as they are in the library, under the same paths, and ``contents.yaml``:
for each file its size and its SHA-256. The same library gives the same archive, byte for byte.
Import takes only what that list names and what is a library's file by its path, so that no archive
can write elsewhere; it never replaces a file unless it is told to, and joins what is new to what is
there.

``import --force`` replaces only a file that is damaged here and whole there.
"""

from __future__ import annotations

import hashlib
import os
import re
import stat
import zipfile
import zlib
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Annotated, Literal

from msgspec import Meta, Struct

from mapper.phrases import phrase
from mapper.problems import GIVE_FORCE, AnswerIsNo, Collected, Problem, RequestError, quoted
from profiles.files import could_not_write, flush, mode_at, reason_of, writing_whole
from profiles.format.document import LARGEST_BYTES
from profiles.format.kinds import FORMAT, Kind, read_document
from profiles.library.entries import EntryFile, digest, read_unchanged
from profiles.library.revisions import STATIONS, Library, RevisionFile, files_of
from profiles.standard import is_standard, read_standard
from profiles.yaml_text import dump

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

KIND = Kind("evenstroke_archive", phrase("list of contents"))
CONTENTS = "contents.yaml"
#: Some 140 bytes a file, and one of them may be packed to a thousandth: the list is read whole,
#: with all its checks.
LARGEST_CONTENTS_BYTES = 16 * 1024 * 1024
MOST_FILES = 100_000
#: No revision that comes in has a larger number, so that enough are left for those that follow.
LARGEST_BROUGHT = 10_000_000
#: So many files of a library, packed; and what can be read of a directory of that size fits into
#: memory.
LARGEST_ARCHIVE_BYTES = 160 * 1024 * 1024
_PATH = re.compile(rf"{STATIONS}/[a-z0-9-]{{1,57}}/([a-z]+/)?([^/]+)")
#: Desks that were not kept, in the words of whoever wrote them (render.desk.drafts).
DRAFTS = "drafts"
_DRAFT = re.compile(rf"{DRAFTS}/([sfn]-[a-z0-9-]{{1,64}})\.jsonl")
LARGEST_DRAFT_BYTES = 8 * 1024 * 1024
MOST_DRAFTS_BYTES = 128 * 1024 * 1024
#: zip keeps a time for each file; one for all keeps the archive the same.
_NO_TIME = (1980, 1, 1, 0, 0, 0)
_BROKEN = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    OSError,
    NotImplementedError,
    RuntimeError,
    ValueError,
    KeyError,
)


class FilePart(Struct, frozen=True, forbid_unknown_fields=True):
    """One file of an archive."""

    path: str
    bytes: Annotated[int, Meta(ge=0)]
    sha256: Annotated[str, Meta(pattern="^[0-9a-f]{64}$")]


class ContentsPart(Struct, frozen=True, forbid_unknown_fields=True):
    """What an archive holds."""

    evenstroke_archive: Literal[1]
    files: list[FilePart]


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import did: how many files are new, how many were here, what was left out."""

    new: int
    here_already: int
    problems: tuple[Problem, ...]


def export_archive(
    library: Library,
    out: str | os.PathLike[str],
    folders: Iterable[Path] | None = None,
    *,
    force: bool = False,
    drafts: Mapping[str, bytes] | None = None,
) -> tuple[int, list[Problem]]:
    """Write the workstations in ``folders`` (all where None) to the archive ``out``.

    ``drafts`` are the files of desks that are not kept, by their ids.

    Returns how many files it holds, and what was left out because it is damaged. Raises
    RequestError, also for more than ``import_archive`` would take.
    """
    drafts = drafts or {}
    if folders is not None:
        chosen = sorted(folders)
    else:
        # Somebody may have drafts and have kept nothing yet.
        chosen = [] if drafts and not library.root.exists() else library.folders()
    listed: list[dict[str, object]] = []
    problems: list[Problem] = []
    mode = mode_at(out, force=force)
    with (
        writing_whole(out, force=force) as temporary,
        open(temporary, "xb", opener=lambda path, flags: os.open(path, flags, mode)) as file,
    ):
        with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
            for kept in (
                ours for folder in chosen if folder.is_dir() for _, ours in files_of(folder) if ours
            ):
                with Collected(problems):
                    content = read_unchanged(kept.path, kept.digest, phrase("kept setting"))
                    path = kept.path.relative_to(library.root).as_posix()
                    listed.append(_listed(path, content))
                    _put(archive, path, content)
            for id_, content in sorted(drafts.items()):
                path = f"{DRAFTS}/{id_}.jsonl"
                listed.append(_listed(path, content))
                _put(archive, path, content)
            _put(archive, CONTENTS, dump({KIND.key: FORMAT, "files": listed}).encode())
        file.flush()
        flush(file.fileno())
        _refuse_many(temporary, os.fspath(out))
    return len(listed), problems


def _listed(path: str, content: bytes) -> dict[str, object]:
    return {
        "path": path,
        "bytes": len(content),
        "sha256": hashlib.sha256(content).hexdigest(),
    }


def _put(archive: zipfile.ZipFile, path: str, content: bytes) -> None:
    entry = zipfile.ZipInfo(path, _NO_TIME)
    entry.compress_type = zipfile.ZIP_DEFLATED
    entry.external_attr = 0o644 << 16
    archive.writestr(entry, content)


def import_archive(
    library: Library,
    path: str | os.PathLike[str],
    *,
    force: bool = False,
    take_draft: Callable[[str, bytes], bool] | None = None,
) -> Imported:
    """Bring what the archive at ``path`` holds into ``library``.

    Files that are here already stay as they are.

    A file of the archive that is damaged is named and left out; the rest is taken. With ``force`` a
    file here that is damaged is replaced by the archive's. ``take_draft`` is called with the id
    and the content of each desk that was not kept, and says whether it is new here; without it they
    are passed over. Raises RequestError where it is no archive of ours; then nothing was done.
    """
    if is_standard(path):
        with TemporaryDirectory(prefix="evenstroke-") as spooled:
            copy = Path(spooled) / "standard-input.zip"
            copy.write_bytes(read_standard(LARGEST_ARCHIVE_BYTES))
            return import_archive(library, copy, force=force, take_draft=take_draft)
    name = os.fspath(path)
    new = here = 0
    problems: list[Problem] = []
    drafts_bytes = 0
    try:
        _refuse_many(path, name)
        with zipfile.ZipFile(path) as archive:
            parts = _contents(archive, name)
            unnamed = set(archive.namelist()) - {part.path for part in parts} - {CONTENTS}
            problems += [
                Problem(name, phrase("its list of contents must name every file"), quoted(each))
                for each in sorted(unnamed)
            ]
            for part in parts:
                draft = _DRAFT.fullmatch(part.path)
                with Collected(problems):
                    if draft is None:
                        content = _checked(archive, part, name)
                        made = _take(library, part.path, content, force=force)
                    elif take_draft is None:
                        continue
                    else:
                        where = f"{name} {part.path}"
                        content = _read(archive, part.path, LARGEST_DRAFT_BYTES, where)
                        drafts_bytes += len(content)
                        _refuse_many_drafts(drafts_bytes, name)
                        _check_same(part, content, where)
                        made = take_draft(draft[1], content)
                    new, here = new + made, here + (not made)
    except RequestError:
        raise
    except _BROKEN as error:
        raise RequestError(
            Problem(name, phrase("must be a zip archive of saved desks"), _reason(error))
        ) from None
    return Imported(new, here, tuple(problems))


def _refuse_many(path: str | os.PathLike[str], name: str) -> None:
    """Raises RequestError for more bytes or files than a library's archive has.

    The names are not read for that.

    Counted are the signatures of a zip's directory (PKWARE APPNOTE 6.3.10, 4.3.12), wherever they
    stand: what the end of that directory says of itself may be untrue.
    """
    instead = phrase("Export a few workstations at a time")
    if not stat.S_ISREG(os.stat(path).st_mode):  # noqa: PTH116
        raise RequestError(
            Problem(
                name,
                phrase("must be a zip archive of saved desks"),
                phrase("a folder, a device or a pipe"),
            )
        )
    with open(path, "rb") as file:  # noqa: PTH123
        if file.seek(0, os.SEEK_END) > LARGEST_ARCHIVE_BYTES:
            must = phrase(
                "must be at most {largest_archive_bytes} MiB",
                largest_archive_bytes=LARGEST_ARCHIVE_BYTES // 1024**2,
            )
            raise RequestError(Problem(name, must, phrase("a larger file"), instead))
        file.seek(0)
        count, before = 0, b""
        while block := file.read(1 << 20):
            count += (before + block).count(b"PK\1\2")
            before = block[-3:]
    if count > MOST_FILES + 1:  # and the list of contents
        raise RequestError(
            Problem(
                name,
                phrase("must hold at most {most_files} files", most_files=MOST_FILES),
                str(count - 1),
                instead,
            )
        )


def _reason(error: Exception) -> str:
    """Why an archive could not be opened."""
    if isinstance(error, zipfile.BadZipFile):
        return phrase("a file of another kind or a damaged one")
    return reason_of(error)


def _refuse_many_drafts(all_bytes: int, name: str) -> None:
    if all_bytes > MOST_DRAFTS_BYTES:
        must = phrase("must hold at most {most} MiB of drafts", most=MOST_DRAFTS_BYTES // 1024**2)
        raise RequestError(Problem(name, must))


def _contents(archive: zipfile.ZipFile, name: str) -> list[FilePart]:
    """The files of the list of contents; every path is a library's."""
    where = f"{name} {CONTENTS}"
    content = _read(archive, CONTENTS, LARGEST_CONTENTS_BYTES, where)
    parts = read_document(content, where, KIND, ContentsPart)[0].files
    wrong = [
        part.path
        for part in parts
        if _name_of(part.path) is None and not _DRAFT.fullmatch(part.path)
    ]
    if wrong:
        raise RequestError(
            *(
                Problem(where, phrase("must name files of a library only"), quoted(each))
                for each in wrong[:10]
            )
        )
    return parts


def _name_of(path: str) -> RevisionFile | EntryFile | None:
    """The revision or entry that the ``path`` of an archive names.

    None where no library has such a file.
    """
    match = _PATH.fullmatch(path)
    if not match:
        return None
    inner, name = match.groups()
    if inner:
        return EntryFile.at_path(Path(name))
    revision = RevisionFile.at_path(Path(name))
    return None if revision is None or revision.number > LARGEST_BROUGHT else revision


def _read(archive: zipfile.ZipFile, member: str, largest_bytes: int, where: str) -> bytes:
    """A member's content, never more than ``largest_bytes``, whatever it claims to be."""
    try:
        with archive.open(member) as file:
            content = file.read(largest_bytes + 1)
    except _BROKEN as error:
        raise RequestError(
            Problem(where, phrase("must be a complete file of the archive"), reason_of(error))
        ) from None
    if len(content) > largest_bytes:
        raise RequestError(
            Problem(
                where,
                phrase("must be at most {largest_bytes} KiB", largest_bytes=largest_bytes // 1024),
                phrase("a larger file"),
            )
        )
    return content


def _checked(archive: zipfile.ZipFile, part: FilePart, name: str) -> bytes:
    where = f"{name} {part.path}"
    content = _read(archive, part.path, LARGEST_BYTES, where)
    named = _name_of(part.path)
    _check_same(part, content, where)
    if named is None or digest(content) != named.digest:
        raise _damaged(where)
    return content


def _check_same(part: FilePart, content: bytes, where: str) -> None:
    """Raises RequestError where ``content`` is not what the list of contents says."""
    if len(content) != part.bytes or hashlib.sha256(content).hexdigest() != part.sha256:
        raise _damaged(where)


def _damaged(where: str) -> RequestError:
    must = phrase("must be what the list of contents and its name say")
    return RequestError(Problem(where, must, phrase("a damaged file")))


def _take(library: Library, path: str, content: bytes, *, force: bool) -> bool:
    """Write one checked file; False where it is here already.

    Raises AnswerIsNo where a damaged one is in its place.
    """
    target = library.root / path
    if target.exists():
        try:
            if digest(target.read_bytes()) == digest(content):
                return False
        except OSError as error:
            raise could_not_write(target, error) from None
        if not force:
            must = phrase("is damaged here and whole in the archive")
            raise AnswerIsNo(Problem(str(target), must, instead=GIVE_FORCE))
    library.put(path, content, force=force)
    return True
