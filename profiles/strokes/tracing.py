"""Finds and fits the outline in a picture of a trace, and refuses what cannot be an answer."""

from __future__ import annotations

import os
from contextlib import suppress
from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING

import numpy as np

from mapper.affine import Affine
from mapper.phrases import Phrase, any_of, phrase, phrase_count
from mapper.problems import Problem, RequestError
from mapper.rect import Rect
from mapper.tracing.ellipse_fit import MOST_STRETCH
from mapper.tracing.likeness import likeness, other_likeness
from mapper.tracing.measure import TRACE_AGAIN, Trace, find_trace, measure_trace
from mapper.tracing.outline import KnownOutline, Placed
from mapper.tracing.outline_fit import settle
from profiles.strokes.canvas import Candidate, candidates, has_plain_ground
from profiles.strokes.ink import (
    Ink,
    Picture,
    close_look,
    crossings,
    is_filled,
    open_picture,
    outside_share,
    views,
)

if TYPE_CHECKING:
    from mapper.paths import Outline
    from mapper.tracing.outline import Array

_STEEP = phrase(
    "Such a narrow oval comes from a picture that is turned, or that covers several displays: set "
    "the rotation and the display in the tablet's settings, then trace again"
)
# Below this share of the way round found, a gap is no gap any more.
LEAST_COVERED = 0.6
# Distances from the outline, root mean square, as a share of its size: a hand errs by a few
# thousandths along a coin's edge and by a hundredth freehand; a square taken for a circle is off by
# five hundredths.
MOST_OFF = 0.03
# Where the ground of a photo was levelled, or faint and broken ink was let in among the parts of a
# window, what strays more is more likely a part of them.
_MOST_OFF_DOUBTFUL = 0.015
LEAST_SIZE_PX = 40.0
# A line this near to what it is said to be needs no second thought.
_SURE_OFF = 0.012
_SURE_OFF_OTHER = 0.02
# Of all that is drawn, the outline has at least this share.
_LEAST_ON_IT = 0.4
_LEAST_IN_A_WINDOW = 0.6
# The finest and the coarsest of screens and tablets, with room to spare, and a canvas enlarged as
# far as programs do.
LEAST_PX_PER_MM, MOST_PX_PER_MM = 0.1, 1000.0
# The form of a line shows in as many points as this.
_MOST_JUDGED = 600
# Rings thicker than this share of their size are icons.
_THICKEST = 0.1
# A hand's line strays by more than this, root mean square. Reading a machine's errs by less.
_LEAST_WOBBLE_PX = 0.08
_SECTORS = 48
# A small copy is at most so large, and has the same proportions within so much.
_COPY = 0.5
_COPIED = 0.04
#: So many points are measured at most: three times round an outline at the usual distance.
MOST_MEASURED = 4000
# Candidates beyond these are panels and words.
_MOST_TRIED = 14


class _OtherOutline(RequestError):
    """The line is an outline, but not of the kind that was asked for."""


@dataclass(frozen=True, slots=True)
class Traced:
    """A trace with where it was found.

    ``points_px`` (n, 2) are its points in upright px of the picture. ``picture_to_desktop`` maps
    those to desktop px, in which the trace is measured. ``ink`` is the ink of the coarse look.
    ``canvas_px`` (upright px) is the part of the picture that the trace lies on, None for all of
    it.
    """

    name: str
    trace: Trace
    points_px: Array
    picture: Picture | None
    picture_to_desktop: Affine
    ink: Ink | None = None
    canvas_px: Rect | None = None


@dataclass(frozen=True, slots=True)
class _Proved:
    """A candidate that proved to be an outline of the kind asked for.

    ``by_hand``: it wobbles as hands do.
    """

    candidate: Candidate
    traced: Traced
    placed: Placed
    by_hand: bool


