"""Simulated drivers and hands for the touch test: what the cursor does for crosses of a sheet."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from random import Random
from typing import TYPE_CHECKING

from mapper import Desktop, Display, MapRequest, Tablet, solve
from mapper.mapping.solve import TabletMap
from mapper.touching.crosses import crosses as crosses_of
from mapper.touching.fit import Touch
from mapper.touching.setting import DriverSetting

if TYPE_CHECKING:
    from pathlib import Path

#: The crosses of the sheet, mm: nine, row by row.
NINE = [(x, y) for y in (25.0, 76.0, 127.0) for x in (25.0, 120.0, 215.0)]
EIGHTEEN = [(x, y) for y in (25.0, 76.0, 127.0) for x in (20.0, 60.0, 100.0, 140.0, 180.0, 220.0)]


def meant_map(displays=None, *, turn_deg=0, slant_deg=0.0, **request) -> TabletMap:
    """The map of the demo tablet on a desktop."""
    desktop = Desktop(displays or (Display(2560, 1440, diagonal_mm=685.8),))
    tablet = Tablet(240, 152, turn_deg=turn_deg, slant_deg=slant_deg)
    return solve(MapRequest(tablet, desktop, **request))


@dataclass(frozen=True)
class Hand:
    """A hand that touches crosses of a sheet; mm and degrees.

    ``tails`` are degrees of freedom of a Student's t of the same spread; ``slip_mm`` is one touch
    that misses by so much; ``bias_mm`` a miss in one direction by all; the sheet lies off by
    ``off_mm`` in any direction and turned by ``turn_deg`` about its corner; its paper is ``paper``
    times as large as it should be.
    """

    scatter_mm: float = 0.4
    tails: int = 0
    slip_mm: float = 0.0
    bias_mm: float = 0.0
    off_mm: float = 0.0
    turn_deg: float = 0.0
    paper: float = 1.0

    def touch(self, setting: DriverSetting, random: Random, crosses=None) -> list[Touch]:
        """The touches of the crosses with a driver that is set so; the cursor in whole pixels."""
        crosses = crosses or NINE
        one = random.uniform(0, 2 * math.pi)
        two = random.uniform(0, 2 * math.pi)
        shift_x = self.bias_mm * math.cos(one) + self.off_mm * math.cos(two)
        shift_y = self.bias_mm * math.sin(one) + self.off_mm * math.sin(two)
        turn = math.radians(self.turn_deg * random.choice((-1, 1)))
        slipped = random.randrange(len(crosses))
        touches = []
        for number, (x_mm, y_mm) in enumerate(crosses):
            x = self.paper * (x_mm * math.cos(turn) - y_mm * math.sin(turn)) + shift_x
            y = self.paper * (x_mm * math.sin(turn) + y_mm * math.cos(turn)) + shift_y
            x, y = x + self._miss(random), y + self._miss(random)
            if self.slip_mm and number == slipped:
                way = random.uniform(0, 2 * math.pi)
                x, y = x + self.slip_mm * math.cos(way), y + self.slip_mm * math.sin(way)
            x_px, y_px = setting.cursor_px(x, y)
            # The cursor is on a pixel, the last one at the edge, and stands for its middle.
            right, bottom = setting.target_px.right, setting.target_px.bottom
            x_px, y_px = min(math.floor(x_px), right - 1), min(math.floor(y_px), bottom - 1)
            touches.append(Touch(x_mm, y_mm, x_px + 0.5, y_px + 0.5))
        return touches

    def _miss(self, random: Random) -> float:
        if not self.tails:
            return random.gauss(0, self.scatter_mm)
        squares = sum(random.gauss(0, 1) ** 2 for _ in range(self.tails))
        spread = math.sqrt(self.tails / (self.tails - 2))
        return self.scatter_mm / spread * random.gauss(0, 1) / math.sqrt(squares / self.tails)


def cured(setting: DriverSetting, correct, meant: DriverSetting) -> DriverSetting:
    """The driver once the named fields were set as they are meant."""
    area, wanted = setting.area_built_mm, meant.area_built_mm
    sides = {
        name: getattr(wanted if name in correct else area, name)
        for name in ("left", "top", "width", "height")
    }
    setting = replace(setting, area_built_mm=type(area)(**sides))
    if {"target", "pixels"} & set(correct):
        setting = replace(setting, target_px=meant.target_px)
    if "turn" in correct:
        setting = replace(setting, turn_deg=meant.turn_deg)
    if "mirror" in correct:
        setting = replace(setting, mirror="")
    if "angle" in correct:
        setting = replace(setting, area_angle_deg=meant.area_angle_deg)
    return setting


def as_csv(touches) -> str:
    """The touches as the command reads them."""
    rows = [f"{each.x_mm:g},{each.y_mm:g},{each.x_px:g},{each.y_px:g}" for each in touches]
    return "\n".join(("x_mm,y_mm,x_px,y_px", *rows, ""))


def touched_files(folder: Path) -> None:
    """Files of touches on the demo tablet with a right driver, and with several wrong ones."""
    meant = meant_map()
    right = DriverSetting.of(meant)
    settings = {
        "right": right,
        "whole": replace(right, area_built_mm=meant.request.tablet.active_built_mm),
        "turned": replace(right, turn_deg=180),
    }
    for name, setting in settings.items():
        touches = Hand().touch(setting, Random(4), crosses_of(meant))
        (folder / f"{name}.csv").write_text(as_csv(touches))
    touches = Hand().touch(right, Random(4), crosses_of(meant))
    (folder / "few.csv").write_text(as_csv([touches[0], touches[4], touches[5]]))
    touches[4] = touches[4]._replace(x_px=touches[4].x_px + 300)
    (folder / "missed.csv").write_text(as_csv(touches))
    many = Hand(0.3).touch(right, Random(2), EIGHTEEN)
    (folder / "eighteen.csv").write_text(as_csv(many))
    (folder / "wrong.csv").write_text("x_mm,y_mm,x_px,y_px\n1,2,3\n")
