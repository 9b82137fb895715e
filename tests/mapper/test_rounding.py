"""Rounding to a driver's step.

The rule of design, word for word, over all rectangles that there are.
"""

from dataclasses import replace
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.feel import Feel
from mapper.mapping.solve import MapRequest, unturned_map
from mapper.mapping.solve import solve_exact as solve
from mapper.mapping.steps import Step
from mapper.problems import RequestError
from mapper.rect import Rect
from mapper.rounding.rounded import before_rounding, rounded, rounding_cost, step_choices
from tests.strategies import HOLD_SHARES, any_requests, fits, holds, turns_deg

steps = st.sampled_from(
    [
        Step(1, "mm"),
        Step(0.5, "mm"),
        Step(2, "counts"),
        Step(10, "percent"),
        Step(0.05, "inch"),
        Step(1, "mm", 5),
    ]
)


def request(tablet=(240, 152), pixels=(2560, 1440), inches=27.0, **asked):
    asked.setdefault("step", Step(1, "mm"))
    turn_deg = asked.pop("turn_deg", 0)
    slant_deg = asked.pop("slant_deg", 0.0)
    display = Display(*pixels).with_diagonal(inches * 25.4)
    return MapRequest(
        Tablet(*tablet, 200, turn_deg, slant_deg=slant_deg), Desktop((display,)), **asked
    )


def steps_mm(request):
    """One step along x and y of the built frame, in mm, from the step's own words."""
    size, tablet = Fraction(str(request.step.size)), request.tablet
    return {
        "mm": (size, size),
        "inch": (size * Fraction("25.4"), size * Fraction("25.4")),
        "percent": (
            size * Fraction(tablet.width_mm) / 100,
            size * Fraction(tablet.height_mm) / 100,
        ),
        "counts": (size / 200, size / 200),
    }[request.step.unit]


def stretch_on_glass(request, area_built, screen):
    """Longest over shortest scale from tablet to glass, of square pixels, by hand."""
    width, height = area_built
    if request.tablet.turn_deg in {90, 270}:
        width, height = height, width
    scale_x, scale_y = Fraction(screen[0]) / width, Fraction(screen[1]) / height
    return max(scale_x / scale_y, scale_y / scale_x)


def hold_error(request, left, top, width, height):
    """How far a rectangle lies from the held place, built frame.

    x and y by the turn that carries the seen hold back.
    """
    tablet = request.tablet
    x, y = HOLD_SHARES[request.hold]
    x, y = {0: (x, y), 90: (y, 1 - x), 180: (1 - x, 1 - y), 270: (1 - y, x)}[tablet.turn_deg]
    free_x, free_y = Fraction(tablet.width_mm) - width, Fraction(tablet.height_mm) - height
    return abs(left - free_x * x) + abs(top - free_y * y)


def brute_area(request):
    """The rectangle that the rule of design takes.

    All edges on multiples, inside the tablet; the roundest of the large ones, else the roundest,
    nearest to the hold.
    """
    step_x, step_y = steps_mm(request)
    tablet, display = request.tablet, request.desktop.primary
    across = [each * step_x for each in range(int(tablet.width_mm / step_x) + 1)]
    down = [each * step_y for each in range(int(tablet.height_mm / step_y) + 1)]
    most = 1 + Fraction(str(request.step.shape_tolerance_percent)) / 100

    best = None
    for left, right in product(across, across):
        if right <= left:
            continue
        for top, bottom in product(down, down):
            if bottom <= top:
                continue
            width, height = right - left, bottom - top
            stretch = stretch_on_glass(
                request, (width, height), (display.width_px, display.height_px)
            )
            size = width * height
            off_hold = hold_error(request, left, top, width, height)
            if request.fit == "locked" and stretch <= most:
                key = 0, -size, stretch, off_hold
            elif request.fit == "full" or stretch <= most:
                key = 0, -size, 0, off_hold
            else:
                key = 1, stretch, -size, off_hold
            if best is None or key < best[0]:
                best = key, (left, top, width, height)
    return best[0], best[1]


@pytest.mark.oracle
@pytest.mark.parametrize("fit", ["locked", "full"])
@pytest.mark.parametrize(
    ("tablet", "step", "turn_deg", "hold"),
    [
        ((9, 7), Step(1, "mm"), 0, "centre"),
        ((5, 3.5), Step(0.5, "mm", 2), 90, "top-left"),
        ((12, 9), Step(12.5, "percent"), 180, "right"),
        ((4, 3), Step(100, "counts", 0), 270, "top-left"),
        ((7, 4), Step(0.03, "inch"), 90, "right"),
    ],
)
def test_rounding_is_what_brute_force_over_every_rectangle_finds(tablet, step, turn_deg, hold, fit):
    asked = request(tablet, (16, 9), step=step, turn_deg=turn_deg, hold=hold, fit=fit)
    found = rounded(solve(asked)).area_built_mm
    key, expected = brute_area(asked)
    assert (found.width, found.height) == pytest.approx(
        [float(each) for each in expected[2:]], rel=1e-12
    )
    # Of two places as near to the hold either will do: the distance decides.
    step_x, step_y = steps_mm(asked)
    nearest = tuple(
        Fraction(round(Fraction(each) / unit)) * unit
        for each, unit in zip((found.left, found.top), (step_x, step_y), strict=True)
    )
    assert hold_error(asked, *nearest, *expected[2:]) == key[3]


