"""Lists of tablets or displays, as a table or one item a line, from a spreadsheet, shop or note.

A table has a first line that names its columns, in any language of ``profiles.trade_words``. Its
cells are parted by comma, semicolon, tab, bar or the spaces of aligned columns. Unknown columns are
ignored. Without such a line each line is a tablet or display as ``profiles.shorthand`` reads it.
Empty lines and lines that start with # are skipped; so is a heading over the whole, with a note.

======== ==========================================================================================
label    ``label``, ``name``, ``model``, ``title``, ``tablet`` or ``display``
tablet   ``size`` or ``active_area`` (240x152mm, 9.4x6in@3810/in), or ``width`` and ``height``, with
         their unit in the name (``width_mm``, ``width (in)``) or in each cell; ``counts_per_mm``,
         ``counts_per_inch`` or ``resolution`` (150/mm); ``turn_deg``
display  ``size`` (27in, 597x336mm), ``diagonal_in``, or ``width_mm`` and ``height_mm``; ``pixels``
         or ``resolution`` (2560x1440), or ``width_px`` and ``height_px``
======== ==========================================================================================
"""

from __future__ import annotations

import csv
import math
import re
from contextlib import contextmanager
from dataclasses import dataclass, replace
from itertools import combinations, islice, pairwise
from typing import TYPE_CHECKING, Generic, TypeVar

