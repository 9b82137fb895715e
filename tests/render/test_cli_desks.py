"""Any desk on the command line.

Windows, parts of the tablet, scales, steps, slants, what is set now, explain.
"""

import json
import re
from pathlib import Path

import pytest
import yaml

from mapper.mapping.steps import SHAPE_TOLERANCE_PERCENT

TABLET, DISPLAY = ["--tablet", "240x152mm@150/mm"], ["--display", "27in 2560x1440"]
TWO = [
    "--display",
    "main: 27in 2560x1440 bezel 8mm zoom 1.25",
    "--display",
    "side: 24in 1080x1920 bezel 10mm at 2560,-240",
]


@pytest.fixture
def mapped(run):
    """The profile, as data, of one ``map`` command on the usual tablet; it must be right."""

    def mapped_one(*arguments, tablet=TABLET, display=DISPLAY):
        code, out, err = run("map", *tablet, *display, *arguments, "--as", "json")
        assert (code, err) == (0, "")
        return json.loads(out)

    return mapped_one


#: The one shape of a rectangle.
EDGES = ["left", "top", "right", "bottom", "width", "height"]


def test_a_scale_beyond_any_hand_is_doubted_by_every_command_that_has_it(
    run, tmp_path, monkeypatch
):
    monkeypatch.chdir(tmp_path)
    code, _, err = run("map", "--tablet", "9x6mm", *DISPLAY, "--save", "desk.yaml")
    assert code == 0
    assert "66.4 times as large, which is very hard to draw with" in err
    for command in (
        ["report", "desk.yaml"],
        ["pad", "desk.yaml", "pad.html"],
        ["stencil", "desk.yaml", "paper.pdf"],
    ):
        assert "desk.yaml: a stroke becomes 66.4 times" in run(*command)[2], command


def test_with_a_step_the_rounded_rectangle_leads(run, mapped):
    code, out, _ = run("map", *TABLET, *DISPLAY, "--step", "4mm")
    assert code == 0
    assert "in steps of 4 mm, as corner and size in mm:" in out
    document = mapped("--step", "4mm")
    rounded = document["area"]["mm"]
    # By hand: of 60 x 38 steps of 4 mm, 57 x 32 are 16:9 within 0.2 %, and none larger is within
    # 0.5 %.
    assert (rounded["width"], rounded["height"]) == (228, 128)
    assert "width 228 mm, height 128 mm" in out
    assert "Before rounding: 0, 8.5, 240 × 135 mm" in out
    assert document["before_rounding"]["mm"]["height"] == 135


def test_a_wider_tolerance_buys_a_larger_area(mapped):
    document = mapped("--step", "4mm", "--shape-tolerance", "2%")
    rounded = document["area"]["mm"]
    # By hand: 60 x 34 steps are 240 x 136 mm; 16/9 over 240/136 is 136/135, a stretch of 1.0074.
    assert (rounded["width"], rounded["height"]) == (240, 136)
    assert document["figures"][0]["stretch"] == pytest.approx(136 / 135, rel=1e-8)


def test_step_choices_list_the_front_and_mark_the_one_taken(run):
    code, out, _ = run("map", *TABLET, *DISPLAY, "--step", "4mm", "--step-choices", "--as", "yaml")
    assert code == 0
    choices = yaml.safe_load(out)["choices"]
    assert [choice["taken"] for choice in choices].count(True) == 1
    largest = choices[0]["area"]["mm"]
    assert (largest["width"], largest["height"], choices[0]["stretch"]) == (192, 108, 1.0)
    sizes = [choice["area_used_percent"] for choice in choices]
    assert sizes == sorted(sizes)
    code, text, _ = run("map", *TABLET, *DISPLAY, "--step", "4mm", "--step-choices")
    assert code == 0
    assert len([line for line in text.splitlines() if line.startswith("* ")]) == 1
    assert len(text.splitlines()) == len(choices) + 3


def test_step_choices_of_a_window_are_in_pixels(run):
    code, out, _ = run(
        "map",
        *TABLET,
        *DISPLAY,
        "--fit",
        "cropped",
        "--step",
        "1mm",
        "--step-choices",
        "--as",
        "json",
    )
    assert code == 0
    choices = json.loads(out)["choices"]
    assert {choice["screen"]["frame"] for choice in choices} == {"desktop"}
    # 240:152 is 30:19; 75 times that, 2250 x 1425, is the largest exact one within 1440.
    screen = choices[0]["screen"]["px"]
    assert (screen["width"], screen["height"]) == (2250, 1425)


