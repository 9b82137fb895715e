"""The map that traces of things of known size show: px per mm, stretch and turn.

Several traces show the whole map, offset included.

Lengths under the hand are mm in the seen frame; positions in the picture are desktop px (a picture
that shows the desktop enlarged or cut is converted before). All intervals hold the true value 95 %
of the time, for wobble of the kinds that mapper.tracing.wobble models; what they do not know of is
a thing that is not the size it is said to be.

A circle or rectangle is an outline of known size seen through an affine map, so one engine fits
both, by orthogonal distances. The start is robust by itself (samples for ellipses, pairs of
parallel lines for rectangles), so strays, gaps and second strokes need no cleaning. A rectangle's
long side is taken to lie across the screen unless ``upright`` is said or, with a profile, lying
upright explains the trace better; half a turn cannot be seen. The pen's middle is taken as on the
thing's edge unless its nib is given.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from mapper.affine import Affine
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.tracing.ellipse_fit import MOST_STRETCH, find_ellipse
from mapper.tracing.measurement import Measurement
from mapper.tracing.outline import Array, KnownOutline, Placed
from mapper.tracing.outline_fit import OutlineFit, fit_outline
from mapper.tracing.rectangle_fit import find_rectangle
from mapper.tracing.wobble import Estimate

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

#: A map that leans by less than this (the cosine between what should be square to each other) is
#: straight for any eye: a lean stretches by about as much as its own size, and people see 1.6 %
#: (mapper.distortion).
LEAST_LEAN = 0.01
# How sure a lean must be to be called one: the straight traces of
# tests/studies/trace_coverage.py that are falsely called so are counted in mapper.tracing.wobble.
_SURE_OF_LEAN = 0.999
#: A map that is turned by less was only laid so, by eye (common practice, no source); beyond that,
#: by more than 99.9 % of chance.
LEAST_TURN_DEG = 1.0
_SURE_OF_TURN = 3.29 / 1.96
# How far off its mark a thing laid by hand lies, as a standard deviation along x and along y.
PLACE_ERROR_MM = 0.5
#: How far a hand keeps to one side of the edge all the way round, mm, as a standard deviation:
#: it makes the thing larger or smaller, and no wobble shows it (common practice, no source).
HAND_SIDE_SD_MM = 0.08
#: How much longer one way and shorter the other a slow wander makes a thing, mm of its size, as a
#: standard deviation: on a circle it looks as an oval does, so no residuals tell of it, and a
#: rectangle's straight sides tell of most of it (set by the hands of tests/studies/trace_kinds.py
#: that were not set aside).
HAND_OVAL_SD_MM, HAND_OBLONG_SD_MM = 0.08, 0.03
# A map lies along the axes within this, degrees, as a standard deviation: a tablet that lies askew.
_LAID_DEG = 5.0
# A way that explains the places worse than the best by this much, in chi squared, is ruled out.
_RULED_OUT = 9.0


class Way(NamedTuple):
    """How a picture lies against the hand: turned clockwise by ``turn_deg``, then mirrored or not.

    ``turn_deg`` is 0, 90, 180 or 270; ``mirrored`` is left to right. Half a turn that is mirrored
    is top to bottom.
    """

    turn_deg: int = 0
    mirrored: bool = False


STRAIGHT = Way()


def off_quarters_deg(turn_deg: float) -> float:
    """How far a turn goes beyond the nearest quarter turn, from -45 to 45 degrees."""
    return (turn_deg + 45) % 90 - 45


@dataclass(frozen=True, slots=True)
class Trace:
    """One traced outline, fitted twice.

    ``straight`` is the fit that only a straight map can make, ``free`` the one without that demand.
    """

    straight: OutlineFit
    free: OutlineFit

    @property
    def outline(self) -> KnownOutline:
        return self.straight.outline

    @property
    def lies_upright(self) -> bool | None:
        """Whether a rectangle's long side runs up the screen; None for circles and squares."""
        if self.outline.width_mm == self.outline.height_mm:
            return None
        return bool(abs(math.cos(float(self.straight.nearest[4]))) < math.sqrt(0.5))

    @property
    def unseen(self) -> Array:
        """Errors of a hand that its wobble does not show, one standard deviation each.

        Rows (2, 2): of a hand that keeps to one side of the edge, and of one that wanders slowly;
        by how much the screen's x and y are larger, in logarithms.
        """
        along = (self.outline.width_mm, self.outline.height_mm)
        sizes_mm = np.array(along[::-1] if self.lies_upright else along)
        longer_mm = HAND_OVAL_SD_MM if self.outline.is_circle else HAND_OBLONG_SD_MM
        longer: Array = np.array([[2 * HAND_SIDE_SD_MM] * 2, [longer_mm, -longer_mm]]) / sizes_mm
        return longer


