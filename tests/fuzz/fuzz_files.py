"""Files of strangers, made to break their readers, for as long as one likes.

    python tests/fuzz/fuzz_files.py KIND -max_total_time=600 [CORPUS]

KIND is svg, csv, json, png (drawings and traces), picture (a trace in every kind of picture,
damaged), zip (archives), yaml (profiles), mark (of a library), edid, hid or list. Needs the extra
``fuzz`` (atheris, Linux). The bytes that atheris invents choose the parts of a file rather than its
bytes: groups, uses, styles and paths of an SVG; chunks of a PNG with sums that are right; names,
lists and members of an archive; pieces of the kept sample of a profile; blocks of an EDID with
header and checksums; and of every kind one input in eight is taken as it comes. What is not read
must be refused in one line, within ten seconds of the processor and 500 MB; a profile that is read
is written so that it is read as the same, and can be kept and had back. The files in ``corpus/``
are where it starts; what it found is among them, so ``tests/profiles/test_hostile.py`` tries them
in every run.
"""

from __future__ import annotations

import hashlib
import io
import json
import os
import shutil
import struct
import sys
import tempfile
import time
import warnings
import zipfile
import zlib
from functools import cache
from pathlib import Path

import atheris
import numpy as np
from PIL import Image

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

with atheris.instrument_imports(include=["profiles", "mapper", "svgelements"]):
    from mapper.problems import EvenstrokeError
    from profiles.library.entries import digest
    from tests.drawn_traces import draw_trace, matrix_of
    from tests.fuzz.readers import CARD, CORPUS, READERS, SAMPLE, peak_kb

FOLDER = Path(tempfile.mkdtemp(prefix="fuzz-strokes-"))
NUMBERS = (*"0 1 -1 .5 5 1e3 1e-9 1e308 -1e308 1e999 nan inf 0x1 + 1e ٣ 1_0".split(), "9" * 40, "")


class Choices:
    """What the invented bytes choose."""

    def __init__(self, data: bytes) -> None:
        self.data = atheris.FuzzedDataProvider(data)

    def one_of(self, options):
        return options[self.data.ConsumeIntInRange(0, len(options) - 1)]

    def upto(self, most: int) -> int:
        return self.data.ConsumeIntInRange(0, most)

    def text(self, most: int) -> str:
        return self.data.ConsumeUnicodeNoSurrogates(self.upto(most))

    def raw(self, most: int) -> bytes:
        return self.data.ConsumeBytes(self.upto(most))

    def rest(self) -> bytes:
        return self.data.ConsumeBytes(self.data.remaining_bytes())

    def number(self) -> str:
        return str(self.data.ConsumeFloat()) if self.upto(3) == 0 else self.one_of(NUMBERS)


# SVG: a tree of elements with attributes that mean something to a reader.
TAGS = """
g use path rect circle ellipse line polyline polygon svg symbol defs style text image clipPath
linearGradient marker switch a title zzz svg:path
""".split()
LENGTHS = "x y x1 y1 x2 y2 cx cy r rx ry width height stroke-width font-size".split()
UNITS = ("", "px", "mm", "in", "%", "em", "ex", "vw", "zz")
STYLES = """
fill:red fill:none stroke:#12 stroke:rgb(1,2) stroke-width:0 stroke-width:1e99% display:none
visibility:hidden fill:url(#n1) stroke:currentColor fill:hsl(1,2%,3%) opacity:x transform:rotate(9)
;;: a
""".split()
TURNS = (
    "scale({0})",
    "scale({0},{1})",
    "rotate({0})",
    "rotate({0},{1},{2})",
    "translate({0} {1})",
    "skewX({0})",
    "skewY({0}deg)",
    "matrix({0},{1},{2},{0},{1},{2})",
    "matrix({0})",
    "rotate({0}turn",
    "perspective({0})",
    "scale()",
)


