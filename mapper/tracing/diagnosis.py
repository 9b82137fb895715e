"""Whether a measured map is the one that was meant, and what is likely set instead.

Every usual slip predicts two scales, px per mm along the screen's x and y. A slip fits where both
predictions lie within what was measured and what no trace resolves (``FLOOR_PERCENT``); slips that
predict two numbers come before those that leave one open, as two coincidences are less likely than
one.

A trace agrees where both scales are within the tolerance of the profile's or within what chance
allows; one that knows the ratio no better than 4 % is refused. No cause is named whose area the
tablet has no room for, at its place where places are known; a zoom that was given is taken as
given.

One trace knows sizes alone. A quarter turn shows in a card whose way of lying was said; turns and
mirrors show where the places of two things are known. Where neither is so, a trace that fits is no
pass if the tablet also has room for the same sizes a quarter turned ("orientation not told").
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from mapper.mapping.solve import TabletMap
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.rect import Rect
from mapper.tracing.measure import STRAIGHT, MeasuredMap, MeasuredScales, Way, off_quarters_deg
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
#: Chi squared with two degrees of freedom (one) is above this once in a hundred times.
SURE = 9.210
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
    "mirrored",
    "turned and mirrored",
    "several",
    "askew",
    "zoomed canvas",
    "area scaled",
    "scaled screenshot",
    "part of a display mapped",
    "another thing",
    "area moved",
    "part of one side mapped",
    "width differs",
    "height differs",
    "both differ",
    "orientation not told",
    "no area of this tablet",
)
#: Causes that predict both scales: one that is less likely than SURE does not fit.
EXACT = CAUSES[1:10]
#: What is to be corrected in the way the trace was made, and not in the driver.
BY_THE_TRACE = frozenset({"zoom", "pixel ratio", "thing", "orientation", "angle"})
#: Causes that change both scales alike: sizes alone never tell one from the other.
ALIKE = CAUSES[11:16]
#: Usual zooms of fine displays; a screenshot may have the pixels before or after the zoom.
_USUAL_SCALES = (1.25, 1.5, 1.75, 2.0, 2.5, 3.0)
# A zoom nearer to 100 % than this is a hand's, or a thing's that is not quite of its size.
_LEAST_ZOOM_PERCENT = 3.0
# By eye nobody lays a thing farther askew, degrees.
_LAID_DEG = 8.0
# Sides of a thing that was taken for another differ by no more, in logarithms.
_ANOTHER_THING = 0.15
# Below so many standard deviations a side is as it should be.
_ONE_SIDE = 3.0
_SAME_MM = 0.01
# How far an area may seem to stick out of the tablet: laying and measuring are no better.
_OUT_MM = 1.0


class TooVague(RequestError):
    """The trace is too rough to answer; what to draw instead is in the problem."""


@dataclass(frozen=True, slots=True)
class Cause:
    """A slip that would explain what was measured.

    ``name`` is one of CAUSES; ``area_width_mm`` and ``area_height_mm`` are what the driver then
    spreads along the screen's x and y, over ``target_px``; ``zoom_percent`` is set where the canvas
    was enlarged, or a screenshot is; ``display`` names the display where one is meant; ``chi2`` how
    far off the prediction is, in squared standard deviations. ``way`` is how the picture lies
    against the hand; ``correct`` names the numbers to correct, among "width", "height", "left",
    "top", "target", "turn", "mirror", "angle", "zoom", "pixel ratio", "thing", and "orientation"
    where all fits and only the way it lay is not known. ``thing_times`` is how many times as long
    the thing would be along the screen's x and y as was said.
    """

    name: str
    area_width_mm: float
    area_height_mm: float
    target_px: Rect
    chi2: float
    zoom_percent: float | None = None
    display: str = ""
    way: Way = STRAIGHT
    correct: tuple[str, ...] = ()
    thing_times: tuple[float, float] = (1.0, 1.0)


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """The verdict on a measured map.

    ``x_off_percent``, ``y_off_percent`` and ``ratio_off_percent`` are how much larger the measured
    scales and their ratio are than meant. ``cause`` is the likeliest, ``also`` others that fit.
    ``left_mm``, ``top_mm`` (seen frame) are the measured area's place, known from several traces.
    """

    x_off_percent: float
    y_off_percent: float
    ratio_off_percent: float
    cause: Cause
    also: tuple[Cause, ...]
    left_mm: Measurement | None = None
    top_mm: Measurement | None = None

    @property
    def agrees(self) -> bool:
        """Whether it is the map that was meant."""
        return self.cause.name == "agrees"

    @property
    def correct(self) -> tuple[str, ...]:
        """The numbers to correct if it is the likeliest cause."""
        return self.cause.correct


def diagnose(
    measured: MeasuredScales,
    meant: TabletMap,
    *,
    whole: MeasuredMap | None = None,
    tolerance_percent: float = TOLERANCE_PERCENT,
    laid_upright: bool = False,
    laid_said: bool = False,
    zoom_known: bool = False,
) -> Diagnosis:
    """The verdict on what was measured, compared with the map that was meant.

    ``whole`` is the map from several traces, where there is one; ``laid_upright`` says that a
    rectangle is taken as laid with its long side upright, ``laid_said`` that a person said how it
    lay, ``zoom_known`` that the enlargement of the canvas is known and allowed for. Raises TooVague
    where the trace cannot tell a right setting from a wrong one.
    """
    _refuse_vague(measured)
    case = _Case(measured, meant, whole, _way(measured, whole, laid_upright=laid_upright))
    area, screen = meant.area_seen_mm, meant.screen_px
    x_off = 100 * (measured.x_px_per_mm.value * area.width / screen.width - 1)
    y_off = 100 * (measured.y_px_per_mm.value * area.height / screen.height - 1)
    ratio_off = 100 * ((1 + x_off / 100) / (1 + y_off / 100) - 1)
    left, top = (None, None) if whole is None else _place(whole, screen)
    plain = case.cause("agrees", area.width, area.height, screen)
    close = max(abs(x_off), abs(y_off)) <= tolerance_percent
    if (close or plain.chi2 <= SURE) and not case.askew and case.way == STRAIGHT:
        causes = case.where_sizes_agree(plain, laid_said=laid_said)
    else:
        causes = case.causes(zoom_known=zoom_known)
    first = causes[0]
    # Where a slip explains the difference, a number that differs is no cause of its own.
    known = {first.name, "both differ", "no area of this tablet"} | (
        set() if first.name.endswith("differs") else {"width differs", "height differs"}
    )
    also = tuple(cause for cause in causes[1:] if cause.name not in known)
    return Diagnosis(x_off, y_off, ratio_off, first, also, left, top)


def _refuse_vague(measured: MeasuredScales) -> None:
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
            "Trace a larger object, slowly, pen against its edge, around it once; or give "
            "several traces"
        )
        raise TooVague(Problem("trace", must, came, instead))


def _way(measured: MeasuredScales, whole: MeasuredMap | None, *, laid_upright: bool) -> Way:
    """How the picture lies against the hand, as far as the traces show it."""
    if whole is not None:
        return whole.way
    turn = measured.thing_turn_deg
    if turn is not None and (abs(turn.value) > 45) != laid_upright:
        # By a quarter one way or the other: half a turn cannot be seen.
        return Way(90)
    return STRAIGHT


@dataclass(frozen=True, slots=True)
class _Case:
    """What was measured and what was meant, with the way the picture lies against the hand."""

    measured: MeasuredScales
    meant: TabletMap
    whole: MeasuredMap | None
    way: Way

    @property
    def askew(self) -> bool:
        """Whether the picture leans, or is turned by other than quarters."""
        if self.whole is not None:
            return self.measured.leans or self.whole.askew
        turn = self.measured.thing_turn_deg
        rest = 0.0 if turn is None else off_quarters_deg(turn.value)
        return self.measured.leans or abs(rest) > _LAID_DEG

    @property
    def offsets(self) -> tuple[float, float, float, float, float]:
        """``_log_offsets`` from the map that was meant."""
        area = self.meant.area_seen_mm
        return _log_offsets(self.measured, area.width, area.height, self.meant.screen_px)

    @property
    def out_of_round_chi2(self) -> float:
        """How far both scales are from being off alike, in squared standard deviations."""
        x, y, xx, xy, yy = self.offsets
        return (x - y) ** 2 / (xx - 2 * xy + yy)

    def cause(
        self, name: str, width_mm: float, height_mm: float, target: Rect, display: str = ""
    ) -> Cause:
        """A slip with the squared distance from its predicted scales to the measured ones.

        In standard deviations.
        """
        x, y, xx, xy, yy = _log_offsets(self.measured, width_mm, height_mm, target)
        chi2 = (yy * x * x - 2 * xy * x * y + xx * y * y) / (xx * yy - xy * xy)
        cause = Cause(name, width_mm, height_mm, target, chi2, display=display, way=self.way)
        return replace(cause, correct=self._correct(cause))

    def _correct(self, cause: Cause) -> tuple[str, ...]:
        """The fields of the driver that this cause says are set otherwise than meant."""
        area, active = self.meant.area_seen_mm, self.meant.request.tablet.active_seen_mm
        wide, tall = cause.area_width_mm, cause.area_height_mm
        if cause.way.turn_deg % 180:
            wide, tall = tall, wide
        wrong = {
            "target": cause.target_px not in {self.meant.screen_px, self.meant.target_px},
            "turn": cause.way.turn_deg and cause.way != Way(180, True),
            "mirror": cause.way.mirrored,
            "width": abs(wide / area.width - 1) > FLOOR_PERCENT / 100,
            "height": abs(tall / area.height - 1) > FLOOR_PERCENT / 100,
        }
        # The whole tablet starts at its own edges.
        whole = (wide, tall) == (active.width, active.height)
        wrong["left"] = whole and abs(area.left - active.left) > _SAME_MM
        wrong["top"] = whole and abs(area.top - active.top) > _SAME_MM
        return tuple(name for name, is_wrong in wrong.items() if is_wrong)

    def where_sizes_agree(self, plain: Cause, *, laid_said: bool) -> list[Cause]:
        """The cause, "agrees" at best, of a trace whose sizes are as meant."""
        if self.whole is None:
            turn = self.measured.thing_turn_deg
            told = laid_said and turn is not None
            # Who says nothing lays a card as it is asked for, along the screen's width.
            looks_turned = turn is not None and abs(turn.value) > 45
            if not told and (looks_turned or self._has_room_a_quarter_turned()):
                return [replace(plain, name="orientation not told", correct=("orientation",))]
            return [plain]
        left, top = _place(self.whole, self.meant.screen_px)
        moved = _moved_edges(left, top, self.meant)
        if not moved:
            other = self.whole.other_way
            if other is not None and (
                other.turn_deg % 180 == 0 or self._has_room_a_quarter_turned()
            ):
                return [replace(plain, name="orientation not told", correct=("orientation",))]
            return [plain]
        cause = replace(plain, name="area moved", correct=moved)
        if _has_room(cause, self.meant.request.tablet.active_seen_mm, self.whole):
            return [cause]
        # Displays of one size change nothing but places.
        found = [each for each in self._exact() if self._is_there(each)]
        return [*found, replace(plain, name="no area of this tablet")]

    def _is_there(self, cause: Cause) -> bool:
        """Whether the area that was meant lies where it should, if this is the target."""
        assert self.whole is not None
        return not _moved_edges(*_place(self.whole, cause.target_px), self.meant)

    def _has_room_a_quarter_turned(self) -> bool:
        """Whether the tablet has room for the same px per mm with the picture a quarter turned."""
        active = self.meant.request.tablet.active_seen_mm
        room = 1 + 3 * FLOOR_PERCENT / 100
        targets = (self.meant.screen_px, self.meant.target_px)
        return any(
            target.width / self.measured.x_px_per_mm.value <= room * active.height
            and target.height / self.measured.y_px_per_mm.value <= room * active.width
            for target in targets
        )

    def causes(self, *, zoom_known: bool) -> list[Cause]:
        """All slips that fit and are possible on this tablet, likeliest first.

        The last one always fits.
        """
        meant, whole = self.meant, self.whole
        active, screen = meant.request.tablet.active_seen_mm, meant.screen_px
        found = [] if self.askew else sorted(self._exact(), key=_by_simplicity)
        width = screen.width / self.measured.x_px_per_mm.value
        height = screen.height / self.measured.y_px_per_mm.value
        if self.askew:
            rest = Cause("askew", width, height, screen, 0.0, way=self.way, correct=("angle",))
            found.append(rest)
        elif self.way != STRAIGHT and not found:
            # Sizes of its own: nothing predicted them.
            unlike = self.cause(_way_name(self.way), width, height, screen)
            found.append(replace(unlike, chi2=math.inf))
        if self.way == STRAIGHT and not self.askew:
            found += self._scaling_causes(zoom_known=zoom_known)
            found += self._one_side_causes()
        found = [cause for cause in found if _has_room(cause, active, whole)]
        found += self._another_thing()
        rest = self.cause("both differ", width, height, screen)
        if not _has_room(rest, active, whole):
            rest = replace(rest, name="no area of this tablet", correct=())
        unique: list[Cause] = []
        for cause in (*found, rest):
            if all((cause.name, cause.display) != (other.name, other.display) for other in unique):
                unique.append(cause)
        return unique

    def _exact(self) -> list[Cause]:
        """The slips that predict both scales, as far as they fit."""
        meant, way = self.meant, self.way
        area, active = meant.area_seen_mm, meant.request.tablet.active_seen_mm
        screen, target, desktop = meant.screen_px, meant.target_px, meant.request.desktop
        plain = [(area.width, area.height), (active.width, active.height)]
        turned = [(height, width) for width, height in plain]
        found = []
        if way == STRAIGHT:
            found.append(self.cause("proportions not locked", active.width, active.height, target))
        targets = [
            (_display_cause(meant, each.label), each.rect_px, each.label)
            for each in desktop.displays
            if each.rect_px not in {screen, target}
        ]
        if desktop.rect_px not in {screen, target}:
            targets.append(("whole desktop mapped", desktop.rect_px, ""))
        sides = turned if way.turn_deg % 180 else plain
        for width, height in sides:
            for name, rect, label in targets:
                several = name if way == STRAIGHT else "several"
                found.append(self.cause(several, width, height, rect, label))
        # Without places a quarter turn shows in the sizes; so do two numbers that were swapped.
        ways = [way] if way != STRAIGHT else [Way(90)] * (self.whole is None)
        for other in ways:
            case, name = replace(self, way=other), _way_name(other)
            found += [
                case.cause(name, width, height, rect)
                for width, height in (turned if other.turn_deg % 180 else plain)
                for rect in dict.fromkeys((screen, target))
            ]
        return [cause for cause in found if cause.chi2 <= SURE]

    def _scaling_causes(self, *, zoom_known: bool) -> list[Cause]:
        """The causes that make both scales larger or smaller alike; sizes cannot tell them apart.

        The canvas was not at 100 % when the picture was saved, the area is another of the same
        shape, the screenshot has more or fewer pixels than the profile's displays, or the target is
        another of the same shape.
        """
        meant, measured = self.meant, self.measured
        area, screen, active = (
            meant.area_seen_mm,
            meant.screen_px,
            meant.request.tablet.active_seen_mm,
        )
        x, y, xx, xy, yy = self.offsets
        chi2 = self.out_of_round_chi2
        if chi2 > _CHI2_1_AT_1_PERCENT:
            return []
        # A thing of another size than its nominal one changes both alike.
        spread = math.sqrt((xx + 2 * xy + yy) / 4 + _FLOOR / 2)
        larger = math.exp((x + y) / 2)
        plain = Cause("", area.width, area.height, screen, chi2)
        # The picture shows fewer px than the screen had where the canvas was enlarged on it.
        zoom = 100 / larger
        near = min(USUAL_ZOOMS_PERCENT, key=lambda usual: abs(math.log(usual / zoom)))
        usual = abs(math.log(near / zoom)) <= 3 * spread
        scaled = self.cause("area scaled", area.width / larger, area.height / larger, screen)
        if self.whole is not None:
            moved = _moved_edges(*_place(self.whole, screen), meant)
            scaled = replace(scaled, correct=scaled.correct + moved)
        causes = []
        if not zoom_known and (usual or abs(zoom - 100) > _LEAST_ZOOM_PERCENT):
            zoomed = near if usual else zoom
            causes.append(
                replace(plain, name="zoomed canvas", zoom_percent=zoomed, correct=("zoom",))
            )
        # A usual zoom is the likelier; else, and where places say that the area has room, the area
        # is.
        causes.insert(len(causes) if usual and self.whole is None else 0, scaled)
        density = min(_USUAL_SCALES, key=lambda scale: abs(abs(math.log(larger)) - math.log(scale)))
        if abs(abs(math.log(larger)) - math.log(density)) <= 3 * spread:
            ratio = density if larger > 1 else 1 / density
            causes.append(
                replace(
                    plain,
                    name="scaled screenshot",
                    zoom_percent=100 * ratio,
                    correct=("pixel ratio",),
                )
            )
        for width, height in dict.fromkeys(
            ((area.width, area.height), (active.width, active.height))
        ):
            across, down = measured.x_px_per_mm.value * width, measured.y_px_per_mm.value * height
            desktop = meant.request.desktop.rect_px
            if across < 0.99 * desktop.width and down < 0.99 * desktop.height and larger < 1:
                target = Rect(screen.left, screen.top, across, down)
                causes.append(self.cause("part of a display mapped", width, height, target))
                break
        return causes

    def _one_side_causes(self) -> list[Cause]:
        """The causes that change one scale alone: a side of the area, or a part of the target."""
        area, screen = self.meant.area_seen_mm, self.meant.screen_px
        x, y, xx, _, yy = self.offsets
        x_chi2, y_chi2 = x * x / xx, y * y / yy
        if y_chi2 <= _CHI2_1_AT_1_PERCENT < x_chi2:
            sides = self.cause("width differs", area.width / math.exp(x), area.height, screen)
            part = Rect(screen.left, screen.top, screen.width * math.exp(x), screen.height)
            off, spread = x, math.sqrt(xx)
        elif x_chi2 <= _CHI2_1_AT_1_PERCENT < y_chi2:
            sides = self.cause("height differs", area.width, area.height / math.exp(y), screen)
            part = Rect(screen.left, screen.top, screen.width, screen.height * math.exp(y))
            off, spread = y, math.sqrt(yy)
        else:
            return []
        if off > 0:
            return [sides]
        mapped = self.cause("part of one side mapped", area.width, area.height, part)
        half = abs(off + math.log(2)) <= 3 * spread
        return [mapped, sides] if half else [sides, mapped]

    def _another_thing(self) -> list[Cause]:
        """The thing itself, where it may be of another size than was said."""
        area, screen = self.meant.area_seen_mm, self.meant.screen_px
        x, y, xx, _, yy = self.offsets
        as_round = self.out_of_round_chi2 <= _CHI2_1_AT_1_PERCENT
        one_side = min(abs(x) / math.sqrt(xx), abs(y) / math.sqrt(yy)) < _ONE_SIDE
        # A round thing stays round; of a card both sides may differ, but hardly one alone.
        if max(abs(x), abs(y)) > _ANOTHER_THING or self.askew or self.way != STRAIGHT:
            return []
        if not as_round and (one_side or self.measured.thing_turn_deg is None):
            return []
        return [
            Cause(
                "another thing",
                area.width,
                area.height,
                screen,
                0.0,
                correct=("thing",),
                thing_times=(math.exp(x), math.exp(y)),
            )
        ]


def _by_simplicity(cause: Cause) -> tuple[bool, float]:
    return cause.name == "several", cause.chi2


def _way_name(way: Way) -> str:
    """The cause that the picture lies in this way against the hand."""
    if not way.mirrored:
        return "turned"
    return "mirrored" if way.turn_deg % 180 == 0 else "turned and mirrored"


def _place(whole: MeasuredMap, target: Rect) -> tuple[Measurement, Measurement]:
    """Where the area of this target begins, seen mm: its left and its top."""
    corners = (
        whole.back(target.left, target.top),
        whole.back(target.right, target.bottom),
        whole.back(target.right, target.top),
    )
    left = min((x for x, _ in corners), key=lambda known: known.value)
    top = min((y for _, y in corners), key=lambda known: known.value)
    return left, top


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
    if cause.name in {"askew", "turned"}:
        return True
    wide, tall = cause.area_width_mm, cause.area_height_mm
    if cause.way.turn_deg % 180:
        wide, tall = tall, wide
    if wide > room * active.width or tall > room * active.height:
        return False
    if whole is None or cause.name == "scaled screenshot":
        return True
    zoom = (cause.zoom_percent or 100.0) / 100
    target = cause.target_px
    seen = Rect(target.left / zoom, target.top / zoom, target.width / zoom, target.height / zoom)
    for known, length, most in zip(
        _place(whole, seen), (wide, tall), (active.width, active.height), strict=True
    ):
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


def _moved_edges(left: Measurement, top: Measurement, meant: TabletMap) -> tuple[str, ...]:
    """The edges of the area that lie elsewhere than meant.

    By more than chance and more than a millimetre.
    """
    area = meant.area_seen_mm
    places = (("left", left, area.left), ("top", top, area.top))
    return tuple(
        name
        for name, known, wanted in places
        if not known.holds(wanted) and abs(known.value - wanted) > 1.0
    )
