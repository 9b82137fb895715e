"""The kept settings of this desk as pictures by day: one beside the present, and back again.

A setting that is not wanted any more is put away (retired, in the library's words) and can be
brought back; one can be held (pinned), so that it is taken whatever is kept later. Both are said
where their buttons stand.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal, cast

import msgspec
from flask import render_template

from mapper.phrases import phrase
from mapper.problems import AnswerIsNo, EvenstrokeError, Problem, RequestError
from profiles.library.history import History, history
from profiles.library.trial_book import SCORE_WORDS
from render.desk.bodies import KeptRevision, body
from render.desk.chapters import Heading
from render.desk.chapters.known import book, small_picture
from render.desk.compared import blanks_that_differ, differences
from render.desk.described import described
from render.sentences.proofs import day_words, proof_words
from render.sentences.say import listed, say, say_again, say_count

if TYPE_CHECKING:
    from datetime import datetime

    from flask import Request

    from profiles.library.history import HistoryRow
    from profiles.library.revisions import RevisionFile
    from render.desk.desks import Desk

_Mark = Literal["pin", "unpin", "retire", "restore"]

#: So many are shown, and so many more with each wish, up to a bound.
_SHOWN, _MOST_SHOWN = 24, 1000
#: Of each, so many of its last marks.
_MARKS_SHOWN = 2
#: A change of the letter that gets a setting back is about this and the moment it was kept.
BACK = "back"
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


def _done(verb: str, day: str) -> str:
    """What a decision came to; ``day`` is that of a setting, empty for the whole desk."""
    if verb == "pin":
        return say(
            "The setting of {day} is pinned: it stays in use whatever you keep later.", day=day
        )
    if verb == "unpin":
        return say("Unpinned: the newest setting is in use again.")
    if verb == "retire" and day:
        return say("The setting of {day} is retired. You can bring it back here.", day=day)
    if verb == "retire":
        return say("This desk is retired. You can bring it back here or on the page of all desks.")
    if day:
        return say("The setting of {day} is back.", day=day)
    return say("This desk is back in the list of desks.")


def _undo(verb: str, day: str) -> str:
    """The words of the button that takes a decision back, by what it takes back."""
    if verb == "pin":
        return say("undo: pinning the setting of {day}", day=day)
    if verb == "retire":
        if day:
            return say("undo: retiring the setting of {day}", day=day)
        return say("undo: retiring this desk")
    if day:
        return say("undo: bringing back the setting of {day}", day=day)
    return say("undo: bringing back this desk")


def _when(revision: RevisionFile, among: list[RevisionFile]) -> str:
    """The day of a setting, with as much more as tells it from the others ``among``.

    That is the time, and in the same minute the setting's number too.
    """
    day, time = day_words(revision.kept), _time(revision.kept)
    that_day = [each for each in among if day_words(each.kept) == day]
    if len(that_day) < 2:
        return day
    if sum(_time(each.kept) == time for each in that_day) < 2:
        return say("{day}, {time}", day=day, time=time)
    number = str(revision.number)
    return say("{day}, {time}, setting {number}", day=day, time=time, number=number)


def _time(moment: datetime) -> str:
    return f"{moment.astimezone():%H:%M}"


def _felt(desk: Desk, since: datetime, until: datetime | None) -> str:
    """How it felt while a setting was the newest one, in a few words; empty without a note."""
    first = since.astimezone().date().isoformat()
    last = "" if until is None else until.astimezone().date().isoformat()
    name = desk.said.name.strip()
    scores = [
        felt.score
        for felt in book(desk)
        if felt.workstation == name and felt.date >= first and (not last or felt.date < last)
    ]
    if not scores:
        return ""
    middle = sorted(scores)[len(scores) // 2]
    return say_count(
        "felt {score} ({count} note)",
        "felt {score} ({count} notes)",
        len(scores),
        score=say_again(SCORE_WORDS[middle]),
    )


def fragment(desk: Desk, most: int = _SHOWN, chosen: str = "") -> str:
    """The chapter's HTML: the newest kept settings, and ``chosen`` beside the present."""
    found = _history(desk, most)
    if found is None:
        return render_template("chapters/kept.html", found=None)
    files = [row.file for row in found.rows]
    rows: list[dict[str, Any]] = []
    # From the newest: each lasts until the one after it was kept.
    for row, later in zip(found.rows, [None, *files], strict=False):
        until = None if later is None else later.kept
        note = row.holds.revision.note if row.holds and row.holds.revision else None
        holds = None if row.holds is None else desk.session.answer(described(row.holds))
        rows.append(
            {
                "row": row,
                "day": _when(row.file, files),
                "picture": "" if holds is None else small_picture(holds),
                "note": note or (row.holds.note if row.holds else None),
                "marks": [proof_words(proof) for proof in row.proofs[-_MARKS_SHOWN:]],
                "felt": _felt(desk, row.file.kept, until),
            }
        )
    return render_template(
        "chapters/kept.html",
        found=found,
        more=min(most + _SHOWN, _MOST_SHOWN) if most < _MOST_SHOWN else 0,
        rows=[each for each in rows if not each["row"].retired],
        put_away=[each for each in rows if each["row"].retired],
        shown=most,
        chosen=_beside(desk, chosen, rows),
        since=_since(desk, found.rows),
        undo=_undo_words(desk, found, files),
    )


