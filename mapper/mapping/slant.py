"""A tablet that lies askew: the largest rectangle in it that is upright to the artist.

A slant is how far the tablet lies turned clockwise beyond its quarter turn, from -45 to 45 degrees.
To the tablet an upright rectangle is turned the other way. It is given here in the seen frame as it
was before it was turned about its own centre, as forms with a field for an angle have it.

So every angle has one description, and the map is that of the area turned back by the slant.
``full`` and ``cropped`` use the largest upright rectangle of any proportions, ``locked`` the
largest of the target's.

A driver without a field for an angle gets the fit as if the tablet lay straight
(``solve.unturned_map``), and that is also what a step rounds. Whatever the proportions of a
rectangle that is not turned, strokes are tilted by the slant, and any other than this one stretches
them besides.
"""

from __future__ import annotations

import math

from mapper.mapping.fits import place, trimmed
from mapper.rect import Rect, turned_extent


def slanted_fit(
    source: Rect,
    target: Rect,
    fit: str,
    hold: str,
    slant_deg: float,
    *,
    x_mm_per_px: float = 1.0,
    y_mm_per_px: float = 1.0,
) -> tuple[Rect, Rect]:
    """The area and the screen of a tablet that lies askew by ``slant_deg``.

    The area is in the seen frame, before it is turned by ``-slant_deg`` about its centre. Arguments
    as in fits.fit_rects, where the largest upright rectangle stands for the source: the largest of
    the target's proportions for ``locked``, the largest of any for ``full`` and ``cropped``.
    ``hold`` places the box that the turned area fills.
    """
    if fit == "locked":
        width, height = target.width * x_mm_per_px, target.height * y_mm_per_px
        box = turned_extent(width, height, slant_deg)
        times = min(source.width / box[0], source.height / box[1])
        return place_turned(source, width * times, height * times, hold, slant_deg), target
    area = place_turned(
        source, *largest_upright(source.width, source.height, slant_deg), hold, slant_deg
    )
    if fit == "cropped":
        return area, trimmed(target, area.width / x_mm_per_px, area.height / y_mm_per_px, hold)
    return area, target


def tilt_deg(m11: float, m12: float, m21: float, m22: float) -> float:
    """How far a linear map turns what is drawn, clockwise: the rotation of its polar decomposition.

    The rotation that is nearest to the map: ``atan2(m21 - m12, m11 + m22)`` for a map that does not
    mirror (N. J. Higham, Functions of Matrices, chapter 8, not checked against the source).
    """
    return math.degrees(math.atan2(m21 - m12, m11 + m22)) + 0.0


def place_turned(source: Rect, width: float, height: float, hold: str, slant_deg: float) -> Rect:
    """A rectangle of this size whose box, once turned, lies at the ``hold`` of ``source``.

    The rectangle is given before it is turned by ``slant_deg``.
    """
    if not slant_deg:
        return place(source, width, height, hold)
    return Rect.about(
        place(source, *turned_extent(width, height, slant_deg), hold).centre, width, height
    )


def largest_upright(
    width: float,
    height: float,
    angle_deg: float,
    most_width: float = math.inf,
    most_height: float = math.inf,
) -> tuple[float, float]:
    """Sides of the largest rectangle that fits into ``width`` by ``height`` when turned.

    It is turned by ``angle_deg`` and no larger than ``most_width`` by ``most_height``. Upright size
    w, h has to satisfy ``w·c + h·s ≤ W`` and ``w·s + h·c ≤ H``. Without limits the product w·h is
    largest where the shorter side's line alone binds, at the middle of that line, if that point
    keeps the other; else where both bind. Log w + log h is concave, so where that breaks a limit
    the best lies on one that it breaks: there the other side is as long as lines and limits let it
    be.

    >>> largest_upright(240, 152, 0)
    (240, 152)
    >>> width, height = largest_upright(240, 152, 10)
    >>> round(width, 1), round(height, 1)
    (223.4, 114.9)
    """
    cosine, sine = abs(math.cos(math.radians(angle_deg))), abs(math.sin(math.radians(angle_deg)))
    # Less than a millionth of a millionth turns no side by its own rounding.
    if sine < 1e-12:
        return min(width, most_width), min(height, most_height)
    if min(width, height) <= 2 * sine * cosine * max(width, height):
        half = min(width, height) / 2
        best = (half / sine, half / cosine) if width >= height else (half / cosine, half / sine)
    else:
        double = cosine * cosine - sine * sine
        best = (width * cosine - height * sine) / double, (height * cosine - width * sine) / double
    if best[0] <= most_width and best[1] <= most_height:
        return best
    # The best on a limit that is not broken fits as well, and is no larger.
    high = min((width - most_width * cosine) / sine, (height - most_width * sine) / cosine)
    wide = min((width - most_height * sine) / cosine, (height - most_height * cosine) / sine)
    found = (most_width, min(most_height, high)), (min(most_width, wide), most_height)
    return max((sides for sides in found if min(sides) > 0), key=lambda sides: sides[0] * sides[1])