@dataclass(frozen=True, slots=True)
class MeasuredScales:
    """The linear part of a map, as one trace or several of it show it.

    ============================ =========================================================
    ``x_px_per_mm, y_px_per_mm`` px along the screen's x and y for 1 mm of the hand's
                                 movement that goes there
    ``ratio``                    x_px_per_mm / y_px_per_mm; above 1: wider than tall (on
                                 square pixels)
    ``stretch``                  the longer scale over the shorter, at least 1; px over px
    ``log_covariance``           of ln x_px_per_mm and ln y_px_per_mm: xx, xy, yy
    ``thing_turn_deg``           how far the long side of a rectangle lies turned,
                                 clockwise, in (-90, 90]; None for circles
    ``lean``                     cosine of the angle in the picture between what was
                                 square under the hand; 0 on a straight map
    ``leans``                    whether that is more than chance and more than the eye's
                                 threshold
    ``long_axis_deg``            for a map that leans: direction of its longer scale on
                                 the screen, [0, 180); else None
    ``traces``                   how many traces it rests on
    ============================ =========================================================
    """

    x_px_per_mm: Measurement
    y_px_per_mm: Measurement
    ratio: Measurement
    stretch: Measurement
    log_covariance: tuple[float, float, float]
    thing_turn_deg: Measurement | None
    lean: Measurement
    leans: bool
    long_axis_deg: Measurement | None
    traces: int = 1


@dataclass(frozen=True, slots=True)
class MeasuredMap:
    """A whole measured map from seen mm to desktop px, with its covariance.

    ``covariance`` (6, 6) is that of its elements a, b, c, d, e, f, in Affine's order.
    ``unexplained`` is the root of chi squared over its degrees of freedom: about 1 where wobble and
    placing explain all that the traces differ by. Where it is above 1 the covariance has been
    widened by its square (Birge's ratio). ``other_way`` is a second way to turn or mirror that
    explains the places as well; None where they rule it out.
    """

    seen_mm_to_desktop_px: Affine
    covariance: tuple[tuple[float, ...], ...]
    unexplained: float
    other_way: Way | None = None

    def interval(self, element: str) -> Measurement:
        """An element of the matrix, a to f, with its 95 % interval."""
        return _measurement(self._of(lambda elements: elements), "abcdef".index(element))

    @property
    def figures(self) -> Estimate:
        """The logarithms of x_px_per_mm and y_px_per_mm, and the lean."""
        return self._of(lambda e: _log_scales_and_lean(e[[0, 1, 3, 4]].reshape(2, 2)))

    @property
    def mirrored(self) -> bool:
        """Whether the picture is mirrored against the hand."""
        return self.seen_mm_to_desktop_px.determinant < 0

    @property
    def way(self) -> Way:
        """The quarter turn, and the mirror after it, nearest to the map."""
        return Way(90 * round(self.turn_deg.value / 90) % 360, self.mirrored)

    @property
    def turn_deg(self) -> Measurement:
        """How far the picture is turned against the hand, clockwise, degrees.

        The rotation nearest to the map (its polar part), before a mirror left to right.
        """
        affine, sign = self.seen_mm_to_desktop_px, -1.0 if self.mirrored else 1.0
        middle = math.atan2(affine.d - sign * affine.b, sign * affine.a + affine.e)

        # From there, so that nothing jumps at half a turn.
        def turn(e: Array) -> Array:
            across, down = sign * e[0] + e[4], e[3] - sign * e[1]
            cos, sin = math.cos(middle), math.sin(middle)
            return np.array(
                [
                    math.degrees(
                        middle + math.atan2(down * cos - across * sin, across * cos + down * sin)
                    )
                ]
            )

        return _measurement(self._of(turn), 0)

    @property
    def askew(self) -> bool:
        """Whether it is turned by other than quarters, by more than chance and laying by eye."""
        turn = self.turn_deg
        rest = off_quarters_deg(turn.value)
        return abs(rest) > max(LEAST_TURN_DEG, _SURE_OF_TURN * turn.half_width)

    def _of(self, function: Callable[[Array], Array]) -> Estimate:
        elements = np.array([getattr(self.seen_mm_to_desktop_px, element) for element in "abcdef"])
        return _propagated(
            Estimate(elements, np.ones(1), np.array(self.covariance)[None]), function
        )

    def back(self, x_px: float, y_px: float) -> tuple[Measurement, Measurement]:
        """Where under the hand a point of the desktop comes from, with intervals.

        x and y, mm, seen frame, to first order.
        """

        def back(elements: Array) -> Array:
            return np.array((~Affine(*map(float, elements))).point(x_px, y_px))

        around = self._of(back)
        return _measurement(around, 0), _measurement(around, 1)


