"""How it felt: notes in the trial book, and the band of scale factors that they make."""

from __future__ import annotations

import datetime as dt
from math import ceil
from typing import TYPE_CHECKING, Any

import msgspec
from flask import render_template

from mapper.phrases import phrase
from mapper.problems import AnswerIsNo, Problem, RequestError
from mapper.units import NUMBER
from profiles.library.trial_book import (
    SCORE_WORDS,
    add,
    felt_at,
    name_of,
    note_called,
    parse_day,
    shares_text,
    take_back,
)
from render.desk.bodies import FeltNote, NotedBefore, body
from render.desk.chapters import Heading
from render.desk.chapters.known import DOING, book, drawn, forget_book, found, sheet_mm
from render.sentences.band import work_typed, work_words
from render.sentences.months import desk_letters, months_of, week_days
from render.sentences.say import say, say_again, say_count
from render.sentences.words import number

if TYPE_CHECKING:
    from flask import Request

    from profiles.library.trial_book import Felt
    from render.desk.desks import Desk

_GOOD = 4
_SHOWN = 12


def _here(desk: Desk) -> list[Felt]:
    name = desk.said.name.strip()
    return [felt for felt in book(desk) if felt.workstation == name]


def heading(desk: Desk) -> Heading:
    """On how many days drawing at this desk felt good."""
    here = _here(desk)
    if not here:
        return Heading(say("No notes yet on how it felt."), say("your band"))
    days = len({felt.date for felt in here})
    good = len({felt.date for felt in here if felt.score >= _GOOD})
    if days == 1:
        sentence = say("On the one day that you noted it was {score}.", score=_score(here[-1]))
    else:
        sentence = say_count(
            "It felt good on {good} of {count} day.",
            "It felt good on {good} of {count} days.",
            days,
            good=str(good),
        )
    return Heading(sentence, say("your band"))


def _score(felt: Felt) -> str:
    return say_again(SCORE_WORDS[felt.score])


def _line(felt: Felt) -> dict[str, str]:
    """A note of the trial book, piece by piece."""
    pieces = [felt.date, _score(felt), work_words(felt.doing)]
    if felt.minutes:
        minutes = number(felt.minutes, 1)
        pieces.append(
            say_count("{count} minute", "{count} minutes", ceil(felt.minutes), count=minutes)
        )
    if felt.figures.scale_factor:
        pieces.append(say("{times} times as large", times=number(felt.figures.scale_factor)))
    facts = " \N{MIDDLE DOT} ".join(pieces)
    return {"facts": facts, "note": felt.note or "", "name": name_of(felt)}


def fragment(desk: Desk, edited: Felt | None = None, gone: Felt | None = None) -> str:
    """The chapter's HTML: a form for a note, the last notes, and the band that they make.

    ``edited`` is the note that the form corrects, ``gone`` the one that was just deleted.
    """
    from mapper.trials.comfort import LEAST_WEIGHT
    from mapper.trials.next_trial import next_trial
    from render.pictures.band_chart import band_chart_scene
    from render.sentences.band import next_trial_sentence

    trials = [
        felt for felt in book(desk) if felt.doing == DOING and felt.figures.scale_factor is not None
    ]
    # Below this no entries make a band.
    band = found(desk) if len(trials) >= LEAST_WEIGHT else None
    then = None if band is None else next_trial(band.band, band.practice)
    return render_template(
        "chapters/felt.html",
        named=bool(desk.said.name.strip()) and desk.workstation is not None,
        scores={score: say_again(words) for score, words in SCORE_WORDS.items()},
        form=_form(edited),
        instead="" if edited is None else name_of(edited),
        gone=None if gone is None else _line(gone),
        today=dt.datetime.now().astimezone().date().isoformat(),
        entries=[_line(felt) for felt in reversed(_here(desk))][:_SHOWN],
        months=months_of(book(desk))[::-1],
        week_days=week_days(),
        letters=desk_letters(book(desk)),
        picture="" if band is None else drawn(band_chart_scene(band, wide_mm=sheet_mm())),
        then="" if band is None or then is None else next_trial_sentence(band, then),
        noted=len(trials),
        needed=round(LEAST_WEIGHT),
    )


