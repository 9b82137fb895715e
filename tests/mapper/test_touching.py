"""Touched crosses: the fit, and the verdict on simulated drivers, hands and slips.

Oracles: numpy, statsmodels and scipy.
"""

import math
from dataclasses import replace
from random import Random

import numpy as np
import pytest
from scipy import stats

from mapper.desk import Display
from mapper.rect import Rect
from mapper.touching.crosses import crosses
from mapper.touching.fit import Touch, fit_touches
from mapper.touching.setting import DriverSetting
from mapper.touching.slips import set_right, tail_of_f
from mapper.touching.student import student_t
from mapper.touching.verdict import CANNOT_TELL, CAUSES, RIGHT, WRONG, judge
from tests.touched import EIGHTEEN, NINE, Hand, cured, meant_map

THREE = (
    Display(1920, 1080, diagonal_mm=609.6, left_px=-1920, label="left"),
    Display(2560, 1440, diagonal_mm=685.8, label="main"),
    Display(1080, 1920, diagonal_mm=609.6, left_px=2560, label="tall"),
)
PART = Rect(20, 10, 160, 120)
MAPS = {
    "one display": meant_map(),
    "three displays": meant_map(THREE, onto=("main",)),
    "a part of the tablet": meant_map(within_built_mm=PART),
    "tablet turned": meant_map(THREE, onto=("main",), turn_deg=90),
    "tablet askew": meant_map(slant_deg=10),
}


def touched(setting, meant, *, seed=3, hand=None):
    return (hand or Hand()).touch(setting, Random(seed), crosses(meant))


def covariance_of(spread):
    """The covariance of a, b and c, for a scatter of 1: the inverse of XᵀX."""
    x = -(spread.xx * spread.x_mm + spread.xy * spread.y_mm)
    y = -(spread.xy * spread.x_mm + spread.yy * spread.y_mm)
    level = spread.variance_at(0.0, 0.0)
    return np.array([(spread.xx, spread.xy, x), (spread.xy, spread.yy, y), (x, y, level)])


@pytest.mark.oracle
@pytest.mark.parametrize("places", [NINE, EIGHTEEN])
def test_the_fit_is_that_of_numpy_and_statsmodels(places):
    import statsmodels.api as sm  # loads a second of libraries

    random = Random(5)
    setting = DriverSetting(Rect(10, 8, 200, 120), Rect(0, 0, 2560, 1440), turn_deg=90)
    wide = replace(setting, area_built_mm=Rect(-50, -50, 400, 300))
    touches = Hand().touch(wide, random, places)
    fit = fit_touches(touches)
    design = np.array([(touch.x_mm, touch.y_mm, 1) for touch in touches])
    px = np.array([(touch.x_px, touch.y_px) for touch in touches])
    solved, *_ = np.linalg.lstsq(design, px, rcond=None)
    rows = fit.to_px.rows
    assert pytest.approx(solved, rel=1e-9, abs=1e-9) == np.array(rows[:2]).T
    for axis, spread in enumerate((fit.x_spread, fit.y_spread)):
        # statsmodels' covariance of a row is its own scatter's, which is taken out.
        one = sm.OLS(px[:, axis], design).fit()
        covariance = np.array(one.cov_params()) / one.scale
        assert covariance_of(spread) == pytest.approx(covariance, rel=1e-6, abs=1e-12)
        place = np.array([30.0, 40.0, 1.0])
        assert spread.variance_at(30, 40) == pytest.approx(place @ covariance @ place)
    missed = (px - design @ solved) / np.linalg.norm(np.array(rows)[:2, :2], axis=1)
    assert fit.freedom == 2 * len(places) - 6
    assert fit.scatter_mm == pytest.approx(math.sqrt((missed**2).sum() / fit.freedom))


@pytest.mark.oracle
@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 7, 12, 30, 101])
def test_students_t_and_the_tail_of_f_are_those_of_scipy(freedom):
    for sure in (0.5, 0.95, 0.998, 0.9995):
        assert student_t(sure, freedom) == pytest.approx(stats.t.ppf((1 + sure) / 2, freedom))
    assert tail_of_f(3.7, freedom) == pytest.approx(stats.f.sf(3.7, 2, freedom))


