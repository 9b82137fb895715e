"""What pages may send, as types: every body of a request is read here, and nowhere else.

A body that is no JSON, or JSON of other types, is refused in words before anything is done with it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, TypeVar

import msgspec
from msgspec import Meta, Struct

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError

if TYPE_CHECKING:
    from flask import Request

T = TypeVar("T")

#: A short text: a form may send a number for it.
Text = Annotated[str, Meta(max_length=4000)] | int | float
Place = Annotated[str, Meta(max_length=4096)]
#: No desktop reaches farther, in px.
_Coordinate = Annotated[float, Meta(ge=-1e6, le=1e6)]
#: Strokes of a page: lists of [x, y] in device px.
Strokes = list[list[tuple[_Coordinate, _Coordinate]]]
_Px = Annotated[float, Meta(ge=10, le=20_000)]


class Wish(Struct, frozen=True):
    """Which page a start of the program asks for: a desk, or a pad for several.

    ``language`` is the code of the one that was typed; empty where none was.
    """

    desk: Place = ""
    pad: Annotated[list[Place], Meta(max_length=64)] = []
    now: Place = ""
    folder: Place = ""
    language: Place = ""


class NewDesk(Struct, frozen=True):
    """A new desk: ``display`` are the pixels of the browser's screen."""

    display: str = ""


class PullAsked(Struct, frozen=True):
    """A pull of a handle (render.desk.pulls)."""

    what: str
    x: Annotated[float, Meta(gt=-1e6, lt=1e6)] = 0.0
    y: Annotated[float, Meta(gt=-1e6, lt=1e6)] = 0.0


class Asked(Struct, frozen=True):
    """A change of a desk, or a look at one.

    ``change`` are texts of the description, ``about`` the blank, and ``room`` the CSS px for the
    picture: width, height, and the size of the page's lettering. ``dropped`` is the index of a
    display that was let go on the plan.
    """

    change: dict[str, Any] | None = None
    pull: PullAsked | None = None
    commit: bool = False
    about: str = ""
    dropped: int | None = None
    room: tuple[_Px, _Px, _Px] = (860.0, 420.0, 16.0)


class Taking(Struct, frozen=True):
    """What to go on from: ``elsewhere``, or what was kept or stands in the file."""

    what: str = ""


class TypedIn(Struct, frozen=True):
    """Whether the numbers were typed in, or with ``undo`` were not after all."""

    undo: bool = False


class Paper(Struct, frozen=True):
    """The paper of a sheet, and the hand that draws."""

    paper: str = ""
    hand: str = "right"


class ThisComputers(Struct, frozen=True):
    """Which desk is this computer's, by its name."""

    desk: Place = ""


class FeltNote(Struct, frozen=True):
    """A note for the trial book, as its form sends it."""

    score: Text = ""
    doing: Text = ""
    minutes: Text = ""
    date: Text = ""
    note: Text = ""
    who: Text = ""
    instead: Text = ""


class NotedBefore(Struct, frozen=True):
    """A note of the trial book, by its name."""

    name: Text = ""


class PlanSent(Struct, frozen=True):
    """What a plan of trials is asked for, as its form sends it: texts, several a line each."""

    tablets: Text = ""
    displays: Text = ""
    most: Text = "4"
    days_each: Text = "3"
    blocks: Text = "1"
    start: Text = ""
    off: Text = ""
    only: Text = ""
    stay: Text = ""
    weekends_off: Text = ""
    resume: Text = ""


class KeptRevision(Struct, frozen=True):
    """A revision as a person calls it, or how many to show."""

    revision: Text = ""
    shown: int = 0


class CardMeasured(Struct, frozen=True):
    """What was measured with a card: ``pulls`` on the display, or ``traces`` of the tablet."""

    thing: Text = "card"
    screen: tuple[_Coordinate, _Coordinate] = (0.0, 0.0)
    pulls: list[tuple[_Coordinate, _Coordinate]] | None = None
    traces: list[Strokes] | None = None


class TraceSent(Struct, frozen=True):
    """A trace that was drawn on the page, or how to read the last one again."""

    thing: Text | None = None
    strokes: Strokes | None = None
    zoom: float | None = None
    ratio: float | None = None


#: Where a pen touched, CSS px: on the screen, x and y, and in the window.
PenPlace = tuple[_Coordinate, _Coordinate, _Coordinate, _Coordinate]
_Length = Annotated[float, Meta(gt=0, le=1e6)]


class PageFrame(Struct, frozen=True):
    """How the page lies on its screen.

    ``ratio`` are device px in one CSS px, ``inner`` the size of the window's inside, CSS px,
    ``screen`` the pixels of the screen; ``full`` says that the page fills it, ``zoomed`` and
    ``pinched`` that it is shown in another size.
    """

    ratio: Annotated[float, Meta(ge=0.1, le=20)] = 1.0
    inner: tuple[_Length, _Length] = (1.0, 1.0)
    screen: tuple[_Length, _Length] = (1.0, 1.0)
    full: bool = False
    zoomed: bool = False
    pinched: bool = False


class TouchesSent(Struct, frozen=True):
    """A touch test: the sheet, the page and its display, and the touches so far.

    ``dots`` are the places of one's own dots, mm as the tablet is seen; ``across`` and ``down`` how
    large squared paper is used for a tablet of unknown size. ``mouse`` says that the browser called
    the pen a mouse, ``more`` that these come after the last ones.
    """

    sheet: Annotated[str, Meta(max_length=20)] = "printed"
    anywhere: bool = False
    dots: Annotated[list[tuple[Text, Text]], Meta(max_length=18)] = []
    across: Text = ""
    down: Text = ""
    display: Annotated[str, Meta(max_length=200)] = ""
    frame: PageFrame = PageFrame()
    touches: Annotated[list[PenPlace], Meta(max_length=36)] = []
    mouse: bool = False
    more: bool = False
    paper: Annotated[str, Meta(max_length=10)] = ""


def sent_name(request: Request) -> str:
    """The name of the file that is sent, as its sender calls it; empty where it was not said."""
    return request.args.get("name", "")[:200]


def body(request: Request, kind: type[T]) -> T:
    """The body of ``request`` as a ``kind``; nothing sent is a body without fields.

    Raises RequestError for anything else.
    """
    try:
        return msgspec.json.decode(request.get_data() or b"{}", type=kind)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
        must = phrase("must send something that Evenstroke can read")
        instead = phrase("Load the page again")
        raise RequestError(Problem(phrase("the page"), must, instead=instead)) from None
