"""HID report descriptors.

Fields against hid-tools and hid-parser, sizes against the standard's own examples.
"""

from __future__ import annotations

import math
import warnings
from operator import attrgetter

import hid_parser
import pytest
from hidtools.hid import ReportDescriptor
from hypothesis import given, settings
from hypothesis import strategies as st

from mapper.problems import RequestError
from profiles.hardware.hid import read_descriptor
from profiles.hardware.hid_items import LONGEST_BYTES, PEN_USES, read_fields
from tests.hardware_bytes import (
    CENTIMETRES,
    COLLECTION,
    DELIMITER,
    END_COLLECTION,
    EXPONENT,
    INCHES,
    INPUT,
    LOGICAL_MAX,
    LOGICAL_MIN,
    PHYSICAL_MAX,
    PHYSICAL_MIN,
    POP,
    PUSH,
    RADIANS,
    REPORT_COUNT,
    REPORT_ID,
    REPORT_SIZE,
    UNIT,
    USAGE,
    USAGE_MAX,
    USAGE_MIN,
    USAGE_PAGE,
    axis,
    item,
    pen,
)
from tests.strategies import pen_descriptors

X, Y = 0x30, 0x31

#: An invented tablet: centimetres with the exponent -3, pressure, tilt with a range in degrees.
DEMO = bytes.fromhex(
    "050d0902a10185010920a100094209440945093c093215002501750195058102950381030501550d6511752095010930150027a08c0000350047"
    "c05d000081020931271059000047603b00008102050d550065003500450009307510266f178102093d55006514750835ce453215ce2532810209"
    "3e8102c0c0"
)


def only_pen(data):
    (found,) = read_descriptor(data, "x").pens
    return found


def plain(logical=(24_000, 15_200), physical=(24_000, 15_200), **more):
    return pen(
        axis(X, (0, logical[0]), (0, physical[0]), **more),
        axis(Y, (0, logical[1]), (0, physical[1]), **more),
    )


# Oracles
# ------------------------------------------------------------


RANGES = ("logical_min", "logical_max", "physical_min", "physical_max")


def by_hid_tools(data):
    """The X and Y fields as hid-tools reads them.

    Each is its usage, report ID, ranges, unit, exponent and bits.
    """
    told = attrgetter("usage", "report_ID", *RANGES, "unit", "unit_exp", "size")
    parsed = ReportDescriptor.from_bytes(data)
    fields = [field for report in parsed.input_reports.values() for field in report]
    return [told(field) for field in fields if field.usage in {0x0001_0030, 0x0001_0031}]


def ours(data):
    """The X and Y fields as this project reads them, in the form of ``by_hid_tools``."""
    usages = {use: usage for usage, use in PEN_USES.items()}
    fields, doubts = read_fields(data, "x")
    assert doubts == ()
    told = attrgetter("report_id", *RANGES, "unit", "exponent", "bits")
    return [(usages[one.use], *told(one)) for one in fields if one.use in {"x", "y"}]


@pytest.mark.oracle
@settings(max_examples=150)
@given(data=pen_descriptors())
def test_generated_descriptors_hold_the_fields_that_hid_tools_finds(data):
    assert ours(data) == by_hid_tools(data)
    assert len(ours(data)) == 2


@pytest.mark.oracle
@settings(max_examples=100)
@given(data=pen_descriptors(extended_usages=False, push=False))
def test_generated_descriptors_hold_the_ranges_that_hid_parser_finds(data):
    with warnings.catch_warnings():
        warnings.simplefilter(
            "ignore"
        )  # it says that it knows no units, and doubts usages we do not compare
        parsed = hid_parser.ReportDescriptor(list(data))
        (report_id,) = parsed.input_report_ids
        theirs = {
            (one.usage.page << 16 | one.usage.usage): (int(one.size), *attrgetter(*RANGES)(one))
            for one in parsed.get_input_items(report_id)
        }
    found = {one[0]: (one[8], *one[2:6]) for one in ours(data)}
    assert found == theirs


@pytest.mark.oracle
@given(high=st.integers(0x8000, 0xFFFF), low=st.integers(0, 0x7FFF))
def test_a_high_end_that_only_fits_unsigned_is_read_as_hid_tools_reads_it(high, low):
    ends = [(LOGICAL_MIN, low), (LOGICAL_MAX, high), (PHYSICAL_MIN, low), (PHYSICAL_MAX, high)]
    both = [
        item(USAGE_PAGE, 1)
        + item(USAGE, usage)
        + b"".join(item(prefix, value, size=2) for prefix, value in ends)
        + item(REPORT_SIZE, 16)
        + item(REPORT_COUNT, 1)
        + item(INPUT, 2)
        for usage in (X, Y)
    ]
    data = pen(*both)
    assert ours(data) == by_hid_tools(data)
    assert ours(data)[0][2:6] == (low, high, low, high)


