"""How it felt: notes in the trial book, and the band of scale factors that they make."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

from flask import render_template

from mapper.problems import Problem, RequestError
from mapper.units import NUMBER
from profiles.library.trial_book import SCORE_WORDS, add, felt_at
from render.desk.chapters import Heading
from render.desk.chapters.known import DOING, book, drawn, forget_book, found

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
        return Heading("No note yet on how it felt.", "your band")
    days = len({felt.date for felt in here})
    good = len({felt.date for felt in here if felt.score >= _GOOD})
    if days == 1:
        return Heading(
            f"It felt {SCORE_WORDS[here[-1].score]} on the one day that was noted.", "your band"
        )
    return Heading(f"It felt good on {good} of {days} days.", "your band")


def fragment(desk: Desk) -> str:
    """The chapter's HTML: a form for a note, the last notes, and the band that they make."""
    from mapper.trials.comfort import LEAST_WEIGHT
    from render.pictures.band_chart import band_chart_scene

    trials = [
        felt for felt in book(desk) if felt.doing == DOING and felt.figures.scale_factor is not None
    ]
    # Below this no entries make a band, and the model takes a second that nobody should wait for.
    band = found(desk) if len(trials) >= LEAST_WEIGHT else None
    return render_template(
        "chapters/felt.html",
        named=bool(desk.said.name.strip()) and desk.workstation is not None,
        scores=SCORE_WORDS,
        today=dt.datetime.now().astimezone().date().isoformat(),
        entries=list(reversed(_here(desk)))[:_SHOWN],
        picture="" if band is None else drawn(band_chart_scene(band)),
        noted=len(trials),
        needed=round(LEAST_WEIGHT),
    )


def do(desk: Desk, verb: str, request: Request) -> dict[str, Any]:
    """Adds a note to the trial book (``note``)."""
    import re

    workstation = desk.workstation
    if verb != "note":
        raise RequestError(Problem("trial book", "cannot do this", verb))
    if workstation is None or not desk.said.name.strip():
        raise RequestError(
            Problem(
                "trial book", "needs a desk with a name", instead="Give it a name at the top first"
            )
        )
    body = request.get_json(silent=True) or {}
    texts = {
        key: str(body.get(key, "")).strip()
        for key in ("score", "doing", "minutes", "date", "note", "who")
    }
    if texts["score"] not in {"1", "2", "3", "4", "5"}:
        raise RequestError(Problem("score", "must be from 1 to 5"))
    if texts["minutes"] and not re.fullmatch(NUMBER, texts["minutes"]):
        raise RequestError(Problem("minutes", "must be a number", texts["minutes"]))
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
    return {"html": fragment(desk), "say": "Noted." if new else "This is in the book already."}
