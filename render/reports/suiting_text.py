"""Which displays suit which tablets by a band of scale factors, beside what the trade says."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mapper.trials.sizes import UncertainBand
from render.sentences.say import say, say_again
from render.sentences.suiting import (
    SIZE_HEAD,
    SOLD,
    size_head,
    size_rows,
    trade_sentences,
    with_customary,
)
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

    At the end stands where the usual advice differs, and why.
    """
    suiting, every = band_in_use(found), with_customary(tablets)
    ends = {"low": fixed(suiting.low, 1), "high": fixed(suiting.high, 1)}
    band = say("By your own band: scale factors of {low} to {high}.", **ends)
    if not found.band.enough:
        band = say(
            "Until your notes make a band, by common practice (no source): scale factors of {low} "
            "to {high}.",
            **ends,
        )
    lines: list[str] = [band, say_again(SOLD)]
    lines += [say("Nothing was tried yet."), ""] if suiting.tried is None else [""]
    head = size_head()
    wide = max(map(len, head)) + 2
    for row in size_rows(suiting, every):
        pairs = [pair for pair in zip(head[1:], row[1:], strict=True) if pair[1] != "-"]
        lines += [row[0], *(f"  {head:{wide}}{cell}" for head, cell in pairs), ""]
    return lines + trade_sentences(suiting, every)


def sizes_data(found: FoundBand, tablets: Sequence[Tablet]) -> list[dict[str, str]]:
    """The sizes that suit ``tablets`` as plain data, one row a tablet."""
    rows = size_rows(band_in_use(found), with_customary(tablets))
    return [dict(zip(SIZE_HEAD, row, strict=True)) for row in rows]
