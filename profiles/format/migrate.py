"""Documents of other formats: an older one is brought up to date, a newer one is named as such before all else.

A format's number rises when a reader of the old number could no longer read what is written. Then a step is
added to ``STEPS``: a pure function from the plain data of one format to that of the next, which leaves its
argument as it is; and a sample of the old format is kept in ``tests/profiles/samples`` and is read for ever after.
Files are never rewritten for it: an old file is brought up to date each time it is read.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from mapper.problems import Problem, RequestError, quoted

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

#: Format number of the profile to the step that makes the next format of it. Format 1 is the first, so there is none yet.
STEPS: dict[int, Callable[[dict[str, Any]], dict[str, Any]]] = {}

_FIRST_KEY = (
    rb"\A(?:\xef\xbb\xbf)?(?:(?:---)?[ \t]*(?:#[^\r\n]*)?\r?\n)*%s[ \t]*:[ \t]*(\d{1,9})[ \t]*(?:#[^\r\n]*)?\r?$"
)


def refuse_newer(text: str | bytes, name: str, current: int, key: str = "evenstroke") -> None:
    """Raises RequestError where the text begins with ``key`` and a format number above ``current``.

    The first look at a file, before it is read as YAML: a newer format may hold what this version takes for mistakes.
    """
    head = (text if isinstance(text, bytes) else text[:4096].encode("utf-8", "replace"))[:4096]
    found = re.match(_FIRST_KEY % key.encode(), head, re.MULTILINE)
    if found and int(found.group(1)) > current:
        raise _newer(name, int(found.group(1)), current)


def to_current(
    data: Any,
    name: str,
    current: int,
    *,
    key: str = "evenstroke",
    what: str = "profile",
    steps: Mapping[int, Callable[[dict[str, Any]], dict[str, Any]]] = STEPS,
) -> dict[str, Any]:
    """The plain data of a document in the format ``current``; ``data`` itself is not changed.

    ``key`` holds the format's number. Raises RequestError where it is missing, is no format, or is a newer one.
    """
    if not isinstance(data, dict) or key not in data:
        raise RequestError(Problem(name, f"must be a {what}, which starts with {key}: {current}"))
    found = data[key]
    if type(found) is not int or found < 1:
        raise RequestError(Problem(name, f"{key} must be the number of a format, at most {current}", quoted(found)))
    if found > current:
        raise _newer(name, found, current)
    current_data: dict[str, Any] = data
    for number in range(found, current):
        current_data = steps[number](current_data)
    return current_data


def _newer(name: str, found: int, current: int) -> RequestError:
    must = f"is in format {found}, and this version reads formats up to {current}"
    return RequestError(Problem(name, must, instead="Update evenstroke to read it; nothing was changed"))
