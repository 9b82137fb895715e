"""What the pad's script finds in a stroke, run in Chromium on strokes whose truth is known.

Oracles: shapely's smallest rotated rectangle, OpenCV's and scikit-image's ellipses, and the stretch
that was put in.
"""

import itertools
import json
import math
from importlib.resources import files

import cv2
import numpy as np
import pytest
import shapely
from shapely import affinity
from skimage.measure import EllipseModel

from render.desk.pad_page import _MODULE_LINE

STRETCHED = np.array([[1.126, 0.0], [0.0, 1.0]])
ASKEW = np.array([[2.2, 0.3], [-0.1, 1.7]])
TRUE = np.eye(2)


@pytest.fixture(scope="module")
def shape(browser):
    """``shape(points, map)``: the kind and the extents that the script finds.

    None for an open stroke.
    """
    source = _MODULE_LINE.sub(
        "", (files("render.desk") / "static" / "pad" / "pad_shape.js").read_text("utf-8")
    )
    page = browser.new_page()

    def measured(points, linear=TRUE):
        flat = [value for x, y in points for value in (float(x), float(y), 0.5)]
        (a, b), (d, e) = linear
        return page.evaluate(
            f"""(() => {{ {source}
              const found = shapeOf({json.dumps(flat)});
              const m = {json.dumps([a, b, 0, d, e, 0])};
              return found && {{ kind: found.kind, wideness: wideness(found, m),
                form: trueForm(found, m), ...extents(found, m) }};
            }})()"""
        )

    yield measured
    page.close()


def turns(of, count=120, begin=0.4):
    return begin + np.linspace(0, of * math.tau, int(count * max(of, 0.5)) + 1)


def circle(t, radius=200.0, growth=0.0):
    r = radius * (1 + growth * (t - t[0]) / math.tau)
    return np.stack([600 + r * np.cos(t), 500 + r * np.sin(t)], axis=1)


def square(side=300.0, turn_deg=0.0, steps=40):
    corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1], [-1, -1]]) * side / 2
    line = np.concatenate(
        [np.linspace(a, b, steps, endpoint=False) for a, b in itertools.pairwise(corners)]
    )
    c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    return np.concatenate([line, line[:1]]) @ np.array([[c, s], [-s, c]]) + [700, 500]


@pytest.mark.parametrize("linear", [TRUE, STRETCHED, ASKEW])
@pytest.mark.parametrize("turn_deg", [0, 8])
def test_a_square_is_as_long_as_its_sides(shape, linear, turn_deg):
    """Oracle: shapely, the area, and the smallest rotated rectangle where there still is one."""
    points = square(turn_deg=turn_deg)
    found = shape(points, linear)
    assert found["kind"] == "square"
    image = shapely.Polygon(points @ linear.T)
    corners = (points @ linear.T)[[0, 40, 80]]
    sides = sorted(np.hypot(*np.diff(corners, axis=0).T))
    assert [found["short"], found["long"]] == pytest.approx(sides, rel=2e-3)
    if turn_deg == 0 and linear is not ASKEW:
        box = shapely.minimum_rotated_rectangle(image).exterior.coords
        ways = sorted({round(math.dist(a, b), 6) for a, b in itertools.pairwise(box)})
        assert [found["short"], found["long"]] == pytest.approx([ways[0], ways[-1]], rel=2e-3)
    singular = np.linalg.svd(linear)[1]
    assert found["percent"] == pytest.approx((singular[0] / singular[1] - 1) * 100, abs=0.1)


def test_a_square_on_its_corner_is_measured_from_corner_to_corner(shape):
    found = shape(square(turn_deg=45), STRETCHED)
    assert found["corners"]
    diagonal = 300 * math.sqrt(2)
    assert [found["short"], found["long"]] == pytest.approx([diagonal, diagonal * 1.126], rel=2e-3)


def test_a_rounded_wobbly_square_is_still_one(shape):
    rounded = affinity.affine_transform(
        shapely.box(-110, -110, 110, 110).buffer(40), [1, 0, 0, 1, 600, 500]
    )
    way = np.array(
        [
            rounded.exterior.interpolate(at, normalized=True).coords[0]
            for at in np.linspace(0, 1, 200)
        ]
    )
    wobble = 2.5 * np.random.default_rng(4).standard_normal(way.shape)
    found = shape(way + wobble, STRETCHED)
    assert found["kind"] == "square"
    assert found["percent"] == pytest.approx(12.6, abs=1.0)


