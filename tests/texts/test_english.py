"""The file of all texts holds what the program says now."""

import difflib

from tests.texts.__main__ import FILE, english


def test_every_text_is_the_one_in_the_file():
    stored, made = (text.splitlines() for text in (FILE.read_text("utf-8"), english()))
    changed = [
        line
        for line in difflib.unified_diff(stored, made, "stored", "now", n=0, lineterm="")
        if not line.startswith("@@")
    ]
    assert not changed, "\n".join(
        ("Wording differs. If it is meant: python -m tests.texts", *changed[:60])
    )
