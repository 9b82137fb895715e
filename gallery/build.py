"""Build the gallery: pictures, the command that makes each, and what to see on it.

``python -m gallery.build`` builds gallery/ anew; ``--check`` builds it elsewhere and leaves with 1
where what is stored has drifted from what the commands make today, which then stays to be looked
at. The commands are run as they are shown.
"""

from __future__ import annotations

import os
import re
import shlex
import shutil
from contextlib import chdir, redirect_stdout
from dataclasses import dataclass
from io import StringIO
from pathlib import Path
from tempfile import TemporaryDirectory, mkdtemp
from typing import TYPE_CHECKING, Any
from unittest.mock import patch

import click

from gallery.page_pictures import PAGE_PICTURES, browser, take
from mapper.problems import AnswerIsNo, Problem

if TYPE_CHECKING:
    from PIL import Image as PillowImage

FOLDER = Path(__file__).resolve().parent
PAGE = "README.md"

#: The desks that the pictures show: invented, each made by one command.
DESKS = (
    (
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --fit locked --workstation '
        '"corner studio" --save studio.yaml'
    ),
    (
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --fit full --workstation '
        '"corner studio, before" --save before.yaml'
    ),
    (
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --fit cropped --workstation '
        '"corner studio, cropped" --save cropped.yaml'
    ),
    (
        'evenstroke map --tablet 168x104mm --display "49in 5120x1440" --fit full '
        '--workstation "very wide" --save wide.yaml'
    ),
    (
        'evenstroke map --tablet 310x174mm --display "left: 24in 1920x1080 at -1920,180" '
        '--display "main: 27in 2560x1440" '
        '--display "tall: 24in 1080x1920 at 2560,-240" --onto main+left --workstation "three '
        'displays" --save row.yaml'
    ),
    (
        'evenstroke map --tablet 108x68mm --display "65in 3840x2160" --fit full '
        '--workstation "sofa" --save sofa.yaml'
    ),
    (
        'evenstroke map --tablet 240x152mm --turn 90 --display "24in 1200x1920" --workstation '
        '"upright page" --save upright.yaml'
    ),
    (
        'evenstroke map --tablet 260x180mm --slant -14 --display "24in 1920x1200" --workstation '
        '"askew" --save askew.yaml'
    ),
    (
        'evenstroke map --tablet 146x96mm --display "14in 1920x1200" --fit full --workstation '
        '"travel bag" --save bag.yaml'
    ),
    (
        'evenstroke map --tablet 240x152mm --display "1920x1080" '
        '--workstation "borrowed projector" --save projector.yaml'
    ),
    (
        'evenstroke map --tablet 240x152mm --display "main: 43in 3840x2160" --display "laptop: '
        '14in 1920x1200 at 960,2160" '
        '--fit cropped --window 0,0,1920x2160px --workstation "half the screen" --save half.yaml'
    ),
)


@dataclass(frozen=True, slots=True)
class Picture:
    """One picture: its file, the command that makes it and one sentence on what to see."""

    file: str
    command: str
    caption: str


_ONE = "evenstroke study study-one.html study-one.pdf study-one.md --who Mia --force"
_SIX = "evenstroke study study-six.html study-six.pdf --library six --force"

