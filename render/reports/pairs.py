"""Pairs of tablets and displays as text, Markdown, CSV and JSON."""

from __future__ import annotations

import math
import textwrap
from typing import TYPE_CHECKING

from mapper.choosing.pairing import Pair, pair
from mapper.choosing.recommended import CAUTION
from profiles.plain import DATA_FORMS, data_text, headed, plain
from render.sentences.measures import diagonal_inches
from render.sentences.pairs import FEEL, band_sentence, tablet_name
from render.sentences.say import say, say_again
from render.sentences.words import fixed, number, share_words
from render.tables import csv_lines, markdown_lines, text_lines

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from typing import Any

    from mapper.choosing.recommended import Band
    from mapper.desk import Display, Tablet

    #: Each tablet with its pairs.
    Groups = Sequence[tuple[Tablet, Sequence[Pair]]]

PAIR_FORMS = ("text", "markdown", "csv", "yaml", "json")
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
# The gauge has equal steps for equal ratios; what lies beyond its ends is shown at them by an
# arrow.
_WIDE = 116
_GAUGE_LOW, _GAUGE_HIGH, _GAUGE_WIDE = 1.0, 6.0, 31


def pairs_text(
    form: str,
    tablets: Sequence[Tablet],
    displays: Sequence[Display],
    band: Band,
    use: str | None,
    *,
    only: bool = False,
) -> str:
    """The list of all pairs in one of PAIR_FORMS.

    ``use`` names what the band is for, None for a band of the user's own. ``only`` leaves out the
    pairs outside the band.
    """
    groups = [(tablet, [pair(tablet, display) for display in displays]) for tablet in tablets]
    if only:
        groups = [
            (tablet, [each for each in found if _side(each.scale_factor, band) == "inside"])
            for tablet, found in groups
        ]
    if form in DATA_FORMS:
        return data_text(_data(groups, band, use), form)
    return _WRITERS[form](groups, band, use)


def _side(scale_factor: float | None, band: Band) -> str | None:
    return None if scale_factor is None else band.side(scale_factor)


def _head() -> list[str]:
    return [
        say("display"),
        say("inches"),
        say("scale factor"),
        say("feel"),
        say("area, mm"),
        say("not used"),
        say("counts/px"),
    ]


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
        say("size not known") if side is None else say_again(FEEL[side]),
        f"{number(each.area_width_mm, 1)} × {number(each.area_height_mm, 1)}",
        share_words(each.area_lost_percent),
        counts_cell,
    ]


def _text(groups: Groups, band: Band, use: str | None) -> str:
    paragraphs = [band_sentence(band, use)]
    # What nobody said anything about needs no column.
    counted = any(tablet.counts_per_mm is not None for tablet, _ in groups)
    columns = slice(3, None if counted else -1)
    heads = _head()
    head = [*heads[:3], _gauge_head(), *heads[columns]]
    for tablet, found in groups:
        rows = []
        for each in found:
            cells = _cells(each, band)
            rows.append([*cells[:3], _gauge(each.scale_factor, band), *cells[columns]])
        lines = text_lines(head, rows) if rows else [say("none in the band")]
        lines = [f"  {line}" for line in lines]
        paragraphs.append("\n".join([tablet_name(tablet), *lines]))
    counts = [each.counts_per_px for _, found in groups for each in found]
    if any(each is not None and each < 1 for each in counts):
        paragraphs.append(
            say("! fewer than one count for a pixel: the pen cannot reach every pixel.")
        )
    paragraphs.append("\n".join(textwrap.wrap(say_again(CAUTION), _WIDE)))
    return "\n\n".join(paragraphs) + "\n"


def _gauge_head() -> str:
    fine, coarse = say("fine"), say("coarse")
    return fine + coarse.rjust(_GAUGE_WIDE - len(fine))


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


def _markdown(groups: Groups, band: Band, use: str | None) -> str:
    rows = [
        [tablet_name(tablet), *_cells(each, band)] for tablet, found in groups for each in found
    ]
    table = markdown_lines([say("tablet"), *_head()], rows, left=2)
    return "\n".join([band_sentence(band, use), "", *table, "", say_again(CAUTION)]) + "\n"


def _data(groups: Groups, band: Band, use: str | None) -> dict[str, Any]:
    pairs = [_pair_data(each, band) for _, found in groups for each in found]
    data = {"band": {**plain(band), "use": use}, "pairs": pairs, "caution": CAUTION}
    return headed("pair", data)


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


def _csv(groups: Groups, band: Band, use: str | None) -> str:
    # Which side of the band a pair lies on stands in its line; what the band is for has no column.
    del use
    rows = [_csv_row(each, band) for _, found in groups for each in found]
    return csv_lines([CSV_HEAD, *rows])


def _csv_row(pair: Pair, band: Band) -> list[str | int]:
    tablet, display = pair.tablet, pair.display
    return [
        tablet.label,
        number(tablet.active_seen_mm.width, 3),
        number(tablet.active_seen_mm.height, 3),
        _known(tablet.counts_per_mm, lambda value: number(value, 4)),
        display.label,
        _known(display.width_mm, lambda value: number(value, 3)),
        _known(display.height_mm, lambda value: number(value, 3)),
        display.width_px,
        display.height_px,
        _known(pair.scale_factor, lambda value: fixed(value, 4)),
        fixed(pair.area_lost_percent, 2),
        _known(pair.counts_per_px, lambda value: fixed(value, 3)),
        _side(pair.scale_factor, band) or "",
    ]


def _known(value: float | None, text: Callable[[float], str]) -> str:
    return "" if value is None else text(value)


_WRITERS = {"text": _text, "markdown": _markdown, "csv": _csv}
