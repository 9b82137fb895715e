"""Sentences as HTML: their names stand apart, and what is marked in them becomes an element.

Templates say every sentence themselves, with ``say`` and ``say_count`` of ``render.sentences.say``;
what they print goes through ``html``, so that each name of a person's own stands in ``<bdi>``.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from markupsafe import Markup, escape

from mapper.phrases import Phrase, in_line
from render.sentences.entry import ToType
from render.sentences.languages import page_attributes
from render.sentences.say import (
    Name,
    Piece,
    groups,
    listed,
    say,
    say_again,
    say_count,
    sentence_gap,
)
from render.sentences.words import capital, number

if TYPE_CHECKING:
    from jinja2 import Environment


#: A number with the unit or the word behind it, and two numbers with a × between them.
_UNITS = "mm|cm|m|in|px|%|°|s|pixels?|counts?|times|minutes?|degrees?|squares?"
_HELD = re.compile(rf"(?:\d[\d.,]* × )?\d[\d.,]*[ \xa0](?:{_UNITS})(?!\w)|\d[\d.,]* × \d[\d.,]*")
_HOLDS = '<span class="held">'
_TAG = re.compile(r"(<[^>]*>)")


def html(said: object) -> object:
    """What a template prints, as HTML; what is no text stays what it is."""
    if isinstance(said, Markup) or not isinstance(said, (Name, Phrase)):
        return said
    if isinstance(said, Name):
        return Markup("<bdi>{}</bdi>").format(str(said))
    return marked(said, "", "")


def marked(said: str, opening: str, closing: str) -> Markup:
    """A sentence as HTML, each of its pieces in brackets between ``opening`` and ``closing``.

    Both are HTML of the template that calls this.
    """
    whole = Markup()
    for group in groups(said):
        # The words of a template are ours, and their isolates go over its slots.
        texts = (
            piece.text if isinstance(said, Phrase) and not piece.slot else _in_line(piece.text)
            for piece in group.pieces
        )
        text = Markup().join(escape(html(each)) for each in texts)
        before, after = (opening, closing) if group.marked else ("", "")
        whole += Markup(before) + text + Markup(after)  # noqa: S704 - written in a template of ours
    return _held_together(whole)


def _held_together(whole: Markup) -> Markup:
    """HTML in which no number parts from its unit at the end of a line, nor the sides of a size.

    What is copied from it holds no mark of that.
    """
    parts = _TAG.split(whole)
    for at in range(0, len(parts), 2):
        # What a slot holds may be held already.
        if not at or parts[at - 1] != _HOLDS:
            parts[at] = _HELD.sub(rf"{_HOLDS}\g<0></span>", parts[at])
    return Markup("".join(parts))  # noqa: S704 - of what was escaped


def _in_line(text: str) -> str:
    """A piece of a sentence so that it moves nothing of it; ``<bdi>`` does that for a name."""
    return text if isinstance(text, (Name, Markup)) else in_line(text)


def aloud(said: str) -> str:
    """The same as plain text, for what is read aloud: an attribute holds no element."""
    return in_line(str(said))


def held(said: str) -> Markup:
    """A text as HTML in which no number parts from its unit, nor the sides of a size."""
    return marked(said, "", "") if isinstance(said, Phrase) else _held_together(escape(html(said)))


def html_text(said: str) -> str:
    """A text as HTML, its names in ``<bdi>``."""
    return str(escape(html(said)))


def is_typed(piece: Piece) -> bool:
    """Whether a piece of a sentence is a number to type."""
    return isinstance(piece.text, ToType)


def teach(templates: Environment) -> None:
    """Let templates say sentences."""
    templates.finalize = html
    templates.globals.update(
        say=say,
        say_count=say_count,
        listed=listed,
        name=Name,
        sentence_gap=sentence_gap,
        page_language=lambda: Markup(page_attributes()),  # noqa: S704 - nobody else's text
    )
    templates.filters.update(
        marked=marked,
        groups=groups,
        aloud=aloud,
        held=held,
        in_line=in_line,
        again=say_again,
        capital=capital,
        number=number,
    )
    templates.tests["typed"] = is_typed
