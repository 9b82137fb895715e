"""What a trace said, in words and as plain data: measured numbers, what the driver seems to use, what to correct."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from mapper.rect import Rect
from mapper.tracing.diagnosis import ALIKE
from mapper.tracing.measure import LEAST_TURN_DEG, Known
from render.words import fixed, number

if TYPE_CHECKING:
    from mapper.mapping.solve import TabletMap
    from mapper.tracing.diagnosis import Cause, Finding
    from mapper.tracing.measure import KnownMap
    from profiles.strokes.traces import TraceReport

# Bars wider than this, as a share of the ratio, ask for more: a right setting is told from a wrong one at 1 %.
WIDE_PERCENT = 1.0


def verdict(report: TraceReport) -> str:  # noqa: PLR0911 - one return a kind of answer
    """The answer in one sentence."""
    finding, measured = report.finding, report.measured
    if finding is None:
        longer = (measured.stretch.value - 1) * 100
        within = f"give or take {number(100 * measured.ratio.half_width / measured.ratio.value, 2)} %"
        if measured.ratio.holds(1.0) or longer < 0.1:
            return f"On square pixels the trace is round, {within}."
        if measured.long_axis_deg is not None:
            return f"The trace is {number(longer, 1)} % longer one way, along {number(measured.long_axis_deg.value, 0)} degrees."
        way = "wider than tall" if measured.ratio.value > 1 else "taller than wide"
        return f"On square pixels the trace is {number(longer, 2)} % {way}, {within}."
    if len(alike_causes(finding)) > 1:
        return f"The trace does not agree with {report.profile}: shapes come out as meant, sizes do not."
    if finding.agrees:
        return f"The driver is using this setting: the trace agrees with {report.profile}."
    if finding.cause.name == "no area of this tablet":
        return f"The trace does not agree with {report.profile}, and no area of this tablet would make it."
    return f"The trace does not agree with {report.profile}. Likely cause: {finding.cause.name}."


def alike_causes(finding: Finding) -> list[Cause]:
    """The causes of a finding that no trace alone can tell from each other, where the likeliest is one of them."""
    if finding.cause.name not in ALIKE:
        return []
    return [cause for cause in (finding.cause, *finding.also) if cause.name in ALIKE]


def tell_apart(cause: Cause, report: TraceReport) -> str:
    """Where to look to learn whether it is this cause."""
    zoom = (cause.zoom_percent or 100.0) * report.canvas_zoom_percent / 100
    area = f"{number(cause.area_width_mm, 1)} x {number(cause.area_height_mm, 1)} mm"
    return {
        "zoomed canvas": f"the paint program says {number(zoom, 1)} % and not 100 %: then trace again at 100 %, or add --canvas-zoom {number(zoom, 1)}%",
        "area scaled": f"the driver says about {area}, as you see the tablet: then correct width and height",
        "scaled screenshot": f"the system shows things at {number(max(zoom, 1e4 / zoom), 0)} %: then add --pixel-ratio {number(zoom / 100, 3)}",
        "part of a display mapped": f"the driver maps to a window of about {number(cause.target_px.width, 0)} x {number(cause.target_px.height, 0)} px: then correct the target",
    }[cause.name]


def cause_sentence(cause: Cause, report: TraceReport) -> str:
    """What the cause means, and nothing of what to do."""
    meant = report.meant
    labels = " + ".join(display.label for display in meant.reached) if meant else ""
    zoom = (cause.zoom_percent or 100.0) * report.canvas_zoom_percent / 100
    return {
        "agrees": "The pen moves as the profile says.",
        "proportions not locked": "The whole active area is on the whole screen: its proportions were not kept.",
        "only one display mapped": f"The pen reaches only {cause.display}, not all of {labels}.",
        "whole desktop mapped": f"The pen is spread over the whole desktop instead of {labels}.",
        "wrong display": f"The pen is on {cause.display} instead of {labels}.",
        "whole display mapped": f"The pen is spread over all of {cause.display}, not the part of it that was meant.",
        "turned": "The picture is turned against the hand: the tablet's turn is not set, or the canvas was turned on the screen."
        if _askew(report)
        else "Width and height have changed places: the tablet's turn is not set as it lies, or the two numbers were swapped.",
        "zoomed canvas": f"The canvas was not at 100 % but, so it seems, at {number(zoom, 1)} %; shapes are as meant.",
        "area scaled": f"The area has the right shape, but is about {number(cause.area_width_mm, 1)} x {number(cause.area_height_mm, 1)} mm.",
        "scaled screenshot": f"The screenshot has {number(cause.zoom_percent or 100, 1)} % of the pixels that the profile's displays have.",
        "part of a display mapped": "The pen reaches only a part of the target, of the same shape.",
        "no area of this tablet": "Look at the zoom of the canvas, at how the screenshot was saved, and at the size of the thing.",
        "area moved": "The size is right, but the area lies elsewhere on the tablet.",
        "width differs": "The height is as meant, the width is not.",
        "height differs": "The width is as meant, the height is not.",
        "both differ": "Neither side is as meant, and no usual slip explains it.",
    }[cause.name]


def _askew(report: TraceReport) -> bool:
    """Whether the picture leans or is turned otherwise than by quarters, as no setting of a driver turns it."""
    whole = report.whole
    odd = whole is not None and whole.turns and abs((whole.turn_deg.value + 45) % 90 - 45) > LEAST_TURN_DEG
    return report.measured.leans or odd


def to_type(report: TraceReport) -> list[str]:  # noqa: C901 - one branch a number
    """What to correct, one line each, in the words of the driver's form: the tablet as it was built."""
    finding, meant = report.finding, report.meant
    if finding is None or meant is None or finding.agrees or finding.cause.name == "no area of this tablet":
        return []
    alike = alike_causes(finding)
    if len(alike) > 1:
        return [f"if {tell_apart(cause, report)}" for cause in alike]
    cause, area = finding.cause, meant.area_built_mm
    lines = []
    if "zoom" in finding.correct:
        zoom = (cause.zoom_percent or 100.0) * report.canvas_zoom_percent / 100
        lines.append(f"nothing in the driver: trace again at 100 %, or add --canvas-zoom {number(zoom, 1)}%")
        if 45 < zoom < 55:
            lines.append("or, if your screenshots have twice the screen's pixels, add --pixel-ratio 2")
    if "turn" in finding.correct:
        turn = meant.request.tablet.turn_deg
        if _askew(report):
            lines.append("the canvas: reset its rotation and trace again; if it was straight, lay the tablet straight")
        else:
            lines.append(f"the turn: {turn} degrees clockwise, then the area as in the profile")
    if "target" in finding.correct:
        screen = meant.screen_px
        labels = " + ".join(display.label for display in meant.reached)
        lines.append(f"the target: {labels}, {_px(screen)}, not {_px(cause.target_px)}")
    quarter = meant.request.tablet.turn_deg % 180 == 90
    used = Rect(0, 0, cause.area_width_mm, cause.area_height_mm)
    used_width, used_height = (used.height, used.width) if quarter else (used.width, used.height)
    swapped = {"width": "height", "height": "width"} if quarter else {}
    built = {swapped.get(name, name) for name in finding.correct}
    if "width" in built:
        lines.append(f"the area's width: {number(area.width, 2)} mm, not {number(used_width, 1)} mm")
    if "height" in built:
        lines.append(f"the area's height: {number(area.height, 2)} mm, not {number(used_height, 1)} mm")
    if {"left", "top"} & set(finding.correct):
        place = _built_place(report)
        now = f", not about {number(place[0], 1)} and {number(place[1], 1)} mm" if place else ""
        lines.append(f"the area's left and top: {number(area.left, 2)} and {number(area.top, 2)} mm{now}")
    return lines


