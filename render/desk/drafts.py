"""Every change of a desk, written beside the library at once, so that nothing is lost.

One file a desk, ``<library>-drafts/<id>.jsonl``, to which lines of JSON are only ever added, each
flushed before it counts::

    {"evenstroke_draft": 1, "origin": {"station": "desk", "revision": "3-9f86..."}}
    {"step": 1, "after": 0, "about": "tablet", "said": {...}, "when": "..."}
    {"at": 0}
    {"kept": 1, "revision": "4-...", "number": 4, "when": "..."}
    {"origin": {...}}

The second line is a change, with the step that it was made at. The third is an undo or a redo:
where the desk stands now. The fourth says that a step was kept as a revision, the last that from
here on this is the draft of another thing.

Beside it, ``<id>.<name>``, lies what was dropped on the desk: a drawing, a trace.

Undo goes to the step before and redo to the last step after, so that nothing is thrown away when
somebody goes on from an earlier step. A line that a kill tore is passed over. Where nothing can be
written the steps live in memory, and the draft says so.

Several servers may have one draft open: two users of a share, or one through a linked folder. So
the file is made only where there is none, and after that lines are only added. A step's number
belongs to the first line of the file that has it, and a server reads its line back before it
counts: whoever came second takes the next number. Servers take turns by a lock on the folder where
the system has one; where it has none, reading back alone keeps them apart. What others added is
taken in at each request, and ``elsewhere`` says so.
"""

from __future__ import annotations

import contextlib
import json
import os
import re
import threading
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from secrets import randbelow
from typing import TYPE_CHECKING, Any, BinaryIO

import msgspec

from mapper.phrases import phrase
from mapper.problems import EvenstrokeError, Problem, RequestError
from profiles.files import (
    flush,
    flush_folder,
    make_folder,
    names_in,
    read_bounded,
    reason_of,
    remove_if_there,
    taking_turns,
    write_whole,
)
from render.desk.described import Description, from_plain

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from profiles.library.revisions import RevisionFile

FORMAT = 1
LARGEST_BYTES = 32 * 1024 * 1024
#: A file with more steps than this is written anew with the last ones when it is opened.
MOST_STEPS, STEPS_LEFT = 4000, 500
#: So much may lie beside all drafts of a library; the oldest goes first, as whoever dropped it has
#: it.
MOST_ASIDE, MOST_ASIDE_BYTES = 64, 256 * 1024 * 1024
ID = re.compile(r"[sfn]-[a-z0-9-]{1,64}")
#: A step that could not be written is numbered beyond this, at random, as others go on counting.
_FAR = 1_000_000
#: So many bytes tell a file from another one.
_REMEMBERED = 256
#: So often a line is added again that did not come out whole.
_TRIES = 5


@dataclass(frozen=True, slots=True)
class State:
    """One state of a desk: what is said, the step it came from, and the blank that changed.

    ``when`` it was said is ISO 8601, empty where nobody knows.
    """

    number: int
    after: int | None
    about: str
    said: Description
    when: str = ""

    @property
    def line(self) -> dict[str, Any]:
        said = msgspec.to_builtins(self.said)
        line = {"step": self.number, "after": self.after, "about": self.about, "said": said}
        return {**line, "when": self.when} if self.when else line


@dataclass(frozen=True, slots=True)
class Kept:
    """A step that was kept: the revision's name and number, and when (ISO 8601)."""

    step: int
    revision: str
    number: int
    when: str

    @classmethod
    def of(cls, step: int, revision: RevisionFile) -> Kept:
        """What is written down of ``step`` and the revision that it was kept as."""
        return cls(step, revision.name, revision.number, revision.kept.isoformat())

    @property
    def line(self) -> dict[str, Any]:
        return {
            "kept": self.step,
            "revision": self.revision,
            "number": self.number,
            "when": self.when,
        }


