"""Opens a user's picture: only kinds that we read, and only as many pixels as memory allows.

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

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from profiles.files import read_bounded

if TYPE_CHECKING:
    from collections.abc import Iterator

    from PIL import Image

KINDS = ("PNG", "JPEG", "WEBP", "TIFF", "BMP", "GIF")
LARGEST_BYTES = 256 * 1024 * 1024
#: More than any desktop has. All that is made of them fits into 500 MB, as Pillow holds a coloured
#: pixel in four bytes.
LARGEST_PIXELS = 90_000_000
#: The same for kinds of which a second copy is in memory.
LARGEST_COPIED_PIXELS = 45_000_000
#: Pillow turns TIFF upright as it loads it, and needs several times the memory for WebP.
_LARGEST_OF_KIND = {"TIFF": LARGEST_COPIED_PIXELS, "WEBP": 25_000_000}
#: EXIF's tag for how a picture is turned (CIPA DC-008).
ORIENTATION = 0x0112
LONGEST_SIDE_PX = 40_000


@contextmanager
def picture(
    path: str, instead: str = "", *, halved_from: int | None = None
) -> Iterator[Image.Image]:
    """The picture at ``path``, decoded as its file has it, for a block that works on it.

    ``instead`` is what messages advise. A JPEG of ``halved_from`` pixels or more comes at half its
    width and height, rounded up, so that its decoder does a quarter of the work; its own size is in
    ``info["whole_px"]`` then.

    Raises RequestError naming the file, before anything is decoded, for what is no whole picture of
    a kind in KINDS, for more than LARGEST_PIXELS (half of it or less for some kinds) and for a side
    beyond LONGEST_SIDE_PX; also for what Pillow raises inside the block.
    """
    from PIL import Image, UnidentifiedImageError

    # Pillow's error says what it would log of a damaged file.
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
    except RequestError:
        # It is a ValueError too, and has said all there is to say.
        raise
    except UnidentifiedImageError:
        must = phrase("must be a picture: PNG, JPEG, WebP, TIFF, BMP or GIF")
        raise RequestError(
            Problem(path, must, phrase("something else, or only a piece"), instead)
        ) from None
    except Image.DecompressionBombError:
        refuse_many(path, LONGEST_SIDE_PX, LONGEST_SIDE_PX, instead)
    except MemoryError:
        raise RequestError(
            Problem(path, phrase("must fit into memory"), phrase("too many pixels"), instead)
        ) from None
    # Pillow's readers raise what their parsers raise: these came up with damaged files.
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
            Problem(
                path, phrase("must be a whole picture"), str(error) or type(error).__name__, instead
            )
        ) from None


def _source(path: str) -> BinaryIO:
    """The open file, or its content in memory where it is no plain file.

    Reading a plain file whole would need much memory beside the picture.
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
    """Raise RequestError for more than ``most`` pixels or a side beyond LONGEST_SIDE_PX."""
    if width * height > most or max(width, height) > LONGEST_SIDE_PX:
        template = "must have at most {most} million pixels and {longest_side} px a side"
        if most < LARGEST_PIXELS:
            template = (
                "must have at most {most} million pixels in a picture of this kind and "
                "{longest_side} px a side"
            )
        must = phrase(template, most=most // 1_000_000, longest_side=LONGEST_SIDE_PX)
        raise RequestError(Problem(path, must, f"{width} x {height}", instead))


def upright(image: Image.Image, orientation: int) -> Image.Image:
    """``image`` as a viewer shows it, by its EXIF ``orientation``."""
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
    """``image`` in another ``mode``, with two by two pixels made one.

    It is made strip by strip, so that nothing is in memory twice.
    """
    from PIL import Image as PillowImage

    half = PillowImage.new(mode, (-(-image.width // 2), -(-image.height // 2)))
    for top, part in strips(image):
        half.paste(part.convert(mode).reduce(2), (0, top // 2))
    return half


def in_8_bits(image: Image.Image, low: float, high: float) -> Image.Image:
    """A picture of one number for each pixel as greys, with ``low`` black and ``high`` white.

    Pillow's own conversion would cut values off. It is made strip by strip, since the numbers in
    between take several times the memory of the picture.
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
    """The least and the largest number in a picture of one number for each pixel.

    What is no number counts as 0.
    """
    import numpy as np

    low, high = [], []
    for _, part in strips(image):
        values = np.nan_to_num(np.asarray(part, dtype=np.float32), posinf=0.0, neginf=0.0)
        low.append(float(values.min()))
        high.append(float(values.max()))
    return min(low), max(high)


def strips(image: Image.Image) -> Iterator[tuple[int, Image.Image]]:
    """The top row and the picture of each strip, which has an even number of rows.

    A strip is small enough for a processor's cache.
    """
    rows = 2 * max(1, 125_000 // image.width)
    for top in range(0, image.height, rows):
        yield top, image.crop((0, top, image.width, min(image.height, top + rows)))
