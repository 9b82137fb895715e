"""The chapter on where to sit: what its heading names, in which unit, and what comes first."""

import re
from html import unescape

import pytest

from mapper.choosing.advice import advise
from mapper.choosing.recommended import RECOMMENDED, band_for
from mapper.choosing.sitting import seat_findings, sitting_in_arc
from mapper.desk import Display
from mapper.seat import Seat
from render.desk.answer import answer
from render.desk.chapters import seat as chapter
from render.sentences.lengths import in_unit_of
from render.sentences.seat_heading import outside, seat_heading
from tests.visitor import DESK, offered, whole

#: Words of each heading, and the figure that they are about, by hand.
NAMES = {
    r"nearer than recommended": ("distance", "below"),
    r"farther than recommended": ("distance", "above"),
    r"fills only \d+\u00b0": ("width", "below"),
    r"hard to see": ("width", "above"),
    r"top of the display is above": ("top", "below"),
    r"centre of the display is higher": ("centre", "below"),
    r"centre of the display is lower": ("centre", "above"),
    r"bottom of the display is lower": ("gaze", "above"),
    r"you can see single pixels": ("sharpness", "above"),
}


#: Distances and heights; nobody sees a display that hangs lower than it is away.
SEATS = [
    (distance_mm, top_mm)
    for distance_mm in (300, 450, 550, 700, 850, 1100, 1500)
    for top_mm in (None, -150, 0, 100, 400, 900)
    if top_mm is None or top_mm < distance_mm
]


@pytest.mark.parametrize("inches", [14, 24, 27, 32, 50])
@pytest.mark.parametrize(("distance_mm", "top_mm"), SEATS)
def test_the_heading_names_a_figure_that_is_out(inches, distance_mm, top_mm):
    display = Display(2560, 1440, label="main").with_diagonal(inches * 25.4)
    sitting = sitting_in_arc([display], Seat(distance_mm, top_mm), display, ahead="main")
    heading = seat_heading(sitting, in_unit_of("70cm"))
    sides = {each.key: each.side for each in seat_findings(sitting)}
    named = [about for words, about in NAMES.items() if re.search(words, heading)]
    if named:
        assert [sides[key] for key, _ in named] == [side for _, side in named]
        facts = [each for each in seat_findings(sitting) if not each.recommendation.comfort]
        assert not {key for key, _ in named} & {each.key for each in facts} - {"sharpness"}
    else:
        assert heading.endswith("is comfortable for most people.")
        assert outside(sitting) == []
        assert sides["sharpness"] == "inside"


@pytest.mark.parametrize(
    ("typed", "words", "other"),
    [
        ("70cm", "At 70 cm you can see single pixels; from 80 cm on you cannot.", " in"),
        ("700mm", "At 700 mm you can see single pixels; from 805 mm on you cannot.", " cm"),
        ("27.5in", "At 27.5 in you can see single pixels; from 31.5 in on you cannot.", " cm"),
        ("0.7m", "At 0.7 m you can see single pixels; from 0.8 m on you cannot.", " cm"),
    ],
)
def test_distances_are_in_the_unit_that_was_typed(visitor, typed, words, other):
    """By hand: 0.2335 mm are one arc-minute at 0.2335 / tan(1/60 degree) = 803 mm."""
    at = visitor.begin(DESK.with_({"distance": typed}))
    assert chapter.heading(visitor.desk(at)).sentence == words
    html = visitor.get(f"{at}/chapter/seat").json["html"]
    texts = re.sub(r"<[^>]+>", "\n", html)
    # A display is sold by inches everywhere.
    assert not re.search(rf"\d{other}\b", unescape(texts).replace("27 in", ""))


@pytest.mark.parametrize(
    ("distance", "unit"),
    [("14in", "in"), ("about 14 inches", "in"), ("35cm", "cm"), ("350mm", "mm")],
)
def test_a_place_to_sit_is_offered_and_taken_in_the_unit_that_was_typed(visitor, distance, unit):
    at = visitor.begin(DESK.with_({"distance": distance}))
    html = visitor.get(f"{at}/chapter/seat").json["html"]
    change = next(each for each in offered(html) if "distance" in each)
    assert re.fullmatch(rf"[\d.]+{unit}", change["distance"])
    value = change["distance"].removesuffix(unit)
    assert f"Sit {value} {unit} from the display" in unescape(whole(html))
    said = DESK.with_({"distance": distance, **change})
    sitting = answer(said).workstation
    advice = advise(sitting.map, sitting.seat, band_for("illustration"), "illustration")
    assert advice.finding("distance").side == "inside"


def test_what_costs_least_is_advised_first(visitor):
    """A seat that is too near and a small tablet: moving the chair comes before buying one."""
    said = DESK.with_({"distance": "40cm", "tablet": "100x63mm", "fit": "full"})
    at = visitor.begin(said)
    html = visitor.get(f"{at}/chapter/seat").json["html"]
    costs = re.findall(r"Cost: ([^<]+)<", html)
    assert len(costs) > 1
    bought = ["price" in each.lower() for each in costs]
    assert bought == sorted(bought), "what is to be bought comes last"
    now = answer(said).workstation
    changes = advise(now.map, now.seat, band_for("illustration"), "illustration").changes
    free = sorted((each for each in changes if not each.buys), key=lambda each: each.cost)
    taken = [chapter.as_change(each, in_unit_of("40cm")) for each in free]
    assert len(free) > 1
    # A zoom of the system is no text of a letter.
    assert offered(html) == [each for each in taken if each is not None]


def test_arc_minutes_and_names_of_standards_stand_in_small_print_alone(visitor):
    said = DESK.with_({"distance": "40cm", "drop": "2cm"})
    html = visitor.get(f"{visitor.begin(said)}/chapter/seat").json["html"]
    small = re.search(r"<ul class=\"[^\"]*small-print\">.*?</ul>", html, re.DOTALL)[0]
    assert "arc-minute" in small
    sources = {each.short for each in RECOMMENDED.values() if each.comfort and each.unit != "times"}
    rest = html.replace(small, "")
    assert "arc-minute" not in rest
    assert "\u2032" not in rest
    for source in sources - {"", "arithmetic"}:
        assert source not in rest, source
    assert "OSHA" in small


def test_a_height_that_is_not_said_can_be_said_from_the_chapter(visitor):
    at = visitor.begin(DESK.with_({"distance": "70cm"}))
    html = visitor.get(f"{at}/chapter/seat").json["html"]
    assert 'data-blank="stand"' in html
    known = visitor.changed(at, {"drop": "5cm"})["address"]
    assert 'data-blank="stand"' not in visitor.get(f"{known}/chapter/seat").json["html"]