@pytest.mark.oracle
@pytest.mark.parametrize(
    ("pixels", "tablet"), [((64, 36), (11, 8)), ((40, 30), (23, 10)), ((17, 29), (9, 7))]
)
def test_a_trimmed_window_is_what_brute_force_over_all_pixels_finds(pixels, tablet):
    asked = request(tablet, pixels, fit="cropped", step=Step(1, "mm", 2))
    solved = rounded(solve(asked))
    assert (solved.area_built_mm.width, solved.area_built_mm.height) == tablet
    candidates = [
        (stretch_on_glass(asked, tablet, (width, height)), width, height)
        for width in range(1, pixels[0] + 1)
        for height in range(1, pixels[1] + 1)
    ]
    good = [each for each in candidates if each[0] <= Fraction("1.02")]
    stretch, width, height = (
        min(good, key=lambda each: (-each[1] * each[2], each[0])) if good else min(candidates)
    )
    assert (solved.screen_px.width, solved.screen_px.height) == (width, height)
    assert solved.figures[0].distortion.stretch == pytest.approx(float(stretch), rel=1e-12)
    assert solved.screen_px.left == int(solved.screen_px.left)


# By brute force over all integer rectangles.
@pytest.mark.parametrize(
    ("pixels", "size"), [((2560, 1440), (240, 135)), ((3440, 1440), (215, 90))]
)
def test_the_largest_exact_whole_mm_area(pixels, size):
    area = rounded(solve(request(pixels=pixels, step=Step(1, "mm", 0)))).area_built_mm
    assert (area.width, area.height) == size


@given(
    any_requests(),
    st.sampled_from([0.1, 0.5, 2.0]),
    st.sampled_from(["mm", "percent"]),
    st.sampled_from([0.0, 0.1, 3.0]),
)
def test_a_rounded_map_is_on_the_step_and_inside_and_as_round_as_promised(
    asked, size, unit, tolerance
):
    asked = replace(asked, step=Step(size, unit, tolerance))
    solved = solve(asked)
    try:
        on_step = rounded(solved)
    except RequestError:
        # Only where not even one step or one pixel fits.
        source = asked.tablet.built_rect_mm(solved.source_seen_mm)
        step_x, step_y = asked.step.length_mm(asked.tablet)
        too_small = source.width < 2 * step_x or source.height < 2 * step_y
        assert too_small or min(solved.target_px.width, solved.target_px.height) < 2
        assume(False)
    step_x, step_y = (float(each) for each in asked.step.length_mm(asked.tablet))
    area, screen = on_step.area_built_mm, on_step.screen_px
    for edge, unit_mm in (
        (area.left, step_x),
        (area.right, step_x),
        (area.top, step_y),
        (area.bottom, step_y),
    ):
        assert edge / unit_mm == pytest.approx(round(edge / unit_mm), abs=1e-6)
    for edge in (screen.left, screen.top, screen.right, screen.bottom):
        assert edge == round(edge)
    source = asked.tablet.built_rect_mm(solved.source_seen_mm)
    assert source.holds(area, slack=1e-8 * max(source.right, source.bottom))
    assert solved.target_px.holds(screen, slack=1e-6)
    if asked.fit != "full":
        choices = step_choices(solved)
        promised = choices.stretch(choices.chosen)
        assert promised <= 1 + tolerance / 100 + 1e-12 or choices.chosen == choices.sides[0]
        if not asked.tablet.slant_deg:
            distortion = on_step.figures_on(on_step.reference).distortion
            assert distortion.stretch == pytest.approx(promised, rel=1e-9)


@given(fits, holds, turns_deg, steps)
def test_the_chosen_one_is_one_of_the_choices_and_maps_as_rounded_does(fit, hold, turn_deg, step):
    solved = solve(request((60, 40), (640, 360), fit=fit, hold=hold, turn_deg=turn_deg, step=step))
    choices = step_choices(solved)
    assert choices.chosen in choices.sides
    assert choices.map(choices.chosen) == rounded(solved)
    assert choices.of_window == (fit == "cropped")