@pytest.mark.oracle
def test_the_demo_tablet_has_the_size_that_follows_from_what_hid_tools_reads():
    # 24000 and 15200 thousandths of a centimetre over 36000 and 22800 counts.
    (x, y) = by_hid_tools(DEMO)
    per_mm = [
        (field[3] - field[2]) / ((field[5] - field[4]) * 10.0 ** field[7] * 10) for field in (x, y)
    ]
    assert per_mm == pytest.approx([150, 150], rel=1e-15)
    found = only_pen(DEMO)
    assert found.size_mm == (240, 152)
    assert found.counts_per_mm == 150
    assert found.pressure == (0, 5999)
    assert found.tilt_deg == (-50, 50)
    assert found.report_id == 1
    assert found.doubts == ()


# Sizes
# ------------------------------------------------------------


def test_the_standard_example_of_400_counts_per_inch():
    # HID 1.11, section 6.2.2.7 (not checked against the standard): a mouse of 400 counts per inch
    # has the logical range -127 to 127, the physical range -3175 to 3175, the unit inches and the
    # exponent -4. A pen's X of the same items has the same resolution.
    field = axis(X, (-127, 127), (-3175, 3175), exponent=-4, unit=INCHES, bits=8)
    across = axis(Y, (-127, 127), (-3175, 3175), exponent=-4, unit=INCHES, bits=8)
    (told,) = {(one[2], one[3], one[4], one[5], one[7]) for one in ours(pen(field, across))}
    low, high, physical_low, physical_high, exponent = told
    assert (high - low) / ((physical_high - physical_low) * 10.0**exponent) == 400
    found = only_pen(pen(field, across))
    assert found.x.length_mm is None  # 16 mm: no tablet is as small, and that is said
    assert any("16.129 mm across, which no tablet is" in doubt for doubt in found.doubts)
    # The same resolution over an area that a tablet can have.
    wide = [axis(usage, (0, 3200), (0, 8000), exponent=-3, unit=INCHES) for usage in (X, Y)]
    assert only_pen(pen(*wide)).counts_per_mm == pytest.approx(400 / 25.4, rel=1e-15)


UNSIZED = (None, None)
SIZES = [
    # Both ways of writing a negative exponent, and what is none.
    *(
        ({"exponent": written, "exponent_size": 0}, ((240, 152), 100), "")
        for written in (0x0D, 0xFD)
    ),
    *(
        ({"exponent": written, "exponent_size": 0}, UNSIZED, "gives an exponent outside -8 to 7")
        for written in (0x10, 0x5D, 0x7F, 0x80, 0xF7)
    ),
    # 9.4 x 6 in at 3810 per inch is 238.76 x 152.4 mm at 150 per mm, to the last bit.
    (
        {"logical": (35_814, 22_860), "physical": (9400, 6000), "unit": INCHES},
        ((238.76, 152.4), 150),
        "",
    ),
    ({"physical": (0, 0)}, UNSIZED, "It gives no physical range, so its size is unknown."),
    (
        {"physical": (24_000, 0)},
        UNSIZED,
        "It gives no physical range down, so its size is unknown.",
    ),
    ({"unit": 0}, UNSIZED, "It gives no unit, so its size is unknown."),
    (
        {"unit": RADIANS},
        UNSIZED,
        "It gives the unit 0x12, which is not a unit of length, so its size is unknown.",
    ),
    ({"exponent": 0}, UNSIZED, "240000 mm across, which no tablet is"),
    ({"exponent": -5}, UNSIZED, "2.4 mm across, which no tablet is"),
    ({"logical": (36_000, 22_799)}, ((240, 152), 150), "one number and some rounding"),
    ({"logical": (36_000, 20_000)}, ((240, 152), None), "nothing is worked out in counts"),
    (
        {"logical": (36_000, 22_800), "bits": 15},
        ((240, 152), 150),
        "Its counts across go up to 36000, more than its 15 bits can hold.",
    ),
]


@pytest.mark.parametrize(("more", "expected", "said"), SIZES)
def test_a_size_is_told_exactly_or_unknown_and_every_doubt_is_said(more, expected, said):
    found = only_pen(plain(**({"exponent": -3} | more)))
    assert (found.size_mm, found.counts_per_mm) == expected
    assert any(said in doubt for doubt in found.doubts) if said else found.doubts == ()
    if found.size_mm is None:
        with pytest.raises(RequestError, match=r"does not say how large.*240x152mm"):
            found.tablet("--tablet")


