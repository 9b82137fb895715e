"""All of the job is on the page: each command, and where a person finds the same there.

A command that is added without its place fails here, and so does a place that is gone.
"""

import json
import re
from html import unescape

import icalendar
import pytest

from profiles.format.document import Workstation
from profiles.library.proofs import note_typed
from profiles.library.trial_book import add, felt_at
from render.cli import COMMANDS
from render.desk.answer import answer
from tests.visitor import DESK, kept

#: Every command: the part of the page that does the same, and words or marks that it has there. The
#: parts: ``start``, ``letter`` (the page of a desk), ``figures``, ``table``, ``note BLANK`` and
#: ``chapter NAME``.
PLACES = {
    "desk": ("letter", "I draw on a tablet of"),
    "pair": ("chapter pairs", "Comfortable"),
    "seat": ("chapter seat", "of your view"),
    "travel": ("chapter pairs", "How far the hand moves, and how precise it is"),
    "advise": ("chapter seat", "What to change, starting with what costs least"),
    "map": ("letter", "In the tablet's settings"),
    "explain": ("figures", "The same in every form"),
    "report": ("letter", "all numbers"),
    "picture": ("letter", "picture.png"),
    "pad": ("chapter strokes", 'data-pad="numbers"'),
    "stencil": ("letter", "print a stencil"),
    "sheet": ("letter", "print a page for the wall"),
    "typed": ("letter", "data-typed"),
    "touch": ("chapter took", "Start the test"),
    "trace": ("chapter took", "Trace it here"),
    "check": ("start", "Check every file that is kept"),
    "displays": ("note displays", "The display that you look at"),
    "tablets": ("note tablet", "The active area: the part of the tablet that feels the pen"),
    "doctor": ("note displays", "Measure it with a bank card"),
    "keep": ("letter", 'id="keep"'),
    "stations": ("start", "corner studio"),
    "history": ("chapter kept", 'class="settings"'),
    "changes": ("chapter kept", "Changed since the newest kept setting"),
    "recall": ("beside", "Open this setting"),
    "pin": ("beside", 'data-do="pin"'),
    "here": ("start", "The desk of this computer"),
    "retire": ("chapter kept", 'data-do="retire"'),
    "table": ("start", "All desks in one table"),
    "export": ("start", "Save all my desks as one file"),
    "import": ("start", "Import a file of desks"),
    "audit": ("start", "Check every file that is kept"),
    "felt": ("chapter felt", "How did it feel?"),
    "book": ("chapter felt", "All notes by month"),
    "band": ("chapter felt", "a band of your own"),
    "plan-trials": ("chapter plan", "Make the plan"),
    "study": ("chapter study", "Save it as a page"),
}


@pytest.fixture
def worked(visitor):
    """Somebody with two desks, a note, and a letter that was changed since; and its address."""
    root = visitor.session.library.root
    said = DESK.with_({"distance": "40cm"})
    revision = kept(root, said)
    note_typed(visitor.session.library, revision, answer(said).solved)
    kept(root, DESK.with_({"name": "corner studio", "displays": ["24in 1920x1080"]}))
    workstation = Workstation(said.name, answer(said).solved)
    add(
        visitor.session.library,
        felt_at(workstation, date="2026-11-20", doing="drawing", score=4),
    )
    draft = visitor.session.open("window desk")
    at = visitor.session.address_of(draft)
    return visitor, visitor.changed(at, {"distance": "45cm"})["address"]


def part_of(visitor, at, part):
    """The HTML of a part of the page."""
    kind, _, name = part.partition(" ")
    if kind == "note":
        return visitor.post(f"{at}/note/{name}").json["html"]
    if kind == "chapter":
        return visitor.get(f"{at}/chapter/{name}").json["html"]
    if kind == "beside":
        # A click on a kept setting.
        return visitor.post(f"{at}/chapter/kept/beside", {"revision": "1"}).json["html"]
    path = {"start": "/", "table": "/table", "letter": at, "figures": f"{at}/figures"}[kind]
    return visitor.get(path).text


