"""The findings of a trace: measured numbers, what the driver seems to use, and what to correct."""

from __future__ import annotations

import math
from typing import Any

from mapper.mapping.solve import TabletMap
from mapper.phrases import phrase
from mapper.tracing.diagnosis import Cause, Diagnosis
from mapper.tracing.measure import MeasuredMap
from mapper.tracing.measurement import Measurement
from profiles.plain import plain
from profiles.strokes.traces import TraceReport
from render.sentences.say import say, say_again, say_count
from render.sentences.trace import alike_causes, cause_sentence, corrections, cures, verdict
from render.sentences.words import fixed, number, placed
from render.tables import text_lines

# Bars wider than this, as a share of the ratio, ask for more: a right setting is told from a wrong
# one at 1 %.
WIDE_PERCENT = 1.0

_MORE_CERTAIN = (
    "For more certain numbers, trace something larger, "
    "or the same thing again and give both pictures; best do both."
)
_TWO_THINGS = phrase(
    "One trace tells sizes, not where the area lies, nor whether the picture is mirrored or upside "
    "down: for that trace two things, each with its place, or touch the crosses."
)
_ROUND_ALONE = phrase(
    "One round thing tells sizes alone, not where the area lies, nor whether the picture is turned "
    "or mirrored: for that trace two things, each with its place, or touch the crosses."
)


def _other_reading_words(report: TraceReport) -> str:
    """Lines on both ways in which the traced thing may have lain."""
    turn = report.measured.thing_turn_deg
    upright = turn is not None and abs(turn.value) > 45
    now, then = "along the screen's width", "upright"
    if upright:
        now, then = then, now
    other = report.other or report.measured
    figures = (
        f"{fixed(other.x_px_per_mm.value, 3)} px/mm across and "
        f"{fixed(other.y_px_per_mm.value, 3)} down"
    )
    read = f"Read with its long side {now}; if it lay {then}, the figures would be {figures}."
    if report.thing is None or report.thing.lay:
        return read
    return f"{read} If it lay upright, say so: {report.thing.typed(lay='upright')}."


def report_text(report: TraceReport) -> str:
    """The findings of a trace as text."""
    measured, finding, meant = report.measured, report.finding, report.meant
    lines = [verdict(report)]
    if finding is not None and not finding.agrees:
        alike = alike_causes(finding)
        if len(alike) < 2:
            lines.append(cause_sentence(finding.cause, report))
        lines_to_correct = corrections(report)
        heading = "Correct:" if len(alike) < 2 else "One of these; sizes alone cannot tell which:"
        lines += (
            ["", heading, *(f"  {line}" for line in lines_to_correct)] if lines_to_correct else []
        )
        if len(alike) > 1 and report.whole is None:
            lines.append(
                "  A second trace far from the first, both with their places, tells whether it "
                "is the area."
            )
        for cause in (cause for cause in finding.also if cause not in alike):
            lines += [
                say("Or: {cause}", cause=cause_sentence(cause, report)),
                *(f"  {cure}" for cure in cures(cause, report)),
            ]
    if report.other is not None:
        lines += ["", _other_reading_words(report)]
    lines += ["", *_measured_lines(report)]
    lines += [
        f"  canvas taken from {name}: {canvas.left:.0f},{canvas.top:.0f},"
        f"{canvas.width:.0f}x{canvas.height:.0f}px"
        for name, canvas in report.canvases
    ]
    unsure = finding is not None and (
        len(alike_causes(finding)) > 1
        or finding.cause.name in {"no area of this tablet", "orientation not told"}
    )
    if finding is not None and meant is not None and not unsure:
        lines += ["", *_used_lines(finding, meant)]
    if report.whole is not None:
        corner_px = (meant.screen_px.left, meant.screen_px.top) if meant else (0.0, 0.0)
        lines += ["", *_whole_lines(report.whole, corner_px)]
    if 100 * measured.ratio.half_width > WIDE_PERCENT * measured.ratio.value:
        lines += ["", _MORE_CERTAIN]
    if measured.traces == 1 and report.whole is None:
        open_still = _ROUND_ALONE if measured.thing_turn_deg is None else _TWO_THINGS
        lines += ["", say_again(open_still)]
    return "\n".join(lines) + "\n"


def _measured_lines(report: TraceReport) -> list[str]:
    measured, finding, meant = report.measured, report.finding, report.meant
    heads = ["", "", "95 % sure within", *(["meant", "off"] if finding else [])]
    rows: list[list[str]] = []

    def row(
        name: str,
        known: Measurement,
        places: int,
        unit: str,
        *,
        wanted: float | None,
        off: float | None = None,
    ) -> None:
        cells = [
            name,
            f"{fixed(known.value, places)}{unit}",
            f"{fixed(known.low, places)} to {fixed(known.high, places)}",
        ]
        if finding is not None:
            cells.append("" if wanted is None else fixed(wanted, places))
            cells.append("" if off is None else f"{off:+.2f} %")
        rows.append(cells)

    wanted_x = wanted_y = wanted_ratio = None
    if meant is not None:
        wanted_x = meant.screen_px.width / meant.area_seen_mm.width
        wanted_y = meant.screen_px.height / meant.area_seen_mm.height
        wanted_ratio = wanted_x / wanted_y
    x_off = y_off = ratio_off = None
    if finding is not None:
        x_off, y_off = finding.x_off_percent, finding.y_off_percent
        ratio_off = finding.ratio_off_percent
    row("across", measured.x_px_per_mm, 3, " px/mm", wanted=wanted_x, off=x_off)
    row("down", measured.y_px_per_mm, 3, " px/mm", wanted=wanted_y, off=y_off)
    row("across : down", measured.ratio, 4, "", wanted=wanted_ratio, off=ratio_off)
    wanted_stretch = None if wanted_ratio is None else max(wanted_ratio, 1 / wanted_ratio)
    row("stretch", measured.stretch, 4, "", wanted=wanted_stretch)
    if measured.thing_turn_deg is not None:
        row("thing lay at", measured.thing_turn_deg, 2, " deg", wanted=None)
    if measured.traces > 1 or measured.leans:
        square = None if finding is None else 0.0
        row("off square by", _lean_deg(measured.lean), 2, " deg", wanted=square)
    if measured.long_axis_deg is not None:
        row("longer along", measured.long_axis_deg, 1, " deg", wanted=None)
    return [
        f"Measured, {say_count('{count} trace', '{count} traces', measured.traces)}:",
        *(f"  {line}" for line in text_lines(heads, rows)),
    ]


