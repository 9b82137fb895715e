"""One request, one answer: from a desk's description to its map, or to what is wrong.

Nothing here knows of a browser or of HTTP: a test asks a thousand answers a second.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from mapper.mapping.entry import Entry
from mapper.mapping.solve import TabletMap
from mapper.phrases import Counted, Phrase, phrase
from mapper.problems import EvenstrokeError, Problem, RequestError
from mapper.solving import solve
from profiles.doubts import Doubt, hearing
from profiles.format.document import Workstation
from profiles.rectangles import parse_entry
from profiles.unlikely import doubt_scale
from render.desk.described import Description, request_of, seat_of
from render.fields import BLANK_OF, BLANKS
from render.sentences.say import say, say_again
from render.sentences.words import capital

if TYPE_CHECKING:
    from mapper.seat import Seat

#: The name that a desk bears until somebody gives it one.
UNNAMED = "my desk"


def without_options(text: str) -> str:
    """``text`` in which options lose their dashes: a page has none."""
    if isinstance(text, Phrase):
        slots = {name: without_options(value) for name, value in text.slots.items()}
        counted = text.counted
        if counted is not None:
            counted = Counted(without_options(counted.many), counted.how_many)
        return Phrase(without_options(text.template), slots, counted)
    return re.sub(r"--(?=[a-z])", "", text)


def _slip(doubt: Doubt) -> str:
    """A doubt under the name of its blank."""
    sentence = without_options(say_again(doubt.sentence))
    if not doubt.where:
        return sentence
    about = capital(say_again(BLANKS[blank_of(doubt.where)].about))
    return say("{blank}: {doubt}", blank=about, doubt=sentence)


def problem_words(problem: Problem) -> str:
    """A problem in the page's language, without the names of options."""
    where, must, came, instead = (
        without_options(say_again(text))
        for text in (problem.where, problem.must, problem.came, problem.instead)
    )
    if came:
        found = say("{where}: {must} ({came}).", where=where, must=must, came=came)
    else:
        found = say("{where}: {must}.", where=where, must=must)
    return say("{problem} {instead}", problem=found, instead=instead) if instead else found


class Wrong(NamedTuple):
    """What is wrong, and in which blank."""

    blank: str
    problem: Problem

    @property
    def says(self) -> str:
        """The problem under the name of its blank, without the name of an option."""
        about = capital(say_again(BLANKS[self.blank].about))
        return problem_words(replace(self.problem, where=about))


@dataclass(frozen=True, slots=True)
class Answer:
    """What a description comes to.

    ``solved`` is the map as it is entered, None where something is missing or wrong. ``missing``
    names the blanks that must be filled first; ``doubts`` are remarks on what was typed.
    """

    said: Description
    entry: Entry
    solved: TabletMap | None = None
    seat: Seat | None = None
    wrong: tuple[Wrong, ...] = ()
    missing: tuple[str, ...] = ()
    doubts: tuple[Doubt, ...] = ()

    @property
    def possible(self) -> bool:
        return self.solved is not None and not self.wrong

    @property
    def slips(self) -> list[str]:
        """What can hardly be meant, a sentence each, of blanks in which nothing is wrong.

        How a text was read is no slip, and stands in its blank's note.
        """
        wrong = {each.blank for each in self.wrong}
        return [
            _slip(each)
            for each in self.doubts
            if not each.is_reading and blank_of(each.where) not in wrong
        ]

    @property
    def workstation(self) -> Workstation:
        """What a profile holds of it. Raises RequestError where there is no map."""
        if self.solved is None or self.wrong:
            found = [each.problem for each in self.wrong]
            raise RequestError(*(found or [Problem("desk", phrase("is not described yet"))]))
        return Workstation(
            self.said.name.strip() or UNNAMED,
            self.solved,
            self.said.note or None,
            self.seat,
            None,
            self.entry,
        )


def answer(said: Description) -> Answer:
    """What ``said`` comes to. Never raises for what was said."""
    doubts: list[Doubt] = []
    problems: list[Problem] = []
    entry, seat = Entry(), None
    with hearing(doubts.append):
        for part in (lambda: parse_entry(said.entry, "entry"), lambda: seat_of(said)):
            try:
                value = part()
                entry, seat = (value, seat) if isinstance(value, Entry) else (entry, value)
            except EvenstrokeError as error:
                problems += error.problems
        missing = tuple(
            blank
            for blank, there in (("tablet", said.tablet), ("displays", said.displays))
            if not there
        )
        if missing:
            problems += _alone(said, missing)
            return Answer(said, entry, None, seat, _placed(problems), missing, tuple(doubts))
        try:
            solved = solve(request_of(said))
            entry.check(solved.request.tablet)
            doubt_scale(solved.summary.scale_factor)
        except EvenstrokeError as error:
            wrong = _placed([*problems, *error.problems])
            return Answer(said, entry, None, seat, wrong, (), tuple(doubts))
    return Answer(said, entry, solved, seat, _placed(problems), (), tuple(doubts))


def _alone(said: Description, missing: tuple[str, ...]) -> list[Problem]:
    """What is wrong with the tablet or the displays where the other is missing.

    It is found by asking with any other in the gap.
    """
    if len(missing) > 1:
        return []
    filled = said.with_(
        {"tablet": "240x152mm"} if missing == ("tablet",) else {"displays": ["27in 2560x1440"]}
    )
    try:
        solve(request_of(filled))
    except EvenstrokeError as error:
        return [problem for problem in error.problems if blank_of(problem.where) not in missing]
    return []


def blank_of(where: str) -> str:
    """The blank that a problem or a doubt belongs to, by where it was found."""
    where = where.split(":", maxsplit=1)[0].strip().removeprefix("--").replace("true on", "true-on")
    return BLANK_OF.get(where) or BLANK_OF.get(where.split(" ")[0], "tablet")


def _placed(problems: list[Problem]) -> tuple[Wrong, ...]:
    return tuple(dict.fromkeys(Wrong(blank_of(problem.where), problem) for problem in problems))
