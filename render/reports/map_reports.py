"""What a practitioner asks next, as lines of text: what is left over, and how fine the hand has to be."""

from __future__ import annotations

from mapper.desk import Display
from mapper.mapping.reach import DisplayReach, Strips, dead_tablet, display_reach, fineness, shown_percent
from mapper.mapping.solve import TabletMap
from render.words import number

#: From where a count moves the pen by more than a pixel, and some pixels cannot be hit.
FEWEST_COUNTS_PER_PX = 1.0


def rows(labelled: list[tuple[str, str, str]]) -> list[str]:
    """Label, value and remark in columns."""
    return [f"  {label:<15}{value:<13} {remark}".rstrip() for label, value, remark in labelled]


def left_over_lines(solved: TabletMap) -> list[str]:
    """The strips of the tablet that go dead, and those of the displays that the pen cannot reach."""
    built, seen = dead_tablet(solved)
    tablet = solved.request.tablet
    lines = ["Left over:"]
    lines.append(left_over("tablet", built, "mm", 2, " as built" if tablet.turn_deg else ""))
    if tablet.turn_deg and built.any:
        lines.append(left_over("", seen, "mm", 2, " as you see it"))
    if solved.area_angle_deg:
        lost = number(100 - solved.summary.area_used_percent, 1)
        lines.append(f"  {'':<15}and the corners around the turned area: {lost} % of the tablet in all")
    reached = solved.request.desktop.displays
    for display, reach in zip(reached, display_reach(solved), strict=True):
        lines.append(_out_of_reach(display, reach))
    shown = shown_percent(solved)
    if shown < 100 - 1e-6:
        percent = number(100 - shown, 1)
        lines.append(
            f"  {'beside them':<15}{percent} % of the target lies outside every display; strokes there are invisible"
        )
    return lines


def fineness_lines(solved: TabletMap) -> list[str]:
    """The hand's way for one pixel, the smallest movement that counts, and a warning where counts are too few."""
    fine = fineness(solved)
    lines = rows(
        [
            ("one pixel", f"{both(fine.hand_mm_per_px, 4)} mm", "of hand, across x down"),
            ("smallest move", f"{both(fine.smallest_mm, 4)} mm", _smallest_remark(solved)),
        ]
    )
    if fine.counts_per_px is not None and min(fine.counts_per_px) < FEWEST_COUNTS_PER_PX and fine.skips:
        counts = number(min(fine.counts_per_px), 2)
        lines.append(f"  Careful: {counts} counts for a pixel is less than 1, so some pixels cannot be hit.")
    return lines


def left_over(label: str, strips: Strips, unit: str, places: int, remark: str) -> str:
    """A line that names the strips by their sides."""
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
    return f"  {label:<15}{', '.join(named) or 'nothing'}{remark if named else ''}"


def _out_of_reach(display: Display, reach: DisplayReach) -> str:
    if reach.part_px is None:
        return f"  {display.label:<15}not reached"
    percent = f" out of reach, {number(reach.missed_percent, 1)} %"
    return left_over(display.label, reach.missed_px, "px", 1, percent)


def both(pair: tuple[float, float], places: int) -> str:
    """Across and down, or the one number where they are the same."""
    across, down = (number(value, places) for value in pair)
    return across if across == down else f"{across} x {down}"


def _smallest_remark(solved: TabletMap) -> str:
    if solved.request.tablet.counts_per_mm is None:
        return "always enough to move one pixel; tablet resolution unknown"
    return "always enough to move one pixel, in whole counts"
