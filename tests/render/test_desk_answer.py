"""One request, one answer.

The page's letter against the command line, for hundreds of random ways to write one.
"""

import json
import random
from dataclasses import replace

import pytest

from mapper.mapping.entry import Entry
from mapper.rect import Rect
from profiles.fields import entry_text
from profiles.rectangles import parse_entry
from profiles.shorthand import display_text, tablet_text
from render.desk.answer import answer
from render.desk.described import Description, described
from render.desk.drafts import Draft, Drafts
from render.desk.letter import letter
from render.desk.notes import note, slips
from render.desk.pulls import EDGES, MOVES, Limits, Pull, moved, pulled
from render.fields import BLANKS
from render.pictures.live import live_scene
from render.pictures.panels import Demonstration
from render.sentences.entry import answer_sentences, form_words, typed_numbers
from render.sentences.say import groups

DESK = Description(name="desk", tablet="240x152mm@150/mm", displays=("27in 2560x1440",))
TWO = ("main: 27in 2560x1440 at 0,0", "side: 24in 1200x1920 at 2560,-240")

# What people type and choose, possible and impossible.
EDITS = (
    *(
        {"tablet": text}
        for text in (
            "240x152mm@150/mm",
            "146x96mm",
            "Pad: 330x214mm",
            "9.4x6in@3810/in",
            "240 by 152",
            "240x152",
        )
    ),
    *({"turn": turn} for turn in ("0", "90", "180", "270")),
    *({"slant": slant} for slant in ("0", "0", "0", "12.5", "-7", "60")),
    *(
        {"displays": list(texts)}
        for texts in (
            ("27in 2560x1440",),
            TWO,
            ("1920x1080",),
            ("24in 1920x1080 zoom 1.5",),
            ("24in",),
        )
    ),
    *({"distance": text} for text in ("70cm", "", "28in", "far")),
    *({"onto": text, "window": ""} for text in ("", "all", "side", "main+side")),
    *({"fit": fit} for fit in ("full", "locked", "cropped")),
    *({"hold": hold} for hold in ("centre", "top", "bottom-left")),
    *({"window": text} for text in ("", "320,180,1920x1080px", "10,10,50x50%", "0,0,9000x10px")),
    *({"within": text} for text in ("", "20,20,200x112.5mm", "10,10,50x50%", "0,0,999x10mm")),
    *({"area": text} for text in ("", "", "10,5,200x120mm")),
    *({"scale": text} for text in ("", "2.6", "1", "9", "x")),
    *({"step": text} for text in ("", "0.5mm", "1%", "1count", "500mm")),
    *(
        {"entry": text}
        for text in ("size mm", "corners percent from bottom-left", "centre inch comma")
    ),
)


def options(said):
    """The command line of a description, word by word as a person would type it."""
    words = [
        "--tablet",
        said.tablet,
        "--turn",
        said.turn,
        f"--slant={said.slant}",
        "--hold",
        said.hold,
    ]
    words += [word for text in said.displays for word in ("--display", text)]
    words += [] if said.area else ["--fit", said.fit]
    for name in ("onto", "window", "within", "area", "scale", "step"):
        value = getattr(said, name)
        words += [f"--{name}", value] if value else []
    return [*words, "--true-on", said.true_on] if said.true_on else words


def edited(rng, said):
    now = answer(said)
    if rng.random() < 0.35 and now.possible:
        what = f"{rng.choice(('area', 'screen'))}-{rng.choice((*EDGES, *MOVES))}"
        far = 40 if what.startswith("area") else 700
        return pulled(now, Pull(what, rng.uniform(-far, far), rng.uniform(-far, far)))
    if rng.random() < 0.2:
        blank = rng.choice([blank for blank in BLANKS if blank != "true" or now.solved])
        ways = note(blank, now, None).ways
        return said.with_(rng.choice(ways).change) if ways else said
    return said.with_(rng.choice(EDITS))


def _there(draft, step):
    draft.steps[step.number] = step


