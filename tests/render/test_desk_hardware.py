"""What the hardware says, on the page.

An offer with who says so, and beside a measurement that says something else.
"""

import math
import re
import threading
import time

import pytest

from mapper.problems import AnswerIsNo, Problem
from profiles.hardware import desktop
from profiles.hardware.desktop import Monitor
from profiles.hardware.system import ROOT_VARIABLE
from render.desk.described import Description
from tests.fake_system import DEMO_EDID, SIDE_EDID, connect, demo_descriptor, plug_hidraw
from tests.visitor import offered, traced, whole


@pytest.fixture
def visitor(visitor, tmp_path, monkeypatch):
    """A visitor on a made-up computer: a 27 in display, another one, and one tablet."""
    monkeypatch.setenv(ROOT_VARIABLE, str(tmp_path / "system"))
    connect(tmp_path / "system", "card0-DP-1", DEMO_EDID)
    connect(tmp_path / "system", "card0-DP-2", SIDE_EDID)
    plug_hidraw(tmp_path / "system", "hidraw0", demo_descriptor())
    monkeypatch.setattr(desktop, "monitors", nobody_tells)
    return visitor


def nobody_tells():
    raise AnswerIsNo(Problem("@desktop", "there is no display here to ask"))


def ways(html):
    """Title and change of each way that a note offers, in its order."""
    titles = re.findall(r'class="way.*?<b>(.*?)</b>', whole(html), re.DOTALL)
    return list(zip(titles, offered(html), strict=True))


def test_a_new_desk_begins_with_what_the_hardware_says_and_asks_whether_it_is_this_one(visitor):
    at = visitor.post("/new", {"display": "2560x1440"}).json["address"]
    page = whole(visitor.get(at).text)
    assert "240 × 152 mm" in page
    assert "one display, 23.5 in" not in page
    assert "27 in, 2560 × 1440 (is it this one?)" in page
    note = visitor.post(f"{at}/note/displays", {}).json["html"]
    assert "Is it this one?" in note
    offered = ways(note)
    assert offered[0][0] == "<bdi>DP-1</bdi>: 27 in, 2560 × 1440"
    assert "reports this itself" in note
    assert offered[-1] == ("Yes, but I do not know its size", {"displays": ["main: 2560x1440"]})
    # Nothing but a question changes when it is answered with yes.
    said = visitor.post(
        f"{at}/answer", {"change": offered[0][1], "about": "displays", "commit": True}
    ).json
    assert "is it this one" not in said["parts"]["letter"]
    assert "27 in, 2560 × 1440" in whole(said["parts"]["letter"])
    assert (
        "The display that you look at"
        in visitor.post(f"{said['address']}/note/displays", {}).json["html"]
    )
    assert "is it this one" in visitor.get(at).text, "undo asks again"


TWO = (
    Monitor("DP-1", 0, 0, 2560, 1440, 597, 336, 1.0, primary=True),
    Monitor("DP-9", -1200, -240, 1200, 1920, 324, 518, 1.0, primary=False),
)


def test_a_new_desk_begins_with_the_whole_desktop_that_the_system_tells(visitor, monkeypatch):
    monkeypatch.setattr(desktop, "monitors", lambda: TWO)
    at = visitor.post("/new", {"display": "2560x1440"}).json["address"]
    page = whole(visitor.get(at).text)
    assert (
        "two displays: <bdi>DP-1</bdi>, 27 in, and <bdi>DP-9</bdi>, 24.1 in upright, to its left"
    ) in page
    assert "is it this one" not in page
    title, change = ways(visitor.post(f"{at}/note/displays", {}).json["html"])[0]
    assert title.startswith("Two displays")
    assert change == {
        "displays": ["DP-1: 597x336mm 2560x1440 at 0,0", "DP-9: 324x518mm 1200x1920 at -1200,-240"]
    }
    # A browser on a screen that is not among them is somewhere else, and asks; what the system
    # tells is still offered.
    at = visitor.post("/new", {"display": "3440x1440"}).json["address"]
    assert "is it this one?" in visitor.get(at).text
    assert ways(visitor.post(f"{at}/note/displays", {}).json["html"])[0][1] == change


