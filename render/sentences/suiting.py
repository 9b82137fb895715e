"""Which displays suit which tablets by a band of scale factors, beside the usual advice."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from mapper.choosing.recommended import RECOMMENDED
from mapper.choosing.viewing import visual_angle_deg
from mapper.phrases import phrase
from mapper.trials.sizes import (
    UncertainBand,
    displays_for,
    exact_inches,
    sold_display,
    trade_diagonals_in,
)
from render.sentences.pairs import customary_tablets, tablet_name
from render.sentences.say import Name, row_of, say, say_again
from render.sentences.words import fixed, number

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.desk import Tablet
    from mapper.trials.sizes import SizeChoice

#: Which displays the sizes are.
SOLD = phrase(
    "16:9 displays in the sizes that are usually sold (common practice, no source), each with its "
    "scale factor when the tablet's area has the display's proportions."
)


def with_customary(tablets: Sequence[Tablet]) -> list[Tablet]:
    """``tablets``, then the customary sizes that lie near none of them."""
    own = list(tablets)
    return own + [
        each
        for each in customary_tablets()
        if all(abs(each.width_mm / tablet.width_mm - 1) > 0.06 for tablet in own)
    ]


def _inches(choices: Sequence[SizeChoice], suiting: UncertainBand) -> str:
    """Sizes with their factors; those that were not tried are marked where others were."""
    sizes = []
    for each in choices:
        slots = {"inches": f"{each.inches:.0f}", "factor": fixed(each.factor, 2)}
        if each.tried or suiting.tried is None:
            sizes.append(say("{inches} in ({factor})", **slots))
        else:
            sizes.append(say("{inches} in ({factor}, not tried)", **slots))
    return row_of(sizes) or "-"


SIZE_HEAD = (
    phrase("tablet"),
    phrase("suits"),
    phrase("may suit"),
    phrase("exact sizes"),
    phrase("usual advice"),
)


def size_head() -> list[str]:
    """The heads of the columns of ``size_rows``."""
    return [say_again(head) for head in SIZE_HEAD]


def size_rows(suiting: UncertainBand, tablets: Sequence[Tablet]) -> list[list[str]]:
    """One row for each tablet, in the columns of ``SIZE_HEAD``."""
    rows = []
    for tablet in tablets:
        choices = displays_for(tablet, suiting)
        ends = [exact_inches(tablet, factor) for factor in (suiting.low, suiting.high)]
        usual = trade_diagonals_in(tablet)
        suits = [each for each in choices if each.verdict == "suits"]
        perhaps = [each for each in choices if each.verdict == "perhaps"]
        span = _span(number(ends[0], 0), number(ends[1], 0))
        rows.append(
            [
                tablet_name(tablet),
                _inches(suits, suiting) if suits else say("none is sold ({span})", span=span),
                _inches(perhaps, suiting),
                span,
                _span(str(usual[0]), str(usual[1])) if usual else "-",
            ]
        )
    return rows


def _span(low: str, high: str) -> str:
    return say("{low} to {high} in", low=low, high=high)


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
    """The smallest and largest display that the usual advice for the eyes leaves, inches.

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


class Difference(NamedTuple):
    """One end of the band in which it differs from the usual advice.

    ``end`` is ``lowest`` or ``highest``; the sizes are diagonals in inches. ``wide_deg`` is how
    wide a display of the band's size is seen, where the usual size is easier to see; else None.
    """

    tablet: str
    end: str
    band_in: float
    usual_in: float
    factor: float
    wide_deg: float | None


def differences(suiting: UncertainBand, tablets: Sequence[Tablet]) -> list[Difference]:
    """Where the band's ends differ from the usual advice.

    Differences of at most a tenth are left out (common practice, no source). The reason is the eyes
    where the usual size is the easier one to see; else that other scale factors are usual.
    """
    found = []
    for tablet in tablets:
        usual = trade_diagonals_in(tablet) or ()
        for theirs, factor, end, side in zip(
            usual,
            (suiting.low, suiting.high),
            ("lowest", "highest"),
            ("below", "above"),
            strict=False,
        ):
            ours = exact_inches(tablet, factor)
            if abs(ours / theirs - 1) <= _NEAR:
                continue
            wide_deg = _easier_to_see(side, ours)
            found.append(Difference(tablet.label, end, ours, theirs, factor, wide_deg))
    return found


def trade_sentences(suiting: UncertainBand, tablets: Sequence[Tablet]) -> list[str]:
    """Where the band's ends differ from the usual advice, and why: a sentence each."""
    found = differences(suiting, tablets)
    if not found:
        return [say("That agrees with the usual advice (common practice, no source).")]
    sentences: list[str] = [say("Usual advice differs in places (common practice, no source).")]
    sentences += [_difference_sentence(each) for each in found]
    if any(each.wide_deg is not None for each in found):
        seen = RECOMMENDED["width"]
        sentences.append(
            say(
                "The degrees are how wide the display looks from {distance} cm; {low} to {high} "
                "are comfortable (common practice, no source).",
                distance=f"{_SEAT_MM / 10:.0f}",
                low=number(seen.low or 0),
                high=number(seen.high or 0),
            )
        )
    return sentences


def _difference_sentence(each: Difference) -> str:
    slots = {
        "tablet": Name(each.tablet),
        "band": number(each.band_in, 0),
        "usual": number(each.usual_in),
    }
    if each.wide_deg is not None:
        degrees = number(each.wide_deg, 0)
        if each.end == "lowest":
            return say(
                "{tablet}: by the scale factor {band} in and more would suit, by the usual advice "
                "{usual} in and more, since a smaller display is hard to see ({degrees} degrees "
                "wide).",
                degrees=degrees,
                **slots,
            )
        return say(
            "{tablet}: by the scale factor up to {band} in would suit, by the usual advice up to "
            "{usual} in, since a larger display is hard to see ({degrees} degrees wide).",
            degrees=degrees,
            **slots,
        )
    factors = {
        "factor": fixed(each.factor, 1),
        "other": fixed(each.factor * each.usual_in / each.band_in, 1),
    }
    if each.end == "lowest":
        return say(
            "{tablet}: by the band {band} in and more suit, by the usual advice {usual} in and "
            "more: a scale factor of {factor} against {other}.",
            **slots,
            **factors,
        )
    return say(
        "{tablet}: by the band up to {band} in suit, by the usual advice up to {usual} in: a scale "
        "factor of {factor} against {other}.",
        **slots,
        **factors,
    )
