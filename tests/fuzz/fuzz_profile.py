"""Fuzzes what reads the library's files with atheris: no input may raise anything but the project's own errors.

    python tests/fuzz/fuzz_profile.py -max_total_time=600 -max_len=8192 [CORPUS]

Needs the extra ``fuzz``. The first byte chooses: a profile as it came; the kept sample with parts of it replaced, which
gets past the grammar; a mark; an archive as it came; an archive with the input for its list of contents or for a revision.
What is read as a profile must be written so that it is read as the same, and be kept and had back.
"""

from __future__ import annotations

import hashlib
import io
import os
import shutil
import sys
import tempfile
import zipfile
from dataclasses import replace
from pathlib import Path

import atheris

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

with atheris.instrument_imports(include=["mapper", "profiles"]):
    from mapper.problems import EvenstrokeError
    from profiles.format.document import loads, to_yaml
    from profiles.library.archive import import_archive
    from profiles.library.entries import EntryFile, digest
    from profiles.library.revisions import Library, read_mark

SAMPLE = (Path(__file__).resolve().parents[1] / "profiles" / "samples" / "format-1.yaml").read_bytes()
FOLDER = Path(tempfile.mkdtemp(prefix="fuzz-profile-"))
REVISION = "workstations/desk/0001-20260302-090000-{}.yaml"


def spliced(data: bytes) -> bytes:
    """The sample with pieces of ``data`` in the places that its own bytes say."""
    text = bytearray(SAMPLE)
    reader = atheris.FuzzedDataProvider(data)
    for _ in range(reader.ConsumeIntInRange(1, 4)):
        at = reader.ConsumeIntInRange(0, len(text))
        gone = reader.ConsumeIntInRange(0, 24)
        text[at : at + gone] = reader.ConsumeBytes(reader.ConsumeIntInRange(0, 24))
    return bytes(text)


def read_profile(data: bytes) -> None:
    workstation = loads(data, "x")
    assert loads(to_yaml(workstation), "x") == workstation
    library = Library(FOLDER / "library")
    kept, _ = library.keep(workstation)
    assert replace(library.load(kept), revision=None) == replace(workstation, revision=None)
    shutil.rmtree(library.root)


def read_one_mark(data: bytes) -> None:
    path = FOLDER / f"20260302-090000-000000-pin-{digest(data)}.yaml"
    path.write_bytes(data)
    try:
        entry = EntryFile.at_path(path)
        assert entry is not None
        read_mark(entry)
    finally:
        path.unlink()


def read_archive(data: bytes) -> None:
    path = FOLDER / "archive.zip"
    path.write_bytes(data)
    library = Library(FOLDER / "imported")
    try:
        import_archive(library, path)
    finally:
        # Nothing may be written beside the library.
        assert {each.name for each in FOLDER.iterdir()} <= {"archive.zip", "imported", "library"}
        shutil.rmtree(library.root, ignore_errors=True)


def packed(data: bytes, *, listing: bool) -> bytes:
    """An archive whose list of contents, or whose one revision, is ``data``."""
    out = io.BytesIO()
    path = REVISION.format(digest(data))
    listed = f"- path: {path}\n  bytes: {len(data)}\n  sha256: {hashlib.sha256(data).hexdigest()}\n"
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("contents.yaml", data if listing else f"evenstroke_archive: 1\nfiles:\n{listed}")
        archive.writestr(path, data)
    return out.getvalue()


def one_input(data: bytes) -> None:
    choice, rest = (data[0] % 8, data[1:]) if data else (0, b"")
    try:
        if choice <= 1:
            read_profile(rest)
        elif choice <= 4:
            read_profile(spliced(rest))
        elif choice == 5:
            read_one_mark(rest)
        elif choice == 6:
            read_archive(rest)
        else:
            read_archive(packed(rest[1:], listing=bool(rest[:1]) and rest[0] % 2 == 0))
    except EvenstrokeError as error:
        for problem in error.problems:
            # One line each, in plain words.
            assert "\n" not in str(problem)


def main() -> None:
    # Whether it reached the disk is not the question here.
    os.fsync = lambda _descriptor: None  # type: ignore[assignment]
    atheris.Setup(sys.argv, one_input)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
