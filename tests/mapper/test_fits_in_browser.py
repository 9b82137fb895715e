"""The fits against the web's own rules in headless Chromium, and against resvg.

Sources: CSS Images Module Level 3 (W3C), `object-fit` fill, contain and cover with
`object-position`; SVG 2 (W3C), section 8.7, `preserveAspectRatio` none, meet and slice. Both know
square pixels only. A picture of the tablet is fitted into a box as large as the display; these must
agree:

======== =========== ==================== =====================================================
ours     object-fit  preserveAspectRatio  what must agree
======== =========== ==================== =====================================================
full     fill        none                 where each point of the tablet comes to lie
cropped  contain     meet                 the same, and the painted box is the screen
locked   cover       slice                the same, and what can be seen of it is the area
======== =========== ==================== =====================================================
"""

import base64
import io

import numpy as np
import pytest
import resvg_py
from PIL import Image

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.solve import MapRequest
from mapper.rect import Rect
from mapper.solving import solve

pytestmark = pytest.mark.oracle

OBJECT_FIT = {"full": "fill", "cropped": "contain", "locked": "cover"}
MEET_OR_SLICE = {"full": "none", "cropped": "meet", "locked": "slice"}
# By the words of the two standards, and not by our own table: CSS names the edges, SVG the ends of
# each axis.
POSITION = {
    "top-left": "left top",
    "top": "top",
    "top-right": "right top",
    "left": "left",
    "centre": "center",
    "right": "right",
    "bottom-left": "left bottom",
    "bottom": "bottom",
    "bottom-right": "right bottom",
}
ALIGN = {
    "top-left": "xMinYMin",
    "top": "xMidYMin",
    "top-right": "xMaxYMin",
    "left": "xMinYMid",
    "centre": "xMidYMid",
    "right": "xMaxYMid",
    "bottom-left": "xMinYMax",
    "bottom": "xMidYMax",
    "bottom-right": "xMaxYMax",
}

# Tablet in mm, display in px: wider and taller than each other, portrait, equal, extreme, and of
# odd sizes.
SIZES = [
    ((240, 135), (1920, 1080)),
    ((240, 152), (1280, 720)),
    ((152, 240), (1280, 720)),
    ((240, 152), (540, 960)),
    ((160, 90), (1280, 720)),
    ((300, 100), (640, 480)),
    ((133.7, 88.3), (1366, 768)),
]
CASES = [
    (tablet, display, fit, hold)
    for tablet, display in SIZES
    for fit in OBJECT_FIT
    for hold in ALIGN
]
# Pictures take longer than boxes: one of each kind, each fit wider and taller than its other side.
PICTURES = [
    ((240, 135), (1920, 1080), "full", "centre"),
    ((152, 240), (1280, 720), "full", "top-left"),
    ((240, 152), (540, 960), "cropped", "bottom"),
    ((133.7, 88.3), (1366, 768), "cropped", "right"),
    ((300, 100), (640, 480), "locked", "top-left"),
    ((240, 152), (1280, 720), "locked", "bottom-right"),
]


def solved_map(tablet, display, fit, hold):
    return solve(MapRequest(Tablet(*tablet), Desktop((Display(*display),)), fit, hold))


def marker_of(solved):
    """A mark on the tablet, mm, that every map shows whole.

    The middle part of the area, off its centre.
    """
    area = solved.area_seen_mm
    return Rect(
        area.left + 0.2 * area.width,
        area.top + 0.3 * area.height,
        0.5 * area.width,
        0.6 * area.height,
    )


def preserve_aspect_ratio(fit, hold):
    if fit == "full":
        return "none"
    return f"{ALIGN[hold]} {MEET_OR_SLICE[fit]}"


