"""Where you sit: how the display looks from the chair, and what to change first."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from flask import render_template

from mapper.choosing.advice import advise, cheapest_first
from mapper.choosing.recommended import CAUTION
from mapper.choosing.sitting import sitting_in_arc, straight_ahead
from mapper.problems import EvenstrokeError
from profiles.fields import set_to, unsaid
from render.desk.chapters import Heading
from render.desk.chapters.known import band, drawn, hand, sheet_mm
from render.desk.described import seat_of
from render.sentences.lengths import Lengths, in_unit_of
from render.sentences.say import say
from render.sentences.seat_heading import seat_heading

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


def _lengths(desk: Desk) -> Lengths:
    """Lengths in the unit in which the person said how far away the display is."""
    return in_unit_of("" if desk.last is None else desk.last.said.distance)


def heading(desk: Desk) -> Heading:
    """How wide the picture is seen, and whether anything about the seat should change."""
    seat, sitting = _sitting(desk)
    if seat is None:
        sentence: str = say("You have not said yet how far you sit from the display.")
    elif sitting is None:
        sentence = say("The size of the display is not known, so its view is not known either.")
    else:
        sentence = seat_heading(sitting, _lengths(desk))
    return Heading(sentence, say("where to sit"))


def fragment(desk: Desk) -> str:
    """The chapter's HTML: the picture of the seat, its figures, and the changes of the advice."""
    from render.pictures.seat_view import seat_scene
    from render.sentences.advice import change_words
    from render.sentences.seat import plain_seat_sentences, small_print

    solved = desk.solved
    if solved is None:
        return ""
    seat, sitting = _sitting(desk)
    limits, use = band(desk)
    advice = advise(solved, seat if sitting else None, limits, use, hand(desk))
    changes = []
    lengths = _lengths(desk)
    for change in cheapest_first(advice.changes):
        what, cost = change_words(change, lengths=lengths)
        changes.append({"what": what, "cost": cost, "change": as_change(change, lengths)})
    return render_template(
        "chapters/seat.html",
        seat=seat,
        picture="" if sitting is None else drawn(seat_scene(sitting, lengths, wide_mm=sheet_mm())),
        sentences=[] if sitting is None else plain_seat_sentences(sitting, lengths),
        small_print=[] if sitting is None else small_print(sitting, lengths),
        height_known=sitting is None or sitting.height_known,
        changes=changes,
        caution=CAUTION,
    )


#: The fields that are taken back with one that is given up.
_GIVEN_UP = {"area": ("area", "within"), "window": ("window",)}


def as_change(change: RequestChange, lengths: Lengths) -> dict[str, Any] | None:
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
            before = change.numbers["distance_before_mm"]
            texts["distance"] = lengths.typed(lengths.seat_mm(value, before))
        elif key == "top_below_eyes_mm":
            texts["drop"] = lengths.typed(value)
        elif key == "ahead":
            texts["ahead"] = value
        else:
            return None
    return texts