#: In the order of the page. A new picture is one entry here and a run of ``python -m
#: gallery.build``.
PICTURES = (
    Picture(
        "studio.png",
        "evenstroke picture studio.yaml studio.png",
        "A tablet trimmed to the display's shape: the hatched strips are not used, and a circle "
        "stays round.",
    ),
    Picture(
        "before.png",
        "evenstroke picture before.yaml before.png",
        "The same tablet, all of it on all of the display: the circle bulges past the round one, "
        "shown dashed.",
    ),
    Picture(
        "before-and-after.png",
        "evenstroke picture before.yaml studio.yaml before-and-after.png",
        "Both side by side and to one scale, with what changed in numbers.",
    ),
    Picture(
        "three-fits.png",
        "evenstroke picture studio.yaml three-fits.png --view fits",
        "The three ways in which a tablet can meet a display, each with its circle and a sentence.",
    ),
    Picture(
        "portrait.png",
        "evenstroke picture before.yaml portrait.png --drawing portrait.svg",
        "What a portrait makes plain at once: the face grows fat, past the dashed outline of the "
        "right one.",
    ),
    Picture(
        "portrait-alone.svg",
        "evenstroke picture wide.yaml portrait-alone.svg --view drawing --drawing portrait.svg",
        "The same portrait alone, as it comes out on a very wide display; its curves are still "
        "curves.",
    ),
    Picture(
        "exercise.png",
        "evenstroke picture wide.yaml studio.yaml exercise.png --drawing exercise.csv",
        "A page of practice circles and strokes, recorded as points: ovals and flat strokes "
        "above, true ones below.",
    ),
    Picture(
        "moving.gif",
        "evenstroke picture before.yaml moving.gif --size 720x405",
        "What is drawn leaves the tablet and lands on the display, and the circle with it.",
    ),
    Picture(
        "three-displays.png",
        "evenstroke picture row.yaml three-displays.png --view desk",
        "Three displays in their places, two of them in the pen's reach, and the tablet below: a "
        "third of it is not used.",
    ),
    Picture(
        "sofa.png",
        "evenstroke picture sofa.yaml sofa.png --view desk",
        "A 5 inch pad under a 65 inch television, to scale: 45 degrees come out as 42.",
    ),
    Picture(
        "upright-page.png",
        "evenstroke picture upright.yaml upright-page.png",
        "A tablet turned by 90 degrees under a portrait display, drawn as the artist sees it.",
    ),
    Picture(
        "askew.png",
        "evenstroke picture askew.yaml askew.png --view desk",
        "A tablet that lies askew, as many do: the area is turned back, so that upright strokes "
        "stay upright.",
    ),
    Picture(
        "half-the-screen.png",
        "evenstroke picture half.yaml half-the-screen.png --view desk",
        "The pen kept to the left half of a large display; the rest of it and the laptop below "
        "are not reached.",
    ),
    Picture(
        "glance.png",
        "evenstroke picture studio.yaml glance.png --view glance",
        "For the reader in a hurry: the scale as two rulers, the circle, and the share of the "
        "tablet that is not used.",
    ),
    Picture(
        "glance-wide.png",
        "evenstroke picture wide.yaml glance-wide.png --view glance --units in --theme dark",
        "The same three figures for a map that stretches, in inches, for a dark room.",
    ),
    Picture(
        "signature.png",
        "evenstroke picture before.yaml signature.png --probe signature --probe hatching --theme "
        "dark",
        "A flourish over hatching: strokes drawn at 45 degrees lie flatter than the hand meant "
        "them.",
    ),
    Picture(
        "slide.png",
        "evenstroke picture cropped.yaml slide.png --probe square --probe diagonals --no-text "
        "--theme dark",
        "For a slide: no words at all, a square and its diagonals, and the part of the display "
        "that the pen does not reach.",
    ),
    Picture(
        "handout.png",
        "evenstroke picture bag.yaml handout.png --probe span --probe grid --theme print --size "
        "297x210mm",
        "For paper: black lines on white, the fan that a hand draws about its wrist, on a small "
        "travelling desk.",
    ),
    Picture(
        "four-desks.png",
        "evenstroke picture studio.yaml bag.yaml sofa.yaml upright.yaml four-desks.png",
        "Four desks of one artist: what becomes of a circle on each, and the numbers below.",
    ),
    Picture(
        "unknown-size.png",
        "evenstroke picture projector.yaml unknown-size.png",
        "A display of unknown size: the shape is still sure, the scale is not guessed, and the "
        "picture says so.",
    ),
    Picture(
        "two-displays.png",
        'evenstroke map --tablet 320x200mm --display "main: 27in 2560x1440 bezel 8mm" '
        '--display "side: 24in 1080x1920 bezel 10mm at 2560,-240" --onto all --save two.yaml && '
        "evenstroke picture two.yaml two-displays.png --view desk",
        "One tablet over a wide and an upright display: round on both, a fifth larger on the "
        "second, whose pixels are larger.",
    ),
    Picture(
        "laptop-and-television.png",
        'evenstroke map --tablet 320x200mm --display "laptop: 14in 2880x1800 zoom 2" '
        '--display "wall: 43in 3840x2160 at 2880,-180" --onto all --true-on wall --picture '
        "laptop-and-television.png",
        "Two circles drawn alike: on the television the same stroke is 2.4 times as large as on "
        "the laptop beside it.",
    ),
    Picture(
        "window.png",
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --window 10,10,80x80% '
        "--within 20,0,220x152mm "
        "--picture window.png",
        "The pen reaches a window in the middle of the screen, and the left strip of the tablet "
        "is kept for the hand.",
    ),
    Picture(
        "left-handed.png",
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --turn 180 --within '
        "0,0,190x152mm --hold right "
        "--picture left-handed.png",
        "A left-hander has turned the tablet around; the triangle marks its top as built, the "
        "worn strip is on the left now.",
    ),
    Picture(
        "askew-compared.png",
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --slant 12 --workstation '
        '"area turned" --save turned.yaml && '
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --slant 12 --area '
        '0,8.5,240x135mm --workstation "area not turned" --save tilted.yaml && '
        "evenstroke picture turned.yaml tilted.yaml askew-compared.png",
        "A tablet that lies askew by 12 degrees: with the area turned back, lines stay level; "
        "without, they come out tilted.",
    ),
    Picture(
        "wanted-scale.png",
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --scale 3 --hold bottom '
        "--picture wanted-scale.png",
        "A scale factor of exactly 3, from a smaller area: the tablet keeps a wide strip free at "
        "the top.",
    ),
    Picture(
        "whole-steps.png",
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --workstation "exact" '
        "--save exact.yaml && "
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --step 10mm '
        '--shape-tolerance 0% --workstation "10 mm, strict" --save tens.yaml && '
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --step 10mm '
        "--shape-tolerance 2% "
        '--workstation "10 mm, loose" --save loose.yaml && '
        "evenstroke picture exact.yaml tens.yaml loose.yaml whole-steps.png",
        "What a coarse step of the tablet's settings costs: on whole centimetres a round circle "
        "costs over half the "
        "area, a nearly round one very little.",
    ),
    Picture(
        "set-now.png",
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --area 10,5,200x142mm '
        "--picture set-now.png",
        "The area that is set today, taken as it is: the circle comes out a quarter wider than "
        "tall.",
    ),
    Picture(
        "pairs.png",
        "evenstroke pair --picture pairs.png",
        "Which display goes with which usual tablet: filled dots in the shaded band are "
        "comfortable pairs.",
    ),
    Picture(
        "seat.png",
        'evenstroke seat --display "left: 24in 1920x1200 at -1920,0" --display "main: 27in '
        '2560x1440" '
        '--display "side: 34in 3440x1440 at 2560,0" --radius "side: 1500mm" --distance 70cm '
        "--top-below-eyes 2cm --picture seat.png",
        "Three displays in an arc, each turned to face the eyes, from above and from the side; "
        "recommendations are shaded.",
    ),
    Picture(
        "travel.png",
        "evenstroke travel studio.yaml --picture travel.png",
        "Why a scale factor of 1 tires the arm and 5 misses: as the scale rises, the hand moves "
        "less and misses more.",
    ),
    Picture(
        "comfortable-band.png",
        "evenstroke book --add trials.csv && evenstroke band --picture comfortable-band.png",
        "Twenty-four noted days of an invented illustrator: every score, the band they make, and "
        "how sure it is.",
    ),
    Picture(
        "trace.png",
        "evenstroke trace traced-card.png --of card --against studio.yaml --picture trace.png",
        "A bank card traced where the area did not have the display's proportions: it came out "
        "flatter than the dashed outline.",
    ),
    Picture(
        "touched.png",
        "evenstroke touch touched.csv --against studio.yaml --picture touched.png",
        "Nine touches show that the whole tablet is used, not only the intended part: dots and "
        "crosses part towards the top and the bottom.",
    ),
    Picture(
        "wall.png",
        "evenstroke sheet studio.yaml wall.png --date 2026-03-02",
        "One page for the wall: the four numbers to enter, the same in every form, the picture, "
        "how far to sit.",
    ),
    Picture(
        "study-grid.png",
        "evenstroke book --add study-one.csv && evenstroke study study-grid.png --slide grid "
        "--who Mia",
        "Ninety days of an invented person with three tablets and six displays: where each "
        "pair lies between painful and a joy.",
    ),
    Picture(
        "study-sizes.png",
        "evenstroke study study-sizes.png --slide sizes --who Mia",
        "What follows from those days: the displays that suit each tablet, perhaps do, or do not, "
        "to one scale.",
    ),
    Picture(
        "study-people.png",
        "evenstroke book --add study-six.csv --library six && evenstroke study study-people.png "
        "--slide people --library six",
        "Six invented people: each one's own band, drawn towards the others as far as the days "
        "say, and the shared one.",
    ),
    Picture(
        "study-one.html",
        _ONE,
        "The study of that one person, as a page.",
    ),
    Picture("study-one.pdf", _ONE, "The same as a document."),
    Picture("study-one.md", _ONE, "The same as Markdown."),
    Picture(
        "study-six.html",
        _SIX,
        "The study of the six people, as a page.",
    ),
    Picture("study-six.pdf", _SIX, "The same as a document."),
)