def test_nine_crosses_tell_what_a_handbook_says():
    # Own notes on the design of the sheet: 0.17 % across and 0.25 mm at the left edge for 0.4 mm.
    fit = fit_touches([Touch(x, y, x, y) for x, y in NINE])
    assert 0.4 * math.sqrt(fit.x_spread.slope_variance(1, 0)) == pytest.approx(0.0017, abs=5e-5)
    assert 0.4 * math.sqrt(fit.x_spread.variance_at(0, 76)) == pytest.approx(0.25, abs=0.01)


@pytest.mark.parametrize("name", MAPS)
def test_the_right_setting_is_told_right(name):
    meant = MAPS[name]
    verdict = judge(touched(DriverSetting.of(meant), meant), meant)
    assert (verdict.answer, verdict.cause.name) == (RIGHT, "agrees")
    assert verdict.fit.scatter_mm == pytest.approx(0.4, abs=0.2)


def states(meant):
    """Every usual slip as a driver's setting, with the cause that is to be named."""
    right = DriverSetting.of(meant)
    area, target = right.area_built_mm, right.target_px
    tablet, desktop = meant.request.tablet, meant.request.desktop
    for turn in (90, 180, 270):
        yield "turned", replace(right, turn_deg=(right.turn_deg + turn) % 360)
    for mirror in ("left to right", "top to bottom"):
        yield "mirrored", replace(right, mirror=mirror)
    yield "whole tablet", replace(right, area_built_mm=tablet.active_built_mm)
    for display in desktop.displays:
        if display.rect_px != target:
            yield "another display", replace(right, target_px=display.rect_px)
    if len(desktop.displays) > 1:
        yield "all displays", replace(right, target_px=desktop.rect_px)
    half = Rect(target.left, target.top, target.width / 2, target.height)
    yield "part of a display", replace(right, target_px=half)
    off = -6.0 if area.top > 6 else 0.0
    aside = 6.0 if not off else 0.0
    moved = Rect(area.left + aside, area.top + off, area.width, area.height)
    yield "area moved", replace(right, area_built_mm=moved)
    inches = Rect(area.left / 25.4, area.top / 25.4, area.width / 25.4, area.height / 25.4)
    yield "inches for mm", replace(right, area_built_mm=inches)
    zoomed = Rect(0, 0, target.width / 1.5, target.height / 1.5)
    yield "zoomed desktop", replace(right, target_px=zoomed)
    if right.area_angle_deg:
        yield "angle not set", replace(right, area_angle_deg=0.0)
    smaller = Rect(area.left + 3, area.top + 4, area.width * 0.95, area.height * 0.9)
    yield "another area", replace(right, area_built_mm=smaller)
    yield (
        "several",
        replace(
            right,
            turn_deg=(right.turn_deg + 90) % 360,
            area_built_mm=tablet.active_built_mm,
        ),
    )
    quarter = (right.turn_deg + 90) % 360
    for mirror in ("left to right", "top to bottom"):
        yield "turned and mirrored", replace(right, turn_deg=quarter, mirror=mirror)


TABLE = [
    pytest.param(name, cause, setting, id=f"{name}: {cause} {number}")
    for name, meant in MAPS.items()
    for number, (cause, setting) in enumerate(states(meant))
]


@pytest.mark.parametrize(("name", "cause", "setting"), TABLE)
def test_each_slip_is_named_and_its_cure_applied_ends_in_a_pass(name, cause, setting):
    meant = MAPS[name]
    verdict = judge(touched(setting, meant), meant)
    half_turn = (
        cause == "turned" and (setting.turn_deg - meant.request.tablet.turn_deg) % 360 == 180
    )
    assert verdict.answer == (CANNOT_TELL if half_turn else WRONG)
    assert verdict.ask_corner == half_turn
    assert verdict.cause.name == cause
    assert {each.name for each in verdict.also} <= set(CAUSES)
    after = cured(setting, verdict.cause.correct, DriverSetting.of(meant))
    again = judge(touched(after, meant, seed=4), meant)
    assert (again.answer, again.cause.name) == (RIGHT, "agrees")


@pytest.mark.parametrize("name", ["one display", "a part of the tablet"])
def test_one_touch_at_the_corner_tells_a_turned_driver_from_a_turned_sheet(name):
    meant = MAPS[name]
    right = DriverSetting.of(meant)
    turned = replace(right, turn_deg=180)
    touches = touched(turned, meant)
    by_driver = judge(touches, meant, corner_px=turned.cursor_px(0, 0))
    assert (by_driver.answer, by_driver.cause.name) == (WRONG, "turned")
    # The sheet upside down under a driver that is right: the same touches, another corner.
    by_sheet = judge(touches, meant, corner_px=right.cursor_px(0, 0))
    assert (by_sheet.answer, by_sheet.cause.name) == (CANNOT_TELL, "sheet turned")