def svg_element(choose: Choices, depth: int) -> str:  # noqa: C901, PLR0912 - a list of what there is
    tag = choose.one_of(TAGS)
    written = []
    for _ in range(choose.upto(4)):
        kind = choose.upto(9)
        if kind == 0:
            written.append(("id", f"n{choose.upto(5)}"))
        elif kind == 1:
            written.append(
                (
                    choose.one_of(("href", "xlink:href")),
                    choose.one_of(("#n0", "#n1", "#n2", "n3", "#", "x.svg#n1", "data:,")),
                )
            )
        elif kind == 2:
            written.append(("class", choose.one_of(("a", "b", "a b", ""))))
        elif kind == 3:
            written.append(
                ("style", ";".join(choose.one_of(STYLES) for _ in range(choose.upto(3))))
            )
        elif kind == 4:
            turns = [
                choose.one_of(TURNS).format(*(choose.number() for _ in range(3)))
                for _ in range(choose.upto(3))
            ]
            written.append(("transform", choose.one_of((" ", ",", "")).join(turns)))
        elif kind == 5:
            drawn = "".join(
                choose.one_of("MmLlHhVvCcSsQqTtAaZz,ex ") + choose.number() + " "
                for _ in range(choose.upto(12))
            )
            written.append((choose.one_of(("d", "points")), drawn))
        elif kind == 6:
            name, _, value = choose.one_of(STYLES).partition(":")
            written.append((name.strip(";") or "fill", value))
        elif kind == 7:
            written.append(
                (
                    choose.one_of(("viewBox", "preserveAspectRatio")),
                    " ".join(choose.number() for _ in range(choose.upto(4))),
                )
            )
        elif kind == 8:
            written.append((choose.one_of(LENGTHS), choose.text(6)))
        else:
            written.append((choose.one_of(LENGTHS), choose.number() + choose.one_of(UNITS)))
    attributes = "".join(f" {name}={quoted(value)}" for name, value in dict(written).items())
    if tag == "style":
        inner = choose.one_of(
            (
                ".a{fill:red}",
                "#n1,.b > g{stroke:blue}",
                "@media x{.a{}}",
                ".a{",
                "}",
                "/*",
                "*{fill:url(x)}",
            )
        ) * choose.upto(5)
    else:
        inner = "".join(
            svg_element(choose, depth + 1) for _ in range(choose.upto(3 if depth < 6 else 0))
        )
    return f"<{tag}{attributes}>{inner}</{tag}>"


def quoted(value: str) -> str:
    kept = "".join(
        char
        for char in value
        if char in "\t\n\r" or " " <= char <= "\ud7ff" or "\ue000" <= char <= "\ufffd"
    )
    return '"' + kept.replace("&", "&amp;").replace("<", "&lt;").replace('"', "&quot;") + '"'


def svg(choose: Choices) -> bytes:
    before = choose.one_of(
        (
            "",
            '<?xml version="1.0"?>',
            '<!DOCTYPE svg [<!ENTITY a "&#60;g/>"><!ENTITY b "&a;&a;&a;">]>',
        )
    )
    head = (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:svg="http://www.w3.org/2000/svg" '
        'xmlns:xlink="http://www.w3.org/1999/xlink"'
    )
    inner = "".join(svg_element(choose, 0) for _ in range(1 + choose.upto(4)))
    box = quoted(" ".join(choose.number() for _ in range(4)))
    entity = "&b;" * (before[-2:] == "]>")
    return f"{before}{head} viewBox={box}>{entity}{inner}</svg>".encode()


def csv(choose: Choices) -> bytes:
    between = choose.one_of((",", "\t", ";", " ,"))
    heads = [
        choose.one_of(("x", "y", "stroke", "x_mm", "y_mm", "X ", '"x"', "", "pressure"))
        for _ in range(1 + choose.upto(4))
    ]
    rows = [between.join(heads)]
    for _ in range(choose.upto(12)):
        cells = (
            choose.number()
            if choose.upto(4)
            else choose.one_of(('"', '""', '"1,2"', "1\0", "a", '"1\n2"', choose.text(5)))
            for _ in heads
        )
        rows.append(between.join(cells))
    return choose.one_of(("\n", "\r\n", "\r")).join(rows).encode("utf-8", "surrogatepass")


def json_value(choose: Choices, depth: int) -> str:
    kind = choose.upto(7)
    if depth > 5 or kind < 2:
        return choose.one_of(
            (
                choose.number(),
                "1",
                "2.5",
                "null",
                "true",
                '"3"',
                "NaN",
                "-Infinity",
                "9" * 400,
                '"\\ud800"',
            )
        )
    if kind < 6:
        return "[" + ",".join(json_value(choose, depth + 1) for _ in range(choose.upto(4))) + "]"
    keys = [
        choose.one_of(("x", "y", "points", "strokes", "unit", "hand", "screen", ""))
        for _ in range(choose.upto(4))
    ]
    return (
        "{" + ",".join(f"{json.dumps(key)}:{json_value(choose, depth + 1)}" for key in keys) + "}"
    )


def json_file(choose: Choices) -> bytes:
    strokes = json_value(choose, 0)
    return choose.one_of(
        (
            strokes,
            f'{{"unit":"mm","strokes":{strokes}}}',
            f'{{"strokes":[[[1,2],[3,4]]],"hand":{strokes}}}',
        )
    ).encode()


def chunk(kind: bytes, content: bytes) -> bytes:
    return (
        struct.pack(">I", len(content))
        + kind
        + content
        + struct.pack(">I", zlib.crc32(kind + content))
    )


