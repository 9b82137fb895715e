"""The form in which a driver wants the rectangle: what is read off it is the rectangle again."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.desk import Tablet
from mapper.mapping.entry import Entry, entry_numbers
from mapper.mapping.forms import SHAPES, UNITS, TypedRect
from mapper.mapping.steps import Step
from mapper.problems import RequestError
from mapper.rect import Rect
from mapper.solving import solve
from profiles.format.document import loads, to_yaml
from profiles.rectangles import parse_entry
from tests.profiles.libraries import workstation
from tests.strategies import any_requests


@given(any_requests(), st.sampled_from(list(SHAPES)), st.sampled_from(list(UNITS)), st.booleans())
def test_the_numbers_read_back_are_the_rectangle(request, numbers, unit, from_bottom):
    """Against ``TypedRect``, which reads what a person typed."""
    entry = Entry(numbers, unit, from_bottom)
    tablet = request.tablet
    if unit == "counts" and tablet.counts_per_mm is None:
        with pytest.raises(RequestError, match="resolution"):
            entry_numbers(solve(request), entry)
        return
    solved = solve(request)
    four = tuple(Fraction(each.value) for each in entry_numbers(solved, entry)[:4])
    back = TypedRect(four, unit, numbers, from_bottom).rect_mm(
        tablet.active_built_mm, tablet.counts_per_mm, "x"
    )
    near = pytest.approx(
        [
            solved.area_built_mm.left,
            solved.area_built_mm.top,
            solved.area_built_mm.width,
            solved.area_built_mm.height,
        ],
        abs=1e-8 * max(tablet.width_mm, tablet.height_mm),
    )
    assert [back.left, back.top, back.width, back.height] == near


def test_each_form_names_its_numbers():
    # By hand: 240 x 135 of 240 x 152 mm, 8.5 from the top and from the bottom.
    solved = workstation().map
    said = {
        text: [(each.label, each.text) for each in entry_numbers(solved, parse_entry(text, "x"))]
        for text in (
            "size mm",
            "corners mm from bottom-left",
            "Centre in, comma",
            "size from the bottom left in mm",
            "%",
        )
    }
    assert said == {
        "size mm": [("left", "0"), ("top", "8.5"), ("width", "240"), ("height", "135")],
        "corners mm from bottom-left": [
            ("left", "0"),
            ("bottom", "8.5"),
            ("right", "240"),
            ("top", "143.5"),
        ],
        "Centre in, comma": [
            ("centre across", "4,7244"),
            ("centre down", "2,9921"),
            ("width", "9,4488"),
            ("height", "5,315"),
        ],
        "size from the bottom left in mm": [
            ("left", "0"),
            ("bottom", "8.5"),
            ("width", "240"),
            ("height", "135"),
        ],
        "%": [("left", "0"), ("top", "5.592"), ("width", "100"), ("height", "88.816")],
    }


def test_a_turned_area_has_its_angle_and_a_fine_step_its_places():
    slanted = solve(replace(workstation().map.request, tablet=Tablet(240, 152, slant_deg=-10)))
    *_, angle = entry_numbers(slanted, Entry())
    assert (angle.label, angle.text, angle.unit) == ("turned by", "10", "degrees")
    part = Rect(0, 0, 240, 134.8125)
    fine = workstation(step=Step(0.0625, "mm"), within_built_mm=part, fit="full").map
    assert [each.text for each in entry_numbers(fine, Entry("centre"))][3] == "134.8125"


@pytest.mark.parametrize(
    "text", ["", "mm in counts", "corners", "size furlongs", "size cm", "corners size mm", "px"]
)
def test_what_is_no_form_is_refused_with_what_to_type(text):
    with pytest.raises(RequestError, match="Type for example"):
        parse_entry(text, "--entry")


def test_the_profile_keeps_it():
    entry = Entry("centre", "percent", True, True)
    text = to_yaml(workstation(entry=entry))
    assert (
        "entry:\n  numbers: centre\n  unit: percent\n  origin: bottom-left\n  decimal: comma\n"
        in text
    )
    assert loads(text, "x").entry == entry
    assert loads(text.replace("  origin: bottom-left\n  decimal: comma\n", ""), "x").entry == Entry(
        "centre", "percent"
    )
    with pytest.raises(RequestError, match="resolution"):
        loads(
            text.replace("unit: percent\n  origin", "unit: counts\n  origin").replace(
                "  counts_per_mm: 150.0\n", ""
            ),
            "x",
        )
