"""Reads a traced outline from a picture, whatever its colour, plain ground, thickness or gaps.

There are two looks. A coarse one over the whole picture, shrunk, finds where there is ink at all
(profiles.strokes.canvas). A close one at the outline found there reads, along hundreds of short
lines across the stroke, where its middle lies, to a small fraction of a pixel. Neither holds more
than a few million pixels beside Pillow's own copy of the picture.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import reduce
from typing import TYPE_CHECKING, Any

import numpy as np

from mapper.affine import Affine
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.rect import Rect
from profiles.picture_files import (
    LARGEST_COPIED_PIXELS,
    ORIENTATION,
    in_8_bits,
    picture,
    range_of,
    refuse_many,
    strips,
    upright,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from PIL import Image

    from mapper.tracing.outline import Array, Placed

_SAVE_LESS = phrase("Save only the part with the trace")

_CLOSE_PX = 1000
# A JPEG of more pixels, more than most screens have, is a photo or a scan: half its width and
# height will do.
_HALVED_FROM = 12_000_000

DRAW_INSTEAD = phrase("Draw one outline with a dark pen on an empty white canvas and save that")

# From stored to upright px of a picture of w by h, by EXIF's orientation tag (CIPA DC-008).
_UPRIGHT = {
    1: lambda w, h: Affine(1, 0, 0, 0, 1, 0),  # noqa: ARG005
    2: lambda w, h: Affine(-1, 0, w, 0, 1, 0),  # noqa: ARG005
    3: lambda w, h: Affine(-1, 0, w, 0, -1, h),
    4: lambda w, h: Affine(1, 0, 0, 0, -1, h),  # noqa: ARG005
    5: lambda w, h: Affine(0, 1, 0, 1, 0, 0),  # noqa: ARG005
    6: lambda w, h: Affine(0, -1, h, 1, 0, 0),  # noqa: ARG005
    7: lambda w, h: Affine(0, -1, h, -1, 0, w),
    8: lambda w, h: Affine(0, 1, 0, -1, 0, w),  # noqa: ARG005
}


@dataclass(frozen=True, slots=True)
class Picture:
    """A decoded picture, and the part of it to look at.

    ``stored`` is as its file has it (L, RGB or RGBa), a very large JPEG at half its width and
    height; ``orientation`` is its EXIF tag (1 to 8). ``within`` is the part to look at, in stored
    px. ``stored_to_upright`` maps those to px as a viewer shows them.
    """

    name: str
    stored: Image.Image
    orientation: int
    within: tuple[int, int, int, int]
    stored_to_upright: Affine


def open_picture(path: str, crop_px: Rect | None = None) -> Picture:
    """The picture at ``path``, decoded; ``crop_px`` is the part to look at, in upright px.

    Raises RequestError for what is no whole picture of a usual kind, for more pixels than are read,
    and for a crop outside.
    """
    with picture(path, _SAVE_LESS, halved_from=_HALVED_FROM) as opened:
        # After the load: it turns TIFF upright, and PNG may have its orientation only at its end.
        orientation = opened.getexif().get(ORIENTATION, 1)
        stored = _plain_mode(opened, path)
        is_halved = opened.format == "JPEG" and "whole_px" in opened.info
        whole_px = opened.info["whole_px"] if is_halved else stored.size
    if orientation not in _UPRIGHT:
        orientation = 1
    halved = 1 if whole_px == stored.size else 2
    to_upright = _UPRIGHT[orientation](*whole_px) @ Affine(halved, 0, 0, 0, halved, 0)
    return Picture(
        path, stored, orientation, _within(path, stored, to_upright, crop_px), to_upright
    )


# A line is no wider than this share of the picture's longer side where its ground is uneven.
_WIDEST_LINE = 0.02
# An uneven ground is levelled in pictures of at most so many pixels.
_MOST_LEVELLED = 12_000_000


def views(picture: Picture) -> Iterator[Picture]:
    """The picture as it is; then on a levelled ground, dark lines alone, and light ones alone.

    A photo or a shaded ground has no plain colour, but a line on it is darker or lighter than all
    that is near.
    """
    yield picture
    left, top, right, bottom = picture.within
    if (right - left) * (bottom - top) > _MOST_LEVELLED:
        return
    grey = np.asarray(picture.stored.convert("L").crop(picture.within))
    reach = max(8, round(_WIDEST_LINE * max(grey.shape)))
    for light in (False, True):
        tone = 255 - grey if light else grey
        yield replace(
            picture,
            stored=_pasted(picture, 255 - (_closed(tone, reach) - tone)),
        )


def _pasted(picture: Picture, part: Array) -> Image.Image:
    """A white picture as large as the stored one, with ``part`` where it is looked at."""
    from PIL import Image

    whole = Image.new("L", picture.stored.size, 255)
    whole.paste(Image.fromarray(part), picture.within[:2])
    return whole


def _closed(tone: Array, reach: int) -> Array:
    """``tone`` (rows, columns) without dark lines that are thinner than twice ``reach``."""
    for axis in (0, 1):
        tone = _extreme(tone, reach, axis, np.maximum)
    for axis in (0, 1):
        tone = _extreme(tone, reach, axis, np.minimum)
    return tone


def _extreme(tone: Array, reach: int, axis: int, better: np.ufunc) -> Array:
    """The largest or smallest of all within ``reach`` along an axis, by doubling windows."""
    size = 2 * reach + 1
    wide = [(0, 0), (0, 0)]
    wide[axis] = (reach, reach)
    found = np.swapaxes(np.pad(tone, wide, mode="edge"), 0, axis)
    width = 1
    while width < size:
        step = min(width, size - width)
        found = better(found[: len(found) - step], found[step:])
        width += step
    return np.swapaxes(found, 0, axis)


def _plain_mode(image: Image.Image, path: str) -> Image.Image:
    """``image`` in 8 bits a channel.

    The colours of a transparent one are multiplied by their opacity, so that hidden ones count for
    nothing.
    """
    mode = image.mode
    if mode in {"L", "RGB"}:
        return image
    if mode == "1":
        return image.convert("L")
    if mode.startswith("I") or mode == "F":
        # 16 bits and more: what is between the darkest and the lightest.
        low, high = range_of(image)
        return in_8_bits(image, low, high if high > low else low + 1)
    refuse_many(path, image.width, image.height, _SAVE_LESS, LARGEST_COPIED_PIXELS)
    if mode in {"LA", "PA", "RGBA", "La", "RGBa"} or (mode == "P" and "transparency" in image.info):
        image = image if mode == "RGBA" else image.convert("RGBA")
        opaque = image.getchannel("A").getextrema() == (255, 255)
        return image.convert("RGB" if opaque else "RGBa")
    return image.convert("RGB")


def _within(
    path: str, stored: Image.Image, upright: Affine, crop_px: Rect | None
) -> tuple[int, int, int, int]:
    """The part to look at, in stored px; ``crop_px`` is in upright px.

    Raises RequestError naming ``path`` if it is outside the picture.
    """
    whole = (0, 0, stored.width, stored.height)
    if crop_px is None:
        return whole
    part = (~upright).rect(crop_px)
    shared = part.overlap(Rect(0, 0, stored.width, stored.height))
    if shared is None or shared.width < 8 or shared.height < 8:
        size = upright.rect(Rect(0, 0, stored.width, stored.height))
        must = phrase(
            "must lie in the picture, which is {width} × {height} px",
            width=f"{size.width:g}",
            height=f"{size.height:g}",
        )
        came = phrase(
            "{left},{top},{width}x{height}px",
            left=f"{crop_px.left:g}",
            top=f"{crop_px.top:g}",
            width=f"{crop_px.width:g}",
            height=f"{crop_px.height:g}",
        )
        raise RequestError(Problem(phrase("{path} crop", path=path), must, came))
    return round(shared.left), round(shared.top), round(shared.right), round(shared.bottom)


@dataclass(frozen=True, slots=True)
class Ink:
    """Ink that the coarse look found, in stored px.

    ``points_px`` (n, 2) are the inked spots and ``spot_px`` is their size. ``ground`` is as
    ``off_ground`` takes it, ``contrast`` how far off it the ink is; what is at most ``quiet`` off
    is noise. ``over_faint``: beneath it is fainter ink that is no part of it.
    """

    points_px: Array
    spot_px: int
    ground: Array
    contrast: float
    quiet: float
    over_faint: bool = False


def pixels(image: Image.Image) -> Array:
    """The pixels (rows, columns, channels) of a picture."""
    cells: Array = np.asarray(image)
    return cells[:, :, None] if cells.ndim == 2 else cells


def off_ground(image: Image.Image, ground: Array) -> Image.Image:
    """How far each pixel is off the ground, 0 to 255, in the channel that differs most.

    ``ground`` (2, channels) holds the two colours of a checkerboard, or one twice. What lies
    between the two is ground, as their borders are blurred where a picture is shrunk.
    """
    from PIL import Image, ImageChops

    if (ground[0] == ground[1]).all():
        plain = Image.new(image.mode, image.size, tuple(ground[0].round().astype(int).tolist()))
        apart = Image.new("L", image.size)
        for top, part in strips(image):
            apart.paste(
                reduce(ImageChops.lighter, ImageChops.difference(part, plain).split()), (0, top)
            )
        return apart
    colours, (one, two) = pixels(image), ground.astype(np.float32)
    way = two - one
    share = np.clip((colours - one) @ way / float(way @ way), 0.0, 1.0)
    off = np.abs(colours - one - share[..., None] * way).max(axis=2)
    return Image.fromarray(off.round().astype(np.uint8))


@dataclass(frozen=True, slots=True)
class Crossings:
    """Where short lines across an outline met the stroke.

    ``points_px`` (n, 2) are the middles of the stroke in stored px, ``stroke_px`` its width.
    ``rays`` (n,) number the line that each was found on, out of ``asked``.
    """

    points_px: Array
    rays: Array
    asked: int
    stroke_px: float


@dataclass(frozen=True, slots=True)
class Close:
    """A part of the picture looked at closely: how far off the ground its pixels are, 0 to 255.

    They are shrunk by ``shrink``. ``covered`` (256,) is how much of a pixel that is so far off is
    inked, 0 to 1. The part's corner is in stored px.
    """

    apart: Array
    covered: Array
    shrink: int
    left_px: float
    top_px: float

    def at(self, points_px: Array) -> Array:
        """Coverage (...) at points (..., 2) in stored px, linear between pixel centres.

        It is 0 outside.
        """
        x = (points_px[..., 0] - self.left_px) / self.shrink - 0.5
        y = (points_px[..., 1] - self.top_px) / self.shrink - 0.5
        height, width = self.apart.shape
        inside = (x >= 0) & (y >= 0) & (x < width - 1) & (y < height - 1)
        x, y = np.where(inside, x, 0.0), np.where(inside, y, 0.0)
        left, top = x.astype(np.int32), y.astype(np.int32)
        across, down = x - left, y - top
        corner, cells = top * width + left, self.apart.ravel()
        one, two, three, four = (
            self.covered[cells[corner + step]] for step in (0, 1, width, width + 1)
        )
        upper, lower = one * (1 - across) + two * across, three * (1 - across) + four * across
        value = upper * (1 - down) + lower * down
        return np.where(inside, value, 0.0)


def close_look(picture: Picture, ink: Ink, placed: Placed) -> Close:
    """The picture round ``placed`` (in stored px), as coverage by ink."""
    bounds = placed.boundary(96).points_px
    margin = 0.12 * float(np.max(np.ptp(bounds, axis=0))) + 8
    left, top, right, bottom = picture.within
    low = np.floor(bounds.min(axis=0) - margin).astype(int)
    high = np.ceil(bounds.max(axis=0) + margin).astype(int)
    box = (
        max(left, int(low[0])),
        max(top, int(low[1])),
        min(right, int(high[0])),
        min(bottom, int(high[1])),
    )
    shrink = max(1, round(max(box[2] - box[0], box[3] - box[1]) / _CLOSE_PX))
    grey = off_ground(_part(picture, box, shrink), ink.ground)
    apart = np.asarray(grey)
    return Close(apart, _covered(apart, np.array(grey.histogram()), ink), shrink, box[0], box[1])


def _part(picture: Picture, box: tuple[int, int, int, int], shrink: int) -> Image.Image:
    return picture.stored.reduce(shrink, box=box) if shrink > 1 else picture.stored.crop(box)


def _covered(apart: Array, counts: Array, ink: Ink) -> Array:
    """The inked share (256,) of a pixel, by how far off the ground it is.

    Full ink is what the middle of the stroke shows.
    """
    levels = np.arange(256)
    full = max(
        _percentile(counts, max(ink.quiet, 0.3 * ink.contrast), 80) or ink.contrast, ink.quiet + 1
    )
    if not ink.over_faint:
        return np.where(levels <= ink.quiet, 0.0, np.minimum(levels / full, 1.0))
    # What is as faint as the ink away from the stroke is none of it.
    beneath = _percentile(
        np.bincount(apart[~widened(apart > 0.5 * full, 3)], minlength=256), ink.quiet, 98
    )
    floor = min(1.1 * beneath, 0.6 * full) if beneath else ink.quiet
    covered: Array = np.clip((levels - floor) / (full - floor), 0.0, 1.0)
    return covered


def widened(mask: Array, by: int) -> Array:
    """``mask`` (rows, columns) with all that lies within ``by`` rows and columns of it."""
    near: Array = mask
    for axis in (0, 1):
        near = np.any([np.roll(near, step, axis) for step in range(-by, by + 1)], axis=0)
    return near


def _percentile(counts: Array, above: float, percent: float) -> float:
    """The percentile of those numbers that lie ``above`` a bound, 0 where there are none.

    ``counts`` holds how often each number from 0 on occurs.
    """
    counts = np.where(np.arange(len(counts)) > above, counts, 0)
    if not counts.any():
        return 0.0
    return float(np.searchsorted(np.cumsum(counts), percent / 100 * counts.sum()))


def crossings(
    close: Close, placed: Placed, reach_px: float, rays: int, step_px: float
) -> Crossings:
    """The middles of the stroke on ``rays`` lines across ``placed``.

    Each line reaches ``reach_px`` to either side and may meet several strokes. Runs much wider than
    most are where strokes cross or bend, and are left out. ``step_px`` is the distance of the
    samples, in px of the close look.
    """
    boundary = placed.boundary(rays)
    points, normals = boundary.points_px, boundary.normals
    asked = np.arange(rays)
    if placed.outline.radius_mm == 0:
        keep = ~_near_corner(placed, points)
        points, normals, asked = points[keep], normals[keep], asked[keep]
    step = step_px * close.shrink
    offsets = np.arange(-reach_px, reach_px + step, step)
    profile = close.at(points[:, None] + normals[:, None] * offsets[None, :, None])
    profile[:, [0, -1]] = 0.0
    inked = profile > 0.25
    edges = np.diff(inked.astype(np.int8), axis=1)
    starts, ends = np.argwhere(edges == 1), np.argwhere(edges == -1)
    if not len(starts):
        return Crossings(np.zeros((0, 2)), np.zeros(0, int), len(points), 0.0)
    ray = starts[:, 0]
    # A pixel more on either side takes in the soft edge.
    soft = round(1 / step_px)
    first = np.maximum(starts[:, 1] + 1 - soft, 0)
    last = np.minimum(ends[:, 1] + soft, len(offsets) - 1)
    weight = np.concatenate([np.zeros((len(points), 1)), np.cumsum(profile, axis=1)], axis=1)
    moment = np.concatenate(
        [np.zeros((len(points), 1)), np.cumsum(profile * offsets, axis=1)], axis=1
    )
    mass = weight[ray, last + 1] - weight[ray, first]
    middle = (moment[ray, last + 1] - moment[ray, first]) / mass
    width = mass * step
    usual = float(np.median(width))
    keep = (width < 1.8 * usual + close.shrink) & (width > 0.25 * usual)
    where = points[ray] + normals[ray] * middle[:, None]
    return Crossings(where[keep], asked[ray[keep]], len(points), usual)


def _near_corner(placed: Placed, points: Array) -> Array:
    """Whether each of the points (n, 2) is near a sharp corner.

    Lines there run along the other side's stroke, and hands cut corners.
    """
    mm = np.abs(placed.to_mm(points))
    outline = placed.outline
    room = 0.05 * min(outline.width_mm, outline.height_mm)
    near: Array = (mm[:, 0] > outline.width_mm / 2 - room) & (
        mm[:, 1] > outline.height_mm / 2 - room
    )
    return near


def is_filled(close: Close, placed: Placed) -> bool:
    """Whether the inside of the outline is inked too."""
    boundary = placed.boundary(60).points_px
    inside = [placed.centre_px + (boundary - placed.centre_px) * share for share in (0.3, 0.5, 0.7)]
    return float(np.mean(close.at(np.concatenate(inside)) > 0.5)) > 0.6


def upright_coverage(picture: Picture, ink: Ink, box_px: Rect, most_px: int) -> tuple[Array, Rect]:
    """Ink (rows, columns), 0 to 255, in ``box_px`` as a viewer shows it, and its true place.

    Both rectangles are in upright px; the array has at most ``most_px`` a side.
    """
    part = (
        (~picture.stored_to_upright)
        .rect(box_px)
        .overlap(Rect(0, 0, picture.stored.width, picture.stored.height))
    )
    if part is None:
        part = Rect(0, 0, picture.stored.width, picture.stored.height)
    box = (int(part.left), int(part.top), int(np.ceil(part.right)), int(np.ceil(part.bottom)))
    shrink = max(1, -(-max(box[2] - box[0], box[3] - box[1]) // most_px))
    strongest = max(ink.contrast, 1.0)
    shown = [
        0 if apart <= ink.quiet else int(255 * min(apart / strongest, 1)) for apart in range(256)
    ]
    grey = off_ground(_part(picture, box, shrink), ink.ground).point(shown)
    place = Rect(box[0], box[1], grey.width * shrink, grey.height * shrink)
    return np.asarray(upright(grey, picture.orientation)), picture.stored_to_upright.rect(place)


def outside_share(picture: Picture, placed: Placed) -> float:
    """The share of the outline that lies outside the part looked at."""
    left, top, right, bottom = picture.within
    points: Any = placed.boundary(120).points_px
    out = (
        (points[:, 0] < left)
        | (points[:, 1] < top)
        | (points[:, 0] > right)
        | (points[:, 1] > bottom)
    )
    return float(np.mean(out))
