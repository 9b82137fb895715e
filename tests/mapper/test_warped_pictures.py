"""What is drawn and what becomes of it, against libraries that warp points, polygons and ellipses.

Oracles: scikit-image's AffineTransform, OpenCV's transform, shapely's affinity and areas,
matplotlib's Ellipse.
"""

import cv2
import numpy as np
import pytest
import shapely
import shapely.affinity
import skimage.transform
from hypothesis import assume, given
from matplotlib.patches import Ellipse

from mapper.affine import Affine
from mapper.distortion import Distortion
from mapper.solving import solve
from tests.strategies import affines, requests

pytestmark = pytest.mark.oracle

TURNS = np.linspace(0.0, 2.0 * np.pi, 181)
CENTRE_MM, RADIUS_MM = (112.0, 74.0), 30.0
CIRCLE = np.stack(
    [CENTRE_MM[0] + RADIUS_MM * np.cos(TURNS), CENTRE_MM[1] + RADIUS_MM * np.sin(TURNS)], axis=-1
)
CIRCLE[-1] = CIRCLE[0]


def size_of(affine):
    """How large the numbers are that are added up: what a rounding is relative to."""
    (a, b, c), (d, e, f) = affine.rows[:2]
    return 150.0 * max(abs(a), abs(b), abs(d), abs(e)) + max(abs(c), abs(f))


@given(affines())
def test_a_stroke_is_warped_as_three_libraries_do_and_its_area_grows_by_the_areal_scale(affine):
    (a, b, c), (d, e, f) = affine.rows[:2]
    warped, drawn = affine.points(CIRCLE), shapely.Polygon(CIRCLE)
    by_shapely = shapely.affinity.affine_transform(drawn, [a, b, d, e, c, f])
    for theirs in (
        skimage.transform.AffineTransform(matrix=np.array(affine.rows))(CIRCLE),
        cv2.transform(CIRCLE[:, None, :], np.array(affine.rows[:2]))[:, 0, :],
        np.array(by_shapely.exterior.coords),
    ):
        assert warped == pytest.approx(theirs, abs=1e-14 * size_of(affine))
    found, back = Distortion.of_linear(a, b, d, e), ~affine
    # A sum of products of coordinates: the rounding is relative to their size and not to the area.
    slack = 1e-13 * size_of(affine) ** 2
    assert shapely.Polygon(warped).area == pytest.approx(
        drawn.area * found.areal_scale, rel=1e-12, abs=slack
    )
    assume(found.stretch < 1e3)
    assert back.points(warped) == pytest.approx(CIRCLE, abs=1e-10 * (1 + size_of(back)))


def assert_is_the_ellipse(points, ellipse, slack):
    """Each point lies on ``ellipse``, to ``slack`` of its own axes.

    They go all the way round.
    """
    on_unit_circle = ellipse.get_patch_transform().inverted().transform(points)
    assert np.hypot(*on_unit_circle.T) == pytest.approx(np.ones(len(points)), abs=slack)
    steps = np.abs(np.diff(np.unwrap(np.arctan2(on_unit_circle[:, 1], on_unit_circle[:, 0]))))
    assert steps.sum() == pytest.approx(2 * np.pi, rel=1e-9)


def ellipse_of(affine, found):
    """matplotlib's ellipse with what our figures give.

    Its centre, its semi-axes and its direction.
    """
    axes = 2 * RADIUS_MM * found.longest, 2 * RADIUS_MM * found.shortest
    return Ellipse(affine.point(*CENTRE_MM), *axes, angle=found.longer_axis_deg or 0.0)


@given(affines())
def test_a_drawn_circle_becomes_matplotlibs_ellipse_with_our_axes(affine):
    found = Distortion.of_linear(*affine.linear)
    assume(found.stretch < 1e4)
    slack = 1e-11 + 1e-13 * size_of(affine) / (RADIUS_MM * found.shortest) * found.stretch
    assert_is_the_ellipse(affine.points(CIRCLE), ellipse_of(affine, found), slack)


@given(requests())
def test_a_circle_drawn_on_any_desk_is_the_ellipse_of_its_figures(request_):
    # In mm on the glass (px where its size is unknown) of each display reached, seen from the seen
    # frame.
    solved = solve(request_)
    for display, figures in zip(solved.reached, solved.figures, strict=True):
        x_mm_per_px, y_mm_per_px = display.mm_per_px or (1.0, 1.0)
        to_glass = Affine(x_mm_per_px, 0, 0, 0, y_mm_per_px, 0) @ solved.seen_mm_to_desktop_px
        assume(figures.distortion.stretch < 1e4)
        slack = 2e-12 + 1e-13 * size_of(to_glass) / (RADIUS_MM * figures.distortion.shortest)
        assert_is_the_ellipse(
            to_glass.points(CIRCLE), ellipse_of(to_glass, figures.distortion), slack
        )
