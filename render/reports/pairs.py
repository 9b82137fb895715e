"""Pairs of tablets and displays as text, Markdown, CSV and JSON.

They are made piece by piece, so that a long list needs little memory. From 50,000 pairs on a
progress bar appears on standard error, where that is a terminal.
"""

from __future__ import annotations

import json
import math
from typing import TYPE_CHECKING

from mapper.choosing.pairing import Pair, PairBlock, pair, pair_blocks
from profiles.plain import plain
from render.sentences.measures import diagonal_inches
from render.sentences.pairs import FEEL, band_sentence, tablet_name
from render.sentences.words import fixed, number
from render.tables import csv_lines, markdown_lines, text_lines

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from typing import Any

    from mapper.choosing.recommended import Band
    from mapper.desk import Display, Tablet

PAIR_FORMS = ("text", "markdown", "csv", "json")
CSV_HEAD = (
    "tablet",
    "tablet_width_mm",
    "tablet_height_mm",
    "tablet_counts_per_mm",
    "display",
    "display_width_mm",
    "display_height_mm",
    "display_width_px",
    "display_height_px",
    "scale_factor",
    "area_lost_percent",
    "counts_per_px",
    "band",
)
_SIDES = ("below", "inside", "above")
# The gauge has equal steps for equal ratios; what lies beyond its ends is shown at them by an
# arrow.
_GAUGE_LOW, _GAUGE_HIGH, _GAUGE_WIDE = 1.0, 6.0, 31


def pair_chunks(
    form: str,
    tablets: Sequence[Tablet],
    displays: Sequence[Display],
    band: Band,
    use: str | None,
    *,
    only: bool = False,
) -> Iterator[tuple[int, str]]:
    """Pieces of the list of all pairs in one of PAIR_FORMS, each with the tablets that it finishes.

    ``use`` names what the band is for, None for a band of the user's own. ``only`` leaves out the
    pairs outside the band.
    """
    made = {"text": _text, "markdown": _markdown, "csv": _csv, "json": _json}[form]
    return made(tablets, displays, band, use, only)


def _pairs(tablet: Tablet, displays: Sequence[Display], band: Band, only: bool) -> list[Pair]:
    found = [pair(tablet, display) for display in displays]
    return [each for each in found if not only or _side(each.scale_factor, band) == "inside"]


def _side(scale_factor: float | None, band: Band) -> str | None:
    return None if scale_factor is None else band.side(scale_factor)


_HEAD = ["display", "inches", "scale", "feel", "area, mm", "lost, %", "counts/px"]
_COARSE = "! fewer than one count for a pixel: some pixels cannot be reached."
_NONE = "none in the comfortable band"


def _cells(each: Pair, band: Band) -> list[str]:
    side = _side(each.scale_factor, band)
    diagonal = diagonal_inches(each.display.width_mm, each.display.height_mm)
    counts = each.counts_per_px
    if counts is None:
        counts_cell = "-"
    else:
        counts_cell = fixed(counts, 1) if counts >= 1 else f"! {fixed(counts, 2)}"
    return [
        each.display.label,
        "-" if diagonal is None else fixed(diagonal, 1),
        "-" if each.scale_factor is None else fixed(each.scale_factor, 2),
        "size not known" if side is None else FEEL[side],
        f"{number(each.area_width_mm, 1)} x {number(each.area_height_mm, 1)}",
        fixed(each.area_lost_percent, 1),
        counts_cell,
    ]


def _text(
    tablets: Sequence[Tablet], displays: Sequence[Display], band: Band, use: str | None, only: bool
) -> Iterator[tuple[int, str]]:
    yield 0, band_sentence(band, use) + "\n"
    coarse = False
    # What nobody said anything about needs no column.
    counted = any(tablet.counts_per_mm is not None for tablet in tablets)
    head = [*_HEAD[:3], _gauge_head(), *_HEAD[3 : None if counted else -1]]
    for tablet in tablets:
        found = _pairs(tablet, displays, band, only)
        rows = []
        for each in found:
            cells = _cells(each, band)
            rows.append(
                [*cells[:3], _gauge(each.scale_factor, band), *cells[3 : None if counted else -1]]
            )
        coarse = coarse or any(
            each.counts_per_px is not None and each.counts_per_px < 1 for each in found
        )
        lines = [f"  {line}" for line in text_lines(head, rows)] if rows else [f"  {_NONE}"]
        yield 1, "\n".join(["", tablet_name(tablet), *lines]) + "\n"
    if coarse:
        yield 0, f"\n{_COARSE}\n"


def _gauge_head() -> str:
    return "fine" + "coarse".rjust(_GAUGE_WIDE - 4)


def _gauge(scale_factor: float | None, band: Band) -> str:
    """A line of text that shows a scale as an o, and the band in brackets."""

    def step(scale: float) -> int:
        along = math.log(scale / _GAUGE_LOW) / math.log(_GAUGE_HIGH / _GAUGE_LOW)
        return min(_GAUGE_WIDE - 1, max(0, round(along * (_GAUGE_WIDE - 1))))

    marks = ["."] * _GAUGE_WIDE
    low, high = step(band.low), step(band.high)
    marks[low : high + 1] = ["="] * (high + 1 - low)
    marks[low], marks[high] = "[", "]"
    if scale_factor is not None:
        mark = "o"
        if not _GAUGE_LOW <= scale_factor <= _GAUGE_HIGH:
            mark = "<" if scale_factor < _GAUGE_LOW else ">"
        marks[step(scale_factor)] = mark
    return "".join(marks)


