"""Touched crosses in a file: CSV or JSON with ``x_mm``, ``y_mm``, ``x_px`` and ``y_px``."""

from __future__ import annotations

import json
import math
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, quoted
from mapper.touching.fit import Touch
from profiles.files import at_line, read_text
from profiles.lists import csv_rows, joined_cells, refuse_all, require_column
from profiles.standard import ending_of

if TYPE_CHECKING:
    from collections.abc import Iterator

COLUMNS = ("x_mm", "y_mm", "x_px", "y_px")
_LARGEST_BYTES = 1_000_000
_MOST = 400
_FARTHEST = {"x_mm": 3_000.0, "y_mm": 3_000.0, "x_px": 1e6, "y_px": 1e6}
_HINT = phrase(
    "Write the columns {columns}, one touch per row, or a JSON list of such objects",
    columns=",".join(COLUMNS),
)


def read_touches(path: str) -> list[Touch]:
    """The touches in a file, in their order.

    Crosses are mm from the top left corner of the active area as built, cursors px of the desktop.
    Raises RequestError with all that is wrong in the file.
    """
    text = read_text(path, _LARGEST_BYTES, phrase("file of touches"), _HINT)
    rows = _json_rows if ending_of(path, _LARGEST_BYTES) == ".json" else _csv_rows
    touches: list[Touch] = []
    problems: list[Problem] = []
    for where, values in rows(text, path):
        numbers = [_number(values[name], name, where, problems) for name in COLUMNS]
        touches.append(Touch(*numbers))  # type: ignore[arg-type] # four numbers
    refuse_all(problems, path)
    if not touches:
        raise RequestError(
            Problem(path, phrase("must hold at least one touch"), phrase("none"), _HINT)
        )
    if len(touches) > _MOST:
        must = phrase("must hold at most {most} touches", most=_MOST)
        raise RequestError(Problem(path, must, str(len(touches))))
    return touches


def _csv_rows(text: str, path: str) -> Iterator[tuple[str, dict[str, Any]]]:
    rows = csv_rows(text, path)
    _, head = next(rows, (1, []))
    names = [name.strip().lower() for name in head]
    require_column(names, COLUMNS, COLUMNS, at_line(path, 1))
    for line, row in rows:
        cells = joined_cells(row, len(names)) if len(row) > len(names) else row
        if cells is None or len(cells) < len(names):
            must = phrase("must hold {count} numbers", count=len(names))
            raise RequestError(Problem(at_line(path, line), must, quoted(",".join(row)), _HINT))
        yield at_line(path, line), dict(zip(names, cells, strict=False))


def _json_rows(text: str, path: str) -> Iterator[tuple[str, dict[str, Any]]]:
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise RequestError(
            Problem(path, phrase("must be JSON"), quoted(str(error)), _HINT)
        ) from None
    if not isinstance(data, list):
        raise RequestError(Problem(path, phrase("must be a list of touches"), quoted(data), _HINT))
    for number, touch in enumerate(data, 1):
        where = phrase("{file} touch {number}", file=path, number=number)
        if not isinstance(touch, dict):
            raise RequestError(Problem(where, phrase("must be an object"), quoted(touch), _HINT))
        require_column(list(touch), COLUMNS, COLUMNS, where)
        yield where, touch


def _number(value: Any, name: str, where: str, problems: list[Problem]) -> float:
    found = math.nan
    if isinstance(value, str):
        value = value.strip()
        value = value.replace(",", ".") if value.count(",") == 1 else value
    if not isinstance(value, bool):
        with suppress(TypeError, ValueError, OverflowError):
            found = float(value)
    if abs(found) <= _FARTHEST[name]:
        return found
    must = phrase(
        "{column} must be a number within {most}", column=name, most=f"{_FARTHEST[name]:g}"
    )
    problems.append(Problem(where, must, quoted(value)))
    return 0.0
