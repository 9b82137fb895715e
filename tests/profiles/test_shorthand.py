import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.desk import Display, Tablet
from mapper.problems import RequestError
from profiles.shorthand import parse_displays, parse_tablet


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
        ("27in", "must be a display"),
        ("27 2560x1440", "a length needs its unit"),
        ("27,500in 2560x1440", "a comma before three digits could be"),
        ("27in 2560x0", "must be greater than 0"),
        ("27in 2560.5x1440", "must be a display"),
        ("27in 9999999x1440", "must be at most 1000000 px"),
        ("0in 2560x1440", "must be greater than 0"),
        ("27in 2560x1440 at 5", "must stand at two numbers"),
        ("597x336 2560x1440", "a length needs its unit"),
        ("", "must be a display"),
    ],
)
def test_a_display_that_cannot_be_is_refused(text, must):
    with pytest.raises(RequestError) as caught:
        parse_displays((text,), "--display")
    (problem,) = caught.value.problems
    assert problem.must.startswith(must)


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
