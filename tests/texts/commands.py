"""The help of each command, what commands print, and the words of what they draw."""

from __future__ import annotations

import os
import re
import shlex
import shutil
from contextlib import chdir, redirect_stderr, redirect_stdout
from io import StringIO
from pathlib import Path
from typing import TYPE_CHECKING
from unittest.mock import patch

import click

import render.desk
from gallery.build import FOLDER
from profiles.library.trial_book import to_csv
from render.canvas.scene import Easel, Scene, Text
from render.cli import COMMANDS, group, main
from render.cli.exits import OUR_FAULT
from tests.fake_system import DEMO_EDID, connect, demo_descriptor, plug_hidraw
from tests.invented_study import invented
from tests.texts.extract import html_lines, one_line, script_lines
from tests.touched import touched_files

if TYPE_CHECKING:
    from collections.abc import Iterator

State = tuple[str, list[str]]

#: The desks of the pictures, each made by one command.
DESKS = """
map --tablet 240x152mm@150/mm --display "27in 2560x1440" --distance 70cm --workstation "studio" \
--save studio.yaml
map --tablet 240x152mm --display "27in 2560x1440" --fit full --workstation "before" \
--save before.yaml
map --tablet 240x152mm --display "27in 2560x1440" --fit cropped --workstation "cropped" \
--save cropped.yaml
map --tablet 240x152mm --turn 90 --display "24in 1200x1920" --workstation "upright" \
--save upright.yaml
map --tablet 240x152mm --turn 270 --slant -14 --display "24in 1920x1200" --workstation "askew" \
--save askew.yaml
map --tablet 240x152mm --display "1920x1080" --workstation "projector" --save projector.yaml
map --tablet 310x174mm --display "left: 24in 1920x1080 at -1920,180" \
--display "main: 27in 2560x1440" --display "tall: 24in 1080x1920 at 2560,-240" --onto main+left \
--workstation "row" --save row.yaml
map --tablet 240x152mm --display "27in 2560x1440" --window 10,10,80x80% --within 20,0,220x152mm \
--step 0.5mm --workstation "window" --save window.yaml
map --tablet 240x152mm --display "27in 2560x1440" --slant 12 --area 0,8.5,240x135mm \
--workstation "tilted" --save tilted.yaml
"""

PICTURES = """
picture studio.yaml out.svg
picture before.yaml out.svg
picture cropped.yaml out.svg
picture upright.yaml out.svg
picture askew.yaml out.svg
picture tilted.yaml out.svg
picture projector.yaml out.svg
picture row.yaml out.svg
picture window.yaml out.svg
picture studio.yaml out.svg --view desk
picture row.yaml out.svg --view desk
picture projector.yaml out.svg --view desk
picture askew.yaml out.svg --view desk --units in
picture studio.yaml out.svg --view fits
picture studio.yaml out.svg --view glance
picture before.yaml out.svg --view glance --units in
picture row.yaml out.svg --view glance
picture projector.yaml out.svg --view glance
picture before.yaml out.svg --drawing portrait.svg
picture before.yaml out.svg --view drawing --drawing portrait.svg
picture before.yaml studio.yaml out.svg --drawing exercise.csv
picture before.yaml out.svg --probe signature --probe hatching
picture before.yaml out.svg --probe square --probe diagonals --probe span --probe grid
picture before.yaml studio.yaml out.svg
picture studio.yaml before.yaml out.svg
picture studio.yaml projector.yaml out.svg
picture studio.yaml upright.yaml askew.yaml row.yaml out.svg
picture before.yaml studio.yaml cropped.yaml out.svg
picture upright.yaml out.gif --size 96x54
pair --picture out.svg
pair --tablet "medium: 240x152mm" --display "27in 2560x1440" --band 2.2-3 --picture out.svg
seat studio.yaml --picture out.svg
seat --display "left: 24in 1920x1200 at -1920,0" --display "main: 27in 2560x1440" \
--display "side: 34in 3440x1440 at 2560,0" --radius "side: 1500mm" --distance 70cm \
--top-below-eyes 2cm --picture out.svg
seat --display "65in 3840x2160" --distance 60cm --tilt 20 --top-below-eyes -20cm --picture out.svg
travel studio.yaml --picture out.svg
travel --display "27in 2560x1440" --target swatch --scatter 1mm --use teaching --picture out.svg
sheet studio.yaml out.svg --date 2026-03-02
sheet askew.yaml out.svg --date 2026-03-02 --paper letter
sheet row.yaml out.svg --date 2026-03-02
sheet projector.yaml out.svg --date 2026-03-02
stencil studio.yaml out.pdf
stencil askew.yaml out.pdf --paper letter --hand left
trace traced-card.png --of card --against studio.yaml --picture out.svg
trace traced-card.png --of card --against before.yaml --picture out.svg
trace traced-card.png --of card --picture out.svg
"""