#: Files of the gallery that are written by hand: pages, and what commands read.
SOURCES = (
    "portrait.svg",
    "traced-card.png",
    "touched.csv",
    "exercise.csv",
    "trials.csv",
    "comfortable-band.md",
    "study-one.csv",
    "study-six.csv",
)

# Stored pictures are narrower than what the commands make, and have a palette: a page of them
# should load quickly.
STORED_WIDTH_PX = 1200
STORED_COLOURS, STORED_EXACTLY = 256, 128

# Letters move by a pixel or two from one FreeType or matplotlib to the next. So a pixel differs
# where it is lighter or darker than everything near it in the other picture, by more than this of
# 255; between matplotlib 3.8 with Pillow 10.2 and matplotlib 3.11 with Pillow 13 at most 0.0008 of
# the pixels did, on a page full of words.
_DIFFERS = 40
_MOST_DIFFERING = 0.0015
# Both pictures are halved, and near is one pixel of that in every direction.
_SHRINK, _NEAR = 2, 3


def build(folder: Path) -> None:
    """Make every picture and the page in ``folder``, which exists."""
    # A library of the gallery's own: what stands in the reader's must show in no picture.
    with (
        TemporaryDirectory() as work,
        patch.dict(os.environ, EVENSTROKE_LIBRARY=str(Path(work) / "library")),
    ):
        for source in SOURCES:
            shutil.copy(FOLDER / source, work)
            if folder != FOLDER:
                shutil.copy(FOLDER / source, folder)
        with chdir(work):
            for line in dict.fromkeys((*DESKS, *(picture.command for picture in PICTURES))):
                for command in line.split(" && "):
                    _run(command)
        for picture in PICTURES:
            _store(Path(work) / picture.file, folder / picture.file)
        if browser():
            take(Path(work))
        for shot in PAGE_PICTURES:
            # Without a browser what is stored stays, and is compared with itself.
            if browser():
                _store(Path(work) / shot.file, folder / shot.file)
            elif folder != FOLDER and (FOLDER / shot.file).exists():
                shutil.copy(FOLDER / shot.file, folder)
    (folder / PAGE).write_text(page(), encoding="utf-8")


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
        small.quantize(palette=_palette(small), dither=Image.Dither.NONE).save(
            stored, optimize=True
        )


