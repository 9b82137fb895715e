"""Drawings of every kind: read right, or refused in words; curves stay curves."""

import io
import json
import math

import numpy as np
import pytest
from PIL import Image
from svgpathtools import parse_path

from mapper.affine import Affine
from mapper.problems import RequestError
from mapper.rect import Rect
from profiles.doubts import hearing
from profiles.strokes.drawing import read_drawing

SVG_HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="0 0 200 100">'
)
PATHS = [
    "M 10 20 C 30 5 60 80 90 40 S 150 0 180 60",
    "M 20 80 Q 60 10 100 80 T 180 80 Z",
    "M 30 50 A 25 15 30 1 0 80 60 L 100 60 H 140 V 20 Z",
    "m 5 5 l 20 0 0 20 -20 0 z m 40 40 c 5 0 10 5 10 10",
]


def sampled(outline, per_piece=24):
    t = np.linspace(0, 1, per_piece + 1)[1:, None]
    points = []
    for name, *numbers in outline.commands:
        if name == "C":
            one, two, end = np.array(numbers).reshape(3, 2)
            start = points[-1]
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
@pytest.mark.parametrize("d", PATHS)
@pytest.mark.parametrize("matrix", [(1, 0, 0, 1, 0, 0), (0.9, 0.2, -0.1, 0.7, 12, 3)])
def test_paths_are_where_svgpathtools_finds_them(tmp_path, d, matrix):
    file = tmp_path / "drawing.svg"
    file.write_text(
        f'{SVG_HEAD}<g transform="matrix({" ".join(map(str, matrix))})"><path d="{d}" '
        f'stroke="#000"/></g></svg>'
    )
    affine = Affine(1.3, 0.2, 4, -0.1, 0.8, 7)
    ours = sampled(read_drawing(str(file)).strokes[0].outline.through(affine))
    a, b, c, dd, e, f = matrix
    both = np.array(affine.rows) @ np.array([[a, c, e], [b, dd, f], [0, 0, 1]])
    oracle = parse_path(d)
    dense = np.array([piece.point(t) for piece in oracle for t in np.linspace(0, 1, 2001)])
    # The points are mapped, not the oracle's path: svgpathtools 1.8 maps elliptic arcs wrongly.
    dense = (both @ np.stack([dense.real, dense.imag, np.ones(len(dense))]))[:2].T
    # Every point of ours lies on the oracle's path: no further from a sample than half of its
    # spacing and a bit.
    distance = np.sqrt(((ours[:, None, :] - dense[None]) ** 2).sum(-1)).min(axis=1)
    assert distance.max() < 0.06
    assert np.allclose(ours[0], dense[0], atol=2e-4)


@pytest.mark.oracle
def test_a_sheared_circle_is_the_ellipse_that_numpy_makes(tmp_path):
    file = tmp_path / "drawing.svg"
    file.write_text(
        f'{SVG_HEAD}<g transform="matrix(0.9 0.2 0.6 0.7 12 3)"><circle cx="50" cy="40" '
        f'r="20"/></g></svg>'
    )
    points = sampled(read_drawing(str(file)).strokes[0].outline)
    back = np.linalg.inv(np.array([[0.9, 0.6, 12], [0.2, 0.7, 3], [0, 0, 1]]))
    circle = (back @ np.vstack([points.T, np.ones(len(points))]))[:2]
    assert np.abs(np.hypot(circle[0] - 50, circle[1] - 40) - 20).max() < 1e-3


def test_curves_stay_curves_and_lines_lines(tmp_path):
    file = tmp_path / "drawing.svg"
    file.write_text(
        f'{SVG_HEAD}<path d="{PATHS[0]}" stroke="black"/><path d="M1 1 L 5 9 H 3 Z" '
        f'stroke="red"/></svg>'
    )
    one, two = (stroke.outline for stroke in read_drawing(str(file)).strokes)
    assert [command[0] for command in one.commands] == ["M", "C", "C"]
    assert [command[0] for command in two.commands] == ["M", "L", "L", "Z"]


