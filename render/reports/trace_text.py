"""The findings of a trace: measured numbers, what the driver seems to use, and what to correct."""

from __future__ import annotations

import math
from typing import Any

from mapper.mapping.solve import TabletMap
from mapper.phrases import phrase
from mapper.tracing.diagnosis import Cause, Diagnosis
from mapper.tracing.measure import MeasuredMap
from mapper.tracing.measurement import Measurement
from profiles.plain import headed, plain
from profiles.strokes.traces import TraceReport
from render.sentences.measures import size
from render.sentences.say import paragraph, say, say_again, say_count
from render.sentences.trace import alike_causes, cause_sentence, corrections, cures, verdict
from render.sentences.words import fixed, number, placed, signed
from render.tables import text_lines

# Bars wider than this, as a share of the ratio, ask for more: a right setting is told from a wrong
# one at 1 %.
WIDE_PERCENT = 1.0

_MORE_CERTAIN = phrase(
    "For more reliable numbers, trace something larger, or trace the same object again and give "
    "both pictures. It is best to do both."
)
_TWO_THINGS = phrase(
    "One trace shows the sizes, not where the area lies, nor if the picture is mirrored or upside "
    "down. For that, trace two objects, each with its place, or touch the crosses."
)
_ROUND_ALONE = phrase(
    "One round object tells only sizes, not where the area lies, nor whether the picture is turned "
    "or mirrored. For that, trace two objects, each with its place, or touch the crosses."
)


def _other_reading_words(report: TraceReport) -> str:
    """Lines on both ways in which the traced thing may have lain."""
    other = report.other or report.measured
    slots = {
        "across": fixed(other.x_px_per_mm.value, 3),
        "down": fixed(other.y_px_per_mm.value, 3),
    }
    found = say(
        "Read with its long side along the screen's width; if it lay upright, the figures would be "
        "{across} px/mm across and {down} down.",
        **slots,
    )
    if report.lies_upright:
        found = say(
            "Read with its long side upright; if it lay along the screen's width, the figures "
            "would be {across} px/mm across and {down} down.",
            **slots,
        )
    if report.thing is None or report.thing.lay:
        return found
    option = report.thing.typed(lay="upright")
    return paragraph([found, say("If it lay upright, say so: {option}.", option=option)])


def report_text(report: TraceReport) -> str:
    """The findings of a trace as text."""
    measured, finding, meant = report.measured, report.finding, report.meant
    lines = [verdict(report)]
    if finding is not None and not finding.agrees:
        lines += _cause_lines(report, finding)
    if report.other is not None:
        lines += ["", _other_reading_words(report)]
    lines += ["", *_measured_lines(report)]
    for name, canvas in report.canvases:
        part = f"{canvas.left:.0f},{canvas.top:.0f},{canvas.width:.0f}x{canvas.height:.0f}px"
        taken = say("canvas taken from {file}: {part}", file=name, part=part)
        lines.append(f"  {taken}")
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
        lines += ["", say_again(_MORE_CERTAIN)]
    if measured.traces == 1 and report.whole is None:
        open_still = _ROUND_ALONE if measured.thing_turn_deg is None else _TWO_THINGS
        lines += ["", say_again(open_still)]
    return "\n".join(lines) + "\n"


def _cause_lines(report: TraceReport, finding: Diagnosis) -> list[str]:
    """What is the matter, what to correct, and what else it may be."""
    lines: list[str] = []
    alike, lines_to_correct = alike_causes(finding), corrections(report)
    heading = say("Correct:")
    if len(alike) > 1:
        heading = say("One of these; sizes alone cannot tell which:")
    else:
        lines.append(cause_sentence(finding.cause, report))
    if lines_to_correct:
        lines += ["", heading, *(f"  {line}" for line in lines_to_correct)]
    if len(alike) > 1 and report.whole is None:
        sentence = say(
            "A second trace far from the first, both with their places, shows whether it is the "
            "area."
        )
        lines.append(f"  {sentence}")
    for cause in (cause for cause in finding.also if cause not in alike):
        lines.append(say("Or: {cause}", cause=cause_sentence(cause, report)))
        lines += [f"  {cure}" for cure in cures(cause, report)]
    return lines


