"""Advice: each change, carried out, mends what it is about and harms nothing that was good."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mapper.choosing.advice import advise
from mapper.choosing.findings import map_findings
from mapper.choosing.recommended import Band, band_for
from mapper.choosing.remedies import (
    RemedySearch,
    Setup,
    _distances_mm,
    _top_edges_mm,
    changed,
)
from mapper.choosing.viewing import Glass
from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.feel import Feel
from mapper.mapping.solve import MapRequest
from mapper.mapping.steps import Step
from mapper.problems import RequestError
from mapper.rect import Rect
from mapper.seat import Seat
from mapper.solving import solve
from mapper.units import MM_PER_INCH
from tests.strategies import any_requests, real_desks, requests, seats

BAND = band_for("illustration")


def desk(tablet=(240, 152), inches=27.0, pixels=(2560, 1440), counts=None, fit="locked", **more):
    display = Display(*pixels, **more).with_diagonal(inches * MM_PER_INCH)
    return solve(MapRequest(Tablet(*tablet, counts), Desktop((display,)), fit))


def row(*displays, onto=(), tablet=(240, 152)):
    """Displays of (inches, width, height), left to right, the first one the primary."""
    left, made = 0, []
    for index, (inches, width_px, height_px) in enumerate(displays):
        label = "main" if index == 0 else f"side {index}"
        made.append(
            Display(width_px, height_px, left_px=left, label=label).with_diagonal(
                inches * MM_PER_INCH
            )
        )
        left += width_px
    return solve(MapRequest(Tablet(*tablet), Desktop(tuple(made)), onto=onto))


def change(advice, about):
    return next(change for change in advice.changes if change.about == about)


def after(solved, seat, change, band=BAND):
    """The advice once ``change`` is carried out."""
    setup = changed(Setup(solved.request, seat, band), change.asks)
    return advise(solve(setup.request), setup.seat, band)


def carried_out(solved, seat, band=BAND, most=12):
    """What is asked for, the first change carried out each time, until nothing is left."""
    asked = []
    for _ in range(most):
        advice = advise(solved, seat, band)
        free = [change for change in advice.changes if not change.buys]
        if not free:
            return asked
        asked.append(free[0].asks)
        setup = changed(Setup(solved.request, seat, band), free[0].asks)
        solved, seat = solve(setup.request), setup.seat
    raise AssertionError(asked)


def test_the_middle_of_all_displays_is_a_place_to_sit_and_is_not_advised_again():
    two = row((27, 2560, 1440), (27, 2560, 1440))
    asked = carried_out(two, Seat(520))
    assert {"ahead": "middle"}.items() <= asked[0].items()
    assert sum("ahead" in asks for asks in asked) == 1
    assert advise(two, Seat(520, ahead="middle"), BAND).finding("side").side == "inside"


def test_the_sides_of_an_area_are_named_as_they_are_typed():
    """By hand: a tablet that lies a quarter turned under an upright 27 in of 9:16.

    It is 152 mm wide and 240 high as it is seen, so the area is 135 x 240 mm there and 240 x 135 mm
    as built.
    """
    upright = desk(pixels=(1440, 2560), fit="full")
    turned = replace(upright.request, tablet=Tablet(240, 152, turn_deg=90))
    lock = change(advise(solve(turned), None, BAND), "stretch")
    assert lock.asks == {"fit": "locked"}
    numbers = lock.numbers["area_width_mm"], lock.numbers["area_height_mm"]
    assert numbers == pytest.approx((240, 135), abs=0.01)


def inside(advice):
    return {finding.key for finding in advice.findings if finding.side == "inside"}


def test_a_good_desk_has_nothing_to_change():
    advice = advise(desk(counts=150), Seat(850, 70), BAND, "illustration")
    assert advice.changes == ()
    assert advice.unknown == ()
    assert {finding.side for finding in advice.findings} == {"inside"}


def test_what_is_not_known_is_named_and_not_judged():
    assert advise(desk(), None, BAND).unknown == ("counts", "seat")
    assert advise(desk(), Seat(700), BAND).unknown == ("counts", "height")
    unsized = solve(MapRequest(Tablet(240, 152), Desktop((Display(1920, 1080),)), "full"))
    advice = advise(unsized, Seat(700), BAND)
    assert advice.unknown == ("size", "counts", "seat")
    assert [finding.key for finding in advice.findings] == ["stretch"]
    assert change(advice, "stretch").asks == {"fit": "locked"}


def test_locking_makes_shapes_true_at_the_cost_that_was_said():
    lock = change(advise(desk(fit="full"), None, BAND), "stretch")
    locked = desk(fit="locked")
    assert lock.asks == {"fit": "locked"}
    assert (lock.numbers["area_width_mm"], lock.numbers["area_height_mm"]) == (240, 135)
    assert lock.numbers["area_lost_percent"] == pytest.approx(
        100 - locked.summary.area_used_percent
    )
    assert lock.numbers["scale_after"] == pytest.approx(locked.summary.scale_factor)
    # The other true fit is named beside it.
    assert lock.instead[0].asks == {"fit": "cropped"}


def test_for_an_upright_display_the_tablet_is_turned_before_the_screen_is_cropped():
    """By hand: 27 inch upright is 336 x 598 mm.

    Turned, 152 x 240 mm locks to 135 x 240, and 598 / 240 is 2.49.
    """
    upright = desk(pixels=(1440, 2560))
    assert upright.summary.scale_factor > BAND.high
    first = change(advise(upright, None, BAND), "scale")
    assert first.asks == {"turn_deg": 90}
    assert first.numbers["scale_after"] == pytest.approx(2.49, abs=0.005)


def test_a_tablet_that_was_turned_for_nothing_is_turned_back():
    turned = replace(desk().request, tablet=Tablet(240, 152, turn_deg=90))
    assert change(advise(solve(turned), None, BAND), "scale").asks == {"turn_deg": 0}


def test_over_two_displays_one_is_left_before_a_tablet_is_bought():
    two = row((27, 2560, 1440), (24, 1920, 1080), onto=("main", "side 1"))
    scale = change(advise(two, None, BAND), "scale")
    assert scale.asks == {"onto": ["main"]}
    assert not any(each.buys for each in (scale, *scale.instead))


def test_a_tablet_that_could_be_used_whole_is_used_whole():
    part = replace(desk().request, fit="full", area_built_mm=Rect(10.0, 10.0, 160.0, 90.0))
    scale = change(advise(solve(part), None, BAND), "scale")
    assert scale.asks == {"area": None, "fit": "locked"}
    assert scale.numbers["area_width_mm"] == 240


def test_a_tablet_is_to_be_bought_only_where_nothing_free_will_do():
    # 8 counts a mm are half a count for each of 3840 px; a window fine enough would be scaled below
    # the band.
    coarse = desk(counts=8, pixels=(3840, 2160))
    counts = change(advise(coarse, None, BAND), "counts")
    assert counts.asks == {"counts_per_mm": 16.0}
    # In a wider band the window is there, and nothing is to be bought.
    wide = change(advise(coarse, None, Band(1, 3.5)), "counts")
    assert wide.asks["fit"] == "cropped"
    assert not wide.buys


def test_small_buttons_are_mended_by_zoom():
    fine = desk(pixels=(3840, 2160), counts=150)
    zoom = change(advise(fine, None, BAND), "target")
    assert zoom.asks == {"zoom": 1.4}
    assert "target" in inside(after(fine, None, zoom))


def test_pixels_that_can_be_seen_are_a_fact_and_no_reason_to_buy():
    coarse = desk(inches=60, pixels=(1920, 1080))
    advice = advise(coarse, Seat(1016), BAND)
    assert advice.finding("sharpness") is None
    assert not any(each.buys for each in advice.changes)


def test_displays_to_one_side_are_told_of_the_middle():
    two = row((24, 1920, 1080), (24, 1920, 1080))
    side = change(advise(two, Seat(520), BAND), "side")
    assert side.asks["ahead"] == "middle"
    assert side.numbers["side_deg"] < side.numbers["side_before_deg"]


def test_the_most_pressing_comes_first():
    changes = [
        c.about for c in advise(desk((146, 96), 32, fit="full"), Seat(300, -200), BAND).changes
    ]
    # The body before the drawing.
    assert changes[0] in {"distance", "top", "centre"}
    assert changes.index("scale") > 0


def test_a_driver_s_step_does_not_push_a_remedy_out_of_the_band_again():
    stepped = solve(replace(desk((146, 96), 32).request, step=Step(0.1, "inch")))
    first = change(advise(stepped, None, BAND), "scale")
    assert first.about in inside(after(stepped, None, first))
    # By hand: steps of 2.54 mm leave 144.78 of 146 mm. A window for exactly 3.5 would be 3.53 times
    # as large as that, so 1 percent less is asked for; turned it takes 4.
    assert [each.asks for each in (first, *first.instead)] == [
        {"fit": "cropped", "scale": pytest.approx(0.99 * 3.5)},
        {"turn_deg": 90, "scale": pytest.approx(0.96 * 3.5)},
    ]


def test_a_driver_s_step_does_not_silence_what_is_said_of_the_seat():
    stepped, seat = solve(replace(desk().request, step=Step(1, "mm"))), Seat(300, -100)
    assert [each.asks for each in advise(stepped, seat, BAND).changes] == [
        each.asks for each in advise(desk(), seat, BAND).changes
    ]
    assert {"distance", "top"} & {each.about for each in advise(stepped, seat, BAND).changes}


# by hand
# ------------------------------------------------------------


def asked(advice, about):
    """What is asked for and costs how much: the first way and the others."""
    first = change(advice, about)
    return [(each.asks, round(each.cost, 2)) for each in (first, *first.instead)]


def test_what_a_change_costs():
    """27 in of 16:9 over 240 x 152 mm: 135 of 152 mm are 88.8 %, and so are 2274 of 2560 px."""
    lost = 11.18
    assert asked(advise(desk(fit="full"), None, BAND), "stretch") == [
        ({"fit": "locked"}, lost),
        ({"fit": "cropped"}, lost),
    ]
    # Between both fits either has the scale; the one that is there already is named. By 2.4 the
    # screen is 576 mm of 597.73 wide (3.64 % lost) and the area 140.09 mm of 152 high, where 135
    # were (3.35 % won, which counts half); another number costs 3.
    assert asked(advise(desk(), None, Band(2.3, 2.4)), "scale") == [({"scale": 2.4}, 4.96)]
    # Of a stretched map, which used all of the tablet, 7.83 % of that are lost besides.
    assert asked(advise(desk(fit="full"), None, Band(2.3, 2.4)), "stretch") == [
        ({"fit": "locked", "scale": 2.4}, 14.47),
        ({"fit": "cropped", "scale": 2.4}, 14.47),
    ]
    # A window of a quarter of the display that is given up wins three times as much.
    window = replace(desk().request, window_px=Rect(0, 0, 1280, 720))
    assert asked(advise(solve(window), None, BAND), "scale")[0] == ({"window": None}, -150)


def test_a_window_over_two_displays_costs_more_than_one_display():
    """Two of 27 in side by side lock to 240 x 67.5 mm, 44.41 % of the tablet.

    One of them to 240 x 135 mm: 44.41 % more, which counts half, half of the screen less, and 5 to
    leave a display. Cropped, all of the tablet is used, 55.59 % more, and as much less of the
    screen; and 15 for a window that ends somewhere on the two.
    """
    two = row((27, 2560, 1440), (27, 2560, 1440), onto=("main", "side 1"))
    assert asked(advise(two, None, BAND), "scale") == [
        ({"onto": ["main"]}, 32.8),
        ({"onto": ["side 1"]}, 32.8),
        ({"fit": "cropped"}, 42.8),
    ]


def test_smaller_targets_by_a_smaller_window():
    """3840 px on 27 in are 0.15566 mm, and 4.133 x 0.5 x 2.49053 mm of target 33.06 of them.

    24 of them take 24 / 33.064 of the scale: 1.807, which is typed in three decimals.
    """
    fine = desk(pixels=(3840, 2160), counts=150)
    found = asked(advise(fine, None, Band(1, 3.5)), "target")
    assert found[0] == ({"zoom": 1.4}, 10.0)
    assert [asks for asks, _ in found[1:]] == [{"fit": "cropped", "scale": 1.807}]


def test_where_to_move_a_display():
    # 27 in are 336.22 mm high. With its top at eye level the centre is 17.0 degrees lower at 550
    # mm, which is good; so 10 mm lower is all.
    first = change(advise(desk(), Seat(551, -10), BAND), "top")
    assert (first.asks, first.cost) == ({"top_below_eyes_mm": 0.0}, 1.0)
    # At 629 mm it is 14.96 degrees lower; 15 takes 629 sin 15 - 168.11 cos 15 = 0.4 mm, so 1.
    first = change(advise(desk(), Seat(629, 0), BAND), "centre")
    assert (first.asks, first.cost) == ({"top_below_eyes_mm": 1.0}, 0.1)
    seat = {name: first.numbers[name] for name in list(first.numbers)[8:]}
    assert seat == pytest.approx(
        {
            "distance_mm": 629,
            "distance_before_mm": 629,
            # Twice atan(298.86 / 629).
            "horizontal_deg": 50.83,
            "horizontal_before_deg": 50.83,
            "side_deg": 0,
            "side_before_deg": 0,
            "main_deg": 0,
            # 0.233487 mm at 629 mm.
            "arc_minutes": 1.276,
            "arc_minutes_before": 1.276,
            "top_below_eyes_mm": 1,
            "lower_mm": 1,
            # atan(168.11 / 629) + asin(1 / 651.1), and the lower edge as far below again.
            "centre_deg": 15.051,
            "bottom_deg": 30.015,
        },
        abs=6e-3,
    )


def test_where_nothing_helps_nothing_is_said():
    """A display 3 m high, its middle at eye level: any lower, and it ends more than 60 degrees low.

    Nearer or farther than 1016 mm is not recommended either.
    """
    wall = solve(MapRequest(Tablet(240, 152), Desktop((Display(1000, 3000, 1000, 3000),))))
    advice = advise(wall, Seat(1016, -1500, 0), Band(1, 30))
    assert advice.finding("centre").value == 0
    assert {"top", "centre"}.isdisjoint(inside(advice))
    assert {each.about for each in advice.changes} == {"target"}


def test_the_distances_that_are_tried():
    """Where something begins or ends to hold: 298.86 mm over tan 28.5 and tan 16 degrees.

    Then 20 and 40 inches, 0.233487 mm over one arc-minute, and steps of 100 mm from the nearest.
    """
    found = _distances_mm(Glass(597.7265, 336.2212, 2560, 1440), Seat(700))
    ends = {508, 1016, 550, 551, 1042, 1043, 802, 803}
    assert found == [700, *sorted(ends | {608, 708, 808, 908, 1008})]


def test_the_heights_that_are_tried():
    """The present one, eye level, and whole mm about those of the centre 15 and 20 degrees low.

    At 629 mm, the glass facing the eyes: 629 sin 15 - 168.11 cos 15 = 0.42 mm, and 57.16 by 20.
    """
    found = _top_edges_mm(Glass(597.7265, 336.2212), Seat(700, 20), 629)
    assert found == [20, 0, 1, 57, 58]


@pytest.mark.parametrize("turn_deg", [0, 90, 180, 270])
def test_a_tablet_to_buy_is_named_as_it_is_built(turn_deg):
    """By hand: 600 mm at most 2.4 times as large take 250 mm, and half of that down.

    The display stands where the tablet does.
    """
    across = Display(2000, 1000, 600, 300)
    along = across if turn_deg % 180 == 0 else Display(1000, 2000, 300, 600)
    solved = solve(MapRequest(Tablet(100, 50, turn_deg=turn_deg), Desktop((along,)), "locked"))
    search = RemedySearch.of(solved, None, Band(1, 2.4))
    assert list(search._larger_tablets()) == [{"tablet_mm": [250, 125], "fit": "locked"}]


def test_what_lay_on_the_old_tablet_means_nothing_on_a_new_one():
    part = Rect(0, 0, 100, 100)
    for old in (
        replace(desk().request, within_built_mm=part),
        replace(desk(fit="full").request, area_built_mm=part),
    ):
        new = changed(Setup(old, None, BAND), {"tablet_mm": [300, 200]}).request
        assert new.tablet == Tablet(300, 200)
        assert (new.within_built_mm, new.area_built_mm) == (None, None)


def test_what_is_found_of_a_map_by_hand():
    """27 in of 2560 px over 240 mm with 150 counts a mm: 36000 counts for 2560 px.

    The smallest sure target is 4.133 x 0.5 x 2.49053 mm of 0.233487 mm a pixel.
    """
    found = map_findings(desk(counts=150), BAND, "illustration")
    figures = [
        (each.recommendation.about, round(each.value, 3), each.recommendation.unit, each.side)
        for each in found
    ]
    assert figures == [
        ("scale factor", 2.491, "", "inside"),
        ("stretch of shapes", 1.0, "times", "inside"),
        ("counts per pixel", 14.062, "counts", "inside"),
        ("smallest target hit reliably", 22.043, "px", "inside"),
    ]
    short = [each.recommendation.short for each in found if each.key in {"scale", "target"}]
    assert short == [
        "illustration, a rule of thumb",
        "W3C WCAG 2.2, for taps that land about 0.5 mm off",
    ]


_bands = st.builds(lambda low, ratio: Band(low, low * ratio), st.floats(0.5, 6), st.floats(1.05, 3))


@settings(max_examples=40)
@given(real_desks() | any_requests(sized=True) | requests(), st.none() | seats, _bands)
def test_each_change_carried_out_mends_its_figure_and_harms_no_other(request, seat, band):
    """The property of the whole: every change is undone work for nobody.

    Its figure comes into its band, no figure that was good turns bad, and something is to be bought
    only where no free change of the same list of changes would do.
    """
    try:
        solved = solve(request)
        advice = advise(solved, seat, band)
    except RequestError:
        # A seat that cannot be for this display: too near for its height, or inside its curve.
        return
    keys = [finding.key for finding in advice.findings]
    assert len(keys) == len(set(keys))
    bad = {finding.key for finding in advice.findings if finding.side != "inside"}
    assert {each.about for each in advice.changes} <= bad
    for first in advice.changes:
        # Something to buy stands alone.
        assert not any(way.buys for way in (first, *first.instead)) or (
            first.buys and first.instead == ()
        )
        for way in (first, *first.instead):
            then = after(solved, seat, way, band)
            if then is None:
                continue
            assert way.about in inside(then)
            assert inside(advice) <= inside(then)
            assert set(way.mends) == inside(then) - inside(advice) - {way.about}
            assert then.finding(way.about).value == pytest.approx(
                way.numbers["value_after"], rel=1e-9, abs=1e-9
            )


@settings(max_examples=25)
@given(real_desks(), _bands)
def test_nothing_is_bought_where_a_free_change_would_do(request, band):
    """Tries by brute force what the advice tries by thought.

    Each display alone, each turn, each fit, and nine scales of the band.
    """
    solved = solve(request)
    advice = advise(solved, None, band)
    bought = {each.about for each in advice.changes if each.buys}
    missing = {f.key for f in advice.findings if f.side != "inside"} - {
        key for each in advice.changes for key in (each.about, *each.mends)
    }
    if not bought | missing:
        return
    good = inside(advice)
    for way in _all_free(solved.request, band):
        try:
            found = {
                each.key for each in map_findings(solve(way), band, None) if each.side == "inside"
            }
        except RequestError:
            continue
        if good <= found:
            assert not (bought & found), way
            assert not (missing & found), way


def _all_free(request, band):
    plain = replace(request, area_built_mm=None, feel=None, window_px=None, true_on=None)
    scales = [None] + [band.low * (band.high / band.low) ** (step / 8) for step in range(9)]
    for onto in {request.onto, *((display.label,) for display in solve(request).reached)}:
        for turn in (0, 90):
            tablet = replace(request.tablet, turn_deg=(request.tablet.turn_deg + turn) % 180)
            for fit in ("full", "locked", "cropped"):
                for scale in scales if fit != "full" else [None]:
                    feel = None if scale is None else Feel(scale, scale)
                    yield replace(plain, tablet=tablet, onto=onto, fit=fit, feel=feel)
