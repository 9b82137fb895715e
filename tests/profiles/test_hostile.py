"""Files made to hurt: each is refused in a line that names the limit.

In little time and memory, and nothing is started.
"""

import json
import os
import re
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from mapper.problems import RequestError
from profiles.format.document import save
from profiles.known_things import parse_thing
from profiles.library.archive import import_archive
from profiles.library.revisions import Library
from profiles.strokes.drawing import MOST_WIDTHS, read_drawing
from profiles.strokes.svg_budget import MOST_CHARACTERS, MOST_DRAWN, MOST_NUMBERS, refuse_costly
from profiles.strokes.traces import TraceRequest, trace_report
from tests.fuzz.readers import READERS
from tests.profiles.libraries import ROOT, sample

SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
    'viewBox="0 0 9 9">{}</svg>'
)
LEVELS = "".join(
    f'<g id="l{level}">' + f'<use href="#l{level - 1}"/>' * 10 + "</g>"
    if level
    else '<path id="l0" d="M0 0L5 5"/>'
    for level in range(9)
)
HOSTILE = {
    "uses-of-uses.svg": (SVG.format(LEVELS), f"at most {MOST_DRAWN} elements"),
    "use-of-itself.svg": (SVG.format('<g id="a"><use href="#a"/></g>'), "an element within itself"),
    "use-of-each-other.svg": (
        SVG.format('<g id="a"><use href="#b"/></g><g id="b"><use xlink:href="#a"/></g>'),
        "an element within itself",
    ),
    "deep.svg": (
        SVG.format("<g>" * 5000 + '<path d="M0 0L5 5"/>' + "</g>" * 5000),
        "at most 200 groups",
    ),
    "many.svg": (SVG.format('<path d="M0 0L5 5"/>' * 200_000), f"at most {MOST_DRAWN} elements"),
    "long.svg": (
        SVG.format(f'<path d="M0 0{" 1 2" * 1_000_000}"/>'),
        f"at most {MOST_NUMBERS} numbers",
    ),
    "rules.svg": (
        SVG.format(
            f"<style>{'.a{fill:red}' * 50_000}</style>" + '<path class="a" d="M0 0L5 5"/>' * 500
        ),
        "style rules",
    ),
    "arcs.svg": (
        SVG.format(f'<path d="M0 0{" A1 1 0 1 1 5 5 A1 1 0 1 1 0 0" * 10_000}"/>'),
        "numbers in its paths, those of arcs",
    ),
    "numbers-used.svg": (
        SVG.format(f'<path id="p" d="M0 0L{"1 2 3 4 " * 5_000}"/>' + '<use href="#p"/>' * 200),
        f"at most {MOST_NUMBERS} numbers",
    ),
    "spaces.svg": (
        SVG.format(f'<path d="M0 0{" " * MOST_CHARACTERS}L5 5"/>'),
        f"at most {MOST_CHARACTERS} characters",
    ),
    "style.svg": (
        SVG.format(f'<path d="M0 0L5 5" style="{"fill:red;" * (MOST_CHARACTERS // 9 + 1)}"/>'),
        f"at most {MOST_CHARACTERS} characters",
    ),
    "to-and-fro.svg": (
        SVG.format(f'<path d="M0 0L{"9 9 0 0 " * 20_000}"/>'),
        f"lines at most {MOST_WIDTHS} times as long",
    ),
    "to-and-fro.json": (
        f"[[{'[0,0],[9,9],' * 20_000}[0,0]]]",
        f"lines at most {MOST_WIDTHS} times as long",
    ),
    "letters.svg": (
        SVG.format('<path d="M0 0L5 5"/>').replace(
            "<svg", '<?xml version="1.0" encoding="utf-7"?><svg'
        ),
        "SVG drawing",
    ),
    "no-path.svg": (SVG.format('<path d="zzz"/>'), "SVG drawing|shapes or paths"),
    "no-start.svg": (
        SVG.format('<path d="L5 5"/>'),
        "SVG drawing|shapes or paths|more than one point",
    ),
    "numbers.json": (f"[[[{'9' * 310}, 1], [2, 3]]]", "list of strokes"),
    "digits.json": (f"[[[{'9' * 5000}, 1], [2, 3]]]", "JSON"),
    "field.csv": ('x,y\n"' + "1" * 200_000 + '",2\n', "table of points"),
    "points.csv": ("x,y\n" + "1,2\n3,4\n" * 1_000_000, "at most 720000 points"),
    "points.json": ("[[" + "[1,2]," * 2_000_000 + "[1,2]]]", "at most 720000 points"),
    "empty.json": (f"[{'[],' * 9_000_000}[]]", "at most 720000 points"),
    "keys.json": (
        "{" + ",".join(f'"{at}":1' for at in range(2_200_000)) + "}",
        "at most 720000 points",
    ),
    "program.png": (
        "%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n0 0 moveto\nshowpage\n",
        "PNG, JPEG",
    ),
}