def _form(felt: Felt | None) -> dict[str, Any]:
    """What stands in the form: the note that is corrected, or what is usual."""
    if felt is None:
        return {"score": _GOOD, "doing": work_words(DOING), "minutes": "", "date": "", "note": ""}
    minutes = "" if felt.minutes is None else number(felt.minutes, 1)
    doing = shares_text(felt.shares) or work_words(felt.doing)
    form = {"score": felt.score, "doing": doing, "minutes": minutes}
    return {**form, "date": felt.date, "note": felt.note or ""}


def _noted_before(desk: Desk, name: object) -> Felt:
    """The note that a page calls ``name``. Raises AnswerIsNo where it is not of this desk."""
    found = note_called(desk.session.library, desk.said.name.strip(), str(name)[:80])
    if found is None:
        raise AnswerIsNo(Problem(phrase("the note"), phrase("is no longer there")))
    return found


def do(desk: Desk, verb: str, request: Request) -> dict[str, Any]:
    """Adds a note to the trial book (``note``), or corrects or deletes one and brings it back."""
    if verb in {"edit", "delete", "bring-back"}:
        return _again(desk, verb, _noted_before(desk, body(request, NotedBefore).name))
    if verb != "note":
        raise RequestError(Problem(phrase("the note"), phrase("cannot do this"), verb))
    return _note(desk, body(request, FeltNote))


def _again(desk: Desk, verb: str, felt: Felt) -> dict[str, Any]:
    """Corrects or deletes a note that was made before, or brings it back."""
    library = desk.session.library
    if verb == "edit":
        return {"html": fragment(desk, edited=felt)}
    if verb == "delete":
        take_back(library, felt)
        forget_book(desk)
        return {"html": fragment(desk, gone=felt), "say": say("The note is deleted.")}
    add(library, felt)
    forget_book(desk)
    return {"html": fragment(desk), "say": say("The note is back.")}


def _note(desk: Desk, sent: FeltNote) -> dict[str, Any]:
    """Adds a note, or puts it in the place of another."""
    import re

    library, workstation = desk.session.library, desk.workstation
    if workstation is None or not desk.said.name.strip():
        raise RequestError(
            Problem(
                phrase("this desk"),
                phrase("needs a name"),
                instead=phrase("Give it a name at the top first."),
            )
        )
    texts = {key: str(getattr(sent, key)).strip() for key in FeltNote.__struct_fields__}
    if texts["score"] not in {"1", "2", "3", "4", "5"}:
        raise RequestError(Problem(phrase("How it felt"), phrase("must be from 1 to 5")))
    if texts["minutes"] and not re.fullmatch(NUMBER, texts["minutes"]):
        raise RequestError(Problem(phrase("Minutes"), phrase("must be a number"), texts["minutes"]))
    if texts["date"]:
        parse_day(texts["date"], phrase("Day"))
    before = _noted_before(desk, sent.instead) if sent.instead else None
    felt = felt_at(
        workstation,
        date=texts["date"] or dt.datetime.now().astimezone().date().isoformat(),
        doing=work_typed(texts["doing"]),
        score=int(texts["score"]),
        minutes=float(texts["minutes"]) if texts["minutes"] else None,
        who=texts["who"] or None,
        note=texts["note"] or None,
    )
    if before is not None:
        # The figures are those of the day that it was noted of.
        felt = msgspec.structs.replace(
            felt,
            figures=before.figures,
            tablet=before.tablet,
            display=before.display,
            who=before.who,
            first_day=before.first_day,
        )
    new = add(library, felt)
    if before is not None and new:
        take_back(library, before)
    forget_book(desk)
    if before is not None:
        return {"html": fragment(desk), "say": say("Corrected.")}
    return {"html": fragment(desk), "say": say("Noted.") if new else say("This is already noted.")}