def _built_place(report: TraceReport) -> tuple[float, float] | None:
    finding, meant = report.finding, report.meant
    if finding is None or meant is None or finding.left_mm is None or finding.top_mm is None:
        return None
    area = meant.area_seen_mm
    built = meant.request.tablet.built_rect_mm(
        Rect(finding.left_mm.value, finding.top_mm.value, area.width, area.height)
    )
    return built.left, built.top


def _px(rect: Rect) -> str:
    return f"{number(rect.width, 0)} x {number(rect.height, 0)} px at {number(rect.left, 0)}, {number(rect.top, 0)}"


def _other_reading(report: TraceReport) -> str:
    """Both ways in which the thing may have lain."""
    turn = report.measured.thing_turn_deg
    upright = turn is not None and abs(turn.value) > 45
    now, then = ("upright", "along the screen's width") if upright else ("along the screen's width", "upright")
    other = report.other or report.measured
    figures = f"{fixed(other.x_px_per_mm.value, 3)} px/mm across and {fixed(other.y_px_per_mm.value, 3)} down"
    plain = report.thing.removesuffix(" upright")
    say = f' If it lay upright, say so: --of "{plain} upright".' if report.thing == plain else ""
    return f"Its long side is read as having lain {now}; had it lain {then}, the map would make {figures}.{say}"