@pytest.mark.parametrize("over", [0.02, 0.1, 0.25])
@pytest.mark.parametrize("growth", [0.06, -0.06])
def test_a_circle_that_overshoots_is_cut(shape, over, growth):
    """Oracle: OpenCV's ellipse through the first turn alone.

    A tail that drifts back across the start is cut there.
    """
    t = turns(1 + over)
    wave = circle(t, growth=growth)
    # The tail comes in across the head and goes out again, as a hand does that closes a circle
    # twice.
    crossing = circle(t) + (np.sin((t - t[0]) * 0.9) * 12)[:, None] * np.stack(
        [np.cos(t), np.sin(t)], axis=1
    )
    for points in (wave, crossing):
        found = shape(points, STRETCHED)
        once = points[: int(120 / 1) + 1] @ STRETCHED.T
        _, axes, _ = cv2.fitEllipseDirect(once.astype(np.float32))
        assert found["kind"] == "circle"
        assert found["percent"] == pytest.approx((max(axes) / min(axes) - 1) * 100, abs=1.6)
        assert found["long"] == pytest.approx(max(axes), rel=0.02)


@pytest.mark.parametrize(
    ("of", "growth", "kind"), [(2.6, 0.25, "spiral"), (3.5, 0.1, "spiral"), (2.0, 0.0, "circle")]
)
@pytest.mark.parametrize("linear", [STRETCHED, ASKEW])
def test_a_spiral_is_measured(shape, of, growth, kind, linear):
    """What the map does to a round spiral is its stretch, whatever the turns.

    scikit-image fits the spiral that only circles.
    """
    points = circle(turns(of), growth=growth)
    found = shape(points, linear)
    singular = np.linalg.svd(linear)[1]
    assert found["kind"] == kind
    assert found["percent"] == pytest.approx((singular[0] / singular[1] - 1) * 100, abs=0.4)
    if not growth:
        a, b = EllipseModel.from_estimate(points @ linear.T).axis_lengths
        assert [found["long"], found["short"]] == pytest.approx(
            [2 * max(a, b), 2 * min(a, b)], rel=1e-3
        )


@pytest.mark.parametrize(
    ("open_share", "closed"), [(0.02, True), (0.05, True), (0.075, True), (0.1, False)]
)
def test_a_gap_under_a_quarter_of_the_size_is_closed(shape, open_share, closed):
    """Left open by a share of the turn: a chord of 2 r sin(pi share), 0.24 of the size at 7.7 %."""
    found = shape(circle(turns(1 - open_share)), STRETCHED)
    assert (found is not None) == closed
    if closed:
        assert found["percent"] == pytest.approx(12.6, abs=0.25)


def test_what_holds_no_area_is_open_and_a_triangle_is_a_shape(shape):
    t = turns(1)
    assert shape(np.stack([600 + 200 * np.sin(t), 500 + 80 * np.sin(2 * t)], axis=1)) is None
    assert shape(np.stack([600 + 200 * np.cos(t), 500 + 0.001 * np.sin(t)], axis=1)) is None
    corners = np.array([[0, 0], [300, 0], [150, 260], [0, 0]])
    triangle = np.concatenate([np.linspace(a, b, 40) for a, b in itertools.pairwise(corners)])
    found = shape(triangle, STRETCHED)
    assert found["kind"] == "shape"
    assert [found["short"], found["long"]] == pytest.approx([260, 300 * 1.126], rel=1e-3)
    assert found["form"] is None


@pytest.mark.parametrize(
    "drawn", [circle(turns(1)), square(), square(turn_deg=30), circle(turns(2.5), growth=0.2)]
)
def test_the_name_and_the_true_form_go_with_the_map(shape, drawn):
    """A shape has one name under every map.

    Under a true map the form laid over a shape is that shape.
    """
    assert shape(drawn)["kind"] == shape(drawn, ASKEW)["kind"]
    found = shape(drawn, 2 * TRUE)
    form = shapely.Polygon(found["form"])
    if found["kind"] != "spiral":
        image = shapely.Polygon(2 * drawn[: 121 if found["kind"] == "circle" else None])
        assert form.symmetric_difference(image).area < 0.01 * image.area
    assert found["wideness"] == pytest.approx(0, abs=2e-3)
    assert shape(drawn, STRETCHED)["wideness"] == pytest.approx(math.log(1.126), abs=2e-3)
