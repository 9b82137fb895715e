"""Which displays suit which tablets by a band of scale factors, beside what the trade says."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mapper.trials.sizes import UncertainBand
from render.sentences.suiting import SIZE_HEAD, SOLD, size_rows, trade_sentences, with_customary
from render.sentences.words import fixed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.desk import Tablet
    from profiles.library.personal import FoundBand


def band_in_use(found: FoundBand) -> UncertainBand:
    """The band that sizes are suggested by: the person's own, else the common practice."""
    band, practice = found.band, found.practice
    if band.enough:
        return UncertainBand(band.low, band.high, band.low_sure, band.high_sure, band.tried)
    return UncertainBand(
        practice.low, practice.high, (practice.low,) * 2, (practice.high,) * 2, band.tried
    )


def sizes_lines(found: FoundBand, tablets: Sequence[Tablet]) -> list[str]:
    """The sizes that suit ``tablets``, and the customary sizes, a few lines each.

    At the end stands where the trade says otherwise, and why.
    """
    suiting, every = band_in_use(found), with_customary(tablets)
    whose = (
        "By your own band"
        if found.band.enough
        else "Until your book holds a band, by common practice (no source)"
    )
    lines = [
        f"{whose}: scale factors of {fixed(suiting.low, 1)} to {fixed(suiting.high, 1)}.",
        SOLD,
    ]
    lines += ["Nothing was tried yet.", ""] if suiting.tried is None else [""]
    wide = max(map(len, SIZE_HEAD)) + 2
    for row in size_rows(suiting, every):
        pairs = [pair for pair in zip(SIZE_HEAD[1:], row[1:], strict=True) if pair[1] != "-"]
        lines += [row[0], *(f"  {head:{wide}}{cell}" for head, cell in pairs), ""]
    return lines + trade_sentences(suiting, every)


def sizes_data(found: FoundBand, tablets: Sequence[Tablet]) -> list[dict[str, str]]:
    """The sizes that suit ``tablets`` as plain data, one row a tablet."""
    rows = size_rows(band_in_use(found), with_customary(tablets))
    return [dict(zip(SIZE_HEAD, row, strict=True)) for row in rows]
