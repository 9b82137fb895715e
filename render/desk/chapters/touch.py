"""The touch test: crosses of known places are touched, and the page says what the driver does.

It stands in the chapter of tests, in front of the traces, which hands its verbs on: ``begin`` says
which crosses to touch, ``touched`` and ``corner`` judge, ``crosses`` gives the sheets to print. No
part of it needs numpy, so it works wherever the page runs.
"""

from __future__ import annotations

from dataclasses import astuple, dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import msgspec

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.rect import Rect
from mapper.touching.fit import Touch
from mapper.touching.sheets import sheet_of
from mapper.touching.verdict import CANNOT_TELL, RIGHT, judge
from profiles.fields import set_to
from profiles.library.proofs import LEAST_TOUCHES, SettingPart, note_touch
from profiles.numbers import plain_number
from profiles.shorthand import rect_text
from render.desk.bodies import TouchesSent, body
from render.desk.chapters import Heading
from render.desk.chapters.known import drawn, is_possible, sheet_mm, stored
from render.desk.described import from_plain
from render.desk.printed import sheets
from render.desk.touching import cursor_px, display_under, touches_of
from render.pages.stencil import cross_pages
from render.pictures.touch_view import touch_scene
from render.sentences.say import say, say_count
from render.sentences.touch import (
    area_words,
    cause_sentence,
    cross_words,
    held_sentence,
    mouse_sentence,
    page_corner_sentence,
    page_cures,
    slip_sentence,
    sure_words,
    verdict_sentence,
)
from render.sentences.words import number, plain

if TYPE_CHECKING:
    from flask import Request

    from mapper.mapping.solve import TabletMap
    from mapper.touching.setting import DriverSetting
    from mapper.touching.sheets import Sheet
    from mapper.touching.verdict import TouchVerdict
    from render.desk.desks import Desk

VERBS = ("begin", "touched", "corner", "crosses")
_FILE = "touched.json"
#: As many touches are kept as nine rounds make.
_MOST = 162


class Touched(msgspec.Struct, frozen=True):
    """A touch test as it is stored beside the draft, with the letter that it was of."""

    said: dict[str, Any]
    touches: list[Touch]
    anywhere: bool = False
    mouse: bool = False
    sheet: str = "printed"
    corner_px: tuple[float, float] | None = None


@dataclass(frozen=True)
class LastTest:
    """The last touch test of a desk: the map that was meant, and the verdict.

    ``same`` says that the same has to be typed now as then.
    """

    touched: Touched
    meant: TabletMap
    same: bool

    @cached_property
    def verdict(self) -> TouchVerdict:
        """Judged where it is asked for: of many touches it takes longer than a heading may."""
        touched = self.touched
        return judge(
            touched.touches, self.meant, anywhere=touched.anywhere, corner_px=touched.corner_px
        )


def last_test(desk: Desk) -> LastTest | None:
    """The last touch test of this desk; None where there is none."""
    found, now = stored(desk, _FILE, Touched), desk.solved
    if found is None or now is None:
        return None
    touched, meant = found
    return LastTest(touched, meant, SettingPart.of(now).same(SettingPart.of(meant)))


def last_answer(desk: Desk) -> Heading | None:
    """The heading that the last touch test makes; None where there is none of this setting."""
    last = last_test(desk)
    if last is None or not last.same:
        return None
    if last.verdict.answer == RIGHT:
        return Heading(say("Tested: your tablet uses this setting."), say("tested"))
    if is_typed_since(desk):
        return Heading(say("Not tested since you typed the numbers in."), say("test again"))
    if last.verdict.answer == CANNOT_TELL:
        return Heading(say("The touches could not tell: test again."), say("touch again"))
    sentence = say("Tested: your tablet does not use these numbers.")
    return Heading(sentence, say("what to correct"))


def is_typed_since(desk: Desk) -> bool:
    """Whether the numbers were typed in after the last test, which then says nothing of them."""
    return desk.standing.typed is not None and desk.standing.tested is None


def part(desk: Desk) -> dict[str, Any] | None:
    """What the template shows of the touch test: the last verdict and the sheets."""
    solved = desk.solved
    if solved is None:
        return None
    last = last_test(desk)
    marks = sheet_of("marks", solved).seen_mm[:4]
    return {
        "found": None if last is None else _found(desk, last),
        "chosen": "printed" if last is None else last.touched.sheet,
        "dots": [(plain(x, 1), plain(y, 1)) for x, y in marks],
        "displays": [each.label for each in solved.request.desktop.displays],
        "reached": solved.reference.label,
    }


