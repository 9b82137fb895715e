"""How far a desk is, in four words with their days, and the one thing to do next.

Described, kept, typed in, tested: the first two stand in the draft and the library, the others are
the dated marks beside a revision (profiles/library/proofs.py). A change of what has to be typed
takes both marks away, as they are of another setting then. What is done is not asked for again.
"""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from mapper.phrases import phrase
from mapper.problems import AnswerIsNo, Problem
from profiles.library.proofs import note_typed
from render.desk.chapters.known import book
from render.sentences.proofs import day_words, proof_words, standing_words
from render.sentences.say import say

if TYPE_CHECKING:
    from profiles.library.proofs import Standing
    from render.desk.desks import Desk

#: Whether it is done, still open, or was tried and is not so.
Mark = Literal["done", "open", "wrong"]


class Stage(NamedTuple):
    """One of the four words, with its day where it is done."""

    name: Literal["described", "kept", "typed", "tested"]
    words: str
    mark: Mark


class Next(NamedTuple):
    """The one thing to do next: what its button does, and its words."""

    act: Literal["keep", "type", "test", "correct", "feel"]
    button: str


class Progress(NamedTuple):
    """How far a desk is: the four words, what comes next, None where all is done.

    ``takes_back`` says that the last word can be taken back, as no test relies on it.
    """

    stages: tuple[Stage, ...]
    next: Next | None
    takes_back: bool


def progress(desk: Desk) -> Progress:
    """How far ``desk`` is, as its letter stands now."""
    known = desk.standing
    stages = (_described(desk), _kept(desk), _typed(known), _tested(known))
    takes_back = known.typed is not None and known.typed.mark == "typed" and known.tested is None
    return Progress(stages, _next(desk, known), takes_back)


def _day(when: str) -> str:
    return day_words(datetime.fromisoformat(when))


def _described(desk: Desk) -> Stage:
    mark: Mark = "done" if desk.now.possible else "open"
    when = desk.draft.steps[desk.step].when
    if not when or not desk.now.possible:
        return Stage("described", say("described"), mark)
    return Stage("described", say("described on {day}", day=_day(when)), mark)


def _kept(desk: Desk) -> Stage:
    kept, last = desk.draft.is_kept(desk.step), desk.draft.last_kept
    if kept is not None:
        return Stage("kept", say("kept on {day}", day=_day(kept.when)), "done")
    if last is not None:
        return Stage("kept", say("keep the changes since {day}", day=_day(last.when)), "open")
    return Stage("kept", say("kept"), "open")


def _typed(known: Standing) -> Stage:
    if known.typed is None:
        return Stage("typed", say("typed in"), "open")
    return Stage("typed", say("typed in on {day}", day=day_words(known.typed.at)), "done")


def _tested(known: Standing) -> Stage:
    if known.tested is not None:
        return Stage("tested", proof_words(known.tested), "done" if known.is_proven else "wrong")
    if known.tested_before is not None and known.typed is None:
        return Stage("tested", standing_words(known), "open")
    return Stage("tested", say("tested"), "open")


def _next(desk: Desk, known: Standing) -> Next | None:
    if not desk.now.possible:
        return None
    if desk.draft.is_kept(desk.step) is None:
        return Next("keep", say("Keep it"))
    if known.is_proven:
        return _feel(desk, known)
    if known.tested is not None:
        return Next("correct", say("See what to correct"))
    if known.typed is None:
        return Next("type", say("I have typed them in"))
    return Next("test", say("Test it"))


def _feel(desk: Desk, known: Standing) -> Next | None:
    """To note how it felt; None where that was done since the test."""
    if known.tested is None:
        return None
    since = known.tested.at.astimezone().date().isoformat()
    name = desk.said.name.strip()
    if any(felt.workstation == name and felt.date >= since for felt in book(desk)):
        return None
    return Next("feel", say("Say how it felt"))


def typed_in(desk: Desk, *, undo: bool) -> dict[str, Any]:
    """Note that the numbers of the letter were typed in, or with ``undo`` that they were not.

    Raises AnswerIsNo for a setting that is not kept, RequestError where it cannot be written.
    """
    revision, solved = desk.revision_of_setting(), desk.now.solved
    if revision is None or solved is None:
        raise AnswerIsNo(Problem(say("This setting"), phrase("must be kept first")))
    proof = note_typed(desk.session.library, revision, solved, undo=undo)
    if undo:
        return {"says": say("Undone: these numbers are not typed in.")}
    if proof is None:
        return {"says": say("This was already noted.")}
    return {"says": say("Noted: typed in on {day}.", day=day_words(proof.at))}
