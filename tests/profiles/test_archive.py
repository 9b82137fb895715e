"""A library as one archive: whole, the same every time, and unable to do harm."""

import hashlib
import shutil
import zipfile

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from mapper.problems import RequestError
from profiles.library.archive import export_archive, import_archive
from profiles.library.entries import digest
from profiles.library.revisions import Library
from tests.profiles.libraries import NOW, SAMPLE, files_below, sample

INSIDE = "workstations/desk/0001-20260302-090000-{}.yaml"


def filled(root, *names):
    library = Library(root)
    for name in names:
        for note in ("one", "two"):
            library.keep(sample(note, name), now=NOW)
    folder = library.folder_of(names[0])
    library.decide(folder, "pin", library.named(folder, "1"), now=NOW)
    return library


def packed(path, contents, listing=None):
    """An archive of ``contents`` by path, with a right listing unless another is given."""
    if listing is None:
        listed = [
            {"path": name, "bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()}
            for name, content in contents.items()
        ]
        listing = yaml.safe_dump({"evenstroke_archive": 1, "files": listed}, sort_keys=False)
    with zipfile.ZipFile(path, "w") as archive:
        for name, content in contents.items():
            archive.writestr(name, content)
        if listing:
            archive.writestr("contents.yaml", listing)
    return path


def test_out_and_in_again_is_the_same_library(tmp_path):
    library = filled(tmp_path / "one", "desk", "机器", "a/b")
    (library.root / "workstations" / "desk" / "README.txt").write_text("not the library's")
    count, problems = export_archive(library, tmp_path / "all.zip")
    assert (count, problems) == (7, [])
    other = Library(tmp_path / "two")
    done = import_archive(other, tmp_path / "all.zip")
    assert (done.new, done.here_already, done.problems) == (7, 0, ())
    before = files_below(library.root)
    del before["workstations/desk/README.txt"]
    assert files_below(other.root) == before
    done = import_archive(other, tmp_path / "all.zip")
    assert (done.new, done.here_already, done.problems) == (0, 7, ())


def test_the_same_library_gives_the_same_bytes(tmp_path):
    library = filled(tmp_path / "one", "desk", "other")
    shutil.copytree(library.root, tmp_path / "two")
    export_archive(library, tmp_path / "one.zip")
    export_archive(Library(tmp_path / "two"), tmp_path / "two.zip")
    assert (tmp_path / "one.zip").read_bytes() == (tmp_path / "two.zip").read_bytes()


@pytest.mark.oracle
def test_the_list_of_contents_says_what_sha256_of_the_standard_library_says(tmp_path):
    """Oracle: zipfile reads the archive, PyYAML the listing, hashlib sums up."""
    library = filled(tmp_path / "one", "desk")
    export_archive(library, tmp_path / "all.zip")
    with zipfile.ZipFile(tmp_path / "all.zip") as archive:
        assert archive.testzip() is None
        listing = yaml.safe_load(archive.read("contents.yaml"))
        assert listing["evenstroke_archive"] == 1
        assert {part["path"] for part in listing["files"]} == set(archive.namelist()) - {
            "contents.yaml"
        }
        for part in listing["files"]:
            content = archive.read(part["path"])
            assert (part["bytes"], part["sha256"]) == (
                len(content),
                hashlib.sha256(content).hexdigest(),
            )


def test_some_workstations_only_and_no_overwriting(tmp_path):
    library = filled(tmp_path / "one", "desk", "other")
    count, _ = export_archive(library, tmp_path / "some.zip", [library.folder_of("other")])
    assert count == 2
    with pytest.raises(RequestError, match="already exists"):
        export_archive(library, tmp_path / "some.zip")
    assert export_archive(library, tmp_path / "some.zip", force=True)[0] == 5


def test_import_joins_what_is_new(tmp_path):
    here, there = filled(tmp_path / "one", "desk"), Library(tmp_path / "two")
    there.keep(sample("theirs"), now=NOW)
    export_archive(there, tmp_path / "there.zip")
    assert import_archive(here, tmp_path / "there.zip").new == 1
    folder = here.folder_of("desk")
    assert [revision.number for revision in here.revisions(folder)] == [1, 1, 2]


def test_what_is_damaged_is_left_out_and_named(tmp_path):
    library = filled(tmp_path / "one", "desk")
    first = library.named(library.folder_of("desk"), "1")
    first.path.write_bytes(first.path.read_bytes()[:-1])
    count, problems = export_archive(library, tmp_path / "all.zip")
    assert count == 2
    assert [str(first.path) in str(problem) for problem in problems] == [True]


def test_a_damaged_member_is_named_and_the_rest_is_taken(tmp_path):
    library = filled(tmp_path / "one", "desk")
    export_archive(library, tmp_path / "all.zip")
    with zipfile.ZipFile(tmp_path / "all.zip") as archive:
        contents = {name: archive.read(name) for name in archive.namelist()}
    listing = contents.pop("contents.yaml").decode()
    broken = next(iter(contents))
    contents[broken] = contents[broken].replace(b"one", b"two")
    done = import_archive(
        Library(tmp_path / "two"), packed(tmp_path / "bad.zip", contents, listing)
    )
    assert (done.new, len(done.problems)) == (2, 1)
    assert broken in str(done.problems[0])
    assert "must be what the list of contents and its name say" in str(done.problems[0])


def test_a_file_that_is_damaged_here_is_replaced_on_request_only(tmp_path):
    library = filled(tmp_path / "one", "desk")
    export_archive(library, tmp_path / "all.zip")
    before = files_below(library.root)
    first = library.named(library.folder_of("desk"), "1")
    first.path.write_bytes(b"")
    done = import_archive(library, tmp_path / "all.zip")
    assert (done.new, done.here_already) == (0, 2)
    assert "is damaged here and whole in the archive. Give force=True to replace it" in str(
        done.problems[0]
    )
    assert first.path.read_bytes() == b""
    assert import_archive(library, tmp_path / "all.zip", force=True).new == 1
    assert files_below(library.root) == before


SAFE = b"evenstroke: 1\n"


@pytest.mark.parametrize(
    "path",
    [
        "../outside.yaml",
        "/etc/outside.yaml",
        "workstations/../../outside.yaml",
        "workstations/desk/../../../0001-20260302-090000-{}.yaml",
        "workstations/Desk/0001-20260302-090000-{}.yaml",
        "workstations/desk/x/y/0001-20260302-090000-{}.yaml",
        "workstations/desk/1000/1000-20260302-090000-{}.yaml",
        "workstations/desk/marks/100/0100-20260302-090000-{}.yaml",
        "workstations/desk/0000-20260302-090000-{}.yaml",
        "workstations/desk/0001-20269902-090000-{}.yaml",
        "workstations/desk/marks/0001-20260302-090000-{}.yaml",
        "workstations\\desk\\0001-20260302-090000-{}.yaml",
        "library.yaml",
        "workstations/desk/0001-20260302-090000-{}.yaml\n",
        "C:/0001-20260302-090000-{}.yaml",
    ],
)
def test_no_archive_can_write_where_no_library_would(tmp_path, path):
    archive = packed(tmp_path / "bad.zip", {path.format(digest(SAFE)): SAFE})
    with pytest.raises(RequestError, match="must name files of a library only"):
        import_archive(Library(tmp_path / "here" / "library"), archive)
    assert files_below(tmp_path).keys() == {"bad.zip"}


def test_all_that_is_wrong_in_the_list_of_contents_is_said_each_in_a_line(tmp_path):
    archive = packed(tmp_path / "bad.zip", {"a.yaml": SAFE, "b.yaml": SAFE})
    with pytest.raises(RequestError) as caught:
        import_archive(Library(tmp_path / "library"), archive)
    assert [str(problem) for problem in caught.value.problems] == [
        f'{archive} contents.yaml: must name files of a library only; got "{name}"'
        for name in ("a.yaml", "b.yaml")
    ]


def test_a_member_that_the_list_of_contents_does_not_name_is_not_taken(tmp_path):
    archive = packed(
        tmp_path / "bad.zip", {"../evil.yaml": SAFE, INSIDE.format(digest(SAFE)): SAFE}, EMPTY
    )
    done = import_archive(Library(tmp_path / "library"), archive)
    assert (done.new, len(done.problems)) == (0, 2)
    assert files_below(tmp_path).keys() == {"bad.zip"}


EMPTY = "evenstroke_archive: 1\nfiles: []\n"


@pytest.mark.parametrize(
    ("listing", "message"),
    [
        (
            "evenstroke_archive: 2\nstores: {}\n",
            "is in format 2, and this version reads format 1",
        ),
        ("evenstroke_archive: 1\n", "must have the key files"),
        ("files: []\n", "must start with evenstroke_archive: 1"),
        ("evenstroke_archive: 1\nfiles:\n- path: 3\n  bytes: -1\n  sha256: x\n", "must be text"),
        ("[", "must be YAML"),
        ("\x00", "must be YAML"),
        ("", "must be a complete file of the archive"),
    ],
)
def test_a_wrong_list_of_contents_is_refused_and_nothing_done(tmp_path, listing, message):
    with pytest.raises(RequestError, match=message):
        import_archive(Library(tmp_path / "library"), packed(tmp_path / "bad.zip", {}, listing))
    assert files_below(tmp_path).keys() == {"bad.zip"}


@pytest.mark.parametrize(
    "content",
    [None, b"", b"PK", b"no archive at all", SAMPLE.read_bytes()],
    ids=["missing", "empty", "PK", "text", "profile"],
)
def test_what_is_no_archive_is_refused(tmp_path, content):
    if content is not None:
        (tmp_path / "x.zip").write_bytes(content)
    says = "must be a zip archive of saved desks" + (
        "; got no such file or folder" if content is None else ""
    )
    with pytest.raises(RequestError, match=rf"x\.zip: {says}"):
        import_archive(Library(tmp_path / "library"), tmp_path / "x.zip")


def test_a_bomb_is_read_no_further_than_a_revision_could_be(tmp_path):
    """50 MB of nothing, 50 KB in the archive, that claims to be small."""
    bomb = b"\0" * (50 * 1024 * 1024)
    path = INSIDE.format("0" * 16)
    with zipfile.ZipFile(tmp_path / "bomb.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(path, bomb)
        listed = f"- path: {path}\n  bytes: 10\n  sha256: {'f' * 64}\n"
        archive.writestr("contents.yaml", f"evenstroke_archive: 1\nfiles:\n{listed}")
    done = import_archive(Library(tmp_path / "library"), tmp_path / "bomb.zip")
    assert done.new == 0
    assert "must be at most 1024 KiB; got a larger file" in str(done.problems[0])


def test_a_future_revision_travels_untouched(tmp_path):
    content = b"evenstroke: 7\nwhatever: &x [*x]\n"
    archive = packed(tmp_path / "new.zip", {INSIDE.format(digest(content)): content})
    library = Library(tmp_path / "library")
    assert import_archive(library, archive).new == 1
    assert library.newest(library.folder_of("desk")).path.read_bytes() == content
    assert export_archive(library, tmp_path / "out.zip") == (1, [])


@pytest.fixture(scope="module")
def whole_archive(tmp_path_factory):
    folder = tmp_path_factory.mktemp("archive")
    export_archive(filled(folder / "library", "desk"), folder / "all.zip")
    return (folder / "all.zip").read_bytes()


@settings(max_examples=60)
@given(data=st.data())
def test_a_spoilt_archive_brings_in_nothing_wrong(whole_archive, tmp_path_factory, data):
    """Bytes changed or cut off anywhere: a clear refusal, or files that are right."""
    spoilt = bytearray(whole_archive)
    for _ in range(data.draw(st.integers(1, 4))):
        spoilt[data.draw(st.integers(0, len(spoilt) - 1))] = data.draw(st.integers(0, 255))
    del spoilt[data.draw(st.integers(len(spoilt) // 2, len(spoilt))) :]
    folder = tmp_path_factory.mktemp("spoilt")
    (folder / "x.zip").write_bytes(spoilt)
    library = Library(folder / "library")
    try:
        import_archive(library, folder / "x.zip")
    except RequestError:
        assert not library.root.exists()
        return
    finally:
        assert {path.name for path in folder.iterdir()} <= {"x.zip", "library"}
    if library.root.exists():
        for station in library.folders():
            for revision in library.revisions(station):
                library.load(revision)