#: Runs each of the commands it is given (JSON, a list of lists of words) in a child of its own, and
#: prints for each what was said, MB at most and seconds of the processor: of the child alone, since
#: Linux counts both anew in a child.
MEASURED = """
import json, os, sys, time
from render.cli import exits, group, map, picture, trace
from render.canvas import draw
from profiles.strokes import drawing, tracing
from profiles.library import archive
from mapper.problems import RequestError

def measured(arguments):
    try:
        group.main(arguments, standalone_mode=False)
        return "taken"
    except RequestError as error:
        return str(error.problems[0])

for arguments in json.loads(sys.argv[1]):
    sys.stdout.flush()
    reading, writing = os.pipe()
    child = os.fork()
    if not child:
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        said = measured(arguments)
        peak = next(line for line in open("/proc/self/status") if line.startswith("VmHWM"))
        told = json.dumps([said, int(peak.split()[1]) // 1024, time.process_time()])
        os.write(writing, told.encode())
        os._exit(0)
    os.close(writing)
    with os.fdopen(reading) as file:
        print(file.read() or json.dumps(["crashed", 0, 0]))
    os.waitpid(child, 0)
"""


linux = pytest.mark.skipif(
    not os.path.exists("/proc/self/status"),  # noqa: PTH110
    reason="measures by Linux's /proc",
)


@pytest.fixture
def desk(tmp_path):
    """A folder with a desk's file, in which commands are run and measured."""
    save(sample("hostile"), tmp_path / "desk.yaml")
    environment = os.environ | {
        "PYTHONPATH": str(ROOT),
        "EVENSTROKE_LIBRARY": str(tmp_path / "library"),
    }

    def measured(*commands):
        """What each command said, its most MB and its seconds of the processor."""
        done = subprocess.run(
            [sys.executable, "-c", MEASURED, json.dumps(commands)],
            cwd=tmp_path,
            check=False,
            env=environment,
            capture_output=True,
            text=True,
            timeout=300,
        )
        assert done.returncode == 0, done.stderr[-2000:]
        return [json.loads(line) for line in done.stdout.splitlines()]

    measured.folder, measured.environment = tmp_path, environment
    return measured


@linux
@pytest.mark.long
def test_hostile_drawings_are_refused_within_ten_seconds_and_500_mb(desk):
    for name, (content, _) in HOSTILE.items():
        (desk.folder / name).write_text(content, "utf-8")
    found = desk(*(["picture", "desk.yaml", "out.png", "--drawing", name] for name in HOSTILE))
    wrong = {
        name: (said[:200], megabytes, seconds)
        for (name, (_, says)), (said, megabytes, seconds) in zip(
            HOSTILE.items(), found, strict=True
        )
        if not re.search(says, said) or megabytes >= 500 or seconds >= 10
    }
    assert wrong == {}


@linux
def test_what_is_measured_is_what_a_command_took(desk):
    Image.new("RGB", (4000, 4000), "white").save(desk.folder / "white.png", compress_level=1)
    (_, few, quick), (_, many, slow) = desk(
        ["trace", "nothing.png", "--of", "card"], ["trace", "white.png", "--of", "card"]
    )
    assert many - few > 16  # a byte of grey a pixel
    assert slow > quick > 0


