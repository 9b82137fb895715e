"""EDIDs: what is declared, against edid-decode and pyedid.

How it is weighed, against what is known of such lies.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import warnings
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mapper.problems import RequestError
from profiles.hardware.edid import read_edid
from profiles.hardware.edid_blocks import LONGEST_BYTES, read_blocks
from tests.hardware_bytes import (
    base_block,
    cta_block,
    detailed,
    display_parameters,
    display_parameters_2,
    displayid_block,
    hdmi_data,
    tiled_topology,
    type_one_timing,
    type_seven_data,
    type_six_timing,
    with_checksum,
)
from tests.strategies import edids

#: Where the test set-up (.ci/run) unpacked the data folder of Debian's edid-decode source package.
SAMPLES_VARIABLE = "EVENSTROKE_EDID_SAMPLES"
PLAIN = detailed(2560, 1440, 597, 336)


# The oracle: edid-decode of Debian's package of that name, as a program
# ---------------------------------------------


@dataclass(frozen=True)
class Decoded:
    """The output of edid-decode for an EDID."""

    text: str

    def found(self, pattern):
        return [match.groups() for match in re.finditer(pattern, self.text, re.MULTILINE)]

    @property
    def timings(self):
        """Pixels and mm of each detailed timing, in order; 0 mm where it names none."""
        pattern = r"^ +(?:DTD|VTDB)(?: \d+)?: +(\d+)x(\d+)i? .*?(?:(\d+) mm x (\d+) mm\))?$"
        return [tuple(int(number or 0) for number in groups) for groups in self.found(pattern)]


@pytest.fixture(scope="session")
def decode():
    program = shutil.which("edid-decode")
    if program is None:
        pytest.skip("edid-decode is not installed (Debian: apt-get install edid-decode)")

    def run(data):
        done = subprocess.run([program, "-n"], input=data, capture_output=True, check=False)
        return Decoded(done.stdout.decode("ascii", "replace"))

    return run


def timings_of(blocks):
    """The timings in whole mm, as edid-decode prints them."""
    return [
        (one.width_px, one.height_px, int(one.width_mm), int(one.height_mm))
        for one in blocks.timings
    ]


def assert_declares_the_same(blocks, decoded):
    assert decoded.found(r"EDID Structure Version & Revision: (\S+)") == [(blocks.version,)]
    assert decoded.found(r"^ +Manufacturer: (\S+)$") == [(blocks.vendor,)]
    assert decoded.found(r"^ +Model: (\d+)$") == [(str(blocks.product),)]
    assert timings_of(blocks) == decoded.timings
    cm = decoded.found(r"Maximum image size: (\d+) cm x (\d+) cm")
    if not decoded.found(r"(Base EDID image size is in units of 5 cm)"):
        assert cm == ([(str(blocks.width_cm), str(blocks.height_cm))] if blocks.width_cm else [])
    sizes = decoded.found(r"^ +Image size: ([\d.]+) mm x ([\d.]+) mm$")
    assert [(float(width), float(height)) for width, height in sizes] == [
        (size.width_mm, size.height_mm) for size in blocks.sizes
    ]
    native = decoded.found(r"Display native pixel format: (\d+)x(\d+)$")
    assert [(int(width), int(height)) for width, height in native] == [
        (size.width_px, size.height_px) for size in blocks.sizes
    ]
    tilings = [
        *zip(
            decoded.found(r"Num horizontal tiles: (\d+) Num vertical tiles: (\d+)"),
            decoded.found(r"Tile resolution: (\d+)x(\d+)"),
            strict=True,
        )
    ]
    more = [tuple(map(int, (*tiles, *pixels))) for tiles, pixels in tilings if tiles != ("1", "1")]
    tiled = blocks.tiled
    ours = (tiled.across, tiled.down, tiled.tile_width_px, tiled.tile_height_px) if tiled else None
    assert ours == (more[-1] if more else None)
    assert blocks.cm_holds_ratio == bool(decoded.found(r"(Base EDID image size is aspect ratio)"))


@pytest.mark.oracle
@settings(max_examples=60)
@given(data=edids())
def test_generated_blocks_declare_what_edid_decode_finds_in_them(decode, data):
    blocks = read_blocks(data, "x")
    assert blocks.doubts == ()
    assert_declares_the_same(blocks, decode(data))


@pytest.mark.oracle
def test_all_kinds_of_extension_declare_what_edid_decode_finds_in_them(decode):
    data = b"".join(
        [
            base_block(PLAIN, name="demo 27", extensions=3),
            cta_block(
                PLAIN,
                detailed(1920, 1080, 597, 336, interlaced=True),
                data=hdmi_data(1) + type_seven_data(5120, 1440),
            ),
            displayid_block(
                display_parameters(597.3, 336.1, 2560, 1440),
                type_six_timing(3840, 2160, preferred=True),
            ),
            displayid_block(
                display_parameters_2(5973, 3361, 2560, 1440),
                display_parameters_2(597, 336, 2560, 1440, whole_mm=True),
                type_one_timing(3840, 2160, tag=0x22),
                tiled_topology(2, 1, 1280, 1440),
                version=0x20,
            ),
        ]
    )
    blocks, decoded = read_blocks(data, "x"), decode(data)
    assert blocks.cm_holds_ratio
    assert len(blocks.timings) == 6
    assert_declares_the_same(blocks, decoded)
    assert decoded.found(r"Display Product Name: '(.*)'") == [(blocks.name,)]


@pytest.mark.oracle
@settings(max_examples=30)
@given(data=edids(revision=4, extensions=False), across=st.integers(0, 255))
def test_a_proportion_in_place_of_a_size_is_the_one_that_edid_decode_reads(decode, data, across):
    for cm in ((across, 0), (0, across)):
        block = with_checksum(data[:21] + bytes(cm) + data[23:127])
        told = decode(block).found(r"Aspect ratio: ([\d.]+)(?: \((landscape|portrait)\))?")
        ratio = read_blocks(block, "x").ratio
        if ratio is None:
            assert told == []
        else:
            ((number, _),) = told
            # edid-decode prints the stored number with its way: for portrait that is height over
            # width in the standard.
            assert min(abs(float(number) - ratio), abs(float(number) - 1 / ratio)) <= 0.0051


def test_the_proportions_of_the_standard():
    # VESA E-EDID 1.4, the examples of its table of aspect ratios (not checked against the
    # standard).
    for cm, width, height in [
        ((79, 0), 16, 9),
        ((61, 0), 16, 10),
        ((34, 0), 4, 3),
        ((26, 0), 5, 4),
        ((0, 79), 9, 16),
        ((0, 61), 10, 16),
    ]:
        ratio = read_blocks(base_block(cm=cm), "x").ratio
        assert ratio == pytest.approx(width / height, rel=0.005)
    assert read_blocks(base_block(cm=(0, 0)), "x").ratio is None
    # Before 1.4 a zero meant unknown, and no proportion.
    assert read_blocks(base_block(cm=(79, 0), revision=3), "x").ratio is None


@pytest.mark.oracle
@settings(max_examples=60)
@given(data=edids())
def test_pyedid_reads_the_same_of_the_base_block(data):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of its HTTP library, which is not used here
        pyedid = pytest.importorskip("pyedid")
    theirs, ours = pyedid.parse_edid(data), read_blocks(data, "x")
    assert theirs.manufacturer_pnp_id == ours.vendor
    # The standard stores the product number low byte first (not checked against the standard), as
    # edid-decode reads it; pyedid swaps them.
    assert theirs.product_id.to_bytes(2, "big") == ours.product.to_bytes(2, "little")
    assert theirs.edid_version == ours.version
    assert (theirs.name or "") == ours.name
    if theirs.width and theirs.height:
        assert (theirs.width, theirs.height) == (ours.width_cm, ours.height_cm)
    else:
        assert (ours.width_cm, ours.height_cm) == (0, 0)


@pytest.mark.oracle
@given(data=edids(), place=st.integers(8, 127), other=st.integers(1, 255))
@settings(max_examples=30)
def test_a_wrong_checksum_is_named_with_the_right_one(decode, data, place, other):
    if place in {18, 19}:
        place = 10  # the version, without which there is nothing to read
    changed = bytearray(data)
    changed[place] ^= other
    should_be = decode(bytes(changed)).found(r"^Checksum: 0x(..) \(should be 0x(..)\)")[0]
    doubt = read_blocks(bytes(changed), "x").doubts[0]
    assert doubt == (
        f"The checksum of the base block is wrong: it is 0x{should_be[0]} and should be "
        f"0x{should_be[1]}."
    )


def samples():
    """The real blocks, without the names of the products that they come from."""
    folder = Path(os.environ.get(SAMPLES_VARIABLE) or "no folder is named")
    files = sorted(path for path in folder.iterdir() if path.is_file()) if folder.is_dir() else []
    contents = [path.read_bytes() for path in files]
    return [
        pytest.param(data, id=sha256(data).hexdigest()[:12]) for data in dict.fromkeys(contents)
    ]


@pytest.mark.oracle
@pytest.mark.parametrize("data", samples() or [pytest.param(b"", id="none")])
def test_real_blocks_declare_what_edid_decode_finds_in_them(decode, data):
    if not data:
        pytest.skip(
            f"{SAMPLES_VARIABLE} names no folder with the data of Debian's edid-decode source "
            "package"
        )
    blocks, decoded = read_blocks(data, "x"), decode(data)
    # A timing without lines is filling that was not zeroed; edid-decode prints it as 32x0.
    kept = Decoded(re.sub(r"^ +DTD.* \d+x0i? .*$", "", decoded.text, flags=re.MULTILINE))
    assert_declares_the_same(blocks, kept)
    facts = read_edid(data, "x")
    native = decoded.text.rpartition("Native Video Res")[2]
    natives = {
        (int(width), int(height))
        for width, height in re.findall(r"^  (\d+)x(\d+)$", native, re.MULTILINE)
    }
    if natives and not blocks.tiled:
        # The largest preferred timing may exceed what the base block calls native, never fall short
        # of it.
        assert facts.width_px * facts.height_px >= min(width * height for width, height in natives)
    if facts.width_mm:
        assert 20 <= facts.width_px * 25.4 / facts.width_mm <= 1000
    assert bool(facts.width_mm) == bool(facts.size_source)
    assert facts.width_mm or facts.doubts


# Weighing
# ------------------------------------------------------------


def hd(*mm):
    return detailed(1920, 1080, *mm)


def extended(*extensions, timing=PLAIN, **more):
    return base_block(timing, extensions=len(extensions), **more) + b"".join(extensions)


def several(base, cm, *others):
    """Timings of 1920 x 1080 with these sizes; the base block has the first and ``cm``."""
    return extended(cta_block(*(hd(*size) for size in others)), timing=hd(*base), cm=cm, revision=3)


# The third byte of a size holds the high nibbles of both: 0x0f 0x28 0x21 is 0x20f by 0x128, 527 x
# 296 mm.
NIBBLES = hd()[:12] + bytes.fromhex("0f2821") + hd()[15:]
NO_SIZE = (None, None)
WEIGHED = {
    "plain": (base_block(PLAIN), (597, 336), ""),
    "nibbles": (base_block(NIBBLES, cm=(53, 30)), (527, 296), ""),
    **{
        f"proportion {across}:{down}": (
            base_block(hd(across, down), cm=(53, 30)),
            (530, 300),
            (
                f"{across} x {down} mm by detailed timing 1 of the base block; that is the "
                "proportion"
            ),
        )
        for across, down in [(16, 9), (160, 90), (16, 10), (4, 3), (9, 16)]
    },
    "proportion in the hundreds": (
        base_block(hd(1600, 900), cm=(53, 30)),
        (530, 300),
        "write a proportion this way",
    ),
    "nothing but proportions": (
        base_block(hd(1600, 900), cm=(160, 90)),
        NO_SIZE,
        "No size can be taken",
    ),
    "declared proportion": (
        base_block(hd(), cm=(79, 0)),
        NO_SIZE,
        "gives a proportion of 1.78 to 1 in place of a size.",
    ),
    "proportion by HDMI": (
        extended(cta_block(data=hdmi_data(1)), timing=hd(), cm=(115, 65), revision=3),
        NO_SIZE,
        "An HDMI block says that the base block's 115 x 65 cm are a proportion.",
    ),
    "mm and cm apart": (
        base_block(hd(1018, 573), cm=(52, 29)),
        (520, 290),
        (
            "520 x 290 mm by the base block in whole centimetres, but 1018 x 573 mm by detailed "
            "timing 1 of the base block: measure to be sure."
        ),
    ),
    **{
        f"rounded to {cm} cm": (base_block(PLAIN, cm=cm), (597, 336), "")
        for cm in ((59, 33), (60, 34), (59, 34))
    },
    "the end of the cm": (
        base_block(detailed(3840, 2160, 2900, 1631), cm=(255, 163)),
        (2900, 1631),
        "",
    ),
    "not the end of the cm": (
        base_block(detailed(3840, 2160, 1218, 685), cm=(255, 163)),
        (1218, 685),
        "2550 x 1630",
    ),
    "too dense": (base_block(hd(40, 22), cm=(0, 0)), NO_SIZE, "1219 px per inch"),
    "too coarse": (base_block(hd(3000, 1688), cm=(0, 0)), NO_SIZE, "16 px per inch"),
    "swapped": (
        base_block(hd(299, 531), cm=(53, 30)),
        (530, 300),
        "does not go with 1920 x 1080 px",
    ),
    "halved": (
        base_block(hd(480, 135), cm=(53, 30)),
        (530, 300),
        "does not go with 1920 x 1080 px",
    ),
    "not square": (
        base_block(detailed(1280, 1024, 376, 282), cm=(38, 28)),
        (376, 282),
        "not square but 7 % longer",
    ),
    "one side": (
        base_block(hd(531, 0), cm=(0, 0)),
        NO_SIZE,
        "531 x 0 mm by detailed timing 1 of the base block, which gives one side only.",
    ),
    "tenths": (
        extended(displayid_block(display_parameters(596.7, 335.7, 2560, 1440))),
        (596.7, 335.7),
        "",
    ),
    "of a part": (base_block(detailed(3440, 1440), hd(640, 360), cm=(80, 34)), (800, 340), ""),
    "of the whole": (base_block(detailed(3840, 2160), hd(621, 341), cm=(62, 34)), (621, 341), ""),
    # Several sizes, as seen in real blocks. One timing beside another and the base block that
    # agree.
    "one against two": (
        several((344, 194), (48, 27), (480, 270)),
        (480, 270),
        "measure to be sure",
    ),
    "two timings are one kind": (
        several((480, 270), (48, 27), (344, 194), (344, 194)),
        (480, 270),
        "measure to be sure",
    ),
    # A television with the millimetres of some other panel in every timing.
    "another panel": (
        several((708, 398), (115, 65), (708, 398), (708, 398)),
        (1150, 650),
        "measure to be sure",
    ),
    # No centimetres: what most timings say.
    "most timings": (
        several((597, 336), (0, 0), (698, 393), (698, 393)),
        (698, 393),
        "measure to be sure",
    ),
    # Centimetres that would make pixels a tenth longer one way lose to a timing.
    "square pixels": (several((477, 268), (52, 32)), (477, 268), "measure to be sure"),
    # 62 x 33 cm: at most 63 x 32 to 61 x 34 cm, 1.79 to 1 or more, and 16:9 is 1.78.
    "square beyond rounding": (several((597, 336), (62, 33)), (597, 336), "measure to be sure"),
    # As oblong on a small display, where a centimetre is much: 18 x 9 cm may be 17 x 10.
    "square within rounding": (several((100, 56), (18, 9)), (180, 90), "measure to be sure"),
    # Of those that agree the most exact.
    "most exact": (several((1150, 647), (115, 65), (708, 398)), (1150, 647), "measure to be sure"),
}


@pytest.mark.parametrize(("data", "size_mm", "said"), WEIGHED.values(), ids=WEIGHED)
def test_a_size_is_weighed_and_every_doubt_is_said(data, size_mm, said):
    facts = read_edid(data, "x")
    assert (facts.width_mm, facts.height_mm) == size_mm
    assert any(said in doubt for doubt in facts.doubts) if said else facts.doubts == ()


def test_hdmi_tells_the_unit_of_the_centimetres():
    # 2: the field is in cm; 3: in steps of 5 cm (HDMI 1.4, section 8.3.2, not checked against the
    # standard).
    for told, width_mm in ((2, 230), (3, 1150)):
        for latencies in (0, 1, 2):
            block = cta_block(data=hdmi_data(told, latencies=latencies))
            assert (
                read_edid(extended(block, timing=hd(), cm=(23, 13), revision=3), "x").width_mm
                == width_mm
            )


PIXELS = {
    "by its timing": (base_block(PLAIN), (2560, 1440), "detailed timing 1 of the base block", ""),
    # Wide panels are told in an extension only.
    "by an extension": (
        extended(
            displayid_block(type_one_timing(5120, 2160, preferred=True)),
            timing=detailed(3440, 1440, 879, 369),
        ),
        (5120, 2160),
        "a DisplayID timing of extension block 1",
        "",
    ),
    "by its tiles": (
        extended(
            displayid_block(tiled_topology(2, 1, 2560, 2880)), timing=detailed(2560, 2880, 597, 336)
        ),
        (5120, 2880),
        "its tiles",
        "2 x 1 tiles",
    ),
    "one pixel": (
        base_block(detailed(1, 1, 597, 336)),
        (None, None),
        "",
        "1 x 1 px by detailed timing 1 of the base block, which no display has.",
    ),
    "no timing": (base_block(cm=(38, 30)), (None, None), "", "its pixels are unknown"),
    **{
        f"1.{revision} {said}": (
            base_block(PLAIN, revision=revision, preferred_is_native=native),
            (2560, 1440),
            "detailed timing 1 of the base block",
            said,
        )
        for revision, native, said in [
            (2, False, "prefers no timing"),
            (2, True, ""),
            (3, False, ""),
            (4, False, "does not say that the panel"),
        ]
    },
}


@pytest.mark.parametrize(("data", "pixels", "source", "said"), PIXELS.values(), ids=PIXELS)
def test_pixels_have_a_source_and_every_doubt_is_said(data, pixels, source, said):
    facts = read_edid(data, "x")
    assert ((facts.width_px, facts.height_px), facts.pixels_source) == (pixels, source)
    assert not said or any(said in doubt for doubt in facts.doubts)
    assert said or not any("timing" in doubt or "prefers" in doubt for doubt in facts.doubts)


def test_a_display_to_map_to_and_what_it_is_called():
    facts = read_edid(base_block(PLAIN, name="demo 27"), "x")
    assert (facts.title, facts.size_source) == ("demo 27", "detailed timing 1 of the base block")
    assert read_edid(base_block(PLAIN, product=0x1F), "x").title == "QZX 001f"
    assert read_edid(base_block(hd(1600, 900), cm=(160, 90)), "x").display("x").width_mm is None
    with pytest.raises(RequestError, match=r'does not say how many pixels.*"380x300mm 1280x1024"'):
        read_edid(base_block(cm=(38, 30)), "x").display("--display")


# Blocks that are broken
# ------------------------------------------------------------


@pytest.mark.parametrize(
    ("data", "must"),
    [
        (b"", "holds no EDID"),
        (base_block(PLAIN)[:127], "at least 128 bytes; got 127"),
        (b"\1" + base_block(PLAIN)[1:], "begins with the bytes 00 ff ff ff ff ff ff 00"),
        (base_block(PLAIN) * 257, f"at most {LONGEST_BYTES} bytes"),
        (
            with_checksum(base_block(PLAIN)[:18] + b"\2" + base_block(PLAIN)[19:127]),
            "version 1.0 to 1.4; got 2.4",
        ),
    ],
)
def test_what_is_no_edid_is_refused_with_what_to_do(data, must):
    with pytest.raises(RequestError) as caught:
        read_edid(data, "demo.edid")
    (problem,) = caught.value.problems
    assert str(problem).startswith("demo.edid: ")
    assert must in str(problem)
    assert problem.instead


def test_extensions_that_are_missing_cut_or_wrong_are_said_and_not_read():
    whole = base_block(PLAIN, extensions=1)
    extra = cta_block(detailed(1920, 1080, 597, 336))
    assert read_blocks(whole, "x").doubts == (
        "The base block announces 1 extension block and 0 came with it.",
    )
    cut = read_blocks(whole + extra[:100], "x")
    assert (
        cut.doubts[1]
        == "After the last whole block there is a rest of 100 bytes, which was not read."
    )
    wrong = read_blocks(whole + extra[:127] + bytes([extra[127] ^ 1]), "x")
    assert wrong.timings == read_blocks(whole, "x").timings
    assert "checksum of extension block 1 is wrong" in wrong.doubts[0]
    assert len(read_blocks(whole + extra, "x").timings) == 2
    # What follows without being announced is read where it is a block, and is filling where it is
    # none.
    assert len(read_blocks(whole + extra + extra, "x").timings) == 3
    assert read_blocks(whole + extra + 128 * b"\xff", "x") == read_blocks(whole + extra, "x")


def test_an_extension_with_impossible_offsets_is_said():
    for offset in (1, 3, 128, 255):
        block = with_checksum(bytes([2, 3, offset]) + bytes(124))
        assert (
            "puts its timings at byte"
            in read_blocks(base_block(PLAIN, extensions=1) + block, "x").doubts[0]
        )
    block = with_checksum(bytes([0x70, 0x12, 200]) + bytes(124))
    assert (
        "announces 200 bytes" in read_blocks(base_block(PLAIN, extensions=1) + block, "x").doubts[0]
    )
    block = with_checksum(bytes([0x70, 0x12, 20, 0, 0, 0x03, 0, 60]) + bytes(119))
    assert (
        "reaches over its end"
        in read_blocks(base_block(PLAIN, extensions=1) + block, "x").doubts[0]
    )


@given(
    data=edids(),
    cut=st.integers(0, 600),
    flips=st.lists(st.tuples(st.integers(0, 600), st.integers(0, 255)), max_size=20),
)
def test_any_bytes_give_facts_or_a_request_error(data, cut, flips):
    broken = bytearray(data[: len(data) - cut] if cut < 300 else data)
    for place, value in flips:
        if place < len(broken):
            broken[place] = value
    try:
        facts = read_edid(bytes(broken), "x")
    except RequestError:
        return
    assert (facts.width_mm is None) == (facts.height_mm is None) == (not facts.size_source)
    assert all(doubt.endswith(".") and doubt.isprintable() for doubt in facts.doubts)
