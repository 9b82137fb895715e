"""Where you sit: how the display looks from the chair, and what to change first."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from flask import render_template

from mapper.choosing.advice import advise
from mapper.choosing.recommended import CAUTION
from mapper.choosing.sitting import sitting_in_arc, straight_ahead
from mapper.problems import EvenstrokeError
from profiles.fields import set_to, unsaid
from render.desk.chapters import Heading
from render.desk.chapters.known import band, drawn, hand
from render.desk.described import seat_of
from render.sentences.say import say
from render.sentences.seat_heading import seat_heading
from render.sentences.words import number

if TYPE_CHECKING:
    from mapper.choosing.remedies import RequestChange
    from mapper.choosing.sitting import Sitting
    from mapper.seat import Seat
    from render.desk.desks import Desk


def _sitting(desk: Desk) -> tuple[Seat | None, Sitting | None]:
    last = desk.last
    if last is None or last.solved is None:
        return None, None
    try:
        seat = seat_of(last.said)
        desktop = last.solved.request.desktop
        sitting = (
            None
            if seat is None
            else sitting_in_arc(
                desktop.displays,
                seat,
                desktop.primary,
                ahead=straight_ahead(seat, desktop.displays, desktop.primary),
            )
        )
    except EvenstrokeError:
        return None, None
    return seat, sitting


def heading(desk: Desk) -> Heading:
    """How wide the picture is seen, and whether anything about the seat should change."""
    seat, sitting = _sitting(desk)
    if seat is None:
        sentence: str = say("You have not said yet how far you sit from the display.")
    elif sitting is None:
        sentence = say("The size of the display is not known, so its view is not known either.")
    else:
        sentence = seat_heading(sitting)
    return Heading(sentence, say("where to sit"))


def fragment(desk: Desk) -> str:
    """The chapter's HTML: the picture of the seat, its figures, and the changes of the advice."""
    from render.pictures.seat_view import seat_scene
    from render.sentences.advice import change_words
    from render.sentences.seat import seat_sentences

    solved = desk.solved
    if solved is None:
        return ""
    seat, sitting = _sitting(desk)
    limits, use = band(desk)
    advice = advise(solved, seat if sitting else None, limits, use, hand(desk))
    changes = []
    for change in advice.changes:
        what, cost = change_words(change)
        changes.append({"what": what, "cost": cost, "change": as_change(change)})
    return render_template(
        "chapters/seat.html",
        seat=seat,
        picture="" if sitting is None else drawn(seat_scene(sitting)),
        sentences=[] if sitting is None else seat_sentences(sitting)[1:],
        changes=changes,
        caution=CAUTION,
    )


#: The fields that are taken back with one that is given up.
_GIVEN_UP = {"area": ("area", "within"), "window": ("window",)}


def as_change(change: RequestChange) -> dict[str, Any] | None:
    """The change of the letter that makes a change of the advice.

    None for one that the letter cannot say: another zoom, or something to buy.
    """
    asks = change.asks
    texts: dict[str, Any] = {}
    for key, value in asks.items():
        if key == "fit":
            texts |= set_to({"fit": value})
        elif key in _GIVEN_UP:
            texts |= unsaid(*_GIVEN_UP[key])
        elif key == "scale":
            scale = "" if value is None else f"{value:.10g}"
            texts |= {**unsaid("feel"), **set_to({"scale": scale})}
        elif key == "onto":
            texts["onto"] = "+".join(value)
        elif key == "turn_deg":
            texts["turn"] = str(value)
        elif key == "distance_mm":
            texts["distance"] = f"{number(value / 10, 1)}cm"
        elif key == "top_below_eyes_mm":
            texts["drop"] = f"{number(value, 0)}mm"
        elif key == "ahead":
            texts["ahead"] = value
        else:
            return None
    return texts
