"""Each state of the page with its texts, asked as a browser asks, without a browser."""

from __future__ import annotations

import json
from dataclasses import replace
from random import Random
from typing import TYPE_CHECKING, Any
from unittest.mock import patch

import numpy as np

from mapper.problems import AnswerIsNo, Problem
from mapper.touching.setting import DriverSetting
from mapper.touching.sheets import grid_sheet, sheet_of
from mapper.touching.verdict import judge
from profiles.hardware import desktop
from profiles.hardware.desktop import Monitor
from profiles.library.proofs import note_touch, note_typed
from profiles.library.revisions import Library
from render.desk.answer import answer
from render.desk.bodies import Wish
from render.desk.described import Description
from render.desk.place import OneFile, who_reads_traces
from render.desk.script_texts import one_file_texts
from render.sentences.say import template_said
from tests.fake_system import DEMO_EDID, connect, demo_descriptor, plug_hidraw
from tests.texts.extract import html_lines, json_lines, one_line
from tests.touched import EIGHTEEN, Hand
from tests.visitor import Visitor, kept, traced

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

State = tuple[str, list[str]]

#: A page that fills a screen of 2560 x 1440.
FRAME = {"ratio": 1.0, "inner": [2560, 1440], "screen": [2560, 1440], "full": True}

DEMO = Description(
    name="window desk",
    tablet="240x152mm@150/mm",
    displays=("27in 2560x1440",),
    distance="70cm",
)
RIGHT = ["main: 27in 2560x1440 at 0,0", "side: 24in 1920x1080 at 2560,0"]
ABOVE = ["main: 27in 2560x1440 at 0,0", "wall: 24in 1080x1920 at 0,-1920"]
THREE = ["left: 24in 1920x1080 at -1920,0", *RIGHT]
FOUR = ["below: 14in 1920x1200 at 0,1440", *THREE]

#: What is said of the demo desk beside its tablet and display, by what the state shows.
SAID: dict[str, dict[str, Any]] = {
    "whole tablet on whole display": {"fit": "full"},
    "part of the display": {"fit": "cropped"},
    "turned by 90": {"turn": "90"},
    "turned by 180": {"turn": "180"},
    "turned by 270": {"turn": "270"},
    "askew to the right": {"slant": "10"},
    "turned, and askew to the left": {"turn": "90", "slant": "-5"},
    "askew, the area not turned back": {"slant": "12", "area": "0,8.5,240x135mm"},
    "display of unknown size": {"displays": ["2560x1440"]},
    "a named display": {"displays": ["wall: 27in 2560x1440"]},
    "two displays, one reached": {"displays": RIGHT},
    "two displays, both reached": {"displays": RIGHT, "onto": "all"},
    "two displays, true on the second": {"displays": RIGHT, "onto": "all", "true_on": "side"},
    "an upright display above": {"displays": ABOVE, "onto": "wall"},
    "three displays, two reached": {"displays": THREE, "onto": "main+left"},
    "four displays, all reached": {"displays": FOUR, "onto": "all"},
    "a window": {"window": "320,180,1920x1080px"},
    "a window of one of two displays": {"displays": RIGHT, "window": "2560,0,960x1080px"},
    "how the display stands": {"drop": "-3cm", "tilt": "5", "curve": "1800mm"},
    "a part of the tablet": {"within": "20,20,200x112.5mm"},
    "the area that is set now": {"area": "10,5,200x142mm"},
    "a wanted scale factor": {"scale": "3"},
    "the feel of another desk": {"feel": {"scale_x": 2.6, "scale_y": 2.6, "of": "travel bag"}},
    "the feel of another desk, stretched": {
        "fit": "full",
        "feel": {"scale_x": 2.6, "scale_y": 2.4},
    },
    "steps of 0.5 mm": {"step": "0.5mm"},
    "steps of 10 mm, a circle not quite round": {"step": "10mm", "shape_tolerance": "2%"},
    "steps of one count": {"step": "1count"},
    **{
        f"what is used stays {hold}": {"hold": hold, "scale": "3"}
        for hold in ("left right top bottom top-left top-right bottom-left bottom-right".split())
    },
    "two corners": {"entry": "corners mm"},
    "two corners from the bottom left": {"entry": "corners mm from bottom-left"},
    "middle and size, from the bottom left": {"entry": "centre mm from bottom-left"},
    "inches": {"entry": "size in"},
    "percent, with a comma": {"entry": "size % comma"},
    "counts": {"entry": "size counts"},
}

