"""Each floor's tables of fields, blanks, units and forms hold the same things."""

from typing import get_args

import click
import pytest
from msgspec import structs

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.entry import Entry, entry_numbers
from mapper.mapping.feel import Feel
from mapper.mapping.forms import SHAPES, UNITS, Ratio
from mapper.mapping.solve import MapRequest
from mapper.mapping.steps import Step
from mapper.mapping.variations import GIVES_WAY
from mapper.rect import Rect
from mapper.seat import Seat
from mapper.solving import solve
from profiles.fields import FIELDS, set_to, unsaid
from profiles.format import schema
from profiles.format.document import Workstation, load, to_yaml
from profiles.requests import map_request
from render.cli.map import command as map_command
from render.cli.seat import command as seat_command
from render.desk import notes
from render.desk.answer import answer
from render.desk.described import Description, described, request_of, seat_of
from render.desk.letter import letter
from render.fields import BLANK_OF, BLANKS, SHOWN_FIELDS
from render.sentences.forms import SHAPE_WORDS, UNIT_WORDS


def keys_of(part, name):
    """The keys of the document under ``name``; one that is written as a whole is one key."""
    if isinstance(part, type) and issubclass(part, schema.msgspec.Struct):
        for field in structs.fields(part):
            kinds = [kind for kind in get_args(field.type) if kind is not type(None)]
            inner = kinds[0] if kinds and isinstance(kinds[0], type) else field.type
            yield from keys_of(inner, f"{name}.{field.name}" if name else field.name)
    else:
        yield name


def test_every_field_is_shown_and_every_shown_one_is_a_field():
    assert set(FIELDS) == set(SHOWN_FIELDS)
    assert tuple(FIELDS) == Description.__struct_fields__
    assert {field.name: field.unsaid for field in FIELDS.values()} == Description().texts


def test_every_key_that_is_described_or_asked_has_one_field():
    described_parts = ("workstation", "note", "tablet", "displays", "seat", "map", "entry")
    keys = [key for key in keys_of(schema.Profile, "") if key.split(".")[0] in described_parts]
    assert "map.hold" in keys, "the keys were found"
    held = [key for field in FIELDS.values() for key in field.keys]
    # A profile marks that display; what changed is said by its label.
    held.remove("map.true_on")
    assert len(held) == len(set(held))
    for key in keys:
        owners = [each for each in held if key == each or key.startswith(f"{each}.")]
        assert len(owners) == 1, key
    for each in held:
        assert any(key == each or key.startswith(f"{each}.") for key in keys), each


def test_every_field_has_its_option():
    options = {
        option
        for command in (map_command, seat_command)
        for param in command.params
        if isinstance(param, click.Option)
        for option in param.opts
    }
    assert {field.option for field in SHOWN_FIELDS.values()} <= options
    assert len({field.option for field in SHOWN_FIELDS.values()}) == len(SHOWN_FIELDS)


def test_every_blank_has_a_note_and_its_fields():
    for name, blank in BLANKS.items():
        assert blank.fields, name
        assert blank.title or hasattr(notes._Maker, f"{name}_note"), name
        assert {each.field for each in blank.inputs} <= set(blank.fields)
        for _, change in (*blank.cures, *blank.ways):
            assert set(change) <= set(blank.fields), name
    assert {name for field in SHOWN_FIELDS.values() for name in field.blanks} == set(BLANKS)


def test_every_blank_has_its_place_in_the_letter():
    said = Description(
        tablet="240x152mm",
        displays=("27in 2560x1440", "24in 1920x1080"),
        onto="all",
        within="20,0,200x152mm",
        scale="3",
        fit="cropped",
        hold="top",
        step="0.5mm",
        distance="70cm",
        drop="-2cm",
    )
    sentences, more = letter(answer(said), None)
    written = [name for sentence in sentences for name in sentence.slots]
    # The name stands above the letter, and the form of the answer beside it.
    assert {*written, "name", "entry"} == set(BLANKS)
    assert more == []
    bare = Description(tablet="240x152mm", displays=("2560x1440",), distance="70cm")
    short, more = letter(answer(bare), None)
    assert more == [name for name, blank in BLANKS.items() if blank.more]
    assert not {name for sentence in short for name in sentence.slots} & {*more}
    unseated = letter(answer(bare.with_({"distance": ""})), None)[1]
    assert unseated == [name for name in more if name != "stand"], "nothing follows from a height"