def test_every_command_has_its_place_on_the_page(worked):
    visitor, at = worked
    assert list(PLACES) == list(COMMANDS), "say where on the page a new command is to be found"
    parts = {part: part_of(visitor, at, part) for part, _ in PLACES.values()}
    missing = [name for name, (part, words) in PLACES.items() if words not in unescape(parts[part])]
    assert missing == []


def test_a_plan_is_made_kept_and_saved_as_a_calendar(worked):
    """Oracle: icalendar (PyPI). By hand: two pairings of two days, without a weekend."""
    visitor, at = worked
    wish = {
        "tablets": "small: 146x96mm\nmedium: 240x152mm",
        "displays": "27in 2560x1440",
        "days_each": "2",
        "start": "2026-12-04",
        "weekends_off": "yes",
    }
    assert visitor.get(f"{at}/plan.ics").status_code == 404
    reply = visitor.post(f"{at}/chapter/plan/make", wish)
    assert reply.status_code == 200, reply.text
    days = re.findall(r"2026-12-\d\d(?=</(?:th|bdi))", reply.json["html"])
    assert days == ["2026-12-04", "2026-12-07", "2026-12-08", "2026-12-09"]
    # The year is named where it is not this one.
    assert re.search("from 4 December(?: 2026)? to 9 December", visitor.get(at).text)
    file = visitor.get(f"{at}/plan.ics")
    assert file.mimetype == "text/calendar"
    events = icalendar.Calendar.from_ical(file.data).walk("VEVENT")
    starts = [event["DTSTART"].dt.isoformat() for event in events]
    assert starts == ["2026-12-04", "2026-12-07", "2026-12-08"]
    assert "27 in" in str(events[0]["SUMMARY"])
    visitor.post(f"{at}/chapter/plan/away")
    assert visitor.get(f"{at}/plan.ics").status_code == 404


def test_a_plan_begins_with_what_the_desks_have(worked):
    visitor, at = worked
    html = visitor.get(f"{at}/chapter/plan").json["html"]
    tablets, displays = re.findall(r"<textarea[^>]*>([^<]*)</textarea>", html)[:2]
    assert tablets.splitlines()[0] == "240x152mm"
    assert displays.splitlines()[:2] == ["27in 2560x1440", "24in 1920x1080"]
    alone = visitor.begin(DESK.with_({"name": "", "displays": ["2560x1440"]}))
    assert visitor.get(f"{alone}/chapter/plan").status_code == 200


@pytest.mark.parametrize(
    ("wish", "words"),
    [
        ({"tablets": "my tablet"}, "Tablets, line 1"),
        ({"most": "0"}, "Largest number of pairs: must be from 1"),
        ({"days_each": "many"}, "Days in a row for each pair: must be a number"),
        ({"start": "soon"}, "First day: must be a day"),
        ({"off": "2026-03-09..2026-03-01"}, "Days off: must go from the earlier day"),
        ({"only": "moon: 2026-03-01..2026-03-31"}, "When something is available: must name one of"),
        ({"displays": "65in 3840x2160", "tablets": "146x96mm"}, "rules out every pair"),
    ],
)
def test_what_cannot_be_planned_is_told_under_its_line(worked, wish, words):
    visitor, at = worked
    reply = visitor.post(f"{at}/chapter/plan/make", wish)
    assert reply.status_code == 422
    told = " ".join(reply.json["wrong"])
    assert words in told
    assert "--" not in told
    assert visitor.get(f"{at}/plan.ics").status_code == 404