#: What cannot be, by what is wrong with it.
WRONG: dict[str, dict[str, Any]] = {
    "tablet that is no size": {"tablet": "my tablet"},
    "tablet without a unit": {"tablet": "240x152"},
    "display that is no size": {"displays": ["27in"]},
    "two displays on one place": {"displays": ["a: 2560x1440 at 0,0", "b: 2560x1440 at 9,9"]},
    "distance without a unit": {"distance": "70"},
    "slant out of bounds": {"slant": "50"},
    "tilt out of bounds": {"drop": "0mm", "tilt": "100"},
    "window outside": {"window": "3000,0,800x600px"},
    "display that is not there": {"onto": "side"},
    "part outside the tablet": {"within": "100,0,200x152mm"},
    "scale factor too small": {"scale": "1"},
    "scale factor too large for part of the display": {"fit": "cropped", "scale": "9"},
    "scale factor with shapes that may stretch": {"fit": "full", "scale": "3"},
    "step that is too coarse": {"step": "300mm"},
    "counts of a tablet that does not tell them": {"tablet": "240x152mm", "entry": "size counts"},
    "sizes that can hardly be meant": {"tablet": "24x15mm"},
    "seat that can hardly be meant": {"distance": "7cm"},
}

CHAPTERS = ("strokes", "took", "seat", "pairs", "plan", "felt", "kept", "study")
NOTES = "name tablet lying displays seat stand reach fit part scale hold true step entry".split()
TWO_MONITORS = (
    Monitor("DP-1", 0, 0, 2560, 1440, 597, 336, 1.0, primary=True),
    Monitor("DP-9", -1200, -240, 1200, 1920, 324, 518, 1.0, primary=False),
)


class Page:
    """A visitor whose answers come as lines."""

    def __init__(self, folder: Path) -> None:
        self.visitor = Visitor(folder)
        self.session = self.visitor.session

    def lines(self, path: str) -> list[str]:
        """A page."""
        reply = self.visitor.get(path)
        if reply.mimetype == "text/html":
            return html_lines(reply.text)
        return _of_json(reply.json) if reply.is_json else [one_line(reply.text)]

    def does(self, path: str, data: Any = None, **more: Any) -> list[str]:
        """What a button of the page gets."""
        reply = self.visitor.post(path, data, **more)
        return _of_json(reply.json) if reply.is_json else [one_line(reply.text)]

    def says(self, change: dict[str, Any], said: Description = DEMO) -> tuple[str, list[str]]:
        """The address after a change of a new desk, and what the page then shows."""
        at = self.visitor.begin(said)
        reply = self.visitor.changed(at, change)
        return reply["address"], _of_json(reply)


def _of_json(data: dict[str, Any]) -> list[str]:
    """The texts of an answer: HTML as lines, words as they are."""
    lines: list[str] = []
    parts = data.get("parts", {})
    for name in ("top", "notices", "letter", "picture", "answer", "chapters"):
        lines += html_lines(parts.get(name, ""))
    lines += html_lines(data.get("html", ""))
    for name in ("title", "say", "says", "wrong", "read"):
        lines += json_lines(data.get(name, ""))
    return lines


def _no_screen() -> tuple[Monitor, ...]:
    raise AnswerIsNo(Problem("@desktop", "there is no display here to ask"))


