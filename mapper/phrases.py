"""Sentences that stay free of language: a template, and what fills its slots.

The lower floors write their errors and doubts so. A phrase reads as its English text wherever a
text is taken, and keeps the template and the slots, so that ``render.sentences`` can say it in
another language without taking an English sentence apart.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from typing import Self


class Phrase(str):
    """An English text that keeps its template and its slots.

    ``template`` is the whole sentence with a name in braces for each slot; ``slots`` maps each name
    to its text, which may be a phrase itself.

    >>> limit = phrase("must be more than {limit}", limit="2.5")
    >>> print(limit, "|", limit.template, limit.slots)
    must be more than 2.5 | must be more than {limit} {'limit': '2.5'}
    """

    __slots__ = ("slots", "template")

    template: str
    slots: dict[str, str]

    def __new__(cls, template: str, slots: dict[str, str]) -> Self:
        made = super().__new__(cls, template.format_map(slots))
        made.template, made.slots = template, slots
        return made

    def __reduce__(self) -> tuple[type[Phrase], tuple[str, dict[str, str]]]:
        return type(self), (self.template, self.slots)


def phrase(template: str, /, **slots: object) -> Phrase:
    """``template`` with its slots filled; each value becomes a text.

    Raises KeyError where a slot of the template is not given.
    """
    texts = {name: value if isinstance(value, str) else str(value) for name, value in slots.items()}
    return Phrase(template, texts)


def template(text: str, /) -> str:
    """``text`` itself: it marks a template in a table, whose slots are filled elsewhere."""
    return text