def test_shapes_and_their_colours_are_read(tmp_path):
    file = tmp_path / "drawing.svg"
    file.write_text(
        f'{SVG_HEAD}<style>.a {{ fill: #ff0000 }}</style><circle class="a" cx="50" cy="50" r="20"/>'
        '<rect x="80" y="20" width="40" height="30" fill="none" stroke="blue" stroke-width="3"/>'
        '<text x="1" y="1">words</text><path d="M0 0 L 1 1" fill="none"/></svg>'
    )
    circle, rect = read_drawing(str(file)).strokes
    assert (circle.look.fill, circle.look.line) == ("#ff0000", "")
    assert (rect.look.fill, rect.look.line, rect.look.width) == (
        "",
        "#0000ff",
        pytest.approx(3, rel=1e-4),
    )
    assert circle.outline.bounds == pytest.approx((30, 30, 70, 70), abs=0.01)


def test_a_shape_with_a_gradient_does_not_vanish(tmp_path):
    file = tmp_path / "drawing.svg"
    file.write_text(
        f'{SVG_HEAD}<defs><linearGradient id="g"/></defs><rect x="1" y="1" width="9" height="9" '
        f'fill="url(#g)"/>'
        '<g display="none"><rect width="5" height="5"/></g></svg>'
    )
    (rect,) = read_drawing(str(file)).strokes
    assert rect.look.fill == "#9a9a9a"


def test_strokes_from_csv(tmp_path):
    file = tmp_path / "strokes.csv"
    file.write_text("stroke,x_mm,y_mm,pressure\n1,10,20,0.5\n1,30,40,0.6\n2,5,5,1\n2,6,9,1\n")
    drawing = read_drawing(str(file))
    assert [stroke.outline.points for stroke in drawing.strokes] == [
        ((10, 20), (30, 40)),
        ((5, 5), (6, 9)),
    ]
    assert drawing.in_mm
    # In mm on the tablet they stay where the hand made them.
    assert drawing.onto_area(Rect(0, 0, 240, 152)) == Affine.identity()


def test_an_empty_row_begins_a_new_stroke(tmp_path):
    file = tmp_path / "strokes.csv"
    file.write_text("x,y\n0,0\n10,0\n\n0,5\n10,5\n")
    drawing = read_drawing(str(file))
    assert len(drawing.strokes) == 2
    assert not drawing.in_mm


@pytest.mark.parametrize(
    "data",
    [
        [[[0, 0], [10, 5]], [[1, 1], [2, 2], [3, 1]]],
        {"strokes": [[{"x": 0, "y": 0}, {"x": 10, "y": 5}], {"points": [[1, 1], [2, 2], [3, 1]]}]},
    ],
)
def test_strokes_from_json(tmp_path, data):
    file = tmp_path / "strokes.json"
    file.write_text(json.dumps(data))
    drawing = read_drawing(str(file))
    assert [len(stroke.outline.points) for stroke in drawing.strokes] == [2, 3]
    assert drawing.bounds == Rect(0, 0, 10, 5)


def test_a_drawing_is_laid_into_the_area_as_large_as_it_fits(tmp_path):
    file = tmp_path / "strokes.csv"
    file.write_text("x,y\n0,0\n100,50\n")
    placed = read_drawing(str(file)).onto_area(Rect(10, 20, 200, 50))
    assert placed.point(50, 25) == pytest.approx((110, 45))
    assert placed.vector(0, 50) == pytest.approx((0, 46))


@pytest.mark.parametrize("mode", ["L", "P", "RGBA", "CMYK", "1", "LA", "I;16"])
def test_rasters_of_every_mode(tmp_path, mode):
    file = tmp_path / ("drawing.jpg" if mode == "CMYK" else "drawing.png")
    if mode == "I;16":
        Image.fromarray(np.full((30, 40), 65535, np.uint16)).save(file)
    else:
        Image.new("RGB", (40, 30), (255, 255, 255)).convert(mode).save(file)
    raster = read_drawing(str(file)).raster
    assert raster.size == (40, 30)
    assert raster.mode in {"RGB", "RGBA"}
    assert raster.getpixel((5, 5))[:3] == (255, 255, 255)


