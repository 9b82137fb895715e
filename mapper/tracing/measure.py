"""What a trace of a thing of known size says of the map: px per mm, stretch, turn, and with several the whole map.

Lengths under the hand are mm in the seen frame; positions in the picture are desktop px (a picture that shows the
desktop enlarged or cut is converted before). All intervals hold the true value 95 % of the time, for wobble of the
kinds that mapper.tracing.wobble models; what they do not know of is a thing that is not the size it is said to be.

A circle or rectangle is an outline of known size seen through an affine map, so one engine fits both, by orthogonal
distances. The start is robust by itself (samples for ellipses, pairs of parallel lines for rectangles), so strays, gaps and
second strokes need no cleaning. A rectangle's long side is taken to lie across the screen unless ``upright`` is said or, with a
profile, lying upright explains the trace better; half a turn cannot be seen. The pen's middle is taken as on the thing's
edge unless its nib is given.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from mapper.affine import Affine
from mapper.problems import Problem, RequestError
from mapper.tracing.ellipse_fit import MOST_STRETCH, find_ellipse
from mapper.tracing.outline import Array, KnownOutline, Placed
from mapper.tracing.outline_fit import OutlineFit, fit_outline
from mapper.tracing.rectangle_fit import find_rectangle
from mapper.tracing.wobble import NORMAL_95, Estimate

#: A map that leans by less than this (the cosine between what should be square to each other) is straight for any eye: a
#: lean stretches by about as much as its own size, and people see 1.6 % (mapper.distortion).
LEAST_LEAN = 0.01
# How far off its mark a thing laid by hand lies, as a standard deviation along x and along y.
PLACE_ERROR_MM = 0.5


@dataclass(frozen=True, slots=True)
class Known:
    """A measured value with its 95 % interval, all in the unit of the name it is kept under."""

    value: float
    low: float
    high: float

    @property
    def half_width(self) -> float:
        return (self.high - self.low) / 2

    def holds(self, value: float) -> bool:
        return self.low <= value <= self.high


@dataclass(frozen=True, slots=True)
class Trace:
    """One traced outline: ``straight`` is the fit that only a straight map can make, ``free`` the one without that demand."""

    straight: OutlineFit
    free: OutlineFit

    @property
    def outline(self) -> KnownOutline:
        return self.straight.outline

    @property
    def lies_upright(self) -> bool | None:
        """Whether a rectangle's long side runs up the screen rather than across; None for circles and squares."""
        if self.outline.width_mm == self.outline.height_mm:
            return None
        return bool(abs(math.cos(float(self.straight.nearest[4]))) < math.sqrt(0.5))

    @property
    def size_px(self) -> float:
        """The mean of the outline's two extents in the picture."""
        matrix = self.straight.placed.matrix
        return (
            float(np.hypot(*matrix[:, 0]) * self.outline.width_mm + np.hypot(*matrix[:, 1]) * self.outline.height_mm)
            / 2
        )


@dataclass(frozen=True, slots=True)
class Measured:
    """What one trace, or several of the same map, say of its linear part.

    ========================= =======================================================================================
    ``x_px_per_mm, y_px_per_mm`` px along the screen's x and y for 1 mm of the hand's movement that goes there
    ``ratio``                 x_px_per_mm / y_px_per_mm; above 1: wider than tall (on square pixels)
    ``stretch``               the longer scale over the shorter, at least 1; px over px
    ``log_covariance``        of ln x_px_per_mm and ln y_px_per_mm: xx, xy, yy
    ``thing_turn_deg``        how far the long side of a rectangle lies turned, clockwise, in (-90, 90]; None for circles
    ``lean``                  cosine of the angle in the picture between what was square under the hand; 0 on a straight map
    ``leans``                 whether that is more than chance and more than the eye's threshold
    ``long_axis_deg``         for a map that leans: direction of its longer scale on the screen, [0, 180); else None
    ``traces``                how many traces it rests on
    ========================= =======================================================================================
    """

    x_px_per_mm: Known
    y_px_per_mm: Known
    ratio: Known
    stretch: Known
    log_covariance: tuple[float, float, float]
    thing_turn_deg: Known | None
    lean: Known
    leans: bool
    long_axis_deg: Known | None
    traces: int = 1


