"""What a stranger's file of desks may do to the page of one file: nothing but hold their desks.

Asked through the function that the page's worker calls, under CPython; the script that stores what
was written under node, with a folder and a storage of the test's own. ``tests/fuzz/attack.py
brought`` does the same to some hundred archives.
"""

import json
import random
import re
import shutil
import subprocess
import tracemalloc
import zipfile
from datetime import UTC, datetime
from pathlib import Path

import pytest

from mapper.problems import RequestError
from profiles.format.document import Revision, Workstation, to_yaml
from profiles.library.archive import LARGEST_BROUGHT
from profiles.library.entries import digest
from profiles.library.revisions import LARGEST_NUMBER, Library
from profiles.library.station_names import folder_name
from render.desk.answer import answer
from render.desk.moved import save_all
from tests.fuzz.brought import (
    Page,
    archive_of,
    library_of_names,
    listing,
    packed,
    unpacked,
    visited,
)
from tests.render.test_strange_names import NAMES
from tests.visitor import DESK, kept

HERE = Path(__file__).parent


@pytest.mark.parametrize(
    "name",
    [
        NAMES["a tag"],
        *(
            pytest.param(name, marks=pytest.mark.long)
            for kind, name in NAMES.items()
            if kind != "a tag"
        ),
    ],
    ids=lambda name: ascii(name)[1:12],
)
def test_a_strangers_names_and_notes_are_text_on_every_page(name, tmp_path):
    archive = packed(unpacked(save_all(library_of_names(tmp_path, name))))
    assert visited(tmp_path, archive, name) == []


@pytest.mark.parametrize("seed", range(2))
@pytest.mark.long
def test_whole_files_of_other_values_break_no_page(seed, tmp_path):
    archive = archive_of(random.Random(seed), tmp_path, "desk")
    assert visited(tmp_path, archive, "desk") == []


def brought(tmp_path, archive, name="desks.zip"):
    """What the page says of an archive, and the page."""
    page = Page(tmp_path / "in" / "library")
    status, said = page.ask("POST", f"/bring?name={name}", archive)
    assert page.wrong == []
    return status, said.decode(), page


@pytest.fixture
def theirs(tmp_path):
    """The files of a stranger's library with one kept setting."""
    library = Library(tmp_path / "theirs" / "library")
    kept(library.root)
    return unpacked(save_all(library))


def written(tmp_path):
    return {each for each in tmp_path.rglob("*") if "theirs" not in each.parts and each.is_file()}


