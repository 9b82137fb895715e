"""How pairs felt, in words."""

from __future__ import annotations

from profiles.library.trial_book import SCORE_WORDS
from profiles.library.tried import Cell, Manner, Study
from render.sentences.pairs import FEEL
from render.sentences.words import counted, fixed, number


def felt_words(cell: Cell) -> str:
    """How a pairing felt: ``good, 4 (3 to 5)``.

    The median as a word and a score, and the quartiles of the scores in brackets.
    """
    low, high = cell.spread
    spread = f" ({low} to {high})" if high > low else ""
    return f"{median_word(cell)}, {number(cell.median, 1)}{spread}"


def median_word(cell: Cell) -> str:
    """The word for the median score; both words where it lies between two scores."""
    low, high = int(cell.median), -int(-cell.median // 1)
    return SCORE_WORDS[low] if low == high else f"{SCORE_WORDS[low]} to {SCORE_WORDS[high]}"


def expected_words(study: Study, cell: Cell) -> str:
    """What the band expects of a pairing that nobody tried."""
    if cell.factor is None:
        return "size not known"
    verdict = study.suiting.verdict(cell.factor)
    if verdict == "perhaps":
        return "may suit"
    if cell.factor < study.suiting.low:
        return FEEL["below"]
    return FEEL["above"] if cell.factor > study.suiting.high else "should suit"


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
    """The ways in which one pairing was tried, each with the words for what differs.

    Empty where there was one way only.
    """
    ways = cell.ways
    if len(ways) < 2:
        return []
    differ = {name: len({getattr(way, name) for way in ways}) > 1 for name in Manner.__slots__}
    found = []
    for way, each in ways.items():
        words = [way.doing if differ["doing"] else ""]
        if differ["scale_factor"]:
            words.append(
                "factor not known"
                if way.scale_factor is None
                else f"factor {fixed(way.scale_factor, 2)}"
            )
        if differ["stretch"]:
            words.append(_stretch_words(way.stretch))
        if differ["distance_cm"]:
            words.append(
                "seat not known" if way.distance_cm is None else f"eyes at {way.distance_cm} cm"
            )
        found.append((", ".join(word for word in words if word), each))
    return found


def _stretch_words(stretch: float | None) -> str:
    if stretch is None:
        return "shapes not known"
    if stretch == 1:
        return "circles stay round"
    return f"stretched {fixed(100 * (stretch - 1), 0)} %"
