"""The table and the chart of reach against precision, and the command that makes them."""

import csv
import io
import json
import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mapper.choosing.recommended import band_for
from mapper.choosing.travel import SCALES, Crossing
from mapper.desk import Display
from mapper.units import MM_PER_INCH
from render.pictures.travel_chart import travel_scene
from render.reports.travel_text import travel_text
from tests.legible import SHEETS_MM, assert_words_stand_free

DISPLAY = ("--display", "27in 2560x1440")


def crossed(inches=27, own_scale=None, target_mm=5.6, use="illustration"):
    display = Display(2560, 1440, label="desk").with_diagonal(inches * MM_PER_INCH)
    return Crossing(display, target_mm, "a button", band_for(use), own_scale=own_scale)


def test_the_curves_run_through_what_the_table_says():
    scene = travel_scene(crossed(own_scale=2.5))
    reach, misses = (shape.outline.points for shape in scene.shapes("curve"))
    bottoms = sorted(
        {points[0][1] for shape in scene.shapes("rule") for points in [shape.outline.points]}
    )
    table = crossed(own_scale=2.5)
    for points, bottom, of in (
        (reach, bottoms[0], lambda row: row.corner_to_corner_mm),
        (misses, bottoms[1], lambda row: 100 - row.hit_percent),
    ):
        heights = [bottom - y for _, y in points]
        unit = heights[-1] / of(table.at(6.0))
        for index in (0, 30, 60, 119):
            scale = 1 + 5 * index / 120
            assert heights[index] == pytest.approx(unit * of(table.at(scale)), rel=1e-9, abs=1e-9)
    # Two large dots for the desk's own scale.
    assert len(scene.shapes("result-dot")) == 2
    assert scene.title.startswith("At a scale factor of 2.5 the hand moves 274 mm, and")


@settings(max_examples=60)
@given(
    st.floats(7, 100),
    st.none() | st.floats(0.3, 12),
    st.floats(0.2, 40),
    st.sampled_from(["illustration", "handwriting", "sculpting"]),
    st.sampled_from(SHEETS_MM),
)
def test_no_word_leaves_the_sheet_or_lies_on_another(inches, own_scale, target_mm, use, wide_mm):
    scene = travel_scene(crossed(inches, own_scale, target_mm, use), wide_mm=wide_mm)
    assert_words_stand_free(scene)


def test_the_text_says_why_and_by_whom():
    text = travel_text(crossed(own_scale=2.5))
    for phrase in (
        "At a scale factor of 1 the arm has to move 686 mm from corner to corner",
        "At a scale factor of 5 the target is only",
        "not checked against the standard",
        "common practice, no source",
        "see a doctor",
    ):
        assert phrase in text
    assert "> 2.50" in text


def test_a_command_for_one_display(run):
    code, out, err = run("travel", *DISPLAY, "--as", "csv")
    assert (err, code) == ("", 0)
    rows = list(csv.DictReader(io.StringIO(out)))
    assert [float(row["scale_factor"]) for row in rows] == list(SCALES)
    # By hand: a 27 inch diagonal is 685.8 mm; half of it at a scale of 2.
    assert float(rows[2]["corner_to_corner_mm"]) == pytest.approx(342.9)
    pitch_mm = 685.8 / math.hypot(2560, 1440)
    assert float(rows[0]["target_hand_mm"]) == pytest.approx(24 * pitch_mm, rel=1e-5)


def test_a_profile_brings_its_own_scale(run):
    run("map", "--tablet", "240x152mm", *DISPLAY, "--save", "desk.yaml")
    told = json.loads(run("travel", "desk.yaml", "--as", "json")[1])
    assert told["scale_factor"] == pytest.approx(2.491, abs=5e-4)
    typed = json.loads(run("travel", *DISPLAY, "--tablet", "240x152mm", "--as", "json")[1])
    assert typed["travel"] == told["travel"]
    assert "rules of your workplace" in told["caution"]


def test_published_targets_are_css_pixels(run):
    # W3C WCAG 2.2 speaks of CSS pixels: at a zoom of 1.5 a button of 24 is 36 device pixels.
    run(
        "map",
        "--tablet",
        "240x152mm",
        "--display",
        "27in 3840x2160 zoom 1.5",
        "--save",
        "desk.yaml",
    )
    code, out, _ = run("travel", "desk.yaml")
    assert code == 0
    assert "a button of 36 px" in out


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((), "needs a desk, or --display"),
        (("desk.yaml", "--tablet", "240x152mm"), "needs a desk, or --display"),
        (("--display", "1920x1080"), "its size is needed"),
        ((*DISPLAY, "--target", "buton"), "Did you mean button?"),
        ((*DISPLAY, "--target", "0px"), "--target: must be greater than 0"),
        ((*DISPLAY, "--target", "20"), "--target: a length needs its unit"),
        ((*DISPLAY, "--target", "90cm"), "target width: must be less than the display's"),
        ((*DISPLAY, "--scatter", "0mm"), "--scatter: must be greater than 0"),
    ],
)
def test_wrong_requests_are_named(run, arguments, message):
    code, out, err = run("travel", *arguments)
    assert (out, code) == ("", 2)
    assert message in err


def test_the_picture_describes_itself_in_sentences():
    # A table would run on for a hundred words; a sentence does not.
    sentences = re.split(r"(?<=\.) (?=[A-Z])", travel_scene(crossed(own_scale=2.5)).description)
    assert max(len(sentence.split()) for sentence in sentences) <= 40
    assert all(sentence.endswith(".") for sentence in sentences)
