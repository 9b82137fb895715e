"""How the source meets the target: the three fits and the hold.

Words of design: ``full`` keeps both whole; ``locked`` trims the source to the target's physical
proportions; ``cropped`` trims the target to the source's.
"""

from __future__ import annotations

from typing import Literal, get_args

from mapper.problems import one_of
from mapper.rect import Rect
from mapper.units import agree

Fit = Literal["full", "locked", "cropped"]
FITS: tuple[Fit, ...] = get_args(Fit)

Hold = Literal[
    "centre",
    "left",
    "right",
    "top",
    "bottom",
    "top-left",
    "top-right",
    "bottom-left",
    "bottom-right",
]

#: Which part stays when something is trimmed: the shares of the spare length left and above.
HOLDS: dict[Hold, tuple[float, float]] = {
    "centre": (0.5, 0.5),
    "left": (0.0, 0.5),
    "right": (1.0, 0.5),
    "top": (0.5, 0.0),
    "bottom": (0.5, 1.0),
    "top-left": (0.0, 0.0),
    "top-right": (1.0, 0.0),
    "bottom-left": (0.0, 1.0),
    "bottom-right": (1.0, 1.0),
}


def place(outer: Rect, width: float, height: float, hold: str) -> Rect:
    """A rectangle of ``width`` by ``height`` in ``outer``, at its ``hold``.

    All in the unit of ``outer``. Raises RequestError for an unknown hold.
    """
    across, down = HOLDS[one_of(hold, HOLDS, "hold")]
    return Rect(
        outer.left + (outer.width - width) * across,
        outer.top + (outer.height - height) * down,
        width,
        height,
    )


def trimmed(outer: Rect, width: float, height: float, hold: str) -> Rect:
    """The largest part of ``outer`` with the proportions ``width`` to ``height``, at its ``hold``.

    The longer side is cut: ``min(W, H·w/h)`` by ``min(H, W·h/w)``; the side that stays is
    ``outer``'s own to the last bit. ``width`` and ``height`` may be in any unit, as only their
    ratio counts. Where the proportions agree but for rounding, nothing is cut: ``outer`` itself
    comes back.

    >>> trimmed(Rect(0, 0, 240, 152), 16, 9, "centre")
    Rect(left=0.0, top=8.5, width=240.0, height=135.0)
    """
    if agree(outer.width * height, outer.height * width):
        return outer
    if outer.width * height > outer.height * width:
        return place(outer, outer.height * width / height, outer.height, hold)
    return place(outer, outer.width, outer.width * height / width, hold)


def fit_rects(
    source: Rect,
    target: Rect,
    fit: str,
    hold: str,
    *,
    x_mm_per_px: float = 1.0,
    y_mm_per_px: float = 1.0,
) -> tuple[Rect, Rect]:
    """The area and the screen that ``fit`` makes of ``source`` and ``target``.

    ``source`` and the area are in mm of the seen frame, ``target`` and the screen in px of the
    desktop frame. ``x_mm_per_px`` and ``y_mm_per_px`` are the pixel pitch of the display that is to
    be true; equal values stand for square pixels of unknown size. Raises RequestError for an
    unknown fit or hold.

    >>> area, screen = fit_rects(Rect(0, 0, 240, 152), Rect(0, 0, 1920, 1080), "cropped", "left")
    >>> screen.height, round(screen.width, 2)
    (1080.0, 1705.26)
    """
    one_of(fit, FITS, "fit")
    one_of(hold, HOLDS, "hold")
    area, screen = source, target
    if fit == "locked":
        area = trimmed(source, target.width * x_mm_per_px, target.height * y_mm_per_px, hold)
    elif fit == "cropped":
        screen = trimmed(target, source.width / x_mm_per_px, source.height / y_mm_per_px, hold)
    return area, screen
