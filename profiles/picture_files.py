"""Opening a picture that somebody gives: only the kinds that we read, and never more pixels than
can be paid for.

Every picture of a user's goes through here, since Pillow left to itself opens what starts other
programs (PostScript) and decodes whatever size a file claims.
"""

from __future__ import annotations

import contextlib
import io
import logging
import os
import stat
from contextlib import contextmanager
from typing import TYPE_CHECKING, BinaryIO
from warnings import catch_warnings

from mapper.problems import Problem, RequestError
from profiles.files import read_bounded

if TYPE_CHECKING:
    from collections.abc import Iterator

    from PIL import Image

KINDS = ("PNG", "JPEG", "WEBP", "TIFF", "BMP", "GIF")
LARGEST_BYTES = 256 * 1024 * 1024
#: More than any desktop has, and with all that is made of them within 500 MB: Pillow holds a
#: coloured pixel in four bytes.
LARGEST_PIXELS = 90_000_000
#: Of a kind of which there is a second copy in memory.
LARGEST_COPIED_PIXELS = 45_000_000
#: Pillow turns TIFF upright as it loads it, and decodes WebP beside several times over.
_LARGEST_OF_KIND = {"TIFF": LARGEST_COPIED_PIXELS, "WEBP": 25_000_000}
#: EXIF's tag for how a picture is turned (CIPA DC-008).
ORIENTATION = 0x0112
LONGEST_SIDE_PX = 40_000


@contextmanager
def picture(
    path: str, instead: str = "", *, halved_from: int | None = None
) -> Iterator[Image.Image]:
    """The picture at ``path``, decoded as its file has it, for a block that works on it.

    Raises RequestError naming it, also for what the block's own steps with Pillow raise: what is no
    whole picture of a kind in KINDS, more than LARGEST_PIXELS (half of it or less of some kinds)
    and a side beyond LONGEST_SIDE_PX, all refused before decoding. ``instead`` says what to do. A
    JPEG of ``halved_from`` pixels or more comes at half its width and height, rounded up, and tells
    its own in ``info["whole_px"]``: its decoder then does a quarter of the work.
    """
    from PIL import Image, UnidentifiedImageError

    # What Pillow would log of a damaged file, its error says too.
    logging.getLogger("PIL").addHandler(logging.NullHandler())
    try:
        # Pillow's own warning about many pixels comes before ours would; ours says what to do.
        with (
            catch_warnings(action="ignore"),
            _source(path) as source,
            Image.open(source, formats=KINDS) as opened,
        ):
            most = _LARGEST_OF_KIND.get(opened.format or "", LARGEST_PIXELS)
            refuse_many(path, opened.width, opened.height, instead, most)
            whole_px = opened.size
            if (
                opened.format == "JPEG"
                and halved_from is not None
                and whole_px[0] * whole_px[1] >= halved_from
            ):
                opened.draft(None, ((whole_px[0] + 1) // 2, (whole_px[1] + 1) // 2))
                opened.info["whole_px"] = whole_px
            opened.load()
            yield opened
    except UnidentifiedImageError:
        must = "must be a picture: PNG, JPEG, WebP, TIFF, BMP or GIF"
        raise RequestError(
            Problem(path, must, "something else, or only a piece", instead)
        ) from None
    except Image.DecompressionBombError:
        refuse_many(path, LONGEST_SIDE_PX, LONGEST_SIDE_PX, instead)
    except MemoryError:
        raise RequestError(
            Problem(path, "must fit into memory", "too many pixels", instead)
        ) from None
    # Pillow's readers raise what their parsers raise: these are the kinds that damaged files of all
    # formats brought up.
    except (
        OSError,
        SyntaxError,
        ValueError,
        EOFError,
        IndexError,
        KeyError,
        TypeError,
        ArithmeticError,
    ) as error:
        raise RequestError(
            Problem(path, "must be a whole picture", str(error) or type(error).__name__, instead)
        ) from None


def _source(path: str) -> BinaryIO:
    """The file, which is not read whole where it is a plain one: beside the picture that would be
    much memory.
    """
    with contextlib.suppress(OSError, ValueError):
        file = open(path, "rb")  # noqa: PTH123, SIM115 - closed by who asked
        facts = os.fstat(file.fileno())
        if stat.S_ISREG(facts.st_mode) and facts.st_size <= LARGEST_BYTES:
            return file
        file.close()
    return io.BytesIO(read_bounded(path, LARGEST_BYTES, "picture"))


def refuse_many(
    path: str, width: int, height: int, instead: str, most: int = LARGEST_PIXELS
) -> None:
    """Raises RequestError for more pixels than are read."""
    if width * height > most or max(width, height) > LONGEST_SIDE_PX:
        kind = " in a picture of this kind" if most < LARGEST_PIXELS else ""
        must = (
            f"must have at most {most // 1_000_000} million pixels{kind} and {LONGEST_SIDE_PX} "
            f"px a side"
        )
        raise RequestError(Problem(path, must, f"{width} x {height}", instead))


def upright(image: Image.Image, orientation: int) -> Image.Image:
    """``image`` as a viewer shows it, by EXIF's ``orientation``."""
    from PIL import Image as PillowImage

    turn = _TRANSPOSE.get(orientation)
    return image if turn is None else image.transpose(PillowImage.Transpose[turn])


_TRANSPOSE = {
    2: "FLIP_LEFT_RIGHT",
    3: "ROTATE_180",
    4: "FLIP_TOP_BOTTOM",
    5: "TRANSPOSE",
    6: "ROTATE_270",
    7: "TRANSVERSE",
    8: "ROTATE_90",
}


def halved(image: Image.Image, mode: str) -> Image.Image:
    """``image`` in another ``mode``, two by two pixels made one: strip by strip, so that nothing is
    in memory twice.
    """
    from PIL import Image as PillowImage

    half = PillowImage.new(mode, (-(-image.width // 2), -(-image.height // 2)))
    for top, part in strips(image):
        half.paste(part.convert(mode).reduce(2), (0, top // 2))
    return half


def in_8_bits(image: Image.Image, low: float, high: float) -> Image.Image:
    """A picture of one number for each pixel as greys, ``low`` black and ``high`` white: Pillow's
    own conversion would cut.

    Strip by strip, since the numbers in between take several times the memory of the picture.
    """
    import numpy as np
    from PIL import Image as PillowImage

    grey = PillowImage.new("L", image.size)
    for top, part in strips(image):
        values = np.asarray(part, dtype=np.float32)
        values = np.clip(
            (np.nan_to_num(values, nan=low, posinf=low, neginf=low) - low) * (255 / (high - low)),
            0,
            255,
        )
        grey.paste(PillowImage.fromarray(values.astype(np.uint8)), (0, top))
    return grey


def range_of(image: Image.Image) -> tuple[float, float]:
    """The least and the largest number in a picture of one number for each pixel; what is no number
    counts as 0.
    """
    import numpy as np

    low, high = [], []
    for _, part in strips(image):
        values = np.nan_to_num(np.asarray(part, dtype=np.float32), posinf=0.0, neginf=0.0)
        low.append(float(values.min()))
        high.append(float(values.max()))
    return min(low), max(high)


def strips(image: Image.Image) -> Iterator[tuple[int, Image.Image]]:
    """The top row and the picture of each strip, an even number of rows, that is small enough for a
    processor to hold.
    """
    rows = 2 * max(1, 125_000 // image.width)
    for top in range(0, image.height, rows):
        yield top, image.crop((0, top, image.width, min(image.height, top + rows)))