def test_where_problems_are_told():
    # As the page has told them since it was made, by hand.
    assert {
        called: BLANK_OF[called]
        for called in ("turn", "display", "@edid", "top", "curve", "onto", "true-on", "area")
    } == {
        "turn": "lying",
        "display": "displays",
        "@edid": "displays",
        "top": "stand",
        "curve": "stand",
        "onto": "reach",
        "true-on": "true",
        "area": "part",
    }
    assert BLANK_OF["shape-tolerance"] == "step"
    assert BLANK_OF["workstation"] == "name"


@pytest.mark.parametrize(
    ("texts", "words"),
    [
        ({"drop": "0mm"}, "its top at eye level"),
        ({"drop": "-3cm", "tilt": "-5"}, "its top 3 cm above my eyes and a tilt of 5° forward"),
        (
            {"drop": "2in", "curve": "1800mm"},
            "its top 2 in below my eyes and a curve with a radius of 1800 mm",
        ),
    ],
)
def test_how_a_display_stands_is_a_sentence_of_the_letter(texts, words):
    said = Description(tablet="240x152mm", displays=("27in 2560x1440",), distance="70cm", **texts)
    found = answer(said)
    assert str(letter(found, None)[0][-1]) == f"The display has {words}."
    assert found.workstation.seat is not None
    wrong = answer(said.with_({"tilt": "100"})).wrong
    assert [each.blank for each in wrong] == ["stand"]


def test_what_gives_way_is_the_same_in_texts_and_in_a_request():
    def sets(names):
        return {FIELDS[name].sets for name in names}

    for attribute, others in GIVES_WAY.items():
        for field in FIELDS.values():
            if field.sets == attribute:
                assert sets(field.clears) - {attribute} == set(others), field.name


@pytest.mark.parametrize(
    ("texts", "change"),
    [
        ({"fit": "full"}, {"fit": "full", "area": "", "scale": "", "feel": None}),
        ({"fit": "cropped"}, {"fit": "cropped", "area": ""}),
        ({"scale": "2"}, {"scale": "2", "area": "", "feel": None}),
        ({"scale": ""}, {"scale": ""}),
        (
            {"area": "0,0,9x9mm"},
            {"area": "0,0,9x9mm", "within": "", "scale": "", "feel": None},
        ),
        ({"window": "0,0,9x9px"}, {"window": "0,0,9x9px", "onto": ""}),
        ({"window": "0,0,9x9px", "onto": "left"}, {"window": "0,0,9x9px", "onto": "left"}),
        ({"displays": ["27in 2560x1440"]}, {"displays": ["27in 2560x1440"], "window": ""}),
        ({"hold": "top"}, {"hold": "top"}),
    ],
)
def test_what_gives_way_to_a_text(texts, change):
    assert set_to(texts) == change


def test_what_is_taken_back_is_as_if_it_was_never_said():
    assert unsaid("turn", "displays", "feel") == {"turn": "0", "displays": (), "feel": None}


TWO = Desktop(
    (
        Display(2560, 1440, 597.7, 336.2, label="main"),
        Display(1920, 1080, 531.3, 298.9, 2560, 0, "side", 1.5, 8.0),
    )
)
PAD = Tablet(240, 152, 150, 90, "Pad", -7.5)


