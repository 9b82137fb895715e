"""Revisions, their numbers and names, what is in force, on a real file system."""

import os
import re
import sys
import time
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
import yaml

from mapper.problems import AnswerIsNo, EvenstrokeError, RequestError
from profiles.format.document import loads, to_yaml
from profiles.library import revisions as library_module
from profiles.library.revisions import Library
from tests.profiles.libraries import workstation

MORNING = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


@pytest.fixture
def library(tmp_path):
    return Library(tmp_path / "library")


def keep(library, *notes, name="desk", now=MORNING):
    """Keep one revision for each note, an hour apart."""
    return [
        library.keep(workstation(name, note), now=now + timedelta(hours=hour))[0]
        for hour, note in enumerate(notes)
    ]


def listed(root):
    """All files of a library, hidden ones too."""
    return sorted(path.relative_to(root).as_posix() for path in root.rglob("*") if path.is_file())


def test_a_library_is_plain_yaml_one_file_a_revision(library):
    keep(library, "one", "two")
    files = listed(library.root)
    assert files[0] == "library.yaml"
    assert [re.sub("[0-9a-f]{16}", "DIGEST", name) for name in files[1:]] == [
        "workstations/desk/0001-20260302-090000-DIGEST.yaml",
        "workstations/desk/0002-20260302-100000-DIGEST.yaml",
    ]
    for name in files[1:]:
        text = (library.root / name).read_text("utf-8")
        assert yaml.safe_load(text)["revision"]["number"] == int(name[18:22])
        assert to_yaml(loads(text, name)) == text


def test_keeping_the_same_twice_makes_no_new_revision(library):
    first, new = library.keep(workstation(), note="first", now=MORNING)
    kept = library.load(first)
    assert replace(kept, revision=None) == workstation()
    assert (kept.revision.number, kept.revision.kept, kept.revision.note) == (1, MORNING, "first")
    again, new_again = library.keep(workstation(), note="another note")
    assert (new, new_again) == (True, False)
    assert again == first
    # What was recalled, with its own number and date in it, is the same too.
    assert library.keep(library.load(first)) == (first, False)
    other, new = library.keep(workstation(fit="full"))
    assert (other.number, new) == (2, True)
    # Going back to an earlier setting is news.
    assert library.keep(workstation())[0].number == 3


@pytest.mark.parametrize(
    "name",
    ["a/b", "../../up", "机器 3", "con", "x" * 300, "e\u0301te\u0301", " padded  twice ", "\u202e"],
)
def test_any_text_is_a_workstations_name(library, name):
    keep(library, "one", name=name)
    keep(library, "two", name="another")
    folder = library.folder_of(name)
    assert folder.parent == library.root / "workstations"
    assert library.folder_of(folder.name) == folder
    assert library.load(library.newest(folder)).name == name
    assert {station.name for station in library.stations()[0]} == {name, "another"}


def test_what_is_not_there_is_answered_with_the_nearest(library):
    keep(library, "one", name="window desk")
    with pytest.raises(AnswerIsNo, match='Did you mean "window desk"'):
        library.folder_of("windowdesk")
    with pytest.raises(AnswerIsNo, match=r"has no setting 7\. The newest is 1"):
        library.named(library.folder_of("window desk"), "7")


def test_revisions_are_in_the_order_of_their_numbers_however_long_those_are(library):
    keep(library, "one")
    folder = library.folder_of("desk")

    def pretend(number):
        """A revision whose name counts; contents are only read when they are asked for."""
        (folder / f"{number:04d}-20260302-090000-0123456789abcdef.yaml").write_text("")

    pretend(999)
    kept = keep(library, "a")
    pretend(9999)
    kept += keep(library, "b")
    pretend(12345)
    assert all(revision.path.parent == folder for revision in kept)
    numbers = [revision.number for revision in library.revisions(folder)]
    assert numbers == [1, 999, 1000, 9999, 10000, 12345]
    assert library.newest(folder).number == 12345
    for revision in kept:
        assert library.named(folder, str(revision.number)) == revision
    assert library.file_before(kept[-1]).number == 9999
    assert library.file_before(kept[0]).number == 999


def test_numbers_keep_their_order_in_names_that_are_their_folders(library):
    """A workstation may be called by a number, or as the folder of all workstations."""
    for name in ("1000", "workstations", "marks"):
        first, second = keep(library, "one", "two", name=name)
        assert first.path.parent == library.root / "workstations" / name
        assert library.file_before(second) == first


def test_a_revision_is_in_force_from_when_it_was_kept(library):
    first, second, third = keep(library, "one", "two", "three")
    folder = library.folder_of("desk")
    assert library.in_force(folder) == third
    assert library.in_force(folder, MORNING) == first
    assert library.in_force(folder, MORNING + timedelta(hours=1, minutes=59)) == second
    with pytest.raises(AnswerIsNo, match="had no setting in use at"):
        library.in_force(folder, MORNING - timedelta(seconds=1))


