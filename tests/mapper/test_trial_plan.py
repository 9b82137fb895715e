import pytest

from mapper.choosing.recommended import BAND_USES
from mapper.desk import Display, Tablet
from mapper.problems import RequestError
from mapper.trials.plan import plan_trials

BAND = BAND_USES["illustration"]
SMALL, MEDIUM = Tablet(146, 96, label="small"), Tablet(240, 152, label="medium")


def display(inches, label, width_px=2560, height_px=1440):
    return Display(width_px, height_px, label=label).with_diagonal(inches * 25.4)


def test_what_the_geometry_rules_out_is_left_out_with_the_reason():
    displays = [
        display(24, "24"),
        display(65, "65"),
        display(9, "9"),
        display(13, "13"),
        Display(1920, 1080, label="unknown"),
        display(32, "tall", 1080, 3840),
    ]
    plan = plan_trials([Tablet(240, 152, 2, label="coarse"), MEDIUM], displays, BAND, most=8)
    reasons = {
        (each.pair.tablet.label, each.pair.display.label): each.why for each in plan.left_out
    }
    assert reasons["medium", "65"] == "the hand could not be precise enough"
    # 13 in are 288 mm across: 1.2 times the tablet, where 2 / 1.4 is the least.
    assert reasons["medium", "13"] == "the hand would move too far"
    assert reasons["medium", "9"] == "the hand would move too far"
    assert reasons["medium", "unknown"] == "the display's size is not known"
    assert reasons["coarse", "24"] == "some pixels could not be reached"
    assert reasons["medium", "tall"] in {
        "more than half of the tablet would not be used",
        "the hand could not be precise enough",
    }
    assert [(each.tablet.label, each.display.label) for each in plan.pairs] == [("medium", "24")]


def test_the_pairings_that_lie_farthest_apart_are_taken():
    displays = [display(inches, f"{inches}") for inches in (20, 20.5, 21, 25, 30, 36)]
    plan = plan_trials([MEDIUM], displays, BAND, most=3)
    # The ends, 20 and 36, and the one whose nearer end is farthest: 25 / 20 = 1.25 is more than 36
    # / 30 = 1.2.
    assert [each.display.label for each in plan.pairs] == ["20", "25", "36"]
    assert [each.why for each in plan.left_out] == [
        "you learn more from other pairs: their scale factors differ more"
    ] * 3
    assert len(plan.blocks) == 6
    assert all(sorted(block) == [0, 1, 2] for block in plan.blocks)


def test_no_more_than_a_hundred_pairings_are_planned():
    displays = [display(20 + at / 10, f"{at}") for at in range(101)]
    plan = plan_trials([MEDIUM], displays, BAND)
    assert (len(plan.pairs), len(plan.left_out)) == (100, 1)


def test_nothing_left_is_refused():
    with pytest.raises(RequestError, match="rules out every pair"):
        plan_trials([SMALL], [display(65, "65")], BAND)
