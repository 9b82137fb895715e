"""What differs between two profiles.

What comes of it for hand and screen first, then what was described or asked otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

import msgspec

from profiles.format.document import document_of, refuse_no_workstation

if TYPE_CHECKING:
    from mapper.desk import Display
    from profiles.format.document import Workstation

#: Computed numbers that differ by less than this, relative to the larger, differ by their rounding
#: alone.
SAME = 1e-9
#: Hardware that was measured again differs by less.
_STILL_THE_SAME = 0.1
#: Parts of the document that were described or asked; displays are gone through by their labels.
_ASKED = ("workstation", "note", "tablet", "seat", "map", "entry")


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that differs.

    ``what`` names it, with its unit, as the profile does (``area.width_mm``, ``map.fit``).

    ``before`` and ``after`` are None where it is absent or unknown.

    >>> Change("area.width_mm", 240.0, 232.0).by
    -8.0
    >>> Change("map.fit", "locked", "full").by is None
    True
    """

    what: str
    before: Any
    after: Any

    @property
    def by(self) -> float | None:
        """How much more it is after, where both are numbers."""
        numbers = all(type(value) in {int, float} for value in (self.before, self.after))
        return self.after - self.before if numbers else None


@dataclass(frozen=True, slots=True)
class Setting:
    """What is set on a workstation, in the few numbers that hand and eye notice.

    The area in mm as the artist sees it, ``left_mm`` and ``top_mm`` from the top left of the active
    area; ``angle_deg`` where it is turned askew; the screen in px of the desktop. ``stretch``,
    ``oval_percent`` and ``longer_axis_deg`` are those on ``display``, the one that is to be true.
    """

    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float
    angle_deg: float | None
    left_px: float
    top_px: float
    width_px: float
    height_px: float
    scale_factor: float | None
    stretch: float
    oval_percent: float
    longer_axis_deg: float | None
    display: str


def replaced_hardware(
    before: Workstation, after: Workstation
) -> tuple[Literal["tablet", "displays"], ...]:
    """Which of tablet and displays are wholly others than before.

    Another tablet: one of its sides differs by more than a tenth, which no better measuring
    explains. Other displays: none of them has the pixels, or within a tenth the size, of any
    before.
    """

    def near(one: float | None, two: float | None) -> bool:
        return (
            one is not None
            and two is not None
            and abs(one - two) <= _STILL_THE_SAME * max(one, two)
        )

    def alike(one: Display, two: Display) -> bool:
        pixels = (one.width_px, one.height_px) == (two.width_px, two.height_px)
        return pixels or (near(one.width_mm, two.width_mm) and near(one.height_mm, two.height_mm))

    was, now = before.map.request, after.map.request
    tablet = near(was.tablet.width_mm, now.tablet.width_mm) and near(
        was.tablet.height_mm, now.tablet.height_mm
    )
    displays = any(alike(one, two) for one in was.desktop.displays for two in now.desktop.displays)
    replaced: list[Literal["tablet", "displays"]] = [] if tablet else ["tablet"]
    return (*replaced, *(() if displays else ("displays",)))


def setting_of(workstation: Workstation) -> Setting:
    """The setting that is to be entered."""
    solved = workstation.map
    area, screen = solved.area_seen_mm, solved.screen_px
    distortion = solved.figures_on(solved.reference).distortion
    return Setting(
        left_mm=area.left,
        top_mm=area.top,
        width_mm=area.width,
        height_mm=area.height,
        angle_deg=solved.area_angle_deg or None,
        left_px=screen.left,
        top_px=screen.top,
        width_px=screen.width,
        height_px=screen.height,
        scale_factor=solved.summary.scale_factor,
        stretch=distortion.stretch,
        oval_percent=distortion.oval_percent,
        longer_axis_deg=distortion.longer_axis_deg,
        display=solved.reference.label,
    )


def changes(before: Workstation, after: Workstation) -> list[Change]:
    """All that differs, what comes of it first. Empty where both say the same.

    >>> from dataclasses import replace
    >>> from mapper import Desktop, Display, MapRequest, Tablet, solve
    >>> from profiles import Workstation
    >>> request = MapRequest(Tablet(240, 152), Desktop((Display(2560, 1440),)))
    >>> desk = Workstation("desk", solve(request))
    >>> other = replace(desk, map=solve(replace(request, hold="top")))
    >>> [(change.what, change.before, change.after) for change in changes(desk, other)][-1]
    ('map.hold', 'centre', 'top')
    """
    refuse_no_workstation(before, "before")
    refuse_no_workstation(after, "after")
    outcome = [
        change
        for change in _differences(_outcome(before), _outcome(after))
        if not _rounding(change)
    ]
    return [*outcome, *_differences(_asked(before), _asked(after))]


def _outcome(workstation: Workstation) -> dict[str, Any]:
    setting = setting_of(workstation)
    return {
        "area.width_mm": setting.width_mm,
        "area.height_mm": setting.height_mm,
        "area.centre_x_mm": setting.left_mm + setting.width_mm / 2,
        "area.centre_y_mm": setting.top_mm + setting.height_mm / 2,
        "area.angle_deg": setting.angle_deg,
        "screen.left_px": setting.left_px,
        "screen.top_px": setting.top_px,
        "screen.width_px": setting.width_px,
        "screen.height_px": setting.height_px,
        "scale_factor": setting.scale_factor,
        "stretch": setting.stretch,
        "oval_percent": setting.oval_percent,
        "reached": [display.label for display in workstation.map.reached],
    }


def _asked(workstation: Workstation) -> dict[str, Any]:
    plain = msgspec.to_builtins(document_of(workstation))
    flat: dict[str, Any] = {}
    for part in _ASKED:
        _flatten(plain[part], part, flat)
    flat["map.true_on"] = workstation.map.reference.label
    for display in plain["displays"]:
        display.pop("circles_round", None)
        _flatten(display, f"displays[{display['label']}]", flat)
    return flat


def _flatten(data: Any, name: str, flat: dict[str, Any]) -> None:
    if isinstance(data, dict):
        for key, value in data.items():
            _flatten(value, f"{name}.{key}", flat)
    elif data is not None:
        flat[name] = data


def _differences(before: dict[str, Any], after: dict[str, Any]) -> list[Change]:
    names = dict.fromkeys([*before, *after])
    pairs = ((name, before.get(name), after.get(name)) for name in names)
    return [Change(name, was, now) for name, was, now in pairs if was != now]


def _rounding(change: Change) -> bool:
    """Whether it is the same number computed in another way."""
    if change.by is None:
        return False
    return bool(abs(change.by) <= SAME * max(1.0, abs(change.before), abs(change.after)))
