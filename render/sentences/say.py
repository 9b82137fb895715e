"""The one way in which a sentence for people is made: a whole template, and its named slots.

``say("Round, {times} times as large.", times=number(2.49))``. The template is the English sentence
and, in another language, the key of its translation (gettext's rules). A slot takes a number that
``words.number`` wrote, a ``Name`` that somebody gave, or a phrase that was said for that very slot;
never a tail, an "s" or a word that English grammar chose. One thing or several is ``say_count``;
a list is ``listed``. While the language is English nothing is loaded.
"""

from __future__ import annotations

import re
from contextvars import ContextVar
from typing import TYPE_CHECKING, NamedTuple

from mapper.phrases import Phrase

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from gettext import NullTranslations

_BRACKETS = re.compile(r"[\[\]]")
#: The translations in use, for each request of a page by itself; None is English.
_LANGUAGE: ContextVar[NullTranslations | None] = ContextVar("language", default=None)


class Name(str):
    """A name that somebody gave to a desk, a display or a tablet: kept apart from the sentence.

    A page shows it in ``<bdi>``, so that a name written from right to left moves nothing else.
    """

    __slots__ = ()


class Group(NamedTuple):
    """A piece of a sentence: ``text``, and whether it stood in brackets."""

    text: str
    marked: bool


def say(template: str, /, *, context: str = "", **slots: str) -> str:
    """The sentence of ``template`` in the language in use.

    ``context`` tells two uses of one English phrase apart. Raises KeyError for a slot that is not
    given.
    """
    return _in_language(template, context).format_map(slots)


def say_count(one: str, many: str, count: int, /, **slots: str) -> str:
    """``one`` for a count of 1, else ``many``; ``{count}`` is a slot of both.

    >>> say_count("{count} day", "{count} days", 3)
    '3 days'
    """
    translations = _LANGUAGE.get()
    if translations is not None:
        template = translations.ngettext(one, many, count)
    else:
        template = one if count == 1 else many
    return template.format_map({"count": str(count), **slots})


def say_again(text: str) -> str:
    """What a lower floor said, in the language in use; a text that is no phrase stays as it is."""
    if not isinstance(text, Phrase) or _LANGUAGE.get() is None:
        return text
    slots = {name: say_again(value) for name, value in text.slots.items()}
    return _in_language(text.template, "").format_map(slots)


def listed(words: Sequence[str]) -> str:
    """The words as a list of the language.

    >>> listed(["main", "left", "right"])
    'main, left and right'
    """
    if len(words) < 2:
        return "".join(words)
    text = words[0]
    for word in words[1:-1]:
        text = say("{list}, {next}", list=text, next=word)
    return say("{list} and {last}", list=text, last=words[-1])


def groups(sentence: str) -> Iterator[Group]:
    """The pieces of a sentence whose marked ones stand in brackets: ``start [8.5 from the top]``."""
    marked = False
    for text in _BRACKETS.split(sentence):
        if text:
            yield Group(text, marked)
        marked = not marked


def speak(translations: NullTranslations | None) -> None:
    """Sets the language of all that this request or command says from now on; None is English."""
    _LANGUAGE.set(translations)


def _in_language(template: str, context: str) -> str:
    translations = _LANGUAGE.get()
    if translations is None:
        return template
    if context:
        return translations.pgettext(context, template)
    return translations.gettext(template)
