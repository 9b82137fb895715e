import pytest
from hypothesis import given

from mapper.seat import Seat
from mapper.solving import solve
from profiles.format.compare import changes
from profiles.format.document import Workstation
from tests.profiles.libraries import workstation
from tests.strategies import requests


def found(before, after):
    return {change.what: (change.before, change.after) for change in changes(before, after)}


@given(requests(), requests())
def test_what_differs_one_way_differs_the_other_way(one, two):
    one, two = Workstation("desk", solve(one)), Workstation("desk", solve(two))
    there = {change.what: (change.before, change.after) for change in changes(one, two)}
    back = {change.what: (change.after, change.before) for change in changes(two, one)}
    assert there == back
    assert changes(one, one) == []
    for change in changes(one, two):
        if change.by is not None:
            assert change.by == change.after - change.before


def test_what_follows_and_what_was_asked_are_both_told():
    # 240 mm at 16:9 is 135 mm high, the whole is 152 mm; both middles are at 76 mm.
    assert found(workstation(), workstation(fit="full")) == {
        "area.height_mm": (pytest.approx(135.0), 152.0),
        "scale_factor": (pytest.approx(2.491, abs=1e-3), pytest.approx(2.414, abs=1e-3)),
        "stretch": (1.0, pytest.approx(152 / 135)),
        "oval_percent": (0.0, pytest.approx((152 / 135 - 1) * 100)),
        "map.fit": ("locked", "full"),
    }


def test_displays_are_told_apart_by_their_labels_and_not_by_their_order():
    one = workstation(displays=("main: 27in 2560x1440", "side: 24in 1920x1080 at 2560,0"))
    two = workstation(displays=("side: 24in 1920x1080 at 2560,0", "main: 27in 2560x1440 at 0,0"))
    assert changes(one, two) == []


def test_a_seat_and_a_note_are_changes_too():
    assert found(workstation(seat=Seat(700)), workstation(seat=Seat(650), note="nearer")) == {
        "note": (None, "nearer"),
        "seat.distance_mm": (700.0, 650.0),
    }
