"""The proof: an object of known size is traced, and the page says what the driver really does.

Where letter and driver differ, the page cannot know which of them is wanted, so it shows both ways
out: what to type into the tablet's settings, and what to change in the letter.
"""

from __future__ import annotations

import json
from dataclasses import astuple, dataclass, replace
from hashlib import sha256
from typing import TYPE_CHECKING, Any

import msgspec
from flask import render_template

from mapper.affine import Affine
from mapper.problems import EvenstrokeError, Problem, RequestError
from mapper.rect import Rect
from profiles.fields import set_to
from profiles.known_things import parse_thing
from profiles.shorthand import rect_text
from render.desk.chapters import Heading
from render.desk.chapters.known import drawn
from render.desk.chapters.strokes import ENDINGS, opened, sent
from render.desk.described import from_plain
from render.sentences.trace import STRAIGHTEN
from render.sentences.words import number

if TYPE_CHECKING:
    from flask import Request

    from mapper.mapping.solve import TabletMap
    from mapper.tracing.diagnosis import Cause
    from profiles.known_things import KnownThing
    from profiles.strokes.traces import TraceReport
    from profiles.strokes.tracing import Traced
    from render.desk.described import Description
    from render.desk.desks import Desk

#: What is offered by name; any other thing may be typed.
THINGS = ("card", "card upright", "coin 23.25mm", "disc", "a6")
_DISPLAY_SLIPS = {
    "only one display mapped",
    "wrong display",
    "whole desktop mapped",
    "whole display mapped",
}
_MOST_POINTS = 200_000
_REMEMBERED = 16


class Asked(msgspec.Struct, frozen=True):
    """A trace as it is stored beside the draft: what was traced, how, and for which letter.

    ``said`` are the texts of the letter, ``agrees`` whether the driver did what they say.
    """

    thing: str
    ending: str
    said: dict[str, Any]
    zoom_percent: float = 100.0
    pixel_ratio: float = 1.0
    on_page: bool = False
    agrees: bool = False


@dataclass(frozen=True, slots=True)
class Looked:
    """The report of a trace, and the trace itself."""

    report: TraceReport
    traced: Traced


@dataclass(frozen=True, slots=True)
class Remedy:
    """One thing to do: change the letter, read the trace again otherwise, or what the words say."""

    words: str
    change: dict[str, Any] | None = None
    about: str = "part"
    again: dict[str, float] | None = None


#: The traces last looked at, by what was asked.
_looked: dict[bytes, Looked] = {}


def _last(desk: Desk) -> tuple[Asked | None, bool]:
    """The last trace, and whether it was of the map as it is now."""
    content, now = desk.draft.get("trace-of.json"), desk.solved
    if content is None or now is None:
        return None, False
    try:
        asked = msgspec.json.decode(content, type=Asked)
        then = desk.session.answer(from_plain(asked.said)).solved
    except (msgspec.DecodeError, EvenstrokeError):
        return None, False
    if then is None:
        return None, False
    return asked, (now.area_built_mm, now.screen_px) == (then.area_built_mm, then.screen_px)


def _look(desk: Desk, asked: Asked, content: bytes) -> Looked:
    """The report of a stored trace, by the functions of ``evenstroke trace``."""
    from profiles.strokes.traces import TraceRequest, trace_report

    key = sha256(
        content + msgspec.json.encode(msgspec.structs.replace(asked, agrees=False))
    ).digest()
    if key not in _looked:
        meant = desk.session.answer(from_plain(asked.said)).solved
        thing = parse_thing(asked.thing, "what was traced")
        report, traced = opened(
            asked.ending,
            content,
            lambda path: trace_report(
                TraceRequest(
                    (path,),
                    (thing,),
                    (None,),
                    meant=meant,
                    profile="this letter",
                    # On the page nothing is enlarged.
                    canvas_zoom_percent=asked.zoom_percent
                    if asked.on_page or asked.zoom_percent != 100
                    else None,
                    pixel_ratio=asked.pixel_ratio,
                )
            ),
        )
        finding = report.finding
        if asked.on_page and finding is not None:
            # No screenshot was made.
            also = tuple(cause for cause in finding.also if cause.name != "scaled screenshot")
            report = replace(report, finding=replace(finding, also=also))
        _looked[key] = Looked(report, traced[0])
        while len(_looked) > _REMEMBERED:
            _looked.pop(next(iter(_looked)))
    return _looked[key]