from mapper.desk import TURNS_DEG, Display, Tablet, turn_of
from mapper.phrases import phrase, phrase_count
from mapper.problems import Collected, EvenstrokeError, Problem, RequestError, nearest, quoted
from mapper.units import MM_PER_INCH
from profiles.csv_cells import unguarded
from profiles.doubts import doubt, hearing
from profiles.files import at_line
from profiles.shorthand import DISPLAY_HINT, TABLET_HINT, parse_displays, parse_tablet
from profiles.trade_words import (
    ACTIVE,
    DISPLAYS,
    FILLERS,
    HEADINGS,
    PER_INCH,
    PIXELS,
    TABLETS,
    UNITS,
    folded,
    is_about_the_body,
    last_place,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

#: Some hundred thousand lines; anything much larger is another kind of file.
LARGEST_LIST_BYTES = 16 * 1024 * 1024
# More problems than this help nobody, and a wrong file would give one for each of its lines.
_MOST_PROBLEMS = 20
# As many notes on how single lines were read are shown; the rest is counted.
_MOST_NOTES = 8
# More commas between digits in one line are no size.
_MOST_COMMAS = 12
# The cells of a line whose columns are aligned: two spaces part them.
_ALIGNED = re.compile(r"\S+(?: \S+)*")

_TABLET_COLUMNS = (
    "label",
    "size",
    "width",
    "height",
    "counts_per_mm",
    "counts_per_inch",
    "resolution",
    "turn_deg",
)
_DISPLAY_COLUMNS = (
    "label",
    "size",
    "diagonal",
    "width",
    "height",
    "pixels",
    "width_px",
    "height_px",
)

# A heading that names a height where no other does.
_DEPTH = "depth"

Item = TypeVar("Item", Tablet, Display)
#: Known column to what stands in it, or to its unit.
Cells = dict[str, str]
#: For each column its name as shown and as known, None where it is not.
Header = list[tuple[str, str | None]]


@dataclass(frozen=True, slots=True)
class Listed(Generic[Item]):
    """The items of a list in its order, with what was not read of it.

    ``left_aside`` are the names of columns that are not known, ``unread`` the problems of lines
    that were left out.
    """

    items: tuple[Item, ...]
    left_aside: tuple[str, ...] = ()
    unread: tuple[Problem, ...] = ()


def one_tablet(text: str, where: str) -> Tablet:
    """The tablet in the shorthand ``text``; without a label it is called by its size.

    Raises RequestError naming ``where``.
    """
    tablet = parse_tablet(text, where)
    return replace(
        tablet,
        label=_with_single_spaces(tablet.label) or f"{tablet.width_mm:g} × {tablet.height_mm:g} mm",
    )


def one_display(text: str, where: str) -> Display:
    """The display in the shorthand ``text``, at 0,0; without a label it is called by its size.

    Raises RequestError naming ``where``.
    """
    display = parse_displays((text,), where)[0]
    label = _with_single_spaces(display.label)
    if label == "main":
        label = f"{display.width_px} × {display.height_px} px"
        if display.width_mm is not None and display.height_mm is not None:
            label = (
                f"{math.hypot(display.width_mm, display.height_mm) / MM_PER_INCH:.3g} in {label}"
            )
    return replace(display, left_px=0, top_px=0, label=label)


def tablet_list(content: bytes, name: str) -> Listed[Tablet]:
    """The tablets of a list; ``name`` stands before each problem.

    Raises RequestError where fewer than half of the items can be read.
    """
    try:
        return _tablets(content, name)
    except RequestError:
        _refuse_other_list(_displays, content, name, phrase("must be a list of tablets"))
        raise


def display_list(content: bytes, name: str) -> Listed[Display]:
    """The displays of a list; ``name`` stands before each problem.

    Raises RequestError where fewer than half of the items can be read.
    """
    try:
        return _displays(content, name)
    except RequestError:
        _refuse_other_list(_tablets, content, name, phrase("must be a list of displays"))
        raise


def _tablets(content: bytes, name: str) -> Listed[Tablet]:
    return _read(content, name, _TABLET_COLUMNS, _tablet_of, TABLET_HINT)


def _displays(content: bytes, name: str) -> Listed[Display]:
    return _read(content, name, _DISPLAY_COLUMNS, _display_of, DISPLAY_HINT)


def _refuse_other_list(
    read: Callable[[bytes, str], object], content: bytes, name: str, must: str
) -> None:
    """Raise RequestError saying ``must`` where ``read``, for lists of the other kind, can read it.

    Somebody gave two files in the wrong order.
    """
    try:
        with hearing(lambda _note: None):
            read(content, name)
    except EvenstrokeError:
        return
    came = phrase("a list of tablets") if read is _tablets else phrase("a list of displays")
    raise RequestError(Problem(name, must, came, phrase("Are both files in the right order?")))


def _read(
    content: bytes,
    name: str,
    columns: tuple[str, ...],
    make: Callable[[Cells, Cells, str], Item],
    hint: str,
) -> Listed[Item]:
    """The items that ``make`` reads from the rows of a list with these ``columns``."""
    text = decoded(content, name)
    lines = [
        (number, line) for number, line in enumerate(text.splitlines(), 1) if _has_content(line)
    ]
    if not lines:
        raise RequestError(
            Problem(name, phrase("must list at least one item"), phrase("an empty list"), hint)
        )
    table = _table(lines[0][1], columns)
    if (
        table is None
        and len(lines) > 1
        and not re.search(r"\d", lines[0][1])
        and _is_no_item(make, lines[0], name)
    ):
        number, heading = lines.pop(0)
        doubt(
            phrase("ignored, as a heading: {heading}", heading=quoted(heading.strip())),
            at_line(name, number),
        )
        table = _table(lines[0][1], columns)
    if table is None:
        # A line of shorthand says everything in one cell.
        head: Header = [("", "size")]
        units: dict[str, str] = {}
        rows: Iterable[tuple[int, list[str]]] = (
            (number, [_unquoted(line)]) for number, line in lines
        )
    else:
        head, units, split = table
        number, line = lines[0]
        _require_columns(head, columns, at_line(name, number), line)
        rows = (
            _aligned_rows(lines, split)
            if isinstance(split, list)
            else _rows(text, name, number, split)
        )
    with _counted_notes(name):
        items, unread = _items_of_rows(rows, head, units, make, name)
    if not items:
        raise RequestError(
            Problem(name, phrase("must list at least one item"), phrase("a header alone"), hint)
        )
    return Listed(
        tuple(items),
        tuple(shown for shown, column in head if column is None and shown),
        tuple(unread),
    )


def _items_of_rows(
    rows: Iterable[tuple[int, list[str]]],
    head: Header,
    units: dict[str, str],
    make: Callable[[Cells, Cells, str], Item],
    name: str,
) -> tuple[list[Item], list[Problem]]:
    """The items of all rows, and the problems of rows that could not be read.

    Raises RequestError with those where fewer than half can be read: it is another kind of list
    then.
    """
    items: list[Item] = []
    problems: list[Problem] = []
    total = 0
    for number, row in rows:
        total += 1
        where = at_line(name, number)
        with Collected(problems):
            items.append(make(_cells(row, head, where), units, where))
        if len(problems) > _MOST_PROBLEMS:
            refuse_all(problems, name)
    if total > 2 * len(items):
        raise RequestError(*problems)
    return items, problems


@contextmanager
def _counted_notes(name: str) -> Iterator[None]:
    """Pass on the first _MOST_NOTES notes on single lines, and the number of the rest."""
    notes: list[str] = []
    with hearing(notes.append):
        yield
    for note in notes[:_MOST_NOTES]:
        doubt(note)
    if len(notes) > _MOST_NOTES:
        more = len(notes) - _MOST_NOTES
        doubt(
            phrase_count("{count} more note of this kind", "{count} more notes of this kind", more),
            name,
        )


def _is_no_item(
    make: Callable[[Cells, Cells, str], Item], line: tuple[int, str], name: str
) -> bool:
    """Whether a ``line`` without a digit is no item; ``medium`` is one."""
    try:
        with hearing(lambda _note: None):
            make({"size": line[1]}, {}, name)
    except EvenstrokeError:
        return True
    return False


def _unquoted(line: str) -> str:
    """``line`` without the quotes that a spreadsheet put around its cells.

    A closing quote would be read as a sign for inches.
    """
    parted = re.match(r'\s*"(?:[^"]|"")*"\s*([,;\t|]|$)', line)
    if not parted:
        return line
    try:
        return "; ".join(
            next(
                csv.reader([line.strip()], delimiter=parted.group(1) or ",", skipinitialspace=True)
            )
        )
    except (csv.Error, StopIteration):
        return line


def decoded(content: bytes, name: str) -> str:
    """The text of a list in UTF-8, UTF-16 or Windows-1252.

    Raises RequestError naming ``name`` if it is no text.
    """
    utf_16 = content[:2] in {b"\xff\xfe", b"\xfe\xff"} and len(content) % 2 == 0
    try:
        text = content.decode("utf-16" if utf_16 else "utf-8-sig")
    except UnicodeDecodeError as error:
        came = phrase(
            "byte {content} at {start}", content=f"{content[error.start]:#04x}", start=error.start
        )
        if utf_16 or re.search(rb"[\x00-\x08\x7f\x81\x8d\x8f\x90\x9d]", content):
            raise RequestError(
                Problem(name, phrase("must be text in UTF-8"), came, phrase("Save it as CSV UTF-8"))
            ) from None
        # What spreadsheets write where nobody asks for UTF-8.
        text = content.decode("cp1252")
        doubt(phrase("is not UTF-8 ({came}); it was read as Windows-1252", came=came), name)
    if "\0" in text:
        raise RequestError(
            Problem(
                name,
                phrase("must be text, a CSV list or one item per line"),
                phrase("a binary file"),
            )
        )
    # A spreadsheet names its separator on a first line; it stays as a line to keep line numbers
    # right.
    return re.sub(r"\Asep=.(?=\r?\n)", "#", text)


def _has_content(line: str) -> bool:
    # A line of nothing but rules is the one under the heading of a table in Markdown or in a text.
    """Whether ``line`` holds more than blanks, a remark or the rule under a table's heading."""
    return bool(re.search(r"[^\s|:=+_-]", line)) and not line.lstrip().startswith("#")


def _table(
    line: str, columns: tuple[str, ...]
) -> tuple[Header, dict[str, str], str | list[int]] | None:
    """The columns that the first line names, their units, and what parts its cells.

    That is a sign, or the places at which aligned columns begin. Of all ways to part the cells the
    one that names most columns counts; None where no way names any.
    """
    ways: list[tuple[Header, dict[str, str], str | list[int]]] = []
    for delimiter in delimiters(line):
        cells = next(csv.reader([line], delimiter=delimiter), [])
        ways.append((*_header(cells, columns), delimiter))
    aligned = list(_ALIGNED.finditer(line))
    if len(aligned) > 1:
        cells = [match.group() for match in aligned]
        ways.append((*_header(cells, columns), [match.start() for match in aligned]))

    best = max(ways, key=lambda way: sum(column is not None for _, column in way[0]))
    named = {column for _, column in best[0]} - {None}
    # "Pad, 240 x 152 mm" is a line of a list, although pad is a word for a tablet.
    return None if not named or (named == {"label"} and re.search(r"\d", line)) else best


def _header(cells: list[str], columns: tuple[str, ...]) -> tuple[Header, dict[str, str]]:
    """The columns that ``cells`` name, as shown and as known, with their units."""
    head: Header = []
    units: dict[str, str] = {}
    for cell in cells:
        known, unit = _column_and_unit(cell, columns)
        if known in {column for _, column in head}:
            known = None
        if known and unit:
            units[known] = unit
        head.append((cell.strip(), known))
    # The depth of a flat thing is its height where none is named.
    height = None if "height" in {column for _, column in head} else "height"
    head = [(shown, height if known == _DEPTH else known) for shown, known in head]
    if height and _DEPTH in units:
        units[height] = units.pop(_DEPTH)
    return head, units


def _column_and_unit(cell: str, columns: tuple[str, ...]) -> tuple[str | None, str]:
    """The column that a heading names, None where it is unknown, and the unit in it."""
    text = folded(cell)
    words = re.findall(r"[^\W\d_]+", text)
    if re.search(r"\d", cell) or not words or is_about_the_body(text):
        return None, ""
    own, other = (DISPLAYS, TABLETS) if columns is _DISPLAY_COLUMNS else (TABLETS, DISPLAYS)
    if words[0] in other:
        # A list of pairs, as we print it, has columns for both and puts the kind before each of
        # them.
        return None, ""
    if len(words) == 1 and words[0] in own:
        return "label", ""
    unit = _unit_of(words)
    column = _named_column(text, words, unit, columns)
    if column in {"width", "height"} and unit == "px":
        column = f"{column}_px"
    if column not in (*columns, _DEPTH):
        return None, ""
    return column, "" if unit == "px" or column.startswith("counts") else unit


def _named_column(text: str, words: list[str], unit: str, columns: tuple[str, ...]) -> str:
    """The column that a heading names, empty where it names none.

    ``text`` is the heading folded, ``words`` are its words and ``unit`` the unit among them.
    """
    per = {"per", "pro", "par", "por"} & set(words) and unit in {"mm", "in"}
    if "counts_per_mm" in columns and (per or set(words) & PER_INCH):
        return "counts_per_mm" if unit == "mm" else "counts_per_inch"
    whole = "_".join(
        word for word in words if word not in UNITS and word not in PIXELS and word not in FILLERS
    )
    column = HEADINGS.get(whole, "")
    if not column and (
        last_place(text, ACTIVE) >= 0 or words[-1] in {"area", "bereich", "surface", "zone"}
    ):
        column = "size"
    if not whole and unit == "in":
        column = "diagonal"
    if (column == "resolution" and "resolution" not in columns) or (not whole and unit == "px"):
        column = "pixels"
    return column


def _unit_of(words: list[str]) -> str:
    """The last unit that a heading names: ``width (in)``, ``Breite in cm``, ``width_px``."""
    for word in reversed(words):
        if word in UNITS or word in PIXELS:
            return UNITS.get(word, "px")
    return ""


def delimiters(line: str) -> list[str]:
    """The signs that may part the cells of ``line``, the most frequent first."""
    return sorted(",;\t|", key=line.count, reverse=True)


def _require_columns(head: Header, columns: tuple[str, ...], where: str, line: str) -> None:
    """Raise RequestError where the columns give no size, or no pixels of a display."""
    named = {column for _, column in head}
    if not ("size" in named or "diagonal" in named or {"width", "height"} <= named):
        must = phrase("the columns must give a size")
        instead = phrase("Name a column size, or two of them width_mm and height_mm")
    elif "pixels" in columns and not (
        {"pixels", "size"} & named or {"width_px", "height_px"} <= named
    ):
        must = phrase("the columns must give the pixels")
        instead = phrase("Name a column pixels (2560x1440), or width_px and height_px")
    else:
        return
    strange = [shown for shown, column in head if column is None and shown]
    near = [
        phrase("{shown}: did you mean {best}?", shown=shown, best=best)
        for shown in strange
        if (best := nearest(shown, columns))
    ]
    raise RequestError(Problem(where, must, quoted(line.strip()), "; ".join([instead, *near])))


def csv_rows(
    text: str, name: str, *, header_line: int = 1, delimiter: str = "", strict: bool = False
) -> Iterator[tuple[int, list[str]]]:
    """The rows of a CSV text that are not empty, each with the number of its line.

    ``header_line`` is the line to begin with. Cells are parted by ``delimiter`` or, where that is
    empty, by the sign that occurs most in that line. Raises RequestError naming ``name`` if the
    text is no CSV.
    """
    lines = text.splitlines(keepends=True)[header_line - 1 :]
    reader = csv.reader(
        lines, delimiter=delimiter or delimiters(lines[0] if lines else "")[0], strict=strict
    )
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                yield header_line - 1 + reader.line_num, [unguarded(cell) for cell in row]
    except csv.Error as error:
        where = at_line(name, header_line - 1 + reader.line_num)
        raise RequestError(Problem(where, phrase("must be CSV"), str(error))) from None


def require_column(
    head: list[str], needed: Iterable[str], columns: Iterable[str], where: str
) -> None:
    """Raise RequestError if ``head`` lacks a column that is ``needed``.

    ``columns`` are all that may be there; ``where`` names the line.
    """
    missing = next((column for column in needed if column not in head), None)
    if missing is not None:
        near = nearest(missing, head)
        instead = (
            phrase("Rename the column {near}", near=near)
            if near
            else phrase("The columns are {columns}", columns=", ".join(columns))
        )
        raise RequestError(
            Problem(
                where,
                phrase("must name the column {missing}", missing=missing),
                ",".join(head),
                instead,
            )
        )


def refuse_all(problems: list[Problem], name: str) -> None:
    """Raise RequestError with the first _MOST_PROBLEMS of ``problems``, if there are any."""
    if problems:
        more = (
            [Problem(name, phrase("has more problems than these"))]
            if len(problems) > _MOST_PROBLEMS
            else []
        )
        raise RequestError(*problems[:_MOST_PROBLEMS], *more)


def _rows(
    text: str, name: str, header_line: int, delimiter: str
) -> Iterator[tuple[int, list[str]]]:
    """The rows below the header that are neither rules nor remarks."""
    rows = csv_rows(text, name, header_line=header_line, delimiter=delimiter)
    return (
        each
        for each in islice(rows, 1, None)
        if _has_content("".join(each[1])) and not each[1][0].lstrip().startswith("#")
    )


def _aligned_rows(
    lines: list[tuple[int, str]], starts: list[int]
) -> Iterator[tuple[int, list[str]]]:
    """The rows of a table whose columns are aligned by spaces; its headings begin at ``starts``.

    Two spaces part cells. Each cell belongs to the heading above it, or to the nearest.
    """
    heads = [(match.start(), match.end()) for match in _ALIGNED.finditer(lines[0][1])]
    for number, line in lines[1:]:
        row = [""] * len(starts)
        for match in _ALIGNED.finditer(line):
            far = [max(start - match.end(), match.start() - end) for start, end in heads]
            at = min(range(len(heads)), key=lambda index: (max(far[index], 0), far[index]))
            row[at] = f"{row[at]} {match.group()}".strip()
        yield number, row


def _cells(row: list[str], head: Header, where: str) -> Cells:
    """The cells of a row by known column, with unquoted decimal commas put together again."""
    while len(row) > len(head) and not row[-1].strip():
        row = row[:-1]
    if len(row) > len(head):
        joined = joined_cells(row, len(head))
        if joined is None:
            must, came = (
                phrase_count(
                    "must have {count} cell, as the first line",
                    "must have {count} cells, as the first line",
                    len(head),
                ),
                f"{len(row)}",
            )
            raise RequestError(
                Problem(
                    where,
                    must,
                    came,
                    phrase("Put cells with a comma in quotes; decimals need a point"),
                )
            )
        decimals = ", ".join(cell for cell in joined if "," in cell)
        doubt(
            phrase(
                "a comma between digits was read as a decimal comma: {decimals}", decimals=decimals
            ),
            where,
        )
        row = joined
    return {column: cell.strip() for (_, column), cell in zip(head, row, strict=False) if column}


def joined_cells(row: list[str], count: int) -> list[str] | None:
    """A row of CSV whose unquoted decimal commas are put together again to ``count`` cells.

    A decimal comma has a digit right before and right after it. None where no way or more than one
    makes so many cells.
    """
    places = [
        index
        for index in range(len(row) - 1)
        if re.search(r"[0-9]$", row[index]) and re.match(r"[0-9]", row[index + 1])
    ]
    if len(places) > _MOST_COMMAS:
        return None
    ways = [
        chosen
        for chosen in combinations(places, len(row) - count)
        # 22,4,5: a number has one decimal comma, unless more stands between them.
        if not any(a + 1 == b and re.fullmatch(r"\s*[0-9]+", row[b]) for a, b in pairwise(chosen))
    ]
    if len(ways) != 1:
        return None
    joined = [row[0]]
    for index in range(len(row) - 1):
        if index in ways[0]:
            joined[-1] += f",{row[index + 1]}"
        else:
            joined.append(row[index + 1])
    return joined


def _without_references(text: str, where: str) -> str:
    """``text``, which must not refer to hardware or a file.

    A pasted list must not make the program read others. Raises RequestError naming ``where``.
    """
    if re.search(r"(?:^|:)\s*@", text):
        must = phrase("a list holds sizes, not references to hardware")
        raise RequestError(
            Problem(where, must, quoted(text.strip()), phrase("Give that one as an option"))
        )
    return text


def _tablet_of(cells: Cells, units: Cells, where: str) -> Tablet:
    """The tablet in a row.

    The row is put into shorthand first, so that one parser reads all that a person writes.
    """
    text = _with_unit(cells.get("size", ""), units.get("size", "")) or _two_sides(
        cells, units, where
    )
    for column, per in (("counts_per_mm", "/mm"), ("counts_per_inch", "/in"), ("resolution", "")):
        if cells.get(column) and "@" not in text:
            text += f"@{cells[column]}" + (per if cells[column][-1].isdigit() else "")
    tablet = one_tablet(_without_references(text, where), where)
    turn = cells.get("turn_deg", "").removesuffix("°").strip()
    if turn:
        if turn not in {str(each) for each in TURNS_DEG}:
            raise RequestError(
                Problem(
                    where, phrase("turn must be 0, 90, 180 or 270 degrees clockwise"), quoted(turn)
                )
            )
        tablet = replace(tablet, turn_deg=turn_of(int(turn)))
    return replace(tablet, label=_with_single_spaces(cells.get("label", "")) or tablet.label)


def _display_of(cells: Cells, units: Cells, where: str) -> Display:
    """The display in a row, by way of shorthand as in ``_tablet_of``."""
    size = _with_unit(cells.get("size", ""), units.get("size", ""))
    if not size and cells.get("diagonal"):
        size = _with_unit(cells["diagonal"], units.get("diagonal", ""))
    if not size and (cells.get("width") or cells.get("height")):
        size = _two_sides(cells, units, where)
    pixels = cells.get("pixels", "")
    if not pixels and cells.get("width_px") and cells.get("height_px"):
        pixels = f"{cells['width_px']}x{cells['height_px']}"
    display = one_display(_without_references(f"{size} {pixels}".strip(), where), where)
    return replace(display, label=_with_single_spaces(cells.get("label", "")) or display.label)


def _two_sides(cells: Cells, units: Cells, where: str) -> str:
    """Width and height of a row in shorthand.

    Raises RequestError if one of them or the unit is missing.
    """
    width, height = cells.get("width", ""), cells.get("height", "")
    if not width or not height:
        came = phrase(
            "width {width} and height {height}", width=quoted(width), height=quoted(height)
        )
        raise RequestError(Problem(where, phrase("needs its width and its height"), came))
    width, height = (_with_unit(cells[side], units.get(side, "")) for side in ("width", "height"))
    if height[-1].isdigit() and width[-1].isdigit():
        instead = phrase(
            "Name the columns width_mm and height_mm, or type {width}mm and {height}mm",
            width=width,
            height=height,
        )
        raise RequestError(
            Problem(
                where,
                phrase("a length needs its unit"),
                phrase("{width} and {height}", width=quoted(width), height=quoted(height)),
                instead,
            )
        )
    return f"{width}x{height}"


def _with_unit(cell: str, unit: str) -> str:
    """``cell`` with the ``unit`` of its column, unless it ends with a unit of its own."""
    return cell + unit if unit and cell[-1:].isdigit() else cell


def _with_single_spaces(label: str) -> str:
    return " ".join(label.split())
