"""Displays that are dropped, mirrored or reached by some settings alone; and what settings ask for.

Where a browser is needed it is Chromium.
"""

import json
import re
from html import unescape

import pytest

from mapper.desk import Desktop, Display
from mapper.mapping.entry import Entry
from mapper.problems import RequestError
from profiles.hardware.desktop import Monitor, displays_of
from render.desk.answer import answer
from render.desk.notes import note
from render.sentences.entry import beside_the_numbers
from tests.visitor import DESK

TWO = ["main: 27in 2560x1440 at 0,0", "side: 24in 1920x1080 at 2560,0"]
BOTH = DESK.with_({"displays": TWO, "onto": "all"})


def dropped(visitor, at, left, top, index=1):
    """What comes of a display that is let go on the plan."""
    displays = [*TWO]
    displays[index] = f"{displays[index].partition(' at ')[0]} at {left},{top}"
    body = {
        "change": {"displays": displays},
        "about": "displays",
        "dropped": index,
        "commit": True,
        "room": [900, 420, 16],
    }
    return visitor.post(f"{at}/answer", body)


def numbers(parts):
    return re.findall(r'data-copy="([^"]+)"', parts["answer"])


@pytest.mark.parametrize("place", [(3160, 0), (2561, 0), (2300, 10), (2560, 0)])
def test_a_gap_or_an_overlap_that_was_dropped_changes_no_number(visitor, place):
    """Two displays side by side are 4480 px wide; 240 mm / 4480 x 1440 are 77.14 mm, by hand."""
    at = visitor.begin(BOTH)
    before = answer(BOTH).solved.area_built_mm
    assert round(before.height, 2) == 77.14
    said = dropped(visitor, at, *place).json
    after = numbers(said["parts"])
    assert after[2:] == ["240", "77.143"]
    assert said["possible"]


def test_a_gap_that_is_typed_is_taken_and_told_and_can_be_closed():
    now = answer(BOTH.with_({"displays": [TWO[0], "side: 24in 1920x1080 at 3160,0"]}))
    assert now.solved.request.desktop.rect_px.width == 5080
    told = "The gap between the displays also takes a part of the tablet."
    assert told in beside_the_numbers(now.solved, now.entry)
    assert told not in beside_the_numbers(answer(BOTH).solved, Entry())
    (closed,) = [
        way.change for way in note("displays", now, None).ways if way.title == "Without the gap"
    ]
    assert tuple(closed["displays"]) == BOTH.displays
    assert "Without the gap" not in [way.title for way in note("displays", answer(BOTH), None).ways]


def test_only_a_display_that_can_be_moved_is_dropped(visitor):
    at = visitor.begin(BOTH)
    for index in (0, 2, -1):
        reply = visitor.post(
            f"{at}/answer", {"change": {"displays": TWO}, "dropped": index, "commit": True}
        )
        assert reply.status_code == 422
    assert visitor.post(f"{at}/answer", {"dropped": "x"}).status_code == 422


def test_displays_that_show_the_same_are_said_to_be_mirrored():
    texts = ["main: 27in 2560x1440", "wall: 24in 1920x1080 at 0,0"]
    now = answer(DESK.with_({"displays": texts}))
    (wrong,) = now.wrong
    assert wrong.blank == "displays"
    assert "mirrored" in wrong.says
    ways = note("displays", now, answer(DESK)).ways
    assert "Remove the display “wall”" in [str(way.title) for way in ways]
    (without,) = [way.change for way in ways if str(way.title) == "Remove the display “wall”"]
    assert answer(now.said.with_(without)).possible
    with pytest.raises(RequestError, match="mirrored"):
        Desktop((Display(1920, 1080, label="a"), Display(1920, 1080, label="b")))
    with pytest.raises(RequestError, match="overlap"):
        Desktop((Display(1920, 1080, label="a"), Display(1920, 1080, left_px=9, label="b")))


def test_the_systems_mirrored_displays_are_one():
    monitors = [
        Monitor("eDP-1", 0, 0, 1920, 1200, 302, 189, 1.0, primary=True),
        Monitor("HDMI-1", 0, 0, 1920, 1080, 531, 299, 1.0, primary=False),
    ]
    displays, doubts = displays_of(monitors)
    assert [(each.label, each.width_px) for each in displays] == [("main", 1920)]
    assert any("HDMI-1 shows the same as eDP-1 (mirrored)" in each for each in doubts)


def beside(**change):
    return [str(each) for each in beside_the_numbers(answer(BOTH.with_(change)).solved, Entry())]


def test_the_answer_says_where_pixels_are_counted_from():
    """By hand: with a display 1920 px wide at the left, main's corner is 1920 px from the left."""
    right = beside(onto="side")
    assert "Also set the part of the display: 1920 × 1080 pixels, 2560 from the left" in right[0]
    assert right[1] == (
        "The pixels are counted from the top left corner of main, which is also the corner of the "
        "whole desktop."
    )
    left = beside(displays=[TWO[0], "side: 24in 1920x1080 at -1920,100"], onto="main")
    assert left[1] == (
        "The pixels are counted from the top left corner of main. If your settings count from the "
        "corner of the whole desktop, type 1920 pixels from the left and 0 pixels from the top."
    )
    above = beside(displays=[TWO[0], "side: 24in 1920x1080 at 0,-1080"], onto="side")
    assert "type 0 pixels from the left and 0 pixels from the top" in above[1]
    alone = [str(each) for each in beside_the_numbers(answer(DESK).solved, Entry())]
    assert not any("counted" in each for each in alone)


