"""Lists of tablets or displays as they are pasted from a shop, a spreadsheet or a note: CSV or one a line.

A table has a first line that names its columns; comma, semicolon, tab or bar may stand between them, and columns that
are not known are left aside. Without such a line each line is a tablet or display in shorthand
(``profiles.shorthand``). Empty lines and lines that start with # are skipped.

========= =====================================================================================================
label     ``label``, ``name``, ``model``, ``title``, ``tablet`` or ``display``
tablet    ``size`` or ``active_area`` (240x152mm, 9.4x6in@3810/in), or ``width`` and ``height`` with their unit in
          the name (``width_mm``, ``width (in)``) or in each cell; ``counts_per_mm``,
          ``counts_per_inch`` or ``resolution`` (150/mm); ``turn_deg``
display   ``size`` (27in, 597x336mm) or ``diagonal_in``, or ``width_mm`` and ``height_mm``; ``pixels`` or ``resolution``
          (2560x1440), or ``width_px`` and ``height_px``
========= =====================================================================================================
"""

from __future__ import annotations

import csv
import math
import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Generic, TypeVar

from mapper.desk import TURNS_DEG, Display, Tablet
from mapper.problems import EvenstrokeError, Problem, RequestError, nearest, quoted
from mapper.units import MM_PER_INCH
from profiles.shorthand import DISPLAY_HINT, TABLET_HINT, parse_displays, parse_tablet

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

#: Some hundred thousand lines; anything much larger is another kind of file.
LARGEST_LIST_BYTES = 16 * 1024 * 1024
# More problems than this help nobody, and a wrong file would give one for each of its lines.
_MOST_PROBLEMS = 20

_LABELS = {"label", "name", "model", "title"}
_ALIASES = {
    "area": "size",
    "active_area": "size",
    "active_size": "size",
    "active_width": "width",
    "active_height": "height",
    "diagonal_size": "diagonal",
    "screen_size": "size",
    "resolution": "pixels",
    "counts_per_in": "counts_per_inch",
    "lines_per_inch": "counts_per_inch",
    "turn": "turn_deg",
}
_UNITS = {"mm": "mm", "cm": "cm", "in": "in", "inch": "in", "inches": "in"}
_TABLET_COLUMNS = ("label", "size", "width", "height", "counts_per_mm", "counts_per_inch", "resolution", "turn_deg")
_DISPLAY_COLUMNS = ("label", "size", "diagonal", "width", "height", "pixels", "width_px", "height_px")

Item = TypeVar("Item", Tablet, Display)
#: Known column to what stands in it, or to its unit.
Cells = dict[str, str]
#: For each column its name as shown and as known, None where it is not.
Header = list[tuple[str, str | None]]


@dataclass(frozen=True, slots=True)
class Listed(Generic[Item]):
    """What a list held, in its order, and the names of the columns that were left aside."""

    items: tuple[Item, ...]
    left_aside: tuple[str, ...] = ()


def one_tablet(text: str, where: str) -> Tablet:
    """A tablet in shorthand; without a label it is called by its size. Raises RequestError naming ``where``."""
    tablet = parse_tablet(text, where)
    return replace(tablet, label=_one_line(tablet.label) or f"{tablet.width_mm:g} x {tablet.height_mm:g} mm")


def one_display(text: str, where: str) -> Display:
    """A display in shorthand, alone at 0,0; without a label it is called by its size. Raises RequestError."""
    display = parse_displays((text,), where)[0]
    label = _one_line(display.label)
    if label == "main":
        label = f"{display.width_px} x {display.height_px} px"
        if display.width_mm is not None and display.height_mm is not None:
            label = f"{math.hypot(display.width_mm, display.height_mm) / MM_PER_INCH:.3g} in {label}"
    return replace(display, left_px=0, top_px=0, label=label)


def tablet_list(content: bytes, name: str) -> Listed[Tablet]:
    """The tablets of a list; ``name`` is put before each problem. Raises RequestError with all that is wrong."""
    return _read(content, name, _TABLET_COLUMNS, _tablet_of, TABLET_HINT)


