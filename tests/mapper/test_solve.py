"""From request to map: worked examples, and laws that hold for any tablet on any desk."""

import math
from dataclasses import replace

import affine as outside
import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.solve import MapRequest
from mapper.problems import RequestError
from mapper.rect import Rect
from mapper.solving import solve
from tests.strategies import requests

# Places on any drawn desktop are below this many px, and lengths on any drawn tablet below 5000 mm.
WIDEST_PX = 70_000.0
HUNDRED_UNITS_IN_THE_LAST_PLACE = 100 * 2.2e-16


def desktop_of(*displays):
    return Desktop(displays)


# Worked examples
# ------------------------------------------------------------


def test_the_main_example():
    # By hand: 240 / 16 · 9 = 135 of 152 mm, in the middle; 2560 / 240 px a mm.
    solved = solve(MapRequest(Tablet(240, 152), desktop_of(Display(2560, 1440))))
    assert solved.area_built_mm == solved.area_seen_mm == Rect(0, 8.5, 240, 135)
    assert solved.screen_px == Rect(0, 0, 2560, 1440)
    assert solved.summary.area_used_percent == pytest.approx(135 / 152 * 100, rel=1e-15)
    assert solved.summary.screen_used_percent == 100
    assert solved.summary.scale_factor is None
    (figures,) = solved.figures
    assert not figures.size_known
    assert figures.distortion.stretch == 1


def test_the_forms_of_a_map_are_those_of_its_area_on_the_tablet():
    # By hand: 240 x 135 of 240 x 152 mm, 8.5 mm from the top; of 152 mm that are 5.592 %.
    desktop = desktop_of(Display(2560, 1440, 600, 337.5))
    forms = solve(MapRequest(Tablet(240, 152), desktop, "locked")).forms
    assert list(forms) == ["mm", "inch", "percent"]
    of_mm, of_percent = forms["mm"], forms["percent"]
    assert (of_mm.top, of_mm.width, of_mm.height, of_mm.up_from_bottom) == (8.5, 240, 135, 8.5)
    assert (of_percent.width, of_percent.height) == pytest.approx((100, 88.8158), abs=5e-5)
    assert of_percent.top == pytest.approx(5.5921, abs=5e-5)


def test_full_stretches_and_says_by_how_much():
    # A 16:10 tablet on a 16:9 screen, by hand: 10/9 wider than tall; omega as in
    # test_distortion.py.
    solved = solve(
        MapRequest(Tablet(320, 200, 100), desktop_of(Display(1920, 1080, 640, 360)), "full")
    )
    (figures,) = solved.figures
    assert figures.distortion.oval_percent == pytest.approx(100 / 9, rel=1e-14)
    assert figures.distortion.angle_error_deg == pytest.approx(6.0339226, abs=6e-8)
    assert figures.distortion.longer_axis_deg == 0
    assert (figures.distortion.scale_x, figures.distortion.scale_y) == pytest.approx(
        (2.0, 1.8), rel=1e-15
    )
    # 1920 px over 320 mm are 6 px a mm, so 100 / 6 counts a px.
    assert (figures.counts_per_px_x, figures.counts_per_px_y) == pytest.approx(
        (100 / 6, 100 / 5.4), rel=1e-15
    )
    assert solved.summary.scale_factor == pytest.approx(
        math.hypot(640, 360) / math.hypot(320, 200), rel=1e-15
    )


@pytest.mark.parametrize(
    ("turn_deg", "hold", "area_built"),
    # A tablet of 240 x 152 turned by a quarter is seen as 152 x 240; a 16:9 screen takes 152 x 85.5
    # of it. Where the seen top is, is the built left after 90 degrees and the built right after
    # 270.
    [
        (90, "top", Rect(0, 0, 85.5, 152)),
        (90, "bottom", Rect(154.5, 0, 85.5, 152)),
        (270, "top", Rect(154.5, 0, 85.5, 152)),
        (270, "bottom", Rect(0, 0, 85.5, 152)),
        (180, "top", Rect(0, 17, 240, 135)),
        (180, "bottom", Rect(0, 0, 240, 135)),
        (0, "top", Rect(0, 0, 240, 135)),
    ],
)
def test_hold_speaks_of_the_seen_frame(turn_deg, hold, area_built):
    solved = solve(
        MapRequest(Tablet(240, 152, turn_deg=turn_deg), desktop_of(Display(1920, 1080)), hold=hold)
    )
    assert solved.area_built_mm == area_built