def _lean_deg(lean: Measurement) -> Measurement:
    """How far from a right angle the picture shows what was square under the hand, degrees."""
    sines = (max(-1.0, min(1.0, sine)) for sine in (lean.value, lean.low, lean.high))
    return Measurement(*(math.degrees(math.asin(sine)) for sine in sines))


def _used_lines(finding: Diagnosis, meant: TabletMap) -> list[str]:
    cause, area, screen = finding.cause, meant.area_seen_mm, meant.screen_px
    turned = ", as you see the turned tablet" if meant.request.tablet.turn_deg else ""

    def area_words(width: float, height: float) -> str:
        return f"{number(width, 2)} x {number(height, 2)} mm"

    lines = [f"What the driver seems to use{turned}:"]
    rows = [
        (
            "area",
            area_words(cause.area_width_mm, cause.area_height_mm),
            area_words(area.width, area.height),
        ),
        ("target", placed(cause.target_px, places=0), placed(screen, places=0)),
    ]
    if finding.left_mm is not None and finding.top_mm is not None:
        now = f"{number(finding.left_mm.value, 1)}, {number(finding.top_mm.value, 1)} mm"
        bars = (
            f" (+/- {number(finding.left_mm.half_width, 1)}, "
            f"{number(finding.top_mm.half_width, 1)})"
        )
        rows.insert(
            1, ("its place", now + bars, f"{number(area.left, 2)}, {number(area.top, 2)} mm")
        )
    width = max(len(row[1]) for row in rows)
    lines += [f"  {name:<14}{now:<{width}}   meant {wanted}" for name, now, wanted in rows]
    return lines


def _whole_lines(whole: MeasuredMap, corner_px: tuple[float, float]) -> list[str]:
    lines = ["The whole map, from mm as you see the tablet to px of the desktop (+/- at 95 %):"]
    for name, elements in (("x", "abc"), ("y", "def")):
        known = [whole.interval(element) for element in elements]
        cells = [f"{fixed(k.value, 3)} +/- {fixed(k.half_width, 3)}" for k in known]
        lines.append(f"  {name} px = ({cells[0]}) x mm + ({cells[1]}) y mm + ({cells[2]})")
    places = [
        f"{fixed(known.value, 2)} +/- {fixed(known.half_width, 2)}"
        for known in whole.back(*corner_px)
    ]
    lines.append(f"  The screen's top left comes from {places[0]} mm across, {places[1]} mm down.")
    turn = whole.turn_deg
    lines.append(
        f"  Turned against the hand by {fixed(turn.value, 2)} +/- {fixed(turn.half_width, 2)} deg."
    )
    if whole.unexplained > 2:
        lines.append(
            f"  The traces differ {number(whole.unexplained, 1)} times as much as hand wobble "
            f"and placing explain."
        )
    return lines


def report_data(report: TraceReport) -> dict[str, Any]:
    """The findings of a trace as plain data; what is not known is absent."""
    measured, finding, other = report.measured, report.finding, report.other
    data: dict[str, Any] = {
        **plain(measured),
        "if_it_lay_the_other_way": other
        and {"x_px_per_mm": other.x_px_per_mm, "y_px_per_mm": other.y_px_per_mm},
        "canvases": [
            {
                "picture": name,
                "left_px": part.left,
                "top_px": part.top,
                "width_px": part.width,
                "height_px": part.height,
            }
            for name, part in report.canvases
        ]
        or None,
    }
    if report.whole is not None:
        left, top = report.whole.back(0.0, 0.0)
        data["desktop_origin_seen_mm"] = {"x": left, "y": top}
        data["whole_map"] = {
            "seen_mm_to_desktop_px": report.whole.seen_mm_to_desktop_px.rows,
            "half_widths": {
                element: report.whole.interval(element).half_width for element in "abcdef"
            },
            "turn_deg": report.whole.turn_deg,
            "unexplained": report.whole.unexplained,
        }
    if finding is not None:
        placed = finding.left_mm is not None and finding.top_mm is not None
        data |= {
            "agrees": finding.agrees,
            "off_percent": {
                "x": finding.x_off_percent,
                "y": finding.y_off_percent,
                "ratio": finding.ratio_off_percent,
            },
            "cause": _cause_data(finding.cause),
            "also": [_cause_data(cause) for cause in finding.also],
            "correct": finding.correct,
            "to_type": corrections(report),
            "area_left_seen_mm": finding.left_mm if placed else None,
            "area_top_seen_mm": finding.top_mm if placed else None,
        }
    return data


def _cause_data(cause: Cause) -> dict[str, Any]:
    return {
        "name": cause.name,
        "area_seen_mm": {"width": cause.area_width_mm, "height": cause.area_height_mm},
        "target_px": cause.target_px,
        "zoom_percent": cause.zoom_percent,
        "display": cause.display or None,
    }
