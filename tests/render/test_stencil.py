"""The stencil's lengths on paper, read back from the PDF and from its pixels, to 0.1 mm."""

import io
import shutil
import subprocess

import numpy as np
import pdfplumber
import pytest
from click.testing import CliRunner
from PIL import Image

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.solve import MapRequest
from mapper.problems import RequestError
from mapper.rect import Rect
from mapper.solving import solve
from mapper.touching.crosses import crosses
from profiles.known_things import parse_thing
from render.canvas.draw import pdf_pages
from render.cli import group
from render.pages.stencil import (
    PAPERS_MM,
    RULE_MM,
    StencilSheet,
    cross_pages,
    probes,
    stencil_pages,
)

# PDF user space: 1/72 inch (ISO 32000-1, 8.3.2.3).
MM = 25.4 / 72
TABLETS = [
    Tablet(240, 152),
    Tablet(240, 152, turn_deg=90),
    Tablet(146, 96, turn_deg=180),
    Tablet(480, 300, turn_deg=270),
    Tablet(330, 214),
]


def stencil(tablet, paper="a4", fit="locked"):
    solved = solve(MapRequest(tablet, Desktop((Display(2560, 1440, 597, 336),)), fit=fit))
    return solved, stencil_pages(solved, StencilSheet("corner studio", paper))


def read(pages):
    return pdfplumber.open(io.BytesIO(pdf_pages(pages)))


def boxes(page):
    """Left, top, right, bottom in mm of every drawn path."""
    for kind in (page.lines, page.rects, page.curves):
        for item in kind:
            yield np.array([item["x0"], item["top"], item["x1"], item["bottom"]]) * MM


@pytest.mark.oracle
@pytest.mark.parametrize("paper", PAPERS_MM)
def test_the_page_and_its_rule_have_their_true_size(paper):
    _, pages = stencil(TABLETS[0], paper)
    with read(pages) as pdf:
        for page in pdf.pages:
            sides = float(page.width) * MM, float(page.height) * MM
            assert sorted(sides) == pytest.approx(sorted(PAPERS_MM[paper]), abs=0.1)
            long_and_flat = [
                b for b in boxes(page) if b[3] - b[1] < 0.5 and abs(b[2] - b[0] - RULE_MM) < 5
            ]
            assert [b[2] - b[0] for b in long_and_flat] == pytest.approx([RULE_MM], abs=0.1)


@pytest.mark.oracle
@pytest.mark.parametrize("tablet", TABLETS[:3])
def test_area_and_shapes_have_their_true_size_and_place(tablet):
    solved, pages = stencil(tablet, "a3")
    assert len(pages) == 1
    with read(pages) as pdf:
        found = list(boxes(pdf.pages[0]))

    def has(width, height):
        return [b for b in found if np.allclose(b[2:] - b[:2], (width, height), atol=0.1)]

    active, area = tablet.active_seen_mm, solved.area_seen_mm
    (edge,) = has(active.width, active.height)
    (used,) = has(area.width, area.height)
    assert used[:2] - edge[:2] == pytest.approx((area.left, area.top), abs=0.1)
    row = probes(area)
    assert len(row) == 4
    for probe in row:
        places = [(b[:2] + b[2:]) / 2 - edge[:2] for b in has(probe.size_mm, probe.size_mm)]
        assert any(
            np.allclose(place, (probe.centre_x_mm, probe.centre_y_mm), atol=0.1) for place in places
        )
        assert parse_thing(probe.words, "--of").place_seen_mm == (
            probe.centre_x_mm,
            probe.centre_y_mm,
        )


