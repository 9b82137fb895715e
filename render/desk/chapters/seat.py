"""Where you sit: how the display looks from the chair, what is good, what to change first, and the
cautions.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from flask import render_template

from mapper.choosing.advice import advise
from mapper.choosing.recommended import CAUTION
from mapper.choosing.sitting import seat_findings, sit
from mapper.problems import EvenstrokeError
from profiles.fields import set_to, unsaid
from render.desk.chapters import Heading
from render.desk.chapters.known import band, drawn
from render.desk.described import seat_of
from render.sentences.words import number

if TYPE_CHECKING:
    from mapper.choosing.remedies import RequestChange
    from mapper.choosing.sitting import Sitting
    from mapper.seat import Seat
    from render.desk.desks import Desk


def _sitting(desk: Desk) -> tuple[Seat | None, Sitting | None]:
    last = desk.last
    if last is None or last.told is None:
        return None, None
    try:
        seat = seat_of(last.said)
        desktop = last.told.request.desktop
        sitting = (
            None
            if seat is None
            else sit(desktop.displays, seat, desktop.primary, ahead=desktop.primary.label)
        )
    except EvenstrokeError:
        return None, None
    return seat, sitting


def heading(desk: Desk) -> Heading:
    """The sentence with the answer of now."""
    seat, sitting = _sitting(desk)
    if seat is None:
        return Heading("You have not said yet how far you sit from the display.", "where to sit")
    if sitting is None:
        return Heading(
            "How large the picture looks is unknown: the display's size is missing.", "where to sit"
        )
    fills = (
        f"At {number(seat.distance_mm / 10, 0)} cm the picture fills "
        f"{number(sitting.view.horizontal_deg, 0)}° of your view"
    )
    outside = [
        finding
        for finding in seat_findings(sitting)
        if finding.side != "inside" and finding.key != "eyes"
    ]
    return Heading(
        f"{fills}: {'comfortable for most' if not outside else 'there is something to change'}.",
        "where to sit",
    )


def fragment(desk: Desk) -> str:
    """What the chapter holds when it is open."""
    from render.pictures.seat_view import seat_scene
    from render.sentences.advice import change_words
    from render.sentences.seat import seat_sentences

    told = desk.told
    if told is None:
        return ""
    seat, sitting = _sitting(desk)
    limits, use = band(desk)
    advice = advise(told, seat if sitting else None, limits, use)
    changes = []
    for change in advice.changes:
        what, cost = change_words(change)
        changes.append(
            {"what": page_words(change) or what, "cost": cost, "change": as_change(change)}
        )
    return render_template(
        "chapters/seat.html",
        seat=seat,
        picture="" if sitting is None else drawn(seat_scene(sitting)),
        sentences=[] if sitting is None else seat_sentences(sitting)[1:],
        changes=changes,
        caution=CAUTION,
    )


def page_words(change: RequestChange) -> str:
    """What to do in the letter's words, where the command says it in its options; else empty."""
    asks, numbers = change.asks, change.numbers
    if as_change(change) is None or not asks.keys() & {
        "fit",
        "area",
        "window",
        "scale",
        "onto",
        "turn_deg",
    }:
        return ""
    steps = []
    if "onto" in asks:
        steps.append(f"the pen reaches {asks['onto'][0]} alone")
    if "turn_deg" in asks:
        steps.append(f"the tablet lies {'upright' if asks['turn_deg'] % 180 else 'across'}")
    if asks.get("fit") == "locked":
        steps.append("shapes stay true and a strip of the tablet stays unused")
    if asks.get("fit") == "cropped":
        size = (
            f"{number(numbers['window_width_px'], 0)} x {number(numbers['window_height_px'], 0)} "
            f"pixels"
        )
        steps.append(f"the pen reaches {size} of the display alone")
    if "scale_after" in numbers:
        steps.append(f"things come out {number(numbers['scale_after'])} times as large")
    return f"Make it so: {', '.join(steps)}."


def as_change(change: RequestChange) -> dict[str, Any] | None:
    """What the letter would say after a change; None for one that the letter cannot say: of a zoom,
    or to buy.
    """
    asks = change.asks
    said: dict[str, Any] = {}
    for key, value in asks.items():
        if key == "fit":
            said |= set_to({"fit": value})
        elif key == "area":
            said |= unsaid("area", "within")
        elif key == "window":
            said |= unsaid("window")
        elif key == "scale":
            scale = "" if value is None else f"{value:.10g}"
            said |= {**unsaid("feel"), **set_to({"scale": scale})}
        elif key == "onto":
            said["onto"] = "+".join(value)
        elif key == "turn_deg":
            said["turn"] = str(value)
        elif key == "distance_mm":
            said["distance"] = f"{number(value / 10, 1)}cm"
        elif key == "top_below_eyes_mm":
            said["drop"] = f"{number(value, 0)}mm"
        else:
            return None
    return said
