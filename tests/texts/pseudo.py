"""A language that nobody speaks, in which every sentence stands between ⟦ and ⟧.

Its letters are no longer those of the English, but for the names of slots. What a page shows in
English, outside of the marks or in a slot, was not said through the seam.
"""

from __future__ import annotations

import re
from contextlib import contextmanager
from gettext import NullTranslations
from typing import TYPE_CHECKING
from unittest.mock import patch

from render.desk import app
from render.sentences.say import Language, speaking

if TYPE_CHECKING:
    from collections.abc import Iterator

_OPEN, _CLOSE = "⟦", "⟧"


#: Letters that stand in no slot.
_LETTERS = re.compile(r"[A-Za-z](?![^{}]*\})")


def _other(letter: re.Match[str]) -> str:
    return chr(ord(letter[0].lower()) - ord("a") + ord("\N{CYRILLIC SMALL LETTER A}"))


class _Marked(NullTranslations):
    def gettext(self, message: str) -> str:
        return f"{_OPEN}{_LETTERS.sub(_other, message)}{_CLOSE}"

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(msgid1 if n == 1 else msgid2)

    def pgettext(self, context: str, message: str) -> str:
        del context
        return self.gettext(message)


PSEUDO = Language(
    code="x-marked",
    translations=_Marked(),
    decimal_mark="·",
    months=tuple(f"⟦{number}⟧" for number in range(1, 13)),
)


@contextmanager
def marked() -> Iterator[None]:
    """Pages and all else are said in the language of marks."""
    with patch.object(app, "language", lambda _code: PSEUDO), speaking(PSEUDO):
        yield
