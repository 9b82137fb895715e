"""The proof: an object of known size is traced, and the page says what the driver really does.

Where letter and driver differ, the page cannot know which of them is wanted, so it shows both ways
out: what to type into the tablet's settings, and what to change in the letter.
"""

from __future__ import annotations

import json
import re
from dataclasses import astuple, dataclass, replace
from hashlib import sha256
from typing import TYPE_CHECKING, Any

import msgspec
from flask import render_template

from mapper.affine import Affine
from mapper.phrases import Phrase, phrase
from mapper.problems import Problem, RequestError
from mapper.rect import Rect
from profiles.fields import set_to
from profiles.known_things import parse_thing
from profiles.library.proofs import SettingPart, note_trace
from profiles.pixels import parse_crop
from profiles.shorthand import rect_text
from render.desk.bodies import TraceSent, body
from render.desk.chapters import Heading, touch
from render.desk.chapters.known import drawn, is_possible, sheet_mm, stored
from render.desk.chapters.strokes import ENDINGS, opened, sent
from render.desk.described import from_plain
from render.desk.place import reads_traces
from render.desk.work import tell
from render.pages.stencil import probes
from render.pictures.chart import NARROWEST_MM, WIDE_MM
from render.sentences.languages import code_now
from render.sentences.measures import size
from render.sentences.proofs import day_words
from render.sentences.say import say
from render.sentences.words import number

if TYPE_CHECKING:
    from collections.abc import Mapping

    from flask import Request

    from mapper.mapping.solve import TabletMap
    from mapper.tracing.diagnosis import Cause
    from profiles.known_things import KnownThing
    from profiles.library.proofs import Proof
    from profiles.strokes.traces import TraceReport
    from profiles.strokes.tracing import Traced
    from render.desk.bodies import Strokes
    from render.desk.desks import Desk

#: What is offered by name; any other thing may be typed.
THINGS = ("card across", "card upright", "coin 23.25mm", "disc", "a6")
_DISPLAY_SLIPS = {
    "only one display mapped",
    "wrong display",
    "whole desktop mapped",
    "whole display mapped",
}
_REMEMBERED = 16
#: A trace is drawn when it is read, for windows of these widths.
_SHEETS_MM = (NARROWEST_MM, 96.0, 160.0, WIDE_MM)


class Asked(msgspec.Struct, frozen=True):
    """A trace as it is stored beside the draft: what was traced, how, and for which letter.

    ``said`` are the texts of the letter, ``agrees`` whether the driver did what they say, ``crop``
    the part of the picture that was framed, as it is typed.
    """

    thing: str
    ending: str
    said: dict[str, Any]
    zoom_percent: float = 100.0
    pixel_ratio: float = 1.0
    on_page: bool = False
    agrees: bool = False
    crop: str = ""


@dataclass(frozen=True, slots=True)
class Looked:
    """The report of a trace, and its pictures as SVG: the decoded one would fill the memory.

    There is one for each of the widths of _SHEETS_MM.
    """

    report: TraceReport
    pictures: Mapping[float, str]

    @property
    def picture(self) -> str:
        """The picture on the widest sheet that the page has room for."""
        wide_mm = sheet_mm()
        return self.pictures[max(each for each in _SHEETS_MM if each <= wide_mm)]


@dataclass(frozen=True, slots=True)
class Remedy:
    """One thing to do: change the letter, read the trace again otherwise, or what the words say."""

    words: str
    change: dict[str, Any] | None = None
    about: str = "part"
    again: dict[str, float | str] | None = None


#: The traces last looked at, by what was asked.
_looked: dict[bytes, Looked] = {}


def _last(desk: Desk) -> tuple[Asked | None, bool]:
    """The last trace, and whether it was of the map as it is now."""
    found, now = stored(desk, "trace-of.json", Asked), desk.solved
    if found is None or now is None:
        return None, False
    asked, then = found
    return asked, SettingPart.of(now).same(SettingPart.of(then))