@pytest.mark.parametrize(("scale", "fit"), [(3, "locked"), (2, "cropped"), (2.4906, "locked")])
def test_the_scale_that_is_asked_for_is_the_scale_that_comes(mapped, scale, fit):
    document = mapped("--scale", scale, "--fit", fit)
    assert document["summary"]["scale_factor"] == pytest.approx(scale, rel=1e-8)
    assert document["figures"][0]["stretch"] == 1
    assert document["map"]["scale"] == scale


def test_an_impossible_scale_is_refused_with_the_range_and_a_nearest_that_works(run, mapped):
    code, out, err = run("map", *TABLET, *DISPLAY, "--scale", "2.2")
    assert (code, out) == (2, "")
    assert "must be at least 2.22 with fit locked" in err
    assert "Fit cropped allows it" in err
    mapped("--scale", "2.22")
    mapped("--scale", "2.2", "--fit", "cropped")


def test_feel_of_gives_the_same_scales_on_another_desk(run, mapped):
    assert (
        run(
            "map",
            *TABLET,
            *DISPLAY,
            "--fit",
            "full",
            "--workstation",
            "studio",
            "--save",
            "studio.yaml",
        )[0]
        == 0
    )
    studio = mapped("--fit", "full")["figures"][0]
    other = mapped(
        "--feel-of",
        "studio.yaml",
        tablet=["--tablet", "320x200mm"],
        display=["--display", "24in 1920x1200"],
    )
    for key in ("scale_x", "scale_y", "stretch"):
        assert other["figures"][0][key] == pytest.approx(studio[key], rel=1e-8)
    assert other["map"]["feel"]["of"] == "studio"


def test_feel_of_a_desk_with_a_step_is_that_of_what_was_typed(run, mapped):
    assert run("map", *TABLET, *DISPLAY, "--step", "4mm", "--save", "studio.yaml")[0] == 0
    typed = mapped("--step", "4mm")["figures"][0]
    other = mapped("--feel-of", "studio.yaml", display=["--display", "28in 3840x2160"])
    assert other["figures"][0]["scale_x"] == pytest.approx(typed["scale_x"], rel=1e-8)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--scale", "2", "--feel-of", "x.yaml"], "--feel-of"),
        (["--scale", "nan"], "must be a number"),
        (["--scale", "2,500"], "Type 2.500"),
        (["--slant", "1,500"], "Type 1.500"),
        (["--scale", "0"], "greater than 0"),
        (["--scale", "3", "--fit", "full"], "works only with fit locked"),
        (["--step-choices"], "needs --step"),
        (
            ["--step-choices", "--step", "1mm", "--save", "x.yaml"],
            "without --picture, --save and --keep",
        ),
        (["--shape-tolerance", "1%"], "needs --step"),
        (["--step", "300mm"], "must be no larger than the width"),
        (["--slant", "60"], "turned by 90 degrees clockwise, and askew by -30 degrees"),
        (["--slant", "inf"], "must be a number"),
        (["--area", "0,0,300x10mm"], "within the active area"),
        (["--within", "0,0,300x10mm"], "within the active area"),
        (["--area", "0,0,30x10mm", "--within", "0,0,30x10mm"], "taken as it is"),
        (["--area", "0,0,30x10mm", "--fit", "locked"], "must be full"),
        (["--window", "0,0,5000x10px"], "within the desktop"),
        (["--window", "0,0,50x10px of left"], "must name a display"),
        (["--feel-of", "missing.yaml"], "missing.yaml"),
    ],
)
def test_what_cannot_be_had_is_refused(run, arguments, says):
    code, out, err = run("map", *TABLET, *DISPLAY, *arguments)
    assert (code, out) == (2, "")
    assert says in err


def test_all_problems_of_a_request_are_told_at_once(run):
    code, _, err = run(
        "map",
        *TABLET,
        *DISPLAY,
        "--window",
        "1,2",
        "--within",
        "3",
        "--step",
        "4",
        "--onto",
        "left",
    )
    assert code == 2
    assert [line.split(": ")[1] for line in err.splitlines()] == [
        "--onto",
        "--within",
        "--window",
        "--step",
    ]


