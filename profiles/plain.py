"""Results as plain data for other programs, and how that is written: the one place for each."""

from __future__ import annotations

import json
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from pathlib import PurePath
from typing import Any

from mapper.mapping.forms import RectForm
from mapper.rect import Rect
from profiles.times import TIME
from profiles.written import written

_OURS = "evenstroke"
#: The forms of data for other programs.
DATA_FORMS = ("yaml", "json")

#: The one shape of a rectangle: its edges, which run to the right and down, and its size.
EDGES = ("left", "top", "right", "bottom", "width", "height")

#: The frames of coordinates, by the names that stand in keys.
FRAMES = {
    "built": "tablet as built, from the top left of its active area, x right, y down",
    "seen": "tablet as it lies turned, from the top left of its active area, x right, y down",
    "desktop": "desktop, device pixels from the top left of the primary display, x right, y down",
    "display": "one display, pixels from its own top left, x right, y down",
}


def plain(value: Any) -> Any:
    """``value`` as dicts, lists, text and numbers; a rectangle is its edges and its size.

    What is None in a dict, a field or an entry, is left out: it is not known or does not apply.
    """
    if isinstance(value, dict):
        return {key: plain(each) for key, each in value.items() if each is not None}
    names = EDGES if isinstance(value, (Rect, RectForm)) else _names(value)
    if names is not None:
        return plain({name: getattr(value, name) for name in names})
    if isinstance(value, (list, tuple)):
        return [plain(each) for each in value]
    if isinstance(value, datetime):
        return value.strftime(TIME)
    if isinstance(value, float):
        return float(value)  # numpy's are floats too
    # A phrase is its English text here.
    return str(value) if isinstance(value, (date, PurePath, str)) else value


def edges(left: float, top: float, width: float, height: float) -> dict[str, float]:
    """A rectangle's edges and its size, whether or not such a rectangle is possible."""
    return dict(zip(EDGES, (left, top, left + width, top + height, width, height), strict=True))


def _names(value: Any) -> tuple[str, ...] | None:
    """The fields of a dataclass, a named tuple or a msgspec type."""
    if is_dataclass(value):
        return tuple(field.name for field in fields(value))
    names: tuple[str, ...] | None = getattr(value, "_fields", None) or getattr(
        value, "__struct_fields__", None
    )
    return names


def headed(name: str, data: dict[str, Any], *frames: str) -> dict[str, Any]:
    """``data`` under the name and number of its format, with numbers as a profile writes them.

    ``frames`` are those of FRAMES in which it has coordinates; they are stated first.
    """
    stated = {"frames": {frame: FRAMES[frame] for frame in frames}} if frames else {}
    exact: dict[str, Any] = written(plain(data))
    return {"format": f"{_OURS} {name} 1", **stated, **exact}


def data_text(data: dict[str, Any], form: str) -> str:
    """``data`` as text in one of DATA_FORMS."""
    if form == "json":
        return json_text(data)
    # YAML's library is loaded for those who ask for it.
    from profiles.yaml_text import dump

    return dump(plain(data))


def json_text(value: Any) -> str:
    """``value`` as JSON text for people and programs: indented, letters as they are."""
    return json.dumps(plain(value), indent=2, ensure_ascii=False, allow_nan=False) + "\n"
