"""Where the cursor was when the pen touched the page: pixels of the desktop."""

import math

import pytest

from mapper import Desktop, Display
from mapper.problems import RequestError
from mapper.touching.sheets import SHEETS, grid_sheet, sheet_of
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


@pytest.mark.parametrize("turn_deg", [0, 90, 180, 270])
def test_sheets_are_counted_as_the_tablet_is_seen_and_fitted_as_it_was_built(turn_deg):
    meant = meant_map(turn_deg=turn_deg)
    # The turn, written by hand: what is seen at (x, y) of a 240 x 152 mm tablet.
    built = {
        0: lambda x, y: (x, y),
        90: lambda x, y: (y, 152 - x),
        180: lambda x, y: (240 - x, 152 - y),
        270: lambda x, y: (240 - y, x),
    }[turn_deg]
    for kind in SHEETS:
        dots = [(20, 20), (100, 20), (20, 130), (100, 130)]
        sheet = sheet_of(kind, meant, dots_seen_mm=dots)
        assert [pytest.approx(built(*each)) for each in sheet.seen_mm] == list(sheet.built_mm)
    squared = sheet_of("squared", meant)
    assert all(side % 5 == 0 for place in squared.seen_mm for side in place)
    assert len(set(squared.seen_mm)) == 9


def test_four_dots_are_touched_twice_and_the_printed_sheet_lies_where_the_tablet_does():
    meant = meant_map()
    assert sheet_of("marks", meant).numbers == (1, 2, 3, 4, 1, 2, 3, 4)
    assert not sheet_of("printed", meant, anywhere=True).anywhere
    assert sheet_of("squared", meant, anywhere=True).anywhere
    far = [(20, 20), (900, 20), (20, 130), (900, 130)]
    assert sheet_of("dots", meant, dots_seen_mm=far, anywhere=True).anywhere
    for wrong in ({"dots_seen_mm": far}, {"dots_seen_mm": far[:3]}):
        with pytest.raises(RequestError):
            sheet_of("dots", meant, **wrong)
    with pytest.raises(RequestError, match="printed, squared"):
        sheet_of("napkin", meant)
    with pytest.raises(RequestError, match="at least 20 mm"):
        grid_sheet(180, 10)
