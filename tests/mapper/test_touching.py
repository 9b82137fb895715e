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
from mapper.touching.slips import SLIPS, set_right, tail_of_f
from mapper.touching.student import student_t
from mapper.touching.verdict import CANNOT_TELL, CAUSES, RIGHT, WRONG, Off, judge
from tests.touched import EIGHTEEN, NINE, Hand, cured, meant_map

THREE = (
    Display(1920, 1080, diagonal_mm=609.6, left_px=-1920, label="left"),
    Display(2560, 1440, diagonal_mm=685.8, label="main"),
    Display(1080, 1920, diagonal_mm=609.6, left_px=2560, label="tall"),
)
PART = Rect(20, 10, 160, 120)
#: The outermost of the nine crosses.
CORNERS = (0, 2, 6, 8)
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
    assert not verdict.ask_corner
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
    assert verdict.cause.zoom == (1.5 if cause == "zoomed desktop" else 1.0)
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
    assert not by_sheet.ask_corner


def test_a_turned_sheet_that_no_driver_explains_is_told_without_the_corner():
    meant = MAPS["one display"]
    turned = replace(DriverSetting.of(meant), turn_deg=180)
    # Laid 12 mm aside besides: the tablet has no room for an area there.
    touches = [each._replace(x_mm=each.x_mm + 12) for each in touched(turned, meant)]
    verdict = judge(touches, meant)
    assert (verdict.answer, verdict.cause.name) == (CANNOT_TELL, "sheet turned")
    assert (verdict.also, verdict.ask_corner) == ((), False)


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
    # 20 mm wider than the tablet: no setting makes it, wherever the sheet lay.
    wider = replace(whole, area_built_mm=Rect(-10, 8.5, 260, 135))
    verdict = judge(touched(wider, meant), meant, anywhere=True)
    assert (verdict.answer, verdict.cause.name) == (WRONG, "no setting")


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
        assert name in SLIPS
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
    assert not verdict.ask_corner


@pytest.mark.parametrize(
    ("off_px", "answer"),
    [(33.5, (CANNOT_TELL, "too few inside")), (34.5, (WRONG, "crosses outside"))],
)
def test_where_all_crosses_lie_outside_a_rough_hand_and_two_px_are_allowed(off_px, answer):
    meant = MAPS["one display"]
    # Beside the area, of which 3 mm of 135 are 32 px of 1440.
    x_px = {-4.0: 0.0, 244.0: 2560.0}
    touches = [
        Touch(x, y, x_px[x], (y - 8.5) / 135 * 1440) for x in x_px for y in (30.0, 76.0, 120.0)
    ]
    touches[1] = touches[1]._replace(y_px=720 + off_px)
    verdict = judge(touches, meant)
    assert (verdict.answer, verdict.cause.name) == answer


def test_a_cursor_that_is_held_where_its_cross_does_not_lie_is_no_pass():
    meant = MAPS["one display"]
    touches = touched(DriverSetting.of(meant), meant)
    # Beside the middle of the area, yet held at the left edge.
    held = [*touches, Touch(110, 60, 0.0, (60 - 8.5) / 135 * 1440)]
    verdict = judge(held, meant)
    assert (verdict.answer, verdict.cause.name) == (WRONG, "no setting")
    # A cross beyond the right edge, where the cursor is held within one px of it.
    held = [*touches, Touch(241, 60, 2561.0, (60 - 8.5) / 135 * 1440)]
    assert judge(held, meant).answer == RIGHT


def test_a_sheet_laid_askew_is_no_fault_of_the_driver():
    meant = MAPS["one display"]
    askew = Hand(turn_deg=4.0)
    verdict = judge(touched(DriverSetting.of(meant), meant, hand=askew), meant)
    assert (verdict.answer, verdict.cause.name) == (CANNOT_TELL, "askew")


def test_nothing_is_set_right_where_too_few_touches_are_left():
    touches = [Touch(x, y, 10 * x + 400 * (x > 100), 10 * y) for x, y in NINE[:4]]
    assert set_right(touches) == (touches, [])
    # Four of five lie on one map without an error, and the fifth 5 mm off it.
    touches = [Touch(x, y, 10 * x, 10 * y) for x, y in NINE[:5]]
    touches[4] = touches[4]._replace(x_px=touches[4].x_px + 50)
    assert set_right(touches) == (touches, [])