def states(folder: Path) -> Iterator[State]:
    """Every state of the page, in the order in which somebody meets them."""
    with patch.object(desktop, "monitors", _no_screen):
        page = Page(folder / "library")
        try:
            yield from _first_minute(page)
            yield from _letters(page)
            yield from _notes(page)
            yield from _chapters(page)
            yield from _kept(page)
            yield from _touched(page)
            yield from _traces(page)
            yield from _measured(page)
            yield from _pad(page)
            yield from _refused(page)
        finally:
            page.visitor.close()
        yield from _desks(folder / "desks")
        yield from _on_this_computer(folder)
        yield from _damaged(folder / "damaged")
    no_answer = template_said(OneFile().no_answer)
    said = [*one_file_texts().values(), no_answer, who_reads_traces()]
    yield "the page that runs from one file", said


def _first_minute(page: Page) -> Iterator[State]:
    yield "start, for the first time", page.lines("/")
    sent = page.visitor.send(page.visitor.at("/bring"), b"PK", "application/zip")
    yield "start, bringing in what is no file of desks", _of_json(sent.json)
    new = page.visitor.post("/new", {"display": "2560x1440"}).json["address"]
    yield "new desk on a screen that the browser knows", page.lines(new)
    yield "is it this display", page.does(f"{new}/note/displays")
    new = page.visitor.post("/new", {}).json["address"]
    yield "new desk of which nothing is known", page.lines(new)
    yield "its tablet", page.does(f"{new}/note/tablet")
    yield "its displays", page.does(f"{new}/note/displays")
    yield "the tablet alone is said", page.says({"tablet": "240x152mm"}, Description())[1]
    yield "the display alone is said", page.says({"displays": ["27in 2560x1440"]}, Description())[1]
    at = page.visitor.begin()
    yield "the whole page", page.lines(at)
    yield "a desk without a name", page.lines(page.visitor.begin(DEMO.with_({"name": ""})))


def _letters(page: Page) -> Iterator[State]:
    for title, change in SAID.items():
        yield title, page.says(change)[1]
    for title, change in WRONG.items():
        at, lines = page.says(change)
        yield f"wrong: {title}", lines
        blanks = {each["blank"] for each in page.visitor.changed(at, change)["wrong"]}
        for blank in sorted(blanks):
            yield f"wrong: {title}, its note", page.does(f"{at}/note/{blank}")
    at = page.says({"turn": "90"})[0]
    yield "undo and redo", page.lines(page.says({"turn": "90"}, DEMO)[0])
    yield "redo", page.lines(f"{at.rpartition('/')[0]}/0")


def _notes(page: Page) -> Iterator[State]:
    at = page.visitor.begin(DEMO)
    for blank in NOTES:
        yield f"note: {blank}", page.does(f"{at}/note/{blank}")
    two = page.says({"displays": THREE, "onto": "all"})[0]
    for blank in ("displays", "reach", "true"):
        yield f"note: {blank}, of three displays", page.does(f"{two}/note/{blank}")
    part = page.says({"within": "20,20,200x112.5mm"})[0]
    yield "note: a part that is not in the middle", page.does(f"{part}/note/part")
    yield "all numbers", page.lines(f"{at}/figures")
    turned = page.says({"turn": "90", "displays": RIGHT, "onto": "all", "step": "0.5mm"})[0]
    yield "all numbers of a turned tablet and two displays", page.lines(f"{turned}/figures")
    yield "the sheet for the wall", page.does(f"{at}/sheet", {"paper": "a4"})


