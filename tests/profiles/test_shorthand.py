import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.desk import Display, Tablet
from mapper.problems import RequestError
from mapper.rect import Rect
from profiles.doubts import hearing
from profiles.lists import one_display, one_tablet
from profiles.rectangles import parse_rect
from profiles.shorthand import (
    display_text,
    label_text,
    number_text,
    parse_displays,
    parse_tablet,
    rect_text,
    tablet_text,
)


@pytest.mark.parametrize(
    ("text", "tablet"),
    [
        ("240x152mm", Tablet(240, 152)),
        ("240 x 152 mm", Tablet(240, 152)),
        ("240mm x 152mm", Tablet(240, 152)),
        ("24x15.2cm", Tablet(240, 152)),
        ("24cm x 152mm", Tablet(240, 152)),
        ("240\N{MULTIPLICATION SIGN}152mm", Tablet(240, 152)),
        # An inch is 25.4 mm exactly, and 9.4 x 25.4 is 238.76: no rounding of the product shows.
        ("9.4x6in", Tablet(238.76, 152.4)),
        ('9.4x6"', Tablet(238.76, 152.4)),
        ("240x152mm@150/mm", Tablet(240, 152, 150)),
        ("240x152mm @150 / mm", Tablet(240, 152, 150)),
        # 3810 counts per inch are 150 per mm exactly.
        ("9.4x6in@3810/in", Tablet(238.76, 152.4, 150)),
        ("240x152mm@150 counts per mm", Tablet(240, 152, 150)),
        ("old one: 240x152mm", Tablet(240, 152, label="old one")),
    ],
)
def test_a_tablet_in_one_line(text, tablet):
    assert parse_tablet(text, "--tablet") == tablet


@pytest.mark.parametrize(
    ("text", "display"),
    [
        ("2560x1440", Display(2560, 1440)),
        ("2560 x 1440 px", Display(2560, 1440)),
        ("597x336mm 2560x1440", Display(2560, 1440, 597, 336)),
        ("597 x 336 mm 2560 x 1440 px", Display(2560, 1440, 597, 336)),
        ("27in 2560x1440", Display(2560, 1440).with_diagonal(685.8)),
        ('27" 2560x1440', Display(2560, 1440).with_diagonal(685.8)),
        ("68.58cm 2560x1440", Display(2560, 1440).with_diagonal(685.8)),
        ("desk: 27in 2560x1440", Display(2560, 1440, label="desk").with_diagonal(685.8)),
        (
            "27in 2560x1440 at -10, +20",
            Display(2560, 1440, left_px=-10, top_px=20).with_diagonal(685.8),
        ),
    ],
)
def test_a_display_in_one_line(text, display):
    assert parse_displays((text,), "--display") == (display,)


def test_a_diagonal_gives_back_itself():
    (display,) = parse_displays(("27in 2560x1440",), "--display")
    assert (display.width_mm**2 + display.height_mm**2) ** 0.5 == pytest.approx(
        27 * 25.4, rel=1e-15
    )
    assert display.width_mm / display.height_mm == pytest.approx(16 / 9, rel=1e-15)


def test_displays_without_a_place_stand_side_by_side():
    row = parse_displays(("1920x1080", "side: 2560x1440", "1280x1024"), "--display")
    assert [(each.label, each.left_px, each.top_px) for each in row] == [
        ("main", 0, 0),
        ("side", 1920, 0),
        ("third", 4480, 0),
    ]