@dataclass(frozen=True, slots=True)
class KnownMap:
    """A whole map from seen mm to desktop px, with ``covariance`` (6, 6) of its elements a, b, c, d, e, f (Affine's order).

    ``unexplained`` is the root of chi squared over its degrees of freedom: about 1 where wobble and placing explain all
    that the traces differ by. Where it is above 1 the covariance has been widened by its square (Birge's ratio).
    """

    seen_mm_to_desktop_px: Affine
    covariance: tuple[tuple[float, ...], ...]
    unexplained: float

    def interval(self, element: str) -> Known:
        """An element of the matrix, a to f, with its 95 % interval."""
        value = getattr(self.seen_mm_to_desktop_px, element)
        index = "abcdef".index(element)
        half = NORMAL_95 * math.sqrt(self.covariance[index][index])
        return Known(value, value - half, value + half)

    def back(self, x_px: float, y_px: float) -> tuple[Known, Known]:
        """Where under the hand (mm, seen frame) a point of the desktop comes from, with intervals, to first order."""
        inverse = ~self.seen_mm_to_desktop_px
        x_mm, y_mm = inverse.point(x_px, y_px)
        # The point in mm moves by minus the inverse's linear part times the movement of the mapped point.
        moves = np.zeros((2, 6))
        moves[0, :3] = moves[1, 3:] = (x_mm, y_mm, 1.0)
        slope = -np.array([[inverse.a, inverse.b], [inverse.d, inverse.e]]) @ moves
        spread = np.sqrt(np.diag(slope @ np.array(self.covariance) @ slope.T)) * NORMAL_95
        return (
            Known(x_mm, x_mm - float(spread[0]), x_mm + float(spread[0])),
            Known(y_mm, y_mm - float(spread[1]), y_mm + float(spread[1])),
        )


AGAIN = "Trace around it once, all of it, in one thin line on an empty canvas"


def find_trace(points_px: Array, outline: KnownOutline, *, near_px: float) -> Placed:
    """Where ``outline`` lies among points (n, 2) of which some may be strays; rough, for a fit to start from.

    Raises RequestError where it is not found.
    """
    if outline.is_circle:
        ellipse = find_ellipse(points_px, near_px=near_px)
        centre = np.array([ellipse.centre_x_px, ellipse.centre_y_px])
        return Placed(outline, ellipse.matrix / outline.radius_mm, centre)
    return find_rectangle(points_px, outline, near_px=near_px)


def measure_trace(points_px: Array, start: Placed) -> Trace:
    """Fit the outline of ``start`` to the points (n, 2) of a trace, from there.

    Raises RequestError where the points leave a size open.
    """
    free = fit_outline(points_px, start, "free")
    if not free.determined:
        came = "a whole side is missing" if not start.outline.is_circle else "too little of it"
        raise RequestError(Problem("trace", "must show enough of the outline to tell its size both ways", came, AGAIN))
    # The same points: a straight pose left to itself might take two sides of a sheared rectangle for strays.
    followed = points_px[free.inliers]
    return Trace(fit_outline(followed, free.placed, "straight", strict=True), free)


