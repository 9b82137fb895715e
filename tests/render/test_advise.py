"""Advice in words, and the command that gives it."""

import json
from collections import defaultdict

import pytest

from mapper.choosing.remedies import RequestChange
from render.sentences.advice import change_words


@pytest.fixture
def desks(run):
    """before.yaml, stretched and too near, and after.yaml, which follows the advice."""
    display = ("--display", "27in 2560x1440")
    run(
        "map",
        "--tablet",
        "240x152mm@150/mm",
        *display,
        "--fit",
        "full",
        "--distance",
        "45cm",
        "--save",
        "before.yaml",
    )
    run(
        "map", "--tablet", "240x152mm@150/mm", *display, "--distance", "85cm", "--save", "half.yaml"
    )
    run("seat", "half.yaml", "--top-below-eyes", "7cm", "--save", "after.yaml")
    return run


def test_each_change_has_its_number_its_source_and_its_cost(desks):
    code, out, err = desks("advise", "before.yaml")
    text = " ".join(out.split())
    assert (err, code) == ("", 0)
    # By hand: 240/152 against 16/9 is 1.1259; the locked area 240 x 135 of 240 x 152 leaves 11.2 %.
    assert "stretch of shapes: 1.126; recommended up to 1.016, Regan and Hamstra 1992" in text
    assert (
        "Keep circles round by not using all of the tablet: the area becomes 240 × 135 mm and "
        "strokes come out 2.49 times as large. Map with --fit locked." in text
    )
    assert "Cost: Part of the active area is not used: 11 %; nothing to buy." in text
    assert (
        "Or: Keep circles round by not using all of the display: the pen reaches "
        "2274 × 1440 px of the display" in text
    )
    assert (
        "eyes to the display: 450 mm; recommended 508 to 1016 mm, OSHA, as quoted by others" in text
    )
    assert "Cost: The display fills" in text
    assert "Not known: How high the display stands" in text
    assert "see a doctor" in text
    assert out.index("eyes to the display") < out.index("stretch of shapes")


def test_before_and_now_are_compared(desks):
    code, out, _ = desks("advise", "after.yaml", "before.yaml")
    assert code == 0
    rows = {
        line.strip().split("  ")[0]: " ".join(line.split())
        for line in out.splitlines()
        if line.startswith("  ")
    }
    before_and_now = out.split("Good:")[0]
    assert "stretch of shapes 1.126 1 up to 1.016 better, now as recommended" in " ".join(
        before_and_now.split()
    )
    assert "area used 100 % 89 %" in rows["area used"]
    assert "Nothing to change" in out
    _, back, _ = desks("advise", "before.yaml", "after.yaml")
    assert "1 1.126 up to 1.016 worse" in " ".join(back.split())


def test_the_same_profile_twice_has_not_changed(desks):
    _, out, _ = desks("advise", "after.yaml", "after.yaml")
    assert "better" not in out
    assert "worse" not in out


def test_plain_data_for_other_programs(desks):
    told = json.loads(desks("advise", "before.yaml", "after.yaml", "--as", "json")[1])
    stretch = next(change for change in told["changes"] if change["about"] == "stretch")
    assert stretch["asks"] == {"fit": "locked"}
    assert not stretch["buys"]
    assert stretch["after"]["area_height_mm"] == pytest.approx(135)
    assert stretch["costs"].startswith("Part of the active area is not used: 11 %")
    assert stretch["instead"][0]["asks"] == {"fit": "cropped"}
    finding = next(finding for finding in told["findings"] if finding["key"] == "distance")
    assert finding["value"] == 450
    assert finding["recommended"]["standing"] == "as quoted by others"
    assert told["unknown"] == ["height"]
    assert {finding["side"] for finding in told["before"]} == {"inside"}
    assert "rules of your workplace" in told["caution"]


def test_a_band_of_ones_own_counts(desks):
    _, out, _ = desks("advise", "after.yaml", "--band", "3\u20134")
    assert "recommended 3 to 4, your own band" in out
    assert "Map with --fit locked --scale 3" not in out
    assert (
        "Ask for a scale factor of 3: the area becomes 199.2 × 112.1 mm and strokes come out 3 "
        "times as large. Map with --scale 3. And set the system's zoom to" in " ".join(out.split())
    )


@pytest.mark.parametrize(
    ("described", "options"),
    [
        (("--display", "27in 1440x2560"), "--turn 90"),
        (
            ("--display", "27in 2560x1440", "--display", "side: 24in 1920x1080", "--onto", "all"),
            "--onto main",
        ),
        (("--display", "27in 2560x1440", "--area", "10,10,160x90mm"), "--area none --fit locked"),
        (
            ("--display", "32in 3840x2160 zoom 2", "--within", "0,0,140x90mm"),
            "--fit cropped --scale 3.5",
        ),
    ],
)
def test_what_is_said_to_be_typed_mends_it(run, described, options):
    run("map", "--tablet", "240x152mm@150/mm", *described, "--save", "desk.yaml")
    told = json.loads(run("advise", "desk.yaml", "--as", "json")[1])
    scale = next(change for change in told["changes"] if change["about"] == "scale")
    assert f" {options}." in scale["do"]
    code, _, err = run("map", "desk.yaml", *options.split(), "--save", "after.yaml")
    assert (err, code) == ("", 0)
    after = json.loads(run("advise", "after.yaml", "--as", "json")[1])
    assert (
        next(finding for finding in after["findings"] if finding["key"] == "scale")["side"]
        == "inside"
    )


@pytest.mark.parametrize(
    ("asks", "said"),
    [
        ({"tablet_mm": [330.0, 214.0]}, "at least 330 × 214 mm"),
        ({"counts_per_mm": 16.0}, "at least 16 counts per mm"),
        ({"zoom": 1.4}, "to 140 %"),
        ({"turn_deg": 90}, "Lay the tablet turned 90 degrees to the right: the area becomes"),
        ({"ahead": "middle", "distance_mm": 900.0}, "sit in front of their middle"),
    ],
)
def test_each_kind_of_change_has_words_for_what_and_for_its_cost(asks, said):
    numbers = defaultdict(lambda: 12.0, distance_before_mm=700.0)
    what, cost = change_words(RequestChange("scale", asks, numbers))
    assert said in what
    assert cost.endswith(".")


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (
            ("after.yaml", "none.yaml"),
            "none.yaml: must be a profile's file or a desk of the library; got neither",
        ),
        (("after.yaml", "--band", "4-3"), "band: must go from low to high"),
        (("after.yaml", "--use", "ilustration"), "Invalid value for '--use'"),
    ],
)
def test_wrong_requests_are_named(desks, arguments, message):
    code, out, err = desks("advise", *arguments)
    assert (out, code) == ("", 2)
    assert message in err
