"""The right number beside the right side in what is said of a map, worked by hand.

The wording may change; which number stands before which word may not.
"""

import re

import pytest

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.entry import Entry
from mapper.mapping.reach import display_reach, in_reach_percent
from mapper.mapping.solve import MapRequest
from mapper.mapping.steps import Step
from mapper.mapping.windows import Strips
from mapper.rect import Rect
from mapper.solving import solve
from render.desk.answer import answer
from render.desk.described import Description
from render.desk.pulls import Limits, Pull, moved, pulled
from render.reports.text import map_text
from render.sentences.entry import answer_sentences, beside_the_numbers
from render.sentences.forms import SHAPE_WORDS, UNIT_WORDS
from render.sentences.left_over import strips_words
from render.sentences.letter import lying_words, place_words
from render.sentences.pairs import FEEL
from render.sentences.say import groups
from render.sentences.seat import below_words
from render.sentences.words import placed, tilt_words, turn_words

SIXTEEN_TO_NINE = Desktop((Display(1600, 900),))


def in_order(text, *words):
    """Whether the words stand in the text in this order, each once it has been looked for."""
    return re.search(".*".join(map(re.escape, words)), text, re.DOTALL) is not None


@pytest.mark.parametrize(
    ("turn_deg", "way"),
    [(90, "90 degrees to the right"), (180, "180 degrees"), (270, "90 degrees to the left")],
)
def test_beside_the_numbers_of_a_turned_tablet_stands_its_rotation(turn_deg, way):
    solved = solve(MapRequest(Tablet(240, 152, turn_deg=turn_deg), SIXTEEN_TO_NINE))
    (said,) = [each for each in beside_the_numbers(solved, Entry()) if "rotation" in each]
    assert f"turned {way}." in said
    assert turn_words(turn_deg) == way


def test_beside_the_numbers_of_a_tablet_that_lies_straight_stands_none():
    solved = solve(MapRequest(Tablet(240, 152), SIXTEEN_TO_NINE))
    assert turn_words(0) == ""
    assert not any("rotation" in each for each in beside_the_numbers(solved, Entry()))


def test_a_window_has_its_left_before_left_and_its_top_before_top():
    window = Rect(400, 100, 800, 450)
    solved = solve(MapRequest(Tablet(240, 135), SIXTEEN_TO_NINE, window_px=window))
    (said,) = [each for each in beside_the_numbers(solved, Entry()) if "800" in each]
    assert in_order(said, "800", "450", "400", "left", "100", "top")
    assert placed(window) == "800 × 450 px at 400, 100"
    assert "800 × 450 px at 400, 100" in map_text(solved)


@pytest.mark.parametrize(
    ("left_px", "top_px", "words"),
    [(1600, 0, "right"), (-1280, 0, "left"), (100, -720, "above"), (100, 900, "below")],
)
def test_a_display_stands_where_it_stands(left_px, top_px, words):
    main, other = Display(1600, 900), Display(1280, 720, left_px=left_px, top_px=top_px)
    assert words in place_words(other, main)


def test_below_eye_level_is_below():
    assert below_words(3.2) == "3.2 degrees below"
    assert below_words(-3.2) == "3.2 degrees above"
    assert below_words(0.04) == "at eye level"


def test_clockwise_is_clockwise():
    # Angles of maps are clockwise, as y runs down.
    assert tilt_words(12) == "by 12° to the right"
    assert tilt_words(-12) == "by 12° to the left"


@pytest.mark.parametrize(
    ("turn", "slant", "words"),
    [
        ("0", "", "straight"),
        ("90", "0", "turned 90° to the right"),
        ("180", "", "turned 180°"),
        ("270", "", "turned 90° to the left"),
        ("0", "10", "10° askew to the right"),
        ("0", "-10", "10° askew to the left"),
        ("270", "5", "turned 90° to the left and 5° askew to the right"),
    ],
)
def test_how_the_tablet_lies(turn, slant, words):
    assert lying_words(turn, slant) == words