def other_reading(points_px: Array, trace: Trace) -> Trace | None:
    """The same rectangle with its long and its short side changed about, fitted to the points (n, 2) it was found in.

    None for circles and squares, which have no such reading, and where no map of a tablet would stretch so much.
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
    matrix = matrix if matrix[np.argmax(np.abs(matrix[:, 0])), 0] > 0 else -matrix
    try:
        return measure_trace(points_px, Placed(outline, matrix, placed.centre_px))
    except RequestError:
        return None


def measure(traces: list[Trace]) -> Measured:
    """The linear part that the traces agree on: their weighted mean, wider where they differ by more than their errors."""
    if not traces:
        raise RequestError(Problem("traces", "at least one is needed"))
    singles = [_single(trace) for trace in traces]
    if len(singles) == 1:
        return singles[0]
    logs = np.array([[math.log(one.x_px_per_mm.value), math.log(one.y_px_per_mm.value)] for one in singles])
    inverses = [np.linalg.inv(_matrix_of(one.log_covariance) + 1e-18 * np.eye(2)) for one in singles]
    covariance = np.linalg.inv(sum(inverses))
    mean = covariance @ sum(inverse @ log for inverse, log in zip(inverses, logs, strict=True))
    chi2 = sum(float((log - mean) @ inverse @ (log - mean)) for inverse, log in zip(inverses, logs, strict=True))
    covariance = covariance * max(1.0, chi2 / (2 * len(singles) - 2))
    around = Estimate(mean, np.ones(1), covariance[None])
    lean = _mean_known([one.lean for one in singles])
    leans = _is_lean(lean)
    first = singles[0]
    return replace(
        _scales(around, (np.array([1.0, 0.0]), np.array([0.0, 1.0])), mean),
        thing_turn_deg=first.thing_turn_deg,
        lean=lean,
        leans=leans,
        long_axis_deg=first.long_axis_deg if leans else None,
        traces=len(traces),
    )


def whole_map(
    traces: list[Trace], places_mm: list[tuple[float, float]], place_error_mm: float = PLACE_ERROR_MM
) -> KnownMap:
    """The whole map, offset included, from traces of things whose centres lay at ``places_mm`` (seen frame).

    Each trace gives where its centre came out, as exact as the hand could lay the thing, and what became of its size.
    Weighted least squares over both (Gauss-Newton). Raises RequestError where the places are fewer than two
    or lie together: then nothing tells how the map is turned.
    """
    places = np.array(places_mm, dtype=float)
    if len(traces) != len(places):
        raise RequestError(Problem("places", "each trace needs its place", f"{len(places)} for {len(traces)} traces"))
    reach = max((trace.outline.width_mm for trace in traces), default=0.0)
    if len(places) < 2 or float(np.max(np.ptp(places, axis=0))) < 0.5 * reach:
        must = "two traces or more must lie apart, by half a thing's width at least"
        raise RequestError(Problem("places", must, instead="Trace one near each of two corners of the tablet"))
    data = [_centre_and_gram(trace) for trace in traces]
    linear = _first_linear(places, data)
    offset = np.mean([centre - linear @ place for (centre, _, _), place in zip(data, places, strict=True)], axis=0)
    elements = np.array([linear[0, 0], linear[0, 1], offset[0], linear[1, 0], linear[1, 1], offset[1]])
    for _ in range(30):
        design, left = _whitened(elements, data, places, place_error_mm)
        change = np.linalg.lstsq(design, left, rcond=None)[0]
        elements = elements + change
        if float(np.max(np.abs(change) / (np.abs(elements) + 1e-9))) < 1e-13:
            break
    design, left = _whitened(elements, data, places, place_error_mm)
    free = len(left) - 6
    birge = math.sqrt(float(left @ left) / free)
    covariance = np.linalg.inv(design.T @ design) * max(1.0, birge**2)
    return KnownMap(Affine(*(float(e) for e in elements)), tuple(map(tuple, covariance.tolist())), birge)


def _single(trace: Trace) -> Measured:
    straight = trace.straight
    mean = straight.estimate.mean
    unknowns = len(mean)
    towards = []
    for index in (2, 3):
        gradient = np.zeros(unknowns)
        gradient[index] = 1 / mean[index]
        towards.append(gradient)
    turn = None
    if not trace.outline.is_circle:
        gradient = np.zeros(unknowns)
        gradient[4] = 1.0
        turn = _turn(float(mean[4]), straight.estimate.half_width(gradient))
    lean = _lean(trace.free)
    leans = _is_lean(lean)
    axis = _long_axis(trace.free) if leans else None
    known = _scales(straight.estimate, (towards[0], towards[1]), np.log(mean[2:4]))
    if leans:
        known = replace(known, stretch=_free_stretch(trace.free))
    return replace(known, thing_turn_deg=turn, lean=lean, leans=leans, long_axis_deg=axis)


def _scales(around: Estimate, towards: tuple[Array, Array], logs: Array) -> Measured:
    """Scales, ratio and stretch from an estimate whose gradients ``towards`` give ln x_px_per_mm and ln y_px_per_mm."""

    def known(gradient: Array, log: float) -> Known:
        half = around.half_width(gradient)
        return Known(math.exp(log), math.exp(log - half), math.exp(log + half))

    ratio = known(towards[0] - towards[1], float(logs[0] - logs[1]))
    one_way = [ratio.value, ratio.low, ratio.high]
    if ratio.value < 1:
        one_way = [1 / ratio.value, 1 / ratio.high, 1 / ratio.low]
    stretch = Known(one_way[0], max(1.0, one_way[1]), max(one_way[2], 1 / one_way[1]))
    covariance = np.array(towards) @ around.covariance @ np.array(towards).T
    return Measured(
        known(towards[0], float(logs[0])),
        known(towards[1], float(logs[1])),
        ratio,
        stretch,
        (float(covariance[0, 0]), float(covariance[0, 1]), float(covariance[1, 1])),
        None,
        Known(0.0, 0.0, 0.0),
        False,
        None,
    )


def _turn(radians: float, half: float) -> Known:
    """A rectangle looks the same after half a turn, so a turn is given in (-90, 90]."""
    degrees = math.degrees(radians)
    degrees -= 180.0 * math.ceil((degrees - 90.0) / 180.0)
    return Known(degrees, degrees - math.degrees(half), degrees + math.degrees(half))


def _of_parameters(fit: OutlineFit, function: object) -> Known:
    """A function of a fit's parameters with its interval, to first order (central differences)."""
    mean = fit.estimate.mean
    value = function(mean)  # type: ignore[operator]
    gradient = np.zeros(len(mean))
    for index in range(len(mean)):
        step = 1e-6 * max(abs(float(mean[index])), 1e-3)
        moved = mean.copy()
        moved[index] += step
        ahead = function(moved)  # type: ignore[operator]
        moved[index] -= 2 * step
        gradient[index] = (ahead - function(moved)) / (2 * step)  # type: ignore[operator]
    half = fit.estimate.half_width(gradient)
    return Known(value, value - half, value + half)


