"""Phrases keep their template, however they travel, and texts of others move nothing."""

import copy

import pytest

from mapper.phrases import in_line, phrase, phrase_count


def test_a_phrase_knows_the_template_that_its_number_chose():
    one, several = (phrase_count("{count} day", "{count} days", count) for count in (1, 3))
    assert (one, one.chosen) == ("1 day", "{count} day")
    assert (several, several.chosen) == ("3 days", "{count} days")
    assert phrase("at {place}", place="home").chosen == "at {place}"


def test_a_phrase_is_copied_whole():
    sent = phrase("{days} left", days=phrase_count("{count} day", "{count} days", 3))
    came = copy.deepcopy(sent)
    assert came == "3 days left"
    assert came.template == "{days} left"
    assert came.counted is None
    assert came.slots["days"].template == "{count} day"
    assert came.slots["days"].slots == {"count": "3"}
    assert came.slots["days"].counted == ("{count} days", 3)


# Unicode Standard Annex 9: U+2066 to U+2068 begin an isolate, U+2069 ends it.
@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("desk 2", "desk 2"),
        ("desk \u206627 in\u2069", "desk \u206627 in\u2069"),
        # One that does not end, one that did not begin, and both of them the wrong way round.
        ("desk \u206627 in", "desk 27 in"),
        ("desk 27 in\u2069", "desk 27 in"),
        ("desk \u206927 in\u2066", "desk 27 in"),
        ("desk \u2067\u206627 in\u2069", "desk 27 in"),
        # A letter written from right to left, alone, among others, and isolated already.
        ("\u05d0", "\u2068\u05d0\u2069"),
        ("27 \u05d0", "\u206827 \u05d0\u2069"),
        ("27 \u2067\u05d0\u2069", "27 \u2067\u05d0\u2069"),
        ("my\n\ndesk\x07", "my desk\ufffd"),
        ("\u202edesk", "desk"),
    ],
)
def test_a_text_of_somebody_moves_nothing_of_its_line(text, shown):
    assert in_line(text) == shown
