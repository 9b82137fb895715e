"""Simulated drivers and what traces show of them, with no picture: sizes, turns and places.

``states`` are every usual slip as a driver's setting, ``shown`` what a trace of a thing says of it,
``cured`` the same after a cause's cure was applied.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from mapper.affine import Affine
from mapper.mapping.solve import TabletMap
from mapper.rect import Rect
from mapper.touching.setting import DriverSetting
from mapper.tracing.measure import MeasuredMap, MeasuredScales
from mapper.tracing.measurement import Measurement
from tests.touched import cured as set_right

#: How things were laid and what was said of them: the sides in mm, the long one across or upright,
#: and whether that was said; two things with places tell the whole map.
CARD, COIN = (85.6, 53.98), (23.25, 23.25)


@dataclass(frozen=True)
class Laid:
    """A thing on the tablet: its sides, how it lay, what was said, and whether places are known."""

    sides_mm: tuple[float, float] = CARD
    upright: bool = False
    said: bool = True
    places: bool = False


@dataclass(frozen=True)
class State:
    """A driver's state and how the trace was made.

    ``zoom`` is the canvas's, 1 for 100 %; ``times`` how many times as large as said the thing is,
    along and across.
    """

    setting: DriverSetting
    zoom: float = 1.0
    times: tuple[float, float] = (1.0, 1.0)


def states(meant: TabletMap) -> dict[str, State]:
    """Every usual slip, by the names of tests.drawn_programs."""
    right = DriverSetting.of(meant)
    area, target = right.area_built_mm, right.target_px
    active, desktop = meant.request.tablet.active_built_mm, meant.request.desktop
    aside, down = (0, -5) if area.top > 5 else (5, 0)
    moved = Rect(area.left + aside, area.top + down, area.width, area.height)
    smaller = Rect(area.left + 20, area.top + 15, area.width * 0.7, area.height * 0.7)
    narrow = Rect(area.left, area.top, area.width * 0.86, area.height)
    low = Rect(area.left, area.top, area.width, area.height * 0.88)
    turns = {
        f"turned {turn}": replace(right, turn_deg=(right.turn_deg + turn) % 360)
        for turn in (90, 180, 270)
    }
    settings = {
        "right": right,
        **turns,
        "mirrored left to right": replace(right, mirror="left to right"),
        "mirrored top to bottom": replace(right, mirror="top to bottom"),
        "turned 90 and mirrored": replace(turns["turned 90"], mirror="left to right"),
        "whole tablet": replace(right, area_built_mm=active),
        "left half of the display": replace(
            right, target_px=Rect(target.left, target.top, target.width / 2, target.height)
        ),
        "top half of the display": replace(
            right, target_px=Rect(target.left, target.top, target.width, target.height / 2)
        ),
        "area moved": replace(right, area_built_mm=moved),
        "area smaller": replace(right, area_built_mm=smaller),
        "width too small": replace(right, area_built_mm=narrow),
        "height too small": replace(right, area_built_mm=low),
        "rotated by 15 degrees": replace(right, area_angle_deg=right.area_angle_deg + 15),
    }
    others = [each.rect_px for each in desktop.displays if each.rect_px != target]
    if others:
        settings["another display"] = replace(right, target_px=others[0])
        settings["all displays"] = replace(right, target_px=desktop.rect_px)
    made = {name: State(setting) for name, setting in settings.items()}
    made["canvas at 50 %"] = State(right, zoom=0.5)
    made["canvas at 200 %"] = State(right, zoom=2.0)
    made["another thing"] = State(right, times=(90 / 85.6, 55 / 53.98))
    return made


def shown(
    state: State, meant: TabletMap, laid: Laid, sigma: float = 0.001
) -> tuple[MeasuredScales, MeasuredMap | None]:
    """What a trace says, within ``sigma``, and the whole map where places are known."""
    active = meant.request.tablet.active_built_mm
    turn = meant.request.tablet.turn_deg
    seen = ~Affine.quarter_turn(turn, active.width, active.height)
    linear = (
        Affine(1 / state.zoom, 0, 0, 0, 1 / state.zoom, 0) @ state.setting.built_mm_to_px @ seen
    )
    a, b, d, e = linear.linear
    along = (b, e) if laid.upright else (a, d)
    turn_deg = math.degrees(math.atan2(along[1], along[0]))
    turn_deg = (turn_deg + 90) % 180 - 90
    if turn_deg <= -90:
        turn_deg += 180
    is_round = laid.sides_mm[0] == laid.sides_mm[1]
    looks_upright = abs(turn_deg) > 45
    times = state.times[::-1] if looks_upright else state.times
    if is_round:
        times = (state.times[0],) * 2
    x, y = math.hypot(a, b) * times[0], math.hypot(d, e) * times[1]

    def known(value: float, spread: float) -> Measurement:
        return Measurement(value, value * math.exp(-1.96 * spread), value * math.exp(1.96 * spread))

    ratio = x / y
    measured = MeasuredScales(
        known(x, sigma),
        known(y, sigma),
        known(ratio, sigma * math.sqrt(2)),
        known(max(ratio, 1 / ratio), sigma),
        (sigma**2, 0.0, sigma**2),
        None if is_round else Measurement(turn_deg, turn_deg - 0.3, turn_deg + 0.3),
        Measurement(0.0, -0.001, 0.001),
        False,
        None,
    )
    if not laid.places:
        return measured, None
    small = tuple(tuple(1e-6 if row == column else 0.0 for column in range(6)) for row in range(6))
    return measured, MeasuredMap(linear, small, 1.0)


def cured(state: State, cause, meant: TabletMap, laid: Laid) -> State:
    """The state after what a cause says was corrected."""
    correct = set(cause.correct)
    if meant.request.tablet.turn_deg % 180:
        # Causes speak of the tablet as it is seen, settings of the tablet as it was built.
        swapped = {"width": "height", "height": "width", "left": "top", "top": "left"}
        correct = {swapped.get(name, name) for name in correct}
    if {"left", "top"} & correct:
        correct |= {"left", "top"}
    if "turn" in correct:
        # Beside the rotation all four numbers are typed again.
        correct |= {"width", "height", "left", "top"}
    made = replace(state, setting=set_right(state.setting, correct, DriverSetting.of(meant)))
    if "zoom" in correct:
        made = replace(made, zoom=state.zoom / ((cause.zoom_percent or 100) / 100))
    if "pixel ratio" in correct:
        made = replace(made, zoom=state.zoom * ((cause.zoom_percent or 100) / 100))
    if "thing" in correct:
        along, across = cause.thing_times[::-1] if laid.upright else cause.thing_times
        made = replace(made, times=(state.times[0] / along, state.times[1] / across))
    return made
