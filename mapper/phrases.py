"""Sentences that stay free of language: a template, and what fills its slots.

The lower floors write their errors and doubts so. A phrase reads as its English text wherever a
text is taken, and keeps the template and the slots, so that ``render.sentences`` can say it in
another language without taking an English sentence apart.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
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
        texts = {name: in_line(text) for name, text in slots.items()}
        made = super().__new__(cls, _chosen(template, counted).format_map(texts))
        made.template, made.slots, made.counted = template, slots, counted
        return made

    @property
    def chosen(self) -> str:
        """The template that its number chose."""
        return _chosen(self.template, self.counted)

    def __reduce__(self) -> tuple[type[Phrase], tuple[str, dict[str, str], Counted | None]]:
        return type(self), (self.template, self.slots, self.counted)


#: Letters that are written from right to left, and their mark: the blocks in which Unicode gives
#: letters that do not exist yet that direction (Unicode 16, DerivedBidiClass).
_LEFTWARD = (
    "\u0590-\u08ff\u200f\ufb1d-\ufdff\ufe70-\ufefc\U00010800-\U00010fff\U0001e800-\U0001efff"
)
#: What turns the direction of all that follows, and what does so until it ends (Unicode Standard
#: Annex 9).
_TURNS, _ISOLATES = "\u202a-\u202e", "\u2066-\u2069"
_BREAKS, _CONTROLS = "\t-\r\x1c-\x1e\x85\u2028\u2029", "\0-\x1f\x7f-\x9f"
_ISOLATE, _END = "\u2068", "\u2069"
_MAY_MOVE = f"[{_LEFTWARD}{_TURNS}{_ISOLATES}{_BREAKS}{_CONTROLS}]"


def in_line(text: str) -> str:
    r"""``text`` of somebody's own so that it moves nothing of the line in which it stands.

    Control characters, which a terminal would obey, are shown as replaced, and line breaks as
    blanks. Marks that turn the direction of what follows go. A text with letters written from right
    to left stands between U+2068 and U+2069, so that numbers beside it stay where they are (Unicode
    Standard Annex 9, isolates). A phrase, whose slots were filled so, and any other text stay as
    they are.

    >>> in_line("my\x1b[31m desk"), in_line("desk\u202e 2")
    ('my\ufffd[31m desk', 'desk 2')
    """
    if isinstance(text, Phrase) or not _may_move(text):
        return text
    plain = re.sub(
        f"[{_CONTROLS}]", "\N{REPLACEMENT CHARACTER}", re.sub(f"[{_BREAKS}]+", " ", text)
    )
    plain = re.sub(f"[{_TURNS}]", "", plain)
    if not _is_balanced(plain):
        plain = re.sub(f"[{_ISOLATES}]", "", plain)
    if has_leftward(_without_isolated(plain)):
        plain = f"{_ISOLATE}{plain}{_END}"
    return plain


def has_leftward(text: str) -> bool:
    """Whether ``text`` has letters that are written from right to left.

    >>> has_leftward("30 \u0645\u0645"), has_leftward("30 mm")
    (True, False)
    """
    return re.search(f"[{_LEFTWARD}]", text) is not None


def _may_move(text: str) -> bool:
    """Whether ``text`` holds anything of _MAY_MOVE.

    The pattern takes longer to compile than all texts of a command to look through, and few have a
    letter for which it is needed.
    """
    if text.isprintable() and max(text, default="") < _LEFTWARD[0]:
        return False
    return re.search(_MAY_MOVE, text) is not None


def _is_balanced(text: str) -> bool:
    """Whether each isolate of ``text`` ends in it, and none ends that did not begin."""
    depth = 0
    for found in re.findall(f"[{_ISOLATES}]", text):
        depth += -1 if found == _END else 1
        if depth < 0:
            return False
    return depth == 0


def _without_isolated(text: str) -> str:
    """``text`` without what stands between isolates."""
    depth, outside = 0, ""
    for piece in re.split(f"([{_ISOLATES}])", text):
        if re.fullmatch(f"[{_ISOLATES}]", piece):
            depth += -1 if piece == _END else 1
        elif not depth:
            outside += piece
    return outside


def renamed(text: str, names: Mapping[str, str]) -> str:
    """``text`` with other names where it holds one of ``names``; of a phrase, in its slots.

    >>> renamed("/tmp/x.csv line 3", {"/tmp/x.csv": "mine.csv"})
    'mine.csv line 3'
    """
    if isinstance(text, Phrase):
        slots = {slot: renamed(each, names) for slot, each in text.slots.items()}
        return Phrase(text.template, slots, text.counted)
    longest_first = sorted(names, key=len, reverse=True)
    found = "|".join(map(re.escape, longest_first))
    return re.sub(found, lambda match: names[match.group()], text)


def phrase(template: str, /, **slots: object) -> Phrase:
    """``template`` with its slots filled; each value becomes a text.

    A value that is no phrase is shown as ``in_line`` shows it, and kept as it is. Raises KeyError
    where a slot of the template is not given.
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
