"""Which displays suit which tablets by a band of scale factors, beside what the trade says."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mapper.choosing.recommended import CAUTION
from mapper.trials.sizes import UncertainBand, displays_for, exact_inches, trade_diagonals_in
from profiles.plain import headed
from render.sentences.pairs import tablet_name
from render.sentences.say import say, say_again
from render.sentences.suiting import (
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
    return [*lines, *trade_sentences(suiting, every), "", say_again(CAUTION)]


def sizes_data(found: FoundBand, tablets: Sequence[Tablet]) -> dict[str, Any]:
    """The sizes that suit ``tablets`` as plain data, one row a tablet.

    Displays are diagonals in inches: those sold that suit and may suit, the two ends that the band
    gives exactly, and those of the usual advice, from and to.
    """
    suiting = band_in_use(found)
    rows = []
    for tablet in with_customary(tablets):
        sold: dict[str, list[float]] = {"suits": [], "perhaps": []}
        for each in displays_for(tablet, suiting):
            if each.verdict in sold:
                sold[each.verdict].append(each.inches)
        ends = [exact_inches(tablet, factor) for factor in (suiting.low, suiting.high)]
        rows.append(
            {
                "tablet": tablet_name(tablet),
                "suits_in": sold["suits"],
                "may_suit_in": sold["perhaps"],
                "band_in": ends,
                "usual_advice_in": trade_diagonals_in(tablet),
            }
        )
    return headed("band-sizes", {"own_band": found.band.enough, "sizes": rows, "caution": CAUTION})