def test_what_is_set_now_is_taken_as_it_is(run, mapped):
    document = mapped("--area", "10,5,200x120mm")
    assert document["map"]["fit"] == "full"
    assert document["area"]["mm"] == {
        "left": 10,
        "top": 5,
        "right": 210,
        "bottom": 125,
        "width": 200,
        "height": 120,
    }
    # By hand: 200:120 on 16:9, one way (16/9) / (5/3) = 16/15 as long as the other.
    assert document["figures"][0]["stretch"] == pytest.approx(16 / 15)
    _, out, _ = run("map", *TABLET, *DISPLAY, "--area", "10,5,200x120mm")
    assert "This rectangle is set now, as corner and size in mm:" in out


def test_several_displays_are_told_of(run):
    code, out, _ = run("map", "--tablet", "320x200mm@150/mm", *TWO, "--onto", "all")
    assert code == 0
    for line in (
        "The part of the tablet for each display, when not turned (left, top, width × height):",
        "  main to side (to the right)",
        "    a stroke becomes 1.19 times as large",
        "In logical pixels of main (zoom 1.25): 2048 × 1152 px at 0, 0 from its own top left",
    ):
        assert line in out


def test_one_display_of_two_and_the_whole_desktop(run):
    _, out, _ = run("map", "--tablet", "240x152mm", *TWO)
    assert "side           not reached" in out
    assert "cannot do this" in out
    _, out, _ = run(
        "map", "--tablet", "600x400mm", *TWO, "--within", "0,100,300x200mm", "--onto", "main"
    )
    assert "the same map is (when not turned):" in out


def test_few_counts_are_warned_of(run):
    _, out, _ = run("map", "--tablet", "100x70mm@10/mm", *DISPLAY)
    assert (
        "Careful: for each pixel there is less than 1 count (0.39), so the pen cannot reach some "
        "pixels." in out
    )
    _, out, _ = run("map", *TABLET, *DISPLAY)
    assert "Careful" not in out


def test_an_askew_tablet_gets_both_rectangles(run):
    code, out, _ = run("map", *TABLET, *DISPLAY, "--slant", "10", "--step", "0.5mm")
    assert code == 0
    assert "The tablet lies 10° askew to the right." in out
    assert "enter this rectangle with an angle of -10 degrees" in out
    assert (
        "If they cannot, enter this rectangle, in steps of 0.5 mm, as corner and size in mm:" in out
    )
    assert "Your strokes come out askew by 10 degrees to the left." in out
    assert "A stroke of 100 mm ends 17.4 mm from where you expect it" in out


def test_saved_and_checked(run):
    arguments = [
        "--slant",
        "-8",
        "--step",
        "0.1%",
        "--within",
        "5,5,90x90%",
        "--window",
        "10,10,80x80%",
    ]
    assert run("map", *TABLET, *DISPLAY, *arguments, "--save", "desk.yaml")[0] == 0
    assert run("check", "desk.yaml")[0] == 0


def test_none_takes_a_slant_back(run):
    assert run("map", *TABLET, *DISPLAY, "--slant", "10", "--save", "askew.yaml")[0] == 0
    assert "scale factor 2.86 → 2.49" in run("map", "askew.yaml", "--slant", "none")[1]


def test_explain_turns_one_form_into_all(run):
    code, out, _ = run(
        "explain",
        "10,27,200x120mm from bottom-left",
        "--tablet",
        "240x152mm@150/mm",
        "--as",
        "json",
    )
    assert code == 0
    forms = json.loads(out)["area"]
    assert forms["frame"] == "built"
    assert forms["counts"] == {
        "left": 1500,
        "top": 750,
        "right": 31500,
        "bottom": 18750,
        "width": 30000,
        "height": 18000,
    }
    assert forms["centre"]["counts"] == {"x": 16500, "y": 9750}
    # The active area is 22800 counts high; from its bottom y runs up.
    up = forms["from_bottom"]["counts"]
    assert (up["bottom"], up["top"]) == (4050, 22050)
    assert list(up) == list(forms["counts"]) == EDGES
    code, text, _ = run("explain", "10,5,200x120mm", "--tablet", "240x152mm", "--turn", "90")
    assert code == 0
    assert "The same as you see it, turned 90 degrees to the right:" in text
    code, out, _ = run(
        "explain", "10,5,200x120mm", "--tablet", "240x152mm", "--turn", "90", "--as", "yaml"
    )
    assert yaml.safe_load(out)["area"]["seen"]["mm"]["left"] == 152 - 125
    # A desk that is kept has a tablet and its turn.
    run(
        "map",
        "--tablet",
        "240x152mm",
        *DISPLAY,
        "--turn",
        "90",
        "--workstation",
        "desk",
        "--keep",
        "--library",
        "kept",
    )
    explain = ("explain", "10,5,200x120mm", "--library", "kept")
    assert run(*explain) == run(*explain, "desk") == (0, text, "")