def _lean(free: OutlineFit) -> Known:
    def lean(parameters: Array) -> float:
        gram = free.pose.matrix(parameters) @ free.pose.matrix(parameters).T
        return float(gram[0, 1] / math.sqrt(gram[0, 0] * gram[1, 1]))

    return _of_parameters(free, lean)


def _is_lean(lean: Known) -> bool:
    # Surer than 95 %: an even trace in twenty would else be called turned. 1.31 half widths are 99 % on paper; hands wander more
    # slowly than any model sees, and one even trace in thirty was still called so.
    return abs(lean.value) > max(LEAST_LEAN, 1.75 * lean.half_width)


def _free_stretch(free: OutlineFit) -> Known:
    def log_stretch(parameters: Array) -> float:
        longest, shortest = np.linalg.svd(free.pose.matrix(parameters), compute_uv=False)
        return math.log(longest / shortest)

    known = _of_parameters(free, log_stretch)
    return Known(math.exp(known.value), max(1.0, math.exp(known.low)), math.exp(known.high))


def _long_axis(free: OutlineFit) -> Known:
    """Direction of the longer scale on the screen in [0, 180): that of the larger eigenvector of the matrix times its transpose."""

    def axis(parameters: Array) -> float:
        matrix = free.pose.matrix(parameters)
        gram = matrix @ matrix.T
        return math.degrees(0.5 * math.atan2(2 * gram[0, 1], gram[0, 0] - gram[1, 1]))

    known = _of_parameters(free, axis)
    shift = known.value % 180.0 - known.value
    return Known(known.value + shift, known.low + shift, known.high + shift)