def test_a_target_over_two_displays_is_true_on_one_and_has_figures_for_each():
    main, side = Display(2560, 1440, 640, 360), Display(1280, 1440, 640, 720, 2560, 0, "side")
    solved = solve(MapRequest(Tablet(300, 200), desktop_of(main, side), onto=("main", "side")))
    assert solved.reference is main
    assert [figures.display for figures in solved.figures] == ["main", "side"]
    on_main, on_side = (figures.distortion for figures in solved.figures)
    assert on_main.stretch == pytest.approx(1, abs=1e-12)
    # By hand: 0.25 and 0.5 mm a px: all is twice as large on the second.
    assert on_side.scale_x / on_main.scale_x == pytest.approx(2)
    assert on_side.stretch == pytest.approx(1, abs=1e-12)


def test_true_on_another_display():
    main, side = Display(1000, 1000, 200, 200), Display(1000, 1000, 400, 200, 1000, 0, "side")
    request = MapRequest(
        Tablet(300, 200), desktop_of(main, side), onto=("main", "side"), true_on="side"
    )
    on_main, on_side = (figures.distortion for figures in solve(request).figures)
    assert on_side.stretch == 1
    assert on_main.stretch == pytest.approx(2)
    assert on_main.oval_percent == pytest.approx(-50)


def test_the_default_target_is_the_primary_display():
    left, main = Display(1920, 1080, left_px=-1920, label="left"), Display(2560, 1440)
    solved = solve(MapRequest(Tablet(240, 152), desktop_of(left, main)))
    assert solved.target_px == main.rect_px
    assert solved.reached == (main,)


@pytest.mark.parametrize(
    ("onto", "reference"), [(("left", "main"), "main"), (("right", "left"), "right")]
)
def test_shapes_are_true_on_the_primary_display_if_it_is_reached_and_else_on_the_first(
    onto, reference
):
    desktop = desktop_of(
        Display(1000, 1000, left_px=-1000, label="left"),
        Display(1000, 1000),
        Display(1000, 1000, left_px=1000, label="right"),
    )
    assert solve(MapRequest(Tablet(240, 152), desktop, onto=onto)).reference.label == reference


@given(st.integers(50, 900))
def test_the_rounding_of_a_diagonal_does_not_show(tenths_in):
    # 16:9 of 240 mm is 135 mm, whatever the diagonal.
    display = Display(2560, 1440).with_diagonal(tenths_in * 2.54)
    assert solve(MapRequest(Tablet(240, 152), desktop_of(display))).area_seen_mm == Rect(
        0, 8.5, 240, 135
    )


# Laws
# ------------------------------------------------------------


@given(requests())
def test_area_stays_inside_source_and_screen_inside_target(request_):
    solved = solve(request_)
    tablet = request_.tablet
    assert solved.source_seen_mm.holds(solved.area_seen_mm, slack=1e-12 * 5000)
    assert tablet.active_built_mm.holds(solved.area_built_mm, slack=1e-12 * 5000)
    assert solved.target_px.holds(solved.screen_px, slack=1e-12 * WIDEST_PX)
    assert request_.desktop.rect_px.holds(solved.target_px)
    assert 0 < solved.summary.area_used_percent <= 100
    assert 0 < solved.summary.screen_used_percent <= 100
    upright = tablet.turn_deg % 180 == 0
    sides = (solved.area_seen_mm.width, solved.area_seen_mm.height)
    assert (solved.area_built_mm.width, solved.area_built_mm.height) == (
        sides if upright else sides[::-1]
    )


@given(requests(fit=st.sampled_from(["locked", "cropped"])))
def test_locked_and_cropped_are_true_on_the_reference(request_):
    solved = solve(request_)
    # One ten-thousandth beyond is the rounding of the figures themselves.
    assert solved.figures_on(solved.reference).distortion.stretch == pytest.approx(
        1, abs=1.0001e-12
    )


@given(requests())
def test_what_is_whole_is_whole_to_the_last_bit(request_):
    solved = solve(request_)
    if request_.fit != "cropped":
        assert solved.screen_px == solved.target_px
    if request_.fit != "locked":
        assert solved.area_seen_mm == request_.tablet.active_seen_mm
        assert solved.area_built_mm == request_.tablet.active_built_mm
        assert solved.summary.area_used_percent == 100


