"""The chapters below the letter, in the order of the job, and how one is added.

A chapter is a module in this folder, named in ``CHAPTERS``, with three functions:

``heading(desk) -> Heading``
    The sentence that is its heading, with the answer of now, and a few words beside it. It is asked
    for at every change of the letter, so it must be quick (a millisecond or two) and must not
    raise; costly work belongs in the fragment.
``fragment(desk) -> str``
    The chapter's HTML, from a template of its own (``templates/chapters/<name>.html``). It is
    fetched when the chapter is opened, and again when the letter changes while it is open.
``do(desk, verb, request) -> dict``, optional
    What its script asks for with ``POST .../chapter/<name>/<verb>``; the dict goes back as JSON.
    ``{"change": {...}}`` in it changes the letter as a blank would (one undo), ``{"html": ...}``
    replaces the chapter's fragment, ``{"say": ...}`` is spoken.

``desk`` is a ``render.desk.desks.Desk``: ``desk.said`` (the texts), ``desk.now`` and ``desk.last``
(answers), ``desk.solved`` (the map as it is entered, never None when a heading is asked),
``desk.workstation``, ``desk.folder`` (of the library, or None), ``desk.session.library``,
``desk.address`` (what its addresses begin with).

Its script, where it has one, is ``static/chapters/<script>.js`` (``plain.js`` where it holds
buttons and forms alone), an ES module that is imported when the chapter is first opened: ``export
function open(element, page)`` is called with the chapter's element after each fetch. ``page`` has
``page.ask(verb, body)`` (POST to ``do``; JSON or a Blob), ``page.change(change, about)`` (changes
the letter), ``page.say(text)``, ``page.did(text)`` (says what was done with the letter, with it in
sight), ``page.copy(number, zone)`` and ``page.address()``.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from render.desk.desks import Desk


class Heading(NamedTuple):
    """A chapter's heading: a sentence with the answer of now, and what is done in the chapter.

    ``depends`` is what else it tells of: where that changes, an open chapter is fetched again.
    """

    sentence: str
    aside: str
    depends: str = ""


#: The modules in this folder, in the order of the page, and which script brings each to life.
CHAPTERS = {
    "strokes": "strokes",
    "took": "took",
    "seat": "plain",
    "pairs": "",
    "plan": "plain",
    "felt": "plain",
    "kept": "kept",
    "study": "",
}

#: What answers to verbs alone and is in no list: the sheets that notes open.
UNLISTED = ("measure",)


def module(name: str) -> Any | None:
    """The module of a chapter, None where there is none of this name."""
    return import_module(f"render.desk.chapters.{name}") if name in {*CHAPTERS, *UNLISTED} else None


def listed(desk: Desk) -> list[tuple[str, Heading, str]]:
    """Name, heading and script of each chapter."""
    return [
        (name, import_module(f"render.desk.chapters.{name}").heading(desk), CHAPTERS[name])
        for name in CHAPTERS
    ]