@pytest.mark.parametrize(
    "request_",
    [
        MapRequest(PAD, TWO, hold="top-left", onto=("side",)),
        MapRequest(PAD, TWO, "cropped", onto=("main", "side"), true_on="side", feel=Feel(3, 3)),
        MapRequest(PAD, TWO, feel=Feel(2.4, 2.5, "studio"), within_built_mm=Rect(20, 0, 200, 152)),
        MapRequest(
            Tablet(240, 152, 150),
            TWO,
            "full",
            area_built_mm=Rect(12, 7.6, 216, 136.8),
            step=Step(0.1, "percent", 0.25),
        ),
        MapRequest(Tablet(240, 152), TWO, "full", window_px=Rect(2600, 10, 800, 600)),
    ],
)
def test_every_field_that_is_written_is_read_back(request_):
    seat, entry = Seat(655.0, 20.0, 12.5, 1800.0, "side"), Entry("corners", "percent", True, True)
    desk = Workstation("window desk", solve(request_), "by the window", seat, None, entry)
    said = described(desk)
    assert solve(request_of(said)).request == desk.map.request
    assert seat_of(said) == seat
    assert FIELDS["entry"].read(said.entry, "--entry", None) == entry
    # And every text alone, over a desk that says something else.
    other = MapRequest(Tablet(200, 125, 100), Desktop((Display(1920, 1080, label="main"),)))
    again = map_request(other, **request_texts(said))
    assert solve(again).request == desk.map.request


def request_texts(said):
    texts = {name: getattr(said, name) for name in FIELDS if getattr(said, name)}
    feel = texts.pop("feel", None)
    if feel:
        texts["feel"] = lambda: Feel(feel.scale_x, feel.scale_y, feel.of)
    return {name: text for name, text in texts.items() if FIELDS[name].sets in vars_of_request()}


def vars_of_request():
    return MapRequest.__dataclass_fields__


def test_units_and_forms_have_their_words():
    assert set(UNITS) == set(UNIT_WORDS)
    assert set(SHAPES) == set(SHAPE_WORDS)


def test_the_numbers_of_each_form_by_hand():
    # 200 x 100 mm at 10, 20 of 240 x 152 mm; the lower edge is 152 - 120 = 32 mm above the bottom.
    solved = solve(
        MapRequest(
            Tablet(240, 152),
            Desktop((Display(1920, 1080),)),
            "full",
            area_built_mm=Rect(10, 20, 200, 100),
        )
    )
    expected = {
        ("size", False): [("left", 10), ("top", 20), ("width", 200), ("height", 100)],
        ("size", True): [("left", 10), ("bottom", 32), ("width", 200), ("height", 100)],
        ("corners", False): [("left", 10), ("top", 20), ("right", 210), ("bottom", 120)],
        ("corners", True): [("left", 10), ("bottom", 32), ("right", 210), ("top", 132)],
        ("centre", False): [
            ("centre across", 110),
            ("centre down", 70),
            ("width", 200),
            ("height", 100),
        ],
        ("centre", True): [
            ("centre across", 110),
            ("centre up", 82),
            ("width", 200),
            ("height", 100),
        ],
    }
    for (numbers, from_bottom), values in expected.items():
        found = entry_numbers(solved, Entry(numbers, "mm", from_bottom))
        assert [(each.label, each.value) for each in found] == values


def test_a_further_unit_changes_no_file_that_was_kept(monkeypatch, tmp_path):
    solved = solve(MapRequest(Tablet(240, 152, 150), Desktop((Display(2560, 1440),))))
    desk = Workstation("window desk", solved, None, None, None, Entry("size", "percent"))
    before = to_yaml(desk)
    centimetre = UNITS["mm"]._replace(
        name="cm", sign="cm", one="cm", typed=("cm",), ratio=lambda *_: Ratio(1.0, 10.0, 10.0)
    )
    monkeypatch.setitem(UNITS, "cm", centimetre)
    assert to_yaml(desk) == before
    path = tmp_path / "desk.yaml"
    path.write_text(before, encoding="utf-8")
    assert load(path).map.area_built_mm == solved.area_built_mm
    # By hand: 240 mm x 1440 / 2560 are 135 mm.
    numbers = entry_numbers(solved, Entry("size", "cm"))
    assert [each.text for each in numbers[2:]] == ["24", "13.5"]