def _look(desk: Desk, asked: Asked, content: bytes, name: str = "") -> Looked:
    """The report of a stored trace, by the functions of ``evenstroke trace``.

    Problems call the file ``name``.
    """
    tell(say("Loading the part that reads traces."))
    from profiles.strokes.traces import TraceRequest, trace_report
    from render.pictures.trace_view import trace_scene

    # Its pictures speak the language in which they were asked for.
    about = msgspec.json.encode((msgspec.structs.replace(asked, agrees=False), code_now()))
    key = sha256(content + about).digest()
    if key not in _looked:
        tell(say("Looking for the line."))
        meant = desk.session.answer(from_plain(asked.said)).solved
        thing = parse_thing(asked.thing, say("what was traced"))
        report, traced = opened(
            asked.ending,
            content,
            lambda path: trace_report(
                TraceRequest(
                    (path,),
                    (thing,),
                    (parse_crop(asked.crop, say("the frame")) if asked.crop else None,),
                    meant=meant,
                    profile=say("this desk"),
                    # On the page nothing is enlarged.
                    canvas_zoom_percent=asked.zoom_percent
                    if asked.on_page or asked.zoom_percent != 100
                    else None,
                    pixel_ratio=asked.pixel_ratio,
                ),
                _tell_reading,
            ),
            name,
        )
        finding = report.finding
        if asked.on_page and finding is not None:
            # No screenshot was made.
            also = tuple(cause for cause in finding.also if cause.name != "scaled screenshot")
            report = replace(report, finding=replace(finding, also=also))
        pictures = {wide: drawn(trace_scene(report, traced, wide_mm=wide)) for wide in _SHEETS_MM}
        _looked[key] = Looked(report, pictures)
        while len(_looked) > _REMEMBERED:
            _looked.pop(next(iter(_looked)))
    return _looked[key]


def _tell_reading(done: int, count: int) -> None:
    """Say which way of reading a trace is under way: to find the line was a step too."""
    which = {"number": str(done + 1), "count": str(count)}
    tell(say("Measuring the line, reading {number} of {count}.", **which), done + 1, count + 1)


def heading(desk: Desk) -> Heading:
    """Whether the driver was shown to do what the letter says."""
    tested = desk.standing.tested
    if tested is not None:
        return _tested(tested)
    touched = touch.last_answer(desk)
    if touched is not None:
        return touched
    asked, same = _last(desk)
    if asked is not None:
        return _traced(desk, asked, same=same)
    sentence = say("Not tested yet: does your tablet use these numbers?")
    return Heading(sentence, say("touch crosses, or trace a bank card"))


def _traced(desk: Desk, asked: Asked, *, same: bool) -> Heading:
    """What the last trace says; ``same`` that it was of the map as it is now."""
    if not same:
        return Heading(say("Tested before the description changed."), say("trace again"))
    if asked.agrees:
        return Heading(say("Tested: your tablet uses this setting."), say("tested"))
    if touch.is_typed_since(desk):
        return Heading(say("Not tested since you typed the numbers in."), say("test again"))
    sentence = say("Tested: your tablet does not use these numbers.")
    return Heading(sentence, say("what to correct"))


def _tested(tested: Proof) -> Heading:
    """What the last test says that stands beside this setting in the library."""
    day = day_words(tested.at)
    if not tested.right:
        sentence = say("Tested on {day}: your tablet does not use these numbers.", day=day)
        return Heading(sentence, say("what to correct"))
    if tested.within_mm is None:
        return Heading(
            say("Tested on {day}: your tablet uses this setting.", day=day), say("tested")
        )
    within = number(tested.within_mm, 1)
    sentence = say(
        "Tested on {day}, accurate to {mm} mm: your tablet uses this setting.", day=day, mm=within
    )
    return Heading(sentence, say("tested"))


