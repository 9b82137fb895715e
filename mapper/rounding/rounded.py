"""The map as a driver can take it: edges on whole multiples of its step, whole pixels.

Sides and edges are compared as the decimals that a person typed (0.1 is one tenth), exactly, in
fractions; a length within a billionth of a step of a whole multiple is that multiple. A wanted
scale is an upper bound for the sides: rounding makes the scale no smaller.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from math import hypot

from mapper.mapping.fits import HOLDS
from mapper.mapping.solve import TabletMap, source_built_mm, unturned_map
from mapper.mapping.steps import Step
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.rect import Rect
from mapper.rounding.grid import Grid
from mapper.rounding.lattice import Sides, stretch_of
from mapper.units import agree, as_typed

_ONE_PX = Fraction(1)
_STEP_FITS = Problem(
    "step",
    phrase(
        "must be no larger than the width and the height of the part of the tablet that may be used"
    ),
)
_PIXEL_FITS = Problem("window", phrase("must hold at least one whole pixel"))


@dataclass(frozen=True, slots=True)
class RoundingCost:
    """What became of a map when it was rounded.

    ``area_percent`` and ``scale_percent``: how much larger (+) or smaller (-) the area and the
    scale factor became; the scale is None where the display's size is unknown. ``stretch_percent``:
    how much longer one way than the other shapes come out beyond the exact map's own. ``shift_mm``:
    how far the middle of the area moved on the tablet.
    """

    area_percent: float
    stretch_percent: float
    scale_percent: float | None
    shift_mm: float


@dataclass(frozen=True, slots=True)
class StepChoices:
    """All rectangles that no other beats both in size and in shape, the truest first.

    ``sides`` are their widths and heights in steps, built frame; where the fit trims the screen
    they are those of the window (``of_window``), in px. ``chosen`` is the one that ``rounded``
    takes.
    """

    sides: tuple[Sides, ...]
    chosen: Sides
    of_window: bool
    _rounding: _Rounding
    _true_ratio: Fraction

    def stretch(self, sides: Sides) -> float:
        """Longest over shortest scale with these sides."""
        return float(stretch_of(sides, self._true_ratio))

    def map(self, sides: Sides) -> TabletMap:
        """The whole map with these sides."""
        if self.of_window:
            return self._rounding.with_window(sides, self._rounding.area(self._rounding.area_sides))
        return self._rounding.with_window(None, self._rounding.area(sides))


def rounded(solved: TabletMap) -> TabletMap:
    """``solved`` with its area on the driver's step and its screen on whole pixels.

    It may have been rounded before. Let A be the largest area of the admissible rectangles whose
    stretch is within the shape tolerance: the roundest of those with at least 99 % of A is taken,
    and the least stretched of all where none is within it; for ``full`` the largest. Where a wanted
    scale makes the area or the window smaller than it could be, no rectangle larger than the exact
    one is admissible. A tablet that lies askew gets the unturned rectangle rounded. Raises
    RequestError where no step was asked for or none fits.

    >>> from mapper import Desktop, Display, MapRequest, Tablet, solve
    >>> from mapper.mapping.steps import Step
    >>> request = MapRequest(Tablet(240, 152), Desktop((Display(1920, 1200),)), step=Step(5, "mm"))
    >>> solve(request).area_built_mm
    Rect(left=0.0, top=0.0, width=240.0, height=150.0)
    """
    rounding = _Rounding.of(solved)
    return rounding.with_window(rounding.window_sides, rounding.area(rounding.area_sides))


def step_choices(solved: TabletMap) -> StepChoices:
    """Every choice that rounding ``solved`` leaves.

    Of the tablet's side, or of the screen's where the fit trims that; for ``full``, where only size
    counts, the one. Raises as ``rounded`` does.
    """
    rounding = _Rounding.of(solved)
    window = rounding.window_sides
    if window is not None:
        grid, most = rounding.window_grid, rounding.most_window
        size, chosen = rounding.window_size, window
    else:
        grid, most = rounding.area_grid, rounding.most_area
        size, chosen = rounding.true_size, rounding.area_sides
    sides = [chosen] if rounding.fit == "full" else grid.pareto_front(most, *size)
    return StepChoices(tuple(sides), chosen, window is not None, rounding, grid.true_ratio(*size))


def before_rounding(solved: TabletMap) -> TabletMap:
    """The map that was rounded: the exact one, or its unturned one where the tablet lies askew."""
    return unturned_map(solved) if solved.exact.area_angle_deg else solved.exact


def rounding_cost(solved: TabletMap) -> RoundingCost:
    """How ``solved`` differs from the map that it was rounded from."""
    exact = before_rounding(solved)
    before, after = (each.figures_on(each.reference).distortion.stretch for each in (exact, solved))
    old, new = exact.area_seen_mm, solved.area_seen_mm
    old_scale, new_scale = exact.summary.scale_factor, solved.summary.scale_factor
    old_x, old_y = old.centre
    new_x, new_y = new.centre
    scale_percent = None
    if old_scale is not None and new_scale is not None:
        scale_percent = (new_scale / old_scale - 1) * 100
    return RoundingCost(
        area_percent=(new.width / old.width * (new.height / old.height) - 1) * 100,
        stretch_percent=(after / before - 1) * 100,
        scale_percent=scale_percent,
        shift_mm=hypot(new_x - old_x, new_y - old_y),
    )


@dataclass(frozen=True)
class _Rounding:
    """One map about to be rounded, unturned.

    It has the grids of both sides and the sizes that would be true on them: ``true_size`` is the
    target's size in mm along the built frame's x and y; ``window_size`` that of the rounded area in
    px along the screen's. Each is worked out when it is first asked for, and once.
    """

    exact: TabletMap
    rounded_from: TabletMap
    step: Step
    area_grid: Grid
    window_grid: Grid
    pitch: tuple[Fraction, Fraction]

    @classmethod
    def of(cls, solved: TabletMap) -> _Rounding:
        step = solved.request.step
        if step is None:
            raise RequestError(Problem("step", phrase("is needed to round to")))
        exact = before_rounding(solved)
        tablet, source = exact.request.tablet, source_built_mm(exact.request)
        return cls(
            exact,
            solved.exact,
            step,
            Grid.within(source, *step.length_mm(tablet), _STEP_FITS),
            Grid.within(exact.target_px, _ONE_PX, _ONE_PX, _PIXEL_FITS),
            _exact_pitch(exact),
        )

    @property
    def fit(self) -> str:
        return self.exact.request.fit

    @property
    def trims_window(self) -> bool:
        """Whether the screen is cut to the area's proportions.

        That is so with ``cropped``, and where a scale trims both.
        """
        return self.fit == "cropped" or self.exact.screen_px != self.exact.target_px

    @cached_property
    def most_area(self) -> Sides:
        """The most steps across and down that the area may have.

        Those of the source, or of the exact area where a wanted scale made it small.
        """
        if self.exact.request.feel is None:
            return self.area_grid.most
        return self.area_grid.at_most(self.exact.area_built_mm)

    @cached_property
    def most_window(self) -> Sides:
        """The most px across and down that the window may have.

        Those of the target, or of the exact screen where a wanted scale made it small.
        """
        if self.exact.request.feel is None:
            return self.window_grid.most
        return self.window_grid.at_most(self.exact.screen_px)

    @cached_property
    def true_size(self) -> tuple[Fraction, Fraction]:
        width_px, height_px = self.window_grid.most
        width, height = width_px * self.pitch[0], height_px * self.pitch[1]
        return (height, width) if self.exact.request.tablet.turn_deg % 180 else (width, height)

    @cached_property
    def area_sides(self) -> Sides:
        """The area's sides in steps: the best round ones where the fit trims it.

        Else the largest of all.
        """
        if self.fit == "full" or self.trims_window:
            return self.most_area
        return self.area_grid.best(self.most_area, *self.true_size, self.step.most_stretch)

    @cached_property
    def window_size(self) -> tuple[Fraction, Fraction]:
        across, down = self.area_sides
        width, height = across * self.area_grid.step_x, down * self.area_grid.step_y
        if self.exact.request.tablet.turn_deg % 180:
            width, height = height, width
        return width / self.pitch[0], height / self.pitch[1]

    @cached_property
    def window_sides(self) -> Sides | None:
        """The window's sides in px where the fit trims it, None where the target is kept."""
        if not self.trims_window:
            return None
        return self.window_grid.best(self.most_window, *self.window_size, self.step.most_stretch)

    def area(self, sides: Sides) -> Rect:
        """The area of these sides, built frame, as near to the hold as the step allows."""
        across, down = HOLDS[self.exact.request.hold]
        # From the seen frame, which the hold speaks of, into the built one, turn by turn.
        for _ in range(self.exact.request.tablet.turn_deg // 90):
            across, down = down, 1 - across
        return self.area_grid.place(sides, across, down)

    def with_window(self, sides: Sides | None, area_built: Rect) -> TabletMap:
        """The map from this area to a window of these sides.

        ``sides`` None stands for the whole pixels of the target.
        """
        sides = sides or self.window_grid.most
        return replace(
            self.exact,
            area_built_mm=area_built,
            area_seen_mm=self.exact.request.tablet.seen_rect_mm(area_built),
            screen_px=self.window_grid.place(sides, *HOLDS[self.exact.request.hold]),
            rounded_from=self.rounded_from,
        )


def _exact_pitch(exact: TabletMap) -> tuple[Fraction, Fraction]:
    """The exact pixel pitch along x and y, 1 for square pixels.

    Over the wanted scale where that is unequal.
    """
    display, feel = exact.reference, exact.request.feel
    x, y = _ONE_PX, _ONE_PX
    pitch = display.mm_per_px
    if (
        pitch is not None
        and display.width_mm is not None
        and display.height_mm is not None
        and not agree(*pitch)
    ):
        x = as_typed(display.width_mm) / display.width_px
        y = as_typed(display.height_mm) / display.height_px
    if feel is None or feel.scale_x == feel.scale_y:
        return x, y
    return x / as_typed(feel.scale_x), y / as_typed(feel.scale_y)
