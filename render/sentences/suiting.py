"""Which displays suit which tablets by a band of scale factors, beside the trade's usual advice."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from mapper.choosing.pairing import CUSTOMARY_TABLETS
from mapper.choosing.recommended import BAND_USES, RECOMMENDED
from mapper.choosing.viewing import visual_angle_deg
from mapper.trials.sizes import (
    UncertainBand,
    displays_for,
    exact_inches,
    sold_display,
    trade_diagonals_in,
)
from render.sentences.pairs import tablet_name
from render.sentences.words import fixed, number

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.desk import Tablet
    from mapper.trials.sizes import SizeChoice

#: Which displays the sizes are.
SOLD = (
    "Displays of 16:9, in the sizes in which they are usually sold (common practice, no source), "
    "each with its scale factor when the "
    "tablet's area is locked to the display's proportions."
)


def with_customary(tablets: Sequence[Tablet]) -> list[Tablet]:
    """``tablets``, then the customary sizes that lie near none of them."""
    own = list(tablets)
    return own + [
        each
        for each in CUSTOMARY_TABLETS
        if all(abs(each.width_mm / tablet.width_mm - 1) > 0.06 for tablet in own)
    ]


def _inches(choices: Sequence[SizeChoice], suiting: UncertainBand) -> str:
    """Sizes with their factors; those that were not tried are marked where others were."""
    sizes = []
    for each in choices:
        mark = "" if each.tried or suiting.tried is None else ", not tried"
        sizes.append(f"{each.inches:.0f} in ({fixed(each.factor, 2)}{mark})")
    return ", ".join(sizes) or "-"


SIZE_HEAD = ["tablet", "suits", "may suit", "the band exactly", "the trade says"]


def size_rows(suiting: UncertainBand, tablets: Sequence[Tablet]) -> list[list[str]]:
    """One row for each tablet, in the columns of ``SIZE_HEAD``."""
    rows = []
    for tablet in tablets:
        choices = displays_for(tablet, suiting)
        ends = [exact_inches(tablet, factor) for factor in (suiting.low, suiting.high)]
        trade = trade_diagonals_in(tablet)
        suits = [each for each in choices if each.verdict == "suits"]
        perhaps = [each for each in choices if each.verdict == "perhaps"]
        span = f"{number(ends[0], 0)} to {number(ends[1], 0)} in"
        rows.append(
            [
                tablet_name(tablet),
                _inches(suits, suiting) if suits else f"none is sold ({span})",
                _inches(perhaps, suiting),
                span,
                f"{trade[0]} to {trade[1]} in" if trade else "-",
            ]
        )
    return rows


#: From so far a display is judged by its width: a seat of common practice, no source. Ends nearer
#: than this share are the same.
_SEAT_MM, _NEAR = 700.0, 0.1


def _easier_to_see(side: str, inches: float) -> float | None:
    """How wide a display of ``inches`` is seen, degrees, where one nearer the middle is easier.

    ``side`` is ``below`` for the lower end of a band, ``above`` for the upper one; None where the
    eyes have nothing against that end.
    """
    wide_deg = visual_angle_deg(sold_display(inches).width_mm or math.nan, _SEAT_MM)
    return wide_deg if RECOMMENDED["width"].side(wide_deg) == side else None


def eyes_limits_in(suiting: UncertainBand, tablet: Tablet) -> tuple[float, float]:
    """The smallest and largest display that the trade's advice for the eyes leaves, inches.

    0 and infinity where the band of scale factors ends inside what is easy to see.
    """
    limits = [0.0, math.inf]
    trade = trade_diagonals_in(tablet) or ()
    for at, (theirs, factor) in enumerate(zip(trade, (suiting.low, suiting.high), strict=False)):
        ours = exact_inches(tablet, factor)
        side = ("below", "above")[at]
        if abs(ours / theirs - 1) > _NEAR and _easier_to_see(side, ours) is not None:
            limits[at] = float(theirs)
    return limits[0], limits[1]


def trade_sentences(suiting: UncertainBand, tablets: Sequence[Tablet]) -> list[str]:
    """Where the band's ends differ from the trade's usual advice, and why.

    Differences of at most a tenth are left out (common practice, no source). The reason is the eyes
    where the trade's size is the easier one to see; else that the trade uses other scale factors.
    """
    seen, usual = RECOMMENDED["width"], BAND_USES["illustration"]
    eyes, hand = [], []
    for tablet in tablets:
        trade = trade_diagonals_in(tablet) or ()
        for theirs, factor, words, side in zip(
            trade,
            (suiting.low, suiting.high),
            ("starts at", "goes to"),
            ("below", "above"),
            strict=False,
        ):
            ours = exact_inches(tablet, factor)
            if abs(ours / theirs - 1) <= _NEAR:
                continue
            wide_deg = _easier_to_see(side, ours)
            where = (
                f"{tablet.label} {'not under' if side == 'below' else 'not over'} {theirs} in, "
                f"where the band {words} {number(ours, 0)} in"
            )
            if wide_deg is not None:
                eyes.append(f"{where} ({number(wide_deg, 0)} degrees)")
            else:
                hand.append(
                    f"{where} (a factor of {fixed(factor, 1)}, not "
                    f"{fixed(factor * theirs / ours, 1)})"
                )
    if not eyes and not hand:
        return ["That agrees with what the trade says (common practice, no source)."]
    sentences = ["The trade says otherwise in places (common practice, no source)."]
    if eyes:
        sentences.append(
            f"For the eyes, which a band of scale factors ignores: {'; '.join(eyes)}. The "
            f"degrees are how wide the picture is seen "
            f"from {_SEAT_MM / 10:.0f} cm; {seen.low:g} to {seen.high:g} are comfortable (common "
            f"practice, no source)."
        )
    if hand:
        sentences.append(
            f"For the hand, since the trade takes factors of {fixed(usual.low, 1)} to "
            f"{fixed(usual.high, 1)} and of less on large tablets: {'; '.join(hand)}."
        )
    return sentences