@pytest.mark.oracle
@given(requests())
def test_the_map_is_that_of_the_affine_library(request_):
    # Composed there from what it is: turn, translate, rotate, scale; with y down a turn is
    # clockwise as seen.
    solved = solve(request_)
    tablet, area, screen = request_.tablet, solved.area_seen_mm, solved.screen_px
    corner = {
        0: (0, 0),
        90: (tablet.height_mm, 0),
        180: (tablet.width_mm, tablet.height_mm),
        270: (0, tablet.width_mm),
    }
    theirs = (
        outside.Affine.translation(screen.left, screen.top)
        @ outside.Affine.scale(screen.width / area.width, screen.height / area.height)
        @ outside.Affine.translation(-area.left, -area.top)
        @ outside.Affine.translation(*corner[tablet.turn_deg])
        @ outside.Affine.rotation(tablet.turn_deg)
    )
    ours = solved.built_mm_to_desktop_px
    assert ours.linear == (theirs.a, theirs.b, theirs.d, theirs.e)
    slack = HUNDRED_UNITS_IN_THE_LAST_PLACE * (WIDEST_PX + 5000 * max(map(abs, ours.linear)))
    assert (ours.c, ours.f) == pytest.approx((theirs.c, theirs.f), abs=slack)
    assert ours.determinant > 0  # never mirrored


@pytest.mark.oracle
@given(requests())
def test_the_figures_are_those_of_the_matrix_on_the_glass(request_):
    solved = solve(request_)
    for display, figures in zip(solved.reached, solved.figures, strict=True):
        assert figures.display == display.label
        pitch = np.diag(display.mm_per_px or (1.0, 1.0))
        # The turn is a rotation and leaves the singular values as they are.
        sizes = np.linalg.svd(
            pitch @ np.array(solved.built_mm_to_desktop_px.rows)[:2, :2], compute_uv=False
        )
        assert (figures.distortion.longest, figures.distortion.shortest) == pytest.approx(
            tuple(sizes), rel=1.1e-12
        )


@given(requests(sized=True))
def test_scale_factor_of_a_true_map_is_its_scale(request_):
    solved = solve(request_)
    distortion = solved.figures_on(solved.reference).distortion
    assert (
        distortion.shortest * (1 - 1e-12)
        <= solved.summary.scale_factor
        <= distortion.longest * (1 + 1e-12)
    )


@pytest.mark.oracle
@given(requests())
def test_the_displays_reached_are_those_that_shapely_finds_under_the_screen(request_):
    solved = solve(request_)
    screen = shapely.box(
        solved.screen_px.left, solved.screen_px.top, solved.screen_px.right, solved.screen_px.bottom
    )
    for display in request_.desktop.displays:
        rect = display.rect_px
        shared = screen.intersection(shapely.box(rect.left, rect.top, rect.right, rect.bottom)).area
        assert (display in solved.reached) == (shared > 0)


@pytest.mark.parametrize(
    "off",
    [
        Rect(0, 0, 240.24, 135),
        Rect(0, 0, 240, 152.152),
        Rect(-0.24, 0, 240, 135),
        Rect(0, -0.152, 240, 135),
    ],
)
def test_an_area_a_thousandth_off_the_tablet_is_refused(off):
    desktop = Desktop((Display(1600, 900),))
    for asked in ({"area_built_mm": off, "fit": "full"}, {"within_built_mm": off}):
        with pytest.raises(RequestError, match="must lie within the active area"):
            solve(MapRequest(Tablet(240, 152), desktop, **asked))
    on = Rect(1e-9, 0, 240 - 1e-9, 152)
    solve(MapRequest(Tablet(240, 152), desktop, "full", area_built_mm=on))


@pytest.mark.parametrize(
    "off", [Rect(0, 0, 1602, 900), Rect(0, 0, 1600, 901), Rect(-2, 0, 1600, 9), Rect(0, -1, 9, 900)]
)
def test_a_window_a_thousandth_off_the_desktop_is_refused(off):
    desktop = Desktop((Display(1600, 900),))
    with pytest.raises(RequestError, match="must lie within the desktop"):
        solve(MapRequest(Tablet(240, 152), desktop, window_px=off))


def test_an_area_may_leave_the_tablet_by_a_billionth_and_no_more():
    """The rounding of an inch: a billionth of 240 mm are 2.4e-7 mm."""
    part = Rect(0, 0, 240 + 2.3e-7, 152)
    request = MapRequest(Tablet(240, 152), Desktop((Display(2560, 1440),)), "full")
    assert solve(replace(request, area_built_mm=part)).area_built_mm == part
    with pytest.raises(RequestError, match="must lie within the active area"):
        solve(replace(request, area_built_mm=Rect(0, 0, 240 + 2.5e-7, 152)))
