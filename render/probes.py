"""What is drawn to show a map: shapes in mm under the hand, each an outline that the map then bends."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from render.scene import Outline

if TYPE_CHECKING:
    from mapper.rect import Rect

__all__ = ["grid", "grid_step_mm", "nice_step"]


def nice_step(value: float) -> float:
    """The largest of 1, 2, 5, 10, 20, 50 and so on (any power of ten) that is at most ``value``."""
    power = 10.0 ** math.floor(math.log10(value))
    return max((m * power for m in (1, 2, 5) if m * power <= value * (1 + 1e-9)), default=power)


def grid_step_mm(area_mm: Rect) -> float:
    """The width of the grid's squares: a round number, about a seventh of the area's shorter side."""
    return nice_step(min(area_mm.width, area_mm.height) / 5)


def grid(area_mm: Rect, step_mm: float) -> Outline:
    """Lines along x and y, ``step_mm`` apart, through the centre of ``area_mm`` and from edge to edge of it."""
    x, y = area_mm.centre
    across, down = math.floor(area_mm.width / 2 / step_mm), math.floor(area_mm.height / 2 / step_mm)
    commands: list[tuple[object, ...]] = []
    for index in range(-across, across + 1):
        at = x + index * step_mm
        commands += [("M", at, area_mm.top), ("L", at, area_mm.bottom)]
    for index in range(-down, down + 1):
        at = y + index * step_mm
        commands += [("M", area_mm.left, at), ("L", area_mm.right, at)]
    return Outline(tuple(commands))
