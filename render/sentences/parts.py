"""The parts of a report before they are laid out: headings, sentences, rows and tables."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Row:
    """A figure: what it is called, its value, and a remark."""

    label: str
    value: str
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Hint:
    """A sentence, and the option of the command that does what the sentence says."""

    words: str
    option: str


@dataclass(frozen=True, slots=True)
class Table:
    """Columns, each under its head; ``labels`` name the rows below the heads."""

    labels: tuple[str, ...]
    columns: tuple[tuple[str, ...], ...]


@dataclass(slots=True)
class Part:
    """A part of a report; its sentences may hold line breaks for a terminal."""

    items: list[str | Row | Hint | Table] = field(default_factory=list)
    heading: str = ""
