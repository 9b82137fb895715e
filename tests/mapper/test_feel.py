"""A wanted feel: what is found is what was wanted, and what cannot be had is refused with what can."""

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.feel import Feel
from mapper.mapping.solve import MapRequest
from mapper.problems import RequestError
from mapper.solving import solve
from tests.strategies import any_requests

TABLET = Tablet(240, 152, 150)
DESK = Desktop((Display(2560, 1440).with_diagonal(27 * 25.4),))
trimming = st.sampled_from(["locked", "cropped"])


@given(any_requests(fit=trimming, sized=True), st.floats(0.05, 20.0), st.floats(0.2, 5.0))
def test_the_feel_found_is_the_feel_measured(request, times, ratio):
    request = replace(request, area_built_mm=None, fit=request.fit if request.fit != "full" else "locked")
    largest = solve(request)
    scale = largest.figures_on(largest.reference).distortion.scale_x
    feel = Feel(scale * times * ratio, scale * times)
    try:
        solved = solve(replace(request, feel=feel))
    except RequestError as error:
        # Nothing but the scale itself stands in the way, and then the largest fit is off the wanted way.
        assert [problem.where for problem in error.problems] == ["scale"]
        return
    found = solved.figures_on(solved.reference).distortion
    assert (found.scale_x, found.scale_y) == pytest.approx((feel.scale_x, feel.scale_y), rel=1e-9)
    if request.fit == "locked":
        assert solved.screen_px == largest.screen_px
    elif not request.tablet.slant_deg:
        assert solved.area_built_mm == largest.area_built_mm
    slack = 1e-9 * max(solved.source_seen_mm.width, solved.source_seen_mm.height)
    if not request.tablet.slant_deg:
        assert solved.source_seen_mm.holds(solved.area_seen_mm, slack=slack)
    assert solved.target_px.holds(solved.screen_px, slack=1e-6)


@given(any_requests(fit=trimming, sized=True), st.floats(0.1, 10.0))
def test_a_refused_scale_names_the_other_fit_only_where_that_has_it(request, times):
    request = replace(request, area_built_mm=None, fit=request.fit if request.fit != "full" else "locked")
    largest = solve(request)
    scale = times * largest.summary.scale_factor
    try:
        solved = solve(replace(request, feel=Feel(scale, scale)))
    except RequestError as error:
        # Locked can always have more, cropped always less.
        assert times < 1 + 1e-9 if request.fit == "locked" else times > 1 - 1e-9
        assert "The nearest is" in str(error)
    else:
        assert times >= 1 - 1e-9 if request.fit == "locked" else times <= 1 + 1e-9
        assert solved.summary.scale_factor == pytest.approx(scale, rel=1e-9)


# By hand: 597.7265 mm of glass over 240 mm of tablet is 2.49053; 336.2212 over 152 is 2.21198.
@pytest.mark.parametrize(
    ("fit", "scale", "nearest", "other"),
    [
        ("locked", 2.0, "2.4906", "2.2119"),
        ("locked", 2.4, "2.4906", "2.2119"),
        ("cropped", 3.0, "2.2119", "2.4906"),
        ("cropped", 2.5, "2.2119", "2.4906"),
        ("full", 2.5, None, None),
    ],
)
def test_the_range_that_is_possible_is_told(fit, scale, nearest, other):
    with pytest.raises(RequestError) as refused:
        solve(MapRequest(TABLET, DESK, fit, feel=Feel(scale, scale)))
    text = str(refused.value)
    if nearest is None:
        assert "locked allows 2.4906 or more, cropped 2.2119 or less" in text
        return
    assert re.search(rf"must be {nearest} or (more|less) with fit {fit}", text)
    assert re.search(rf"The nearest is {nearest}; .* allows {other}", text)
    # And what is called nearest can be had.
    assert solve(MapRequest(TABLET, DESK, fit, feel=Feel(float(nearest), float(nearest)))).summary.scale_factor == (
        pytest.approx(float(nearest), rel=1e-12)
    )


def test_the_hold_says_where_the_smaller_area_lies():
    solved = solve(MapRequest(TABLET, DESK, hold="top-left", feel=Feel(4, 4)))
    assert (solved.area_seen_mm.left, solved.area_seen_mm.top) == (0, 0)
    solved = solve(MapRequest(TABLET, DESK, "cropped", hold="bottom-right", feel=Feel(2, 2)))
    assert (solved.screen_px.right, solved.screen_px.bottom) == pytest.approx((2560, 1440))


def test_a_display_of_unknown_size_has_no_scale_to_ask_for():
    with pytest.raises(RequestError, match="needs the size of the display"):
        solve(MapRequest(TABLET, Desktop((Display(2560, 1440),)), feel=Feel(3, 3)))


@pytest.mark.parametrize("scale", [0, -1, float("nan"), float("inf"), True, "3"])
def test_what_is_no_feel_is_refused(scale):
    with pytest.raises(RequestError):
        Feel(scale, 1)
    with pytest.raises(RequestError):
        Feel(1, scale)
