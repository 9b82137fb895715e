"""Finds the canvas in a picture, and the ink on it that may be a traced outline.

A screenshot shows more than a canvas: bars, panels, words, icons, other windows. A canvas is an
area of one plain colour (or of the two of a checkerboard). A traced outline is a patch of another
colour, enclosed by that area, that runs round an empty middle. Panels and words are no such
patches. A frame is one, but too straight to have been drawn by hand, which only a close look can
show (profiles.strokes.tracing).

Strong ink is tried before faint, so a sketch beneath stays out. A line that strays from its outline
by less than 0.08 px is a machine's and counts only on an otherwise empty picture. Two outlines that
both could be the traced one are refused, with a crop for each. ``python -m
tests.studies.trace_windows`` counts how many invented screenshots are measured right.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.rect import Rect
from profiles.strokes.ink import DRAW_INSTEAD, Ink, Picture, off_ground, pixels, widened

if TYPE_CHECKING:
    from collections.abc import Iterator

    from PIL import Image

    from mapper.tracing.outline import Array

_COARSE_PX = 960
# Colours that cover less than this share of a picture are no canvas.
_LEAST_SHARE = 0.02
_MOST_GROUNDS = 8
# A plain colour that covers so much of a picture is what the line was drawn on.
_GOOD_PART = 0.2
_LEAST_CONTRAST = 14
# Ink is what differs from the ground by this share of the strongest ink there: a dark trace alone
# first, then also what is as faint as a sketch beneath; at last a dark trace, and then one that is
# thin in parts, on a ground that is ruled with a grid and guides.
_STRONG = 0.5
_FAINTEST_RULED = 40.0
# From this share of it on, faint ink beside the strong is a sketch.
_FAINT = 0.1
# Patches smaller than this are words and specks, as are those below a share of the area's own size.
_LEAST_PX = 24.0
_LEAST_OF_CANVAS = 0.06
# The smallest outlines of all, when no larger one is found: px, and spots of the coarse look.
_SMALLEST_PX = 40.0
_FEWEST_SPOTS = 10.0
_SECTORS = 48
# Of the picture's border, what a line that is held there covers.
_ON_THE_EDGE = 0.3
_MOST_PATCHES = 5


class _Stage(NamedTuple):
    """What counts as ink: see the constants above.

    ``ruled``: what is faint, or a straight thin line, counts as ground. ``open_edge``: ink that
    touches the picture's border lies on the canvas, and outlines may be small.
    """

    shares: tuple[float, ...]
    ruled: bool = False
    open_edge: bool = False


_STAGES = (
    _Stage((_STRONG, 0.2)),
    _Stage((_STRONG, 0.3), ruled=True),
    _Stage((_STRONG,), open_edge=True),
    _Stage((_STRONG,), ruled=True, open_edge=True),
)


@dataclass(frozen=True, slots=True)
class Candidate:
    """Ink that may be a trace, and the ``canvas`` (stored px) that it lies on.

    ``alone``: the canvas is the whole picture and holds no other ink of any size. ``level`` numbers
    how faint ink was let in. ``every``: it is all ink of the canvas, not one connected patch.
    ``open_edge``: it was sought along the picture's border too, and among small outlines.
    """

    ink: Ink
    canvas: Rect
    alone: bool
    level: int
    every: bool
    open_edge: bool = False

    @property
    def may_be_even(self) -> bool:
        """Whether even a machine's line is taken: on an otherwise empty picture, all inside it."""
        return self.alone and not self.open_edge and not self.ink.over_faint


class _Patches(NamedTuple):
    """The connected patches of a mask.

    ``labels`` (rows, columns) number them from 1 on, 0 outside. ``boxes`` (k, 4) are left, top,
    right, bottom in spots, ``sizes`` (k,) the numbers of spots.
    """

    labels: Array
    boxes: Array
    sizes: Array


