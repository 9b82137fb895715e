"""The parts of a report before they are laid out: headings, sentences, rows and tables."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable


class Row(NamedTuple):
    """A figure: what it is called, its value, and a remark."""

    label: str
    value: str
    remark: str = ""


class Hint(NamedTuple):
    """A sentence, and the option of the command that does what the sentence says."""

    words: str
    option: str


class Table(NamedTuple):
    """Columns, each under its head; ``labels`` name the rows below the heads."""

    labels: tuple[str, ...]
    columns: tuple[tuple[str, ...], ...]


class Part:
    """A part of a report; its sentences may hold line breaks for a terminal."""

    def __init__(self, items: Iterable[str | Row | Hint | Table] = (), heading: str = "") -> None:
        self.items = list(items)
        self.heading = heading
