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
                "area 8.0 mm narrower and 4.5 mm shorter; scale factor 2.49 → 2.58; circle still "
                "round; "
                "tablet 240 x 152 mm → 232 x 152 mm"
            ),
        ),
        (
            desk(),
            desk(fit="full"),
            (
                "area 17.0 mm taller; scale factor 2.49 → 2.41; circle now 12.6 % wider than "
                "tall, was round; "
                "fit locked → full"
            ),
        ),
        (
            desk(fit="full"),
            desk(),
            (
                "area 17.0 mm shorter; scale factor 2.41 → 2.49; circle now round, was 12.6 % "
                "wider than tall; "
                "fit full → locked"
            ),
        ),
        (
            desk(),
            desk(hold="top"),
            "area moved, its middle 8.5 mm up; circle still round; hold centre → top",
        ),
        (
            desk(fit="full"),
            desk(fit="full", turn_deg=180),
            "circle still 12.6 % wider than tall; tablet turned 0 → 180 degrees clockwise",
        ),
        (
            desk(displays=TWO),
            desk(displays=TWO, onto=("main", "left")),
            (
                "area 57.9 mm shorter; screen reached 2560 x 1440 px → 4480 x 1440 px; scale "
                "factor 2.49 → 4.36; "
                "circle still round; pen now reaches left"
            ),
        ),
        (
            desk(displays=TWO),
            desk(displays=TWO, onto=("left",)),
            (
                "screen reached 2560 x 1440 px → 1920 x 1080 px; scale factor 2.49 on main → "
                "2.21 on left; "
                "circle still round; pen now reaches left; pen no longer reaches main; true on "
                "main → left"
            ),
        ),
        (desk(displays=TWO), desk(), "circle still round; display left gone"),
        (
            desk(),
            desk(displays=("2560x1440",)),
            (
                "scale factor 2.49 → not known; circle still round; "
                "display main 597.7 x 336.2 mm → size unknown"
            ),
        ),
        (
            desk(),
            desk("240x152mm@150/mm"),
            "circle still round; tablet resolution unknown → 150 counts per mm",
        ),
        (desk(seat_mm=700), desk(seat_mm=650), "you sit 50 mm closer"),
        (desk(), desk(seat_mm=650), "you sit 650 mm away"),
        (desk(seat_mm=650), desk(), "seat no longer noted"),
        (
            desk(),
            replace(desk(), entry=Entry("corners", "inch", from_bottom=True)),
            "entered now as two corners in inches, from the bottom left",
        ),
        (desk(), desk(note="why"), "note changed"),
        (desk(), desk(name="Desk"), "renamed desk → Desk"),
        (desk(), desk("lefty: 240x152mm"), "tablet label now lefty"),
        (desk("lefty: 240x152mm"), desk(), "tablet label no longer lefty"),
        (
            desk("240x152mm"),
            desk("240x152.00001mm"),
            "circle still round; tablet 240 x 152 mm → 240 x 152.00001 mm",
        ),
    ],
)
def test_it_speaks_of_hands_and_screens(before, after, says):
    assert changes_sentence(before, after) == says


def test_one_setting_in_a_line():
    assert setting_sentence(desk()) == "area 240 x 135 mm; scale factor 2.49; circle round"
    assert (
        setting_sentence(desk(displays=("2560x1440",), fit="full"))
        == "area 240 x 152 mm; circle 12.6 % wider than tall"
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
        ({}, {"step": Step(1, "mm")}, "step now 1 mm with 0.5 % of stretch"),
        ({"step": Step(1, "percent", 2)}, {}, "step no longer 1 % with 2 % of stretch"),
        (
            {"step": Step(1, "mm")},
            {"step": Step(0.5, "inch")},
            "step 1 mm with 0.5 % of stretch → 0.5 in with 0.5 % of stretch",
        ),
        ({}, {"window_px": Rect(256, 144, 2048, 1152)}, "window now 2048 x 1152 px at 256, 144"),
        (
            {},
            {"within_built_mm": Rect(20, 0, 220, 152)},
            "used part of the tablet now 220 x 152 mm at 20, 0",
        ),
        (
            {"fit": "full"},
            {"fit": "full", "area_built_mm": Rect(10, 5, 200, 120)},
            "area as set now 200 x 120 mm at 10, 5",
        ),
        ({}, {"feel": Feel(3, 3)}, "wanted scale now 3"),
        (
            {"feel": Feel(3, 3)},
            {"feel": Feel(3, 3.5, "studio")},
            "wanted scale 3 → 3 across by 3.5 down, as at studio",
        ),
    ],
)
def test_what_is_asked_for_in_several_keys_is_one_phrase(before, after, says):
    sentence = changes_sentence(desk(**before), desk(**after))
    assert says in sentence.split("; ")
