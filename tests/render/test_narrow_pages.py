"""Chapters on telephones and small windows: charts for their width, numbers beside their units."""

from random import Random

import msgspec
import pytest

from mapper.touching.setting import DriverSetting
from mapper.touching.sheets import sheet_of
from profiles.library.trial_book import add_all
from render.desk.answer import answer
from render.desk.chapters import CHAPTERS
from render.desk.chapters.known import forget_book
from render.desk.chapters.touch import Touched
from render.desk.desks import Desk
from tests.invented_study import BEST, invented
from tests.render.test_desk_chapters_in_browser import SCREEN, send_strokes
from tests.touched import Hand
from tests.visitor import DESK
from tests.watched import FITS, axe_finds_nothing, show, until

SAID = DESK.with_({"distance": "70cm", "drop": "2cm"})
#: Of each chart: its sheet's width, the words that leave it, and its smallest letter, px.
CHARTS = """
[...document.querySelectorAll(".chart svg")].map((svg) => {
  const box = svg.getBoundingClientRect();
  const texts = [...svg.querySelectorAll("text")];
  const out = texts.filter((each) => {
    const { left, right } = each.getBoundingClientRect();
    return left < box.left - 2 || right > box.right + 2;
  });
  const scale = box.width / svg.viewBox.baseVal.width;
  return {
    name: svg.getAttribute("aria-label"),
    sheet: svg.viewBox.baseVal.width,
    out: out.map((each) => each.textContent),
    inWindow: box.left >= 0 && box.right <= innerWidth,
    least: Math.min(...texts.map((each) => each.getAttribute("font-size") * scale)),
  };
})
"""
#: Numbers that end a line before their unit.
PARTED = r"""
(() => {
  const units = /(?:\d[\d.,]* × )?\d[\d.,]*[ \u00a0](?:mm|cm|in|px|%|°|pixels|times)(?![a-z])/g;
  const parted = [];
  for (const block of document.querySelectorAll("p, li, h2, h3, td, th, dd, small, summary, .n")) {
    if (!block.checkVisibility?.()) continue;
    const walker = document.createTreeWalker(block, NodeFilter.SHOW_TEXT);
    const places = [];
    for (let node = walker.nextNode(); node; node = walker.nextNode())
      for (let at = 0; at < node.length; at += 1) places.push([node, at]);
    const whole = places.map(([node, at]) => node.data[at]).join("");
    for (const found of whole.matchAll(units)) {
      const tops = [found.index, found.index + found[0].length - 1].map((at) => {
        const range = document.createRange();
        range.setStart(...places[at]);
        range.setEnd(places[at][0], places[at][1] + 1);
        return range.getBoundingClientRect();
      });
      if (tops[0].height && tops[1].top > tops[0].bottom - 2)
        parted.push(whole.slice(Math.max(0, found.index - 20), found.index + 20));
    }
  }
  return parted;
})()
"""


@pytest.fixture
def busy_page(opened, served):
    """A desk's page on which these chapters are open and have something to show, at a width."""

    def open_one(width, chapters=tuple(CHAPTERS)):
        add_all(served.session.library, invented(1, BEST))
        desk = opened(width, 844, screen=SCREEN)
        page = desk.open(SAID).page
        page.locator("#keep").press("Enter")
        desk.settle()
        meant = answer(SAID).solved
        crosses = list(sheet_of("printed", meant).built_mm)
        touches = Hand(0.3).touch(DriverSetting.of(meant), Random(3), crosses)
        touched = Touched(msgspec.to_builtins(SAID), touches)
        *_, id_, step = page.url.split("/")
        draft = served.session.drafts.get(id_)
        draft.put("touched.json", msgspec.json.encode(touched))
        # The book was read when the server began.
        forget_book(Desk(served.session, draft, int(step)))
        send_strokes(page)
        for chapter in chapters:
            show(page, chapter)
        return desk

    return open_one


@pytest.mark.parametrize("width", [320, 390, 820])
def test_charts_are_drawn_for_their_width_and_no_number_parts_from_its_unit(busy_page, width):
    desk = busy_page(width)
    page = desk.page
    assert page.evaluate(FITS)
    charts = page.evaluate(CHARTS)
    # Touches, trace, seat, pairs, travel, band.
    assert len(charts) == 6
    for chart in charts:
        assert chart["out"] == [], chart
        assert (chart["inWindow"], chart["least"] >= 10) == (True, True), chart
        assert chart["name"], chart
    assert page.evaluate(PARTED) == []
    axe_finds_nothing(page, f"all chapters, {width} px", "#chapters")


def test_charts_are_drawn_anew_for_a_window_of_another_width(opened):
    desk = opened(390, 844, screen=SCREEN)
    page = desk.open(SAID).page
    show(page, "seat")
    assert page.evaluate(CHARTS)[0]["sheet"] == 96
    page.set_viewport_size({"width": 1280, "height": 900})
    until(page, f"({CHARTS})[0].sheet === 320")


def test_what_is_wider_than_its_window_says_that_it_scrolls_and_does_so_by_keys(busy_page):
    page = busy_page(390, ["study"]).page
    hint, wide = (page.locator(f"#chapter-study .{each}").first for each in ("scroll-hint", "wide"))
    assert wide.evaluate("(each) => each.scrollWidth > each.clientWidth")
    assert hint.is_visible()
    wide.focus()
    page.keyboard.press("ArrowRight")
    until(page, "document.querySelector('#chapter-study .wide').scrollLeft > 0")
    page.set_viewport_size({"width": 1366, "height": 844})
    until(page, "document.querySelector('#chapter-study .scroll-hint').hidden")
