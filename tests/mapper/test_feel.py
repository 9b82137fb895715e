"""A wanted feel: what is found is what was wanted.

What cannot be had is refused with what can.
"""

import math
import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linprog

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.feel import Feel
from mapper.mapping.solve import MapRequest
from mapper.mapping.steps import Step
from mapper.problems import RequestError
from mapper.rect import Rect
from mapper.solving import solve
from tests.strategies import HOLD_SHARES, any_requests

TABLET = Tablet(240, 152, 150)
DESK = Desktop((Display(2560, 1440).with_diagonal(27 * 25.4),))
trimming = st.sampled_from(["locked", "cropped"])


@given(any_requests(fit=trimming, sized=True), st.floats(0.05, 20.0), st.floats(0.2, 5.0))
def test_the_feel_found_is_the_feel_measured(request, times, ratio):
    request = replace(
        request, area_built_mm=None, fit=request.fit if request.fit != "full" else "locked"
    )
    largest = solve(request)
    scale = largest.figures_on(largest.reference).distortion.scale_x
    feel = Feel(scale * times * ratio, scale * times)
    try:
        solved = solve(replace(request, feel=feel))
    except RequestError as error:
        # Nothing but the scale itself stands in the way, and then the largest fit is off the wanted
        # way.
        assert [problem.where for problem in error.problems] == ["scale"]
        return
    found = solved.figures_on(solved.reference).distortion
    assert (found.scale_x, found.scale_y) == pytest.approx((feel.scale_x, feel.scale_y), rel=1e-9)
    if not solved.trims_both and request.fit == "locked":
        assert solved.screen_px == largest.screen_px
    elif not solved.trims_both and not request.tablet.slant_deg:
        assert solved.area_built_mm == largest.area_built_mm
    source = solved.source_seen_mm
    slack = 1e-9 * max(source.width, source.height)
    # Turned or not, the area lies in the source, and at the hold: its box, not the rectangle before
    # its turn.
    xs, ys = zip(*solved.area_corners_seen_mm, strict=True)
    bounds = Rect(min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))
    assert source.holds(bounds, slack=slack)
    across, down = HOLD_SHARES[request.hold]
    assert bounds.left - source.left == pytest.approx(
        (source.width - bounds.width) * across, abs=slack
    )
    assert bounds.top - source.top == pytest.approx(
        (source.height - bounds.height) * down, abs=slack
    )
    assert solved.target_px.holds(solved.screen_px, slack=1e-6)


@given(any_requests(fit=trimming, sized=True), st.floats(0.1, 10.0))
def test_a_scale_is_refused_only_where_the_other_fit_has_it(request, times):
    request = replace(
        request, area_built_mm=None, fit=request.fit if request.fit != "full" else "locked"
    )
    scale = times * solve(request).summary.scale_factor
    asked = replace(request, feel=Feel(scale, scale))
    try:
        solved = solve(asked)
    except RequestError as error:
        other = "cropped" if request.fit == "locked" else "locked"
        assert f"Fit {other} allows it" in str(error)
        solved = solve(replace(asked, fit=other))
        assert not solved.trims_both
    assert solved.summary.scale_factor == pytest.approx(scale, rel=1e-9)


# By hand: 27 in of 16:9 are 597.7265 x 336.2212 mm of glass; over 240 mm of tablet that is 2.49053,
# over 152 2.21198.
@pytest.mark.parametrize(
    ("fit", "scale", "refused"),
    [
        ("locked", 2.0, "must be at least 2.22 with fit locked"),
        ("cropped", 3.0, "must be at most 2.49 with fit cropped"),
        ("full", 2.3, "works only with fit locked (2.22 or more) or fit cropped (2.49 or less)"),
    ],
)
def test_the_range_that_is_possible_is_told(fit, scale, refused):
    with pytest.raises(RequestError, match=re.escape(refused)):
        solve(MapRequest(TABLET, DESK, fit, feel=Feel(scale, scale)))


@given(any_requests(fit=trimming, sized=True), st.floats(0.01, 100.0))
def test_the_limit_that_is_named_can_be_typed(request, times):
    fit = "locked" if request.fit == "full" else request.fit
    request = replace(request, area_built_mm=None, feel=None, fit=fit)
    scale = times * solve(request).summary.scale_factor
    try:
        solve(replace(request, feel=Feel(scale, scale)))
    except RequestError as error:
        named = re.search(r"must be at (?:least|most) (\S+) with", str(error)).group(1)
        # A limit beside which no more than a hundredth is given up.
        other = scale < float(named)
        assert other == (request.fit == "locked")
        solved = solve(replace(request, feel=Feel(float(named), float(named))))
        assert solved.summary.scale_factor == pytest.approx(float(named), rel=1e-9)


def test_a_limit_that_is_a_round_number_is_named_above_itself():
    """By hand: 570 x 304 mm of display over 240 x 128 mm of tablet.

    Both fits are 2.375 but for the tablet's 24 mm more, so cropped begins at 2.0 and locked may not
    have it.
    """
    desk = Desktop((Display(1500, 800, 570, 304),))
    for scale in (1.9, 2.0):
        with pytest.raises(RequestError, match=r"must be at least 2\.01 with fit locked"):
            solve(MapRequest(Tablet(240, 152), desk, "locked", feel=Feel(scale, scale)))
    assert solve(MapRequest(Tablet(240, 152), desk, "locked", feel=Feel(2.01, 2.01))).trims_both


