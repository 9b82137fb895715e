"""Advice in words, and the command that gives it."""

import json

import pytest

from mapper.choosing.advice import Change
from render.reports.advice_text import change_words


@pytest.fixture
def run(run_alone):
    """Runs the whole program in an empty folder: standard output, standard error and exit code."""

    def whole(*arguments):
        code, out, err = run_alone(*arguments)
        return out, err, code

    return whole


@pytest.fixture
def desks(run):
    """before.yaml, stretched and too near, and after.yaml, which follows the advice."""
    display = ("--display", "27in 2560x1440")
    run("map", "--tablet", "240x152mm@150/mm", *display, "--fit", "full", "--distance", "45cm", "--save", "before.yaml")
    run("map", "--tablet", "240x152mm@150/mm", *display, "--distance", "85cm", "--save", "half.yaml")
    run("seat", "half.yaml", "--top-below-eyes", "7cm", "--save", "after.yaml")
    return run


def test_each_change_has_its_number_its_source_and_its_cost(desks):
    out, err, code = desks("advise", "before.yaml")
    text = " ".join(out.split())
    assert (err, code) == ("", 0)
    # By hand: 240/152 against 16/9 is 1.1259; the locked area 240 x 135 of 240 x 152 leaves 11.2 %.
    assert "stretch of shapes: 1.126 times; recommended up to 1.016 times, Regan and Hamstra 1992" in text
    assert "Map with --fit locked, whose area is 240 x 135 mm. Costs: 11.2 % of the active area is idle" in text
    assert "eyes to the screen: 450 mm; recommended 508 to 1016 mm, OSHA (as quoted by others)" in text
    assert "Costs: The picture fills" in text
    assert "Not known: How high the display stands" in text
    assert "see a professional" in text
    assert out.index("eyes to the screen") < out.index("stretch of shapes")


def test_before_and_now_are_compared(desks):
    out, _, code = desks("advise", "after.yaml", "before.yaml")
    assert code == 0
    rows = {line.strip().split("  ")[0]: " ".join(line.split()) for line in out.splitlines() if line.startswith("  ")}
    before_and_now = out.split("Good:")[0]
    assert "stretch of shapes 1.126 times 1 times up to 1.016 times better, now within" in " ".join(
        before_and_now.split()
    )
    assert "area used 100.0 % 88.8 %" in rows["area used"]
    assert "Nothing to change" in out
    back, _, _ = desks("advise", "before.yaml", "after.yaml")
    assert "1 times 1.126 times up to 1.016 times worse" in " ".join(back.split())


def test_the_same_profile_twice_has_not_changed(desks):
    out, _, _ = desks("advise", "after.yaml", "after.yaml")
    assert "better" not in out
    assert "worse" not in out


def test_plain_data_for_other_programs(desks):
    told = json.loads(desks("advise", "before.yaml", "after.yaml", "--as", "json")[0])
    stretch = next(change for change in told["changes"] if change["about"] == "stretch")
    assert stretch["kind"] == "lock"
    assert stretch["area_height_mm"] == pytest.approx(135)
    assert stretch["costs"].startswith("11.2 %")
    finding = next(finding for finding in told["findings"] if finding["key"] == "distance")
    assert finding["value"] == 450
    assert finding["recommended"]["standing"] == "as quoted by others"
    assert told["unknown"] == ["height"]
    assert {finding["side"] for finding in told["before"]} == {"inside"}
    assert "local rules" in told["caution"]


def test_a_band_of_ones_own_counts(desks):
    out, _, _ = desks("advise", "after.yaml", "--band", "3-4")
    assert "recommended 3 to 4, your own band" in out
    assert "Map with --scale 3, to a smaller area, 199.2 x 112.1 mm." in out


NUMBERS = dict.fromkeys(
    (
        *(
            "area_width_mm",
            "area_height_mm",
            "area_lost_percent",
            "scale_after",
            "window_percent",
            "screen_lost_percent",
            "area_scale",
            "window_width_px",
            "window_height_px",
        ),
        *("zoom_before", "zoom_after", "room_times", "distance_mm", "distance_before_mm", "near_mm", "far_mm"),
        *("horizontal_deg", "horizontal_before_deg", "arc_minutes", "arc_minutes_before", "width_px", "counts_per_mm"),
        *("counts_per_mm_before", "top_below_eyes_mm", "lower_mm", "centre_deg", "bottom_deg", "side_deg"),
        *("side_before_deg", "main_deg"),
    ),
    12.0,
)


@pytest.mark.parametrize(
    "kind", ["lock", "whole", "shrink", "larger", "resolution", "zoom", "move", "finer", "height", "tall", "middle"]
)
def test_every_kind_of_change_has_words_for_what_and_for_its_cost(kind):
    what, cost = change_words(Change("scale", kind, NUMBERS))
    assert "12" in what
    assert cost.endswith(".")


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("none.yaml",), "none.yaml: must be a profile's file or a workstation of the library; got neither"),
        (
            ("after.yaml", "none.yaml"),
            "none.yaml: must be a profile's file or a workstation of the library; got neither",
        ),
        (("after.yaml", "--band", "4-3"), "band: must go from low to high"),
        (("after.yaml", "--use", "ilustration"), "Invalid value for '--use'"),
    ],
)
def test_wrong_requests_are_named(desks, arguments, message):
    out, err, code = desks("advise", *arguments)
    assert (out, code) == ("", 2)
    assert message in err