def test_strips_by_their_sides():
    assert (
        strips_words(Strips(1, 2, 3, 4), "mm", 0) == "1 mm left, 2 mm top, 3 mm right, 4 mm bottom"
    )
    assert strips_words(Strips(0, 0, 0, 0), "mm", 0) == "nothing"


def test_small_factors_need_large_movements_and_large_ones_are_less_precise():
    # At a factor of 1 the hand goes as far as the pointer; at 6 a sixth of it, with six times the
    # trembling.
    assert "large movements" in FEEL["below"]
    assert "comfortable" in FEEL["inside"]
    assert "less precise" in FEEL["above"]


#: By hand, of 240 x 135 mm that lies 10 from the left and 8.5 from the top of 260 x 152: the four
#: numbers and what each is measured from.
FORMS = {
    ("size", False): [("10", "left"), ("8.5", "top"), ("240", "wide"), ("135", "high")],
    ("size", True): [("10", "left"), ("8.5", "bottom"), ("240", "wide"), ("135", "high")],
    ("corners", False): [("10", "left"), ("8.5", "top"), ("250", "left"), ("143.5", "top")],
    ("corners", True): [("10", "left"), ("8.5", "bottom"), ("250", "left"), ("143.5", "bottom")],
    ("centre", False): [("130", "left"), ("76", "top"), ("240", "wide"), ("135", "high")],
    ("centre", True): [("130", "left"), ("76", "bottom"), ("240", "wide"), ("135", "high")],
}


@pytest.mark.parametrize(("shape", "from_bottom"), FORMS)
def test_each_form_puts_each_number_where_it_belongs(shape, from_bottom):
    request = MapRequest(Tablet(260, 152), SIXTEEN_TO_NINE, within_built_mm=Rect(10, 8.5, 240, 135))
    entry = Entry(shape, "mm", from_bottom)
    (sentence,) = answer_sentences(solve(request), entry)
    assert "in mm" in sentence
    marked = [each.text.split() for each in groups(sentence) if each.marked]
    assert [(words[0], words[-1]) for words in marked] == FORMS[shape, from_bottom]


def test_what_forms_and_units_are_called():
    assert {name: (each.title, each.report) for name, each in SHAPE_WORDS.items()} == {
        "size": ("Corner and size", "corner and size"),
        "corners": ("Two corners", "two corners"),
        "centre": ("Centre and size", "centre and size"),
    }
    assert {name: each.head for name, each in UNIT_WORDS.items()} == {
        "mm": "mm",
        "inch": "inches",
        "percent": "% of active area",
        "counts": "counts",
    }


def test_the_report_has_each_number_in_its_row():
    # By hand: 120 x 67.5 mm at 40, 30 of 240 x 152 mm, 150 counts/mm.
    solved = solve(
        MapRequest(Tablet(240, 152, 150), SIXTEEN_TO_NINE, within_built_mm=Rect(40, 30, 120, 67.5))
    )
    rows = dict(re.findall(r"^ +(\w[\w ]*?) {2,}([\d. ]+)$", map_text(solved), re.MULTILINE))
    assert {label: numbers.split() for label, numbers in rows.items()} == {
        "left": ["40.000", "1.5748", "16.667", "6000.0"],
        "top": ["30.000", "1.1811", "19.737", "4500.0"],
        "right": ["160.000", "6.2992", "66.667", "24000.0"],
        "bottom": ["97.500", "3.8386", "64.145", "14625.0"],
        "width": ["120.000", "4.7244", "50.000", "18000.0"],
        "height": ["67.500", "2.6575", "44.408", "10125.0"],
        "centre across": ["100.000", "3.9370", "41.667", "15000.0"],
        "centre down": ["63.750", "2.5098", "41.941", "9562.5"],
        "from bottom": ["54.500", "2.1457", "35.855", "8175.0"],
    }


