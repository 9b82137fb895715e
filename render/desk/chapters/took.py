"""Did it take: a thing of known size traced on the page or in a picture, the verdict, and what to
correct.

Letter and driver differ, and the page cannot know which of them is wanted. So it says both ways:
what to type, so that the driver does what the letter says; and what the letter would say, so that
it tells what the driver does.
"""

from __future__ import annotations

import json
from dataclasses import astuple, dataclass, replace
from hashlib import sha256
from typing import TYPE_CHECKING, Any

import msgspec
from flask import render_template

from mapper.affine import Affine
from mapper.mapping.entry import entry_numbers
from mapper.problems import EvenstrokeError, Problem, RequestError
from mapper.rect import Rect
from profiles.fields import set_to
from profiles.known_things import parse_thing
from profiles.shorthand import rect_text
from render.desk.chapters import Heading
from render.desk.chapters.known import drawn
from render.desk.chapters.strokes import ENDINGS, opened, sent
from render.desk.described import from_plain
from render.desk.entry import answer_parts
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
    from render.desk.entry import Number

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
    """A trace as it lies beside the draft: what was traced, how it was made, for which letter, and
    the verdict.
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
    """What a trace came to."""

    report: TraceReport
    traced: Traced


@dataclass(frozen=True, slots=True)
class Remedy:
    """One thing to do: words, numbers to type, a change of the letter, or a question to ask
    again.
    """

    says: str
    numbers: tuple[Number, ...] = ()
    change: dict[str, Any] | None = None
    about: str = "part"
    again: dict[str, float] | None = None


#: The traces last looked at, by what was asked.
_looked: dict[bytes, Looked] = {}


def _last(desk: Desk) -> tuple[Asked | None, bool]:
    """The last trace, and whether it was of the map as it is now."""
    content, now = desk.draft.get("trace-of.json"), desk.told
    if content is None or now is None:
        return None, False
    try:
        asked = msgspec.json.decode(content, type=Asked)
        then = desk.shop.answer(from_plain(asked.said)).told
    except (msgspec.DecodeError, EvenstrokeError):
        return None, False
    if then is None:
        return None, False
    return asked, (now.area_built_mm, now.screen_px) == (then.area_built_mm, then.screen_px)


def _look(desk: Desk, asked: Asked, content: bytes) -> Looked:
    """By the functions of ``evenstroke trace``."""
    from profiles.strokes.traces import TraceRequest, look

    key = sha256(
        content + msgspec.json.encode(msgspec.structs.replace(asked, agrees=False))
    ).digest()
    if key not in _looked:
        told = desk.shop.answer(from_plain(asked.said)).told
        thing = parse_thing(asked.thing, "what was traced")
        report, traced = opened(
            asked.ending,
            content,
            lambda path: look(
                TraceRequest(
                    (path,),
                    (thing,),
                    (None,),
                    meant=told,
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
    """The sentence with the answer of now."""
    asked, same = _last(desk)
    if asked is None:
        return Heading("Nobody has checked yet that the driver does this.", "trace a bank card")
    if not same:
        return Heading("It was checked before the letter changed.", "trace again")
    if asked.agrees:
        return Heading("A trace shows that the driver does this.", "checked")
    return Heading("A trace shows that the driver does something else.", "what to correct")


def fragment(desk: Desk) -> str:
    """What the chapter holds when it is open."""
    from render.pictures.trace_view import trace_scene
    from render.sentences.trace import alike_causes, cause_sentence, verdict

    asked, same = _last(desk)
    told: dict[str, Any] | None = None
    content = None if asked is None else desk.draft.get(f"trace{asked.ending}")
    if asked is not None and content is not None:
        looked = _look(desk, asked, content)
        report, finding = looked.report, looked.report.finding
        told = {
            "verdict": verdict(report),
            "picture": drawn(trace_scene(report, [looked.traced])),
            "causes": [],
        }
        if finding is not None and not finding.agrees:
            alike = alike_causes(finding)
            causes = alike if len(alike) > 1 else [finding.cause]
            told["causes"] = [
                {
                    "sentence": cause_sentence(cause, report),
                    "driver": to_driver(cause, desk, asked, looked),
                    "letter": to_letter(cause, desk, looked),
                    "trace": to_trace(cause, asked, looked),
                }
                for cause in causes
            ]
    return render_template(
        "chapters/took.html",
        told=told,
        same=same,
        things=THINGS,
        thing=asked.thing if asked else "card",
    )


def to_driver(cause: Cause, desk: Desk, asked: Asked, looked: Looked) -> list[Remedy]:
    """What to set, so that the driver does what the letter says."""
    meant, finding = looked.report.meant, looked.report.finding
    if meant is None or finding is None:
        return []
    leans = looked.report.measured.leans
    if cause.name in {"zoomed canvas", "scaled screenshot", "no area of this tablet"} or (
        cause.name == "turned" and leans
    ):
        return []
    entry = desk.shop.answer(from_plain(asked.said)).entry
    numbers = answer_parts(meant, entry)[1]
    if cause.name == "turned":
        turn = meant.request.tablet.turn_deg
        says = (
            f"Set the rotation in the tablet's settings: "
            f"{f'turned by {turn}°' if turn else 'not turned'}. Then type"
        )
        return [Remedy(says, numbers)]
    found = []
    if cause.name in _DISPLAY_SLIPS or cause.name == "part of a display mapped":
        screen, labels = meant.screen_px, " and ".join(display.label for display in meant.reached)
        place = f"{number(screen.left, 0)} from the left and {number(screen.top, 0)} from the top"
        found.append(
            Remedy(
                f"Choose {labels} in the tablet's settings: {number(screen.width, 0)} × "
                f"{number(screen.height, 0)} pixels, {place}."
            )
        )
    area = meant.area_seen_mm
    wrong = {
        name
        for name, used, wanted in (
            ("width", cause.area_width_mm, area.width),
            ("height", cause.area_height_mm, area.height),
        )
        if abs(used / wanted - 1) > 0.0025
    }
    if not wrong:
        return found
    if meant.request.tablet.turn_deg % 180:
        # The form has the tablet as it was built.
        wrong = {{"width": "height", "height": "width"}[name] for name in wrong}
    theirs = _their_map(cause, desk, asked, meant)
    if entry.numbers == "corners" or theirs is None:
        return [*found, Remedy("Type", numbers)]
    ours = [each.label for each in entry_numbers(meant, entry)]
    numbers = tuple(each for each, label in zip(numbers, ours, strict=True) if label in wrong)
    now = [number(each.value, 1) for each in entry_numbers(theirs, entry) if each.label in wrong]
    return [*found, Remedy(f"In place of about {' and '.join(now)}, type", numbers)]


def _their_map(cause: Cause, desk: Desk, asked: Asked, meant: TabletMap) -> TabletMap | None:
    change = correction(cause, meant)
    if change is None:
        return None
    try:
        return desk.shop.answer(from_plain(asked.said).with_(change)).told
    except EvenstrokeError:
        return None


def to_letter(cause: Cause, desk: Desk, looked: Looked) -> list[Remedy]:
    """What the letter would say, so that it tells what the driver does.

    Only what is possible is offered.
    """
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
        return desk.shop.answer(said.with_(change or {})).possible
    except EvenstrokeError:
        return False


def to_trace(cause: Cause, asked: Asked, looked: Looked) -> list[Remedy]:
    """What may be wrong with neither letter nor driver, but with how the trace was made."""
    if cause.name == "zoomed canvas":
        zoom = (cause.zoom_percent or 100.0) * asked.zoom_percent / 100
        words = f"The paint program said {number(zoom, 1)} %: read the trace so"
        return [Remedy(words, again={"zoom": round(zoom, 3)})]
    if cause.name == "scaled screenshot":
        ratio = (cause.zoom_percent or 100.0) / 100 * asked.pixel_ratio
        words = f"My screenshots have {number(ratio, 2)} times the screen's pixels: read it so"
        return [Remedy(words, again={"ratio": round(ratio, 4)})]
    if cause.name == "turned" and looked.report.measured.leans:
        return [
            Remedy("Reset the rotation of the canvas, lay the tablet straight, and trace again.")
        ]
    return []


def correction(cause: Cause, solved: TabletMap) -> dict[str, Any] | None:
    """The change of the letter that makes it say what the driver does; None where a setting outside
    it is wrong.
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
    """What its buttons ask for."""
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
    """Strokes drawn on the page as a file of kept strokes, so that a trace is a trace wherever it
    was made.
    """
    rows = [[[x, y, 0.5] for x, y in line.tolist()] for line in _lines(strokes)]
    return json.dumps({"evenstroke_strokes": 1, "frame": "desktop_px", "strokes": rows}).encode()


def on_page(strokes: Any, thing: KnownThing, nib_mm: float = 0.0) -> Traced:
    """A trace drawn on the page: strokes as lists of [x, y] in device px. Raises RequestError."""
    from profiles.strokes.tracing import trace_points

    return trace_points("the trace", _lines(strokes), thing.outline(nib_mm), Affine.identity())
