"""The kept settings of this desk: what changed, taking one back, pinning and retiring."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, Literal, cast

import msgspec
from flask import render_template

from mapper.problems import AnswerIsNo, EvenstrokeError, Problem, RequestError
from profiles.library.history import History, history
from profiles.times import shown
from render.desk.chapters import Heading
from render.desk.described import described

if TYPE_CHECKING:
    from flask import Request

    from render.desk.desks import Desk

_Mark = Literal["pin", "unpin", "retire", "restore"]

_SHOWN = 30
_NUMBERS = (
    "No",
    "One",
    "Two",
    "Three",
    "Four",
    "Five",
    "Six",
    "Seven",
    "Eight",
    "Nine",
    "Ten",
    "Eleven",
    "Twelve",
)
_TAKES_BACK: dict[str, _Mark] = {"pin": "unpin", "retire": "restore", "restore": "retire"}
_DID: dict[str, str] = {
    "pin": "pinned",
    "unpin": "released",
    "retire": "retired",
    "restore": "brought back",
}


def heading(desk: Desk) -> Heading:
    """How many settings of this desk are kept."""
    folder = desk.folder
    try:
        count = 0 if folder is None else len(desk.session.library.revisions(folder))
    except EvenstrokeError:
        count = 0
    if not count:
        return Heading("This desk is not kept yet.", "keep")
    if count == 1:
        return Heading("One setting of this desk is kept.", "what changed")
    earlier = count - 1
    words = _NUMBERS[earlier] if earlier < len(_NUMBERS) else str(earlier)
    return Heading(
        f"{words} earlier {'setting is' if earlier == 1 else 'settings are'} kept.", "what changed"
    )


def fragment(desk: Desk) -> str:
    """The chapter's HTML: the kept settings, each with what changed since the one before."""
    from render.sentences.changes import changes_sentence, setting_sentence

    found = _history(desk)
    rows, since = [], ""
    if found is not None:
        for row in found.rows:
            words = "cannot be read"
            if row.holds is not None:
                words = (
                    setting_sentence(row.holds)
                    if row.before is None
                    else changes_sentence(row.before, row.holds)
                )
            note = row.holds.revision.note if row.holds and row.holds.revision else None
            rows.append({"row": row, "words": words, "note": note, "kept": shown(row.file.kept)})
        newest = next((row.holds for row in found.rows if row.holds), None)
        now = desk.workstation
        if newest is not None and now is not None:
            # A profile that says nothing of the driver's form is filled in here as usual; that is
            # no change.
            alike = replace(now, entry=None) if newest.entry is None else now
            since = changes_sentence(newest, alike)
    return render_template(
        "chapters/kept.html",
        found=found,
        rows=rows,
        since=since,
        decision=None if found is None or not found.decisions else found.decisions[0],
        did=_DID,
    )


def _history(desk: Desk) -> History | None:
    try:
        return None if desk.folder is None else history(desk.session.library, desk.folder, _SHOWN)
    except (AnswerIsNo, EvenstrokeError):
        return None


def do(desk: Desk, verb: str, request: Request) -> dict[str, Any]:
    """Takes a kept setting into the letter, or pins, unpins, retires or restores one."""
    folder, library = desk.folder, desk.session.library
    if folder is None:
        raise AnswerIsNo(Problem("this desk", "must be kept first", "no revision"))
    wanted = str((request.get_json(silent=True) or {}).get("revision", ""))[:80]
    revision = library.named(folder, wanted) if wanted else None
    if verb == "back" and revision is not None:
        texts = msgspec.to_builtins(described(library.load(revision)))
        # Texts that are not said are left out of plain data; here they have to be taken back.
        return {
            "change": whole(texts),
            "about": "kept",
            "say": f"The letter says what revision {revision.number} said.",
        }
    if verb in _DID:
        done = library.decide(folder, cast("_Mark", verb), revision)
        what = "The desk" if revision is None else f"Revision {revision.number}"
        return {
            "html": fragment(desk),
            "say": f"{what} is {_DID[verb]}." if done else f"{what} was {_DID[verb]} already.",
        }
    if verb == "undo":
        found = _history(desk)
        last = found.decisions[0] if found and found.decisions else None
        if last is None or last.mark not in _TAKES_BACK:
            raise RequestError(Problem("undo", "there is no decision to take back"))
        taken = None if last.revision is None else library.marked(folder, last.revision)
        library.decide(folder, _TAKES_BACK[last.mark], None if last.mark == "pin" else taken)
        return {"html": fragment(desk), "say": "Taken back."}
    raise RequestError(Problem("what was kept", "cannot do this", verb))


def whole(texts: dict[str, Any]) -> dict[str, Any]:
    """The plain data of a description with every text, the empty ones too.

    As a change of the letter it replaces all that was said before.
    """
    from render.desk.described import Description

    nothing = {name: getattr(Description(), name) for name in Description.__struct_fields__}
    return {**msgspec.to_builtins(nothing), **texts}