OUTPUTS = """
map --tablet 240x152mm --display "27in 2560x1440"
map --tablet 240x152mm@150/mm --display "27in 2560x1440" --fit full
map --tablet 240x152mm --display "27in 2560x1440" --entry "corners in from bottom-left"
map --tablet 240x152mm --turn 90 --slant 5 --display "27in 2560x1440" --entry "centre % comma"
map --tablet 240x152mm --display "27in 2560x1440" --step 0.5mm
map --tablet 240x152mm --display "27in 2560x1440" --step 10mm --shape-tolerance 2%
map --tablet 240x152mm --display "27in 2560x1440" --step 10mm --step-choices
map --tablet 240x152mm --display "27in 2560x1440" --scale 3 --hold bottom
map --tablet 240x152mm --display "27in 2560x1440" --feel-of upright.yaml
map --tablet 240x152mm --display "1920x1080"
map --tablet 24x15mm --display "27in 2560x1440"
report row.yaml
report window.yaml
explain 10,5,200x120mm studio.yaml
explain "centre 50,50,90x80%" --tablet 9.4x6in --turn 90
pair
pair --want 2.5
pair --tablet "medium: 240x152mm@150/mm" --display "43in 3840x2160" --display 1920x1080 \
--as markdown
seat studio.yaml
seat --display "left: 24in 1920x1200 at -1920,0" --display "main: 27in 2560x1440" --distance 40cm
seat --display "34in 3440x1440" --radius 1500mm --angle 50
seat studio.yaml --arc-minutes 1
travel studio.yaml
advise studio.yaml
advise upright.yaml --use handwriting
advise studio.yaml before.yaml
advise projector.yaml
picture studio.yaml --describe
keep studio.yaml
keep studio.yaml
keep before.yaml --workstation studio --note "after the update"
keep row.yaml upright.yaml askew.yaml
stations
history studio
changes studio
changes studio 2 1
recall studio
recall studio --revision 1
pin studio 1 --note "the newer one tires the wrist"
history studio
pin studio --release
here studio
here
here --forget
here
retire upright
retire studio --revision 2
stations --all
retire upright --undo
table
table --unit in --as markdown
export studio.zip
import studio.zip
audit
check studio.yaml
check broken.yaml
felt studio --score 4 --minutes 90
felt studio --score 4 --minutes 90
felt studio --score 2 --date 2026-02-27 --doing "drawing 90, writing 10" --who Kim --first-day
plan-trials --tablet "small: 146x96mm" --tablet "medium: 240x152mm" --display "24in 1920x1080" \
--start 2026-03-16
trace traced-card.png --of card --against studio.yaml
trace traced-card.png --of card --against before.yaml
trace traced-card.png --of card --canvas-zoom 50%
trace traced-card.png --of card --whole-tablet --display "27in 2560x1440"
touch right.csv --against studio.yaml
touch whole.csv --against studio.yaml --picture out.svg
touch right.csv --against studio.yaml --sheet-anywhere --picture out.svg
touch turned.csv --against studio.yaml
touch missed.csv --against studio.yaml
touch right.csv --against studio.yaml --sheet-anywhere
touch few.csv --against studio.yaml
touch whole.csv --whole-tablet --display "27in 2560x1440"
typed studio
typed studio
touch right.csv --against studio
touch whole.csv --against studio
touch eighteen.csv --against studio
history studio
recall studio
travel studio
advise studio
sheet studio out.svg
typed studio --undo
displays
tablets
pad studio.yaml before.yaml out.html --now full
pad askew.yaml out.html
"""

#: Those that ask the trial book; the model takes a moment each time.
NOTED = """
book --add entries.csv
book --calendar --who Mia
band --picture out.svg
band --angle --who Mia
band --sizes --who Ben
pair --tablet "medium: 240x152mm" --display "27in 2560x1440"
plan-trials --most 6 --days-each 2 --weekends-off --only "medium: 2026-03-01..2026-03-31" \
--stay "32in-4k: 4" --resume --start 2026-03-16
study out.md --who Mia
study out.html --who Mia
study out.svg --slide people
"""

WRONG = """
mop
map --tabel 240x152mm
map
map --tablet 240x152 --display 27in --slant 50 --scale x --step 3 --within 1,2 --entry large
map --tablet 240x152mm --display "27in 2560x1440" --scale 1
map --tablet 240x152mm --display "27in 2560x1440" --fit cropped --scale 9
map --tablet 240x152mm --display "27in 2560x1440" --fit full --scale 3
map --tablet 240x152mm --display "27in 2560x1440" --within 100,0,200x152mm
map --tablet 240x152mm --display "27in 2560x1440" --window 3000,0,800x600px
map --tablet 240x152mm --display "27in 2560x1440" --onto side --true-on left
map --tablet 240x152mm --display "27in 2560x1440" --step 1count
map --tablet 240x152mm --display "27in 2560x1440" --step 300mm
map --tablet 240x152mm --display "a: 2560x1440 at 0,0" --display "b: 2560x1440 at 9,9"
map --tablet @connected --display @connected
map --tablet @hid:nothing.hid --display @edid:nothing.edid
map nothing.yaml
map broken.yaml
map studio.yaml --save studio.yaml
picture studio.yaml out.bmp
picture studio.yaml out.png --size 9x9
picture studio.yaml out.png --drawing traced.doc
explain 10,5 studio.yaml
seat --display 2560x1440 --distance 70cm
seat studio.yaml --distance 7cm
travel --display 2560x1440
history nobody
recall studio --revision 9
changes row
pin studio 9
import broken.yaml
felt studio --score 6
felt studio --score 4 --date 2027-01-01
sheet studio.yaml out.doc
stencil studio.yaml out.doc
trace traced-card.png --of spoon
touch entries.csv --against studio.yaml
touch wrong.csv --against studio.yaml
touch right.csv
touch few.csv --whole-tablet --display "27in 2560x1440"
touch right.csv --against studio.yaml --whole-tablet
typed studio.yaml
plan-trials --most 0
"""

