"""Every reader of a stranger's file, by the kind of file, and whole files from which attacks start.

Each reader takes a path, and asserts what must hold of what it reads.
"""

from __future__ import annotations

import io
import json
import shutil
import tempfile
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
import numpy as np
from PIL import Image

from mapper.affine import Affine
from mapper.problems import EvenstrokeError
from mapper.tracing.measure import measure
from mapper.tracing.outline import Placed
from profiles.format.document import load, loads, to_yaml
from profiles.hardware.edid import read_edid
from profiles.hardware.hid import read_descriptor
from profiles.hardware.references import bytes_or_hex
from profiles.known_things import parse_thing
from profiles.library import trial_book
from profiles.library.archive import export_archive, import_archive
from profiles.library.entries import EntryFile, digest
from profiles.library.filled_grid import GridDefaults, filled_grid
from profiles.library.revisions import Library, read_mark
from profiles.lists import decoded, display_list, tablet_list
from profiles.strokes.drawing import read_drawing
from profiles.strokes.traces import TraceRequest, trace_report
from profiles.strokes.tracing import trace_picture
from profiles.touches import read_touches
from render.desk.drafts import Drafts
from tests.drawn_traces import draw_trace, matrix_of
from tests.hardware_bytes import axis, base_block, detailed, pen
from tests.visitor import DESK

if TYPE_CHECKING:
    from collections.abc import Callable

CORPUS = Path(__file__).parent / "corpus"
SAMPLE = Path(__file__).parents[1] / "profiles" / "samples" / "format-1.yaml"
CARD = parse_thing("card", "x")
NOW = datetime(2026, 3, 2, 9, tzinfo=UTC)
#: The kinds of pictures, by their endings.
PICTURES = {
    ".png": "PNG",
    ".jpg": "JPEG",
    ".webp": "WEBP",
    ".tif": "TIFF",
    ".bmp": "BMP",
    ".gif": "GIF",
}


def strokes(path: Path) -> None:
    """A drawing, and a trace of a card: pictures, SVG, CSV and JSON."""
    with suppress(EvenstrokeError):
        drawing = read_drawing(str(path))
        assert drawing.bounds.width > 0 < drawing.bounds.height
    trace_report(TraceRequest((str(path),), (CARD,), (None,)))


def picture(path: Path) -> None:
    """A picture as a drawing and as a trace."""
    with suppress(EvenstrokeError):
        read_drawing(str(path))
    measure([trace_picture(str(path), CARD.outline(), Affine.identity()).trace])


def archive(path: Path) -> None:
    """An archive, beside whose library nothing may be written."""
    before = {each.name for each in path.parent.iterdir()}
    library = Library(path.parent / "library")
    try:
        import_archive(library, path)
    finally:
        assert {each.name for each in path.parent.iterdir()} <= before | {"library"}
        shutil.rmtree(library.root, ignore_errors=True)


def profile(path: Path) -> None:
    """A profile, which is written so that it is read as the same, and can be kept and had back."""
    workstation = loads(path.read_bytes(), "x")
    assert loads(to_yaml(workstation), "x") == workstation
    library = Library(path.parent / "library")
    try:
        kept, _ = library.keep(workstation)
        assert replace(library.load(kept), revision=None) == replace(workstation, revision=None)
    finally:
        shutil.rmtree(library.root, ignore_errors=True)


def entry(kind: str, read: Callable[[EntryFile], object]) -> Callable[[Path], None]:
    """A reader of an entry of a library, under the name that its content asks for."""

    def reader(path: Path) -> None:
        content = path.read_bytes()
        named = path.with_name(f"20260302-090000-000000-{kind}-{digest(content)}.yaml")
        named.write_bytes(content)
        try:
            found = EntryFile.at_path(named)
            assert found is not None
            read(found)
        finally:
            named.unlink()

    return reader


def edid(path: Path) -> None:
    """A display's description of itself."""
    facts = read_edid(bytes_or_hex(path.read_bytes(), "x"), "x")
    assert (facts.width_mm is None) == (facts.height_mm is None) == (not facts.size_source)
    facts.display("x")


def hid(path: Path) -> None:
    """A tablet's description of itself."""
    descriptor = read_descriptor(bytes_or_hex(path.read_bytes(), "x"), "x")
    for found in descriptor.pens:
        assert found.x.counts > 0 < found.y.counts
        assert found.size_mm is None or min(found.size_mm) >= 20
    descriptor.pen("x").tablet("x")


def pasted(path: Path) -> None:
    """A list of tablets or displays, as a table or as lines of a shop."""
    for read in (tablet_list, display_list):
        try:
            assert read(path.read_bytes(), "x").items
        except EvenstrokeError as error:
            assert str(error).startswith("x")


def book(path: Path) -> None:
    """A trial book as CSV, which is written as it was read."""
    found = trial_book.from_csv(decoded(path.read_bytes(), "x"), "x")
    assert trial_book.from_csv(trial_book.to_csv(found), "x") == found


def grid(path: Path) -> None:
    """A grid or a log that was filled in."""
    filled_grid(path.read_bytes(), "x", GridDefaults("2026-03-15"))


def draft(path: Path) -> None:
    """A draft beside a library, which takes a further change."""
    folder = path.parent / "library-drafts"
    folder.mkdir(exist_ok=True)
    shutil.copy(path, folder / "n-x.jsonl")
    found = Drafts(path.parent / "library").get("n-x")
    if found is not None:
        said = found.said().with_({"tablet": "111x99mm"})
        assert found.steps[found.change(found.at, "tablet", said).number].said == said
    shutil.rmtree(folder)