def svg(tablet, display, mark, aspect):
    """A picture of the tablet with a black mark on it, fitted into a box of the display's size."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{display[0]}" height="{display[1]}" '
        f'viewBox="0 0 {tablet[0]} {tablet[1]}" preserveAspectRatio="{aspect}">'
        f'<rect x="{mark.left!r}" y="{mark.top!r}" width="{mark.width!r}" '
        f'height="{mark.height!r}"/></svg>'
    )


def edges_px(picture):
    """Edges of the one black rectangle of a picture on white, to a part of a pixel.

    Left, top, right and bottom. A pixel at an edge is as dark as the part of it that is covered.
    """
    cover = 1.0 - np.asarray(picture.convert("L"), dtype=np.float64) / 255.0
    edges = []
    for line in (cover.max(axis=0), cover.max(axis=1)):
        (inked,) = np.nonzero(line)
        first, last = inked[0], inked[-1]
        edges.append((first + 1 - line[first], last + line[last]))
    (left, right), (top, bottom) = edges
    return left, top, right, bottom


def expected_edges_px(solved, mark):
    left, top = solved.seen_mm_to_desktop_px.point(mark.left, mark.top)
    right, bottom = solved.seen_mm_to_desktop_px.point(mark.right, mark.bottom)
    return left, top, right, bottom


@pytest.fixture(scope="module")
def page(browser):
    opened = browser.new_page()
    yield opened
    opened.close()


def test_preserve_aspect_ratio_in_chromium(page):
    """Chromium's own matrix from the picture to the box, and the boxes that it lays out.

    For all cases at once.
    """
    pictures = [
        svg(
            tablet,
            display,
            marker_of(solved_map(tablet, display, fit, hold)),
            preserve_aspect_ratio(fit, hold),
        )
        for tablet, display, fit, hold in CASES
    ]
    measured = page.evaluate(
        """pictures => pictures.map(picture => {
            document.body.style.margin = "0";
            document.body.innerHTML = picture;
            const svg = document.querySelector("svg"), mark = svg.querySelector("rect");
            svg.style.display = "block";
            const {a, b, c, d, e, f} = mark.getScreenCTM(), box = mark.getBoundingClientRect();
            return {matrix: [a, c, e, b, d, f], box: [box.left, box.top, box.right, box.bottom]};
        })""",
        pictures,
    )
    for case, found in zip(CASES, measured, strict=True):
        solved = solved_map(*case)
        # Chromium computes layout in single precision: seven digits of numbers up to 2000.
        slack_px = 2e-3
        assert found["box"] == pytest.approx(
            expected_edges_px(solved, marker_of(solved)), abs=slack_px
        ), case
        (a, b, c), (d, e, f) = solved.seen_mm_to_desktop_px.rows[:2]
        assert found["matrix"] == pytest.approx((a, b, c, d, e, f), rel=1e-6, abs=slack_px), case
        # What can be seen of the tablet through the box of the display, or the box that the whole
        # tablet fills.
        width_px, height_px = case[1]
        left, top = found["matrix"][2], found["matrix"][5]
        scale_x, scale_y = found["matrix"][0], found["matrix"][4]
        if case[2] == "cropped":
            box_px = (left, top, case[0][0] * scale_x, case[0][1] * scale_y)
            screen = solved.screen_px
            assert (screen.left, screen.top, screen.width, screen.height) == pytest.approx(
                box_px, abs=slack_px
            ), case
        else:
            visible_mm = (-left / scale_x, -top / scale_y, width_px / scale_x, height_px / scale_y)
            area = solved.area_seen_mm
            assert (area.left, area.top, area.width, area.height) == pytest.approx(
                visible_mm, abs=1e-3
            ), case


@pytest.mark.parametrize(("tablet", "display", "fit", "hold"), PICTURES)
def test_object_fit_in_chromium(page, tablet, display, fit, hold):
    """A real page with a real picture in a real box, photographed.

    The mark's edges are looked for in the photograph.
    """
    solved = solved_map(tablet, display, fit, hold)
    mark = marker_of(solved)
    # The picture itself keeps its proportions whatever happens to it; only object-fit decides how
    # it meets the box.
    picture = svg(tablet, tablet, mark, "none").encode()
    page.set_viewport_size({"width": display[0], "height": display[1]})
    page.set_content(
        f'<body style="margin:0; background:white"><img '
        f'src="data:image/svg+xml;base64,{base64.b64encode(picture).decode()}" '
        f'style="display:block; width:{display[0]}px; height:{display[1]}px; '
        f"object-fit:{OBJECT_FIT[fit]}; "
        f'object-position:{POSITION[hold]}">'
    )
    page.wait_for_function("document.images[0].complete && document.images[0].naturalWidth > 0")
    photograph = Image.open(io.BytesIO(page.screenshot()))
    assert photograph.size == display
    # Chromium lays pictures on whole pixels: each edge of its box may be off by a half.
    assert edges_px(photograph) == pytest.approx(expected_edges_px(solved, mark), abs=0.5)


@pytest.mark.parametrize(("tablet", "display", "fit", "hold"), PICTURES)
def test_preserve_aspect_ratio_in_resvg(tablet, display, fit, hold):
    solved = solved_map(tablet, display, fit, hold)
    mark = marker_of(solved)
    drawn = resvg_py.svg_to_bytes(
        svg_string=svg(tablet, display, mark, preserve_aspect_ratio(fit, hold)),
        background="#ffffff",
        skip_system_fonts=True,
    )
    picture = Image.open(io.BytesIO(bytes(drawn)))
    assert picture.size == display
    # resvg covers pixels in steps, of up to a quarter from one to the next.
    assert edges_px(picture) == pytest.approx(expected_edges_px(solved, mark), abs=0.13)
