"""The size of a display or of an active area, found with a card and without a data sheet.

A card is held against the display's glass, or traced on the tablet. Both rest on a thing of known
size, by default the bank card (ISO/IEC 7810 ID-1, 85.60 x 53.98 mm, which it lets vary by about
0.12 mm). Every result has its 95 % interval; what goes into it is named beside each constant.

A display's pitch is that of two pulls, and of a third where they differ by 1.5 %; a tablet's area
follows from scales that came out (W + 2 b) / W too large, b being how far off the edge the pen's
middle ran, which lying against upright tells where both are there.
``tests/studies/sizing_coverage.py`` counts what the intervals are worth.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import fmean, median
from typing import TYPE_CHECKING, NamedTuple

from mapper.mapping.forms import UNITS
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.tracing.measurement import NORMAL_95, Measurement
from mapper.units import MM_PER_INCH

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.tracing.measure import MeasuredScales

# The display
# ------------------------------------------------------------

#: How far off an edge is pulled (95 %, mm; common practice, no source). A length has two edges.
EDGE_MM = 0.3
#: What both tries share (95 %, per cent): the card before the glass, seen by an eye that is not
#: quite straight before it (0.5 mm of 86; common practice, no source), and the card's own tolerance
#: (0.12 mm of 86).
PARALLAX_PERCENT = 0.6
THING_PERCENT = 0.14
#: Two tries that differ by more ask for a third.
DISAGREE_PERCENT = 1.5
#: Pixels are square unless two tries each say otherwise by more.
SQUARE_PERCENT = 2.0

#: Diagonals, in inches, that displays are sold with (common practice, no source).
SOLD_DIAGONALS_IN = (
    *(
        10.1,
        11.6,
        12.5,
        13.3,
        14.0,
        15.6,
        16.0,
        17.3,
        18.5,
        19.0,
        19.5,
        20.0,
        21.5,
        22.0,
        23.0,
        23.6,
        23.8,
        24.0,
        24.5,
    ),
    *(
        25.0,
        26.0,
        27.0,
        28.0,
        29.0,
        30.0,
        31.5,
        32.0,
        34.0,
        35.0,
        37.5,
        38.0,
        40.0,
        42.0,
        43.0,
        45.0,
        48.0,
        49.0,
        50.0,
    ),
    *(55.0, 57.0, 60.0, 65.0, 70.0, 75.0, 77.0, 83.0, 85.0),
)


class CardPull(NamedTuple):
    """One try: the rectangle on the screen that was as large as the thing, device px."""

    width_px: float
    height_px: float


@dataclass(frozen=True, slots=True)
class GlassSize:
    """The pitch and diagonal of a display, as pulls to a card's size show them.

    ``x_mm_per_px`` and ``y_mm_per_px`` are one and the same unless the pixels are not square.
    ``diagonal_in`` is that of the whole display; ``sold_in`` the diagonals on sale that lie within
    its interval, the nearest first. ``disagreement_percent`` is how far the tries differ;
    ``another`` says that one more try is needed.
    """

    x_mm_per_px: Measurement
    y_mm_per_px: Measurement
    diagonal_in: Measurement
    sold_in: tuple[float, ...]
    disagreement_percent: float
    another: bool


def glass_size(
    pulls: Sequence[CardPull], thing_mm: tuple[float, float], resolution_px: tuple[int, int]
) -> GlassSize:
    """The pitch and diagonal of a display, from pulls to the size of a known thing.

    ``thing_mm`` is the thing's width and height, ``resolution_px`` the display's. One pitch p from
    both sides of all tries: least squares of W = p w and H = p h, so p = (W w + H h) / (w^2 + h^2)
    for one try. Of three tries or more those count that lie within 1.5 % of their median. Raises
    RequestError without a try and for one that no display explains.

    >>> pulls = [CardPull(367, 231.5), CardPull(366, 231)]
    >>> size = glass_size(pulls, (85.6, 53.98), (2560, 1440))
    >>> round(size.diagonal_in.value, 1), 27.0 in size.sold_in
    (27.0, True)
    """
    if not pulls:
        raise RequestError(
            Problem(phrase("card on the display"), phrase("must be pulled to size at least once"))
        )
    width_mm, height_mm = thing_mm
    for pull in pulls:
        for length_px, length_mm in zip(pull, thing_mm, strict=True):
            # 10 to 1000 px per inch: from a wall of lamps to a telephone.
            if not (math.isfinite(length_px) and 10 <= length_px / length_mm * MM_PER_INCH <= 1000):
                came = phrase(
                    "{width} × {height} px",
                    width=f"{pull.width_px:g}",
                    height=f"{pull.height_px:g}",
                )
                raise RequestError(
                    Problem(
                        phrase("card on the display"),
                        phrase("must be as large as the card"),
                        came,
                        phrase("Drag it again"),
                    )
                )
    pitches = [_pull_pitch(pull, thing_mm) for pull in pulls]
    disagreement = (max(pitches) / min(pitches) - 1) * 100
    used = list(range(len(pulls)))
    another = len(pulls) < 2 or disagreement > DISAGREE_PERCENT
    if len(pulls) > 2:
        middle = median(pitches)
        used = [
            i
            for i, pitch in enumerate(pitches)
            if abs(pitch / middle - 1) * 100 <= DISAGREE_PERCENT
        ]
        another = len(used) < 2
    pitch = fmean(pitches[i] for i in used)
    edges_percent = (
        100 * EDGE_MM * math.sqrt(2) / math.hypot(width_mm, height_mm) / math.sqrt(len(used))
    )
    half = pitch * math.hypot(edges_percent, PARALLAX_PERCENT, THING_PERCENT) / 100
    x = y = Measurement.about(pitch, half)
    leans = [
        math.log(width_mm / pulls[i].width_px / (height_mm / pulls[i].height_px)) * 100
        for i in used
    ]
    if len(used) > 1 and (min(leans) > SQUARE_PERCENT or max(leans) < -SQUARE_PERCENT):
        x, y = (_side_pitch([pulls[i][side] for i in used], thing_mm[side]) for side in (0, 1))
    width_px, height_px = resolution_px
    diagonal = [
        math.hypot(a * width_px, b * height_px) / MM_PER_INCH
        for a, b in zip(_value_low_high(x), _value_low_high(y), strict=True)
    ]
    known = Measurement(*diagonal)
    sold = sorted(
        (each for each in SOLD_DIAGONALS_IN if known.holds(each)),
        key=lambda each: abs(each - known.value),
    )
    return GlassSize(x, y, known, tuple(sold), disagreement, another)


def _pull_pitch(pull: CardPull, thing_mm: tuple[float, float]) -> float:
    """The pitch that fits both sides of one pull best, mm per px."""
    width_mm, height_mm = thing_mm
    return (width_mm * pull.width_px + height_mm * pull.height_px) / (
        pull.width_px**2 + pull.height_px**2
    )


def _side_pitch(lengths_px: Sequence[float], length_mm: float) -> Measurement:
    """The pitch along one side of several pulls, mm per px, with its interval."""
    pitch = fmean(length_mm / length for length in lengths_px)
    edges_percent = 100 * EDGE_MM * math.sqrt(2) / length_mm / math.sqrt(len(lengths_px))
    half = pitch * math.hypot(edges_percent, PARALLAX_PERCENT, THING_PERCENT) / 100
    return Measurement.about(pitch, half)


def _value_low_high(known: Measurement) -> tuple[float, float, float]:
    return known.value, known.low, known.high


# The tablet
# ------------------------------------------------------------

#: How far outside an edge the pen's middle runs, mm: 0.5 to 0.9 (common practice, no source), and
#: how much hands differ beyond that (standard deviation). What changes between two traces by the
#: same hand is less.
NIB_MM = 0.7
NIB_SD_MM = 0.18
BETWEEN_TRACES_SD_MM = 0.08
#: Proportions within this of the screen's may be the driver's doing.
LOCKED_PERCENT = 1.0


@dataclass(frozen=True, slots=True)
class AreaSize:
    """The active area that the driver spreads over the whole target, as the artist sees it.

    ``ratio`` is width over height. ``nib_mm`` is how far outside the edge the pen's middle ran,
    None where no edge was followed.
    ``both_ways`` says whether the thing was traced lying and upright (or is as long both ways), so
    that the nib is gone from the proportions. ``like_target`` says that the proportions are those
    of the target: then the driver may have trimmed the tablet to them, and the height that is built
    cannot be known from this.
    """

    width_mm: Measurement
    height_mm: Measurement
    ratio: Measurement
    nib_mm: Measurement | None
    both_ways: bool
    like_target: bool


class CardTrace(NamedTuple):
    """A trace of a thing on the whole tablet, with how the thing lay.

    ``along_x_mm`` and ``along_y_mm`` are how long it was along the screen's x and y.
    """

    measured: MeasuredScales
    along_x_mm: float
    along_y_mm: float


def card_trace(measured: MeasuredScales, thing_mm: tuple[float, float]) -> CardTrace:
    """``measured`` with the sides of the thing as it lay, by its own turn."""
    width_mm, height_mm = thing_mm
    turn = measured.thing_turn_deg
    upright = turn is not None and abs(turn.value) > 45
    return CardTrace(measured, *((height_mm, width_mm) if upright else (width_mm, height_mm)))


def area_size(
    traces: Sequence[CardTrace],
    target_px: tuple[float, float],
    target_ratio_mm: float,
    *,
    nib_mm: float = NIB_MM,
    nib_sd_mm: float = NIB_SD_MM,
) -> AreaSize:
    """The active area, from traces made with the whole tablet on the whole target.

    ``target_px`` is the target's width and height, ``target_ratio_mm`` its width over its height on
    the glass. ``nib_mm`` is how far outside the edge the pen's middle is expected, ``nib_sd_mm``
    its standard deviation.

    The scales were found with the thing's own sides. A pen whose middle keeps b off the edge draws
    W + 2 b, so each scale came out (W + 2 b) / W too large, W being the side along it: four
    logarithms from a trace lying and one upright, three unknowns (both scales and b, which is known
    beforehand to ``nib_sd_mm``), solved by generalised least squares. The thing's tolerance counts
    for the sizes and not for the ratio.

    Raises RequestError without a trace and where the area would be smaller than the thing.
    """
    if not traces:
        raise RequestError(Problem("trace", phrase("must be of an object on the whole tablet")))
    # The nib as one more measurement: its deviation from what was expected is 0, give or take.
    weight = [[0.0, 0.0, 0.0], [0.0, 0.0, 0.0], [0.0, 0.0, 1 / nib_sd_mm**2]]
    weighed = [0.0, 0.0, 0.0]
    for measured, along_x, along_y in traces:
        slopes = 2 / (along_x + 2 * nib_mm), 2 / (along_y + 2 * nib_mm)
        logs = [
            math.log(scale.value) - math.log1p(2 * nib_mm / along)
            for scale, along in ((measured.x_px_per_mm, along_x), (measured.y_px_per_mm, along_y))
        ]
        xx, xy, yy = measured.log_covariance
        between = BETWEEN_TRACES_SD_MM**2
        xx += between * slopes[0] ** 2 + _ROUNDING
        xy += between * slopes[0] * slopes[1]
        yy += between * slopes[1] ** 2 + _ROUNDING
        # Each trace has noise of its own, so its inverse is that of two rows and columns.
        determinant = xx * yy - xy * xy
        inverse = ((yy / determinant, -xy / determinant), (-xy / determinant, xx / determinant))
        design = ((1.0, 0.0, slopes[0]), (0.0, 1.0, slopes[1]))
        for one, other in ((0, 0), (0, 1), (1, 0), (1, 1)):
            for row in range(3):
                share = design[one][row] * inverse[one][other]
                weighed[row] += share * logs[other]
                for column in range(3):
                    weight[row][column] += share * design[other][column]
    covariance = _inverse(weight)
    log_x, log_y, nib_off = (
        sum(each * value for each, value in zip(row, weighed, strict=True)) for row in covariance
    )
    sd_thing = THING_PERCENT / 100 / NORMAL_95
    width = _log_normal(
        math.log(target_px[0]) - log_x, math.hypot(math.sqrt(covariance[0][0]), sd_thing)
    )
    height = _log_normal(
        math.log(target_px[1]) - log_y, math.hypot(math.sqrt(covariance[1][1]), sd_thing)
    )
    spread = covariance[0][0] + covariance[1][1] - 2 * covariance[0][1]
    ratio = _log_normal(math.log(width.value / height.value), math.sqrt(max(spread, 0.0)))
    shapes = {
        (each.along_x_mm > each.along_y_mm) - (each.along_x_mm < each.along_y_mm) for each in traces
    }
    largest = max(
        max(each.along_x_mm / width.value, each.along_y_mm / height.value) for each in traces
    )
    if largest > 1:
        came = phrase(
            "{width} × {height} mm", width=f"{width.value:.0f}", height=f"{height.value:.0f}"
        )
        instead = phrase(
            "Use a smaller object, for example a coin, and see that the whole of it was traced"
        )
        raise RequestError(
            Problem(
                "trace",
                phrase("the object is larger than the tablet that comes out"),
                came,
                instead,
            )
        )
    return AreaSize(
        width,
        height,
        ratio,
        Measurement.about(nib_mm + nib_off, NORMAL_95 * math.sqrt(covariance[2][2])),
        both_ways=0 in shapes or len(shapes) > 1,
        like_target=like_proportions(ratio, target_ratio_mm),
    )


def like_proportions(ratio: Measurement, target_ratio: float) -> bool:
    """Whether a measured ratio may be that of the target."""
    off_percent = abs(ratio.value / target_ratio - 1) * 100
    return off_percent < max(LOCKED_PERCENT, 100 * ratio.half_width / ratio.value)


# Scales that are known exactly still have a variance, so that the noise can be inverted.
_ROUNDING = 1e-14


def _inverse(matrix: Sequence[Sequence[float]]) -> list[list[float]]:
    """The inverse of a matrix of three rows and columns, by its cofactors (Cramer's rule)."""

    def cofactor(row: int, column: int) -> float:
        one, two = matrix[(row + 1) % 3], matrix[(row + 2) % 3]
        first, second = (column + 1) % 3, (column + 2) % 3
        return one[first] * two[second] - one[second] * two[first]

    determinant = sum(matrix[0][column] * cofactor(0, column) for column in range(3))
    return [[cofactor(column, row) / determinant for column in range(3)] for row in range(3)]


def _log_normal(log: float, sd: float) -> Measurement:
    """A measurement whose logarithm has the standard deviation ``sd``."""
    return Measurement(*(math.exp(log + sign * NORMAL_95 * sd) for sign in (0, -1, 1)))


class ErrorCost(NamedTuple):
    """What a size that is wrong by its interval does to a map.

    How oval a circle gets, percent, and how far an edge moves, mm.
    """

    oval_percent: float
    edge_mm: float


def error_cost(size: AreaSize, unit: str) -> ErrorCost:
    """What the uncertainty of ``size`` does to a map that is typed in ``unit``.

    ``unit`` is mm, inch, percent or counts. A length is a length whatever the tablet's size: typed
    in mm, a locked area is as long as it was computed, circles stay round, and only the edge at
    which it was to end moves. A percentage is taken of what the tablet really measures, and so is a
    count whose density was worked out from a size: there the error of the proportions enters in
    full.
    """
    edge_mm = max(size.width_mm.half_width, size.height_mm.half_width)
    if UNITS[unit].is_length:
        return ErrorCost(0.0, edge_mm)
    return ErrorCost(100 * size.ratio.half_width / size.ratio.value, edge_mm)