def test_what_the_pen_reaches_by_hand():
    # A window of half the width and half the height is a quarter of the pixels.
    solved = solve(MapRequest(Tablet(160, 90), SIXTEEN_TO_NINE, window_px=Rect(800, 450, 800, 450)))
    assert in_reach_percent(solved) == pytest.approx(25)
    (reach,) = display_reach(solved)
    assert reach.missed_percent == pytest.approx(75)
    assert reach.missed_px == Strips(800, 450, 0, 0)
    text = map_text(solved)
    assert re.search(r"reached +25 %", text)
    assert in_order(text, "800 px left", "450 px top", "75 %")


def test_of_two_displays_the_one_asked_for_is_what_counts():
    two = Desktop((Display(1000, 1000), Display(1000, 500, left_px=1000, label="side")))
    solved = solve(MapRequest(Tablet(100, 100), two, onto=("side",), fit="full"))
    assert in_reach_percent(solved) == pytest.approx(100)
    main, side = display_reach(solved)
    assert (main.part_px, main.missed_percent) == (None, 100)
    assert (side.part_px, side.missed_percent) == (Rect(1000, 0, 1000, 500), 0)
    # The right half of the tablet, of which the second display has the upper half.
    both = solve(MapRequest(Tablet(200, 100), two, onto=("main", "side"), fit="full"))
    assert display_reach(both)[1].area_built_mm == Rect(100, 0, 100, 50)


def test_a_step_is_said_in_its_unit():
    asked = MapRequest(Tablet(240, 152, 150), SIXTEEN_TO_NINE, step=Step(1, "counts"))
    assert any("1 count" in each for each in beside_the_numbers(solve(asked), Entry()))


@pytest.mark.parametrize(
    ("what", "by", "expected"),
    [
        # 100 x 50 at 20, 20 in 240 x 152, on whole mm: each edge by itself, the others stay.
        ("left", (7.4, 9), Rect(27, 20, 93, 50)),
        ("left", (7.6, 9), Rect(28, 20, 92, 50)),
        ("right", (7.4, 9), Rect(20, 20, 107, 50)),
        ("top", (9, -7.4), Rect(20, 13, 100, 57)),
        ("bottom", (9, 7.4), Rect(20, 20, 100, 57)),
        ("across", (7.4, 9), Rect(27, 20, 100, 50)),
        ("down", (7.4, 9), Rect(20, 29, 100, 50)),
        ("both", (7.4, 9), Rect(27, 29, 100, 50)),
        # No farther than the room, no shorter than the least.
        ("left", (-99, 0), Rect(0, 20, 120, 50)),
        ("right", (999, 0), Rect(20, 20, 220, 50)),
        ("left", (99, 0), Rect(115, 20, 5, 50)),
        ("both", (999, -999), Rect(140, 0, 100, 50)),
    ],
)
def test_pulls_by_hand(what, by, expected):
    limits = Limits(Rect(0, 0, 240, 152), (1.0, 1.0), 5.0)
    assert moved(Rect(20, 20, 100, 50), what, Pull(f"area-{what}", *by), limits) == expected


def test_a_pull_is_said_so_that_what_was_pulled_decides():
    # By hand: 135 mm less 32 are 103 mm high; 103 / 9 * 16 = 183.11... mm, rounded up, as a
    # thousandth less would trim the height that the hand gave.
    desk = Description(name="d", tablet="240x152mm", displays=("27in 2560x1440",))
    said = pulled(answer(desk), Pull("area-top", 0.0, 32.0))
    assert said.within == "28.444,40.5,183.112x103mm"
    # 1340 px high takes 1340 / 152 * 240 = 2115.8 px, up.
    cropped = answer(desk.with_({"fit": "cropped"}))
    assert pulled(cropped, Pull("screen-top", 0.0, 100.0)).window == "222,100,2116x1340px"
    # 2173.7 px wide less 100 stay 1376.7 high: 2173.68 - 100 and its 152 / 240.
    assert pulled(cropped, Pull("screen-left", 100.0, 0.0)).window == "243,32,2174x1377px"