@pytest.mark.parametrize(
    ("text", "must", "instead"),
    [
        ("240x152", "a length needs its unit", "Type 240x152mm"),
        ("24x15.2", "a length needs its unit", "Type 24x15.2cm or 24x15.2in"),
        ("240,500x152mm", "a comma before three digits could be", "Type 240.500x152mm"),
        ("240x152yd", "the unit must be mm, cm or in", "for example 240mm, 24cm or 9.4in"),
        ("0x152mm", "must be greater than 0", ""),
        ("-240x152mm", "must be greater than 0", ""),
        ("1000000x152mm", "must be at most 100000 mm", ""),
        ("nanx152mm", "must be a tablet's active area", "Type width x height and the unit"),
        ("infx152mm", "must be a tablet's active area", "Type width x height and the unit"),
        ("1e5x152mm", "must be a tablet's active area", "Type width x height and the unit"),
        ("big", "must be a tablet's active area", "for example 240x152mm"),
        ("", "must be a tablet's active area", "for example 240x152mm"),
        ("240x152mm@150", "must be counts for a length after the @", "Type @150/mm or @3810/in"),
        ("240x152mm@0/mm", "must be greater than 0", ""),
        ("240x152mm@", "must be counts for a length after the @", "Type @150/mm or @3810/in"),
    ],
)
def test_a_tablet_that_cannot_be_is_refused_with_what_to_type(text, must, instead):
    with pytest.raises(RequestError) as caught:
        parse_tablet(text, "--tablet")
    (problem,) = caught.value.problems
    assert str(problem).startswith("--tablet")
    assert problem.must.startswith(must)
    assert problem.instead.startswith(instead) or instead in problem.instead


@pytest.mark.parametrize(
    ("text", "must"),
    [
        ("27in", "must be the size and the pixels"),
        ("27 2560x1440", "a length needs its unit"),
        ("27,500in 2560x1440", "a comma before three digits could be"),
        ("27in 2560x0", "must be greater than 0"),
        ("27in 2560.5x1440", "must be the size and the pixels"),
        ("27in 9999999x1440", "must be at most 1000000 px"),
        ("0in 2560x1440", "must be greater than 0"),
        ("27in 2560x1440 at 5", "must stand at two numbers"),
        (f"27in 2560x1440 at {'9' * 400},0", "must be the size and the pixels"),
        (f"27in 2560x1440 at {'9' * 400}", "must be the size and the pixels"),
        ("597x336 2560x1440", "a length needs its unit"),
        ("", "must be the size and the pixels"),
    ],
)
def test_a_display_that_cannot_be_is_refused(text, must):
    with pytest.raises(RequestError) as caught:
        parse_displays((text,), "--display")
    (problem,) = caught.value.problems
    assert problem.must.startswith(must)


@pytest.mark.parametrize("digits", [400, 5000])
@pytest.mark.parametrize(
    "text",
    [
        "{}x152mm",
        "240x152mm@{}/mm",
        "240.{}x152mm",
        "27in {}x1440",
        "{}in 2560x1440",
        "{} cm x 148 mm",
        "{} 1/2in 2560x1440",
        "27in 2560x1440 at {},0",
        "27in 2560x1440 zoom {}%",
        "27in 2560x1440 bezel {}mm",
        "screen {} x {} mm, {} lpi",
    ],
)
def test_no_number_is_so_long_that_it_is_more_than_a_wrong_word(text, digits):
    # Python itself refuses to read a whole number of more than 4300 digits.
    for parse in (
        lambda typed: parse_tablet(typed, "x"),
        lambda typed: parse_displays((typed,), "x"),
        lambda typed: one_tablet(typed, "x"),
        lambda typed: one_display(typed, "x"),
        lambda typed: parse_rect(typed, "x", Tablet(240, 152, 150)),
    ):
        with pytest.raises(RequestError) as caught:
            parse(text.replace("{}", "9" * digits))
        assert all(len(str(problem)) < 600 for problem in caught.value.problems)


def test_problems_of_all_displays_come_at_once():
    with pytest.raises(RequestError) as caught:
        parse_displays(("27in", "2560x1440", "x"), "--display")
    assert len(caught.value.problems) == 2


@given(st.text(max_size=60) | st.from_regex(r"[0-9., x:@/minatp\"-]{0,40}", fullmatch=True))
def test_nothing_typed_raises_anything_but_a_request_error(text):
    for parse in (
        lambda: parse_tablet(text, "--tablet"),
        lambda: parse_displays((text, text), "--display"),
    ):
        try:
            parse()
        except RequestError as error:
            assert all("\n" not in str(problem) for problem in error.problems)