def test_explain_refuses_what_is_not_on_the_tablet(run):
    code, out, err = run("explain", "10,5,250x120mm", "--tablet", "240x152mm")
    assert (code, out) == (2, "")
    assert "RECT: must lie within the active area, 240x152 mm; got 250x120 mm at 10,5" in err


def test_what_a_stretch_that_few_notice_would_buy_is_told(run):
    _, out, _ = run("map", *TABLET, *DISPLAY, "--step", "4mm")
    # By hand: 240 x 136 instead of 228 x 128 mm, at a stretch of 136/135.
    assert (
        "An area 12 % larger has a stretch of 0.74 %, which few people notice: "
        "--shape-tolerance 1.5%" in out
    )
    # Where there is little to gain, or the tolerance is as wide already, nothing is told.
    for arguments in (["--step", "0.5mm"], ["--step", "4mm", "--shape-tolerance", "1.5%"]):
        assert "% larger, with" not in run("map", *TABLET, *DISPLAY, *arguments)[1]


def test_the_default_tolerance_is_the_one_that_help_names(run):
    _, out, _ = run("map", "--help")
    assert f"[default: {SHAPE_TOLERANCE_PERCENT:g}%]" in " ".join(out.split())


def test_report_tells_of_a_saved_profile_what_map_told(run):
    arguments = ["--tablet", "320x200mm@150/mm", *TWO, "--onto", "all", "--step", "0.5mm"]
    _, told, _ = run("map", *arguments, "--all", "--save", "desk.yaml")
    assert run("report", "desk.yaml") == (0, told, "")


def test_report_as_data(run):
    arguments = [
        "--tablet",
        "320x200mm@150/mm",
        *TWO,
        "--onto",
        "main",
        "--true-on",
        "main",
        "--hold",
        "top",
    ]
    assert run("map", *arguments, "--save", "desk.yaml")[0] == 0
    code, out, _ = run("report", "desk.yaml", "--as", "json")
    assert code == 0
    report = json.loads(out)
    # By hand: 320 mm of 16:9 are 180 mm high, 20 of 200 are left below; 320 mm for 2560 px, 18.75
    # counts each.
    assert report["unused_built_mm"] == {
        "left": 0,
        "top": 0,
        "right": 0,
        "bottom": pytest.approx(20),
    }
    assert report["hand"]["mm_per_px_x"] == 0.125
    assert report["hand"]["smallest_move_x_mm"] == pytest.approx(19 / 150, abs=1e-6)
    assert report["hand"]["counts_per_px_x"] == 18.75
    main_display, side = report["displays"]
    assert main_display["display_logical_px"] == dict(
        zip(EDGES, (0, 0, 2048, 1152, 2048, 1152), strict=True)
    )
    assert main_display["area_built_mm"] == dict(
        zip(EDGES, (0, 0, 320, 180, 320, 180), strict=True)
    )
    assert side == {"display": "side", "out_of_reach_percent": 100}
    assert report["seams"] == []
    # 3640 px are 455 mm, 1920 px are 240 mm, of which 30 above.
    assert report["whole_desktop"]["possible"] is False
    assert report["whole_desktop"]["beyond_built_mm"] == pytest.approx(
        {"left": 0, "top": 30, "right": 135, "bottom": 10}
    )
    code, out, _ = run("report", "desk.yaml", "--as", "yaml")
    assert yaml.safe_load(out) == report


