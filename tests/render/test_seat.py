"""The report and the drawing of a seat, and the command that makes them."""

import itertools
import json
import math
import re
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from mapper.choosing.sitting import sitting_in_arc
from mapper.desk import Display
from mapper.problems import RequestError
from mapper.seat import Seat
from mapper.units import MM_PER_INCH
from render.pictures.seat_view import THICK_MM, seat_scene
from render.reports.seat_text import seat_data, seat_text
from tests.legible import SHEETS_MM, assert_words_stand_free


def display(inches, left_px=0, label="main"):
    return Display(2560, 1440, left_px=left_px, label=label).with_diagonal(inches * MM_PER_INCH)


def one(seat):
    return sitting_in_arc([display(27)], seat, display(27))


# the drawing
# ------------------------------------------------------------


def test_both_views_are_to_one_scale():
    scene = seat_scene(one(Seat(700, 20)))
    plan, side = (shape.outline.points for shape in scene.shapes("bezel"))
    width_mm, height_mm = (27 * MM_PER_INCH * part / math.hypot(16, 9) for part in (16, 9))
    scale = math.dist(plan[0], plan[1]) / width_mm
    assert math.dist(side[0], side[1]) / height_mm == pytest.approx(scale)
    assert math.dist(plan[1], plan[2]) == pytest.approx(THICK_MM * scale)
    # From the eyes, drawn as a dot, to the middle of the glass: 700 mm from the side; from above,
    # the level part of it.
    eyes = [shape.outline.bounds for shape in scene.shapes("dot")]
    level_mm = 700 * math.cos(math.radians(one(Seat(700, 20)).view.centre_deg))
    for (left, top, right, bottom), glass, way_mm in zip(
        eyes, (plan, side), (level_mm, 700), strict=True
    ):
        eye = ((left + right) / 2, (top + bottom) / 2)
        middle = tuple((a + b) / 2 for a, b in zip(glass[0], glass[1], strict=True))
        assert math.dist(eye, middle) == pytest.approx(way_mm * scale)
    # The rule says how long it is.
    (rule,) = (text.text for text in scene.texts if text.text in {"100 mm", "200 mm", "500 mm"})
    drawn = max(
        abs(b[0] - a[0])
        for shape in scene.shapes("rule")
        for a, b in itertools.pairwise(shape.outline.points)
        if a[1] < 60
    )
    assert drawn == pytest.approx(float(rule.split()[0]) * scale)


def test_an_unknown_height_is_drawn_as_recommended_and_said_so():
    scene = seat_scene(one(Seat(700)))
    words = " ".join(text.text for text in scene.texts)
    assert "height not given: drawn with its top at eye level" in words
    assert "top at eye level" in words
    assert "Display height not given" in scene.description


@settings(max_examples=40)
@given(
    st.lists(
        st.tuples(st.floats(10, 50), st.none() | st.floats(1000, 3000)), min_size=1, max_size=4
    ),
    st.floats(400, 3000),
    st.none() | st.floats(-200, 300),
    st.none() | st.floats(-10, 30),
    st.booleans(),
    st.sampled_from(SHEETS_MM),
)
def test_no_word_leaves_the_sheet_or_lies_on_another(  # noqa: PLR0917 - given
    screens, distance_mm, top_mm, tilt_deg, middle, wide_mm
):
    row = [
        display(inches, 2560 * index, f"display {index}")
        for index, (inches, _) in enumerate(screens)
    ]
    radii = {f"display {index}": radius for index, (_, radius) in enumerate(screens) if radius}
    try:
        seat = Seat(distance_mm, top_mm, tilt_deg)
        ahead = None if middle else "display 0"
        sat = sitting_in_arc(row, seat, row[0], ahead=ahead, radii_mm=radii)
        scene = seat_scene(sat, wide_mm=wide_mm)
    except RequestError:
        assume(False)
    assert_words_stand_free(scene)


# the text
# ------------------------------------------------------------


def test_the_caution_is_always_there():
    for seat in (Seat(700), Seat(300, 100, 5.0, 1500.0)):
        text = seat_text(one(seat), {})
        for word in ("Take breaks", "posture", "see a doctor", "rules of your workplace"):
            assert word in " ".join(text.split())
        assert "only advice" in text
    assert "rules of your workplace" in seat_data(one(Seat(700)), {})["caution"]


def test_every_recommendation_is_shown_with_its_name_and_standing():
    text = seat_text(one(Seat(700, 20)), {})
    for phrase in (
        "OSHA, as quoted by others",
        "ISO 9241-3, as quoted by others",
        "common practice, no source",
        "508 to 1016 mm",
    ):
        assert phrase in text


def test_what_was_asked_is_answered():
    text = seat_text(one(Seat(700)), {"angle_deg": 40.0, "arc_minutes": 2.0})
    # By hand: 597.7 / (2 tan 20 deg) = 821 mm; half of the one arc-minute distance, 802.7 / 2 = 401
    # mm.
    assert "40 degrees across, as you asked" in text
    assert "821 mm (32.3 in)" in text
    assert "401 mm (15.8 in)" in text


# the command
# ------------------------------------------------------------

DISPLAY = ("--display", "27in 2560x1440")


def test_a_display_at_a_distance(run):
    code, out, err = run("seat", *DISPLAY, "--distance", "70cm", "--top-below-eyes", "2cm")
    assert (err, code) == ("", 0)
    assert "46.2 degrees across" in out
    assert "top 1.6 degrees below, centre 15.1 degrees below, bottom 28.6 degrees below" in out


