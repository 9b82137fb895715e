"""What people type in other scripts than Latin: read, or asked about, never taken for a name."""

import pytest

from render.desk.answer import answer
from render.desk.described import Description
from render.desk.notes import note

DESK = Description(name="window desk", tablet="240x152mm", displays=("27in 2560x1440",))


@pytest.mark.parametrize(
    "text",
    [
        "７０cm",
        "７０ｃｍ",
        "７０センチ",
        "70センチメートル",
        "70 см",
        "70 сантиметров",
        "70 سم",
        "٧٠ سم",
        "70㎝",
        "700㎜",
        "0.7メートル",
        "0,7 متر",
        "70 سنتيمترا",
        "700 ملليمتر",
    ],
)
def test_a_distance_is_read_in_its_own_digits_and_unit(text):
    assert answer(DESK.with_({"distance": text})).seat.distance_mm == 700


@pytest.mark.parametrize(
    ("field", "text", "plain"),
    [
        ("tablet", "２４０×１５２ｍｍ", "240x152mm"),
        ("tablet", "240 на 152 мм", "240x152mm"),
        ("tablet", "240×152 ملم", "240x152mm"),
        ("displays", ("27 дюймов 2560x1440",), ("27in 2560x1440",)),
        ("displays", ("27 بوصة 2560x1440",), ("27in 2560x1440",)),
        ("displays", ("２７インチ ２５６０×１４４０",), ("27in 2560x1440",)),
        ("within", "２０，２０，２００x１００mm", "20,20,200x100mm"),
        ("window", "１０，１０，８０x８０％", "10,10,80x80%"),
        ("step", "０．５mm", "0.5mm"),
        ("slant", "１０", "10"),
        ("scale", "２．６", "2.6"),
        ("scale", "٢٫٦", "2.6"),
        ("scale", "2,6", "2.6"),
        ("scale", "2,6-fach", "2.6"),
        ("scale", "2,6 fois", "2.6"),
        ("scale", "2,6 veces", "2.6"),
        ("scale", "2.6倍", "2.6"),
        ("scale", "٢٫٦ مرة", "2.6"),
    ],
)
def test_sizes_and_numbers_are_what_they_are_in_latin(field, text, plain):
    found, same = (answer(DESK.with_({field: each})).solved for each in (text, plain))
    assert found is not None
    assert found.area_built_mm == same.area_built_mm
    assert found.screen_px == same.screen_px


@pytest.mark.parametrize(
    "text", ["27 дюймов", "27 بوصة", "27インチ", "27 Zoll", "27 pouces", "27 pulgadas"]
)
def test_a_size_alone_is_asked_about_with_the_size_that_was_typed(text):
    [wrong] = answer(DESK.with_({"displays": [text]})).wrong
    assert wrong.blank == "displays"
    assert "27in 2560x1440" in wrong.says


@pytest.mark.parametrize("text", ["1.5", "1,5", "１．５"])
def test_a_wanted_size_out_of_bounds_gets_the_bound_however_it_is_typed(text):
    now = answer(DESK.with_({"scale": text}))
    made = note("scale", now, answer(DESK), asks="", system=None, feels=())
    assert "at least 2.22 times as large" in str(made.fields[0].wrong)
