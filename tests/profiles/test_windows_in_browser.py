"""Windows in pixels and percent, and what is fitted into them.

Against boxes that headless Chromium lays out.

Source: CSS Positioned Layout 3 (W3C) for boxes within boxes, SVG 2 (W3C) section 8.7 for what is
fitted into the innermost. The desktop is one box, each display a box at its place in it, the window
a box in percent of its display (or in px of the desktop), and the tablet a picture fitted into the
window.
"""

import itertools

import pytest

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.solve import MapRequest
from mapper.solving import solve
from profiles.rectangles import parse_window

pytestmark = pytest.mark.oracle

# Chromium lays out in 64ths of a pixel.
LAYOUT_PX = 1 / 64

DESKS = {
    "one": (Display(1280, 720),),
    "portrait beside": (
        Display(1000, 600),
        Display(400, 900, left_px=1000, top_px=-150, label="side"),
    ),
    "left and above": (
        Display(800, 600),
        Display(640, 480, left_px=-640, top_px=60, label="left"),
        Display(1024, 576, left_px=-100, top_px=-576, label="above"),
    ),
}
#: Windows as they are typed, and by hand their left, top, width and height in percent.
WINDOWS = {
    "10,10,80x80%": (10, 10, 80, 80),
    "0,0,50x100%": (0, 0, 50, 100),
    "12.5,33.3,61.7x44.4%": (12.5, 33.3, 61.7, 44.4),
    "centre 50,50,30x70%": (35, 15, 30, 70),
    "5,5 to 95,60%": (5, 5, 90, 55),
}
FITS = {"full": "none", "cropped": "xMidYMid meet", "locked": "xMidYMid slice"}


@pytest.fixture(scope="module")
def page(browser):
    page = browser.new_page(viewport={"width": 2400, "height": 1800})
    yield page
    page.close()


def html(desktop, label, window_css, aspect, tablet):
    """The nested boxes as a page.

    The desktop's box is at 0,0 of the page, so positions count from its own top left.
    """
    whole = desktop.rect_px
    boxes = []
    for display in desktop.displays:
        inner = ""
        if display.label == label:
            inner = (
                f'<div id="window" style="{window_css}"><svg width="100%" height="100%" '
                f'style="display:block"'
                f' viewBox="0 0 {tablet.width_mm} {tablet.height_mm}" '
                f'preserveAspectRatio="{aspect}">'
                f'<rect id="tablet" width="{tablet.width_mm}" '
                f'height="{tablet.height_mm}"/></svg></div>'
            )
        place = f"left:{display.left_px - whole.left}px;top:{display.top_px - whole.top}px"
        size = f"width:{display.width_px}px;height:{display.height_px}px"
        boxes.append(f'<div style="{place};{size}">{inner}</div>')
    return f"<style>*{{margin:0}} div{{position:absolute}}</style>{''.join(boxes)}"


def measured(page, selector, desktop):
    """A box as Chromium laid it out, in the desktop frame."""
    box = page.eval_on_selector(selector, "each => each.getBoundingClientRect().toJSON()")
    whole = desktop.rect_px
    return box["x"] + whole.left, box["y"] + whole.top, box["width"], box["height"]


@pytest.mark.parametrize("fit", FITS)
@pytest.mark.parametrize("desk", DESKS)
def test_a_window_in_percent_and_what_is_fitted_into_it(page, desk, fit):
    desktop, tablet = Desktop(DESKS[desk]), Tablet(240, 152)
    for display, window in itertools.product(desktop.displays, WINDOWS):
        left, top, width, height = WINDOWS[window]
        css = f"left:{left}%;top:{top}%;width:{width}%;height:{height}%"
        page.set_content(html(desktop, display.label, css, FITS[fit], tablet))
        rect = parse_window(f"{window} of {display.label}", "--window", desktop, ())
        laid_out = measured(page, "#window", desktop)
        assert (rect.left, rect.top, rect.width, rect.height) == pytest.approx(
            laid_out, abs=2 * LAYOUT_PX
        )
        solved = solve(MapRequest(tablet, desktop, fit, window_px=rect))
        screen, area = solved.screen_px, solved.area_seen_mm
        painted = measured(page, "#tablet", desktop)
        if fit != "locked":
            reached = screen.left, screen.top, screen.width, screen.height
            assert reached == pytest.approx(painted, abs=4 * LAYOUT_PX), (display, window)
            continue
        # Slice paints beyond the window; what of the tablet lies within it is the area.
        assert screen == rect
        px_per_mm = painted[2] / tablet.width_mm
        assert painted[3] / tablet.height_mm == pytest.approx(px_per_mm, rel=1e-3)
        seen_px = rect.left - painted[0], rect.top - painted[1], rect.width, rect.height
        seen_mm = pytest.approx(
            [each / px_per_mm for each in seen_px], abs=6 * LAYOUT_PX / px_per_mm
        )
        assert [area.left, area.top, area.width, area.height] == seen_mm, (display, window)


@pytest.mark.parametrize("desk", DESKS)
def test_a_window_in_pixels_of_a_display(page, desk):
    desktop, tablet = Desktop(DESKS[desk]), Tablet(240, 152)
    for display in desktop.displays:
        page.set_content(
            html(
                desktop,
                display.label,
                "left:40px;top:25px;width:300px;height:200px",
                "none",
                tablet,
            )
        )
        rect = parse_window(f"40,25,300x200px of {display.label}", "--window", desktop, ())
        assert (rect.left, rect.top, rect.width, rect.height) == measured(page, "#window", desktop)
        assert parse_window(f"{rect.left},{rect.top},300x200px", "--window", desktop, ()) == rect
