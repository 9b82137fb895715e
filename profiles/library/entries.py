"""Dated entries of a library, and the digest in the name of each file that is written once.

Each such file bears the first 16 hexadecimal digits of the SHA-256 of its content in its name. So
damage shows, two copies of a library never use one name for two contents, and nothing needs
rewriting. Line ends do not count, as version control may change them on the way.

An entry is a small document that says what was decided or noted at a moment (a pin, a retirement).
A folder of entries is only ever added to. What holds now follows from all of them in the order of
their times.
"""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any, TypeVar

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from profiles.files import could_not_write, make_folder, names_in, read_bounded, write_whole
from profiles.format.document import LARGEST_BYTES
from profiles.format.kinds import read_document
from profiles.times import from_stamp, stamp
from profiles.yaml_text import dump

if TYPE_CHECKING:
    from pathlib import Path

    from profiles.format.kinds import Kind

T = TypeVar("T")

#: The pattern of a digest in a file's name.
DIGEST = "[0-9a-f]{16}"

_NAME = re.compile(rf"([0-9]{{8}}-[0-9]{{6}})-([0-9]{{6}})-([a-z]+)-({DIGEST})\.yaml")


def digest(content: bytes) -> str:
    """The first 16 hexadecimal digits of the SHA-256 of ``content`` with LF for every line end."""
    return hashlib.sha256(content.replace(b"\r\n", b"\n")).hexdigest()[:16]


def read_unchanged(path: Path, written: str, what: str) -> bytes:
    """The content of ``path``, whose digest must be ``written``.

    ``what`` is the kind of file, for messages. Raises RequestError naming the file if it cannot be
    read or was changed.
    """
    content = read_bounded(path, LARGEST_BYTES, what, plain=True)
    if digest(content) != written:
        must = phrase("must be as it was written; the file was damaged or changed")
        instead = phrase("See what else is damaged: evenstroke audit")
        raise RequestError(Problem(str(path), must, instead=instead))
    return content


@dataclass(frozen=True, slots=True, order=True)
class EntryFile:
    """The file of one entry: when it was made (UTC), its digest, its kind and its path.

    They sort by time.
    """

    at: datetime
    digest: str
    kind: str
    path: Path

    @classmethod
    def at_path(cls, path: Path) -> EntryFile | None:
        """The entry whose name ``path`` bears, or None where it is no entry's name."""
        match = _NAME.fullmatch(path.name)
        at = from_stamp(match.group(1)) if match else None
        if match is None or at is None:
            return None
        return cls(
            at.replace(microsecond=int(match.group(2))), match.group(4), match.group(3), path
        )


def entries(folder: Path) -> list[EntryFile]:
    """All entries in ``folder``, the oldest first; empty where there is no such folder.

    Raises RequestError if the folder cannot be read.
    """
    if not folder.exists():
        return []
    return sorted(
        entry for entry in (EntryFile.at_path(folder / name) for name in names_in(folder)) if entry
    )


def read_entry(entry: EntryFile, kind: Kind, model: type[T]) -> T:
    """The content of an ``entry`` as a ``model``.

    Raises RequestError if it is damaged or not of that ``kind``.
    """
    content = read_unchanged(entry.path, entry.digest, kind.called)
    return read_document(content, str(entry.path), kind, model)[0]


def append(
    folder: Path,
    kind: str,
    data: dict[str, Any],
    at: datetime,
    *,
    earlier: list[EntryFile] | None = None,
) -> EntryFile:
    """Write ``data`` as a new entry of ``kind`` (small letters) in ``folder``, creating the folder.

    Where a clock went back, the entry takes the moment after the newest one, so that the last word
    stays the last. ``earlier`` are the ``entries`` of the folder, for a caller who has read them
    already. Raises RequestError if it cannot be written; then nothing was.
    """
    at = at.astimezone(UTC)
    earlier = entries(folder) if earlier is None else earlier
    if earlier and earlier[-1].at >= at:
        at = earlier[-1].at + timedelta(microseconds=1)
    content = dump(data).encode()
    path = folder / f"{stamp(at)}-{at.microsecond:06d}-{kind}-{digest(content)}.yaml"
    try:
        make_folder(folder)
    except OSError as error:
        raise could_not_write(folder, error) from None
    write_whole(path, content)
    return EntryFile(at, digest(content), kind, path)
