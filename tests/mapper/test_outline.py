"""Distances from outlines, against shapely and against brute force."""

import numpy as np
import pytest
import shapely

from mapper.problems import RequestError
from mapper.tracing.outline import KnownOutline, Placed


@pytest.mark.oracle
@pytest.mark.parametrize(
    "outline", [KnownOutline(85.6, 53.98, 3.18), KnownOutline(50, 50), KnownOutline.circle(60)]
)
def test_signed_distances_are_shapelys(outline):
    r = outline.radius_mm
    x, y = outline.width_mm / 2 - r, outline.height_mm / 2 - r
    core = shapely.box(-x, -y, x, y) if min(x, y) > 0 else shapely.Point(0, 0)
    shape = core.buffer(r, quad_segs=2000) if r else core
    points = np.random.default_rng(1).uniform(-60, 60, (400, 2))
    ours, _ = outline.signed_distance(points)
    drawn = shapely.points(points)
    theirs = shapely.distance(shape.exterior, drawn) * np.where(
        shapely.contains(shape, drawn), -1, 1
    )
    # 2000 chords a quarter turn miss an arc of 30 mm by 2e-6 mm.
    assert np.abs(ours - theirs).max() < 1e-5


@pytest.mark.parametrize(
    "outline", [KnownOutline(85.6, 53.98, 3.18), KnownOutline.circle(60), KnownOutline(50, 40, 1)]
)
def test_feet_are_the_nearest_points_of_the_curve(outline):
    matrix = np.array([[7.0, 0.6], [-0.4, 5.2]])
    placed = Placed(outline, matrix, np.array([600.0, 500.0]))
    dense = placed.boundary(60_000).points_px
    random = np.random.default_rng(2)
    points = dense[random.integers(0, len(dense), 200)] + random.normal(0, 3, (200, 2))
    distances, feet_mm, _ = placed.feet(points)
    nearest = np.array([np.hypot(*(dense - point).T).min() for point in points])
    feet = placed.to_px(feet_mm)
    assert np.hypot(*(feet - points).T) == pytest.approx(np.abs(distances), abs=1e-9)
    assert np.abs(outline.signed_distance(feet_mm)[0]).max() < 1e-9
    # 60,000 points on some 1,500 px stand 0.025 px apart, and the nearest of them is at most half
    # of that aside.
    assert np.abs(np.abs(distances) - nearest).max() < 0.013
    inside = outline.signed_distance(placed.to_mm(points))[0] < 0
    assert np.array_equal(distances < 0, inside)


def test_boundary_positions_are_evenly_spaced_and_outward():
    placed = Placed(KnownOutline.circle(20), np.diag([5.0, 3.0]), np.array([0.0, 0.0]))
    boundary = placed.boundary(400)
    steps = np.hypot(*np.diff(np.vstack([boundary.points_px, boundary.points_px[:1]]), axis=0).T)
    assert steps.max() / steps.min() < 1.001
    # The perimeter of an ellipse of semi-axes 50 and 30: 4 a E(1 - b²/a²), E from Abramowitz and
    # Stegun by scipy.
    from scipy.special import ellipe

    assert steps.sum() == pytest.approx(4 * 50 * ellipe(1 - 0.36), rel=1e-4)
    assert (np.sum(boundary.normals * boundary.points_px, axis=1) > 0).all()
    shares = placed.shares(placed.to_mm(boundary.points_px))
    assert np.abs((shares - boundary.share + 0.5) % 1 - 0.5).max() < 1e-3


def test_a_pen_beside_the_edge_draws_a_larger_outline_with_rounder_corners():
    assert KnownOutline(85.6, 53.98, 3.18).grown(0.5) == KnownOutline(86.6, 54.98, 3.68)
    assert KnownOutline(50, 50).grown(0.5) == KnownOutline(51, 51, 0.5)
    assert KnownOutline.circle(60).grown(-1).is_circle


@pytest.mark.parametrize(
    "sizes", [(0, 5, 0), (5, -1, 0), (5, 4, 2.5), (5, 4, -1), (float("nan"), 4, 0), (5, True, 0)]
)
def test_impossible_outlines_are_refused(sizes):
    with pytest.raises(RequestError):
        KnownOutline(*sizes)


def test_the_size_in_the_picture_is_the_mean_of_both_extents():
    # 80 mm of 2 px and 50 mm of 4 px: 160 and 200 px.
    placed = Placed(KnownOutline(80, 50), np.diag([2.0, 4.0]), np.zeros(2))
    assert placed.size_px == pytest.approx(180)