def test_a_single_display_that_only_the_system_knows_is_offered_with_its_doubt(
    visitor, monkeypatch
):
    monkeypatch.setattr(
        desktop, "monitors", lambda: (Monitor("x", 0, 0, 3440, 1440, 797, 334, 1.0, primary=True),)
    )
    page = whole(visitor.get(visitor.post("/new", {"display": "3440x1440"}).json["address"]).text)
    assert "34 in, 3440 × 1440 (is it this one?)" in page
    monkeypatch.setattr(
        desktop, "monitors", lambda: (Monitor("x", 0, 0, 3440, 1440, 910, 381, 1.0, primary=True),)
    )
    page = whole(visitor.get(visitor.post("/new", {"display": "3440x1440"}).json["address"]).text)
    assert "3440 × 1440 pixels (is it this one?)" in page, "a size of 96 px per inch is made up"


def test_the_system_is_asked_by_the_thread_that_serves(visitor, monkeypatch):
    asked = []

    def tell():
        asked.append(threading.current_thread())
        return TWO

    monkeypatch.setattr(desktop, "monitors", tell)
    serving = threading.Thread(target=visitor.server.run)
    serving.start()
    while visitor.session.wake is None:
        time.sleep(0.01)
    assert visitor.session.system().desktop.primary.label == "DP-1"
    visitor.session._ends_at = 0.0
    serving.join(10)
    assert asked == [serving]


@pytest.mark.parametrize("screen", ["", "x", "3440x1440", "1x1; drop"])
def test_a_screen_that_no_hardware_knows_is_only_asked_about(visitor, screen):
    page = visitor.get(visitor.post("/new", {"display": screen}).json["address"]).text
    assert ("is it this one?" in page) == (screen == "3440x1440")
    assert ("which display?" in page) == (screen != "3440x1440")


def test_the_sheet_of_an_unknown_tablet_offers_in_order(visitor):
    at = visitor.begin(Description())
    html = visitor.post(f"{at}/note/tablet", {}).json["html"]
    places = [
        html.index(words)
        for words in (
            "plugged in; it reports this",
            "with a ruler or a bank card",
            "way-small",
            "<input",
        )
    ]
    assert places == sorted(places)


def measured(visitor, at, verb, body):
    asked = {"thing": "card", "screen": [2560, 1440], **body}
    return whole(visitor.post(f"{at}/chapter/measure/{verb}", asked).json["html"])


@pytest.mark.parametrize(
    ("inches", "words"), [(27.0, "which agrees with the card"), (24.0, "They cannot both be right")]
)
def test_what_the_display_says_stands_beside_what_was_measured(visitor, inches, words):
    at = visitor.begin(Description(tablet="240x152mm", displays=("2560x1440",)))
    pitch = inches * 25.4 / math.hypot(2560, 1440)
    pull = [85.60 / pitch, 53.98 / pitch]
    html = measured(visitor, at, "pulls", {"pulls": [pull, pull]})
    assert "<bdi>DP-1</bdi> reports 27 in" in html
    assert words in html
    assert "Use 27 in, as <bdi>DP-1</bdi> reports" in html
    assert f"Use {inches:g} in" in html
    assert "DP-2" not in html, "a display of other pixels is another one"


@pytest.mark.parametrize(
    ("width_mm", "words"), [(240, "which agrees with the card"), (330, "They cannot both be right")]
)
def test_what_the_tablet_says_stands_beside_what_was_measured(visitor, width_mm, words):
    at = visitor.begin(Description(displays=("27in 2560x1440",)))
    height_mm = width_mm * 152 / 240
    traces = [
        [traced(width_mm, height_mm, off_mm=0.7, upright=upright)] for upright in (False, True)
    ]
    html = measured(visitor, at, "traces", {"traces": traces})
    assert "<bdi>Demo Pad</bdi> reports 240 × 152 mm" in html
    assert words in html
    assert "240 × 152 mm, as <bdi>Demo Pad</bdi> reports" in html


@pytest.mark.parametrize(
    ("screen", "inches"),
    [("1366x768", 15.6), ("1920x1080", 24), ("3440x1440", 34), ("5120x1440", 49)],
)
def test_the_sizes_in_which_such_a_screen_is_usual_are_offered(visitor, screen, inches):
    at = visitor.post("/new", {"display": screen}).json["address"]
    offered = [title for title, _ in ways(visitor.post(f"{at}/note/displays", {}).json["html"])]
    assert f"Yes, {inches} in" in offered
    taken = dict(ways(visitor.post(f"{at}/note/displays", {}).json["html"]))[f"Yes, {inches} in"]
    assert taken == {"displays": [f"{inches}in {screen}"]}, "24 times 25.4 is 609.5999999999999"
