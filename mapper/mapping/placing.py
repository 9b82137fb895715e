"""Where displays stand that were dropped: each shares a piece of edge with another, none lies over.

A system lets the cursor from one display to the next only over an edge that they share, so a gap is
never meant, and the rectangle of all displays would hold it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mapper.mapping.windows import share_edge
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.rect import Rect

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

#: Of the shorter of two sides, how much two displays share at least where one was dropped beside
#: the other's corner.
_SHARED = 0.1


def settled(places_px: Sequence[Rect], dropped: int, stays: int = 0) -> list[Rect]:
    """The places of displays after the one at ``dropped`` was let go, whole px of the desktop.

    It goes to the nearest place beside another, and stays where it is if it is beside one. What
    hung on it alone follows to the nearest place as well; the one at ``stays`` never moves. Raises
    RequestError where there is no such display, or it is the one that stays.

    >>> settled([Rect(0, 0, 100, 50), Rect(160, 4, 80, 50)], 1)[1]
    Rect(left=100.0, top=4.0, width=80.0, height=50.0)
    """
    if not 0 <= dropped < len(places_px) or dropped == stays:
        raise RequestError(Problem("display", phrase("must be one that can be moved")))
    places = list(places_px)
    loose = [index for index in range(len(places)) if index not in {stays, dropped}]
    # Those that still hang together with the one that stays are there first, then the dropped one.
    standing = _hanging_together(places, loose, stays)
    for index in (dropped, *(index for index in loose if index not in standing)):
        places[index] = _nearest(places[index], [places[other] for other in standing])
        standing.append(index)
    return places


def _hanging_together(places: Sequence[Rect], loose: Sequence[int], first: int) -> list[int]:
    """``first`` with those of ``loose`` that are beside it, and beside those, and so on."""
    found, left = [first], list(loose)
    while True:
        others = [places[other] for other in found]
        # One at a time: two of them may lie over each other.
        beside = next((index for index in left if _is_beside(places[index], others)), None)
        if beside is None:
            return found
        found.append(beside)
        left.remove(beside)


def _nearest(place: Rect, others: Sequence[Rect]) -> Rect:
    """``place``, or the nearest one to it beside one of ``others`` and over none of them."""
    if _is_beside(place, others):
        return place

    def away(other: Rect) -> float:
        return (other.left - place.left) ** 2 + (other.top - place.top) ** 2

    # Beside the outermost one there is always room.
    return min(
        (
            each
            for other in others
            for each in _beside(place, other, others)
            if _is_free(each, others)
        ),
        key=away,
    )


def _is_free(place: Rect, others: Sequence[Rect]) -> bool:
    return not any(place.overlap(other) for other in others)


def _is_beside(place: Rect, others: Sequence[Rect]) -> bool:
    """Whether ``place`` shares a piece of edge with one of ``others`` and lies over none."""
    return _is_free(place, others) and any(share_edge(place, other) for other in others)


def _beside(place: Rect, other: Rect, others: Sequence[Rect]) -> Iterator[Rect]:
    """``place`` moved beside each side of ``other``: as near as can be, and where others end."""
    wide, high = place.width, place.height
    for top in _along(
        place.top, high, other.top, other.height, [(o.top, o.bottom) for o in others]
    ):
        yield Rect(other.right, top, wide, high)
        yield Rect(other.left - wide, top, wide, high)
    for left in _along(
        place.left, wide, other.left, other.width, [(o.left, o.right) for o in others]
    ):
        yield Rect(left, other.bottom, wide, high)
        yield Rect(left, other.top - high, wide, high)


def _along(
    start: float, length: float, low: float, long: float, spans: Sequence[tuple[float, float]]
) -> set[float]:
    """Where a side may begin that shares enough of another one, whole px."""
    shared = max(1.0, round(min(length, long) * _SHARED))
    first, last = low - length + shared, low + long - shared
    wanted = [start]
    for begins, ends in spans:
        wanted += [begins, ends, begins - length, ends - length]
    return {float(round(min(max(each, first), last))) for each in wanted}
