"""A variation is not a new description: `map DESK` changes what is said and leaves the rest."""

import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.feel import Feel
from mapper.mapping.solve import MapRequest
from mapper.mapping.variations import varied
from mapper.rect import Rect
from mapper.solving import solve
from profiles.format.document import load
from profiles.library.revisions import Library

TABLET = Tablet(240, 152, 150)
MAIN = Display(2560, 1440, 597.7, 336.2)
SIDE = Display(1920, 1080, 531.3, 298.9, 2560, 0, "side")
BASE = MapRequest(TABLET, Desktop((MAIN, SIDE)))

SAID = st.fixed_dictionaries(
    {},
    optional={
        "fit": st.sampled_from(["full", "locked", "cropped"]),
        "hold": st.sampled_from(["centre", "top", "bottom-left"]),
        "onto": st.sampled_from([(), ("main",), ("side",), ("main", "side")]),
        "window_px": st.sampled_from([None, Rect(100, 80, 1600, 900), Rect(2600, 10, 800, 600)]),
        "within_built_mm": st.sampled_from([None, Rect(20, 0, 220, 152)]),
        "area_built_mm": st.sampled_from([None, Rect(10, 5, 200, 120)]),
        "tablet": st.sampled_from([TABLET, replace(TABLET, turn_deg=90)]),
        "desktop": st.sampled_from(
            [Desktop((MAIN,)), Desktop((replace(SIDE, left_px=0, label="only"),))]
        ),
    },
)


def possible(said):
    """Whether things said at once can be together; what was there before must not hinder them."""
    area, window = said.get("area_built_mm"), said.get("window_px")
    onto, there = (
        said.get("onto") or (),
        {d.label for d in said.get("desktop", BASE.desktop).displays},
    )
    return (
        not (area and (said.get("within_built_mm") or said.get("fit", "full") != "full"))
        and set(onto) <= there
        and not (window and (onto or "desktop" in said))
    )


@given(st.lists(SAID.filter(possible), min_size=1, max_size=6))
def test_what_was_there_before_never_stands_in_the_way_of_what_is_said(steps):
    request = solve(BASE).request
    for said in steps:
        there = {display.label for display in request.desktop.displays}
        if "desktop" not in said and not set(said.get("onto") or ()) <= there:
            continue
        if said.get("window_px") and not request.desktop.rect_px.holds(said["window_px"]):
            continue
        new = varied(request, said)
        assert {
            name: getattr(new, name) for name in said if said[name] is not None and name != "onto"
        } == {name: value for name, value in said.items() if value is not None and name != "onto"}
        request = solve(new).request


def test_what_gives_way_to_what():
    scaled = replace(BASE, fit="cropped", feel=Feel(3, 3))
    assert varied(scaled, {"fit": "full"}).feel is None
    assert varied(replace(BASE, fit="full"), {"feel": Feel(3, 3)}).fit == "locked"
    assert varied(scaled, {"area_built_mm": Rect(0, 0, 9, 9)}) == replace(
        BASE, fit="full", area_built_mm=Rect(0, 0, 9, 9)
    )
    assert (
        varied(replace(BASE, true_on="side", onto=("main", "side")), {"onto": ("main",)}).true_on
        is None
    )
    assert varied(BASE, {}) == BASE


@pytest.fixture
def run(run_alone, tmp_path, monkeypatch):
    monkeypatch.setenv("EVENSTROKE_LIBRARY", str(tmp_path / "library"))
    return run_alone


@pytest.fixture
def desk(run):
    describe = ("--tablet", "240x152mm@150/mm", "--display", "27in 2560x1440", "--distance", "70cm")
    assert (
        run(
            "map",
            *describe,
            "--save",
            "window.yaml",
            "--workstation",
            "window desk",
            "--note",
            "by the window",
        )[0]
        == 0
    )
    assert run("keep", "window.yaml")[0] == 0
    Path("window.yaml").unlink()


