"""Outlines against matplotlib's and shapely's; the easel in numbers."""

import math
from gettext import NullTranslations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.patches import Ellipse
from shapely import LineString, Polygon

from mapper.affine import Affine
from mapper.paths import Outline
from mapper.rect import Rect
from render.canvas.scene import Easel
from render.sentences.say import Language, speaking
from tests.strategies import affines


def polygon_of(outline, per_piece=64):
    """The outline as a dense polygon, each curve by Bernstein's formula.

    Each piece gets ``per_piece`` points.
    """
    t = np.linspace(0, 1, per_piece + 1)[1:, None]
    points = []
    for name, *numbers in outline.commands:
        if name == "C":
            start = points[-1]
            one, two, end = np.array(numbers).reshape(3, 2)
            points += list(
                (1 - t) ** 3 * start
                + 3 * (1 - t) ** 2 * t * one
                + 3 * (1 - t) * t**2 * two
                + t**3 * end
            )
        elif name != "Z":
            points.append(np.array(numbers))
    return np.array(points)


@pytest.mark.oracle
@given(affines(), st.floats(-50, 50), st.floats(-50, 50), st.floats(0.1, 50))
def test_a_mapped_circle_is_matplotlibs_ellipse_with_the_svd_axes(affine, x, y, radius):
    image = polygon_of(Outline.circle(x, y, radius).through(affine), 8)
    u, (long, short), _ = np.linalg.svd(np.array([[affine.a, affine.b], [affine.d, affine.e]]))
    centre = affine.point(x, y)
    ellipse = Ellipse(
        centre,
        2 * long * radius,
        2 * short * radius,
        angle=math.degrees(math.atan2(u[1, 0], u[0, 0])),
    )
    # In the ellipse's own unit frame every point of the image lies on the unit circle.
    unit = ellipse.get_patch_transform().inverted().transform(image)
    size = abs(np.array(centre)).max() + long * radius
    assert np.abs(np.hypot(*unit.T) - 1).max() < 5e-6 + 1e-14 * size / (short * radius)


@pytest.mark.oracle
@given(st.floats(1, 100), st.floats(0.01, 1))
def test_a_mapped_circle_has_the_area_that_shapely_measures(radius, squeeze):
    image = polygon_of(Outline.circle(0, 0, radius).through(Affine(2, 0, 5, 0, squeeze, 7)))
    assert Polygon(image).area == pytest.approx(math.pi * radius**2 * 2 * squeeze, rel=1e-4)


def test_a_rounded_rectangle_keeps_its_sides_and_loses_its_corners():
    image = Polygon(polygon_of(Outline.rounded(Rect(10, 20, 40, 30), 5)))
    assert image.bounds == (10, 20, 50, 50)
    assert image.area == pytest.approx(40 * 30 - (4 - math.pi) * 25, rel=1e-4)


@given(st.floats(1, 60), st.floats(1, 60), st.floats(0.3, 9))
def test_hatching_stays_inside_and_is_evenly_spaced(width, height, spacing):
    easel = Easel(100, 100)
    easel.hatch(Rect(3, 4, width, height), "spare-hatch", spacing_mm=spacing)
    for shape in easel.scene(title="", description="").marks:
        lines = list(zip(shape.outline.points[::2], shape.outline.points[1::2], strict=True))
        for (x0, y0), (x1, y1) in lines:
            assert 3 - 1e-9 <= min(x0, x1) <= max(x0, x1) <= 3 + width + 1e-9
            assert 4 - 1e-9 <= min(y0, y1) <= max(y0, y1) <= 4 + height + 1e-9
            assert y0 - y1 == pytest.approx(x1 - x0, abs=1e-9)
        distances = [(x0 + y0) / math.sqrt(2) for (x0, y0), _ in lines]
        assert np.diff(distances) == pytest.approx([spacing] * (len(lines) - 1))


def test_an_arc_ends_where_it_should():
    image = polygon_of(Outline.arc(0, 0, 10, 0, 120))
    assert tuple(image[-1]) == pytest.approx((-5, 10 * math.sin(math.radians(120))))
    assert LineString(image).length == pytest.approx(10 * math.radians(120), rel=1e-5)


@pytest.mark.parametrize(("is_leftward", "left", "right"), [(False, 10, 59), (True, 41, 90)])
def test_a_block_of_words_is_mirrored_where_lines_run_leftward_and_the_rest_is_not(
    is_leftward, left, right
):
    easel = Easel(100, 50)
    language = Language("xx", NullTranslations(), leftward=is_leftward)
    with speaking(language):
        easel.rect(Rect(10, 10, 20, 20), "plate")
        with easel.block(10, 80):
            easel.line([(10, 5), (19, 5)], "hand")
            label = easel.text("a pair", 21, 5, "note")
            easel.line([(50, 5), (59, 5)], "hand")
    scene = easel.scene(title="", description="")
    assert scene.shapes("plate")[0].outline.bounds == (10, 10, 30, 30)
    lines = [shape.outline.bounds for shape in scene.shapes("hand")]
    assert (min(each[0] for each in lines), max(each[2] for each in lines)) == (left, right)
    (text,) = scene.texts
    # The words keep their side of their line: after it, as the language reads.
    wide = label.box_mm[2] - label.box_mm[0]
    start = 100 - 21 - wide if is_leftward else 21
    assert text.box_mm[0] == pytest.approx(start)
    assert text.text == "a pair"