def test_random_letters_say_what_the_command_line_says_and_undo_brings_each_back(
    tmp_path, run, monkeypatch
):
    monkeypatch.setattr(Draft, "_write", lambda self, line: True)  # noqa: ARG005
    monkeypatch.setattr(Draft, "_take_in", lambda self, ours=None: ours and _there(self, ours))
    rng = random.Random(13)
    drafts = Drafts(tmp_path / "library")
    # The disk is tried elsewhere; here it would be most of the time.
    possible = compared = 0
    for sequence in range(300):
        draft = drafts.begin(f"n-{sequence}", {"new": True}, DESK)
        for _ in range(rng.randrange(1, 9)):
            draft.change(draft.at, "", edited(rng, draft.said()))
        said = draft.said()
        now = answer(said)
        letter(now, None)  # never stumbles
        assert now.possible or now.wrong
        possible += now.possible
        if sequence % 5 == 0:
            compared += 1
            code, out, _ = run("map", *options(said), "--as", "json")
            if any(each.blank in {"seat", "entry"} for each in now.wrong):
                assert code in {0, 2}
            else:
                assert (code == 0) == now.possible, (said, now.wrong)
            if now.possible:
                told = json.loads(out)
                assert told["area"]["mm"]["left"] == pytest.approx(
                    now.solved.area_built_mm.left, abs=1e-5
                )
                assert told["area"]["mm"]["width"] == pytest.approx(
                    now.solved.area_built_mm.width, abs=1e-5
                )
                assert told["screen"]["px"]["height"] == pytest.approx(
                    now.solved.screen_px.height, abs=1e-4
                )
        states = [step.said for step in draft.ancestors(draft.at)]
        for before in states:
            draft.go(draft.before(draft.at))
            assert draft.said() == before
        assert draft.at == 0
        while draft.next(draft.at) is not None:
            draft.go(draft.next(draft.at))
        assert draft.said() == said
    # Half of what is typed at random is possible, so that both ways were looked at.
    assert 60 < possible < 285
    assert compared == 60


def test_a_kept_desk_reads_back_as_the_same_map():
    """There and back.

    Whatever could be said is said again so that the map is the same to the last bit.
    """
    rng = random.Random(7)
    seen = 0
    for _ in range(300):
        said = DESK
        for _ in range(6):
            said = edited(rng, said)
        now = answer(said)
        if not now.possible:
            continue
        again = answer(described(now.workstation))
        assert again.possible, (said, again.wrong)
        assert again.solved.area_built_mm == now.solved.area_built_mm
        assert again.solved.screen_px == now.solved.screen_px
        assert again.seat == now.seat
        seen += 1
    assert seen > 100


@pytest.mark.parametrize("what", ["left", "top", "right", "bottom"])
def test_a_pulled_edge_leaves_the_opposite_one_and_keeps_what_the_fit_holds_true(what):
    room, rect = Rect(0, 0, 240, 152), Rect(20, 20, 160, 90)
    after = moved(
        rect, what, Pull(f"area-{what}", 7.0, 7.0), Limits(room, (0.1, 0.1), 5.0, 160 / 90)
    )
    opposite = {"left": "right", "right": "left", "top": "bottom", "bottom": "top"}[what]
    assert getattr(after, opposite) == pytest.approx(getattr(rect, opposite))
    assert getattr(after, what) == pytest.approx(getattr(rect, what) + 7)
    assert after.width / after.height == pytest.approx(160 / 90)
    middle = 1 if what in {"left", "right"} else 0
    assert after.centre[middle] == pytest.approx(rect.centre[middle])