def test_a_miss_is_found_though_the_others_would_lie_on_one_line_without_the_first_touch():
    places = [(120.0, 120.0), *((30.0 + 25 * at, 40.0) for at in range(8))]
    touches = [Touch(x, y, 10 * x, 10 * y) for x, y in places]
    touches[4] = touches[4]._replace(y_px=touches[4].y_px + 60)
    kept, slips = set_right(touches)
    assert kept == touches[:4] + touches[5:]
    assert [(slip.name, slip.touches, round(slip.off_mm, 6)) for slip in slips] == [
        ("missed", (5,), 6.0)
    ]


def test_a_miss_is_found_behind_a_touch_that_was_held():
    touches = [Touch(x, y, 10 * x, 10 * y) for x, y in NINE]
    touches[0] = touches[0]._replace(x_px=400.0, x_free=False)
    touches[5] = touches[5]._replace(y_px=touches[5].y_px - 60)
    assert [(slip.name, slip.touches) for slip in set_right(touches)[1]] == [("missed", (6,))]


@pytest.mark.parametrize("still", ["x_px", "y_px"])
def test_a_cursor_that_never_moves_along_one_axis_gives_no_map(still):
    touches = [Touch(x, y, 10 * x, 10 * y)._replace(**{still: 500.0}) for x, y in NINE]
    assert fit_touches(touches) is None


def test_a_worked_example_of_all_limits():
    """Nine crosses, 95 and 51 mm apart, each off across by one, two or four tenths of a mm.

    The misses fit no map: their sums along each row and column are 0. Their squares sum up to
    0.36 mm² over 12 degrees of freedom: a scatter of 0.173205 mm; Student's t is 2.1788 (any
    table, 95 %, 12 degrees of freedom). The sums of squares are 54,150 and 15,606 mm².
    """
    meant = MAPS["one display"]
    misses_mm = [0.1, -0.2, 0.1, -0.2, 0.4, -0.2, 0.1, -0.2, 0.1]
    touches = [
        Touch(x, y, (x + miss) / 240 * 2560, (y - 8.5) / 135 * 1440)
        for (x, y), miss in zip(NINE, misses_mm, strict=True)
    ]
    verdict = judge(touches, meant)
    assert (verdict.answer, verdict.cause.name, verdict.touches) == (RIGHT, "agrees", 9)
    assert [off.name for off in verdict.found.offs] == [
        "width",
        "height",
        "lean",
        "left",
        "top",
        "turn",
    ]
    told = [(off.value, off.chance, off.hidden, off.freedom) for off in verdict.found.offs]
    assert told == [
        # 100 * 0.173205 / √54,150 and / √15,606; paper shrinks by 0.3 %.
        pytest.approx((0, 0.074433, 0.3, 12), abs=1e-6),
        pytest.approx((0, 0.138649, 0.3, 12), abs=1e-6),
        # Both slopes' together, in degrees; a sheet is laid to half a degree.
        pytest.approx((0, 0.090164, 0.5, 12), abs=1e-6),
        # 0.173205 * √(1/9 + 120²/54,150), and √(1/9 + 67.5²/15,606) of it at the top edge.
        pytest.approx((0, 0.106354, 1.0, 12), abs=1e-6),
        pytest.approx((0, 0.109963, 1.0255, 12), abs=1e-6),
        pytest.approx((0, 0.045082, 0.5, 12), abs=1e-6),
    ]
    assert verdict.limits_mm == pytest.approx(
        {"width": 1.10922, "height": 0.81282, "left": 1.23172, "top": 1.26509}, abs=2e-5
    )
    known = verdict.found.sizes_known
    assert {name: each.value for name, each in known.items()} == pytest.approx(
        {"width": 240, "height": 135, "left": 0, "top": 8.5}, abs=1e-9
    )
    assert {name: each.half_width for name, each in known.items()} == pytest.approx(
        {"width": 0.38922, "height": 0.40782, "left": 0.23172, "top": 0.23959}, abs=2e-5
    )


def test_a_turned_driver_whose_area_is_another_too_is_not_put_down_to_the_sheet():
    meant = MAPS["one display"]
    right = DriverSetting.of(meant)
    lower = replace(right, turn_deg=180, area_built_mm=Rect(0, 14.5, 240, 123))
    verdict = judge(touched(lower, meant), meant)
    assert (verdict.answer, verdict.cause.name) == (WRONG, "several")
    assert verdict.cause.correct == ("height", "top", "turn")