@pytest.mark.parametrize(
    ("damage", "says"),
    [
        (lambda content: content[: len(content) // 2], 422),
        (lambda content: content[:40] + b"\xff" * 8 + content[48:], 200),
        (lambda _: b"PK\x05\x06" + bytes(18), 422),
        (lambda _: b"", 422),
        (lambda _: b"\x1f\x8b no zip", 422),
    ],
)
def test_a_damaged_archive_is_told_in_words_under_its_own_name(damage, says, theirs, tmp_path):
    status, said, page = brought(tmp_path, damage(packed(theirs)), "my%20desks.zip")
    assert status == says
    assert "my desks.zip" in said
    assert "evenstroke-" not in said
    assert not written(tmp_path)
    assert page.ask("GET", "/")[0] == 200


@pytest.mark.parametrize(
    "path",
    [
        "../{}",
        "/{}",
        "workstations/../../{}",
        "workstations\\..\\{}",
        "workstations/x/../{}",
        "C:{}",
        "drafts/../{}",
        "library.yaml",
    ],
)
@pytest.mark.parametrize("listed", [True, False])
def test_no_path_of_an_archive_leads_elsewhere(path, listed, theirs, tmp_path):
    (first, content), *_ = theirs.items()
    other = path.format(Path(first).name)
    archive = packed({**theirs, other: content}) if listed else packed(theirs, (other, content))
    status, said, _ = brought(tmp_path, archive)
    assert status == (422 if listed else 200)
    inside = tmp_path / "in" / "library"
    allowed = set() if listed else {inside / "library.yaml", *(inside / each for each in theirs)}
    assert written(tmp_path) == allowed
    assert "must name" in said


def test_a_name_that_stands_twice_gives_what_the_list_says(theirs, tmp_path):
    ((first, content),) = theirs.items()
    with pytest.warns(UserWarning, match="Duplicate name"):
        archive = packed(theirs, (first, b"evenstroke: 1\nworkstation: other\n"))
    status, said, page = brought(tmp_path, archive)
    assert status == 200
    assert "a damaged file" in said
    assert not (tmp_path / "in" / "library" / first).exists()
    assert page.ask("GET", "/")[0] == 200
    # And where the list names it twice.
    twice = listing(theirs) + listing(theirs).partition("files:\n")[2]
    out = tmp_path / "twice.zip"
    with zipfile.ZipFile(out, "w") as file:
        file.writestr(first, content)
        file.writestr("contents.yaml", twice)
    status, said, _ = brought(tmp_path, out.read_bytes())
    assert (status, (tmp_path / "in" / "library" / first).read_bytes()) == (200, content)


@pytest.mark.parametrize("which", ["setting", "contents.yaml", "draft"])
def test_a_bomb_is_not_unpacked(which, theirs, tmp_path):
    zeros = bytes(64 * 1024 * 1024)
    ((first, _),) = theirs.items()
    path = {"setting": first, "draft": "drafts/n-bomb.jsonl"}.get(which, which)
    if which == "contents.yaml":
        out = tmp_path / "bomb.zip"
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as file:
            file.writestr(which, zeros)
        archive = out.read_bytes()
    else:
        archive = packed({path: zeros})
    assert len(archive) < 100_000
    del zeros
    tracemalloc.start()
    status, said, _ = brought(tmp_path, archive)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert (status, "must be at most" in said) == (422 if which == "contents.yaml" else 200, True)
    assert most < 48 * 1024 * 1024
    assert not {each for each in written(tmp_path) if each.suffix in {".yaml", ".jsonl"}}


def of_number(number, when):
    """A setting of a right digest under ``number`` and the moment ``when``."""
    workstation = Workstation(DESK.name, answer(DESK).solved, revision=Revision(number, when))
    content = to_yaml(workstation).encode()
    name = f"{number:04d}-{when:%Y%m%d-%H%M%S}-{digest(content)}.yaml"
    return f"workstations/{folder_name(DESK.name)}/{name}", content


@pytest.mark.parametrize("number", [LARGEST_NUMBER, LARGEST_BROUGHT + 1, LARGEST_BROUGHT])
def test_no_number_of_a_stranger_hides_what_is_kept_after_it(number, tmp_path):
    path, content = of_number(number, datetime(2026, 3, 1, tzinfo=UTC))
    status, said, page = brought(tmp_path, packed({path: content}))
    assert status == (200 if number <= LARGEST_BROUGHT else 422), said
    root = tmp_path / "in" / "library"
    mine = kept(root, DESK.with_({"hold": "top"}))
    library = Library(root)
    assert library.newest(mine.path.parent) == mine
    assert mine.number == (number + 1 if number <= LARGEST_BROUGHT else 1)
    assert page.ask("GET", f"/station/{mine.path.parent.name}")[0] == 200


def test_a_library_without_a_number_left_says_so(tmp_path):
    library = Library(tmp_path / "library")
    path, content = of_number(LARGEST_NUMBER, datetime(2026, 3, 1, tzinfo=UTC))
    library.put(path, content)
    with pytest.raises(RequestError, match="must have a number left"):
        kept(library.root, DESK.with_({"hold": "top"}))


@pytest.mark.parametrize("stamp", ["99991231-235959-999999", "00010101-000000-000000"])
@pytest.mark.parametrize("zone", ["Pacific/Honolulu", "Pacific/Kiritimati"])
def test_a_mark_of_a_moment_that_no_clock_shows_is_none(stamp, zone, tmp_path, monkeypatch):
    monkeypatch.setenv("TZ", zone)
    library = Library(tmp_path / "theirs" / "library")
    revision = kept(library.root)
    library.decide(revision.path.parent, "pin", revision)
    files = unpacked(save_all(library))
    (mark,) = [path for path in files if "/marks/" in path]
    other = re.sub("[0-9]{8}-[0-9]{6}-[0-9]{6}", stamp, mark)
    status, said, _ = brought(tmp_path, packed(files | {other: files[mark]}))
    assert (status, "must name files of a library only" in said) == (422, True)
    # And where a hand put it there.
    mine = revision.path.parent
    (library.root / other).write_bytes(files[mark])
    library.decide(mine, "unpin")
    assert library.marks(mine).pinned is None


def test_a_damaged_file_of_ours_is_named_and_nobody_is_told_to_type_an_option(theirs, tmp_path):
    _, _, page = brought(tmp_path, packed(theirs))
    ((path, _),) = theirs.items()
    here = tmp_path / "in" / "library" / path
    here.write_bytes(b"")
    status, said = page.ask("POST", "/bring?name=desks.zip", packed(theirs))
    assert (status, here.read_bytes()) == (200, b"")
    assert "is damaged here and whole in the archive" in said.decode()
    assert "force" not in said.decode()


STORED = """
import { Files } from "%s/files.mjs";
const storage = new Map();
let wrote = [];
globalThis.indexedDB = { open: () => ask(() => database) };
function ask(act) {
  const asked = {};
  queueMicrotask(() => { asked.result = act(); asked.onsuccess?.(); });
  return asked;
}
const store = {
  getAllKeys: () => ask(() => [...storage.keys()]),
  getAll: () => ask(() => [...storage.values()]),
  put: (value, path) => { wrote.push(path); storage.set(path, value); },
  delete: (path) => { wrote.push(`-${path}`); storage.delete(path); },
};
const database = {
  transaction: () => {
    const turn = { objectStore: () => store };
    queueMicrotask(() => queueMicrotask(() => turn.oncomplete?.()));
    return turn;
  },
};

// A folder as Pyodide's, as far as it is used.
class Folder {
  constructor() { this.files = new Map(); this.folders = new Set(); this.count = 0; }
  mkdirTree(path) {
    if (this.files.has(path)) throw new Error("a file is no folder");
    const parts = path.split("/").filter(Boolean);
    parts.forEach((_, at) => this.folders.add(`/${parts.slice(0, at + 1).join("/")}`));
  }
  writeFile(path, content) {
    const ino = ++this.count;
    this.files.set(path, { content: new Uint8Array(content), ino, mtime: ino });
  }
  readFile(path) { return this.files.get(path).content; }
  unlink(path) { this.files.delete(path); }
  readdir(folder) {
    const inside = [...this.files.keys(), ...this.folders].filter((each) =>
      each.startsWith(`${folder}/`) && !each.slice(folder.length + 1).includes("/"));
    return [".", "..", ...inside.map((each) => each.slice(folder.length + 1))];
  }
  stat(path) {
    const file = this.files.get(path);
    return file ? { mode: 1, mtime: file.mtime, size: file.content.length, ino: file.ino }
      : { mode: 2, mtime: 0, size: 0, ino: 0 };
  }
  isDir(mode) { return mode === 2; }
}
async function tab() {
  const folder = new Folder();
  const files = new Files(folder, "/evenstroke");
  await files.restore();
  return { folder, files };
}
const bytes = (text) => new TextEncoder().encode(text);
// What another page may have put into the storage before.
const others = [
  ["/program/render/desk/app.py", bytes("evil")], ["/evenstroke/../program/x.py", bytes("evil")],
  ["/evenstrokes/x", bytes("evil")], ["x", bytes("evil")], [7, bytes("evil")],
  ["/evenstroke/a number", 7], ["/evenstroke/a text", "evil"], ["/evenstroke/an object", {}],
];
for (const [path, content] of others) storage.set(path, content);
const strange = JSON.parse(process.argv[2]);
const said = {};
const first = await tab();
const second = await tab();
first.folder.mkdirTree("/evenstroke/library");
first.folder.writeFile("/evenstroke/library/one", bytes("1"));
for (const name of strange)
  first.folder.writeFile(`/evenstroke/library/${name.replaceAll("/", "_")}`, bytes(name));
said.first = await first.files.store();
// The second tab began before that, and knows nothing of it.
second.folder.writeFile("/evenstroke/two", bytes("2"));
wrote = [];
said.second = await second.files.store();
said.wrote = wrote;
wrote = [];
said.nothing = [await first.files.store(), await second.files.store(), ...wrote];
// A third finds what both stored, and nothing of what others did.
storage.set("/evenstroke/two/inside", bytes("of a file"));
const third = await tab();
said.state = third.files.state;
said.found = [...third.folder.files].map(([path, { content }]) =>
  [path, new TextDecoder().decode(content)]);
console.log(JSON.stringify(said));
process.exit(); // nobody waits any more for a storage that says nothing
"""


def test_two_tabs_store_what_they_wrote_and_take_nothing_of_each_others(tmp_path):
    node = shutil.which("node")
    if node is None:
        pytest.skip("node is not installed (Debian: apt-get install nodejs)")
    shutil.copy(HERE.parents[1] / "render/one_file/scripts/files.js", tmp_path / "files.mjs")
    (tmp_path / "tabs.mjs").write_text(STORED % tmp_path.as_uri(), "utf-8")
    names = ["__proto__", "constructor", *NAMES.values()]
    ran = subprocess.run(
        [node, tmp_path / "tabs.mjs", json.dumps(names)],
        check=False,
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert ran.returncode == 0, ran.stderr
    said = json.loads(ran.stdout)
    assert said["first"] == len(names) + 2, "with the folder"
    assert (said["second"], said["wrote"]) == (1, ["/evenstroke/two"])
    assert said["nothing"] == [0, 0]
    assert said["state"] == "stored"
    found = dict(said["found"])
    assert found.pop("/evenstroke/library/one") == "1"
    assert found.pop("/evenstroke/two") == "2"
    assert sorted(found.values()) == sorted(names)
    assert "Passed over: /evenstroke/two/inside" in ran.stderr
