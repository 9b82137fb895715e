"""The chapters in headless Chromium, by keys alone where that is possible.

Pad, trace, bank card, trial book, what was kept.
"""

import io
import json
import math
import re

import pytest
from PIL import Image, ImageDraw

from profiles.format.document import to_yaml
from profiles.library.trial_book import in_library
from render.desk.answer import answer
from render.desk.bodies import Wish
from render.desk.chapters import CHAPTERS
from tests.visitor import CARD_MM, DESK, traced
from tests.watched import (
    FITS,
    axe_finds_nothing,
    axe_finds_nothing_in_other_colours,
    show,
    until,
)

SCREEN = {"width": 2560, "height": 1440}
UNSIZED = DESK.with_({"displays": ["2560x1440"]})


def fits(desk, width):
    """Whether nothing sticks out of a window of this width."""
    desk.page.set_viewport_size({"width": width, "height": 768})
    desk.settle()
    return desk.page.evaluate(FITS)


@pytest.mark.parametrize("width", [375, 3840])
def test_axe_finds_nothing_in_any_chapter_and_nothing_sticks_out(opened, served, width):
    """Oracle: axe-core (npm) with every chapter open, on a dark telephone and on a wall.

    There is a revision, an entry, a drawing and a trace to show; then each dialog, the page of all
    numbers, and the pad's own page.
    """
    small = width < 1000
    desk = opened(width, 800, screen=SCREEN, color_scheme="dark" if small else "light")
    page = desk.open(DESK.with_({"distance": "45cm"})).page

    def look(state, where="html"):
        axe_finds_nothing(page, state, where, looks_alone=small)
        if not small:
            axe_finds_nothing_in_other_colours(page, state, where)
        assert page.evaluate(FITS), state

    show(page, "seat")
    assert page.locator("#chapter-seat h3").count() > 0
    look("a chapter alone leaves out no level of headings")
    page.locator("#keep").press("Enter")
    until(page, "document.getElementById('chapters').textContent.includes('1 setting')")
    show(page, "felt")
    page.locator("#chapter-felt button[type=submit]").press("Enter")
    page.wait_for_selector("#chapter-felt .lines")
    send_strokes(page)
    for chapter in CHAPTERS:
        if chapter not in {"felt", "seat"}:
            show(page, chapter)
    assert page.locator("#chapter-study table").count() > 0
    assert page.locator("#chapter-took [data-copy]").count() == 2
    look("all chapters")
    assert fits(desk, 1366)
    page.set_viewport_size({"width": width, "height": 800})
    assert len(in_library(served.session.library)[0]) == 1
    page.locator("#chapter-took [data-trace]").press("Enter")
    look("trace", "dialog[open]")
    page.locator("#chapter-took dialog [data-leave-trace]").press("Enter")
    drop_two_outlines(desk)
    look("frame", "dialog[open]")
    page.locator("[data-leave-frame]").press("Enter")
    for blank, about in (("displays", "display"), ("tablet", "tablet")):
        page.locator(f"#blank-{blank}").press("Enter")
        page.locator("[data-measure]").press("Enter")
        page.wait_for_selector(f"dialog[data-about={about}]")
        look(about, "dialog[open]")
        if about == "display":
            page.locator("[data-take]").press("Enter")
            until(
                page, "document.querySelector('dialog .result').textContent.includes('diagonal is')"
            )
            look("display, measured", "dialog[open]")
        if about == "tablet":
            page.locator("[data-trace='0']").last.press("Enter")
            look("card", "dialog[open]")
            page.locator("dialog[data-about=tablet] [data-leave-trace]").press("Enter")
        page.locator(
            f"dialog[data-about={about}] > .bar [data-leave], dialog[data-about={about}] > p "
            f"[data-leave]"
        ).press("Enter")
        # The focus comes back with the dialog's end, and must not come between the next key and its
        # blank.
        until(page, f"!document.querySelector('dialog[data-about={about}]')")
    page.goto(f"{page.url}/figures")
    look("figures")


def send_strokes(page):
    """A card as a trace and as a drawing of the desk that is open."""
    strokes = {
        "evenstroke_strokes": 1,
        "frame": "desktop_px",
        "strokes": [[[x, y, 0.5] for x, y in traced(240, 152)]],
    }
    send = (
        "([to, body]) => fetch(location.pathname + to, "
        "{ method: 'POST', headers: { 'Content-Type': 'application/json' }, body }).then((reply) "
        "=> reply.status)"
    )
    for to in ("/chapter/took/picture-card", "/chapter/strokes/drop"):
        assert page.evaluate(send, [to, json.dumps(strokes)]) == 200


def test_axe_finds_nothing_in_the_pad_that_the_page_opens(opened, served, tmp_path):
    """Oracle: axe-core (npm); by itself, and in other colours, it is looked at with its like."""
    desk = opened(3840, 800, screen=SCREEN)
    page = desk.page

    def look(state):
        axe_finds_nothing(page, state)
        assert page.evaluate(FITS), state

    (tmp_path / "desk.yaml").write_text(to_yaml(answer(DESK.with_({"fit": "full"})).workstation))
    page.goto(
        f"{served.door.base}/pad/{served.session.open_pad(Wish(pad=[str(tmp_path / 'desk.yaml')]))}"
    )
    page.wait_for_selector("html[data-ready]")
    look("pad")
    for button in ("#pad-circle", "#pad-blind"):
        page.locator(button).press("Enter")
        look(button)


