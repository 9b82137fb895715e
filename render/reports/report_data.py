"""A practitioner's report on one workstation as data for other programs.

Keys carry their units; what is not known is absent.
"""

from __future__ import annotations

from typing import Any

from mapper.mapping.entry import entry_numbers
from mapper.mapping.reach import (
    DisplayReach,
    dead_strips_mm,
    display_reach,
    fineness,
    shown_percent,
)
from mapper.mapping.seams import seams
from mapper.mapping.whole_desktop import separate_displays, whole_desktop
from profiles.format.document import Workstation
from profiles.plain import FRAMES, headed
from render.reports.map_data import map_data


def report_data(workstation: Workstation) -> dict[str, Any]:
    """The whole report on one workstation, as plain data.

    ``area`` to ``before_rounding``: see ``map_data``; ``enter`` has the numbers in the form of the
    driver, where that is known. ``unused_built_mm`` and ``unused_seen_mm``: the dead strips of the
    tablet. ``displays``: of each what is reached (desktop frame; logical px from its own top left),
    the part of the tablet for it and the strips out of reach. ``hand``: mm for a pixel, the
    smallest movement that is sure to reach another one, counts for a pixel. ``seams``: see
    mapper.mapping.seams.Seam. ``apart``: groups of displays across a gap.
    ``whole_desktop``: the area for a driver that can only use all of it, and by how much that
    leaves the tablet.
    """
    solved, entry = workstation.map, workstation.entry
    built, seen = dead_strips_mm(solved)
    fine, whole = fineness(solved), whole_desktop(solved)
    counts_x, counts_y = fine.counts_per_px or (None, None)
    hand = {
        "mm_per_px_x": fine.hand_mm_per_px[0],
        "mm_per_px_y": fine.hand_mm_per_px[1],
        "smallest_move_x_mm": fine.smallest_mm[0],
        "smallest_move_y_mm": fine.smallest_mm[1],
        "counts_per_px_x": counts_x,
        "counts_per_px_y": counts_y,
        "pixels_are_skipped": None if fine.counts_per_px is None else fine.skips,
    }
    data = {
        "workstation": workstation.name,
        **map_data(solved),
        "enter": None if entry is None else entry_numbers(solved, entry),
        "unused_built_mm": built,
        "unused_seen_mm": seen,
        "shown_percent": shown_percent(solved),
        "hand": hand,
        "displays": [_display_data(reach) for reach in display_reach(solved)],
        "seams": seams(solved),
        "apart": separate_displays(solved),
        "whole_desktop": {
            "area_built_mm": whole.area_built_mm,
            "possible": whole.possible,
            "beyond_built_mm": whole.beyond_mm,
        },
    }
    return headed("report", data, *FRAMES)


def _display_data(reach: DisplayReach) -> dict[str, Any]:
    data: dict[str, Any] = {"display": reach.display, "out_of_reach_percent": reach.missed_percent}
    if reach.part_px is not None and reach.logical is not None and reach.area_built_mm is not None:
        data["desktop_px"] = reach.part_px
        data["display_logical_px"] = reach.logical
        data["area_built_mm"] = reach.area_built_mm
        data["out_of_reach_px"] = reach.missed_px
    return data
