"""Doubts about what was typed: said, never refused, and silent where all is as usual."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.problems import RequestError
from profiles.doubts import hearing
from profiles.shorthand import parse_displays, parse_tablet
from profiles.times import parse_moment
from profiles.unlikely import (
    LENGTHS_MM,
    likely_length_mm,
    typed_unit,
    unlikely_day,
    unlikely_minutes,
    unlikely_scale,
)


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
        ("tablet", "9.4x6mm", "is unlikely for a tablet: did you mean 9.4x6in?"),
        ("tablet", "24x15.2mm", "did you mean 24x15.2cm?"),
        ("tablet", "240x152in", "did you mean 240x152mm?"),
        ("tablet", "240x52mm", "is each side right?"),
        ("tablet", "240x152mm@11000000/mm", "11000000 counts per mm is unlikely for a tablet"),
        ("tablet", "152x240mm", "type 240x152mm and --turn 90 or 270"),
        ("display", "27cm 2560x1440", "276 pixels an inch: did you mean 27in?"),
        ("display", "2700in 2560x1440", "did you mean 27in?"),
        ("display", "68in 320x240", "5.88 pixels an inch, which no display has"),
        ("display", "597x300mm 2560x1440", "11.9 % wider than tall"),
        ("display", "597x33.6mm 2560x1440", "899 % wider than tall"),
        ("display", "336x597mm 2560x1440", "did you mean 597x336mm?"),
        ("display", "2560x144", "2560 × 144 pixels fit no display: is a digit missing?"),
        ("display", "27in 256x1440", "is a digit missing?"),
        ("display", "192x108", "is a digit missing?"),
        ("display", "27in 2560x1440 bezel 9999mm", "0 to 100 mm is usual"),
    ],
)
def test_what_cannot_be_meant_is_doubted(kind, text, said):
    (doubt,) = doubts_about(kind, text)
    assert said in doubt


def test_an_upright_size_with_a_turn_is_nobody_s_slip():
    assert doubts_about("tablet", "152x240mm", turn_deg=90) == []


@given(st.integers(100, 500), st.sampled_from([1.0, 1.25, 1.5, 1.6, 1.78, 2.0]))
def test_tablets_as_they_are_raise_no_doubt(width, proportions):
    assert doubts_about("tablet", f"{width}x{width / proportions:.1f}mm") == []


@pytest.mark.parametrize(
    "text",
    [
        # Small and dense, large and coarse, very wide, upright, and sizes that were rounded to
        # whole millimetres.
        *(
            "13.3in 3840x2400",
            "12.6in 1920x360",
            "7in 800x480",
            "14in 2880x1800",
            "10.1in 1920x1200",
            "65in 1920x1080",
            "100in 1920x1080",
            "49in 5120x1440",
        ),
        *(
            "27in 1440x2560",
            "597x336mm 2560x1440",
            "160x90mm 1920x1080",
            "60.5cm 1920x1080",
            "140cm 3840x2160",
        ),
    ],
)
def test_displays_as_they_are_raise_no_doubt(text):
    assert doubts_about("display", text) == []


def test_a_scale_beyond_any_hand_a_day_to_come_and_hardly_a_moment():
    assert unlikely_minutes(None) == unlikely_minutes(45) == []
    assert "were they hours?" in unlikely_minutes(0.5)[0]
    assert unlikely_scale(2.5) == unlikely_scale(None) == []
    assert "a stroke becomes 68 times as large" in unlikely_scale(68.0)[0]
    assert unlikely_day("2026-03-15") == unlikely_day("no day") == []
    assert unlikely_day("9999-01-01") == ["9999-01-01 is in the future"]


@pytest.mark.parametrize(
    ("name", "usual", "strange"),
    [
        ("--distance", "70cm", ("0.001mm", "900000mm")),
        ("--top-below-eyes", "-5cm", ("9999mm",)),
        ("--radius", "1800mm", ("1.8mm",)),
        ("--bezel", "9mm", ("99999mm",)),
        ("--target", "4mm", ("0.001mm",)),
        ("--scatter", "0.5mm", ("99999mm",)),
        ("--nib", "1mm", ("10cm",)),
        ("--place-error", "0.5mm", ("5in",)),
    ],
)
def test_a_length_that_nobody_means_is_doubted(name, usual, strange):
    heard = []
    with hearing(heard.append):
        likely_length_mm(usual, name)
        assert heard == []
        for text in strange:
            likely_length_mm(text, name)
    low, high = LENGTHS_MM[name]
    assert len(heard) == len(strange)
    assert all(f"{low:g} to {high:g} mm is usual" in doubt for doubt in heard)


@pytest.mark.parametrize(
    ("text", "mm", "unit"),
    [
        ("0,7 m", 700, "m"),
        ("about 28 inches", 711.2, "in"),
        ("ca. 65 Zentimeter", 650, "cm"),
        ("2 ft", 609.6, "ft"),
        ("1800R", 1800, "mm"),
        ("27″", 685.8, "in"),
        ("27''", 685.8, "in"),
    ],
)
def test_a_length_is_read_as_people_say_it(text, mm, unit):
    assert likely_length_mm(text, "--distance") == mm
    assert typed_unit(text) == unit


def test_a_missing_unit_is_one_in_which_the_number_would_be_usual():
    with pytest.raises(RequestError, match=r"Type 70cm or 70in$"):
        likely_length_mm("70", "--distance")
    with pytest.raises(RequestError, match=r"Is it 7cm or 70cm\?$"):
        likely_length_mm("7", "--distance")


@pytest.mark.parametrize(
    "text", ["0001-01-01", "9999-12-31", "9999-12-31T00:00", "0001-01-01T00:00+14:00"]
)
def test_years_that_nobody_means_are_refused(text):
    with pytest.raises(RequestError, match="must lie in the years 1980 to 2100"):
        parse_moment(text, "--date")