def _chapters(page: Page) -> Iterator[State]:
    at = page.visitor.begin(DEMO)
    for name in CHAPTERS:
        yield f"chapter: {name}", page.lines(f"{at}/chapter/{name}")
    full = page.says({"fit": "full", "slant": "10", "distance": "35cm"})[0]
    for name in ("strokes", "seat", "pairs"):
        yield f"chapter: {name}, stretched, askew and near", page.lines(f"{full}/chapter/{name}")
    far = page.says({"tablet": "480x300mm", "distance": "150cm"})[0]
    for name in ("seat", "pairs"):
        yield f"chapter: {name}, a large tablet and far", page.lines(f"{far}/chapter/{name}")
    small = page.says({"tablet": "100x63mm", "displays": ["43in 3840x2160"]})[0]
    for name in ("seat", "pairs"):
        yield f"chapter: {name}, a small tablet", page.lines(f"{small}/chapter/{name}")
    unknown = page.says({"displays": ["2560x1440"], "distance": ""})[0]
    for name in ("seat", "pairs"):
        yield f"chapter: {name}, nothing known", page.lines(f"{unknown}/chapter/{name}")
    drawing = (
        b'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><path d="M1 1h5"/></svg>'
    )
    sent = page.visitor.send(f"{at}/chapter/strokes/drop", drawing, "image/svg+xml")
    yield "chapter: strokes, with a drawing", _of_json(sent.json)
    sent = page.visitor.send(f"{at}/chapter/strokes/drop", b"MZ", "application/x-dosexec")
    yield "chapter: strokes, what is no drawing", _of_json(sent.json)
    note = {"score": "4", "doing": "drawing", "date": "2026-02-27", "minutes": "90"}
    yield "chapter: felt, a first note", page.does(f"{at}/chapter/felt/note", note)
    yield "chapter: felt, the same again", page.does(f"{at}/chapter/felt/note", note)
    page.does(f"{at}/chapter/felt/note", {"score": "2", "date": "2026-02-28", "note": "dry ink"})
    edited = page.visitor.get(f"{at}/chapter/felt").json["html"]
    name = {"name": edited.partition('id="edit-')[2].partition('"')[0]}
    for verb in ("edit", "delete", "bring-back"):
        yield f"chapter: felt, {verb}", page.does(f"{at}/chapter/felt/{verb}", name)
    yield "chapter: felt, no such note", page.does(f"{at}/chapter/felt/edit", {"name": "0" * 16})
    for wrong in ({"score": "6"}, {"score": "4", "minutes": "x"}, {"score": "4", "date": "May"}):
        yield "chapter: felt, what cannot be noted", page.does(f"{at}/chapter/felt/note", wrong)
    noted = page.visitor.begin(DEMO)
    yield "the page with notes", page.lines(noted)
    yield "chapter: study, two days", page.lines(f"{noted}/chapter/study")
    yield from _planned(page, noted)
    nameless = page.visitor.begin(DEMO.with_({"name": ""}))
    yield "chapter: felt, a desk without a name", page.lines(f"{nameless}/chapter/felt")
    yield "chapter: felt, noted without a name", page.does(f"{nameless}/chapter/felt/note", note)


def _planned(page: Page, at: str) -> Iterator[State]:
    """A plan of trials, and what cannot be planned."""
    things = {
        "tablets": "small: 146x96mm\nmedium: 240x152mm",
        "displays": "24in 1920x1080\n65in 3840x2160",
        "days_each": "2",
        "start": "2026-03-13",
    }
    make = f"{at}/chapter/plan/make"
    yield "chapter: plan, two pairings", page.does(make, things | {"weekends_off": "yes"})
    yield "the page with a plan", page.lines(at)
    borrowed = {"only": "small: 2020-03-01..2020-03-31", "blocks": "2"}
    yield "chapter: plan, no days left for a pairing", page.does(make, things | borrowed)
    yield "chapter: plan, what my notes hold", page.does(make, things | {"resume": "yes"})
    for wrong in (
        {"tablets": "my tablet"},
        {"most": "0"},
        {"start": "soon"},
        {"off": "2026-03-09..2026-03-01"},
        {"stay": "moon: 3"},
    ):
        yield "chapter: plan, what cannot be planned", page.does(make, things | wrong)
    yield "chapter: plan, thrown away", page.does(f"{at}/chapter/plan/away")
    yield "the stencil in print", page.does(f"{at}/stencil", {"paper": "a4"})


