"""Files: their kinds, sizes and words; the same bytes every time; whole or not at all."""

import io
import os
import subprocess
import sys
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from PIL import Image

from mapper.paths import Outline
from mapper.problems import RequestError
from mapper.rect import Rect
from render.canvas.draw import pixels, save, to_bytes
from render.canvas.scene import Easel
from render.canvas.theme import THEMES

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def scene():
    easel = Easel(160, 90)
    easel.rect(Rect(10, 10, 60, 40), "plate", radius=3)
    easel.hatch(Rect(12, 12, 50, 9), "spare-hatch")
    easel.shape(Outline.circle(40, 34, 12), "hand")
    easel.shape(Outline.circle(40, 34, 10), "ghost", clip=Rect(30, 30, 20, 20))
    easel.image(
        Image.frombytes("RGB", (2, 1), bytes([255, 0, 0, 0, 0, 255])), Rect(100, 20, 40, 20)
    )
    easel.text("Round & $even$ <stroke>", 80, 70, "label")
    easel.text("turned", 80, 70, "label", turn_deg=90)
    return easel.scene(title="Round & even", description="A <circle> on a plate.")


@pytest.mark.parametrize("kind", ["png", "svg", "pdf", "webp"])
def test_the_same_scene_gives_the_same_bytes(scene, kind):
    assert to_bytes(scene, kind) == to_bytes(scene, kind)


def test_bytes_do_not_depend_on_the_process_or_the_day(checkout):
    code = (
        "import sys, hashlib; from render.canvas.scene import *; from render.canvas.draw import "
        "to_bytes; from mapper.rect import Rect\n"
        "e = Easel(160, 90); e.rect(Rect(10, 10, 60, 40), 'plate'); e.text('even', 20, 20, "
        "'label', turn_deg=30)\n"
        "e.shape(Outline.circle(40, 34, 10), 'ghost', clip=Rect(30, 30, 20, 20))\n"
        "s = e.scene(title='t', description='d')\n"
        "for kind in ('png', 'svg', 'pdf', 'webp'):\n"
        "    print(hashlib.sha256(to_bytes(s, kind, width_px=300)).hexdigest())"
    )
    runs = [
        subprocess.run(
            [sys.executable, "-c", code],
            cwd=checkout,
            env={**os.environ, "PYTHONHASHSEED": seed, "SOURCE_DATE_EPOCH": epoch},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed, epoch in (("1", "0"), ("2", "1700000000"))
    ]
    assert runs[0] == runs[1]


def test_png_and_webp_have_the_width_that_was_asked_for(scene):
    for kind in ("png", "webp"):
        with Image.open(io.BytesIO(to_bytes(scene, kind, width_px=801))) as picture:
            assert picture.size == (801, 451)


def test_a_png_carries_its_words_and_no_version(scene):
    with Image.open(io.BytesIO(to_bytes(scene, "png"))) as picture:
        assert picture.text == {"Title": "Round & even", "Description": "A <circle> on a plate."}


def test_an_svg_has_title_and_description_for_a_screen_reader(scene):
    root = ET.fromstring(to_bytes(scene, "svg"))  # noqa: S314 - our own
    assert root.get("role") == "img"
    named = {element.get("id"): element for element in root}
    title, description = (named[name] for name in root.get("aria-labelledby").split())
    assert (title.tag, title.text) == (f"{SVG}title", "Round & even")
    assert (description.tag, description.text) == (f"{SVG}desc", "A <circle> on a plate.")
    assert root.get("width") == "160mm"
    assert [element.text for element in root.iter(f"{SVG}text")] == [
        "Round & $even$ <stroke>",
        "turned",
    ]


def test_what_is_drawn_is_where_the_scene_says(scene):
    picture = np.asarray(pixels(scene, width_px=1600).convert("RGB"))
    red, blue = picture[300, 1050], picture[300, 1350]
    assert (tuple(red), tuple(blue)) == ((255, 0, 0), (0, 0, 255))
    ground = tuple(int(THEMES["light"]["ground"][at : at + 2], 16) for at in (1, 3, 5))
    assert tuple(picture[5, 5]) == ground
    hand = tuple(int(THEMES["light"]["hand"][at : at + 2], 16) for at in (1, 3, 5))
    # The circle's rightmost point, 52 mm across and 34 mm down, ten pixels for each.
    assert tuple(picture[340, 520]) == hand


def test_themes_change_colours_and_nothing_else(scene):
    shown = {theme: np.asarray(pixels(scene, theme=theme, width_px=400)) for theme in THEMES}
    assert len({image.shape for image in shown.values()}) == 1
    assert not np.array_equal(shown["light"], shown["dark"])


def test_an_existing_file_is_kept_unless_forced(scene, tmp_path):
    path = tmp_path / "picture.png"
    path.write_bytes(b"mine")
    with pytest.raises(RequestError, match="force=True"):
        save(scene, path)
    assert path.read_bytes() == b"mine"
    save(scene, path, force=True)
    assert path.read_bytes().startswith(b"\x89PNG")
    assert [entry.name for entry in tmp_path.iterdir()] == ["picture.png"]


@pytest.mark.parametrize("name", ["picture", "picture.bmp", "picture.jpg", ".png/x"])
def test_another_ending_is_refused_with_the_ones_there_are(scene, tmp_path, name):
    with pytest.raises(RequestError, match=r"must end in \.png, \.svg, \.pdf, \.webp"):
        save(scene, tmp_path / name)
    assert not list(tmp_path.iterdir())


def test_letters_that_the_typeface_lacks_are_no_failure():
    easel = Easel(50, 20)
    easel.text("画 desk", 5, 10, "label")
    odd = easel.scene(title="画", description="画")
    for kind in ("png", "svg", "pdf"):
        assert to_bytes(odd, kind)
