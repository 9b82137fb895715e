"""A variation of a request: new wishes, and those old ones that do not contradict them."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mapper.mapping.solve import MapRequest

#: What gives way to each wish: a request with both would be refused, or be of another desktop.
GIVES_WAY: dict[str, tuple[str, ...]] = {
    "area_built_mm": ("within_built_mm", "feel"),
    "within_built_mm": ("area_built_mm",),
    "feel": ("area_built_mm",),
    "window_px": ("onto",),
    "onto": ("window_px",),
    "desktop": ("window_px",),
}
_TAKEN_BACK: dict[str, Any] = {"onto": ()}


def varied(base: MapRequest, wishes: Mapping[str, Any]) -> MapRequest:
    """``base`` with the fields of ``wishes``, and without those that these rule out.

    A wish of None (``onto``: empty) takes a field back. An area that is taken as it is gives way to
    a fit that trims, to a part of the tablet and to a wanted scale, and these to it; the displays
    to reach give way to a window, and a window to them and to another desktop; a wanted scale to
    the fit ``full``, and that to a wanted scale. Labels that another desktop lacks are left out.
    Raises RequestError for fields that cannot be together.
    """
    fields = dict(wishes)

    def drop(name: str) -> None:
        fields.setdefault(name, _TAKEN_BACK.get(name))

    for name, value in wishes.items():
        if value not in (None, ()):
            for other in GIVES_WAY.get(name, ()):
                drop(other)
    fit = wishes.get("fit")
    if fit is not None:
        drop("feel" if fit == "full" else "area_built_mm")
    elif fields.get("area_built_mm"):
        fields["fit"] = "full"
    elif fields.get("feel") and base.fit == "full":
        fields["fit"] = "locked"
    desktop, window = fields.get("desktop", base.desktop), fields.get("window_px", base.window_px)
    there = {display.label for display in desktop.displays}
    onto = fields.setdefault("onto", tuple(label for label in base.onto if label in there))
    reached = onto or [
        display.label for display in desktop.displays if window and display.rect_px.overlap(window)
    ]
    if base.true_on not in reached:
        drop("true_on")
    return replace(base, **fields)
