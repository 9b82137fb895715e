"""A desk's life on its page, in headless Chromium: described, kept, typed in, tested, felt."""

import threading
import time

import pytest

from mapper.touching.sheets import sheet_of
from profiles.library.proofs import proofs_of
from profiles.library.trial_book import in_library
from render.desk.server import DeskServer
from tests.render.test_touch_in_browser import MEANT, RIGHT, Pen, begin, verdict
from tests.visitor import DESK
from tests.watched import FITS, axe_finds_nothing, axe_finds_nothing_in_other_colours, until

SCREEN = {"width": 2560, "height": 1440}


def stages(page):
    return {
        each.get_attribute("data-stage"): each.get_attribute("class")
        for each in page.locator(".stages li").all()
    }


def step(page):
    """What the one next step is; empty where there is none."""
    found = page.locator("#next .step")
    return found.get_attribute("id") if found.count() else ""


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
    assert (stages(page)["kept"], step(page), desk.focused) == ("done", "typed-in", "typed-in")
    page.keyboard.press("Enter")
    desk.settle()
    assert (stages(page)["typed"], step(page), desk.focused) == ("done", "test-it", "test-it")
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
    assert "uses this setting" in verdict(page)
    until(page, "document.querySelector('[data-stage=tested]').className === 'done'")
    assert step(page) == "feel"
    axe_finds_nothing(page, "tested", "#answer")
    axe_finds_nothing(page, "tested, with the verdict and its picture", "#chapter-took")
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
    desk.choose("lying", "Turned 180")
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


# Keeping, two windows, what was kept
# ------------------------------------------------------------


def test_keeping_without_a_name_asks_for_it_and_keeps_on_enter(opened, served):
    desk = opened()
    page = desk.open(DESK.with_({"name": ""})).page
    page.locator("#keep").press("Enter")
    page.wait_for_selector("section.note input:focus")
    assert "A kept desk needs a name" in page.inner_text("#note-why")
    assert "note-why" in page.get_attribute("section.note input", "aria-describedby")
    axe_finds_nothing(page, "asked for a name", "#note")
    page.keyboard.type("left desk")
    page.keyboard.press("Enter")
    until(page, "document.getElementById('told').textContent === 'Kept as setting 1.'")
    assert served.session.library.folder_of("left desk")
    assert (step(page), desk.focused) == ("typed-in", "typed-in")
    # A look at the same step, on the way back from another window, leaves the words.
    page.evaluate("dispatchEvent(new Event('focus'))")
    desk.settle()
    assert page.inner_text("#told") == "Kept as setting 1."
    # Escape leaves it unkept, and a name that is changed later keeps nothing by itself.
    desk.fill("name", "right desk")
    assert stages(page)["kept"] == "open"


def test_a_name_that_was_just_typed_is_kept_by_the_button_too(opened, served):
    desk = opened()
    page = desk.open(DESK.with_({"name": ""})).page
    page.click("#keep")
    page.wait_for_selector("section.note input:focus")
    page.keyboard.type("left desk")
    page.click("#keep")
    until(page, "document.getElementById('told').textContent === 'Kept as setting 1.'")
    assert served.session.library.folder_of("left desk")
    assert page.locator("section.note input").count() == 0


def test_a_changed_number_loses_its_tick_and_the_others_keep_theirs(opened):
    desk = opened(permissions=["clipboard-read", "clipboard-write"])
    page = desk.open(DESK).page
    for number in ("left", "top", "width", "height"):
        page.click(f"#number-{number}")
        page.wait_for_selector(f"#number-{number}.copied")
    desk.choose("fit", "Whole tablet, whole display")
    assert desk.numbers == ["0", "0", "240", "152"]
    ticks = [each.get_attribute("class") for each in page.locator("[data-copy]").all()]
    assert ticks == ["n copied", "n next", "n copied", "n"]


def test_two_windows_on_one_desk_notice_each_other(opened):
    desk = opened()
    page = desk.open(DESK).page
    other = desk.context.new_page()
    other.goto(page.url)
    other.wait_for_selector("html[data-ready]")
    desk.choose("fit", "Whole tablet, whole display")
    # Nothing was done in the other window.
    other.wait_for_selector("#notices [data-take=window]")
    assert "in another window meanwhile" in other.inner_text("#notices")
    assert "stay round" in other.inner_text("#letter")
    assert page.locator("#notices .notice").count() == 0
    other.click("#notices [data-take=window]")
    other.wait_for_selector("#letter :text('may come out oval')")
    assert other.url == page.url
    other.close()


def test_a_kept_setting_is_seen_beside_the_letter_got_back_and_undone(opened):
    desk = opened(1280, 900)
    page = desk.open(DESK).page
    page.click("#keep")
    desk.settle()
    desk.choose("fit", "Whole tablet, whole display")
    page.click("#keep")
    desk.settle()
    page.evaluate("document.querySelector('#chapter-kept').open = true")
    page.wait_for_selector("#setting-1")
    page.click("#setting-1")
    page.wait_for_selector(".beside-present")
    desk.settle()
    told = page.inner_text(".beside-present table")
    assert "0, 8.5, 240, 135" in told
    assert "0, 0, 240, 152" in told
    axe_finds_nothing(page, "beside the letter", "#chapter-kept")
    assert page.evaluate(FITS)
    page.click("[data-back]")
    page.wait_for_selector("#did:text('is open now')")
    desk.settle()
    assert desk.said.fit == "locked"
    # The letter, the sentence and the undo are in sight.
    for part in ("#letter", "#did", "#undo"):
        box = page.locator(part).bounding_box()
        assert box["y"] >= 0
        assert box["y"] + box["height"] <= 900
    assert page.inner_text("#undo").startswith("undo: opening the setting of ")
    page.click("#undo")
    desk.settle()
    assert (desk.said.fit, page.inner_text("#did")) == ("full", "")


# A server that stopped
# ------------------------------------------------------------


def test_a_page_whose_server_stopped_says_so_and_goes_on_with_the_next_one(
    browser, served, tmp_path
):
    library = served.session.library
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    page.goto(served.door.invite("/"))
    draft = served.session.open_new(DESK)
    page.goto(f"{served.door.origin}{served.session.address_of(draft)}")
    page.wait_for_selector("html[data-ready]")
    page.click("#blank-fit")
    page.locator("section.note .way", has_text="Whole tablet").first.click()
    page.wait_for_selector("#letter :text('may come out oval')")
    served.session._silence_s = 0.0
    served.session._ends_at = 0.0
    ends = time.monotonic() + 20
    while served.door.port and time.monotonic() < ends and (tmp_path / "state").exists():
        if not list((tmp_path / "state").rglob("desk-*.json")):
            break
        time.sleep(0.1)
    page.click("#blank-tablet")
    page.wait_for_selector("#trouble")
    assert "Start it again with its icon" in page.inner_text("#trouble")
    again = DeskServer(library, silence_s=120, grace_s=60)
    thread = threading.Thread(target=again.run, daemon=True)
    thread.start()
    try:
        # The icon opens a page of its own; the one that waited goes on where it was.
        second = context.new_page()
        second.goto(again.door.invite("/"))
        page.wait_for_url(f"{again.door.origin}/**")
        page.wait_for_selector("html[data-ready]")
        assert "may come out oval" in page.inner_text("#letter")
    finally:
        context.close()
        for _ in range(100):
            again.session._ends_at = 0.0
            thread.join(0.2)
            if not thread.is_alive():
                break
    assert not thread.is_alive()
