"""A library and its drafts as hands, editors and synced folders leave them; a walk through them.

``edited`` does one such thing to a file; ``walked`` reads the whole library afterwards, as commands
and pages do, and says what came out that is no answer in words.
"""

from __future__ import annotations

import shutil
from contextlib import suppress
from typing import TYPE_CHECKING

from mapper.problems import EvenstrokeError
from profiles.library.audit import audit
from profiles.library.history import history, station_rows
from profiles.library.revisions import Library
from profiles.library.trial_book import add, felt_at, in_library
from tests.fuzz.readers import in_plain_lines
from tests.visitor import DESK, Visitor, kept

if TYPE_CHECKING:
    import random
    from collections.abc import Callable
    from pathlib import Path


def _line_away(content: bytes, rng: random.Random) -> bytes:
    lines = content.splitlines(keepends=True)
    if lines:
        del lines[rng.randrange(len(lines))]
    return b"".join(lines)


def _other_number(content: bytes, rng: random.Random) -> bytes:
    digits = [at for at, byte in enumerate(content) if chr(byte).isdigit()]
    if not digits:
        return content
    at = rng.choice(digits)
    return content[:at] + rng.choice([b"", b"-", b"1e400", b"\xd9\xa3", b"9" * 30]) + content[at:]


#: What becomes of a file's content.
CONTENTS: dict[str, Callable[[bytes, random.Random], bytes]] = {
    "Windows' line ends": lambda content, _: content.replace(b"\n", b"\r\n"),
    "a mark of bytes": lambda content, _: b"\xef\xbb\xbf" + content,
    "UTF-16": lambda content, _: content.decode("utf-8", "replace").encode("utf-16"),
    "tabs": lambda content, _: content.replace(b"  ", b"\t"),
    "no last line end": lambda content, _: content.rstrip(b"\n"),
    "blank lines": lambda content, _: content.replace(b"\n", b"\n\n"),
    "a line away": _line_away,
    "another number": _other_number,
    "twice": lambda content, _: content * 2,
    "half": lambda content, rng: content[: rng.randrange(len(content) + 1)],
    "empty": lambda _, __: b"",
    "a conflict": lambda content, _: b"<<<<<<< ours\n" + content + b"=======\n>>>>>>> theirs\n",
    "zeros": lambda content, _: bytes(len(content)),
}
#: What lies beside a file or in its place.
PLACES = ("~", ".swp", " (conflicted copy)", "copy of it", "a folder", "a link", "gone", "capitals")


def library_in_use(folder: Path) -> tuple[Visitor, str]:
    """A library with settings, a pin and notes, a draft of its desk, and a page that shows it."""
    visitor = Visitor(folder / "library")
    library = visitor.session.library
    for hold in ("centre", "top", "left"):
        revision = kept(library.root, DESK.with_({"hold": hold}))
    library.decide(revision.path.parent, "pin", revision, note="it is good")
    desk = library.load(revision)
    for day in (1, 2):
        add(library, felt_at(desk, date=f"2026-03-0{day}", doing="drawing", score=4, note="well"))
    at = f"/desk/s-{revision.path.parent.name}/0"
    at = visitor.changed(at, {"turn": "90"})["address"]
    return visitor, at.removeprefix(visitor.door.path)


def edited(path: Path, how: str, rng: random.Random) -> None:
    """Do to the file at ``path`` what ``how`` names."""
    if how in CONTENTS:
        path.write_bytes(CONTENTS[how](path.read_bytes(), rng))
    elif how in {"~", ".swp"}:
        shutil.copy(path, path.with_name(path.name + how))
    elif how == " (conflicted copy)":
        shutil.copy(path, path.with_name(f"{path.stem}{how}{path.suffix}"))
    elif how == "copy of it":
        # Under the name of another file of ours, with a digest that is not its own.
        shutil.copy(path, path.with_name(path.name.replace("0001-", "0007-")[:-6] + "0.yaml"))
    elif how == "capitals":
        path.rename(path.with_name(path.name.upper()))
    else:
        path.unlink()
        if how == "a folder":
            path.mkdir()
        elif how == "a link":
            path.symlink_to("nowhere")


def _read(library: Library) -> list[str]:
    """What is no answer in words, of what commands read of a library."""

    def each_history() -> None:
        for folder in library.folders():
            with suppress(EvenstrokeError):
                history(library, folder)

    readings: dict[str, Callable[[], object]] = {
        "stations": lambda: station_rows(library, retired=True),
        "histories": each_history,
        "audit": lambda: audit(library),
        "book": lambda: in_library(library),
    }
    wrong = []
    for name, reading in readings.items():
        try:
            reading()
        except EvenstrokeError as error:
            if not in_plain_lines(error):
                wrong.append(f"{name}: {error!r}")
        except Exception as error:  # noqa: BLE001 - whatever it is, it is what was looked for
            wrong.append(f"{name}: {type(error).__name__} {error}")
    return wrong


def walked(visitor: Visitor, at: str) -> list[str]:
    """What is no answer in words, of all that reads a library and the desk at ``at``."""
    wrong = _read(Library(visitor.session.library.root))
    # As a server that starts now: nothing of the drafts is in memory.
    visitor.session.drafts._open.clear()
    desk = at.rpartition("/")[0]
    for path in ("/", desk, at, f"{at}/chapter/kept", f"{at}/chapter/felt", f"{at}/figures"):
        code = visitor.get(path).status_code
        if code >= 500:
            wrong.append(f"{path}: {code}")
    for path in (f"{at}/answer", f"{at}/keep"):
        code = visitor.post(path, {"change": {"turn": "180"}, "commit": True}).status_code
        if code >= 500:
            wrong.append(f"{path}: {code}")
    return wrong