@dataclass(slots=True)
class Draft:
    """A desk on its way.

    ``origin`` says where it began; ``unwritten`` why it cannot be written down, where it cannot;
    ``elsewhere`` is the newest step that another server made, until it is taken.
    """

    id: str
    path: Path
    origin: dict[str, Any]
    steps: dict[int, State]
    at: int = 0
    kept: list[Kept] = field(default_factory=list)
    unwritten: Problem | None = None
    elsewhere: int | None = None
    _aside: dict[str, bytes] = field(default_factory=dict)
    _lock: Any = field(default_factory=threading.RLock)
    #: Lines that could not be written yet.
    _waiting: list[dict[str, Any]] = field(default_factory=list)
    #: The file that was read, and how far.
    _file: tuple[int, int] | None = None
    _read_to: int = 0
    #: The last bytes that were read of it.
    _last: bytes = b""
    #: The number that our first step has in the file; None while the file's first step is another.
    _base: int | None = 0
    #: Whether anything of ours is in the file.
    _written: bool = False

    def said(self, step: int | None = None) -> Description:
        """What the desk says at ``step``, or where it stands now.

        Raises KeyError for a step that there is not.
        """
        return self.steps[self.at if step is None else step].said

    @property
    def last_kept(self) -> Kept | None:
        return self.kept[-1] if self.kept else None

    @property
    def newness(self) -> tuple[bool, str]:
        """How new it is: what was changed and not kept is newer than any that was kept."""
        last = self.last_kept
        when = max(self.steps[self.at].when, "" if last is None else last.when)
        return self.is_kept(self.at) is None, when

    def is_kept(self, step: int) -> Kept | None:
        """The newest keeping whose description is the same as that of ``step``."""
        kept = self.last_kept
        return (
            kept
            if kept is not None
            and kept.step in self.steps
            and self.steps[kept.step].said == self.steps[step].said
            else None
        )

    def before(self, step: int) -> int | None:
        """Where undo goes."""
        return self.steps[step].after

    def next(self, step: int) -> int | None:
        """Where redo goes: the last of what was made at ``step``."""
        return max(
            (each.number for each in self.steps.values() if each.after == step), default=None
        )

    def ancestors(self, step: int) -> list[State]:
        """The steps before ``step``, the nearest first."""
        found = []
        at = self.steps[step].after
        while at is not None and at in self.steps:
            found.append(self.steps[at])
            at = self.steps[at].after
        return found

    def change(self, after: int, about: str, said: Description) -> State:
        """A further step. The same step again where nothing is changed."""
        with self._lock:
            if said == self.steps[after].said:
                self.go(after)
                return self.steps[after]
            with self._turn():
                step = self._added(self._in_file(after), about, said)
            self.at = step.number
            return step

    def go(self, step: int) -> None:
        """Stand at ``step``. Raises KeyError for a step that there is not."""
        with self._lock:
            if self.steps[step].number != self.at:
                self.at = step
                with self._turn():
                    self._write({"at": self._in_file(step)})

    def keep(self, kept: Kept) -> None:
        """Write down that a step was kept."""
        with self._lock:
            self.kept.append(kept)
            with self._turn():
                self._write(replace(kept, step=self._in_file(kept.step)).line)

    def adopt(self, origin: dict[str, Any]) -> None:
        """From here on it is the draft of ``origin``."""
        with self._lock:
            if origin != self.origin:
                self.origin = origin
                with self._turn():
                    self._write({"origin": origin})

    def told_elsewhere(self, step: int) -> State | None:
        """The newest step of another server that ``step`` does not come from, else None."""
        number = self.elsewhere
        if number is None or number not in self.steps:
            return None
        known = {step, *(each.number for each in self.ancestors(step))}
        return None if number in known else self.steps[number]

    # -- what was dropped on it

    def put(self, name: str, content: bytes) -> None:
        """Lay ``content`` beside the draft as ``name``; in memory where it cannot be written."""
        with self._lock:
            self._aside.pop(name, None)
            try:
                self._make_folder()
                _make_room(self.path.parent, len(content))
                write_whole(self._beside(name), content, force=True)
            except (OSError, EvenstrokeError) as error:
                self._aside[name] = content
                self._could_not(error)

    def get(self, name: str) -> bytes | None:
        """What was laid beside the draft as ``name``; None where it cannot be read."""
        with self._lock:
            if name in self._aside:
                return self._aside[name]
            try:
                return read_bounded(self._beside(name), LARGEST_BYTES, name)
            except RequestError:
                return None

    def drop(self, name: str) -> None:
        """Take it away again."""
        with self._lock:
            self._aside.pop(name, None)
            remove_if_there(self._beside(name))

    def come_back(self) -> None:
        """Write all of it again where it was taken away, and what was laid beside it."""
        with self._turn():
            self._write({"at": self.at})
        for name, content in [*self._aside.items()]:
            self.put(name, content)

    def _beside(self, name: str) -> Path:
        return self.path.with_name(f"{self.id}.{name}")

    # -- on the disk

    def look(self) -> None:
        """Take in what another server wrote meanwhile, where it can be read."""
        with self._lock, contextlib.suppress(OSError):
            self._take_in()

    @contextmanager
    def _turn(self) -> Iterator[None]:
        """Our turn to write, with what others wrote before taken in."""
        with self._lock, contextlib.ExitStack() as held:
            # What stands in the way here stands in the way of the writing too, which says so.
            with contextlib.suppress(OSError, EvenstrokeError):
                self._make_folder()
                held.enter_context(taking_turns(self.path.parent))
                self._take_in()
            yield

    def has_room_for(self, step: State) -> bool:
        """Whether nobody has the number of ``step``, and the step before it is there."""
        return step.number not in self.steps and (step.after is None or step.after in self.steps)

    def _in_file(self, step: int) -> int:
        """The number that ``step`` has in the file, where our first step may have another."""
        if step == 0 and self._base is None:
            self._base = self._added(None, "", self.steps[0].said).number
        return self._base if step == 0 and self._base is not None else step

    def _added(self, after: int | None, about: str, said: Description) -> State:
        """A new step under a number that is ours alone, written down where that can be done."""
        for _ in range(_TRIES):
            step = State(max(self.steps) + 1, after, about, said, _now())
            if not self._write(step.line):
                break
            with contextlib.suppress(OSError):
                self._take_in(ours=step)
            if self.steps.get(step.number) == step:
                return step
        else:
            self._waiting.append({})
        far = State(max(self.steps) + _FAR + randbelow(_FAR), after, about, said, _now())
        self._waiting[-1] = far.line
        self.steps[far.number] = far
        return far

    def _take_in(self, ours: State | None = None) -> None:
        """Read what was added to the file since the last look. Raises OSError.

        A step that is not ``ours`` came from another server. Only steps are taken from there: where
        this desk stands, and what was kept of it, stays as this server's pages know it.
        """
        try:
            with self.path.open("rb") as file:
                facts = os.fstat(file.fileno())
                same = self._file == (facts.st_dev, facts.st_ino) and self._goes_on(file)
                begins = self._read_to if same else 0
                if begins == facts.st_size:
                    return
                file.seek(begins)
                content = file.read(LARGEST_BYTES)
        except FileNotFoundError:
            return
        whole = content.rfind(b"\n") + 1
        self._file, self._read_to = (facts.st_dev, facts.st_ino), begins + whole
        self._last = content[:whole][-_REMEMBERED:] or self._last
        for _, line in lines_of(content[:whole]):
            found = _step_of(line)
            if found is None:
                continue
            if found.number == 0 and not self._written and found.said != self.steps[0].said:
                self._base = None
            if self.has_room_for(found):
                self.steps[found.number] = found
                self.elsewhere = self.elsewhere if found == ours else found.number

    def _goes_on(self, file: BinaryIO) -> bool:
        """Whether a draft's open file still has what was read last where it was read.

        On some shares a file has no number, and one written anew looks like the one before.
        """
        file.seek(max(0, self._read_to - len(self._last)))
        return file.read(len(self._last)) == self._last

    def _write(self, line: dict[str, Any]) -> bool:
        """Add a line to the draft's file; whether that could be done.

        Where it cannot be done the desk goes on in memory, and says so until it can be again.
        """
        lines = [*self._waiting, line]
        try:
            try:
                if self.path.exists():
                    _append(self.path, lines)
                else:
                    # What was not written before, or was taken away, is written with it.
                    write_whole(self.path, _content([*self._lines(), line]))
            except RequestError:
                # Somebody else was quicker to make it.
                if not self.path.exists():
                    raise
                self._take_in()
                _append(self.path, lines)
        except (OSError, EvenstrokeError) as error:
            self._could_not(error)
            self._waiting = lines
            return False
        self._waiting, self.unwritten, self._written = [], None, True
        return True

    def _could_not(self, error: OSError | EvenstrokeError) -> None:
        reason = error.problems[0].came if isinstance(error, EvenstrokeError) else reason_of(error)
        self.unwritten = Problem(str(self.path), phrase("could not be written"), reason)

    def _make_folder(self) -> None:
        for folder in (self.path.parent.parent, self.path.parent):
            if not folder.is_dir():
                folder.mkdir(parents=True, exist_ok=True)
        make_folder(self.path.parent)

    def shorten(self, read_bytes: int) -> None:
        """Keep the newest steps that lead to where the desk stands, here and in its file.

        The oldest step that is kept then comes from nowhere. The file stays as it is where more
        than ``read_bytes`` are in it by now, or where others cannot be kept from adding to it.
        """
        line = [self.steps[self.at], *self.ancestors(self.at)][:STEPS_LEFT]
        oldest = line[-1]
        self.steps = {each.number: each for each in reversed(line)}
        self.steps[oldest.number] = replace(oldest, after=None, about="")
        self.kept = [kept for kept in self.kept if kept.step in self.steps]
        with (
            contextlib.suppress(OSError, EvenstrokeError),
            taking_turns(self.path.parent) as alone,
        ):
            if alone and self.path.stat().st_size == read_bytes:
                write_whole(self.path, _content(self._lines()), force=True)

    def _lines(self) -> list[dict[str, Any]]:
        first = {"evenstroke_draft": FORMAT, "origin": self.origin}
        steps = [step.line for step in self.steps.values()]
        kept = [each.line for each in self.kept]
        return [first, *steps, *kept, {"at": self.at}]


