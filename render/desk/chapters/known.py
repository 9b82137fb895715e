"""What several chapters ask: a person's band, what was noted lately, and pictures of the chapters'
own.
"""

from __future__ import annotations

import time
from functools import lru_cache
from secrets import token_hex
from typing import TYPE_CHECKING

from mapper.choosing.recommended import Band, band_for
from mapper.problems import EvenstrokeError
from profiles.library.trial_book import EntryFilter, Felt, in_library, trials_of
from render.canvas.svg import fragment

if TYPE_CHECKING:
    from mapper.trials.comfort import Trial
    from profiles.library.personal import Found
    from profiles.library.revisions import Library
    from render.canvas.scene import Scene
    from render.desk.desks import Desk

#: The kind of work that the page speaks of.
DOING = "drawing"
#: A heading is asked for at every pull; the trial book is read again after so long, or when a page
#: added to it.
_FRESH_S = 20.0
_books: dict[str, tuple[float, list[Felt], Band | None]] = {}


def _book(desk: Desk) -> tuple[list[Felt], Band | None]:
    """The entries of the library, and the person's own band for drawing where they make one."""
    library = desk.shop.library
    key = str(library.root)
    held = _books.get(key)
    if held is None or time.monotonic() - held[0] > _FRESH_S:
        try:
            entries = in_library(library)[0] if library.root.exists() else []
            # Most people keep no book; the model is asked where there is enough to ask about.
            own = _own_band(library, len(entries))
        except EvenstrokeError:
            entries, own = [], None
        held = time.monotonic(), entries, own
        _books[key] = held
    return held[1], held[2]


def _own_band(library: Library, entries: int) -> Band | None:
    if not entries:
        return None
    from mapper.trials.comfort import LEAST_WEIGHT
    from profiles.library.personal import own_band

    return own_band(library, doing=DOING) if entries >= LEAST_WEIGHT else None


def book(desk: Desk) -> list[Felt]:
    """The entries of the library, the oldest day first."""
    return _book(desk)[0]


def forget_book(desk: Desk) -> None:
    """Read the book again at the next look."""
    _books.pop(str(desk.shop.library.root), None)


def found(desk: Desk) -> Found:
    """The band that the entries for drawing make, with what is open about it."""
    return _found(tuple(trials_of(EntryFilter(doing=DOING).of(book(desk)), "scale_factor")))


@lru_cache(1)  # finding a band takes a fifth of a second
def _found(trials: tuple[Trial, ...]) -> Found:
    from mapper.trials.comfort import comfort_band
    from profiles.library.personal import Found, practice_of

    practice = practice_of(DOING, "scale_factor")
    return Found(comfort_band(trials, practice), trials, practice, DOING, "scale_factor")


def band(desk: Desk) -> tuple[Band, str | None]:
    """The band that counts here and what it is for: the person's own where the book holds enough,
    else the rule of thumb.
    """
    own = _book(desk)[1]
    return (own, None) if own is not None else (band_for("illustration"), "illustration")


def drawn(scene: Scene) -> str:
    """A picture as SVG text with its title for a name, to stand in a chapter."""
    return fragment(scene, name=f"c{token_hex(4)}", label=scene.title)
