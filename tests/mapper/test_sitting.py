"""A person before displays in an arc, and how that compares with what is recommended."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from mapper.choosing.recommended import RECOMMENDED
from mapper.choosing.sitting import comfortable_distance_mm, seat_findings, sit, top_for_centre_mm
from mapper.choosing.viewing import Glass, Stand, View, below_deg_of_top, distance_for_arc_minutes_mm
from mapper.desk import Display
from mapper.problems import RequestError
from mapper.seat import Seat
from mapper.units import MM_PER_INCH
from tests.strategies import seats


def display(inches, width_px=2560, height_px=1440, **more):
    return Display(width_px, height_px, **more).with_diagonal(inches * MM_PER_INCH)


def sides(sitting):
    return {finding.key: finding.side for finding in seat_findings(sitting)}


def test_an_ordinary_desk_lies_within_what_is_recommended():
    main = display(27)
    sitting = sit([main], Seat(850, 70), main)
    assert sides(sitting) == {
        "distance": "inside",
        "top": "inside",
        "centre": "inside",
        "gaze": "inside",
        "side": "inside",
        "eyes": "above",  # nearly every display asks the neck for a little
        "width": "inside",
        "sharpness": "inside",
    }


def test_what_is_wrong_is_named():
    main = display(43)
    found = sides(sit([main], Seat(450, -100), main))
    assert {key for key, side in found.items() if side != "inside"} >= {"distance", "top", "side", "width", "sharpness"}
    assert found["distance"] == "below"
    assert found["top"] == "below"


def test_of_an_unknown_height_nothing_is_said():
    main = display(27)
    assert not {"top", "centre", "gaze"} & set(sides(sit([main], Seat(700, None, 12.0), main)))


@given(seats)
def test_one_display_is_seen_as_the_view_says(seat):
    main = display(27)
    try:
        sitting = sit([main], seat, main)
        glass = Glass.of_display(main, seat.curve_radius_mm)
        below = (
            0.0
            if seat.top_below_eyes_mm is None
            else below_deg_of_top(glass, seat.distance_mm, seat.top_below_eyes_mm, seat.tilt_deg)
        )
        expected = View.of(
            glass, Stand(seat.distance_mm, 0.0, below, None, seat.tilt_deg if sitting.height_known else None)
        )
    except RequestError:
        assume(False)
    assert sitting.view == expected
    if sitting.height_known:
        # The middle of the top edge lies where the seat says, however the display is curved and tilted.
        top = sitting.view.stand.place_mm(glass.point_mm(0.0, -glass.height_mm / 2))[1]
        assert top == pytest.approx(seat.top_below_eyes_mm, abs=1e-6)


def test_displays_stand_in_the_order_of_the_desktop():
    main = display(27)
    left, right = display(24, left_px=-2560, label="left"), display(24, left_px=2560, label="right")
    sitting = sit([main, right, left], Seat(700), main, ahead="main")
    assert [place.display.label for place in sitting.places] == ["left", "main", "right"]
    turns = [place.view.stand.turned_deg for place in sitting.places]
    assert turns[1] == 0.0
    assert turns[0] == -turns[2] < 0
    # The larger display in the middle reaches farther out, so its neighbours' edges stand nearer to the eyes.
    assert sitting.step_mm(0) < 0 < sitting.step_mm(1)
    middle = sit([main, right, left], Seat(700), left)
    assert middle.places[middle.main].display == left
    assert middle.farthest_side_deg == pytest.approx(-middle.places[0].view.left_deg)


def test_a_display_above_another_is_left_out_of_the_arc():
    main = display(27)
    above = display(24, top_px=-1440, label="above")
    beside = display(24, left_px=2560, label="beside")
    sitting = sit([above, main, beside], Seat(700), main, ahead="main")
    assert [place.display.label for place in sitting.places] == ["main", "beside"]
    assert sitting.stacked == (above,)
    with pytest.raises(RequestError, match="ahead: must be a display of the arc"):
        sit([above, main], Seat(700), main, ahead="above")


def test_bezels_push_displays_apart():
    one, two = display(24), display(24, left_px=2560, label="second")
    bare = sit([one, two], Seat(700), one, ahead="main")
    from dataclasses import replace

    framed = sit([replace(one, bezel_mm=10.0), replace(two, bezel_mm=10.0)], Seat(700), one, ahead="main")
    assert framed.places[1].view.stand.turned_deg > bare.places[1].view.stand.turned_deg + 1


@given(st.floats(10, 100), st.integers(600, 8000))
def test_at_a_comfortable_distance_what_is_named_holds(inches, width_px):
    main = display(inches, width_px, 1440)
    glass = Glass.of_display(main)
    near, far, held = comfortable_distance_mm(glass)
    assert near <= far
    assert held[0] == "distance"
    for distance_mm in (near, (near + min(far, 2000)) / 2, far):
        found = sides(sit([main], Seat(distance_mm), main))
        assert all(found[key] == "inside" for key in held)


def test_sharpness_gives_way_before_width_and_width_before_distance():
    # A wall of glass: no distance within reach shows it whole, and its pixels are fist-sized.
    assert comfortable_distance_mm(Glass(3000, 1700, 640, 360))[2] == ("distance",)
    assert comfortable_distance_mm(Glass(600, 340, 640, 360))[2] == ("distance", "width")
    near, _, held = comfortable_distance_mm(Glass(600, 340, 2560, 1440))
    assert held == ("distance", "width", "sharpness")
    assert near == pytest.approx(distance_for_arc_minutes_mm(600 / 2560))


@given(st.floats(500, 1500), st.floats(1, 40), st.none() | st.floats(-10, 30))
def test_the_top_for_a_centre_puts_the_centre_there(distance_mm, below_deg, tilt_deg):
    glass = Glass(600, 340)
    top_mm = top_for_centre_mm(glass, distance_mm, below_deg, tilt_deg)
    assert below_deg_of_top(glass, distance_mm, top_mm, tilt_deg) == pytest.approx(below_deg, abs=1e-9)


def test_excess_is_a_share_of_the_nearest_end():
    main = display(27)
    by_key = {finding.key: finding for finding in seat_findings(sit([main], Seat(254), main))}
    assert by_key["distance"].excess == pytest.approx(0.5)
    assert by_key["distance"].recommendation is RECOMMENDED["distance"]


def test_an_unknown_size_is_asked_for():
    with pytest.raises(RequestError, match="its size is needed"):
        sit([Display(1920, 1080)], Seat(700), Display(1920, 1080))


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ((0,), "seat distance_mm: must be greater than 0"),
        ((700, float("nan")), "seat top_below_eyes_mm: must be a finite number"),
        ((700, None, 91), "seat tilt_deg: must be within"),
        ((700, None, None, -1), "seat curve_radius_mm: must be greater than 0"),
        ((True,), "seat distance_mm: must be a number"),
    ],
)
def test_wrong_seats_are_named(values, message):
    with pytest.raises(RequestError, match=message):
        Seat(*values)
