"""The file of all texts holds what the program says now."""

import difflib
from contextlib import closing

import pytest

from tests.texts.__main__ import PARTS, blocks, stored


@pytest.mark.parametrize("title", PARTS)
def test_every_text_is_the_one_in_the_file(title):
    """Ends at the first state that differs."""
    before, held = stored(title)
    at = 0
    with closing(blocks(title, before)) as now:
        for block in now:
            end = held.find("\n\n-- ", at + 1)
            was = held[at : None if end < 0 else end]
            changed = [
                line
                for line in difflib.unified_diff(was.splitlines(), block.splitlines(), n=0)
                if not line.startswith(("@@", "---", "+++"))
            ]
            assert not changed, "\n".join(
                ("Wording differs. If it is meant: python -m tests.texts", *changed[:60])
            )
            at += len(was)
    assert held[at:].strip() == ""
