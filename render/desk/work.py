"""How far an answer is that takes long, for the page that waits for it.

A page gives what it asks a name of its own, and asks by that name meanwhile. Only work whose steps
can be counted tells of them; of all else the page says how many seconds it has waited.
"""

from __future__ import annotations

from typing import Any

from flask import has_request_context, request

#: The header in which a page names what it asks.
NAMED = "X-Evenstroke-Work"
_LONGEST_NAME = 40
_under_way: dict[str, dict[str, Any]] = {}


def tell(words: str, done: int = 0, count: int = 0) -> None:
    """Say what is being done now, and with ``count`` how many of its steps are done."""
    name = _name()
    if name:
        _under_way[name] = {"words": words, "done": done, "count": count}


def how_far(name: str) -> dict[str, Any]:
    """What was told last of the work that a page calls ``name``; empty where nothing was."""
    return _under_way.get(name, {})


def over(_: BaseException | None = None) -> None:
    """Forget the work of the request that is answered."""
    _under_way.pop(_name(), None)


def _name() -> str:
    return request.headers.get(NAMED, "")[:_LONGEST_NAME] if has_request_context() else ""
