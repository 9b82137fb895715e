"""Advice for one workstation in words: what is good, what to change first and what it costs; and before beside after."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Any

from mapper.choosing.recommended import CAUTION
from render.measures import display_words
from render.reports.seat_text import band_words, distance_words, value_words
from render.tables import text_lines
from render.words import fixed, number

if TYPE_CHECKING:
    from collections.abc import Callable

    from mapper.choosing.advice import Advice, Change
    from mapper.choosing.sitting import Beside
    from profiles.format.document import Workstation

_WIDE = 112

_UNKNOWN = {
    "size": "The display's size, so its scale factor and everything seen from the chair: give its diagonal, for example 27in.",
    "counts": "The tablet's counts, so whether each pixel can be reached: give its resolution, for example 240x152mm@150/mm.",
    "seat": "Where you sit: evenstroke seat FILE.yaml --distance 70cm --save NEW.yaml",
    "height": "How high the display stands: evenstroke seat FILE.yaml --top-below-eyes 2cm --save NEW.yaml",
}


def change_words(change: Change) -> tuple[str, str]:
    """What to do, and what it costs, in one or two sentences each."""
    return _WORDS[change.kind](change.numbers)


def _area(numbers: dict[str, float]) -> str:
    return f"{number(numbers['area_width_mm'], 1)} x {number(numbers['area_height_mm'], 1)} mm"


def _lock(numbers: dict[str, float]) -> tuple[str, str]:
    return (
        f"Map with --fit locked, whose area is {_area(numbers)}.",
        f"{fixed(numbers['area_lost_percent'], 1)} % of the active area is idle; nothing to buy.",
    )


def _whole(numbers: dict[str, float]) -> tuple[str, str]:
    return (
        f"Use all of the tablet that keeps shapes true, {_area(numbers)}: the scale factor becomes {fixed(numbers['scale_after'], 2)}.",
        "Longer movements of the arm; nothing to buy.",
    )


def _shrink(numbers: dict[str, float]) -> tuple[str, str]:
    return (
        f"Map with --scale {number(numbers['scale_after'])}, to a smaller area, {_area(numbers)}.",
        f"{fixed(numbers['area_lost_percent'], 1)} % of the active area is idle and the hand must be finer; nothing to buy.",
    )


def _larger(numbers: dict[str, float]) -> tuple[str, str]:
    after, lost = fixed(numbers["scale_after"], 2), fixed(numbers["screen_lost_percent"], 0)
    window = f"{fixed(numbers['window_width_px'], 0)} x {fixed(numbers['window_height_px'], 0)} px"
    wanted = (
        ""
        if numbers["scale_after"] < numbers["area_scale"] * (1 - 1e-9)
        else f" --scale {number(numbers['area_scale'])}"
    )
    what = (
        f"Map with --fit cropped{wanted}, to a window of {window}: the scale factor becomes {after}. Or use a tablet with an "
        f"active area of at least {_area(numbers)}: {fixed(numbers['area_scale'], 2)}."
    )
    cost = (
        f"With the window {lost} % of the screen is out of the pen's reach and there is nothing to buy; the larger tablet "
        "costs its price and room on the desk."
    )
    return what, cost


def _resolution(numbers: dict[str, float]) -> tuple[str, str]:
    window, lost = fixed(numbers["window_percent"], 0), fixed(numbers["screen_lost_percent"], 0)
    what = (
        f"Only a tablet of at least {fixed(numbers['counts_per_mm'], 0)} counts per mm (yours has "
        f"{number(numbers['counts_per_mm_before'], 1)}) reaches each pixel here; or map to a window of {window} % of the screen's "
        "width and height."
    )
    return what, f"The price of a tablet; or, with the window, {lost} % of the screen, out of the pen's reach."


def _zoom(numbers: dict[str, float]) -> tuple[str, str]:
    after = fixed(100 * numbers["zoom_after"], 0)
    return (
        f"Set the system's zoom, or the size of your program's buttons, from {fixed(100 * numbers['zoom_before'], 0)} to {after} %.",
        f"Buttons and panels take {number(numbers['room_times'], 1)} times the room; strokes are not touched.",
    )


def _move(numbers: dict[str, float]) -> tuple[str, str]:
    way = numbers["distance_mm"] - numbers["distance_before_mm"]
    pixel = ""
    if "arc_minutes" in numbers:
        now, then = fixed(numbers["arc_minutes"], 2), fixed(numbers["arc_minutes_before"], 2)
        pixel = f", a pixel {now} arc-minutes instead of {then}"
    what = (
        f"Sit {distance_words(numbers['distance_mm'])} from the display, {fixed(abs(way), 0)} mm "
        f"{'farther' if way > 0 else 'nearer'} than now ({fixed(numbers['near_mm'], 0)} to {fixed(numbers['far_mm'], 0)} mm will do)."
    )
    now, then = fixed(numbers["horizontal_deg"], 1), fixed(numbers["horizontal_before_deg"], 1)
    cost = f"The picture fills {now} degrees instead of {then}{pixel}; nothing to buy where the desk is deep enough."
    return what, cost


def _finer(numbers: dict[str, float]) -> tuple[str, str]:
    return (
        f"Only a display of the same size with at least {fixed(numbers['width_px'], 0)} px across shows no pixels at a comfortable distance.",
        "The price of a display. Seen pixels do no harm: leave it unless they disturb you.",
    )


def _height(numbers: dict[str, float]) -> tuple[str, str]:
    way = numbers["lower_mm"]
    top = fixed(numbers["top_below_eyes_mm"], 0)
    where = "at eye level" if top == "0" else f"{top} mm under eye level"
    what = (
        f"{'Lower' if way > 0 else 'Raise'} the display by {fixed(abs(way), 0)} mm, so that its top edge is {where}; "
        f"{'raising' if way > 0 else 'lowering'} the chair does the same."
    )
    centre, bottom = fixed(numbers["centre_deg"], 1), fixed(numbers["bottom_deg"], 1)
    cost = f"The centre then lies {centre} degrees below and the bottom {bottom}; nothing to buy where the stand allows it."
    return what, cost


def _tall(numbers: dict[str, float]) -> tuple[str, str]:
    return (
        f"The display is tall for this distance: with its top at eye level its centre is in the band from about {distance_words(numbers['distance_mm'])}.",
        "A deeper desk or an arm for the display, and a smaller picture.",
    )


def _middle(numbers: dict[str, float]) -> tuple[str, str]:
    now, then = fixed(numbers["side_deg"], 0), fixed(numbers["side_before_deg"], 0)
    what = (
        "While you use all displays, sit before the middle of them and turn each to face you: the farthest centre then lies "
        f"{now} degrees aside instead of {then}. Keep on the outside what you seldom look at."
    )
    return (
        what,
        f"The display you draw on then stands {fixed(numbers['main_deg'], 0)} degrees to one side; nothing to buy.",
    )


_WORDS: dict[str, Callable[[dict[str, float]], tuple[str, str]]] = {
    "lock": _lock,
    "whole": _whole,
    "shrink": _shrink,
    "larger": _larger,
    "resolution": _resolution,
    "zoom": _zoom,
    "move": _move,
    "finer": _finer,
    "height": _height,
    "tall": _tall,
    "middle": _middle,
}


def _head(workstation: Workstation) -> str:
    solved = workstation.map
    tablet = solved.request.tablet
    seat = f"; eyes {distance_words(workstation.seat.distance_mm)} away" if workstation.seat else ""
    area = f"area {number(solved.area_seen_mm.width, 1)} x {number(solved.area_seen_mm.height, 1)} mm"
    return (
        f"{workstation.name}: tablet {number(tablet.width_mm)} x {number(tablet.height_mm)} mm, {area}; "
        f"{solved.reference.label} {display_words(solved.reference)}{seat}"
    )


def _cells(finding: Beside) -> list[str]:
    recommended = finding.recommendation
    return [
        recommended.about,
        value_words(finding.value, recommended.unit),
        band_words(recommended),
        recommended.cited,
    ]


def _wrapped(text: str, first: str, then: str) -> list[str]:
    return textwrap.wrap(text, _WIDE, initial_indent=first, subsequent_indent=then, break_long_words=False)


def advice_text(workstation: Workstation, advice: Advice, before: Advice | None = None) -> str:
    """The report; with ``before``, what changed since then comes first."""
    lines = [_head(workstation)]
    if before is not None:
        lines += ["", "Before and now:", *_comparison_lines(advice, before)]
    good = [finding for finding in advice.findings if finding.side == "inside"]
    if good:
        head = ["", "here", "recommended", "by"]
        lines += ["", "Good:", *(f"  {line}" for line in text_lines(head, [_cells(each) for each in good], left=4))]
    outside = [finding for finding in advice.findings if finding.side != "inside"]
    if advice.changes:
        lines += ["", "Change, the most pressing first (run `advise` again after each change):"]
        for index, change in enumerate(advice.changes, 1):
            lines += _change_lines(index, change, advice)
    elif not outside:
        lines += ["", "Nothing to change: all that is known lies within what is recommended."]
    covered = {change.about for change in advice.changes}
    rest = [finding for finding in outside if finding.key not in covered]
    if rest:
        lines += [
            "",
            "Also out of range, but fixed by the above or too minor to change:" if advice.changes else "Outside:",
        ]
        lines += [
            f"  {line}"
            for line in text_lines(["", "here", "recommended", "by"], [_cells(each) for each in rest], left=4)
        ]
    if advice.unknown:
        lines += ["", "Not known:"]
        for key in advice.unknown:
            lines += _wrapped(_UNKNOWN[key], "  ", "  ")
    lines += ["", *_wrapped(CAUTION, "", "")]
    return "\n".join(lines) + "\n"


def _change_lines(index: int, change: Change, advice: Advice) -> list[str]:
    finding = advice.finding(change.about)
    what, cost = change_words(change)
    lines = []
    if finding is not None:
        about, here, band, by = _cells(finding)
        lines += _wrapped(f"{index}. {about}: {here}; recommended {band}, {by}", "  ", "     ")
    return [*lines, *_wrapped(what, "     ", "     "), *_wrapped(f"Costs: {cost}", "     ", "     ")]


def _comparison_lines(advice: Advice, before: Advice) -> list[str]:
    keys = list(dict.fromkeys([finding.key for finding in (*advice.findings, *before.findings)]))
    rows = []
    for key in keys:
        now, then = advice.finding(key), before.finding(key)
        known = now or then
        if known is None:
            continue
        recommended = known.recommendation
        rows.append(
            [
                recommended.about,
                "not known" if then is None else value_words(then.value, recommended.unit),
                "not known" if now is None else value_words(now.value, recommended.unit),
                band_words(recommended),
                _trend(now, then),
            ]
        )
    # What the changes cost, which nobody recommends anything about.
    for about, name in (("area used", "area_used_percent"), ("screen reached", "screen_used_percent")):
        then_percent, now_percent = (fixed(getattr(one, name), 1) for one in (before, advice))
        rows.append([about, f"{then_percent} %", f"{now_percent} %", "", ""])
    return [f"  {line}" for line in text_lines(["", "before", "now", "recommended", ""], rows, left=5)]


def _trend(now: Beside | None, then: Beside | None) -> str:
    if now is None or then is None:
        return ""
    if abs(now.excess - then.excess) > 1e-9:
        return ("better" if now.excess < then.excess else "worse") + (", now within" if now.side == "inside" else "")
    if now.side == "inside":
        return "within" if now.value == then.value else "changed, still within"
    return "the same"


def advice_data(workstation: Workstation, advice: Advice, before: Advice | None = None) -> dict[str, Any]:
    """The same as plain data; what is not known is absent."""
    return {
        "workstation": workstation.name,
        "findings": [_finding_data(finding) for finding in advice.findings],
        "changes": [
            {"about": change.about, "kind": change.kind, **change.numbers}
            | dict(zip(("do", "costs"), change_words(change), strict=True))
            for change in advice.changes
        ],
        "unknown": list(advice.unknown),
        "area_used_percent": advice.area_used_percent,
        "screen_used_percent": advice.screen_used_percent,
        "caution": CAUTION,
        "before": before and [_finding_data(finding) for finding in before.findings],
    }


def _finding_data(finding: Beside) -> dict[str, Any]:
    return {
        "key": finding.key,
        "value": finding.value,
        "side": finding.side,
        "recommended": finding.recommendation,
    }
