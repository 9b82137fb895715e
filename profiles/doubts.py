"""Doubts about what was read although it could be used: plain sentences, heard by whoever listens.

A shorthand may read a display's description deep inside any command. So a doubt is not
handed back through every caller: it is raised here, and the command line listens around every command.
"""

from __future__ import annotations

from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

_listener: ContextVar[Callable[[str], None] | None] = ContextVar("listener", default=None)


@contextmanager
def hearing(listener: Callable[[str], None]) -> Iterator[None]:
    """While the context lasts, ``listener`` is called with each doubt."""
    token = _listener.set(listener)
    try:
        yield
    finally:
        _listener.reset(token)


def doubt(sentence: str) -> None:
    """Tells ``sentence`` to whoever listens; without a listener it goes unheard."""
    listener = _listener.get()
    if listener is not None:
        listener(sentence)