TRACE_AGAIN = phrase("Trace around it once, all of it, in one thin line on an empty canvas")


def find_trace(points_px: Array, outline: KnownOutline, *, near_px: float) -> Placed:
    """The rough place of ``outline`` among points (n, 2), some of which may be strays.

    For a fit to start from. ``near_px`` is how far off a point may lie. Raises RequestError where
    it is not found.
    """
    find = find_ellipse if outline.is_circle else find_rectangle
    return find(points_px, outline, near_px=near_px)


def measure_trace(points_px: Array, start: Placed) -> Trace:
    """The trace that fits the points (n, 2), found from ``start`` on.

    Raises RequestError where the points leave a size open.
    """
    free = fit_outline(points_px, start, "free")
    if not free.determined:
        came = (
            phrase("a whole side is missing")
            if not start.outline.is_circle
            else phrase("too little of it")
        )
        raise RequestError(
            Problem(
                "trace",
                phrase("must show enough of the outline to tell its size both ways"),
                came,
                TRACE_AGAIN,
            )
        )
    # On the points that were followed: alone, a straight pose might take sheared sides for strays.
    followed = points_px[free.inliers]
    return Trace(fit_outline(followed, free.placed, "straight", strict=True), free)


def other_reading(points_px: Array, trace: Trace) -> Trace | None:
    """The trace with the rectangle's long and short side exchanged, or None.

    Fitted to the points (n, 2) it was found in. None for circles and squares, which have no such
    reading, and where no map of a tablet would stretch so much.
    """
    outline, placed = trace.outline, trace.free.placed
    if outline.width_mm == outline.height_mm:
        return None
    along, across = placed.matrix.T
    longer = outline.width_mm / outline.height_mm
    matrix = np.stack([across / longer, -along * longer], axis=1)
    sizes = np.hypot(*matrix)
    if max(sizes) > MOST_STRETCH * min(sizes):
        return None
    try:
        return measure_trace(points_px, Placed(outline, matrix, placed.centre_px))
    except RequestError:
        return None


def measure(
    traces: list[Trace],
    whole: MeasuredMap | None = None,
    *,
    of_wobble_alone: bool = False,
) -> MeasuredScales:
    """The linear part that the traces agree on, wider where they differ by more than their errors.

    With places the estimate is ``whole``, the map that they gave; without, the mean of the traces'
    own, weighted by their covariances (generalised least squares). One trace keeps the mixture of
    normals of its own error. ``of_wobble_alone`` leaves out what no wobble shows.
    """
    if not traces:
        raise RequestError(Problem(phrase("traces"), phrase("at least one is needed")))
    if whole is not None:
        free = straight = whole.figures
    else:
        unseen = [0 * trace.unseen if of_wobble_alone else trace.unseen for trace in traces]
        free, straight = (
            _weighted_mean(
                [
                    _fit_scales_and_lean(getattr(trace, kind), count, errors)
                    for trace, errors in zip(traces, unseen, strict=True)
                ]
            )
            for kind, count in (("free", 3), ("straight", 2))
        )
    lean = _measurement(free, 2)
    # Surer than 95 %: one even trace in twenty would else be called turned.
    leans = abs(lean.value) > max(LEAST_LEAN, free.half_width(np.eye(3)[2], _SURE_OF_LEAN))
    around = free if leans else straight
    x, y = (_measurement(around, axis, math.exp) for axis in (0, 1))
    ratio = _measurement(
        _propagated(around, lambda figures: figures[:1] - figures[1:2]), 0, math.exp
    )
    one_way = (
        ratio if ratio.value >= 1 else Measurement(1 / ratio.value, 1 / ratio.high, 1 / ratio.low)
    )
    stretch = Measurement(one_way.value, max(1.0, one_way.low), max(one_way.high, 1 / one_way.low))
    axis = None
    if leans:
        longer = _measurement(_propagated(free, _log_stretch), 0, math.exp)
        stretch = replace(longer, low=max(1.0, longer.low))
        axis = _measurement(_propagated(free, _long_axis_deg), 0)
        shift = axis.value % 180.0 - axis.value
        axis = Measurement(axis.value + shift, axis.low + shift, axis.high + shift)
    covariance = around.covariance
    turns = (_thing_turn(trace.straight) for trace in traces if not trace.outline.is_circle)
    return MeasuredScales(
        x,
        y,
        ratio,
        stretch,
        (float(covariance[0, 0]), float(covariance[0, 1]), float(covariance[1, 1])),
        next(turns, None),
        lean,
        leans,
        axis,
        len(traces),
    )


