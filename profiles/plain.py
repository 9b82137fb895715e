"""Results as plain data for other programs, and how that is written: the one place for each."""

from __future__ import annotations

import json
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from pathlib import PurePath
from typing import Any

from profiles.times import TIME


def plain(value: Any) -> Any:
    """``value`` as dicts, lists, text and numbers.

    What is None in a dict, a field or an entry, is left out: it is not known or does not apply.
    """
    if isinstance(value, dict):
        return {key: plain(each) for key, each in value.items() if each is not None}
    names = _names(value)
    if names is not None:
        return plain({name: getattr(value, name) for name in names})
    if isinstance(value, (list, tuple)):
        return [plain(each) for each in value]
    if isinstance(value, datetime):
        return value.strftime(TIME)
    # A phrase is its English text here.
    return str(value) if isinstance(value, (date, PurePath, str)) else value


def _names(value: Any) -> tuple[str, ...] | None:
    """The fields of a dataclass, a named tuple or a msgspec type."""
    if is_dataclass(value):
        return tuple(field.name for field in fields(value))
    names: tuple[str, ...] | None = getattr(value, "_fields", None) or getattr(
        value, "__struct_fields__", None
    )
    return names


def json_text(value: Any) -> str:
    """``value`` as JSON text for people and programs: indented, letters as they are."""
    return json.dumps(plain(value), indent=2, ensure_ascii=False, allow_nan=False) + "\n"
