"""Paths as commands, against the handbook's Bezier circle.

For a quarter of a circle of radius 1 the control points lie 4/3 (√2 - 1) = 0.5522847498 along the
tangents, for an eighth 4/3 tan(π/16) = 0.2652164898 (the usual formula 4/3 tan(angle / 4), common
practice, no source).
"""

import math

import pytest

from mapper.affine import Affine
from mapper.paths import Outline
from mapper.rect import Rect


def near(outline, commands):
    """Whether the commands are these, name by name and number by number."""
    assert [command[0] for command in outline.commands] == [command[0] for command in commands]
    for found, wanted in zip(outline.commands, commands, strict=True):
        assert found[1:] == pytest.approx(wanted[1:], abs=1e-9)


def test_a_rounded_rectangle_by_hand():
    # 30 x 50 at 10, 100, so it ends at 40, 150. A control point stands 10 - 5.522847498 from the
    # corner. No two numbers are the same by chance.
    near(
        Outline.rounded(Rect(10, 100, 30, 50), 10),
        [
            ("M", 20, 100),
            ("L", 30, 100),
            ("C", 35.522847498, 100, 40, 104.477152502, 40, 110),
            ("L", 40, 140),
            ("C", 40, 145.522847498, 35.522847498, 150, 30, 150),
            ("L", 20, 150),
            ("C", 14.477152502, 150, 10, 145.522847498, 10, 140),
            ("L", 10, 110),
            ("C", 10, 104.477152502, 14.477152502, 100, 20, 100),
            ("Z",),
        ],
    )


def test_corners_are_rounded_by_half_the_shorter_side_at_most():
    for width, height in ((10, 40), (40, 10)):
        cut = Outline.rounded(Rect(0, 0, width, height), 99)
        assert cut == Outline.rounded(Rect(0, 0, width, height), 5)
        assert cut.commands[0] == ("M", 5, 0)


def test_lines_from_corner_to_corner():
    assert Outline.rect(Rect(1, 2, 30, 40)).commands == (
        ("M", 1, 2),
        ("L", 31, 2),
        ("L", 31, 42),
        ("L", 1, 42),
        ("Z",),
    )


def test_an_arc_by_hand():
    """From straight down (y runs down) to the left: two eighths about 3, 4."""
    root, reach = 10 / math.sqrt(2), 2.652164898
    near(
        Outline.arc(3, 4, 10, 90, 180),
        [
            ("M", 3, 14),
            (
                "C",
                *(3 - reach, 14),
                *(3 - root + reach / math.sqrt(2), 4 + root + reach / math.sqrt(2)),
                *(3 - root, 4 + root),
            ),
            (
                "C",
                *(3 - root - reach / math.sqrt(2), 4 + root - reach / math.sqrt(2)),
                *(-7, 4 + reach),
                *(-7, 4),
            ),
        ],
    )


def test_a_circle_is_closed_and_leaves_the_true_one_by_5_millionths_at_most():
    circle = Outline.circle(3, 4, 10)
    assert [command[0] for command in circle.commands] == ["M", *"CCCCCCCC", "Z"]
    ends = [command[-2:] for command in circle.commands[:-1]]
    for start, (_, *numbers) in zip(ends, circle.commands[1:-1], strict=False):
        x, y = (
            # The middle of a cubic curve: an eighth of the ends, three eighths of the others.
            (start[axis] + 3 * numbers[axis] + 3 * numbers[axis + 2] + numbers[axis + 4]) / 8
            for axis in (0, 1)
        )
        assert math.hypot(x - 3, y - 4) == pytest.approx(10, rel=5e-6)


def test_a_path_is_mapped_point_by_point():
    # Twice as wide, three times as high, and moved by 5, 7.
    path = Outline((("M", 1, 2), ("L", 3, 4), ("C", 5, 6, 7, 8, 9, 10), ("Z",)))
    assert path.through(Affine(2, 0, 5, 0, 3, 7)).commands == (
        ("M", 7, 13),
        ("L", 11, 19),
        ("C", 15, 25, 19, 31, 23, 37),
        ("Z",),
    )
    assert path.points == ((1, 2), (3, 4), (5, 6), (7, 8), (9, 10))
    assert path.bounds == (1, 2, 9, 10)