def test_a_sheet_at_no_known_place_tells_all_but_the_place():
    meant = MAPS["one display"]
    moved = [
        touch._replace(x_mm=touch.x_mm + 31, y_mm=touch.y_mm - 12)
        for touch in touched(DriverSetting.of(meant), meant)
    ]
    verdict = judge(moved, meant, anywhere=True)
    assert (verdict.answer, verdict.cause.name) == (CANNOT_TELL, "place not told")
    whole = replace(DriverSetting.of(meant), area_built_mm=Rect(0, 0, 240, 152))
    verdict = judge(touched(whole, meant), meant, anywhere=True)
    assert (verdict.answer, verdict.cause.name) == (WRONG, "whole tablet")


@pytest.mark.parametrize("setting_name", ["right", "whole"])
def test_wrong_touches_are_named_and_change_no_verdict(setting_name):
    meant = MAPS["one display"]
    setting = DriverSetting.of(meant)
    if setting_name == "whole":
        setting = replace(setting, area_built_mm=Rect(0, 0, 240, 152))
    expected = judge(touched(setting, meant), meant)
    good = touched(setting, meant)
    px = [(touch.x_px, touch.y_px) for touch in good]

    def at(places):
        pairs = zip(good, places, strict=True)
        return [touch._replace(x_px=x, y_px=y) for touch, (x, y) in pairs]

    missed = [*px[:4], (px[4][0] + 320, px[4][1] - 100), *px[5:]]
    swapped = [*px[:2], px[5], *px[3:5], px[2], *px[6:]]
    twice = [*px[:4], (px[3][0] + 3, px[3][1] - 2), *px[4:8]]
    for name, places, numbers in (
        ("missed", missed, (5,)),
        ("changed places", swapped, (3, 6)),
        ("touched twice", twice, (4, 5)),
    ):
        verdict = judge(at(places), meant)
        assert [(slip.name, slip.touches) for slip in verdict.slips] == [(name, numbers)]
        assert (verdict.answer, verdict.cause.name) == (expected.answer, expected.cause.name)


@pytest.mark.parametrize(
    ("chosen", "cause"),
    [((0, 4, 5), "too few touches"), ((3, 4, 5), "on one line"), ((0,), "too few touches")],
)
def test_too_few_touches_cannot_tell(chosen, cause):
    meant = MAPS["one display"]
    touches = touched(DriverSetting.of(meant), meant)
    verdict = judge([touches[number] for number in chosen], meant)
    assert (verdict.answer, verdict.cause.name) == (CANNOT_TELL, cause)


def test_four_touches_and_a_rough_hand_never_pass_a_setting_that_is_off():
    meant = MAPS["one display"]
    right = DriverSetting.of(meant)
    off = replace(right, area_built_mm=Rect(0, 14.5, 240, 135))
    for seed in range(40):
        four = touched(off, meant, seed=seed, hand=Hand(1.5))[:8:2]
        assert judge(four, meant).answer != RIGHT


def test_crosses_beyond_the_area_are_knowledge_and_no_error():
    meant = MAPS["a part of the tablet"]
    right = DriverSetting.of(meant)
    places = [*crosses(meant), (5.0, 70.0), (230.0, 70.0), (100.0, 5.0)]
    verdict = judge(Hand().touch(right, Random(8), places), meant)
    assert (verdict.answer, verdict.held, verdict.slips) == (RIGHT, 3, ())
    outside = [(x, y) for x in (2.0, 238.0) for y in (2.0, 70.0, 150.0)]
    verdict = judge(Hand().touch(right, Random(8), outside), meant)
    assert (verdict.answer, verdict.cause.name) == (CANNOT_TELL, "too few inside")


def test_a_sheet_laid_askew_is_no_fault_of_the_driver():
    meant = MAPS["one display"]
    askew = Hand(turn_deg=4.0)
    verdict = judge(touched(DriverSetting.of(meant), meant, hand=askew), meant)
    assert (verdict.answer, verdict.cause.name) == (CANNOT_TELL, "askew")


def test_nothing_is_set_right_where_too_few_touches_are_left():
    touches = [Touch(x, y, 10 * x + 400 * (x > 100), 10 * y) for x, y in NINE[:4]]
    assert set_right(touches) == (touches, [])
