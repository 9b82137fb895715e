"""Advice for one workstation: what is good, what to change first, and what that costs."""

from __future__ import annotations

import textwrap
from typing import Any

from mapper.choosing.advice import Advice
from mapper.choosing.recommended import CAUTION
from mapper.choosing.remedies import RequestChange
from mapper.choosing.sitting import Finding
from profiles.format.document import Workstation
from profiles.plain import headed
from render.sentences.advice import change_words
from render.sentences.measures import display_words
from render.sentences.seat import band_words, distance_words, value_words
from render.sentences.words import fixed, number
from render.tables import text_lines

_WIDE = 112
_UNKNOWN = {
    "size": (
        "The display's size, so its scale factor and everything seen from the chair: give its "
        "diagonal, for example 27in."
    ),
    "counts": (
        "The tablet's counts, so whether each pixel can be reached: give its resolution, for "
        "example 240x152mm@150/mm."
    ),
    "seat": "Where you sit: evenstroke seat DESK --distance 70cm --save NEW.yaml",
    "height": (
        "How high the display stands: evenstroke seat DESK --top-below-eyes 2cm --save NEW.yaml"
    ),
}


def _head(workstation: Workstation) -> str:
    solved = workstation.map
    tablet = solved.request.tablet
    seat = f"; eyes {distance_words(workstation.seat.distance_mm)} away" if workstation.seat else ""
    area = (
        f"area {number(solved.area_built_mm.width, 1)} x "
        f"{number(solved.area_built_mm.height, 1)} mm"
    )
    return (
        f"{workstation.name}: tablet {number(tablet.width_mm)} x {number(tablet.height_mm)} mm, "
        f"{area}; "
        f"{solved.reference.label} {display_words(solved.reference)}{seat}"
    )


def _cells(finding: Finding) -> list[str]:
    recommended = finding.recommendation
    value = value_words(finding.value, recommended.unit)
    return [recommended.about, value, band_words(recommended), recommended.cited]


def _table(findings: list[Finding]) -> list[str]:
    head = ["", "here", "recommended", "source"]
    return [f"  {line}" for line in text_lines(head, [_cells(each) for each in findings], left=4)]


def _wrapped(text: str, first: str, then: str) -> list[str]:
    return textwrap.wrap(
        text, _WIDE, initial_indent=first, subsequent_indent=then, break_long_words=False
    )


def advice_text(workstation: Workstation, advice: Advice, before: Advice | None = None) -> str:
    """The advice as text; with ``before``, a comparison with that earlier advice comes first."""
    lines = [_head(workstation)]
    if before is not None:
        lines += ["", "Before and now:", *_comparison_lines(advice, before)]
    good = [finding for finding in advice.findings if finding.side == "inside"]
    if good:
        lines += ["", "Good:", *_table(good)]
    outside = [finding for finding in advice.findings if finding.side != "inside"]
    if advice.changes:
        lines += ["", "Change, the most pressing first (run `advise` again after each change):"]
        for index, change in enumerate(advice.changes, 1):
            lines += _change_lines(index, change, advice)
    elif not outside:
        lines += ["", "Nothing to change: everything known is within the recommendations."]
    covered = {key for change in advice.changes for key in (change.about, *change.mends)}
    rest = [finding for finding in outside if finding.key not in covered]
    if rest:
        lines += [
            "",
            "Also out of range, and no change helps without making something good worse:",
            *_table(rest),
        ]
    if advice.unknown:
        lines += ["", "Not known:"]
        for key in advice.unknown:
            lines += _wrapped(_UNKNOWN[key], "  ", "  ")
    lines += ["", *_wrapped(CAUTION, "", "")]
    return "\n".join(lines) + "\n"


def _change_lines(index: int, change: RequestChange, advice: Advice) -> list[str]:
    finding = advice.finding(change.about)
    lines = []
    if finding is not None:
        about, here, band, by = _cells(finding)
        lines += _wrapped(f"{index}. {about}: {here}; recommended {band}, {by}", "  ", "     ")
    also = [each.recommendation.about for key in change.mends if (each := advice.finding(key))]
    for way in (change, *change.instead):
        what, cost = change_words(way, options=True)
        lines += _wrapped(
            what if way is change else f"Or: {what[0].lower()}{what[1:]}", "     ", "     "
        )
        lines += _wrapped(f"Costs: {cost[0].lower()}{cost[1:]}", "     ", "     ")
        if way is change and also:
            lines += _wrapped(f"Also fixes: {', '.join(also)}.", "     ", "     ")
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
                recommended.about,
                "not known" if then is None else value_words(then.value, recommended.unit),
                "not known" if now is None else value_words(now.value, recommended.unit),
                band_words(recommended),
                _trend(now, then),
            ]
        )
    # What the changes cost, which nobody recommends anything about.
    for about, name in (
        ("area used", "area_used_percent"),
        ("screen reached", "screen_used_percent"),
    ):
        then_percent, now_percent = (fixed(getattr(one, name), 1) for one in (before, advice))
        rows.append([about, f"{then_percent} %", f"{now_percent} %", "", ""])
    return [
        f"  {line}" for line in text_lines(["", "before", "now", "recommended", ""], rows, left=5)
    ]


def _trend(now: Finding | None, then: Finding | None) -> str:
    if now is None or then is None:
        return ""
    if abs(now.excess - then.excess) > 1e-9:
        return ("better" if now.excess < then.excess else "worse") + (
            ", now within" if now.side == "inside" else ""
        )
    if now.side == "inside":
        return "within" if now.value == then.value else "changed, still within"
    return "the same"


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