def test_no_pull_leaves_the_tablet_or_turns_inside_out():
    rng = random.Random(3)
    room = Rect(0, 0, 240, 152)
    for _ in range(2000):
        wide, high = rng.uniform(6, 240), rng.uniform(6, 152)
        rect = Rect(rng.uniform(0, 240 - wide), rng.uniform(0, 152 - high), wide, high)
        what = rng.choice((*EDGES, *MOVES))
        ratio = rng.choice((None, wide / high))
        after = moved(
            rect,
            what,
            Pull(what, rng.uniform(-400, 400), rng.uniform(-400, 400)),
            Limits(room, (0.5, 0.5), 5.0, ratio),
        )
        assert room.holds(after, slack=1e-9)
        assert min(after.width, after.height) > 0
        if ratio is not None or what in MOVES:
            assert after.width / after.height == pytest.approx(wide / high)


def test_a_pulled_area_is_said_in_the_letter_and_is_where_the_hand_put_it():
    now = answer(DESK)
    said = pulled(now, Pull("area-left", 40.0, 0.0))
    told = answer(said).solved
    assert said.within == "40,19.75,200x112.5mm"
    assert told.area_built_mm.left == pytest.approx(40)
    assert told.figures_on(told.reference).distortion.stretch == pytest.approx(1)
    sentences, more = letter(answer(said), None)
    assert "a part I placed, 200 × 112.5 mm, 40 mm from the left and 19.8 mm from the top" in [
        blank.words for sentence in sentences for blank in sentence.slots.values()
    ]
    assert "part" not in more
    # No rest of a rounding is left to be typed where it was pulled to the edge.
    at_top = answer(
        pulled(
            answer(DESK.with_({"within": "28.5,16,211.5x120mm"})),
            Pull("area-both", 0.0, -60.0),
        )
    )
    assert at_top.solved.area_built_mm.top == pytest.approx(0, abs=5e-4)


def test_a_turned_tablet_is_pulled_as_it_is_seen():
    now = answer(DESK.with_({"turn": "180"}))
    told = answer(pulled(now, Pull("area-left", 40.0, 0.0))).solved
    assert told.area_seen_mm.left == pytest.approx(40, abs=0.01)
    assert told.area_built_mm.right == pytest.approx(200, abs=0.01)


def test_a_window_over_several_displays_is_pulled_and_all_of_them_are_called_by_their_names():
    now = answer(DESK.with_({"displays": list(TWO), "onto": "all"}))
    scene = live_scene(now.solved, width_mm=220, most_high_mm=120)
    edges = {
        handle.name: handle
        for handle in scene.handles
        if handle.name.removeprefix("screen-") in EDGES
    }
    assert {name for name in edges if name.startswith("screen")} == {
        f"screen-{edge}" for edge in EDGES
    }
    # A mm of the sheet is as many pixels as that display has there, whose edge it is.
    (main, side), per = now.solved.request.desktop.displays, edges["screen-left"].per_sheet_mm
    assert edges["screen-right"].per_sheet_mm / per == pytest.approx(
        main.mm_per_px[0] / side.mm_per_px[0]
    )
    full = answer(now.said.with_({"fit": "full"}))
    has_true = [
        any("true" in sentence.slots for sentence in letter(each, None)[0]) for each in (now, full)
    ]
    assert has_true == [True, False], "where shapes may stretch they are true nowhere"
    part = answer(pulled(now, Pull("screen-left", 1000.0, 0.0)))
    assert part.said.window == "1000,-240,2760x1920px"
    assert len(part.solved.reached) == 2
    back = pulled(part, Pull("screen-left", -5000.0, 0.0))
    assert (back.window, back.onto) == ("", "all")
    assert answer(back).solved.screen_px == now.solved.screen_px


def handles_of(now):
    return {
        handle.name: handle
        for handle in live_scene(now.solved, width_mm=220, most_high_mm=120).handles
    }


def middle_of_right_edge(told):
    _, (x0, y0), (x1, y1), _ = told.area_corners_seen_mm
    return (x0 + x1) / 2, (y0 + y1) / 2


