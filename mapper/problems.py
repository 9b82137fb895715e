"""Errors, in one shape everywhere: where, what must hold, what came, and what to type instead."""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeVar

from mapper.phrases import Phrase, phrase, renamed, template

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping


#: One of several words, each a literal of its own.
Word = TypeVar("Word", bound=str)


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong.

    ``where`` names the option, key path or file; ``must`` says what has to hold there; ``came`` is
    what was found, as the person wrote it; ``instead`` says what to type instead, where that is
    known. ``is_missing`` says that what was named is not there or cannot be read, so that nothing
    is known of it.

    >>> problem = Problem("turn", "must be 0, 90, 180 or 270 degrees", "45", "Type --slant 45")
    >>> print(problem)
    turn: must be 0, 90, 180 or 270 degrees; got 45. Type --slant 45
    >>> print(problem.at("desk.yaml"))
    desk.yaml: turn: must be 0, 90, 180 or 270 degrees; got 45. Type --slant 45
    """

    where: str
    must: str
    came: str = ""
    instead: str = ""
    is_missing: bool = False

    def __str__(self) -> str:
        return self.sentence

    @property
    def sentence(self) -> Phrase:
        """All of it in one line, free of language."""
        sentence = _SENTENCES[bool(self.where), bool(self.came), bool(self.instead)]
        return phrase(
            sentence, where=self.where, must=self.must, came=self.came, instead=self.instead
        )

    def at(self, where: str) -> Problem:
        """This problem as found at ``where``, an outer place that is put before the inner one."""
        inner = where
        if self.where:
            inner = phrase("{place}: {inner}", place=where, inner=self.where)
        return replace(self, where=inner)

    def renamed(self, names: Mapping[str, str]) -> Problem:
        """This problem with other names for files, wherever it says one of ``names``."""
        return replace(
            self,
            where=renamed(self.where, names),
            must=renamed(self.must, names),
            came=renamed(self.came, names),
            instead=renamed(self.instead, names),
        )


#: The sentence of a problem, by what of it is known: where, what came, what to type instead.
_SENTENCES = {
    (False, False, False): template("{must}"),
    (False, False, True): template("{must}. {instead}"),
    (False, True, False): template("{must}; got {came}"),
    (False, True, True): template("{must}; got {came}. {instead}"),
    (True, False, False): template("{where}: {must}"),
    (True, False, True): template("{where}: {must}. {instead}"),
    (True, True, False): template("{where}: {must}; got {came}"),
    (True, True, True): template("{where}: {must}; got {came}. {instead}"),
}


class EvenstrokeError(Exception):
    """The base of all errors that Evenstroke raises on purpose; carries one or more problems.

    >>> error = EvenstrokeError(Problem("turn", "must be 0, 90, 180 or 270 degrees", "45"))
    >>> print(error)
    turn: must be 0, 90, 180 or 270 degrees; got 45
    >>> error.problems[0].came
    '45'
    """

    def __init__(self, *problems: Problem) -> None:
        super().__init__(*problems)
        self.problems = problems

    def __str__(self) -> str:
        return "\n".join(str(problem) for problem in self.problems)


class RequestError(EvenstrokeError, ValueError):
    """The request or a file is wrong and nothing was done. It is a ValueError too.

    >>> from mapper.rect import Rect
    >>> try:
    ...     Rect(0, 0, 240, -1)
    ... except ValueError as error:
    ...     print(type(error).__name__, error)
    RequestError height: must be greater than 0; got -1
    """


class AnswerIsNo(EvenstrokeError):
    """The request was understood and the answer is no: a check failed, or nothing was found.

    >>> issubclass(AnswerIsNo, EvenstrokeError), issubclass(AnswerIsNo, ValueError)
    (True, False)
    """


class Collected:
    """Collects what is found wrong within its block into ``problems``.

    The block ends at the first error; what follows the block goes on.
    """

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = problems

    def __enter__(self) -> None: ...

    def __exit__(self, _kind: object, error: object, _trace: object) -> bool:
        if not isinstance(error, EvenstrokeError):
            return False
        self.problems += error.problems
        return True


@contextmanager
def found_at(where: str) -> Iterator[None]:
    """Puts ``where`` before whatever is found wrong within the block.

    It is not put there twice. Every error leaves the block as RequestError.
    """
    try:
        yield
    except EvenstrokeError as error:
        at = (
            problem if problem.where.startswith(where) else problem.at(where)
            for problem in error.problems
        )
        raise RequestError(*at) from None


#: What a program is told to do about a file that is there; the command line says it in its own way.
GIVE_FORCE = phrase("Give force=True to replace it")

LONGEST_QUOTE = 60


def quoted(value: object) -> str:
    """``value`` as it is shown in a problem: printable, on one line, at most 60 characters.

    Text is put in quotes.
    """
    text = value if isinstance(value, str) else repr(value)
    text = "".join(char if char.isprintable() else "\N{REPLACEMENT CHARACTER}" for char in text)
    if len(text) > LONGEST_QUOTE:
        text = text[: LONGEST_QUOTE - 1] + "\N{HORIZONTAL ELLIPSIS}"
    return f'"{text}"' if isinstance(value, str) else text


def nearest(word: str, choices: Iterable[object]) -> str | None:
    """The choice that ``word`` most likely meant, or None where none is near."""
    # Only ever reached with a problem at hand, so the import costs a good run nothing.
    from difflib import get_close_matches

    found = get_close_matches(word.lower(), [str(choice) for choice in choices], n=1, cutoff=0.6)
    return found[0] if found else None


def refuse_other(value: object, kind: type, where: str, give: str, **slots: object) -> None:
    """Raise RequestError naming ``where`` unless ``value`` is a ``kind``.

    ``give`` is the template, with its ``slots``, of what to give instead.
    """
    if isinstance(value, kind):
        return
    ours = type(value).__module__.startswith(("mapper.", "profiles."))
    came = phrase("a {kind}", kind=type(value).__name__) if ours else quoted(value)
    must = phrase("must be a {kind}", kind=kind.__name__)
    raise RequestError(Problem(where, must, came, phrase(give, **slots)))


def one_of(word: str, choices: Iterable[Word], where: str) -> Word:
    """``word``, which must be one of ``choices``.

    Raises RequestError naming ``where`` and the nearest choice if it is not.
    """
    choices = tuple(choices)
    for choice in choices:
        if choice == word:
            return choice
    near = nearest(str(word), choices)
    must = phrase("must be one of {choices}", choices=", ".join(choices))
    raise RequestError(
        Problem(
            where, must, quoted(word), phrase("Did you mean {near}?", near=near) if near else ""
        )
    )