def test_the_stencil_is_printed_at_true_size_and_its_shapes_can_be_traced(worked):
    visitor, at = worked
    html = visitor.post(f"{at}/stencil", {"paper": "a4"}).json["print"]
    assert 'class="crosses a4-wide"' in html
    assert 'viewBox="0 0 297 210"' in html
    left = visitor.post(f"{at}/stencil", {"paper": "letter", "hand": "left"}).json["print"]
    assert "letter-tall" in left
    assert visitor.post(f"{at}/stencil", {"paper": "a0"}).status_code == 422
    assert visitor.post(f"{at}/stencil", {"paper": "a4", "hand": "third"}).status_code == 422
    shapes = re.findall(
        r'<option value="((?:circle|square) [^"]+)">', part_of(*worked, "chapter took")
    )
    assert len(shapes) == 4
    sent = {"thing": shapes[0], "strokes": [[[0, 0], [1, 1]]]}
    told = visitor.post(f"{at}/chapter/took/trace", sent).json["wrong"]
    assert shapes[0] not in " ".join(told), "its name is known"


def test_the_library_is_checked_and_what_is_damaged_is_named(worked):
    visitor, _ = worked
    good = visitor.post("/check").json
    assert good["says"] == "Nothing is damaged. Files read: 2 settings and 2 notes."
    assert good["lines"] == []
    file = next(visitor.session.library.root.rglob("0001-*.yaml"))
    file.chmod(0o644)
    file.write_bytes(file.read_bytes()[:-20])
    bad = visitor.post("/check").json
    assert "1 file is damaged" in bad["says"]
    assert bad["lines"][0].startswith(f"{file.name}: damaged")


def test_nothing_is_there_to_check_before_anything_is_kept(visitor):
    assert "nothing to check" in visitor.post("/check").json["says"]
    assert "Check every file" not in visitor.get("/").text


def test_another_desks_feel_is_a_way_to_ask_for_a_scale_factor(worked):
    """By hand: 24 in of 1920 px are 531.3 mm on 240 mm of tablet, 2.21 times as large."""
    visitor, at = worked
    html = unescape(part_of(visitor, at, "note scale"))
    change = re.search(r'data-change="(\{"[^<]*?corner studio[^<]*?\})">', html)[1]
    assert "As large as at the desk “<bdi>corner studio</bdi>”" in html
    said = visitor.changed(at, json.loads(change))
    assert said["possible"]
    assert "Strokes come out" in said["parts"]["letter"]
    assert "2.21 times as large" in said["say"]
    assert "window desk" not in html.partition("As large as at")[2], "not at itself"


def test_the_desk_of_this_computer_is_chosen_on_the_page(worked, tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))
    visitor, _ = worked
    assert "<option selected>" not in visitor.get("/").text
    said = visitor.post("/this-computer", {"desk": "corner studio"}).json["says"]
    assert said == "corner studio is this computer's desk."
    assert "<option selected>corner studio" in visitor.get("/").text
    assert visitor.post("/this-computer", {"desk": "moon"}).status_code == 404
    visitor.post("/this-computer", {"desk": ""})
    assert "<option selected>" not in visitor.get("/").text


def test_all_desks_stand_in_one_table_with_what_to_type(worked):
    visitor, _ = worked
    rows = re.findall(r"<tr>(.*?)</tr>", visitor.get("/table").text)
    cells = [re.findall(r"<t[hd][^>]*>(?:<bdi>)?([^<]*)", row) for row in rows]
    assert cells[0][:5] == ["desk", "left mm", "top mm", "width mm", "height mm"]
    assert [row[0] for row in cells[1:]] == ["corner studio", "window desk"]
    assert cells[2][1:5] == ["0.000", "8.500", "240.000", "135.000"]


def test_the_book_by_month_has_each_day_with_its_desk_and_score(worked):
    visitor, at = worked
    html = part_of(visitor, at, "chapter felt")
    month = re.search(r"<table class=\"month\">.*?</table>", html, re.DOTALL)[0]
    assert "November 2026" in month
    # 20 November 2026 is a Friday: the fifth cell of its week.
    week = next(row for row in re.findall(r"<tr>(.*?)</tr>", month, re.DOTALL) if "20 <b>" in row)
    assert "20 <b>A4</b>" in re.findall(r"<td[^>]*>.*?</td>", week)[4]
    assert "A: <bdi>window desk</bdi>" in html
