"""Everything that follows from a map, as other programs get it."""

import pytest

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.solve import MapRequest, unturned_map
from mapper.mapping.steps import Step
from mapper.rect import Rect
from mapper.solving import solve
from render.reports.map_data import map_data

PARTS = ["area", "screen", "summary", "figures", "matrix"]
EDGES = ["left", "top", "right", "bottom", "width", "height"]


def solved(*, turn_deg=0, slant_deg=0.0, **asked):
    display = Display(2560, 1440, zoom=1.25, bezel_mm=8.0).with_diagonal(27 * 25.4)
    tablet = Tablet(240, 152, 150, turn_deg, slant_deg=slant_deg)
    return solve(MapRequest(tablet, Desktop((display,)), **asked))


def test_the_area_is_given_in_every_form_in_both_frames():
    area = map_data(solved(turn_deg=90))["area"]
    assert {"mm", "inch", "percent", "counts", "seen"} <= set(area)
    for unit in ("mm", "inch", "percent", "counts"):
        for rect in (area, area["seen"], area["from_bottom"], area["seen"]["from_bottom"]):
            assert list(rect[unit]) == EDGES
    # Turned by 90 degrees the area seen is as wide as the area built is high.
    assert area["seen"]["mm"]["width"] == area["mm"]["height"]


def test_the_map_before_rounding_has_the_same_parts_and_what_rounding_costs():
    data = map_data(solved(step=Step(4, "mm")))
    exact = map_data(solved())
    assert exact["before_rounding"] is None
    before = data["before_rounding"]
    assert list(before) == [*PARTS, "cost"]
    assert {part: before[part] for part in PARTS} == {part: exact[part] for part in PARTS}
    # By hand: 57 x 32 steps of 4 mm, instead of 240 x 135 mm.
    cost_percent = (228 * 128) / (240 * 135) * 100 - 100
    assert before["cost"]["area_percent"] == pytest.approx(cost_percent, abs=1e-6)


def test_an_askew_tablet_has_the_map_for_a_driver_that_cannot_turn_the_area():
    askew = solved(slant_deg=-12.0)
    data = map_data(askew)
    assert data["area"]["angle_deg"] == 12.0
    beside = data["unturned"]
    assert list(beside) == [*PARTS, "cost"]
    assert "angle_deg" not in beside["area"]
    assert beside["area"]["mm"]["width"] == unturned_map(askew).area_built_mm.width
    assert beside["figures"][0]["tilt_deg"] == beside["cost"]["tilt_deg"] == pytest.approx(12.0)


def test_logical_pixels_are_device_pixels_over_the_zoom():
    part = map_data(solved(window_px=Rect(100, 80, 1600, 900)))["screen"]["displays"][0]
    assert part["display"] == "main"
    assert part["px"]["left"] == 100
    assert part["logical_px"] == {
        "left": 80,
        "top": 64,
        "right": 1360,
        "bottom": 784,
        "width": 1280,
        "height": 720,
    }


def test_the_three_matrices_are_of_one_map():
    matrices = map_data(solved())["matrix"]
    assert list(matrices) == [
        "built_mm_to_desktop_px",
        "built_unit_to_desktop_unit",
        "desktop_px_to_built_mm",
    ]
    # By hand: 240 x 135 mm from 8.5 mm down onto 2560 x 1440 px.
    assert matrices["built_mm_to_desktop_px"] == [
        [pytest.approx(2560 / 240), 0, 0],
        [0, pytest.approx(1440 / 135), pytest.approx(-8.5 * 1440 / 135)],
        [0, 0, 1],
    ]
    assert matrices["desktop_px_to_built_mm"][1] == [0, pytest.approx(135 / 1440), 8.5]
