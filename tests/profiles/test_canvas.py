"""Traces in screenshots that Agg drew, with windows around the canvas.

And lines that are not what they are said to be.
"""

import itertools

import numpy as np
import PIL.Image
import pytest
import scipy.ndimage

from mapper.affine import Affine
from mapper.problems import RequestError
from mapper.tracing.outline import KnownOutline
from profiles.strokes.canvas import filled, patches
from profiles.strokes.tracing import trace_picture, trace_points
from tests.drawn_windows import KINDS, Sheet, wobbly
from tests.studies.trace_kinds import judged as judged_kind
from tests.studies.trace_windows import judged

CIRCLE, SQUARE, CARD = (
    KnownOutline.circle(60),
    KnownOutline(50, 50),
    KnownOutline(85.6, 53.98, 3.18),
)


# One of each kind; all 48 are tests/studies/trace_windows.py.
@pytest.mark.oracle
@pytest.mark.parametrize("number", range(36, 48), ids=lambda number: KINDS[number % len(KINDS)])
@pytest.mark.long
def test_the_canvas_in_a_screenshot_is_found(number, tmp_path):
    outcome, shot, traced = judged(number, tmp_path)
    assert outcome == "right"
    if traced.canvas_px is not None:
        left, top, right, bottom = shot.canvas
        canvas = traced.canvas_px
        assert canvas.left < (left + right) / 2 < canvas.right
        assert canvas.top < (top + bottom) / 2 < canvas.bottom


def test_a_window_without_a_trace_is_refused_with_the_crop_to_type(tmp_path):
    path = tmp_path / "window.png"
    sheet = Sheet((1200, 800), (0.6, 0.6, 0.6))
    sheet.box(120, 90, 700, 520, fill=(1, 1, 1), line=(0, 0, 0))
    sheet.box(900, 90, 200, 300, fill=(0.95, 0.95, 0.95), line=(0, 0, 0), thick=2)
    PIL.Image.fromarray(sheet.pixels()).save(path)
    for outline in (CARD, CIRCLE):
        with pytest.raises(RequestError) as caught:
            trace_picture(str(path), outline, Affine.identity())
        assert "--crop" in str(caught.value) or "empty middle" in str(caught.value)


@pytest.mark.parametrize(
    "window",
    [
        "a navigator with a small copy",
        "squared paper",
        "a photo beneath",
        "a stroke to the edge",
    ],
)
@pytest.mark.long
def test_a_hands_outline_is_read_among_parts_of_a_program(window, tmp_path):
    outcome, *_ = judged_kind(tmp_path, 0, window=window)
    assert outcome == "right"


# Each of them was read wrong once: soft spots of the photo, the navigator's copy in place of the
# broken line, and the card with its sides exchanged.
@pytest.mark.parametrize(
    ("number", "kind"),
    [
        (3, {"window": "a photo beneath", "hand": "a gap"}),
        (11, {"window": "a photo beneath", "hand": "slow"}),
        (6, {"window": "a navigator with a small copy", "hand": "pencil"}),
        (7, {"window": "plain white", "hand": "by pressure", "thing": "card"}),
    ],
)
@pytest.mark.long
def test_what_was_read_wrong_once_is_read_right(number, kind, tmp_path):
    outcome, *_ = judged_kind(tmp_path, number, **kind)
    assert outcome == "right"


@pytest.mark.parametrize(
    ("number", "window"),
    [(0, "a colour wheel beside"), (30, "a colour wheel beside"), (0, "a rounded dialog above")],
)
@pytest.mark.long
def test_nothing_in_an_empty_paint_window_is_a_trace(number, window, tmp_path):
    outcome, *_ = judged_kind(tmp_path, number, window=window, empty=True)
    assert outcome == "refused"


