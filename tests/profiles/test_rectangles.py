"""What a person types for a rectangle, a window or a step."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.forms import rect_forms
from mapper.mapping.steps import Step
from mapper.problems import RequestError
from mapper.rect import Rect
from profiles.doubts import hearing
from profiles.rectangles import (
    parse_entry,
    parse_percent,
    parse_rect,
    parse_step,
    parse_window,
)

TABLET = Tablet(240, 152, 150)
DESK = Desktop((Display(2560, 1440), Display(1080, 1920, left_px=2560, top_px=-240, label="side")))
RECT = Rect(10, 5, 200, 120)


@pytest.mark.parametrize(
    "text",
    [
        "10,5,200x120mm",
        " 10 , 5 , 200 x 120 mm ",
        "1,0.5,20x12cm",
        "10,5 to 210,125mm",
        "centre 110,65,200x120mm",
        "center 110,65,200x120mm",
        "10,27,200x120mm from bottom-left",
        "10,27 to 210,147mm from bottom-left",
        "centre 110,87,200x120mm from bottom-left",
        "1500,750,30000x18000counts",
        "1500,750 to 31500,18750 counts",
        "10,5,200\N{MULTIPLICATION SIGN}120MM",
        "10,0; 5,0; 200,0x120,0 mm",
        "10,0,5,0,200,0x120,0mm",
        "10.0, 5.0, 200 x 120,0 mm",
        "10,0 5,0 200,0x120,0mm",
        "10,0; 5,0 to 210,0; 125,0mm",
        "centre 110,0; 65,0; 200,0x120,0mm",
        "1,0; 2,7; 20,0x12,0cm from bottom-left",
    ],
)
def test_every_way_to_say_one_rectangle(text):
    assert parse_rect(text, "RECT", TABLET) == RECT


@pytest.mark.parametrize(
    ("text", "rect"),
    [
        # Inches and percent are exact.
        ("1,0.5,8x4.5in", Rect(25.4, 12.7, 203.2, 114.3)),
        ("12.5,25,75x50%", Rect(30, 38, 180, 76)),
        # Decimal commas where spaces or semicolons part the numbers.
        ("10,5, 5,25, 200x120mm", Rect(10.5, 5.25, 200, 120)),
        ("10,5; 5,25; 200 x 120,0 mm", Rect(10.5, 5.25, 200, 120)),
        ("10,5, 5,25 to 210,5, 125,25mm", Rect(10.5, 5.25, 200, 120)),
    ],
)
def test_a_rectangle_is_what_was_typed(text, rect):
    assert parse_rect(text, "RECT", TABLET) == rect


@pytest.mark.parametrize("turn_deg", [0, 90, 180, 270])
def test_as_seen_is_in_the_turned_frame(turn_deg):
    tablet = Tablet(240, 152, 150, turn_deg)
    built = parse_rect("10,5,100x60mm as seen", "RECT", tablet)
    assert tablet.seen_rect_mm(built) == Rect(10, 5, 100, 60)
    below = parse_rect("10,5,100x60mm as seen from bottom-left", "RECT", tablet)
    seen = tablet.seen_rect_mm(below)
    assert (seen.left, tablet.active_seen_mm.bottom - seen.bottom) == (10, 5)


@given(
    st.integers(0, 100),
    st.integers(0, 70),
    st.integers(1, 120),
    st.integers(1, 70),
    st.sampled_from(["mm", "inch", "percent", "counts"]),
)
def test_a_form_that_is_read_aloud_leads_back_to_the_rectangle(left, top, width, height, unit):
    rect = Rect(left, top, width, height)
    form = rect_forms(rect, TABLET.active_built_mm, 150)[unit]
    word = {"inch": "in", "percent": "%"}.get(unit, unit)
    read = parse_rect(
        f"{form.left:.12f},{form.top:.12f},{form.width:.12f}x{form.height:.12f}{word}",
        "RECT",
        TABLET,
    )
    corners = parse_rect(
        f"{form.left:.12f},{form.top:.12f} to {form.right:.12f},{form.bottom:.12f}{word}",
        "R",
        TABLET,
    )
    centre_up = form.up_from_bottom + form.height / 2
    centre = f"centre {form.centre_x:.12f},{centre_up:.12f}"
    size = f"{form.width:.12f}x{form.height:.12f}{word}"
    below = parse_rect(f"{centre},{size} from bottom-left", "RECT", TABLET)
    for each in (read, corners, below):
        assert (each.left, each.top, each.right, each.bottom) == pytest.approx(
            (rect.left, rect.top, rect.right, rect.bottom), abs=1e-9
        )


def rect_of(text):
    return parse_rect(text, "--area", TABLET)


def window_of(text):
    return parse_window(text, "--window", DESK, ("main",))


def step_of(text):
    return parse_step(text, "--step", shape_tolerance_percent=0.1)


def percent_of(text):
    return parse_percent(text, "--shape-tolerance")


@pytest.mark.parametrize(
    ("read", "text", "says"),
    [
        (rect_of, "", "must be a rectangle"),
        (rect_of, "10,5", "must be a rectangle"),
        (rect_of, "10,5,200x120", "needs its unit"),
        (rect_of, "10,5,200x120px", "is on the tablet"),
        (rect_of, "10,5,200x0mm", "above 0"),
        (rect_of, "210,125 to 10,5mm", "above 0"),
        (rect_of, "10,5,200x120furlong", "must be a rectangle"),
        # Commas that could be read in two ways.
        (rect_of, "10,5,2,200x120mm", "must be a rectangle"),
        (rect_of, "10,5,200,5x120mm", "must be a rectangle"),
        (rect_of, "1,500; 750; 30,000x18,000counts", "must be a rectangle"),
        (rect_of, "10,5,2,20,1 to 3,4mm", "must be a rectangle"),
        (rect_of, "nan,5,200x120mm", "must be a rectangle"),
        (rect_of, "10,5,200x" + "9" * 5000 + "mm", "must be a rectangle"),
        (window_of, "1,2,3x4mm", "must be px, logical or %"),
        (window_of, "1,2,3x4px of nowhere", "must name a display"),
        (window_of, "1,2,3x4", "needs its unit"),
        (step_of, "1", "needs its unit"),
        (step_of, "0mm", "greater than 0"),
        (step_of, "-1mm", "greater than 0"),
        (step_of, "1px", "must be a step of the tablet's settings"),
        (step_of, "1,500mm", "a comma before three digits"),
        (step_of, "nanmm", "must be a step of the tablet's settings"),
        (step_of, "1" * 400 + "mm", "must be a step of the tablet's settings"),
        (percent_of, "0.1mm", "must be a percentage"),
        (percent_of, "", "must be a percentage"),
        (percent_of, "1,000%", "a comma before three digits"),
    ],
)
def test_what_is_none_is_refused_with_a_hint(read, text, says):
    with pytest.raises(RequestError, match=says):
        read(text)


TYPE_RECT = (
    "Type left,top,width x height and the unit, for example 10,5,200x120mm, or two corners: "
    "10,5 to 210,125mm"
)
TYPE_WINDOW = (
    "Type left,top,width x height in px or %, for example 100,80,1600x900px or 10,10,80x80%"
)
TYPE_STEP = "Type for example 0.5mm, 0.01in, 0.1% or 1count"
TYPE_ENTRY = (
    'Type for example "corners mm", "size %", "centre in comma" or "corners counts from '
    'bottom-left"'
)


def entry_of(text):
    return parse_entry(text, "--entry")


@pytest.mark.parametrize(
    ("read", "text", "whole"),
    [
        (rect_of, "10,5", f'--area: must be a rectangle; got "10,5". {TYPE_RECT}'),
        (rect_of, "9" * 200, f'--area: must be a rectangle; got "{"9" * 59}…". {TYPE_RECT}'),
        (rect_of, "1,5,2x1", f'--area: a rectangle needs its unit; got "1,5,2x1". {TYPE_RECT}'),
        (
            rect_of,
            "1,5,2x1px",
            '--area: is on the tablet, so its unit must be mm, in, % or counts; got "1,5,2x1px"',
        ),
        (
            rect_of,
            "1,5,2x1logical",
            (
                "--area: is on the tablet, so its unit must be mm, in, % or counts; "
                'got "1,5,2x1logical"'
            ),
        ),
        (
            window_of,
            "1,2,3x4mm",
            (
                "--window: is on the display, so its unit must be px, logical or %; "
                f'got "1,2,3x4mm". {TYPE_WINDOW}'
            ),
        ),
        (
            window_of,
            "1,2,3x4",
            f'--window: a rectangle needs its unit; got "1,2,3x4". {TYPE_WINDOW}',
        ),
        (window_of, "1,2", f'--window: must be a rectangle; got "1,2". {TYPE_WINDOW}'),
        (step_of, "1", f'--step: a step needs its unit; got "1". {TYPE_STEP}'),
        (
            step_of,
            "1px",
            f'--step: must be a step of the tablet\'s settings; got "1px". {TYPE_STEP}',
        ),
        (
            step_of,
            "1logical",
            f'--step: must be a step of the tablet\'s settings; got "1logical". {TYPE_STEP}',
        ),
        (percent_of, "1mm", '--shape-tolerance: must be a percentage; got "1mm". Type 0.1%'),
        (
            entry_of,
            "corners",
            (
                "--entry: must say which numbers (size, corners or centre) and their unit "
                f'(mm, in, % or counts); got "corners". {TYPE_ENTRY}'
            ),
        ),
    ],
)
def test_a_refusal_says_what_must_hold_what_came_and_what_to_type(read, text, whole):
    with pytest.raises(RequestError) as caught:
        read(text)
    assert str(caught.value) == whole


def test_a_text_is_refused_by_its_length_from_200_characters_on():
    spaces = " " * 100
    for read, text in ((step_of, "1mm"), (percent_of, "1%"), (rect_of, "1,2,3x4mm")):
        assert read(f"{text}{' ' * (150 - len(text))}")
        with pytest.raises(RequestError):
            read(f"{'0' * 200}{text}{spaces}")


def test_commas_that_were_taken_for_points_are_told():
    heard = []
    with hearing(heard.append):
        rect_of("10,5; 5,2; 200x120mm")
        rect_of("10,5,200x120mm")
        rect_of("1,5; 5,2 to 20;120,5mm")
        with pytest.raises(RequestError):
            rect_of("1,5; 5,2")
    assert all(each.is_reading for each in heard)
    assert [str(each) for each in heard] == [
        "--area: read as 10.5,5.2,200x120mm",
        "--area: read as 1.5,5.2 to 20,120.5mm",
    ]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("centre mm", ("centre", "mm", False, False)),
        ("center in", ("centre", "inch", False, False)),
        ("corners in mm", ("corners", "mm", False, False)),
        ("in", ("size", "inch", False, False)),
        ("% and comma", ("size", "percent", False, True)),
        ("size counts point from top-left", ("size", "counts", False, False)),
        ("counts, corners from the bottom left, comma", ("corners", "counts", True, True)),
    ],
)
def test_a_form_of_entry_in_any_order(text, said):
    entry = entry_of(text)
    assert (entry.numbers, entry.unit, entry.from_bottom, entry.comma) == said


def test_counts_need_a_resolution():
    with pytest.raises(RequestError, match="resolution"):
        parse_rect("0,0,10x10counts", "--area", Tablet(240, 152))


@pytest.mark.parametrize(
    ("text", "onto", "expected"),
    [
        ("100,80,1600x900px", (), Rect(100, 80, 1600, 900)),
        ("100,80 to 1700,980px", (), Rect(100, 80, 1600, 900)),
        ("2600,-200,500x500px", (), Rect(2600, -200, 500, 500)),
        ("40,40,500x500px of side", (), Rect(2600, -200, 500, 500)),
        ("10,10,80x80%", (), Rect(256, 144, 2048, 1152)),
        ("10,10,80x80% of side", (), Rect(2668, -48, 864, 1536)),
        ("0,0,50x100%", ("side",), Rect(2560, -240, 540, 1920)),
        ("0,0,50x100%", ("main", "side"), Rect(0, -240, 1820, 1920)),
        ("centre 50,50,50x50%", (), Rect(640, 360, 1280, 720)),
    ],
)
def test_windows(text, onto, expected):
    assert parse_window(text, "--window", DESK, onto) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("0.5mm", Step(0.5, "mm")),
        ("1 cm", Step(10, "mm")),
        ("0.01in", Step(0.01, "inch")),
        ("0.1%", Step(0.1, "percent")),
        ("1count", Step(1, "counts")),
        ("25 counts", Step(25, "counts")),
    ],
)
def test_steps(text, expected):
    assert parse_step(text, "--step", shape_tolerance_percent=0.5) == expected


def test_a_step_is_the_decimal_that_was_typed():
    step = parse_step("0.1%", "--step", shape_tolerance_percent=0.1)
    assert step.length_mm(TABLET) == (Fraction(240, 1000), Fraction(152, 1000))
    assert step.most_stretch == Fraction(1001, 1000)


def test_percentages():
    assert (
        parse_percent("0.1%", "x") == parse_percent("0.1", "x") == parse_percent("0,1%", "x") == 0.1
    )


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("40,20,800x450logical", Rect(50, 25, 1000, 562.5)),
        ("40,20 to 840,470 logical", Rect(50, 25, 1000, 562.5)),
        ("100,100,400x300logical of side", Rect(2710, -90, 600, 450)),
    ],
)
def test_windows_in_the_systems_own_pixels(text, expected):
    displays = (
        Display(2560, 1440, zoom=1.25),
        Display(1080, 1920, left_px=2560, top_px=-240, label="side", zoom=1.5),
    )
    assert parse_window(text, "--window", Desktop(displays), ()) == expected


pieces = st.sampled_from(
    [
        "10",
        "5.5",
        "-3",
        "1e9",
        ",",
        "x",
        " ",
        "to",
        "centre ",
        "mm",
        "%",
        "counts",
        "px",
        "in",
        "of",
        "main",
        "from bottom-left",
        "as seen",
        "0",
        "99999999999",
        "\u00d7",
        "\u0663",
        "'",
        '"',
    ]
)


@given(st.lists(pieces, max_size=14).map("".join) | st.text(max_size=60))
def test_whatever_is_typed_is_a_rectangle_or_a_clear_no(text):
    for read in (rect_of, window_of, step_of, percent_of):
        try:
            read(text)
        except RequestError as error:
            assert "\n" not in str(error)
