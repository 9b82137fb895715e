"""Numbers of pixels that a system's zoom has made, and those that the display itself then has."""

from __future__ import annotations

from typing import NamedTuple

from mapper.desk import SYSTEM_ZOOMS_PERCENT

#: The customary names of numbers of pixels (VESA and the trade; common practice, no source).
NAMED_PIXELS = {
    "hd+": (1600, 900),
    "full hd": (1920, 1080),
    "full-hd": (1920, 1080),
    "fullhd": (1920, 1080),
    "fhd": (1920, 1080),
    "フルhd": (1920, 1080),
    "1080p": (1920, 1080),
    "wuxga": (1920, 1200),
    "uxga": (1600, 1200),
    "sxga": (1280, 1024),
    "wqxga": (2560, 1600),
    "qhd": (2560, 1440),
    "wqhd": (2560, 1440),
    "quad hd": (2560, 1440),
    "1440p": (2560, 1440),
    "4k": (3840, 2160),
    "uhd": (3840, 2160),
    "ultra hd": (3840, 2160),
    "2160p": (3840, 2160),
    "5k2k": (5120, 2160),
    "5k": (5120, 2880),
    "8k": (7680, 4320),
    "uwfhd": (2560, 1080),
    "uwqhd": (3440, 1440),
    "dqhd": (5120, 1440),
}

#: Pixels of displays besides those with a name (common practice, no source).
_KNOWN_PX = {
    *NAMED_PIXELS.values(),
    *((1024, 768), (1280, 720), (1280, 768), (1280, 800), (1360, 768), (1366, 768), (1400, 1050)),
    *((1440, 900), (1680, 1050), (1920, 1280), (2048, 1152), (2048, 1536), (2160, 1440)),
    *((2240, 1400), (2256, 1504), (2304, 1440), (2520, 1680), (2560, 1664), (2736, 1824)),
    *((2880, 1620), (2880, 1800), (2880, 1864), (3000, 2000), (3024, 1964), (3072, 1920)),
    *((3200, 1800), (3200, 2000), (3240, 2160), (3456, 2160), (3456, 2234), (3840, 1080)),
    *((3840, 1600), (3840, 2400), (4096, 2304), (4480, 2520), (6016, 3384)),
}


class OwnPixels(NamedTuple):
    """The pixels that a display itself has, and the zoom in percent that makes others of them."""

    width_px: int
    height_px: int
    zoom_percent: int


def own_pixels(width_px: int, height_px: int) -> list[OwnPixels]:
    """What a display may have itself that counts so many pixels, the smallest zoom first.

    Empty for numbers that displays have themselves, and where no zoom makes them of such.

    >>> own_pixels(1707, 960)[0]
    OwnPixels(width_px=2560, height_px=1440, zoom_percent=150)
    >>> own_pixels(2560, 1440)
    []
    """
    longer, shorter = max(width_px, height_px), min(width_px, height_px)
    if (longer, shorter) in _KNOWN_PX:
        return []
    found, known = [], sorted(_KNOWN_PX)
    for percent in SYSTEM_ZOOMS_PERCENT:
        for long_px, short_px in known:
            # A system rounds to whole pixels, some of them down.
            off = (long_px * 100 / percent - longer, short_px * 100 / percent - shorter)
            if max(map(abs, off)) < 1:
                sides = (long_px, short_px) if width_px >= height_px else (short_px, long_px)
                found.append(OwnPixels(*sides, percent))
    return found
