"""The gallery's list and its check.

That the stored pictures are today's is checked by CI's own step, not here.
"""

import shutil

import pytest
from click.testing import CliRunner
from PIL import Image, ImageDraw

from gallery import build
from gallery.build import FOLDER, PAGE_PICTURES, PICTURES, SOURCES, drift, page, shown


def test_the_page_is_what_the_list_says_and_every_picture_is_there():
    assert (FOLDER / "README.md").read_text("utf-8") == page()
    assert shown(FOLDER) == {
        "README.md",
        *SOURCES,
        *(picture.file for picture in (*PAGE_PICTURES, *PICTURES)),
    }


def test_every_command_makes_its_picture():
    assert all(picture.file in picture.command.split() for picture in PICTURES)
    assert all(picture.caption.endswith(".") for picture in PICTURES)


@pytest.fixture
def pair(tmp_path):
    """A gallery of a page, a drawing and a picture, and its copy."""
    for folder in (tmp_path / "stored", tmp_path / "made"):
        folder.mkdir()
        for name in ("README.md", "portrait-alone.svg", "studio.png"):
            shutil.copy(FOLDER / name, folder)
    return tmp_path / "stored", tmp_path / "made"


def test_a_lost_a_foreign_and_a_changed_file_are_drift(pair):
    stored, made = pair
    assert drift(stored, made) == []
    (stored / "studio.png").rename(stored / "other.png")
    with (stored / "README.md").open("a", encoding="utf-8") as file:
        file.write("more")
    assert [problem.where for problem in drift(stored, made)] == [
        str(stored / "README.md"),
        str(stored / "other.png"),
        str(stored / "studio.png"),
    ]


def test_a_title_that_moved_by_a_pixel_is_no_drift_and_by_eight_is(pair):
    stored, made = pair
    with Image.open(made / "studio.png") as opened:
        picture = opened.convert("RGB")
    title = picture.crop((40, 40, 800, 110))
    for by, drifted in ((1, False), (8, True)):
        moved = picture.copy()
        moved.paste(title, (40 + by, 40))
        moved.save(made / "studio.png")
        assert bool(drift(stored, made)) == drifted


def test_a_line_that_moved_is_drift_and_a_shade_is_not(pair):
    stored, made = pair
    with Image.open(made / "studio.png") as opened:
        picture = opened.convert("RGB")
    picture.point(lambda value: min(255, value + 3)).save(made / "studio.png")
    assert drift(stored, made) == []
    ImageDraw.Draw(picture).line([(0, 300), (1199, 300)], fill=(0, 0, 0), width=4)
    picture.save(made / "studio.png")
    assert [problem.where for problem in drift(stored, made)] == [str(stored / "studio.png")]


def test_a_build_deletes_only_what_the_last_one_wrote(tmp_path, monkeypatch):
    monkeypatch.setattr(build, "FOLDER", tmp_path)
    monkeypatch.setattr(build, "build", print)
    (tmp_path / "README.md").write_text("![Old.](old.png)\n", "utf-8")
    for name in ("old.png", "mine.png"):
        (tmp_path / name).touch()
    CliRunner().invoke(build.command, catch_exceptions=False)
    assert shown(tmp_path) == {"README.md", "mine.png"}


def test_without_a_browser_the_pictures_of_the_page_stay_and_are_not_compared(
    tmp_path, monkeypatch
):
    monkeypatch.setattr(build, "browser", lambda: None)
    monkeypatch.setattr(build, "DESKS", ())
    monkeypatch.setattr(build, "PICTURES", ())
    build.build(tmp_path)
    for picture in PAGE_PICTURES:
        assert (tmp_path / picture.file).read_bytes() == (FOLDER / picture.file).read_bytes()
    monkeypatch.setattr(build, "FOLDER", tmp_path)
    monkeypatch.setattr(build, "build", print)
    result = CliRunner().invoke(build.command, catch_exceptions=False)
    assert result.exit_code == 0
    assert {picture.file for picture in PAGE_PICTURES} <= shown(tmp_path)