@pytest.mark.parametrize("fit", ["locked", "cropped"])
def test_a_scale_between_the_two_fits_trims_both_sides(fit):
    solved = solve(MapRequest(TABLET, DESK, fit, feel=Feel(2.4, 2.4)))
    assert solved.trims_both
    # By hand: all of the glass's width by 597.7265 / 2.4 mm of hand, all of the hand's height onto
    # 152 x 2.4 mm of glass.
    assert (solved.area_seen_mm.width, solved.area_seen_mm.height) == pytest.approx(
        (240, 336.2212 / 2.4), rel=1e-6
    )
    assert (solved.screen_px.width, solved.screen_px.height) == pytest.approx(
        (2560 * 240 * 2.4 / 597.7265, 1440), rel=1e-6
    )
    entered = solve(replace(solved.request, step=Step(1.0, "mm")))
    assert (entered.area_built_mm.width, entered.area_built_mm.height) == (240, 140)
    assert entered.summary.scale_factor == pytest.approx(2.4, rel=0.005)
    assert entered.figures_on(entered.reference).distortion.stretch <= 1.005


@pytest.mark.oracle
@given(any_requests(fit=trimming, sized=True), st.floats(0.2, 5.0))
def test_no_area_of_this_feel_is_larger_as_scipy_finds_it(request, times):
    """scipy's linear programme over log-free sides.

    For each share of width to height the largest that fits.
    """
    request = replace(
        request, area_built_mm=None, fit=request.fit if request.fit != "full" else "locked"
    )
    scale = times * solve(request).summary.scale_factor
    try:
        solved = solve(replace(request, feel=Feel(scale, scale)))
    except RequestError:
        return
    pitch = solved.reference.mm_per_px
    limit = solved.target_px.width * pitch[0] / scale, solved.target_px.height * pitch[1] / scale
    angle = math.radians(abs(solved.area_angle_deg))
    room = [[math.cos(angle), math.sin(angle)], [math.sin(angle), math.cos(angle)]]
    source = solved.source_seen_mm
    for share in (0.02, 0.2, 0.5, 1.0, 2.0, 5.0, 50.0):
        # Along one direction (share, 1) of sides the largest rectangle is a linear programme in its
        # size.
        found = linprog(
            [-1.0],
            A_ub=[[row[0] * share + row[1]] for row in room] + [[share], [1.0]],
            b_ub=[source.width, source.height, *limit],
            bounds=[(0, None)],
        )
        assert share * found.x[0] ** 2 <= solved.area_seen_mm.width * solved.area_seen_mm.height * (
            1 + 1e-7
        )


def test_a_display_of_unknown_size_has_no_scale_to_ask_for():
    with pytest.raises(RequestError, match="needs the size of the display"):
        solve(MapRequest(TABLET, Desktop((Display(2560, 1440),)), feel=Feel(3, 3)))


@pytest.mark.parametrize("slant_deg", [0, 7, -20])
@pytest.mark.parametrize("fit", ["locked", "cropped"])
def test_the_scale_that_a_map_has_anyhow_trims_nothing_more(fit, slant_deg):
    """To the last bit: what is used whole stays whole, whatever the scale was rounded to."""
    for inches in range(13, 50):
        display = Display(2560, 1440).with_diagonal(inches * 25.4)
        plain = solve(MapRequest(Tablet(240, 152, slant_deg=slant_deg), Desktop((display,)), fit))
        scale = plain.summary.scale_factor
        asked = solve(replace(plain.request, feel=Feel(scale, scale)))
        assert not asked.trims_both
        if fit == "locked":
            assert asked.screen_px == plain.screen_px
        else:
            assert asked.area_seen_mm == plain.area_seen_mm


@pytest.mark.parametrize("fit", ["locked", "cropped"])
def test_where_nothing_is_trimmed_either_fit_has_the_scale(fit):
    # By hand: 600 x 337.5 mm over 240 x 135 mm is 2.5 both ways.
    desk = Desktop((Display(2560, 1440, 600, 337.5),))
    solved = solve(MapRequest(Tablet(240, 135), desk, fit, feel=Feel(2.5, 2.5)))
    assert (solved.area_seen_mm, solved.screen_px) == (Rect(0, 0, 240, 135), Rect(0, 0, 2560, 1440))


@pytest.mark.parametrize(
    ("fit", "scale", "says"),
    [
        # By hand: 597.73 mm over 240, and 336.22 mm over 152, in two decimals that have it.
        (
            "locked",
            2,
            (
                "scale: must be at least 2.22 with fit locked; got 2. Fit cropped allows it: then "
                "a part of the display is not used, instead of a part of the tablet"
            ),
        ),
        (
            "cropped",
            3,
            (
                "scale: must be at most 2.49 with fit cropped; got 3. Fit locked allows it: then a "
                "part of the tablet is not used, instead of a part of the display"
            ),
        ),
        (
            "full",
            3,
            "scale: works only with fit locked (2.22 or more) or fit cropped (2.49 or less); got 3",
        ),
    ],
)
def test_what_is_said_of_a_scale_that_the_fit_has_not(fit, scale, says):
    with pytest.raises(RequestError) as refused:
        solve(MapRequest(TABLET, DESK, fit, feel=Feel(scale, scale)))
    assert str(refused.value) == says
