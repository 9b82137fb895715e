"""What a trace said, in sentences: the verdict, its causes and what to correct."""

from __future__ import annotations

from mapper.rect import Rect
from mapper.tracing.diagnosis import ALIKE, Cause, Diagnosis
from mapper.tracing.measure import LEAST_TURN_DEG
from profiles.strokes.traces import TraceReport
from render.sentences.words import number, placed


def verdict(report: TraceReport) -> str:  # noqa: PLR0911 - one return a kind of answer
    """The answer in one sentence."""
    finding, measured = report.finding, report.measured
    if finding is None:
        longer = (measured.stretch.value - 1) * 100
        within = (
            f"give or take {number(100 * measured.ratio.half_width / measured.ratio.value, 2)} %"
        )
        if measured.ratio.holds(1.0) or longer < 0.1:
            return f"On square pixels the trace is round, {within}."
        if measured.long_axis_deg is not None:
            return (
                f"The trace is {number(longer, 1)} % longer one way, along "
                f"{number(measured.long_axis_deg.value, 0)} degrees."
            )
        way = "wider than tall" if measured.ratio.value > 1 else "taller than wide"
        return f"On square pixels the trace is {number(longer, 2)} % {way}, {within}."
    if len(alike_causes(finding)) > 1:
        return (
            f"The trace does not agree with {report.profile}: shapes come out as meant, sizes do "
            f"not."
        )
    if finding.agrees:
        return f"The driver is using this setting: the trace agrees with {report.profile}."
    if finding.cause.name == "no area of this tablet":
        return (
            f"The trace does not agree with {report.profile}, and no area of this tablet would "
            f"produce it."
        )
    return f"The trace does not agree with {report.profile}. Likely cause: {finding.cause.name}."


def alike_causes(finding: Diagnosis) -> list[Cause]:
    """The causes of a finding that no trace alone can tell from each other, where the likeliest is
    one of them.
    """
    if finding.cause.name not in ALIKE:
        return []
    return [cause for cause in (finding.cause, *finding.also) if cause.name in ALIKE]


def tell_apart(cause: Cause, report: TraceReport) -> str:
    """Where to look to learn whether it is this cause."""
    zoom = (cause.zoom_percent or 100.0) * report.canvas_zoom_percent / 100
    area = f"{number(cause.area_width_mm, 1)} x {number(cause.area_height_mm, 1)} mm"
    return {
        "zoomed canvas": (
            f"the paint program says {number(zoom, 1)} % and not 100 %: then trace again at 100 "
            f"%, or add --canvas-zoom {number(zoom, 1)}%"
        ),
        "area scaled": f"the driver says about {area}, as you see the tablet: then correct width and height",
        "scaled screenshot": (
            f"the system shows things at {number(max(zoom, 1e4 / zoom), 0)} %: then add "
            f"--pixel-ratio {number(zoom / 100, 3)}"
        ),
        "part of a display mapped": (
            f"the driver maps to a window of about {number(cause.target_px.width, 0)} x "
            f"{number(cause.target_px.height, 0)} px: then correct the target"
        ),
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
        "turned": (
            "The picture is turned against the hand: the tablet's turn is not set, or the canvas "
            "was turned on the screen."
        )
        if _askew(report)
        else (
            "Width and height have changed places: the turn set in the driver is not the "
            "tablet's, or the two numbers were swapped."
        ),
        "zoomed canvas": (
            f"The canvas was not at 100 % but, it seems, at {number(zoom, 1)} %; shapes are as "
            f"meant."
        ),
        "area scaled": (
            f"The area has the right shape, but is about {number(cause.area_width_mm, 1)} x "
            f"{number(cause.area_height_mm, 1)} mm."
        ),
        "scaled screenshot": (
            f"The screenshot has {number(cause.zoom_percent or 100, 1)} % of the pixels that the "
            f"profile's displays have."
        ),
        "part of a display mapped": "The pen reaches only a part of the target, of the same shape.",
        "no area of this tablet": (
            "Check the zoom of the canvas, how the screenshot was saved, and the size of the thing."
        ),
        "area moved": "The size is right, but the area lies elsewhere on the tablet.",
        "width differs": "The height is as meant, the width is not.",
        "height differs": "The width is as meant, the height is not.",
        "both differ": "Neither side is as meant, and no common mistake explains it.",
    }[cause.name]


def _askew(report: TraceReport) -> bool:
    """Whether the picture leans or is turned otherwise than by quarters, as no setting of a driver
    turns it.
    """
    whole = report.whole
    odd = (
        whole is not None
        and whole.turns
        and abs((whole.turn_deg.value + 45) % 90 - 45) > LEAST_TURN_DEG
    )
    return report.measured.leans or odd


def to_type(report: TraceReport) -> list[str]:  # noqa: C901 - one branch a number
    """What to correct, one line each, in the words of the driver's form: the tablet as it was
    built.
    """
    finding, meant = report.finding, report.meant
    if (
        finding is None
        or meant is None
        or finding.agrees
        or finding.cause.name == "no area of this tablet"
    ):
        return []
    alike = alike_causes(finding)
    if len(alike) > 1:
        return [f"if {tell_apart(cause, report)}" for cause in alike]
    cause, area = finding.cause, meant.area_built_mm
    lines = []
    if "zoom" in finding.correct:
        zoom = (cause.zoom_percent or 100.0) * report.canvas_zoom_percent / 100
        lines.append(
            f"nothing in the driver: trace again at 100 %, or add --canvas-zoom {number(zoom, 1)}%"
        )
        if 45 < zoom < 55:
            lines.append(
                "or, if your screenshots have twice the screen's pixels, add --pixel-ratio 2"
            )
    if "turn" in finding.correct:
        turn = meant.request.tablet.turn_deg
        if _askew(report):
            lines.append(
                "the canvas: reset its rotation and trace again; if it was straight, lay the "
                "tablet straight"
            )
        else:
            lines.append(f"the turn: {turn} degrees clockwise, then the area as in the profile")
    if "target" in finding.correct:
        screen = meant.screen_px
        labels = " + ".join(display.label for display in meant.reached)
        lines.append(
            f"the target: {labels}, {placed(screen, places=0)}, not "
            f"{placed(cause.target_px, places=0)}"
        )
    quarter = meant.request.tablet.turn_deg % 180 == 90
    used = Rect(0, 0, cause.area_width_mm, cause.area_height_mm)
    used_width, used_height = (used.height, used.width) if quarter else (used.width, used.height)
    swapped = {"width": "height", "height": "width"} if quarter else {}
    built = {swapped.get(name, name) for name in finding.correct}
    if "width" in built:
        lines.append(
            f"the area's width: {number(area.width, 2)} mm, not {number(used_width, 1)} mm"
        )
    if "height" in built:
        lines.append(
            f"the area's height: {number(area.height, 2)} mm, not {number(used_height, 1)} mm"
        )
    if {"left", "top"} & set(finding.correct):
        place = _built_place(report)
        now = f", not about {number(place[0], 1)} and {number(place[1], 1)} mm" if place else ""
        lines.append(
            f"the area's left and top: {number(area.left, 2)} and {number(area.top, 2)} mm{now}"
        )
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
