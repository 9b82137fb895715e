"""How pairs felt, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from profiles.library.trial_book import SCORE_WORDS
from profiles.library.tried import Cell, Manner, Study
from render.sentences.pairs import FEEL
from render.sentences.say import row_of, say, say_again, say_count, scraps
from render.sentences.words import days_words, fixed, number

if TYPE_CHECKING:
    from collections.abc import Callable


def felt_words(cell: Cell) -> str:
    """How a pairing felt: ``good, 4 (3 to 5)``.

    The median as a word and a score, and the quartiles of the scores in brackets.
    """
    low, high = cell.spread
    slots = {"word": median_word(cell), "score": number(cell.median, 1)}
    if high > low:
        return say("{word}, {score} ({low} to {high})", low=str(low), high=str(high), **slots)
    return say("{word}, {score}", **slots)


def median_word(cell: Cell) -> str:
    """The word for the median score; both words where it lies between two scores."""
    low, high = int(cell.median), -int(-cell.median // 1)
    if low == high:
        return say_again(SCORE_WORDS[low])
    return say(
        "{low} to {high}", low=say_again(SCORE_WORDS[low]), high=say_again(SCORE_WORDS[high])
    )


def expected_words(study: Study, cell: Cell) -> str:
    """What the band expects of a pairing that nobody tried."""
    if cell.factor is None:
        return say("size not known")
    verdict = study.suiting.verdict(cell.factor)
    if verdict == "perhaps":
        return say("may suit")
    if cell.factor < study.suiting.low:
        return say_again(FEEL["below"])
    if cell.factor > study.suiting.high:
        return say_again(FEEL["above"])
    return say("should suit")


def cell_words(study: Study, cell: Cell) -> str:
    """All that is known of a cell in one line."""
    ways = way_words(cell)
    if cell.tried and ways:
        each_way = [
            say("{way}: {felt}, {days}", way=way, felt=felt_words(each), days=days_words(each.days))
            for way, each in ways
        ]
        return scraps(each_way)
    if cell.tried:
        said = say("{felt}; {days}", felt=felt_words(cell), days=days_words(cell.days))
    else:
        said = say("not tried: {expected}", expected=expected_words(study, cell))
    if cell.factor is None:
        return said
    return say("{cell}; scale factor {factor}", cell=said, factor=fixed(cell.factor, 2))


def unplaced_sentence(notes: int) -> str:
    """How many notes are in no cell, and why."""
    return say_count(
        "{count} note gives no tablet and display with sizes, and is in no cell.",
        "{count} notes give no tablet and display with sizes, and are in no cell.",
        notes,
    )


def way_words(cell: Cell) -> list[tuple[str, Cell]]:
    """The ways in which one pairing was tried, each with the words for what differs.

    Empty where there was one way only.
    """
    ways = cell.ways
    if len(ways) < 2:
        return []
    differ = {name for name in Manner.__slots__ if len({getattr(way, name) for way in ways}) > 1}
    return [
        (row_of([_WAY_WORDS[name](way) for name in _WAY_WORDS if name in differ]), each)
        for way, each in ways.items()
    ]


def _factor_words(way: Manner) -> str:
    if way.scale_factor is None:
        return say("scale factor not known")
    return say("scale factor {factor}", factor=fixed(way.scale_factor, 2))


def _stretch_words(way: Manner) -> str:
    if way.stretch is None:
        return say("shapes not known")
    if way.stretch == 1:
        return say("circles stay round")
    return say("stretched {percent} %", percent=fixed(100 * (way.stretch - 1), 0))


def _seat_words(way: Manner) -> str:
    if way.distance_cm is None:
        return say("seat not known")
    return say("eyes at {distance} cm", distance=str(way.distance_cm))


#: The words for each part of a manner of trying.
_WAY_WORDS: dict[str, Callable[[Manner], str]] = {
    "doing": lambda way: way.doing,
    "scale_factor": _factor_words,
    "stretch": _stretch_words,
    "distance_cm": _seat_words,
}