def test_two_traces_in_one_window_are_refused_with_a_crop_for_each(tmp_path):
    random = np.random.default_rng(3)
    sheet = Sheet((1400, 800), (1, 1, 1))
    for x in (380, 1010):
        sheet.stroke(
            wobbly(random, CIRCLE, np.diag([8.0, 8.0]), np.array([x, 400.0]), 0.1),
            (0.1, 0.1, 0.3),
            4,
        )
    PIL.Image.fromarray(sheet.pixels()).save(tmp_path / "two.png")
    with pytest.raises(RequestError, match=r"--crop \d+.* or --crop \d+"):
        trace_picture(str(tmp_path / "two.png"), CIRCLE, Affine.identity())


@pytest.mark.oracle
@pytest.mark.parametrize("corners", [False, True])
def test_patches_are_those_of_scipy(corners):
    mask = np.random.default_rng(7).random((90, 130)) < 0.45
    ours = patches(mask, corners=corners)
    theirs, count = scipy.ndimage.label(mask, np.ones((3, 3)) if corners else None)
    assert len(ours.sizes) == count == len(set(zip(ours.labels[mask], theirs[mask], strict=True)))
    for number, (rows, columns) in enumerate(scipy.ndimage.find_objects(ours.labels)):
        assert list(ours.boxes[number]) == [columns.start, rows.start, columns.stop, rows.stop]
    assert (filled(mask) == scipy.ndimage.binary_fill_holes(mask, np.ones((3, 3)))).all()


def path_of(outline, *, x=7.0, y=6.6, turn_deg=0.0, seed=1):
    cos, sin = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    matrix = np.diag([x, y]) @ np.array([[cos, -sin], [sin, cos]])
    return wobbly(np.random.default_rng(seed), outline, matrix, np.array([600.0, 450.0]), 0.12)


def scribble(seed):
    random = np.random.default_rng(seed)
    return 500 + np.cumsum(np.cumsum(random.normal(0, 1.0, (900, 2)), axis=0) * 0.02, axis=0) * 8


def star():
    angle = np.linspace(0, 2 * np.pi, 11)
    corners = (
        np.stack([np.cos(angle), np.sin(angle)], axis=1)
        * np.where(np.arange(11) % 2, 120, 300)[:, None]
    )
    return np.concatenate([np.linspace(a, b, 60) for a, b in itertools.pairwise(corners)]) + 500


OTHERS = {
    "a square for a circle": (path_of(SQUARE), CIRCLE, r'like a square.*--of "square 60mm"'),
    "a turned square for a circle": (
        path_of(SQUARE, turn_deg=30),
        CIRCLE,
        r'like a square.*--of "square 60mm"',
    ),
    "an A6 for a circle": (
        path_of(KnownOutline(148, 105), x=4, y=4),
        CIRCLE,
        "like a rectangle.*--of card",
    ),
    "a card for a circle": (path_of(CARD), CIRCLE, "like a rectangle"),
    "a circle for a card": (path_of(CIRCLE, x=9), CARD, "like a circle.*--of"),
    "a circle for a square": (path_of(CIRCLE), SQUARE, "like a circle.*--of"),
    "a star for a circle": (star(), CIRCLE, "."),
    "a star for a square": (star(), SQUARE, "."),
    **{
        f"scribble {seed} for {name}": (scribble(seed), o, ".")
        for seed in range(2)
        for name, o in (("a circle", CIRCLE), ("a card", CARD))
    },
}


@pytest.mark.parametrize("case", OTHERS)
def test_what_is_no_such_shape_is_refused_and_told_what_it_looks_like(case, tmp_path):
    points, outline, words = OTHERS[case]
    with pytest.raises(RequestError, match=words):
        trace_points("strokes.csv", [points], outline, Affine.identity())
    sheet = Sheet((1200, 900), (1, 1, 1))
    sheet.stroke(points, (0.1, 0.1, 0.2), 5, closed=False)
    PIL.Image.fromarray(sheet.pixels()).save(tmp_path / "a.png")
    with pytest.raises(RequestError, match=words):
        trace_picture(str(tmp_path / "a.png"), outline, Affine.identity())
