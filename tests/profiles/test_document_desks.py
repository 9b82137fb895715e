"""The profile of any desk: windows, slants, parts of the tablet, a wanted scale, a driver's step."""

from dataclasses import replace

import msgspec
import pytest
import yaml
from hypothesis import assume, given
from hypothesis import strategies as st

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.feel import Feel
from mapper.mapping.solve import MapRequest, solve_exact, unrotated
from mapper.mapping.steps import Step
from mapper.problems import RequestError
from mapper.rect import Rect
from mapper.rounding.rounded import rounded
from mapper.solving import solve
from profiles.format.document import Workstation, loads, to_json, to_yaml
from tests.strategies import any_requests

DERIVED = ["area", "screen", "figures", "summary", "matrix"]


def desk(**asked):
    display = Display(2560, 1440, zoom=1.25, bezel_mm=8.0).with_diagonal(27 * 25.4)
    tablet = Tablet(240, 152, 150, slant_deg=asked.pop("slant_deg", 0.0))
    return solve(MapRequest(tablet, Desktop((display,)), **asked))


@given(
    any_requests(), st.none() | st.builds(Step, st.sampled_from([0.1, 0.25, 1.0]), st.sampled_from(["mm", "percent"]))
)
def test_what_is_written_loads_as_the_same_map(request, step):
    if step is not None and step.unit == "mm":
        # A step that any of the strategy's tablets and parts of them can hold.
        step = replace(step, size=step.size / 100)
    target_px = solve_exact(request).target_px
    # A window of less than a pixel cannot be rounded to whole ones.
    assume(step is None or min(target_px.width, target_px.height) >= 2)
    solved = solve(replace(request, step=step))
    described = Workstation("desk", solved)
    loaded = loads(to_yaml(described), "desk.yaml")
    assert loaded == described
    assert to_yaml(loaded) == to_yaml(described)


def test_the_map_that_is_entered_leads_and_the_exact_one_stands_beside_it_with_the_same_keys():
    exact = desk()
    stepped = desk(step=Step(1, "mm"), hold="top-left")
    document = yaml.safe_load(to_yaml(Workstation("desk", stepped)))
    plain = yaml.safe_load(to_yaml(Workstation("desk", desk(hold="top-left"))))
    assert "before_rounding" not in plain
    assert set(document["before_rounding"]) == {*DERIVED, "cost"}
    for part in DERIVED:
        assert document["before_rounding"][part] == plain[part]
    assert document["area"]["mm"]["height"] == 135
    assert document["summary"]["scale_factor"] == pytest.approx(rounded(stepped).summary.scale_factor, rel=1e-8)
    assert exact.summary == stepped.exact.summary


def test_an_askew_tablet_has_the_turned_area_and_the_unturned_one():
    solved = desk(slant_deg=-12.0)
    document = yaml.safe_load(to_yaml(Workstation("desk", solved)))
    assert document["tablet"]["slant_deg"] == -12.0
    assert document["area"]["angle_deg"] == 12.0
    assert "tilt_deg" not in document["figures"][0]
    beside = document["unrotated"]
    assert set(beside) == {*DERIVED, "cost"}
    assert "angle_deg" not in beside["area"]
    assert beside["area"]["mm"]["width"] == unrotated(solved).area_built_mm.width
    assert beside["figures"][0]["tilt_deg"] == beside["cost"]["tilt_deg"] == pytest.approx(12.0)


