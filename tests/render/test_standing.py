"""How far a desk is: four words with their days, the next step, and what the pad takes as today."""

import json
import re
from datetime import UTC, datetime
from html import unescape
from random import Random

import pytest

from mapper.touching.setting import DriverSetting
from mapper.touching.verdict import judge
from profiles.library.proofs import note_touch, note_typed, proofs_of, typed_now
from profiles.library.trial_book import in_library
from tests.touched import EIGHTEEN, Hand
from tests.visitor import DESK, Visitor, stages

NOW = datetime.now(UTC)
TODAY = f"{NOW.astimezone().day} {NOW.astimezone():%B}"
MARCH = datetime(NOW.year, 3, 2, 9, 0, tzinfo=UTC)


def standing(visitor, at):
    """The four words with their marks, and what the next step does."""
    page = visitor.get(at).text
    step = re.search(r'<button type="button" id="([\w-]+)" class="step"', page)
    return stages(page), step and step.group(1)


@pytest.fixture
def kept(visitor):
    """A kept desk: its address, its library and revision, and the map that is meant."""
    at = visitor.begin(DESK)
    visitor.post(f"{at}/keep")
    library = visitor.session.library
    revision = library.in_force(library.folder_of(DESK.name))
    return at, library, revision, library.load(revision).map


def touched(setting, meant):
    touches = Hand(0.3).touch(setting, Random(4), EIGHTEEN)
    return judge(touches, meant)


def test_the_four_words_and_the_next_step_from_described_to_felt(visitor):
    at = visitor.begin(DESK)
    words, step = standing(visitor, at)
    assert words == {
        "described": ("done", f"described on {TODAY}"),
        "kept": ("open", "kept"),
        "typed": ("open", "typed in"),
        "tested": ("open", "tested"),
    }
    assert step == "keep"
    visitor.post(f"{at}/keep")
    words, step = standing(visitor, at)
    assert (words["kept"], step) == (("done", f"kept on {TODAY}"), "typed-in")
    assert "typed in" in visitor.post(f"{at}/typed", {}).json["says"]
    words, step = standing(visitor, at)
    assert (words["typed"], step) == (("done", f"typed in on {TODAY}"), "test-it")
    assert words["tested"] == ("open", "tested")
    library = visitor.session.library
    revision = library.in_force(library.folder_of(DESK.name))
    meant = library.load(revision).map
    note_touch(library, revision, meant, touched(DriverSetting.of(meant), meant))
    words, step = standing(visitor, at)
    assert words["tested"][0] == "done"
    assert words["tested"][1].startswith(f"tested on {TODAY}, accurate to 1.")
    assert step == "feel"
    visitor.post(f"{at}/chapter/felt/note", {"score": "4"})
    assert len(in_library(library)[0]) == 1
    # What is done is asked for no more.
    assert standing(visitor, at)[1] is None


@pytest.mark.parametrize(
    "change",
    [
        {"turn": "180"},
        {"fit": "full"},
        {"hold": "top"},
        {"step": "10mm"},
        {"displays": ["24in 1920x1080"]},
    ],
)
def test_what_must_be_typed_anew_takes_both_marks_away_and_the_way_back_brings_them(
    visitor, kept, change
):
    at, library, revision, meant = kept
    note_typed(library, revision, meant, now=MARCH)
    note_touch(library, revision, meant, touched(DriverSetting.of(meant), meant), now=MARCH)
    changed = visitor.changed(at, change)["address"]
    words, step = standing(visitor, changed)
    assert (words["typed"], words["tested"]) == (("open", "typed in"), ("open", "tested"))
    assert (words["kept"], step) == (("open", f"keep the changes since {TODAY}"), "keep")
    assert "Not tested yet" in visitor.get(changed).text
    words, _ = standing(visitor, at)
    assert words["typed"] == ("done", "typed in on 2 March")


def test_a_changed_seat_or_note_leaves_the_marks_alone(visitor, kept):
    at, library, revision, meant = kept
    note_typed(library, revision, meant)
    changed = visitor.changed(at, {"distance": "80cm", "note": "by the window"})["address"]
    words, step = standing(visitor, changed)
    assert (words["typed"][0], words["kept"][0], step) == ("done", "open", "keep")


