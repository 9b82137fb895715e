"""The gallery: a list of pictures, each with the command that makes it and what to see on it, built by one command.

``python -m render.gallery`` builds gallery/ anew; ``--check`` builds it elsewhere and leaves with 1 where what is
stored has drifted from what the commands make today. The commands are run as they are shown.
"""

from __future__ import annotations

import os
import re
import shlex
import shutil
from contextlib import chdir, contextmanager, redirect_stdout
from dataclasses import dataclass
from io import StringIO
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import click

from mapper.problems import AnswerIsNo, Problem

if TYPE_CHECKING:
    from collections.abc import Iterator

    from PIL import Image as PillowImage

__all__ = ["DESKS", "PICTURES", "Picture", "build", "drift"]

FOLDER = Path(__file__).resolve().parent.parent / "gallery"
PAGE = "README.md"

#: The desks that the pictures show: invented, each made by one command.
DESKS = (
    'evenstroke map --tablet 224x148mm --display "27in 2560x1440" --fit locked --workstation "corner studio" --save studio.yaml',
    'evenstroke map --tablet 224x148mm --display "27in 2560x1440" --fit full --workstation "corner studio, before" --save before.yaml',
)


@dataclass(frozen=True, slots=True)
class Picture:
    """One picture: its file, the command that makes it and one sentence on what to see."""

    file: str
    command: str
    see: str


#: In the order of the page. A new picture is one entry here and a run of ``python -m render.gallery``.
PICTURES = (
    Picture(
        "studio.png",
        "evenstroke picture studio.yaml studio.png",
        "A tablet trimmed to the screen's shape: the hatched strips are out of use, and a circle stays round.",
    ),
    Picture(
        "before.png",
        "evenstroke picture before.yaml before.png",
        "The same tablet, all of it on all of the screen: the circle bulges past the true one, shown dashed.",
    ),
    Picture(
        "pairs.png",
        "evenstroke pair --chart pairs.png",
        "Which display goes with which customary tablet: filled dots in the shaded band are comfortable pairs.",
    ),
    Picture(
        "seat.png",
        'evenstroke seat --display "left: 24in 1920x1200 at -1920,0" --display "main: 27in 2560x1440" '
        '--display "side: 34in 3440x1440 at 2560,0" --radius "side: 1500mm" --distance 70cm --top-below-eyes 2cm --picture seat.png',
        "Three displays in an arc, each turned to face the eyes, from above and from the side; shaded is what is recommended.",
    ),
    Picture(
        "travel.png",
        "evenstroke travel studio.yaml --chart travel.png",
        "Why a scale factor of 1 tires the arm and 5 misses: the hand's way falls and its misses rise with the scale.",
    ),
    Picture(
        "comfortable-band.png",
        "evenstroke book --add trials.csv && evenstroke band --picture comfortable-band.png",
        "Twenty-four noted days of an invented illustrator: every score, the band they make, and how sure it is.",
    ),
)

#: Files of the gallery that are written by hand: pages, and what commands read.
SOURCES = ("trials.csv", "comfortable-band.md")

# Stored pictures are narrower than what the commands make, and have a palette: a page of them should load quickly.
STORED_WIDTH_PX = 1200
STORED_COLOURS = 128

# Letters move by fractions of a pixel from one FreeType to the next; a line that has moved does not pass.
_SHRINK = 3
_DIFFERS = 48
_MOST_DIFFERING = 0.002


def build(folder: Path) -> None:
    """Make every picture and the page in ``folder``, which exists."""
    with TemporaryDirectory() as work, _own_library(Path(work) / "library"):
        for source in SOURCES:
            shutil.copy(FOLDER / source, work)
            if folder != FOLDER:
                shutil.copy(FOLDER / source, folder)
        with chdir(work):
            for line in (*DESKS, *(picture.command for picture in PICTURES)):
                for command in line.split(" && "):
                    _run(command)
        for picture in PICTURES:
            _store(Path(work) / picture.file, folder / picture.file)
    (folder / PAGE).write_text(page(), encoding="utf-8")


@contextmanager
def _own_library(folder: Path) -> Iterator[None]:
    """A library of the gallery's own: what stands in the reader's must show in no picture."""
    before = os.environ.get("EVENSTROKE_LIBRARY")
    os.environ["EVENSTROKE_LIBRARY"] = str(folder)
    try:
        yield
    finally:
        if before is None:
            del os.environ["EVENSTROKE_LIBRARY"]
        else:
            os.environ["EVENSTROKE_LIBRARY"] = before


