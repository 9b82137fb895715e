"""Every form of one rectangle: they agree with each other, and with exact fractions."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.mapping.forms import SHAPES, UNITS, RectForm, TypedRect, rect_forms
from mapper.rect import Rect
from tests.strategies import lengths_mm

# A number that is a short one but for rounding is written as the short one: that may move it by
# this share of the side.
FREED = 4e-15

shares = st.floats(min_value=0.0, max_value=1.0)


@st.composite
def areas(draw):
    """An active area and a rectangle inside it."""
    active = Rect(0.0, 0.0, draw(lengths_mm), draw(lengths_mm))
    width, height = (side * draw(st.floats(0.01, 1.0)) for side in (active.width, active.height))
    left, top = (active.width - width) * draw(shares), (active.height - height) * draw(shares)
    return Rect(left, top, width, height), active


def test_known_values():
    # By hand: 135 of 152 mm in the middle; 25.4 mm an inch; 150 counts a mm.
    forms = rect_forms(Rect(0, 8.5, 240, 135), Rect(0, 0, 240, 152), 150)
    assert tuple(forms) == ("mm", "inch", "percent", "counts")
    assert forms["mm"] == RectForm(0, 8.5, 240, 143.5, 240, 135, 120, 76, 8.5)
    assert forms["counts"] == RectForm(0, 1275, 36000, 21525, 36000, 20250, 18000, 11400, 1275)
    assert forms["percent"] == RectForm(
        0, 850 / 152, 100, 14350 / 152, 100, 13500 / 152, 50, 50, 850 / 152
    )
    assert forms["inch"].width == 240 / 25.4


def test_without_a_resolution_there_are_no_counts():
    assert "counts" not in rect_forms(Rect(0, 0, 1, 1), Rect(0, 0, 1, 1))


def test_a_whole_area_is_whole_numbers_in_every_unit():
    active = Rect(0, 0, 254, 127)
    forms = rect_forms(active, active, 2540 / 25.4)
    assert forms["percent"] == RectForm(0, 0, 100, 100, 100, 100, 50, 50, 0)
    assert forms["inch"] == RectForm(0, 0, 10, 5, 10, 5, 5, 2.5, 0)
    assert forms["counts"].right == 25400


@given(areas(), st.floats(1, 1000))
def test_the_numbers_of_one_unit_agree_with_each_other(drawn, counts_per_mm):
    rect, active = drawn
    for unit, form in rect_forms(rect, active, counts_per_mm).items():
        width, height = {
            "mm": (active.width, active.height),
            "inch": (active.width / 25.4, active.height / 25.4),
            "percent": (100.0, 100.0),
            "counts": (active.width * counts_per_mm, active.height * counts_per_mm),
        }[unit]
        # Three numbers each freed of its rounding, and a few roundings of the sums.
        near_x, near_y = (3 * FREED + 1e-15) * width, (3 * FREED + 1e-15) * height
        assert form.right - form.left == pytest.approx(form.width, abs=near_x)
        assert form.bottom - form.top == pytest.approx(form.height, abs=near_y)
        assert (form.left + form.right) / 2 == pytest.approx(form.centre_x, abs=near_x)
        assert (form.top + form.bottom) / 2 == pytest.approx(form.centre_y, abs=near_y)
        assert form.bottom + form.up_from_bottom == pytest.approx(height, abs=near_y)
        assert 0 <= form.left <= form.right <= width + near_x
        assert -near_y <= form.up_from_bottom <= height


@pytest.mark.oracle
@given(areas(), st.floats(1, 1000))
def test_the_units_agree_with_exact_fractions(drawn, counts_per_mm):
    rect, active = drawn
    forms = rect_forms(rect, active, counts_per_mm)
    for name, over in (
        ("left", active.width),
        ("top", active.height),
        ("width", active.width),
        ("height", active.height),
    ):
        exact_mm = Fraction(getattr(rect, name))
        exact = {
            "inch": exact_mm / Fraction("25.4"),
            "percent": exact_mm * 100 / Fraction(over),
            "counts": exact_mm * Fraction(counts_per_mm),
        }
        assert getattr(forms["mm"], name) == exact_mm
        for unit, number in exact.items():
            side = float(number / exact_mm * Fraction(over)) if exact_mm else 0.0
            assert getattr(forms[unit], name) == pytest.approx(
                float(number), rel=3.4e-16, abs=FREED * side
            )


def test_rounding_noise_is_not_written_down():
    # 0.1 + 0.2 is 0.30000000000000004, which nobody should have to type.
    form = rect_forms(Rect(0.1, 0, 0.2, 1), Rect(0, 0, 1, 1))["mm"]
    assert form.right == 0.3
    # What is really there stays: a ten-millionth of a mm is no rounding.
    assert rect_forms(Rect(0, 0, 0.3000000001, 1), Rect(0, 0, 1, 1))["mm"].right == 0.3000000001


#: By hand: what is called how, how it is typed, and to how many decimals.
WORDS = {
    "mm": ("mm", "mm", ("mm",), 3),
    "inch": ("in", "in", ("in", "inch", "inches", '"'), 4),
    "percent": ("%", "%", ("%", "percent"), 3),
    "counts": ("counts", "count", ("counts", "count"), 1),
}
#: By hand: 100 x 50 mm whose top left corner is at 10, 20 mm on 240 x 152 mm. From the bottom its
#: lower edge is at 152 - 20 - 50 = 82 mm, its upper one at 132 mm and its centre at 107 mm.
DOWN, UP = 1, 2
FORMS = {
    ("size", DOWN): {"left": 10, "top": 20, "width": 100, "height": 50},
    ("size", UP): {"left": 10, "bottom": 82, "width": 100, "height": 50},
    ("corners", DOWN): {"left": 10, "top": 20, "right": 110, "bottom": 70},
    ("corners", UP): {"left": 10, "bottom": 82, "right": 110, "top": 132},
    ("centre", DOWN): {"centre across": 60, "centre down": 45, "width": 100, "height": 50},
    ("centre", UP): {"centre across": 60, "centre up": 107, "width": 100, "height": 50},
}


@pytest.mark.parametrize(("shape", "way"), FORMS)
def test_each_form_has_these_numbers_under_these_labels_and_is_read_back(shape, way):
    rect, active = Rect(10, 20, 100, 50), Rect(0, 0, 240, 152)
    form, row = rect_forms(rect, active)["mm"], SHAPES[shape]
    labels = row.labels
    if way == UP:
        form, labels = form.from_bottom(), row.labels_up
    numbers = row.numbers(form, 240, 152)
    assert dict(zip(labels, numbers, strict=True)) == FORMS[shape, way]
    typed = TypedRect(tuple(map(Fraction, numbers)), "mm", shape, from_bottom=way == UP)
    assert typed.rect_mm(active, None, "area") == rect


@pytest.mark.parametrize(
    ("unit", "numbers"),
    [
        # By hand: 24, 38 mm and 120 x 76 mm of 240 x 152 mm, at 10 counts a mm.
        ("mm", ("24", "38", "120", "76")),
        ("inch", ("24/25.4", "38/25.4", "120/25.4", "76/25.4")),
        ("percent", ("10", "25", "50", "50")),
        ("counts", ("240", "380", "1200", "760")),
    ],
)
def test_an_area_is_read_in_each_unit(unit, numbers):
    exact = tuple(
        Fraction(over) / Fraction(under or 1)
        for over, _, under in (number.partition("/") for number in numbers)
    )
    read = TypedRect(exact, unit).rect_mm(Rect(0, 0, 240, 152), 10, "area")
    assert read == Rect(24, 38, 120, 76)
    row = UNITS[unit]
    assert (row.sign, row.one, row.typed, row.places) == WORDS[unit]
