"""What to change at one workstation, each change carried out and judged before it is named.

A remedy is a change of the request, the seat or, where nothing else will do, of what stands on the
desk. It is only ever named where it brings its own figure into its band and no figure that was in
its band out of it; and something to buy only where nothing that is free does. Among those that will
do, the one that costs least comes first: what of the tablet and of the screen is given up, in
percent, and what it asks of the person (the constants below, decisions of this project).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from mapper.choosing.findings import map_findings, sitting_findings, sitting_of
from mapper.choosing.pairing import tablet_for_scale_mm
from mapper.choosing.recommended import RECOMMENDED
from mapper.choosing.sitting import distance_bands_mm, top_for_centre_mm
from mapper.choosing.travel import USUAL_HAND
from mapper.desk import LARGEST_ZOOM, Desktop, Tablet
from mapper.mapping.feel import Feel
from mapper.mapping.solve import MapRequest, TabletMap, solve_exact
from mapper.mapping.variations import varied
from mapper.problems import EvenstrokeError
from mapper.seat import MIDDLE
from mapper.solving import solve

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from mapper.choosing.recommended import Band
    from mapper.choosing.sitting import Finding, Sitting
    from mapper.choosing.travel import HandScatter
    from mapper.choosing.viewing import Glass
    from mapper.seat import Seat

#: What a change asks of a person, as percent of tablet or screen that are worth as much: nothing to
#: do but type another number, or displays to leave, a tablet to turn, a program to set up anew.
EFFORT = {
    "scale": 3.0,
    "onto": 5.0,
    "turn_deg": 10.0,
    "zoom": 10.0,
}
#: A window that ends somewhere on two displays is worse than one display whole.
WINDOW_OVER_SEVERAL = 15.0
#: What it is worth to mend another figure besides: more at the seat, which nobody moves twice.
MENDS_ANOTHER, SEAT_MENDS_ANOTHER = 10.0, 40.0
#: How far inside its band a scale is asked for, as shares, where a step rounds it afterwards.
_MARGINS = (0.0, 0.01, 0.04)
#: Distances are tried in these steps besides those at which something begins or ends to hold, mm;
#: and farther than this nobody moves it.
STEP_MM, FARTHEST_MM = 100.0, 2500.0
_MOST_WAYS = 3
_SEAT_CHANGES = {"distance_mm", "top_below_eyes_mm", "ahead"}

#: A change of a request, as plain data: what ``changed`` reads.
Change = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Setup:
    """One workstation, the band that its scale is held against, and the hand that draws there."""

    request: MapRequest
    seat: Seat | None
    band: Band
    hand: HandScatter = USUAL_HAND

    def findings(self, solved: TabletMap) -> list[Finding]:
        """What is found of a map with this band and hand."""
        return map_findings(solved, self.band, None, self.hand)


@dataclass(frozen=True, slots=True)
class RequestChange:
    """One thing to change, with what it costs and gives.

    ``about`` is the key of its finding. ``asks`` are changes of a request, each alone or with
    others; ``changed`` carries them out:

    ===================== ==============================================================
    ``fit``               ``full``, ``locked`` or ``cropped``
    ``area``              None: an area that was set by hand is given up for what the
                          fit makes
    ``window``            None: a window is given up for the whole of the displays
    ``scale``             the wanted scale factor, None for what the fit makes
    ``onto``              labels of the displays that the pen reaches
    ``turn_deg``          the tablet's turn
    ``zoom``              the system's zoom of the display that is to be true
    ``distance_mm``       from the eyes to the main display
    ``top_below_eyes_mm`` its top edge under eye level (negative: above)
    ``ahead``             ``middle``: the middle of all displays straight ahead
    ``tablet_mm``         to buy: a tablet of this active area as built, at least
    ``counts_per_mm``     to buy: a tablet of this resolution, at least
    ===================== ==============================================================

    ``numbers``: of the map after it ``area_width_mm, area_height_mm`` (built frame, as typed),
    ``area_lost_percent`` of the active area, ``screen_lost_percent`` of what the pen reached
    before, ``window_width_px, window_height_px``, ``scale_after``; of the seat ``distance_mm``,
    ``distance_before_mm``, ``top_below_eyes_mm``, ``lower_mm``, ``horizontal_deg``,
    ``horizontal_before_deg``, ``arc_minutes``, ``arc_minutes_before``, ``centre_deg``,
    ``bottom_deg``, ``side_deg``, ``side_before_deg``, ``main_deg``; of both where known.
    ``value_after`` is the finding's.

    ``mends`` are the keys of other findings that come into their bands too. ``instead`` are other
    ways to the same end, the next best first. ``cost`` is what it asks of the person and gives up,
    in percent of tablet or screen (module docstring); of something to buy, without its price.
    """

    about: str
    asks: Change
    numbers: dict[str, float]
    mends: tuple[str, ...] = ()
    instead: tuple[RequestChange, ...] = ()
    cost: float = 0.0

    @property
    def buys(self) -> bool:
        """Whether something is to be bought."""
        return not self.asks.keys().isdisjoint({"tablet_mm", "counts_per_mm"})


def changed(setup: Setup, asks: Change) -> Setup:
    """``setup`` with the change carried out.

    Raises RequestError where that cannot be.
    """
    request, seat = setup.request, setup.seat
    said: Change = {"tablet": _changed_tablet(request.tablet, asks)}
    if "tablet_mm" in asks:
        # What is within or set on the old one means nothing on the new.
        said |= {"within_built_mm": None, "area_built_mm": None}
    if "fit" in asks:
        said["fit"] = asks["fit"]
    if "area" in asks:
        said["area_built_mm"] = None
    if "scale" in asks:
        said["feel"] = None if asks["scale"] is None else Feel(asks["scale"], asks["scale"])
    if "onto" in asks:
        said |= {"onto": tuple(asks["onto"]), "true_on": None}
    if "window" in asks:
        said["window_px"] = None
    request = varied(request, said)
    if "zoom" in asks:
        # They stand where they stood, so a window stays.
        request = replace(request, desktop=_zoomed_desktop(request, asks["zoom"]))
    if seat is not None:
        seat = replace(seat, **{key: asks[key] for key in _SEAT_CHANGES if key in asks})
    return replace(setup, request=request, seat=seat)


def _changed_tablet(tablet: Tablet, asks: Change) -> Tablet:
    """The tablet with the change's size, resolution and turn."""
    if "tablet_mm" in asks:
        width_mm, height_mm = asks["tablet_mm"]
        tablet = replace(tablet, width_mm=width_mm, height_mm=height_mm)
    others = {name: asks[name] for name in ("counts_per_mm", "turn_deg") if name in asks}
    return replace(tablet, **others)