def _kept(page: Page) -> Iterator[State]:
    nameless = page.visitor.begin(DEMO.with_({"name": ""}))
    yield "keeping a desk without a name", page.does(f"{nameless}/keep")
    at = page.visitor.begin(DEMO)
    yield "keeping", page.does(f"{at}/keep")
    yield "keeping the same again", page.does(f"{at}/keep")
    yield "a kept desk", page.lines(at)
    yield "chapter: kept, one setting", page.lines(f"{at}/chapter/kept")
    yield "typed in", page.does(f"{at}/typed")
    yield "typed in twice", page.does(f"{at}/typed")
    yield "the page with its numbers typed in", page.lines(at)
    yield "chapter: strokes, typed in", page.lines(f"{at}/chapter/strokes")
    other = page.visitor.changed(at, {"fit": "full"})["address"]
    yield "chapter: strokes, another setting typed in", page.lines(f"{other}/chapter/strokes")
    yield "typed in, but not kept", page.does(f"{other}/typed")
    yield "typed in, taken back", page.does(f"{at}/typed", {"undo": True})
    noted(page.session.library)
    yield "a kept desk that was typed in and tested", page.lines(at)
    yield "chapter: kept, typed in and tested", page.lines(f"{at}/chapter/kept")
    second = page.visitor.changed(at, {"fit": "full"})["address"]
    yield "changed since it was kept", page.lines(second)
    found_otherwise(page.session.library)
    yield "a kept desk that was tested and is not so", page.lines(at)
    yield "chapter: kept, changed since", page.lines(f"{second}/chapter/kept")
    page.does(f"{second}/keep")
    page.lines(second)
    yield "another window", page.does(f"{at}/answer", {})
    yield "chapter: kept, two settings", page.lines(f"{second}/chapter/kept")
    beside = page.does(f"{second}/chapter/kept/beside", {"revision": "1"})
    yield "chapter: kept, one beside the letter", beside
    bag = page.visitor.begin(DEMO.with_({"name": "bag desk"}))
    page.does(f"{bag}/keep")
    renamed = page.visitor.changed(bag, {"name": "attic desk"})["address"]
    yield "another name for a kept desk", page.does(f"{renamed}/note/name")
    copy = page.does(f"{renamed}/keep")
    yield "keeping under another name", copy
    for verb, data in (
        ("back", {"revision": "1"}),
        ("pin", {"revision": "1"}),
        ("undo", {}),
        ("retire", {"revision": "2"}),
        ("retire", {"revision": "2"}),
        ("undo", {}),
        ("retire", {}),
        ("undo", {}),
        ("undo", {}),
        ("retire", {"revision": "1"}),
        ("retire", {"revision": "2"}),
    ):
        yield f"chapter: kept, {verb}", page.does(f"{second}/chapter/kept/{verb}", data)
    for number in range(3, 9):
        page.does(f"{second}/chapter/kept/retire", {"revision": str(number)})
    yield "all settings put away", page.lines(second)
    yield "chapter: kept, all put away", page.lines(f"{second}/chapter/kept")
    listed = [line for line in page.lines("/") if "put away" in line or "bring" in line.lower()]
    yield "the page of all desks, one put away", listed
    yield (
        "brought back",
        page.does(f"/station/{page.session.library.folder_of(DEMO.name).name}/back"),
    )
    kept(page.session.library.root, DEMO.with_({"turn": "180"}))
    yield "kept elsewhere meanwhile", page.lines(second)
    yield "keeping what was kept elsewhere meanwhile", page.does(f"{second}/keep")


def found_otherwise(library: Library) -> None:
    """The demo desk, tested while the tablet was set to its whole area."""
    revision = library.in_force(library.folder_of(DEMO.name))
    meant = library.load(revision).map
    whole = replace(DriverSetting.of(meant), area_built_mm=meant.request.tablet.active_built_mm)
    touches = Hand(0.3).touch(whole, Random(4), EIGHTEEN)
    note_touch(library, revision, meant, judge(touches, meant))


def noted(library: Library) -> None:
    """The demo desk, typed in and tested with touched crosses."""
    folder = library.folder_of(DEMO.name)
    revision = library.in_force(folder)
    meant = library.load(revision).map
    note_typed(library, revision, meant)
    touches = Hand(0.3).touch(DriverSetting.of(meant), Random(4), EIGHTEEN)
    note_touch(library, revision, meant, judge(touches, meant))