def fragment(desk: Desk) -> str:
    """The chapter's HTML: the verdict, its causes with what to do, and the sheet to trace on."""
    asked, same = _last(desk)
    found: dict[str, Any] | None = None
    content = None if asked is None else desk.draft.get(f"trace{asked.ending}")
    if asked is not None and content is not None and reads_traces():
        # numpy comes with it, which the page needs for traces alone.
        from render.sentences.trace import alike_causes, cause_sentence, driver_corrections, verdict

        looked = _look(desk, asked, content)
        report, finding = looked.report, looked.report.finding
        entry = desk.session.answer(from_plain(asked.said)).entry
        causes = []
        if finding is not None and not finding.agrees:
            causes = alike_causes(finding)
            causes = causes if len(causes) > 1 else [finding.cause]
        found = {
            "verdict": verdict(report),
            "picture": looked.picture,
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
        touched=touch.part(desk),
        found=found,
        same=same,
        is_over=asked is not None and not asked.agrees and touch.is_typed_since(desk),
        things=[*THINGS, *_printed_shapes(desk)],
        thing=asked.thing if asked else THINGS[0],
    )


def _printed_shapes(desk: Desk) -> list[str]:
    """The shapes of the printed stencil, as they are typed for a trace."""
    solved = desk.solved
    return [] if solved is None else [shape.words for shape in probes(solved.area_seen_mm)]


def to_letter(cause: Cause, desk: Desk, looked: Looked) -> list[Remedy]:
    """The changes of the letter that make it say what the driver does, those that are possible."""
    meant = looked.report.meant
    if meant is None:
        return []
    offered = []
    if cause.name == "turned" and cause.way.turn_deg != 180:
        for by_deg, words in (
            (90, say("The tablet is turned by 90° more, to the right")),
            (270, say("The tablet is turned by 90° more, to the left")),
        ):
            change = {"turn": str((meant.request.tablet.turn_deg + by_deg) % 360)}
            offered.append(Remedy(words, change=change, about="lying"))
    else:
        one = correction(cause, meant)
        if one is not None:
            where = cause.name in _DISPLAY_SLIPS or cause.name == "part of a display mapped"
            if where:
                words = say("Change the description to what the pen reaches now")
            elif cause.name == "proportions not locked":
                words = say("Change the description to whole tablet, whole display")
            else:
                area = size(cause.area_width_mm, cause.area_height_mm)
                words = say("Change the description to {size}", size=area)
            offered.append(Remedy(words, change=one, about="reach" if where else "part"))
    return [each for each in offered if is_possible(desk, desk.said, each.change or {})]