def test_the_pad_of_the_page_measures_a_stroke_and_its_strokes_stay_through_a_change_of_the_letter(
    opened,
):
    page = opened(screen=SCREEN).open(DESK).page
    show(page, "strokes")
    page.locator("#pad-circle").press("Enter")
    assert "12.6 % wider than tall" in page.inner_text("#pad-said")
    assert page.locator(".verdict b").all_inner_texts() == ["0", "8.5", "240", "135"]
    page.evaluate("document.activeElement.blur()")
    page.evaluate(
        "import(new URL('page.js', document.querySelector('script[src]').src)).then((module) => "
        "module.change({ fit: 'cropped' }, 'fit'))"
    )
    until(
        page,
        "[...document.querySelectorAll('.verdict b')].map((b) => b.textContent).join() === "
        "'0,0,240,152'",
    )
    until(page, "document.getElementById('pad-said').textContent.includes('12.6 % wider')")


def test_the_display_is_measured_with_the_arrow_keys(opened):
    """Two tries to the same card: 27 in, which then stands in the letter."""
    page = opened(1200, 900, screen=SCREEN).open(UNSIZED).page
    page.locator("#blank-displays").press("Enter")
    page.locator("[data-measure]").press("Enter")
    page.wait_for_selector("dialog[open].measure")
    assert page.evaluate("document.fullscreenElement === document.documentElement")
    pitch = 27 * 25.4 / math.hypot(2560, 1440)
    starts = set()
    assert page.evaluate("document.activeElement.className") == "edge right", (
        "the hand that is free has the keys"
    )
    for _ in range(2):
        for edge, length_mm in ((".edge.right", CARD_MM[0]), (".edge.up", CARD_MM[1])):
            handle = page.locator(edge)
            off = round(length_mm / pitch) - int(handle.get_attribute("aria-valuenow"))
            starts.add((edge, off))
            for step, times in (("Shift+Arrow", abs(off) // 10), ("Arrow", abs(off) % 10)):
                for _ in range(times):
                    handle.press(f"{step}{'Right' if off > 0 else 'Left'}")
            box = handle.bounding_box()
            assert min(box["width"], box["height"]) >= 24
        page.locator("[data-take]").press("Enter")
        until(page, "document.querySelector('dialog .result').textContent.includes('diagonal is')")
        page.evaluate("window.quiet()")
    assert len(starts) > 2, "each try begins elsewhere"
    page.locator("dialog .result button", has_text="27 in").press("Enter")
    until(page, "document.getElementById('letter').textContent.includes('27 in')")
    until(page, "!document.querySelector('dialog')")
    until(page, "!document.fullscreenElement")


def test_the_cards_sheet_refuses_a_pinched_page_and_starts_again_where_the_pixels_change(opened):
    page = opened(1200, 900, screen=SCREEN, has_touch=True).open(UNSIZED).page
    page.locator("#blank-displays").press("Enter")
    page.locator("[data-measure]").press("Enter")
    page.wait_for_selector("dialog[open].measure")
    page.locator("[data-take]").press("Enter")
    until(page, "document.querySelector('dialog .result').textContent.includes('diagonal is')")
    devtools = page.context.new_cdp_session(page)

    def started_again():
        until(page, "document.querySelector('dialog .wrong').textContent.includes('starts again')")
        until(page, "!document.querySelector('dialog .result').textContent")

    # A full screen cannot be pinched in Chromium; a window can.
    page.evaluate("document.exitFullscreen()")
    until(page, "!document.fullscreenElement")
    devtools.send("Emulation.setPageScaleFactor", {"pageScaleFactor": 2})
    until(page, "document.querySelector('dialog [data-take]').disabled")
    assert "zoomed the page" in page.inner_text("dialog .wrong")
    devtools.send("Emulation.setPageScaleFactor", {"pageScaleFactor": 1})
    until(page, "!document.querySelector('dialog [data-take]').disabled")
    screen = {"width": 1100, "height": 800, "deviceScaleFactor": 2, "mobile": False}
    devtools.send("Emulation.setDeviceMetricsOverride", screen)
    started_again()
    # The window dragged to a display of other pixels: its size stays, and nothing but the pixels'
    # own ratio changes.
    for ratio in (1, 1.5):
        page.locator("[data-take]").press("Enter")
        until(page, "document.querySelector('dialog .result').textContent.includes('diagonal is')")
        page.evaluate("document.querySelector('dialog .wrong').textContent = ''")
        devtools.send("Emulation.setDeviceMetricsOverride", {**screen, "deviceScaleFactor": ratio})
        started_again()


def test_what_a_ruler_says_is_typed_where_it_is_asked_for(opened):
    page = opened(screen=SCREEN).open(DESK).page
    page.locator("#blank-tablet").press("Enter")
    page.locator("[data-measure]").press("Enter")
    page.locator("#measure-ruler").fill("330x214mm")
    page.locator("#measure-ruler").press("Enter")
    until(page, "document.getElementById('letter').textContent.includes('330 × 214')")
    until(page, "!document.querySelector('dialog')")


def test_a_card_is_traced_on_the_page_and_its_correction_is_one_click(opened):
    """The tablet seems twice as large, so the letter is of such a one.

    The trace comes out half as large as on the tablet's own display.
    """
    page = opened(1366, 800, screen=SCREEN).open(DESK.with_({"tablet": "480x304mm"})).page
    show(page, "took")
    page.locator("[data-trace]").press("Enter")
    wide, tall = CARD_MM[0] * 2560 / 480, CARD_MM[1] * 1440 / 304
    corners = [(-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1)]
    for index in range(4 * 24 + 1):
        side, share = min(index // 24, 3), index / 24 - min(index // 24, 3)
        (x0, y0), (x1, y1) = corners[side], corners[side + 1]
        page.mouse.move(
            683 + (x0 + (x1 - x0) * share) * wide / 2, 420 + (y0 + (y1 - y0) * share) * tall / 2
        )
        if index == 0:
            page.mouse.down()
    page.mouse.up()
    page.locator("[data-measure-it]").press("Enter")
    page.wait_for_selector("#chapter-took .large")
    assert "the area does not have the display's proportions" in page.inner_text(
        "#chapter-took .large"
    )
    until(page, "document.querySelector('#chapter-took h2').textContent.includes('does not use')")
    page.locator("#chapter-took [data-copy]").first.press("Enter")
    until(page, "document.querySelector('#chapter-took .copied')")
    page.locator("#chapter-took [data-change]").press("Enter")
    until(page, "document.getElementById('letter').textContent.includes('may come out oval')")


def drop_two_outlines(desk):
    """Drop a picture with two outlines of other proportions; the frame for one of them opens.

    The right one is a card traced with the map of DESK; on the picture of 2560 x 1440 px it goes
    from 1370 to 2283 px and from 430 to 1010 px.
    """
    picture = Image.new("RGB", (2560, 1440), "white")
    draw = ImageDraw.Draw(picture)
    strokes = traced(240, 135)
    draw.line([(x + 546, y) for x, y in strokes], fill="black", width=5, joint="curve")
    draw.line([(x * 0.8 - 400, y * 1.2 - 150) for x, y in strokes], fill="black", width=5)
    content = io.BytesIO()
    picture.save(content, "PNG")
    dropped = {"name": "two.png", "mimeType": "image/png", "buffer": content.getvalue()}
    desk.page.locator("#chapter-took .trace input[type=file]").set_input_files(dropped)
    desk.page.wait_for_selector("dialog.frame[open]")
    desk.wrong.clear()  # the browser's own word on what was refused


def test_the_part_of_a_picture_in_the_frame_is_read(opened):
    """Two outlines are no answer; in a frame dragged round one of them the card is read."""
    desk = opened(1366, 800, screen=SCREEN).open(DESK)
    page = desk.page
    show(page, "took")
    drop_two_outlines(desk)
    said = page.inner_text("dialog.frame .wrong")
    assert "2 that could be it" in said
    assert "crop" not in said
    box = page.locator("dialog.frame canvas").bounding_box()
    bar = page.locator("dialog.frame .bar").bounding_box()["height"]
    scale = min(box["width"] / 2560, (box["height"] - bar) / 1440)
    left = box["x"] + (box["width"] - 2560 * scale) / 2
    top = box["y"] + bar + (box["height"] - bar - 1440 * scale) / 2
    for index, (x, y) in enumerate([(1310, 380), (1800, 700), (2350, 1060)]):
        page.mouse.move(left + x * scale, top + y * scale)
        if index == 0:
            page.mouse.down()
    page.mouse.up()
    page.locator("[data-read-frame]").press("Enter")
    page.wait_for_selector("#chapter-took .large")
    assert "the sizes of the trace agree with this desk" in page.inner_text("#chapter-took .large")


def test_the_frame_moves_and_grows_by_keys(opened):
    """It lies from 20 to 80 % of the picture, and an arrow is 2 %: 9 to the right, 6 less wide."""
    desk = opened(1366, 800, screen=SCREEN).open(DESK)
    page = desk.page
    show(page, "took")
    drop_two_outlines(desk)
    canvas = page.locator("dialog.frame canvas")
    for _ in range(9):
        canvas.press("ArrowRight")
    for _ in range(6):
        canvas.press("Shift+ArrowLeft")
    with page.expect_response(re.compile("picture-card_across~")) as asked:
        page.locator("[data-read-frame]").press("Enter")
    page.wait_for_selector("dialog.frame[open]")
    desk.wrong.clear()  # that there is no trace in it
    part = asked.value.url.rpartition("~")[2].partition("?")[0]
    assert part == "973,288,1229x864px", "38 to 86 % across, 20 to 80 % down"
