"""Standard input and output where a file may stand: the name ``-``, on the command line alone.

Functions that read and write files are called by programs too, and by pages to which strangers
type names. So ``-`` is a name like any other until ``with_standard_streams`` says what is behind
it; the command line does, and other threads do not see it. A file of that name is ``./-``.
"""

from __future__ import annotations

import os
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING, BinaryIO

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

STANDARD = "-"


class _Streams:
    """What stands behind the name: input, which is read once and kept, and output."""

    def __init__(self, source: Callable[[], BinaryIO], sink: Callable[[], BinaryIO]) -> None:
        self.source, self.sink = source, sink
        self.content: bytes | None = None


_streams: ContextVar[_Streams | None] = ContextVar("streams", default=None)


@contextmanager
def with_standard_streams(
    source: Callable[[], BinaryIO], sink: Callable[[], BinaryIO]
) -> Iterator[None]:
    """Let ``-`` stand for what ``source`` and ``sink`` open, while the context lasts."""
    token = _streams.set(_Streams(source, sink))
    try:
        yield
    finally:
        _streams.reset(token)


def is_standard(path: str | os.PathLike[str]) -> bool:
    """Whether ``path`` stands for standard input or output here."""
    return os.fspath(path) == STANDARD and _streams.get() is not None


def name_of(path: str | os.PathLike[str]) -> str:
    """What to call the file at ``path``: as it was named, or standard input."""
    return phrase("standard input") if is_standard(path) else os.fspath(path)


def read_standard(largest_bytes: int) -> bytes:
    """Standard input, at most a byte more than ``largest_bytes``; the same when asked again.

    Raises RequestError where nobody sends anything: at a terminal, which would wait for ever.
    """
    streams = _streams.get()
    assert streams is not None
    if streams.content is None:
        source = streams.source()
        if source.isatty():
            must = phrase("must come from a file or another program")
            instead = phrase("Type for example: evenstroke check - < desk.yaml")
            raise RequestError(Problem(phrase("standard input"), must, instead=instead))
        streams.content = source.read(largest_bytes + 1)
    return streams.content


def write_standard(content: bytes) -> None:
    """Write ``content`` to standard output.

    Raises RequestError for what is no text where a terminal would show it.
    """
    streams = _streams.get()
    assert streams is not None
    sink = streams.sink()
    if b"\0" in content and sink.isatty():
        must = phrase("must lead to a file or another program: this is no text")
        raise RequestError(Problem(phrase("standard output"), must))
    sink.write(content)
    sink.flush()


#: How the content of a file begins, and the ending that its name would have.
_BEGINNINGS = (
    (b"\x89PNG", ".png"),
    (b"\xff\xd8", ".jpg"),
    (b"GIF8", ".gif"),
    (b"RIFF", ".webp"),
    (b"II*\0", ".tif"),
    (b"MM\0*", ".tif"),
    (b"BM", ".bmp"),
    (b"<", ".svg"),
    (b"{", ".json"),
    (b"[", ".json"),
)


def ending_of(path: str | os.PathLike[str], largest_bytes: int) -> str:
    """The ending of a file's name, in small letters; of standard input, what its content is.

    What begins like no picture and no JSON is taken for CSV.
    """
    if not is_standard(path):
        # A bare map loads this module, and needs no path.
        from pathlib import PurePath

        return PurePath(path).suffix.lower()
    head = read_standard(largest_bytes).removeprefix(b"\xef\xbb\xbf").lstrip()
    return next((ending for start, ending in _BEGINNINGS if head.startswith(start)), ".csv")
