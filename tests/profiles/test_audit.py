"""Every file is read; what is damaged is named, and the rest is rescued."""

import shutil

import pytest

from mapper.problems import RequestError
from profiles.library.audit import audit, rescue
from profiles.library.entries import append, digest
from profiles.library.revisions import Library
from tests.profiles.libraries import NOW, files_below, sample


@pytest.fixture
def library(tmp_path):
    library = Library(tmp_path / "library")
    for note in ("one", "two", "three"):
        library.keep(sample(note), now=NOW)
    library.keep(sample("other", "a/b"), now=NOW)
    folder = library.folder_of("desk")
    library.decide(folder, "pin", library.named(folder, "2"), now=NOW)
    return library


def revision(library, number):
    return library.named(library.folder_of("desk"), str(number)).path


def found(library):
    return {finding.path.name: (finding.kind, finding.says) for finding in audit(library).findings}


def test_a_right_library_has_nothing_to_say(library):
    result = audit(library)
    assert (result.revisions, result.entries, result.findings) == (4, 1, [])


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (lambda path: path.write_bytes(b""), "was damaged or changed"),
        (lambda path: path.write_bytes(path.read_bytes()[:-40]), "was damaged or changed"),
        (lambda path: path.write_bytes(b"\xff" * 100), "was damaged or changed"),
        (
            lambda path: path.write_bytes(b"x" * 2_000_000),
            "must be a kept setting, which is at most 1024 KiB",
        ),
        (
            lambda path: path.write_text(path.read_text().replace("note: one", "note: 1st")),
            "as it stands it is a whole profile and can be kept as a new setting",
        ),
    ],
    ids=["empty", "cut off", "garbage", "too large", "edited"],
)
def test_damage_is_named_and_the_rest_rescued(library, tmp_path, spoil, says):
    path = revision(library, 1)
    spoil(path)
    before = files_below(library.root)
    result = audit(library)
    assert [(finding.path, finding.kind) for finding in result.findings] == [(path, "damaged")]
    assert says in result.findings[0].says
    assert (result.revisions, result.entries) == (3, 1)
    assert rescue(result, tmp_path / "saved") == 4
    saved = Library(tmp_path / "saved")
    assert audit(saved).findings == []
    assert [each.number for each in saved.revisions(saved.folder_of("desk"))] == [2, 3]
    # The library itself is as it was.
    assert files_below(library.root) == before
    assert rescue(result, tmp_path / "saved") == 0


def test_a_mark_that_is_damaged_and_one_that_speaks_of_nothing(library, tmp_path):
    folder = library.folder_of("desk")
    library.decide(folder, "retire", library.named(folder, "1"), now=NOW)
    pin, retire = sorted((folder / "marks").iterdir())
    pin.write_text("mark: pin\n")
    revision(library, 1).unlink()
    result = found(library)
    assert result[pin.name][0] == result[retire.name][0] == "damaged"
    assert "was damaged or changed" in result[pin.name][1]
    assert "which is not here" in result[retire.name][1]
    rescue(audit(library), tmp_path / "saved")
    assert len(list((tmp_path / "saved" / "workstations" / "desk" / "marks").iterdir())) == 1


def test_what_a_sync_service_renamed_is_recognised(library, tmp_path):
    path = revision(library, 3)
    copy = path.with_name(f"{path.stem} (conflicted copy).yaml")
    shutil.copy(path, copy)
    assert found(library)[copy.name] == ("foreign", f"is a copy of {path.name}; you may remove it")
    path.unlink()
    kind, says = found(library)[copy.name]
    assert kind == "misplaced"
    assert path.name in says
    assert rescue(audit(library), tmp_path / "saved") == 5
    assert (tmp_path / "saved" / path.relative_to(library.root)).read_bytes() == copy.read_bytes()


def test_a_revision_in_anothers_folder_is_put_right(library, tmp_path):
    path = revision(library, 3)
    other = library.folder_of("a/b")
    path.rename(other / path.name)
    result = found(library)
    assert result[path.name] == ("misplaced", "is about desk, whose folder is desk")
    rescue(audit(library), tmp_path / "saved")
    saved = Library(tmp_path / "saved")
    assert audit(saved).findings == []
    assert len(saved.revisions(saved.folder_of("desk"))) == 3


def test_other_formats_are_named_kept_and_rescued_untouched(library, tmp_path):
    content = b"evenstroke: 9\nnothing: [we, know]\n"
    path = library.folder_of("desk") / f"0009-20260302-090000-{digest(content)}.yaml"
    path.write_bytes(content)
    result = audit(library)
    assert [(finding.kind, finding.path) for finding in result.findings] == [("other format", path)]
    assert result.damaged == []
    rescue(result, tmp_path / "saved")
    assert (tmp_path / "saved" / path.relative_to(library.root)).read_bytes() == content


def test_what_is_unfinished_or_foreign_is_no_damage(library):
    folder = library.folder_of("desk")
    (folder / ".0004.part").write_text("half")
    (folder / "notes.txt").write_text("x")
    (folder / "deep" / "er").mkdir(parents=True)
    (folder / "Odd Folder").mkdir()
    (folder / "link.yaml").symlink_to("/etc/passwd")
    (library.root / "README").write_text("x")
    (library.root / ".git").mkdir()
    (library.root / "workstations" / "stray.txt").write_text("x")
    result = found(library)
    assert {name: kind for name, (kind, _) in result.items()} == {
        ".0004.part": "unfinished",
        "notes.txt": "foreign",
        "er": "foreign",
        "Odd Folder": "foreign",
        "link.yaml": "foreign",
        "README": "foreign",
        "stray.txt": "foreign",
    }


def test_entries_of_every_kind_are_counted_carried_and_checked(library, tmp_path):
    """A trial book lives beside the marks; audit and rescue need not know what is in it."""
    place = library.place(library.folder_of("desk"), "trials")
    entry = append(place, "felt", {"evenstroke_trial": 1, "score": 4}, NOW)
    assert audit(library).entries == 2
    rescue(audit(library), tmp_path / "saved")
    assert (tmp_path / "saved" / entry.path.relative_to(library.root)).exists()
    entry.path.write_text("score: 5\n")
    assert [finding.path for finding in audit(library).damaged] == [entry.path]


def test_no_library_is_no_audit(tmp_path):
    with pytest.raises(RequestError, match="must be a"):
        audit(Library(tmp_path / "nowhere"))
