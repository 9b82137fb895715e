"""Parts of a desktop, against desktops painted pixel by pixel."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.ndimage import label as connected

from mapper.desk import Desktop, Display
from mapper.mapping.windows import islands, logical_rect, target_of
from mapper.problems import RequestError
from mapper.rect import Rect
from tests.strategies import desktops

DESK = Desktop((Display(100, 60), Display(40, 80, left_px=100, top_px=-10, label="side")))


@st.composite
def small_desktops(draw):
    """One to four displays of a few pixels, anywhere, the first at 0,0; never overlapping."""
    displays = [Display(draw(st.integers(1, 6)), draw(st.integers(1, 6)), label="0")]
    for index in range(1, draw(st.integers(1, 4))):
        display = Display(
            draw(st.integers(1, 6)),
            draw(st.integers(1, 6)),
            left_px=draw(st.integers(-8, 8)),
            top_px=draw(st.integers(-8, 8)),
            label=str(index),
        )
        if not any(display.rect_px.overlap(other.rect_px) for other in displays):
            displays.append(display)
    return Desktop(tuple(displays))


def painted(desktop):
    """The desktop pixel by pixel, and the px of its first pixel.

    0 where no display is, else its number from 1.
    """
    whole = desktop.rect_px
    pixels = np.zeros((int(whole.height), int(whole.width)), dtype=int)
    for number, display in enumerate(desktop.displays, 1):
        left, top = display.left_px - int(whole.left), display.top_px - int(whole.top)
        pixels[top : top + display.height_px, left : left + display.width_px] = number
    return pixels, (int(whole.left), int(whole.top))


@pytest.mark.oracle
@given(small_desktops())
def test_islands_are_the_connected_parts_that_scipy_labels(desktop):
    pixels, _ = painted(desktop)
    # By edges, not corners: scipy's default structure.
    labels, _ = connected(pixels > 0)
    expected = {}
    for number, display in enumerate(desktop.displays, 1):
        expected.setdefault(int(labels[pixels == number][0]), []).append(display.label)
    found = {tuple(display.label for display in group) for group in islands(desktop)}
    assert found == {tuple(group) for group in expected.values()}


@pytest.mark.oracle
@given(small_desktops(), st.data())
def test_covered_share_is_the_share_of_painted_pixels(desktop, data):
    pixels, (first_x, first_y) = painted(desktop)
    height, width = pixels.shape
    left, top = data.draw(st.integers(0, width - 1)), data.draw(st.integers(0, height - 1))
    right, bottom = data.draw(st.integers(left + 1, width)), data.draw(st.integers(top + 1, height))
    rect = Rect(first_x + left, first_y + top, right - left, bottom - top)
    touched = {
        desktop.displays[number - 1].label
        for number in np.unique(pixels[top:bottom, left:right])
        if number
    }
    if touched:
        assert {display.label for display in target_of(desktop, (), rect).displays} == touched
    else:
        with pytest.raises(RequestError, match="must touch a display"):
            target_of(desktop, (), rect)


@given(desktops())
def test_a_target_over_displays_encloses_them_and_nothing_more(desktop):
    labels = tuple(display.label for display in desktop.displays)
    assert target_of(desktop, labels, None).rect_px == desktop.rect_px
    for display in desktop.displays:
        target = target_of(desktop, (display.label,), None)
        assert target.rect_px == display.rect_px
        # A window as large as a display is the same target.
        assert target_of(desktop, (), display.rect_px) == target
    assert target_of(desktop, (), None).displays == (desktop.primary,)


@pytest.mark.parametrize(
    ("onto", "window", "says"),
    [
        ((), Rect(-1, 0, 50, 50), "must lie within the desktop, 140x80 px at 0,-10"),
        ((), Rect(0, 0, 141, 50), "must lie within the desktop"),
        ((), Rect(10, -10, 20, 5), "must touch a display"),
        (("side",), Rect(0, 0, 50, 50), "must touch side and no other"),
        (("main",), Rect(0, 0, 120, 50), "which touches main . side"),
        (("mian",), None, "Did you mean main"),
    ],
)
def test_what_is_no_target_is_refused(onto, window, says):
    with pytest.raises(RequestError, match=says):
        target_of(DESK, onto, window)


def test_logical_pixels_start_at_the_display_itself():
    side = Display(3840, 2160, left_px=2560, top_px=-300, label="side", zoom=1.5)
    assert logical_rect(side, Rect(2560 + 300, 0, 1500, 600)) == Rect(200, 200, 1000, 400)
    assert logical_rect(side, Rect(0, 0, 100, 100)) is None
    # What reaches beyond the display is cut.
    assert logical_rect(side, Rect(0, -300, 10_000, 10_000)) == Rect(0, 0, 2560, 1440)
