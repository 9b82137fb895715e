"""The lists and the chart of pairs, and the command that makes them."""

import csv
import io
import json
import math
import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mapper.choosing.pairing import CUSTOMARY_TABLETS, USUAL_DISPLAYS, pair
from mapper.choosing.recommended import Band, band_for
from mapper.desk import Display, Tablet
from mapper.problems import RequestError
from profiles.csv_cells import unguarded
from profiles.lists import display_list, tablet_list
from render.pictures.pair_chart import MOST_TABLETS, pair_chart_scene
from render.reports.pairs import CSV_HEAD, PAIR_FORMS, pairs_text
from tests.legible import SHEETS_MM, assert_words_stand_free
from tests.strategies import displays, tablets

BAND = band_for("illustration")


def made(form, some_tablets, some_displays, *, only=False, band=BAND):
    return pairs_text(form, some_tablets, some_displays, band, "illustration", only=only)


named = st.text(st.characters(exclude_categories=("C", "Z")), min_size=1, max_size=12)


@settings(max_examples=60)
@given(
    st.lists(st.tuples(tablets, named), min_size=1, max_size=4),
    st.lists(st.tuples(displays(), named), min_size=1, max_size=4),
    st.booleans(),
)
def test_the_csv_is_the_pairs_as_the_csv_module_reads_them(some_tablets, some_displays, only):
    """Oracle: the standard library's csv reader."""
    ours = [
        Tablet(t.width_mm, t.height_mm, t.counts_per_mm, t.turn_deg, name)
        for t, name in some_tablets
    ]
    screens = [
        Display(d.width_px, d.height_px, d.width_mm, d.height_mm, label=name)
        for d, name in some_displays
    ]
    rows = list(csv.DictReader(io.StringIO(made("csv", ours, screens, only=only))))
    expected = [pair(tablet, display) for tablet in ours for display in screens]
    if only:
        # As printed: a scale within half a ten-thousandth of the band's end could be told either
        # way.
        expected = [
            e
            for e in expected
            if e.scale_factor is not None and BAND.side(e.scale_factor) == "inside"
        ]
    assert len(rows) == len(expected)
    for row, one in zip(rows, expected, strict=True):
        assert tuple(row) == CSV_HEAD
        labels = unguarded(row["tablet"]), unguarded(row["display"])
        assert labels == (one.tablet.label, one.display.label)
        assert float(row["area_lost_percent"]) == pytest.approx(one.area_lost_percent, abs=0.0051)
        assert (row["scale_factor"] == "") == (one.scale_factor is None) == (row["band"] == "")
        assert (row["counts_per_px"] == "") == (one.counts_per_px is None)
        if one.scale_factor is not None:
            assert float(row["scale_factor"]) == pytest.approx(one.scale_factor, abs=0.000051)
            assert row["band"] == BAND.side(one.scale_factor)


def test_a_list_of_pairs_can_be_read_again_as_tablets_and_as_displays():
    text = made("csv", CUSTOMARY_TABLETS, USUAL_DISPLAYS)
    assert {tablet.label for tablet in tablet_list(text.encode(), "x").items} == {
        t.label for t in CUSTOMARY_TABLETS
    }
    assert {display.label for display in display_list(text.encode(), "x").items} == {
        d.label for d in USUAL_DISPLAYS
    }


def test_json_holds_what_the_pairs_hold():
    told = json.loads(made("json", CUSTOMARY_TABLETS, (*USUAL_DISPLAYS, Display(1920, 1080))))
    assert told["band"] == {
        "low": 2.0,
        "high": 3.5,
        "source": "common practice, no source",
        "use": "illustration",
    }
    assert len(told["pairs"]) == 28
    first = pair(CUSTOMARY_TABLETS[0], USUAL_DISPLAYS[0])
    assert told["pairs"][0]["scale_factor"] == pytest.approx(first.scale_factor, rel=1e-8)
    assert "scale_factor" not in told["pairs"][6]