def trace_picture(
    path: str, outline: KnownOutline, picture_to_desktop: Affine, *, crop_px: Rect | None = None
) -> Traced:
    """The trace of ``outline`` in the picture at ``path``, a canvas alone or a whole screenshot.

    ``crop_px`` is the part to look at, in upright px. Raises RequestError where the picture cannot
    be read or has no answer, saying what to draw instead.
    """
    picture = open_picture(path, crop_px)
    name = os.path.basename(path)  # noqa: PTH119
    first: RequestError | None = None
    for view in views(picture):
        try:
            most_off = MOST_OFF if view is picture else _MOST_OFF_DOUBTFUL
            return _trace_in(view, name, outline, picture_to_desktop, most_off=most_off)
        except _Ambiguous:
            raise
        except RequestError as error:
            # What is said of the picture as it is helps more than what is said of a view of it.
            first = first or error
            # On a plain ground the other views show nothing new, and they take long.
            if view is picture and has_plain_ground(picture):
                break
    assert first is not None
    raise first


class _Ambiguous(RequestError):
    """There are several outlines, and nobody but the hand knows which."""


def _trace_in(
    picture: Picture,
    name: str,
    outline: KnownOutline,
    picture_to_desktop: Affine,
    *,
    most_off: float,
) -> Traced:
    """The trace in one view of a picture, which strays by ``most_off`` of its size at most.

    Raises RequestError where there is none.
    """
    found: list[_Proved] = []
    refused: list[tuple[Candidate, RequestError]] = []
    for candidate in islice(candidates(picture), _MOST_TRIED):
        # A machine's frame may stand before the trace: only a possible answer ends the search.
        first = next((each for each in found if each.by_hand or each.candidate.may_be_even), None)
        if first and _is_later(candidate, first):
            break
        doubtful = not candidate.alone and (candidate.every or candidate.level > 0)
        off = min(most_off, _MOST_OFF_DOUBTFUL) if doubtful else most_off
        try:
            proved = _measured_candidate(
                picture, candidate, name, outline, picture_to_desktop, most_off=off
            )
            found.append(proved)
        except RequestError as error:
            refused.append((candidate, error))
    # A machine's line counts only where there is nothing else, as in a picture made for a trial.
    likely = [each for each in found if each.by_hand] or [
        each for each in found if each.candidate.may_be_even
    ]
    apart = [
        each
        for index, each in enumerate(likely)
        if all(_are_two_things(each, other) for other in likely[:index])
    ]
    apart = [each for each in apart if not any(_is_small_copy(each, other) for other in apart)]
    if len(apart) > 1:
        came = phrase("{count} that could be it", count=len(apart))
        crops = any_of([_crop_option(picture, each.placed) for each in apart[:3]])
        must = _must_show_one(outline)
        raise _Ambiguous(Problem(name, must, came, phrase("Choose one: {crops}", crops=crops)))
    if apart:
        return apart[0].traced
    if found:
        instead = phrase(
            "{instead}; or choose the canvas: {crop_option}",
            instead=phrase("Trace by hand, on an empty canvas"),
            crop_option=_crop_option(picture, found[0].placed),
        )
        raise RequestError(
            Problem(
                name,
                phrase("must show a line drawn by hand"),
                phrase("only frames and shapes too even for one"),
                instead,
            )
        )
    raise _clearest(picture, refused)


def _clearest(picture: Picture, refused: list[tuple[Candidate, RequestError]]) -> RequestError:
    """The most helpful of the reasons why nothing in a picture was a trace.

    In a screenshot it also names the crop to try.
    """
    candidate, error = min(
        refused, key=lambda each: (not isinstance(each[1], _OtherOutline), each[0].every)
    )
    if candidate.alone:
        return error
    # The whole picture is no crop that helps.
    parts = [each.canvas for each, _ in refused if not _is_whole_picture(picture, each)]
    first, *more = error.problems
    instead = phrase(
        "{instead}; or choose the canvas with --crop left,top,WIDTHxHEIGHTpx",
        instead=first.instead,
    )
    if parts:
        largest = max(parts, key=lambda part: part.width * part.height)
        instead = phrase(
            "{instead}; or choose the canvas, for example {crop}",
            instead=first.instead,
            crop=_crop_text(picture.stored_to_upright.rect(largest)),
        )
    return RequestError(
        Problem(
            first.where,
            first.must,
            first.came,
            instead,
        ),
        *more,
    )


def _is_whole_picture(picture: Picture, candidate: Candidate) -> bool:
    """Whether the canvas of a candidate is all of the picture that is looked at."""
    left, top, right, bottom = picture.within
    return candidate.canvas == Rect(left, top, right - left, bottom - top)