def test_tilt_in_radians_and_without_a_unit():
    size = (
        axis(X, (0, 24_000), (0, 24_000), exponent=-3),
        axis(Y, (0, 15_200), (0, 15_200), exponent=-3),
    )
    radians = axis(0x3D, (-127, 127), (-1047, 1047), exponent=-3, unit=RADIANS, page=0x0D)
    assert only_pen(pen(*size, radians)).tilt_deg == pytest.approx(
        (-math.degrees(1.047), math.degrees(1.047))
    )
    bare = axis(0x3E, (-127, 127), (0, 0), unit=0, page=0x0D)
    found = only_pen(pen(*size, bare))
    assert (found.tilt, found.tilt_deg) == (True, None)
    assert not only_pen(pen(*size)).tilt


# Structure
# ------------------------------------------------------------


def test_push_and_pop_bring_back_every_global():
    x = axis(X, (0, 36000), (0, 24_000), exponent=-3)
    other = axis(0x30, (0, 5999), (0, 0), unit=0, bits=13, page=0x0D)
    # Only the usage of Y is written: the rest is the state that pop brings back.
    y = item(USAGE, Y) + item(LOGICAL_MAX, 22800) + item(PHYSICAL_MAX, 15_200) + item(INPUT, 2)
    found = only_pen(pen(x, item(PUSH), other, item(POP), y))
    assert found.size_mm == (240, 152)
    assert found.pressure == (0, 5999)


def test_two_values_of_one_input_and_a_range_of_usages():
    head = [item(USAGE_PAGE, 1), item(LOGICAL_MIN, 0), item(LOGICAL_MAX, 20_000)]
    head += [
        item(PHYSICAL_MIN, 0),
        item(PHYSICAL_MAX, 10_000),
        item(EXPONENT, 0x0D, size=1),
        item(UNIT, CENTIMETRES),
    ]
    head += [item(REPORT_SIZE, 16), item(REPORT_COUNT, 2)]
    listed = [item(USAGE, X), item(USAGE, Y), item(INPUT, 2)]
    ranged = [item(USAGE_MIN, X), item(USAGE_MAX, Y), item(INPUT, 2)]
    assert only_pen(pen(*head, *listed)) == only_pen(pen(*head, *ranged))
    assert only_pen(pen(*head, *listed)).size_mm == (100, 100)
    # With room for one value the second usage has none.
    for usages in (listed, ranged):
        assert read_descriptor(pen(*head[:-1], item(REPORT_COUNT, 1), *usages), "x").pens == ()


def test_the_page_of_a_usage_is_the_one_at_the_main_item():
    # HID 1.11, section 6.2.2.8: the last declared usage page is concatenated when the main item is
    # encountered.
    late = axis(X, (0, 24_000), (0, 24_000), exponent=-3, page=0x0D).replace(
        item(INPUT, 2), item(USAGE_PAGE, 1) + item(INPUT, 2)
    )
    y = axis(Y, (0, 15_200), (0, 15_200), exponent=-3)
    assert only_pen(pen(late, y)).size_mm == (240, 152)


def test_of_alternatives_between_delimiters_the_first_counts():
    both = (
        item(DELIMITER, 1)
        + item(USAGE, X)
        + item(USAGE, 0x38)
        + item(DELIMITER, 0)
        + item(USAGE, Y)
    )
    two = axis(X, (0, 20_000), (0, 10_000), exponent=-3).replace(item(USAGE, X), both)
    two = two.replace(item(REPORT_COUNT, 1), item(REPORT_COUNT, 2))
    assert only_pen(pen(two)).size_mm == (100, 100)
    other_first = two.replace(
        item(USAGE, X) + item(USAGE, 0x38), item(USAGE, 0x38) + item(USAGE, X)
    )
    assert read_descriptor(pen(other_first), "x").pens == ()


def test_only_absolute_variable_data_counts():
    for flags in (0x03, 0x00, 0x06):  # constant, array, relative
        assert (
            read_descriptor(
                plain(exponent=-3).replace(item(INPUT, 2), item(INPUT, flags)), "x"
            ).pens
            == ()
        )


