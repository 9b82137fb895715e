"""The one way in which a sentence for people is made: a whole template, and its named slots.

``say("Round, {times} times as large.", times=number(2.49))``. The template is the English sentence
and, in another language, the key of its translation (gettext's rules). A slot takes a number that
``words.number`` wrote, a ``Name`` that somebody gave, or a phrase that was said for that very slot;
never a tail, an "s" or a word that English grammar chose. One thing or several is ``say_count``;
a list is ``listed``. While the language is English nothing is loaded.

What was said is a ``Phrase``: it reads as its text, and still knows its template and its slots, so
that a page can show a name in ``<bdi>`` or a number as a button without taking the text apart.
Pieces of a template in brackets belong together: ``start [{left} from the left]`` (``groups``).
"""

from __future__ import annotations

import re
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING, NamedTuple

from mapper.phrases import Phrase, all_of, any_of, has_leftward

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from gettext import NullTranslations

_BRACKETS = re.compile(r"[\[\]]")
#: A slot; a template has no other braces. Not string.Formatter: start-up is a feature.
_SLOTS = re.compile(r"\{(\w+)\}")
#: A number that a lower floor wrote, which knows no language; a unit may follow.
_NUMBER = re.compile(r"[-+\N{MINUS SIGN}]?[0-9]+\.[0-9]+(?: (?:mm|cm|m|in|px|%|°))?")
#: The sides of a size in a template, with its unit.
_SIZE = re.compile(r"\{\w+\} × \{\w+\}(?: (?:mm|cm|px|in))?")
_DIGIT = re.compile("[0-9]")
_LEFT_TO_RIGHT, _END = "\N{LEFT-TO-RIGHT ISOLATE}", "\N{POP DIRECTIONAL ISOLATE}"
_FIRST_STRONG = "\N{FIRST STRONG ISOLATE}"


class Language(NamedTuple):
    """A language other than English: its sentences, and how it writes numbers and days.

    ``sentence_gap`` stands between two sentences; ``months`` are named as a day of theirs wants it.
    ``day`` and ``day_of_year`` are templates with the slots ``day``, ``month`` and ``year``.
    """

    code: str
    translations: NullTranslations
    decimal_mark: str = "."
    sentence_gap: str = " "
    day: str = "{day} {month}"
    day_of_year: str = "{day} {month} {year}"
    months: tuple[str, ...] = ()
    leftward: bool = False


#: The language in use, for each request of a page by itself; None is English.
_LANGUAGE: ContextVar[Language | None] = ContextVar("language", default=None)


class Name(str):
    """A name that somebody gave to a desk, a display or a tablet: kept apart from the sentence.

    A page shows it in ``<bdi>``, so that a name written from right to left moves nothing else.
    """

    __slots__ = ()


class Piece(NamedTuple):
    """A piece of a sentence: words of its template, or what fills the ``slot`` of that name."""

    text: str
    slot: str = ""


class Group(NamedTuple):
    """Pieces of a sentence that follow each other, and whether they stood in brackets."""

    pieces: tuple[Piece, ...]
    marked: bool

    @property
    def text(self) -> str:
        return "".join(piece.text for piece in self.pieces)


def say(template: str, /, *, context: str = "", **slots: str) -> Phrase:
    """The sentence of ``template`` in the language in use.

    ``context`` tells two uses of one English phrase apart. Raises KeyError for a slot that is not
    given.
    """
    return Phrase(_in_language(template, context), _in_line(slots))


def say_count(one: str, many: str, count: int, /, **slots: str) -> Phrase:
    """``one`` for a count of 1, else ``many``; ``{count}`` is a slot of both.

    >>> say_count("{count} day", "{count} days", 3)
    '3 days'
    """
    return Phrase(_of_number(one, many, count), _in_line({"count": str(count), **slots}))


def say_again(text: str) -> str:
    """What a lower floor said, in the language in use; a text that is no phrase stays as it is."""
    language = _LANGUAGE.get()
    if language is None:
        return text
    if not isinstance(text, Phrase):
        is_number = type(text) is str and _NUMBER.fullmatch(text)
        return text.replace(".", language.decimal_mark) if is_number else text
    slots = _in_line({name: say_again(value) for name, value in text.slots.items()})
    if text.counted is not None:
        return Phrase(_of_number(text.template, *text.counted), slots)
    return Phrase(_in_language(text.template, ""), slots)


def listed(words: Sequence[str]) -> str:
    """The words as a list of the language, in which all count.

    >>> listed(["main", "left", "right"])
    'main, left and right'
    """
    return say_again(all_of(words))


def either(words: Sequence[str]) -> str:
    """The words as a list of the language, from which one is to be chosen.

    >>> either(["main", "left", "right"])
    'main, left or right'
    """
    return say_again(any_of(words))