def _crop_option(picture: Picture, placed: Placed) -> str:
    """The option that crops the picture to an outline."""
    points = picture.stored_to_upright.points(placed.boundary(96).points_px)
    room = 0.1 * float(np.max(np.ptp(points, axis=0)))
    low, high = points.min(axis=0) - room, points.max(axis=0) + room
    return _crop_text(
        Rect(float(low[0]), float(low[1]), float(high[0] - low[0]), float(high[1] - low[1]))
    )


def _crop_text(rect: Rect) -> str:
    left, top = max(rect.left, 0), max(rect.top, 0)
    return phrase(
        "--crop {left},{top},{right}x{bottom}px",
        left=f"{left:.0f}",
        top=f"{top:.0f}",
        right=f"{rect.right - left:.0f}",
        bottom=f"{rect.bottom - top:.0f}",
    )


def _are_two_things(one: _Proved, two: _Proved) -> bool:
    """Whether two outlines are two things, and not one that was traced twice."""
    size = one.placed.size_px
    off = float(np.hypot(*(one.placed.centre_px - two.placed.centre_px)))
    return off > 0.15 * size or abs(two.placed.size_px / size - 1) > 0.2


def _is_later(candidate: Candidate, first: _Proved) -> bool:
    """Whether ``candidate`` need not be tried, as ``first`` is the answer.

    Of an answer that is small there may be a larger original, broken into several patches.
    """
    if candidate.level > first.candidate.level:
        return True
    extent = float(np.max(np.ptp(candidate.ink.points_px, axis=0)))
    return candidate.every and first.placed.size_px > _COPY * extent


def _is_small_copy(one: _Proved, other: _Proved) -> bool:
    """Whether ``one`` is a navigator's or a thumbnail's small copy of ``other``."""
    if one.placed.size_px > _COPY * other.placed.size_px:
        return False
    sides = [
        np.hypot(*each.placed.matrix) / np.hypot(*each.placed.matrix).sum() for each in (one, other)
    ]
    return bool(np.abs(sides[0] / sides[1] - 1).max() < _COPIED)


