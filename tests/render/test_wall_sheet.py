"""The page for the wall: all numbers on it, nothing over another thing or over the edge."""

import io
from datetime import UTC, date, datetime

import pdfplumber
import pytest
from click.testing import CliRunner
from PIL import Image

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.entry import Entry
from mapper.mapping.solve import MapRequest
from mapper.problems import RequestError
from mapper.seat import Seat
from mapper.solving import solve
from profiles.format.document import Revision, Workstation
from render.canvas.draw import to_bytes
from render.cli import group
from render.pages.wall_sheet import PAPERS_MM, wall_sheet
from tests.legible import assert_words_stand_free

MAIN = Display(2560, 1440).with_diagonal(685.8)
DAY = date(2026, 3, 2)


def station(tablet=None, displays=(MAIN,), **more):
    tablet = tablet or Tablet(240, 152, 150)
    return Workstation("corner studio", solve(MapRequest(tablet, Desktop(displays))), **more)


STATIONS = {
    "plain": station(),
    "seat": station(seat=Seat(700, 20), note="Pen on the right."),
    "turned": station(Tablet(480.37, 300.13, turn_deg=90)),
    "askew": station(Tablet(240, 152, slant_deg=12)),
    "counts": station(
        Tablet(330, 214, 150, turn_deg=90), entry=Entry("corners", "counts", from_bottom=True)
    ),
    "angle": station(Tablet(240, 152, 150, slant_deg=12.34), entry=Entry("centre", "counts")),
    "size unknown": station(displays=(Display(1920, 1080),)),
    "many": station(
        displays=(
            MAIN,
            *(
                Display(1920, 1080, 531, 299, 2560 + 1920 * i, 0, f"display number {i}")
                for i in range(5)
            ),
        )
    ),
    "portrait": station(displays=(Display(1440, 2560, 336, 597),)),
    "long": Workstation(
        "the workstation in the far corner of the large studio on the third floor",
        station().map,
        "A long note. " * 40,
        revision=Revision(12, datetime(2026, 1, 15, tzinfo=UTC), "after the new desk came, " * 8),
    ),
}


@pytest.mark.parametrize("paper", PAPERS_MM)
@pytest.mark.parametrize("name", STATIONS)
def test_nothing_lies_over_another_or_over_the_edge(name, paper):
    scene = wall_sheet(STATIONS[name], DAY, paper=paper)
    assert (scene.width_mm, scene.height_mm) == PAPERS_MM[paper]
    assert_words_stand_free(scene, margin_mm=8, touch_mm=0.3)


@pytest.mark.oracle
def test_the_numbers_are_there_to_be_read_out_of_the_pdf():
    scene = wall_sheet(STATIONS["seat"], DAY)
    with pdfplumber.open(io.BytesIO(to_bytes(scene, "pdf", theme="print"))) as pdf:
        assert len(pdf.pages) == 1
        assert float(pdf.pages[0].width) * 25.4 / 72 == pytest.approx(210, abs=0.1)
        words = pdf.pages[0].extract_text()
    for number in (
        "240",
        "8.5",
        "135.000",
        "5.3150",
        "88.816",
        "20250.0",
        "corner studio",
        "70 cm",
        "2026-03-02",
    ):
        assert number in words
    assert "not medical advice" in words
    assert "not medical advice" in scene.description


def test_the_revision_and_its_date_stand_at_the_foot():
    texts = [text.text for text in wall_sheet(STATIONS["long"], DAY).texts]
    assert "setting 12, 2026-01-15" in texts


def test_the_command_makes_one_page(tmp_path):
    runner = CliRunner()
    profile = str(tmp_path / "desk.yaml")
    made = [
        "map",
        "--tablet",
        "240x152mm",
        "--display",
        "27in 2560x1440",
        "--step",
        "0.5mm",
        "--save",
        profile,
    ]
    assert runner.invoke(group, made).exit_code == 0
    for ending in ("pdf", "png"):
        out = tmp_path / f"wall.{ending}"
        assert (
            runner.invoke(group, ["sheet", profile, str(out), "--date", "2026-03-02"]).exit_code
            == 0
        )
        assert out.stat().st_size > 5000
    with Image.open(tmp_path / "wall.png") as opened:
        assert opened.height / opened.width == pytest.approx(297 / 210, abs=0.01)
    wrong = runner.invoke(group, ["sheet", profile, str(tmp_path / "b.pdf"), "--date", "soon"])
    assert isinstance(wrong.exception, RequestError)
