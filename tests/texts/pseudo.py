"""A language that nobody speaks, in which every sentence stands between ⟦ and ⟧.

What a page shows outside of them was not said through the seam.
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
_INNERMOST = re.compile(f"{_OPEN}[^{_OPEN}{_CLOSE}]*{_CLOSE}")


class _Marked(NullTranslations):
    def gettext(self, message: str) -> str:
        return f"{_OPEN}{message}{_CLOSE}"

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(msgid1 if n == 1 else msgid2)

    def pgettext(self, context: str, message: str) -> str:
        del context
        return self.gettext(message)


PSEUDO = Language(
    code="x-marked",
    translations=_Marked(),
    decimal_mark="·",
    months=tuple(f"⟦month {number}⟧" for number in range(1, 13)),
)


@contextmanager
def marked() -> Iterator[None]:
    """Pages and all else are said in the language of marks."""
    with patch.object(app, "language", lambda _code: PSEUDO), speaking(PSEUDO):
        yield


def outside(line: str) -> str:
    """What of a line stands outside of all marks."""
    while True:
        less = _INNERMOST.sub("", line)
        if less == line:
            return line
        line = less
