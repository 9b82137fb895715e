"""Whether the driver does what was meant, by touched crosses, and what it does instead.

A setting is compared number by number: width, height, left, top, the turn and the lean. Each
difference has the chance of the touches (Student's t) and a part that no touch shows, since it is
the same in all: a hand that misses to one side, a sheet laid a millimetre off, paper that shrank
(``PLACE_MM``, ``PAPER_PERCENT``, ``LAID_DEG``; common practice, no source). The stated limit is
both together. Three answers:

* wrong, where a number is farther off than the hidden part and chance once in a thousand;
* right, where each is so near that a setting more than 2 mm or 2 % beyond the stated limit would
  come so near once in a thousand times at most;
* cannot tell, in between, and wherever the cause may lie in the sheet.

Then the usual slips are tried, each as a whole setting (``DriverSetting``) that predicts every
number; those with the fewest fields changed come first. ``tests/studies/touch_coverage.py`` counts
how often the answers are right.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from mapper.affine import Affine
from mapper.desk import SYSTEM_ZOOMS_PERCENT
from mapper.mapping.solve import TabletMap
from mapper.rect import Rect
from mapper.touching.fit import Touch, TouchFit, fit_touches, on_one_line
from mapper.touching.setting import WAYS, DriverSetting, way_words
from mapper.touching.slips import Slip, set_right
from mapper.touching.student import student_t
from mapper.tracing.measurement import Measurement
from mapper.units import MM_PER_INCH

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mapper.desk import Desktop

#: What no touch shows: the hand's side and the sheet's place together, paper, and how it was laid.
PLACE_MM = 1.0
PAPER_PERCENT = 0.3
LAID_DEG = 0.5
#: How far beyond its stated limit a setting may be off and still pass once in a thousand times.
_BEYOND = {"width": 2.0, "height": 2.0, "left": 2.0, "top": 2.0, "turn": 1.0, "lean": 1.5}
_SURE, _ONE_IN_1000_ONE_WAY, _ONE_IN_1000 = 0.95, 0.998, 0.999
# The cursor that is held stays within this of the edge, px.
_EDGE_PX = 1.0
# Directions of a way lie within this of the axes' (cosine of 37 degrees).
_ALONG = 0.8
_OUT_MM = 3.0
_OUT_SHARE = 0.1

RIGHT, WRONG, CANNOT_TELL = "right", "wrong", "cannot tell"
#: What may be the matter; the first is nothing.
CAUSES = (
    "agrees",
    "turned",
    "mirrored",
    "turned and mirrored",
    "whole tablet",
    "another display",
    "all displays",
    "part of a display",
    "area moved",
    "inches for mm",
    "zoomed desktop",
    "angle not set",
    "another area",
    "several",
    "sheet turned",
    "askew",
    "place not told",
    "crosses outside",
    "too few inside",
    "too few touches",
    "on one line",
    "too rough",
    "no setting",
)


class Off(NamedTuple):
    """How far one number is off: mm for left and top, percent for sizes, degrees for angles.

    ``chance`` is its standard error by the touches, ``hidden`` what no touch shows.
    """

    name: str
    value: float
    chance: float
    hidden: float
    freedom: int

    @property
    def limit(self) -> float:
        """The stated limit: 19 of 20 times it is no farther off than this from what is told."""
        return self.hidden + student_t(_SURE, self.freedom) * self.chance

    @property
    def fits(self) -> bool:
        """Whether the hidden part and chance allow it."""
        most = self.hidden + student_t(_ONE_IN_1000, self.freedom) * self.chance
        return abs(self.value) <= most

    @property
    def passes(self) -> bool:
        """Whether one that is off beyond the stated limit would hardly come so near."""
        steps = student_t(_SURE, self.freedom) - student_t(_ONE_IN_1000_ONE_WAY, self.freedom)
        return self.fits and abs(self.value) <= _BEYOND[self.name] + steps * self.chance


class Found(NamedTuple):
    """What the touches say of the area, if the pen fills ``setting.target_px`` in its way.

    ``setting`` has the measured area; ``offs`` are against the setting that was compared with.
    """

    setting: DriverSetting
    offs: tuple[Off, ...]
    turned_deg: float
    sizes_known: dict[str, Measurement]
    held_right: bool

    @property
    def fits(self) -> bool:
        return self.held_right and all(off.fits for off in self.offs)

    @property
    def passes(self) -> bool:
        return self.held_right and all(off.passes for off in self.offs)

    @property
    def distance(self) -> float:
        return sum((off.value / max(off.limit, 1e-9)) ** 2 for off in self.offs)


class Cause(NamedTuple):
    """A setting that explains the touches: one of CAUSES and the fields to correct.

    ``correct`` names fields among width, height, left, top, target, turn, mirror, angle, and
    ``pixels`` or ``sheet`` where the driver may be right. ``setting`` is what the driver then
    uses, ``display`` the display that is meant, ``zoom`` the system's.
    """

    name: str
    setting: DriverSetting | None = None
    correct: tuple[str, ...] = ()
    display: str = ""
    zoom: float = 1.0


@dataclass(frozen=True, slots=True)
class TouchVerdict:
    """The answer to touched crosses.

    ``answer`` is RIGHT, WRONG or CANNOT_TELL; ``cause`` the likeliest and ``also`` others that fit
    as well; ``ask_corner`` says that a touch at the tablet's own top left corner would tell them
    apart. ``found`` is the measured setting, None where there is no map; ``slips`` the wrong
    touches, ``used`` the others.
    """

    answer: str
    cause: Cause
    also: tuple[Cause, ...]
    meant: DriverSetting
    fit: TouchFit | None
    found: Found | None
    slips: tuple[Slip, ...]
    used: tuple[Touch, ...]
    ask_corner: bool = False
    anywhere: bool = False

    @property
    def touches(self) -> int:
        """How many touches were used."""
        return len(self.used)

    @property
    def held(self) -> int:
        """How many of the touches that were used ended at an edge."""
        return sum(not (touch.x_free and touch.y_free) for touch in self.used)

    @property
    def limits_mm(self) -> dict[str, float]:
        """The stated limit of each number of the area, mm; without places where none are known."""
        if self.found is None:
            return {}
        area, limits = self.found.setting.area_built_mm, {}
        for off in self.found.offs:
            if off.name in {"width", "height"}:
                limits[off.name] = off.limit / 100 * getattr(area, off.name)
            elif off.name in {"left", "top"}:
                limits[off.name] = off.limit
        return limits


def judge(
    touches: Sequence[Touch],
    meant: TabletMap,
    *,
    anywhere: bool = False,
    corner_px: tuple[float, float] | None = None,
) -> TouchVerdict:
    """The verdict on touches of known crosses against the map that was meant.

    ``anywhere`` says that the sheet lay at no known place. ``corner_px`` is where the cursor went
    when the pen touched the tablet's own top left corner.
    """
    desktop, targets = meant.request.desktop, (meant.screen_px, meant.target_px)
    marked = [held_at_edges(touch, desktop, *targets) for touch in touches]
    kept, slips = set_right(marked)
    setting = DriverSetting.of(meant)
    fit = fit_touches(kept)
    judging = _Judging(kept, meant, setting, fit, anywhere, corner_px)
    answer, cause, also, found, ask = judging.answer()
    return TouchVerdict(
        answer,
        cause,
        also,
        setting,
        fit,
        found,
        tuple(slips),
        tuple(kept),
        ask_corner=ask,
        anywhere=anywhere,
    )


def held_at_edges(touch: Touch, desktop: Desktop, *targets: Rect) -> Touch:
    """The touch, marked where the cursor is held at an edge of a display or of a target."""
    rects = [*(display.rect_px for display in desktop.displays), *targets]
    x_edges = {edge for rect in rects for edge in (rect.left, rect.right)}
    y_edges = {edge for rect in rects for edge in (rect.top, rect.bottom)}
    return touch._replace(
        x_free=not any(_at(edge, touch.x_px) for edge in x_edges),
        y_free=not any(_at(edge, touch.y_px) for edge in y_edges),
    )


def _at(edge_px: float, value_px: float) -> bool:
    return abs(value_px - edge_px) <= _EDGE_PX


def _halves(rect: Rect) -> tuple[Rect, ...]:
    wide, tall = rect.width / 2, rect.height / 2
    return (
        Rect(rect.left, rect.top, wide, rect.height),
        Rect(rect.left + wide, rect.top, wide, rect.height),
        Rect(rect.left, rect.top, rect.width, tall),
        Rect(rect.left, rect.top + tall, rect.width, tall),
    )


_Answer = tuple[str, Cause, tuple[Cause, ...], "Found | None", bool]


class _Judging(NamedTuple):
    """What the answer is made of."""

    touches: list[Touch]
    meant: TabletMap
    setting: DriverSetting
    fit: TouchFit | None
    anywhere: bool
    corner_px: tuple[float, float] | None

    def answer(self) -> _Answer:  # noqa: PLR0911 - one return a kind of answer
        """Answer, cause, further causes, what was found, and whether to ask for the corner."""
        fit = self.fit
        if fit is None or fit.freedom < 1:
            return self._without_a_map()
        way = self._way()
        if way is None:
            return CANNOT_TELL, Cause("no setting"), (), None, False
        plain = self.found(replace(self.setting, turn_deg=way[0], mirror=way[1]))
        if way == (self.setting.turn_deg, "") and plain.fits:
            return self._where_it_fits(plain)
        causes = self._explanations(way)
        if causes:
            return self._by_causes(causes, plain)
        angles = [off for off in plain.offs if off.name in {"turn", "lean"} and not off.fits]
        if any(off.name == "lean" for off in angles):
            return CANNOT_TELL, Cause("no setting"), (), plain, False
        if angles:
            return CANNOT_TELL, Cause("askew", correct=("sheet",)), (), plain, False
        if not self._has_room(plain.setting.area_built_mm) or not self._held_right(plain.setting):
            return WRONG, Cause("no setting"), (), plain, False
        return WRONG, self._generic(plain), (), plain, False

    def _where_it_fits(self, plain: Found) -> _Answer:
        if not plain.passes:
            worst = {off.name for off in plain.offs if not off.passes}
            name = "askew" if worst == {"turn"} else "too rough"
            return CANNOT_TELL, Cause(name), (), plain, False
        if self.anywhere:
            return CANNOT_TELL, Cause("place not told", correct=("sheet",)), (), plain, False
        return RIGHT, Cause("agrees", plain.setting), (), plain, False

    def _by_causes(self, causes: list[Cause], plain: Found) -> _Answer:
        first, *also = causes
        by_sheet = [cause for cause in causes if cause.name == "sheet turned"]
        if not by_sheet:
            return WRONG, first, tuple(also), plain, False
        others = [cause for cause in causes if cause.name != "sheet turned"]
        if not others:
            return CANNOT_TELL, by_sheet[0], (), plain, False
        at_fault = self._by_corner(others[0])
        if at_fault is None:
            return CANNOT_TELL, others[0], (*by_sheet, *others[1:]), plain, True
        if at_fault:
            return WRONG, others[0], tuple(others[1:]), plain, False
        return CANNOT_TELL, by_sheet[0], (), plain, False

    def _by_corner(self, cause: Cause) -> bool | None:
        """Whether the driver is at fault, by the touch at the tablet's corner; None without one."""
        if self.corner_px is None or cause.setting is None:
            return None
        driver = math.dist(self.corner_px, cause.setting.cursor_px(0.0, 0.0))
        sheet = math.dist(self.corner_px, self.setting.cursor_px(0.0, 0.0))
        if min(driver, sheet) > max(driver, sheet) / 3:
            return None
        return driver < sheet

    def _without_a_map(self) -> _Answer:
        count = len(self.touches)
        x_free = sum(touch.x_free for touch in self.touches)
        y_free = sum(touch.y_free for touch in self.touches)
        if count > 3 and min(x_free, y_free) < count - 1:
            if self._foretells(self.setting):
                return CANNOT_TELL, Cause("too few inside"), (), None, False
            inches = self._inches()
            if inches is not None and self._foretells(inches):
                return WRONG, Cause("inches for mm", inches, _AREA), (), None, False
            return WRONG, Cause("crosses outside", None, _EVERYTHING), (), None, False
        if on_one_line(self.touches) and count >= 3:
            return CANNOT_TELL, Cause("on one line"), (), None, False
        return CANNOT_TELL, Cause("too few touches"), (), None, False

    def _inches(self) -> DriverSetting | None:
        """The setting whose numbers of mm were taken from a list of inches."""
        area, active = self.setting.area_built_mm, self.meant.request.tablet.active_built_mm
        tiny = Rect(*(side / MM_PER_INCH for side in _sides(area)))
        return replace(self.setting, area_built_mm=tiny) if active.holds(tiny) else None

    def _foretells(self, setting: DriverSetting) -> bool:
        """Whether a setting foretells every cursor, within a rough hand, mm."""
        target, area = setting.target_px, setting.area_built_mm
        share = min(_OUT_MM / min(area.width, area.height), _OUT_SHARE)
        for touch in self.touches:
            x_px, y_px = setting.cursor_px(touch.x_mm, touch.y_mm)
            x_off, y_off = abs(x_px - touch.x_px), abs(y_px - touch.y_px)
            if x_off > share * target.width + 2 or y_off > share * target.height + 2:
                return False
        return True

    def _way(self) -> tuple[int, str] | None:
        """The rotation and mirror whose axes the measured ones follow best."""
        best, found = _ALONG, None
        for turn, mirror in WAYS:
            one, two = self._directions(replace(self.setting, turn_deg=turn, mirror=mirror))
            angle = math.radians(self.setting.area_angle_deg)
            along = min(math.cos(one - angle), math.cos(two - angle))
            if along > best:
                best, found = along, way_words(turn, mirror, self.setting.turn_deg)
        return found

    def _to_unit(self, setting: DriverSetting) -> Affine:
        assert self.fit is not None
        return ~setting.unit_to_px @ self.fit.to_px

    def _directions(self, setting: DriverSetting) -> tuple[float, float]:
        """How the area's x and y lie on the tablet, radians clockwise; equal without a lean."""
        unit = self._to_unit(setting)
        return math.atan2(unit.b, unit.a), math.atan2(-unit.d, unit.e)

    def found(self, setting: DriverSetting) -> Found:
        """What the touches say of the area if the driver has this way and target."""
        fit = self.fit
        assert fit is not None
        unit = self._to_unit(setting)
        width, height = 1 / math.hypot(unit.a, unit.b), 1 / math.hypot(unit.d, unit.e)
        one, two = self._directions(setting)
        spreads = (fit.x_spread, fit.y_spread)
        if setting.turn_deg % 180:
            spreads = fit.y_spread, fit.x_spread
        back = ~unit
        scatter, freedom = fit.scatter_mm, fit.freedom
        chances = {
            "width": spreads[0].slope_variance(math.cos(one), math.sin(one)),
            "height": spreads[1].slope_variance(-math.sin(two), math.cos(two)),
            "left": spreads[0].variance_at(*back.point(0.0, 0.5)),
            "top": spreads[1].variance_at(*back.point(0.5, 0.0)),
            "lean": spreads[0].slope_variance(-math.sin(one), math.cos(one))
            + spreads[1].slope_variance(math.cos(two), math.sin(two)),
        }
        chance = {name: scatter * math.sqrt(value) for name, value in chances.items()}
        wanted = setting.area_built_mm
        turned = _half_turn(math.degrees((one + two) / 2) - setting.area_angle_deg)
        lean = _half_turn(math.degrees(one - two))
        turn_chance = math.degrees(chance["lean"]) / 2
        area = Rect.about(back.point(0.5, 0.5), width, height)
        seen_turn = abs(turned) if abs(turned) > student_t(_SURE, freedom) * turn_chance else 0.0
        hidden = PLACE_MM + math.radians(seen_turn) * self._arm_mm(area)
        paper = PAPER_PERCENT / 100
        sizes, places = (
            [(name, getattr(area, name), getattr(wanted, name)) for name in names]
            for names in (("width", "height"), ("left", "top"))
        )
        offs = [
            Off(name, 100 * (now / meant - 1), 100 * chance[name], PAPER_PERCENT, freedom)
            for name, now, meant in sizes
        ]
        offs.append(Off("lean", lean, math.degrees(chance["lean"]), LAID_DEG, freedom))
        if not self.anywhere:
            offs += [
                Off(name, now - meant, chance[name], hidden + paper * abs(now), freedom)
                for name, now, meant in places
            ]
            offs.append(Off("turn", turned, turn_chance, LAID_DEG, freedom))
        step = student_t(_SURE, freedom)
        known = {
            **{name: Measurement.about(now, step * now * chance[name]) for name, now, _ in sizes},
            **{name: Measurement.about(now, step * chance[name]) for name, now, _ in places},
        }
        measured = replace(setting, area_built_mm=area)
        return Found(measured, tuple(offs), turned, known, self._held_right(setting))

    def _arm_mm(self, area: Rect) -> float:
        """How far the area's middle lies from the corner about which a sheet may have turned."""
        corners = self.meant.request.tablet.active_built_mm.corners
        return max(math.dist(area.centre, corner) for corner in corners)

    def _held_right(self, setting: DriverSetting) -> bool:
        """Whether each held cursor lies at the target's edge, and its cross beyond it."""
        target, back, slack = setting.target_px, ~setting.built_mm_to_px, self._slack_mm()
        if self.anywhere:
            return True
        for touch in self.touches:
            if touch.x_free and touch.y_free:
                continue
            x_px, y_px = setting.cursor_px(touch.x_mm, touch.y_mm)
            ends = (
                x_px if touch.x_free else touch.x_px,
                y_px if touch.y_free else touch.y_px,
            )
            if math.dist(back.point(*ends), back.point(x_px, y_px)) > slack:
                return False
            if not target.holds(Rect(ends[0], ends[1], 1e-9, 1e-9), slack=2.0):
                return False
        return True

    def _slack_mm(self) -> float:
        assert self.fit is not None
        return _OUT_MM + 4 * self.fit.scatter_mm

    def _explanations(self, way: tuple[int, str]) -> list[Cause]:
        """The usual slips that explain the touches, with the fewest fields to correct."""
        found: list[tuple[int, float, Cause]] = []
        for cause in self._slips(way):
            assert cause.setting is not None
            compared = self.found(cause.setting)
            if compared.fits:
                fields = {"area" if name in _AREA else name for name in cause.correct}
                found.append((len(fields), compared.distance, cause))
        found.sort(key=lambda each: each[:2])
        causes = [cause for count, _, cause in found if count == found[0][0]]
        if self._sheet_turned(way):
            causes.append(Cause("sheet turned", correct=("sheet",)))
        unique: list[Cause] = []
        for cause in causes:
            if all((cause.name, cause.display) != (one.name, one.display) for one in unique):
                unique.append(cause)
        return unique

    def _sheet_turned(self, way: tuple[int, str]) -> bool:
        """Whether the sheet alone, laid by quarters otherwise, would explain the touches."""
        if way[1] or way[0] == self.setting.turn_deg:
            return False
        quarters = (way[0] - self.setting.turn_deg) % 360
        # Scales along the screen stay what they are, however the sheet lies.
        straight = self._replaced_fit(quarters)
        return all(off.fits for off in straight.offs if off.name in {"width", "height", "lean"})

    def _replaced_fit(self, quarters: int) -> Found:
        """What would be found had the sheet lain turned by ``quarters`` degrees."""
        active = self.meant.request.tablet.active_built_mm
        turn = Affine.quarter_turn(quarters, active.width, active.height)
        turned = [
            touch._replace(x_mm=x, y_mm=y)
            for touch in self.touches
            for x, y in (turn.point(touch.x_mm, touch.y_mm),)
        ]
        return self._replace(touches=turned, fit=fit_touches(turned)).found(self.setting)

    def _slips(self, way: tuple[int, str]) -> Iterator[Cause]:
        """Every usual slip in the measured way, as a whole setting."""
        setting = replace(self.setting, turn_deg=way[0], mirror=way[1])
        by_way = self._by_way(setting)
        if by_way:
            yield Cause(_WAY_NAMES[by_way], setting, by_way)
        area, active = setting.area_built_mm, self.meant.request.tablet.active_built_mm
        areas: list[tuple[str, Rect, tuple[str, ...]]] = [("", area, ())]
        if active != area:
            areas.append(("whole tablet", active, _changed(active, area)))
        tiny = self._inches()
        if tiny is not None:
            inches = tiny.area_built_mm
            areas.append(("inches for mm", inches, _changed(inches, area)))
        for name, rect, changed in areas:
            for target_name, target, display, zoom in self._targets():
                names = [*changed, *by_way]
                if target_name:
                    names.append("pixels" if target_name == "zoomed desktop" else "target")
                if not (name or target_name):
                    continue
                only = "" if by_way or (name and target_name) else name or target_name
                other = replace(setting, area_built_mm=rect, target_px=target)
                yield Cause(only or "several", other, tuple(names), display, zoom)
        for angle in {0.0, -self.meant.request.tablet.slant_deg} - {setting.area_angle_deg}:
            other = replace(setting, area_angle_deg=angle)
            yield Cause("several" if by_way else "angle not set", other, ("angle", *by_way))
        if not self.anywhere:
            yield from self._moved(setting, by_way)

    def _by_way(self, setting: DriverSetting) -> tuple[str, ...]:
        """The fields to correct where the driver has the way of ``setting``."""
        named = (
            ("turn", setting.turn_deg != self.setting.turn_deg),
            ("mirror", bool(setting.mirror)),
        )
        return tuple(name for name, differs in named if differs)

    def _moved(self, setting: DriverSetting, by_way: tuple[str, ...]) -> Iterator[Cause]:
        """The area at the place where it was found, of the size that was meant."""
        now = self.found(setting)
        area, wanted = now.setting.area_built_mm, setting.area_built_mm
        edges = tuple(off.name for off in now.offs if off.name in {"left", "top"} and not off.fits)
        moved = Rect.about(area.centre, wanted.width, wanted.height)
        if edges and self._has_room(moved):
            other = replace(setting, area_built_mm=moved)
            yield Cause("several" if by_way else "area moved", other, (*edges, *by_way))

    def _targets(self) -> Iterator[tuple[str, Rect, str, float]]:
        """Every part of the desktop that a driver may have in place of the one that was meant."""
        desktop, screen = self.meant.request.desktop, self.setting.target_px
        yield "", screen, "", 1.0
        if desktop.rect_px != screen and len(desktop.displays) > 1:
            yield "all displays", desktop.rect_px, "", 1.0
        for display in desktop.displays:
            if display.rect_px != screen:
                name = "another display"
                if display.rect_px.holds(screen):
                    name = "part of a display"
                yield name, display.rect_px, display.label, 1.0
            for half in _halves(display.rect_px):
                if half != screen:
                    yield "part of a display", half, display.label, 1.0
        zooms = {display.zoom for display in desktop.displays}
        zooms |= {percent / 100 for percent in SYSTEM_ZOOMS_PERCENT}
        for zoom in sorted(zooms - {1.0}):
            sides = (side / zoom for side in _sides(screen))
            yield "zoomed desktop", Rect(*sides), "", zoom

    def _has_room(self, area: Rect) -> bool:
        """Whether the tablet has room for an area."""
        active = self.meant.request.tablet.active_built_mm
        slack = PLACE_MM + 3 * self._slack_mm() / 4
        if self.anywhere:
            return area.width <= active.width + slack and area.height <= active.height + slack
        return active.holds(area, slack=slack)

    def _generic(self, plain: Found) -> Cause:
        """The area as it was measured, and the numbers of it that differ."""
        by_way = self._by_way(plain.setting)
        wrong = tuple(off.name for off in plain.offs if off.name in _AREA and not off.fits)
        # One size moves the far edge, so the place beside it is typed anew with it.
        numbers = tuple(
            name
            for name, beside in (
                ("width", "left"),
                ("height", "top"),
                ("left", "width"),
                ("top", "height"),
            )
            if name in wrong or beside in wrong
        )
        name = "several" if by_way else "another area"
        return Cause(name, plain.setting, (*numbers, *by_way))


_AREA = ("width", "height", "left", "top")
_EVERYTHING = (*_AREA, "target", "turn", "mirror", "angle")
_WAY_NAMES = {
    ("turn",): "turned",
    ("mirror",): "mirrored",
    ("turn", "mirror"): "turned and mirrored",
}


def _changed(now: Rect, wanted: Rect) -> tuple[str, ...]:
    return tuple(name for name in _AREA if getattr(now, name) != getattr(wanted, name))


def _sides(rect: Rect) -> tuple[float, float, float, float]:
    return rect.left, rect.top, rect.width, rect.height


def _half_turn(angle_deg: float) -> float:
    """The angle from -180 to 180 degrees."""
    return (angle_deg + 180) % 360 - 180
