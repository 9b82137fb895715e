"""Sentences as HTML: their names stand apart, and what is marked in them becomes an element.

Templates say every sentence themselves, with ``say`` and ``say_count`` of ``render.sentences.say``;
what they print goes through ``html``, so that each name of a person's own stands in ``<bdi>``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from markupsafe import Markup, escape

from mapper.phrases import Phrase, in_line
from render.sentences.entry import ToType
from render.sentences.say import Name, Piece, groups, listed, say, say_again, say_count
from render.sentences.words import capital, number

if TYPE_CHECKING:
    from jinja2 import Environment


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
        text = Markup().join(escape(html(_in_line(piece.text))) for piece in group.pieces)
        before, after = (opening, closing) if group.marked else ("", "")
        whole += Markup(before) + text + Markup(after)  # noqa: S704 - written in a template of ours
    return whole


def _in_line(text: str) -> str:
    """A piece of a sentence so that it moves nothing of it; ``<bdi>`` does that for a name."""
    return text if isinstance(text, Name) else in_line(text)


def aloud(said: str) -> str:
    """The same as plain text, for what is read aloud: an attribute holds no element."""
    return in_line(str(said))


def unbroken(said: str) -> Markup:
    """A sentence as HTML in which no percent sign parts from its number."""
    return escape(html(said)).replace(" %", "\N{NO-BREAK SPACE}%")


def is_typed(piece: Piece) -> bool:
    """Whether a piece of a sentence is a number to type."""
    return isinstance(piece.text, ToType)


def teach(templates: Environment) -> None:
    """Let templates say sentences."""
    templates.finalize = html
    templates.globals.update(say=say, say_count=say_count, listed=listed, name=Name)
    templates.filters.update(
        marked=marked,
        groups=groups,
        aloud=aloud,
        in_line=in_line,
        unbroken=unbroken,
        again=say_again,
        capital=capital,
        number=number,
    )
    templates.tests["typed"] = is_typed
