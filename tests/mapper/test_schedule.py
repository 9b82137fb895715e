import datetime as dt
from collections import Counter
from itertools import pairwise, permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mapper.problems import RequestError
from mapper.trials.order import balanced_blocks, spaced_blocks
from mapper.trials.schedule import Rules, scheduled

START = dt.date(2026, 3, 2)  # a Monday
LABELS = [(tablet, display) for tablet in ("small", "large") for display in ("24", "32", "40")]


def days(first, last):
    return dt.date.fromisoformat(first), dt.date.fromisoformat(last)


@given(st.integers(1, 6), st.booleans(), st.integers(1, 3))
@settings(max_examples=20)
def test_every_pairing_has_its_days_and_none_is_a_day_off(length, weekend, blocks):
    rules = Rules(weekend=weekend, off=(days("2026-03-05", "2026-03-09"),))
    chosen = spaced_blocks(balanced_blocks(6), blocks)
    runs, missed = scheduled(chosen, LABELS, dict.fromkeys(range(6), length), START, rules)
    assert missed == []
    worked = [day for run in runs for day in run.days]
    assert worked == sorted(set(worked))
    assert all(rules.is_workday(day) for day in worked)
    assert not any(weekend and day.isoweekday() >= 6 for day in worked)
    assert set(Counter(run.place for run in runs).values()) == {blocks}
    assert {len(run.days) for run in runs} == {length}


def test_a_borrowed_tablet_comes_in_its_month_and_a_display_stays():
    rules = Rules(windows=(("large", *days("2026-03-11", "2026-03-25")),), stays=(("32", 8),))
    runs, missed = scheduled(
        balanced_blocks(6)[:1], LABELS, dict.fromkeys(range(6), 4), START, rules
    )
    assert missed == []
    for run in runs:
        if LABELS[run.place][0] == "large":
            assert all(dt.date(2026, 3, 11) <= day <= dt.date(2026, 3, 25) for day in run.days)
    runs, _ = scheduled(
        balanced_blocks(6)[:1], LABELS, dict.fromkeys(range(6), 4), START, Rules(stays=(("32", 8),))
    )
    at = [LABELS[run.place][1] for run in runs]
    assert abs(at.index("32") - (len(at) - 1 - at[::-1].index("32"))) == 1


def test_a_calendar_does_not_put_one_pairing_twice_in_a_row_where_another_is_there():
    rules = Rules(windows=(("large", *days("2026-03-04", "2026-04-30")),), stays=(("32", 2),))
    for blocks in (2, 3, 6):
        chosen = spaced_blocks(balanced_blocks(6), blocks)
        runs, missed = scheduled(chosen, LABELS, dict.fromkeys(range(6), 1), START, rules)
        assert missed == []
        assert all(one.place != other.place for one, other in pairwise(runs))


@pytest.mark.parametrize(
    ("window", "length", "rules"),
    [
        # By hand: from 2 March 2026, a Monday, the window has 15, 22 and 12 days of work for three
        # runs of 5, 7 and 4 days.
        (("2026-03-09", "2026-03-27"), 5, {"weekend": True}),
        (("2026-03-02", "2026-03-31"), 7, {"weekend": True}),
        (("2026-03-05", "2026-03-16"), 4, {}),
        # By hand: 14 days for three runs of 3, and the 32 stays for 8 once it stands, of which the
        # borrowed tablet has use for 3.
        (("2026-03-10", "2026-03-23"), 3, {"stays": (("32", 8),)}),
    ],
)
def test_all_that_needs_a_borrowed_thing_is_done_while_it_is_there(window, length, rules):
    bound = Rules(windows=(("large", *days(*window)),), **rules)
    for block in balanced_blocks(6):
        runs, missed = scheduled([block], LABELS, dict.fromkeys(range(6), length), START, bound)
        assert missed == []
        assert all(bound.both_available(LABELS[run.place], day) for run in runs for day in run.days)


def test_a_hundred_pairings_of_sixty_days_have_a_plan():
    labels = [(str(tablet), str(display)) for tablet in range(10) for display in range(10)]
    runs, missed = scheduled(
        balanced_blocks(100)[:1], labels, dict.fromkeys(range(100), 60), START, Rules(weekend=True)
    )
    assert (len(runs), missed) == (100, [])
    assert len({day for run in runs for day in run.days}) == 6000


def test_what_fits_nowhere_is_named_and_a_year_without_a_free_day_is_refused():
    rules = Rules(windows=(("large", *days("2026-03-10", "2026-03-12")),))
    _, missed = scheduled(balanced_blocks(6)[:1], LABELS, dict.fromkeys(range(6), 5), START, rules)
    assert missed == [3, 4, 5]
    with pytest.raises(RequestError) as refused:
        scheduled(
            balanced_blocks(6)[:1],
            LABELS,
            dict.fromkeys(range(6), 1),
            START,
            Rules(off=(days("2026-01-01", "2099-01-01"),)),
        )
    assert str(refused.value) == (
        "days off: must leave a day to try something; got none in thirty years"
    )


def test_a_display_that_stays_into_the_days_of_a_borrowed_tablet_costs_none_that_it_uses():
    # By hand: the large tablet is there for nine days from the fourth on, which its three runs of
    # three need. The 32 stays for six days: three of the small tablet's and three of the large's.
    rules = Rules(windows=(("large", *days("2026-03-05", "2026-03-13")),), stays=(("32", 6),))
    runs, missed = scheduled([(1, 0, 2, 3, 4, 5)], LABELS, dict.fromkeys(range(6), 3), START, rules)
    assert missed == []
    assert [LABELS[run.place] for run in runs] == [
        ("small", "32"),
        ("large", "32"),
        ("large", "24"),
        ("large", "40"),
        ("small", "24"),
        ("small", "40"),
    ]


def test_a_display_that_stays_is_not_put_up_where_others_need_its_days():
    # By hand: the large tablet is there for nine days from the fourth on, which its three runs of
    # three need. After that on the 40 six are left. The 32 would stay for all of them, of which the
    # large tablet has use for three there: the 24 goes first, against the block's order.
    rules = Rules(windows=(("large", *days("2026-03-05", "2026-03-13")),), stays=(("32", 9),))
    runs, missed = scheduled([(0, 2, 1, 4, 5, 3)], LABELS, dict.fromkeys(range(6), 3), START, rules)
    assert missed == []
    assert [LABELS[run.place] for run in runs] == [
        ("small", "24"),
        ("large", "40"),
        ("large", "24"),
        ("large", "32"),
        ("small", "32"),
        ("small", "40"),
    ]


@pytest.mark.parametrize(("display", "stays"), [("32", 9), ("40", 6)])
def test_a_display_that_stays_does_not_take_the_days_that_a_borrowed_tablet_needs_on_it(
    display, stays
):
    # As above. In any order (30 of 720 here) the large tablet can have all its nine days: what is
    # tried with the small one on that display takes days of its own, which the large one needs.
    rules = Rules(
        windows=(("large", *days("2026-03-05", "2026-03-13")),), stays=((display, stays),)
    )
    for block in list(permutations(range(6)))[::24]:
        _, missed = scheduled([block], LABELS, dict.fromkeys(range(6), 3), START, rules)
        assert missed == [], block


def test_of_three_pairings_none_is_tried_twice_in_a_row_where_blocks_meet():
    runs, missed = scheduled(
        [(0, 1, 2), (2, 0, 1)], LABELS, dict.fromkeys(range(3), 1), START, Rules()
    )
    assert ([run.place for run in runs], missed) == ([0, 1, 2, 0, 2, 1], [])