def test_a_test_that_found_something_else_is_not_so_until_the_numbers_are_typed_in_again(
    visitor, kept
):
    at, library, revision, meant = kept
    visitor.post(f"{at}/typed", {})
    whole = DriverSetting.of(visitor.session.answer(DESK.with_({"fit": "full"})).solved)
    note_touch(library, revision, meant, touched(whole, meant))
    words, step = standing(visitor, at)
    assert (words["tested"][0], step) == ("wrong", "correct")
    assert "does not use it" in words["tested"][1]
    assert typed_now(proofs_of(library, revision.path.parent)[0]) is None
    visitor.post(f"{at}/typed", {})
    words, step = standing(visitor, at)
    assert (words["typed"][0], words["tested"][0], step) == ("done", "open", "test-it")


def test_typed_in_by_mistake_is_taken_back(visitor, kept):
    at, library, revision, _ = kept
    assert 'data-typed="undo"' not in visitor.get(at).text
    visitor.post(f"{at}/typed", {})
    assert 'data-typed="undo"' in visitor.get(at).text
    assert "not typed in" in visitor.post(f"{at}/typed", {"undo": True}).json["says"]
    assert standing(visitor, at)[1] == "typed-in"
    assert [proof.mark for proof in proofs_of(library, revision.path.parent)[0]] == [
        "typed",
        "untyped",
    ]


def test_what_is_not_kept_or_not_possible_has_no_mark(visitor):
    at = visitor.begin(DESK)
    refused = visitor.post(f"{at}/typed", {})
    assert (refused.status_code, "must be kept first" in refused.text) == (404, True)
    wrong = visitor.changed(at, {"within": "100,0,200x152mm"})["address"]
    words, step = standing(visitor, wrong)
    assert (words["described"], step) == (("open", "described"), None)
    assert visitor.post(f"{wrong}/typed", {}).status_code == 404


def test_the_day_of_a_description_outlives_the_server_and_a_line_that_says_none(visitor):
    at = visitor.changed(visitor.begin(DESK), {"fit": "full"})["address"]
    *_, id_, _ = at.split("/")
    path = visitor.session.drafts.folder / f"{id_}.jsonl"
    again = Visitor(visitor.session.library.root)
    assert standing(again, at[at.index("/desk/") :])[0]["described"][1] == f"described on {TODAY}"
    again.close()
    lines = [json.loads(line) for line in path.read_text().splitlines()]
    for line in lines:
        line.pop("when", None)
    lines[-1] |= {"when": "some day"} if "step" in lines[-1] else {}
    path.write_text("".join(f"{json.dumps(line)}\n" for line in lines))
    other = Visitor(visitor.session.library.root)
    assert standing(other, at[at.index("/desk/") :])[0]["described"] == ("done", "described")
    other.close()


# What the pad takes as today
# ------------------------------------------------------------


def pad(visitor, at):
    html = visitor.get(f"{at}/chapter/strokes").json["html"]
    maps = html.partition("<details")[0]
    names = [unescape(name) for name in re.findall(r"<h3><bdi>(.*?)</bdi></h3>", maps)]
    numbers = json.loads(unescape(html.partition('data-pad="numbers">')[2].partition("<")[0]))
    return names, numbers["setting"]


def test_with_the_numbers_typed_in_today_is_this_setting(visitor, kept):
    at, library, revision, meant = kept
    names, setting = pad(visitor, at)
    assert names == ["Before: default settings", "After: with the numbers above"]
    assert setting == "The setting makes a circle 12.6 % wider than tall."
    note_typed(library, revision, meant, now=MARCH)
    names, setting = pad(visitor, at)
    assert names == [
        "Before: default settings",
        "After: these numbers, typed in on 2 March",
    ]
    # It keeps circles round: there is nothing to say of it.
    assert setting == ""
    # The letter goes on, and the tablet has the old numbers still.
    changed = visitor.changed(at, {"fit": "full"})["address"]
    names, setting = pad(visitor, changed)
    assert names == ["Before: the setting typed in on 2 March", "After: with the numbers above"]
    assert setting == ""
    whole = DriverSetting.of(visitor.session.answer(DESK.with_({"fit": "full"})).solved)
    note_touch(library, revision, meant, touched(whole, meant))
    assert pad(visitor, at)[0][1] == "After: with the numbers above"


def test_a_typed_setting_that_does_what_the_default_does_is_shown_once(visitor):
    at = visitor.begin(DESK.with_({"fit": "full"}))
    visitor.post(f"{at}/keep")
    visitor.post(f"{at}/typed", {})
    names, setting = pad(visitor, at)
    assert names == [f"After: these numbers, typed in on {TODAY}"]
    assert setting == "The setting makes a circle 12.6 % wider than tall."
