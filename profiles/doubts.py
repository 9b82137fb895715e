"""Doubts about what was read although it could be used: plain sentences, heard by whoever listens.

A shorthand may read a display's description deep inside any command. So a doubt is not handed back
through every caller: it is raised here, and the command line listens around every command.
"""

from __future__ import annotations

from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator


class Doubt(str):
    """A doubt as it is told; ``where`` is what it is about, as in a ``Problem``, and ``says`` the
    rest.

    ``is_reading``: it only tells how a text was understood.
    """

    __slots__ = ("is_reading", "says", "where")
    where: str
    says: str
    is_reading: bool


_listener: ContextVar[Callable[[Doubt], None] | None] = ContextVar("listener", default=None)


@contextmanager
def hearing(listener: Callable[[Doubt], None]) -> Iterator[None]:
    """While the context lasts, ``listener`` is called with each doubt."""
    token = _listener.set(listener)
    try:
        yield
    finally:
        _listener.reset(token)


def doubt(says: str, where: str = "", *, is_reading: bool = False) -> None:
    """Tells it to whoever listens; without a listener it goes unheard."""
    listener = _listener.get()
    if listener is not None:
        told = Doubt(f"{where}: {says}" if where else says)
        told.where, told.says, told.is_reading = where, says, is_reading
        listener(told)