def test_what_settings_for_the_whole_desktop_alone_can_do_stands_beside_the_answer():
    """By hand: main is 57 % of the desktop's width; the whole of it would need 420 of 240 mm."""
    assert beside(onto="")[-1] == "Settings that can only use the whole desktop cannot do this."
    small = beside(onto="", within="100,60,60x33.75mm")
    assert small[-1].startswith("Settings that can only use the whole desktop need another rect")
    assert not any("only use the whole" in each for each in beside(onto="all"))


# -- what the settings ask for


def choices(visitor, at):
    html = visitor.post(f"{at}/note/entry").json["html"]
    return html, re.findall(r'role="radiogroup" aria-labelledby="(choice-\d)"', html)


def test_what_settings_ask_for_is_four_choices(visitor):
    at = visitor.begin(DESK)
    html, groups = choices(visitor, at)
    titles = [re.search(rf'id="{group}">([^<]+)', html)[1] for group in groups]
    assert titles == ["Which numbers", "Unit", "Counted from", "Decimal sign"]
    parts = html.split('role="radiogroup"')[1:]
    assert [part.count('aria-checked="true"') for part in parts] == [1, 1, 1, 1]
    # Any of one choice with any of another: each changes its own alone.
    for index, wanted in ((0, "Two corners"), (1, "In inches"), (2, "bottom left"), (3, "comma")):
        html, _ = choices(visitor, at)
        part = html.split('role="radiogroup"')[1:][index]
        button = next(each for each in part.split("<button")[1:] if wanted in each)
        change = json.loads(unescape(re.search(r'data-change="([^"]+)"', button)[1]))
        at = visitor.changed(at, change)["address"]
    assert visitor.desk(at).said.entry == "corners in from bottom-left comma"


def test_what_stays_in_place_shows_only_what_differs_each_with_its_numbers():
    """By hand: 135 of 152 mm are used, all of 240, so left and right come to the same as middle."""
    ways = note("hold", answer(DESK), None).ways
    assert [(str(way.title), str(way.says)) for way in ways] == [
        ("The middle", "left 0 mm, top 8.5 mm, width 240 mm, height 135 mm"),
        ("The top", "left 0 mm, top 0 mm, width 240 mm, height 135 mm"),
        ("The bottom", "left 0 mm, top 17 mm, width 240 mm, height 135 mm"),
    ]
    cropped = note("hold", answer(DESK.with_({"fit": "cropped"})), None).ways
    assert [str(way.title) for way in cropped] == ["The middle", "The left side", "The right side"]
    assert len({str(way.says) for way in cropped}) == 3
    assert all("pixels" in way.says for way in cropped)


@pytest.mark.parametrize(
    ("turn", "corner"), [("90", "top right"), ("180", "bottom right"), ("270", "bottom left")]
)
def test_a_turned_tablet_says_whose_numbers_they_are_and_marks_the_corner(visitor, turn, corner):
    """By hand: a tablet that is turned clockwise carries its upper left corner along."""
    now = answer(DESK.with_({"turn": turn}))
    (said,) = [
        str(each)
        for each in beside_the_numbers(now.solved, now.entry)
        if "when it is not turned" in each
    ]
    assert f"is now at the {corner}" in said
    picture = visitor.get(visitor.begin(DESK.with_({"turn": turn}))).text
    assert "Dot: its top left corner." in " ".join(re.findall(r">([^<>]+)</text>", picture))
    straight = visitor.get(visitor.begin(DESK)).text
    assert "Dot:" not in straight
    assert "when it is not turned" not in straight


# -- in a browser


@pytest.mark.parametrize("far", [1.2, 0.8, -0.9])
def test_a_display_that_is_dropped_away_or_over_another_goes_to_its_side(opened, far):
    page = opened(1280, 900).open(BOTH)
    page.page.click("#blank-displays")
    place = page.page.locator('.place[data-index="1"]')
    box = place.bounding_box()
    main = page.page.locator('.place[data-index="0"]').bounding_box()
    page.page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.page.mouse.down()
    to = main["x"] + main["width"] * far + box["width"] / 2
    page.page.mouse.move(to, box["y"] + box["height"] / 2, steps=5)
    page.page.mouse.up()
    page.settle()
    side = answer(page.said).solved.request.desktop.displays[1]
    assert side.left_px == (2560 if far > 0 else -1920)
    page.page.wait_for_selector(f'.place[data-index="1"][data-left="{side.left_px}"]')


def test_the_answer_is_in_sight_while_its_form_is_chosen_by_keys(opened):
    page = opened(1280, 900).open(DESK.with_({"tablet": "240x152mm@150/mm"}))
    page.page.click("#blank-entry")
    page.settle()
    box = page.page.locator("#answer .numbers").bounding_box()
    assert box["y"] >= 0
    assert box["y"] + box["height"] <= 900
    page.page.locator("#note [role=radio][aria-checked=true]").nth(1).focus()
    page.page.keyboard.press("ArrowRight")
    page.settle()
    assert page.said.entry == "size in"
    assert page.page.evaluate("document.activeElement.textContent.trim()") == "In inches"
    page.page.keyboard.press("ArrowLeft")
    page.settle()
    assert page.said.entry == "size mm"
    assert page.page.is_visible("#note")