def _markdown(
    tablets: Sequence[Tablet], displays: Sequence[Display], band: Band, use: str | None, only: bool
) -> Iterator[tuple[int, str]]:
    head = ["tablet", *_HEAD]
    yield 0, "\n".join([band_sentence(band, use), "", *markdown_lines(head, [], left=2)]) + "\n"
    for tablet in tablets:
        rows = [
            [tablet_name(tablet), *_cells(each, band)]
            for each in _pairs(tablet, displays, band, only)
        ]
        yield 1, "".join(f"{line}\n" for line in markdown_lines(head, rows, left=2)[2:])


def _json(
    tablets: Sequence[Tablet], displays: Sequence[Display], band: Band, use: str | None, only: bool
) -> Iterator[tuple[int, str]]:
    band_data = {"low": band.low, "high": band.high, "source": band.source} | (
        {"use": use} if use else {}
    )
    yield 0, '{\n  "band": ' + json.dumps(band_data, ensure_ascii=False) + ',\n  "pairs": ['
    comma = ""
    for tablet in tablets:
        lines = []
        for each in _pairs(tablet, displays, band, only):
            lines.append(
                f"{comma}\n    {json.dumps(plain(_pair_data(each, band)), ensure_ascii=False)}"
            )
            comma = ","
        yield 1, "".join(lines)
    yield 0, "\n  ]\n}\n"


def _pair_data(pair: Pair, band: Band) -> dict[str, Any]:
    tablet, display = pair.tablet, pair.display
    return {
        "tablet": {
            "label": tablet.label or None,
            "width_mm": tablet.width_mm,
            "height_mm": tablet.height_mm,
            "counts_per_mm": tablet.counts_per_mm,
            "turn_deg": tablet.turn_deg,
        },
        "display": {
            "label": display.label,
            "width_mm": display.width_mm,
            "height_mm": display.height_mm,
            "width_px": display.width_px,
            "height_px": display.height_px,
        },
        "scale_factor": pair.scale_factor,
        "area_width_mm": pair.area_width_mm,
        "area_height_mm": pair.area_height_mm,
        "area_lost_percent": pair.area_lost_percent,
        "counts_per_px": pair.counts_per_px,
        "band": _side(pair.scale_factor, band),
    }


def _csv(
    tablets: Sequence[Tablet], displays: Sequence[Display], band: Band, use: str | None, only: bool
) -> Iterator[tuple[int, str]]:
    # which side of the band a pair lies on stands in its line; what the band is for has no column
    del use
    yield 0, csv_lines([CSV_HEAD])
    lines = _CsvLines(displays, band)
    for block in pair_blocks(tablets, displays):
        for row in range(len(block.scale_factor)):
            yield 1, lines.filled(tablets[block.first + row], block, row, only=only)


class _CsvLines:
    """A template for the CSV lines of one tablet with all displays.

    One call fills thousands of lines. There is one template for tablets with a resolution and one
    for those without.
    """

    def __init__(self, displays: Sequence[Display], band: Band) -> None:
        self._displays = displays
        self._band = band
        self._known = [display.width_mm is not None for display in displays]
        self._templates: dict[bool, str] = {}

    def filled(self, tablet: Tablet, block: PairBlock, row: int, *, only: bool) -> str:
        """The lines of ``tablet``, which is the ``row`` of ``block``.

        With ``only``, those inside the band.
        """
        counted = tablet.counts_per_mm is not None
        if counted not in self._templates:
            self._templates[counted] = "".join(
                self._line(display, counted) for display in self._displays
            )
        scale = block.scale_factor[row]
        step = ((scale >= self._band.low).astype("int8") + (scale > self._band.high)).tolist()
        holes: list[object] = [None] * (4 * len(scale))
        holes[0::4], holes[1::4] = scale.tolist(), block.area_lost_percent[row].tolist()
        holes[2::4], holes[3::4] = (
            block.counts_per_px[row].tolist(),
            [_SIDES[each] for each in step],
        )
        size = (tablet.active_seen_mm.width, tablet.active_seen_mm.height)
        counts_per_mm = "" if tablet.counts_per_mm is None else number(tablet.counts_per_mm, 4)
        start = csv_lines([[tablet.label, *(number(side, 3) for side in size), counts_per_mm]])[:-1]
        text = (self._templates[counted] % tuple(holes)).replace("\0", start)
        if not only:
            return text
        kept = (known and each == 1 for known, each in zip(self._known, step, strict=True))
        return "".join(
            f"{line}\n" for line, keep in zip(text.splitlines(), kept, strict=True) if keep
        )

    def _line(self, display: Display, counted: bool) -> str:
        size = (display.width_mm, display.height_mm)
        sizes = ["" if side is None else number(side, 3) for side in size]
        cells = csv_lines([[display.label, *sizes, display.width_px, display.height_px]])[
            :-1
        ].replace("%", "%%")
        # What is not known has the hole %.0s, which shows nothing of what is put in.
        scale, side = ("%.0s", "%.0s") if display.width_mm is None else ("%.4f", "%s")
        return f"\0,{cells},{scale},%.2f,{'%.3f' if counted else '%.0s'},{side}\n"