def whole_map(
    traces: list[Trace],
    places_mm: Sequence[tuple[float, float] | None],
    place_error_mm: float = PLACE_ERROR_MM,
) -> MeasuredMap:
    """The whole map, offset included, from traces of things at known places.

    ``places_mm`` are where the centres of the things lay, seen frame, None where that is unknown.
    Each trace tells what became of the thing's size, and, where its place is known, where its
    centre came out, as exact as the hand could lay it. Weighted least squares over all of them
    (Gauss-Newton). Raises RequestError where the places are fewer than two or lie together: then
    nothing tells how the map is turned.

    Of 200 sets of three different things, laid turned, on a straight and on a slanted map, without
    places, with two and with three (tests/studies/trace_coverage.py; one standard error 1.5
    points): scales held 95 to 98 %, the lean 97 to 99, the screen's corner 94 to 98, the turn 95 to
    97. None was falsely said to lean, or not to.
    """
    if len(traces) != len(places_mm):
        raise RequestError(
            Problem(
                "places",
                phrase("each trace needs its place"),
                phrase(
                    "places: {places}, traces: {traces}", places=len(places_mm), traces=len(traces)
                ),
            )
        )
    placed = [
        (trace, place) for trace, place in zip(traces, places_mm, strict=True) if place is not None
    ]
    places = np.array([place for _, place in placed], dtype=float)
    reach = max((trace.outline.width_mm for trace, _ in placed), default=0.0)
    if len(places) < 2 or float(np.max(np.ptp(places, axis=0))) < 0.5 * reach:
        must = phrase("two traces or more must lie apart, by at least half the object's width")
        raise RequestError(
            Problem(
                "places", must, instead=phrase("Trace one near each of two corners of the tablet")
            )
        )
    # Traces with a known place first; of the others the sizes alone.
    data = [_centre_and_size(trace) for trace, _ in placed]
    data += [
        _centre_and_size(trace)
        for trace, place in zip(traces, places_mm, strict=True)
        if place is None
    ]
    plain, mirrored = (
        _settled_map(data, places, place_error_mm, mirrored=mirrored) for mirrored in (False, True)
    )
    # Few drivers mirror, so where the places leave it open it is the other way.
    first, other = (plain, mirrored)
    if mirrored.doubt < plain.doubt - _RULED_OUT:
        first, other = other, first
    # A fit that began with the other handedness may come to rest at the map of the first.
    same = other.measured.way == first.measured.way
    if same or other.doubt > first.doubt + _RULED_OUT:
        return first.measured
    return replace(first.measured, other_way=other.measured.way)


class _SettledMap(NamedTuple):
    """The map of one handedness that fits best, and how unlikely it is, in chi squared."""

    measured: MeasuredMap
    doubt: float