@pytest.mark.oracle
@pytest.mark.skipif(
    not shutil.which("pdftoppm"), reason="needs poppler's pdftoppm (Debian poppler-utils)"
)
def test_the_rendered_page_measures_the_same(tmp_path):
    solved, pages = stencil(TABLETS[0])
    (tmp_path / "s.pdf").write_bytes(pdf_pages(pages))
    command = ["pdftoppm", "-r", "600", "-gray", "-singlefile", "s.pdf", "s"]
    subprocess.run(command, cwd=tmp_path, check=True)
    with Image.open(tmp_path / "s.pgm") as image:
        dark = np.asarray(image) < 128
    per_mm = 600 / 25.4
    height_mm, width_mm = np.array(dark.shape) / per_mm
    assert (width_mm, height_mm) == pytest.approx((297, 210), abs=0.1)
    # The rule's base line is the lowest row with some 100 mm of ink; 3.4 mm above it only the ticks
    # of every 10 mm stand.
    base = np.nonzero(dark.sum(axis=1) > 95 * per_mm)[0].max()
    columns = np.nonzero(dark[base - round(3.4 * per_mm), : int(113 * per_mm)])[0]
    ticks = [
        group.mean() / per_mm
        for group in np.split(columns, np.nonzero(np.diff(columns) > 5)[0] + 1)
    ]
    assert np.array(ticks) - ticks[0] == pytest.approx(np.arange(0, RULE_MM + 1, 10), abs=0.1)
    # Left and right edges of the active area, the middles of their lines: the columns with most
    # ink.
    high = np.nonzero(
        dark[: int(180 * per_mm)].sum(axis=0) > 0.95 * solved.request.tablet.height_mm * per_mm
    )[0]
    edges = [
        group.mean() / per_mm for group in np.split(high, np.nonzero(np.diff(high) > 5)[0] + 1)
    ]
    assert edges[-1] - edges[0] == pytest.approx(240, abs=0.1)


@pytest.mark.parametrize("paper", PAPERS_MM)
@pytest.mark.parametrize("tablet", TABLETS)
def test_tiles_cover_all_with_overlaps_whose_crosses_agree(tablet, paper):
    solved, pages = stencil(tablet, paper)
    active = solved.request.tablet.active_seen_mm
    # Every page shows the same drawing: where the active area's edge lies on each page gives the
    # page's place.
    places = []
    for page in pages:
        (edge,) = page.shapes("stencil-edge")
        left, top, right, bottom = edge.outline.bounds
        assert (right - left, bottom - top) == pytest.approx((active.width, active.height))
        places.append((left, top, edge.clip))
    crosses = set()
    for page, (left, top, clip) in zip(pages, places, strict=True):
        assert min(clip.left, clip.top, page.width_mm - clip.right) >= 8
        assert clip.bottom <= page.height_mm - 18
        for mark in page.shapes("stencil-mark"):
            if len(mark.outline.commands) > 3:  # the circles of crosses
                x0, y0, x1, y1 = mark.outline.bounds
                crosses.add((round((x0 + x1) / 2 - left, 3), round((y0 + y1) / 2 - top, 3)))
        for text in page.texts:
            box = text.box_mm
            assert min(box[0], box[1], page.width_mm - box[2], page.height_mm - box[3]) > 2, text
    seen = [
        Rect(clip.left - left, clip.top - top, clip.width, clip.height)
        for left, top, clip in places
    ]
    for x in np.linspace(0, active.width, 23):
        for y in np.linspace(0, active.height, 17):
            assert any(
                r.left - 1e-9 <= x <= r.right + 1e-9 and r.top - 1e-9 <= y <= r.bottom + 1e-9
                for r in seen
            )
    if len(pages) > 1:
        for x, y in crosses:
            assert sum(r.left <= x <= r.right and r.top <= y <= r.bottom for r in seen) >= 2
        assert crosses
    words = {text.text for page in pages for text in page.texts}
    assert ("0,0 as you see it" if tablet.turn_deg else "0,0") in words
    assert ("top edge when not turned" in words) == bool(tablet.turn_deg)
    assert "hold here" in words
    # No word is printed twice on its way over the pages, but for the foot of each.
    assert sum(text.text == "hold here" for page in pages for text in page.texts) == 1


