"""The picture of a touch test: the area that was meant, the one in use, and where the touches went.

A touch is drawn where the pen would have been had the tablet used the setting that was meant. So
dots on their crosses are what a right setting looks like.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mapper.affine import Affine
from mapper.paths import Outline
from mapper.rect import Rect
from mapper.touching.setting import DriverSetting
from mapper.touching.verdict import RIGHT
from render.canvas.lettering import fitted
from render.canvas.scene import Easel, Scene
from render.canvas.theme import style
from render.pictures.chart import HEAD_MM, NARROW_MM, WIDE_MM, draw_head
from render.pictures.frame import (
    SHEET_MM,
    draw_legend,
    draw_legend_down,
    draw_measured,
    draw_title,
    page,
)
from render.sentences.say import paragraph, say, say_count
from render.sentences.touch import cause_sentence, side_words, touched_title
from render.sentences.words import fixed, number, signed

if TYPE_CHECKING:
    from mapper.mapping.solve import TabletMap
    from mapper.touching.verdict import TouchVerdict

COLUMN_MM = 84.0
_CROSS_MM = 3.0
_DOT_MM = 1.1


def touch_scene(verdict: TouchVerdict, meant: TabletMap, *, wide_mm: float = WIDE_MM) -> Scene:
    """The picture of a verdict on the map ``meant``: the tablet as it is seen, and the numbers.

    Its sheet is ``wide_mm`` wide.
    """
    easel = Easel(wide_mm, min(SHEET_MM[1], wide_mm))
    title = touched_title(verdict)
    cause = "" if verdict.answer == RIGHT else cause_sentence(verdict.cause, verdict)
    sentences = [say("{title}.", title=title), *([cause] if cause else []), *_sides(verdict)]
    description = paragraph(sentences)
    if wide_mm < NARROW_MM:
        _draw_stacked(easel, (title, cause), verdict, meant)
        return easel.scene(title=title, description=description)
    left = draw_title(easel, title, cause, page(easel))
    room = Rect(left.left, left.top, left.width - COLUMN_MM - 10, left.height - 9)
    _draw_tablet(easel, room, verdict, meant)
    with easel.block(left.left, left.width):
        _draw_legend(easel, left.left, left.bottom, verdict)
    _draw_numbers(easel, Rect(left.right - COLUMN_MM, room.top, COLUMN_MM, room.height), verdict)
    return easel.scene(title=title, description=description)


def _draw_stacked(
    easel: Easel, words: tuple[str, str], verdict: TouchVerdict, meant: TabletMap
) -> None:
    """Draw the tablet, what its marks mean, and the numbers one below the other."""
    sheet = page(easel)
    top = HEAD_MM + draw_head(easel, *words)
    active = meant.request.tablet.active_seen_mm
    high = min(sheet.width * active.height / active.width, sheet.width)
    _draw_tablet(easel, Rect(sheet.left, top, sheet.width, high), verdict, meant)
    with easel.block(sheet.left, sheet.width):
        y = draw_legend_down(easel, _lines(verdict), sheet.left, top + high + 8.0)
        if not verdict.anywhere:
            _draw_touches_legend(easel, sheet.left + 3.3, y, 7.7)
            y += 5.4
    y = _draw_numbers(easel, Rect(sheet.left, y + 3.0, sheet.width, 200.0), verdict)
    easel.height_mm = y + sheet.left


def _draw_tablet(easel: Easel, room: Rect, verdict: TouchVerdict, meant: TabletMap) -> None:
    tablet = meant.request.tablet
    active = tablet.active_seen_mm
    scale = min(room.width / active.width, room.height / active.height)
    left = room.left + (room.width - scale * active.width) / 2
    top = room.top + (room.height - scale * active.height) / 2
    seen = Affine(scale, 0, left, 0, scale, top)
    sheet, built = seen.rect(active), seen @ tablet.built_to_seen
    easel.rect(sheet, "spare")
    easel.polygon([seen.point(*each) for each in meant.area_corners_seen_mm], "hand-ground")
    easel.rect(sheet, "frame")
    easel.polygon([seen.point(*each) for each in meant.area_corners_seen_mm], "area-edge")
    used = None if verdict.found is None else verdict.found.setting
    if used is not None:
        area = used.area_built_mm
        if verdict.anywhere:
            area = Rect.about(meant.area_built_mm.centre, area.width, area.height)
        turned = Affine.rotation_about(used.area_angle_deg, *area.centre)
        corners = [built.point(*turned.point(*corner)) for corner in area.corners]
        easel.polygon(corners, "result", clip=_around(sheet))
    if verdict.anywhere:
        return
    back = built @ ~DriverSetting.of(meant).built_mm_to_px
    for touch in verdict.used:
        x, y = built.point(touch.x_mm, touch.y_mm)
        easel.line([(x - _CROSS_MM, y), (x + _CROSS_MM, y)], "leader")
        easel.line([(x, y - _CROSS_MM), (x, y + _CROSS_MM)], "leader")
        dot = Outline.circle(*back.point(touch.x_px, touch.y_px), _DOT_MM)
        easel.shape(dot, "result-dot", clip=_around(sheet))


def _around(sheet: Rect) -> Rect:
    """A little more than the tablet: what lies outside by more is not drawn."""
    return Rect(sheet.left - 4, sheet.top - 4, sheet.width + 8, sheet.height + 8)


def _draw_legend(easel: Easel, x: float, y: float, verdict: TouchVerdict) -> None:
    x = draw_legend(easel, _lines(verdict), x, y)
    if not verdict.anywhere:
        _draw_touches_legend(easel, x, y, 4.0)


def _lines(verdict: TouchVerdict) -> list[tuple[str, str]]:
    """The lines of the picture by their roles, each with what it shows."""
    lines: list[tuple[str, str]] = [("area-edge", say("should be"))]
    if verdict.found is not None:
        lines.append(("result", say("measured")))
    return lines


def _draw_touches_legend(easel: Easel, x: float, y: float, away_mm: float) -> None:
    easel.shape(Outline.circle(x + 1.2, y - 1.2, _DOT_MM), "result-dot")
    words = say("your touches; each should lie on its cross")
    em = fitted(words, style("note").em_mm, page(easel).right - x - away_mm)
    easel.text(words, x + away_mm, y, "note", em_mm=em)


def _draw_numbers(easel: Easel, column: Rect, verdict: TouchVerdict) -> float:
    """Draw each measured number with its limit, and what was meant; return where they end."""
    words = {
        "width": say("mm wide"),
        "height": say("mm high"),
        "left": say("mm from the left"),
        "top": say("mm from the top"),
    }
    found, wanted, y = verdict.found, verdict.meant.area_built_mm, column.top
    if found is not None:
        for side, limit in verdict.limits_mm.items():
            known = signed(fixed(getattr(found.setting.area_built_mm, side), 1)), fixed(limit, 1)
            mm = number(getattr(wanted, side), 1)
            line = say("{what}; should be {mm}", what=words[side], mm=mm)
            room = Rect(column.left, y, column.width, column.bottom - y)
            y = draw_measured(easel, known, line, room)
    if verdict.fit is not None:
        line = say_count(
            "{count} touch, scattered by about {mm} mm",
            "{count} touches, scattered by about {mm} mm",
            verdict.touches,
            mm=number(verdict.fit.scatter_mm, 2),
        )
        with easel.block(column.left, column.width):
            easel.text(
                line,
                column.left,
                y + 2,
                "label",
                level="top",
                em_mm=fitted(line, 3.4, column.width),
            )
        y += 7.0
    return y


def _sides(verdict: TouchVerdict) -> list[str]:
    """A sentence for each measured number, for who cannot see them."""
    if verdict.found is None:
        return []
    area, limits = verdict.found.setting.area_built_mm, verdict.limits_mm
    words = side_words()
    return [
        say(
            "{what}: {value} ± {limit} mm.",
            what=words[side],
            value=signed(fixed(getattr(area, side), 1)),
            limit=fixed(limit, 1),
        )
        for side, limit in limits.items()
    ]
