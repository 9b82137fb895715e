"""Files of desks from strangers, brought into the page of one file; a visit to all that they hold.

``archive_of`` packs a library whose names, notes, drafts and numbers are a stranger's: whole files
under right digests, since what is damaged is left out unread. ``visited`` brings one in through the
function that the page's worker calls, asks for every page, and says what came out that must not.
"""

from __future__ import annotations

import hashlib
import io
import json
import logging
import re
import zipfile
from typing import TYPE_CHECKING, Any

import yaml

from profiles.library.entries import digest
from profiles.library.revisions import Library
from profiles.library.station_names import folder_name
from profiles.library.trial_book import add, felt_at
from profiles.yaml_text import dump
from render.desk.chapters import CHAPTERS
from render.desk.drafts import Drafts
from render.desk.moved import save_all
from render.one_file.inside import begin
from tests.render.test_strange_names import NAMES, PageTexts, wrong_with
from tests.visitor import DESK, kept

if TYPE_CHECKING:
    import random
    from pathlib import Path

#: What stands in place of a value of a file.
VALUES = (
    *NAMES.values(),
    *(0, -1, 1e308, 1e-308, 10**30, True, None, [], {}, "x" * 5000),
    *("=1+1", "9999-12-31", "0001-01-01", "../../etc/passwd", "javascript:alert(1)"),
)
#: When a file may say that it was made.
STAMPS = ("00010101-000000", "19700101-000000", "20260230-000000", "99991231-235959")
NUMBERS = (0, 1, 7, 10_000_000, 99_999_999, 999_999_999)


def library_of_names(folder: Path, name: str) -> Library:
    """A library with settings, marks, notes and drafts that all bear a stranger's ``name``."""
    library = Library(folder / "library")
    said = DESK.with_({"name": name, "displays": ["a: 27in 2560x1440"]})
    for hold in ("centre", "top"):
        revision = kept(library.root, said.with_({"hold": hold}))
    library.decide(revision.path.parent, "pin", revision, note=name)
    desk = library.load(revision)
    for day in (1, 2):
        note = felt_at(desk, date=f"2026-03-0{day}", doing="drawing", score=4, who=name, note=name)
        add(library, note)
    for id_, origin in (
        ("n-aaaaaaaaaaaa", {"new": True}),
        (f"s-{revision.path.parent.name}", {"station": name, "folder": revision.path.parent.name}),
    ):
        draft = Drafts(library.root).begin(id_, origin, said)
        draft.change(0, "tablet", said.with_({"tablet": "300x200mm"}))
        draft.change(1, "name", said.with_({"name": f"{name} 2"}))
    return library


def unpacked(archive: bytes) -> dict[str, bytes]:
    """The files of an archive by their paths, without its list of contents."""
    with zipfile.ZipFile(io.BytesIO(archive)) as opened:
        names = [name for name in opened.namelist() if name != "contents.yaml"]
        return {name: opened.read(name) for name in names}