def _content(lines: list[dict[str, Any]]) -> bytes:
    return "".join(f"{json.dumps(line, ensure_ascii=False)}\n" for line in lines).encode(
        "utf-8", "surrogatepass"
    )


def _append(path: Path, lines: list[dict[str, Any]]) -> None:
    """Lines at the end, on the disk before this returns; after a torn line they begin a new one.

    Raises OSError.
    """
    content = _content(lines)
    descriptor = os.open(path, os.O_RDWR | os.O_APPEND | getattr(os, "O_BINARY", 0))
    try:
        size = os.lseek(descriptor, 0, os.SEEK_END)
        if size:
            os.lseek(descriptor, size - 1, os.SEEK_SET)
            if os.read(descriptor, 1) != b"\n":
                content = b"\n" + content
        rest = memoryview(content)
        while rest:
            rest = rest[os.write(descriptor, rest) :]
        flush(descriptor)
    finally:
        os.close(descriptor)


def _make_room(folder: Path, size: int) -> None:
    """Delete the oldest files beside drafts until ``size`` more bytes are within the bounds."""
    aside = []
    with os.scandir(folder) as found:
        for entry in found:
            if not entry.name.endswith(".jsonl") and ID.fullmatch(entry.name.split(".")[0]):
                facts = entry.stat(follow_symlinks=False)
                aside.append((facts.st_mtime_ns, facts.st_size, entry.path))
    aside.sort(reverse=True)
    room = MOST_ASIDE_BYTES - size
    for index, (_, taken, path) in enumerate(aside):
        room -= taken
        if room < 0 or index >= MOST_ASIDE - 1:
            remove_if_there(path)


