"""Drafts that go from one library to another: out as they are, in without what a stranger may say.

A draft of a profile's file names a place on this computer, which no other one has, so it goes out
as a desk of its own. Coming in, a draft may say where it belongs in a library and nothing else.
"""

from __future__ import annotations

import contextlib
import io
import json
import re
import tempfile
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from mapper.phrases import phrase
from mapper.problems import GIVE_FORCE, EvenstrokeError, Problem, RequestError
from profiles.files import make_folder, names_in, read_bounded, write_whole
from profiles.library.archive import (
    LARGEST_DRAFT_BYTES,
    Imported,
    export_archive,
    import_archive,
)
from render.desk.drafts import FORMAT, ID, drafts_folder, lines_of
from render.sentences.say import say

if TYPE_CHECKING:
    from profiles.library.revisions import Library

#: What a draft that comes in may say of where it began, and how each is written.
_ORIGIN = {
    "new": re.compile(r"True"),
    "station": re.compile(r".{1,200}", re.DOTALL),
    "folder": re.compile(r"[a-z0-9-]{1,57}"),
    "screen": re.compile(r"\d{2,6}x\d{2,6}"),
}


def save_all(library: Library) -> bytes:
    """The archive of all desks, kept and not kept, as ``evenstroke export`` writes it.

    Raises RequestError.
    """
    with tempfile.TemporaryDirectory(prefix="evenstroke-") as folder:
        out = Path(folder) / "desks.zip"
        export_archive(library, out, drafts=drafts_out(library))
        return out.read_bytes()


def bring_in(library: Library, content: bytes, name: str = "") -> Imported:
    """What bringing in an archive's ``content`` did. Raises RequestError where it is none.

    Problems call the file ``name``.
    """
    with tempfile.TemporaryDirectory(prefix="evenstroke-") as folder:
        path = Path(folder) / "desks.zip"
        path.write_bytes(content)
        names = {str(path): name or say("the file")}
        try:
            done = take_archive(library, path)
        except RequestError as error:
            raise RequestError(*(each.renamed(names) for each in error.problems)) from None
        return replace(
            done, problems=tuple(_on_the_page(each.renamed(names)) for each in done.problems)
        )


def _on_the_page(problem: Problem) -> Problem:
    """A problem without an option that replaces what is here, which a page has not."""
    return replace(problem, instead="") if problem.instead == GIVE_FORCE else problem


def take_archive(library: Library, path: str | Path, *, force: bool = False) -> Imported:
    """Bring in the archive at ``path``, its drafts too. Raises RequestError where it is none."""
    folder = drafts_folder(library.root)
    return import_archive(
        library, path, force=force, take_draft=lambda id_, content: _take(folder, id_, content)
    )


def drafts_out(library: Library) -> dict[str, bytes]:
    """The drafts beside a library as an archive holds them, by their ids."""
    folder, found = drafts_folder(library.root), {}
    with contextlib.suppress(RequestError):
        for name in sorted(names_in(folder)):
            id_ = name.removesuffix(".jsonl")
            if id_ == name or not ID.fullmatch(id_):
                continue
            with contextlib.suppress(RequestError):
                content = _admitted(read_bounded(folder / name, LARGEST_DRAFT_BYTES, "draft"))
                found[_own_id(content) if id_.startswith("f-") else id_] = content
    return found


def _own_id(content: bytes) -> str:
    return f"n-{sha256(content).hexdigest()[:16]}"


def _take(folder: Path, id_: str, content: bytes) -> bool:
    """Write one draft; False where it is here already. Raises EvenstrokeError.

    One that went its own way since stands beside the one that is here, as a desk of its own.
    """
    if not ID.fullmatch(id_) or id_.startswith("f-"):
        raise RequestError(Problem(id_, phrase("must be the name of a draft")))
    content = _admitted(content)
    target = folder / f"{id_}.jsonl"
    here = _content_of(target)
    if here is not None and here.startswith(content):
        return False
    if here is not None and not content.startswith(here):
        target = folder / f"{_own_id(content)}.jsonl"
        if _content_of(target) == content:
            return False
    make_folder(folder, above=True)
    write_whole(target, content, force=True)
    return True


def _content_of(path: Path) -> bytes | None:
    try:
        return read_bounded(path, LARGEST_DRAFT_BYTES, "draft")
    except EvenstrokeError:
        return None


def _admitted(content: bytes) -> bytes:
    """The lines of a draft's file, without a place on somebody's disk.

    Raises RequestError where it does not begin as a draft.
    """
    lines = list(lines_of(content))
    if not lines or lines[0][1].get("evenstroke_draft") != FORMAT:
        raise RequestError(Problem("draft", phrase("must begin as a draft does")))
    made = io.BytesIO()
    for raw, line in lines:
        if "origin" not in line:
            made.write(raw)
        else:
            admitted = {**line, "origin": _origin(line["origin"])}
            same = admitted == line
            made.write(raw if same else json.dumps(admitted, ensure_ascii=False).encode())
        made.write(b"\n")
    return made.getvalue()


def _origin(said: Any) -> dict[str, Any]:
    """Where a draft says it began, without what names a place outside the library."""
    if not isinstance(said, dict):
        return {"new": True}
    kept = {
        name: value
        for name, value in said.items()
        if name in _ORIGIN and _ORIGIN[name].fullmatch(str(value))
    }
    displays = said.get("displays")
    if isinstance(displays, list) and all(isinstance(each, str) for each in displays):
        kept["displays"] = displays
    return kept or {"new": True}