def _zoomed_desktop(request: MapRequest, zoom: float) -> Desktop:
    """The desktop of ``request`` with this zoom of the display that its map is judged on."""
    reference = solve_exact(request).reference
    displays = request.desktop.displays
    return Desktop(
        tuple(replace(each, zoom=zoom) if each == reference else each for each in displays)
    )


# Judging
# ------------------------------------------------------------


@dataclass(slots=True)
class _Judgement:
    """One setup with its map, its sitting and the findings about both."""

    setup: Setup
    map: TabletMap
    sitting: Sitting | None
    of_map: list[Finding]
    of_seat: list[Finding]

    @property
    def findings(self) -> dict[str, Finding]:
        return {finding.key: finding for finding in (*self.of_map, *self.of_seat)}

    @property
    def inside(self) -> set[str]:
        return {
            finding.key for finding in (*self.of_map, *self.of_seat) if finding.side == "inside"
        }

    @property
    def reached_px(self) -> float:
        return self.map.screen_px.width * self.map.screen_px.height


@dataclass(slots=True)
class RemedySearch:
    """The remedies for one workstation; each possible change is worked out once."""

    setup: Setup
    now: _Judgement
    _judged_maps: list[tuple[Change, _Judgement]] | None = field(default=None)
    _judged_seats: list[tuple[Change, _Judgement]] | None = field(default=None)

    @classmethod
    def of(
        cls, solved: TabletMap, seat: Seat | None, band: Band, hand: HandScatter = USUAL_HAND
    ) -> RemedySearch:
        """The search for one map and one seat, as they are.

        Raises RequestError for a seat that cannot be for this display.
        """
        setup, sitting = Setup(solved.request, seat, band, hand), sitting_of(solved, seat)
        of_seat = sitting_findings(sitting) if sitting else []
        return cls(setup, _Judgement(setup, solved, sitting, setup.findings(solved), of_seat))

    def _carried_out(self, ways: Iterable[Change]) -> Iterator[tuple[Change, _Judgement]]:
        """Those of ``ways`` that can be carried out, each with what becomes of the workstation.

        Before rounding. What a change leaves alone keeps its judgement.
        """
        for asks in ways:
            after = replace(self.now)
            try:
                after.setup = changed(self.setup, asks)
                if not asks.keys() <= _SEAT_CHANGES:
                    after.map = solve_exact(after.setup.request)
                    after.of_map = after.setup.findings(after.map)
                if asks.keys() & _SEAT_CHANGES:
                    after.sitting = sitting_of(after.map, after.setup.seat)
                    after.of_seat = sitting_findings(after.sitting) if after.sitting else []
            except EvenstrokeError:
                continue
            yield asks, after

    def remedy(self, finding: Finding) -> RequestChange | None:
        """The best change that mends ``finding``, with up to two others.

        None where nothing mends it without harm to another figure.
        """
        ways = self.seats() if finding.recommendation.of_seat else self.maps(finding)
        good = self._cheapest_first(finding.key, ways)
        most = _MOST_WAYS
        if not good:
            # Nobody chooses between two things to buy for one figure: the least that will do.
            good = self._cheapest_first(finding.key, self._carried_out(self._purchases(finding)))
            most = 1
        chosen: list[RequestChange] = []
        kinds: list[set[str]] = []
        for _, asks, exact in good:
            # Another way is one that asks for something else, and not for the same and more.
            kind = _kind_of_change(asks)
            if any(kind >= other for other in kinds):
                continue
            after = self._as_entered(exact)
            if not self._mends_without_harm(finding.key, after):
                continue
            kinds.append(kind)
            chosen.append(self._change(finding.key, asks, after))
            if len(chosen) == most:
                break
        return replace(chosen[0], instead=tuple(chosen[1:])) if chosen else None

    def _cheapest_first(
        self, key: str, ways: Iterable[tuple[Change, _Judgement]]
    ) -> list[tuple[float, Change, _Judgement]]:
        """The ways that mend ``key``, each with its cost, the cheapest first."""
        return sorted(self._mending(key, ways), key=lambda way: way[0])

    def _mending(
        self, key: str, ways: Iterable[tuple[Change, _Judgement]]
    ) -> Iterator[tuple[float, Change, _Judgement]]:
        """The ways that bring ``key`` into its band and no other figure out of its own.

        Each comes with what it costs.
        """
        of_seat = self.now.findings[key].recommendation.of_seat
        worth = SEAT_MENDS_ANOTHER if of_seat else MENDS_ANOTHER
        for asks, after in self._with_zoom(key, ways):
            if self._mends_without_harm(key, after):
                mends = len(after.inside) - len(self.now.inside) - 1
                yield self._cost(asks, after) - worth * mends, asks, after

    def _with_zoom(
        self, key: str, ways: Iterable[tuple[Change, _Judgement]]
    ) -> Iterator[tuple[Change, _Judgement]]:
        """``ways``, and each way that only makes targets too small once more with a larger zoom."""
        for asks, after in ways:
            yield asks, after
            target = after.findings.get("target")
            if (
                target
                and key in after.inside
                and self.now.inside - after.inside == {"target"}
                and "zoom" not in asks
            ):
                zoom = _settable_zoom(
                    after.map.reference.zoom
                    * target.value
                    / (target.recommendation.high or target.value)
                )
                if zoom <= LARGEST_ZOOM:
                    yield from self._carried_out([{**asks, "zoom": zoom}])

    def _mends_without_harm(self, key: str, after: _Judgement) -> bool:
        """Whether ``key`` is in its band now, and all that were are still."""
        return key in after.inside and self.now.inside <= after.inside

    def _as_entered(self, exact: _Judgement) -> _Judgement:
        """``exact`` with its map rounded as it is entered.

        Rounding is worked out for what is named, and not for all that is tried.
        """
        if self.setup.request.step is None:
            return exact
        entered = solve(exact.setup.request)
        return replace(exact, map=entered, of_map=exact.setup.findings(entered))

    def _cost(self, asks: Change, after: _Judgement) -> float:
        """What a change asks of the person and gives up, in percent of tablet or screen."""
        effort = sum(EFFORT.get(key, 0.0) for key, value in asks.items() if value is not None)
        if after.map.screen_px != after.map.target_px and len(after.map.reached) > 1:
            effort += WINDOW_OVER_SEVERAL
        area = self.now.map.summary.area_used_percent - after.map.summary.area_used_percent
        screen = 100 * (1 - after.reached_px / self.now.reached_px)
        lengths = asks.keys() & {"distance_mm", "top_below_eyes_mm"}
        moved: float = sum(
            abs(asks[length] - (getattr(self.setup.seat, length) or 0.0)) for length in lengths
        )
        # What is gained counts half: nobody misses what was idle.
        lost: float = sum(max(share, share / 2) for share in (area, screen))
        return effort + lost + moved / 10

    # The map

    def maps(self, finding: Finding) -> Iterator[tuple[Change, _Judgement]]:
        """Every free change of the map, alone and together."""
        if self._judged_maps is None:
            self._judged_maps = list(self._carried_out(self._map_changes()))
        yield from self._judged_maps
        yield from self._carried_out(self._changes_sized_by(finding))

    def _map_changes(self) -> Iterator[Change]:
        request, band = self.setup.request, self.setup.band
        margins = _MARGINS[:1] if request.step is None else _MARGINS
        scales = [
            scale
            for margin in margins
            for scale in (band.low * (1 + margin), band.high * (1 - margin))
        ]
        for base in self._bases():
            fits: list[Change] = [{"fit": fit} for fit in ("locked", "cropped", "full")]
            fits += [
                {"fit": fit, "scale": scale} for scale in scales for fit in ("locked", "cropped")
            ]
            yield from (asks for fit in fits if (asks := {**base, **self._needed_changes(fit)}))

    def _needed_changes(self, fit: Change) -> Change:
        """``fit`` without what is so already, and with what has to give way to it."""
        request = self.setup.request
        if request.area_built_mm is not None:
            return {"area": None, **fit}
        kept = {} if fit["fit"] == request.fit else {"fit": fit["fit"]}
        if "scale" in fit:
            return {**kept, "scale": fit["scale"]}
        return kept if request.feel is None else {**kept, "scale": None}

    def _bases(self) -> Iterator[Change]:
        """The displays reached and the turn of the tablet: as they are, and each otherwise."""
        request, reached = self.setup.request, self.now.map.reached
        ontos: list[Change] = [{}]
        if len(reached) > 1:
            ontos += [{"onto": [display.label]} for display in reached]
        elif request.window_px is not None:
            ontos.append({"window": None})
        turns: list[Change] = [{}, {"turn_deg": (request.tablet.turn_deg + 90) % 180}]
        for onto in ontos:
            for turn in turns:
                yield {**onto, **turn}

    def _changes_sized_by(self, finding: Finding) -> Iterator[Change]:
        """Changes whose size follows from the finding."""
        scale = self.now.map.summary.scale_factor
        if finding.key == "counts" and scale is not None:
            yield self._needed_changes(
                {"fit": "cropped", "scale": _typable_scale(scale * finding.value)}
            )
        high = finding.recommendation.high
        if finding.key == "target" and high is not None:
            if scale is not None:
                yield self._needed_changes(
                    {"fit": "cropped", "scale": _typable_scale(scale * high / finding.value)}
                )
            zoom = _settable_zoom(self.now.map.reference.zoom * finding.value / high)
            if zoom <= LARGEST_ZOOM:
                yield {"zoom": zoom}

    # The seat

    def seats(self) -> Iterator[tuple[Change, _Judgement]]:
        """Every change of the seat: distance, height of the display, both, or the middle ahead."""
        if self._judged_seats is None:
            self._judged_seats = list(self._carried_out(self._seat_changes()))
        yield from self._judged_seats

    def _seat_changes(self) -> Iterator[Change]:
        sitting, seat = self.now.sitting, self.setup.seat
        if sitting is None or seat is None:
            return
        glass = sitting.view.glass
        aheads: list[Change] = [{}]
        if len(sitting.places) > 1 and seat.ahead != MIDDLE:
            aheads.append({"ahead": MIDDLE})
        for distance_mm in _distances_mm(glass, seat):
            for top_mm in _top_edges_mm(glass, seat, distance_mm):
                for ahead in aheads:
                    moved = {"distance_mm": distance_mm, "top_below_eyes_mm": top_mm}
                    asks = {
                        key: value for key, value in moved.items() if value != getattr(seat, key)
                    } | ahead
                    if asks:
                        yield asks

    # What is to be bought

    def _purchases(self, finding: Finding) -> Iterator[Change]:
        """What could be bought to mend ``finding``."""
        if finding.key == "counts":
            counts = (self.setup.request.tablet.counts_per_mm or 0.0) / finding.value
            yield {"counts_per_mm": float(math.ceil(counts - 1e-9))}
        elif finding.key in {"scale", "target"} and finding.side == "above":
            yield from self._larger_tablets()

    def _larger_tablets(self) -> Iterator[Change]:
        # Where a scale is known, the size of this display is.
        tablet, reference = self.setup.request.tablet, self.now.map.reference
        active = tablet.active_seen_mm
        needed = tablet_for_scale_mm(reference, self.setup.band.high, (active.width, active.height))
        built = needed if tablet.turn_deg % 180 == 0 else (needed[1], needed[0])
        if built[0] > tablet.width_mm and built[1] > tablet.height_mm:
            yield {"tablet_mm": list(built), "fit": "locked"}

    # In numbers

    def _change(self, key: str, asks: Change, after: _Judgement) -> RequestChange:
        numbers = {
            "value_after": after.findings[key].value,
            **self._map_numbers(after),
            **self._seat_numbers(asks, after),
        }
        mends = tuple(sorted(after.inside - self.now.inside - {key}))
        return RequestChange(key, asks, numbers, mends, cost=self._cost(asks, after))

    def _map_numbers(self, after: _Judgement) -> dict[str, float]:
        area, screen = after.map.area_built_mm, after.map.screen_px
        scale = after.map.summary.scale_factor
        numbers = {
            "area_width_mm": area.width,
            "area_height_mm": area.height,
            "area_lost_percent": 100 - after.map.summary.area_used_percent,
            "screen_lost_percent": max(0.0, 100 * (1 - after.reached_px / self.now.reached_px)),
            "window_width_px": screen.width,
            "window_height_px": screen.height,
        }
        return numbers if scale is None else {**numbers, "scale_after": scale}

    def _seat_numbers(self, asks: Change, after: _Judgement) -> dict[str, float]:
        before, then, seat = self.now.sitting, after.sitting, self.setup.seat
        if before is None or then is None or seat is None or not asks.keys() & _SEAT_CHANGES:
            return {}
        numbers: dict[str, float | None] = {
            "distance_mm": then.view.stand.distance_mm,
            "distance_before_mm": seat.distance_mm,
            "horizontal_deg": then.view.horizontal_deg,
            "horizontal_before_deg": before.view.horizontal_deg,
            "side_deg": then.farthest_side_deg,
            "side_before_deg": before.farthest_side_deg,
            "main_deg": abs(then.view.stand.bearing_deg),
            "arc_minutes": then.view.arc_minutes_per_px_x,
            "arc_minutes_before": before.view.arc_minutes_per_px_x,
            "top_below_eyes_mm": then.seat.top_below_eyes_mm,
        }
        if then.seat.top_below_eyes_mm is not None:
            numbers["lower_mm"] = then.seat.top_below_eyes_mm - (seat.top_below_eyes_mm or 0.0)
            numbers["centre_deg"] = then.view.centre_deg
            numbers["bottom_deg"] = then.view.bottom_deg
        return {name: number for name, number in numbers.items() if number is not None}


