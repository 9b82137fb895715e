"""What several chapters need: trial book, comfortable band, last tests, and pictures."""

from __future__ import annotations

import time
from functools import lru_cache
from secrets import token_hex
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

import msgspec
from flask import has_request_context, request

from mapper.choosing.recommended import Band, band_for
from mapper.choosing.travel import USUAL_HAND
from mapper.problems import EvenstrokeError
from profiles.library.proofs import measured_hand
from profiles.library.trial_book import EntryFilter, Felt, in_library, trials_of
from render.canvas.svg import fragment
from render.desk.described import from_plain
from render.pictures.chart import NARROWEST_MM, WIDE_MM

if TYPE_CHECKING:
    from typing import Self

    from mapper.choosing.travel import HandScatter
    from mapper.mapping.solve import TabletMap
    from mapper.trials.comfort import Trial
    from profiles.library.personal import FoundBand
    from profiles.library.revisions import Library
    from render.canvas.scene import Scene
    from render.desk.answer import Answer
    from render.desk.described import Description
    from render.desk.desks import Desk

#: The kind of work that the page speaks of.
DOING = "drawing"
#: A heading is asked for at every pull; the trial book is read again after so long, or when a page
#: added to it.
_FRESH_S = 20.0
_books: dict[str, tuple[float, list[Felt], Band | None]] = {}


def _book(desk: Desk) -> tuple[list[Felt], Band | None]:
    """The entries of the library, and the person's own band for drawing where they make one."""
    library = desk.session.library
    key = str(library.root)
    known = _books.get(key)
    if known is None or time.monotonic() - known[0] > _FRESH_S:
        try:
            entries = in_library(library)[0] if library.root.exists() else []
            # Most people keep no book; the model is asked where there is enough to ask about.
            own = _own_band(library, len(entries))
        except EvenstrokeError:
            entries, own = [], None
        known = time.monotonic(), entries, own
        _books[key] = known
    return known[1], known[2]


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
    """Makes the next call read the book again."""
    _books.pop(str(desk.session.library.root), None)


def found(desk: Desk) -> FoundBand:
    """The band that the entries for drawing make, and how sure it is."""
    return _found(tuple(trials_of(EntryFilter(doing=DOING).of(book(desk)), "scale_factor")))


@lru_cache(1)  # finding a band takes a fifth of a second
def _found(trials: tuple[Trial, ...]) -> FoundBand:
    from mapper.trials.comfort import comfort_band
    from profiles.library.personal import FoundBand, practice_of

    practice = practice_of(DOING, "scale_factor")
    return FoundBand(comfort_band(trials, practice), trials, practice, DOING, "scale_factor")


def band(desk: Desk) -> tuple[Band, str | None]:
    """The comfortable band and the kind of work that it is for.

    The person's own, for no kind, where the book holds enough entries; else the rule of thumb.
    """
    own = _book(desk)[1]
    return (own, None) if own is not None else (band_for("illustration"), "illustration")


def hand(desk: Desk) -> HandScatter:
    """The scatter of the person's hand as the last long touch test measured it, else the usual."""
    try:
        return measured_hand(desk.session.library) or USUAL_HAND
    except EvenstrokeError:
        return USUAL_HAND


class _OfLetter(Protocol):
    @property
    def said(self) -> dict[str, Any]:
        """The letter that it was of, as plain data."""


T = TypeVar("T", bound=_OfLetter)


def stored(desk: Desk, name: str, kind: type[T]) -> tuple[T, TabletMap] | None:
    """The test of ``kind`` that lies beside the draft as ``name``, and the map that it was of.

    None where there is none, or none that can be read.
    """
    content = desk.draft.get(name)
    if content is None:
        return None
    try:
        test = msgspec.json.decode(content, type=kind)
        meant = desk.session.answer(from_plain(test.said)).solved
    except (msgspec.DecodeError, EvenstrokeError):
        return None
    return None if meant is None else (test, meant)


def is_possible(desk: Desk, said: Description, change: dict[str, Any]) -> bool:
    """Whether a letter that says ``said`` can have this change."""
    try:
        return desk.session.answer(said.with_(change)).possible
    except EvenstrokeError:
        return False


class Picture(str):
    """A picture as SVG for a page of HTML, and the title that is its name."""

    __slots__ = ("heading",)

    heading: str

    def __new__(cls, svg: str, heading: str) -> Self:
        made = super().__new__(cls, svg)
        made.heading = heading
        return made


def drawn(scene: Scene) -> Picture:
    """A picture as SVG for a page of HTML, with its title as accessible name."""
    return Picture(fragment(scene, name=f"c{token_hex(4)}", label=scene.title), scene.title)


#: In a column narrower than the first a chart is drawn for its width, at so many mm of the sheet to
#: the size of the page's lettering; wider ones show the usual sheet.
_USUAL_REM, _MM_PER_REM = 56.0, 4.3
#: Sheets differ by so much, so that a window that is pulled asks for few.
_GRAIN_MM = 8.0


def sheet_mm() -> float:
    """How wide the sheets of charts are, mm, for the column that the page says it has."""
    try:
        rem = float(request.args.get("column", "")) if has_request_context() else 0.0
    except ValueError:
        return WIDE_MM
    if not 1.0 <= rem < _USUAL_REM:
        return WIDE_MM
    return max(_GRAIN_MM * (rem * _MM_PER_REM // _GRAIN_MM), NARROWEST_MM)


def small_picture(now: Answer) -> str:
    """An SVG without words: tablet, display, the area and the part of the screen in use.

    All of it to one scale; empty where there is no map.
    """
    if now.solved is None:
        return ""
    from mapper.rect import Rect
    from render.canvas.scene import Easel
    from render.pictures.panels import Demonstration
    from render.pictures.preview import describe
    from render.pictures.stage import Stage
    from render.sentences.words import map_title

    stage = Stage(Demonstration.of(now.solved, probes=("circle",)), gap_mm=6.0)
    room = Rect(1, 1, 54, 24)
    easel = Easel(56.0, 26.0)
    stage.draw(easel, stage.places(room, *stage.best(room.width, room.height)), named=False)
    return drawn(easel.scene(title=map_title(now.solved), description=describe(now.solved)))