def test_limits_where_one_touch_is_held_count_each_axis_by_its_own_touches():
    """The misses of the worked example above, and three touches that are held at the right edge.

    Nine tell of x and twelve of y: 21 - 6 degrees of freedom and a scatter of √(0.36 / 15) mm.
    About their middle, 150.25 mm, the twelve have 87,092.25 mm²: 3 * (25² + 120² + 215² + 241²) -
    12 * 150.25². The lean is that of x along y and of y along x: 0.154919 * √(1 / 15,606 +
    1 / 87,092.25) radians.
    """
    meant = MAPS["one display"]
    misses_mm = [0.1, -0.2, 0.1, -0.2, 0.4, -0.2, 0.1, -0.2, 0.1]
    touches = [
        Touch(x, y, (x + miss) / 240 * 2560, (y - 8.5) / 135 * 1440)
        for (x, y), miss in zip(NINE, misses_mm, strict=True)
    ]
    touches += [Touch(241, y, 2560.0, (y - 8.5) / 135 * 1440) for y in (25.0, 76.0, 127.0)]
    verdict = judge(touches, meant)
    assert (verdict.answer, verdict.held) == (RIGHT, 3)
    lean = next(off for off in verdict.found.offs if off.name == "lean")
    assert (lean.value, lean.chance, lean.freedom) == pytest.approx((0, 0.077157, 15), abs=1e-6)


@pytest.mark.parametrize(
    "half",
    [
        Rect(0, 0, 1280, 1440),
        Rect(1280, 0, 1280, 1440),
        Rect(0, 0, 2560, 720),
        Rect(0, 720, 2560, 720),
    ],
)
def test_any_half_of_a_display_is_a_part_of_it(half):
    meant = MAPS["one display"]
    setting = replace(DriverSetting.of(meant), target_px=half)
    verdict = judge(touched(setting, meant), meant)
    assert (verdict.answer, verdict.cause.name) == (WRONG, "part of a display")
    assert verdict.cause.setting.target_px == half


def test_a_sheet_upside_down_is_no_excuse_for_a_map_that_leans():
    meant = MAPS["one display"]
    turned = replace(DriverSetting.of(meant), turn_deg=180)
    # A lean of 2.9 degrees (a slope of 0.05) leaves width and height as they are, within 0.2 %.
    touches = [
        each._replace(x_mm=each.x_mm + 0.05 * (each.y_mm - 76)) for each in touched(turned, meant)
    ]
    verdict = judge(touches, meant)
    assert (verdict.answer, verdict.cause.name) == (CANNOT_TELL, "no setting")


def test_four_rough_touches_of_the_right_setting_are_too_rough():
    meant = MAPS["one display"]
    # One corner of four is 1.2 mm off: a scatter of 0.6 mm with two degrees of freedom.
    touches = [
        Touch(x, y, x / 240 * 2560, (y - 8.5) / 135 * 1440) for x, y in (NINE[at] for at in CORNERS)
    ]
    touches[0] = touches[0]._replace(x_px=touches[0].x_px + 12.8)
    verdict = judge(touches, meant)
    assert (verdict.answer, verdict.cause.name) == (CANNOT_TELL, "too rough")


@pytest.mark.parametrize(
    ("name", "beyond"),
    [("width", 2.0), ("height", 2.0), ("left", 2.0), ("top", 2.0), ("turn", 1.0), ("lean", 1.5)],
)
def test_how_far_off_a_sure_setting_may_be_and_pass(name, beyond):
    """Two per cent, two mm, a degree, a degree and a half of lean (common practice, no source)."""
    assert Off(name, beyond - 0.01, 0.0, 5.0, 12).passes
    assert not Off(name, -beyond - 0.01, 0.0, 5.0, 12).passes


def test_after_a_cross_touched_twice_a_miss_keeps_its_number():
    touches = [Touch(x, y, 10 * x, 10 * y) for x, y in NINE]
    # The fourth is 4 mm too low, and the fifth was made beside it.
    touches[3] = touches[3]._replace(y_px=800.0)
    touches[4] = touches[4]._replace(x_px=250.0, y_px=795.0)
    kept, slips = set_right(touches)
    assert [(slip.name, slip.touches) for slip in slips] == [
        ("touched twice", (4, 5)),
        ("missed", (4,)),
    ]
    assert kept == touches[:3] + touches[5:]