def display_list(content: bytes, name: str) -> Listed[Display]:
    """The displays of a list; ``name`` is put before each problem. Raises RequestError with all that is wrong."""
    return _read(content, name, _DISPLAY_COLUMNS, _display_of, DISPLAY_HINT)


def _read(
    content: bytes, name: str, columns: tuple[str, ...], make: Callable[[Cells, Cells, str], Item], hint: str
) -> Listed[Item]:
    text = _decoded(content, name)
    lines = [(number, line) for number, line in enumerate(text.splitlines(), 1) if _says_something(line)]
    if not lines:
        raise RequestError(Problem(name, "must list at least one item", "an empty list", hint))
    head, units = _header(lines[0][1], columns)
    if head is None:
        # A line of shorthand says everything in one cell.
        head = [("", "size")]
        rows: Iterable[tuple[int, list[str]]] = ((number, [line]) for number, line in lines)
    else:
        _require_columns(head, columns, f"{name} line {lines[0][0]}", lines[0][1])
        rows = _rows(text, lines[0][0], name)
    items: list[Item] = []
    problems: list[Problem] = []
    for number, row in rows:
        where = f"{name} line {number}"
        try:
            items.append(make(_cells(row, head, where), units, where))
        except EvenstrokeError as error:
            problems.extend(error.problems)
        if len(problems) > _MOST_PROBLEMS:
            problems = [*problems[:_MOST_PROBLEMS], Problem(name, "has more problems than these")]
            break
    if problems:
        raise RequestError(*problems)
    if not items:
        raise RequestError(Problem(name, "must list at least one item", "a header alone", hint))
    return Listed(tuple(items), tuple(shown for shown, column in head if column is None and shown))


def _decoded(content: bytes, name: str) -> str:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        came = f"byte {content[error.start]:#04x} at {error.start}"
        raise RequestError(Problem(name, "must be text in UTF-8", came, "Save it as CSV UTF-8")) from None
    if "\0" in text:
        raise RequestError(Problem(name, "must be text, a CSV list or one item a line", "a binary file"))
    return text


def _says_something(line: str) -> bool:
    return bool(line.strip()) and not line.lstrip().startswith("#")


def _header(line: str, columns: tuple[str, ...]) -> tuple[Header | None, dict[str, str]]:
    """The columns that the first line names, as shown and as known, with their units; None where it names none."""
    cells = next(csv.reader([line], delimiter=_delimiter(line)), [])
    head: Header = []
    units: dict[str, str] = {}
    for cell in cells:
        known, unit = _known(cell, columns)
        if known in {column for _, column in head}:
            known = None
        if known and unit:
            units[known] = unit
        head.append((cell.strip(), known))
    named = {column for _, column in head} - {None}
    return (head if named else None), units


def _known(cell: str, columns: tuple[str, ...]) -> tuple[str | None, str]:
    """The column that a header cell names, None where it is none of ours, and the unit that it names."""
    words = re.findall(r"[a-z]+", cell.lower())
    if re.search(r"\d", cell) or not words:
        return None, ""
    own, other = ("display", "tablet") if columns is _DISPLAY_COLUMNS else ("tablet", "display")
    if words[0] == other:
        # A list of pairs of our own has both, and puts one of the two words before each of its columns.
        return None, ""
    if words[0] == own:
        words = words[1:] or ["label"]
    whole = "_".join(words)
    for key, unit in ((whole, ""), ("_".join(words[:-1]), _UNITS.get(words[-1], ""))):
        column = "label" if key in _LABELS else _ALIASES.get(key, key)
        column = column if column in columns else key
        if column in columns and (unit or key == whole):
            return column, unit
    return None, ""


def _delimiter(line: str) -> str:
    return max(",;\t|", key=line.count)


def _require_columns(head: Header, columns: tuple[str, ...], where: str, line: str) -> None:
    named = {column for _, column in head}
    if not ("size" in named or "diagonal" in named or {"width", "height"} <= named):
        must, instead = "the columns must give a size", "Name a column size, or two of them width_mm and height_mm"
    elif "pixels" in columns and not ({"pixels", "size"} & named or {"width_px", "height_px"} <= named):
        must, instead = (
            "the columns must give the pixels",
            "Name a column pixels (2560x1440), or width_px and height_px",
        )
    else:
        return
    strange = [shown for shown, column in head if column is None and shown]
    near = [f"{shown}: did you mean {best}?" for shown in strange if (best := nearest(shown, columns))]
    raise RequestError(Problem(where, must, quoted(line.strip()), "; ".join([instead, *near])))


