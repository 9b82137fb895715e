"""What a map leaves unused, and how far the hand moves for one pixel."""

from __future__ import annotations

from mapper.mapping.reach import (
    DisplayReach,
    dead_strips_mm,
    display_reach,
    fineness,
    shown_percent,
)
from mapper.mapping.solve import TabletMap
from mapper.mapping.windows import Strips
from render.sentences.parts import Part, Row
from render.sentences.words import number

#: From where a count moves the pen by more than a pixel, and some pixels cannot be hit.
FEWEST_COUNTS_PER_PX = 1.0


def left_over_part(solved: TabletMap) -> Part:
    """The strips of the tablet that are not used, and those of the displays out of reach."""
    built, seen = dead_strips_mm(solved)
    tablet = solved.request.tablet
    rows = [Row("tablet", strips_words(built, "mm", 2, " as built" if tablet.turn_deg else ""))]
    if tablet.turn_deg and built.any:
        rows.append(Row("", strips_words(seen, "mm", 2, " as you see it")))
    if solved.area_angle_deg:
        lost = number(100 - solved.summary.area_used_percent, 1)
        rows.append(
            Row("", f"and the corners around the turned area: {lost} % of the tablet in all")
        )
    reached = solved.request.desktop.displays
    for display, reach in zip(reached, display_reach(solved), strict=True):
        rows.append(Row(display.label, _out_of_reach(reach)))
    shown = shown_percent(solved)
    if shown < 100 - 1e-6:
        percent = number(100 - shown, 1)
        rows.append(
            Row(
                "beside them",
                f"{percent} % of the target lies outside every display; strokes there are "
                f"invisible",
            )
        )
    return Part([*rows], "Left over")


def fineness_part(solved: TabletMap) -> Part:
    """How far the hand moves for one pixel, and the smallest movement that surely moves one.

    A warning follows where the tablet has too few counts to reach each pixel.
    """
    fine = fineness(solved)
    part = Part(
        [
            Row("one pixel", f"{both(fine.hand_mm_per_px, 4)} mm", "of hand, across x down"),
            Row("smallest move", f"{both(fine.smallest_mm, 4)} mm", _smallest_remark(solved)),
        ]
    )
    if (
        fine.counts_per_px is not None
        and min(fine.counts_per_px) < FEWEST_COUNTS_PER_PX
        and fine.skips
    ):
        counts = number(min(fine.counts_per_px), 2)
        part.items.append(
            f"Careful: {counts} counts for a pixel is less than 1, so some pixels cannot be hit."
        )
    return part


def strips_words(strips: Strips, unit: str, places: int, remark: str = "") -> str:
    """The strips by their sides: ``20 mm left, 20 mm right``; ``nothing`` where there is none."""
    named = [
        f"{number(value, places)} {unit} {side}"
        for side, value in (
            ("left", strips.left),
            ("top", strips.top),
            ("right", strips.right),
            ("bottom", strips.bottom),
        )
        if value > 1e-9
    ]
    return f"{', '.join(named) or 'nothing'}{remark if named else ''}"


def _out_of_reach(reach: DisplayReach) -> str:
    if reach.part_px is None:
        return "not reached"
    percent = f" out of reach, {number(reach.missed_percent, 1)} %"
    return strips_words(reach.missed_px, "px", 1, percent)


def both(pair: tuple[float, float], places: int) -> str:
    """Across and down, or the one number where they are the same."""
    across, down = (number(value, places) for value in pair)
    return across if across == down else f"{across} x {down}"


def _smallest_remark(solved: TabletMap) -> str:
    if solved.request.tablet.counts_per_mm is None:
        return "always enough to move one pixel; tablet resolution unknown"
    return "always enough to move one pixel, in whole counts"
