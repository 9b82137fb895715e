"""Every tablet with every display: scale factor, lost area, and counts per pixel.

All figures are those of a ``locked`` map of the whole active area onto the whole display: the area
trimmed to the display's physical proportions, so circles stay round.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.fits import trimmed
from mapper.mapping.solve import MapRequest
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.solving import solve
from mapper.units import mm_of_inches, positive

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from mapper.choosing.recommended import Band

#: The four sizes in which screenless tablets are usually sold (common practice, no source:
#: diagonals of about 7, 11, 15 and 22 inches). The sides are round numbers near those, 16:10, of
#: nobody's in particular.
CUSTOMARY_TABLETS = (
    Tablet(150, 94, label="small"),
    Tablet(230, 144, label="medium"),
    Tablet(320, 200, label="large"),
    Tablet(480, 300, label="extra large"),
)

#: Proportions of displays that are in use, width to height.
USUAL_ASPECTS = ((16, 9), (16, 10), (3, 2), (4, 3), (21, 9), (32, 9))

#: Usual displays: diagonal in inches, pixels, square pixels. Their labels can be typed.
USUAL_DISPLAYS = tuple(
    Display(width_px, height_px, label=f"{inches}in-{name}").with_diagonal(mm_of_inches(inches))
    for inches, name, width_px, height_px in (
        (20, "hd+", 1600, 900),
        (24, "fhd", 1920, 1080),
        (27, "qhd", 2560, 1440),
        (32, "4k", 3840, 2160),
        (40, "4k", 3840, 2160),
        (50, "4k", 3840, 2160),
    )
)

#: Width to height.
Aspect = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Pair:
    """One tablet with one display.

    ``scale_factor``: mm on the glass for mm under the hand, None where the display's size is
    unknown (square pixels are assumed then). ``area_width_mm``, ``area_height_mm``: the trimmed
    area, seen frame. ``area_lost_percent`` of the active area. ``counts_per_px``: the smaller of
    the two directions, None where the resolution is unknown.
    """

    tablet: Tablet
    display: Display
    scale_factor: float | None
    area_width_mm: float
    area_height_mm: float
    area_lost_percent: float
    counts_per_px: float | None


def pair(tablet: Tablet, display: Display) -> Pair:
    """The figures of ``tablet`` with ``display``, wherever that stands on the desktop.

    >>> both = pair(Tablet(240, 152, counts_per_mm=150), Display(2560, 1440, diagonal_mm=685.8))
    >>> round(both.scale_factor, 3), round(both.area_lost_percent, 1)
    (2.491, 11.2)
    """
    solved = solve(MapRequest(tablet, Desktop((replace(display, left_px=0, top_px=0),)), "locked"))
    figures, area = solved.figures[0], solved.area_seen_mm
    counts = (figures.counts_per_px_x, figures.counts_per_px_y)
    return Pair(
        tablet=tablet,
        display=display,
        scale_factor=solved.summary.scale_factor,
        area_width_mm=area.width,
        area_height_mm=area.height,
        area_lost_percent=100 - solved.summary.area_used_percent,
        counts_per_px=None if counts[0] is None or counts[1] is None else min(counts[0], counts[1]),
    )


def display_for_scale_mm(
    tablet: Tablet, scale_factor: float, aspect: Aspect
) -> tuple[float, float]:
    """The size of the display of these proportions that gives ``tablet`` this scale, mm.

    Width and height: the locked area times the scale. Raises RequestError for a scale or
    proportions not above zero.

    >>> display_for_scale_mm(Tablet(240, 152), 2.5, (16, 9))
    (600.0, 337.5)
    """
    scale = positive(scale_factor, phrase("wanted scale factor"))
    area = trimmed(tablet.active_seen_mm, *_aspect(aspect), "centre")
    return area.width * scale, area.height * scale


def tablet_for_scale_mm(
    display: Display, scale_factor: float, aspect: Aspect
) -> tuple[float, float]:
    """The size of the active area of these proportions that gives ``display`` this scale, mm.

    Width and height. The locked area must be the display over s; the active area is the smallest of
    these proportions around it: ``max(w, h·A / B) / s`` by ``max(h, w·B / A) / s``. Raises
    RequestError for a scale or proportions not above zero, and where the display's size is unknown.
    """
    scale, (across, down) = positive(scale_factor, phrase("wanted scale factor")), _aspect(aspect)
    if display.width_mm is None or display.height_mm is None:
        raise RequestError(
            Problem(
                "display",
                phrase("its size is needed for a scale factor"),
                phrase(
                    "{width}x{height} px alone", width=display.width_px, height=display.height_px
                ),
                phrase('Give its diagonal as well, for example "27in 2560x1440"'),
            )
        )
    width, height = display.width_mm / scale, display.height_mm / scale
    return max(width, height * across / down), max(height, width * down / across)


def _aspect(aspect: Aspect) -> tuple[float, float]:
    named = phrase("aspect ratio")
    return positive(aspect[0], named), positive(aspect[1], named)


@dataclass(frozen=True, slots=True)
class SizeForScale:
    """The size of a display or active area that has the wanted scale with its partner.

    The partner is ``tablet`` or ``display``, the other is None. ``size_mm`` has the wanted scale;
    ``least_mm`` and ``most_mm`` are the sizes at the band's lower and upper end.
    """

    tablet: Tablet | None
    display: Display | None
    aspect: Aspect
    size_mm: tuple[float, float]
    least_mm: tuple[float, float]
    most_mm: tuple[float, float]


def sizes_for_scale(
    scale_factor: float,
    tablets: Iterable[Tablet],
    displays: Iterable[Display],
    aspects: Sequence[Aspect],
    band: Band,
) -> list[SizeForScale]:
    """The displays for each tablet, then the active areas for each display, in every aspect.

    ``scale_factor`` is the wanted scale; ``aspects`` are proportions, width to height.
    """
    ends = (scale_factor, band.low, band.high)
    found = []
    for tablet in tablets:
        for aspect in aspects:
            size, least, most = (display_for_scale_mm(tablet, scale, aspect) for scale in ends)
            found.append(SizeForScale(tablet, None, aspect, size, least, most))
    for display in displays:
        for aspect in aspects:
            # The larger the scale, the smaller the tablet.
            size, most, least = (tablet_for_scale_mm(display, scale, aspect) for scale in ends)
            found.append(SizeForScale(None, display, aspect, size, least, most))
    return found