def test_report_of_a_seam_as_data(run):
    assert run("map", "--tablet", "320x200mm", *TWO, "--onto", "all", "--save", "desk.yaml")[0] == 0
    _, out, _ = run("report", "desk.yaml", "--as", "json")
    (seam,) = json.loads(out)["seams"]
    assert (seam["first"], seam["second"], seam["crossing"], seam["glass_gap_mm"]) == (
        "main",
        "side",
        "right",
        18,
    )


def test_report_refuses_what_is_no_profile(run):
    code, out, err = run("report", "missing.yaml")
    assert (code, out) == (2, "")
    assert "missing.yaml" in err


def test_a_label_with_a_plus_and_one_called_all(run):
    displays = ["--display", "a+b: 24in 1920x1080", "--display", "all: 24in 1920x1080"]
    for label in ("a+b", "all"):
        _, out, _ = run("map", *TABLET, *displays, "--onto", label, "--as", "json")
        assert json.loads(out)["map"]["onto"] == [label]


def test_maps_of_a_tilt_say_so(run):
    _, out, _ = run("map", *TABLET, *DISPLAY, "--slant", "12", "--area", "0,8.5,240x135mm")
    assert out.startswith(
        "A circle stays round, 2.49 times as large, and your strokes come out askew by 12° to "
        "the left.\n"
    )


def test_an_askew_tablet_with_a_trimmed_screen_has_a_window_for_each_area(run):
    asked = ["--slant", "10", "--fit", "cropped", "--scale", "2.2", "--save", "askew.yaml"]
    assert run("map", *TABLET, *DISPLAY, *asked)[0] == 0
    document = json.loads(run("report", "askew.yaml", "--as", "json")[1])
    _, out, _ = run("map", *TABLET, *DISPLAY, "--slant", "10", "--fit", "cropped", "--scale", "2.2")
    for part in (document, document["unturned"]):
        px = part["screen"]["px"]
        assert part["summary"]["scale_factor"] == pytest.approx(2.2)
        assert (
            f"with this part of the display: {px['width']:.1f} × {px['height']:.1f} px"
            in out.replace(".0 ×", " ×")
        )
    _, out, _ = run("map", *TABLET, *DISPLAY, "--slant", "10")
    assert "with this part of the display" not in out
    assert "The scale factor is 2.49 instead of 2.86." in out


def test_every_command_speaks_of_the_map_that_is_entered(run):
    """With 20 mm steps the exact map and the entered one are far apart.

    Here ``check`` and ``felt`` once spoke of the first.
    """
    desk = ["--tablet", "240x152mm", *DISPLAY, "--step", "20mm", "--entry", "corners mm"]
    code, told, _ = run("map", *desk, "--save", "coarse.yaml")
    assert code == 0
    # By hand: of 12 x 7 steps, 7 x 4 are 16:9 within 1.6 %, 9 x 5 within 1.25 %; none is within 0.5
    # %, so the truest is taken.
    assert "left 20 mm, top 20 mm, right 200 mm, bottom 120 mm" in told
    # 27 in are 685.8 mm across; over the diagonal of 180 x 100 mm that is 3.331.
    assert "scale factor   3.33          2.49 before rounding" in told
    every = run("map", *desk, "--all")[1]
    assert "width          180.000" in every
    assert run("report", "coarse.yaml") == (0, every, "")
    # One factor, in the headline too.
    assert "3.33 times as large" in told.splitlines()[0]
    assert "3.33 times as large" in run("check", "coarse.yaml")[1]
    assert "3.33" in run("table", "coarse.yaml")[1]
    assert run("felt", "coarse.yaml", "--score", 4, "--library", "lib", "--who", "me")[0] == 0
    (entry,) = json.loads(run("book", "--as", "json", "--library", "lib")[1])["entries"]
    assert entry["figures"]["scale_factor"] == pytest.approx(3.331, abs=1e-3)


