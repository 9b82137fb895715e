"""Numbers and lengths as people type them, against exact fractions and published conversions."""

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.problems import RequestError
from mapper.units import agree, exact_decimal, finite, parse_length_mm, positive

MM_PER = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "in": Fraction(254, 10),
    "inch": Fraction(254, 10),
    '"': Fraction(254, 10),
}
decimals = st.decimals(min_value=-10_000, max_value=10_000, places=6, allow_nan=False).map(
    lambda value: f"{value:f}"
)


@pytest.mark.oracle
@pytest.mark.parametrize(
    ("typed", "length_mm"),
    [
        # ANSI/ASME Y14.1: letter is 8.5 by 11 inches, which ANSI gives as 215.9 by 279.4 mm.
        ("8.5in", 215.9),
        ("11in", 279.4),
        # ISO 216: A4.
        ("29.7cm", 297.0),
        ("210mm", 210.0),
        # ISO/IEC 7810: ID-1 is 3.370 by 2.125 inches in its older edition: 85.598 by 53.975 mm.
        ("3.370in", 85.598),
        ("2.125in", 53.975),
        # The inch itself: 25.4 mm exactly (NIST SP 811, appendix B).
        ("1in", 25.4),
    ],
)
def test_published_conversions_are_exact(typed, length_mm):
    assert parse_length_mm(typed, "width") == length_mm


@pytest.mark.oracle
@given(decimals, st.sampled_from(sorted(MM_PER)))
def test_a_length_is_the_float_nearest_to_what_was_typed(digits, unit):
    exact = Fraction(digits) * MM_PER[unit]
    assert parse_length_mm(f"{digits}{unit}", "width") == exact.numerator / exact.denominator


@pytest.mark.oracle
@given(decimals, st.integers(1, 10**6), st.integers(1, 10**6))
def test_exact_decimal_rounds_once(digits, factor, divisor):
    exact = Fraction(digits) * factor / divisor
    assert exact_decimal(digits, factor, divisor) == exact.numerator / exact.denominator


@pytest.mark.parametrize(
    "typed",
    ["240mm", "240 mm", " 240mm ", "240.mm", "+240mm", "240MM", "24cm", "240.000mm"],
)
def test_ways_to_write_one_length(typed):
    assert parse_length_mm(typed, "width") == 240.0


@pytest.mark.parametrize("typed", ["9.4in", "9.4inch", '9.4"', "9.4 IN", "9.4″", "9.4''"])
def test_ways_to_write_inches(typed):
    assert parse_length_mm(typed, "width") == 238.76


def test_a_decimal_comma_is_one_where_it_can_be_nothing_else():
    assert parse_length_mm("24,5cm", "width") == 245.0
    assert parse_length_mm("0,125in", "width") == 3.175


def test_a_number_may_have_30_digits_and_its_unit_besides():
    assert parse_length_mm("0" * 27 + "240 mm", "width") == 240


def test_the_unit_may_come_from_the_context():
    assert parse_length_mm("240", "width", unit="mm") == 240.0
    assert parse_length_mm("9.4in", "width", unit="mm") == 238.76


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("240", 'width: a length needs its unit; got "240". Type 240mm or 240in'),
        (
            "24,500cm",
            "width: a comma before three digits could be a decimal comma or group thousands",
        ),
        ("24,5,0cm", "width: must be a length"),
        ("240px", 'width: the unit must be mm, cm or in; got "px"'),
        ("1e3mm", "width: must be a length"),
        ("nan", "width: must be a length"),
        ("0x10mm", "width: must be a length"),
        ("--5mm", "width: must be a length"),
        ("mm", "width: must be a length"),
        ("", "width: must be a length"),
        ("9" * 31 + "mm", "width: must be a length"),
        ("5mm\n6mm", "width: must be a length"),
    ],
)
def test_what_is_no_length_is_refused_with_what_to_type(typed, says):
    with pytest.raises(RequestError) as refused:
        parse_length_mm(typed, "width")
    assert str(refused.value).startswith(says)
    assert "\n" not in str(refused.value)


@given(st.text(max_size=40))
def test_any_text_is_a_length_or_a_problem(text):
    try:
        length_mm = parse_length_mm(text, "width")
    except RequestError as refused:
        assert "\n" not in str(refused)
    else:
        assert math.isfinite(length_mm)


@pytest.mark.parametrize("value", [1, 1.0, np.float64(1.0)])
def test_numbers_become_floats(value):
    assert type(finite(value, "size")) is float
    assert positive(value, "size") == 1.0


def test_agree_is_relative():
    assert agree(1.0, 1.0 + 1e-13)
    assert not agree(1.0, 1.0 + 1e-11)
    assert not agree(1e-20, 2e-20)
    assert agree(1e20, 1e20 * (1 - 1e-13))
