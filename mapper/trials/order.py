"""In which order to try pairings: a Williams design.

Neither the day nor the pairing before tips the scales: each pairing comes once in each block, once
at each place, and follows each other pairing equally often. Source: E. J. Williams, Experimental
designs balanced for the estimation of residual effects of treatments, Australian Journal of
Scientific Research A 2 (1949): one Latin square for an even number of treatments, two for an odd
one.
"""

from __future__ import annotations

import math
from collections import Counter
from itertools import pairwise
from typing import TYPE_CHECKING

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError

if TYPE_CHECKING:
    from collections.abc import Sequence

#: More pairings than this nobody tries for days each.
MOST_PAIRINGS = 100


def balanced_blocks(count: int) -> tuple[tuple[int, ...], ...]:
    """The blocks of a Williams design for ``count`` pairings, numbered from 0.

    ``count`` blocks if even, twice as many if odd. The first row runs 0, 1, n-1, 2, n-2, ...; each
    further row adds one to all, modulo n; where n is odd, the same rows follow backwards. Raises
    RequestError for fewer than one.

    >>> balanced_blocks(4)
    ((0, 1, 3, 2), (1, 2, 0, 3), (2, 3, 1, 0), (3, 0, 2, 1))
    """
    if count < 1:
        raise RequestError(
            Problem("pairings", phrase("at least one is needed to plan trials"), str(count))
        )
    first = [0]
    for step in range(1, count):
        if step % 2:
            first.append((step + 1) // 2)
        else:
            first.append(count - step // 2)
    blocks = [tuple((each + row) % count for each in first) for row in range(count)]
    if count % 2 and count > 1:
        blocks += [block[::-1] for block in blocks]
    return tuple(blocks)


def spaced_blocks(blocks: Sequence[tuple[int, ...]], count: int) -> tuple[tuple[int, ...], ...]:
    """``count`` blocks of a design in an order that keeps its balance over the borders of blocks.

    All of them where it has no more. Blocks are taken as equally spaced as they can be, so that
    each pairing's places are spread; one whose first pairing was the last of the block before, or
    that makes a pairing follow another more often than it must, gives way to the next. With two
    pairings the border cannot be mended: two blocks are one the other backwards.

    >>> spaced_blocks(balanced_blocks(4), 2)
    ((0, 1, 3, 2), (1, 2, 0, 3))
    """
    count = min(count, len(blocks))
    size = len(blocks[0])
    if size < 3 or count < 2:
        return tuple(blocks[at * len(blocks) // count] for at in range(count))
    # So often must a pairing follow another, at the least: borders are shared out as evenly.
    least = math.ceil((count * size - 1) / (size * (size - 1)))
    for most in range(least, least + count):
        chosen = _chained(blocks, count, most)
        if chosen is not None:
            return chosen
    raise AssertionError("blocks of three pairs and more can be put in a row")


def _chained(
    blocks: Sequence[tuple[int, ...]], count: int, most: int
) -> tuple[tuple[int, ...], ...] | None:
    """``count`` of ``blocks`` in a row in which nothing follows another more than ``most`` times.

    Nor itself. None where a search of some length finds none.
    """
    chosen: list[int] = []
    follows: Counter[tuple[int, int]] = Counter()
    tries = 50 * count

    def new_pairs(at: int) -> list[tuple[int, int]]:
        border = [(blocks[chosen[-1]][-1], blocks[at][0])] if chosen else []
        return border + list(pairwise(blocks[at]))

    def extended() -> bool:
        nonlocal tries
        if len(chosen) == count:
            return True
        spaced = len(chosen) * len(blocks) // count
        for at in sorted(
            set(range(len(blocks))) - set(chosen), key=lambda each: abs(each - spaced)
        ):
            pairs = new_pairs(at)
            tries -= 1
            if any(one == other for one, other in pairs[:1]):
                continue
            follows.update(pairs)
            if max(follows[pair] for pair in pairs) <= most:
                chosen.append(at)
                if extended():
                    return True
                chosen.pop()
            follows.subtract(pairs)
            if tries < 0:
                return False
        return False

    return tuple(blocks[at] for at in chosen) if extended() else None


def spread_choice(values: Sequence[float], most: int) -> tuple[int, ...]:
    """The places of at most ``most`` of ``values`` that lie farthest apart in ratio.

    The ends, then always the one whose nearest is farthest. In the order of the values' places.
    Raises RequestError for ``most`` below 1.

    >>> spread_choice([1.0, 1.1, 2.0, 4.0], 3)
    (0, 2, 3)
    """
    if most < 1:
        raise RequestError(
            Problem("pairings", phrase("at least one is needed to plan trials"), str(most))
        )
    if len(values) <= most:
        return tuple(range(len(values)))
    order = sorted(range(len(values)), key=lambda place: (values[place], place))
    chosen = [order[0]] if most == 1 else [order[0], order[-1]]
    while len(chosen) < most:
        left = [place for place in order if place not in chosen]
        chosen.append(
            max(
                left,
                key=lambda place: min(_ratio(values[place], values[other]) for other in chosen),
            )
        )
    return tuple(sorted(chosen))


def _ratio(one: float, other: float) -> float:
    return max(one, other) / min(one, other)
