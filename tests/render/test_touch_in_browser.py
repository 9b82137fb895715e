"""The touch test on the page in headless Chromium, with a simulated driver and pen."""

from dataclasses import replace
from random import Random

import pytest

from mapper.touching.setting import DriverSetting
from mapper.touching.sheets import grid_sheet, sheet_of
from profiles.library.proofs import proofs_of
from render.desk.answer import answer
from tests.touched import Hand
from tests.visitor import DESK
from tests.watched import axe_finds_nothing, show, until

MEANT = answer(DESK).solved
RIGHT = DriverSetting.of(MEANT)
WHOLE = replace(RIGHT, area_built_mm=MEANT.request.tablet.active_built_mm)


class Pen:
    """A pen on a page: it touches places of the screen, in device px."""

    def __init__(self, page, ratio=1):
        self.page, self.ratio = page, ratio
        self.cdp = page.context.new_cdp_session(page)

    def touch(self, x_px, y_px, kind="pen"):
        at = {"x": x_px / self.ratio, "y": y_px / self.ratio, "button": "left", "clickCount": 1}
        for event, buttons in (("mousePressed", 1), ("mouseReleased", 0)):
            more = {"type": event, "buttons": buttons, "pointerType": kind}
            self.cdp.send("Input.dispatchMouseEvent", at | more)
        # A pen that bounces is one touch.
        self.page.wait_for_timeout(270)

    def cursors(self, setting, sheet, seed=3, scatter_mm=0.3):
        return [
            (touch.x_px - 0.5, touch.y_px - 0.5)
            for touch in Hand(scatter_mm).touch(setting, Random(seed), list(sheet.built_mm))
        ]

    def touch_all(self, setting, sheet, **more):
        for place in self.cursors(setting, sheet, **more):
            self.touch(*place)