def _palette(picture: PillowImage.Image) -> PillowImage.Image:
    """The picture in 256 colours: those that cover most exactly, the others from an octree.

    So grounds stay what they are, and thin lines keep their colour.
    """
    from PIL import Image

    counted: Any = picture.getcolors(picture.width * picture.height) or []
    often = [colour for _, colour in sorted(counted, reverse=True)[:STORED_EXACTLY]]
    rest = (
        picture.quantize(STORED_COLOURS - STORED_EXACTLY, Image.Quantize.FASTOCTREE).getpalette()
        or []
    )
    palette = Image.new("P", (1, 1))
    palette.putpalette([channel for colour in often for channel in colour] + rest)
    return palette


def page() -> str:
    """The text of gallery/README.md."""
    desks = "\n".join(DESKS)
    lines = [
        "# Gallery",
        "",
        (
            "Every picture and page is made by the command under it; "
            "`python -m gallery.build` makes them all anew. The desks are"
        ),
        "invented, and these commands describe them:",
        "",
        "```sh",
        desks,
        "```",
    ]
    for picture in (*PAGE_PICTURES, *PICTURES):
        stem, _, ending = picture.file.partition(".")
        heading, shown_here = stem.replace("-", " ").capitalize(), ending in _SHOWN_IN_A_PAGE
        heading += "" if shown_here else f", {ending}"
        link = (
            f"![{picture.caption}]({picture.file})"
            if shown_here
            else f"[{picture.file}]({picture.file})"
        )
        lines += ["", f"## {heading}", "", picture.caption, "", link, ""]
        lines += ["```sh", picture.command, "```"]
    return "\n".join(lines) + "\n"


#: Other files stand as links in gallery/README.md.
_SHOWN_IN_A_PAGE = {"png", "svg", "gif"}


def _written_before() -> list[str]:
    """The names of the files that the last build wrote; nothing else may be deleted."""
    last = FOLDER / PAGE
    return (
        re.findall(r"^!?\[.*\]\(([\w.-]+)\)$", last.read_text("utf-8"), re.MULTILINE)
        if last.exists()
        else []
    )