def png(choose: Choices) -> bytes:
    width, height = (
        choose.one_of((1, 2, 60, 200, 0, 65_000, 2**31 - 1, 2**32 - 1)) for _ in range(2)
    )
    depth, colour = choose.one_of((8, 1, 2, 4, 16, 3, 255)), choose.one_of((2, 0, 3, 4, 6, 1, 9))
    parts = [
        chunk(
            b"IHDR",
            struct.pack(
                ">IIBBBBB",
                width,
                height,
                depth,
                colour,
                *(choose.one_of((0, 0, 0, 1, 7)) for _ in range(3)),
            ),
        )
    ]
    for _ in range(choose.upto(5)):
        kind = choose.one_of(
            b"PLTE tRNS gAMA eXIf iCCP zTXt iTXt pHYs acTL fcTL fdAT IHDR IEND aaAa".split()
        )
        packed = zlib.compress(bytes(choose.one_of((9, 70_000, 2_000_000))))
        content = choose.one_of(
            (
                choose.raw(40),
                b"a\0\0" + packed,
                b"a\0\1\0\0\0" + packed,
                bytes(768),
                b"Exif\0\0MM\0*\0\0\0\x08\0\1\x01\x12\0\3\0\0\0\1\0\6\0\0",
            )
        )
        parts.append(chunk(kind, content))
    rows = min(height, 200) * (1 + min(width, 200) * 8)
    pixels = choose.one_of((bytes(rows), b"\xff" * rows, choose.raw(60) * 50, choose.raw(60)))
    parts += [
        chunk(b"IDAT", zlib.compress(pixels)[: choose.one_of((None, 9, -3))])
    ] * choose.one_of((1, 1, 2, 0))
    return b"\x89PNG\r\n\x1a\n" + b"".join(parts) + chunk(b"IEND", b"") * choose.upto(1)


SAMPLE_BYTES = SAMPLE.read_bytes()


def archive(choose: Choices) -> bytes:
    """An archive like ours with one or several things wrong, and a few bytes changed."""
    out = io.BytesIO()
    listed = []
    with warnings.catch_warnings(action="ignore"), zipfile.ZipFile(out, "w") as made:
        for _ in range(choose.upto(4)):
            content = SAMPLE_BYTES if choose.upto(1) else choose.raw(60)
            folder = choose.one_of(
                (
                    "desk",
                    "a-b",
                    "..",
                    "/etc",
                    "a/b",
                    "",
                    "con",
                    "desk/pin",
                    "desk/trials",
                    "desk/../x",
                )
            )
            named = (
                digest(content)
                if choose.upto(4)
                else choose.one_of(("0" * 20, "é" * 20, choose.text(8)))
            )
            name = choose.one_of(
                (
                    "0001-20260302-090000-{}.yaml",
                    "0000-20260302-090000-{}.yaml",
                    "1-{}.yaml",
                    "20260302-090000-000000-pin-{}.yaml",
                    "9999-99999999-999999-{}.yaml",
                    "{}",
                )
            )
            path = f"workstations/{folder}/{name.format(named)}"
            size = len(content) + choose.one_of((0, 0, 0, 1, -1))
            listed.append(
                {"path": path, "bytes": size, "sha256": hashlib.sha256(content).hexdigest()}
            )
            if choose.upto(5):
                made.writestr(
                    path,
                    content,
                    choose.one_of(
                        (
                            zipfile.ZIP_STORED,
                            zipfile.ZIP_DEFLATED,
                            zipfile.ZIP_BZIP2,
                            zipfile.ZIP_LZMA,
                        )
                    ),
                )
        if choose.upto(7):
            head = choose.one_of((1, 1, 1, 1, 2, "1", None, [1]))
            contents = (
                json.dumps({"evenstroke_archive": head, "files": listed})
                if choose.upto(5)
                else choose.raw(300)
            )
            made.writestr("contents.yaml", contents)
        made.comment = choose.raw(30)
    content = bytearray(out.getvalue())
    for _ in range(choose.upto(3)):
        at = len(content) - 1 - choose.upto(min(len(content) - 1, 400))
        content[at : at + choose.upto(4)] = choose.raw(8)
    return bytes(content)


def spliced(whole: bytes, choose: Choices, head: int) -> bytes:
    """``whole`` with a few pieces replaced, so that it gets past the grammar.

    Every other time they lie among its first ``head`` bytes.
    """
    content = bytearray(whole)
    for _ in range(1 + choose.upto(4)):
        at = choose.upto(len(content) if choose.upto(1) else min(head, len(content)))
        content[at : at + choose.upto(40)] = (
            choose.raw(24) if choose.upto(3) else b"\xff\xff\xff\xff"
        )
    return bytes(content)


def profile(choose: Choices) -> bytes:
    return spliced(SAMPLE_BYTES, choose, len(SAMPLE_BYTES))


