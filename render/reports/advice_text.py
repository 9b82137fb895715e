"""Advice for one workstation: what is good, what to change first, and what that costs."""

from __future__ import annotations

import textwrap
from typing import Any

from mapper.choosing.advice import Advice
from mapper.choosing.recommended import CAUTION
from mapper.choosing.remedies import RequestChange
from mapper.choosing.sitting import Finding
from mapper.phrases import phrase
from profiles.format.document import Workstation
from profiles.plain import headed
from render.sentences.advice import change_words
from render.sentences.lengths import distance_words
from render.sentences.measures import display_words, size
from render.sentences.say import Name, listed, say, say_again
from render.sentences.seat import band_words, value_words
from render.sentences.words import share_words
from render.tables import text_lines

_WIDE = 112
_UNKNOWN = {
    "size": phrase(
        "The size of the display, and so the scale factor and how large it looks from your seat. "
        "Give its diagonal, for example 27in."
    ),
    "counts": phrase(
        "The resolution of the tablet, and so whether the pen reaches each pixel. Give "
        "it with the size, for example 240x152mm@150/mm."
    ),
    "seat": phrase(
        "Where you sit: {command}", command="evenstroke seat DESK --distance 70cm --save NEW.yaml"
    ),
    "height": phrase(
        "How high the display stands: {command}",
        command="evenstroke seat DESK --top-below-eyes 2cm --save NEW.yaml",
    ),
}


def _head(workstation: Workstation) -> str:
    solved = workstation.map
    tablet, area = solved.request.tablet, solved.area_built_mm
    slots = {
        "desk": Name(workstation.name),
        "tablet": size(tablet.width_mm, tablet.height_mm),
        "area": size(area.width, area.height),
        "display": Name(solved.reference.label),
        "size": display_words(solved.reference),
    }
    if workstation.seat is None:
        return say("{desk}: tablet {tablet}, area {area}; {display} {size}", **slots)
    return say(
        "{desk}: tablet {tablet}, area {area}; {display} {size}; eyes {distance} away",
        distance=distance_words(workstation.seat.distance_mm),
        **slots,
    )


def _cells(finding: Finding) -> list[str]:
    recommended = finding.recommendation
    value = value_words(finding.value, recommended.unit)
    about, cited = say_again(recommended.about), say_again(recommended.cited)
    return [about, value, band_words(recommended), cited]


def _table(findings: list[Finding]) -> list[str]:
    head = ["", say("here"), say("recommended"), say("source")]
    return [f"  {line}" for line in text_lines(head, [_cells(each) for each in findings], left=4)]


def _wrapped(text: str, first: str, then: str) -> list[str]:
    return textwrap.wrap(
        text, _WIDE, initial_indent=first, subsequent_indent=then, break_long_words=False
    )


def advice_text(workstation: Workstation, advice: Advice, before: Advice | None = None) -> str:
    """The advice as text; with ``before``, a comparison with that earlier advice comes first."""
    lines = [_head(workstation)]
    if before is not None:
        lines += ["", say("Before and now:"), *_comparison_lines(advice, before)]
    good = [finding for finding in advice.findings if finding.side == "inside"]
    if good:
        lines += ["", say("Good:"), *_table(good)]
    outside = [finding for finding in advice.findings if finding.side != "inside"]
    if advice.changes:
        first = say(
            "What to change, the most important first (then run {command} again):", command="advise"
        )
        lines += ["", first]
        for index, change in enumerate(advice.changes, 1):
            lines += _change_lines(index, change, advice)
    elif not outside:
        nothing = say("Nothing to change: everything known is within the recommendations.")
        lines += ["", nothing]
    covered = {key for change in advice.changes for key in (change.about, *change.mends)}
    rest = [finding for finding in outside if finding.key not in covered]
    if rest:
        lines += [
            "",
            say("Outside the recommendations, but any change would make something else worse:"),
            *_table(rest),
        ]
    if advice.unknown:
        lines += ["", say("Not known:")]
        for key in advice.unknown:
            lines += _wrapped(say_again(_UNKNOWN[key]), "  ", "  ")
    lines += ["", *_wrapped(say_again(CAUTION), "", "")]
    return "\n".join(lines) + "\n"


def _change_lines(index: int, change: RequestChange, advice: Advice) -> list[str]:
    finding = advice.finding(change.about)
    lines = []
    if finding is not None:
        about, here, band, by = _cells(finding)
        words = say(
            "{index}. {figure}: {here}; recommended {band}, {source}",
            index=str(index),
            figure=about,
            here=here,
            band=band,
            source=by,
        )
        lines += _wrapped(words, "  ", "     ")
    also: list[str] = [
        say_again(each.recommendation.about)
        for key in change.mends
        if (each := advice.finding(key))
    ]
    for way in (change, *change.instead):
        what, cost = change_words(way, options=True)
        lines += _wrapped(
            what if way is change else say("Or: {change}", change=what), "     ", "     "
        )
        lines += _wrapped(say("Cost: {cost}", cost=cost), "     ", "     ")
        if way is change and also:
            fixes = say("Also improves: {figures}.", figures=listed(also))
            lines += _wrapped(fixes, "     ", "     ")
    return lines


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
                say_again(recommended.about),
                _known_words(then),
                _known_words(now),
                band_words(recommended),
                _trend(now, then),
            ]
        )
    # What the changes cost, which nobody recommends anything about.
    for about, name in (
        (say("area used"), "area_used_percent"),
        (say("display reached"), "screen_used_percent"),
    ):
        then_share, now_share = (share_words(getattr(one, name)) for one in (before, advice))
        rows.append([about, then_share, now_share, "", ""])
    head = ["", say("before"), say("now"), say("recommended"), ""]
    return [f"  {line}" for line in text_lines(head, rows, left=5)]


def _known_words(finding: Finding | None) -> str:
    if finding is None:
        return say("not known")
    return value_words(finding.value, finding.recommendation.unit)


def _trend(now: Finding | None, then: Finding | None) -> str:
    if now is None or then is None:
        return ""
    if abs(now.excess - then.excess) > 1e-9:
        if now.excess > then.excess:
            return say("worse")
        return say("better, now as recommended") if now.side == "inside" else say("better")
    if now.side != "inside":
        return say("the same")
    return say("within") if now.value == then.value else say("changed, still as recommended")


def advice_data(
    workstation: Workstation, advice: Advice, before: Advice | None = None
) -> dict[str, Any]:
    """The advice as plain data; what is not known is absent."""
    data = {
        "workstation": workstation.name,
        "findings": [_finding_data(finding) for finding in advice.findings],
        "changes": [_change_data(change) for change in advice.changes],
        "unknown": advice.unknown,
        "area_used_percent": advice.area_used_percent,
        "screen_used_percent": advice.screen_used_percent,
        "caution": CAUTION,
        "before": before and [_finding_data(finding) for finding in before.findings],
    }
    return headed("advise", data)


def _change_data(change: RequestChange) -> dict[str, Any]:
    do, costs = change_words(change, options=True)
    return {
        "about": change.about,
        "asks": change.asks,
        "buys": change.buys,
        "mends": change.mends,
        "after": change.numbers,
        "do": do,
        "costs": costs,
        "instead": [_change_data(way) for way in change.instead],
    }


def _finding_data(finding: Finding) -> dict[str, Any]:
    return {
        "key": finding.key,
        "value": finding.value,
        "side": finding.side,
        "recommended": finding.recommendation,
    }
