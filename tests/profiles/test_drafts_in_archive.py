"""Drafts in an archive: out and in again.

Beside those that are here, and without what a stranger could make the program open.
"""

import json

import pytest

from mapper.problems import RequestError
from profiles.library.archive import import_archive
from profiles.library.revisions import Library
from render.desk.described import Description
from render.desk.drafts import Drafts, drafts_folder
from render.desk.moved import bring_in, drafts_out, save_all, take_archive
from tests.profiles.test_archive import packed

SAID = Description(name="loose desk", tablet="240x152mm")


def drafted(root, id_="n-aaaaaaaaaaaa", origin=None, *, width=300):
    """A library with one desk that nobody kept; its draft."""
    library = Library(root)
    draft = Drafts(library.root).begin(id_, origin or {"new": True}, SAID)
    draft.change(0, "tablet", SAID.with_({"tablet": f"{width}x200mm"}))
    return library, draft


def test_drafts_alone_go_out_and_come_in_once(tmp_path):
    library, draft = drafted(tmp_path / "one" / "library")
    everything = save_all(library)
    other = Library(tmp_path / "two" / "library")
    done = bring_in(other, everything)
    assert (done.new, done.here_already, done.problems) == (1, 0, ())
    assert Drafts(other.root).get(draft.id).said().tablet == "300x200mm"
    assert bring_in(other, everything).here_already == 1
    assert save_all(other) == everything


def test_one_that_went_on_is_taken_and_one_that_went_its_own_way_stands_beside(tmp_path):
    library, draft = drafted(tmp_path / "one" / "library")
    first = save_all(library)
    draft.change(1, "tablet", SAID.with_({"tablet": "310x200mm"}))
    longer = save_all(library)
    other = Library(tmp_path / "two" / "library")
    bring_in(other, first)
    assert bring_in(other, longer).new == 1
    assert Drafts(other.root).get(draft.id).said().tablet == "310x200mm"
    assert bring_in(other, first).here_already == 1, "the longer one holds the shorter"
    third, _ = drafted(tmp_path / "three" / "library", width=400)
    bring_in(third, longer)
    drafts = Drafts(third.root)
    assert {drafts.get(id_).said().tablet for id_ in drafts.ids()} == {"400x200mm", "310x200mm"}


def test_a_draft_of_a_file_goes_out_as_a_desk_of_its_own(tmp_path):
    library, _ = drafted(
        tmp_path / "library", "f-0123456789abcdef", {"file": "/home/somebody/desk.yaml"}
    )
    ((id_, content),) = drafts_out(library).items()
    assert id_.startswith("n-")
    assert b"somebody" not in content


@pytest.mark.parametrize(
    "origin",
    [
        {"file": "/etc/passwd", "digest": ""},
        {"folder": "../../elsewhere"},
        {"folder": "a/b", "station": ["x"]},
        "/etc/passwd",
    ],
)
@pytest.mark.parametrize("late", [False, True])
def test_a_strangers_draft_opens_no_file_here(tmp_path, origin, late):
    lines = [
        {"evenstroke_draft": 1, "origin": {"new": True} if late else origin},
        {"step": 0, "after": None, "about": "", "said": {"name": "<b>"}},
        {"step": 1, "after": 0, "about": "name", "said": {"name": "<i>"}},
        *([{"origin": origin}] if late else []),
    ]
    content = "".join(f"{json.dumps(line)}\n" for line in lines).encode()
    archive = packed(tmp_path / "x.zip", {"drafts/n-bad.jsonl": content})
    library = Library(tmp_path / "library")
    assert take_archive(library, archive).problems == ()
    said = Drafts(library.root).get("n-bad").origin
    assert "file" not in said
    assert "folder" not in said


def test_what_is_no_draft_is_named_and_left_out(tmp_path):
    contents = {
        "drafts/n-one.jsonl": b"no draft at all\n",
        "drafts/f-0123456789abcdef.jsonl": b'{"evenstroke_draft": 1, "origin": {}}\n',
    }
    library = Library(tmp_path / "library")
    done = take_archive(library, packed(tmp_path / "x.zip", contents))
    assert (done.new, len(done.problems)) == (0, 2)
    assert not drafts_folder(library.root).exists()


@pytest.mark.parametrize("path", ["drafts/../x.jsonl", "drafts/n-A.jsonl", "drafts/n-a/b.jsonl"])
def test_a_draft_by_another_path_is_refused_and_nothing_done(tmp_path, path):
    archive = packed(tmp_path / "x.zip", {path: b"{}"})
    with pytest.raises(RequestError, match="must name files of a library only"):
        take_archive(Library(tmp_path / "library"), archive)


def test_who_asks_for_no_drafts_gets_none(tmp_path):
    library, _ = drafted(tmp_path / "one" / "library")
    archive = tmp_path / "all.zip"
    archive.write_bytes(save_all(library))
    done = import_archive(Library(tmp_path / "two" / "library"), archive)
    assert (done.new, done.problems) == (0, ())
    assert not (tmp_path / "two" / "library-drafts").exists()
