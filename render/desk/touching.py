"""Where the cursor was when the pen touched the page, in pixels of the desktop.

A browser gives places in CSS px: of the screen and of its window. In full screen the window fills
its display, and a place in it times the pixel ratio is exact at any zoom of the page. Else the
place on the screen times the ratio is exact where the page is not zoomed (seen in Chromium and
Firefox at 100 to 200 %). So the page is asked for, whatever else is the case, before anything is
touched, and a wrong display or a zoomed page is told then.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.touching.fit import Touch
from render.sentences.say import say

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.desk import Desktop, Display
    from mapper.touching.sheets import Sheet
    from render.desk.bodies import PageFrame, PenPlace

#: A window whose size differs by no more from the display's fills it, px.
_FILLS_PX = 3.0


def display_under(desktop: Desktop, frame: PageFrame, label: str = "") -> Display:
    """The display on which the page is: the one called ``label``, or the only one of these pixels.

    Raises RequestError, with what to do, for a page that cannot tell where the cursor is.
    """
    if frame.pinched:
        raise RequestError(
            Problem(
                say("the page"),
                phrase("must not be zoomed with two fingers"),
                instead=phrase("Pinch it back to its normal size"),
            )
        )
    named = [each for each in desktop.displays if each.label == label]
    alike = [each for each in named or desktop.displays if _has_pixels(each, frame)]
    if not alike:
        width, height = (round(each) for each in frame.screen)
        must = phrase("must be on a display of your desk, and none of them has this many pixels")
        came = phrase("{width} × {height} pixels", width=width, height=height)
        instead = phrase("Move this window to it, or correct the display in the description")
        raise RequestError(Problem(say("the page"), must, came, instead))
    if not _fills(alike[0], frame) and (frame.zoomed or len(desktop.displays) > 1):
        must = phrase("must fill the display at 100 % zoom")
        instead = phrase("Set the page's zoom to 100 % and let it fill the display")
        raise RequestError(Problem(say("the page"), must, instead=instead))
    return alike[0]


def cursor_px(place: PenPlace, display: Display, frame: PageFrame) -> tuple[float, float]:
    """Where the cursor was, desktop px: the middle of its pixel, or an edge of the display."""
    screen_x, screen_y, client_x, client_y = place
    rect = display.rect_px
    if _fills(display, frame):
        x_px, y_px = rect.left + client_x * frame.ratio, rect.top + client_y * frame.ratio
    else:
        x_px, y_px = screen_x * frame.ratio, screen_y * frame.ratio
    # A CSS px may be several of the display's: the last one still is its edge.
    slack = max(1.0, frame.ratio)
    return (
        _snapped(x_px + 0.5, rect.left, rect.right, slack),
        _snapped(y_px + 0.5, rect.top, rect.bottom, slack),
    )


def touches_of(
    places: Sequence[PenPlace], sheet: Sheet, display: Display, frame: PageFrame
) -> list[Touch]:
    """The touches of a sheet's crosses, in their order.

    Raises RequestError where there are not as many as crosses.
    """
    if len(places) != len(sheet.built_mm):
        must = phrase("must be one for each cross")
        raise RequestError(Problem(say("touches"), must, str(len(places))))
    return [
        Touch(*cross, *cursor_px(place, display, frame))
        for cross, place in zip(sheet.built_mm, places, strict=True)
    ]


def _has_pixels(display: Display, frame: PageFrame) -> bool:
    # What a screen says of itself is rounded to CSS px.
    slack = 2 * max(1.0, frame.ratio)
    return (
        math.isclose(display.width_px, frame.screen[0], abs_tol=slack)
        and math.isclose(display.height_px, frame.screen[1], abs_tol=slack)
    ) or _fills(display, frame)


def _fills(display: Display, frame: PageFrame) -> bool:
    """Whether the page's window shows nothing but the page on all of the display."""
    wide, high = (length * frame.ratio for length in frame.inner)
    slack = _FILLS_PX * max(1.0, frame.ratio)
    return (frame.full and abs(wide - display.width_px) <= slack) and abs(
        high - display.height_px
    ) <= slack


def _snapped(value_px: float, low_px: float, high_px: float, slack_px: float) -> float:
    if value_px - low_px <= slack_px:
        return low_px
    return high_px if high_px - value_px <= slack_px else value_px
