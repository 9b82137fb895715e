"""Whole templates with named slots, in English and in a language that turns them around."""

import pickle
from gettext import NullTranslations

import pytest

from mapper.phrases import phrase
from render.sentences.say import (
    Language,
    Piece,
    groups,
    listed,
    say,
    say_again,
    say_count,
    speak,
    unmarked,
)


class Backwards(NullTranslations):
    """Each template with its words in the opposite order; slots stay slots."""

    def gettext(self, message):
        return " ".join(reversed(message.split(" ")))

    def ngettext(self, msgid1, msgid2, n):
        return self.gettext(msgid2 if n == 0 else msgid1)

    def pgettext(self, context, message):
        return f"{context} {message}"


@pytest.fixture
def backwards():
    speak(Language("en", Backwards()))
    yield
    speak(None)


def test_english_is_the_template_with_its_slots_filled():
    assert say("Round, {times} times as large.", times="2.49") == "Round, 2.49 times as large."
    assert [say_count("{count} day", "{count} days", days) for days in (0, 1, 2)] == [
        "0 days",
        "1 day",
        "2 days",
    ]
    assert [listed(words) for words in ([], ["a"], ["a", "b"], ["a", "b", "c", "d"])] == [
        "",
        "a",
        "a and b",
        "a, b, c and d",
    ]


def test_braces_in_a_name_are_letters_of_the_name():
    assert say("{name}: kept", name="{name} {0}") == "{name} {0}: kept"


def test_a_slot_that_is_missing_is_an_error():
    with pytest.raises(KeyError):
        say("{times} times")


@pytest.mark.usefixtures("backwards")
def test_another_language_has_its_own_order_plural_and_context():
    assert say("{times} times {where}", times="2", where="here") == "here times 2"
    assert say_count("{count} day", "{count} days", 0) == "days 0"
    assert say_count("{count} day", "{count} days", 5) == "day 5"
    assert say("main", context="display") == "display main"


@pytest.mark.usefixtures("backwards")
def test_what_a_lower_floor_said_is_said_again_slot_by_slot():
    inner = phrase("at most {most}", most=3)
    assert say_again(phrase("must be {bound}", bound=inner)) == "3 most at be must"
    assert say_again("typed by a person") == "typed by a person"


def test_a_phrase_reads_as_its_english_text_and_survives_a_copy():
    said = phrase("must be {bound}", bound=2)
    assert said == "must be 2"
    copy = pickle.loads(pickle.dumps(said))  # noqa: S301 - our own bytes
    assert (copy, copy.template, copy.slots) == ("must be 2", "must be {bound}", {"bound": "2"})


def test_brackets_mark_what_belongs_together():
    said = say("start [{top} from the top] of {name}, then [wide]", top="8.5", name="[main]")
    assert [(group.text, group.marked) for group in groups(said)] == [
        ("start ", False),
        ("8.5 from the top", True),
        (" of [main], then ", False),
        ("wide", True),
    ]
    assert [piece for group in groups(said) for piece in group.pieces if piece.slot] == [
        Piece("8.5", "top"),
        Piece("[main]", "name"),
    ]
    assert unmarked(said) == "start 8.5 from the top of [main], then wide"
    assert unmarked("typed [by] a person") == "typed [by] a person"