def test_the_wanted_angle_gives_the_distance(run):
    code, out, _ = run("seat", *DISPLAY, "--angle", "40", "--as", "json")
    told = json.loads(out)
    assert code == 0
    assert told["displays"][0]["horizontal_deg"] == pytest.approx(40)
    assert told["distance_mm"] == told["distances"]["for_angle_mm"]
    told = json.loads(run("seat", *DISPLAY, "--arc-minutes", "1", "--as", "json")[1])
    assert told["displays"][0]["arc_minutes_per_px_x"] == pytest.approx(1)


def test_a_profile_is_read_and_written_again(run, tmp_path):
    run("map", "--tablet", "240x152mm", *DISPLAY, "--distance", "60cm", "--save", "desk.yaml")
    code, out, _ = run(
        "seat",
        "desk.yaml",
        "--distance",
        "80cm",
        "--top-below-eyes",
        "1in",
        "--tilt",
        "12",
        "--save",
        "after.yaml",
    )
    assert code == 0
    assert out.startswith("800 mm (31.5 in) from main")
    text = (tmp_path / "after.yaml").read_text("utf-8")
    assert "seat:\n  distance_mm: 800.0\n  top_below_eyes_mm: 25.4\n  tilt_deg: 12.0\n" in text
    assert run("check", "after.yaml")[0] == 0
    assert json.loads(run("seat", "after.yaml", "--as", "json")[1])["displays"][0]["top_deg"] > 0


def test_displays_in_an_arc_and_a_curved_one(run):
    code, out, _ = run(
        "seat",
        *("--display", "left: 24in 1920x1200 at -1920,0", *DISPLAY, "--distance", "28in"),
        *("--bezel", "8mm", "--radius", "left: 1500mm", "--picture", "seat.svg"),
    )
    assert code == 0
    assert "degrees to the left" in out
    assert "next display's edge" in out


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((), "needs a desk or --display"),
        (("desk.yaml", *DISPLAY), "needs a desk or --display"),
        ((*DISPLAY,), "--distance: is needed"),
        ((*DISPLAY, "--distance", "70"), "--distance: a length needs its unit"),
        (
            (*DISPLAY, "--distance", "70cm", "--tilt", "1,500"),
            "--tilt: a comma before three digits",
        ),
        ((*DISPLAY, "--angle", "180"), "angle: must be less than 180 degrees"),
        ((*DISPLAY, "--distance", "70cm", "--radius", "5cm"), "display radius: must be at least"),
        (
            (*DISPLAY, "--distance", "70cm", "--radius", "mian: 1yd"),
            "--radius: the unit must be mm",
        ),
        ((*DISPLAY, "--distance", "70cm", "--radius", "mian: 1500mm"), "Did you mean main?"),
        ((*DISPLAY, "--distance", "70cm", "--ahead", "side"), "display: must name a display"),
        ((*DISPLAY, "--distance", "70cm", "--save", "x.yaml"), "--save: needs a desk"),
        (
            (*DISPLAY, "--distance", "20cm", "--top-below-eyes", "90cm"),
            "top below eyes: is too far",
        ),
        (("--display", "1920x1080", "--distance", "70cm"), "its size is needed"),
        ((*DISPLAY, "--distance", "-5cm"), "seat distance_mm: must be greater than 0"),
    ],
)
def test_wrong_requests_are_named(run, arguments, message):
    code, out, err = run("seat", *arguments)
    assert (out, code) == ("", 2)
    assert message in err


@pytest.mark.parametrize("seat", [Seat(700), Seat(700, 20, 5)])
def test_the_picture_describes_itself_in_sentences(seat):
    # A table would run on for a hundred words; a sentence does not.
    sentences = re.split(r"(?<=\.) (?=[A-Z])", seat_scene(one(seat)).description)
    assert max(len(sentence.split()) for sentence in sentences) <= 40
    assert all(sentence.endswith(".") for sentence in sentences)


def test_the_display_straight_ahead_is_kept_with_the_seat(run_alone):
    two = ("--display", "left: 27in 2560x1440 at -2560,0", "--display", "main: 27in 2560x1440")
    desk = ("map", "--tablet", "240x152mm", *two, "--distance", "52cm", "--save", "two.yaml")
    assert run_alone(*desk)[0] == 0
    assert "seat two.yaml" not in run_alone("advise", "two.yaml")[1]
    assert "evenstroke seat DESK --ahead middle" in " ".join(
        run_alone("advise", "two.yaml")[1].split()
    )
    for ahead in ("middle", "left"):
        saved = ("--ahead", ahead, "--save", "two.yaml", "--force")
        assert run_alone("seat", "two.yaml", *saved)[0] == 0
        assert f"ahead: {ahead}\n" in Path("two.yaml").read_text()
        assert "--ahead middle" not in run_alone("advise", "two.yaml")[1] or ahead == "left"
    _, text, _ = run_alone("seat", "two.yaml")
    assert re.search(r"left +straight ahead", text)
    # A display that is gone is nobody's place any more.
    one = ("map", "two.yaml", "--display", "27in 2560x1440", "--save", "one.yaml")
    assert run_alone(*one)[0] == 0
    assert "ahead" not in Path("one.yaml").read_text()
    Path("two.yaml").write_text(Path("two.yaml").read_text().replace("ahead: left", "ahead: lft"))
    code, _, err = run_alone("check", "two.yaml")
    assert code == 1
    assert 'seat.ahead: must be middle or a display: "left", "main"; got "lft"' in err
