"""Everything that follows from a map, as data for other programs.

Keys carry their units. Numbers are as exact as a profile writes them.
"""

from __future__ import annotations

import math
from typing import Any

from mapper.desk import Tablet
from mapper.mapping.forms import RectForm, rect_forms
from mapper.mapping.solve import TabletMap, unturned_map
from mapper.mapping.windows import logical_rect
from mapper.rect import Rect
from profiles.format.derived import AREA_UNITS, figures_part, rows_of
from profiles.plain import EDGES, headed, plain
from profiles.written import written


def map_data(solved: TabletMap) -> dict[str, Any]:
    """The area in every form, the screen, the figures, the matrices, and the maps beside this one.

    ``area``: see ``rect_data``. ``screen``: desktop frame, px, and of each display its part from
    its own top left, in device and logical px. ``unturned``: the map for a driver whose area cannot
    be turned, where the tablet lies askew. ``before_rounding``: the exact map, where the driver has
    a step. Both have the same keys, and ``cost``. A map that does not apply is None.
    """
    data = {
        **_data(solved),
        "unturned": _unturned(solved.exact),
        "before_rounding": _before_rounding(solved),
    }
    return {name: written(plain(part), name) for name, part in data.items()}


def rect_data(rect_built_mm: Rect, tablet: Tablet) -> dict[str, Any]:
    """A rectangle of the tablet in each of AREA_UNITS and in every form, built frame.

    ``mm`` to ``counts``: its edges and its size; ``centre``: the middle in each unit;
    ``from_bottom``: the edges with y running up from the bottom of the active area. The same as
    ``seen`` where the tablet is turned.
    """
    built = rect_forms(rect_built_mm, tablet.active_built_mm, tablet.counts_per_mm)
    if not tablet.turn_deg:
        return _in_frame("built", built)
    seen = rect_forms(
        tablet.seen_rect_mm(rect_built_mm), tablet.active_seen_mm, tablet.counts_per_mm
    )
    return {**_in_frame("built", built), "seen": _in_frame("seen", seen)}


def explained(rect_built_mm: Rect, tablet: Tablet) -> dict[str, Any]:
    """One rectangle of the tablet in every unit and form, as data for other programs."""
    frames = ("built", "seen") if tablet.turn_deg else ("built",)
    return headed("explain", {"area": rect_data(rect_built_mm, tablet)}, *frames)


def _in_frame(frame: str, of_all: dict[str, RectForm]) -> dict[str, Any]:
    forms = {unit: form for unit, form in of_all.items() if unit in AREA_UNITS}
    return {
        "frame": frame,
        **forms,
        "centre": {unit: {"x": form.centre_x, "y": form.centre_y} for unit, form in forms.items()},
        "from_bottom": {unit: _from_bottom(form) for unit, form in forms.items()},
    }


def _from_bottom(form: RectForm) -> dict[str, float]:
    bottom = form.up_from_bottom
    edges = {name: getattr(form, name) for name in EDGES}
    return {**edges, "top": bottom + form.height, "bottom": bottom}


def _data(solved: TabletMap) -> dict[str, Any]:
    area = rect_data(solved.area_built_mm, solved.request.tablet)
    return {
        "area": {**area, "angle_deg": solved.area_angle_deg or None},
        "screen": _screen(solved),
        "summary": solved.summary,
        "figures": [figures_part(figures) for figures in solved.figures],
        "matrix": {
            "built_mm_to_desktop_px": rows_of(solved.built_mm_to_desktop_px),
            "built_unit_to_desktop_unit": rows_of(solved.built_unit_to_desktop_unit),
            "desktop_px_to_built_mm": rows_of(solved.desktop_px_to_built_mm),
        },
    }


def _unturned(exact: TabletMap) -> dict[str, Any] | None:
    if not exact.area_angle_deg:
        return None
    other = unturned_map(exact)
    tilt_deg = other.figures_on(other.reference).tilt_deg
    old, new = exact.area_seen_mm, other.area_seen_mm
    cost = {
        "tilt_deg": tilt_deg,
        # The chord of the tilt: how far the end of a stroke lies from where it should.
        "drift_mm_per_100_mm": 200 * math.sin(math.radians(abs(tilt_deg)) / 2),
        "area_percent": (new.width / old.width * (new.height / old.height) - 1) * 100,
    }
    return {**_data(other), "cost": cost}


def _before_rounding(solved: TabletMap) -> dict[str, Any] | None:
    if solved.request.step is None:
        return None
    # Fractions and the search are for maps with a step only.
    from mapper.rounding.rounded import rounding_cost

    return {**_data(solved.exact), "cost": rounding_cost(solved)}


def _screen(solved: TabletMap) -> dict[str, Any]:
    screen = solved.screen_px
    whole = {"frame": "desktop", "px": screen}
    if all(display.zoom == 1 for display in solved.reached):
        return whole
    parts = []
    for display in solved.reached:
        part, logical = display.rect_px.overlap(screen), logical_rect(display, screen)
        if part is None or logical is None:
            continue
        own = Rect(part.left - display.left_px, part.top - display.top_px, part.width, part.height)
        parts.append(
            {"display": display.label, "frame": "display", "px": own, "logical_px": logical}
        )
    return {**whole, "displays": parts}