def test_a_photograph_taken_upright_is_upright(tmp_path):
    file = tmp_path / "drawing.jpg"
    picture = Image.new("RGB", (40, 20))
    exif = picture.getexif()
    exif[0x0112] = 6  # turned by 90 degrees, as cameras note it (Exif 2.32, tag Orientation)
    picture.save(file, exif=exif)
    assert read_drawing(str(file)).raster.size == (20, 40)


def png_of(size):
    out = io.BytesIO()
    Image.new("1", size).save(out, "PNG")
    return out.getvalue()


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("a.png", b"not a picture", "must be a picture"),
        ("a.png", png_of((64, 64))[:45], "whole picture"),
        ("a.png", png_of((20_000, 20_000)), "so many pixels|million pixels"),
        ("a.png", png_of((12_000, 12_000)), "million pixels"),
        ("a.psd", b"", "ending"),
        ("a.svg", b"<svg", "must be an SVG drawing"),
        ("a.svg", SVG_HEAD.encode() + b"<text>only words</text></svg>", "must hold shapes"),
        ("a.csv", b"a,b\n1,2\n", "must name the columns"),
        ("a.csv", b"x,y\n1,2\n3,four\n", "line 3"),
        ("a.csv", b"x,y\n1,2\n3,nan\n", "line 3"),
        ("a.csv", b"x,y\n1,2\n", "at least one stroke"),
        ("a.csv", b"x,y\n1,2\n1,2\n", "must be more than one point"),
        ("a.csv", b"\xff\xfe\x00", "UTF-8"),
        ("a.json", b"[[[1,2],[3", "must be JSON"),
        ("a.json", b"{}", "at least one stroke"),
        ("a.json", b"[[[1],[2]]]", "list of strokes"),
        ("a.json", b"7", "list of strokes"),
        ("a.json", b"[" * 100_000, "must be JSON"),
    ],
)
def test_what_cannot_be_a_drawing_is_refused_in_a_line(tmp_path, name, content, said):
    file = tmp_path / name
    file.write_bytes(content)
    with pytest.raises(RequestError, match=said) as refused:
        read_drawing(str(file))
    assert name in str(refused.value)
    assert "\n" not in str(refused.value)


def test_a_missing_drawing_is_said(tmp_path):
    with pytest.raises(RequestError, match="must be a readable picture"):
        read_drawing(str(tmp_path / "none.png"))


def test_what_of_an_svg_is_not_drawn_as_it_is_meant_is_said(tmp_path):
    file = tmp_path / "art.svg"
    file.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg"><linearGradient id="a"/><circle r="9" '
        'fill="url(#a)"/>'
        '<path d="M0 0L9 9" style="stroke:red;stroke-dasharray:3 1"/><text>Hello</text></svg>'
    )
    said = []
    with hearing(said.append):
        read_drawing(str(file))
    assert said == [
        "art.svg: gradients and patterns are grey, dashed lines are whole, words are left out"
    ]


@pytest.mark.parametrize("size", ["1e-320", "1e-160", "1e300", "0"])
@pytest.mark.parametrize(
    "said",
    [
        'width="{}" viewBox="0 0 9 9"',
        'width="{0}" height="{0}" viewBox="0 0 9 9"',
        'width="9" height="9" viewBox="0 0 {0} {0}"',
    ],
)
def test_no_size_of_an_svg_makes_python_warn(size, said, tmp_path):
    """What Python would warn of is an error here (pyproject.toml)."""
    path = tmp_path / "odd.svg"
    rect = f'<rect width="{size}" height="3" rx="1" stroke="red" stroke-width="{size}"/>'
    path.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" {said.format(size)}>{rect}'
        '<path d="M0 0L5 5L0 9Z" stroke="red"/></svg>'
    )
    try:
        drawing = read_drawing(str(path))
    except RequestError as error:
        assert str(error).isprintable()
    else:
        assert 0 < drawing.bounds.width < math.inf