def shown(folder: Path) -> set[str]:
    """The names of all files in a gallery, without this tool's own."""
    return {path.name for path in folder.iterdir() if path.is_file() and path.suffix != ".py"}


def drift(stored: Path, made: Path) -> list[Problem]:
    """Where the gallery in ``stored`` differs from the one in ``made``.

    Differences that other versions of the libraries make are tolerated.
    """
    names = sorted(shown(stored) | shown(made))
    return [problem for name in names if (problem := _drifted(stored / name, made / name))]


def _drifted(stored: Path, made: Path) -> Problem | None:
    if not made.exists():
        return Problem(str(stored), "is not in the list of the gallery")
    if not stored.exists():
        return Problem(str(stored), "is missing")
    same = (
        _text_of(stored) == _text_of(made)
        if made.suffix in _COMPARED_AS_TEXT
        else _look_alike(stored, made)
    )
    return None if same else Problem(str(stored), "is not what its command makes today")


_COMPARED_AS_TEXT = {".md", ".csv", ".svg", ".html", ".pdf"}


def _text_of(path: Path) -> object:
    if path.suffix == ".pdf":
        import pdfplumber

        with pdfplumber.open(path) as document:
            return [leaf.extract_text() for leaf in document.pages]
    text = path.read_text("utf-8")
    if path.suffix == ".html":
        # Without its pictures, which are paths of many digits.
        return re.sub(r'src="data:[^"]*"', "", text)
    if path.suffix != ".svg":
        return text
    # What is drawn, without the numbers, which differ in their last digits, and without names made
    # of hashes.
    return re.findall(
        r'viewBox="[^"]*"|<title.*?</title>|<desc.*?</desc>|(?:fill|stroke)[:=]"?#\w+',
        text,
        re.DOTALL,
    )


def _look_alike(one: Path, other: Path) -> bool:
    from PIL import Image, ImageSequence

    with Image.open(one) as opened_one, Image.open(other) as opened_other:
        ones, others = (
            [frame.convert("RGB") for frame in ImageSequence.Iterator(opened)]
            for opened in (opened_one, opened_other)
        )
    return len(ones) == len(others) and all(map(_frames_look_alike, ones, others))


def _frames_look_alike(one: PillowImage.Image, other: PillowImage.Image) -> bool:
    if one.size != other.size:
        return False
    small = one.reduce(_SHRINK), other.reduce(_SHRINK)
    return max(_differing(*small), _differing(*reversed(small))) <= _MOST_DIFFERING


def _differing(one: PillowImage.Image, other: PillowImage.Image) -> float:
    """The share of pixels of ``one`` that are lighter or darker than all near them in ``other``."""
    from PIL import ImageChops, ImageFilter

    darkest, lightest = (
        other.filter(ImageFilter.MinFilter(_NEAR)),
        other.filter(ImageFilter.MaxFilter(_NEAR)),
    )
    beyond = ImageChops.lighter(
        ImageChops.subtract(darkest, one), ImageChops.subtract(one, lightest)
    )
    counts = beyond.convert("L").histogram()
    return sum(counts[_DIFFERS:]) / sum(counts)


@click.command(help=__doc__)
@click.option(
    "--check",
    is_flag=True,
    help="Change nothing; leave with 1 where the stored gallery has drifted.",
)
def command(*, check: bool) -> None:  # noqa: D103
    if not check:
        FOLDER.mkdir(exist_ok=True)
        for name in _written_before():
            if not browser() and name in {shot.file for shot in PAGE_PICTURES}:
                continue
            (FOLDER / name).unlink(missing_ok=True)
        build(FOLDER)
        return
    with TemporaryDirectory() as made:
        build(Path(made))
        problems = drift(FOLDER, Path(made))
        today = ""
        if problems:
            today = mkdtemp(prefix="evenstroke-gallery-")
            shutil.copytree(made, today, dirs_exist_ok=True)
    if problems:
        instead = f"Look at those of today in {today}, and type python -m gallery.build"
        raise AnswerIsNo(*problems, Problem("gallery", "build it anew", instead=instead))
    of_the_page = "; those of the page were not compared: no chromium"
    if browser():
        of_the_page = f", and {len(PAGE_PICTURES)} of the page"
    click.echo(f"gallery: {len(PICTURES)} pictures are what their commands make{of_the_page}")


if __name__ == "__main__":
    from render.cli.exits import run

    run(command, None)