def test_text_says_where_the_scale_lies():
    text = made("text", [Tablet(230, 144, 5.0, label="medium")], USUAL_DISPLAYS)
    rows = {line.split("in-")[0].strip(): line for line in text.splitlines() if "in-" in line}
    assert "large movements" in rows["20"]
    assert "comfortable" in rows["27"]
    assert "less precise" in rows["50"]
    assert "! 0." in rows["50"]
    assert "the pen cannot reach every pixel" in text
    # The gauge: the o is left of, inside, or right of the brackets.
    marks = {name: re.search(r"[.\[=\]o<>]{31}", line).group() for name, line in rows.items()}
    assert marks["20"].index("o") < marks["20"].index("[")
    assert marks["27"].index("[") < marks["27"].index("o") < marks["27"].index("]")
    assert marks["50"].index("]") < marks["50"].index("o")


def test_only_comfortable_ones_are_left():
    for form in PAIR_FORMS:
        text = made(form, CUSTOMARY_TABLETS, USUAL_DISPLAYS, only=True)
        assert "less precise" not in text
        assert "above" not in text
    assert "none in the band" in made(
        "text", CUSTOMARY_TABLETS, USUAL_DISPLAYS, only=True, band=Band(20, 21)
    )


# the chart
# ------------------------------------------------------------


def test_dots_lie_where_their_scale_is_and_are_filled_inside_the_band():
    scene = pair_chart_scene(CUSTOMARY_TABLETS, USUAL_DISPLAYS, BAND, "illustration")
    (band,) = scene.shapes("band")
    low, _, high, _ = band.outline.bounds
    expected = [
        pair(tablet, display).scale_factor
        for tablet in CUSTOMARY_TABLETS
        for display in USUAL_DISPLAYS
    ]
    inside = sorted(scale for scale in expected if 2 <= scale <= 3.5)
    found = sorted(
        (shape.outline.bounds[0] + shape.outline.bounds[2]) / 2 for shape in scene.shapes("dot")
    )
    assert len(found) == len(inside) == 8
    assert len(scene.shapes("dot-out")) == 16
    for x, scale in zip(found, inside, strict=True):
        # Equal ratios are equal distances.
        assert (x - low) / (high - low) == pytest.approx(
            math.log(scale / 2) / math.log(3.5 / 2), abs=1e-6
        )
    assert scene.title == "8 of 24 pairs are comfortable for illustration"
    assert "medium, 230 × 144 mm: 20in-hd+ 1.93 (large movements)" in scene.description


@settings(max_examples=40)
@given(
    st.lists(st.tuples(tablets, named), min_size=1, max_size=5),
    st.lists(
        st.tuples(displays(sized=True), named), min_size=1, max_size=9, unique_by=lambda one: one[1]
    ),
    st.floats(0.5, 6),
    st.floats(1, 3),
    st.sampled_from(SHEETS_MM),
)
def test_no_label_leaves_the_sheet_or_lies_on_another(
    some_tablets, some_displays, low, ratio, wide_mm
):
    ours = [Tablet(t.width_mm, t.height_mm, None, t.turn_deg, name) for t, name in some_tablets]
    screens = [
        Display(d.width_px, d.height_px, d.width_mm, d.height_mm, label=name)
        for d, name in some_displays
    ]
    scene = pair_chart_scene(ours, screens, Band(low, low * ratio), None, wide_mm=wide_mm)
    assert_words_stand_free(scene)


def test_a_chart_that_cannot_be_read_is_refused():
    with pytest.raises(RequestError, match=f"at most {MOST_TABLETS} tablets; got 25"):
        pair_chart_scene([Tablet(200, 100)] * 25, USUAL_DISPLAYS, BAND, None)
    with pytest.raises(RequestError, match="needs the size of a display"):
        pair_chart_scene(CUSTOMARY_TABLETS, [Display(1920, 1080)], BAND, None)


# the command
# ------------------------------------------------------------


def test_the_four_customary_sizes_are_one_command(run):
    code, out, err = run("pair", "--want", "2.5")
    assert (err, code) == ("", 0)
    # By hand: 230 x 144 mm holds 230 x 129.375 of 16:9; times 2.5 its diagonal is 659.7 mm, 25.97
    # inches.
    assert re.search(r"medium, 230 × 144 mm\s+26\.0", out)
    assert all(label in out for label in ("small", "medium", "large", "extra large"))


