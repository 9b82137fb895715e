"""Documents of other formats: an older one is brought up to date, a newer one is named as such
before all else.

Every document of this project is of a ``Kind`` and begins with the key of that kind and the number
of its format. A number rises when a reader of the old number could no longer read what is written.
Then a step is added to the ``steps`` of its kind: a pure function from the plain data of one format
to that of the next, which leaves its argument as it is; and a sample of the old format is kept in
``tests/profiles/samples`` and is read for ever after. Files are never rewritten for it: an old file
is brought up to date each time it is read.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeVar

from mapper.problems import Problem, RequestError, quoted
from mapper.units import exact_decimal
from profiles.format.schema import FORMAT
from profiles.validate import typed
from profiles.yaml_text import parse

if TYPE_CHECKING:
    from collections.abc import Callable

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of document: the key that holds its format's number, what a person calls it, and the
    format of today.

    ``steps`` lead from a format's number to what makes plain data of the next.
    """

    key: str
    called: str
    current: int = 1
    steps: dict[int, Callable[[dict[str, Any]], dict[str, Any]]] = field(default_factory=dict)


def _two(old: dict[str, Any]) -> dict[str, Any]:
    """Format 2 keeps a diagonal as one, parts of the tablet in any unit, and leads with the map
    that is entered.
    """
    new = {**old, "evenstroke": 2}
    if isinstance(old.get("displays"), list):
        new["displays"] = [_with_diagonal(display) for display in old["displays"]]
    asked = old.get("map")
    if isinstance(asked, dict):
        new["map"] = {
            key.removesuffix("_mm") if key in {"within_mm", "area_mm"} else key: value
            for key, value in asked.items()
        }
        for key in ("within", "area"):
            if isinstance(new["map"].get(key), dict):
                new["map"][key] = {**new["map"][key], "unit": "mm"}
    rounded = new.pop("rounded", None)
    if isinstance(rounded, dict):
        derived = ("area", "screen", "figures", "summary", "matrix")
        new["before_rounding"] = {key: old[key] for key in derived if key in old}
        new.update({key: rounded[key] for key in derived if key in rounded})
        new["before_rounding"]["cost"] = rounded.get("cost")
    return new


def _with_diagonal(display: Any) -> Any:
    """A display with the diagonal in inches that its width and height were computed from, where
    there is one.
    """
    names = ("width_mm", "height_mm", "width_px", "height_px")
    if not isinstance(display, dict) or not all(
        type(display.get(name)) in {int, float} for name in names
    ):
        return display
    width_mm, height_mm, width_px, height_px = (display[name] for name in names)
    if not (
        width_px > 0 and height_px > 0 and math.isfinite(width_mm) and math.isfinite(height_mm)
    ):
        return display
    diagonal_in = round(math.hypot(width_mm, height_mm) / 25.4, 3)
    per_px = exact_decimal(f"{diagonal_in:.3f}", 254, 10) / math.hypot(width_px, height_px)
    if (width_px * per_px, height_px * per_px) != (width_mm, height_mm):
        return display
    return {
        ("diagonal_in" if key == "width_mm" else key): (diagonal_in if key == "width_mm" else value)
        for key, value in display.items()
        if key != "height_mm"
    }


PROFILE = Kind("evenstroke", "profile", FORMAT, {1: _two})


class NewerFormatError(RequestError):
    """A document of a format that only a later version reads: nothing is wrong with it."""


_FIRST_KEY = (
    rb"\A(?:\xef\xbb\xbf)?(?:(?:---)?[ \t]*(?:#[^\r\n]*)?\r?\n)*%s[ \t]*:[ \t]*(\d{1,9})[ "
    rb"\t]*(?:#[^\r\n]*)?\r?$"
)


def read_document(
    text: str | bytes, name: str, kind: Kind, model: type[T]
) -> tuple[T, Callable[[Any], str]]:
    """What the document ``text`` says, as a ``model``, and how to word for a person where in it a
    key path is.

    ``name`` is put before every problem. Raises RequestError for what is not YAML, not of this
    ``kind`` or not a ``model``.
    """
    refuse_newer(text, name, kind)
    parsed = parse(text, name)
    return typed(to_current(parsed.data, name, kind), model, parsed.where), parsed.where


def refuse_newer(text: str | bytes, name: str, kind: Kind) -> None:
    """Raises RequestError where the text begins with the kind's key and a format number above
    today's.

    The first look at a file, before it is read as YAML: a newer format may hold what this version
    takes for mistakes.
    """
    head = (text if isinstance(text, bytes) else text[:4096].encode("utf-8", "replace"))[:4096]
    found = re.match(_FIRST_KEY % kind.key.encode(), head, re.MULTILINE)
    if found:
        _refuse_above(int(found.group(1)), name, kind)


def to_current(data: Any, name: str, kind: Kind) -> dict[str, Any]:
    """The plain data of a document in today's format of its ``kind``; ``data`` itself is not
    changed.

    Raises RequestError where the number of its format is missing, is none, or is a newer one.
    """
    if not isinstance(data, dict) or kind.key not in data:
        raise RequestError(
            Problem(name, f"must be a {kind.called}, which starts with {kind.key}: {kind.current}")
        )
    found = data[kind.key]
    if type(found) is not int or found < 1:
        must = f"{kind.key} must be the number of a format, at most {kind.current}"
        raise RequestError(Problem(name, must, quoted(found)))
    _refuse_above(found, name, kind)
    current: dict[str, Any] = data
    for number in range(found, kind.current):
        current = kind.steps[number](current)
    return current


def _refuse_above(found: int, name: str, kind: Kind) -> None:
    if found > kind.current:
        must = f"is in format {found}, and this version reads formats up to {kind.current}"
        raise NewerFormatError(
            Problem(name, must, instead="Update evenstroke to read it; nothing was changed")
        )
