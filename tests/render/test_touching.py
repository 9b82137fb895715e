"""Where the cursor was when the pen touched the page: pixels of the desktop."""

import math

import pytest

from mapper import Desktop, Display
from mapper.problems import RequestError
from mapper.touching.sheets import sheet_of
from render.desk.bodies import PageFrame
from render.desk.touching import cursor_px, display_under, touches_of
from tests.touched import meant_map

MAIN = Display(2560, 1440, label="main")
TWO = Desktop((MAIN, Display(1920, 1080, left_px=2560, top_px=200, label="side")))
FULL = PageFrame(inner=(2560, 1440), screen=(2560, 1440), full=True)


@pytest.mark.parametrize("ratio", [0.5, 1.0, 1.25, 1.5, 2.0, 3.0])
def test_in_full_screen_a_place_in_the_window_is_exact_at_any_zoom(ratio):
    frame = PageFrame(
        ratio=ratio,
        inner=(math.floor(2560 / ratio), math.floor(1440 / ratio)),
        screen=(2560, 1440),
        full=True,
        zoomed=True,
    )
    display = display_under(Desktop((MAIN,)), frame)
    # What the screen says is of no account then.
    x_px, y_px = cursor_px((9, 9, 1000 / ratio, 700 / ratio), display, frame)
    assert (x_px, y_px) == pytest.approx((1000.5, 700.5))


def test_without_full_screen_the_place_on_the_screen_counts():
    frame = PageFrame(ratio=2.0, inner=(1000, 600), screen=(2560, 1440))
    display = display_under(Desktop((MAIN,)), frame)
    assert cursor_px((500, 350, 400, 250), display, frame) == (1000.5, 700.5)


def test_the_last_pixel_is_the_edge_however_large_a_css_px_is():
    for ratio in (1.0, 1.5, 2.0):
        frame = PageFrame(
            ratio=ratio, inner=(2560 / ratio, 1440 / ratio), screen=(2560, 1440), full=True
        )
        last = math.floor(2559 / ratio), math.floor(1439 / ratio)
        assert cursor_px((0, 0, *last), MAIN, frame) == (2560, 1440)
        assert cursor_px((0, 0, 0, 0), MAIN, frame) == (0, 0)


def test_the_second_display_begins_where_the_letter_says():
    frame = PageFrame(inner=(1920, 1080), screen=(1920, 1080), full=True)
    display = display_under(TWO, frame)
    assert display.label == "side"
    assert cursor_px((0, 0, 100, 50), display, frame) == (2660.5, 250.5)


@pytest.mark.parametrize(
    ("desktop", "frame", "words"),
    [
        (TWO, PageFrame(inner=(800, 600), screen=(800, 600)), "800 × 600 pixels"),
        (TWO, PageFrame(inner=(900, 600), screen=(2560, 1440)), "fill the display"),
        (
            Desktop((MAIN,)),
            PageFrame(ratio=1.25, inner=(900, 600), screen=(2560, 1440), zoomed=True),
            "zoom to 100",
        ),
        (Desktop((MAIN,)), PageFrame(screen=(2560, 1440), pinched=True), "two fingers"),
    ],
)
def test_a_page_that_cannot_tell_says_why_and_what_to_do(desktop, frame, words):
    with pytest.raises(RequestError, match=words):
        display_under(desktop, frame)


def test_the_display_that_was_named_must_have_the_pixels_of_the_screen():
    with pytest.raises(RequestError, match="2560 × 1440 pixels"):
        display_under(TWO, FULL, "side")
    assert display_under(TWO, FULL, "main") == MAIN


def test_a_touch_for_each_cross_and_no_other_number():
    meant = meant_map()
    sheet = sheet_of("printed", meant)
    places = [(0, 0, 10.0 * at, 20.0) for at in range(9)]
    touches = touches_of(places, sheet, MAIN, FULL)
    assert [(each.x_mm, each.y_mm) for each in touches] == list(sheet.built_mm)
    assert touches[3].x_px == 30.5
    with pytest.raises(RequestError, match="one for each cross"):
        touches_of(places[:8], sheet, MAIN, FULL)