def heading(desk: Desk) -> Heading:
    """Whether the driver was shown to do what the letter says."""
    asked, same = _last(desk)
    if asked is None:
        return Heading("Nobody has checked yet that the driver does this.", "trace a bank card")
    if not same:
        return Heading("It was checked before the letter changed.", "trace again")
    if asked.agrees:
        return Heading("A trace shows that the driver does this.", "checked")
    return Heading("A trace shows that the driver does something else.", "what to correct")


def fragment(desk: Desk) -> str:
    """The chapter's HTML: the verdict, its causes with what to do, and the sheet to trace on."""
    from render.pictures.trace_view import trace_scene
    from render.sentences.trace import alike_causes, cause_sentence, driver_corrections, verdict

    asked, same = _last(desk)
    found: dict[str, Any] | None = None
    content = None if asked is None else desk.draft.get(f"trace{asked.ending}")
    if asked is not None and content is not None:
        looked = _look(desk, asked, content)
        report, finding = looked.report, looked.report.finding
        entry = desk.session.answer(from_plain(asked.said)).entry
        causes = []
        if finding is not None and not finding.agrees:
            causes = alike_causes(finding)
            causes = causes if len(causes) > 1 else [finding.cause]
        found = {
            "verdict": verdict(report),
            "picture": drawn(trace_scene(report, [looked.traced])),
            "causes": [
                {
                    "sentence": cause_sentence(cause, report),
                    "driver": driver_corrections(cause, report, entry),
                    "letter": to_letter(cause, desk, looked),
                    "trace": to_trace(cause, asked, looked),
                }
                for cause in causes
            ],
        }
    return render_template(
        "chapters/took.html",
        found=found,
        same=same,
        things=THINGS,
        thing=asked.thing if asked else "card",
    )


def to_letter(cause: Cause, desk: Desk, looked: Looked) -> list[Remedy]:
    """The changes of the letter that make it say what the driver does, those that are possible."""
    meant = looked.report.meant
    if meant is None:
        return []
    offered = []
    if cause.name == "turned" and not looked.report.measured.leans:
        for way, by in (("right", 90), ("left", 270)):
            change = {"turn": str((meant.request.tablet.turn_deg + by) % 360)}
            offered.append(
                Remedy(
                    f"The tablet lies a further quarter to the {way}", change=change, about="lying"
                )
            )
    else:
        one = correction(cause, meant)
        if one is not None:
            size = f"{number(cause.area_width_mm, 1)} × {number(cause.area_height_mm, 1)} mm"
            where = cause.name in _DISPLAY_SLIPS or cause.name == "part of a display mapped"
            words = (
                "Write in the letter what the pen reaches now"
                if where
                else f"Write {size} in the letter"
            )
            if cause.name == "proportions not locked":
                words = "Write in the letter that everything reaches everything"
            offered.append(Remedy(words, change=one, about="reach" if where else "part"))
    return [each for each in offered if _possible(desk.said, each.change, desk)]


def _possible(said: Description, change: dict[str, Any] | None, desk: Desk) -> bool:
    try:
        return desk.session.answer(said.with_(change or {})).possible
    except EvenstrokeError:
        return False


def to_trace(cause: Cause, asked: Asked, looked: Looked) -> list[Remedy]:
    """What to try where neither letter nor driver is wrong, but the trace was made otherwise."""
    if cause.name == "zoomed canvas":
        zoom = (cause.zoom_percent or 100.0) * asked.zoom_percent / 100
        words = f"The paint program said {number(zoom, 1)} %: read the trace so"
        return [Remedy(words, again={"zoom": round(zoom, 3)})]
    if cause.name == "scaled screenshot":
        ratio = (cause.zoom_percent or 100.0) / 100 * asked.pixel_ratio
        words = f"My screenshots have {number(ratio, 2)} times the screen's pixels: read it so"
        return [Remedy(words, again={"ratio": round(ratio, 4)})]
    if cause.name == "turned" and looked.report.measured.leans:
        return [Remedy(STRAIGHTEN)]
    return []