@pytest.mark.parametrize("fit", ["full", "locked", "cropped"])
@pytest.mark.parametrize(("slant", "turn"), [("12", "0"), ("-7", "180"), ("30", "90")])
def test_the_area_of_a_tablet_askew_is_pulled_in_size_and_place_and_keeps_its_shape(
    fit, slant, turn
):
    now = answer(DESK.with_({"slant": slant, "turn": turn, "fit": fit}))
    handles = handles_of(now)
    assert all(handles[f"area-{edge}"].says.endswith(f"from the {edge}") for edge in EDGES)
    # The largest fills the tablet one way: there it can only become smaller, and its line says so.
    stays = [handles[f"area-{way}"].stays for way in ("across", "down")]
    assert any("cannot move" in why for why in stays)
    smaller = answer(pulled(now, Pull("area-left", 30.0, 0.0)))
    was, area = now.solved.area_seen_mm, smaller.solved.area_seen_mm
    assert area.width == pytest.approx(was.width - 30, abs=0.1)
    assert area.width / area.height == pytest.approx(was.width / was.height, rel=1e-3)
    assert smaller.solved.area_angle_deg == now.solved.area_angle_deg
    # The edge opposite the pulled one, as it lies askew, stays.
    assert middle_of_right_edge(smaller.solved) == pytest.approx(
        middle_of_right_edge(now.solved), abs=0.03
    )
    assert not any(
        handle.stays for name, handle in handles_of(smaller).items() if name.startswith("area")
    )
    # A hand that moves on the desk takes the area with it; the picture's own way from the tablet to
    # the desk says where it is.
    there = answer(pulled(smaller, Pull("area-both", 4.0, -3.0)))
    to_desk = Demonstration.of(now.solved).seen_to_desk
    before = to_desk.point(*smaller.solved.area_seen_mm.centre)
    active = now.solved.request.tablet.active_seen_mm
    toward = (~to_desk).point(before[0] + 4, before[1] - 3)
    box = smaller.solved.area_box_seen_mm
    for axis, (low, high, size) in enumerate(
        ((active.left, active.right, box.width), (active.top, active.bottom, box.height))
    ):
        wanted = min(max(toward[axis], low + size / 2), high - size / 2)
        assert there.solved.area_seen_mm.centre[axis] == pytest.approx(wanted, abs=0.11)
    assert there.solved.area_seen_mm.width == pytest.approx(area.width, abs=0.03)
    assert active.holds(there.solved.area_box_seen_mm, slack=1e-6)
    assert answer(pulled(now, Pull("screen-right", -560.0, 0.0))).solved.screen_px.width <= 2000


def test_in_a_low_room_hand_and_glass_stand_side_by_side_however_small_the_tablet():
    said = DESK.with_({"tablet": "150x94mm", "displays": list(TWO), "onto": "all"})
    scene = live_scene(answer(said).solved, width_mm=220, most_high_mm=70)
    hand, glass = (
        next(text.box_mm for text in scene.texts if word in text.text)
        for word in ("the hand", "the display")
    )
    assert hand[2] < glass[0]


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_nothing_overprints_the_words_at_the_tablet_however_it_is_turned(turn):
    """The triangle at the built top edge has a legend, which overprints nothing.

    Neither it nor a word lies on a dimension or on the glass.
    """
    now = answer(DESK.with_({"turn": str(turn), "within": "10,10,200x90mm"}))
    for width_mm in (95.0, 220.0):
        scene = live_scene(now.solved, width_mm=width_mm, most_high_mm=150)
        assert any("Triangle" in text.text for text in scene.texts) == (turn != 0)
        boxes = [text.box_mm for text in scene.texts]
        boxes += [shape.outline.bounds for shape in scene.shapes("arrow-head")]
        boxes += [shape.outline.bounds for shape in scene.shapes("bezel")]
        lines = [shape.outline.bounds for shape in scene.shapes("hand-dimension")]
        inside = [
            text.box_mm
            for text in scene.texts
            if text.role == "result-word" or "times as large" in text.text
        ]
        for index, one in enumerate(boxes):
            for other in (*boxes[index + 1 :], *lines):
                if one in inside or other in inside:
                    continue
                apart = (
                    one[2] <= other[0]
                    or other[2] <= one[0]
                    or one[3] <= other[1]
                    or other[3] <= one[1]
                )
                assert apart, (one, other)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"distance": "far"}, 'Distance: must be a length ("far"). Type a number'),
        ({"scale": "-1"}, "Scale factor: must be greater than 0"),
        ({"tablet": "240x152"}, 'Tablet size: a length needs its unit ("240x152"). Type'),
        (
            {"displays": ["a: 2560x1440", "a: 2560x1440"]},
            'Displays: each label must be its own ("a" twice).',
        ),
    ],
)
def test_what_is_wrong_is_a_whole_sentence(change, says):
    (said,) = (each.says for each in slips(answer(DESK.with_(change))))
    assert said.startswith(says)