def row_of(words: Sequence[str]) -> str:
    """The words side by side, parted as the language parts them.

    >>> row_of(["20 mm left", "20 mm right"])
    '20 mm left, 20 mm right'
    """
    text = words[0] if words else ""
    for word in words[1:]:
        text = say("{list}, {next}", list=text, next=word)
    return text


def scraps(texts: Sequence[str]) -> str:
    """Texts side by side that are no list.

    >>> scraps(["11 % is not used", "nothing to buy"])
    '11 % is not used; nothing to buy'
    """
    text = texts[0] if texts else ""
    for each in texts[1:]:
        text = say("{text}; {next}", text=text, next=each)
    return text


def paragraph(sentences: Sequence[str]) -> str:
    """Sentences one after the other.

    >>> str(paragraph(["It is round.", "It is large."]))
    'It is round. It is large.'
    """
    if len(sentences) == 1:
        return sentences[0]
    slots = {f"sentence{index}": sentence for index, sentence in enumerate(sentences)}
    return Phrase(sentence_gap().join(f"{{{name}}}" for name in slots), slots)


def sentence_gap() -> str:
    """What stands between two sentences: a blank, and nothing in Japanese."""
    language = _LANGUAGE.get()
    return " " if language is None else language.sentence_gap


def template_said(template: str, /, context: str = "") -> str:
    """A template in the language in use, for whoever fills its slots later."""
    return _in_language(template, context)


def groups(said: str) -> list[Group]:
    """The pieces of a sentence, those together that stand in brackets: ``start [{left} wide]``.

    Brackets in what fills a slot are letters.
    """
    found: list[Group] = []
    pieces: list[Piece] = []
    marked = False
    if not isinstance(said, Phrase):
        return [Group((Piece(said),), marked=False)] if said else []
    parts = _SLOTS.split(said.chosen)
    for literal, slot in zip(parts[::2], [*parts[1::2], None], strict=True):
        first, *others = _BRACKETS.split(literal)
        pieces += [Piece(first)] if first else []
        for text in others:
            found += [Group(tuple(pieces), marked)] if pieces else []
            pieces, marked = [Piece(text)] if text else [], not marked
        if slot is not None:
            pieces.append(Piece(said.slots[slot], slot))
    return [*found, Group(tuple(pieces), marked)] if pieces else found


def unmarked(said: str) -> str:
    """A sentence as plain text, without the brackets of its template."""
    return "".join(group.text for group in groups(said))


def speak(language: Language | None) -> None:
    """Sets the language of all that this request or command says from now on; None is English."""
    _LANGUAGE.set(language)


@contextmanager
def speaking(language: Language | None) -> Iterator[None]:
    """All that the block says is said in ``language``; None is English."""
    before = _LANGUAGE.set(language)
    try:
        yield
    finally:
        _LANGUAGE.reset(before)


def spoken() -> Language | None:
    """The language in use; None is English."""
    return _LANGUAGE.get()


def runs_leftward() -> bool:
    """Whether lines of the language in use run from right to left."""
    language = _LANGUAGE.get()
    return language is not None and language.leftward


def _of_number(one: str, many: str, count: int) -> str:
    language = _LANGUAGE.get()
    if language is not None:
        return _with_sizes(language, language.translations.ngettext(one, many, count))
    return one if count == 1 else many


def _in_language(template: str, context: str) -> str:
    language = _LANGUAGE.get()
    if language is None:
        return template
    if context:
        return _with_sizes(language, language.translations.pgettext(context, template))
    return _with_sizes(language, language.translations.gettext(template))


def _with_sizes(language: Language, template: str) -> str:
    """A template in which the sides of a size stay in their order, where lines run leftward."""
    return _SIZE.sub(rf"{_LEFT_TO_RIGHT}\g<0>{_END}", template) if language.leftward else template


def _in_line(slots: dict[str, str]) -> dict[str, str]:
    """What fills slots so that numbers and sizes keep their order, where lines run leftward.

    They stand between isolates (Unicode Standard Annex 9), and so do names, by their own first
    letter; phrases bring theirs.
    """
    if not runs_leftward():
        return slots
    return {
        name: Name(f"{_FIRST_STRONG}{text}{_END}") if isinstance(text, Name) else in_order(text)
        for name, text in slots.items()
    }


def in_order(text: str) -> str:
    """A number or a size so that it keeps its order and its sign where lines run leftward."""
    is_moved = runs_leftward() and _is_figure(text)
    return f"{_LEFT_TO_RIGHT}{text}{_END}" if is_moved else text


def _is_figure(text: str) -> bool:
    """Whether a text is a number or a size, and no phrase, name or word of another script."""
    return type(text) is str and bool(_DIGIT.search(text)) and not has_leftward(text)