BROKEN = """\
evenstroke: 1
workstation: 7
tablet: {width_mm: 240, hight_mm: 152}
displays: []
map: {fit: best}
"""


def states(folder: Path) -> Iterator[State]:
    """Every command with its texts; ``folder`` is an empty one to work in."""
    yield from _help()
    with chdir(folder):
        _fill(folder)
        for table in (DESKS, PICTURES, OUTPUTS, WRONG, NOTED):
            for command in table.strip().splitlines():
                yield f"evenstroke {command}", _all_of(command, folder)


def drawn(folder: Path) -> Iterator[State]:
    """Every command that draws, with the words of its pictures; ``folder`` is an empty one.

    They are said in the language "de".
    """
    with chdir(folder):
        _fill(folder)
        for command in DESKS.strip().splitlines():
            _run(command)
        for command in (PICTURES + OUTPUTS + NOTED).strip().splitlines():
            if not re.search(r"\bout\.(?:svg|pdf|html)", command):
                # What the library and its book hold.
                if re.match(r"keep|book", command):
                    _run(command)
                continue
            with patch.object(Easel, "scene", _Recorder()) as recorder:
                _run(f"{command} --language de")
            yield f"evenstroke {command}", [*recorder.lines, *_written(folder)]


def _all_of(command, folder):
    """What a command prints, writes and draws."""
    with patch.object(Easel, "scene", _Recorder()) as recorder:
        return [*_run(command), *_written(folder), *recorder.lines]


def scripts() -> Iterator[State]:
    """Every script of the page with its texts."""
    static = Path(render.desk.__file__).parent / "static"
    for path in sorted(static.rglob("*.js")):
        yield path.relative_to(static).as_posix(), script_lines(path.read_text("utf-8"))


def _help():
    """The help of the program and of each command, at a width at which nothing is wrapped."""
    top = _context(group, "evenstroke")
    yield "evenstroke --help", _help_lines(top)
    for name in COMMANDS:
        yield (
            f"evenstroke {name} --help",
            _help_lines(_context(group.get_command(top, name), name, parent=top)),
        )


def _context(command, name, parent=None):
    return click.Context(
        command, parent, info_name=name, terminal_width=10_000, **command.context_settings
    )


def _help_lines(context):
    with context:
        return [one_line(line) for line in context.get_help().splitlines()]


def _fill(folder: Path) -> None:
    """What commands read: drawings, a trace, a wrong profile, hardware and a trial book."""
    for name in ("portrait.svg", "traced-card.png", "exercise.csv"):
        shutil.copy(FOLDER / name, folder)
    (folder / "broken.yaml").write_text(BROKEN)
    touched_files(folder)
    root = Path(os.environ["EVENSTROKE_SYSTEM_ROOT"])
    connect(root, "card0-DP-1", DEMO_EDID)
    plug_hidraw(root, "hidraw0", demo_descriptor())
    days = [*invented(7, 2.5, who="Mia", days=1)[:12], *invented(8, 2.9, who="Ben", days=1)[:12]]
    (folder / "entries.csv").write_text(to_csv(days))


class _Recorder:
    """In place of ``Easel.scene``: remembers the words of every picture that is made."""

    def __init__(self) -> None:
        self.lines: list[str] = []
        self.made = Easel.scene

    def __get__(self, easel: Easel, _: type) -> object:
        def scene(**more: object) -> Scene:
            found = self.made(easel, **more)  # type: ignore[arg-type]
            self.lines += [one_line(found.title), one_line(found.description)]
            self.lines += [one_line(mark.text) for mark in found.marks if isinstance(mark, Text)]
            return found

        return scene


def _run(command: str) -> list[str]:
    """What a command prints, its paths as names."""
    out = StringIO()
    with redirect_stdout(out), redirect_stderr(out):
        try:
            main(shlex.split(command))
        except SystemExit as left:
            assert left.code != OUR_FAULT, out.getvalue()
    return [re.sub(r"\s{2,}", "  ", line.strip()) for line in out.getvalue().splitlines()]


def _written(folder):
    """The texts of the page that a command has just written; nothing of what it wrote stays."""
    lines: list[str] = []
    for path in folder.glob("out.*"):
        if path.suffix == ".html":
            lines += html_lines(path.read_text("utf-8"))
        elif path.suffix == ".md":
            lines += path.read_text("utf-8").splitlines()
        path.unlink()
    return lines
