"""A kept setting beside the present: what differs, in the letter's own words."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from render.desk.letter import letter
from render.fields import BLANKS
from render.sentences.entry import form_words, typed_numbers
from render.sentences.outcome import outcome
from render.sentences.say import Name, row_of, say, say_again
from render.sentences.words import capital

if TYPE_CHECKING:
    from render.desk.answer import Answer


class Difference(NamedTuple):
    """One thing that differs: what it is, and its words then and now; empty for nothing said."""

    about: str
    then: str
    now: str


def differences(then: Answer, now: Answer) -> list[Difference]:
    """All in which two answers differ: blank by blank, what becomes of a circle, the numbers."""
    found = [each._replace(about=capital(each.about)) for each in blanks_that_differ(then, now)]
    for about, words in (
        (say("A note to remember it by"), (Name(then.said.note), Name(now.said.note))),
        (say("Results"), (outcome(then.solved), outcome(now.solved))),
        (say("Numbers to type"), (_numbers(then), _numbers(now))),
    ):
        if words[0] != words[1]:
            found.append(Difference(about, *words))
    return found


def blanks_that_differ(then: Answer, now: Answer) -> list[Difference]:
    """The blanks in which two answers differ."""
    before, after = _words(then), _words(now)
    return [
        Difference(say_again(blank.about), before.get(name, ""), after.get(name, ""))
        for name, blank in BLANKS.items()
        if before.get(name, "") != after.get(name, "")
    ]


def _words(answer: Answer) -> dict[str, str]:
    """The words in each blank of a letter, those too that stand beside it."""
    sentences, _ = letter(answer, answer.solved)
    found: dict[str, str] = {}
    for sentence in sentences:
        found |= {name: getattr(blank, "words", blank) for name, blank in sentence.slots.items()}
    return {**found, "name": Name(answer.said.name), "entry": form_words(answer.entry)}


def _numbers(answer: Answer) -> str:
    return "" if answer.solved is None else row_of(typed_numbers(answer.solved, answer.entry))
