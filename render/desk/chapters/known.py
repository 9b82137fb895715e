"""What several chapters ask: a person's band, what was noted lately, and pictures of the chapters' own."""

from __future__ import annotations

import time
from secrets import token_hex
from typing import TYPE_CHECKING

from mapper.choosing.recommended import Band, band_for
from mapper.problems import EvenstrokeError
from profiles.library.personal import Found, found_band
from profiles.library.trial_book import Felt, in_library
from render.canvas.svg import fragment

if TYPE_CHECKING:
    from render.canvas.scene import Scene
    from render.desk.desks import Desk

#: A heading is asked for at every pull; the trial book is read again after so long, or when a page added to it.
_FRESH_S = 20.0
_books: dict[str, tuple[float, list[Felt], Found]] = {}


def book(desk: Desk) -> tuple[list[Felt], Found]:
    """The entries of the library, and the band of scale factors for drawing that they make."""
    library = desk.shop.library
    key = str(library.root)
    held = _books.get(key)
    if held is None or time.monotonic() - held[0] > _FRESH_S:
        try:
            entries = in_library(library)[0] if library.root.exists() else []
            found = found_band(library, doing="drawing")[0]
        except EvenstrokeError:
            entries, found = [], found_band(library, doing="a kind of work that nobody noted")[0]
        held = time.monotonic(), entries, found
        _books[key] = held
    return held[1], held[2]


def forget_book(desk: Desk) -> None:
    """Read the book again at the next look."""
    _books.pop(str(desk.shop.library.root), None)


def band(desk: Desk) -> tuple[Band, str | None]:
    """The band that counts here and what it is for: the person's own where the book holds enough, else the rule of thumb."""
    found = book(desk)[1]
    if found.trials and found.band.enough:
        own = Band(found.band.low, found.band.high, f"your own trials, {found.band.entries} entries")
        return own, None
    return band_for("illustration"), "illustration"


def drawn(scene: Scene) -> str:
    """A picture as SVG text with its title for a name, to stand in a chapter."""
    return fragment(scene, name=f"c{token_hex(4)}", label=scene.title)
