"""What the blocks of an EDID declare, in the order of the bytes. Nothing is judged here.

Sources: VESA E-EDID release A2 (structure 1.4) for the base block and the 18-byte detailed timing,
CTA-861 for its extension, VESA DisplayID 1.3 and 2.0 for theirs. The standards were not open:
section and table numbers are not checked against the standard. The tests compare each layout with
edid-decode, which alone is the source for the size in a DisplayID timing of type VI.

Every slice is taken from a block of exactly 128 bytes, and every loop walks forward over one, so
time and memory are bounded by the 256 blocks of the longest description. Serial numbers are not
read: a profile is shared, and nobody draws with a serial number.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from mapper.phrases import phrase, phrase_count
from mapper.problems import Problem, RequestError

if TYPE_CHECKING:
    from collections.abc import Iterator

BLOCK_BYTES = 128
#: The base block and the 255 extensions that its count byte can announce.
LONGEST_BYTES = 256 * BLOCK_BYTES

_HEADER = bytes.fromhex("00ffffffffffff00")
_CTA, _DISPLAYID = 0x02, 0x70
_DESCRIPTORS = (54, 72, 90, 108)
_NAME_TAG = 0xFC
_CTA_VENDOR, _CTA_EXTENDED, _CTA_TYPE_VII = 3, 7, b"\x22"
_HDMI_OUI = bytes.fromhex("030c00")


@dataclass(frozen=True, slots=True)
class Declared:
    """Pixels and size in mm that a timing, or a block of the panel's parameters, declares.

    The size is 0 where it is not declared.
    """

    width_px: int
    height_px: int
    width_mm: float
    height_mm: float
    source: str
    preferred: bool = False


@dataclass(frozen=True, slots=True)
class Tiling:
    """A display made of tiles: how many across and down, and the pixels of the described one."""

    across: int
    down: int
    tile_width_px: int
    tile_height_px: int


@dataclass(frozen=True, slots=True)
class EdidBlocks:
    """Everything that an EDID declares about size and pixels.

    ``sizes`` are those of the panel's parameters. ``width_cm`` and ``height_cm`` are 0 where they
    are not declared; ``ratio`` is width over height where the base block gives only that;
    ``cm_holds_ratio`` is true where an HDMI block declares that the centimetres are one.
    ``native_px_first`` is whether the first timing is declared to have the panel's own pixels, None
    where the version has no such statement. ``tiled`` is how a display of several tiles is laid
    out, None for the usual display of one.
    """

    version: str
    vendor: str
    product: int
    name: str
    width_cm: int
    height_cm: int
    ratio: float | None
    cm_holds_ratio: bool
    native_px_first: bool | None
    timings: tuple[Declared, ...]
    sizes: tuple[Declared, ...]
    tiled: Tiling | None
    doubts: tuple[str, ...]


def read_blocks(data: bytes, where: str) -> EdidBlocks:
    """The facts that the EDID ``data`` declares; every unreadable part becomes a doubt.

    Raises RequestError naming ``where`` if ``data`` does not begin with a whole EDID 1 base block,
    or is longer than an EDID can be.
    """
    _check_base(data, where)
    base = data[:BLOCK_BYTES]
    doubts: list[str] = []
    if sum(base) % 256:
        doubts.append(
            phrase(
                "The checksum of the base block is wrong: {checksum}.",
                checksum=_checksum_words(base),
            )
        )
    revision = base[19]
    if revision > 4:
        doubts.append(
            phrase(
                "The base block is of version 1.{revision}; it was read as 1.4, the last that "
                "was published.",
                revision=revision,
            )
        )
    preferred_first = revision >= 3 or bool(base[24] & 0x02)
    timings = list(_base_timings(base, preferred_first=preferred_first))
    extensions, more_doubts = _extensions(data)
    doubts += more_doubts
    sizes: list[Declared] = []
    tiled: Tiling | None = None
    cm_unit, cm_holds_ratio = 1, False
    for number, block in extensions:
        if block[0] == _CTA:
            timings += _cta_displayid_timings(block, number)
            timings += _cta_timings(block, number, doubts)
            image_size = _hdmi_image_size(block)
            cm_holds_ratio = cm_holds_ratio or image_size == 1
            cm_unit = 5 if image_size == 3 else cm_unit
        elif block[0] == _DISPLAYID:
            for tag, second, payload in _displayid_blocks(block, number, doubts):
                timings += _displayid_timings(tag, payload, number)
                sizes += _displayid_sizes(tag, second, payload, number)
                tiled = _tiling(tag, payload) or tiled
    whole = base[21] and base[22]
    return EdidBlocks(
        version=f"1.{revision}",
        vendor=_vendor(base[8:10]),
        product=int.from_bytes(base[10:12], "little"),
        name=_name(base),
        width_cm=base[21] * cm_unit if whole else 0,
        height_cm=base[22] * cm_unit if whole else 0,
        ratio=_ratio(base) if revision >= 4 else None,
        cm_holds_ratio=cm_holds_ratio,
        # Feature bit 1: the first timing is preferred (up to 1.3), or is the native one (1.4).
        native_px_first=bool(base[24] & 0x02) if revision >= 4 else None,
        timings=tuple(timings),
        sizes=tuple(sizes),
        tiled=tiled,
        doubts=tuple(doubts),
    )


def _check_base(data: bytes, where: str) -> None:
    """Raise RequestError if ``data`` does not begin with a whole EDID 1 base block."""
    hint = phrase("Give the file of a display's EDID, for example /sys/class/drm/card0-DP-1/edid")
    if not data:
        raise RequestError(
            Problem(
                where,
                phrase("holds no EDID"),
                phrase("nothing"),
                phrase("Is the display connected and switched on?"),
            )
        )
    if len(data) < BLOCK_BYTES:
        raise RequestError(
            Problem(
                where,
                phrase("an EDID has at least {block_bytes} bytes", block_bytes=BLOCK_BYTES),
                f"{len(data)}",
                hint,
            )
        )
    if len(data) > LONGEST_BYTES:
        raise RequestError(
            Problem(
                where,
                phrase("an EDID has at most {longest_bytes} bytes", longest_bytes=LONGEST_BYTES),
                phrase("more"),
                hint,
            )
        )
    if data[:8] != _HEADER:
        must = phrase("an EDID begins with the bytes {bytes}", bytes=_HEADER.hex(" "))
        raise RequestError(Problem(where, must, data[:8].hex(" "), hint))
    if data[18] != 1:
        must = phrase("the EDID must be of version 1.0 to 1.4")
        raise RequestError(
            Problem(
                where,
                must,
                f"{data[18]}.{data[19]}",
                phrase('Type the size instead: "27in 2560x1440"'),
            )
        )


def _checksum_words(block: bytes) -> str:
    return phrase(
        "it is 0x{found} and should be 0x{right}",
        found=f"{block[-1]:02x}",
        right=f"{-sum(block[:-1]) % 256:02x}",
    )


def _extensions(data: bytes) -> tuple[list[tuple[int, bytes]], list[str]]:
    """The extension blocks with a right checksum, each with its number, and doubts on the rest."""
    doubts: list[str] = []
    blocks = []
    count = len(data) // BLOCK_BYTES - 1
    if data[126] > count:
        doubts.append(
            phrase(
                "The base block announces {counted} and {count} came with it.",
                counted=phrase_count(
                    "{count} extension block", "{count} extension blocks", data[126]
                ),
                count=count,
            )
        )
    if len(data) % BLOCK_BYTES:
        rest = phrase_count("{count} byte", "{count} bytes", len(data) % BLOCK_BYTES)
        doubts.append(
            phrase(
                "After the last whole block there is a rest of {rest}, which was not read.",
                rest=rest,
            )
        )
    for number in range(1, count + 1):
        block = data[number * BLOCK_BYTES : (number + 1) * BLOCK_BYTES]
        if sum(block) % 256 == 0:
            # One that is not announced counts too: HDMI 2.1 announces further blocks elsewhere.
            blocks.append((number, block))
        elif number <= data[126]:
            doubts.append(
                phrase(
                    "The checksum of extension block {number} is wrong: {checksum}. It was not "
                    "read.",
                    number=number,
                    checksum=_checksum_words(block),
                )
            )
    return blocks, doubts


def _vendor(two: bytes) -> str:
    """The three letters of the manufacturer: five bits each, 1 for A."""
    packed = int.from_bytes(two, "big")
    return "".join(chr(64 + (packed >> shift & 31)) for shift in (10, 5, 0))


def _name(base: bytes) -> str:
    """The product name in the first descriptor that has one, its printable ASCII only."""
    for start in _DESCRIPTORS:
        part = base[start : start + 18]
        if part[:3] == b"\0\0\0" and part[3] == _NAME_TAG:
            text = part[5:].partition(b"\n")[0]
            return "".join(chr(byte) for byte in text if 32 <= byte < 127).strip()
    return ""


def _ratio(base: bytes) -> float | None:
    """Width over height where one of the two centimetre bytes is 0, else None.

    It is (byte + 99) / 100 (E-EDID 1.4, table 3.10).
    """
    if base[21] and not base[22]:
        return (base[21] + 99) / 100
    if base[22] and not base[21]:
        return 100 / (base[22] + 99)
    return None


def _base_timings(base: bytes, *, preferred_first: bool) -> Iterator[Declared]:
    """The detailed timings of the base block, of which the first may be preferred."""
    number = 0
    for start in _DESCRIPTORS:
        part = base[start : start + 18]
        if part[0] or part[1]:
            number += 1
            preferred = preferred_first and number == 1
            yield from _detailed(
                part,
                phrase("detailed timing {number} of the base block", number=number),
                preferred=preferred,
            )


def _detailed(part: bytes, source: str, *, preferred: bool) -> Iterator[Declared]:
    """The 18-byte detailed timing in ``part`` (E-EDID 1.4, section 3.10.2).

    An interlaced one counts the lines of half a picture, so they are doubled.
    """
    width_px = part[2] | (part[4] & 0xF0) << 4
    height_px = (part[5] | (part[7] & 0xF0) << 4) * (2 if part[17] & 0x80 else 1)
    width_mm = part[12] | (part[14] & 0xF0) << 4
    height_mm = part[13] | (part[14] & 0x0F) << 8
    if width_px and height_px:
        yield Declared(width_px, height_px, width_mm, height_mm, source, preferred)


def _cta_timings(block: bytes, number: int, doubts: list[str]) -> Iterator[Declared]:
    """The detailed timings of a CTA-861 extension.

    They stand from the offset in byte 2 to the first one without a clock.
    """
    start = block[2]
    if start == 0:
        return
    if not 4 <= start < BLOCK_BYTES:
        doubts.append(
            phrase(
                "Extension block {number} puts its timings at byte {start}; they were not read.",
                number=number,
                start=start,
            )
        )
        return
    for count, place in enumerate(range(start, BLOCK_BYTES - 18, 18), 1):
        part = block[place : place + 18]
        if not (part[0] or part[1]):
            return
        yield from _detailed(
            part,
            phrase(
                "detailed timing {count} of extension block {number}", count=count, number=number
            ),
            preferred=False,
        )


def _cta_data_blocks(block: bytes) -> Iterator[tuple[int, bytes]]:
    """Each data block of a CTA-861 extension of revision 3 or later, as (tag, payload)."""
    place, end = 4, min(block[2], BLOCK_BYTES - 1) if block[1] >= 3 else 0
    while place < end:
        tag, length = block[place] >> 5, block[place] & 0x1F
        yield tag, block[place + 1 : min(place + 1 + length, end)]
        place += 1 + length


def _cta_displayid_timings(block: bytes, number: int) -> Iterator[Declared]:
    """The DisplayID timings of type VII in the data blocks of CTA-861-H; none is preferred."""
    for tag, payload in _cta_data_blocks(block):
        if tag == _CTA_EXTENDED and payload[:1] == _CTA_TYPE_VII:
            for timing in _displayid_timings(0x22, payload[2:], number):
                yield replace(timing, preferred=False)  # the bit says something about colours here


def _hdmi_image_size(block: bytes) -> int:
    """What HDMI declares of the base block's centimetres, as a number.

    0 is nothing, 1 a ratio, 2 cm, 3 steps of 5 cm (HDMI 1.4, section 8.3.2).
    """
    for tag, payload in _cta_data_blocks(block):
        if (
            tag == _CTA_VENDOR
            and payload[:3] == _HDMI_OUI
            and len(payload) > 7
            and payload[7] & 0x20
        ):
            latencies = (2 if payload[7] & 0x80 else 0) + (2 if payload[7] & 0x40 else 0)
            video = payload[8 + latencies : 9 + latencies]
            return video[0] >> 3 & 3 if video else 0
    return 0


def _displayid_blocks(
    block: bytes, number: int, doubts: list[str]
) -> Iterator[tuple[int, int, bytes]]:
    """Each data block of a DisplayID section as (tag, second byte, payload)."""
    place, end = 5, 5 + block[2]
    if end > BLOCK_BYTES - 2:
        doubts.append(
            phrase(
                "Extension block {number} announces {block} bytes, more than it holds; it was "
                "not read.",
                number=number,
                block=block[2],
            )
        )
        return
    while place + 3 <= end:
        tag, second, length = block[place : place + 3]
        payload = block[place + 3 : place + 3 + length]
        place += 3 + length
        if place > end:
            doubts.append(
                phrase(
                    "A data block of extension block {number} reaches over its end; it was not "
                    "read.",
                    number=number,
                )
            )
            return
        yield tag, second, payload


def _displayid_timings(tag: int, payload: bytes, number: int) -> Iterator[Declared]:
    """The detailed timings of type I (0x03), II (0x04), VI (0x13) and VII (0x22) in a data block.

    Only type VI may have a size. Unlike in the base block an interlaced timing counts the lines of
    the whole picture.
    """
    source = phrase("a DisplayID timing of extension block {number}", number=number)
    if tag == 0x13:
        yield from _type_six(payload, source)
        return
    step = {0x03: 20, 0x22: 20, 0x04: 11}.get(tag)
    if step is None:
        return
    for place in range(0, len(payload) - step + 1, step):
        part = payload[place : place + step]
        if tag == 0x04:
            width_px = 8 * (1 + (part[4] | (part[5] & 0x01) << 8))
            height_px = 1 + (part[7] | (part[8] & 0x0F) << 8)
        else:
            width_px = 1 + int.from_bytes(part[4:6], "little")
            height_px = 1 + int.from_bytes(part[12:14], "little")
        yield Declared(width_px, height_px, 0, 0, source, preferred=bool(part[3] & 0x80))


def _type_six(payload: bytes, source: str) -> Iterator[Declared]:
    """The timings of type VI in a data block.

    Each takes 14 bytes, or 17 with the size: a height in mm, its multiplier, and a proportion in
    3/256.
    """
    place = 0
    while place + 14 <= len(payload):
        part = payload[place : place + 17]
        width_px = 1 + (int.from_bytes(part[3:5], "little") & 0x3FFF)
        height_px = 1 + (int.from_bytes(part[5:7], "little") & 0x3FFF)
        sized = bool(part[2] & 0x40)
        width_mm = height_mm = 0.0
        if sized and len(part) == 17:
            height_mm = (1.0 + (part[15] | (part[16] & 0x0F) << 8)) * (1 + (part[16] >> 4))
            width_mm = height_mm * part[14] * 3 / 256
        yield Declared(
            width_px, height_px, width_mm, height_mm, source, preferred=bool(part[2] & 0x80)
        )
        place += 17 if sized else 14


def _displayid_sizes(tag: int, second: int, payload: bytes, number: int) -> Iterator[Declared]:
    """The size and pixels in a block of display parameters: 0x01 of DisplayID 1, 0x21 of 2.

    Lengths are in tenths of a mm, in block 0x21 in mm where bit 7 of the second byte is set.
    """
    if tag not in {0x01, 0x21} or len(payload) < 8:
        return
    per_mm = 1 if tag == 0x21 and second & 0x80 else 10
    width, height, width_px, height_px = (
        int.from_bytes(payload[at : at + 2], "little") for at in (0, 2, 4, 6)
    )
    source = phrase("the DisplayID parameters of extension block {number}", number=number)
    yield Declared(width_px, height_px, width / per_mm, height / per_mm, source)


def _tiling(tag: int, payload: bytes) -> Tiling | None:
    """The tiling in a tiled display topology block (0x12, 0x28).

    None for any other block and for one single tile.
    """
    if tag not in {0x12, 0x28} or len(payload) < 8:
        return None
    across = 1 + (payload[1] >> 4 | (payload[3] & 0xC0) >> 2)
    down = 1 + (payload[1] & 0x0F | (payload[3] & 0x30))
    tile_px = (1 + int.from_bytes(payload[at : at + 2], "little") for at in (4, 6))
    return Tiling(across, down, *tile_px) if (across, down) != (1, 1) else None
