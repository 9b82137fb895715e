"""Several displays: the part of the tablet for each, the seams between them, and the gaps."""

from __future__ import annotations

from mapper.desk import Display
from mapper.mapping.entry import Entry
from mapper.mapping.reach import display_reach
from mapper.mapping.seams import Seam, seams
from mapper.mapping.solve import TabletMap
from mapper.mapping.whole_desktop import separate_displays, whole_desktop
from mapper.rect import Rect
from render.sentences.left_over import both, strips_words
from render.sentences.parts import Hint, Part, Row
from render.sentences.say import Name, say
from render.sentences.words import fixed_to_type, number, placed, to_type


def displays_parts(solved: TabletMap, entry: Entry) -> list[Part]:
    """The parts of a report on several displays; for one display only its logical pixels.

    Each display's part of the tablet, the seams, the gaps, and the area for settings that can only
    use the whole desktop.
    """
    desktop = solved.request.desktop
    logical = [
        line for display in solved.reached for line in _logical_lines(solved, display, entry)
    ]
    parts = [Part([*logical])] if logical else []
    if len(desktop.displays) == 1:
        return parts
    if len(solved.reached) > 1:
        areas = [(reach.display, reach.area_built_mm) for reach in display_reach(solved)]
        rows = [Row(label, _typed(area, entry)) for label, area in areas if area is not None]
        parts.append(
            Part(
                [*rows],
                say(
                    "The part of the tablet for each display, when not turned (left, top, width × "
                    "height)"
                ),
            )
        )
    crossed = [line for seam in seams(solved) for line in _seam_lines(seam)]
    if crossed:
        parts.append(Part([*crossed], say("Where a stroke crosses from one display to the next")))
    alone = [
        say(
            "{displays}: touches none of the others; the pen crosses pixels that no display shows.",
            displays=" + ".join(group),
        )
        for group in separate_displays(solved)
    ]
    if alone:
        parts.append(Part([*alone]))
    return [*parts, _whole_desktop_part(solved, entry)]


def _logical_lines(solved: TabletMap, display: Display, entry: Entry) -> list[str]:
    reach = next(reach for reach in display_reach(solved) if reach.display == display.label)
    if display.zoom == 1 or reach.logical is None:
        return []
    return [
        say(
            "In logical pixels of {display} (zoom {zoom}): {place} from its own top left",
            display=Name(display.label),
            zoom=number(display.zoom, 2),
            place=placed(reach.logical, entry=entry),
        )
    ]


def _typed(area: Rect, entry: Entry) -> str:
    left, top, width, height = (
        fixed_to_type(side, 3, entry) for side in (area.left, area.top, area.width, area.height)
    )
    return f"{left}, {top}, {width} × {height} mm"


def _seam_lines(seam: Seam) -> list[str]:
    """What happens to a stroke at a seam: a heading and a line for each thing."""
    sideways = seam.crossing == "right"
    ends = {"first": Name(seam.first), "second": Name(seam.second)}
    lines: list[str] = [
        say("{first} to {second} (to the right)", **ends)
        if sideways
        else say("{first} to {second} (downwards)", **ends)
    ]
    if seam.size_factor_x is not None and seam.size_factor_y is not None:
        times = both((seam.size_factor_x, seam.size_factor_y), 2)
        lines.append(say("  a stroke becomes {times} times as large", times=times))
    if seam.glass_step_mm is not None and seam.hand_step_mm is not None:
        lines.append(
            _step_line(
                number(seam.glass_step_mm, 1), number(seam.hand_step_mm, 1), sideways=sideways
            )
        )
    if seam.glass_gap_mm:
        lines.append(_leap_line(seam))
    if seam.hand_gap_mm > 1e-9:
        lines.append(
            say(
                "  it crosses {hand} mm of hand movement over pixels that no display shows",
                hand=number(seam.hand_gap_mm, 1),
            )
        )
    if seam.size_factor_x is None:
        lines.append(say("  how far it shifts is not known without the sizes of both displays"))
    return lines


def _step_line(shift_mm: str, hand_mm: str, *, sideways: bool) -> str:
    slots = {"shift": shift_mm, "hand": hand_mm}
    if sideways:
        return say(
            "  it shifts by at least {shift} mm up or down near the ends of the shared edge "
            "({hand} "
            "mm of hand movement)",
            **slots,
        )
    return say(
        "  it shifts by at least {shift} mm left or right near the ends of the shared edge "
        "({hand} mm "
        "of hand movement)",
        **slots,
    )


def _leap_line(seam: Seam) -> str:
    gap = number(seam.glass_gap_mm or 0.0, 1)
    if seam.glass_jump_mm is None or seam.hand_jump_mm is None or not seam.glass_step_mm:
        return say("  it jumps {gap} mm over both frames", gap=gap)
    return say(
        "  it jumps {gap} mm over both frames; {all} mm in all ({hand} mm of hand movement)",
        gap=gap,
        all=number(seam.glass_jump_mm, 1),
        hand=number(seam.hand_jump_mm, 1),
    )


def _whole_desktop_part(solved: TabletMap, entry: Entry) -> Part:
    whole = whole_desktop(solved)
    if solved.screen_px == solved.request.desktop.rect_px:
        return Part(
            [
                say(
                    "The pen reaches the whole desktop, so this area also works in settings that "
                    "can only use all of it."
                )
            ]
        )
    if whole.possible:
        area: str = _typed(whole.area_built_mm, entry)
        if solved.area_angle_deg:
            degrees = to_type(solved.area_angle_deg, 2, entry)
            area = say("{area}, turned by {degrees} degrees", area=area, degrees=degrees)
        return Part(
            [Row(say("area"), area)],
            say(
                "In settings that can only use the whole desktop, the same map is (when not turned)"
            ),
        )
    return Part(
        [
            say(
                "Settings that can only use the whole desktop cannot do this: the area would "
                "reach beyond the edge of the tablet:\n  {sides}.",
                sides=strips_words(whole.beyond_mm, "mm", 1),
            ),
            Hint(
                say("To list the part of each display with the whole desktop as the target"),
                "--onto all",
            ),
        ]
    )