@linux
def test_a_line_of_pixels_and_a_wall_of_them_are_refused_before_they_are_decoded(desk):
    # Written by hand, since a picture of so many pixels would have to be made first: the header
    # alone says the size.
    import struct
    import zlib

    def chunk(kind, data):
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    sizes = {"line.png": (1, 80_000_000), "wall.png": (20_000, 20_000)}
    for name, (width, height) in sizes.items():
        header = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0))
        (desk.folder / name).write_bytes(
            b"\x89PNG\r\n\x1a\n" + header + chunk(b"IDAT", zlib.compress(b"0" * 9))
        )
    found = desk(*(["picture", "desk.yaml", "out.png", "--drawing", name] for name in sizes))
    for said, megabytes, _ in found:
        assert "must have at most 90 million pixels and 40000 px a side" in said
        assert megabytes < 300


#: Reads whole and hostile files of every kind, and says which (JSON).
READ_ALL = """
import json, random, sys
from pathlib import Path
from mapper.problems import EvenstrokeError
from tests.fuzz.attack import damaged
from tests.fuzz.readers import PICTURES, READERS, file_name, starts

rng, counts = random.Random(32), {}
programs = [b"%!PS-Adobe-3.0 EPSF-3.0\\n(x) run\\n", b"#!/bin/sh\\ntouch ran\\n", b"|touch ran"]
for kind, read in READERS.items():
    whole = starts()[kind]
    counts[kind] = 0
    # What becomes of pictures takes long, and is tried elsewhere.
    damages = 0 if "." + kind in PICTURES else 2
    for content in [*whole, *programs, *(damaged(rng, whole[0]) for _ in range(damages))]:
        path = Path("read-" + kind) / file_name(kind)
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(content)
        try:
            read(path)
            counts[kind] += 1
        except EvenstrokeError:
            pass
print(json.dumps(counts))
"""


