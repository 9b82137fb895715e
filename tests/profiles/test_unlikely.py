"""Doubts about what was typed: said, never refused, and silent where all is as usual."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.desk import Tablet
from profiles.doubts import hearing
from profiles.shorthand import parse_displays, parse_tablet
from profiles.unlikely import unlikely_day, unlikely_scale, unlikely_tablet


def doubts_about(kind, text, **more):
    heard = []
    with hearing(heard.append):
        if kind == "tablet":
            parse_tablet(text, "it", **more)
        else:
            parse_displays((text,), "it")
    return heard


@pytest.mark.parametrize(
    ("kind", "text", "said"),
    [
        ("tablet", "9.4x6mm", "fits no tablet: did you mean 9.4x6in?"),
        ("tablet", "24x15.2mm", "did you mean 24x15.2cm?"),
        ("tablet", "240x152in", "did you mean 240x152mm?"),
        ("tablet", "240x52mm", "is each side right?"),
        ("tablet", "152x240mm", "type 240x152mm and --turn 90 or 270"),
        ("display", "27cm 2560x1440", "276 pixels an inch: did you mean 27in?"),
        ("display", "2700in 2560x1440", "did you mean 27in?"),
        ("display", "68in 320x200", "5.55 pixels an inch, which no display has"),
        ("display", "597x300mm 2560x1440", "12 % wider than tall"),
        ("display", "336x597mm 2560x1440", "did you mean 597x336mm?"),
    ],
)
def test_what_cannot_be_meant_is_doubted(kind, text, said):
    (doubt,) = doubts_about(kind, text)
    assert said in doubt


def test_a_resolution_that_no_digitizer_has_is_doubted():
    assert "fits no tablet" in unlikely_tablet(Tablet(240, 152, 11_000_000))[0]
    assert unlikely_tablet(Tablet(240, 152, 150)) == []


def test_an_upright_size_with_a_turn_is_nobody_s_slip():
    assert doubts_about("tablet", "152x240mm", turn_deg=90) == []


@given(st.integers(100, 500), st.sampled_from([1.0, 1.25, 1.5, 1.6, 1.78, 2.0]))
def test_tablets_as_they_are_raise_no_doubt(width, proportions):
    assert doubts_about("tablet", f"{width}x{width / proportions:.1f}mm") == []


@pytest.mark.parametrize(
    "text",
    [
        # Small and dense, large and coarse, very wide, upright, and sizes that were rounded to whole millimetres.
        *(
            "13.3in 3840x2400",
            "14in 2880x1800",
            "10.1in 1920x1200",
            "65in 1920x1080",
            "100in 1920x1080",
            "49in 5120x1440",
        ),
        *("27in 1440x2560", "597x336mm 2560x1440", "160x90mm 1920x1080", "60.5cm 1920x1080", "140cm 3840x2160"),
    ],
)
def test_displays_as_they_are_raise_no_doubt(text):
    assert doubts_about("display", text) == []


def test_a_scale_beyond_any_hand_and_a_day_to_come():
    assert unlikely_scale(2.5) == unlikely_scale(None) == []
    assert "1 mm of hand would become 68 mm on the glass" in unlikely_scale(68.0)[0]
    assert unlikely_day("2026-03-15") == unlikely_day("no day") == []
    assert unlikely_day("9999-01-01") == ["9999-01-01 is in the future"]