@pytest.fixture
def tested(opened):
    """Opens the chapter of tests of a kept desk, and gives the page and a pen."""

    def open_one(ratio=1, said=DESK):
        size = {"width": 2560 // ratio, "height": 1440 // ratio}
        seen = opened(
            **size, screen=size, device_scale_factor=ratio, has_touch=True, locale="en-GB"
        )
        page = seen.open(said).page
        page.watched = seen
        page.locator("#keep").press("Enter")
        until(page, "document.querySelector('.sign').textContent.includes('Kept')")
        show(page, "took")
        return page, Pen(page, ratio)

    return open_one


def begin(page, button="[data-touch]"):
    page.locator(f".touch-test {button}").press("Enter")
    until(page, "document.querySelector('.touch-test dialog').open")
    until(page, "document.querySelector('.which').textContent !== ''")


def verdict(page):
    until(page, "!document.querySelector('.touch-test dialog').open")
    until(page, "document.querySelector('.touch-verdict') !== null")
    page.wait_for_timeout(150)
    return page.locator(".touch-verdict").inner_text()


@pytest.mark.parametrize("ratio", [1, 2])
def test_nine_touches_prove_the_setting_and_are_kept_with_it(tested, served, ratio):
    page, pen = tested(ratio)
    begin(page)
    assert page.evaluate("document.fullscreenElement !== null")
    assert page.locator(".which").inner_text() == "1"
    pen.touch_all(RIGHT, sheet_of("printed", MEANT))
    said = verdict(page)
    assert said.startswith("The tablet uses this setting: 24") or "239." in said
    assert page.evaluate("document.activeElement.classList.contains('touch-verdict')")
    assert page.evaluate("document.fullscreenElement === null")
    library = served.session.library
    found, _ = proofs_of(library, library.folder_of(DESK.name))
    assert [(proof.mark, proof.right, proof.found.touches) for proof in found] == [
        ("touch", True, 9)
    ]
    assert "tested " in page.locator(".sign").inner_text()
    assert page.locator("#chapter-took h2").inner_text().startswith("Tested ")


def test_the_whole_tablet_is_told_with_the_numbers_to_type_and_the_cure_passes(tested):
    page, pen = tested()
    begin(page)
    pen.touch_all(WHOLE, sheet_of("printed", MEANT))
    assert "does not use the setting" in verdict(page)
    part = page.locator(".touch-test")
    assert "The whole active area is used" in part.inner_text()
    assert part.locator("[data-copy]").all_inner_texts() == ["0", "8.5", "240", "135"]
    axe_finds_nothing(page, "verdict", "#chapter-took")
    begin(page)
    pen.touch_all(RIGHT, sheet_of("printed", MEANT))
    assert "uses this setting" in verdict(page)


def test_an_upside_down_sheet_is_told_from_a_turned_driver_by_one_touch_more(tested):
    page, pen = tested()
    begin(page)
    half = replace(RIGHT, turn_deg=180)
    pen.touch_all(half, sheet_of("printed", MEANT))
    assert "cannot tell" in verdict(page)
    begin(page, "[data-corner]")
    pen.touch(*(each - 0.5 for each in half.cursor_px(0, 0)))
    assert "does not use the setting" in verdict(page)
    assert "not turned" in page.locator(".touch-test").inner_text()


def test_the_quiet_page_takes_back_the_last_refuses_fingers_and_mouse_and_can_be_left(tested):
    page, pen = tested()
    begin(page)
    which, slip = page.locator(".which"), page.locator(".slip")
    axe_finds_nothing(page, "quiet page", ".touch-test dialog")
    pen.touch(500, 400)
    pen.touch(900, 400)
    assert which.inner_text() == "3"
    assert page.locator("i.touched").count() == 2
    page.keyboard.press("Space")
    assert which.inner_text() == "2"
    assert page.locator("i.touched").count() == 1
    pen.touch(900, 400, "mouse")
    assert which.inner_text() == "2"
    assert "mouse" in slip.inner_text()
    page.touchscreen.tap(700, 700)
    assert "finger" in slip.inner_text()
    fingers = [{"x": 700, "y": 700, "id": 1}, {"x": 800, "y": 700, "id": 2}]
    pen.cdp.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": fingers})
    pen.cdp.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    assert which.inner_text() == "1"
    page.evaluate("window.dispatchEvent(new Event('blur'))")
    assert "Another window" in slip.inner_text()
    page.keyboard.press("Escape")
    until(page, "!document.querySelector('.touch-test dialog').open")
    assert page.locator(".touch-verdict").count() == 0


def test_a_page_on_another_display_says_so_before_anything_is_touched(tested):
    page, _ = tested(said=DESK.with_({"displays": ["24in 1920x1080"]}))
    page.locator(".touch-test [data-touch]").press("Enter")
    page.wait_for_selector(".touch-test .wrong:not([hidden])")
    words = page.locator(".touch-test .wrong").inner_text()
    assert "2560 × 1440 pixels" in words
    assert "Move this window" in words
    # What a browser says of an answer that was refused.
    (told,) = page.watched.wrong
    page.watched.wrong.clear()
    assert "422" in told
    assert page.evaluate("document.fullscreenElement === null")


def test_own_dots_are_touched_twice_and_a_sheet_anywhere_says_what_it_leaves_open(tested):
    page, pen = tested()
    page.locator("[value=dots]").check()
    page.locator("[name=touch-laid]").uncheck()
    begin(page)
    dots = [(24.0, 22.0), (216.0, 22.0), (24.0, 130.0), (216.0, 130.0)]
    sheet = sheet_of("dots", MEANT, dots_seen_mm=dots, anywhere=True)
    assert sheet.numbers == (1, 2, 3, 4, 1, 2, 3, 4)
    pen.touch_all(RIGHT, sheet)
    verdict(page)
    assert "so only the size was tested" in page.locator(".touch-test").inner_text()


def test_nine_more_measure_the_hand(tested):
    page, pen = tested()
    sheet = sheet_of("printed", MEANT)
    begin(page)
    pen.touch_all(RIGHT, sheet)
    verdict(page)
    begin(page, "[data-more]")
    pen.touch_all(RIGHT, sheet, seed=8)
    until(page, "document.querySelector('.touch-test').textContent.includes('18 touches')")
    show(page, "pairs")
    assert "Your own taps land about" in page.locator("#chapter-pairs").inner_text()


def test_the_size_of_an_unknown_tablet_by_squared_paper(opened):
    size = {"width": 2560, "height": 1440}
    page = opened(**size, screen=size).open(DESK).page
    page.locator("#blank-tablet").press("Enter")
    page.locator("[data-measure]").press("Enter")
    page.wait_for_selector("dialog[data-about=tablet]")
    page.locator("[data-touches]").press("Enter")
    until(page, "document.querySelector('dialog.quiet').open")
    Pen(page).touch_all(WHOLE, grid_sheet(180, 100))
    until(page, "document.querySelector('dialog .result').textContent.includes('active area')")
    words = page.locator("dialog .result").inner_text()
    assert "about 24" in words
    assert "Use 24" in words
    axe_finds_nothing(page, "measured by touches", "dialog[data-about=tablet]")


def test_the_printed_crosses_have_their_true_size(tested, tmp_path):
    """Oracle: pdfplumber reads the 100 mm rule and the page's size in what the browser prints."""
    import pdfplumber

    page, _ = tested()
    page.evaluate("window.print = () => window.dispatchEvent(new Event('beforeprint'))")
    page.locator(".touch-test [data-print]").press("Enter")
    until(page, "document.querySelector('#sheet .crosses') !== null")
    page.pdf(path=tmp_path / "crosses.pdf", prefer_css_page_size=True)
    mm = 25.4 / 72
    with pdfplumber.open(tmp_path / "crosses.pdf") as pdf:
        assert len(pdf.pages) == 1
        sides = float(pdf.pages[0].width) * mm, float(pdf.pages[0].height) * mm
        assert sorted(sides) == pytest.approx([210, 297], abs=0.5) or sorted(
            sides
        ) == pytest.approx([215.9, 279.4], abs=0.5)
        words = pdf.pages[0].extract_words()
        at = {each["text"]: each for each in words}
        assert "Touch" in at
        lines = [abs(each["x1"] - each["x0"]) * mm for each in pdf.pages[0].lines]
        curves = [abs(each["x1"] - each["x0"]) * mm for each in pdf.pages[0].curves]
    assert any(abs(length - 100) < 0.3 for length in [*lines, *curves])