@pytest.mark.long
def test_no_reader_of_files_starts_another_program_or_asks_another_computer(desk):
    if shutil.which("strace") is None:
        pytest.skip("strace is not installed (Debian: apt-get install strace)")
    # Stopped at these calls alone, it is nearly as fast as without.
    strace = ["strace", "-f", "--seccomp-bpf", "-qq"]
    calls = "trace=execve,execveat,fork,vfork,connect,openat"
    done = subprocess.run(
        [*strace, "-e", calls, "-o", "calls", sys.executable, "-c", READ_ALL],
        check=False,
        cwd=desk.folder,
        env=desk.environment,
        capture_output=True,
        text=True,
        timeout=900,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    read = json.loads(done.stdout)
    assert all(read.values()), "of each kind something is read, not all of it refused"
    seen = (desk.folder / "calls").read_text(errors="replace")
    for kind in READERS:
        assert f"read-{kind}/" in seen, "and was seen to be opened"
    assert len(re.findall(r" (execve|execveat|fork|vfork|connect)\(", seen)) == 1, "our own start"
    assert not (desk.folder / "ran").exists()


@linux
@pytest.mark.long
def test_an_archive_too_large_or_of_too_many_files_is_refused_unread(desk):
    path = desk.folder / "many.zip"
    with zipfile.ZipFile(path, "w") as archive:
        for at in range(100_002):
            archive.writestr(f"{at}", b"")
    # Once as it is, and once with an end of the directory that says there is one file.
    content = path.read_bytes()
    at = content.rindex(b"PK\5\6")
    (desk.folder / "said-to-be-one.zip").write_bytes(
        content[: at + 8] + b"\1\0\1\0" + content[at + 12 :]
    )
    with (desk.folder / "large.zip").open("wb") as file:
        file.truncate(10**9)
    *many, large = desk(
        ["import", "many.zip"], ["import", "said-to-be-one.zip"], ["import", "large.zip"]
    )
    for said, megabytes, _ in many:
        assert "must hold at most 100000 files; got 100001" in said
        assert megabytes < 200
    said, megabytes, seconds = large
    assert "must be at most 160 MiB" in said
    assert (megabytes < 100, seconds < 5) == (True, True)


CORPUS = sorted((Path(__file__).parents[1] / "fuzz" / "corpus").glob("*/*"))


@pytest.mark.parametrize("path", CORPUS, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_what_the_fuzzers_start_from_and_found_is_read_or_refused_in_one_line(path, tmp_path):
    try:
        if path.suffix == ".zip":
            import_archive(Library(tmp_path), path)
        else:
            read_drawing(str(path))
            trace_report(TraceRequest((str(path),), (parse_thing("card", "x"),), (None,)))
    except RequestError as error:
        assert str(error).isprintable()


# A tree of groups, uses and styles rather than bytes: most of what a generator of bytes makes is no
# SVG at all.
trees = st.recursive(
    st.sampled_from(
        [
            '<path d="M0 0L5 5"/>',
            '<rect width="3" height="2"/>',
            '<circle r="2"/>',
            '<path d="M0 0 A1 2 30 1 1 5 6"/>',
        ]
    )
    | st.builds('<use href="#n{}"/>'.format, st.integers(0, 6)),
    lambda inner: st.builds(
        lambda number, parts, more: f'<g id="n{number}"{more}>{"".join(parts)}</g>',
        st.integers(0, 6),
        st.lists(inner, max_size=5),
        st.sampled_from(
            [
                "",
                ' style="stroke-width:0"',
                ' transform="scale(0)"',
                ' transform="rotate(1e9)"',
                ' class="a"',
            ]
        ),
    ),
    max_leaves=40,
)


@settings(max_examples=60, deadline=None)
@given(trees, st.integers(0, 30))
def test_any_tree_of_an_svg_is_a_drawing_or_refused(tmp_path_factory, tree, rules):
    path = tmp_path_factory.getbasetemp() / "tree.svg"
    path.write_text(SVG.format(f"<style>{'.a{fill:red}' * rules}</style>{tree}"), "utf-8")
    try:
        drawing = read_drawing(str(path))
    except RequestError as error:
        assert str(error).isprintable()
    else:
        assert len(drawing.strokes) <= MOST_DRAWN


def test_a_tree_within_the_budget_is_counted_as_it_is_drawn():
    refuse_costly(SVG.format(LEVELS[: LEVELS.index('<g id="l4"')]).encode(), "x")
    with pytest.raises(RequestError):
        refuse_costly(SVG.format(LEVELS[: LEVELS.index('<g id="l6"')]).encode(), "x")


@linux
@pytest.mark.parametrize(
    ("mode", "name"), [("RGB", "large.jpg"), ("RGBA", "large.png"), ("L", "large.tif")]
)
@pytest.mark.long
def test_a_picture_of_88_million_pixels_is_read_in_500_mb_or_refused(desk, mode, name):
    turned = Image.Exif()
    turned[0x0112] = 6
    Image.new(mode, (9400, 9400), "white").save(desk.folder / name, exif=turned, compress_level=1)
    commands = (
        ["picture", "desk.yaml", "out.png", "--drawing", name],
        ["trace", name, "--of", "card"],
    )
    for asked, (said, megabytes, _) in zip(commands, desk(*commands), strict=True):
        assert megabytes < 500, asked
        assert ("at most 45 million pixels in a picture of this kind" in said) == (
            name == "large.tif" or (mode == "RGBA" and asked[0] == "trace")
        )


def test_greys_of_16_bits_come_out_as_they_are():
    import numpy as np

    from profiles.picture_files import halved, in_8_bits, range_of

    values = np.linspace(1000, 51_000, 3000 * 500).reshape(500, 3000).astype(np.uint16)
    picture = Image.fromarray(values)
    assert range_of(picture) == (1000, 51_000)
    grey = np.asarray(in_8_bits(picture, 1000, 51_000))
    assert np.array_equal(
        grey, ((values.astype(np.float32) - 1000) * (255 / 50_000)).astype(np.uint8)
    )
    odd = Image.fromarray(grey).crop((0, 0, 2999, 499))
    assert np.array_equal(np.asarray(halved(odd, "L")), np.asarray(odd.reduce(2)))