def patches(mask: Array, *, corners: bool) -> _Patches:
    """The connected patches of ``mask`` (rows, columns); with ``corners`` diagonal neighbours join.

    Runs of each row are joined with those they touch in the next, all at once, each taking the
    smallest number among its neighbours until nothing changes.
    """
    rows, columns = mask.shape
    # A free column keeps the last run of a row from touching the first of the next.
    wide = columns + 2
    flat = np.zeros((rows + 1, wide), np.int8)
    flat[:rows, 1:-1] = mask
    edges = np.diff(flat.ravel())
    starts, ends = np.flatnonzero(edges == 1) + 1, np.flatnonzero(edges == -1) + 1
    count = len(starts)
    reach = 1 if corners else 0
    first = np.searchsorted(ends, starts + wide - reach, "right")
    last = np.searchsorted(starts, ends + wide + reach, "left")
    touching = np.maximum(last - first, 0)
    upper = np.repeat(np.arange(count), touching)
    lower = (
        np.arange(len(upper))
        - np.repeat(np.cumsum(touching) - touching, touching)
        + np.repeat(first, touching)
    )
    number = np.arange(count)
    while len(upper):
        least = np.minimum(number[upper], number[lower])
        before = number.copy()
        np.minimum.at(number, number[upper], least)
        np.minimum.at(number, number[lower], least)
        number = number[number]
        if np.array_equal(before, number):
            break
    _, number = np.unique(number, return_inverse=True)
    kinds = int(number.max()) + 1 if count else 0
    lengths = ends - starts
    labels = np.zeros((rows + 1) * wide, np.int32)
    at = np.repeat(starts - np.concatenate([[0], np.cumsum(lengths)[:-1]]), lengths) + np.arange(
        int(lengths.sum())
    )
    labels[at] = np.repeat(number + 1, lengths)
    boxes = np.empty((kinds, 4), int)
    boxes[:, :2], boxes[:, 2:] = max(rows, columns), 0
    row, left, right = starts // wide, starts % wide - 1, ends - starts + starts % wide - 1
    np.minimum.at(boxes[:, 0], number, left)
    np.minimum.at(boxes[:, 1], number, row)
    np.maximum.at(boxes[:, 2], number, right)
    np.maximum.at(boxes[:, 3], number, row + 1)
    sizes = np.bincount(number, lengths, kinds).astype(int)
    return _Patches(labels.reshape(rows + 1, wide)[:rows, 1:-1], boxes, sizes)


def filled(mask: Array) -> Array:
    """``mask`` (rows, columns) with its holes filled: all that its border cannot reach."""
    around = np.pad(~mask, 1, constant_values=True)
    labels = patches(around, corners=True).labels
    inside: Array = labels != labels[0, 0]
    return inside[1:-1, 1:-1]


def candidates(picture: Picture) -> Iterator[Candidate]:
    """Ink that may be a trace, the likeliest first.

    Strong ink comes before faint, large canvases before small, patches before all ink, and at last
    small outlines and ink that touches the border. Raises RequestError for a picture without a
    plain ground and for one with no ink on it.
    """
    spot, small, sampled = _shrunk(picture)
    inked = False
    level = -1
    plain: list[_Canvas] = []
    for stage in _STAGES:
        canvases = _canvases(small, sampled, stage)
        plain = plain or canvases
        if stage.open_edge and not inked:
            _refuse_held_at_edge(picture, small, plain)
        for share in stage.shares:
            level += 1
            looks = [
                (canvas, _CanvasInk.of(canvas, share, spot, stage))
                for canvas in canvases
                if canvas.strongest >= _LEAST_CONTRAST
            ]
            for every in (False,) if stage.ruled else (False, True):
                for canvas, look in looks:
                    for points in look.all_ink() if every else look.outlines():
                        inked = True
                        over_faint = stage.ruled or (level == 0 and canvas.faint)
                        ink, box = _placed_ink(picture, canvas, points, spot, over_faint=over_faint)
                        yield Candidate(ink, box, look.alone, level, every, stage.open_edge)
    if not inked:
        raise _nothing_there(picture, small, plain)


def has_plain_ground(picture: Picture) -> bool:
    """Whether a good part of the picture is of one plain colour, or of a checkerboard's two."""
    _, small, sampled = _shrunk(picture)
    least = _GOOD_PART * small.width * small.height
    return any(canvas.area > least for canvas in _canvases(small, sampled, _STAGES[0]))


