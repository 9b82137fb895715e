"""A practitioner's report on one map as plain data for other programs. Keys carry their units; what is unknown is absent."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from mapper.mapping.reach import dead_tablet, display_reach, fineness, shown_percent
from mapper.mapping.seams import seams
from mapper.mapping.whole_desktop import apart, whole_desktop

if TYPE_CHECKING:
    from mapper.mapping.reach import DisplayReach
    from mapper.mapping.solve import TabletMap
    from mapper.rect import Rect


def report_data(solved: TabletMap) -> dict[str, Any]:
    """What ``solved`` leaves over and reaches, how fine it is, and where its displays meet.

    ``unused_mm`` and ``unused_seen_mm``: the dead strips of the tablet, built and seen frame. ``displays``: of each what
    is reached (desktop frame, px; logical px from its own top left), the part of the tablet for it (built frame, mm) and
    the strips out of reach. ``hand``: mm for a pixel, the smallest movement that is sure to reach another one, counts
    for a pixel. ``seams``: see mapper.mapping.seams.Seam. ``apart``: groups of displays across a gap. ``whole_desktop``: the area
    for a driver that can only map to all of it, and by how much that leaves the tablet.
    """
    built, seen = dead_tablet(solved)
    fine, whole = fineness(solved), whole_desktop(solved)
    hand: dict[str, Any] = {
        "mm_per_px_x": fine.hand_mm_per_px[0],
        "mm_per_px_y": fine.hand_mm_per_px[1],
        "smallest_move_x_mm": fine.smallest_mm[0],
        "smallest_move_y_mm": fine.smallest_mm[1],
    }
    if fine.counts_per_px is not None:
        hand["counts_per_px_x"], hand["counts_per_px_y"] = fine.counts_per_px
        hand["pixels_are_skipped"] = fine.skips
    return {
        "unused_mm": built._asdict(),
        "unused_seen_mm": seen._asdict(),
        "shown_percent": shown_percent(solved),
        "hand": hand,
        "displays": [_display(reach) for reach in display_reach(solved)],
        "seams": [{key: value for key, value in asdict(seam).items() if value is not None} for seam in seams(solved)],
        "apart": [list(group) for group in apart(solved)],
        "whole_desktop": {
            "area_mm": _rect(whole.area_built_mm),
            "possible": whole.possible,
            "beyond_mm": whole.beyond_mm._asdict(),
        },
    }


def _display(reach: DisplayReach) -> dict[str, Any]:
    told: dict[str, Any] = {"display": reach.display, "out_of_reach_percent": reach.missed_percent}
    if reach.part_px is not None and reach.logical is not None and reach.area_built_mm is not None:
        told["px"] = _rect(reach.part_px)
        told["logical_px"] = _rect(reach.logical)
        told["area_mm"] = _rect(reach.area_built_mm)
        told["out_of_reach_px"] = reach.missed_px._asdict()
    return told


def _rect(rect: Rect) -> dict[str, float]:
    return {"left": rect.left, "top": rect.top, "width": rect.width, "height": rect.height}