def test_a_wanted_scale_that_no_hand_can_draw_at_is_doubted(run):
    code, out, err = run("pair", "--want", "250")
    assert code == 0
    assert "medium" in out
    assert "a stroke becomes 250 times as large" in err


def test_a_wanted_scale_in_every_form(run):
    things = ("--tablet", "a: 160x90mm", "--display", "b: 320x180mm 1920x1080")
    arguments = ("pair", "--want", "2", *things, "--aspect", "16:9")
    rows = list(csv.DictReader(io.StringIO(run(*arguments, "--as", "csv")[1])))
    assert [(row["for"], row["label"], row["width_mm"], row["height_mm"]) for row in rows] == [
        ("tablet", "a", "320.000", "180.000"),
        ("display", "b", "160.000", "90.000"),
    ]
    told = json.loads(run(*arguments, "--as", "json")[1])
    assert told["answers"][0]["display"]["width_mm"] == pytest.approx(320)
    assert told["answers"][1]["active_area"]["width_mm"] == pytest.approx(160)
    assert told["answers"][1]["band_most"]["width_mm"] == pytest.approx(160)
    assert "| b | 160 × 90 |" in run(*arguments, "--as", "markdown")[1]


def test_a_pasted_list_goes_in_and_a_file_comes_out(run, tmp_path):
    shop, out = tmp_path / "shop.csv", tmp_path / "pairs.csv"
    shop.write_text("name;size;price\nA;240x152mm;12\n", encoding="utf-8")
    code, printed, err = run("pair", "--tablets", str(shop), "--as", "csv", "--out", str(out))
    assert (printed, code) == ("", 0)
    assert err == f"evenstroke: note: {shop}: ignored the columns price\n"
    assert len(out.read_text(encoding="utf-8").splitlines()) == 7
    code, _, err = run("pair", "--tablets", str(shop), "--as", "csv", "--out", str(out))
    assert code == 2
    assert "already exists" in err


def test_a_line_that_cannot_be_read_is_told_after_the_answer_to_the_rest(run, tmp_path):
    (tmp_path / "shop.txt").write_text("240x152mm\nnonsense\n146x96mm\n", "utf-8")
    code, out, err = run(
        "pair", "--tablets", str(tmp_path / "shop.txt"), "--display", "27in 2560x1440"
    )
    assert code == 1
    assert "240 × 152 mm" in out
    assert "146 × 96 mm" in out
    assert "shop.txt line 2: must be a tablet's active area" in err


def test_a_list_may_come_from_standard_input(run, monkeypatch):
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(b"A: 240x152mm\n")))
    code, out, _ = run("pair", "--tablets", "-", "--display", "27in 2560x1440", "--as", "csv")
    assert code == 0
    assert out.splitlines()[1].startswith("A,240,152,,")


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("--want", "2,500"), "--want: a comma before three digits"),
        (("--want", "0"), "--want: must be greater than 0"),
        (("--want", "nan"), "--want: must be a number"),
        (("--want", "2", "--aspect", "16"), "--aspect: must be width to height"),
        (("--want", "2", "--comfortable"), "--comfortable: does not go with --want"),
        (("--aspect", "16:9"), "--aspect: goes with --want"),
        (("--band", "3"), "--band: must be two numbers"),
        (("--band", "3-2"), "band: must go from low to high"),
        (("--tablet", "5x5", "--display", "3"), "--display: must be the size and the pixels"),
        (("--tablets", "/nonesuch"), "/nonesuch: must be a readable list"),
        (("--tablets", "-", "--displays", "-"), "standard input can be read once"),
        (("--picture", "pairs.bmp"), "the name must end in .png"),
    ],
)
def test_wrong_requests_are_named(run, arguments, message):
    code, out, err = run("pair", *arguments)
    assert (out, code) == ("", 2)
    assert message in err


def test_picture_and_text_are_judged_before_either_is_written(run):
    Path("pairs.txt").write_text("mine")
    assert "already exists" in run("pair", "--out", "pairs.txt", "--picture", "pairs.png")[2]
    assert not Path("pairs.png").exists()
    refused = run("pair", "--out", "no-folder/pairs.txt", "--picture", "pairs.png")[2]
    assert "no-folder/pairs.txt: could not be written; got no such file or folder" in refused
    assert not Path("pairs.png").exists()