def test_what_is_doubtful_stands_in_its_own_blank_without_an_option_s_name():
    now = answer(DESK.with_({"tablet": "24 x 15,2 cm", "distance": "12 m"}))
    said = {
        blank: list(note(blank, now, now).understood) for blank in ("tablet", "displays", "seat")
    }
    assert said["tablet"] == ["read as 24x15.2cm"]
    assert said["displays"] == []
    assert said["seat"][0].startswith("12000 mm, but 200 to 10000 mm is usual")


def test_what_is_impossible_names_its_blank_and_offers_what_is_possible():
    last = answer(DESK)
    for change, blank in (
        ({"scale": "1"}, "scale"),
        ({"within": "0,0,999x10mm"}, "part"),
        ({"window": "0,0,9000x10px"}, "reach"),
        ({"step": "500mm"}, "step"),
        ({"tablet": "240 by"}, "tablet"),
        ({"displays": ["27in"]}, "displays"),
        ({"distance": "far"}, "seat"),
        ({"slant": "60"}, "lying"),
        ({"entry": "upside down"}, "entry"),
    ):
        now = answer(DESK.with_(change))
        assert [each.blank for each in now.wrong] == [blank], change
        made = note(blank, now, last)
        assert made.wrong or any(each.wrong for each in made.fields)
        assert "--" not in " ".join(made.wrong), "no option stands in a note"
        first = answer(now.said.with_(made.ways[0].change))
        assert first.possible, (change, made.ways[0])
    for change, titles in (
        ({"distance": "70"}, ["As it was before", "70 cm", "70 in"]),
        ({"tablet": "240,5 × 152"}, ["As it was before", "240,5 × 152 mm"]),
    ):
        (blank,) = (each.blank for each in answer(DESK.with_(change)).wrong)
        made = note(blank, answer(DESK.with_(change)), last)
        assert [way.title for way in made.ways][: len(titles)] == titles


def test_a_height_says_how_far_down_one_looks_before_it_is_taken():
    """By hand: 27 in are 336.2 mm high; facing the eyes, 700 sin b = 168.1 cos b makes 13.5."""
    said = DESK.with_({"distance": "70cm"})
    ways = note("stand", answer(said), None).ways
    assert [way.says for way in ways] == [
        "You look 14° down to its centre.",
        "Then it is not known how far down you look.",
    ]


def test_every_blank_has_a_note_whose_ways_can_all_be_taken():
    now = answer(DESK.with_({"displays": list(TWO), "onto": "all", "within": "20,20,200x112.5mm"}))
    for blank in BLANKS:
        for way in note(blank, now, now).ways:
            assert answer(now.said.with_(way.change)).possible, (blank, way)
            assert way.says, f"{way.title} shows what it would do before it is taken"


