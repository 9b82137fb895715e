"""How well an outline fits a line: worked by hand from points that were put there."""

import numpy as np
import pytest

from mapper.tracing.likeness import likeness, other_likeness
from mapper.tracing.outline import KnownOutline, Placed

CENTRE = np.array([300.0, 300.0])
CIRCLE = Placed(KnownOutline.circle(60), np.diag([5.0, 5.0]), CENTRE)
SQUARE = Placed(KnownOutline(50, 50), np.diag([6.0, 6.0]), CENTRE)
LONGER = Placed(KnownOutline(50, 50), np.diag([6.9, 5.9]), CENTRE)
CARD = Placed(KnownOutline(80, 50), np.diag([5.0, 8.0]), CENTRE)
SHORTER = Placed(KnownOutline(50, 50), np.diag([6.5, 5.9]), CENTRE)


@pytest.mark.parametrize(
    ("placed", "name"),
    [
        (CIRCLE, "circle"),
        (SQUARE, "square"),
        (LONGER, "rectangle"),
        (SHORTER, "square"),
        (CARD, "square"),
    ],
)
def test_what_lies_on_three_quarters_of_an_outline(placed, name):
    drawn = placed.boundary(600).points_px[:450]
    found = likeness(np.concatenate([drawn, np.full((50, 2), 300.0)]), placed)
    # 450 of 500 points are near, on 36 of 48 sectors.
    assert (found.name, found.on_it, found.covered) == (name, 0.9, 0.75)
    assert found.off == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize(("thick_px", "off_px"), [(0, 2.58199), (6, 1.91485), (9, 0)])
def test_the_thickness_of_a_line_is_taken_off(thick_px, off_px):
    """Points 4 px inside to 4 outside, evenly: a mean square of 60 / 9, less thickness² / 12."""
    boundary = CIRCLE.boundary(603)
    beside = np.arange(603) % 9 - 4
    points = boundary.points_px + boundary.normals * beside[:, None]
    # The circle is 300 px across.
    assert 300 * likeness(points, CIRCLE, thick_px).off == pytest.approx(off_px, abs=1e-4)


def test_the_other_kind_is_fitted_to_what_lies_within_a_quarter_of_the_distance():
    """Every fifth point lies 1.5 px outside: the circle comes to rest some 0.25 px outside.

    Were they strays, it would be 300 px across.
    """
    boundary = CIRCLE.boundary(400)
    outside = np.where(np.arange(400) % 5, 0.0, 1.5)
    points = boundary.points_px + boundary.normals * outside[:, None]
    found = other_likeness(points, KnownOutline(50, 50), near_px=4.0)
    assert found.name == "circle"
    assert found.placed.size_px == pytest.approx(300.5, abs=0.05)


def test_on_points_that_no_other_outline_runs_through_there_is_none():
    line = np.linspace((0, 0), (500, 300), 60)
    assert other_likeness(line, KnownOutline.circle(50), near_px=3.0) is None