def _part(rect: Rect) -> str:
    return f"{rect.left:.0f},{rect.top:.0f},{rect.width:.0f}x{rect.height:.0f}px"


def report_text(report: TraceReport) -> str:
    """The report for the terminal."""
    measured, finding, meant = report.measured, report.finding, report.meant
    lines = [verdict(report)]
    if finding is not None and not finding.agrees:
        alike = alike_causes(finding)
        if len(alike) < 2:
            lines.append(cause_sentence(finding.cause, report))
        corrections = to_type(report)
        heading = "Correct:" if len(alike) < 2 else "One of these, sizes alone do not tell which:"
        lines += ["", heading, *(f"  {line}" for line in corrections)] if corrections else []
        if len(alike) > 1 and report.whole is None:
            lines.append("  A second trace far from the first, both with their places, tells whether it is the area.")
        more = [cause for cause in finding.also if cause not in alike]
        if more:
            lines.append(f"Also possible: {', '.join(dict.fromkeys(cause.name for cause in more))}.")
    if report.other is not None:
        lines += ["", _other_reading(report)]
    lines += ["", *_measured_lines(report)]
    lines += [f"  canvas taken from {name}: {_part(canvas)}" for name, canvas in report.canvases]
    unsure = finding is not None and (len(alike_causes(finding)) > 1 or finding.cause.name == "no area of this tablet")
    if finding is not None and meant is not None and not unsure:
        lines += ["", *_used_lines(finding, meant)]
    if report.whole is not None:
        lines += ["", *_whole_lines(report.whole, (meant.screen_px.left, meant.screen_px.top) if meant else (0.0, 0.0))]
    if 100 * measured.ratio.half_width > WIDE_PERCENT * measured.ratio.value:
        lines += [
            "",
            "For surer numbers trace something larger, or the same once more, and give both pictures; best both.",
        ]
    if measured.traces == 1 and report.whole is None:
        lines += ["", "One trace tells sizes, not where the area lies: for that trace two things, each with its place."]
    return "\n".join(lines) + "\n"


def _measured_lines(report: TraceReport) -> list[str]:
    measured, finding, meant = report.measured, report.finding, report.meant
    heads = ["", "", "95 % sure within", *(["meant", "off"] if finding else [])]
    rows = [heads]

    def row(name: str, known: Known, places: int, unit: str, *, wanted: float | None, off: float | None = None) -> None:
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
    row("across", measured.x_px_per_mm, 3, " px/mm", wanted=wanted_x, off=finding.x_off_percent if finding else None)
    row("down", measured.y_px_per_mm, 3, " px/mm", wanted=wanted_y, off=finding.y_off_percent if finding else None)
    row("across : down", measured.ratio, 4, "", wanted=wanted_ratio, off=finding.ratio_off_percent if finding else None)
    row(
        "stretch", measured.stretch, 4, "", wanted=None if wanted_ratio is None else max(wanted_ratio, 1 / wanted_ratio)
    )
    if measured.thing_turn_deg is not None:
        row("thing lay at", measured.thing_turn_deg, 2, " deg", wanted=None)
    if measured.traces > 1 or measured.leans:
        row("off square by", _lean_deg(measured.lean), 2, " deg", wanted=None if finding is None else 0.0)
    if measured.long_axis_deg is not None:
        row("longer along", measured.long_axis_deg, 1, " deg", wanted=None)
    count = "1 trace" if measured.traces == 1 else f"{measured.traces} traces"
    widths = [max(len(cells[column]) for cells in rows) for column in range(len(heads))]
    table = [
        "  "
        + "  ".join(
            f"{cell:<{width}}" if column == 0 else f"{cell:>{width}}"
            for column, (cell, width) in enumerate(zip(cells, widths, strict=True))
        ).rstrip()
        for cells in rows
    ]
    return [f"Measured, {count}:", *table]


def _lean_deg(lean: Known) -> Known:
    """How far from a right angle the picture shows what was square under the hand."""
    return Known(*(math.degrees(math.asin(max(-1.0, min(1.0, each)))) for each in (lean.value, lean.low, lean.high)))