def _touched(page: Page) -> Iterator[State]:
    """The chapter of tests with each kind of verdict, and what refuses a page."""
    at = page.visitor.begin(DEMO)
    meant = answer(DEMO).solved
    right = DriverSetting.of(meant)
    whole = replace(right, area_built_mm=meant.request.tablet.active_built_mm)
    sheet = sheet_of("printed", meant)
    turned = replace(right, turn_deg=180)

    def asks(verb: str, setting: DriverSetting = right, **more: Any) -> list[str]:
        touches = Hand(0.3).touch(setting, Random(4), list(sheet.built_mm))
        places = [[each.x_px - 0.5, each.y_px - 0.5] * 2 for each in touches]
        body = {"touches": places, "frame": FRAME, **more}
        return page.does(f"{at}/chapter/took/{verb}", body)

    yield "touched: as set, called a mouse", asks("touched", mouse=True)
    yield "touched: nine more", asks("touched", more=True)
    yield "touched: the page afterwards", page.lines(at)
    yield "touched: the whole tablet", asks("touched", whole)
    yield "touched: half a turn, or the sheet", asks("touched", turned)
    corner = [[2559.0, 1439.0, 2559.0, 1439.0]]
    yield "touched: and its corner", asks("corner", touches=corner)
    yield "touched: a sheet anywhere", asks("touched", sheet="squared", anywhere=True)
    yield "touched: the page afterwards, not told", page.lines(at)
    yield (
        "squared paper",
        page.does(f"{at}/chapter/took/begin", {"sheet": "squared", "frame": FRAME}),
    )
    for title, frame in (
        ("on another display", {"screen": [1920, 1080], "inner": [1920, 1080]}),
        ("zoomed", {"full": False, "zoomed": True}),
        ("pinched", {"pinched": True}),
    ):
        yield f"touching a page that is {title}", asks("begin", frame=FRAME | frame)
    for title, more in (
        ("no number", {"dots": [["1", "x"]]}),
        ("outside", {"dots": [[20, 20], [300, 20], [20, 90], [90, 90]]}),
        ("too few", {"dots": [[20, 20]]}),
    ):
        yield f"dots of my own: {title}", asks("begin", sheet="dots", **more)
    paper = {"across": "180", "down": "100", "frame": FRAME}
    touches = Hand(0.3).touch(whole, Random(4), list(grid_sheet(180, 100).built_mm))
    places = [[each.x_px - 0.5, each.y_px - 0.5] * 2 for each in touches]
    measured = f"{at}/chapter/measure/touches"
    yield "the tablet by squared paper", page.does(measured, paper | {"touches": places})
    yield "squared paper that is too small", page.does(measured, paper | {"down": "9"})
    yield "the crosses in print", page.does(f"{at}/chapter/took/crosses", {"paper": "a4"})


def _traces(page: Page) -> Iterator[State]:
    at = page.visitor.begin(DEMO)
    wide = page.says({"displays": RIGHT, "onto": "all"})[0]
    for title, address, strokes in (
        ("as set", at, _traced(240, 135)),
        ("whole tablet on the whole display", at, _traced(240, 152)),
        ("an area of half the size", at, _traced(120, 67.5)),
        ("one side too short", at, _traced(200, 135)),
        ("a quarter turn", at, _traced(135, 240)),
        ("askew", at, _leaning(_traced(240, 135), 12)),
        ("one of two displays", wide, _traced(240, 135)),
    ):
        body = {"thing": "card", "strokes": [strokes]}
        yield f"traced: {title}", page.does(f"{address}/chapter/took/trace", body)
    yield "traced: the page afterwards", page.lines(wide)
    changed = page.visitor.changed(at, {"turn": "180"})["address"]
    yield "traced: before the description changed", page.lines(f"{changed}/chapter/took")
    yield "traced: the page after the description changed", page.lines(changed)
    rows = [[[x, y, 0.5] for x, y in _traced(120, 67.5)]]
    picture = json.dumps({"evenstroke_strokes": 1, "frame": "desktop_px", "strokes": rows})
    sent = page.visitor.send(
        f"{at}/chapter/took/picture-card", picture.encode(), "application/json"
    )
    yield "traced: in a picture", _of_json(sent.json)
    yield "traced: read again", page.does(f"{at}/chapter/took/again", {"zoom": 50.0})
    for wrong in (
        {"thing": "spoon", "strokes": [_traced(240, 135)]},
        {"thing": "card", "strokes": "x"},
        {"thing": "card", "strokes": [[[0, 0], [1, 1]]]},
    ):
        yield "traced: what is no trace", page.does(f"{at}/chapter/took/trace", wrong)