def _found(desk: Desk, last: LastTest) -> dict[str, Any]:
    verdict, meant = last.verdict, last.meant
    entry = desk.session.answer(from_plain(last.touched.said)).entry
    causes: list[dict[str, Any]] = []
    if verdict.answer != RIGHT:
        causes = [
            {
                "sentence": cause_sentence(cause, verdict),
                "cures": page_cures(cause, verdict, meant, entry),
                "letter": _to_letter(desk, cause.setting, last),
            }
            for cause in (verdict.cause, *verdict.also)
        ]
    besides = [slip_sentence(slip) for slip in verdict.slips]
    if verdict.held:
        besides.append(held_sentence(verdict))
    if last.touched.mouse:
        besides.append(mouse_sentence())
    measured = ""
    if verdict.found is not None and verdict.answer != RIGHT:
        measured = say(
            "Measured: {area}; {sure}.", area=area_words(verdict), sure=sure_words(verdict)
        )
    hand = ""
    if verdict.fit is not None and verdict.touches >= LEAST_TOUCHES:
        hand = say_count(
            "Your touches land about {mm} mm off, measured with {count} touch. Precision is now "
            "calculated with this number.",
            "Your touches land about {mm} mm off, measured with {count} touches. Precision is now "
            "calculated with this number.",
            verdict.touches,
            mm=number(verdict.fit.scatter_mm, 2),
        )
    picture = ""
    if verdict.fit is not None:
        picture = drawn(touch_scene(verdict, meant, wide_mm=sheet_mm()))
    return {
        "verdict": verdict_sentence(verdict, say("this desk")),
        "same": last.same,
        "is_over": verdict.answer != RIGHT and is_typed_since(desk),
        "causes": causes,
        "besides": besides,
        "measured": measured,
        "hand": hand,
        "corner": page_corner_sentence() if verdict.ask_corner else "",
        "more": len(last.touched.touches) < 2 * LEAST_TOUCHES,
        "picture": picture,
    }


def _to_letter(desk: Desk, setting: DriverSetting | None, last: LastTest) -> dict[str, Any] | None:
    """The change of the letter that makes it say what the driver does; None where it cannot."""
    if setting is None or setting.mirror or last.verdict.answer == CANNOT_TELL:
        return None
    meant = last.meant
    area, active = setting.area_built_mm, meant.request.tablet.active_built_mm
    change: dict[str, Any] = {}
    if setting.turn_deg != meant.request.tablet.turn_deg:
        change["turn"] = str(setting.turn_deg)
    if setting.target_px != meant.screen_px:
        desktop = meant.request.desktop
        whole = [each.label for each in desktop.displays if each.rect_px == setting.target_px]
        target = Rect(*(round(value) for value in astuple(setting.target_px)))
        if whole:
            change |= set_to({"onto": whole[0]})
        elif setting.target_px == desktop.rect_px:
            change |= set_to({"onto": "all"})
        else:
            change |= set_to({"window": rect_text(target)})
    width, height = min(area.width, active.width), min(area.height, active.height)
    typed = Rect(
        round(min(max(area.left, 0.0), active.width - width), 1),
        round(min(max(area.top, 0.0), active.height - height), 1),
        round(width, 1),
        round(height, 1),
    )
    change |= set_to({"area": rect_text(typed, "mm")})
    said = from_plain(last.touched.said)
    return change if is_possible(desk, said, change) else None


def do(desk: Desk, verb: str, request: Request) -> dict[str, Any]:
    """What the page asks for. Raises RequestError with words for the person."""
    solved = desk.solved
    if desk.last is None or solved is None:
        raise RequestError(
            Problem("touch", phrase("needs a description that says tablet and display"))
        )
    sent = body(request, TouchesSent)
    if verb == "crosses":
        return {"print": sheets(desk, cross_pages, sent.paper)}
    display = display_under(solved.request.desktop, sent.frame, sent.display)
    if verb == "corner":
        last = last_test(desk)
        if last is None or len(sent.touches) != 1:
            raise RequestError(Problem("touch", phrase("must follow a test that asks for it")))
        place = cursor_px(sent.touches[0], display, sent.frame)
        return _judged(desk, msgspec.structs.replace(last.touched, corner_px=place))
    sheet = sheet_of(sent.sheet, solved, anywhere=sent.anywhere, dots_seen_mm=dots_of(sent.dots))
    if verb == "begin":
        return {"crosses": crosses_data(sheet)}
    touches = touches_of(sent.touches, sheet, display, sent.frame)
    said = msgspec.to_builtins(desk.last.said)
    touched = Touched(said, touches, sheet.anywhere, sent.mouse, sheet.kind)
    before = last_test(desk) if sent.more else None
    if before is not None and before.same and before.touched.anywhere == sheet.anywhere:
        earlier = before.touched
        touched = msgspec.structs.replace(
            touched,
            touches=[*earlier.touches, *touches][-_MOST:],
            mouse=sent.mouse or earlier.mouse,
            corner_px=earlier.corner_px,
        )
    return _judged(desk, touched)


def dots_of(dots: list[tuple[Any, Any]]) -> list[tuple[float, float]]:
    """The places of one's own dots, mm. Raises RequestError for what is no number."""
    where = say("dot")
    return [
        (plain_number(str(x), where), plain_number(str(y), where))
        for x, y in dots
        if str(x).strip() or str(y).strip()
    ]


def crosses_data(sheet: Sheet) -> list[dict[str, Any]]:
    """The crosses as the page's script asks for them: number, words, and place, mm as seen."""
    return [
        {
            "number": sheet.numbers[index],
            "words": str(cross_words(sheet, index)),
            "x": place[0],
            "y": place[1],
        }
        for index, place in enumerate(sheet.seen_mm)
    ]


def _judged(desk: Desk, touched: Touched) -> dict[str, Any]:
    desk.draft.put(_FILE, msgspec.json.encode(touched))
    last = last_test(desk)
    if last is None:
        raise RequestError(
            Problem("touch", phrase("needs a description that says tablet and display"))
        )
    desk.note(lambda revision: note_touch(desk.session.library, revision, last.meant, last.verdict))
    return {"say": verdict_sentence(last.verdict, say("this desk"))}