def test_one_factor_and_one_share_are_called_the_same_everywhere(run):
    """One factor and one share have one value everywhere.

    Once there was 2.46 in the headline and 2.554 below, and 94 % over a picture of which a quarter
    was hatched.
    """
    tablet = ["--tablet", "240x152mm"]
    full = [*tablet, *DISPLAY, "--fit", "full", "--save", "full.yaml"]
    told = run("map", *full)[1]
    # 27 in are 685.8 mm across; over the diagonal of 240 x 152 mm that is 2.414.
    assert (
        told.splitlines()[0]
        == "A circle comes out oval, 12.6 % wider than tall, 2.41 times as large."
    )
    assert "scale factor   2.41" in told
    for view in ("map", "glance"):
        assert "2.41" in run("picture", "full.yaml", "--describe", "--view", view)[1]
    two = [
        *tablet,
        *DISPLAY,
        "--display",
        "side: 24in 1080x1920",
        "--onto",
        "all",
        "--save",
        "two.yaml",
    ]
    head = "A circle stays round, 3.54 times as large on main and 4.2 on side."
    assert run("map", *two)[1].splitlines()[0] == head
    assert run("picture", "two.yaml", "--describe")[1].startswith(head)
    # Of a window of 2:1, three quarters of the display, 16:10 takes 1200 of 1500 px: four fifths.
    window = [
        "--tablet",
        "240x150mm",
        "--display",
        "600x400mm 1500x1000",
        "--window",
        "0,0,1500x750px",
    ]
    told = run("map", *window, "--fit", "cropped", "--save", "window.yaml")[1]
    assert "reached        60 %          of the display" in told
    assert re.search(r"part used +80 % +of the part that was asked for", told)
    assert "together 40 %" in told
    assert "The pen reaches 60 % of the display." in run("picture", "window.yaml", "--describe")[1]


def test_report_as_data_has_the_rectangle_and_the_figures_that_its_text_has(run, mapped):
    arguments = ["--step", "0.5mm", "--entry", "centre in"]
    profile = mapped(*arguments)
    assert run("map", *TABLET, *DISPLAY, *arguments, "--save", "desk.yaml")[0] == 0
    report = json.loads(run("report", "desk.yaml", "--as", "json")[1])
    assert report["screen"] == profile["screen"]
    assert report["summary"] == profile["summary"]
    assert report["figures"] == profile["figures"]
    assert profile["area"].items() <= report["area"].items()
    # It tells all that a profile leaves to its reader.
    assert report["before_rounding"]["summary"]["area_used_percent"] > 88
    assert report["area"]["centre"]["mm"]["x"] == 120
    assert len(report["matrix"]) == 3
    text = run("report", "desk.yaml")[1]
    for number in report["enter"]:
        assert f"  {number['label']:<15}{number['text']} in\n" in text


@pytest.mark.parametrize("command", ["advise", "report", "seat", "travel", "table"])
def test_data_keeps_letters_as_they_are(run, command):
    desk = ["--display", "Büro: 27in 2560x1440", "--distance", "70cm", "--workstation", "Büro"]
    assert run("map", *TABLET, *desk, "--save", "desk.yaml")[0] == 0
    code, out, _ = run(command, "desk.yaml", "--as", "json")
    assert code == 0
    assert json.loads(out)
    assert "Büro" in out


def test_a_second_half_that_is_absent_or_stale_is_written_anew_by_map_alone(run):
    assert run("map", *TABLET, *DISPLAY, "--save", "desk.yaml", "--note", "mine")[0] == 0
    text = Path("desk.yaml").read_text()
    wider = text.replace("  width_mm: 240.0", "  width_mm: 300.0")
    anew = "evenstroke map FILE --save FILE --force"
    for edited in (wider[: wider.index("area:")], wider):
        Path("desk.yaml").write_text(edited)
        code, out, err = run("check", "desk.yaml")
        assert (code, out) == (1, "")
        assert anew in err
        saving = ["--save", "desk.yaml"]
        for command in (["report"], ["map"], ["keep"], ["map", "--save", "other.yaml", "--force"]):
            code, out, err = run(command[0], "desk.yaml", *command[1:])
            assert (code, out) == (2, ""), command
            assert anew in err
        assert run("map", "desk.yaml", *saving)[0] == 2
        assert Path("desk.yaml").read_text() == edited
        assert not Path("other.yaml").exists()
        assert run("map", "desk.yaml", *saving, "--force")[0] == 0
        assert run("check", "desk.yaml")[0] == 0
        profile = yaml.safe_load(Path("desk.yaml").read_text())
        # By hand: 152 mm high is 270.2 mm wide at 16:9, which 300 mm can hold.
        assert profile["area"]["mm"]["height"] == 152
        assert (profile["note"], profile["tablet"]["width_mm"]) == ("mine", 300)