def _distances_mm(glass: Glass, seat: Seat) -> list[float]:
    """The present distance, those where a recommendation begins or ends to hold, and steps."""
    reach = RECOMMENDED["distance"]
    low, high = reach.low or STEP_MM, reach.high or FARTHEST_MM
    ends = [end for _, *both in distance_bands_mm(glass) for end in both if math.isfinite(end)]
    steps = [low + STEP_MM * step for step in range(int((high - low) / STEP_MM) + 1)]
    whole = {float(whole) for end in (*ends, *steps) for whole in (math.floor(end), math.ceil(end))}
    return [seat.distance_mm, *sorted(mm for mm in whole if STEP_MM <= mm <= FARTHEST_MM)]


def _top_edges_mm(glass: Glass, seat: Seat, distance_mm: float) -> list[float | None]:
    """The present height of the top edge, eye level, and those of the centre's band."""
    if seat.top_below_eyes_mm is None:
        return [None]
    tops: list[float | None] = [seat.top_below_eyes_mm, 0.0]
    for below_deg in (RECOMMENDED["centre"].low or 0.0, RECOMMENDED["centre"].high or 90.0):
        top_mm = top_for_centre_mm(glass, distance_mm, below_deg, seat.tilt_deg)
        tops += [float(whole) for whole in (math.floor(top_mm), math.ceil(top_mm)) if whole > 0]
    return tops


def _settable_zoom(least: float) -> float:
    """The smallest zoom of at least ``least`` that a system can set, in steps of a twentieth."""
    return math.ceil(least * 20 - 1e-9) / 20


def _typable_scale(scale: float) -> float:
    """``scale`` in three decimals, rounded down so that it can be typed."""
    return math.floor(scale * 1000) / 1000


def _kind_of_change(asks: Change) -> set[str]:
    """What is asked for, without the sizes: two windows are one kind."""
    kind = {key for key, value in asks.items() if value is not None}
    if "onto" in kind:
        kind.add(f"onto-{asks['onto'][0]}")
    if "fit" in kind:
        kind.add(asks["fit"])
    if not kind:
        return {"scale"}
    # What a scale makes smaller is the way; how it is asked for is not another one.
    return kind - {"scale"}