def to_trace(cause: Cause, asked: Asked, looked: Looked) -> list[Remedy]:
    """What to try where neither letter nor driver is wrong, but the trace was made otherwise."""
    if cause.name == "zoomed canvas":
        zoom = (cause.zoom_percent or 100.0) * asked.zoom_percent / 100
        words = say(
            "The paint program showed {percent} %: read the trace again", percent=number(zoom, 1)
        )
        return [Remedy(words, again={"zoom": round(zoom, 3)})]
    if cause.name == "scaled screenshot":
        ratio = (cause.zoom_percent or 100.0) / 100 * asked.pixel_ratio
        words = say(
            "My screenshots have {times} times the display's pixels: read the trace again",
            times=number(ratio),
        )
        return [Remedy(words, again={"ratio": round(ratio, 4)})]
    # numpy comes with it, which the page needs for traces alone.
    from render.sentences.trace import trace_cures

    thing = looked.report.thing
    if cause.name == "orientation not told" and thing is not None and not thing.is_even_sided:
        name = re.sub(r"\s(across|upright)$", "", asked.thing)
        return [
            Remedy(
                say("Its long side lay across, along the display's width"),
                again={"thing": f"{name} across"},
            ),
            Remedy(
                say("Its long side lay up and down, away from me"),
                again={"thing": f"{name} upright"},
            ),
        ]
    return [Remedy(each) for each in trace_cures(cause, looked.report)]


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
    if verb in touch.VERBS:
        done = touch.do(desk, verb, request)
        # What was judged shows in the chapter, which holds the traces too.
        return {"html": fragment(desk), **done} if "say" in done else done
    if desk.last is None:
        raise RequestError(
            Problem("trace", phrase("needs a description that says tablet and display"))
        )
    said, name = msgspec.to_builtins(desk.last.said), ""
    if verb == "again":
        asked, _ = _last(desk)
        content = None if asked is None else desk.draft.get(f"trace{asked.ending}")
        if asked is None or content is None:
            raise RequestError(Problem("trace", phrase("must be traced first")))
        wanted = body(request, TraceSent)
        zoom = asked.zoom_percent if wanted.zoom is None else wanted.zoom
        ratio = asked.pixel_ratio if wanted.ratio is None else wanted.ratio
        if not all(0.01 <= value <= 10_000 for value in (zoom, ratio)):
            raise RequestError(
                Problem("trace", phrase("needs an enlargement in percent, or a pixel ratio"))
            )
        thing = str(wanted.thing)[:80] if wanted.thing is not None else asked.thing
        asked = msgspec.structs.replace(asked, thing=thing, zoom_percent=zoom, pixel_ratio=ratio)
    elif verb == "trace":
        traced = body(request, TraceSent)
        content = _as_kept(traced.strokes)
        asked = Asked(str(traced.thing or "card")[:80], ".json", said, on_page=True)
    elif verb.startswith("picture-"):
        ending, content, name = sent(request)
        thing, _, crop = verb.removeprefix("picture-").partition("~")
        asked = Asked(thing.replace("_", " ")[:80], ending, said, crop=crop[:80])
    else:
        raise RequestError(Problem("trace", phrase("cannot do this"), verb))
    try:
        report = _look(desk, asked, content, name).report
    except RequestError as error:
        raise RequestError(*map(_for_the_frame, error.problems)) from error
    finding = report.finding
    asked = msgspec.structs.replace(asked, agrees=finding is not None and finding.agrees)
    desk.note(lambda revision: note_trace(desk.session.library, revision, report))
    for ending in set(ENDINGS.values()) - {asked.ending}:
        desk.draft.drop(f"trace{ending}")
    desk.draft.put(f"trace{asked.ending}", content)
    desk.draft.put("trace-of.json", msgspec.json.encode(asked))
    return {"html": fragment(desk), "say": heading(desk).sentence}


def _for_the_frame(problem: Problem) -> Problem:
    """The problem as the page's frame shows it: it takes the place of the option for a part."""
    hint = problem.instead
    if "--crop" not in hint or not isinstance(hint, Phrase):
        return problem
    return replace(problem, instead=hint.slots.get("instead", ""))


def _lines(strokes: Strokes | None) -> list[Any]:
    """Strokes of a page as arrays. Raises RequestError for too many points."""
    import numpy as np

    from profiles.strokes.traces import MOST_STROKES, MOST_TRACED

    lines = [np.array(stroke, dtype=float) for stroke in strokes or [] if len(stroke) > 1]
    if len(lines) > MOST_STROKES or sum(map(len, lines)) > MOST_TRACED:
        must = phrase(
            "must have at most {points} points in at most {strokes} strokes",
            points=MOST_TRACED,
            strokes=MOST_STROKES,
        )
        raise RequestError(Problem("trace", must))
    return lines


def _as_kept(strokes: Strokes | None) -> bytes:
    """Strokes drawn on the page, as the content of a file of strokes."""
    rows = [[[x, y, 0.5] for x, y in line.tolist()] for line in _lines(strokes)]
    return json.dumps({"evenstroke_strokes": 1, "frame": "desktop_px", "strokes": rows}).encode()


def on_page(strokes: Strokes, thing: KnownThing, nib_mm: float = 0.0) -> Traced:
    """A trace drawn on the page, from strokes that are lists of [x, y] in device px.

    Raises RequestError for too many points, or too few for a trace.
    """
    from profiles.strokes.tracing import trace_points

    return trace_points(say("the trace"), _lines(strokes), thing.outline(nib_mm), Affine.identity())