@pytest.mark.parametrize(
    ("typed", "counts_per_mm"),
    [
        # By hand: 10 mm a cm and 25.4 mm an inch.
        ("150/mm", 150),
        ("1500/cm", 150),
        ("1500 counts per cm", 150),
        ("3810/in", 150),
        ("2540 per inch", 100),
        ("1270/in", 50),
    ],
)
def test_resolutions_by_hand(typed, counts_per_mm):
    assert parse_tablet(f"240x152mm@{typed}", "--tablet").counts_per_mm == counts_per_mm


TYPE_TABLET = "Type width x height and the unit, for example 240x152mm, 9.4x6in or 240x152mm@150/mm"
TYPE_DISPLAY = (
    'Type for example "27in 2560x1440", "597x336mm 2560x1440" or "left: 24in 1920x1080 at -1920,0"'
)


@pytest.mark.parametrize(
    ("text", "whole"),
    [
        ("big", f'must be a tablet\'s active area; got "big". {TYPE_TABLET}'),
        (
            "27in 2560x1440",
            (
                'must be a tablet\'s active area; got "27in 2560x1440". '
                "That is a display: type it after --display"
            ),
        ),
        (
            "240x152m",
            'must be a tablet\'s active area; got "240x152m". Did you mean 240x152mm?',
        ),
        ("240x152", 'a length needs its unit; got "240x152". Type 240x152mm'),
        ("24x15.2", 'a length needs its unit; got "24x15.2". Type 24x15.2cm or 24x15.2in'),
        (
            "240x152mm@150",
            'must be counts for a length after the @; got "150". Type @150/mm or @3810/in',
        ),
    ],
)
def test_the_whole_refusal_of_a_tablet(text, whole):
    with pytest.raises(RequestError) as caught:
        parse_tablet(text, "--tablet")
    assert str(caught.value) == f"--tablet: {whole}"


@pytest.mark.parametrize(
    ("texts", "whole"),
    [
        (
            ("27in",),
            (
                'must be the size and the pixels of a display; got "27in". '
                "Add its pixels, for example 27in 2560x1440 or 27in-qhd"
            ),
        ),
        (("big",), f'must be the size and the pixels of a display; got "big". {TYPE_DISPLAY}'),
        (
            ("27in 2560x1440", "@desktop"),
            (
                "@desktop stands for all displays, and stands alone; "
                'got "27in 2560x1440, @desktop". Leave the other displays out'
            ),
        ),
    ],
)
def test_the_whole_refusal_of_displays(texts, whole):
    with pytest.raises(RequestError) as caught:
        parse_displays(texts, "--display")
    assert str(caught.value) == f"--display: {whole}"


def heard(read, *asked):
    """What was read, and the doubts that came with it."""
    doubts = []
    with hearing(doubts.append):
        found = read(*asked)
    assert all(each.is_reading == (": read as " in each) for each in doubts)
    return found, [str(each) for each in doubts]


@pytest.mark.parametrize(
    ("text", "tablet", "understood"),
    [
        ("medium", Tablet(230, 144, label="medium"), "medium: 230x144mm"),
        ("Medium (mine)@100/mm", Tablet(230, 144, 100, label="medium"), "medium: 230x144mm@100/mm"),
    ],
)
def test_a_usual_size_by_its_name(text, tablet, understood):
    assert heard(parse_tablet, text, "--tablet") == (
        tablet,
        [f"--tablet: read as {understood}; a usual size; yours may differ, so measure it"],
    )


def test_what_was_left_aside_and_what_was_made_of_it_are_told():
    display = Display(2560, 1440).with_diagonal(685.8)
    for text, said in (
        ("27in 2560x1440 zoom x", "read as 27in 2560x1440; ignored: zoom x"),
        ("27in 2560x1440 bezel design", "read as 27in 2560x1440; ignored: bezel design"),
        ("27in 2560x1440 at 5 6", "read as 27in 2560x1440; ignored: at 5 6"),
        ("27in 2560x1440 at 5,x", "read as 27in 2560x1440; ignored: at 5, x"),
        ("27in 2560x1440 at x,5", "read as 27in 2560x1440; ignored: at x, 5"),
        (
            "2x27in 2560x1440",
            (
                "read as 27in 2560x1440; one of several displays was read: "
                "type --display once for each"
            ),
        ),
    ):
        assert heard(parse_displays, (text,), "--display") == ((display,), [f"--display: {said}"])


