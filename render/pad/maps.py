"""Which maps the pad compares, and the matrices that its page applies.

Movements are compared, not places: the middle of the sheet stands for the middle of the screen that the pen
reaches today, and so for the middle of the area under the hand; under every other map the same movement starts from
the middle of its picture.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, replace
from pathlib import PurePath
from typing import TYPE_CHECKING

from mapper.affine import Affine
from mapper.desk import Display
from mapper.fits import FITS, place
from mapper.solve import TabletMap, solve
from mapper.units import MM_PER_INCH

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from profiles.document import Workstation

__all__ = [
    "PadMap",
    "candidates",
    "desktop_px_to_glass_mm",
    "desktop_px_to_hand_mm",
    "glass_mm_per_px",
    "named_maps",
    "same_movement",
    "scale_steps",
]

FIT_NAMES = {
    "full": "Whole tablet, whole screen",
    "locked": "Tablet trimmed, shapes true",
    "cropped": "Screen trimmed, shapes true",
}

# The pixel of a display of unknown size: the reference pixel of W3C CSS Values 3, 1/96 inch.
_ASSUMED_MM_PER_PX = MM_PER_INCH / 96


@dataclass(frozen=True, slots=True)
class PadMap:
    """A map and what it is called on the page. The name may be anybody's text."""

    name: str
    map: TabletMap


def named_maps(files: Iterable[tuple[str, Workstation]]) -> tuple[PadMap, ...]:
    """The maps of profiles under their workstations' names; where two share one, the file tells them apart."""
    files = tuple(files)
    count = Counter(workstation.name for _, workstation in files)
    return tuple(
        PadMap(
            workstation.name if count[workstation.name] == 1 else f"{workstation.name} ({PurePath(path).name})",
            workstation.map,
        )
        for path, workstation in files
    )


def candidates(profiles: Sequence[PadMap], now: str | None = None) -> tuple[PadMap, tuple[PadMap, ...]]:
    """Today's map, and the maps to compare it with.

    Today's is that of the first profile, or what the fit ``now`` makes of its desk. The others are those of the
    profiles that move the pen differently; where there are none, the other fits of the first desk that do.
    """
    first = profiles[0]
    today = first if now is None else PadMap(FIT_NAMES[now], fitted(first.map, now))
    others = tuple(each for each in profiles if not same_movement(each.map, today.map))
    if not others:
        fits = (PadMap(FIT_NAMES[fit], fitted(first.map, fit)) for fit in FITS)
        others = tuple(each for each in fits if not same_movement(each.map, today.map))
    return today, others


def fitted(solved: TabletMap, fit: str) -> TabletMap:
    """The same desk and the same wishes with another fit."""
    return solve(replace(solved.request, fit=fit))


def same_movement(one: TabletMap, other: TabletMap) -> bool:
    """Whether both turn every movement of the hand into the same movement on the glass, to a millionth."""
    return all(
        math.isclose(a, b, rel_tol=1e-6, abs_tol=1e-9)
        for a, b in zip(_hand_to_glass(one).linear, _hand_to_glass(other).linear, strict=True)
    )


def scale_steps(solved: TabletMap, step: float = 0.25) -> tuple[tuple[float, TabletMap], ...]:
    """True maps of the same desk for a row of scale factors, from half of its own to half as much again.

    Multiples of ``step``; empty where the display's size is unknown.
    """
    if solved.reference.mm_per_px is None:
        return ()
    own = fitted(solved, "locked").summary.scale_factor
    if own is None:
        return ()
    wanted = (index * step for index in range(math.ceil(own / 2 / step), math.floor(own * 1.5 / step) + 1))
    return tuple((scale, at_scale(solved, scale)) for scale in wanted if scale > 0)


def at_scale(solved: TabletMap, scale: float) -> TabletMap:
    """The true map of the same desk, as large as can be, on which 1 mm of hand is ``scale`` mm on the glass."""
    x_mm_per_px, y_mm_per_px = glass_mm_per_px(solved.reference)
    source, target, hold = solved.source_seen_mm, solved.target_px, solved.request.hold
    width_mm = min(source.width, target.width * x_mm_per_px / scale)
    height_mm = min(source.height, target.height * y_mm_per_px / scale)
    area = place(source, width_mm, height_mm, hold)
    return replace(
        solved,
        area_seen_mm=area,
        area_built_mm=(~solved.request.tablet.built_to_seen).rect(area),
        screen_px=place(target, width_mm * scale / x_mm_per_px, height_mm * scale / y_mm_per_px, hold),
    )


def glass_mm_per_px(display: Display, fallback: Display | None = None) -> tuple[float, float]:
    """The pitch of ``display``; where it is unknown that of ``fallback``, else the reference pixel's."""
    return display.mm_per_px or (fallback.mm_per_px if fallback else None) or (_ASSUMED_MM_PER_PX, _ASSUMED_MM_PER_PX)


def desktop_px_to_hand_mm(today: TabletMap) -> Affine:
    """From today's desktop to the hand, seen frame, from the middle of the area."""
    hand = ~today.seen_mm_to_desktop_px
    x_mm, y_mm = hand.point(*today.screen_px.centre)
    return Affine(1, 0, -x_mm, 0, 1, -y_mm) @ hand


def desktop_px_to_glass_mm(today: TabletMap, other: TabletMap) -> Affine:
    """From today's desktop, through the hand, to the glass under ``other``: mm from the middle of the picture."""
    return _hand_to_glass(other, today.reference) @ desktop_px_to_hand_mm(today)


def _hand_to_glass(solved: TabletMap, fallback: Display | None = None) -> Affine:
    x_mm_per_px, y_mm_per_px = glass_mm_per_px(solved.reference, fallback)
    a, b, d, e = solved.seen_mm_to_desktop_px.linear
    return Affine(a * x_mm_per_px, b * x_mm_per_px, 0, d * y_mm_per_px, e * y_mm_per_px, 0)
