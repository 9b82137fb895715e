"""The size of the active area by touched crosses, with the driver at its default."""

import math
from random import Random

import numpy as np
import pytest

from mapper import Desktop, Display
from mapper.problems import AnswerIsNo
from mapper.rect import Rect
from mapper.touching.area import touched_area
from mapper.touching.fit import Touch
from mapper.touching.setting import DriverSetting
from tests.touched import NINE, Hand

SCREEN = Desktop((Display(2560, 1440, diagonal_mm=685.8),))
DEFAULT = DriverSetting(Rect(0.0, 0.0, 240.0, 152.0), SCREEN.rect_px)


def test_exact_touches_give_the_exact_size_however_the_sheet_lies():
    for angle_deg in (0, 3, 90, 200):
        turn = math.radians(angle_deg)
        touches = []
        for x, y in NINE:
            x_sheet = x * math.cos(turn) - y * math.sin(turn) - 40
            y_sheet = x * math.sin(turn) + y * math.cos(turn) + 9
            touches.append(Touch(x_sheet, y_sheet, *DEFAULT.cursor_px(x, y)))
        size = touched_area(touches, SCREEN).size
        assert size.width_mm.value == pytest.approx(240, rel=1e-9)
        assert size.height_mm.value == pytest.approx(152, rel=1e-9)
        # What is left is what paper may have shrunk by.
        assert size.width_mm.half_width == pytest.approx(0.72, rel=1e-6)
        assert not size.like_target


@pytest.mark.oracle
def test_scales_and_scatter_against_numpys_least_squares():
    touches = Hand(0.5).touch(DEFAULT, Random(3))
    found = touched_area(touches, SCREEN)
    design = np.array([[each.x_mm, each.y_mm, 1.0] for each in touches])
    across, _, _, _ = np.linalg.lstsq(design, [each.x_px for each in touches])
    down, _, _, _ = np.linalg.lstsq(design, [each.y_px for each in touches])
    assert found.size.width_mm.value == pytest.approx(2560 / np.hypot(*across[:2]))
    assert found.size.height_mm.value == pytest.approx(1440 / np.hypot(*down[:2]))


def test_the_intervals_hold_about_as_often_as_they_say():
    """With paper at its right size they are wider than the 95 % of chance alone."""
    random, held = Random(11), 0
    for _ in range(300):
        size = touched_area(Hand(0.4).touch(DEFAULT, random), SCREEN).size
        held += size.width_mm.holds(240) and size.height_mm.holds(152)
    assert held >= 0.95 * 300


def test_proportions_that_the_driver_keeps_are_doubted():
    locked = DriverSetting(Rect(0.0, 8.5, 240.0, 135.0), SCREEN.rect_px)
    assert touched_area(Hand(0.3).touch(locked, Random(1)), SCREEN).size.like_target


def test_a_touch_that_missed_is_left_out_and_named():
    touches = Hand(0.3).touch(DEFAULT, Random(1))
    touches[4] = touches[4]._replace(x_px=touches[4].x_px + 300)
    found = touched_area(touches, SCREEN)
    assert [slip.name for slip in found.slips] == ["missed"]
    assert found.size.width_mm.holds(240)


def test_two_displays_are_one_desktop():
    two = Desktop((Display(2560, 1440), Display(1920, 1080, left_px=2560, label="side")))
    touches = Hand(0.3).touch(DriverSetting(Rect(0, 0, 240, 152), two.rect_px), Random(1))
    assert touched_area(touches, two).size.width_mm.holds(240)


@pytest.mark.parametrize("touches", [NINE[:3], [(20 + 20 * at, 76) for at in range(9)]])
def test_too_few_or_on_one_line_is_no_answer(touches):
    with pytest.raises(AnswerIsNo) as refused:
        touched_area([Touch(x, y, *DEFAULT.cursor_px(x, y)) for x, y in touches], SCREEN)
    assert str(refused.value) == (
        "touches: must be at least four crosses that do not lie on one line; "
        f"got {len(touches)} that can be used. Touch nine, in three rows"
    )


@pytest.mark.parametrize("turn_deg", [0, 30])
def test_a_worked_example_of_the_intervals(turn_deg):
    """Misses across of one, two or four tenths of a mm, whose rows and columns sum up to 0.

    A scatter of 0.173205 mm with 12 degrees of freedom; Student's t is 2.1788 (any table); the sums
    of squares are 54,150 and 15,606 mm² (6 * 95² and 6 * 51²). A sheet that lies turned tells the
    same.
    """
    cos, sin = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    misses_mm = [0.1, -0.2, 0.1, -0.2, 0.4, -0.2, 0.1, -0.2, 0.1]
    touches = [
        Touch(x * cos - y * sin, x * sin + y * cos, (x + miss) / 240 * 2560, y / 152 * 1440)
        for (x, y), miss in zip(NINE, misses_mm, strict=True)
    ]
    found = touched_area(touches, SCREEN)
    assert found.scatter_mm == pytest.approx(0.173205, abs=1e-6)
    size = found.size
    assert (size.width_mm.value, size.height_mm.value) == pytest.approx((240, 152))
    # 240 * (2.1788 * 0.173205 / √54,150 + 0.3 %), and with 152 and √15,606.
    assert size.width_mm.half_width == pytest.approx(1.10922, abs=2e-5)
    assert size.height_mm.half_width == pytest.approx(0.91517, abs=2e-5)
    assert size.ratio.value == pytest.approx(240 / 152)
    # Paper shrinks both ways alike: 240 / 152 * 2.1788 * 0.173205 * √(1/54,150 + 1/15,606).
    assert size.ratio.half_width == pytest.approx(0.005414, abs=1e-6)
    assert size.nib_mm is None
