"""Where the page runs: what it may take for granted there, asked of one object.

A served page has a server on this computer, with a key, signs of life and other windows; the page
that runs from one file has the same program in its own process, and the browser's storage. Scripts
know of addresses in ``static/place.js`` alone.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from importlib.util import find_spec
from typing import TYPE_CHECKING, Protocol

from mapper.phrases import template
from render.sentences.say import say

if TYPE_CHECKING:
    from collections.abc import Mapping

    from werkzeug.datastructures import Headers


class Place(Protocol):
    """What the pages ask of where they run."""

    @property
    def path(self) -> str:
        """What every address begins with; no ``/`` at its end."""

    @property
    def served(self) -> bool:
        """Whether a server waits for signs of life, and pages may have windows of their own."""

    @property
    def no_answer(self) -> str:
        """The template that says what to do where no answer comes any more."""

    def owns(self, path: str) -> bool:
        """Whether a request's path begins with ours."""

    def refusal(self, method: str, headers: Headers, *, going_on: bool = False) -> str:
        """Why a request is refused before anything is looked at; empty where it is not."""

    def knows(self, cookies: Mapping[str, str]) -> bool:
        """Whether a browser with these ``cookies`` was let in."""

    def asset(self, name: str) -> str:
        """The address of a style, a script or a picture of the page."""


@dataclass(frozen=True, slots=True)
class OneFile:
    """The page from one file: the program is in the page, so whoever sees it was let in.

    ``assets`` are the addresses that its browser gave to styles and scripts, by their names.
    """

    assets: Mapping[str, str] = field(default_factory=dict)
    path: str = "/e"
    served: bool = False

    @property
    def no_answer(self) -> str:
        return template("The page does not answer. Your description is saved. Load the page again.")

    def owns(self, path: str) -> bool:
        return path.startswith(f"{self.path}/")

    def refusal(self, method: str, headers: Headers, *, going_on: bool = False) -> str:  # noqa: ARG002 - nobody else can ask
        return ""

    def knows(self, cookies: Mapping[str, str]) -> bool:  # noqa: ARG002 - likewise
        return True

    def asset(self, name: str) -> str:
        return self.assets.get(name, "data:,")


#: What reads traces and drawings; a browser's Python may have none of it.
_READERS = ("numpy", "PIL", "svgelements")


def reads_traces() -> bool:
    """Whether traces and drawings can be read here."""
    return all(find_spec(name) for name in _READERS)


def who_reads_traces() -> str:
    """What to do with traces and drawings where they cannot be read."""
    return say(
        "This page does not read traces and pictures; the installed program does, with: evenstroke "
        "trace"
    )