def test_pin_release_retire_and_restore(library):
    first, second, third = keep(library, "one", "two", "three")
    folder = library.folder_of("desk")
    noon = MORNING + timedelta(hours=3)
    assert library.decide(folder, "pin", first, now=noon)
    assert not library.decide(folder, "pin", first, now=noon)
    assert library.in_force(folder) == first
    assert library.in_force(folder, noon - timedelta(seconds=1)) == third
    assert library.decide(folder, "unpin", now=noon + timedelta(hours=1))
    assert library.in_force(folder) == third
    assert library.decide(folder, "retire", third)
    assert library.in_force(folder) == second
    library.decide(folder, "pin", second)
    library.decide(folder, "retire", second)
    assert library.in_force(folder) == first
    library.decide(folder, "retire", first)
    with pytest.raises(AnswerIsNo):
        library.in_force(folder)
    library.decide(folder, "restore", second)
    assert library.in_force(folder) == second
    assert library.decide(folder, "retire")
    assert library.marks(folder).station_retired
    assert len(library.revisions(folder)) == 3


def test_the_last_word_stays_the_last_where_a_clock_goes_back(library):
    first, second = keep(library, "one", "two")
    folder = library.folder_of("desk")
    library.decide(folder, "pin", first, now=MORNING + timedelta(days=9))
    library.decide(folder, "pin", second, now=MORNING)
    assert library.in_force(folder) == second


def test_nothing_is_ever_rewritten(library):
    keep(library, "one", "two")
    before = {
        path: (path.stat().st_ino, path.stat().st_mtime_ns) for path in library.root.rglob("*.yaml")
    }
    keep(library, "three")
    folder = library.folder_of("desk")
    library.decide(folder, "pin", library.named(folder, "1"))
    library.decide(folder, "retire", library.named(folder, "2"))
    after = {
        path: (path.stat().st_ino, path.stat().st_mtime_ns) for path in library.root.rglob("*.yaml")
    }
    assert {path: after[path] for path in before} == before
    assert len(after) == len(before) + 3


def test_two_copies_keep_the_same_number_and_both_can_be_had(library, tmp_path):
    keep(library, "one", "here")
    other = Library(tmp_path / "other")
    keep(other, "one", "there", "there again", now=MORNING)
    theirs = other.named(other.folder_of("desk"), "2")
    (library.folder_of("desk") / theirs.path.name).write_bytes(theirs.path.read_bytes())
    folder = library.folder_of("desk")
    with pytest.raises(
        RequestError,
        match=r"copies of the library each kept a setting 2; say which; got 2\. Type 2a or 2b",
    ):
        library.named(folder, "2")
    # By age, and by digest where they were kept in the same second.
    first, second = (each for each in library.revisions(folder) if each.number == 2)
    assert (library.named(folder, "2a"), library.named(folder, "2B")) == (first, second)
    assert theirs.digest in (first.digest, second.digest)
    with pytest.raises(AnswerIsNo, match="has no setting 2c"):
        library.named(folder, "2c")
    # Both are the newest: keeping either again is no news.
    assert not library.keep(workstation(note="here"))[1]
    assert not library.keep(workstation(note="there"))[1]
    assert keep(library, "next")[0].number == 3


@pytest.mark.parametrize(
    "wanted", ["", "0", "x", "-1", "1.0", "1-", "1-9f86", "1\u0661", "9" * 12, "1/../2"]
)
def test_what_is_no_number_is_refused(library, wanted):
    keep(library, "one")
    with pytest.raises(RequestError, match="must be the number of a kept setting"):
        library.named(library.folder_of("desk"), wanted)


def test_a_changed_file_is_not_taken_for_what_was_kept(library):
    (kept,) = keep(library, "one")
    kept.path.write_text(kept.path.read_text().replace("note: one", "note: two"))
    with pytest.raises(RequestError, match="was damaged or changed"):
        library.load(kept)
    # A new one can be kept all the same, even what the damaged file says.
    assert keep(library, "one")[0].number == 2


def test_line_ends_that_git_changed_do_no_harm(library):
    (kept,) = keep(library, "one")
    kept.path.write_bytes(kept.path.read_bytes().replace(b"\n", b"\r\n"))
    assert library.load(kept).note == "one"


def test_a_revision_under_another_number_is_not_taken_for_that(library):
    (kept,) = keep(library, "one")
    renamed = kept.path.with_name(kept.path.name.replace("0001-", "0005-"))
    kept.path.rename(renamed)
    with pytest.raises(RequestError, match="must be setting 5 of"):
        library.load(library.newest(library.folder_of("desk")))