def _traced(width_mm: float, height_mm: float, **more: Any) -> list[list[float]]:
    """Few points, which are quickly fitted."""
    return traced(width_mm, height_mm, count=60, **more)


def _leaning(points: list[list[float]], by_deg: float) -> Any:
    turn = np.radians(by_deg)
    matrix = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    middle = np.array([1280, 720])
    return ((np.array(points) - middle) @ matrix + middle).tolist()


def _measured(page: Page) -> Iterator[State]:
    at = page.visitor.begin(DEMO.with_({"tablet": "", "displays": ["2560x1440"]}))
    for verb in ("display", "tablet"):
        yield f"measuring a {verb}", page.does(f"{at}/chapter/measure/{verb}")
    body = {"thing": "card", "screen": [2560, 1440]}
    for title, pulls in (
        ("pulled once", [[366.6, 231.2]]),
        ("pulled twice", [[366.6, 231.2], [367.6, 230.2]]),
        ("pulls that differ", [[366.6, 231.2], [376.6, 236.2]]),
        ("a pull of nothing", [[1, 1]]),
    ):
        found = page.does(f"{at}/chapter/measure/pulls", {**body, "pulls": pulls})
        yield f"a display measured: {title}", found
    twins = ["left: 2560x1440 at 0,0", "right: 2560x1440 at 2560,0"]
    for title, displays in (("two displays alike", twins), ("another display", RIGHT[1:])):
        other = page.visitor.begin(DEMO.with_({"displays": displays}))
        pulls = {**body, "pulls": [[366.6, 231.2], [367.6, 230.2]]}
        yield f"a display measured: {title}", page.does(f"{other}/chapter/measure/pulls", pulls)
    lying, upright = _traced(240, 152, off_mm=0.6), _traced(240, 152, off_mm=0.6, upright=True)
    for title, traces in (
        ("lying", [[lying]]),
        ("both ways", [[lying], [upright]]),
        ("nothing", []),
    ):
        found = page.does(f"{at}/chapter/measure/traces", {**body, "traces": traces})
        yield f"a tablet measured: {title}", found


def _pad(page: Page) -> Iterator[State]:
    folder = str(page.session.library.root.parent)
    pad = f"/pad/{page.session.open_pad(Wish(pad=[DEMO.name], now='full', folder=folder))}"
    yield "the pad by itself", page.lines(pad)
    for kind in ("application/json", "text/plain"):
        sent = page.visitor.send(f"{pad}/strokes", b"{}", kind)
        yield f"strokes as {kind}", [one_line(sent.text)]


def _refused(page: Page) -> Iterator[State]:
    at = page.visitor.begin(DEMO)
    yield "nothing here", page.lines("/desk/n-000000000000/0")
    yield "nothing under this address", [one_line(page.visitor.client.get("/x").text)]
    yield "no cookie", [one_line(page.visitor.get("/", Cookie="").text)]
    yield "an address that was used", page.lines("/in/used")
    yield "another host", [one_line(page.visitor.get(at, Host="evil.example").text)]
    other = page.visitor.post(f"{at}/answer", {}, Origin="http://evil.example")
    yield "another page", [one_line(other.text)]
    for wrong in (
        [],
        {"change": {"colour": "red"}},
        {"pull": {"what": "moon", "y": 1}},
        {"room": ["wide"]},
    ):
        yield "what no page asks", page.does(f"{at}/answer", wrong)