def test_cropped_trims_the_window_though_the_exact_map_trims_nothing():
    """By hand: 240 x 135 mm of 16:9, in steps of 7 mm 34 x 19 of them, 238 x 133 mm.

    2560 px across would be 1430.59 high and 2559 px 1430.03, which is the rounder. Locked would
    have cut the area to fewer steps instead.
    """
    solved = solve(request((240, 135), fit="cropped", step=Step(7, "mm")))
    assert solved.exact.screen_px == solved.target_px
    assert step_choices(solved).of_window
    on_step = rounded(solved)
    assert (on_step.area_built_mm.width, on_step.area_built_mm.height) == (238, 133)
    assert (on_step.screen_px.width, on_step.screen_px.height) == (2559, 1430)


@pytest.mark.parametrize(("fit", "scale"), [("locked", 3.0), ("cropped", 2.0)])
def test_a_wanted_scale_bounds_what_rounding_may_take(fit, scale):
    solved = solve(request(fit=fit, feel=Feel(scale, scale), step=Step(1, "mm")))
    on_step = rounded(solved)
    exact, area = solved.area_built_mm, on_step.area_built_mm
    assert area.width <= exact.width + 1e-9
    assert area.height <= exact.height + 1e-9
    assert on_step.screen_px.width <= solved.screen_px.width + 1e-9
    assert on_step.summary.scale_factor == pytest.approx(scale, rel=0.02)


def test_an_unequal_feel_keeps_its_shape_when_rounded():
    solved = solve(request((300, 200), feel=Feel(3.0, 2.5), step=Step(0.1, "mm")))
    assert rounded(solved).figures[0].distortion.stretch == pytest.approx(1.2, rel=2e-3)


def test_an_askew_tablet_has_its_unturned_rectangle_rounded():
    solved = solve(request(slant_deg=10.0))
    on_step = rounded(solved)
    assert on_step.area_angle_deg == 0
    assert before_rounding(solved) == unturned_map(solved)
    assert on_step.area_built_mm == rounded(solve(request())).area_built_mm
    assert on_step.exact is solved


def test_what_rounding_costs():
    solved = solve(request(step=Step(10, "mm", 0.1)))
    cost = rounding_cost(rounded(solved))
    assert cost.area_percent == pytest.approx((160 * 90) / (240 * 135) * 100 - 100)
    assert cost.scale_percent == pytest.approx(240 / 160 * 100 - 100)
    assert cost.stretch_percent == 0
    # The middle was at 120, 76. On 10 mm the left edge keeps its 120 - 80 = 40; the top one goes
    # from 76 - 45 = 31 to 30.
    assert cost.shift_mm == pytest.approx(1)


def test_a_part_of_a_pixel_is_no_pixel():
    solved = solve(request(window_px=Rect(10.4, 10.0, 100.5, 50.0), fit="full"))
    assert rounded(solved).screen_px == Rect(11, 10, 99, 50)


@pytest.mark.parametrize(
    "asked", [{"step": None}, {"step": Step(200, "mm")}, {"window_px": Rect(0.2, 0, 0.7, 40)}]
)
def test_what_cannot_be_rounded_is_refused(asked):
    with pytest.raises(RequestError):
        rounded(solve(request(**asked)))


def test_counts_without_a_resolution_are_refused_when_they_are_asked_for():
    with pytest.raises(RequestError, match="resolution"):
        MapRequest(Tablet(240, 152), Desktop((Display(2560, 1440),)), step=Step(1, "counts"))


tenths = st.integers(0, 300)


@given(
    st.tuples(tenths, tenths, st.integers(400, 2400), st.integers(400, 1600)),
    turns_deg,
    holds,
    st.sampled_from(["0.1", "0.2", "0.3", "0.7"]),
)
def test_halfway_between_two_steps_it_is_always_the_lower_one(part, turn_deg, hold, step):
    """By counting in whole tenths of a mm.

    Nothing there is ever a hair more or less than a half.
    """
    left, top, width, height = part
    within = Rect(*(side / 10 for side in part))
    display = Display(2560, 1440).with_diagonal(27 * 25.4)
    asked = MapRequest(
        Tablet(270, 190, None, turn_deg),
        Desktop((display,)),
        hold=hold,
        within_built_mm=within,
        step=Step(float(step), "mm"),
    )
    area = rounded(solve(asked)).area_built_mm
    size = round(10 * float(step))
    sides = round(area.width * 10), round(area.height * 10)
    x, y = HOLD_SHARES[hold]
    shares = {0: (x, y), 90: (y, 1 - x), 180: (1 - x, 1 - y), 270: (1 - y, x)}[turn_deg]
    for start, whole, side, share, found in (
        (left, width, sides[0], shares[0], area.left),
        (top, height, sides[1], shares[1], area.top),
    ):
        wanted = start + (whole - side) * share
        on_grid = [at for at in range(0, 3000, size) if start <= at <= start + whole - side]
        assert round(found * 10) == min(on_grid, key=lambda at: (abs(at - wanted), at))
