"""The picture of a trace: what was drawn, fitted and meant, and where the hand strayed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from PIL import Image

from mapper.affine import Affine
from mapper.paths import Outline
from mapper.rect import Rect
from mapper.tracing.outline import Placed
from profiles.strokes.ink import upright_coverage
from render.canvas.lettering import fitted
from render.canvas.scene import Easel, Scene
from render.pictures.chart import HEAD_MM, NARROW_MM, WIDE_MM, draw_head
from render.pictures.frame import (
    SHEET_MM,
    draw_legend,
    draw_legend_down,
    draw_measured,
    draw_title,
    page,
)
from render.sentences.say import Name, either, paragraph, say, say_again, say_count, scraps
from render.sentences.trace import (
    CAUSE_NAMES,
    alike_causes,
    cause_sentence,
    corrections,
    verdict,
)
from render.sentences.words import fixed, number

if TYPE_CHECKING:
    from mapper.tracing.outline import Array
    from profiles.strokes.traces import TraceReport
    from profiles.strokes.tracing import Traced

COLUMN_MM = 76.0
_INK_PX = 900
# More panels than this are too small to show how well an outline fits.
MOST_PANELS = 6


def trace_scene(report: TraceReport, traced: list[Traced], *, wide_mm: float = WIDE_MM) -> Scene:
    """The picture of a report: a panel for each trace, and the numbers beside or below them.

    Its sheet is ``wide_mm`` wide.
    """
    easel = Easel(wide_mm, min(SHEET_MM[1], wide_mm))
    title, subtitle = verdict(report).removesuffix("."), _subtitle(report)
    if wide_mm < NARROW_MM:
        sheet = page(easel)
        top = HEAD_MM + draw_head(easel, title, subtitle)
        room = Rect(sheet.left, top, sheet.width, 0.75 * sheet.width)
        _draw_panels(easel, room, report, traced)
        with easel.block(room.left, room.width):
            y = draw_legend_down(easel, _lines(report), room.left, room.bottom + 6.0)
        end = _draw_figures(easel, Rect(sheet.left, y, sheet.width, 100.0), report, traced)
        easel.height_mm = end + sheet.left
    else:
        left = draw_title(easel, title, subtitle, page(easel))
        room = Rect(left.left, left.top, left.width - COLUMN_MM - 8, left.height - 6)
        _draw_panels(easel, room, report, traced)
        with easel.block(room.left, room.width):
            draw_legend(easel, _lines(report), room.left, room.bottom + 6)
        column = Rect(left.right - COLUMN_MM, room.top, COLUMN_MM, left.height)
        _draw_figures(easel, column, report, traced)
    return easel.scene(title=title, description=_description(report, traced))


def _draw_panels(easel: Easel, room: Rect, report: TraceReport, traced: list[Traced]) -> None:
    """Draw a panel for each of the first traces, in rows and columns."""
    shown = traced[:MOST_PANELS]
    columns = 1
    if len(shown) > 1:
        columns = 2 if len(shown) <= 4 else 3
    rows = -(-len(shown) // columns)
    wide, high = (room.width - 4 * (columns - 1)) / columns, (room.height - 4 * (rows - 1)) / rows
    for index, each in enumerate(shown):
        box = Rect(
            room.left + index % columns * (wide + 4),
            room.top + index // columns * (high + 4),
            wide,
            high,
        )
        _draw_panel(easel, box, each, report)


def _subtitle(report: TraceReport) -> str:
    finding = report.finding
    if finding is None:
        return say(
            "Not compared. Add {option} to see whether the tablet uses a setting.",
            option="--against DESK",
        )
    if finding.agrees:
        return say(
            "Measured against {desk}; the figures are px on the display for 1 mm of hand movement.",
            desk=Name(report.profile),
        )
    to_correct = corrections(report)
    alike = alike_causes(finding)
    if len(alike) > 1:
        names = either([say_again(CAUSE_NAMES[cause.name]) for cause in alike])
        return say("Possible causes: {causes}.", causes=names)
    return paragraph([cause_sentence(finding.cause, report), *to_correct[:1]])


def _draw_panel(easel: Easel, box: Rect, each: Traced, report: TraceReport) -> None:
    """Draw one trace: its ink in grey, and on it the fitted outline and the one that was meant.

    The meant outline lies about the fitted one's centre.
    """
    easel.rect(box, "glass")
    fitted_px = _outline_in_picture(
        each.trace.straight.placed if not report.measured.leans else each.trace.free.placed, each
    )
    outlines = [fitted_px.boundary(240).points_px]
    meant = _meant_outline(each, report)
    if meant is not None:
        outlines.append(meant.boundary(240).points_px)
    all_points = np.concatenate([*outlines, each.points_px])
    low, high = all_points.min(axis=0), all_points.max(axis=0)
    room = 0.06 * float((high - low).max())
    low, high = low - room, high + room
    scale = min(box.width / (high[0] - low[0]), box.height / (high[1] - low[1]))
    middle = (low + high) / 2
    x, y = box.centre
    to_sheet = Affine(
        scale, 0, x - scale * float(middle[0]), 0, scale, y - scale * float(middle[1])
    )
    if each.picture is not None and each.ink is not None:
        half_width, half_height = box.width / scale / 2, box.height / scale / 2
        visible = Rect(
            float(middle[0]) - half_width,
            float(middle[1]) - half_height,
            2 * half_width,
            2 * half_height,
        )
        ink, place = upright_coverage(each.picture, each.ink, visible, _INK_PX)
        rgba = np.zeros((*ink.shape, 4), np.uint8)
        rgba[..., :3] = 128
        rgba[..., 3] = (ink * 0.75).astype(np.uint8)
        easel.image(Image.fromarray(rgba), to_sheet.rect(place), clip=box)
    else:
        easel.shape(_outline(to_sheet.points(each.points_px), closed=False), "rule", clip=box)
    if meant is not None:
        easel.shape(_outline(to_sheet.points(outlines[1])), "meant-line", clip=box)
    easel.shape(_outline(to_sheet.points(outlines[0])), "fit-line", clip=box)


def _outline_in_picture(placed: Placed, each: Traced) -> Placed:
    """An outline of desktop px, in the upright px of its picture."""
    back = ~each.picture_to_desktop
    linear = np.array([[back.a, back.b], [back.d, back.e]])
    centre = np.array(back.point(float(placed.centre_px[0]), float(placed.centre_px[1])))
    return Placed(placed.outline, linear @ placed.matrix, centre)


def _meant_outline(each: Traced, report: TraceReport) -> Placed | None:
    """The outline as the profile's map draws it, lying as the fitted one does.

    None where that agrees with the fitted one anyway.
    """
    if report.meant is None or report.finding is None:
        return None
    straight = each.trace.straight
    scales = (
        report.meant.screen_px.width / report.meant.area_seen_mm.width,
        report.meant.screen_px.height / report.meant.area_seen_mm.height,
    )
    nearest = straight.nearest.copy()
    nearest[2:4] = scales
    return _outline_in_picture(
        Placed(straight.outline, straight.pose.matrix(nearest), nearest[:2]), each
    )


def _outline(points: Array, *, closed: bool = True) -> Outline:
    return Outline.line([(float(x), float(y)) for x, y in points], closed=closed)


def _lines(report: TraceReport) -> list[tuple[str, str]]:
    """The lines of the picture by their roles, each with what it shows."""
    lines: list[tuple[str, str]] = [("fit-line", say("fitted to the trace (grey)"))]
    if report.finding is not None:
        lines.append(("meant-line", say("as it should come out")))
    return lines


def _draw_figures(easel: Easel, column: Rect, report: TraceReport, traced: list[Traced]) -> float:
    """Draw the measured numbers, and how far the hand strayed; return where they end."""
    measured, finding = report.measured, report.finding
    entries = [
        (
            measured.x_px_per_mm,
            3,
            say("px per mm across"),
            finding.x_off_percent if finding else None,
        ),
        (
            measured.y_px_per_mm,
            3,
            say("px per mm down"),
            finding.y_off_percent if finding else None,
        ),
        (measured.ratio, 4, say("across : down"), finding.ratio_off_percent if finding else None),
    ]
    y = column.top
    for known, places, words, off_percent in entries:
        limit = fixed(known.half_width, places)
        line = words if off_percent is None else scraps([words, _than_meant(off_percent)])
        room = Rect(column.left, y, column.width, column.bottom - y)
        y = draw_measured(easel, (fixed(known.value, places), limit), line, room)
    high = min(34.0, column.bottom - y - 14)
    _draw_strays(easel, Rect(column.left, y + 6, column.width, high), traced)
    return y + 6 + high


def _than_meant(off_percent: float) -> str:
    if abs(off_percent) < 0.05:
        return say("as it should be")
    percent = fixed(abs(off_percent), 1)
    if off_percent > 0:
        return say("{percent} % more than it should be", percent=percent)
    return say("{percent} % less than it should be", percent=percent)


def _draw_strays(easel: Easel, box: Rect, traced: list[Traced]) -> None:
    """Draw how far the hand strayed from the fitted outline, once round, many times enlarged."""
    title = say("Distance of the trace from the outline")
    with easel.block(box.left, box.width):
        size = fitted(title, 3.4, box.width, bold=True)
        easel.text(title, box.left, box.top - 2, "heading", em_mm=size)
    em, words_mm = (2.6, 13.0) if easel.width_mm >= NARROW_MM else (3.2, 17.0)
    plot = Rect(box.left + words_mm, box.top + 1, box.width - words_mm, box.height - 8)
    easel.rect(plot, "glass")
    lines = []
    for each in traced[:MOST_PANELS]:
        _, off_mm, share, _ = each.trace.free.evidence
        order = np.argsort(share)
        lines.append((share[order], off_mm[order]))
    furthest_mm = max(1e-3, *(float(np.abs(off).max()) for _, off in lines))
    scale_mm = _round_up(furthest_mm)
    middle = plot.top + plot.height / 2
    for level, words in (
        (0.0, "0"),
        (scale_mm, f"+{number(scale_mm, 3)} mm"),
        (-scale_mm, f"\N{MINUS SIGN}{number(scale_mm, 3)} mm"),
    ):
        y = middle - level / scale_mm * (plot.height / 2)
        easel.line([(plot.left, y), (plot.right, y)], "rule")
        easel.text(words, plot.left - 1.5, y, "note", anchor="end", level="middle", em_mm=em)
    for share, off in lines:
        points = [
            (plot.left + float(s) * plot.width, middle - float(o) / scale_mm * (plot.height / 2))
            for s, o in zip(share, off, strict=True)
        ]
        start = 0
        for index in range(1, len(points) + 1):
            # A gap in the stroke is a gap in the line.
            if index == len(points) or share[index] - share[index - 1] > 0.03:
                if index - start > 1:
                    easel.line(points[start:index], "stray-line", clip=plot)
                start = index
    around = say("around it, clockwise from the right")
    with easel.block(plot.left, plot.width):
        size = fitted(around, em + 0.2, plot.width)
        easel.text(around, plot.left, plot.bottom + 4.2, "note", em_mm=size)


def _round_up(value: float) -> float:
    decade = 10 ** np.floor(np.log10(value))
    return float(next(step * decade for step in (1, 2, 5, 10) if step * decade >= value))


def _description(report: TraceReport, traced: list[Traced]) -> str:
    measured = report.measured
    sentences = [
        verdict(report),
        say_count(
            "{count} trace, with its fitted outline drawn over it.",
            "{count} traces, each with its fitted outline drawn over it.",
            len(traced),
        ),
        say(
            "Across, 1 mm of the hand is {across} px; down, {down} px.",
            across=fixed(measured.x_px_per_mm.value, 3),
            down=fixed(measured.y_px_per_mm.value, 3),
        ),
    ]
    if report.finding is not None and not report.finding.agrees:
        sentences.append(cause_sentence(report.finding.cause, report))
    return paragraph(sentences)
