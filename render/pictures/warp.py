"""A raster drawing through an affine map, by Pillow, with proper filtering and bounded memory.

Pixels are edge-based: (0, 0) is the upper left corner of the first pixel, and its centre is at
(0.5, 0.5).

Shrinking averages all pixels, which is slower than Pillow's AFFINE transform: that skips some.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from PIL import Image

from mapper.affine import Affine
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError

if TYPE_CHECKING:
    from mapper.rect import Rect

#: The most pixels that one warped drawing may have: a wall poster, and some 400 MB while it is
#: made.
LARGEST_PIXELS = 100_000_000

# Pillow's measure of how much is averaged by whole numbers, which is quick, before the careful
# window: at 2.0 its documentation finds the result almost indistinguishable from the careful one
# alone.
_REDUCING_GAP = 2.0


def resized(
    picture: Image.Image, width_px: int, height_px: int, box_px: Rect | None = None
) -> Image.Image:
    """``picture``, or its part ``box_px``, in ``width_px`` by ``height_px``.

    Shrinking averages over all pixels that fall on one (a cubic window as wide as the shrinking,
    after a plain average by whole numbers where it shrinks by more than two); growing interpolates
    bicubically. Raises RequestError for a result of more than LARGEST_PIXELS.
    """
    _bounded(width_px, height_px)
    box = None if box_px is None else (box_px.left, box_px.top, box_px.right, box_px.bottom)
    return picture.resize(
        (width_px, height_px), Image.Resampling.BICUBIC, box=box, reducing_gap=_REDUCING_GAP
    )


def warped(picture: Image.Image, affine: Affine, width_px: int, height_px: int) -> Image.Image:
    """``picture`` through ``affine``, on a canvas of ``width_px`` by ``height_px``.

    ``affine`` maps px of the picture to px of the canvas. What lies outside the picture is
    transparent, or black in a mode without transparency. A map that keeps x along x and y along y
    is left to ``resized``, which is faster; any other is first averaged down by whole numbers, as
    far as the map shrinks, and then interpolated bicubically. Raises RequestError as ``resized``
    does.
    """
    _bounded(width_px, height_px)
    if affine.b == 0 == affine.d and affine.a > 0 and affine.e > 0:
        return _straight(picture, affine, width_px, height_px)
    # The singular values bound how much any direction shrinks; each axis is averaged by as much as
    # it can bear.
    fewer_x = max(1, math.floor(1 / max(math.hypot(affine.a, affine.d), 1e-9)))
    fewer_y = max(1, math.floor(1 / max(math.hypot(affine.b, affine.e), 1e-9)))
    if fewer_x > 1 or fewer_y > 1:
        picture = picture.reduce((fewer_x, fewer_y))
        # The last column or row of a reduced picture may stand for fewer pixels; Pillow counts it
        # as a whole one.
        affine = affine @ Affine(fewer_x, 0, 0, 0, fewer_y, 0)
    back = ~affine
    return picture.transform(
        (width_px, height_px),
        Image.Transform.AFFINE,
        (back.a, back.b, back.c, back.d, back.e, back.f),
        resample=Image.Resampling.BICUBIC,
    )


def _straight(picture: Image.Image, affine: Affine, width_px: int, height_px: int) -> Image.Image:
    """The picture under a map that keeps its axes, by resizing what falls on whole pixels."""
    left, top = affine.c, affine.f
    right, bottom = left + affine.a * picture.width, top + affine.e * picture.height
    first_x, first_y = max(0, math.ceil(left - 1e-6)), max(0, math.ceil(top - 1e-6))
    last_x, last_y = (
        min(width_px, math.floor(right + 1e-6)),
        min(height_px, math.floor(bottom + 1e-6)),
    )
    if last_x <= first_x or last_y <= first_y:
        return Image.new(picture.mode, (width_px, height_px))
    box = (
        max(0.0, (first_x - left) / affine.a),
        max(0.0, (first_y - top) / affine.e),
        min(float(picture.width), (last_x - left) / affine.a),
        min(float(picture.height), (last_y - top) / affine.e),
    )
    size = (last_x - first_x, last_y - first_y)
    part = picture.resize(size, Image.Resampling.BICUBIC, box=box, reducing_gap=_REDUCING_GAP)
    if size == (width_px, height_px):
        return part
    canvas = Image.new(picture.mode, (width_px, height_px))
    canvas.paste(part, (first_x, first_y))
    return canvas


def _bounded(width_px: int, height_px: int) -> None:
    if not 0 < width_px * height_px <= LARGEST_PIXELS:
        must = phrase(
            "must come out with at most {most} million pixels", most=LARGEST_PIXELS // 1_000_000
        )
        raise RequestError(Problem("drawing", must, f"{width_px} × {height_px}"))