def _run(command: str) -> None:
    from render.cli import group

    words = shlex.split(command)
    with redirect_stdout(StringIO()):
        group.main(words[1:], prog_name=words[0], standalone_mode=False)


def _store(made: Path, stored: Path) -> None:
    if made.suffix != ".png":
        stored.write_bytes(made.read_bytes())
        return
    from PIL import Image

    with Image.open(made) as opened:
        picture = opened.convert("RGB")
        high = round(picture.height * STORED_WIDTH_PX / picture.width)
        small = picture.resize((STORED_WIDTH_PX, high), Image.Resampling.LANCZOS, reducing_gap=3.0)
        small.quantize(STORED_COLOURS, dither=Image.Dither.NONE).save(stored, optimize=True)


def page() -> str:
    """gallery/README.md."""
    desks = "\n".join(DESKS)
    lines = [
        "# Gallery",
        "",
        "Every picture is made by the command under it; `python -m render.gallery` makes them all anew. The desks are",
        "invented, and these commands describe them:",
        "",
        "```sh",
        desks,
        "```",
    ]
    for picture in PICTURES:
        heading = picture.file.partition(".")[0].replace("-", " ").capitalize()
        lines += ["", f"## {heading}", "", picture.see, "", f"![{picture.see}]({picture.file})", ""]
        lines += ["```sh", picture.command, "```"]
    return "\n".join(lines) + "\n"


def drift(stored: Path, made: Path) -> list[Problem]:
    """Where the gallery in ``stored`` differs from the one in ``made``, beyond what versions of libraries may do."""
    names = sorted({path.name for folder in (stored, made) for path in folder.iterdir()})
    return [problem for name in names if (problem := _drifted(stored / name, made / name))]


def _drifted(stored: Path, made: Path) -> Problem | None:
    if not made.exists():
        return Problem(str(stored), "is not in the list of the gallery")
    if not stored.exists():
        return Problem(str(stored), "is missing")
    same = _told(stored) == _told(made) if made.suffix in {".md", ".csv", ".svg"} else _look_alike(stored, made)
    return None if same else Problem(str(stored), "is not what its command makes today")


def _told(path: Path) -> object:
    text = path.read_text("utf-8")
    if path.suffix != ".svg":
        return text
    # What is drawn, without the numbers, which differ in their last digits, and without names made of hashes.
    return re.findall(r'viewBox="[^"]*"|<title.*?</title>|<desc.*?</desc>|fill: #\w+|stroke: #\w+', text, re.DOTALL)


def _look_alike(one: Path, other: Path) -> bool:
    from PIL import Image, ImageSequence

    with Image.open(one) as opened_one, Image.open(other) as opened_other:
        ones, others = (
            [frame.convert("RGB") for frame in ImageSequence.Iterator(opened)] for opened in (opened_one, opened_other)
        )
    return len(ones) == len(others) and all(map(_frames_look_alike, ones, others))


def _frames_look_alike(one: PillowImage.Image, other: PillowImage.Image) -> bool:
    from PIL import ImageChops

    if one.size != other.size:
        return False
    difference = ImageChops.difference(one.reduce(_SHRINK), other.reduce(_SHRINK)).convert("L")
    counts = difference.histogram()
    return sum(counts[_DIFFERS:]) <= _MOST_DIFFERING * sum(counts)


@click.command(help=__doc__)
@click.option("--check", is_flag=True, help="Change nothing; leave with 1 where the stored gallery has drifted.")
def command(*, check: bool) -> None:
    if not check:
        FOLDER.mkdir(exist_ok=True)
        for old in FOLDER.iterdir():
            if old.name not in SOURCES:
                old.unlink()
        build(FOLDER)
        return
    with TemporaryDirectory() as made:
        build(Path(made))
        problems = drift(FOLDER, Path(made))
    if problems:
        raise AnswerIsNo(*problems, Problem("gallery", "build it anew", instead="Type python -m render.gallery"))
    click.echo(f"gallery: {len(PICTURES)} pictures are what their commands make")


if __name__ == "__main__":
    from render.cli.exits import run

    run(command, None)
