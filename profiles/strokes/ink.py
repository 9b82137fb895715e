"""Finding a traced outline in a picture: any colour on any plain ground, however thick, broken or touched up.

Two looks. A coarse one over the whole picture, shrunk, tells where there is ink at all. A close one at the outline
found there reads, along hundreds of short lines across the stroke, where its middle lies, to a small fraction of a
pixel. Neither holds more than a few million pixels beside Pillow's own copy of the picture.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from mapper.affine import Affine
from mapper.problems import Problem, RequestError
from mapper.rect import Rect
from profiles.pictures import picture

if TYPE_CHECKING:
    from PIL import Image

    from mapper.tracing.outline import Array, Placed

_SAVE_LESS = "Save only the part with the trace"

_COARSE_PX = 720
_CLOSE_PX = 1400
# A share of the picture that has one colour, below which its ground is not plain.
_LEAST_PLAIN = 0.6
_LEAST_CONTRAST = 14
# Coarse ink beyond this is no line but a picture.
_MOST_INK = 0.35
_RAYS = 360

_DRAW_INSTEAD = "Draw one outline with a dark pen on an empty white canvas and save that"

# Where a stored picture's point lands when the picture of w by h is shown upright, by EXIF's orientation tag (CIPA DC-008).
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
    """A decoded picture: ``stored`` as its file has it (L, RGB or RGBa), and ``orientation``, EXIF's tag for it (1 to 8).

    ``within`` is the part to look at, in stored px.
    """

    name: str
    stored: Image.Image
    orientation: int
    within: tuple[int, int, int, int]

    @property
    def stored_to_upright(self) -> Affine:
        """From px as stored to px as a viewer shows them."""
        return _UPRIGHT[self.orientation](self.stored.width, self.stored.height)


def open_picture(path: str, crop_px: Rect | None = None) -> Picture:
    """The picture at ``path``, decoded; ``crop_px`` is the part to look at, in upright px.

    Raises RequestError for what is no whole picture of a usual kind, for more pixels than are read, and for a crop outside.
    """
    with picture(path, _SAVE_LESS) as opened:
        # After the load: TIFF is turned upright by it, and PNG may say how it is turned only at its end.
        orientation = opened.getexif().get(0x0112, 1)
        stored = _plain_mode(opened)
    if orientation not in _UPRIGHT:
        orientation = 1
    upright = _UPRIGHT[orientation](stored.width, stored.height)
    return Picture(path, stored, orientation, _within(path, stored, upright, crop_px))


def _plain_mode(image: Image.Image) -> Image.Image:
    """8 bits a channel, and colours under a see-through ground taken out of the account."""
    mode = image.mode
    if mode in {"L", "RGB"}:
        return image
    if mode == "1":
        return image.convert("L")
    if mode.startswith("I") or mode == "F":
        from PIL import Image

        # 16 bits and more: what is between the darkest and the lightest, as Pillow's own conversion would cut it off.
        values = np.asarray(image, dtype=np.float32)
        values = np.nan_to_num(values, posinf=0.0, neginf=0.0)
        low, high = float(values.min()), float(values.max())
        values -= low
        values *= 255 / (high - low) if high > low else 0.0
        return Image.fromarray(values.astype(np.uint8))
    if mode in {"LA", "PA", "RGBA", "La", "RGBa"} or (mode == "P" and "transparency" in image.info):
        image = image.convert("RGBA")
        return image.convert("RGB") if image.getchannel("A").getextrema() == (255, 255) else image.convert("RGBa")
    return image.convert("RGB")


def _within(path: str, stored: Image.Image, upright: Affine, crop_px: Rect | None) -> tuple[int, int, int, int]:
    whole = (0, 0, stored.width, stored.height)
    if crop_px is None:
        return whole
    part = (~upright).rect(crop_px)
    shared = part.overlap(Rect(0, 0, stored.width, stored.height))
    if shared is None or shared.width < 8 or shared.height < 8:
        size = upright.rect(Rect(0, 0, stored.width, stored.height))
        must = f"must lie in the picture, which is {size.width:g} x {size.height:g} px"
        came = f"{crop_px.left:g},{crop_px.top:g},{crop_px.width:g}x{crop_px.height:g}px"
        raise RequestError(Problem(f"{path} crop", must, came))
    return round(shared.left), round(shared.top), round(shared.right), round(shared.bottom)


@dataclass(frozen=True, slots=True)
class Ink:
    """What a coarse look found, in stored px.

    ``points_px`` (n, 2) of inked spots and ``spot_px``, their size; the ``ground`` colour, the ``contrast`` of the ink with
    it (0 to 255) and the ``noise`` of the ground.
    """

    points_px: Array
    spot_px: int
    ground: Array
    contrast: float
    noise: float


def coarse_ink(picture: Picture) -> Ink:
    """Where there is ink. Raises RequestError for a ground that is not plain, and for a picture with no ink or little else."""
    left, top, right, bottom = picture.within
    spot = max(1, -(-max(right - left, bottom - top) // _COARSE_PX))
    colours = _pixels(
        picture.stored.reduce(spot, box=picture.within) if spot > 1 else picture.stored.crop(picture.within)
    )
    ground = _ground(picture.name, colours)
    apart = np.abs(colours.astype(np.int16) - ground).max(axis=2)
    quiet = apart[apart <= 24]
    noise = float(np.sqrt(np.mean(quiet.astype(float) ** 2))) if quiet.size else 0.0
    strongest = float(np.percentile(apart[apart > max(6 * noise, 5)], 95)) if np.any(apart > max(6 * noise, 5)) else 0.0
    if strongest < _LEAST_CONTRAST:
        raise RequestError(Problem(picture.name, "must show a traced outline", "an empty picture", _DRAW_INSTEAD))
    inked = apart > max(0.2 * strongest, 6 * noise, 5)
    share = float(inked.mean())
    if share > _MOST_INK:
        came = f"{100 * share:.0f} % of it inked"
        raise RequestError(Problem(picture.name, "must show one thin outline on an empty ground", came, _DRAW_INSTEAD))
    rows, columns = np.nonzero(inked)
    points = np.stack([columns + 0.5, rows + 0.5], axis=1) * spot + (left, top)
    return Ink(points, spot, ground, strongest, noise)


def _pixels(image: Image.Image) -> Array:
    pixels: Array = np.asarray(image)
    return pixels[:, :, None] if pixels.ndim == 2 else pixels


def _ground(name: str, colours: Array) -> Array:
    """The commonest colour, to a grain of 16 levels, and within that grain the median."""
    flat = colours.reshape(-1, colours.shape[2])
    # Some tens of thousands of pixels tell the commonest colour as well as all do; an odd stride, so as not to follow a column.
    flat = flat[:: max(1, len(flat) // 40_000) | 1]
    best: Array | None = None
    most = -1.0
    # Twice, half a grain apart, so that a ground on the border of two grains is not torn.
    for shift in (0, 8):
        grain = (flat.astype(np.int32) + shift) >> 4
        key = grain[:, 0]
        for channel in range(1, grain.shape[1]):
            key = key * 32 + grain[:, channel]
        values, counts = np.unique(key, return_counts=True)
        if counts.max() > most:
            most = float(counts.max())
            best = np.median(flat[key == values[np.argmax(counts)]], axis=0)
    ground = np.zeros(flat.shape[1]) if best is None else best
    plain = float(np.mean(np.abs(flat - ground).max(axis=1) <= 24))
    if plain < _LEAST_PLAIN:
        instead = "Choose the empty canvas with --crop left,top,WIDTHxHEIGHT, or save the canvas alone"
        came = f"{100 * plain:.0f} % of one colour"
        raise RequestError(Problem(name, "the ground must be plain", came, instead))
    return ground.astype(np.int16)


@dataclass(frozen=True, slots=True)
class Crossings:
    """Where short lines across an outline met the stroke: ``points_px`` (n, 2) its middles, in stored px; ``stroke_px`` its width.

    ``rays`` (n,) numbers the line that each was found on, out of ``asked``.
    """

    points_px: Array
    rays: Array
    asked: int
    stroke_px: float


@dataclass(frozen=True, slots=True)
class Close:
    """The close look: coverage by ink, 0 to 1, of a part of the picture shrunk by ``shrink``; its corner in stored px."""

    coverage: Array
    shrink: int
    left_px: float
    top_px: float

    def at(self, points_px: Array) -> Array:
        """Coverage (...) at points (..., 2) in stored px, linear between pixel centres; 0 outside."""
        place = (points_px - (self.left_px, self.top_px)) / self.shrink - 0.5
        height, width = self.coverage.shape
        base = np.floor(place).astype(int)
        part = place - base
        inside = (base[..., 0] >= 0) & (base[..., 1] >= 0) & (base[..., 0] < width - 1) & (base[..., 1] < height - 1)
        x, y = np.where(inside, base[..., 0], 0), np.where(inside, base[..., 1], 0)
        across, down = part[..., 0], part[..., 1]
        cells = self.coverage
        value = (cells[y, x] * (1 - across) + cells[y, x + 1] * across) * (1 - down) + (
            cells[y + 1, x] * (1 - across) + cells[y + 1, x + 1] * across
        ) * down
        return np.where(inside, value, 0.0)


def close_look(picture: Picture, ink: Ink, placed: Placed) -> Close:
    """The picture round ``placed`` (in stored px), as coverage by ink."""
    bounds = placed.boundary(96).points_px
    margin = 0.12 * float(np.max(np.ptp(bounds, axis=0))) + 8
    left, top, right, bottom = picture.within
    low = np.floor(bounds.min(axis=0) - margin).astype(int)
    high = np.ceil(bounds.max(axis=0) + margin).astype(int)
    box = (max(left, int(low[0])), max(top, int(low[1])), min(right, int(high[0])), min(bottom, int(high[1])))
    shrink = max(1, round(max(box[2] - box[0], box[3] - box[1]) / _CLOSE_PX))
    colours = _pixels(picture.stored.reduce(shrink, box=box) if shrink > 1 else picture.stored.crop(box))
    apart = np.zeros(colours.shape[:2], np.float32)
    for channel in range(colours.shape[2]):
        np.maximum(apart, np.abs(colours[:, :, channel].astype(np.float32) - float(ink.ground[channel])), out=apart)
    # What the ground's own noise makes is no ink; full ink is what the stroke's middle shows.
    quiet = max(4 * ink.noise, 3.0)
    inked = apart[apart > max(quiet, 0.3 * ink.contrast)]
    full = max(float(np.percentile(inked, 80)) if inked.size else ink.contrast, quiet + 1)
    coverage = np.where(apart <= quiet, 0.0, np.minimum(apart / full, 1.0))
    return Close(coverage, shrink, box[0], box[1])


def crossings(close: Close, placed: Placed, reach_px: float) -> Crossings:
    """The middles of the stroke on lines across ``placed``, as far as ``reach_px`` on either side.

    A line may meet several strokes; runs much wider than most are where strokes cross or bend, and are left out.
    """
    boundary = placed.boundary(_RAYS)
    points, normals = boundary.points_px, boundary.normals
    asked = np.arange(_RAYS)
    if placed.outline.radius_mm == 0:
        keep = ~_near_corner(placed, points)
        points, normals, asked = points[keep], normals[keep], asked[keep]
    step = 0.5 * close.shrink
    offsets = np.arange(-reach_px, reach_px + step, step)
    profile = close.at(points[:, None] + normals[:, None] * offsets[None, :, None])
    profile[:, [0, -1]] = 0.0
    inked = profile > 0.25
    edges = np.diff(inked.astype(np.int8), axis=1)
    starts, ends = np.argwhere(edges == 1), np.argwhere(edges == -1)
    if not len(starts):
        return Crossings(np.zeros((0, 2)), np.zeros(0, int), len(points), 0.0)
    ray = starts[:, 0]
    # Two samples more on either side take in the soft edge.
    first, last = np.maximum(starts[:, 1] - 1, 0), np.minimum(ends[:, 1] + 2, len(offsets) - 1)
    weight = np.concatenate([np.zeros((len(points), 1)), np.cumsum(profile, axis=1)], axis=1)
    moment = np.concatenate([np.zeros((len(points), 1)), np.cumsum(profile * offsets, axis=1)], axis=1)
    mass = weight[ray, last + 1] - weight[ray, first]
    middle = (moment[ray, last + 1] - moment[ray, first]) / mass
    width = mass * step
    usual = float(np.median(width))
    keep = (width < 1.8 * usual + close.shrink) & (width > 0.25 * usual)
    where = points[ray] + normals[ray] * middle[:, None]
    return Crossings(where[keep], asked[ray[keep]], len(points), usual)


def _near_corner(placed: Placed, points: Array) -> Array:
    """Lines near a sharp corner run along the other side's stroke, and hands cut corners."""
    mm = np.abs(placed.to_mm(points))
    outline = placed.outline
    room = 0.05 * min(outline.width_mm, outline.height_mm)
    near: Array = (mm[:, 0] > outline.width_mm / 2 - room) & (mm[:, 1] > outline.height_mm / 2 - room)
    return near


