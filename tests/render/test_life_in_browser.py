"""A desk's life on its page, in headless Chromium: described, kept, typed in, tested, felt."""

import pytest

from mapper.touching.sheets import sheet_of
from profiles.library.proofs import proofs_of
from profiles.library.trial_book import in_library
from tests.render.test_touch_in_browser import MEANT, RIGHT, Pen, begin, verdict
from tests.visitor import DESK
from tests.watched import axe_finds_nothing, axe_finds_nothing_in_other_colours, until

pytestmark = pytest.mark.chromium

SCREEN = {"width": 2560, "height": 1440}
FITS = "document.documentElement.scrollWidth <= innerWidth"


def stages(page):
    return {
        each.get_attribute("data-stage"): each.get_attribute("class")
        for each in page.locator(".stages li").all()
    }


def step(page):
    """What the one next step is; empty where there is none."""
    found = page.locator("#next .step")
    return found.get_attribute("id") if found.count() else ""


def focused(page):
    return page.evaluate("document.activeElement.id || document.activeElement.tagName")


def test_from_nothing_to_tested_and_felt_by_the_one_next_step(opened, served):
    desk = opened(**SCREEN, screen=SCREEN, has_touch=True)
    page = desk.page
    page.click("#new")
    page.wait_for_selector("html[data-ready]")
    desk.fill("tablet", "240x152mm")
    desk.fill("displays", "27in 2560x1440")
    desk.fill("name", DESK.name)
    assert (stages(page)["kept"], step(page)) == ("open", "keep")
    page.click("#keep")
    desk.settle()
    # The button that was pressed is gone, and the next one has the focus.
    assert (stages(page)["kept"], step(page), focused(page)) == ("done", "typed-in", "typed-in")
    page.keyboard.press("Enter")
    desk.settle()
    assert (stages(page)["typed"], step(page), focused(page)) == ("done", "test-it", "test-it")
    until(page, "document.getElementById('say').textContent.startsWith('Noted: typed in')")
    # A circle on the pad shows that it is right, and proves nothing.
    page.click("#next [data-open=strokes]")
    page.wait_for_selector("#pad-circle")
    page.click("#pad-circle")
    assert "This setting keeps circles round." in page.inner_text("#pad-said")
    assert stages(page)["tested"] == "open"
    page.locator("#test-it").press("Enter")
    page.wait_for_selector("#touch-heading")
    until(
        page, "document.getElementById('touch-heading').getBoundingClientRect().top < innerHeight"
    )
    pen = Pen(page)
    begin(page)
    pen.touch_all(RIGHT, sheet_of("printed", MEANT))
    assert "is using this setting" in verdict(page)
    until(page, "document.querySelector('[data-stage=tested]').className === 'done'")
    assert step(page) == "feel"
    page.locator("#feel").press("Enter")
    page.wait_for_selector("#chapter-felt form")
    page.locator("#chapter-felt button[type=submit]").press("Enter")
    page.wait_for_selector("#chapter-felt .lines")
    desk.settle()
    # All is done, and nothing is asked for any more.
    assert (set(stages(page).values()), step(page)) == ({"done"}, "")
    library = served.session.library
    found, _ = proofs_of(library, library.folder_of(DESK.name))
    assert [proof.mark for proof in found] == ["typed", "touch"]
    assert len(in_library(library)[0]) == 1
    # Other numbers are not typed in; the way back brings the marks back.
    desk.choose("lying", "upside down")
    now = stages(page)
    assert (now["kept"], now["typed"], now["tested"], step(page)) == (*["open"] * 3, "keep")
    page.click("#undo")
    desk.settle()
    assert (set(stages(page).values()), step(page)) == ({"done"}, "")


@pytest.mark.parametrize("width", [390, 1280])
def test_axe_finds_nothing_however_far_the_desk_is_and_nothing_sticks_out(opened, width):
    """Oracle: axe-core (npm)."""
    desk = opened(width, 900, screen=SCREEN)
    page = desk.open(DESK).page
    for button in ("#keep", "#typed-in", "#not-typed"):
        page.click(button)
        desk.settle()
        axe_finds_nothing(page, f"after {button}", "#answer")
        axe_finds_nothing_in_other_colours(page, f"after {button}", "#answer")
        assert page.evaluate(FITS)


def test_strokes_stay_the_hands_when_the_numbers_are_typed_in(opened):
    desk = opened(1280, 900, screen=SCREEN)
    page = desk.open(DESK).page
    page.click("#keep")
    desk.settle()
    page.evaluate("document.querySelector('#chapter-strokes').open = true")
    page.wait_for_selector("#pad-circle")
    page.click("#pad-circle")
    measured = [each.inner_text() for each in page.locator(".pictures.pair .measured").all()]
    assert (measured[0].startswith("12.6 % wider than tall"), measured[1][:5]) == (True, "Round")
    assert page.locator(".rest").get_attribute("open") is None
    page.click("#typed-in")
    page.wait_for_selector(".pictures.pair h3:has-text('typed in')")
    assert [
        each.inner_text() for each in page.locator(".pictures.pair .measured").all()
    ] == measured
    assert "were drawn with another setting" in page.inner_text("#pad-told")