MODES = {
    "PNG": ("RGB", "RGBA", "P", "L", "1", "I;16"),
    "JPEG": ("RGB", "L", "CMYK"),
    "WEBP": ("RGB", "RGBA"),
    "TIFF": ("RGB", "CMYK", "L", "I;16", "F"),
    "BMP": ("RGB", "L"),
    "GIF": ("P", "L"),
}


@cache
def traced(kind: str, mode: str) -> bytes:
    """A card as somebody traced it, in this kind of picture."""
    plain, out = FOLDER / "plain.png", io.BytesIO()
    draw_trace(plain, CARD.outline(), matrix_of(2.4, 2.2, 2), size_px=(280, 220), stroke_px=3)
    with Image.open(plain) as image:
        deep = {
            "I;16": lambda grey: grey.astype(np.uint16) * 200,
            "F": lambda grey: grey.astype(np.float32),
        }
        made = (
            Image.fromarray(deep[mode](np.asarray(image.convert("L"))))
            if mode in deep
            else image.convert(mode)
        )
    made.save(out, kind)
    plain.unlink()
    return out.getvalue()


def picture(choose: Choices) -> bytes:
    kind = choose.one_of(tuple(MODES))
    return spliced(traced(kind, choose.one_of(MODES[kind])), choose, 200)


def edid(choose: Choices) -> bytes:
    """Whole blocks, with the header, a version and right checksums."""
    blocks = bytearray(choose.rest().ljust(128, b"\0"))
    del blocks[len(blocks) // 128 * 128 :]
    blocks[:8] = bytes.fromhex("00ffffffffffff00")
    blocks[18:20] = bytes([1, blocks[19] % 5])
    for end in range(127, len(blocks), 128):
        blocks[end] = -sum(blocks[end - 127 : end]) % 256
    return bytes(blocks)


def hid(choose: Choices) -> bytes:
    """Inside a pen's collection, where most of the code is."""
    return bytes.fromhex("050d0902a1010920a100") + choose.rest()


HEADERS = (
    b"label,size,counts_per_mm,turn_deg\n",
    b"name;width_mm;height_mm;resolution\n",
    b"label,diagonal_in,pixels\n",
    b"display\twidth (in)\theight (in)\twidth_px\theight_px\n",
)


def pasted_list(choose: Choices) -> bytes:
    """Under a header that is known, so that the rows are reached."""
    return choose.one_of(HEADERS) + choose.rest()


KINDS = {
    "svg": (svg, READERS["svg"]),
    "csv": (csv, READERS["csv"]),
    "json": (json_file, READERS["json"]),
    "png": (png, READERS["png"]),
    "picture": (picture, READERS["png"]),
    "zip": (archive, READERS["zip"]),
    "yaml": (profile, READERS["profile"]),
    "mark": (Choices.rest, READERS["mark"]),
    "edid": (edid, READERS["edid"]),
    "hid": (hid, READERS["hid"]),
    "list": (pasted_list, READERS["list"]),
}


def one(kind: str, data: bytes) -> None:
    made, read = KINDS[kind]
    path = FOLDER / f"x.{kind}"
    path.write_bytes(data[1:] if data[:1] and data[0] % 8 == 0 else made(Choices(data[1:])))
    began_s, began_kb = time.process_time(), peak_kb(anew=True)
    try:
        try:
            read(path)
        except EvenstrokeError as error:
            for problem in error.problems:
                assert "\n" not in str(problem), problem
                assert str(problem).isprintable(), problem
        used_s, used_mb = time.process_time() - began_s, (peak_kb() - began_kb) / 1024
        assert used_s < 10, f"took {used_s:.0f} s"
        assert used_mb < 500, f"took {used_mb:.0f} MB"
    except BaseException:
        kept = Path(tempfile.gettempdir()) / f"found-{os.getpid()}.{kind}"
        shutil.copy(path, kept)
        print(f"the file is kept as {kept}", flush=True)
        raise


def main() -> None:
    kind = sys.argv.pop(1)
    begins = FOLDER.with_name(FOLDER.name + "-corpus")
    begins.mkdir()
    for path in (CORPUS / kind).glob("*"):
        (begins / path.name).write_bytes(b"\0" + path.read_bytes())
    # What numpy would only remark on a user's terminal is a finding too.
    warnings.simplefilter("error")
    os.fsync = lambda _descriptor: None  # type: ignore[assignment]  # whether it reached the disk is not the question here
    # atheris itself grows by some 60 kB an input, so what an input takes is measured above.
    limits = [
        "-timeout=120",
        "-rss_limit_mb=0",
        "-max_len=4096",
        "-len_control=0",
        f"-artifact_prefix={begins}/",
    ]
    atheris.Setup([sys.argv[0], *limits, *sys.argv[1:], str(begins)], lambda data: one(kind, data))
    atheris.Fuzz()


if __name__ == "__main__":
    main()
