"""A report as it is said, before anybody lays it out: parts with a heading, sentences, rows and
tables.
"""

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
    """A sentence with the option that does what it says, for who types commands."""

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
