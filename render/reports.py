"""What a practitioner asks next, as lines of text: what is left over, how fine the hand is, where displays meet."""

from __future__ import annotations

from mapper.desk import Display
from mapper.reach import (
    DisplayReach,
    Strips,
    apart,
    dead_tablet,
    display_reach,
    fineness,
    shown_percent,
    whole_desktop,
)
from mapper.rect import Rect
from mapper.seams import Seam, seams
from mapper.solve import TabletMap
from render.words import fixed, number

__all__ = ["displays_lines", "fineness_lines", "left_over_lines", "rows"]

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
    lines.append(_left_over("tablet", built, "mm", 2, " as built" if tablet.turn_deg else ""))
    if tablet.turn_deg and built.any:
        lines.append(_left_over("", seen, "mm", 2, " as you see it"))
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
            f"  {'beside them':<15}{percent} % of the screen is shown by no display: there the pen draws nowhere"
        )
    return lines


def fineness_lines(solved: TabletMap) -> list[str]:
    """The hand's way for one pixel, the smallest movement that counts, and a warning where counts are too few."""
    fine = fineness(solved)
    lines = rows(
        [
            ("one pixel", f"{_both(fine.hand_mm_per_px, 4)} mm", "of hand, across x down"),
            ("smallest move", f"{_both(fine.smallest_mm, 4)} mm", _smallest_remark(solved)),
        ]
    )
    if fine.counts_per_px is not None and min(fine.counts_per_px) < FEWEST_COUNTS_PER_PX and fine.skips:
        counts = number(min(fine.counts_per_px), 2)
        lines.append(f"  Careful: {counts} counts for a pixel is less than 1, so some pixels cannot be hit.")
    return lines


def displays_lines(solved: TabletMap) -> list[str]:
    """Where there are several displays: the part of the tablet of each, the seams, gaps, and the whole desktop's area."""
    desktop = solved.request.desktop
    lines = [line for display in solved.reached for line in _logical_lines(solved, display)]
    if lines:
        lines.insert(0, "")
    if len(desktop.displays) == 1:
        return lines
    reached = display_reach(solved)
    if len(solved.reached) > 1:
        lines += ["", "The part of the tablet for each display, as built (left, top, width x height):"]
        lines += [_part_line(reach) for reach in reached if reach.area_built_mm is not None]
    crossed = seams(solved)
    if crossed:
        lines += ["", "Where a stroke crosses from one display to the next:"]
        for seam in crossed:
            lines += _seam_lines(seam)
    lines += [
        f"{' + '.join(group.displays)}: touches none of the others; the pen crosses pixels that nothing shows."
        for group in apart(solved)
    ]
    lines += ["", *_whole_desktop_lines(solved)]
    return lines


def _left_over(label: str, strips: Strips, unit: str, places: int, remark: str) -> str:
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
    return _left_over(display.label, reach.missed_px, "px", 1, percent)


def _both(pair: tuple[float, float], places: int) -> str:
    across, down = (number(value, places) for value in pair)
    return across if across == down else f"{across} x {down}"


def _smallest_remark(solved: TabletMap) -> str:
    if solved.request.tablet.counts_per_mm is None:
        return "sure to reach another pixel; counts not given"
    return "sure to reach another pixel, in whole counts"


def _logical_lines(solved: TabletMap, display: Display) -> list[str]:
    reach = next(reach for reach in display_reach(solved) if reach.display == display.label)
    if display.zoom == 1 or reach.logical is None:
        return []
    zoom = f"zoom {number(display.zoom, 2)}"
    return [f"In logical pixels of {display.label} ({zoom}): {_placed(reach.logical, 1)}, from its own top left"]


def _placed(rect: Rect, places: int) -> str:
    size = f"{number(rect.width, places)} x {number(rect.height, places)}"
    return f"{size} from {number(rect.left, places)}, {number(rect.top, places)}"


def _part_line(reach: DisplayReach) -> str:
    area = reach.area_built_mm
    if area is None:
        return ""
    return f"  {reach.display:<15}{_typed(area)}"


def _typed(area: Rect) -> str:
    return f"{fixed(area.left, 3)}, {fixed(area.top, 3)}, {fixed(area.width, 3)} x {fixed(area.height, 3)} mm"


def _seam_lines(seam: Seam) -> list[str]:
    way = {"right": "to the right", "down": "downwards"}[seam.crossing]
    lines = [f"  {seam.first} to {seam.second} ({way})"]
    if seam.size_factor_x is not None and seam.size_factor_y is not None:
        lines.append(f"    becomes {_both((seam.size_factor_x, seam.size_factor_y), 3)} times as large on the glass")
    if seam.glass_step_mm is not None and seam.hand_step_mm is not None:
        along = "up or down" if seam.crossing == "right" else "left or right"
        glass, hand = number(seam.glass_step_mm, 1), number(seam.hand_step_mm, 1)
        lines.append(f"    jumps {glass} mm {along} at the ends of the border ({hand} mm of hand), at best")
    if seam.glass_gap_mm:
        jump = ""
        if seam.glass_jump_mm is not None and seam.hand_jump_mm is not None and seam.glass_step_mm:
            jump = f"; {number(seam.glass_jump_mm, 1)} mm in all ({number(seam.hand_jump_mm, 1)} mm of hand)"
        lines.append(f"    leaps {number(seam.glass_gap_mm, 1)} mm over both bezels{jump}")
    if seam.hand_gap_mm > 1e-9:
        lines.append(f"    passes {number(seam.hand_gap_mm, 1)} mm of hand over pixels that no display shows")
    if seam.size_factor_x is None:
        lines.append("    how far it jumps needs the size of both displays")
    return lines


def _whole_desktop_lines(solved: TabletMap) -> list[str]:
    whole = whole_desktop(solved)
    if solved.screen_px == solved.request.desktop.rect_px:
        return ["The pen reaches the whole desktop: a driver that can only map to all of it needs just this area."]
    angle = f", turned by {number(solved.area_angle_deg, 2)} degrees" if solved.area_angle_deg else ""
    if whole.possible:
        return [
            "For a driver that can only map to the whole desktop, the same map is (as built):",
            f"  {'area':<15}{_typed(whole.area_built_mm)}{angle}",
        ]
    beyond = _left_over("", whole.beyond_mm, "mm", 1, "").strip()
    return [
        "A driver that can only map to the whole desktop cannot have this map: its area would reach past the tablet",
        f"  by {beyond}. Ask for --onto all there; the part of each display is then listed here.",
    ]
