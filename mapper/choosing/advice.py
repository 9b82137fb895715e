"""What is good about one workstation, what to change first, and what each change costs.

Every finding is a value beside a recommendation; every change is numbers, put into words above this floor.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from mapper.choosing.pairing import tablet_for_scale_mm
from mapper.choosing.recommended import PRACTICE, PUBLISHED, RECOMMENDED, Band, Recommendation
from mapper.choosing.sitting import Beside, comfortable_distance_mm, seat_findings, sit, top_for_centre_mm
from mapper.choosing.travel import HAND_SCATTER_MM, TARGETS_PX, smallest_sure_target_mm
from mapper.choosing.viewing import Stand, View, below_deg_of_top, distance_for_angle_mm
from mapper.mapping.feel import Feel
from mapper.solving import solve

if TYPE_CHECKING:
    from mapper.choosing.sitting import Sitting
    from mapper.mapping.solve import TabletMap
    from mapper.seat import Seat

# What counts most when changes are put in order: what strains the body, then what spoils the drawing, then looks. A
# decision of this project; within a class the value that is farthest outside its band comes first.
WEIGHTS = {"distance": 2.0, "top": 2.0, "centre": 2.0, "gaze": 2.0, "side": 2.0, "width": 0.25, "sharpness": 0.25}


@dataclass(frozen=True, slots=True)
class Change:
    """One thing to change: ``about`` is the key of its finding, ``kind`` what to do, ``numbers`` the how much.

    ============== =========================================================================================
    ``lock``       ``area_width_mm, area_height_mm``: trim the area so; costs ``area_lost_percent`` of the active area
    ``whole``      the same, where more of the tablet than now can be used; the scale becomes ``scale_after``
    ``shrink``     the same, where less of it gives the scale ``scale_after``
    ``larger``     a tablet of at least ``area_width_mm, area_height_mm`` for the scale ``area_scale``; or a window of
                   ``window_width_px, window_height_px``, fit cropped, for ``scale_after``: costs ``screen_lost_percent``
    ``resolution`` a tablet of at least ``counts_per_mm`` (now ``counts_per_mm_before``); or a window as wide and
                   high as ``window_percent`` of the screen, which costs ``screen_lost_percent`` of it
    ``zoom``       the system's zoom from ``zoom_before`` to ``zoom_after``; the interface takes ``room_times`` its room
    ``move``       the eyes ``distance_mm`` from the display (nearest of ``near_mm`` to ``far_mm``); the picture then fills
                   ``horizontal_deg`` instead of ``horizontal_before_deg``
    ``finer``      a display of at least ``width_px`` across
    ``height``     the top edge ``top_below_eyes_mm`` under eye level, ``lower_mm`` lower than now (negative: higher); the
                   centre then lies ``centre_deg`` below and the bottom ``bottom_deg``
    ``tall``       nothing that height alone can do: ``distance_mm`` at which the recommendation holds
    ``middle``     the middle of all displays straight ahead: the farthest centre lies ``side_deg`` aside instead of
                   ``side_before_deg``, the main display ``main_deg``
    ============== =========================================================================================
    """

    about: str
    kind: str
    numbers: dict[str, float]


@dataclass(frozen=True, slots=True)
class Advice:
    """``findings`` in the order of a report, ``changes`` the most pressing first, ``unknown`` what could not be judged.

    ``area_used_percent`` and ``screen_used_percent`` are those of the map: what the present setting costs.
    """

    findings: tuple[Beside, ...]
    changes: tuple[Change, ...]
    unknown: tuple[str, ...]
    area_used_percent: float
    screen_used_percent: float

    def finding(self, key: str) -> Beside | None:
        """The finding about ``key``."""
        return next((finding for finding in self.findings if finding.key == key), None)


def advise(tablet_map: TabletMap, seat: Seat | None, band: Band, use: str | None = None) -> Advice:
    """All that can be said of one workstation. ``use`` names what ``band`` is for, None for a band of the user's own.

    ``unknown`` holds ``size`` (of the display), ``counts`` (the tablet's resolution), ``seat`` and ``height`` (of the display).
    """
    findings, unknown = list(_map_findings(tablet_map, band, use)), []
    if tablet_map.reference.mm_per_px is None:
        unknown.append("size")
    if tablet_map.request.tablet.counts_per_mm is None:
        unknown.append("counts")
    sitting = _sitting(tablet_map, seat)
    if sitting is None:
        unknown.append("seat")
    else:
        if not sitting.height_known:
            unknown.append("height")
        # That the neck joins in is told, never advised against: nearly every display asks it to.
        findings += [finding for finding in seat_findings(sitting) if finding.key != "eyes"]
    outside = [finding for finding in findings if finding.side != "inside"]
    outside.sort(key=lambda finding: -finding.excess * WEIGHTS.get(finding.key, 1.0))
    changes: list[Change] = []
    for finding in outside:
        change = (
            _map_change(finding, tablet_map, band) if sitting is None else _change(finding, tablet_map, sitting, band)
        )
        # One move of the chair or the display may mend several findings; it is named once.
        if change is not None and (change.kind, change.numbers) not in [(c.kind, c.numbers) for c in changes]:
            changes.append(change)
    summary = tablet_map.summary
    used = summary.area_used_percent, summary.screen_used_percent
    return Advice(tuple(findings), tuple(changes), tuple(unknown), *used)


def _map_findings(tablet_map: TabletMap, band: Band, use: str | None) -> list[Beside]:
    figures = tablet_map.figures_on(tablet_map.reference)
    scale = tablet_map.summary.scale_factor
    found = []
    if scale is not None:
        who = f"{use}, a rule of thumb" if use and band.source == PRACTICE else "your own band"
        recommended = Recommendation("scale factor", "", band.low, band.high, who, who, band.source)
        found.append(Beside("scale", scale, recommended))
    found.append(Beside("stretch", figures.distortion.stretch, RECOMMENDED["stretch"]))
    if figures.counts_per_px_x is not None and figures.counts_per_px_y is not None:
        counts = min(figures.counts_per_px_x, figures.counts_per_px_y)
        found.append(Beside("counts", counts, RECOMMENDED["counts"]))
    pitch = tablet_map.reference.mm_per_px
    if scale is not None and pitch is not None:
        sure_px = smallest_sure_target_mm(scale) / pitch[0]
        button_px = TARGETS_PX["button"] * tablet_map.reference.zoom
        recommended = Recommendation(
            "smallest sure target",
            "px",
            None,
            button_px,
            f"W3C WCAG 2.2 for a hand that scatters {HAND_SCATTER_MM} mm",
            "W3C WCAG 2.2, success criterion 2.5.8: targets of 24 by 24 CSS pixels",
            f"{PUBLISHED}; the hand: {PRACTICE}",
        )
        found.append(Beside("target", sure_px, recommended))
    return found


def _sitting(tablet_map: TabletMap, seat: Seat | None) -> Sitting | None:
    """The main display and those of known size beside it, in an arc; None where that cannot be."""
    desktop = tablet_map.request.desktop
    if seat is None or desktop.primary.mm_per_px is None:
        return None
    row = [display for display in desktop.displays if display.mm_per_px is not None]
    return sit(row, seat, desktop.primary, ahead=desktop.primary.label)


def _change(finding: Beside, tablet_map: TabletMap, sitting: Sitting, band: Band) -> Change | None:
    if finding.key in {"top", "centre", "gaze"}:
        return _height_change(finding, sitting)
    if finding.key in {"distance", "width", "sharpness"}:
        return _distance_change(finding, sitting)
    if finding.key == "side":
        return _side_change(finding, sitting)
    return _map_change(finding, tablet_map, band)


# The map


def _map_change(finding: Beside, tablet_map: TabletMap, band: Band) -> Change | None:
    if finding.key == "stretch":
        return _lock(tablet_map, "lock", finding.key)
    if finding.key == "counts":
        counts_per_mm = tablet_map.request.tablet.counts_per_mm or 0.0
        lost = 100 * (1 - finding.value**2)
        numbers = {
            "counts_per_mm": counts_per_mm / finding.value,
            "counts_per_mm_before": counts_per_mm,
            "window_percent": 100 * finding.value,
            "screen_lost_percent": lost,
        }
        return Change("counts", "resolution", numbers)
    scale = tablet_map.summary.scale_factor
    if scale is None:
        return None
    if finding.key == "scale":
        return _shrink(tablet_map, band) if finding.side == "below" else _larger(tablet_map, scale, band.high, "scale")
    if finding.key == "target" and scale <= band.high:
        zoom = tablet_map.reference.zoom
        times = finding.value / (finding.recommendation.high or finding.value)
        return Change("target", "zoom", {"zoom_before": zoom, "zoom_after": zoom * times, "room_times": times * times})
    return None


def _locked(tablet_map: TabletMap) -> TabletMap:
    """The same desk with all that may be used of the tablet, locked to all that is to be reached."""
    return solve(replace(tablet_map.request, fit="locked", area_built_mm=None, feel=None))


def _lost_percent(tablet_map: TabletMap, width_mm: float, height_mm: float) -> float:
    active = tablet_map.request.tablet.active_seen_mm
    return 100 * (1 - width_mm * height_mm / (active.width * active.height))


def _lock(tablet_map: TabletMap, kind: str, about: str) -> Change:
    locked = _locked(tablet_map)
    numbers = {
        "area_width_mm": locked.area_seen_mm.width,
        "area_height_mm": locked.area_seen_mm.height,
        "area_lost_percent": 100 - locked.summary.area_used_percent,
    }
    scale = locked.summary.scale_factor
    return Change(about, kind, numbers if scale is None else {**numbers, "scale_after": scale})


def _screen_mm(tablet_map: TabletMap) -> tuple[float, float]:
    pitch, screen = tablet_map.reference.mm_per_px or (1.0, 1.0), tablet_map.screen_px
    return screen.width * pitch[0], screen.height * pitch[1]


def _shrink(tablet_map: TabletMap, band: Band) -> Change:
    """The area that brings a scale that is too small up to the band's lower end."""
    width, height = (side / band.low for side in _screen_mm(tablet_map))
    numbers = {
        "area_width_mm": width,
        "area_height_mm": height,
        "area_lost_percent": _lost_percent(tablet_map, width, height),
        "scale_after": band.low,
    }
    return Change("scale", "shrink", numbers)


def _larger(tablet_map: TabletMap, scale: float, wanted: float, about: str) -> Change:
    """What brings a scale that is too large down to ``wanted``: more of the tablet, a larger one, or less of the screen."""
    best = _locked(tablet_map).summary.scale_factor or scale
    if best < scale * (1 - 1e-9) and best <= wanted:
        return _lock(tablet_map, "whole", about)
    active = tablet_map.request.tablet.active_seen_mm
    needed = tablet_for_scale_mm(tablet_map.reference, wanted, (active.width, active.height))
    window = _windowed(tablet_map, wanted)
    numbers = {
        "area_width_mm": needed[0],
        "area_height_mm": needed[1],
        "area_scale": wanted,
        "window_width_px": window.screen_px.width,
        "window_height_px": window.screen_px.height,
        "screen_lost_percent": 100 - window.summary.screen_used_percent,
        "scale_after": window.summary.scale_factor or wanted,
    }
    return Change(about, "larger", numbers)


def _windowed(tablet_map: TabletMap, wanted: float) -> TabletMap:
    """All of the tablet on the largest part of the screen whose scale is at most ``wanted``."""
    request = replace(tablet_map.request, fit="cropped", area_built_mm=None, feel=None)
    cropped = solve(request)
    if (cropped.summary.scale_factor or 0.0) <= wanted:
        return cropped
    return solve(replace(request, feel=Feel(wanted, wanted)))


# The seat


def _distance_change(finding: Beside, sitting: Sitting) -> Change | None:
    view = sitting.view
    near, far, held = comfortable_distance_mm(view.glass)
    now = view.stand.distance_mm
    if finding.key not in held or near <= now <= far:
        if finding.key != "sharpness" or view.arc_minutes_per_px_x is None or view.glass.width_px is None:
            return None
        times = view.arc_minutes_per_px_x / (finding.recommendation.high or 1.0)
        return Change("sharpness", "finer", {"width_px": math.ceil(view.glass.width_px * times)})
    there = min(max(now, near), far)
    after = View.of(view.glass, Stand(there))
    numbers = {
        "distance_mm": there,
        "distance_before_mm": now,
        "near_mm": near,
        "far_mm": far,
        "horizontal_before_deg": view.horizontal_deg,
        "horizontal_deg": after.horizontal_deg,
    }
    if view.arc_minutes_per_px_x is not None and after.arc_minutes_per_px_x is not None:
        numbers |= {
            "arc_minutes_before": view.arc_minutes_per_px_x,
            "arc_minutes": after.arc_minutes_per_px_x,
        }
    return Change(finding.key, "move", numbers)


def _height_change(finding: Beside, sitting: Sitting) -> Change | None:
    """Where the top edge should stand: at or under eye level, with the centre in its band where both can be had."""
    view, now = sitting.view, sitting.seat.top_below_eyes_mm
    if now is None:
        return None
    distance, tilt = view.stand.distance_mm, sitting.seat.tilt_deg
    band = RECOMMENDED["centre"]
    low, high = band.low or 0.0, band.high or 90.0
    ends = [top_for_centre_mm(view.glass, distance, below, tilt) for below in (low, high)]
    there = max(0.0, min(max(now, ends[0]), ends[1]))
    if abs(there - now) < 0.5:
        # At eye level already: a display as tall as this needs more distance.
        return Change(finding.key, "tall", {"distance_mm": view.glass.height_mm / 2 / math.tan(math.radians(high))})
    below = below_deg_of_top(view.glass, distance, there, tilt)
    after = View.of(view.glass, Stand(distance, 0.0, below, None, tilt))
    numbers = {
        "top_below_eyes_mm": there,
        "lower_mm": there - now,
        "centre_deg": after.centre_deg,
        "bottom_deg": after.bottom_deg,
    }
    return Change(finding.key, "height", numbers)


def _side_change(finding: Beside, sitting: Sitting) -> Change | None:
    high = finding.recommendation.high or 90.0
    if len(sitting.places) == 1:
        now = sitting.view.stand.distance_mm
        there = distance_for_angle_mm(sitting.view.glass, 2 * high)
        after = View.of(sitting.view.glass, Stand(there))
        numbers = {
            "distance_mm": there,
            "distance_before_mm": now,
            "near_mm": there,
            "far_mm": RECOMMENDED["distance"].high or there,
            "horizontal_before_deg": sitting.view.horizontal_deg,
            "horizontal_deg": after.horizontal_deg,
        }
        return Change("side", "move", numbers)
    displays = [place.display for place in sitting.places]
    middle = sit(displays, sitting.seat, displays[sitting.main])
    return Change(
        "side",
        "middle",
        {
            "side_before_deg": finding.value,
            "side_deg": middle.farthest_side_deg,
            "main_deg": abs(middle.view.stand.bearing_deg),
        },
    )
