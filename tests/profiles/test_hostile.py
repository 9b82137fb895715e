"""Files made to hurt: each is refused in a line that names the limit, in little time and memory,
and starts nothing.
"""

import os
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
from profiles.known_things import parse_thing
from profiles.library.archive import import_archive
from profiles.library.revisions import Library
from profiles.strokes.drawing import MOST_WIDTHS, read_drawing
from profiles.strokes.svg_budget import MOST_CHARACTERS, MOST_DRAWN, MOST_NUMBERS, refuse_costly
from profiles.strokes.traces import TraceRequest, trace_report

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

MEASURED = """
import resource, sys, time
resource.setrlimit(resource.RLIMIT_CPU, (20, 20))
from click.testing import CliRunner
from render.cli import group
from mapper.problems import RequestError
try:
    group.main(sys.argv[1:], standalone_mode=False)
    print("taken")
except RequestError as error:
    print(error.problems[0])
used = resource.getrusage(resource.RUSAGE_SELF)
# Not ru_maxrss, which starts from what the process had that started this one.
peak = next(line for line in open("/proc/self/status") if line.startswith("VmHWM"))
print(int(peak.split()[1]) // 1024, used.ru_utime + used.ru_stime)
"""


linux = pytest.mark.skipif(
    not os.path.exists("/proc/self/status"),  # noqa: PTH110
    reason="measures by Linux's /proc",
)


@pytest.fixture
def desk(tmp_path):
    """A folder with a desk's file, in which commands are run and measured."""
    command = [
        sys.executable,
        "-m",
        "render.cli",
        "map",
        "--tablet",
        "240x152mm",
        "--display",
        "27in 2560x1440",
    ]
    environment = os.environ | {
        "PYTHONPATH": os.getcwd(),  # noqa: PTH109
        "EVENSTROKE_LIBRARY": str(tmp_path / "library"),
    }
    subprocess.run(
        [*command, "--save", "desk.yaml"],
        cwd=tmp_path,
        env=environment,
        check=True,
        capture_output=True,
    )

    def measured(*arguments):
        done = subprocess.run(
            [sys.executable, "-c", MEASURED, *arguments],
            cwd=tmp_path,
            check=False,
            env=environment,
            capture_output=True,
            text=True,
            timeout=60,
        )
        assert done.returncode == 0, done.stderr[-2000:]
        *_, said, used = done.stdout.strip().split("\n")
        megabytes, seconds = used.split()
        return said, int(megabytes), float(seconds)

    measured.folder, measured.environment = tmp_path, environment
    return measured


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_drawing_is_refused_in_little_time_and_memory(desk, name):
    content, says = HOSTILE[name]
    (desk.folder / name).write_text(content, "utf-8")
    with pytest.raises(RequestError, match=says):
        read_drawing(str(desk.folder / name))


@linux
@pytest.mark.parametrize(
    "name", ["uses-of-uses.svg", "many.svg", "to-and-fro.svg", "points.json", "empty.json"]
)
def test_the_worst_stay_within_ten_seconds_and_500_mb(desk, name):
    (desk.folder / name).write_text(HOSTILE[name][0], "utf-8")
    said, megabytes, seconds = desk("picture", "desk.yaml", "out.png", "--drawing", name)
    assert (
        "must have at most" in said
        or "must draw at most" in said
        or "must have lines at most" in said
    )
    assert megabytes < 500
    assert seconds < 10


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

    for width, height in ((1, 80_000_000), (20_000, 20_000)):
        header = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0))
        (desk.folder / "wall.png").write_bytes(
            b"\x89PNG\r\n\x1a\n" + header + chunk(b"IDAT", zlib.compress(b"0" * 9))
        )
        said, megabytes, _ = desk("picture", "desk.yaml", "out.png", "--drawing", "wall.png")
        assert "must have at most 90 million pixels and 40000 px a side" in said
        assert megabytes < 300


@pytest.mark.parametrize("what", ["program.png", "program.jpg"])
def test_no_picture_starts_another_program(desk, what):
    if shutil.which("strace") is None:
        pytest.skip("strace is not installed (Debian: apt-get install strace)")
    (desk.folder / what).write_text(HOSTILE["program.png"][0])
    for asked in (
        ["picture", "desk.yaml", "out.png", "--drawing", what],
        ["trace", what, "--of", "card"],
    ):
        strace = ["strace", "-f", "-qq", "-e", "trace=execve", "-o", "calls"]
        done = subprocess.run(
            [*strace, sys.executable, "-m", "render.cli", *asked],
            check=False,
            cwd=desk.folder,
            env=desk.environment,
            capture_output=True,
            text=True,
            timeout=60,
        )
        assert done.returncode == 2
        assert "PNG, JPEG" in done.stderr
        calls = (desk.folder / "calls").read_text()
        assert calls.count("execve(") == 1, calls


@linux
def test_an_archive_of_too_many_files_is_refused_before_its_names_are_read(desk):
    path = desk.folder / "many.zip"
    with zipfile.ZipFile(path, "w") as archive:
        for at in range(100_002):
            archive.writestr(f"{at}", b"")
    # Once as it is, and once with an end of the directory that says there is one file.
    content = path.read_bytes()
    at = content.rindex(b"PK\5\6")
    for end in (content[at:], content[at : at + 8] + b"\1\0\1\0" + content[at + 12 :]):
        path.write_bytes(content[:at] + end)
        said, megabytes, _ = desk("import", "many.zip")
        assert "must hold at most 100000 files; got 100001" in said
        assert megabytes < 200


@linux
def test_an_archive_larger_than_a_librarys_is_refused_unread(desk):
    with (desk.folder / "large.zip").open("wb") as file:
        file.truncate(10**9)
    said, megabytes, seconds = desk("import", "large.zip")
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
def test_a_picture_of_88_million_pixels_is_read_in_500_mb_or_refused(desk, mode, name):
    turned = Image.Exif()
    turned[0x0112] = 6
    Image.new(mode, (9400, 9400), "white").save(desk.folder / name, exif=turned, compress_level=1)
    for asked in (
        ["picture", "desk.yaml", "out.png", "--drawing", name],
        ["trace", name, "--of", "card"],
    ):
        said, megabytes, _ = desk(*asked)
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
