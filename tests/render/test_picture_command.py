"""``evenstroke picture`` as a shell sees it."""

import os
import re
import stat
from pathlib import Path

import pytest
from PIL import Image

DESK = ["--tablet", "240x152mm", "--display", "27in 2560x1440"]


@pytest.fixture
def run(run_alone):
    for name, fit in (("today", "full"), ("tomorrow", "locked")):
        assert (
            run_alone("map", *DESK, "--fit", fit, "--workstation", name, "--save", f"{name}.yaml")[
                0
            ]
            == 0
        )
    return run_alone


@pytest.mark.parametrize("view", ["map", "fits", "desk", "glance"])
def test_every_view_draws(run, view):
    assert run("picture", "today.yaml", "out.png", "--view", view) == (0, "", "")
    with Image.open("out.png") as picture:
        assert picture.size == (1600, 900)


def test_several_profiles_stand_side_by_side(run):
    assert run("picture", "today.yaml", "tomorrow.yaml", "out.png") == (0, "", "")
    with Image.open("out.png") as picture:
        title = picture.text["Title"]
    assert title == "A circle was 12.6 % wider than tall, and is now round"


def test_describe_prints_the_picture_in_words(run):
    code, out, _ = run("picture", "today.yaml", "--describe")
    assert code == 0
    assert "a drawn circle comes out 12.6 % wider than tall" in out
    assert not list(Path().glob("*.png"))
    both = run("picture", "today.yaml", "tomorrow.yaml", "out.svg", "--describe")[1]
    assert both.startswith("2 maps side by side. today: ")
    assert both.strip() in Path("out.svg").read_text().replace("&gt;", ">")


@pytest.mark.parametrize(
    ("size", "pixels"),
    [("1920x1080", (1920, 1080)), ("800x800px", (800, 800)), ("297x210mm", (2339, 1654))],
)
def test_sizes(run, size, pixels):
    assert run("picture", "today.yaml", "out.png", "--size", size)[0] == 0
    with Image.open("out.png") as picture:
        assert picture.size == pixels


@pytest.mark.parametrize(
    "size",
    ["big", "100x100", "1920", "1920x1080.5", "10x10mm", "0x0", "99999x99999", "1920,5x1080"],
)
def test_sizes_that_are_none(run, size):
    code, _, err = run("picture", "today.yaml", "out.png", "--size", size)
    assert code == 2
    assert "--size" in err
    assert "got" in err
    assert not Path("out.png").exists()


def test_no_text_leaves_out_all_words(run):
    assert (
        run("picture", "today.yaml", "out.pdf", "--no-text", "--theme", "print", "--units", "in")[0]
        == 0
    )
    assert b"/Font <<" not in Path("out.pdf").read_bytes().replace(b"/Font 3 0 R", b"")


def test_a_drawing_is_drawn_and_drawn_alone(run):
    Path("face.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100"><circle cx="50" cy="50" '
        'r="40" stroke="black"/></svg>'
    )
    assert run("picture", "today.yaml", "sheet.png", "--drawing", "face.svg")[0] == 0
    assert (
        run("picture", "today.yaml", "face2.svg", "--drawing", "face.svg", "--view", "drawing")[0]
        == 0
    )
    assert re.search(r'd="M[^"]*C[^"]*Z"', Path("face2.svg").read_text())
    Image.new("RGB", (300, 200), "white").save("photo.png")
    assert (
        run("picture", "today.yaml", "photo2.jpg", "--drawing", "photo.png", "--view", "drawing")[0]
        == 0
    )
    with Image.open("photo2.jpg") as picture:
        # 597.7 / 240 against 336.2 / 152: 12.59 % wider, and just as high.
        assert picture.size == (338, 200)
    assert (
        run(
            "picture", "tomorrow.yaml", "photo3.png", "--drawing", "photo.png", "--view", "drawing"
        )[0]
        == 0
    )
    with Image.open("photo3.png") as picture:
        assert picture.size == (300, 200)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["today.yaml"], "the name of the picture is missing"),
        (["today.yaml", "out.bmp"], "must end in"),
        (["missing.yaml", "out.png"], "missing.yaml"),
        (["today.yaml", "out.png", "--view", "drawing"], "--drawing FILE"),
        (["today.yaml", "tomorrow.yaml", "out.png", "--view", "desk"], "shows one desk"),
        (["today.yaml", "out.gif", "--view", "desk"], "a moving picture shows the view map"),
        (["today.yaml", "out.png", "--probe", "circel"], "Did you mean circle"),
        (["today.yaml", "tomorrow.yaml"], "must end in"),
        (["today.yaml", "nowhere/out.png"], "could not be written"),
        (["today.yaml", "out.png", "--drawing", "none.png"], "none.png"),
        (
            ["today.yaml", "out.png", "--view", "glance", "--probe", "circle"],
            "neither shapes nor a drawing",
        ),
        (
            [
                "today.yaml",
                "out.png",
                "--view",
                "drawing",
                "--drawing",
                "x.svg",
                "--size",
                "800x600",
            ],
            "its own size",
        ),
        (["today.yaml", "--describe", "--into", "folder"], "goes without --into"),
        (["today.yaml", "today.yaml", "--into", "folder"], "two desks would make the same picture"),
    ],
)
def test_what_cannot_be_drawn_is_said_in_a_line(run, arguments, said):
    code, out, err = run("picture", *arguments)
    assert code == 2
    assert out == ""
    assert said in err
    assert err.count("\n") <= 2
    assert not list(Path().glob("*.png"))


def test_a_batch_goes_on_past_a_bad_file(run):
    good = Path("today.yaml").read_text()
    for index in range(7):
        Path(f"desk{index}.yaml").write_text(good)
    Path("bad.yaml").write_text("evenstroke: 1\n")
    Path("pictures").mkdir()
    Path("pictures/desk3.png").write_bytes(b"mine")
    names = [f"desk{index}.yaml" for index in range(7)]
    code, out, err = run(
        "picture", *names[:4], "bad.yaml", *names[4:], "--into", "pictures", "--size", "640x360"
    )
    assert code == 1
    assert out == ""
    assert "bad.yaml" in err
    assert "desk3.png: already exists" in err
    assert Path("pictures/desk3.png").read_bytes() == b"mine"
    assert sorted(path.name for path in Path("pictures").iterdir()) == [
        f"desk{index}.png" for index in range(7)
    ]
    assert Path("pictures/desk0.png").read_bytes() == Path("pictures/desk6.png").read_bytes()


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write anywhere"
)
def test_a_folder_that_cannot_be_written_is_said(run):
    Path("locked").mkdir()
    Path("locked").chmod(stat.S_IRUSR | stat.S_IXUSR)
    code, _, err = run("picture", "today.yaml", "locked/out.png")
    assert code == 2
    assert "could not be written" in err


def test_revision_against_revision(run, monkeypatch, tmp_path):
    monkeypatch.setenv("EVENSTROKE_LIBRARY", str(tmp_path / "library"))
    for fit in ("full", "locked"):
        run("map", *DESK, "--fit", fit, "--workstation", "studio", "--save", "now.yaml", "--force")
        assert run("keep", "now.yaml")[0] == 0
    for number in ("1", "2"):
        assert run("recall", "studio", "--revision", number, "--out", f"was{number}.yaml")[0] == 0
    code, out, _ = run("picture", "was1.yaml", "was2.yaml", "out.png", "--describe")
    assert code == 0
    assert "studio, setting 1: A circle comes out oval" in out
    assert "studio, setting 2: A circle stays round" in out
