"""The contrast of every text and line of every view with what it lies on, by WCAG 2.2.

In all themes.

The ground is found in the scene itself: the uppermost filled shape under the text's corners and
middle, or under a point of the line. So no list of ours has to be believed.
"""

import numpy as np
import pytest
from hypothesis import given, settings
from matplotlib.path import Path

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.solve import MapRequest
from mapper.solving import solve
from render.canvas.scene import Shape, Text
from render.canvas.theme import ROLES, THEMES, contrast
from render.pictures.compare import fits_scene
from render.pictures.desk_view import desk_scene
from render.pictures.glance import glance_scene
from render.pictures.preview import preview_scene
from tests.strategies import real_desks

# WCAG 2.2: success criterion 1.4.3 for text, 1.4.11 for graphics.
TEXT, GRAPHICS = 4.5, 3.0
VIEWS = {
    "map": preview_scene,
    "desk": desk_scene,
    "glance": glance_scene,
    "fits": fits_scene,
}
CODES = {"M": 1, "L": 2, "C": 4, "Z": 79}


def path_of(outline):
    points, kinds = [], []
    for name, *numbers in outline.commands:
        pairs = list(zip(numbers[::2], numbers[1::2], strict=True)) or [(0, 0)]
        points += pairs
        kinds += [CODES[name]] * len(pairs)
    return Path(points, kinds)


def grounds(scene):
    """Role, kind and the name of the ground's colour of everything that has to stand out."""
    filled = []
    for mark in scene.marks:
        looks = ROLES[mark.role]
        if isinstance(mark, Text):
            left, top, right, bottom = mark.box_mm
            where = [
                (x, y)
                for x in (left, (left + right) / 2, right)
                for y in (top, (top + bottom) / 2, bottom)
            ]
            kind, drawn = "text", looks.fill
        elif isinstance(mark, Shape) and mark.look is None and looks.line and not looks.fill:
            points = np.array(mark.outline.points)
            where = points[:: max(1, len(points) // 6)]
            if mark.clip is not None:
                clip = mark.clip
                where = [
                    p
                    for p in where
                    if clip.left < p[0] < clip.right and clip.top < p[1] < clip.bottom
                ]
            kind, drawn = "line", looks.line
        else:
            where, kind, drawn = [], "", ""
        for point in where:
            ground = next(
                (fill for path, fill in reversed(filled) if path.contains_point(point)), "ground"
            )
            yield mark.role, kind, drawn, ground
        if isinstance(mark, Shape) and mark.look is None and looks.fill:
            filled.append((path_of(mark.outline), looks.fill))


def weak(scene):
    found = {}
    for role, kind, drawn, ground in set(grounds(scene)):
        for theme, colours in THEMES.items():
            ratio = contrast(colours[drawn], colours[ground])
            if ratio < (TEXT if kind == "text" else GRAPHICS):
                found[theme, role, ground] = round(ratio, 2)
    return found


# The outer line of a mark may run along a darker frame that bounds it: the frame is its neighbour,
# not its ground.
FRAMES = {"bezel"}


@pytest.mark.parametrize("view", VIEWS)
@settings(max_examples=12)
@given(request=real_desks())
def test_everything_stands_out_from_what_it_lies_on(view, request):
    assert {
        key: ratio
        for key, ratio in weak(VIEWS[view](solve(request))).items()
        if key[2] not in FRAMES
    } == {}


def test_the_search_for_grounds_would_find_a_weak_one(monkeypatch):
    solved = solve(MapRequest(Tablet(240, 152), Desktop((Display(2560, 1440, 597, 336),))))
    monkeypatch.setitem(THEMES["light"], "muted", "#C0C0C0")
    assert ("light", "note", "ground") in weak(preview_scene(solved))