def _is_uneven(placed: Placed, points_px: Array, floor_px: float) -> bool:
    """Whether a line strays from its outline as hands do, by more than ``floor_px``.

    What a machine draws is as even on the left as on the right, and above as below, whatever the
    form of its corners; so only what differs from its own mirror images counts.
    """
    distances, feet_mm, _ = placed.feet(points_px)
    half = np.array([placed.outline.width_mm, placed.outline.height_mm]) / 2
    angle = np.arctan2(feet_mm[:, 1] / half[1], feet_mm[:, 0] / half[0])
    sector = ((angle / (2 * np.pi)) % 1.0 * _SECTORS).astype(int) % _SECTORS
    counts = np.bincount(sector, minlength=_SECTORS)
    sums = np.bincount(sector, distances, _SECTORS)
    means = np.where(counts > 0, sums / np.maximum(counts, 1), np.nan)
    turned = np.roll(means, _SECTORS // 2)
    images = np.stack([means, means[::-1], turned, turned[::-1]])
    known = np.isfinite(images).all(axis=0)
    if known.sum() < _SECTORS // 4:
        return bool(np.sqrt(np.mean(distances**2)) > floor_px)
    odd = images[0, known] - images[:, known].mean(axis=0)
    return bool(np.sqrt(np.mean(odd**2)) > floor_px)


def _measured_candidate(
    picture: Picture,
    candidate: Candidate,
    name: str,
    outline: KnownOutline,
    picture_to_desktop: Affine,
    *,
    most_off: float,
) -> _Proved:
    """``candidate`` measured. Raises RequestError if it is no outline of the kind asked for."""
    ink = candidate.ink
    extent = float(np.max(np.ptp(ink.points_px, axis=0))) + ink.spot_px
    # FoundBand upright, so that the long side of a card is the one that lies flat.
    upright = picture.stored_to_upright
    near = max(1.5 * ink.spot_px, 0.01 * extent)
    least = _LEAST_ON_IT if candidate.alone else _LEAST_IN_A_WINDOW
    start = _mapped(
        _rough_place(name, upright.points(ink.points_px), outline, near, least), ~upright
    )
    size = start.size_px
    reach = 0.09 * size + 2 * ink.spot_px
    close = close_look(picture, ink, start)
    if is_filled(close, start):
        raise RequestError(
            Problem(
                name,
                phrase("the outline must be empty inside"),
                phrase("a filled shape"),
                TRACE_AGAIN,
            )
        )
    points = np.zeros((0, 2))
    stroke = 0.0
    # Twice: from a better place the lines across the stroke are shorter and squarer to it.
    for narrower, rays, step in ((1.0, 180, 1.0), (0.6, 360, 0.5)):
        found = crossings(close, start, max(reach * narrower, 2.5 * stroke), rays, step)
        points, stroke = found.points_px, found.stroke_px
        if len(set(found.rays.tolist())) < 0.35 * found.asked:
            must = _must_show_all(outline)
            raise RequestError(
                Problem(
                    name, must, phrase("a part of it, or another shape"), _say_how_else(outline)
                )
            )
        start = settle(points, start, "free", floor_px=0.25 * close.shrink)
    if stroke > _THICKEST * size and not candidate.alone:
        must, came = (
            phrase("must show a thin line"),
            phrase("one {stroke} px thick", stroke=f"{stroke:.0f}"),
        )
        raise RequestError(Problem(name, must, came, TRACE_AGAIN))
    if outside_share(picture, start) > 0.02:
        raise RequestError(
            Problem(
                name,
                phrase("must show the whole outline"),
                phrase("one that leaves the picture"),
                TRACE_AGAIN,
            )
        )
    to_desktop = picture_to_desktop @ upright
    mapped = to_desktop.points(points)
    trace = measure_trace(mapped, _mapped(start, to_desktop))
    _refuse_unlikely(name, trace, picture_scale=_scale(picture_to_desktop), most_off=most_off)
    canvas = (
        None
        if candidate.alone or _is_whole_picture(picture, candidate)
        else upright.rect(candidate.canvas)
    )
    traced = Traced(name, trace, upright.points(points), picture, picture_to_desktop, ink, canvas)
    followed = points[trace.free.inliers]
    by_hand = _is_uneven(start, followed, _LEAST_WOBBLE_PX * close.shrink)
    return _Proved(candidate, traced, start, by_hand)


def trace_points(
    name: str,
    strokes: list[Array],
    outline: KnownOutline,
    picture_to_desktop: Affine,
    crop_px: Rect | None = None,
) -> Traced:
    """The trace of ``outline`` among recorded strokes, each an array (n, 2) in upright px.

    Raises RequestError as ``trace_picture`` does.
    """
    points = _evenly_spaced(strokes, outline)
    if crop_px is not None:
        low, high = (crop_px.left, crop_px.top), (crop_px.right, crop_px.bottom)
        points = points[((points >= low) & (points <= high)).all(axis=1)]
    if len(points) < 12:
        raise RequestError(
            Problem(
                name,
                phrase("must hold a traced outline"),
                phrase_count("{count} point", "{count} points", len(points)),
                TRACE_AGAIN,
            )
        )
    mapped = picture_to_desktop.points(points)
    extent = float(np.max(np.ptp(mapped, axis=0)))
    start = _rough_place(name, mapped, outline, 0.01 * extent)
    trace = measure_trace(mapped, start)
    _refuse_unlikely(name, trace, picture_scale=1.0)
    return Traced(name, trace, points, None, picture_to_desktop)


def _must_look(outline: KnownOutline) -> Phrase:
    return phrase("must look like a circle" if outline.is_circle else "must look like a rectangle")


def _must_show_one(outline: KnownOutline) -> Phrase:
    return phrase(
        "must show one outline of a circle"
        if outline.is_circle
        else "must show one outline of a rectangle"
    )


def _must_show_all(outline: KnownOutline) -> Phrase:
    return phrase(
        "must show the whole outline of a circle"
        if outline.is_circle
        else "must show the whole outline of a rectangle"
    )


#: What a line looks like, by the shape's name.
_LOOKS_LIKE = {
    "circle": phrase("what looks like a circle"),
    "square": phrase("what looks like a square"),
    "rectangle": phrase("what looks like a rectangle"),
}


def _say_how_else(outline: KnownOutline) -> str:
    """What to do where the outline is not of the kind that was typed."""
    return phrase(
        "If it is a rectangle or something else, say so with --of; else trace all of it again, "
        "slowly, along the object's edge"
        if outline.is_circle
        else "If it is a circle or something else, say so with --of; else trace all of it again, "
        "slowly, along the object's edge"
    )


def _refuse_unlikely(
    name: str, trace: Trace, *, picture_scale: float, most_off: float = MOST_OFF
) -> None:
    """Raise RequestError for a trace that no map makes, that is too small, too odd or too short."""
    fit = trace.free
    size = trace.straight.placed.size_px
    finest, coarsest = np.linalg.svd(fit.placed.matrix, compute_uv=False)
    if not (
        coarsest >= LEAST_PX_PER_MM
        and finest <= MOST_PX_PER_MM
        and finest < MOST_STRETCH * coarsest
    ):
        must = phrase(
            "must be what a map can do: {least_px_per} to {most_px_per} px for 1 mm, "
            "stretched {most_stretch} times at most",
            least_px_per=f"{LEAST_PX_PER_MM:g}",
            most_px_per=f"{MOST_PX_PER_MM:g}",
            most_stretch=f"{MOST_STRETCH:g}",
        )
        raise RequestError(
            Problem(
                name,
                must,
                phrase(
                    "{coarsest} to {finest} px for 1 mm",
                    coarsest=f"{coarsest:.3g}",
                    finest=f"{finest:.3g}",
                ),
                _STEEP if finest >= MOST_STRETCH * coarsest else TRACE_AGAIN,
            )
        )
    if not np.isfinite(size) or size < LEAST_SIZE_PX * picture_scale:
        must = phrase(
            "the outline must be at least {least_size} px large", least_size=f"{LEAST_SIZE_PX:g}"
        )
        raise RequestError(
            Problem(
                name,
                must,
                phrase("{size} px", size=f"{size / picture_scale:.0f}"),
                phrase("Trace a larger object, at 100 %"),
            )
        )
    off = fit.spread_px / size
    if off > most_off or float(np.mean(fit.inliers)) < 0.4:
        must = _must_look(trace.outline)
        instead = _say_how_else(trace.outline)
        raise RequestError(
            Problem(
                name,
                must,
                phrase(
                    "a line that strays from one by {off} % of its size", off=f"{100 * off:.1f}"
                ),
                instead,
            )
        )
    if fit.covered < LEAST_COVERED:
        must = phrase(
            "must show at least {least_covered} % of the outline",
            least_covered=f"{100 * LEAST_COVERED:.0f}",
        )
        raise RequestError(Problem(name, must, f"{100 * fit.covered:.0f} %", TRACE_AGAIN))


def _scale(affine: Affine) -> float:
    """The factor by which ``affine`` scales lengths, on average over directions."""
    return float(abs(affine.determinant) ** 0.5)


def _mapped(placed: Placed, affine: Affine) -> Placed:
    """``placed`` as ``affine`` maps it."""
    linear = np.array([[affine.a, affine.b], [affine.d, affine.e]])
    matrix = linear @ placed.matrix
    if np.linalg.det(matrix) < 0:
        # A mirrored file: outlines look the same mirrored, maps do not.
        matrix = matrix * np.array([1.0, -1.0])
    return Placed(
        placed.outline, matrix, np.array(affine.point(*(float(c) for c in placed.centre_px)))
    )


def _rough_place(
    name: str, points: Array, outline: KnownOutline, near_px: float, least: float = _LEAST_ON_IT
) -> Placed:
    """Roughly where the outline lies among points, with the share ``least`` of them near it.

    Raises RequestError if they look like something else.
    """
    points = points[:: max(1, len(points) // _MOST_JUDGED)]
    placed = None
    with suppress(RequestError):
        placed = settle(
            points, find_trace(points, outline, near_px=near_px), "free", floor_px=near_px / 4
        )
        # Of points all over the place a fit may run away.
        if not 0.1 < placed.size_px / float(np.max(np.ptp(points, axis=0))) < 1.5:
            placed = None
    own = None if placed is None else likeness(points, placed)
    if own is not None and own.off < _SURE_OFF and own.on_it > 0.9:
        return own.placed
    other = other_likeness(points, outline, near_px)
    fits = (
        other is not None and other.off < _SURE_OFF_OTHER and min(other.on_it, other.covered) > 0.8
    )
    if other is not None and fits and (own is None or other.off < 0.6 * own.off):
        must, came = (
            _must_look(outline),
            _LOOKS_LIKE[other.name],
        )
        raise _OtherOutline(Problem(name, must, came, _say_which(outline, other.name)))
    if own is None:
        raise RequestError(
            Problem(
                name,
                _must_show_all(outline),
                phrase("no circle") if outline.is_circle else phrase("no rectangle"),
                TRACE_AGAIN,
            )
        )
    if own.on_it < least:
        came = phrase(
            "a drawing of which {on_it} % could be its outline", on_it=f"{100 * own.on_it:.0f}"
        )
        raise RequestError(
            Problem(
                name,
                _must_show_one(outline),
                came,
                TRACE_AGAIN,
            )
        )
    return own.placed


def _say_which(outline: KnownOutline, name: str) -> str:
    """What to do where the line looks like the shape called ``name``."""
    size = f"{outline.width_mm:g}mm"
    return {
        "circle": phrase(
            'Was it a circle? Then say so: --of "coin 23.25mm" with its diameter; else trace the '
            "object again"
        ),
        "square": phrase(
            'Was it a square? Then say so: --of "square {size}"; else trace the object again',
            size=size if outline.is_circle else "50mm",
        ),
        "rectangle": phrase(
            'Was it a rectangle? Then say so: --of card, or --of "rectangle 80x50mm" with its '
            "sides; else trace the object again"
        ),
    }[name]


def flattened(path: Outline) -> Array:
    """The points (n, 2) of a path, with 32 steps for each curve."""
    points: list[tuple[float, float]] = []
    start: tuple[float, float] | None = None
    for name, *numbers in path.commands:
        if name == "C" and points:
            p0, p1, p2, p3 = (
                np.array(p) for p in (points[-1], numbers[:2], numbers[2:4], numbers[4:])
            )
            t = np.linspace(0, 1, 33)[1:, None]
            curve = (
                (1 - t) ** 3 * p0 + 3 * (1 - t) ** 2 * t * p1 + 3 * (1 - t) * t**2 * p2 + t**3 * p3
            )
            points += [(float(x), float(y)) for x, y in curve]
        elif name == "Z" and start is not None:
            points.append(start)
        elif numbers:
            points.append((float(numbers[-2]), float(numbers[-1])))
            start = points[-1] if name == "M" else start
    return np.array(points, dtype=float).reshape(-1, 2)


def _evenly_spaced(strokes: list[Array], outline: KnownOutline) -> Array:
    """Points (n, 2) at equal distances along the strokes that are dense enough to be curves.

    Others stay as they are. A hand that slows down leaves more points there, which must not count
    for more. Of very long strokes, or very many, MOST_MEASURED points are taken.
    """
    strokes = [np.asarray(stroke, dtype=float) for stroke in strokes if len(stroke)]
    if not strokes:
        return np.zeros((0, 2))
    every = np.concatenate(strokes)
    extent = float(np.max(np.ptp(every, axis=0)))
    lengths = [
        np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(stroke, axis=0).T))])
        for stroke in strokes
    ]
    step = max(extent / 300, sum(float(length[-1]) for length in lengths) / MOST_MEASURED)
    even = []
    for stroke, length in zip(strokes, lengths, strict=True):
        # Chords between few points cut a circle's corners; a straight side they may follow.
        coarse = (
            outline.is_circle and len(stroke) > 1 and float(np.max(np.diff(length))) > 0.06 * extent
        )
        if len(stroke) < 2 or coarse or length[-1] == 0:
            even.append(stroke)
            continue
        at = np.linspace(0.0, length[-1], max(2, round(length[-1] / step) + 1))
        even.append(np.stack([np.interp(at, length, stroke[:, axis]) for axis in (0, 1)], axis=1))
    points = np.concatenate(even)
    return points[:: -(-len(points) // MOST_MEASURED)]
