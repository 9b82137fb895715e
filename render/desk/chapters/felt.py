"""How it felt: notes in the trial book, and the band of scale factors that they make."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

from flask import render_template

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.units import NUMBER
from profiles.library.trial_book import SCORE_WORDS, add, felt_at
from render.desk.bodies import FeltNote, body
from render.desk.chapters import Heading
from render.desk.chapters.known import DOING, book, drawn, forget_book, found
from render.sentences.months import desk_letters, months_of, week_days
from render.sentences.say import say, say_again
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
        sentence = say("It felt good on {good} of {days} days.", good=str(good), days=str(days))
    return Heading(sentence, say("your band"))


def _score(felt: Felt) -> str:
    return say_again(SCORE_WORDS[felt.score])


def _line(felt: Felt) -> dict[str, str]:
    """A note of the trial book, piece by piece."""
    pieces = [felt.date, _score(felt), felt.doing]
    if felt.minutes:
        pieces.append(say("{minutes} minutes", minutes=number(felt.minutes, 1)))
    if felt.figures.scale_factor:
        pieces.append(say("{times} times as large", times=number(felt.figures.scale_factor)))
    return {"facts": " \N{MIDDLE DOT} ".join(pieces), "note": felt.note or ""}


def fragment(desk: Desk) -> str:
    """The chapter's HTML: a form for a note, the last notes, and the band that they make."""
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
        today=dt.datetime.now().astimezone().date().isoformat(),
        entries=[_line(felt) for felt in reversed(_here(desk))][:_SHOWN],
        months=months_of(book(desk))[::-1],
        week_days=week_days(),
        letters=desk_letters(book(desk)),
        picture="" if band is None else drawn(band_chart_scene(band)),
        then="" if band is None or then is None else next_trial_sentence(band, then),
        noted=len(trials),
        needed=round(LEAST_WEIGHT),
    )


def do(desk: Desk, verb: str, request: Request) -> dict[str, Any]:
    """Adds a note to the trial book (``note``)."""
    import re

    workstation = desk.workstation
    if verb != "note":
        raise RequestError(Problem("trial book", phrase("cannot do this"), verb))
    if workstation is None or not desk.said.name.strip():
        raise RequestError(
            Problem(
                "trial book",
                phrase("needs a desk with a name"),
                instead=phrase("Give it a name at the top first."),
            )
        )
    sent = body(request, FeltNote)
    texts = {key: str(getattr(sent, key)).strip() for key in FeltNote.__struct_fields__}
    if texts["score"] not in {"1", "2", "3", "4", "5"}:
        raise RequestError(Problem("score", phrase("must be from 1 to 5")))
    if texts["minutes"] and not re.fullmatch(NUMBER, texts["minutes"]):
        raise RequestError(Problem("minutes", phrase("must be a number"), texts["minutes"]))
    felt = felt_at(
        workstation,
        date=texts["date"] or dt.datetime.now().astimezone().date().isoformat(),
        doing=texts["doing"] or "drawing",
        score=int(texts["score"]),
        minutes=float(texts["minutes"]) if texts["minutes"] else None,
        who=texts["who"] or None,
        note=texts["note"] or None,
    )
    new = add(desk.session.library, felt)
    forget_book(desk)
    return {"html": fragment(desk), "say": say("Noted.") if new else say("This is noted already.")}
