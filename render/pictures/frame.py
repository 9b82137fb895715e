"""The frame of every sheet: the title, and the few numbers that matter."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mapper.rect import Rect
from render.canvas.lettering import CAP, LEADING, balanced, fitted, width_mm, wrapped
from render.canvas.theme import style

if TYPE_CHECKING:
    from collections.abc import Sequence

    from render.canvas.scene import Easel

#: The sheet: as wide as a page in landscape, 16:9, as projectors and talks are.
SHEET_MM = (320.0, 180.0)


@dataclass(frozen=True, slots=True)
class Figure:
    """One number that matters, as it is written, and its caption."""

    value: str
    words: str


def margin_mm(easel: Easel) -> float:
    """The margin of a sheet: 13 mm on the usual one, less on a small one."""
    return min(13.0, 0.045 * max(easel.width_mm, easel.height_mm))


def page(easel: Easel) -> Rect:
    """The sheet without its margin."""
    margin = margin_mm(easel)
    return Rect(margin, margin, easel.width_mm - 2 * margin, easel.height_mm - 2 * margin)


def draw_title(easel: Easel, title: str, subtitle: str, room: Rect) -> Rect:
    """Write title and subtitle, and return the room that is left below, mm.

    The title is one line where it fits. Title and subtitle may be empty.
    """
    em, small = style("title").em_mm, style("subtitle").em_mm
    shrink = min(1.0, room.width / 220.0 + 0.15)
    em, small = em * shrink, small * max(shrink, 0.8)
    lines = [title] if title else []
    if fitted(title, em, room.width, bold=True) < 0.75 * em:
        lines = balanced(title, 0.75 * em, room.width, bold=True)
    em = min((fitted(line, em, room.width, bold=True) for line in lines), default=em)
    y = room.top
    with easel.block(room.left, room.width):
        for line in lines:
            easel.text(line, room.left, y, "title", level="top", em_mm=em)
            y += em * LEADING
        for line in wrapped(subtitle, small, room.width) if subtitle else ():
            easel.text(
                line,
                room.left,
                y + 0.5,
                "subtitle",
                level="top",
                em_mm=fitted(line, small, room.width),
            )
            y += small * LEADING
    y += 6.5 * shrink
    return Rect(room.left, y, room.width, max(room.bottom - y, 1.0))


def figure_width_mm(figure: Figure) -> float:
    """The width of a figure with its caption, mm, before it shrinks."""
    return max(
        width_mm(figure.value, style("number").em_mm, bold=True),
        width_mm(figure.words, style("note").em_mm),
    )


def _row_shrink(figures: Sequence[Figure], room_mm: float) -> float:
    """The factor, at most 1, by which the lettering of a row must shrink to fit."""
    return min(1.0, (room_mm - 6.0 * (len(figures) - 1)) / sum(map(figure_width_mm, figures)))


def _rows(figures: Sequence[Figure], room_mm: float) -> list[Sequence[Figure]]:
    """The figures in one row, or in two where one row would be too small to read."""
    if len(figures) < 3 or _row_shrink(figures, room_mm) >= 0.72:
        return [figures]
    half = (len(figures) + 1) // 2
    return [figures[:half], figures[half:]]


_ROW_MM = 18.5
#: The height of one figure with its caption, mm.
FIGURE_MM = 14.0
#: How far from its number a limit stands, mm.
_LIMIT_MM = 36.0


def figures_height_mm(figures: Sequence[Figure], room_mm: float) -> float:
    """The height of the figures in rows of ``room_mm``."""
    rows = _rows(figures, room_mm)
    return 3.0 + sum(_ROW_MM * max(0.5, _row_shrink(row, room_mm)) for row in rows) - 3.0


def figures_in_a_row(easel: Easel, figures: Sequence[Figure], room: Rect) -> None:
    """Draw the figures along the bottom of ``room``, spread over its width, under a rule."""
    y = room.bottom - figures_height_mm(figures, room.width)
    easel.line([(room.left, y), (room.right, y)], "rule")
    with easel.block(room.left, room.width):
        for row in _rows(figures, room.width):
            shrink = _row_shrink(row, room.width)
            gap = (room.width - shrink * sum(map(figure_width_mm, row))) / max(1, len(row) - 1)
            x = room.left
            for figure in row:
                draw_figure(easel, figure, x, y + 5.0 * shrink, shrink)
                x += figure_width_mm(figure) * shrink + gap
            y += _ROW_MM * max(0.5, shrink)


def figures_in_a_column(easel: Easel, figures: Sequence[Figure], room: Rect) -> None:
    """Draw the figures one under the other, to the right of a rule."""
    easel.line([(room.left - 5, room.top), (room.left - 5, room.bottom)], "rule")
    step = min(24.0, (room.height + 6.0) / len(figures))
    with easel.block(room.left, room.width):
        for index, figure in enumerate(figures):
            shrink = min(1.0, room.width / figure_width_mm(figure), step / 16.0)
            draw_figure(easel, figure, room.left, room.top + index * step, shrink)


def draw_figure(easel: Easel, figure: Figure, x: float, y: float, shrink: float) -> None:
    """Draw one figure with its caption below, its top left corner at ``x``, ``y``."""
    em, small = style("number").em_mm * shrink, style("note").em_mm * shrink
    easel.text(figure.value, x, y, "number", level="top", em_mm=em)
    easel.text(figure.words, x, y + em * CAP + 3.2 * shrink, "note", level="top", em_mm=small)


def draw_measured(easel: Easel, known: tuple[str, str], words: str, room: Rect) -> float:
    """Draw what was measured and how sure it is, with ``words`` below, at the top of ``room``.

    Returns where the next one begins.
    """
    value, limit = known
    big, small = style("number").em_mm, style("note").em_mm
    with easel.block(room.left, room.width):
        easel.text(value, room.left, room.top, "number", level="top")
        down = room.top + (big - small) * CAP
        easel.text(f"± {limit}", room.left + _LIMIT_MM, down, "note", level="top")
        y = room.top + big * CAP + 2.2
        em = fitted(words, small, room.width)
        easel.text(words, room.left, y, "note", level="top", em_mm=em)
    return y + small * LEADING + 4.5


def draw_legend(easel: Easel, lines: Sequence[tuple[str, str]], x: float, y: float) -> float:
    """Draw a line of each role in a row from ``x``, with its words; return where the row ends."""
    for role, words in lines:
        easel.line([(x, y - 1.2), (x + 9, y - 1.2)], role)
        x = easel.text(words, x + 11, y, "note").box_mm[2] + 8
    return x


def draw_legend_down(easel: Easel, lines: Sequence[tuple[str, str]], x: float, y: float) -> float:
    """Draw the same one below the other from ``y``; return where the next would stand."""
    for line in lines:
        draw_legend(easel, [line], x, y)
        y += 5.4
    return y
