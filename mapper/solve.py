"""From what was asked to the map: the one place where tablet, desktop and fit come together."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from mapper.affine import Affine
from mapper.desk import Desktop, Display, Tablet
from mapper.distortion import Distortion
from mapper.fits import fit_rects
from mapper.problems import Problem, RequestError, quoted
from mapper.rect import Rect
from mapper.units import agree

__all__ = ["DisplayFigures", "MapRequest", "Summary", "TabletMap", "solve"]


@dataclass(frozen=True, slots=True)
class MapRequest:
    """What is asked of a map.

    ``onto`` names the displays that the pen may reach, by label; empty stands for the primary one.
    ``true_on`` names the display on which shapes are to be true; None stands for the primary display if it
    is reached, else for the first of ``onto``. ``hold`` speaks of the seen frame and of the screen.
    """

    tablet: Tablet
    desktop: Desktop
    fit: str = "locked"
    hold: str = "centre"
    onto: tuple[str, ...] = ()
    true_on: str | None = None


@dataclass(frozen=True, slots=True)
class DisplayFigures:
    """The figures of a map on one display that it reaches.

    ``distortion`` is in mm on the glass for mm under the hand; where ``size_known`` is false it is in px for
    mm, and only its ratios and angles mean anything. ``counts_per_px_x`` and ``_y`` are the device counts that
    move the pen by one pixel along the screen's x and y, None where the resolution is unknown.
    """

    display: str
    size_known: bool
    distortion: Distortion
    counts_per_px_x: float | None
    counts_per_px_y: float | None


@dataclass(frozen=True, slots=True)
class Summary:
    """The figures of a map as a whole.

    ``scale_factor``: diagonal of the screen over diagonal of the area, both in mm, on the display that is to be
    true; None where its size is unknown. ``area_used_percent``: the area's share of the active area.
    ``screen_used_percent``: the screen's share of the target, of what the pen could reach.
    """

    scale_factor: float | None
    area_used_percent: float
    screen_used_percent: float


@dataclass(frozen=True, slots=True)
class TabletMap:
    """A map, solved. All rectangles are exact to floating point.

    ``request`` is what was asked, with ``onto`` and ``true_on`` filled in;
    ``source_seen_mm`` the part of the tablet that may be used; ``target_px`` the part of the desktop that the
    pen may reach; ``area_seen_mm`` and ``area_built_mm`` the rectangle to enter; ``screen_px`` the pixels reached;
    ``reference`` the display on which shapes are to be true; ``reached`` the displays that the screen touches.
    """

    request: MapRequest
    reference: Display
    reached: tuple[Display, ...]
    source_seen_mm: Rect
    target_px: Rect
    area_seen_mm: Rect
    area_built_mm: Rect
    screen_px: Rect

    @property
    def seen_mm_to_desktop_px(self) -> Affine:
        return Affine.between(self.area_seen_mm, self.screen_px)

    @property
    def built_mm_to_desktop_px(self) -> Affine:
        return self.seen_mm_to_desktop_px @ self.request.tablet.built_to_seen

    @property
    def desktop_px_to_built_mm(self) -> Affine:
        return ~self.built_mm_to_desktop_px

    @property
    def built_unit_to_desktop_unit(self) -> Affine:
        """From 0..1 over the whole active area, built frame, to 0..1 over the whole desktop."""
        area = _as_fraction(self.area_seen_mm, self.request.tablet.active_seen_mm)
        screen = _as_fraction(self.screen_px, self.request.desktop.rect_px)
        return Affine.between(area, screen) @ Affine.quarter_turn(self.request.tablet.turn_deg, 1.0, 1.0)

    @property
    def figures(self) -> tuple[DisplayFigures, ...]:
        """One entry for each display reached, in the order in which they were described."""
        return tuple(self.figures_on(display) for display in self.reached)

    def figures_on(self, display: Display) -> DisplayFigures:
        """The figures on one display."""
        x_mm_per_px, y_mm_per_px = display.mm_per_px or (1.0, 1.0)
        x_px_per_mm, y_px_per_mm = (
            self.screen_px.width / self.area_seen_mm.width,
            self.screen_px.height / self.area_seen_mm.height,
        )
        counts = self.request.tablet.counts_per_mm
        return DisplayFigures(
            display=display.label,
            size_known=display.mm_per_px is not None,
            distortion=Distortion.of_linear(x_px_per_mm * x_mm_per_px, 0.0, 0.0, y_px_per_mm * y_mm_per_px),
            counts_per_px_x=None if counts is None else counts / x_px_per_mm,
            counts_per_px_y=None if counts is None else counts / y_px_per_mm,
        )

    @property
    def summary(self) -> Summary:
        active, area, screen, target = (
            self.request.tablet.active_seen_mm,
            self.area_seen_mm,
            self.screen_px,
            self.target_px,
        )
        pitch = self.reference.mm_per_px
        return Summary(
            scale_factor=None
            if pitch is None
            else math.hypot(screen.width * pitch[0], screen.height * pitch[1]) / math.hypot(area.width, area.height),
            area_used_percent=_percent(area, active),
            screen_used_percent=_percent(screen, target),
        )


def solve(request: MapRequest) -> TabletMap:
    """The map that was asked for. Raises RequestError where it cannot be had."""
    desktop, tablet = request.desktop, request.tablet
    targets = [desktop.named(label, "onto") for label in dict.fromkeys(request.onto)] or [desktop.primary]
    reference = _reference(request, targets)
    # What was left to us is written down, so that the same map can be asked for again in so many words.
    request = replace(request, onto=tuple(display.label for display in targets), true_on=reference.label)
    target = Rect.enclosing(*(display.rect_px for display in targets))
    source = tablet.active_seen_mm
    x_mm_per_px, y_mm_per_px = reference.mm_per_px or (1.0, 1.0)
    if agree(x_mm_per_px, y_mm_per_px):
        # Square pixels: their proportions are whole numbers, which trims 224 mm to 126 and not 126.00000000000001.
        x_mm_per_px = y_mm_per_px = 1.0
    area, screen = fit_rects(
        source, target, request.fit, request.hold, x_mm_per_px=x_mm_per_px, y_mm_per_px=y_mm_per_px
    )
    # A rectangle that was not trimmed is the tablet's own in both frames, to the last bit.
    area_built = tablet.active_built_mm if area == tablet.active_seen_mm else (~tablet.built_to_seen).rect(area)
    return TabletMap(
        request=request,
        reference=reference,
        reached=tuple(display for display in desktop.displays if display.rect_px.overlap(screen)),
        source_seen_mm=source,
        target_px=target,
        area_seen_mm=area,
        area_built_mm=area_built,
        screen_px=screen,
    )


def _reference(request: MapRequest, targets: list[Display]) -> Display:
    if request.true_on is not None:
        chosen = request.desktop.named(request.true_on, "true on")
        if chosen not in targets:
            reached = ", ".join(display.label for display in targets)
            raise RequestError(
                Problem(
                    "true on", "must be a display that the pen reaches", quoted(chosen.label), f"It reaches {reached}"
                )
            )
        return chosen
    primary = request.desktop.primary
    return primary if primary in targets else targets[0]


def _as_fraction(part: Rect, whole: Rect) -> Rect:
    return Rect(
        (part.left - whole.left) / whole.width,
        (part.top - whole.top) / whole.height,
        part.width / whole.width,
        part.height / whole.height,
    )


def _percent(part: Rect, whole: Rect) -> float:
    # Side by side, so that a whole side counts as exactly 1.
    return 100.0 * (part.width / whole.width) * (part.height / whole.height)