def test_the_command_writes_the_pdf_and_names_the_shapes(tmp_path):
    runner = CliRunner()
    profile, out = str(tmp_path / "desk.yaml"), str(tmp_path / "out.pdf")
    assert (
        runner.invoke(
            group,
            ["map", "--tablet", "240x152mm", "--display", "27in 2560x1440", "--save", profile],
        ).exit_code
        == 0
    )
    result = runner.invoke(group, ["stencil", profile, out])
    assert result.exit_code == 0
    assert '--of "circle 60mm at 42,76mm"' in result.stdout
    assert isinstance(runner.invoke(group, ["stencil", profile, out]).exception, RequestError)
    assert (
        runner.invoke(
            group, ["stencil", profile, out, "--force", "--hand", "left", "--paper", "letter"]
        ).exit_code
        == 0
    )
    assert "must end in .pdf" in str(
        runner.invoke(group, ["stencil", profile, str(tmp_path / "out.doc")]).exception
    )


def test_the_same_stencil_gives_the_same_bytes():
    _, pages = stencil(TABLETS[0])
    assert pdf_pages(pages) == pdf_pages(pages)


def test_an_upright_stencil_uses_its_height():
    upright, flat = probes(Rect(0, 0, 152, 240)), probes(Rect(0, 0, 240, 152))
    assert [each.size_mm for each in upright] == [each.size_mm for each in flat] == [60, 60, 30, 30]
    assert {each.centre_x_mm for each in upright} == {76}
    assert upright[-1].centre_y_mm - upright[0].centre_y_mm > 150


@pytest.mark.parametrize("paper", PAPERS_MM)
@pytest.mark.parametrize("tablet", TABLETS)
def test_no_words_overprint_each_other_or_where_pages_are_glued(tablet, paper):
    for page in stencil(tablet, paper)[1]:
        boxes_mm = [text.box_mm for text in page.texts]
        glued = [shape.outline.bounds for shape in page.shapes("stencil-join")]
        for index, one in enumerate(boxes_mm):
            for other in (*boxes_mm[index + 1 :], *glued):
                apart = (
                    one[2] <= other[0]
                    or other[2] <= one[0]
                    or one[3] <= other[1]
                    or other[3] <= one[1]
                )
                assert apart, (page.texts[index].text, other)


@pytest.mark.oracle
@pytest.mark.parametrize("tablet", TABLETS[:3])
def test_the_numbered_crosses_lie_where_the_touch_test_takes_them_to_lie(tablet):
    """Oracle: pdfplumber's places of lines and numbers; the turn is written out by hand."""
    solved, _ = stencil(tablet, "a3")
    pages = cross_pages(solved, StencilSheet("corner studio", "a3"))
    assert len(pages) == 1
    width, height = tablet.width_mm, tablet.height_mm
    seen = {
        0: lambda x, y: (x, y),
        90: lambda x, y: (height - y, x),
        180: lambda x, y: (width - x, height - y),
    }[tablet.turn_deg]
    with read(pages) as pdf:
        found = list(boxes(pdf.pages[0]))
        numbers = [
            (word["text"], word["x0"] * MM, word["top"] * MM)
            for word in pdf.pages[0].extract_words()
        ]
    wide, tall = (height, width) if tablet.turn_deg == 90 else (width, height)
    frame = next(
        box
        for box in found
        if abs(box[2] - box[0] - wide) < 0.1 and abs(box[3] - box[1] - tall) < 0.1
    )
    across = [box for box in found if abs(box[2] - box[0] - 8) < 0.1 and box[3] - box[1] < 0.5]
    for number, cross in enumerate(crosses(solved), 1):
        x, y = seen(*cross)
        x, y = frame[0] + x, frame[1] + y
        assert any(
            abs((box[0] + box[2]) / 2 - x) < 0.1 and abs((box[1] + box[3]) / 2 - y) < 0.1
            for box in across
        )
        assert any(
            text == str(number) and abs(left - x) < 5 and abs(top - y) < 8
            for text, left, top in numbers
        )
