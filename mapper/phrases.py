"""Sentences that stay free of language: a template, and what fills its slots.

The lower floors write their errors and doubts so. A phrase reads as its English text wherever a
text is taken, and keeps the template and the slots, so that ``render.sentences`` can say it in
another language without taking an English sentence apart.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence
    from typing import Self


class Counted(NamedTuple):
    """What a phrase counts: its template for several, and how many there are."""

    many: str
    how_many: int


class Phrase(str):
    """An English text that keeps its template and its slots.

    ``template`` is the whole sentence with a name in braces for each slot; ``slots`` maps each name
    to its text, which may be a phrase itself. ``counted`` is None for a phrase that counts nothing;
    ``template`` is that of one thing then.

    >>> limit = phrase("must be more than {limit}", limit="2.5")
    >>> print(limit, "|", limit.template, limit.slots)
    must be more than 2.5 | must be more than {limit} {'limit': '2.5'}
    """

    __slots__ = ("counted", "slots", "template")

    template: str
    slots: dict[str, str]
    counted: Counted | None

    def __new__(cls, template: str, slots: dict[str, str], counted: Counted | None = None) -> Self:
        made = super().__new__(cls, _chosen(template, counted).format_map(slots))
        made.template, made.slots, made.counted = template, slots, counted
        return made

    @property
    def chosen(self) -> str:
        """The template that its number chose."""
        return _chosen(self.template, self.counted)

    def __reduce__(self) -> tuple[type[Phrase], tuple[str, dict[str, str], Counted | None]]:
        return type(self), (self.template, self.slots, self.counted)


def phrase(template: str, /, **slots: object) -> Phrase:
    """``template`` with its slots filled; each value becomes a text.

    Raises KeyError where a slot of the template is not given.
    """
    return Phrase(template, _texts(slots))


def phrase_count(one: str, many: str, count: int, /, **slots: object) -> Phrase:
    """``one`` for a count of 1, else ``many``; ``{count}`` is a slot of both.

    >>> print(phrase_count("{count} day", "{count} days", 3))
    3 days
    """
    return Phrase(one, {"count": str(count), **_texts(slots)}, Counted(many, count))


def all_of(words: Sequence[str]) -> str:
    """The words as a list in which all count.

    >>> print(all_of(["main", "left", "right"]))
    main, left and right
    """
    return _joined(words, template("{list} and {last}"))


def any_of(words: Sequence[str]) -> str:
    """The words as a list from which one is to be chosen.

    >>> print(any_of(["mm", "cm", "in"]))
    mm, cm or in
    """
    return _joined(words, template("{list} or {last}"))


def template(text: str, /) -> str:
    """``text`` itself: it marks a template in a table, whose slots are filled elsewhere."""
    return text


def _joined(words: Sequence[str], ending: str) -> str:
    if not words:
        return ""
    text = words[0]
    if len(words) == 1:
        return text
    for word in words[1:-1]:
        text = phrase("{list}, {next}", list=text, next=word)
    return phrase(ending, list=text, last=words[-1])


def _chosen(template: str, counted: Counted | None) -> str:
    return template if counted is None or counted.how_many == 1 else counted.many


def _texts(slots: dict[str, object]) -> dict[str, str]:
    return {name: each if isinstance(each, str) else str(each) for name, each in slots.items()}
