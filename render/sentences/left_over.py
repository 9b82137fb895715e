"""What a map does not use, and how far the hand moves for one pixel."""

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
from mapper.phrases import template
from render.sentences.parts import Part, Row
from render.sentences.say import row_of, say
from render.sentences.words import number, share_words

#: From where a count moves the pen by more than a pixel, and some pixels cannot be hit.
FEWEST_COUNTS_PER_PX = 1.0


def left_over_part(solved: TabletMap) -> Part:
    """The strips of the tablet that are not used, and of the displays those out of reach."""
    built, seen = dead_strips_mm(solved)
    tablet = solved.request.tablet
    sides = strips_words(built, "mm", 2)
    if tablet.turn_deg and built.any:
        sides = say("{sides} when not turned", sides=sides)
    rows = [Row(say("tablet"), sides)]
    if tablet.turn_deg and built.any:
        as_seen = strips_words(seen, "mm", 2)
        rows.append(Row("", say("{sides} as you see it", sides=as_seen)))
    if solved.area_angle_deg:
        corners = share_words(100 - solved.summary.area_used_percent)
        rows.append(
            Row(
                "",
                say(
                    "and the corners around the turned area: {share} of the tablet in all",
                    share=corners,
                ),
            )
        )
    rows += [Row(reach.display, _out_of_reach(reach)) for reach in display_reach(solved)]
    shown = shown_percent(solved)
    if shown < 100 - 1e-6:
        outside = share_words(100 - shown)
        rows.append(
            Row(
                say("outside the displays"),
                say(
                    "{share} of what the pen reaches lies outside every display; strokes there "
                    "are invisible",
                    share=outside,
                ),
            )
        )
    return Part([*rows], say("Not used"))


def fineness_part(solved: TabletMap) -> Part:
    """How far the hand moves for one pixel, and the smallest movement that surely moves one.

    A warning follows where the tablet has too few counts to reach each pixel.
    """
    fine = fineness(solved)
    part = Part(
        [
            Row(
                say("one pixel"),
                say("{length} mm", length=both(fine.hand_mm_per_px, 3)),
                say("of hand movement, across × down"),
            ),
            Row(
                say("smallest move"),
                say("{length} mm", length=both(fine.smallest_mm, 3)),
                _smallest_remark(solved),
            ),
        ]
    )
    if (
        fine.counts_per_px is not None
        and min(fine.counts_per_px) < FEWEST_COUNTS_PER_PX
        and fine.skips
    ):
        counts = number(min(fine.counts_per_px), 2)
        part.items.append(
            say(
                "Careful: for each pixel there is less than 1 count ({counts}), so the pen cannot "
                "reach some pixels.",
                counts=counts,
            )
        )
    return part


def strips_words(strips: Strips, unit: str, places: int) -> str:
    """The strips by their sides: ``20 mm left, 20 mm right``; ``nothing`` where there is none."""

    def strip(side: str, value: float) -> str:
        return say(side, length=f"{number(value, places)} {unit}")

    named = [
        strip(side, value)
        for side, value in (
            (template("{length} left"), strips.left),
            (template("{length} top"), strips.top),
            (template("{length} right"), strips.right),
            (template("{length} bottom"), strips.bottom),
        )
        if value > 1e-9
    ]
    return row_of(named) or say("nothing")


def _out_of_reach(reach: DisplayReach) -> str:
    if reach.part_px is None:
        return say("not reached")
    sides = strips_words(reach.missed_px, "px", 1)
    if not reach.missed_px.any:
        return sides
    return say(
        "{sides}, together {share}",
        sides=sides,
        share=share_words(reach.missed_percent),
    )


def both(pair: tuple[float, float], places: int) -> str:
    """Across and down, or the one number where they are the same."""
    across, down = (number(value, places) for value in pair)
    return across if across == down else f"{across} × {down}"


def _smallest_remark(solved: TabletMap) -> str:
    if solved.request.tablet.counts_per_mm is None:
        return say(
            "of hand movement; this always reaches the next pixel; the tablet's resolution is not "
            "known"
        )
    return say(
        "of hand movement; this always reaches the next pixel, in whole counts (the smallest steps "
        "that the tablet measures)"
    )
