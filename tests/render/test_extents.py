"""No two labels overlap and nothing leaves the canvas, on any real desk and sheet.

By matplotlib's own extents.
"""

import itertools

import pytest
from hypothesis import given, settings
from matplotlib.text import Text

from mapper.solving import solve
from render.canvas import draw
from render.pictures.compare import fits_scene
from render.pictures.desk_view import desk_scene
from render.pictures.glance import glance_scene
from render.pictures.motion import motion_frames
from render.pictures.preview import preview_scene
from tests.strategies import real_desks, sheet_sizes_mm

# What a letter's antialiasing may spill over, in px of the 800 px wide picture.
SPILL_PX = 0.6

VIEWS = {
    "map": preview_scene,
    "desk": desk_scene,
    "glance": glance_scene,
    "fits": fits_scene,
    "motion": lambda solved, **more: motion_frames(solved, **more)[7].scene,
}


def extents(scene):
    """The extents of every text, of every other artist and of the canvas, in px, by matplotlib."""
    with draw._settings():
        figure = draw.figure(scene, width_px=800)
        renderer = figure.canvas.get_renderer()
        texts = [
            (text.get_text(), text.get_window_extent(renderer))
            for text in figure.findobj(Text)
            if text.get_text()
        ]
        others = [
            artist.get_tightbbox(renderer)
            for artist in figure.artists
            if artist.get_clip_box() is None
        ]
        return texts, others, figure.bbox


def overlapping(texts):
    return [
        (one, other)
        for (one, box), (other, beside) in itertools.combinations(texts, 2)
        if min(box.x1, beside.x1) - max(box.x0, beside.x0) > SPILL_PX
        and min(box.y1, beside.y1) - max(box.y0, beside.y0) > SPILL_PX
    ]


def outside(boxes, canvas):
    return [
        str(box)
        for box in boxes
        if box.x0 < -SPILL_PX
        or box.y0 < -SPILL_PX
        or box.x1 > canvas.x1 + SPILL_PX
        or box.y1 > canvas.y1 + SPILL_PX
    ]


@pytest.mark.parametrize("view", VIEWS)
@settings(
    max_examples=settings.default.max_examples // 7
)  # --hypothesis-profile=long tries 714 desks of each
@given(request=real_desks(), size_mm=sheet_sizes_mm)
def test_nothing_overlaps_and_nothing_leaves_the_canvas(view, request, size_mm):
    scene = VIEWS[view](solve(request), size_mm=size_mm)
    texts, others, canvas = extents(scene)
    assert overlapping(texts) == []
    assert outside([box for _, box in texts] + others, canvas) == []
