"""Doubts: sentences about what was read and used although it could be wrong.

A description of a display may be read deep inside any command. So a doubt is not handed back
through every caller: ``doubt`` sends it to the listener that ``hearing`` sets. The command line
sets one around every command.
"""

from __future__ import annotations

from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING

from mapper.phrases import in_line

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator


class Doubt(str):
    """A doubt as one sentence: ``where``, a colon and ``sentence``.

    ``where`` names what it is about, as in a ``Problem``, and may be empty. ``is_reading``: it only
    states how a text was understood.
    """

    __slots__ = ("is_reading", "sentence", "where")
    where: str
    sentence: str
    is_reading: bool


_listener: ContextVar[Callable[[Doubt], None] | None] = ContextVar("listener", default=None)


@contextmanager
def hearing(listener: Callable[[Doubt], None]) -> Iterator[None]:
    """Call ``listener`` with each doubt while the context lasts."""
    token = _listener.set(listener)
    try:
        yield
    finally:
        _listener.reset(token)


def doubt(sentence: str, where: str = "", *, is_reading: bool = False) -> None:
    """Send a doubt to the listener; without a listener it is lost."""
    listener = _listener.get()
    if listener is not None:
        message = Doubt(f"{in_line(where)}: {in_line(sentence)}" if where else in_line(sentence))
        message.where, message.sentence, message.is_reading = where, sentence, is_reading
        listener(message)
