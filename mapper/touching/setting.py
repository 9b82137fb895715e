"""A driver's setting as numbers: the area, the part of the desktop, the rotation and a mirror."""

from __future__ import annotations

from dataclasses import dataclass

from mapper.affine import Affine
from mapper.desk import TURNS_DEG
from mapper.mapping.solve import TabletMap
from mapper.rect import Rect

_UNIT = Rect(0.0, 0.0, 1.0, 1.0)
MIRRORS = ("", "left to right", "top to bottom")


@dataclass(frozen=True, slots=True)
class DriverSetting:
    """What a driver is set to.

    ``area_built_mm`` is the rectangle of the tablet, turned by ``area_angle_deg`` about its own
    centre; ``target_px`` the part of the desktop that it fills; ``turn_deg`` the rotation of the
    tablet that is set; ``mirror`` one of MIRRORS.
    """

    area_built_mm: Rect
    target_px: Rect
    turn_deg: int = 0
    mirror: str = ""
    area_angle_deg: float = 0.0

    @classmethod
    def of(cls, meant: TabletMap) -> DriverSetting:
        """The setting that makes the map ``meant``."""
        return cls(
            meant.area_built_mm,
            meant.screen_px,
            meant.request.tablet.turn_deg,
            "",
            meant.area_angle_deg,
        )

    @property
    def unit_to_px(self) -> Affine:
        """The map from 0..1 over the area, as built, to px of the desktop."""
        mirrored = {
            "": Affine.identity(),
            "left to right": Affine(-1, 0, 1, 0, 1, 0),
            "top to bottom": Affine(1, 0, 0, 0, -1, 1),
        }[self.mirror]
        turned = Affine.quarter_turn(self.turn_deg, 1.0, 1.0)
        return Affine.between(_UNIT, self.target_px) @ mirrored @ turned

    @property
    def built_mm_to_px(self) -> Affine:
        """The map that the driver makes, before the cursor is held at the target's edges."""
        straight = self.unit_to_px @ Affine.between(self.area_built_mm, _UNIT)
        if not self.area_angle_deg:
            return straight
        return straight @ Affine.rotation_about(-self.area_angle_deg, *self.area_built_mm.centre)

    def cursor_px(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """Where the cursor goes for a pen at this place: never out of the target."""
        x_px, y_px = self.built_mm_to_px.point(x_mm, y_mm)
        target = self.target_px
        return (
            min(max(x_px, target.left), target.right),
            min(max(y_px, target.top), target.bottom),
        )


#: Every way in which a driver may turn and mirror; half a turn with a mirror is the other mirror.
WAYS = tuple((turn, mirror) for mirror in MIRRORS[:2] for turn in TURNS_DEG)


def way_words(turn_deg: int, mirror: str, meant_turn_deg: int) -> tuple[int, str]:
    """The way in its shortest form: a mirror after half a turn is the other mirror."""
    if mirror and (turn_deg - meant_turn_deg) % 360 == 180:
        return meant_turn_deg, "top to bottom"
    return turn_deg, mirror
