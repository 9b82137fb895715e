from collections import Counter
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.problems import RequestError
from mapper.trials.order import balanced_blocks, spaced_blocks, spread_choice


def test_the_order_is_balanced():
    """The three properties of Williams (1949), counted.

    Any rows of a design repeat no more than they must.
    """
    for count in (*range(1, 13), 18, 37, 100):
        blocks = balanced_blocks(count)
        assert len(blocks) == (count if count % 2 == 0 or count == 1 else 2 * count)
        assert all(sorted(block) == list(range(count)) for block in blocks)
        at = Counter(place for block in blocks for place in enumerate(block))
        assert (len(at), set(at.values())) == (count**2, {len(blocks) // count})
        after = Counter(pair for block in blocks for pair in pairwise(block))
        assert len(after) == count * (count - 1)
        assert len(set(after.values())) <= 1
        few, once = spaced_blocks(blocks, 3), 1 if count % 2 == 0 else 2
        assert len(few) == min(3, len(blocks))
        if count > 12:
            assert max(Counter(pair for block in few for pair in pairwise(block)).values()) <= once
            assert (
                max(Counter(place for block in few for place in enumerate(block)).values()) <= once
            )


def test_where_blocks_meet_nothing_follows_itself_and_followers_stay_even():
    """Counted over whole plans, borders included. Two pairings cannot but meet themselves."""
    for count in (*range(3, 10), 18, 37):
        design = balanced_blocks(count)
        for blocks in {2, len(design) // 2, len(design)}:
            chosen = spaced_blocks(design, blocks)
            assert len(set(chosen)) == blocks
            after = Counter(pairwise(place for block in chosen for place in block))
            assert all(one != other for one, other in after)
            # As many as are to be shared out among all ordered pairs, rounded up.
            assert max(after.values()) <= -(-(blocks * count - 1) // (count * (count - 1)))
            if blocks == len(design):
                assert len(after) == count * (count - 1)
    assert spaced_blocks(balanced_blocks(2), 2) == ((0, 1), (1, 0))


def test_the_square_of_four_is_the_one_in_print():
    """Williams's construction for four treatments: 0 1 3 2 and its cyclic shifts.

    Not checked against the source.
    """
    assert balanced_blocks(4) == ((0, 1, 3, 2), (1, 2, 0, 3), (2, 3, 1, 0), (3, 0, 2, 1))


@given(st.lists(st.floats(0.5, 10), min_size=1, max_size=20), st.integers(1, 8))
def test_a_choice_holds_both_ends_and_no_more_than_asked(values, most):
    chosen = spread_choice(values, most)
    assert len(chosen) == min(most, len(values))
    assert list(chosen) == sorted(set(chosen))
    if most >= 2:
        assert min(values) in [values[place] for place in chosen]
        assert max(values) in [values[place] for place in chosen]


def test_of_one_pairing_the_smallest_is_taken():
    assert spread_choice([3.0, 1.0, 2.0], 1) == (1,)


def test_a_choice_passes_over_what_is_nearly_the_same():
    # From the ends, 1.5 and 4.0, the one farthest from both in ratio is 2.5 (1.6 from 4.0); then
    # 2.0.
    assert spread_choice([1.5, 1.51, 2.0, 2.5, 2.51, 4.0], 4) == (0, 2, 3, 5)


def test_nothing_to_try_is_refused():
    with pytest.raises(RequestError):
        balanced_blocks(0)
    with pytest.raises(RequestError):
        spread_choice([1.0], 0)