def _desks(folder: Path) -> Iterator[State]:
    """Where somebody has desks already, one of them not kept."""
    kept(folder / "library", DEMO)
    page = Page(folder / "library")
    page.says({"turn": "90"}, DEMO.with_({"name": "travel bag"}))
    yield "start, with desks", page.lines("/")
    draft = page.session.open_station(page.session.library.folder_of(DEMO.name))
    page.visitor.changed(page.session.address_of(draft), {"fit": "full"})
    yield "start, with a desk that was changed", page.lines("/")
    kept(folder / "library", DEMO.with_({"name": "corner studio", "distance": "40cm"}))
    yield "start, with two desks that are kept", page.lines("/")
    yield "all desks in one table", page.lines("/table")
    yield "every file is checked", page.does("/check")
    with patch.dict("os.environ", XDG_CONFIG_HOME=str(folder / "settings")):
        yield "this computer's desk", page.does("/this-computer", {"desk": "corner studio"})
        yield "no desk of this computer", page.does("/this-computer", {"desk": ""})
    again = page.session.address_of(page.session.open("window desk"))
    yield "note: scale, with another desk", page.does(f"{again}/note/scale")
    near = page.session.address_of(page.session.open("corner studio"))
    yield "chapter: seat, too near", page.lines(f"{near}/chapter/seat")
    file = next((folder / "library").rglob("0001-*.yaml"))
    file.chmod(0o644)
    file.write_bytes(file.read_bytes()[:-20])
    yield (
        "a file is damaged",
        [line for line in page.does("/check") if not line.startswith("0001-")],
    )
    page.visitor.close()


def _on_this_computer(folder: Path) -> Iterator[State]:
    """Where the hardware speaks for itself."""
    root = folder / "system"
    connect(root, "card0-DP-1", DEMO_EDID)
    plug_hidraw(root, "hidraw0", demo_descriptor())
    with (
        patch.dict("os.environ", EVENSTROKE_SYSTEM_ROOT=str(root)),
        patch.object(desktop, "monitors", lambda: TWO_MONITORS),
    ):
        page = Page(folder / "this computer")
        new = page.visitor.post("/new", {"display": "2560x1440"}).json["address"]
        yield "new desk on a computer that tells its hardware", page.lines(new)
        for blank in ("tablet", "displays"):
            yield f"its {blank}", page.does(f"{new}/note/{blank}")
        body = {"thing": "card", "screen": [2560, 1440], "pulls": [[366.6, 231.2]] * 2}
        at = page.visitor.begin(DEMO)
        yield (
            "a display measured that reports itself",
            page.does(f"{at}/chapter/measure/pulls", body),
        )
        page.visitor.close()


def _damaged(folder: Path) -> Iterator[State]:
    """Where the library, or a file that a desk came from, is not what it was."""
    kept(folder / "library", DEMO)
    page = Page(folder / "library")
    library = Library(folder / "library")
    draft = page.session.open_station(library.folder_of(DEMO.name))
    file = library.in_force(library.folder_of(DEMO.name)).path
    content = file.read_bytes()
    profile = folder / "desk.yaml"
    profile.write_bytes(content)
    from_file = page.session.address_of(page.session.open_file(str(profile)))
    profile.write_bytes(content + b"# changed\n")
    yield "the file was changed", page.lines(from_file)
    profile.unlink()
    yield "the file is gone", page.lines(from_file)
    file.write_bytes(b"evenstroke: [")
    yield "what was kept cannot be read", page.lines(page.session.address_of(draft))
    yield "start, with a desk that cannot be read", page.lines("/")
    draft.unwritten = Problem("draft", "could not be written", "the disk is full")
    yield "nothing can be written down", page.lines(page.session.address_of(draft))
    page.visitor.close()