def is_filled(close: Close, placed: Placed) -> bool:
    """Whether the inside of the outline is inked too."""
    boundary = placed.boundary(60).points_px
    inside = [placed.centre_px + (boundary - placed.centre_px) * share for share in (0.3, 0.5, 0.7)]
    return float(np.mean(close.at(np.concatenate(inside)) > 0.5)) > 0.6


def upright_coverage(picture: Picture, box_px: Rect, most_px: int) -> tuple[Array, Rect]:
    """Ink (rows, columns), 0 to 255, in ``box_px`` (upright px) as a viewer shows it, at most ``most_px`` large; and its true place."""
    from PIL import Image

    ink = coarse_ink(picture)
    part = (~picture.stored_to_upright).rect(box_px).overlap(Rect(0, 0, picture.stored.width, picture.stored.height))
    if part is None:
        part = Rect(0, 0, picture.stored.width, picture.stored.height)
    box = (int(part.left), int(part.top), int(np.ceil(part.right)), int(np.ceil(part.bottom)))
    shrink = max(1, -(-max(box[2] - box[0], box[3] - box[1]) // most_px))
    colours = _pixels(picture.stored.reduce(shrink, box=box) if shrink > 1 else picture.stored.crop(box))
    apart = np.abs(colours.astype(np.int16) - ink.ground).max(axis=2).astype(np.float32)
    shown = np.clip(apart / max(ink.contrast, 1.0), 0, 1)
    shown[apart <= max(4 * ink.noise, 3.0)] = 0
    grey = Image.fromarray((255 * shown).astype(np.uint8))
    turn = _TRANSPOSE.get(picture.orientation)
    upright = grey if turn is None else grey.transpose(Image.Transpose[turn])
    place = Rect(box[0], box[1], grey.width * shrink, grey.height * shrink)
    return np.asarray(upright), picture.stored_to_upright.rect(place)


_TRANSPOSE = {
    2: "FLIP_LEFT_RIGHT",
    3: "ROTATE_180",
    4: "FLIP_TOP_BOTTOM",
    5: "TRANSPOSE",
    6: "ROTATE_270",
    7: "TRANSVERSE",
    8: "ROTATE_90",
}


def outside_share(picture: Picture, placed: Placed) -> float:
    """The share of the outline that lies outside the part looked at."""
    left, top, right, bottom = picture.within
    points: Any = placed.boundary(120).points_px
    out = (points[:, 0] < left) | (points[:, 1] < top) | (points[:, 0] > right) | (points[:, 1] > bottom)
    return float(np.mean(out))
