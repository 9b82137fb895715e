"""Did it take: a thing of known size traced on the page or in a picture, the verdict, and the number to correct."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from flask import render_template

from mapper.affine import Affine
from mapper.problems import Problem, RequestError
from mapper.tracing.diagnosis import diagnose
from mapper.tracing.measure import measure
from profiles.known_things import parse_thing
from profiles.strokes.traces import TraceReport
from render.desk.chapters import Heading
from render.desk.chapters.known import drawn
from render.desk.chapters.strokes import uploaded
from render.desk.described import rect_text

if TYPE_CHECKING:
    from flask import Request

    from mapper.mapping.solve import TabletMap
    from mapper.tracing.diagnosis import Cause
    from profiles.known_things import KnownThing
    from profiles.strokes.tracing import Traced
    from render.desk.desks import Desk

#: What is offered by name; any other thing may be typed.
THINGS = ("card", "card upright", "coin 23.25mm", "disc", "a6")


@dataclass(frozen=True, slots=True)
class Looked:
    """The last trace on a desk: what was found, and for which map."""

    report: TraceReport
    traced: Traced
    told: TabletMap
    thing: str


#: As long as the server runs: a trace proves a driver now, not next month.
_looked: dict[str, Looked] = {}


def _last(desk: Desk) -> tuple[Looked | None, bool]:
    """The last trace, and whether it was of the map as it is now."""
    looked, told = _looked.get(desk.draft.id), desk.last.told if desk.last else None
    if looked is None or told is None:
        return None, False
    now, then = told, looked.told
    return looked, (now.area_built_mm, now.screen_px) == (then.area_built_mm, then.screen_px)


def heading(desk: Desk) -> Heading:
    """The sentence with the answer of now."""
    looked, same = _last(desk)
    if looked is None:
        return Heading("Nobody has checked yet that the driver does it.", "trace a bank card")
    if not same:
        return Heading("It was checked before the letter changed.", "trace again")
    finding = looked.report.finding
    if finding is not None and finding.agrees:
        return Heading("A trace says that the driver does it.", "checked")
    return Heading("A trace says that the driver does something else.", "what to correct")


def fragment(desk: Desk) -> str:
    """What the chapter holds when it is open."""
    from render.pictures.trace_view import trace_scene
    from render.reports.trace_text import cause_sentence, to_type, verdict

    looked, same = _last(desk)
    told: dict[str, Any] = {}
    if looked is not None:
        report = looked.report
        finding = report.finding
        agrees = finding is not None and finding.agrees
        told = {
            "verdict": verdict(report)
            .replace("agrees with .", "agrees with this letter.")
            .replace("with .", "with this letter."),
            "cause": "" if finding is None or agrees else cause_sentence(finding.cause, report),
            "correct": to_type(report),
            "change": None if finding is None or agrees else correction(finding.cause, looked.told),
            "picture": drawn(trace_scene(report, [looked.traced])),
        }
    return render_template(
        "chapters/took.html",
        looked=looked,
        same=same,
        told=told,
        things=THINGS,
        thing=looked.thing if looked else "card",
    )


def correction(cause: Cause, told: TabletMap) -> dict[str, Any] | None:
    """The change of the letter that makes it say what the driver does; None where a setting outside it is wrong."""
    if cause.name == "proportions not locked":
        return {"fit": "full", "area": "", "scale": "", "feel": None}
    if cause.name in {"only one display mapped", "wrong display"}:
        return {"onto": cause.display, "window": ""}
    if cause.name == "whole desktop mapped":
        return {"onto": "all", "window": ""}
    if cause.name.endswith(("differs", "differ")):
        tablet = told.request.tablet
        seen = told.area_seen_mm
        from mapper.rect import Rect

        active = tablet.active_seen_mm
        width, height = min(cause.area_width_mm, active.width), min(cause.area_height_mm, active.height)
        left = min(max(seen.left + (seen.width - width) / 2, 0.0), active.width - width)
        top = min(max(seen.top + (seen.height - height) / 2, 0.0), active.height - height)
        built = tablet.built_rect_mm(Rect(left, top, width, height))
        typed = Rect(*(round(value, 2) for value in (built.left, built.top, built.width, built.height)))
        return {"area": rect_text(typed, "mm"), "within": "", "scale": "", "feel": None}
    return None


def do(desk: Desk, verb: str, request: Request) -> dict[str, Any]:
    """What its buttons ask for."""
    told = desk.last.told if desk.last else None
    if told is None:
        raise RequestError(Problem("trace", "needs a letter that says tablet and display"))
    if verb == "trace":
        body = request.get_json(silent=True) or {}
        thing = parse_thing(str(body.get("thing", "card"))[:80], "what was traced")
        traced = on_page(body.get("strokes"), thing)
    elif verb.startswith("picture-"):
        thing = parse_thing(verb.removeprefix("picture-").replace("_", " ")[:80], "what was traced")
        traced = uploaded(request, lambda path: in_file(path, thing))
    else:
        raise RequestError(Problem("trace", "cannot do this", verb))
    measured = measure([traced.trace])
    finding = diagnose(measured, told, laid_upright=thing.upright)
    _looked[desk.draft.id] = Looked(TraceReport(measured, None, told, finding), traced, told, thing.name)
    while len(_looked) > 50:
        _looked.pop(next(iter(_looked)))
    return {"html": fragment(desk), "say": heading(desk).sentence}


def on_page(strokes: Any, thing: KnownThing, nib_mm: float = 0.0) -> Traced:
    """A trace drawn on the page: strokes as lists of [x, y] in device px. Raises RequestError."""
    import numpy as np

    from profiles.strokes.tracing import trace_points

    try:
        lines = [np.array(stroke, dtype=float) for stroke in strokes or []]
        fine = all(line.ndim == 2 and line.shape[1] == 2 and np.isfinite(line).all() for line in lines)
    except (TypeError, ValueError):
        lines, fine = [], False
    if not fine or sum(len(line) for line in lines) > 200_000:
        raise RequestError(Problem("trace", "must be lists of points"))
    return trace_points(
        "the trace", [line for line in lines if len(line) > 1], thing.outline(nib_mm), Affine.identity()
    )


def in_file(path: str, thing: KnownThing) -> Traced:
    """A trace in a picture or in kept strokes, by the functions of ``evenstroke trace``."""
    from profiles.strokes.traces import TraceRequest, look

    _, traced = look(TraceRequest(files=(path,), things=(thing,), crops=(None,)))
    return traced[0]
