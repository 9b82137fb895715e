"""How pairs felt, in words."""

from __future__ import annotations

from profiles.library.trial_book import SCORE_WORDS
from profiles.library.tried import Cell, Manner, Study
from render.sentences.pairs import FEEL
from render.sentences.words import counted, fixed, number


def felt_words(cell: Cell) -> str:
    """``good, 4 (3 to 5)``: the median in words and as a mark, with the marks that leave a quarter
    out on each side.
    """
    low, high = cell.spread
    spread = f" ({low} to {high})" if high > low else ""
    return f"{median_word(cell)}, {number(cell.median, 1)}{spread}"


def median_word(cell: Cell) -> str:
    """The word of the median; between two marks, both."""
    low, high = int(cell.median), -int(-cell.median // 1)
    return SCORE_WORDS[low] if low == high else f"{SCORE_WORDS[low]} to {SCORE_WORDS[high]}"


def expected_words(study: Study, cell: Cell) -> str:
    """What the band expects of a pairing that nobody tried."""
    if cell.factor is None:
        return "size not known"
    verdict = study.suiting.verdict(cell.factor)
    if verdict == "perhaps":
        return "may suit"
    band = study.suiting
    side = "below" if cell.factor < band.low else "above" if cell.factor > band.high else "inside"
    return "should suit" if side == "inside" else FEEL[side]


def cell_words(study: Study, cell: Cell) -> str:
    """All that is known of a cell in one line."""
    factor = "" if cell.factor is None else f"; factor {fixed(cell.factor, 2)}"
    if not cell.tried:
        return f"not tried: {expected_words(study, cell)}{factor}"
    ways = way_words(cell)
    if ways:
        return "; ".join(
            f"{way}: {felt_words(each)}, {counted(each.days, 'day')}" for way, each in ways
        )
    return f"{felt_words(cell)}; {counted(cell.days, 'day')}{factor}"


def way_words(cell: Cell) -> list[tuple[str, Cell]]:
    """The ways in which one pairing was tried, each in words that say where they differ; none where
    there is one way.
    """
    ways = cell.ways
    if len(ways) < 2:
        return []
    differ = {name: len({getattr(way, name) for way in ways}) > 1 for name in Manner.__slots__}
    told = []
    for way, each in ways.items():
        words = [way.doing if differ["doing"] else ""]
        if differ["scale_factor"]:
            words.append(
                "factor not known"
                if way.scale_factor is None
                else f"factor {fixed(way.scale_factor, 2)}"
            )
        if differ["stretch"]:
            shape = (
                "shapes not known"
                if way.stretch is None
                else "circles stay round"
                if way.stretch == 1
                else ""
            )
            words.append(shape or f"stretched {fixed(100 * ((way.stretch or 1) - 1), 0)} %")
        if differ["distance_cm"]:
            words.append(
                "seat not known" if way.distance_cm is None else f"eyes at {way.distance_cm} cm"
            )
        told.append((", ".join(word for word in words if word), each))
    return told