def drafts_folder(library: Path) -> Path:
    """The folder of the drafts beside the library at ``library``."""
    return library.with_name(f"{library.name}-drafts")


class Drafts:
    """All drafts beside one library; each is read once and then lives here."""

    def __init__(self, library: Path) -> None:
        self.folder = drafts_folder(library)
        self._open: dict[str, Draft] = {}
        self._gone: dict[str, Draft] = {}
        self._lock = threading.RLock()

    def get(self, id_: str) -> Draft | None:
        """The draft of this id, or None where there is none, or none that can be read."""
        if not ID.fullmatch(id_):
            return None
        with self._lock:
            if id_ in self._open:
                self._open[id_].look()
            else:
                draft = _read(id_, self.folder / f"{id_}.jsonl")
                if draft is None:
                    return None
                self._open[id_] = draft
            return self._open[id_]

    def of_stations(self) -> dict[str, list[Draft]]:
        """The drafts of each workstation by its folder's name, the one to go on with first.

        That is what was changed and not kept before what was kept, the newest of each first.
        """
        found: dict[str, list[Draft]] = {}
        for id_ in self.ids():
            draft = self.get(id_)
            if draft is None:
                continue
            folder = str(draft.origin.get("folder") or id_.removeprefix("s-"))
            if draft.origin.get("folder") or id_.startswith("s-"):
                found.setdefault(folder, []).append(draft)
        return {
            folder: sorted(drafts, key=lambda draft: draft.newness, reverse=True)
            for folder, drafts in found.items()
        }

    def of_station(self, folder: str) -> Draft | None:
        """The draft to go on with of the workstation in ``folder``; None where there is none."""
        return next(iter(self.of_stations().get(folder, [])), None) or self.get(f"s-{folder}")

    def begin(
        self, id_: str, origin: dict[str, Any], said: Description, kept: Kept | None = None
    ) -> Draft:
        """A new draft, written at its first change."""
        with self._lock:
            when = "" if origin.get("file") else _now()
            first = State(0, None, "", said, when if kept is None else kept.when)
            draft = Draft(id_, self.folder / f"{id_}.jsonl", origin, {0: first})
            if kept is not None:
                draft.kept.append(kept)
            self._open[id_] = draft
            return draft

    def ids(self) -> list[str]:
        """The ids of all drafts, those in memory too."""
        written = []
        with contextlib.suppress(RequestError):
            written = [
                name.removesuffix(".jsonl")
                for name in names_in(self.folder)
                if name.endswith(".jsonl")
            ]
        changed = [id_ for id_, draft in self._open.items() if len(draft.steps) > 1]
        return sorted({id_ for id_ in [*written, *changed] if ID.fullmatch(id_)})

    def restore(self, id_: str) -> bool:
        """Bring back a draft that was thrown away since this server began; whether it was there.

        What was dropped on the desk comes back with it.
        """
        with self._lock:
            draft = self._gone.pop(id_, None)
            if draft is None:
                return False
            self._open[id_] = draft
            draft.come_back()
            return True

    def forget(self, id_: str) -> None:
        """Throw a draft away; until this server ends it can be brought back from memory."""
        with self._lock:
            draft = self._open.pop(id_, None)
            if draft is not None:
                self._gone[id_] = draft
            if ID.fullmatch(id_) and self.folder.is_dir():
                for file in names_in(self.folder):
                    if not file.startswith(f"{id_}."):
                        continue
                    name = file.removeprefix(f"{id_}.")
                    if (
                        draft is not None
                        and name != "jsonl"
                        and (content := draft.get(name)) is not None
                    ):
                        draft._aside[name] = content  # noqa: SLF001 - a class of the same module
                    remove_if_there(self.folder / file)
                flush_folder(self.folder)


