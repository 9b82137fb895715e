"""Phrases keep their template, however they travel, and texts of others move nothing."""

import copy

import pytest

from mapper.phrases import all_of, any_of, in_line, phrase, phrase_count, renamed


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
        ("\u202eXXL desk", "XXL desk"),
    ],
)
def test_a_text_of_somebody_moves_nothing_of_its_line(text, shown):
    assert in_line(text) == shown


def test_a_file_is_renamed_wherever_a_phrase_names_it():
    names = {"/home/x": "mine", "/home/x.csv": "mine.csv"}
    where = phrase("{file} line {line}", file="/home/x.csv", line=3)
    said = renamed(phrase("{place}: {what}", place=where, what="no /home/x"), names)
    assert said == "mine.csv line 3: no mine"
    assert said.template == "{place}: {what}"
    assert said.slots["place"].slots == {"file": "mine.csv", "line": "3"}
    assert renamed("/home/y", names) == "/home/y"


@pytest.mark.parametrize(
    ("words", "all_text", "any_text"),
    [
        ([], "", ""),
        (["mm"], "mm", "mm"),
        (["mm", "cm"], "mm and cm", "mm or cm"),
        (["mm", "cm", "m", "in"], "mm, cm, m and in", "mm, cm, m or in"),
    ],
)
def test_lists_of_words(words, all_text, any_text):
    assert (all_of(words), any_of(words)) == (all_text, any_text)