@pytest.mark.parametrize(
    ("entry", "numbers"),
    [
        ("size mm", ("0", "8.5", "240", "135")),
        ("size mm from bottom-left", ("0", "8.5", "240", "135")),
        ("size percent", ("0", "5.592", "100", "88.816")),
        ("corners mm", ("0", "8.5", "240", "143.5")),
        ("corners mm from bottom-left", ("0", "8.5", "240", "143.5")),
        ("centre mm", ("120", "76", "240", "135")),
        ("size inch comma", ("0", "0,3346", "9,4488", "5,315")),
        ("size counts", ("0", "1275", "36000", "20250")),
    ],
)
def test_the_answer_comes_in_the_form_that_the_driver_wants(entry, numbers):
    """240 x 152 mm under 16:9 leaves 240 x 135 mm, 8.5 mm from either edge: worked by hand."""
    solved, form = answer(DESK).solved, parse_entry(entry, "x")
    assert typed_numbers(solved, form) == numbers
    (sentence,) = answer_sentences(solved, form)
    copied = [group for group in groups(sentence) if group.marked]
    assert [group.pieces[0].text for group in copied] == [*numbers]
    assert all(len(group.pieces) == 2 for group in copied), "a number and the words on its line"
    assert parse_entry(entry_text(parse_entry(entry, "x")), "x") == parse_entry(entry, "x")


def test_texts_of_things_are_as_a_person_would_type_them():
    told = answer(DESK).solved.request
    assert tablet_text(told.tablet) == "240x152mm@150/mm"
    assert display_text(told.desktop.primary, alone=True) == "27in 2560x1440"
    assert form_words(Entry()) == "corner and size, in mm"


@pytest.mark.parametrize(
    "label",
    ["desk: left", "a:b", "27in", "12:30", '"', 'say "x": y', "@connected", "main", "\u05e9: x"],
)
def test_any_label_can_be_written_back(label):
    told = answer(Description(tablet="240x152mm", displays=("27in 2560x1440",))).solved
    tablet = replace(told.request.tablet, label=label)
    display = replace(told.request.desktop.displays[0], label=label)
    said = Description(tablet=tablet_text(tablet), displays=(display_text(display),))
    again = answer(said).solved.request
    assert (again.tablet, again.desktop.displays) == (tablet, (display,))


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (
            {"displays": ["-27in 2560x1440"]},
            'Displays: a length is more than 0, and "-27in 2560x1440" is not.',
        ),
        ({"distance": "-70cm"}, 'Distance: a length is more than 0, and "-70cm" is not.'),
        ({"slant": "60"}, 'How the tablet lies: must be between -45 and 45 degrees ("60").'),
    ],
)
def test_an_error_speaks_the_unit_that_was_typed(change, says):
    now = answer(DESK.with_(change))
    assert next(each.says for each in slips(now)).startswith(says)
    assert now.slips == [], "no doubt about the same besides"


def test_an_error_of_one_blank_is_not_repeated_under_the_ways_of_another():
    now = answer(DESK.with_({"displays": ["27in"]}))
    for blank in ("tablet", "fit", "reach", "hold", "step", "seat"):
        made = note(blank, now, answer(DESK))
        assert made.wrong == []
        assert [way.says for way in made.ways if "isplays" in way.says] == [], blank


def test_what_is_wrong_names_its_field():
    two = ["27in 2560x1440", "side: 24 1920x1080"]
    for change, field, index in (
        ({"displays": two}, "displays", 1),
        ({"within": "0,0,999x10mm"}, "within", None),
        ({"area": "0,0,999x10mm"}, "area", None),
        ({"slant": "60"}, "slant", None),
        ({"window": "0,0,9000x10px"}, "window", None),
    ):
        (slip,) = slips(answer(DESK.with_(change)))
        assert (slip.field, slip.index) == (field, index), change
        fields = note(slip.blank, answer(DESK.with_(change)), None).fields
        assert [bool(each.wrong) for each in fields] == [
            (each.key, each.index) == (field, index) for each in fields
        ]


def test_pixels_that_a_zoom_made_are_asked_about():
    now = answer(DESK.with_({"displays": ["27in 1707x960"]}))
    assert len(now.slips) == 1
    assert "2560 × 1440 pixels at 150 %" in now.slips[0]
    first = note("displays", now, now).ways[0]
    assert (first.title, first.change) == (
        "2560 × 1440, shown at 150 %",
        {"displays": ["27in 2560x1440 zoom 1.5"]},
    )
    assert answer(DESK.with_(first.change)).slips == []