def _measured_lines(report: TraceReport) -> list[str]:
    measured, finding, meant = report.measured, report.finding, report.meant
    heads = ["", "", say("range, 95 % sure")]
    if finding:
        heads += [say("should be"), say("difference")]
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
            f"{signed(fixed(known.value, places))}{unit}",
            say(
                "{low} to {high}",
                low=signed(fixed(known.low, places)),
                high=signed(fixed(known.high, places)),
            ),
        ]
        if finding is not None:
            cells.append("" if wanted is None else fixed(wanted, places))
            cells.append("" if off is None else signed(f"{off:+.2f} %"))
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
    row(say("across"), measured.x_px_per_mm, 3, " px/mm", wanted=wanted_x, off=x_off)
    row(say("down"), measured.y_px_per_mm, 3, " px/mm", wanted=wanted_y, off=y_off)
    row(say("across : down"), measured.ratio, 4, "", wanted=wanted_ratio, off=ratio_off)
    wanted_stretch = None if wanted_ratio is None else max(wanted_ratio, 1 / wanted_ratio)
    row(say("stretch"), measured.stretch, 4, "", wanted=wanted_stretch)
    if measured.thing_turn_deg is not None:
        row(say("object lay askew by"), measured.thing_turn_deg, 2, "°", wanted=None)
    if measured.traces > 1 or measured.leans:
        square = None if finding is None else 0.0
        row(say("off square by"), _lean_deg(measured.lean), 2, "°", wanted=square)
    if measured.long_axis_deg is not None:
        row(say("longer along"), measured.long_axis_deg, 1, "°", wanted=None)
    heading = say_count("Measured, {count} trace:", "Measured, {count} traces:", measured.traces)
    return [heading, *(f"  {line}" for line in text_lines(heads, rows))]


def _lean_deg(lean: Measurement) -> Measurement:
    """How far from a right angle the picture shows what was square under the hand, degrees."""
    sines = (max(-1.0, min(1.0, sine)) for sine in (lean.value, lean.low, lean.high))
    return Measurement(*(math.degrees(math.asin(sine)) for sine in sines))


def _used_lines(finding: Diagnosis, meant: TabletMap) -> list[str]:
    cause, area, screen = finding.cause, meant.area_seen_mm, meant.screen_px
    heading = say("What the tablet seems to use:")
    if meant.request.tablet.turn_deg:
        heading = say("What the tablet seems to use, as you see the turned tablet:")
    rows = [
        (
            say("area"),
            size(cause.area_width_mm, cause.area_height_mm),
            size(area.width, area.height),
        ),
        (say("target"), placed(cause.target_px, places=0), placed(screen, places=0)),
    ]
    if finding.left_mm is not None and finding.top_mm is not None:
        now = say(
            "{left}, {top} mm (± {left_half}, {top_half})",
            left=number(finding.left_mm.value, 1),
            top=number(finding.top_mm.value, 1),
            left_half=number(finding.left_mm.half_width, 1),
            top_half=number(finding.top_mm.half_width, 1),
        )
        wanted = say("{left}, {top} mm", left=number(area.left, 1), top=number(area.top, 1))
        rows.insert(1, (say("its place"), now, wanted))
    head = ["", say("now"), say("should be")]
    table = text_lines(head, [list(row) for row in rows], left=3)
    return [heading, *(f"  {line}" for line in table)]


def _whole_lines(whole: MeasuredMap, corner_px: tuple[float, float]) -> list[str]:
    lines: list[str] = [
        say("The whole map, from mm as you see the tablet to px of the desktop (± at 95 %):")
    ]
    for name, elements in (("x", "abc"), ("y", "def")):
        known = [whole.interval(element) for element in elements]
        cells = [_with_bar(each, 3) for each in known]
        lines.append(f"  {name} px = ({cells[0]}) x mm + ({cells[1]}) y mm + ({cells[2]})")
    across, down = (_with_bar(known, 2) for known in whole.back(*corner_px))
    sentences = [
        say(
            "The screen's top left comes from {across} mm across, {down} mm down.",
            across=across,
            down=down,
        ),
        say("Strokes come out turned by {degrees} degrees.", degrees=_with_bar(whole.turn_deg, 2)),
    ]
    if whole.unexplained > 2:
        sentences.append(
            say(
                "The traces differ {times} times as much as an unsteady hand and placing explain.",
                times=number(whole.unexplained, 1),
            )
        )
    return [*lines, *(f"  {sentence}" for sentence in sentences)]


def _with_bar(known: Measurement, places: int) -> str:
    return f"{fixed(known.value, places)} ± {fixed(known.half_width, places)}"


def report_data(report: TraceReport) -> dict[str, Any]:
    """The findings of a trace as plain data; what is not known is absent."""
    measured, finding, other = report.measured, report.finding, report.other
    data: dict[str, Any] = {
        **plain(measured),
        "if_it_lay_the_other_way": other
        and {"x_px_per_mm": other.x_px_per_mm, "y_px_per_mm": other.y_px_per_mm},
        "canvases": [{"picture": name, "canvas_px": part} for name, part in report.canvases]
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
    return headed("trace", data, "seen", "desktop")


def _cause_data(cause: Cause) -> dict[str, Any]:
    return {
        "name": cause.name,
        "area_seen_mm": {"width": cause.area_width_mm, "height": cause.area_height_mm},
        "target_px": cause.target_px,
        "zoom_percent": cause.zoom_percent,
        "display": cause.display or None,
    }
