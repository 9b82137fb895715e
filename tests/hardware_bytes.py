"""Builders of the bytes with which invented displays and tablets describe themselves.

Written from the standards; section numbers are not checked against the standard.

They share nothing with the readers in ``profiles``; the oracles (edid-decode, pyedid, hid-tools,
hid-parser) read what they build, so a mistake here would not agree with them.
"""

from __future__ import annotations

import struct

# EDID
# ------------------------------------------------------------


def with_checksum(block):
    """A block of 127 bytes with the byte that makes its sum a multiple of 256."""
    assert len(block) == 127
    return bytes(block) + bytes([-sum(block) % 256])


def detailed(width_px, height_px, width_mm=0, height_mm=0, *, interlaced=False):
    """The 18 bytes of a detailed timing.

    An interlaced one is given with the lines of the whole picture.
    """
    lines = height_px // 2 if interlaced else height_px
    across_blank, down_blank = 160, 40
    # At 60 pictures a second, within what 16 bits hold and no slower than 10 MHz, as edid-decode
    # expects it.
    clock_10khz = min(
        65_535, max(1000, (width_px + across_blank) * (lines + down_blank) * 60 // 10_000)
    )
    return struct.pack("<H", clock_10khz) + bytes(
        [
            width_px & 255,
            across_blank,
            width_px >> 8 << 4,
            lines & 255,
            down_blank,
            lines >> 8 << 4,
            48,
            32,
            0x35,
            0,
            width_mm & 255,
            height_mm & 255,
            width_mm >> 8 << 4 | height_mm >> 8,
            0,
            0,
            0x1A | (0x80 if interlaced else 0),
        ]
    )


def text_descriptor(tag, text):
    return b"\0\0\0" + bytes([tag]) + b"\0" + (text.encode("ascii") + b"\n").ljust(13)[:13]


def base_block(
    *timings,
    revision=4,
    vendor="QZX",
    product=1,
    cm=(60, 34),
    name="",
    preferred_is_native=True,
    extensions=0,
):
    """The first 128 bytes of an EDID: at most three of ``timings``, then the name."""
    letters = [ord(letter) - 64 for letter in vendor]
    block = bytearray.fromhex("00ffffffffffff00")
    block += struct.pack(">H", letters[0] << 10 | letters[1] << 5 | letters[2])
    block += struct.pack("<HI", product, 0) + bytes([1, 30, 1, revision])
    block += bytes(
        [0x80 if revision < 4 else 0xA5, *cm, 120, 0x08 | (0x02 if preferred_is_native else 0)]
    )
    # Chromaticity of the sRGB primaries and white point, no established and no standard timings.
    block += bytes.fromhex("ee91a3544c99260f5054") + bytes(3) + bytes([1, 1] * 8)
    descriptors = [*timings[:3], *([text_descriptor(0xFC, name)] if name else [])]
    dummy = b"\0\0\0\x10" + bytes(14)
    block += b"".join(descriptors) + (4 - len(descriptors)) * dummy
    block.append(extensions)
    return with_checksum(block)


def cta_block(*timings, data=b""):
    """A CTA-861 extension of revision 3 with the given data blocks and detailed timings."""
    body = bytes([0x02, 0x03, 4 + len(data), 0]) + data + b"".join(timings)
    return with_checksum(body.ljust(127, b"\0"))


def hdmi_data(image_size, *, latencies=0):
    """The HDMI vendor block (HDMI 1.4, section 8.3.2) whose image size field is ``image_size``.

    ``latencies`` pairs of bytes (0 to 2) stand before it.
    """
    present = 0x20 | (0x80 if latencies else 0) | (0x40 if latencies > 1 else 0)
    payload = (
        bytes.fromhex("030c00 1000 00 00")
        + bytes([present])
        + bytes(2 * latencies)
        + bytes([image_size << 3, 0])
    )
    return bytes([3 << 5 | len(payload)]) + payload


def displayid_block(*data_blocks, version=0x12):
    """A DisplayID section of version 1.2 or 2.0 in an EDID extension block."""
    data = b"".join(data_blocks)
    section = bytes([version, 121, 3 if version < 0x20 else 2, 0]) + data.ljust(121, b"\0")
    section += bytes([-sum(section) % 256])
    return with_checksum(b"\x70" + section)


def displayid_data(tag, payload, second=0):
    return bytes([tag, second, len(payload)]) + payload


def display_parameters(width_mm, height_mm, width_px, height_px):
    """DisplayID 1.3, section 4.2: the size in tenths of a mm and the native pixels."""
    sizes = (round(10 * width_mm), round(10 * height_mm), width_px, height_px)
    return displayid_data(0x01, struct.pack("<4H", *sizes) + bytes([0, 120, 50, 0x77]))


def display_parameters_2(width, height, width_px, height_px, *, whole_mm=False):
    """DisplayID 2.0, section 4.2: the size in tenths of a mm, or in whole mm."""
    payload = struct.pack("<4H", width, height, width_px, height_px) + bytes(21)
    return displayid_data(0x21, payload, 0x80 if whole_mm else 0)


def type_one_timing(width_px, height_px, *, preferred=False, interlaced=False, tag=0x03):
    """One timing of type I (tag 0x03) or type VII (0x22)."""
    clock = (width_px + 80) * (height_px + 30) * 60 // (10_000 if tag == 0x03 else 1000)
    payload = struct.pack("<I", clock)[:3] + bytes(
        [(0x80 if preferred else 0) | (0x10 if interlaced else 0) | 4]
    )
    payload += struct.pack("<4H", width_px - 1, 79, 7, 31) + struct.pack(
        "<4H", height_px - 1, 29, 7, 7
    )
    return displayid_data(tag, payload)


def type_seven_data(width_px, height_px):
    """A CTA-861-H data block that holds one DisplayID timing of type VII."""
    timing = type_one_timing(width_px, height_px, preferred=True, tag=0x22)[3:]
    return bytes([7 << 5 | 22, 0x22, 0]) + timing


def type_two_timing(width_px, height_px, *, preferred=False):
    """One timing of type II; widths are multiples of 8."""
    clock = (width_px + 80) * (height_px + 30) * 60 // 10_000
    across, lines = width_px // 8 - 1, height_px - 1
    payload = struct.pack("<I", clock)[:3] + bytes(
        [0x80 if preferred else 0, across & 255, across >> 8 | 9 << 1, 0x03]
    )
    payload += bytes([lines & 255, lines >> 8, 29, 0x77])
    return displayid_data(0x04, payload)


def type_six_timing(width_px, height_px, *, preferred=False, size=b""):
    """One timing of type VI, with the three bytes of its size or none."""
    clock = (width_px + 80) * (height_px + 30) * 60 // 1000
    head = struct.pack("<I", clock & 0x3FFFFF)[:2] + bytes(
        [clock >> 16 & 0x3F | (0x80 if preferred else 0) | (0x40 if size else 0)]
    )
    payload = (
        head + struct.pack("<HH", width_px - 1, height_px - 1) + bytes([79, 0, 7, 31, 29, 7, 7])
    )
    return displayid_data(0x13, payload + bytes(size))


def tiled_topology(across, down, tile_width_px, tile_height_px, *, tag=0x12):
    """DisplayID 1.3, section 4.14: one enclosure, the tile at the top left."""
    across, down = across - 1, down - 1
    payload = bytes(
        [0x82, (across & 15) << 4 | down & 15, 0, (across >> 4) << 6 | (down >> 4) << 4]
    )
    payload += (
        struct.pack("<HH", tile_width_px - 1, tile_height_px - 1) + bytes(5) + b"QZX" + bytes(6)
    )
    return displayid_data(tag, payload)


# HID
# ------------------------------------------------------------

USAGE_PAGE, LOGICAL_MIN, LOGICAL_MAX, PHYSICAL_MIN, PHYSICAL_MAX = 0x04, 0x14, 0x24, 0x34, 0x44
EXPONENT, UNIT, REPORT_SIZE, REPORT_ID, REPORT_COUNT, PUSH, POP = (
    0x54,
    0x64,
    0x74,
    0x84,
    0x94,
    0xA4,
    0xB4,
)
USAGE, USAGE_MIN, USAGE_MAX, DELIMITER = 0x08, 0x18, 0x28, 0xA8
INPUT, COLLECTION, END_COLLECTION = 0x80, 0xA0, 0xC0
CENTIMETRES, INCHES, RADIANS, DEGREES = 0x11, 0x13, 0x12, 0x14


def item(prefix, value=None, *, size=None):
    """A short item (HID 1.11, 6.2.2.2).

    Without ``size`` it takes the fewest bytes that hold the value with its sign.
    """
    if value is None:
        return bytes([prefix])
    if size is None:
        size = next(size for size in (1, 2, 4) if -(1 << 8 * size - 1) <= value < 1 << 8 * size - 1)
    code = {0: 0, 1: 1, 2: 2, 4: 3}[size]
    return bytes([prefix | code]) + (value % (1 << 8 * size)).to_bytes(size, "little")


def axis(
    usage, logical, physical, *, exponent=0, unit=CENTIMETRES, bits=16, exponent_size=1, page=0x01
):
    """The items of one field of a pen: its ranges, its unit, and one absolute input."""
    return b"".join(
        [
            item(USAGE_PAGE, page),
            item(USAGE, usage),
            item(LOGICAL_MIN, logical[0]),
            item(LOGICAL_MAX, logical[1]),
            item(PHYSICAL_MIN, physical[0]),
            item(PHYSICAL_MAX, physical[1]),
            item(EXPONENT, exponent & 0x0F if exponent_size == 1 else exponent, size=1),
            item(UNIT, unit, size=1),
            item(REPORT_SIZE, bits),
            item(REPORT_COUNT, 1),
            item(INPUT, 2),
        ]
    )


def pen(*fields, report_id=1):
    """A digitizer with a stylus that reports ``fields``."""
    head = item(USAGE_PAGE, 0x0D) + item(USAGE, 0x02) + item(COLLECTION, 1)
    numbered = item(REPORT_ID, report_id) if report_id else b""
    stylus = item(USAGE_PAGE, 0x0D) + item(USAGE, 0x20) + item(COLLECTION, 0)
    return head + numbered + stylus + b"".join(fields) + 2 * item(END_COLLECTION)