def _settled_map(
    data: list[Estimate], places: Array, place_error_mm: float, *, mirrored: bool
) -> _SettledMap:
    """The map, mirrored or not, that fits the traces best."""
    linear = _first_linear(places, data, mirrored=mirrored)
    offset = np.mean(
        [seen.mean[:2] - linear @ place for seen, place in zip(data, places, strict=False)], axis=0
    )
    elements = np.array(
        [linear[0, 0], linear[0, 1], offset[0], linear[1, 0], linear[1, 1], offset[1]]
    )
    for _ in range(30):
        design, residuals = _whitened(elements, data, places, place_error_mm)
        change = np.linalg.lstsq(design, residuals, rcond=None)[0]
        elements = elements + change
        if float(np.max(np.abs(change) / (np.abs(elements) + 1e-9))) < 1e-13:
            break
    design, residuals = _whitened(elements, data, places, place_error_mm)
    chi2 = float(residuals @ residuals)
    birge = math.sqrt(chi2 / (len(residuals) - 6))
    covariance = np.linalg.inv(design.T @ design) * max(1.0, birge**2)
    measured = MeasuredMap(
        Affine(*(float(e) for e in elements)), tuple(map(tuple, covariance.tolist())), birge
    )
    # Two places fit a mirror and a turn alike; a driver turns by quarters alone.
    turn = measured.turn_deg
    rest = off_quarters_deg(turn.value)
    spread = math.hypot(_LAID_DEG, turn.half_width / 1.96)
    return _SettledMap(measured, chi2 + (rest / spread) ** 2)


def _propagated(around: Estimate, function: Callable[[Array], Array]) -> Estimate:
    """A function of estimated values with its uncertainty, to first order.

    By central differences.
    """
    slopes = []
    for index, value in enumerate(around.mean):
        step = np.zeros(len(around.mean))
        step[index] = 1e-6 * max(abs(float(value)), 1e-3)
        slopes.append(
            (function(around.mean + step) - function(around.mean - step)) / (2 * step[index])
        )
    slope = np.stack(slopes, axis=1)
    return Estimate(function(around.mean), around.weights, slope @ around.covariances @ slope.T)


def _measurement(
    around: Estimate, index: int, unit: Callable[[float], float] = float
) -> Measurement:
    """One of the estimated values with its 95 % interval, all three put through ``unit``."""
    value, half = float(around.mean[index]), around.half_width(np.eye(len(around.mean))[index])
    return Measurement(unit(value), unit(value - half), unit(value + half))


def _log_scales_and_lean(matrix: Array) -> Array:
    """The logarithms of x_px_per_mm and y_px_per_mm, and the lean, of a matrix (2, 2).

    They stay the same if what is mapped is turned before.
    """
    gram = matrix @ matrix.T
    x, y = np.sqrt(np.diag(gram))
    return np.array([np.log(x), np.log(y), gram[0, 1] / (x * y)])


def _fit_scales_and_lean(fit: OutlineFit, count: int, unseen: Array) -> Estimate:
    """The first ``count`` of the log scales and the lean of a fit, with their uncertainty.

    ``unseen`` (2, 2) are errors of both scales that the residuals do not show.
    """
    around = _propagated(
        fit.estimate, lambda parameters: _log_scales_and_lean(fit.pose.matrix(parameters))[:count]
    )
    wider = np.zeros((count, count))
    wider[:2, :2] = unseen.T @ unseen
    return replace(around, covariances=around.covariances + wider)


def _weighted_mean(estimates: list[Estimate]) -> Estimate:
    """The weighted mean of estimates of the same values.

    Wider where they differ by more than their errors.
    """
    if len(estimates) == 1:
        return estimates[0]
    count = len(estimates[0].mean)
    inverses = [np.linalg.inv(each.covariance + 1e-18 * np.eye(count)) for each in estimates]
    covariance = np.linalg.inv(sum(inverses))
    mean = covariance @ sum(
        inverse @ each.mean for inverse, each in zip(inverses, estimates, strict=True)
    )
    chi2 = sum(
        float((each.mean - mean) @ inverse @ (each.mean - mean))
        for inverse, each in zip(inverses, estimates, strict=True)
    )
    covariance = covariance * max(1.0, chi2 / (count * (len(estimates) - 1)))
    return Estimate(mean, np.ones(1), covariance[None])


def _thing_turn(fit: OutlineFit) -> Measurement:
    """The turn of a rectangle, in (-90, 90], as it looks the same after half a turn."""
    turn = _measurement(fit.estimate, 4, math.degrees)
    back = 180.0 * math.ceil((turn.value - 90.0) / 180.0)
    return Measurement(turn.value - back, turn.low - back, turn.high - back)


