"""The file of all texts holds what the program says now."""

import difflib

import pytest

from tests.texts.__main__ import PARTS, part, stored


@pytest.mark.parametrize("title", PARTS)
def test_every_text_is_the_one_in_the_file(title):
    before, held = stored(title)
    lines, now = (text.splitlines() for text in (held, part(title, before)))
    changed = [
        line
        for line in difflib.unified_diff(lines, now, "stored", "now", n=0, lineterm="")
        if not line.startswith("@@")
    ]
    assert not changed, "\n".join(
        ("Wording differs. If it is meant: python -m tests.texts", *changed[:60])
    )