def test_logical_pixels_are_device_pixels_over_the_zoom():
    window = Rect(100, 80, 1600, 900)
    document = msgspec.json.decode(to_json(Workstation("desk", desk(window_px=window))))
    part = document["screen"]["displays"][0]
    assert part["display"] == "main"
    assert part["px"]["left"] == 100
    assert part["logical_px"] == {
        "left": 80, "top": 64, "right": 1360, "bottom": 784, "width": 1280, "height": 720,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("asked", "key"),
    [
        ({"feel": Feel(3, 3)}, {"scale": 3.0}),
        ({"feel": Feel(3, 3, "studio")}, {"feel": {"of": "studio", "scale_x": 3.0, "scale_y": 3.0}}),
        ({"feel": Feel(3, 3.5)}, {"feel": {"scale_x": 3.0, "scale_y": 3.5}}),
        ({"within_built_mm": Rect(10, 0, 200, 152)}, {"within": {"left": 10.0, "top": 0.0, "width": 200.0, "height": 152.0, "unit": "mm"}}),
        ({"area_built_mm": Rect(10, 5, 200, 120), "fit": "full"}, {"area": {"left": 10.0, "top": 5.0, "width": 200.0, "height": 120.0, "unit": "mm"}}),
        ({"step": Step(0.5, "percent", 0.2)}, {"step": {"size": 0.5, "unit": "percent", "shape_tolerance_percent": 0.2}}),
    ],
)  # fmt: skip
def test_what_was_asked_is_written_down(asked, key):
    document = yaml.safe_load(to_yaml(Workstation("desk", desk(**asked))))
    assert {name: document["map"][name] for name in key} == key


@pytest.mark.parametrize("part", ["before_rounding", "unrotated"])
def test_a_changed_or_missing_part_beside_the_exact_one_is_named(part):
    text = to_yaml(Workstation("desk", desk(slant_deg=3.0, step=Step(1, "mm"))))
    document = yaml.safe_load(text)
    document[part]["area"]["mm"]["width"] += 0.5
    with pytest.raises(RequestError, match=rf"{part}\.area\.mm\.width: must be"):
        loads(yaml.safe_dump(document, sort_keys=False), "desk.yaml")
    del document[part]
    with pytest.raises(RequestError, match=f"{part}: must be there, as follows from what was asked; got nothing"):
        loads(yaml.safe_dump(document, sort_keys=False), "desk.yaml")


def test_a_profile_cannot_ask_for_a_scale_and_a_feel():
    document = yaml.safe_load(to_yaml(Workstation("desk", desk(feel=Feel(3, 3)))))
    document["map"]["feel"] = {"scale_x": 3, "scale_y": 3}
    with pytest.raises(RequestError, match="both a scale and a feel"):
        loads(yaml.safe_dump(document, sort_keys=False), "desk.yaml")


@given(any_requests(sized=True), st.floats(0.1, 10.0), st.booleans())
def test_a_wanted_feel_loads_as_the_same_map_askew_or_not(request, times, stepped):
    if request.fit == "full":
        request = replace(request, fit="cropped", area_built_mm=None)
    scale = times * solve(request).summary.scale_factor
    step = Step(0.001, "percent") if stepped else None
    # A window of less than a pixel cannot be rounded to whole ones.
    target_px = solve_exact(request).target_px
    assume(step is None or min(target_px.width, target_px.height) >= 2)
    try:
        described = Workstation("desk", solve(replace(request, feel=Feel(scale, scale), step=step)))
    except RequestError as error:
        assert [problem.where for problem in error.problems] == ["scale"]
        return
    assert loads(to_yaml(described), "desk.yaml") == described


@pytest.mark.parametrize(
    ("slant_deg", "corner"),
    # By hand: 10 mm up, from 8.5 mm under the top edge and from touching it.
    [(0, "a corner at 0.00, -1.50 mm"), (14, ", -10.00 mm")],
)
def test_an_area_that_leaves_the_tablet_is_refused_turned_or_not(slant_deg, corner):
    display = Display(2560, 1440).with_diagonal(27 * 25.4)
    tablet = Tablet(240, 152, 150, slant_deg=slant_deg)
    data = yaml.safe_load(to_yaml(Workstation("demo", solve(MapRequest(tablet, Desktop((display,)))))))
    data["area"]["mm"]["top"] -= 10
    with pytest.raises(RequestError, match="must lie within the active area, 240 x 152 mm") as refused:
        loads(yaml.safe_dump(data, sort_keys=False), "desk.yaml")
    assert corner in str(refused.value)