def listing(files: dict[str, bytes]) -> str:
    """The list of contents of ``files``."""
    listed = [
        {"path": path, "bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()}
        for path, content in files.items()
    ]
    return yaml.safe_dump({"evenstroke_archive": 1, "files": listed}, sort_keys=False)


def packed(files: dict[str, bytes], *more: tuple[str, bytes]) -> bytes:
    """An archive of ``files`` with a right list, and ``more`` files that it does not name."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for path, content in (*files.items(), ("contents.yaml", listing(files).encode()), *more):
            archive.writestr(path, content)
    return out.getvalue()


def _leaves(data: Any) -> list[tuple[Any, Any]]:
    """Every place in plain data that holds a value: what holds it, and its key there."""
    pairs = list(data.items() if isinstance(data, dict) else enumerate(data))
    found = [(data, key) for key, _ in pairs]
    for _, value in pairs:
        if isinstance(value, (dict, list)):
            found += _leaves(value)
    return found


def _with_other_values(rng: random.Random, data: Any) -> Any:
    for _ in range(rng.randrange(1, 4)):
        places = _leaves(data)
        if places:
            holder, key = rng.choice(places)
            holder[key] = rng.choice(VALUES)
    return data


def _other_draft(rng: random.Random, content: bytes) -> bytes:
    lines = [json.loads(line) for line in content.splitlines()]
    at = rng.randrange(len(lines))
    lines[at] = _with_other_values(rng, lines[at])
    if rng.random() < 0.3:
        lines.append(
            rng.choice([{"at": 10**30}, {"step": 10**9, "after": 0, "said": {}}, lines[1]])
        )
    return b"".join(json.dumps(line).encode() + b"\n" for line in lines)


def _other_file(rng: random.Random, path: str, content: bytes) -> tuple[str, bytes]:
    """A file of a library with other values, under a name that fits them or another one."""
    if path.startswith("drafts/"):
        return path, _other_draft(rng, content)
    if rng.random() < 0.6:
        made = _with_other_values(rng, yaml.safe_load(content))
        try:
            content = dump(made).encode()
        except (TypeError, ValueError):
            content = yaml.safe_dump(made, sort_keys=False).encode()
    path = re.sub("[0-9a-f]{16}(?=[.]yaml$)", digest(content), path)
    if rng.random() < 0.3:
        path = re.sub("[0-9]{8}-[0-9]{6}(?=-)", rng.choice(STAMPS), path)
    if rng.random() < 0.2:
        path = re.sub("/[0-9]{4}-", f"/{rng.choice(NUMBERS):04d}-", path)
    return path, content


def archive_of(rng: random.Random, folder: Path, name: str) -> bytes:
    """An archive of a stranger who calls everything ``name``, with some of its files changed."""
    files = unpacked(save_all(library_of_names(folder, name)))
    for path in rng.sample(sorted(files), rng.randrange(4)):
        changed = _other_file(rng, path, files.pop(path))
        files[changed[0]] = changed[1]
    made = packed(files)
    if rng.random() < 0.15:
        at = rng.randrange(len(made))
        made = made[:at] + rng.randbytes(4) + made[at + 4 :]
    return made


class Page:
    """The page of one file over the library in a folder, asked as its worker asks it."""

    def __init__(self, root: Path) -> None:
        self.call = begin(str(root), {}, "en")
        self.wrong: list[str] = []
        self.name = ""

    def ask(self, method: str, address: str, body: bytes | dict | None = None) -> tuple[int, bytes]:
        """Status and content of an answer, after all redirections; what is wrong is noted."""
        kind = "application/zip" if isinstance(body, bytes) else "application/json"
        content = body if isinstance(body, bytes) else json.dumps(body or {}).encode()
        if method == "GET":
            kind, content = "", b""
        address = address if address.startswith("/e/") else f"/e{address}"
        status, headers, answer = self.call(method, address, _Bytes(content), kind)
        if status >= 500:
            self.wrong.append(f"{method} {address}: {status}")
        if status in {301, 302}:
            return self.ask("GET", headers["location"])
        html = headers.get("content-type", "").startswith("text/html")
        if html or headers.get("content-type") == "application/json":
            self._look(f"{method} {address}", answer.decode(), html=html)
        self.at = address
        return status, answer

    def _look(self, what: str, text: str, *, html: bool) -> None:
        """Note what of an answer is markup of a stranger's, or moves the line it stands in."""
        if html:
            texts = [text]
        else:
            said = json.loads(text)
            parts = said.get("parts", {}).values()
            texts = [each for each in (*parts, said.get("html")) if each]
        for each in texts:
            page = PageTexts()
            try:
                page.feed(each)
            except AssertionError as error:
                self.wrong.append(f"{what}: markup {str(error)[:100]}")
            for line in page.texts:
                self.wrong += [f"{what}: {wrong}" for wrong in wrong_with(line.strip(), self.name)]


class _Bytes:
    """Bytes as the worker's script hands them over."""

    def __init__(self, content: bytes) -> None:
        self._content = content

    def to_bytes(self) -> bytes:
        return self._content


def visited(folder: Path, archive: bytes, name: str) -> list[str]:
    """What must not be, of all pages once ``archive`` was brought in under a ``folder``, twice."""
    logging.getLogger("evenstroke").disabled = True
    page = Page(folder / "in" / "library")
    page.name = name
    first = page.ask("POST", "/bring?name=stranger.zip", archive)
    before = sorted((folder / "in").rglob("*"))
    again = page.ask("POST", "/bring?name=stranger.zip", archive)
    if first[0] != again[0] or before != sorted((folder / "in").rglob("*")):
        page.wrong.append("brought in twice it is not the same")
    start = page.ask("GET", "/")[1].decode()
    desks = re.findall(r'href="/e(/(?:station|desk)/[^"]+)"', start)
    for desk in [*desks, f"/station/{folder_name(name)}"]:
        if page.ask("GET", desk)[0] == 200:
            _walk(page, page.at)
    # Kept after all of it, and found again.
    own = json.loads(page.ask("POST", "/new")[1])["address"]
    change = {"change": {"name": "my own", **_own()}, "commit": True}
    own = json.loads(page.ask("POST", f"{own}/answer", change)[1])["address"]
    page.ask("POST", f"{own}/keep", {})
    if "my own" not in page.ask("GET", "/")[1].decode():
        page.wrong.append("what was kept then is not there")
    page.ask("GET", "/desks.zip")
    outside = {each.name for each in (folder / "in").iterdir()} - {"library", "library-drafts"}
    page.wrong += [f"outside: {each}" for each in outside]
    return page.wrong


def _own() -> dict[str, Any]:
    return {"tablet": "240x152mm", "displays": ["27in 2560x1440"]}


def _walk(page: Page, at: str) -> None:
    """Ask for all that there is of the desk at ``at``, change it and keep it."""
    for chapter in CHAPTERS:
        page.ask("GET", f"{at}/chapter/{chapter}")
    for part in ("figures", "profile.yaml", "picture.svg", "study.html"):
        page.ask("GET", f"{at}/{part}")
    for verb in ("unpin", "pin", "retire", "undo", "restore", "back"):
        page.ask("POST", f"{at}/chapter/kept/{verb}", {"revision": "1"})
    page.ask("POST", f"{at}/chapter/felt/note", {"score": "4"})
    status, said = page.ask("POST", f"{at}/answer", {"change": {"turn": "180"}, "commit": True})
    if status == 200:
        at = json.loads(said)["address"]
    status, said = page.ask("POST", f"{at}/keep", {})
    if status == 200 and "Kept as" in said.decode():
        number = re.search("setting ([0-9]+)", json.loads(said)["says"])
        chapter = page.ask("GET", f"{at}/chapter/kept")[1].decode()
        if number and not re.search(rf'id=\\"setting-{number[1]}[a-z]*\\"', chapter):
            page.wrong.append(f"{at}: kept as {number[1]}, which is not shown")