def correction(cause: Cause, solved: TabletMap) -> dict[str, Any] | None:
    """The change of the letter that makes it say what the driver does.

    None where the letter cannot say it.
    """
    plain: dict[str, dict[str, Any]] = {
        "proportions not locked": {"fit": "full"},
        "only one display mapped": {"onto": cause.display},
        "wrong display": {"onto": cause.display},
        "whole display mapped": {"window": ""},
        "whole desktop mapped": {"onto": "all"},
    }
    if cause.name in plain:
        return set_to(plain[cause.name])
    if cause.name == "part of a display mapped":
        target = Rect(*(round(value) for value in astuple(cause.target_px)))
        return set_to({"window": rect_text(target)})
    if cause.name in {"area scaled", "width differs", "height differs", "both differ"}:
        tablet = solved.request.tablet
        seen, active = solved.area_seen_mm, tablet.active_seen_mm
        width, height = (
            min(cause.area_width_mm, active.width),
            min(cause.area_height_mm, active.height),
        )
        # Where it lies one trace does not say: about the same middle.
        left = min(max(seen.left + (seen.width - width) / 2, 0.0), active.width - width)
        top = min(max(seen.top + (seen.height - height) / 2, 0.0), active.height - height)
        built = tablet.built_rect_mm(Rect(left, top, width, height))
        typed = Rect(*(round(value, 2) for value in astuple(built)))
        return set_to({"area": rect_text(typed, "mm")})
    return None


def do(desk: Desk, verb: str, request: Request) -> dict[str, Any]:
    """Reads a trace that was drawn (``trace``) or sent (``picture-...``), or the last ``again``."""
    if desk.last is None:
        raise RequestError(Problem("trace", "needs a letter that says tablet and display"))
    said = msgspec.to_builtins(desk.last.said)
    if verb == "again":
        asked, _ = _last(desk)
        content = None if asked is None else desk.draft.get(f"trace{asked.ending}")
        if asked is None or content is None:
            raise RequestError(Problem("trace", "must be traced first"))
        body = request.get_json(silent=True) or {}
        zoom, ratio = body.get("zoom", asked.zoom_percent), body.get("ratio", asked.pixel_ratio)
        if not all(
            isinstance(value, (int, float)) and 0.01 <= value <= 10_000 for value in (zoom, ratio)
        ):
            raise RequestError(
                Problem("trace", "needs an enlargement in percent, or a pixel ratio")
            )
        asked = msgspec.structs.replace(asked, zoom_percent=float(zoom), pixel_ratio=float(ratio))
    elif verb == "trace":
        body = request.get_json(silent=True) or {}
        content = _as_kept(body.get("strokes"))
        asked = Asked(str(body.get("thing", "card"))[:80], ".json", said, on_page=True)
    elif verb.startswith("picture-"):
        ending, content = sent(request)
        asked = Asked(verb.removeprefix("picture-").replace("_", " ")[:80], ending, said)
    else:
        raise RequestError(Problem("trace", "cannot do this", verb))
    finding = _look(desk, asked, content).report.finding
    asked = msgspec.structs.replace(asked, agrees=finding is not None and finding.agrees)
    for ending in set(ENDINGS.values()) - {asked.ending}:
        desk.draft.drop(f"trace{ending}")
    desk.draft.put(f"trace{asked.ending}", content)
    desk.draft.put("trace-of.json", msgspec.json.encode(asked))
    return {"html": fragment(desk), "say": heading(desk).sentence}


def _lines(strokes: Any) -> list[Any]:
    """Strokes of a page, lists of [x, y] in device px, as arrays.

    Raises RequestError for anything else.
    """
    import numpy as np

    try:
        lines = [np.array(stroke, dtype=float) for stroke in strokes or []]
        fine = all(
            line.ndim == 2 and line.shape[1] == 2 and np.isfinite(line).all() for line in lines
        )
    except (TypeError, ValueError):
        lines, fine = [], False
    if not fine or sum(len(line) for line in lines) > _MOST_POINTS:
        raise RequestError(Problem("trace", "must be lists of points"))
    return [line for line in lines if len(line) > 1]


def _as_kept(strokes: Any) -> bytes:
    """Strokes drawn on the page, as the content of a file of strokes."""
    rows = [[[x, y, 0.5] for x, y in line.tolist()] for line in _lines(strokes)]
    return json.dumps({"evenstroke_strokes": 1, "frame": "desktop_px", "strokes": rows}).encode()


def on_page(strokes: Any, thing: KnownThing, nib_mm: float = 0.0) -> Traced:
    """A trace drawn on the page, from strokes that are lists of [x, y] in device px.

    Raises RequestError for what are no strokes, or too few points for a trace.
    """
    from profiles.strokes.tracing import trace_points

    return trace_points("the trace", _lines(strokes), thing.outline(nib_mm), Affine.identity())