@pytest.mark.usefixtures("desk")
def test_only_what_is_said_changes_and_the_text_says_what_it_does(run, tmp_path):
    code, out, err = run(
        "map", "window desk", "--turn", "180", "--step", "1mm", "--save", "turned.yaml"
    )
    assert (code, err) == (0, "")
    assert out.endswith(
        "\nCompared with window desk, setting 1: circles stay round; tablet turned 0 → 180 degrees "
        "clockwise; "
        f"{out.rpartition('clockwise; ')[2]}"
    )
    turned = load("turned.yaml")
    kept = Library(tmp_path / "library")
    before = kept.load(kept.newest(kept.folder_of("window desk")))
    assert turned.name == "window desk"
    assert turned.revision is None
    assert (turned.seat, turned.note) == (before.seat, before.note)
    assert turned.map.request.tablet == replace(before.map.request.tablet, turn_deg=180)
    back = json.loads(run("map", "turned.yaml", "--step", "none", "--turn", "0", "--as", "json")[1])
    assert back["map"] == json.loads(run("recall", "window desk", "--as", "json")[1])["map"]


@pytest.mark.usefixtures("desk")
def test_keep_keeps_at_once_and_the_only_desk_needs_no_name(run, tmp_path):
    code, out, _ = run("map", "--fit", "full", "--keep")
    assert code == 0
    assert "window desk: kept as setting 2: area 17 mm taller; " in out
    assert "Beside" not in out, "what it changes is said once"
    library = Library(tmp_path / "library")
    assert library.in_force(library.folder_of("window desk")).number == 2
    # Described in full it is a new desk, whatever the library holds.
    new = ("--tablet", "146x96mm", "--display", "24in 1920x1080")
    assert run("map", *new, "--keep")[0] == 2
    assert "needs a name" in run("map", *new, "--keep")[2]
    assert "corner: kept as setting 1" in run("map", *new, "--keep", "--workstation", "corner")[1]
    code, _, err = run("map", "--fit", "full")
    assert code == 2
    assert "--tablet: is needed, or a desk to start from" in err


@pytest.mark.usefixtures("desk")
def test_what_the_desk_brings_along_and_cannot_be_says_how_to_leave_it_out(run):
    assert run("map", "window desk", "--within", "200,100,30x40mm", "--save", "part.yaml")[0] == 0
    code, _, err = run("map", "part.yaml", "--tablet", "168x104mm")
    assert code == 2
    assert err.endswith('That is from "window desk"; to leave it out: --within none\n')
    assert run("map", "part.yaml", "--tablet", "168x104mm", "--within", "none")[0] == 0


@pytest.mark.usefixtures("desk")
def test_a_wholly_other_desk_is_refused_with_what_to_type(run):
    other = (
        "--tablet",
        "330x214mm",
        "--display",
        "34in 3440x1440",
        "--workstation",
        "window desk",
        "--save",
        "o.yaml",
    )
    assert run("map", *other)[0] == 0
    code, out, err = run("keep", "o.yaml")
    assert (code, out) == (2, "")
    assert (
        "a tablet of 330 × 214 mm where setting 1 has a tablet of 240 × 152 mm and 34 in, 3440 "
        "× 1440 px where" in err
    )
    assert "Type --same-desk if it is, or --workstation NAME" in err
    assert "studio: kept as setting 1" in run("keep", "o.yaml", "--workstation", "studio")[1]
    assert "window desk: kept as setting 2" in run("keep", "o.yaml", "--same-desk")[1]
    # Measured again, or one display more, it is the same desk.
    near = ("--tablet", "326x212mm", "--display", "34in 3440x1440", "--display", "24in 1920x1080")
    assert run("map", *near, "--workstation", "studio", "--save", "near.yaml")[0] == 0
    assert run("keep", "near.yaml")[0] == 0


@pytest.mark.usefixtures("desk")
def test_picture_and_profile_are_both_written_or_none(run):
    before = sorted(Path().iterdir())
    assert run("map", "--turn", "90", "--save", "no/such.yaml", "--picture", "p.svg")[0] == 2
    assert run("map", "--turn", "90", "--save", "s.yaml", "--picture", "no/such.svg")[0] == 2
    Path("there.svg").touch()
    assert run("map", "--turn", "90", "--save", "s.yaml", "--picture", "there.svg")[0] == 2
    Path("there.svg").unlink()
    assert sorted(Path().iterdir()) == before
    shutil.rmtree("library")