def test_a_future_revision_is_named_and_never_touched(library):
    keep(library, "one")
    folder = library.folder_of("desk")
    content = b"evenstroke: 3\nwhatever: [1]\n"
    future = folder / f"0002-20260302-100000-{library_module.digest(content)}.yaml"
    future.write_bytes(content)
    with pytest.raises(RequestError, match="is in format 3, and this version reads format 1"):
        library.load(library.newest(folder))
    assert keep(library, "one")[0].number == 3
    assert future.read_bytes() == content


def test_a_future_layout_and_a_future_mark_are_named_first(library):
    (kept,) = keep(library, "one")
    folder = library.folder_of("desk")
    content = b"evenstroke_mark: 2\nmark: freeze\n"
    (folder / "marks").mkdir()
    (
        folder / "marks" / f"20260302-100000-000000-freeze-{library_module.digest(content)}.yaml"
    ).write_bytes(content)
    with pytest.raises(RequestError, match="is in format 2"):
        library.in_force(folder)
    assert library.load(kept).note == "one"
    (library.root / "library.yaml").write_text("evenstroke_library: 2\n")
    for use in (library.require, lambda: keep(library, "two"), library.stations):
        with pytest.raises(RequestError, match="is in format 2"):
            use()


def test_a_part_file_of_a_killed_keeper_costs_a_number_and_nothing_else(library):
    keep(library, "one")
    folder = library.folder_of("desk")
    part = folder / ".0002.part"
    part.write_text("half")
    assert keep(library, "two")[0].number == 3
    assert part.exists()
    long_ago = time.time() - 3 * 24 * 3600
    os.utime(part, (long_ago, long_ago))
    assert keep(library, "three")[0].number == 4
    assert not part.exists()
    assert [revision.number for revision in library.revisions(folder)] == [1, 3, 4]


def test_without_locks_numbers_are_kept_apart_all_the_same(library, monkeypatch):
    """Another process takes the next number between our look and our part file.

    Its part file is there still.
    """
    keep(library, "one")
    other = Library(library.root)
    fill = library_module.fill_new

    def interrupted(path, content):
        monkeypatch.setattr(library_module, "fill_new", fill)
        monkeypatch.setattr(library_module, "taking_turns", library_module.taking_turns)
        library_module._add(library.folder_of("desk"), 2, workstation(note="theirs"), None, MORNING)
        (library.folder_of("desk") / ".0003.part").write_text("at work")
        return fill(path, content)

    monkeypatch.setattr(library_module, "fill_new", interrupted)
    (ours,) = keep(library, "ours")
    assert ours.number == 4
    assert other.load(ours).note == "ours"
    assert [revision.number for revision in library.revisions(library.folder_of("desk"))] == [
        1,
        2,
        4,
    ]


def test_a_system_without_such_locks_will_do(library, monkeypatch):
    monkeypatch.setitem(sys.modules, "fcntl", None)
    assert [revision.number for revision in keep(library, "one", "two")] == [1, 2]


def test_strangers_in_the_folder_are_passed_over(library):
    keep(library, "one")
    folder = library.folder_of("desk")
    for name in (
        "README.txt",
        "0001-20260302-090000-0123456789abcdef (copy).yaml",
        ".DS_Store",
        "0009.yaml",
    ):
        (folder / name).write_text("x")
    (folder / "9999-20269999-090000-0123456789abcdef.yaml").write_text("no such day")
    (library.root / "workstations" / ".git").mkdir()
    (library.root / "workstations" / "empty").mkdir()
    (library.root / "workstations" / "note.txt").write_text("x")
    assert [revision.number for revision in library.revisions(folder)] == [1]
    assert [station.name for station in library.stations()[0]] == ["desk"]


def test_a_missing_library_is_named(tmp_path):
    library = Library(tmp_path / "nowhere")
    for use in (library.stations, lambda: library.folder_of("desk"), library.require):
        with pytest.raises(EvenstrokeError, match="must be a library's folder"):
            use()
    assert not library.root.exists()


def test_a_library_that_was_only_just_begun_is_empty(library):
    library.begin(library.folder_named("desk"))
    for path in ((library.root / "workstations" / "desk"), (library.root / "workstations")):
        assert library.stations() == ([], [])
        path.rmdir()
    assert library.stations() == ([], [])


def test_the_default_place_is_the_platforms(monkeypatch, tmp_path):
    """Oracle: the XDG Base Directory Specification, XDG_DATA_HOME."""
    if os.name != "posix":
        pytest.skip("XDG is for Unix")
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert library_module.default_folder() == tmp_path / "evenstroke" / "library"
