"""The kept settings of this desk: what changed, taking one back, pinning and retiring."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, Literal, cast

import msgspec
from flask import render_template

from mapper.phrases import phrase
from mapper.problems import AnswerIsNo, EvenstrokeError, Problem, RequestError
from profiles.format.compare import changes
from profiles.library.history import History, history
from profiles.times import shown
from render.desk.bodies import KeptRevision, body
from render.desk.chapters import Heading
from render.desk.described import described
from render.sentences.proofs import proof_words
from render.sentences.say import say, say_count

if TYPE_CHECKING:
    from flask import Request

    from render.desk.desks import Desk

_Mark = Literal["pin", "unpin", "retire", "restore"]

#: So many are shown, and so many more with each wish, up to a bound.
_SHOWN, _MOST_SHOWN = 50, 1000
#: Of each, so many of its last marks.
_MARKS_SHOWN = 2
_TAKES_BACK: dict[str, _Mark] = {"pin": "unpin", "retire": "restore", "restore": "retire"}


def heading(desk: Desk) -> Heading:
    """How many settings of this desk are kept."""
    folder = desk.folder
    try:
        count = 0 if folder is None else desk.session.library.count(folder)
    except EvenstrokeError:
        count = 0
    if not count:
        return Heading(say("This desk is not kept yet."), say("keep"))
    sentence = say_count(
        "{count} setting of this desk is kept.", "{count} settings of this desk are kept.", count
    )
    return Heading(sentence, say("what changed"))


def _done(verb: str, number: str) -> str:
    """What a decision came to; ``number`` is that of a setting, empty for the whole desk."""
    if verb == "pin":
        return say("Setting {number} is pinned: it stays in use.", number=number)
    if verb == "unpin":
        return say("Unpinned: the newest setting is in use.")
    if verb == "retire" and number:
        return say("Setting {number} is retired.", number=number)
    if verb == "retire":
        return say("This desk is retired.")
    if number:
        return say("Setting {number} can be used again.", number=number)
    return say("This desk is back in the list of desks.")


def _undo(verb: str, number: str) -> str:
    """The words of the button that takes a decision back."""
    if verb == "pin":
        return say("Undo: setting {number} pinned", number=number)
    if verb == "retire":
        if number:
            return say("Undo: setting {number} retired", number=number)
        return say("Undo: desk retired")
    if number:
        return say("Undo: setting {number} brought back", number=number)
    return say("Undo: desk brought back")


def fragment(desk: Desk, most: int = _SHOWN) -> str:
    """The chapter's HTML: the newest kept settings, each with what changed since the one before."""
    from render.sentences.changes import changes_sentence, setting_sentence

    found = _history(desk, most)
    rows, since, undo = [], "", ""
    if found is not None:
        for row in found.rows:
            words: str = say("cannot be read")
            if row.holds is not None:
                words = (
                    setting_sentence(row.holds)
                    if row.before is None
                    else changes_sentence(row.before, row.holds)
                )
            note = row.holds.revision.note if row.holds and row.holds.revision else None
            rows.append(
                {
                    "row": row,
                    "words": words,
                    "note": note,
                    "kept": shown(row.file.kept),
                    "marks": [proof_words(proof) for proof in row.proofs[-_MARKS_SHOWN:]],
                }
            )
        newest = next((row.holds for row in found.rows if row.holds), None)
        now = desk.workstation
        if newest is not None and now is not None:
            # A profile that says nothing of the driver's form is filled in here as usual; that is
            # no change.
            alike = replace(now, entry=None) if newest.entry is None else now
            since = changes_sentence(newest, alike) if changes(newest, alike) else ""
        last = found.decisions[0] if found.decisions else None
        if last is not None and last.mark in _TAKES_BACK:
            # A setting's name begins with its number.
            undo = _undo(last.mark, (last.revision or "").partition("-")[0])
    return render_template(
        "chapters/kept.html",
        found=found,
        more=min(most + _SHOWN, _MOST_SHOWN) if most < _MOST_SHOWN else 0,
        rows=rows,
        since=since,
        undo=undo,
    )


def _history(desk: Desk, most: int = _SHOWN) -> History | None:
    try:
        return None if desk.folder is None else history(desk.session.library, desk.folder, most)
    except (AnswerIsNo, EvenstrokeError):
        return None


def do(desk: Desk, verb: str, request: Request) -> dict[str, Any]:
    """Takes a kept setting into the letter, or pins, unpins, retires or restores one."""
    folder, library = desk.folder, desk.session.library
    if folder is None:
        raise AnswerIsNo(Problem("this desk", phrase("must be kept first")))
    sent = body(request, KeptRevision)
    if verb == "earlier":
        return {"html": fragment(desk, min(max(sent.shown, _SHOWN), _MOST_SHOWN))}
    wanted = str(sent.revision)[:80]
    revision = library.named(folder, wanted) if wanted else None
    if verb == "back" and revision is not None:
        texts = msgspec.to_builtins(described(library.load(revision)))
        # Texts that are not said are left out of plain data; here they have to be taken back.
        return {
            "change": whole(texts),
            "about": "kept",
            "say": say("The setting kept on {when} is open now.", when=shown(revision.kept)),
        }
    if verb in {"pin", "unpin", "retire", "restore"}:
        done = library.decide(folder, cast("_Mark", verb), revision)
        number = "" if revision is None else str(revision.number)
        says = _done(verb, number) if done else say("Nothing changed: that was so already.")
        return {"html": fragment(desk), "say": says}
    if verb == "undo":
        found = _history(desk)
        last = found.decisions[0] if found and found.decisions else None
        if last is None or last.mark not in _TAKES_BACK:
            raise RequestError(Problem("undo", phrase("there is no decision to take back")))
        taken = None if last.revision is None else library.marked(folder, last.revision)
        library.decide(folder, _TAKES_BACK[last.mark], None if last.mark == "pin" else taken)
        return {"html": fragment(desk), "say": say("Taken back.")}
    raise RequestError(Problem("what was kept", phrase("cannot do this"), verb))


def whole(texts: dict[str, Any]) -> dict[str, Any]:
    """The plain data of a description with every text, the empty ones too.

    As a change of the letter it replaces all that was said before.
    """
    from render.desk.described import Description

    nothing = {name: getattr(Description(), name) for name in Description.__struct_fields__}
    return {**msgspec.to_builtins(nothing), **texts}