def test_place_zoom_and_frame_in_any_order():
    for after in ("at 5,-6 zoom 1.5 bezel 8mm", "bezel 8mm zoom 150% at 5, -6"):
        (display,) = parse_displays((f"2560x1440 {after}",), "--display")
        assert display == Display(2560, 1440, left_px=5, top_px=-6, zoom=1.5, bezel_mm=8)


def test_displays_are_called_by_their_number_where_nobody_named_them():
    row, _ = heard(parse_displays, ("800x600",) * 7, "--display")
    assert [each.label for each in row] == [
        *("main", "second", "third", "fourth", "fifth", "display 6", "display 7")
    ]


@pytest.mark.parametrize(
    ("text", "label", "rest"),
    [
        ('"a: ""b""": 240x152mm', 'a: "b"', (240, 152)),
        ("x12: 240x152mm", "x12", (240, 152)),
        (" desk : 240x152mm", "desk", (240, 152)),
    ],
)
def test_a_label_before_its_colon(text, label, rest):
    tablet = parse_tablet(text, "--tablet")
    assert (tablet.label, (tablet.width_mm, tablet.height_mm)) == (label, rest)


@pytest.mark.parametrize(
    ("value", "text"),
    [(240, "240"), (22.35, "22.35"), (-3, "-3"), (1e-7, "0.0000001"), (1e20, f"1{'0' * 20}")],
)
def test_a_number_in_plain_digits(value, text):
    assert number_text(value) == text


@pytest.mark.parametrize(
    ("thing", "text"),
    [
        (Tablet(240, 152), "240x152mm"),
        (Tablet(240, 152.5, 150, label="Pad"), "Pad: 240x152.5mm@150/mm"),
        # 3000 counts an inch are 118.11 a mm: the whole number is what was typed.
        (Tablet(240, 152, 3000 / 25.4), "240x152mm@3000/in"),
        (Tablet(240, 152, label="a: b"), '"a: b": 240x152mm'),
        (Tablet(240, 152, label="27in"), '"27in": 240x152mm'),
    ],
)
def test_a_tablet_as_it_would_be_typed(thing, text):
    assert tablet_text(thing) == text
    assert parse_tablet(text, "--tablet") == thing


@pytest.mark.parametrize(
    ("display", "text", "alone"),
    [
        (Display(2560, 1440), "main: 2560x1440 at 0,0", "2560x1440"),
        (
            Display(2560, 1440, 597, 336, left_px=-5, top_px=7, label="side"),
            "side: 597x336mm 2560x1440 at -5,7",
            "side: 597x336mm 2560x1440",
        ),
        (
            Display(2560, 1440, zoom=1.5, bezel_mm=8).with_diagonal(685.8),
            "main: 27in 2560x1440 at 0,0 zoom 1.5 bezel 8mm",
            "27in 2560x1440 zoom 1.5 bezel 8mm",
        ),
        (
            Display(2560, 1440).with_diagonal(700),
            "main: 700mm 2560x1440 at 0,0",
            "700mm 2560x1440",
        ),
    ],
)
def test_a_display_as_it_would_be_typed(display, text, alone):
    assert (display_text(display), display_text(display, alone=True)) == (text, alone)
    assert parse_displays((text,), "--display") == (display,)


def test_a_rectangle_and_a_label_as_they_would_be_typed():
    assert rect_text(Rect(10, 5.5, 200, 120)) == "10,5.5,200x120px"
    assert rect_text(Rect(10, 5.5, 200, 120), "mm") == "10,5.5,200x120mm"
    assert label_text("desk") == "desk"
    assert label_text('say "a: b"') == '"say ""a: b"""'


@pytest.mark.parametrize(
    ("read", "text"),
    [
        (parse_tablet, "27in: @hid:nothing.hid"),
        (lambda text, where: parse_displays((text,), where), "27in: @edid:nothing.edid"),
    ],
)
def test_a_size_is_a_label_before_what_the_hardware_says(read, text):
    with pytest.raises(RequestError) as caught:
        read(text, "it")
    assert str(caught.value).startswith("it: nothing.")