def test_a_mouse_and_a_finger_are_no_pens():
    mouse = (
        item(USAGE_PAGE, 1)
        + item(USAGE, 2)
        + item(COLLECTION, 1)
        + axis(X, (0, 9), (0, 9))
        + item(END_COLLECTION)
    )
    assert read_descriptor(mouse, "x").pens == ()
    for usage in (0x21, 0x22):  # puck, finger
        other = plain(exponent=-3).replace(item(USAGE, 0x20), item(USAGE, usage))
        assert read_descriptor(other, "x").pens == ()
    for usage in (0x04, 0x05):  # touch screen, touch pad
        other = plain(exponent=-3).replace(item(USAGE, 0x02), item(USAGE, usage))
        assert read_descriptor(other, "x").pens == ()
    with pytest.raises(RequestError, match="describes no pen"):
        read_descriptor(mouse, "x").pen("x")


def test_the_pen_whose_size_is_known_is_taken_and_others_are_said():
    unsized = plain(unit=0)
    sized = plain(exponent=-3).replace(item(REPORT_ID, 1), item(REPORT_ID, 2))
    told = read_descriptor(unsized + sized, "x")
    assert [one.report_id for one in told.pens] == [1, 2]
    assert told.pen("x").size_mm == (240, 152)
    assert told.doubts == ()
    other = plain(physical=(20_000, 10_000), exponent=-3).replace(
        item(REPORT_ID, 1), item(REPORT_ID, 3)
    )
    assert read_descriptor(sized + other, "x").doubts == (
        "It describes pens of different sizes, 240 x 152 mm and 200 x 100 mm; the first is taken.",
    )


@pytest.mark.parametrize(
    ("data", "doubt"),
    [
        (plain(exponent=-3) + b"\x27\x01", "It ends in the middle of an item."),
        (plain(exponent=-3) + b"\xfe\x20", "It ends in the middle of an item."),
        (plain(exponent=-3)[:-1], "A collection is not closed."),
        (
            plain(exponent=-3) + item(END_COLLECTION),
            "It closes a collection that was never opened.",
        ),
        # A long item, of which none is defined, is passed over.
        (bytes([0xFE, 3, 0x10, 1, 2, 3]) + plain(exponent=-3), None),
        (
            item(POP) + plain(exponent=-3),
            "It restores a state that was never saved (pop without push).",
        ),
        (
            item(REPORT_ID, 0) + plain(exponent=-3),
            "It uses the report number 0, which the standard reserves.",
        ),
    ],
)
def test_what_is_broken_is_a_doubt_and_the_pen_is_still_read(data, doubt):
    told = read_descriptor(data, "x")
    assert told.doubts == ((doubt,) if doubt else ())
    assert told.pen("x").size_mm == (240, 152)


@pytest.mark.parametrize("data", [b"", bytes(LONGEST_BYTES + 1)])
def test_what_is_no_descriptor_is_refused(data):
    with pytest.raises(RequestError, match=r"^demo\.hid: .*report_descriptor$"):
        read_descriptor(data, "demo.hid")


@pytest.mark.parametrize(
    "data",
    [
        # Four thousand million values of four thousand million usages; thousands of collections,
        # states and doubts.
        item(USAGE_PAGE, 0x0D)
        + item(USAGE, 0x02)
        + item(COLLECTION, 1)
        + item(REPORT_COUNT, -1, size=4)
        + (item(USAGE_MIN, 0, size=4) + item(USAGE_MAX, -1, size=4) + item(INPUT, 2)) * 1000,
        (item(USAGE, 0x02) + bytes([COLLECTION])) * 4000,
        item(PUSH) * LONGEST_BYTES,
        item(POP) * LONGEST_BYTES,
        (item(USAGE_PAGE, 0x0D) + item(USAGE, 0x02) + bytes([COLLECTION]) + item(INPUT, 2)) * 2000,
    ],
)
def test_hostile_descriptors_cost_little(data):
    # Steps are counted, not seconds: each item may be looked at a fixed number of times.
    import sys

    lines = 0

    def count(_frame, _event, _argument):
        nonlocal lines
        lines += 1
        return count

    before = sys.gettrace()
    sys.settrace(count)
    try:
        read_descriptor(data, "x")
    finally:
        sys.settrace(before)
    assert lines < 200 * LONGEST_BYTES


@given(
    data=st.binary(max_size=400)
    | st.builds(lambda data, cut: data[:cut], pen_descriptors(), st.integers(0, 200))
)
def test_any_bytes_give_facts_or_a_request_error(data):
    try:
        told = read_descriptor(data, "x")
    except RequestError:
        assert data == b""
        return
    for one in told.pens:
        assert (one.size_mm is None) or all(20 <= length <= 2000 for length in one.size_mm)
    assert all(doubt.endswith(".") for doubt in told.doubts)
