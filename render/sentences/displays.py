"""Several displays: the part of the tablet for each, the seams between them, and the gaps."""

from __future__ import annotations

from mapper.desk import Display
from mapper.mapping.reach import display_reach
from mapper.mapping.seams import Seam, seams
from mapper.mapping.solve import TabletMap
from mapper.mapping.whole_desktop import separate_displays, whole_desktop
from mapper.rect import Rect
from render.sentences.left_over import both, strips_words
from render.sentences.parts import Hint, Part, Row
from render.sentences.words import fixed, number, placed


def displays_parts(solved: TabletMap) -> list[Part]:
    """The parts of a report on several displays; for one display only its logical pixels.

    Each display's part of the tablet, the seams, the gaps, and the area for a driver that can only
    map to the whole desktop.
    """
    desktop = solved.request.desktop
    logical = [line for display in solved.reached for line in _logical_lines(solved, display)]
    parts = [Part([*logical])] if logical else []
    if len(desktop.displays) == 1:
        return parts
    if len(solved.reached) > 1:
        areas = [(reach.display, reach.area_built_mm) for reach in display_reach(solved)]
        rows = [Row(label, _typed(area)) for label, area in areas if area is not None]
        parts.append(
            Part(
                [*rows],
                "The part of the tablet for each display, as built (left, top, width x height)",
            )
        )
    crossed = [line for seam in seams(solved) for line in _seam_lines(seam)]
    if crossed:
        parts.append(Part([*crossed], "Where a stroke crosses from one display to the next"))
    alone = [
        f"{' + '.join(group)}: touches none of the others; the pen crosses pixels that no "
        f"display shows."
        for group in separate_displays(solved)
    ]
    if alone:
        parts.append(Part([*alone]))
    return [*parts, _whole_desktop_part(solved)]


def _logical_lines(solved: TabletMap, display: Display) -> list[str]:
    reach = next(reach for reach in display_reach(solved) if reach.display == display.label)
    if display.zoom == 1 or reach.logical is None:
        return []
    zoom = f"zoom {number(display.zoom, 2)}"
    return [
        (
            f"In logical pixels of {display.label} ({zoom}): {placed(reach.logical)} from its own "
            f"top left"
        )
    ]


def _typed(area: Rect) -> str:
    return (
        f"{fixed(area.left, 3)}, {fixed(area.top, 3)}, {fixed(area.width, 3)} x "
        f"{fixed(area.height, 3)} mm"
    )


def _seam_lines(seam: Seam) -> list[str]:
    way = {"right": "to the right", "down": "downwards"}[seam.crossing]
    lines = [f"{seam.first} to {seam.second} ({way})"]
    if seam.size_factor_x is not None and seam.size_factor_y is not None:
        lines.append(
            f"  becomes {both((seam.size_factor_x, seam.size_factor_y), 3)} times as large on "
            f"the glass"
        )
    if seam.glass_step_mm is not None and seam.hand_step_mm is not None:
        along = "up or down" if seam.crossing == "right" else "left or right"
        glass, hand = number(seam.glass_step_mm, 1), number(seam.hand_step_mm, 1)
        lines.append(
            f"  shifts by at least {glass} mm {along} near the ends of the shared edge ({hand} "
            f"mm of hand)"
        )
    if seam.glass_gap_mm:
        jump = ""
        if seam.glass_jump_mm is not None and seam.hand_jump_mm is not None and seam.glass_step_mm:
            jump = (
                f"; {number(seam.glass_jump_mm, 1)} mm in all ({number(seam.hand_jump_mm, 1)} mm "
                f"of hand)"
            )
        lines.append(f"  leaps {number(seam.glass_gap_mm, 1)} mm over both bezels{jump}")
    if seam.hand_gap_mm > 1e-9:
        lines.append(
            f"  passes {number(seam.hand_gap_mm, 1)} mm of hand over pixels that no display shows"
        )
    if seam.size_factor_x is None:
        lines.append("  how far it shifts is unknown without the size of both displays")
    return lines


def _whole_desktop_part(solved: TabletMap) -> Part:
    whole = whole_desktop(solved)
    if solved.screen_px == solved.request.desktop.rect_px:
        return Part(
            [
                (
                    "The pen reaches the whole desktop: a driver that can only map to all of it "
                    "needs just this area."
                )
            ]
        )
    angle = (
        f", turned by {number(solved.area_angle_deg, 2)} degrees" if solved.area_angle_deg else ""
    )
    if whole.possible:
        return Part(
            [Row("area", f"{_typed(whole.area_built_mm)}{angle}")],
            "For a driver that can only map to the whole desktop, the same map is (as built)",
        )
    cannot = (
        "A driver that can only map to the whole desktop cannot have this map: its area would "
        "reach past the tablet\n"
        f"  by {strips_words(whole.beyond_mm, 'mm', 1)}."
    )
    return Part(
        [
            cannot,
            Hint(
                "With the whole desktop as the target, the part of each display is listed here",
                "--onto all",
            ),
        ]
    )