def _read(id_: str, path: Path) -> Draft | None:
    try:
        content = read_bounded(path, LARGEST_BYTES, "draft")
    except RequestError:
        return None
    draft: Draft | None = None
    for _, line in lines_of(content):
        if draft is not None:
            _add(draft, line)
        elif line.get("evenstroke_draft") == FORMAT and isinstance(line.get("origin"), dict):
            draft = Draft(id_, path, line["origin"], {}, _written=True)
    if draft is None or not draft.steps:
        return None
    if len(draft.steps) > MOST_STEPS:
        draft.shorten(len(content))
    draft.look()
    draft.elsewhere = None
    return draft


def lines_of(content: bytes) -> Iterator[tuple[bytes, dict[str, Any]]]:
    """The lines of a draft's file, as they stand there and read.

    One that a kill tore, or that is not ours, is passed over.
    """
    for raw in content.split(b"\n"):
        with contextlib.suppress(ValueError, RecursionError):
            line = json.loads(raw)
            if isinstance(line, dict):
                yield raw, line


def _step_of(line: dict[str, Any]) -> State | None:
    """The step that a line says; None where it says none."""
    number, after = line.get("step"), line.get("after")
    if type(number) is not int or not (after is None or type(after) is int):
        return None
    with contextlib.suppress(EvenstrokeError):
        about, said = str(line.get("about", "")), from_plain(line.get("said"))
        return State(number, after, about, said, _moment(line.get("when")))
    return None


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="seconds")


def _moment(when: object) -> str:
    """A moment in ISO 8601 as it was written; empty for anything else."""
    try:
        datetime.fromisoformat(str(when)).astimezone()
    except (ValueError, OverflowError):
        return ""
    return str(when)


def _add(draft: Draft, line: dict[str, Any]) -> None:
    """Take what one line of a draft's file says."""
    if "step" in line:
        step = _step_of(line)
        # Of two with one number the first counts.
        if step is not None and draft.has_room_for(step):
            draft.steps[step.number] = step
            draft.at = step.number
    elif "kept" in line:
        # A hand may have written anything here.
        with contextlib.suppress(ValueError, KeyError, TypeError, OverflowError):
            step_number, number = int(line["kept"]), int(line["number"])
            when = datetime.fromisoformat(str(line["when"])).isoformat()
            draft.kept.append(Kept(step_number, str(line["revision"]), number, when))
    elif isinstance(line.get("origin"), dict):
        draft.origin = line["origin"]
    elif type(line.get("at")) is int and line["at"] in draft.steps:
        draft.at = line["at"]