def _used_lines(finding: Finding, meant: TabletMap) -> list[str]:
    cause, area, screen = finding.cause, meant.area_seen_mm, meant.screen_px
    turned = ", as you see the turned tablet" if meant.request.tablet.turn_deg else ""

    def area_words(width: float, height: float) -> str:
        return f"{number(width, 2)} x {number(height, 2)} mm"

    lines = [f"What the driver must be using{turned}:"]
    rows = [
        ("area", area_words(cause.area_width_mm, cause.area_height_mm), area_words(area.width, area.height)),
        ("target", _px(cause.target_px), _px(screen)),
    ]
    if finding.left_mm is not None and finding.top_mm is not None:
        now = f"{number(finding.left_mm.value, 1)}, {number(finding.top_mm.value, 1)} mm"
        bars = f" (+/- {number(finding.left_mm.half_width, 1)}, {number(finding.top_mm.half_width, 1)})"
        rows.insert(1, ("its place", now + bars, f"{number(area.left, 2)}, {number(area.top, 2)} mm"))
    width = max(len(row[1]) for row in rows)
    lines += [f"  {name:<14}{now:<{width}}   meant {wanted}" for name, now, wanted in rows]
    return lines


def _whole_lines(whole: KnownMap, corner_px: tuple[float, float]) -> list[str]:
    lines = ["The whole map, from mm as you see the tablet to px of the desktop (+/- at 95 %):"]
    for name, elements in (("x", "abc"), ("y", "def")):
        known = [whole.interval(element) for element in elements]
        cells = [f"{fixed(k.value, 3)} +/- {fixed(k.half_width, 3)}" for k in known]
        lines.append(f"  {name} px = ({cells[0]}) x mm + ({cells[1]}) y mm + ({cells[2]})")
    places = [f"{fixed(known.value, 2)} +/- {fixed(known.half_width, 2)}" for known in whole.back(*corner_px)]
    lines.append(f"  The screen's top left comes from {places[0]} mm across, {places[1]} mm down.")
    turn = whole.turn_deg
    lines.append(f"  Turned against the hand by {fixed(turn.value, 2)} +/- {fixed(turn.half_width, 2)} deg.")
    if whole.unexplained > 2:
        lines.append(f"  The traces differ {number(whole.unexplained, 1)} times as much as wobble and laying explain.")
    return lines


def report_data(report: TraceReport) -> dict[str, Any]:
    """The same as plain data; what is not known is absent."""
    measured, finding = report.measured, report.finding
    data: dict[str, Any] = {
        "traces": measured.traces,
        "x_px_per_mm": _known(measured.x_px_per_mm),
        "y_px_per_mm": _known(measured.y_px_per_mm),
        "ratio": _known(measured.ratio),
        "stretch": _known(measured.stretch),
        "lean": _known(measured.lean),
        "leans": measured.leans,
    }
    if measured.thing_turn_deg is not None:
        data["thing_turn_deg"] = _known(measured.thing_turn_deg)
    if measured.long_axis_deg is not None:
        data["long_axis_deg"] = _known(measured.long_axis_deg)
    if report.other is not None:
        data["if_it_lay_the_other_way"] = {
            "x_px_per_mm": _known(report.other.x_px_per_mm),
            "y_px_per_mm": _known(report.other.y_px_per_mm),
        }
    if report.canvases:
        data["canvases"] = [
            {
                "picture": name,
                "left_px": part.left,
                "top_px": part.top,
                "width_px": part.width,
                "height_px": part.height,
            }
            for name, part in report.canvases
        ]
    if report.whole is not None:
        left, top = report.whole.back(0.0, 0.0)
        data["desktop_origin_seen_mm"] = {"x": _known(left), "y": _known(top)}
        data["whole_map"] = {
            "seen_mm_to_desktop_px": [list(row) for row in report.whole.seen_mm_to_desktop_px.rows],
            "half_widths": {element: report.whole.interval(element).half_width for element in "abcdef"},
            "turn_deg": _known(report.whole.turn_deg),
            "unexplained": report.whole.unexplained,
        }
    if finding is not None:
        data["agrees"] = finding.agrees
        data["off_percent"] = {
            "x": finding.x_off_percent,
            "y": finding.y_off_percent,
            "ratio": finding.ratio_off_percent,
        }
        data["cause"] = _cause(finding.cause)
        data["also"] = [_cause(cause) for cause in finding.also]
        data["correct"] = list(finding.correct)
        data["to_type"] = to_type(report)
        if finding.left_mm is not None and finding.top_mm is not None:
            data["area_left_seen_mm"], data["area_top_seen_mm"] = _known(finding.left_mm), _known(finding.top_mm)
    return data


def _known(known: Known) -> dict[str, float]:
    return {"value": known.value, "low": known.low, "high": known.high}


def _cause(cause: Cause) -> dict[str, Any]:
    return {
        "name": cause.name,
        "area_seen_mm": {"width": cause.area_width_mm, "height": cause.area_height_mm},
        "target_px": cause.target_px,
        "zoom_percent": cause.zoom_percent,
        "display": cause.display or None,
    }
