"""The study of all days of trying, by the functions of ``evenstroke study``."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

from flask import render_template

from mapper.phrases import phrase
from mapper.problems import AnswerIsNo, Problem
from render.desk.chapters import Heading
from render.desk.chapters.known import book, drawn
from render.sentences.say import say

if TYPE_CHECKING:
    from profiles.library.tried import Study
    from render.desk.desks import Desk

#: The study last made, and of which entries: making one takes seconds.
_made: dict[tuple[Any, ...], Study] = {}


def heading(desk: Desk) -> Heading:
    """How many desks were tried, and on how many days."""
    entries = book(desk)
    if not entries:
        return Heading(say("No trial day is noted yet."), say("your study"))
    desks = len({felt.workstation for felt in entries})
    days = len({felt.date for felt in entries})
    sentence = say(
        "Desks that you have tried: {desks}. Days: {days}.", desks=str(desks), days=str(days)
    )
    return Heading(sentence, say("your study"))


def _study(desk: Desk) -> Study | None:
    from profiles.library.tried import study_of

    entries = book(desk)
    if not entries:
        return None
    key = tuple(
        (felt.date, felt.workstation, felt.doing, felt.who, felt.score, felt.minutes)
        for felt in entries
    )
    if key not in _made:
        found = study_of(entries)
        _made.clear()
        _made[key] = found
    return _made[key]


def fragment(desk: Desk) -> str:
    """The chapter's HTML: the sections of the study, with their pictures."""
    from render.pages.study_pages import scene_of
    from render.sentences.study import study_sections

    study = _study(desk)
    sections = []
    for section in [] if study is None else study_sections(study):
        scene = None if study is None else scene_of(study, section, heading=False)
        sections.append({"section": section, "picture": "" if scene is None else drawn(scene)})
    return render_template("chapters/study.html", desk=desk, sections=sections)


def page(desk: Desk) -> bytes:
    """The study as a page of its own, to keep or to send.

    Raises AnswerIsNo where no day is noted.
    """
    from render.pages.study_pages import write_study

    study = _study(desk)
    if study is None:
        raise AnswerIsNo(Problem("study", phrase("must have an entry")))
    with tempfile.TemporaryDirectory(prefix="evenstroke-") as folder:
        out = Path(folder) / "study.html"
        write_study(study, str(out))
        return out.read_bytes()