def _shrunk(picture: Picture) -> tuple[int, Image.Image, Image.Image]:
    """How many px a spot has, and the picture shrunk by means and by single pixels."""
    left, top, right, bottom = picture.within
    spot = max(1, -(-max(right - left, bottom - top) // _COARSE_PX))
    part = (
        picture.stored.crop(picture.within)
        if picture.within != (0, 0, *picture.stored.size)
        else picture.stored
    )
    small = part.reduce(spot) if spot > 1 else part
    return spot, small, part.resize(small.size, 0) if spot > 1 else small


def _refuse_held_at_edge(picture: Picture, small: Image.Image, canvases: list[_Canvas]) -> None:
    """Raise RequestError for a line along the picture's border, where a pen is held."""
    if not canvases:
        return
    edge = np.asarray(off_ground(small, canvases[0].ground)) > canvases[0].quiet
    ring = np.concatenate([edge[0], edge[-1], edge[:, 0], edge[:, -1]])
    if canvases[0].area > 0.8 * edge.size and float(ring.mean()) > _ON_THE_EDGE:
        raise edge_error(os.path.basename(picture.name), float(ring.mean()))  # noqa: PTH119


def _nothing_there(picture: Picture, small: Image.Image, canvases: list[_Canvas]) -> RequestError:
    """The error for a picture without any ink that may be a trace."""
    name = os.path.basename(picture.name)  # noqa: PTH119
    if not canvases:
        colours = pixels(small)
        most = max(
            (
                float((np.abs(colours - colour).max(axis=2) <= 8).mean())
                for colour in _commonest(colours)
            ),
            default=0.0,
        )
        instead = phrase(
            "Choose the empty canvas with --crop left,top,WIDTHxHEIGHT, or save the canvas alone"
        )
        return RequestError(
            Problem(
                name,
                phrase("the background must be plain"),
                phrase("{most} % of one colour", most=f"{100 * most:.0f}"),
                instead,
            )
        )
    empty = len(canvases) == 1 and canvases[0].whole and canvases[0].strongest < _LEAST_CONTRAST
    came = (
        phrase("an empty picture")
        if empty
        else phrase("none that goes around an empty middle and stays inside the canvas")
    )
    must = phrase("must show the whole outline of a traced object")
    return RequestError(Problem(name, must, came, DRAW_INSTEAD))


def _placed_ink(
    picture: Picture, canvas: _Canvas, points: Array, spot: int, *, over_faint: bool
) -> tuple[Ink, Rect]:
    """The ink at ``points`` (n, 2), and its canvas, both in stored px.

    The points are in spots, from the top left of the canvas; a spot has ``spot`` px a side.
    """
    left, top, right, bottom = picture.within
    x0, y0, x1, y1 = (int(edge) for edge in canvas.box * spot + (left, top, left, top))
    box = Rect(x0, y0, min(x1, right) - x0, min(y1, bottom) - y0)
    placed = (points + canvas.box[:2]) * spot + (left, top)
    ink = Ink(placed, spot, canvas.ground, canvas.strongest, canvas.quiet, over_faint)
    return ink, box


def edge_error(name: str, share: float) -> RequestError:
    """The error for a line of which this ``share`` runs along the edge of the screen."""
    must = phrase("the line must stay inside the screen")
    came = phrase("one along the edge of the screen ({share} % of it)", share=f"{100 * share:.0f}")
    instead = phrase(
        "The area is far smaller than the object, so the pen stops there: look in the tablet's "
        "settings whether inches were typed as mm; if the area is right, trace a smaller object"
    )
    return RequestError(Problem(name, must, came, instead))


@dataclass(frozen=True, slots=True)
class _Canvas:
    """A plain area of a picture.

    ``ground`` (2, channels) is its colour and ``box`` (4,) its place in spots. ``apart`` is how far
    off the ground each spot in it is, 0 outside the area; ``strongest`` is the strongest ink; what
    is at most ``quiet`` off is ground. ``area`` is in spots. ``whole``: it is the whole picture.
    ``faint``: there is faint ink beside the strong.
    """

    ground: Array
    box: Array
    apart: Array
    strongest: float
    quiet: float
    area: int
    whole: bool
    faint: bool


def _canvases(small: Image.Image, sampled: Image.Image, stage: _Stage) -> list[_Canvas]:
    """The plain areas of a picture, the largest first.

    The picture comes shrunk by means (``small``) and by single pixels (``sampled``), as a
    checkerboard is only seen in those.
    """
    total = small.width * small.height
    found: list[_Canvas] = []
    for ground in _grounds(pixels(small), pixels(sampled)):
        apart = np.array(off_ground(small, ground), dtype=np.float32)
        quiet = max(8.0, 6 * _noise(apart))
        if stage.ruled:
            quiet = max(_FAINTEST_RULED, quiet)
            for across in (apart, apart.T):
                _erase_rules(across, quiet)
        plain = apart <= quiet
        areas = patches(plain, corners=False)
        for index in np.argsort(-areas.sizes)[:6]:
            box = areas.boxes[index]
            if (
                areas.sizes[index] < _LEAST_SHARE * total
                or min(box[2] - box[0], box[3] - box[1]) < _LEAST_PX
            ):
                continue
            x0, y0, x1, y1 = box
            inside = areas.labels[y0:y1, x0:x1] == index + 1
            inside = _with_edge(inside, box, plain.shape) if stage.open_edge else filled(inside)
            here = np.where(inside, apart[y0:y1, x0:x1], 0.0)
            ink = here[here > quiet]
            strongest = float(np.percentile(ink, 95)) if ink.size else 0.0
            area = int(inside.sum())
            if strongest >= _LEAST_CONTRAST or area > 0.5 * total:
                # The edges of strong ink are faint too, but no ink beside it.
                beside = (here > quiet) & ~widened(here > _STRONG * strongest, 1)
                faint = bool(ink.size) and float(beside.sum()) > _FAINT * ink.size
                found.append(
                    _Canvas(ground, box, here, strongest, quiet, area, area > 0.97 * total, faint)
                )
    return sorted(found, key=lambda canvas: -canvas.area)


def _with_edge(mask: Array, box: Array, shape: tuple[int, ...]) -> Array:
    """``mask``, at ``box``, with its holes filled, and with what it encloses along the border."""
    x0, y0, x1, y1 = box
    around = ((int(y0 == 0), int(y1 == shape[0])), (int(x0 == 0), int(x1 == shape[1])))
    held = filled(np.pad(mask, around, constant_values=True))
    (top, _), (left, _) = around
    inside: Array = held[top : top + mask.shape[0], left : left + mask.shape[1]]
    return inside


def _noise(apart: Array) -> float:
    """The spread of the ground's noise, from the differences of neighbours.

    Another plain colour near by adds nothing to it.
    """
    near = apart <= 24
    steps = np.abs(np.diff(apart, axis=1))[near[:, 1:] & near[:, :-1]]
    return 1.4826 * float(np.median(steps)) if steps.size else 0.0


def _erase_rules(apart: Array, quiet: float) -> None:
    """Set straight thin lines of one colour, such as guides, to ground in ``apart``.

    They are sought down its columns.
    """
    ink = apart > quiet
    clear = ~np.pad(ink, ((0, 0), (3, 3)), constant_values=True)
    thin = ink & clear[:, :-6] & clear[:, 6:]
    for column in np.flatnonzero(thin.sum(axis=0) > 0.2 * len(apart)):
        along = apart[thin[:, column], column]
        if float(np.ptp(np.percentile(along, (10, 90)))) < 6:
            apart[thin[:, column], column] = 0.0


def _grounds(colours: Array, sampled: Array) -> list[Array]:
    """The pairs of colours (2, channels) that alternate as in a checkerboard, then the commonest.

    A plain colour is a pair of twice the same.
    """
    plain = _commonest(colours)
    squares = _commonest(sampled)
    checked = [
        np.stack([one, two])
        for index, one in enumerate(squares)
        for two in squares[:index]
        if _do_alternate(sampled, one, two)
    ]
    return checked + [np.stack([one, one]) for one in plain]


def _commonest(colours: Array) -> list[Array]:
    """The commonest colours (channels,): medians within grains of 16 levels."""
    flat = colours.reshape(-1, colours.shape[2])
    # Some tens of thousands of pixels are enough. The stride is odd, so as not to follow a column.
    flat = flat[:: max(1, len(flat) // 60_000) | 1]
    kept: list[tuple[int, Array]] = []
    # Twice, half a grain apart, so that a colour on the border of two grains is not torn.
    for shift in (0, 8):
        key = ((flat.astype(np.int32) + shift) >> 4) @ 17 ** np.arange(
            flat.shape[1], dtype=np.int32
        )
        counts = np.bincount(key)
        often = np.flatnonzero(counts >= _LEAST_SHARE * len(flat))
        often = often[np.argsort(-counts[often])][:_MOST_GROUNDS]
        kept += [(int(counts[place]), np.median(flat[key == place], axis=0)) for place in often]
    kept.sort(key=lambda each: -each[0])
    unlike: list[Array] = []
    for _, colour in kept:
        if all(np.abs(colour - other).max() > 6 for other in unlike):
            unlike.append(colour)
    return unlike[:_MOST_GROUNDS]


def _do_alternate(sampled: Array, one: Array, two: Array) -> bool:
    """Whether two colours lie side by side all over, in both directions, about equally often."""
    if np.abs(one - two).max() > 90:
        return False
    first = np.abs(sampled - one).max(axis=2) <= 6
    second = np.abs(sampled - two).max(axis=2) <= 6
    few, many = sorted((int(first.sum()), int(second.sum())))
    if few < 0.5 * many or few < 0.04 * first.size:
        return False
    across = np.sum(first[:, 1:] & second[:, :-1]) + np.sum(second[:, 1:] & first[:, :-1])
    down = np.sum(first[1:] & second[:-1]) + np.sum(second[1:] & first[:-1])
    return min(int(across), int(down)) > (few + many) / 50


@dataclass(frozen=True, slots=True)
class _CanvasInk:
    """The ink on a canvas: its patches, and those of them that are as large as a trace may be."""

    ink: _Patches
    large: Array
    alone: bool
    whole: bool

    @classmethod
    def of(cls, canvas: _Canvas, share: float, spot: int, stage: _Stage) -> _CanvasInk:
        """The ink that is off the ground by ``share`` of the strongest; a spot has ``spot`` px."""
        ink = patches(canvas.apart > max(share * canvas.strongest, canvas.quiet), corners=True)
        extents = np.minimum(ink.boxes[:, 2] - ink.boxes[:, 0], ink.boxes[:, 3] - ink.boxes[:, 1])
        least = max(_LEAST_PX, _LEAST_OF_CANVAS * min(canvas.apart.shape))
        if stage.open_edge:
            least = min(least, max(_SMALLEST_PX / spot, _FEWEST_SPOTS))
        large = np.flatnonzero(extents >= least)
        large = large[np.argsort(-extents[large])]
        return cls(ink, large, canvas.whole and len(large) <= 1, canvas.whole)

    def outlines(self) -> Iterator[Array]:
        """The points (n, 2), in spots, of each patch that runs round an empty middle."""
        for index in self.large[:_MOST_PATCHES]:
            points = _points(self.ink, index)
            if _runs_round(points):
                yield points

    def all_ink(self) -> Iterator[Array]:
        """The points (n, 2), in spots, of all ink that is not solid, once.

        A broken outline is several patches, some of them small.
        """
        small = np.setdiff1d(np.argsort(-self.ink.sizes)[:200], self.large)
        patched = [
            _points(self.ink, index) for index in (*self.large, *small[self.ink.sizes[small] > 2])
        ]
        thin = [points for points in patched if not _is_solid(points)]
        if len(thin) > 1 or (thin and not _runs_round(thin[0])):
            yield np.concatenate(thin)
        elif self.whole and not thin and patched:
            yield patched[0]


def _points(ink: _Patches, index: int) -> Array:
    """The centres (n, 2), in spots, of one patch."""
    left, top, right, bottom = ink.boxes[index]
    rows, columns = np.nonzero(ink.labels[top:bottom, left:right] == index + 1)
    points: Array = np.stack([columns + left + 0.5, rows + top + 0.5], axis=1)
    return points


def _about_middle(points: Array) -> Array:
    """Points (n, 2) from the middle of their box, as shares of its half extents."""
    low, high = points.min(axis=0) - 0.5, points.max(axis=0) + 0.5
    about: Array = (2 * points - low - high) / (high - low)
    return about


def _is_solid(points: Array) -> bool:
    """Whether the middle of a patch is inked all over, as in panels and pictures."""
    middle = np.abs(_about_middle(points)).max(axis=1) < 0.5
    return len(points) > 24 and float(middle.sum()) > 0.1 * float(
        np.prod(np.ptp(points, axis=0) + 1)
    )


def _runs_round(points: Array) -> bool:
    """Whether a patch runs round an empty middle, most of the way."""
    about = _about_middle(points)
    if float(np.mean(np.hypot(*about.T) < 0.5)) > 0.12:
        return False
    sectors = ((np.arctan2(about[:, 1], about[:, 0]) / (2 * np.pi) + 0.5) * _SECTORS).astype(
        int
    ) % _SECTORS
    return len(np.unique(sectors)) >= 0.6 * _SECTORS
