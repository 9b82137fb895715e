"""The gallery's list and its check. That the stored pictures are today's is checked by CI's own step, not here."""

import shutil

import pytest
from click.testing import CliRunner
from PIL import Image, ImageDraw

from gallery import build
from gallery.build import FOLDER, PICTURES, SOURCES, drift, page, shown


def test_the_page_is_what_the_list_says_and_every_picture_is_there():
    assert (FOLDER / "README.md").read_text("utf-8") == page()
    assert shown(FOLDER) == {"README.md", *SOURCES, *(picture.file for picture in PICTURES)}


def test_every_command_makes_its_picture():
    assert all(picture.file in picture.command.split() for picture in PICTURES)
    assert all(picture.see.endswith(".") for picture in PICTURES)


@pytest.fixture
def copy(tmp_path):
    shutil.copytree(FOLDER, tmp_path / "copy")
    return tmp_path / "copy"


def test_no_drift_between_a_gallery_and_its_copy(copy):
    assert drift(FOLDER, copy) == []


def test_a_lost_a_foreign_and_a_changed_file_are_drift(copy):
    (copy / "studio.png").rename(copy / "other.png")
    with (copy / "README.md").open("a", encoding="utf-8") as file:
        file.write("more")
    assert [problem.where for problem in drift(copy, FOLDER)] == [
        str(copy / "README.md"),
        str(copy / "other.png"),
        str(copy / "studio.png"),
    ]


def test_a_title_that_moved_by_a_pixel_is_no_drift_and_by_eight_is(copy):
    with Image.open(copy / "studio.png") as opened:
        picture = opened.convert("RGB")
    title = picture.crop((40, 40, 800, 110))
    for by, drifted in ((1, False), (8, True)):
        moved = picture.copy()
        moved.paste(title, (40 + by, 40))
        moved.save(copy / "studio.png")
        assert bool(drift(copy, FOLDER)) == drifted


def test_a_line_that_moved_is_drift_and_a_shade_is_not(copy):
    with Image.open(copy / "studio.png") as opened:
        picture = opened.convert("RGB")
    picture.point(lambda value: min(255, value + 3)).save(copy / "studio.png")
    assert drift(copy, FOLDER) == []
    ImageDraw.Draw(picture).line([(0, 300), (1199, 300)], fill=(0, 0, 0), width=4)
    picture.save(copy / "studio.png")
    assert [problem.where for problem in drift(copy, FOLDER)] == [str(copy / "studio.png")]


def test_a_build_deletes_only_what_the_last_one_wrote(tmp_path, monkeypatch):
    monkeypatch.setattr(build, "FOLDER", tmp_path)
    monkeypatch.setattr(build, "build", print)
    (tmp_path / "README.md").write_text("![Old.](old.png)\n", "utf-8")
    for name in ("old.png", "mine.png"):
        (tmp_path / name).touch()
    CliRunner().invoke(build.command, catch_exceptions=False)
    assert shown(tmp_path) == {"README.md", "mine.png"}
