"""Which maps the pad compares, and the matrices that its page applies.

Movements are compared, not places: the middle of the sheet stands for the middle of the screen that
the pen reaches today, and so for the middle of the area under the hand; under every other map the
same movement starts from the middle of its picture.

A page cannot know for certain where on the desktop it stands; so kept points are right in shape and
size, and their place is that of a sheet in the middle. The script applies the matrices and has no
other geometry of a map.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, replace
from pathlib import PurePath
from typing import TYPE_CHECKING

from mapper.affine import Affine
from mapper.desk import Display
from mapper.mapping.entry import Entry
from mapper.mapping.feel import Feel
from mapper.mapping.fits import FITS, Fit
from mapper.mapping.solve import TabletMap
from mapper.problems import RequestError, one_of
from mapper.solving import solve
from mapper.units import MM_PER_INCH
from render.sentences.letter import fit_title
from render.sentences.say import Name, say
from render.sentences.words import usual_entry

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from profiles.format.document import Workstation


# The pixel of a display of unknown size: the reference pixel of W3C CSS Values 3, 1/96 inch.
_ASSUMED_MM_PER_PX = MM_PER_INCH / 96


PLAIN = Entry()


@dataclass(frozen=True, slots=True)
class PadMap:
    """A map, what it is called on the page, and the form in which its driver asks for it.

    The name may be anybody's text.
    """

    name: str
    map: TabletMap
    entry: Entry = PLAIN


def named_maps(files: Iterable[tuple[str, Workstation]]) -> tuple[PadMap, ...]:
    """The maps of profiles under their workstations' names; the file tells equal names apart."""
    files = tuple(files)
    count = Counter(workstation.name for _, workstation in files)
    return tuple(
        PadMap(
            workstation.name
            if count[workstation.name] == 1
            else say(
                "{desk} ({file})", desk=Name(workstation.name), file=Name(PurePath(path).name)
            ),
            workstation.map,
            usual_entry(workstation.entry),
        )
        for path, workstation in files
    )


def candidates(
    profiles: Sequence[PadMap], now: str | None = None
) -> tuple[PadMap, tuple[PadMap, ...]]:
    """Today's map, and the maps to compare it with.

    Today's is that of the first profile, or what the fit ``now`` makes of its desk. The others are
    those of the profiles that move the pen differently; where there are none, the other fits of the
    first desk that do.
    """
    first = profiles[0]
    today = first
    if now is not None:
        fit = one_of(now, FITS, "fit")
        name = say("{desk}: {fit}", desk=Name(first.name), fit=fit_title(fit))
        today = PadMap(name, fitted(first.map, fit), first.entry)
    others = tuple(each for each in profiles if not same_movement(each.map, today.map))
    if not others:
        fits = (PadMap(fit_title(fit), fitted(first.map, fit), first.entry) for fit in FITS)
        others = tuple(each for each in fits if not same_movement(each.map, today.map))
    return today, others


def remedy(today: PadMap, others: Sequence[PadMap]) -> PadMap | None:
    """The first of ``others`` that keeps shapes best; None where none beats today's map."""

    def stretch(each: PadMap) -> float:
        return each.map.figures_on(each.map.reference).distortion.stretch

    best = min(others, key=lambda each: round(stretch(each), 4), default=None)
    # A tenth of a percent is what is called round elsewhere too.
    return best if best is not None and stretch(best) < stretch(today) - 0.001 else None


def fitted(solved: TabletMap, fit: Fit, feel: Feel | None = None) -> TabletMap:
    """The map of the same desk with another fit and feel.

    Raises RequestError where the fit cannot have it.
    """
    # A rectangle that was taken as it is, is what the other fits are to be compared with, and no
    # bound for them.
    return solve(replace(solved.request, fit=fit, feel=feel, area_built_mm=None))


def same_movement(one: TabletMap, other: TabletMap) -> bool:
    """Whether both maps turn each movement of the hand into the same one on the glass.

    To a millionth.
    """
    return all(
        math.isclose(a, b, rel_tol=1e-6, abs_tol=1e-9)
        for a, b in zip(_hand_to_glass(one).linear, _hand_to_glass(other).linear, strict=True)
    )


def scale_steps(solved: TabletMap, step: float = 0.25) -> tuple[tuple[float, TabletMap], ...]:
    """True maps of the same desk for a row of scale factors.

    The row goes from half of the factor of its largest map to half as much again, in multiples of
    ``step``. Each factor is had by a smaller area, by a smaller window or, where neither is enough,
    by both. Empty where the display's size is unknown.
    """
    own = fitted(solved, "locked").summary.scale_factor
    if own is None:
        return ()
    scales = [
        index * step
        for index in range(max(1, math.ceil(own / 2 / step)), math.floor(own * 1.5 / step) + 1)
    ]
    return tuple(
        (scale, found)
        for scale in scales
        if (found := _of_scale(solved, Feel(scale, scale))) is not None
    )


def _of_scale(solved: TabletMap, feel: Feel) -> TabletMap | None:
    for fit in ("locked", "cropped"):
        try:
            return fitted(solved, fit, feel)
        except RequestError:
            continue
    return None


def glass_mm_per_px(display: Display, fallback: Display | None = None) -> tuple[float, float]:
    """The pitch of ``display``, else of ``fallback``, else of the reference pixel."""
    return (
        display.mm_per_px
        or (fallback.mm_per_px if fallback else None)
        or (_ASSUMED_MM_PER_PX, _ASSUMED_MM_PER_PX)
    )


def desktop_px_to_hand_mm(today: TabletMap) -> Affine:
    """The map from today's desktop to the hand, in mm from the middle of the area.

    In the desk frame: x to the right of the artist.
    """
    hand = ~_hand_mm_to_desktop_px(today)
    x_mm, y_mm = hand.point(*today.screen_px.centre)
    return Affine(1, 0, -x_mm, 0, 1, -y_mm) @ hand


def desktop_px_to_glass_mm(today: TabletMap, other: TabletMap) -> Affine:
    """The map from today's desktop, through the hand, to the glass under ``other``.

    In mm from the middle of the picture.
    """
    return _hand_to_glass(other, today.reference) @ desktop_px_to_hand_mm(today)


def _hand_mm_to_desktop_px(solved: TabletMap) -> Affine:
    # A hand that moves to the right moves, on a tablet that lies askew, against its slant.
    return solved.seen_mm_to_desktop_px @ Affine.rotation_about(
        -solved.request.tablet.slant_deg, 0.0, 0.0
    )


def _hand_to_glass(solved: TabletMap, fallback: Display | None = None) -> Affine:
    x_mm_per_px, y_mm_per_px = glass_mm_per_px(solved.reference, fallback)
    a, b, d, e = _hand_mm_to_desktop_px(solved).linear
    return Affine(a * x_mm_per_px, b * x_mm_per_px, 0, d * y_mm_per_px, e * y_mm_per_px, 0)
