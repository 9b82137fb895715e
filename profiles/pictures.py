"""Opening a picture that somebody gives: only the kinds that we read, and never more pixels than can be paid for.

Every picture of a user's goes through here, since Pillow left to itself opens what starts other programs (PostScript)
and decodes whatever size a file claims.
"""

from __future__ import annotations

import io
import logging
from contextlib import contextmanager
from typing import TYPE_CHECKING
from warnings import catch_warnings

from mapper.problems import Problem, RequestError
from profiles.files import read_bounded

if TYPE_CHECKING:
    from collections.abc import Iterator

    from PIL import Image

KINDS = ("PNG", "JPEG", "WEBP", "TIFF", "BMP", "GIF")
LARGEST_BYTES = 256 * 1024 * 1024
#: More than any desktop has: a wall of six 8K displays would not fit.
LARGEST_PIXELS = 120_000_000
LONGEST_SIDE_PX = 40_000


@contextmanager
def picture(path: str, instead: str = "", *, halved_from: int | None = None) -> Iterator[Image.Image]:
    """The picture at ``path``, decoded as its file has it, for a block that works on it.

    Raises RequestError naming it, also for what the block's own steps with Pillow raise: what is no whole picture of a
    kind in KINDS, more than LARGEST_PIXELS and a side beyond LONGEST_SIDE_PX, both refused before decoding.
    ``instead`` says what to do. A JPEG of ``halved_from`` pixels or more comes at half its width and height, rounded up, and tells its
    own in ``info["whole_px"]``: its decoder then does a quarter of the work.
    """
    from PIL import Image, UnidentifiedImageError

    content = read_bounded(path, LARGEST_BYTES, "picture")
    # What Pillow would log of a damaged file, its error says too.
    logging.getLogger("PIL").addHandler(logging.NullHandler())
    try:
        # Pillow's own warning about many pixels comes before ours would; ours says what to do.
        with catch_warnings(action="ignore"), Image.open(io.BytesIO(content), formats=KINDS) as opened:
            _refuse_many(path, opened.width, opened.height, instead)
            whole_px = opened.size
            if opened.format == "JPEG" and halved_from is not None and whole_px[0] * whole_px[1] >= halved_from:
                opened.draft(None, ((whole_px[0] + 1) // 2, (whole_px[1] + 1) // 2))
                opened.info["whole_px"] = whole_px
            opened.load()
            yield opened
    except UnidentifiedImageError:
        must = "must be a picture: PNG, JPEG, WebP, TIFF, BMP or GIF"
        raise RequestError(Problem(path, must, "something else, or only a piece", instead)) from None
    except Image.DecompressionBombError:
        _refuse_many(path, LONGEST_SIDE_PX, LONGEST_SIDE_PX, instead)
    except MemoryError:
        raise RequestError(Problem(path, "must fit into memory", "too many pixels", instead)) from None
    # Pillow's readers raise what their parsers raise: these are the kinds that damaged files of all formats brought up.
    except (OSError, SyntaxError, ValueError, EOFError, IndexError, KeyError, TypeError, ArithmeticError) as error:
        raise RequestError(
            Problem(path, "must be a whole picture", str(error) or type(error).__name__, instead)
        ) from None


def _refuse_many(path: str, width: int, height: int, instead: str) -> None:
    if width * height > LARGEST_PIXELS or max(width, height) > LONGEST_SIDE_PX:
        must = f"must have at most {LARGEST_PIXELS // 1_000_000} million pixels and {LONGEST_SIDE_PX} px a side"
        raise RequestError(Problem(path, must, f"{width} x {height}", instead))
