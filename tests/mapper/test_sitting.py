"""A person before displays in an arc, and how that compares with what is recommended."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation
from shapely.geometry import LineString
from shapely.ops import substring

from mapper.choosing.recommended import RECOMMENDED
from mapper.choosing.sitting import (
    comfortable_distance_mm,
    seat_findings,
    sitting_in_arc,
    top_for_centre_mm,
)
from mapper.choosing.viewing import Glass, below_deg_of_top
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
    sitting = sitting_in_arc([main], Seat(850, 70), main)
    assert sides(sitting) == {
        "distance": "inside",
        "top": "inside",
        "centre": "inside",
        "gaze": "inside",
        "eyes": "above",  # nearly every display asks the neck for a little
        "width": "inside",
        "sharpness": "inside",
    }


def test_what_is_wrong_is_named():
    main = display(43)
    found = sides(sitting_in_arc([main], Seat(450, -100), main))
    assert {key for key, side in found.items() if side != "inside"} >= {
        "distance",
        "top",
        "eyes",
        "width",
        "sharpness",
    }
    assert found["distance"] == "below"
    assert found["top"] == "below"


def test_of_an_unknown_height_nothing_is_said():
    main = display(27)
    assert not {"top", "centre", "gaze"} & set(
        sides(sitting_in_arc([main], Seat(700, None, 12.0), main))
    )


@given(seats)
def test_the_top_edge_lies_where_the_seat_says_however_the_display_is_curved_and_leans(seat):
    main = display(27)
    try:
        view = sitting_in_arc(
            [main], replace(seat, top_below_eyes_mm=seat.top_below_eyes_mm or 0.0), main
        ).view
    except RequestError:
        assume(False)
    top = view.stand.place_mm(view.glass.point_mm(0.0, -view.glass.height_mm / 2))
    assert top[1] == pytest.approx(seat.top_below_eyes_mm or 0.0, abs=1e-6)
    assert view.glass.radius_mm == seat.curve_radius_mm
    assert math.hypot(*view.stand.centre_mm) == pytest.approx(seat.distance_mm)


def test_displays_stand_in_the_order_of_the_desktop():
    main = display(27)
    left, right = display(24, left_px=-2560, label="left"), display(24, left_px=2560, label="right")
    sitting = sitting_in_arc([main, right, left], Seat(700), main, ahead="main")
    assert [place.display.label for place in sitting.places] == ["left", "main", "right"]
    turns = [place.view.stand.turned_deg for place in sitting.places]
    assert turns[1] == 0.0
    assert turns[0] == -turns[2] < 0
    # The larger display in the middle reaches farther out, so its neighbours' edges stand nearer to
    # the eyes.
    assert sitting.step_mm(0) < 0 < sitting.step_mm(1)
    middle = sitting_in_arc([main, right, left], Seat(700), left)
    assert middle.places[middle.main].display == left
    # To the centre of the farthest display, not to its edge.
    assert middle.farthest_side_deg == pytest.approx(-middle.places[0].view.stand.bearing_deg)
    assert sitting_in_arc([main], Seat(300), main).farthest_side_deg == 0


def test_a_display_above_another_is_left_out_of_the_arc():
    main = display(27)
    above = display(24, top_px=-1440, label="above")
    beside = display(24, left_px=2560, label="beside")
    sitting = sitting_in_arc([above, main, beside], Seat(700), main, ahead="main")
    assert [place.display.label for place in sitting.places] == ["main", "beside"]
    assert sitting.stacked == (above,)
    with pytest.raises(RequestError, match="ahead: must be a display of the arc"):
        sitting_in_arc([above, main], Seat(700), main, ahead="above")
    with pytest.raises(AttributeError):
        sitting.main = 1


panels = st.builds(
    lambda inches, upright, bezel, left: display(
        inches,
        *((1440, 2560) if upright else (2560, 1440)),
        left_px=left,
        bezel_mm=bezel,
        label=f"at {left}",
    ),
    st.floats(14, 49),
    st.booleans(),
    st.floats(0, 25),
    st.sampled_from([0, 3000, 6000, 9000]),
)


def outline_at(place, height_mm):
    """Where the front of a panel and its frame stand at one height, seen from above.

    A line by shapely, or None. By scipy's rotations: leant back about x, then turned about y, then
    carried to its centre.
    """
    glass, stand = place.view.glass, place.view.stand
    turn = Rotation.from_euler("y", stand.turned_deg, degrees=True)
    leant = turn * Rotation.from_euler("x", -stand.tilted_deg, degrees=True)
    ray = Rotation.from_euler("xy", [-stand.below_deg, stand.bearing_deg], degrees=True)
    centre = ray.apply([0, 0, stand.distance_mm])
    half = glass.width_mm / 2
    across = np.linspace(-half, half, 31)
    radius = glass.radius_mm
    xs, zs = across, 0 * across
    if radius is not None:
        xs, zs = radius * np.sin(across / radius), radius * (np.cos(across / radius) - 1)
    for end, step in ((0, -1), (-1, 1)):
        bend = 0.0 if radius is None else across[end] / radius
        tip = (
            xs[end] + step * glass.bezel_mm * np.cos(bend),
            zs[end] - step * glass.bezel_mm * np.sin(bend),
        )
        at = 0 if end == 0 else len(xs)
        xs, zs = np.insert(xs, at, tip[0]), np.insert(zs, at, tip[1])
    flat = leant.apply(np.stack([xs, 0 * xs, zs], axis=1)) + centre
    down = leant.apply([0, 1, 0])
    along = (height_mm - flat[:, 1]) / down[1]
    seen = abs(along) <= glass.height_mm / 2 + glass.bezel_mm
    points = (flat + along[:, None] * down)[seen]
    return LineString(points[:, [0, 2]]) if len(points) > 1 else None


@pytest.mark.oracle
@settings(max_examples=60)
@given(
    st.lists(panels, min_size=2, max_size=4, unique_by=lambda each: each.left_px),
    st.floats(450, 1200),
    st.floats(-250, 400),
    st.none() | st.floats(-25, 35),
    st.none() | st.floats(900, 3000),
)
def test_no_two_panels_of_an_arc_meet_as_shapely_sees_them_from_above(
    row, distance_mm, top_mm, tilt_deg, radius_mm
):
    row.sort(key=lambda each: each.left_px)
    curves = {} if radius_mm is None else {each.label: radius_mm for each in row}
    try:
        sitting = sitting_in_arc(
            row, Seat(distance_mm, top_mm, tilt_deg, radius_mm), row[0], radii_mm=curves
        )
    except RequestError:
        assume(False)
    assume(sitting.places[-1].view.right_deg - sitting.places[0].view.left_deg < 170)
    nearest = {}
    # Everywhere, and just inside the upper and lower end of each frame, where leaning ones touch.
    tips = [
        place.view.stand.centre_mm[1]
        + side
        * (place.view.glass.height_mm / 2 + place.view.glass.bezel_mm)
        * math.cos(math.radians(place.view.stand.tilted_deg))
        for place in sitting.places
        for side in (-1 + 1e-7, 1 - 1e-7)
    ]
    for height_mm in (*tips, *np.linspace(min(tips), max(tips), 9)):
        lines = [
            (index, line)
            for index, place in enumerate(sitting.places)
            if (line := outline_at(place, height_mm))
        ]
        for (one, line), (other, beside) in combinations(lines, 2):
            # They touch, so a hundredth of a mm is cut from each end.
            cut = [substring(each, 0.01, each.length - 0.01) for each in (line, beside)]
            assert not cut[0].intersects(cut[1])
            gap_deg = min(bearing(point) for point in beside.coords) - max(
                bearing(point) for point in line.coords
            )
            nearest[one, other] = min(nearest.get((one, other), math.inf), gap_deg)
    # And they stand no farther apart than they must: seen from the eyes no gap is left beside any
    # of them.
    if radius_mm is None:
        assert all(
            min(gap for pair, gap in nearest.items() if other in pair) < 1e-3
            for other in range(1, len(row))
        )


@pytest.mark.parametrize("end", [0, 3])
def test_before_one_end_of_a_wide_arc_the_other_end_goes_round_behind_the_head(end):
    """By hand: the half width of 49 inch at 32:9 is 598.8 mm, at 900 mm 33.64 degrees.

    So four of them stand 67.27 degrees apart and the last 201.8 to one side, which is 158.2 to the
    other.
    """
    row = [
        Display(5120, 1440, left_px=5120 * index, label=f"display {index}").with_diagonal(
            49 * MM_PER_INCH
        )
        for index in range(4)
    ]
    sitting = sitting_in_arc(row, Seat(900), row[end], ahead=row[end].label)
    bearings = [place.view.stand.bearing_deg for place in sitting.places]
    assert bearings[end] == 0
    assert abs(bearings[3 - end]) == pytest.approx(158.2, abs=0.1)
    assert (bearings[3 - end] < 0) == (end == 0)


def bearing(point):
    return math.degrees(math.atan2(*point))


@given(st.floats(10, 100), st.integers(600, 8000))
def test_at_a_comfortable_distance_what_is_named_holds(inches, width_px):
    main = display(inches, width_px, 1440)
    glass = Glass.of_display(main)
    near, far, kept = comfortable_distance_mm(glass)
    assert near <= far
    assert kept[0] == "distance"
    for distance_mm in (near, (near + min(far, 2000)) / 2, far):
        found = sides(sitting_in_arc([main], Seat(distance_mm), main))
        assert all(found[key] == "inside" for key in kept)


def test_width_gives_way_before_distance():
    # A wall of glass: no distance within reach shows it whole, and its pixels are fist-sized.
    assert comfortable_distance_mm(Glass(3000, 1700, 640, 360))[2] == ("distance",)
    near, far, kept = comfortable_distance_mm(Glass(600, 340, 640, 360))
    assert kept == ("distance", "width")
    # By hand: 300 mm over tan 28.5 degrees; 1046 mm at 32 degrees is beyond the 1016 of 40 in.
    assert (near, far) == pytest.approx((552.5, 1016.0), abs=0.1)


SHAPES = {"16:9": (16, 9), "16:10": (16, 10), "3:2": (3, 2), "21:9": (43, 18), "32:9": (32, 9)}


#: Nobody stands a wide or a curved one upright, nor one that is larger than 32 in.
STANDING = [("16:9", None, True), ("16:10", None, True), ("3:2", None, True)]
LYING = [(shape, radius_mm, False) for shape in SHAPES for radius_mm in (None, 1000.0, 1800.0)]


@pytest.mark.parametrize(("shape", "radius_mm", "upright"), [*LYING, *STANDING])
@pytest.mark.parametrize("width_px", [1920, 3840])
def test_all_that_is_recommended_holds_together_somewhere(shape, radius_mm, upright, width_px):
    across, down = SHAPES[shape]
    pixels = width_px, round(width_px * down / across)
    for inches in range(20, 33 if upright else 51):
        main = Display(*(pixels[::-1] if upright else pixels)).with_diagonal(inches * MM_PER_INCH)
        glass = Glass.of_display(main, radius_mm)
        places = (
            Seat(float(distance_mm), top_mm, None, radius_mm)
            for distance_mm in (*range(508, 1016, 24), 1016)
            for below_deg in (15.0, 17.5, 19.99)
            if (top_mm := top_for_centre_mm(glass, distance_mm, below_deg, None)) > 0
        )
        found = (seat_findings(sitting_in_arc([main], seat, main)) for seat in places)
        assert any(
            all(each.side == "inside" for each in findings if each.recommendation.comfort)
            for findings in found
        ), inches


def test_what_is_no_limit_of_comfort_is_told_as_a_fact():
    """Edges within 15 degrees are a picture of 30, and 32 to 57 are recommended.

    No distance has both. Nor has one of 1920 px both 32 degrees and pixels of one arc-minute, which
    fill 31.2.
    """
    assert {key for key, each in RECOMMENDED.items() if not each.comfort} == {"eyes", "sharpness"}

    def width(inches, pixels):
        main = Display(*pixels).with_diagonal(inches * MM_PER_INCH)
        findings = seat_findings(sitting_in_arc([main], Seat(700), main))
        return next(finding for finding in findings if finding.key == "width").recommendation

    assert width(27, (2560, 1440)).comfort
    # By hand: 50 in of 16:9 are 1106.9 mm, 57.2 degrees at the farthest 1016 mm.
    assert not width(50, (3840, 2160)).comfort
    assert "35" in RECOMMENDED["centre"].cited


@given(st.floats(500, 1500), st.floats(1, 40), st.none() | st.floats(-10, 30))
def test_the_top_for_a_centre_puts_the_centre_there(distance_mm, below_deg, tilt_deg):
    glass = Glass(600, 340)
    top_mm = top_for_centre_mm(glass, distance_mm, below_deg, tilt_deg)
    assert below_deg_of_top(glass, distance_mm, top_mm, tilt_deg) == pytest.approx(
        below_deg, abs=1e-9
    )


def test_excess_is_a_share_of_the_nearest_end():
    main = display(27)
    by_key = {
        finding.key: finding for finding in seat_findings(sitting_in_arc([main], Seat(254), main))
    }
    assert by_key["distance"].excess == pytest.approx(0.5)
    assert by_key["width"].excess > 0
    # 0.2335 mm at 254 mm are 3.16 arc-minutes, of which one is recommended.
    assert by_key["sharpness"].excess == pytest.approx(2.16, abs=0.005)
    inside = seat_findings(sitting_in_arc([main], Seat(850, 70), main))
    assert {each.excess for each in inside if each.side == "inside"} == {0}
    # Of 10 degrees where the end is 0: 100 mm too high at 850 mm are atan-wise 6.8 degrees.
    (top,) = (
        each
        for each in seat_findings(sitting_in_arc([main], Seat(850, -100), main))
        if each.key == "top"
    )
    assert top.excess == pytest.approx(-top.value / 10)
    assert by_key["distance"].recommendation is RECOMMENDED["distance"]
