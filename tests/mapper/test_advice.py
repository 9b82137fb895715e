"""Advice: each change, carried out, mends what it is about."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mapper.choosing.advice import advise
from mapper.choosing.recommended import Band, band_for
from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.solve import MapRequest
from mapper.problems import RequestError
from mapper.rect import Rect
from mapper.seat import Seat
from mapper.solving import solve
from mapper.units import MM_PER_INCH
from tests.strategies import requests, seats

BAND = band_for("illustration")


def desk(tablet=(240, 152), inches=27.0, pixels=(2560, 1440), counts=None, fit="locked", **more):
    display = Display(*pixels, **more).with_diagonal(inches * MM_PER_INCH)
    return solve(MapRequest(Tablet(*tablet, counts), Desktop((display,)), fit))


def change(advice, about):
    return next(change for change in advice.changes if change.about == about)


def test_a_good_desk_has_nothing_to_change():
    advice = advise(desk(counts=200), Seat(850, 70), BAND, "illustration")
    assert advice.changes == ()
    assert advice.unknown == ()
    assert {finding.side for finding in advice.findings} == {"inside"}
    assert {finding.key for finding in advice.findings} == {
        *("scale", "stretch", "counts", "target", "distance", "top", "centre", "gaze", "width", "sharpness"),
    }


def test_what_is_not_known_is_named_and_not_judged():
    assert advise(desk(), None, BAND).unknown == ("counts", "seat")
    assert advise(desk(), Seat(700), BAND).unknown == ("counts", "height")
    unsized = solve(MapRequest(Tablet(240, 152), Desktop((Display(1920, 1080),)), "full"))
    advice = advise(unsized, Seat(700), BAND)
    assert advice.unknown == ("size", "counts", "seat")
    assert [finding.key for finding in advice.findings] == ["stretch"]
    assert change(advice, "stretch").kind == "lock"


def test_locking_makes_shapes_true_at_the_cost_that_was_said():
    advice = advise(desk(fit="full"), None, BAND)
    lock = change(advice, "stretch")
    after = desk(fit="locked")
    assert (lock.numbers["area_width_mm"], lock.numbers["area_height_mm"]) == (
        after.area_seen_mm.width,
        after.area_seen_mm.height,
    )
    assert lock.numbers["area_lost_percent"] == pytest.approx(100 - after.summary.area_used_percent)
    assert not [c for c in advise(after, None, BAND).changes if c.about == "stretch"]


@settings(max_examples=50)
@given(st.floats(60, 600), st.floats(60, 400), st.floats(10, 60))
def test_what_is_said_to_mend_a_scale_mends_it(width_mm, height_mm, inches):
    tablet_map = desk((width_mm, height_mm), inches)
    scale = tablet_map.summary.scale_factor
    advice = advise(tablet_map, None, BAND)
    side = BAND.side(scale)
    if side == "inside":
        assert not [c for c in advice.changes if c.about == "scale"]
        return
    numbers = change(advice, "scale").numbers
    if side == "below":
        assert change(advice, "scale").kind == "shrink"
        built = Rect(0.0, 0.0, numbers["area_width_mm"], numbers["area_height_mm"])
        after = solve(replace(tablet_map.request, fit="full", area_built_mm=built))
        assert after.summary.scale_factor == pytest.approx(BAND.low)
        assert after.figures[0].distortion.stretch == pytest.approx(1)
        assert 100 - after.summary.area_used_percent == pytest.approx(numbers["area_lost_percent"])
        return
    assert change(advice, "scale").kind == "larger"
    larger = desk((numbers["area_width_mm"], numbers["area_height_mm"]), inches)
    assert larger.summary.scale_factor == pytest.approx(BAND.high)
    window = Rect(0.0, 0.0, numbers["window_width_px"], numbers["window_height_px"])
    after = solve(replace(tablet_map.request, window_px=window))
    # A window is held to whole pixels: half a pixel on each side in the worst case.
    slack = 2 / min(window.width, window.height)
    assert after.summary.scale_factor == pytest.approx(numbers["scale_after"], rel=slack)
    assert numbers["scale_after"] <= BAND.high * (1 + 1e-9)
    share = window.width * window.height / (2560 * 1440)
    assert numbers["screen_lost_percent"] == pytest.approx(100 * (1 - share))


def test_a_part_that_was_set_by_hand_may_give_way_to_the_whole_tablet():
    tablet_map = desk()
    part = solve(replace(tablet_map.request, fit="full", area_built_mm=Rect(10.0, 10.0, 160.0, 90.0)))
    whole = change(advise(part, None, BAND), "scale")
    assert whole.kind == "whole"
    assert whole.numbers["scale_after"] == pytest.approx(tablet_map.summary.scale_factor)
    assert whole.numbers["area_width_mm"] == 240


def test_a_coarse_tablet_is_told_the_counts_it_lacks():
    advice = advise(desk(counts=8, pixels=(3840, 2160)), None, BAND)
    numbers = change(advice, "counts").numbers
    mended = advise(desk(counts=numbers["counts_per_mm"] * (1 + 1e-9), pixels=(3840, 2160)), None, BAND)
    assert mended.finding("counts").side == "inside"
    assert mended.finding("counts").value == pytest.approx(1)


def test_small_buttons_are_mended_by_zoom():
    fine = {"pixels": (3840, 2160), "inches": 27}
    advice = advise(desk(**fine), None, BAND)
    zoom = change(advice, "target").numbers["zoom_after"]
    assert zoom > 1
    assert advise(desk(**fine, zoom=zoom * (1 + 1e-9)), None, BAND).finding("target").side == "inside"


@settings(max_examples=60)
@given(st.floats(200, 2500), st.floats(15, 60))
def test_where_one_is_told_to_sit_the_same_is_not_told_again(distance_mm, inches):
    tablet_map = desk(inches=inches)
    advice = advise(tablet_map, Seat(distance_mm), BAND)
    for move in (c for c in advice.changes if c.kind == "move"):
        after = advise(tablet_map, Seat(move.numbers["distance_mm"]), BAND)
        assert after.finding(move.about).side == "inside"
        assert after.finding("width").value == pytest.approx(move.numbers["horizontal_deg"])
        assert not [c for c in after.changes if c.kind == "move" and c.about == move.about]


@settings(max_examples=60)
@given(st.floats(600, 1500), st.floats(-300, 600), st.none() | st.floats(-5, 20))
def test_where_the_display_is_told_to_stand_its_top_is_not_above_the_eyes(distance_mm, top_mm, tilt_deg):
    tablet_map = desk()
    try:
        advice = advise(tablet_map, Seat(distance_mm, top_mm, tilt_deg), BAND)
    except RequestError:
        return
    for height in (c for c in advice.changes if c.kind == "height"):
        numbers = height.numbers
        after = advise(tablet_map, Seat(distance_mm, numbers["top_below_eyes_mm"], tilt_deg), BAND)
        assert numbers["lower_mm"] == pytest.approx(numbers["top_below_eyes_mm"] - top_mm)
        assert after.finding("top").side == "inside"
        assert after.finding("centre").value == pytest.approx(numbers["centre_deg"])
        assert not [c for c in after.changes if c.kind == "height"]


def test_a_display_too_tall_for_its_distance_is_told_so():
    tall = desk(inches=60)
    advice = advise(tall, Seat(700, 0), BAND)
    assert change(advice, "centre").kind == "tall"
    there = change(advice, "centre").numbers["distance_mm"]
    assert advise(tall, Seat(there, 0), BAND).finding("centre").value == pytest.approx(20)


def test_displays_to_one_side_are_told_of_the_middle():
    row = [
        Display(1920, 1080, label=label, left_px=left).with_diagonal(24 * MM_PER_INCH)
        for label, left in (("main", 0), ("second", 1920))
    ]
    tablet_map = solve(MapRequest(Tablet(240, 152), Desktop(tuple(row))))
    middle = change(advise(tablet_map, Seat(700), BAND), "side")
    assert middle.kind == "middle"
    assert middle.numbers["side_deg"] < middle.numbers["side_before_deg"]
    assert middle.numbers["main_deg"] == pytest.approx(middle.numbers["side_deg"])


def test_the_most_pressing_comes_first():
    tablet_map = desk((150, 94), 32, fit="full")
    changes = [c.about for c in advise(tablet_map, Seat(300, -200), BAND).changes]
    # The body before the drawing, and that before looks: 300 mm is far under 508, 17 % of stretch little over 1.5 %.
    assert changes.index("stretch") > changes.index("top")
    assert changes.index("stretch") > changes.index("scale")


@settings(max_examples=100)
@given(requests(), st.none() | seats, st.floats(0.5, 8), st.floats(1, 3))
def test_any_desk_is_advised(request, seat, low, ratio):
    tablet_map = solve(request)
    try:
        advice = advise(tablet_map, seat, Band(low, low * ratio))
    except RequestError as error:
        # A seat that cannot be for this display: too near for its height, or inside its curve.
        assert str(error)
        return
    keys = [finding.key for finding in advice.findings]
    assert len(keys) == len(set(keys))
    assert {c.about for c in advice.changes} <= {f.key for f in advice.findings if f.side != "inside"}
