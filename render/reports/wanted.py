"""Sizes that give a wanted scale factor: displays for tablets, and active areas for displays."""

from __future__ import annotations

import textwrap

from mapper.choosing.pairing import Aspect, SizeForScale
from mapper.choosing.recommended import CAUTION, Band
from profiles.plain import DATA_FORMS, data_text, headed
from render.sentences.measures import diagonal_inches
from render.sentences.pairs import band_sentence, tablet_name
from render.sentences.say import paragraph, say, say_again
from render.sentences.words import fixed, number
from render.tables import csv_lines, markdown_lines, text_lines


def wanted_text(
    form: str, scale_factor: float, answers: list[SizeForScale], band: Band, use: str | None
) -> str:
    """``answers`` in one ``form``: text, markdown, csv, yaml or json."""
    if form == "csv":
        return csv_lines([_CSV_HEAD, *(_csv_row(answer) for answer in answers)])
    if form in DATA_FORMS:
        data = {
            "wanted_scale_factor": scale_factor,
            "answers": [_answer_data(answer) for answer in answers],
            "caution": CAUTION,
        }
        return data_text(headed("wanted", data), form)
    wanted = say("Wanted: a scale factor of {factor}.", factor=number(scale_factor, 3))
    lines: list[str] = [paragraph([wanted, band_sentence(band, use)])]
    for kind in ("tablet", "display"):
        mine = [answer for answer in answers if getattr(answer, kind) is not None]
        if mine:
            lines += ["", *_table(form, kind, mine, scale_factor, band)]
    return "\n".join([*lines, "", *textwrap.wrap(say_again(CAUTION), 116)]) + "\n"


def _table(
    form: str, kind: str, answers: list[SizeForScale], scale_factor: float, band: Band
) -> list[str]:
    aspects = list(dict.fromkeys(answer.aspect for answer in answers))
    cell = _inches if kind == "tablet" else _area
    rows: dict[str, list[str]] = {}
    ranges: dict[str, list[str]] = {}
    for answer in answers:
        name = answer.display.label if answer.display else ""
        if answer.tablet:
            name = tablet_name(answer.tablet)
        rows.setdefault(name, [name]).append(cell(answer.size_mm))
        ranges.setdefault(name, [name]).append(f"{cell(answer.least_mm)} - {cell(answer.most_mm)}")
    factor = number(scale_factor, 3)
    ends = {"low": number(band.low), "high": number(band.high)}
    titles = (
        say(
            "Active area in mm for a scale factor of {factor}, by the proportions of the tablet:",
            factor=factor,
        ),
        say("Active area in mm over the whole band, {low} to {high}:", **ends),
    )
    first = say("display")
    if kind == "tablet":
        first = say("tablet")
        titles = (
            say(
                "Display diagonal in inches for a scale factor of {factor}, by the proportions of "
                "the display:",
                factor=factor,
            ),
            say(
                "Display diagonal in inches over the whole band, {low} to {high}:",
                **ends,
            ),
        )
    lines: list[str] = []
    for title, table in zip(titles, (rows, ranges), strict=True):
        if form == "text" and kind == "display" and table is ranges:
            break  # areas of both ends side by side are too wide for a terminal
        head = [first, *(_aspect_name(aspect) for aspect in aspects)]
        cells = list(table.values())
        if lines:
            lines.append("")
        lines.append(title)
        if form == "markdown":
            lines += ["", *markdown_lines(head, cells)]
        else:
            lines += [f"  {line}" for line in text_lines(head, cells)]
    return lines


def _aspect_name(aspect: Aspect) -> str:
    return f"{number(aspect[0], 3)}:{number(aspect[1], 3)}"


def _inches(size_mm: tuple[float, float]) -> str:
    return fixed(diagonal_inches(*size_mm) or 0.0, 1)


def _area(size_mm: tuple[float, float]) -> str:
    return f"{fixed(size_mm[0], 0)} × {fixed(size_mm[1], 0)}"


_CSV_HEAD = (
    "for",
    "label",
    "wanted",
    "aspect",
    "width_mm",
    "height_mm",
    "diagonal_in",
    "band_low_diagonal_in",
    "band_high_diagonal_in",
)


def _csv_row(answer: SizeForScale) -> list[object]:
    named = answer.tablet or answer.display
    diagonals = (
        fixed(diagonal_inches(*size) or 0.0, 3)
        for size in (answer.size_mm, answer.least_mm, answer.most_mm)
    )
    return [
        "tablet" if answer.tablet else "display",
        named.label if named else "",
        "display" if answer.tablet else "active area",
        _aspect_name(answer.aspect),
        *(fixed(side, 3) for side in answer.size_mm),
        *diagonals,
    ]


def _answer_data(answer: SizeForScale) -> dict[str, object]:
    key, size_key = ("tablet", "display") if answer.tablet else ("display", "active_area")
    named = answer.tablet or answer.display
    return {
        key: named.label if named else "",
        "aspect": _aspect_name(answer.aspect),
        size_key: _size(answer.size_mm),
        "band_least": _size(answer.least_mm),
        "band_most": _size(answer.most_mm),
    }


def _size(size_mm: tuple[float, float]) -> dict[str, float | None]:
    return {
        "width_mm": size_mm[0],
        "height_mm": size_mm[1],
        "diagonal_in": diagonal_inches(*size_mm),
    }
