"""Lists as they are pasted: what is read, and what is refused with which words."""

import csv
import io
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.problems import RequestError
from profiles.lists import display_list, one_display, one_tablet, tablet_list
from tests.strategies import lengths_mm

TABLET = ("width_mm", "height_mm", "counts_per_mm", "label")


def told(tablet):
    return tuple(getattr(tablet, name) for name in TABLET)


@pytest.mark.parametrize(
    "text",
    [
        "label,width_mm,height_mm,counts_per_mm\ndesk,240,152,150\n",
        "\ufeffName;Active area (mm);Resolution;Price\r\ndesk;240 x 152;150/mm;12,50\r\n",
        "model\tactive width (cm)\tactive height (cm)\tcounts per inch\ndesk\t24\t15.2\t3810\n",
        "# pasted\n\ntablet|size|counts_per_mm\ndesk|240x152mm@150/mm|\n",
        "label,width,height,resolution\ndesk,240mm,15.2 cm,3810/in\n",
        "desk: 240x152mm@150/mm\n",
        "tablet,tablet_width_mm,tablet_height_mm,tablet_counts_per_mm,display\ndesk,240,152,150,any\n",
    ],
)
def test_one_tablet_in_many_hands(text):
    listed = tablet_list(text.encode(), "shop.csv")
    assert [told(tablet) for tablet in listed.items] == [(240.0, 152.0, 150.0, "desk")]


@pytest.mark.parametrize(
    "text",
    [
        "label,diagonal_in,pixels\nwall,27,2560x1440\n",
        'name;Diagonal (in);width_px;height_px\nwall;27";2560;1440\n',
        "display,size,resolution\nwall,27in,2560 x 1440 px\n",
        "display,size\nwall,27in 2560x1440\n",
        "wall: 27in 2560x1440\n",
    ],
)
def test_one_display_in_many_hands(text):
    (display,) = display_list(text.encode(), "shop.csv").items
    assert (display.width_px, display.height_px, display.label) == (2560, 1440, "wall")
    assert math.hypot(display.width_mm, display.height_mm) == pytest.approx(27 * 25.4)


def test_columns_that_are_not_known_are_left_aside_and_named():
    listed = tablet_list(b"label,size,price,colour\na,240x152mm,99,black\n", "shop.csv")
    assert listed.left_aside == ("price", "colour")


def test_a_display_may_have_no_size_and_a_turned_tablet_its_turn():
    (display,) = display_list(b"label,pixels,size\na,1920x1080,\n", "shop.csv").items
    assert display.width_mm is None
    (tablet,) = tablet_list(b"size,turn_deg\n240x152mm,90\n", "shop.csv").items
    assert tablet.turn_deg == 90


def test_what_has_no_label_is_called_by_its_size():
    assert one_tablet("240x152mm", "t").label == "240 x 152 mm"
    assert one_display("27in 2560x1440", "d").label == "27 in 2560 x 1440 px"
    assert one_display("2560x1440", "d").label == "2560 x 1440 px"
    assert one_display("by the\nwindow: 2560x1440", "d").label == "by the window"


def test_one_line_that_cannot_be_read_is_named_and_the_rest_is_understood():
    read = tablet_list(b"240x152mm\nnonsense\n146 x 96 mm\n", "l.csv")
    assert [tablet.width_mm for tablet in read.items] == [240, 146]
    (problem,) = read.unread
    assert str(problem).startswith("l.csv line 2: must be a tablet's active area")


@pytest.mark.parametrize(
    ("text", "messages"),
    [
        ("", ["l.csv: must list at least one item; got an empty list."]),
        ("label,size\n", ["l.csv: must list at least one item; got a header alone."]),
        (
            "label,widht_mm,height_mm\nx,1,2\n",
            ["line 1: the columns must give a size", "widht_mm: did you mean width?"],
        ),
        ("label,size\na,24x15mm,b\n", ["line 2: must have 2 cells, as the first line; got 3"]),
        (
            'label,size\na,"24,500x15mm"\nb,\nc,5x3\n',
            ["line 2: a comma before three", "line 3: needs its width", "line 4: a length needs"],
        ),
        ("size,turn_deg\n240x152mm,45\n", ["line 2: turn must be 0, 90, 180 or 270"]),
        ("240x152mm\nnonsense 1\nnonsense 2\n", ["line 2: must be a tablet's active area", "line 3: must be"]),
        ('label,size\n"a\nb",0x3mm\n', ["line 3: tablet width_mm: must be greater than 0"]),
        ("@hid:/dev/hidraw0\nA: @connected\n", ["line 1: a list holds sizes", "line 2: a list holds sizes"]),
        ("label,size\nA,@hid:secret\n", ["line 2: a list holds sizes, not references to hardware"]),
        ("label;width;height\nx;;3\n", ["line 2: needs its width and its height"]),
    ],
)
def test_each_problem_has_its_line(text, messages):
    with pytest.raises(RequestError) as caught:
        tablet_list(text.encode(), "l.csv")
    for message in messages:
        assert message in str(caught.value)


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"\xff\xfe\x00", "must be text in UTF-8; got byte 0xff at 0"),
        (b"PNG\0", "a binary file"),
        (b"label,diagonal_in\na,27\n", "the columns must give the pixels"),
        (b'label,size\n"' + b"x" * 140_000 + b'",1', "must be CSV"),
        (b"label,size\n" + b"a,b\n" * 500, "has more problems than these"),
    ],
)
def test_a_list_that_is_none(content, message):
    with pytest.raises(RequestError, match=message):
        display_list(content, "l.csv")


labels = (
    st.text(min_size=1, max_size=20)
    .map(lambda text: " ".join(text.split()))
    .filter(
        lambda text: (
            text and not text.startswith("#") and "\0" not in text and not any(0xD800 <= ord(c) < 0xE000 for c in text)
        )
    )
)


@given(st.lists(st.tuples(labels, lengths_mm, lengths_mm), min_size=1, max_size=5))
def test_what_the_csv_module_writes_is_read_back(rows):
    """Oracle: the standard library's csv writer."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(["label", "width_mm", "height_mm"])
    # Sixteen places: shorthand knows no exponent, and a length here is a plain decimal number.
    writer.writerows([label, f"{width:.16f}", f"{height:.16f}"] for label, width, height in rows)
    listed = tablet_list(out.getvalue().encode(), "x")
    assert [(tablet.label, tablet.width_mm, tablet.height_mm) for tablet in listed.items] == rows


@given(st.binary(max_size=200) | st.text(max_size=200).map(lambda text: text.encode("utf-8", "replace")))
def test_any_bytes_are_read_or_refused(content):
    for read in (tablet_list, display_list):
        try:
            assert read(content, "x").items
        except RequestError as error:
            assert str(error).startswith("x")


def test_a_letter_behind_a_kind_is_a_name():
    read = tablet_list(b"Pad A 146x96mm\nPad B 240x152mm\nPad C 168x104mm\nPad E 330x214mm\n", "list")
    assert [each.label for each in read.items] == ["Pad A", "Pad B", "Pad C", "Pad E"]