def _beside(desk: Desk, chosen: str, rows: list[dict[str, Any]]) -> dict[str, Any] | None:
    """The setting that a person calls ``chosen`` beside the letter's; None where there is none."""
    for each in rows:
        row = each["row"]
        if row.called == chosen and row.holds is not None:
            then = desk.session.answer(described(row.holds))
            return {
                **each,
                "now": small_picture(desk.now),
                "differences": differences(then, desk.now),
            }
    return None


def _since(desk: Desk, rows: tuple[HistoryRow, ...]) -> str:
    """What the letter changed since the newest setting, by what its blanks are about."""
    newest = next((row.holds for row in rows if row.holds), None)
    if newest is None or desk.workstation is None:
        return ""
    changed = blanks_that_differ(desk.session.answer(described(newest)), desk.now)
    return listed([each.about for each in changed]) if changed else ""


def _undo_words(desk: Desk, found: History, files: list[RevisionFile]) -> str:
    last = found.decisions[0] if found.decisions else None
    if last is None or last.mark not in _TAKES_BACK or desk.folder is None:
        return ""
    if last.revision is None:
        return _undo(last.mark, "")
    try:
        revision = desk.session.library.marked(desk.folder, last.revision)
    except EvenstrokeError:
        return ""
    return _undo(last.mark, _when(revision, files))


def _history(desk: Desk, most: int = _SHOWN) -> History | None:
    try:
        return None if desk.folder is None else history(desk.session.library, desk.folder, most)
    except (AnswerIsNo, EvenstrokeError):
        return None


def do(desk: Desk, verb: str, request: Request) -> dict[str, Any]:
    """Shows a kept setting beside the letter, takes it back, or holds it or puts it away."""
    folder, library = desk.folder, desk.session.library
    if folder is None:
        raise AnswerIsNo(Problem("this desk", phrase("must be kept first")))
    sent = body(request, KeptRevision)
    most = min(max(sent.shown, _SHOWN), _MOST_SHOWN)
    wanted = str(sent.revision)[:80]
    if verb == "earlier":
        return {"html": fragment(desk, most)}
    if verb == "beside":
        return {"html": fragment(desk, most, wanted)}
    revision = library.named(folder, wanted) if wanted else None
    day = "" if revision is None else _when(revision, library.newest_of(folder, most))
    if verb == "back" and revision is not None:
        texts = msgspec.to_builtins(described(library.load(revision)))
        # Texts that are not said are left out of plain data; here they have to be taken back.
        return {
            "change": whole(texts),
            "about": f"{BACK} {revision.kept.isoformat()}",
            "say": say("The setting kept on {day} is open now.", day=day),
        }
    if verb in {"pin", "unpin", "retire", "restore"}:
        done = library.decide(folder, cast("_Mark", verb), revision)
        says = _done(verb, day) if done else say("This was already done.")
        return {"html": fragment(desk, most, wanted), "say": says}
    if verb == "undo":
        found = _history(desk)
        last = found.decisions[0] if found and found.decisions else None
        if last is None or last.mark not in _TAKES_BACK:
            raise RequestError(Problem("undo", phrase("there is no decision to take back")))
        taken = None if last.revision is None else library.marked(folder, last.revision)
        library.decide(folder, _TAKES_BACK[last.mark], None if last.mark == "pin" else taken)
        return {"html": fragment(desk), "say": say("Undone.")}
    raise RequestError(Problem("what was kept", phrase("cannot do this"), verb))


def whole(texts: dict[str, Any]) -> dict[str, Any]:
    """The plain data of a description with every text, the empty ones too.

    As a change of the letter it replaces all that was said before.
    """
    from render.desk.described import Description

    nothing = {name: getattr(Description(), name) for name in Description.__struct_fields__}
    return {**msgspec.to_builtins(nothing), **texts}
