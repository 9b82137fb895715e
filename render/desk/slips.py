"""What is wrong in a blank, with the field that it is in, in the words that were typed there."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from mapper.problems import quoted
from profiles.fields import FIELDS, unsaid
from render.desk.answer import answer, problem_words
from render.fields import BLANKS
from render.sentences.say import say, say_again
from render.sentences.words import capital

if TYPE_CHECKING:
    from mapper.problems import Problem
    from render.desk.answer import Answer, Wrong

#: The field that a problem names, by the words that its place is made of.
_FIELD_OF = {word: name for name, field in FIELDS.items() for word in (*field.called, name) if word}
#: Where a length stands that the mathematics found to be none.
_LENGTH = re.compile(r"_mm\b")


@dataclass(frozen=True, slots=True)
class Slip:
    """What is wrong: the blank and the field that it is in, and the sentence that says it.

    ``field`` is empty where no one field is wrong; ``index`` is that of a display.
    """

    blank: str
    says: str
    field: str = ""
    index: int | None = None

    @property
    def plain(self) -> dict[str, Any]:
        """The same as plain data."""
        return {
            "blank": self.blank,
            "says": self.says,
            "field": self.field,
            "index": self.index,
        }


def slip_of(now: Answer, wrong: Wrong) -> Slip:
    """The slip that something wrong is, in the words of its field."""
    name = field_of(wrong.blank, wrong.problem.where)
    index = _index_of(now, wrong) if name == "displays" else None
    if name == "displays" and index is None and len(now.said.displays) > 1:
        return Slip(wrong.blank, wrong.says)
    value = getattr(now.said, name, "")
    typed = value[index or 0] if isinstance(value, tuple) and value else value
    return Slip(wrong.blank, _says(wrong, str(typed)), name, index)


def field_of(blank: str, where: str) -> str:
    """The field of ``blank`` that a problem is in, by where it was found."""
    fields = BLANKS[blank].fields
    words = re.findall(r"[a-z]+(?:-[a-z]+)*", where.removeprefix("--").replace("_", " "))
    named = [_FIELD_OF[word] for word in words if word in _FIELD_OF]
    return next((name for name in named if name in fields), fields[0])


def _index_of(now: Answer, wrong: Wrong) -> int | None:
    """Which of several displays is wrong by itself, None where none is."""
    if len(now.said.displays) == 1:
        return 0
    nothing = unsaid("onto", "true_on", "window", "ahead")
    for index, text in enumerate(now.said.displays):
        alone = answer(now.said.with_({"displays": [text], **nothing}))
        if any(_is_same(each.problem, wrong.problem) for each in alone.wrong):
            return index
    return None


def _is_same(one: Problem, other: Problem) -> bool:
    return (one.must, one.came) == (other.must, other.came)


def _says(wrong: Wrong, typed: str) -> str:
    """The problem as a sentence, with what was typed in place of what it was read as."""
    problem = wrong.problem
    try:
        read = float(problem.came)
    except ValueError:
        return wrong.says
    about = capital(say_again(BLANKS[wrong.blank].about))
    if read <= 0 and _LENGTH.search(problem.where):
        return say(
            "{about}: a length is more than 0, and {typed} is not.",
            about=about,
            typed=quoted(typed),
        )
    if typed in {problem.came, ""}:
        return wrong.says
    return problem_words(replace(problem, where=about, came=quoted(typed)))
