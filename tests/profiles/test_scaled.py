"""Pixels as a system counts them under its zoom, and those of the display.

A system divides a display's pixels by its zoom and rounds to whole ones: 2560 x 1440 at 150 % is
1707 x 960 (arithmetic, by hand). Which pixels displays have is common practice, no source.
"""

import pytest

from profiles.doubts import hearing
from profiles.scaled import own_pixels
from profiles.shorthand import parse_displays


@pytest.mark.parametrize(
    ("counted", "own"),
    [
        ((1707, 960), (2560, 1440, 150)),
        ((1706, 960), (2560, 1440, 150)),
        ((1536, 864), (1920, 1080, 125)),
        ((2194, 1234), (3840, 2160, 175)),
        ((1097, 617), (1920, 1080, 175)),
        ((960, 1707), (1440, 2560, 150)),
    ],
)
def test_counted_pixels_are_known_again(counted, own):
    assert own in own_pixels(*counted)
    assert [each.zoom_percent for each in own_pixels(*counted)] == sorted(
        each.zoom_percent for each in own_pixels(*counted)
    )


@pytest.mark.parametrize(
    "pixels", [(2560, 1440), (1920, 1080), (1366, 768), (3440, 1440), (1280, 1024), (1234, 777)]
)
def test_a_display_s_own_pixels_are_not_asked_about(pixels):
    assert own_pixels(*pixels) == []
    doubts = []
    with hearing(doubts.append):
        parse_displays(("27in {}x{}".format(*pixels),), "--display")
    assert not [each for each in doubts if "%" in each.sentence]


def test_with_its_zoom_said_nothing_is_asked():
    doubts = []
    with hearing(doubts.append):
        parse_displays(("27in 1707x960 zoom 1.5",), "--display")
    assert doubts == []