def label(path: Path) -> None:
    """The label of a library."""
    root = path.parent / "library"
    root.mkdir()
    shutil.copy(path, root / "library.yaml")
    try:
        Library(root).stations()
    finally:
        shutil.rmtree(root)


#: The reader of each kind of file.
READERS: dict[str, Callable[[Path], object]] = {
    **dict.fromkeys(["svg", "csv", "json"], strokes),
    **dict.fromkeys([ending[1:] for ending in PICTURES], picture),
    "zip": archive,
    "profile": profile,
    "mark": entry("pin", read_mark),
    "trial": entry("felt", trial_book.read),
    "edid": edid,
    "hid": hid,
    "list": pasted,
    "book": book,
    "grid": grid,
    "touches": lambda path: read_touches(str(path)),
    "draft": draft,
    "label": label,
}


def peak_kb(*, anew: bool = False) -> int:
    """The most memory that this process has had, in KB; with ``anew``, from now on.

    As proc(5) says under clear_refs.
    """
    if anew:
        Path("/proc/self/clear_refs").write_text("5")
    lines = Path("/proc/self/status").read_text().splitlines()
    return int(next(line for line in lines if "VmHWM" in line).split()[1])


def file_name(kind: str) -> str:
    """The name of a file of this ``kind``, with the ending by which its reader knows it."""
    return f"x.{'csv' if kind == 'touches' else kind}"


def in_plain_lines(error: EvenstrokeError) -> bool:
    """Whether each problem of ``error`` is one printable line.

    What stands around a name that is written from right to left is none of its letters.
    """
    isolates = dict.fromkeys([0x2068, 0x2069])
    return all(str(problem).translate(isolates).isprintable() for problem in error.problems)


def _card(folder: Path) -> dict[str, bytes]:
    """A card as somebody traced it, in every kind of picture."""
    plain, found = folder / "plain.png", {}
    draw_trace(plain, CARD.outline(), matrix_of(2.4, 2.2, 2), size_px=(280, 220), stroke_px=3)
    with Image.open(plain) as image:
        for ending, kind in PICTURES.items():
            out = io.BytesIO()
            image.convert("RGB").save(out, kind)
            found[ending[1:]] = out.getvalue()
    return found


def _library(folder: Path) -> dict[str, bytes]:
    """Files of a library with a setting, a pin and a note, and its archive."""
    library = Library(folder / "library")
    desk = replace(load(str(SAMPLE)), name="desk", revision=None)
    kept, _ = library.keep(desk, now=NOW)
    library.decide(kept.path.parent, "pin", kept, note="it is good", now=NOW)
    felt = trial_book.felt_at(
        desk, date="2026-03-01", doing="drawing", score=4, minutes=90.0, who="Kim", note="well"
    )
    trial_book.add(library, felt, now=NOW)
    export_archive(library, folder / "library.zip")
    return {
        "zip": (folder / "library.zip").read_bytes(),
        "mark": next(kept.path.parent.glob("marks/*")).read_bytes(),
        "trial": next(kept.path.parent.glob("trials/*")).read_bytes(),
        "label": (library.root / "library.yaml").read_bytes(),
        "book": trial_book.to_csv(
            [felt, msgspec.structs.replace(felt, score=2, note="=1+1")]
        ).encode(),
    }


def _draft(folder: Path) -> bytes:
    """A draft with a few steps, an undo and a keeping."""
    made = Drafts(folder / "drafted").begin("n-x", {"new": True}, DESK)
    for turn in ("90", "180"):
        made.change(made.at, "turn", DESK.with_({"turn": turn}))
    made.go(1)
    return made.path.read_bytes()


@cache
def starts() -> dict[str, list[bytes]]:
    """Whole files of each kind, from which hostile ones are made."""
    found: dict[str, list[bytes]] = {kind: [] for kind in READERS}
    for path in sorted(CORPUS.glob("*/*")):
        found[path.suffix[1:]].append(path.read_bytes())
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for kind, content in (_card(folder) | _library(folder)).items():
            found[kind].append(content)
        found["draft"].append(_draft(folder))
    placed = Placed(CARD.outline(), matrix_of(10, 10), np.array([1280.0, 720.0]))
    points = placed.boundary(600).points_px.tolist()
    found["json"].append(json.dumps([points]).encode())
    found["csv"].append("\n".join(["x,y", *(f"{x},{y}" for x, y in points)]).encode())
    found["profile"].append(SAMPLE.read_bytes())
    found["edid"].append(base_block(detailed(2560, 1440, 597, 336), name="desk"))
    # Physical sizes in tenths of a centimetre.
    sides = {0x30: ((0, 36_000), (0, 240)), 0x31: ((0, 22_800), (0, 152))}
    fields = (axis(usage, *ranges, exponent=-1) for usage, ranges in sides.items())
    found["hid"].append(pen(*fields))
    found["list"] += [
        b"label,size,counts_per_mm,turn_deg\nM,240x152mm,150,90\nS,160x100mm,100,0\n",
        b"display\twidth (in)\theight (in)\twidth_px\theight_px\nleft\t23.5\t13.2\t2560\t1440\n",
        b'27" QHD 2560 x 1440 IPS\nPad M, 24 x 15,2 cm, 3.810 lpi\n',
    ]
    found["grid"] += [
        b"tablet;27in 2560x1440;24in 1920x1080\n240x152mm;4;3\n160x100mm;;5\n",
        b"date,tablet,display,score,note\n2026-03-01,240x152mm,27in 2560x1440,4,well\n",
    ]
    found["touches"] += [
        b"x_mm,y_mm,x_px,y_px\n10,10,106.7,106.7\n120,76,1280,720\n230,140,2450,1400\n",
    ]
    return found
