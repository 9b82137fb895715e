"""Whether a measured map is the one that was meant, and what is likely set instead.

Every usual slip predicts two scales, px per mm along the screen's x and y. A slip fits where both
predictions lie within what was measured and what no trace resolves (``FLOOR_PERCENT``); slips that
predict two numbers come before those that leave one open, as two coincidences are less likely than
one.

A trace agrees where both scales are within the tolerance of the profile's or within what chance
allows; one that knows the ratio no better than 4 % is refused. No cause is named whose area the
tablet has no room for, at its place where places are known; a zoom that was given is taken as
given.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from mapper.mapping.solve import TabletMap
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.rect import Rect
from mapper.tracing.measure import MeasuredMap, MeasuredScales
from mapper.tracing.measurement import Measurement

#: Scales that differ by less than this pass as agreeing; people see a change of proportions from
#: 1.6 % up (mapper.distortion.NOTICED_STRETCH_PERCENT).
TOLERANCE_PERCENT = 1.0
#: Rounded settings and things that are not quite their nominal size: no comparison is finer than
#: this (one standard deviation, per cent; common practice, no source).
FLOOR_PERCENT = 0.25
_FLOOR = (FLOOR_PERCENT / 100) ** 2
# A trace whose ratio is known no better than this cannot tell one setting from another.
WIDEST_RATIO_PERCENT = 4.0
# Chi squared with two degrees of freedom (one) is above this once in a hundred times.
_CHI2_2_AT_1_PERCENT = 9.210
_CHI2_1_AT_1_PERCENT = 6.635
#: Enlargements that paint programs offer, in per cent.
USUAL_ZOOMS_PERCENT = (
    25.0,
    100 / 3,
    50.0,
    200 / 3,
    75.0,
    80.0,
    90.0,
    110.0,
    125.0,
    150.0,
    175.0,
    200.0,
    300.0,
    400.0,
)

CAUSES = (
    "agrees",
    "proportions not locked",
    "only one display mapped",
    "whole desktop mapped",
    "wrong display",
    "whole display mapped",
    "turned",
    "zoomed canvas",
    "area scaled",
    "scaled screenshot",
    "part of a display mapped",
    "area moved",
    "width differs",
    "height differs",
    "both differ",
    "no area of this tablet",
)
#: Causes that predict both scales, and how unlikely one may be and still fit.
EXACT = CAUSES[1:7]
SURE = _CHI2_2_AT_1_PERCENT
#: Causes that change both scales alike: sizes alone never tell one from the other.
ALIKE = ("zoomed canvas", "area scaled", "scaled screenshot", "part of a display mapped")
#: Usual zooms of fine displays; a screenshot may have the pixels before or after the zoom.
_USUAL_SCALES = (1.25, 1.5, 1.75, 2.0, 2.5, 3.0)
# How far an area may seem to stick out of the tablet: laying and measuring are no better.
_OUT_MM = 1.0


class TooVague(RequestError):
    """The trace is too rough to answer; what to draw instead is in the problem."""


@dataclass(frozen=True, slots=True)
class Cause:
    """A slip that would explain what was measured.

    ``name`` is one of CAUSES; ``area_width_mm`` and ``area_height_mm`` (seen frame) and
    ``target_px`` are what the driver then uses; ``zoom_percent`` is set where the canvas was
    enlarged, or a screenshot is; ``display`` names the display where one is meant; ``chi2`` how far
    off the prediction is, in squared standard deviations.
    """

    name: str
    area_width_mm: float
    area_height_mm: float
    target_px: Rect
    chi2: float
    zoom_percent: float | None = None
    display: str = ""


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """The verdict on a measured map.

    ``agrees`` says whether it is the map that was meant. ``x_off_percent``, ``y_off_percent`` and
    ``ratio_off_percent`` are how much larger the measured scales and their ratio are than meant.
    ``cause`` is the likeliest, ``also`` others that fit; ``correct`` names the numbers to correct,
    among "width", "height", "left", "top", "target", "turn", "zoom", "pixel ratio". ``left_mm``,
    ``top_mm`` (seen frame) are the measured area's place, known from several traces.
    """

    agrees: bool
    x_off_percent: float
    y_off_percent: float
    ratio_off_percent: float
    cause: Cause
    also: tuple[Cause, ...]
    correct: tuple[str, ...]
    left_mm: Measurement | None = None
    top_mm: Measurement | None = None


def diagnose(
    measured: MeasuredScales,
    meant: TabletMap,
    *,
    whole: MeasuredMap | None = None,
    tolerance_percent: float = TOLERANCE_PERCENT,
    laid_upright: bool = False,
    zoom_known: bool = False,
) -> Diagnosis:
    """The verdict on what was measured, compared with the map that was meant.

    ``whole`` is the map from several traces, where there is one; ``laid_upright`` says that a
    rectangle was laid with its long side upright on purpose, ``zoom_known`` that the enlargement of
    the canvas is known and allowed for. Raises TooVague where the trace cannot tell a right setting
    from a wrong one.
    """
    ratio_half_percent = 100 * measured.ratio.half_width / measured.ratio.value
    if ratio_half_percent > WIDEST_RATIO_PERCENT:
        must = phrase(
            "must tell height against width to {widest_ratio} %",
            widest_ratio=f"{WIDEST_RATIO_PERCENT:g}",
        )
        came = phrase(
            "a rough or small one that tells it to {ratio_half} %",
            ratio_half=f"{ratio_half_percent:.1f}",
        )
        instead = phrase(
            "Trace a larger thing, slowly, pen against its edge, around it once; or give "
            "several traces"
        )
        raise TooVague(Problem("trace", must, came, instead))
    area, screen = meant.area_seen_mm, meant.screen_px
    x_off = 100 * (measured.x_px_per_mm.value * area.width / screen.width - 1)
    y_off = 100 * (measured.y_px_per_mm.value * area.height / screen.height - 1)
    ratio_off = 100 * ((1 + x_off / 100) / (1 + y_off / 100) - 1)
    causes = _causes(measured, meant, whole, laid_upright=laid_upright, zoom_known=zoom_known)
    left, top = (None, None) if whole is None else whole.back(screen.left, screen.top)
    plain = _cause("agrees", measured, area.width, area.height, screen)
    close = max(abs(x_off), abs(y_off)) <= tolerance_percent
    quarter = _quarter_turned(measured, laid_upright)
    askew = measured.leans or (whole is not None and whole.turns)
    if (close or plain.chi2 <= _CHI2_2_AT_1_PERCENT) and not askew and not quarter:
        moved = _moved_edges(left, top, meant)
        if not moved:
            return Diagnosis(True, x_off, y_off, ratio_off, plain, (), (), left, top)
        cause = Cause("area moved", area.width, area.height, screen, plain.chi2)
        return Diagnosis(False, x_off, y_off, ratio_off, cause, (), moved, left, top)
    first = causes[0]
    # Where a slip explains the difference, a number that differs is no cause of its own.
    known = {first.name, "both differ", "no area of this tablet"} | (
        set() if first.name.endswith("differs") else {"width differs", "height differs"}
    )
    also = tuple(cause for cause in causes[1:] if cause.name not in known)
    correct = _numbers_to_correct(first, meant)
    if first.name == "area scaled":
        correct += _moved_edges(left, top, meant)
    return Diagnosis(False, x_off, y_off, ratio_off, first, also, correct, left, top)


def _causes(
    measured: MeasuredScales,
    meant: TabletMap,
    whole: MeasuredMap | None,
    *,
    laid_upright: bool,
    zoom_known: bool,
) -> list[Cause]:
    """All slips that fit and are possible on this tablet, likeliest first.

    The last one always fits.
    """
    area, screen, active = meant.area_seen_mm, meant.screen_px, meant.request.tablet.active_seen_mm
    desktop = meant.request.desktop
    quarter = _quarter_turned(measured, laid_upright)
    exact: list[Cause] = []
    # A quarter turn that a rectangle shows leaves the sizes as the driver has them, across.
    sides = [(area.width, area.height), (active.width, active.height)]
    turned = [(height, width) for width, height in sides]
    target = meant.target_px
    askew = measured.leans or (whole is not None and whole.turns)
    if not quarter and not askew:
        exact.append(
            _cause("proportions not locked", measured, active.width, active.height, target)
        )
        for width, height in sides:
            exact += [
                _cause(
                    _display_cause(meant, display.label),
                    measured,
                    width,
                    height,
                    display.rect_px,
                    display=display.label,
                )
                for display in desktop.displays
                if display.rect_px not in {screen, target}
            ]
            if desktop.rect_px not in {screen, target}:
                exact.append(
                    _cause("whole desktop mapped", measured, width, height, desktop.rect_px)
                )
    if area.width != area.height or quarter:
        exact += [_cause("turned", measured, width, height, screen) for width, height in turned]
        exact += [
            _cause("turned", measured, width, height, target)
            for width, height in turned
            if target != screen
        ]
    fitting = sorted(
        (cause for cause in exact if cause.chi2 <= _CHI2_2_AT_1_PERCENT),
        key=lambda cause: cause.chi2,
    )
    unique: list[Cause] = []
    for cause in fitting:
        if all((cause.name, cause.display) != (other.name, other.display) for other in unique):
            unique.append(cause)
    if askew or (quarter and not unique):
        unique.append(_cause("turned", measured, area.width, area.height, screen))
    unique += _scaling_causes(measured, meant, whole, zoom_known=zoom_known)
    unique += _one_number_causes(measured, area, screen)
    unique = [cause for cause in unique if _has_room(cause, active, whole)]
    width = screen.width / measured.x_px_per_mm.value
    height = screen.height / measured.y_px_per_mm.value
    rest = Cause("both differ", width, height, screen, 0.0)
    unique.append(
        rest if _has_room(rest, active, whole) else replace(rest, name="no area of this tablet")
    )
    return unique


def _display_cause(meant: TabletMap, label: str) -> str:
    """The name of the slip by which all of the display ``label`` was mapped."""
    if len(meant.reached) > 1:
        return "only one display mapped"
    # A part of this display was meant, and all of it was set.
    return "whole display mapped" if meant.reached[0].label == label else "wrong display"


def _has_room(cause: Cause, active: Rect, whole: MeasuredMap | None) -> bool:
    """Whether the tablet has room for the area that a cause implies.

    At its measured place, where that is known.
    """
    room = 1 + 3 * FLOOR_PERCENT / 100
    if cause.name == "turned":
        return True
    if cause.area_width_mm > room * active.width or cause.area_height_mm > room * active.height:
        return False
    if whole is None or cause.name == "scaled screenshot":
        return True
    zoom = (cause.zoom_percent or 100.0) / 100
    place = whole.back(cause.target_px.left / zoom, cause.target_px.top / zoom)
    sizes = ((cause.area_width_mm, active.width), (cause.area_height_mm, active.height))
    for known, (length, most) in zip(place, sizes, strict=True):
        out = _OUT_MM + 1.5 * known.half_width
        if not (known.value >= -out and known.value + length <= most * room + out):
            return False
    return True


def _log_offsets(
    measured: MeasuredScales, width_mm: float, height_mm: float, target: Rect
) -> tuple[float, float, float, float, float]:
    """The logarithms by which both scales are larger than predicted, and their covariance.

    Predicted by an area of this size on ``target``. x, y, then xx, xy, yy.
    """
    x = math.log(measured.x_px_per_mm.value * width_mm / target.width)
    y = math.log(measured.y_px_per_mm.value * height_mm / target.height)
    xx, xy, yy = measured.log_covariance
    return x, y, xx + _FLOOR, xy, yy + _FLOOR


def _cause(
    name: str,
    measured: MeasuredScales,
    width_mm: float,
    height_mm: float,
    target: Rect,
    *,
    display: str = "",
) -> Cause:
    """A slip with the squared distance from its predicted scales to the measured ones.

    In standard deviations.
    """
    x, y, xx, xy, yy = _log_offsets(measured, width_mm, height_mm, target)
    chi2 = (yy * x * x - 2 * xy * x * y + xx * y * y) / (xx * yy - xy * xy)
    return Cause(name, width_mm, height_mm, target, chi2, display=display)


def _scaling_causes(
    measured: MeasuredScales, meant: TabletMap, whole: MeasuredMap | None, *, zoom_known: bool
) -> list[Cause]:
    """The causes that make both scales larger or smaller alike; sizes cannot tell them apart.

    The canvas was not at 100 % when the picture was saved, the area is another of the same shape,
    the screenshot has more or fewer pixels than the profile's displays, or the target is another of
    the same shape.
    """
    area, screen, active = meant.area_seen_mm, meant.screen_px, meant.request.tablet.active_seen_mm
    x, y, xx, xy, yy = _log_offsets(measured, area.width, area.height, screen)
    chi2 = (x - y) ** 2 / (xx - 2 * xy + yy)
    if chi2 > _CHI2_1_AT_1_PERCENT or measured.leans:
        return []
    # A thing of another size than its nominal one changes both alike.
    spread = math.sqrt((xx + 2 * xy + yy) / 4 + _FLOOR / 2)
    larger = math.exp((x + y) / 2)
    # The picture shows fewer px than the screen had where the canvas was enlarged on the screen.
    zoom = 100 / larger
    near = min(USUAL_ZOOMS_PERCENT, key=lambda usual: abs(math.log(usual / zoom)))
    usual = abs(math.log(near / zoom)) <= 3 * spread
    zoomed = Cause(
        "zoomed canvas", area.width, area.height, screen, chi2, zoom_percent=near if usual else zoom
    )
    scaled = Cause("area scaled", area.width / larger, area.height / larger, screen, chi2)
    causes = [] if zoom_known else [zoomed]
    # A usual zoom is the likelier; else, and where places say that the area has room, the area is.
    causes.insert(len(causes) if usual and whole is None else 0, scaled)
    density = min(_USUAL_SCALES, key=lambda scale: abs(abs(math.log(larger)) - math.log(scale)))
    if abs(abs(math.log(larger)) - math.log(density)) <= 3 * spread:
        ratio = density if larger > 1 else 1 / density
        causes.append(
            Cause(
                "scaled screenshot", area.width, area.height, screen, chi2, zoom_percent=100 * ratio
            )
        )
    for width, height in dict.fromkeys(((area.width, area.height), (active.width, active.height))):
        across, down = measured.x_px_per_mm.value * width, measured.y_px_per_mm.value * height
        desktop = meant.request.desktop.rect_px
        if across < 0.99 * desktop.width and down < 0.99 * desktop.height and larger < 1:
            target = Rect(screen.left, screen.top, across, down)
            causes.append(Cause("part of a display mapped", width, height, target, chi2))
            break
    return causes


def _one_number_causes(measured: MeasuredScales, area: Rect, screen: Rect) -> list[Cause]:
    """The cause that one side of the area alone differs, where one explains the scales."""
    x, y, xx, _, yy = _log_offsets(measured, area.width, area.height, screen)
    x_chi2, y_chi2 = x * x / xx, y * y / yy
    if y_chi2 <= _CHI2_1_AT_1_PERCENT < x_chi2:
        return [Cause("width differs", area.width / math.exp(x), area.height, screen, y_chi2)]
    if x_chi2 <= _CHI2_1_AT_1_PERCENT < y_chi2:
        return [Cause("height differs", area.width, area.height / math.exp(y), screen, x_chi2)]
    return []


def _quarter_turned(measured: MeasuredScales, laid_upright: bool) -> bool:
    """Whether a rectangle came out a quarter turn from how it was laid."""
    turn = measured.thing_turn_deg
    return turn is not None and (abs(turn.value) > 45) != laid_upright


def _moved_edges(
    left: Measurement | None, top: Measurement | None, meant: TabletMap
) -> tuple[str, ...]:
    """The edges of the area that lie elsewhere than meant.

    By more than chance and more than a millimetre.
    """
    area = meant.area_seen_mm
    places = (("left", left, area.left), ("top", top, area.top))
    return tuple(
        name
        for name, known, wanted in places
        if known is not None and not known.holds(wanted) and abs(known.value - wanted) > 1.0
    )


def _numbers_to_correct(cause: Cause, meant: TabletMap) -> tuple[str, ...]:
    """The numbers that a cause says are wrong."""
    if cause.name in {"zoomed canvas", "scaled screenshot"}:
        return ("zoom" if cause.name == "zoomed canvas" else "pixel ratio",)
    if cause.name == "turned":
        return ("turn",)
    if cause.name == "no area of this tablet":
        return ()
    area = meant.area_seen_mm
    if cause.name in {
        "whole desktop mapped",
        "wrong display",
        "only one display mapped",
        "whole display mapped",
    }:
        same = cause.area_width_mm == area.width and cause.area_height_mm == area.height
        return ("target",) if same else ("target", "width", "height")
    wrong = {
        "width": abs(cause.area_width_mm / area.width - 1) > FLOOR_PERCENT / 100,
        "height": abs(cause.area_height_mm / area.height - 1) > FLOOR_PERCENT / 100,
        "target": cause.target_px != meant.screen_px,
    }
    return tuple(name for name, is_wrong in wrong.items() if is_wrong)
