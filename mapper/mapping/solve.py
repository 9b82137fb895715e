"""From the request to the map: the one place where tablet, desktop and fit come together.

Decisions. The default target is the primary display alone; one over several is asked for
(``onto``). ``screen_used_percent`` is the share of the target, of what the pen could have reached.
``scale_factor`` of a target over several displays is measured on the display that is to be true.
What a wanted scale, a step, a slant or a second display needs is imported where there is one, and
results that nobody builds from outside (``windows.Target``, ``windows.Strips``) are named tuples: a
frozen, slotted dataclass costs a millisecond at start-up, for checks that a result does not need.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from mapper.affine import Affine
from mapper.desk import Desktop, Display, Tablet
from mapper.distortion import Distortion
from mapper.mapping.fits import FITS, HOLDS, Fit, Hold, fit_rects, place
from mapper.mapping.windows import Target, target_of
from mapper.phrases import phrase, template
from mapper.problems import Problem, RequestError, one_of, quoted, refuse_other
from mapper.rect import Rect
from mapper.units import agree

if TYPE_CHECKING:
    # What few maps need (a wanted feel, a step, a slant) is imported where it is asked for:
    # start-up is a feature.
    from collections.abc import Callable

    from mapper.mapping.feel import Feel
    from mapper.mapping.forms import RectForm
    from mapper.mapping.steps import Step

#: Draws a map as SVG, for notebooks. Pictures are of a higher floor, which puts its own here.
svg_of: Callable[[TabletMap], str] | None = None


@dataclass(frozen=True, slots=True)
class MapRequest:
    """What is asked of a map.

    ``onto`` names the displays that the pen may reach, by label; empty stands for the primary one
    or, where there is a ``window_px``, for all. ``window_px`` is the part of them that the pen may
    reach (desktop frame). ``true_on`` names the display on which shapes are to be true; None stands
    for the primary display if it is reached, else for the first that is. ``hold`` speaks of the
    seen frame and of the screen. ``within_built_mm`` is the part of the active area that may be
    used; ``area_built_mm`` a rectangle that is taken as it is, as it is set now (fit ``full``
    only). ``feel`` is the wanted scale, ``step`` what the driver's form takes;
    ``mapper.solving.solve`` makes the one map of it all. Raises RequestError for values of other
    types, and for what cannot be asked for together.

    >>> desktop = Desktop((Display(2560, 1440, diagonal_mm=685.8),))
    >>> MapRequest(Tablet(240, 152), desktop, fit="cropped", hold="top-left")
    <MapRequest 240x152 mm, fit cropped, hold top-left, onto the primary display>
    """

    tablet: Tablet
    desktop: Desktop
    fit: Fit = "locked"
    hold: Hold = "centre"
    onto: tuple[str, ...] = ()
    true_on: str | None = None
    window_px: Rect | None = None
    within_built_mm: Rect | None = None
    area_built_mm: Rect | None = None
    feel: Feel | None = None
    step: Step | None = None

    def __repr__(self) -> str:
        tablet = f"{self.tablet.width_mm:g}x{self.tablet.height_mm:g} mm"
        onto = ", ".join(self.onto) or "the primary display"
        return f"<MapRequest {tablet}, fit {self.fit}, hold {self.hold}, onto {onto}>"

    def __post_init__(self) -> None:
        self._refuse_other_types()
        if self.step is not None:
            # Counts without a resolution are refused here and not when somebody rounds.
            self.step.length_mm(self.tablet)
        if self.area_built_mm is None:
            return
        for name, is_set in (
            ("within", self.within_built_mm is not None),
            ("scale", self.feel is not None),
        ):
            if is_set:
                raise RequestError(
                    Problem(
                        name, phrase("must not be given beside an area, which is taken as it is")
                    )
                )
        if self.fit != "full":
            instead = phrase("To trim it to true shapes, give it as within")
            raise RequestError(
                Problem(
                    "fit", phrase("must be full if an area is taken as it is"), self.fit, instead
                )
            )

    def _refuse_other_types(self) -> None:
        example = template("Give for example {it}")
        refuse_other(self.tablet, Tablet, "tablet", example, it="Tablet(240, 152)")
        desktop = "Desktop((Display(2560, 1440),))"
        refuse_other(self.desktop, Desktop, "desktop", example, it=desktop)
        given: object = self.onto
        if not isinstance(given, tuple):
            it = self._labels_meant(given)
            refuse_other(given, tuple, "onto", template("Give a tuple of labels: {it}"), it=it)
        for label in self.onto:
            refuse_other(label, str, "onto", example, it='("main",)')
        if self.true_on is not None:
            refuse_other(self.true_on, str, "true_on", example, it='"main"')
        one_of(self.fit, FITS, "fit")
        one_of(self.hold, HOLDS, "hold")
        for name in ("window_px", "within_built_mm", "area_built_mm"):
            rect = getattr(self, name)
            if rect is not None and not isinstance(rect, Rect):
                numbers = ", ".join(map(repr, rect)) if isinstance(rect, (tuple, list)) else ""
                it = f"Rect({numbers or 'left, top, width, height'})"
                refuse_other(rect, Rect, name, template("Give {it}"), it=it)
        if self.feel is not None:
            from mapper.mapping.feel import Feel

            refuse_other(self.feel, Feel, "feel", example, it="Feel(2.5, 2.5)")
        if self.step is not None:
            from mapper.mapping.steps import Step

            refuse_other(self.step, Step, "step", example, it='Step(0.5, "mm")')

    def _labels_meant(self, given: object) -> str:
        """A tuple of labels to type in place of ``given``, all of them where "all" was said."""
        labels = [display.label for display in self.desktop.displays]
        if isinstance(given, str) and given in labels:
            labels = [given]
        elif given != "all":
            labels = labels[:1]
        inside = ", ".join(map(quoted, labels))
        return f"({inside},)" if len(labels) == 1 else f"({inside})"


class DisplayFigures(NamedTuple):
    """The figures of a map on one display that it reaches.

    ``scale_factor``: diagonal of the screen over diagonal of the area, both in mm, as if all of the
    screen were on this display; None where its size is unknown. ``distortion`` is in mm on the
    glass for mm under the hand (desk frame); where ``size_known`` is false it is in px for mm, and
    only its ratios and angles mean anything. ``tilt_deg`` is how far everything drawn comes out
    turned, clockwise; 0 unless the tablet lies askew and the driver knows nothing of it.
    ``counts_per_px_x`` and ``_y`` are the device counts that move the pen by one pixel along the
    area's x and y as seen, None where the resolution is unknown.
    """

    display: str
    size_known: bool
    scale_factor: float | None
    distortion: Distortion
    tilt_deg: float
    counts_per_px_x: float | None
    counts_per_px_y: float | None


@dataclass(frozen=True, slots=True)
class Summary:
    """The figures of a map as a whole.

    ``scale_factor`` is that on the display that is to be true. ``area_used_percent``: the area's
    share of the active area. ``screen_used_percent``: the screen's share of the target, of what the
    pen could reach.
    """

    scale_factor: float | None
    area_used_percent: float
    screen_used_percent: float


@dataclass(frozen=True, slots=True)
class TabletMap:
    """A map, solved: the one that is entered, rounded to the driver's step where one was asked for.

    ``request`` is what was asked, with ``onto`` and ``true_on`` filled in; ``source_seen_mm`` the
    part of the tablet that may be used; ``target_px`` the part of the desktop that the pen may
    reach; ``area_seen_mm`` and ``area_built_mm`` the rectangle to enter; ``screen_px`` the pixels
    reached; ``reference`` the display on which shapes are to be true; ``reached`` the displays that
    the screen touches.

    ``area_angle_deg`` is how far the area is turned clockwise about its own centre, in either frame
    of the tablet: the rectangles are it before that turn. 0 unless the tablet lies askew. ``exact``
    is the map before rounding, which is itself where there is no step; its rectangles are exact to
    floating point.

    >>> from mapper.desk import Desktop, Display, Tablet
    >>> from mapper.solving import solve
    >>> desktop = Desktop((Display(2560, 1440, diagonal_mm=685.8),))
    >>> solved = solve(MapRequest(Tablet(240, 152), desktop))
    >>> solved
    <TabletMap 240x135 mm at 0,8.5 to 2560x1440 px, scale factor 2.491>
    >>> solved.built_mm_to_desktop_px.point(120, 76)
    (1280.0, 720.0)
    >>> solved.figures[0].distortion.oval_percent
    0.0
    """

    request: MapRequest
    reference: Display
    reached: tuple[Display, ...]
    source_seen_mm: Rect
    target_px: Rect
    area_seen_mm: Rect
    area_built_mm: Rect
    screen_px: Rect
    area_angle_deg: float = 0.0
    rounded_from: TabletMap | None = None

    def __repr__(self) -> str:
        area, screen = self.area_built_mm, self.screen_px
        scale = self.summary.scale_factor
        text = (
            f"{area.width:.6g}x{area.height:.6g} mm at {area.left:.6g},{area.top:.6g} to "
            f"{screen.width:.6g}x{screen.height:.6g} px"
        )
        return f"<TabletMap {text}{'' if scale is None else f', scale factor {scale:.4g}'}>"

    def _repr_svg_(self) -> str | None:
        """The picture that a notebook shows; None where nothing that draws is loaded."""
        return None if svg_of is None else svg_of(self)

    @property
    def forms(self) -> dict[str, RectForm]:
        """The rectangle to enter in each unit: mm, inch, percent, and counts where they are known.

        Built frame; of each unit the edges, the size, the centre and the distance from the bottom.
        """
        from mapper.mapping.forms import rect_forms

        tablet = self.request.tablet
        return rect_forms(self.area_built_mm, tablet.active_built_mm, tablet.counts_per_mm)

    @property
    def exact(self) -> TabletMap:
        """The map before rounding."""
        return self.rounded_from or self

    @property
    def trims_both(self) -> bool:
        """Whether a wanted scale trims the side that the fit would keep whole."""
        if self.request.feel is None or self.request.fit == "full":
            return False
        if self.request.fit == "locked":
            return self.screen_px != self.target_px
        from mapper.mapping.slant import largest_upright

        source, area = self.source_seen_mm, self.area_seen_mm
        whole = largest_upright(source.width, source.height, self.area_angle_deg)
        return not (agree(whole[0], area.width) and agree(whole[1], area.height))

    @property
    def area_corners_seen_mm(self) -> tuple[tuple[float, float], ...]:
        """The corners of the area as it lies, turned by ``area_angle_deg``, seen frame."""
        if not self.area_angle_deg:
            return self.area_seen_mm.corners
        turn = Affine.rotation_about(self.area_angle_deg, *self.area_seen_mm.centre)
        return tuple(turn.point(x, y) for x, y in self.area_seen_mm.corners)

    @property
    def area_box_seen_mm(self) -> Rect:
        """The box around the corners of the area as it lies, seen frame."""
        return self.area_seen_mm.box_turned(self.area_angle_deg)

    @property
    def hand_mm_per_px(self) -> tuple[float, float]:
        """The hand's way for one pixel, mm, along the area's x and y as seen."""
        return (
            self.area_seen_mm.width / self.screen_px.width,
            self.area_seen_mm.height / self.screen_px.height,
        )

    @property
    def seen_mm_to_desktop_px(self) -> Affine:
        """The map from mm of the seen frame to px of the desktop frame."""
        straight = Affine.between(self.area_seen_mm, self.screen_px)
        if not self.area_angle_deg:
            return straight
        return straight @ Affine.rotation_about(-self.area_angle_deg, *self.area_seen_mm.centre)

    @property
    def built_mm_to_desktop_px(self) -> Affine:
        """The map from mm of the built frame to px of the desktop frame."""
        return self.seen_mm_to_desktop_px @ self.request.tablet.built_to_seen

    @property
    def desktop_px_to_built_mm(self) -> Affine:
        """The map from px of the desktop frame to mm of the built frame."""
        return ~self.built_mm_to_desktop_px

    @property
    def built_unit_to_desktop_unit(self) -> Affine:
        """The map from 0..1 over the active area, built frame, to 0..1 over the whole desktop."""
        if self.area_angle_deg:
            tablet, unit = self.request.tablet, Rect(0.0, 0.0, 1.0, 1.0)
            to_mm = Affine.between(unit, tablet.active_built_mm)
            return (
                Affine.between(self.request.desktop.rect_px, unit)
                @ self.built_mm_to_desktop_px
                @ to_mm
            )
        area = _as_fraction(self.area_seen_mm, self.request.tablet.active_seen_mm)
        screen = _as_fraction(self.screen_px, self.request.desktop.rect_px)
        return Affine.between(area, screen) @ Affine.quarter_turn(
            self.request.tablet.turn_deg, 1.0, 1.0
        )

    @property
    def figures(self) -> tuple[DisplayFigures, ...]:
        """The figures of each display reached, in the order in which they were described."""
        return tuple(self.figures_on(display) for display in self.reached)

    def figures_on(self, display: Display) -> DisplayFigures:
        """The figures on one display of the desktop."""
        give = template("Give one of map.request.desktop.displays")
        refuse_other(display, Display, "display", give)
        x_mm_per_px, y_mm_per_px = display.mm_per_px or (1.0, 1.0)
        x_px_per_mm = self.screen_px.width / self.area_seen_mm.width
        y_px_per_mm = self.screen_px.height / self.area_seen_mm.height
        scale_x, scale_y = x_px_per_mm * x_mm_per_px, y_px_per_mm * y_mm_per_px
        counts = self.request.tablet.counts_per_mm
        linear, tilt = (scale_x, 0.0, 0.0, scale_y), 0.0
        askew_deg = self.request.tablet.slant_deg + self.area_angle_deg
        if askew_deg:
            from mapper.mapping.slant import tilt_deg

            # What the hand does upright reaches the area turned back by the rest of the slant.
            back = Affine.rotation_about(-askew_deg, 0.0, 0.0)
            linear = scale_x * back.a, scale_x * back.b, scale_y * back.d, scale_y * back.e
            tilt = tilt_deg(*linear)
        return DisplayFigures(
            display=display.label,
            size_known=display.mm_per_px is not None,
            scale_factor=self.scale_factor_on(display),
            distortion=Distortion.of_linear(*linear),
            tilt_deg=tilt,
            counts_per_px_x=None if counts is None else counts / x_px_per_mm,
            counts_per_px_y=None if counts is None else counts / y_px_per_mm,
        )

    def scale_factor_on(self, display: Display) -> float | None:
        """How many times larger a movement is on the glass of ``display`` than under the hand.

        Measured along the diagonal; None where the display's size is unknown.
        """
        pitch, area, screen = display.mm_per_px, self.area_seen_mm, self.screen_px
        if pitch is None:
            return None
        return math.hypot(screen.width * pitch[0], screen.height * pitch[1]) / math.hypot(
            area.width, area.height
        )

    @property
    def summary(self) -> Summary:
        """The figures of the map as a whole."""
        return Summary(
            scale_factor=self.scale_factor_on(self.reference),
            area_used_percent=_percent(self.area_seen_mm, self.request.tablet.active_seen_mm),
            screen_used_percent=_percent(self.screen_px, self.target_px),
        )


def solve_exact(request: MapRequest) -> TabletMap:
    """The map that was asked for before any rounding.

    Raises RequestError where it cannot be had.
    """
    give = template("Give a MapRequest of a tablet and a desktop")
    refuse_other(request, MapRequest, "request", give)
    return _solve(
        request, area_angle_deg=0.0 if request.area_built_mm else 0.0 - request.tablet.slant_deg
    )


def unturned_map(solved: TabletMap) -> TabletMap:
    """The best map of a tablet that lies askew for a driver that cannot turn the area.

    It is the fit of the whole source as if the tablet lay straight. No rectangle that is not turned
    does better: whatever its proportions, strokes come out tilted by the slant, and any others but
    these are stretched besides. A wanted scale is kept, by a part of the screen as well as of the
    tablet where the fit alone cannot have it.
    """
    return _solve(solved.request, area_angle_deg=0.0, compromise=True)


def _solve(request: MapRequest, *, area_angle_deg: float, compromise: bool = False) -> TabletMap:
    """The map of ``request``, exact, with an area turned by ``area_angle_deg``.

    With ``compromise`` a wanted scale may trim both sides.
    """
    tablet = request.tablet
    target = target_of(request.desktop, request.onto, request.window_px)
    reference = _reference_display(request, target)
    # What was left open is written down, so that the same map can be asked for again.
    request = replace(
        request, onto=tuple(display.label for display in target.displays), true_on=reference.label
    )
    source = tablet.seen_rect_mm(source_built_mm(request))
    if compromise and request.feel is not None:
        area, screen = _largest_fit_with_feel(request, source, target.rect_px, reference, 0.0)
    else:
        area, screen = _area_and_screen(request, source, target.rect_px, reference, area_angle_deg)
    return TabletMap(
        request=request,
        reference=reference,
        reached=tuple(
            display for display in request.desktop.displays if display.rect_px.overlap(screen)
        ),
        source_seen_mm=source,
        target_px=target.rect_px,
        area_seen_mm=area,
        area_built_mm=_area_built(request, source, area),
        screen_px=screen,
        area_angle_deg=area_angle_deg,
    )


def source_built_mm(request: MapRequest) -> Rect:
    """The part of the tablet that may be used.

    Raises RequestError where it is not on the tablet.
    """
    active = request.tablet.active_built_mm
    for name, part in (("within", request.within_built_mm), ("area", request.area_built_mm)):
        if part is None:
            continue
        # A billionth of the active area is the rounding of an inch or a percentage.
        if not active.holds(part, slack=1e-9 * max(active.width, active.height)):
            size = f"{active.width:g}x{active.height:g} mm"
            came = phrase(
                "{width}x{height} mm at {left},{top}",
                width=f"{part.width:g}",
                height=f"{part.height:g}",
                left=f"{part.left:g}",
                top=f"{part.top:g}",
            )
            raise RequestError(
                Problem(name, phrase("must lie within the active area, {size}", size=size), came)
            )
        return part
    return active


def _area_and_screen(
    request: MapRequest, source: Rect, target: Rect, reference: Display, area_angle_deg: float
) -> tuple[Rect, Rect]:
    """Area (seen frame, before its turn) and screen, as the fit and the wanted feel have them."""
    pitch = reference.mm_per_px
    x_mm_per_px, y_mm_per_px = pitch or (1.0, 1.0)
    if agree(x_mm_per_px, y_mm_per_px):
        # Square pixels have whole proportions: 240 mm are trimmed to 135, not 135.00000000000001.
        x_mm_per_px = y_mm_per_px = 1.0

    def fitted(fit: str, x_pitch: float, y_pitch: float) -> tuple[Rect, Rect]:
        if area_angle_deg:
            from mapper.mapping.slant import slanted_fit

            return slanted_fit(
                source,
                target,
                fit,
                request.hold,
                -area_angle_deg,
                x_mm_per_px=x_pitch,
                y_mm_per_px=y_pitch,
            )
        return fit_rects(
            source, target, fit, request.hold, x_mm_per_px=x_pitch, y_mm_per_px=y_pitch
        )

    feel = request.feel
    if feel is None:
        return fitted(request.fit, x_mm_per_px, y_mm_per_px)
    if pitch is None:
        instead = phrase('Give its diagonal or its width and height, for example "27in 2560x1440"')
        raise RequestError(
            Problem(
                "scale",
                phrase("needs the size of the display"),
                phrase("{reference} without one", reference=quoted(reference.label)),
                instead,
            )
        )
    from mapper.mapping.feel import fit_with_feel

    felt_pitch = x_mm_per_px / feel.scale_x, y_mm_per_px / feel.scale_y
    return fit_with_feel(
        _largest_fit_with_feel(request, source, target, reference, area_angle_deg),
        fitted("locked", *felt_pitch),
        fitted("cropped", *felt_pitch),
        request.fit,
        feel,
        x_mm_per_px=pitch[0],
    )


def _largest_fit_with_feel(
    request: MapRequest, source: Rect, target: Rect, reference: Display, area_angle_deg: float
) -> tuple[Rect, Rect]:
    """The largest area and screen of the wanted feel, each held in the whole it is a part of."""
    from mapper.mapping.feel import largest_with_feel
    from mapper.mapping.slant import place_turned

    feel, pitch = request.feel, reference.mm_per_px
    # A feel is only ever asked of a display whose size is known.
    assert feel is not None
    assert pitch is not None
    area, screen = largest_with_feel(
        source, target, feel, area_angle_deg, x_mm_per_px=pitch[0], y_mm_per_px=pitch[1]
    )
    area_seen = place_turned(source, *area, request.hold, area_angle_deg)
    return area_seen, place(target, *screen, request.hold)


def _area_built(request: MapRequest, source_seen: Rect, area_seen: Rect) -> Rect:
    """The area in the built frame; what was typed there and not trimmed is kept to the last bit."""
    typed = request.within_built_mm or request.area_built_mm
    if typed is not None and area_seen == source_seen:
        return typed
    return request.tablet.built_rect_mm(area_seen)


def _reference_display(request: MapRequest, target: Target) -> Display:
    """The display on which shapes are to be true.

    Raises RequestError where that is one the pen does not reach.
    """
    if request.true_on is not None:
        chosen = request.desktop.named(request.true_on, phrase("true on"))
        if chosen not in target.displays:
            reached = ", ".join(display.label for display in target.displays)
            raise RequestError(
                Problem(
                    "true on",
                    phrase("must be a display that the pen reaches"),
                    quoted(chosen.label),
                    phrase("It reaches {reached}", reached=reached),
                )
            )
        return chosen
    primary = request.desktop.primary
    return primary if primary in target.displays else target.displays[0]


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