def _rows(text: str, header_line: int, name: str) -> Iterator[tuple[int, list[str]]]:
    """The rows under the header, each with its line number in the file."""
    lines = text.splitlines(keepends=True)[header_line - 1 :]
    reader = csv.reader(lines, delimiter=_delimiter(lines[0]))
    try:
        next(reader)
        for row in reader:
            if any(cell.strip() for cell in row) and not row[0].lstrip().startswith("#"):
                yield header_line - 1 + reader.line_num, row
    except csv.Error as error:
        where = f"{name} line {header_line - 1 + reader.line_num}"
        raise RequestError(Problem(where, "must be CSV", str(error))) from None


def _cells(row: list[str], head: Header, where: str) -> Cells:
    """Known column to cell."""
    if len(row) > len(head):
        must, came = f"must have {len(head)} cells, as the first line", f"{len(row)}"
        raise RequestError(Problem(where, must, came, "Put cells with a comma in quotes; decimals need a point"))
    return {column: cell.strip() for (_, column), cell in zip(head, row, strict=False) if column}


def _written(text: str, where: str) -> str:
    """``text``, unless it points at hardware or a file: a pasted list must not make the program read others."""
    if re.search(r"(?:^|:)\s*@", text):
        must = "a list holds sizes, not references to hardware"
        raise RequestError(Problem(where, must, quoted(text.strip()), "Give that one as an option"))
    return text


def _tablet_of(cells: Cells, units: Cells, where: str) -> Tablet:
    """A row as shorthand, so that one parser reads all that a person writes."""
    text = _with_unit(cells.get("size", ""), units.get("size", "")) or _two_sides(cells, units, where)
    for column, per in (("counts_per_mm", "/mm"), ("counts_per_inch", "/in"), ("resolution", "")):
        if cells.get(column) and "@" not in text:
            text += f"@{cells[column]}{per}"
    tablet = one_tablet(_written(text, where), where)
    turn = cells.get("turn_deg", "")
    if turn:
        if turn not in {str(each) for each in TURNS_DEG}:
            raise RequestError(Problem(where, "turn must be 0, 90, 180 or 270 degrees clockwise", quoted(turn)))
        tablet = replace(tablet, turn_deg=int(turn))
    return replace(tablet, label=_one_line(cells.get("label", "")) or tablet.label)


def _display_of(cells: Cells, units: Cells, where: str) -> Display:
    """A row as shorthand, so that one parser reads all that a person writes."""
    size = _with_unit(cells.get("size", ""), units.get("size", ""))
    if not size and cells.get("diagonal"):
        size = _with_unit(cells["diagonal"], units.get("diagonal", ""))
    if not size and (cells.get("width") or cells.get("height")):
        size = _two_sides(cells, units, where)
    pixels = cells.get("pixels", "")
    if not pixels and cells.get("width_px") and cells.get("height_px"):
        pixels = f"{cells['width_px']}x{cells['height_px']}"
    display = one_display(_written(f"{size} {pixels}".strip(), where), where)
    return replace(display, label=_one_line(cells.get("label", "")) or display.label)


def _two_sides(cells: Cells, units: Cells, where: str) -> str:
    width, height = cells.get("width", ""), cells.get("height", "")
    if not width or not height:
        came = f"width {quoted(width)} and height {quoted(height)}"
        raise RequestError(Problem(where, "needs its width and its height", came))
    return f"{_with_unit(width, units.get('width', ''))}x{_with_unit(height, units.get('height', ''))}"


def _with_unit(cell: str, unit: str) -> str:
    """``cell`` with the unit of its column, where it does not say one itself."""
    return cell + unit if unit and cell[-1:].isdigit() else cell


def _one_line(label: str) -> str:
    return " ".join(label.split())