def _mean_known(values: list[Known]) -> Known:
    spreads = [max(value.half_width / NORMAL_95, 1e-12) for value in values]
    weights = [spread**-2 for spread in spreads]
    mean = sum(weight * value.value for weight, value in zip(weights, values, strict=True)) / sum(weights)
    chi2 = sum(((value.value - mean) / spread) ** 2 for value, spread in zip(values, spreads, strict=True))
    half = NORMAL_95 * math.sqrt(max(1.0, chi2 / (len(values) - 1)) / sum(weights))
    return Known(mean, mean - half, mean + half)


def _matrix_of(three: tuple[float, float, float]) -> Array:
    return np.array([[three[0], three[1]], [three[1], three[2]]])


def _gram(parameters: Array, fit: OutlineFit) -> Array:
    matrix = fit.pose.matrix(parameters)
    gram = matrix @ matrix.T
    return np.array([*parameters[:2], gram[0, 0], gram[0, 1], gram[1, 1]])


def _centre_and_gram(trace: Trace) -> tuple[Array, Array, Array]:
    """Where the centre came out (2,), L times L transposed as xx, xy, yy (3,), and the covariance (5, 5) of both."""
    fit = trace.free
    mean = fit.estimate.mean
    value = _gram(mean, fit)
    slope = np.zeros((5, len(mean)))
    for index in range(len(mean)):
        step = 1e-6 * max(abs(float(mean[index])), 1e-3)
        ahead, behind = mean.copy(), mean.copy()
        ahead[index] += step
        behind[index] -= step
        slope[:, index] = (_gram(ahead, fit) - _gram(behind, fit)) / (2 * step)
    covariance = slope @ fit.estimate.covariance @ slope.T
    # No trace is better than this: a thousandth of a pixel, a millionth of its size.
    floor = np.array([1e-6, 1e-6, *(1e-12 * value[2] * value[4],) * 3])
    return value[:2], value[2:], covariance + np.diag(floor)


def _first_linear(places: Array, data: list[tuple[Array, Array, Array]]) -> Array:
    """Upright scales from the sizes, turned by the quarter turn or angle that brings the places onto the centres."""
    centres = np.array([centre for centre, _, _ in data])
    grams = np.mean([gram for _, gram, _ in data], axis=0)
    scales = np.diag(np.sqrt([grams[0], grams[2]]))
    here, there = places - places.mean(axis=0), (centres - centres.mean(axis=0)) @ np.linalg.inv(scales)
    # The turn that aligns two sets of points (W. Kabsch, 1976), in the plane.
    cross = float(np.sum(here[:, 0] * there[:, 1] - here[:, 1] * there[:, 0]))
    angle = math.atan2(cross, float(np.sum(here * there)))
    turned = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    linear: Array = scales @ turned
    return linear


def _whitened(
    elements: Array, data: list[tuple[Array, Array, Array]], places: Array, place_error_mm: float
) -> tuple[Array, Array]:
    a, b, c, d, e, f = elements
    linear = np.array([[a, b], [d, e]])
    gram = np.array([a * a + b * b, a * d + b * e, d * d + e * e])
    # Elements run a, b, c, d, e, f; the offsets c and f do not change sizes.
    gram_slope = np.array([[2 * a, 2 * b, 0, 0, 0, 0], [d, e, 0, a, b, 0], [0, 0, 0, 2 * d, 2 * e, 0]], dtype=float)
    designs, lefts = [], []
    for (centre, measured_gram, covariance), (x, y) in zip(data, places, strict=True):
        spread = covariance.copy()
        spread[:2, :2] += place_error_mm**2 * (linear @ linear.T)
        whiten = np.linalg.inv(np.linalg.cholesky(spread))
        slope = np.concatenate([[[x, y, 1, 0, 0, 0], [0, 0, 0, x, y, 1]], gram_slope])
        left = np.concatenate([centre - linear @ (x, y) - (c, f), measured_gram - gram])
        designs.append(whiten @ slope)
        lefts.append(whiten @ left)
    return np.concatenate(designs), np.concatenate(lefts)
