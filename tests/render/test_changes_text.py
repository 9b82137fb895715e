from dataclasses import replace

import pytest
from hypothesis import given

from mapper.desk import Desktop
from mapper.mapping.entry import Entry
from mapper.mapping.feel import Feel
from mapper.mapping.solve import MapRequest
from mapper.mapping.steps import Step
from mapper.rect import Rect
from mapper.seat import Seat
from mapper.solving import solve
from profiles.format.document import Workstation
from profiles.shorthand import parse_displays, parse_tablet
from render.sentences.changes import changes_data, changes_sentence, setting_sentence
from tests.strategies import requests

TWO = ("27in 2560x1440", "left: 24in 1920x1080 at -1920,0")


def desk(
    tablet="240x152mm",
    displays=("27in 2560x1440",),
    *,
    turn_deg=0,
    seat_mm=None,
    name="desk",
    note=None,
    **asked,
):
    request = MapRequest(
        parse_tablet(tablet, "tablet", turn_deg=turn_deg),
        Desktop(parse_displays(tuple(displays), "display")),
        **asked,
    )
    return Workstation(name, solve(request), note, None if seat_mm is None else Seat(seat_mm))


# By hand: 240 mm at 16:9 are 135 mm high, 232 mm 130.5; at 4480:1440 they are 77.1. 27 inches at
# 16:9 are 597.7 mm wide, which is 2.49 times 240 mm and 2.58 times 232; 152 over 135 is 1.126.
@pytest.mark.parametrize(
    ("before", "after", "says"),
    [
        (desk(), desk(), "nothing changed"),
        (
            desk(),
            desk("232x152mm"),
            (
                "area 8 mm narrower and 4.5 mm shorter; scale factor 2.49 → 2.58; circles stay "
                "round; tablet 240 × 152 mm → 232 × 152 mm"
            ),
        ),
        (
            desk(),
            desk(fit="full"),
            (
                "area 17 mm taller; scale factor 2.49 → 2.41; a circle is now 12.6 % wider than "
                "tall (before: round); circles: stay round, on part of the tablet → may come out "
                "oval"
            ),
        ),
        (
            desk(fit="full"),
            desk(),
            (
                "area 17 mm shorter; scale factor 2.41 → 2.49; a circle is now round (before: "
                "12.6 % wider than tall); circles: may come out oval → stay round, on part of the "
                "tablet"
            ),
        ),
        (
            desk(),
            desk(hold="top"),
            "area moved 8.5 mm up; circles stay round; side that stays in use: centre → top",
        ),
        (
            desk(fit="full"),
            desk(fit="full", turn_deg=180),
            "a circle is still 12.6 % wider than tall; tablet turned 0 → 180 degrees clockwise",
        ),
        (
            desk(displays=TWO),
            desk(displays=TWO, onto=("main", "left")),
            (
                "area 57.9 mm shorter; the pen reaches 2560 × 1440 px → 4480 × 1440 px; scale "
                "factor 2.49 → 4.36; circles stay round; the pen now reaches left"
            ),
        ),
        (
            desk(displays=TWO),
            desk(displays=TWO, onto=("left",)),
            (
                "the pen reaches 2560 × 1440 px → 1920 × 1080 px; scale factor 2.49 on main → "
                "2.21 on left; circles stay round; the pen now reaches left; the pen no longer "
                "reaches main; display on which circles are round: main → left"
            ),
        ),
        (desk(displays=TWO), desk(), "circles stay round; display left is gone"),
        (
            desk(),
            desk(displays=("2560x1440",)),
            (
                "scale factor 2.49 → not known; circles stay round; display main 597.7 × 336.2 "
                "mm → size unknown"
            ),
        ),
        (
            desk(),
            desk("240x152mm@150/mm"),
            "circles stay round; tablet resolution unknown → 150 counts per mm",
        ),
        (desk(seat_mm=700), desk(seat_mm=650), "you sit 50 mm closer"),
        (desk(), desk(seat_mm=650), "you sit 650 mm away"),
        (desk(seat_mm=650), desk(), "where you sit is no longer noted"),
        (
            desk(),
            replace(desk(), entry=Entry("corners", "inch", from_bottom=True)),
            "in the settings: now as two corners in inches, from the bottom left",
        ),
        (desk(), desk(note="why"), "note changed"),
        (desk(), desk(name="Desk"), "renamed desk → Desk"),
        (desk(), desk("lefty: 240x152mm"), "name of the tablet: now lefty"),
        (desk("lefty: 240x152mm"), desk(), "name of the tablet: no longer lefty"),
        (
            desk("240x152mm"),
            desk("240x152.00001mm"),
            "circles stay round; tablet 240 × 152 mm → 240 × 152.00001 mm",
        ),
    ],
)
def test_it_speaks_of_hands_and_screens(before, after, says):
    assert changes_sentence(before, after) == says


def test_one_setting_in_a_line():
    assert setting_sentence(desk()) == "area 240 × 135 mm; scale factor 2.49; circles stay round"
    assert (
        setting_sentence(desk(displays=("2560x1440",), fit="full"))
        == "area 240 × 152 mm; a circle comes out 12.6 % wider than tall"
    )


@given(requests(), requests())
def test_there_is_always_something_to_say_in_one_line(one, two):
    one, two = Workstation("desk", solve(one)), Workstation("desk", solve(two))
    sentence = changes_sentence(one, two)
    assert sentence
    assert "\n" not in sentence
    # No keys and no units in keys: those are for machines.
    assert "_" not in sentence
    assert (sentence == "nothing changed") == (changes_data(one, two) == [])


def test_machines_get_keys_and_numbers():
    assert changes_data(desk(), desk("232x152mm"))[0] == {
        "what": "area.width_mm",
        "before": 240.0,
        "after": 232.0,
        "by": -8.0,
    }


@pytest.mark.parametrize(
    ("before", "after", "says"),
    [
        ({}, {"step": Step(1, "mm")}, "step: now 1 mm, stretch up to 0.5 %"),
        ({"step": Step(1, "percent", 2)}, {}, "step: no longer 1 %, stretch up to 2 %"),
        (
            {"step": Step(1, "mm")},
            {"step": Step(0.5, "inch")},
            "step: 1 mm, stretch up to 0.5 % → 0.5 in, stretch up to 0.5 %",
        ),
        (
            {},
            {"window_px": Rect(256, 144, 2048, 1152)},
            "part of the display: now 2048 × 1152 px at 256, 144",
        ),
        (
            {},
            {"within_built_mm": Rect(20, 0, 220, 152)},
            "part of the tablet that may be used: now 220 × 152 mm at 20, 0",
        ),
        (
            {"fit": "full"},
            {"fit": "full", "area_built_mm": Rect(10, 5, 200, 120)},
            "area that is set: now 200 × 120 mm at 10, 5",
        ),
        ({}, {"feel": Feel(3, 3)}, "wanted scale factor: now 3"),
        (
            {"feel": Feel(3, 3)},
            {"feel": Feel(3, 3.5, "studio")},
            "wanted scale factor: 3 → 3 across and 3.5 down, as at studio",
        ),
    ],
)
def test_what_is_asked_for_in_several_keys_is_one_phrase(before, after, says):
    sentence = changes_sentence(desk(**before), desk(**after))
    assert says in sentence.split("; ")