def _gram_of(figures: Array) -> Array:
    """The matrix times its transpose, up to its size, from ln x, ln y and the lean."""
    x, y = np.exp(figures[:2] - figures[:2].mean())
    return np.array([[x * x, figures[2] * x * y], [figures[2] * x * y, y * y]])


def _log_stretch(figures: Array) -> Array:
    shorter, longer = np.linalg.eigvalsh(_gram_of(figures))
    return np.array([0.5 * np.log(longer / shorter)])


def _long_axis_deg(figures: Array) -> Array:
    """The direction of the longer scale on the screen, degrees.

    That of the larger eigenvector of the matrix times its transpose.
    """
    gram = _gram_of(figures)
    return np.array([0.5 * np.degrees(np.arctan2(2 * gram[0, 1], gram[0, 0] - gram[1, 1]))])


def _centre_and_size(trace: Trace) -> Estimate:
    """The centre and the matrix times its transpose, with one covariance.

    x, y, xx, xy, yy: (5,).
    """
    fit = trace.free

    def seen(parameters: Array) -> Array:
        matrix = fit.pose.matrix(parameters)
        gram = matrix @ matrix.T
        return np.array([*parameters[:2], gram[0, 0], gram[0, 1], gram[1, 1]])

    around = _propagated(fit.estimate, seen)
    # No trace is better than this: a thousandth of a pixel, a millionth of its size.
    floor = np.array([1e-6, 1e-6, *(1e-12 * around.mean[2] * around.mean[4],) * 3])
    x, y = trace.unseen.T
    wider = around.mean[:, None] * [0 * x, 0 * x, 2 * x, x + y, 2 * y]
    covariance = around.covariance + np.diag(floor) + wider @ wider.T
    return Estimate(around.mean, np.ones(1), covariance[None])


def _first_linear(places: Array, data: list[Estimate], *, mirrored: bool) -> Array:
    """A first guess of the linear part: upright scales from the sizes, turned, then ``mirrored``.

    By the quarter turn or angle that brings the places onto the centres.
    """
    centres = np.array([seen.mean[:2] for seen in data[: len(places)]])
    grams = np.mean([seen.mean[2:] for seen in data], axis=0)
    scales = np.diag(np.sqrt([grams[0], grams[2]]))
    here = places - places.mean(axis=0)
    there = (centres - centres.mean(axis=0)) @ np.linalg.inv(scales)
    flip = np.diag([-1.0 if mirrored else 1.0, 1.0])
    there = there @ flip
    # The turn that aligns two sets of points (W. Kabsch, 1976), in the plane.
    cross = float(np.sum(here[:, 0] * there[:, 1] - here[:, 1] * there[:, 0]))
    angle = math.atan2(cross, float(np.sum(here * there)))
    turned = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    linear: Array = scales @ flip @ turned
    return linear


def _whitened(
    elements: Array, data: list[Estimate], places: Array, place_error_mm: float
) -> tuple[Array, Array]:
    """The design matrix and the residuals of all traces, scaled to unit covariance."""
    a, b, c, d, e, f = elements
    linear = np.array([[a, b], [d, e]])
    gram = np.array([a * a + b * b, a * d + b * e, d * d + e * e])
    # Elements run a, b, c, d, e, f; the offsets c and f do not change sizes.
    gram_slope = np.array(
        [[2 * a, 2 * b, 0, 0, 0, 0], [d, e, 0, a, b, 0], [0, 0, 0, 2 * d, 2 * e, 0]], dtype=float
    )
    designs, whitened = [], []
    for number, seen in enumerate(data):
        slope, residuals, spread = gram_slope, seen.mean[2:] - gram, seen.covariance[2:, 2:]
        if number < len(places):
            x, y = places[number]
            slope = np.concatenate([[[x, y, 1, 0, 0, 0], [0, 0, 0, x, y, 1]], gram_slope])
            residuals = np.concatenate([seen.mean[:2] - linear @ (x, y) - (c, f), residuals])
            spread = seen.covariance
            spread[:2, :2] += place_error_mm**2 * (linear @ linear.T)
        whiten = np.linalg.inv(np.linalg.cholesky(spread))
        designs.append(whiten @ slope)
        whitened.append(whiten @ residuals)
    return np.concatenate(designs), np.concatenate(whitened)
