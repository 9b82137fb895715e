"""The language of a page: the one chosen on it, else the first that its browser wants.

The choice is remembered in a small file beside the drafts.
"""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING

from werkzeug.datastructures import LanguageAccept
from werkzeug.http import parse_accept_header

from mapper.problems import EvenstrokeError
from profiles.files import make_folder, read_bounded, write_whole
from render.sentences.languages import offered, preferred

if TYPE_CHECKING:
    from pathlib import Path

_FILE = "language"
_LARGEST_BYTES = 64


class ChosenLanguage:
    """The choice of whoever uses the drafts in ``folder``; empty while none was made."""

    def __init__(self, folder: Path) -> None:
        self._path = folder / _FILE
        self._code: str | None = None

    def of(self, accepted: str) -> str:
        """The code of the language for a request whose ``Accept-Language`` is ``accepted``."""
        if self._code is None:
            self._code = self._remembered()
        return self._code or preferred(parse_accept_header(accepted, LanguageAccept).values())

    def use(self, code: str) -> None:
        """Speak a language of ``offered`` as long as we live."""
        self._code = code

    def choose(self, code: str) -> None:
        """Remember a language of ``offered``; where nothing can be written, as long as we live."""
        self.use(code)
        with contextlib.suppress(EvenstrokeError, OSError):
            make_folder(self._path.parent)
            write_whole(self._path, f"{code}\n".encode(), force=True)

    def _remembered(self) -> str:
        with contextlib.suppress(EvenstrokeError):
            code = read_bounded(self._path, _LARGEST_BYTES, "language").decode("ascii", "replace")
            if code.strip() in offered():
                return code.strip()
        return ""
