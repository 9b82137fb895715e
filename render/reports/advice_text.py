"""Advice for one workstation in words: what is good, what to change first and what it costs; and before beside after."""

from __future__ import annotations

import shlex
import textwrap
from typing import TYPE_CHECKING, Any

from mapper.choosing.recommended import CAUTION
from render.measures import display_words
from render.reports.seat_text import band_words, distance_words, value_words
from render.tables import text_lines
from render.words import fixed, number

if TYPE_CHECKING:
    from mapper.choosing.advice import Advice
    from mapper.choosing.remedies import Asks, RequestChange
    from mapper.choosing.sitting import Beside
    from profiles.format.document import Workstation

_WIDE = 112
# A loss below this, in percent, is not worth a word.
_WORTH_SAYING = 0.5

_UNKNOWN = {
    "size": "The display's size, so its scale factor and everything seen from the chair: give its diagonal, for example 27in.",
    "counts": "The tablet's counts, so whether each pixel can be reached: give its resolution, for example 240x152mm@150/mm.",
    "seat": "Where you sit: evenstroke seat FILE.yaml --distance 70cm --save NEW.yaml",
    "height": "How high the display stands: evenstroke seat FILE.yaml --top-below-eyes 2cm --save NEW.yaml",
}


def change_words(change: RequestChange) -> tuple[str, str]:
    """What to do, and what it costs, in one or two sentences each."""
    asks, numbers = change.asks, change.numbers
    if change.buys:
        return _buy(asks, numbers)
    if asks.keys() & {"distance_mm", "top_below_eyes_mm", "ahead"}:
        return _sit(asks, numbers)
    if asks.keys() == {"zoom"}:
        return (
            f"Set the system's zoom, or the size of your program's buttons, to {fixed(100 * asks['zoom'], 0)} %.",
            "Buttons and panels take more room; strokes do not change, and there is nothing to buy.",
        )
    return _map(asks, numbers)


def map_options(asks: Asks) -> str:
    """A change of the map as options of the command ``map``."""
    typed = {
        "turn": asks.get("turn_deg"),
        "onto": shlex.quote("+".join(asks["onto"])) if "onto" in asks else None,
        "area": "none" if "area" in asks else None,
        "window": "none" if "window" in asks else None,
        "fit": asks.get("fit"),
        "scale": (number(asks["scale"], 3) if asks["scale"] else "none") if "scale" in asks else None,
    }
    return " ".join(f"--{option} {value}" for option, value in typed.items() if value is not None)


def _area(numbers: dict[str, float]) -> str:
    return f"{number(numbers['area_width_mm'], 1)} x {number(numbers['area_height_mm'], 1)} mm"


def _map(asks: Asks, numbers: dict[str, float]) -> tuple[str, str]:
    steps = []
    if "onto" in asks:
        steps.append(f"let the pen reach {asks['onto'][0]} alone")
    if "turn_deg" in asks:
        way = "upright" if asks["turn_deg"] % 180 else "across"
        steps.append(f"turn the tablet by a quarter, to lie {way},")
    steps.append(f"map with {map_options(asks)}")
    results = []
    if asks.get("fit") != "cropped":
        results.append(f"the area becomes {_area(numbers)}")
    if numbers["screen_lost_percent"] >= _WORTH_SAYING and "onto" not in asks:
        window = f"{fixed(numbers['window_width_px'], 0)} x {fixed(numbers['window_height_px'], 0)} px"
        results.append(f"the pen reaches a window of {window}")
    if "scale_after" in numbers:
        results.append(f"the scale factor becomes {fixed(numbers['scale_after'], 2)}")
    what = f"{' and '.join(steps)}: {', '.join(results)}."
    if "zoom" in asks:
        what += f" And set the system's zoom to {fixed(100 * asks['zoom'], 0)} %, so that buttons stay large enough for the hand."
    return f"{what[0].upper()}{what[1:]}", _map_cost(asks, numbers)


def _map_cost(asks: Asks, numbers: dict[str, float]) -> str:
    costs = []
    if numbers["area_lost_percent"] >= _WORTH_SAYING:
        costs.append(f"{fixed(numbers['area_lost_percent'], 1)} % of the active area is unused")
    if numbers["screen_lost_percent"] >= _WORTH_SAYING:
        costs.append(f"{fixed(numbers['screen_lost_percent'], 0)} % of what the pen reached before is now out of reach")
    if "turn_deg" in asks:
        costs.append("the turn must be set in the driver too")
    cost = "; ".join([*costs, "nothing to buy"])
    return f"{cost[0].upper()}{cost[1:]}."


def _sit(asks: Asks, numbers: dict[str, float]) -> tuple[str, str]:
    steps, costs = [], []
    if "ahead" in asks:
        steps.append("while you use all displays, sit in front of their middle and turn each to face you")
        costs.append(f"the display you draw on stands {fixed(numbers['main_deg'], 0)} degrees to one side")
    if "distance_mm" in asks:
        way = numbers["distance_mm"] - numbers["distance_before_mm"]
        steps.append(
            f"sit {distance_words(numbers['distance_mm'])} from the display, {fixed(abs(way), 0)} mm {'farther' if way > 0 else 'nearer'} than now"
        )
        now, then = fixed(numbers["horizontal_deg"], 1), fixed(numbers["horizontal_before_deg"], 1)
        pixel = (
            f", a pixel {fixed(numbers['arc_minutes'], 2)} arc-minutes instead of {fixed(numbers['arc_minutes_before'], 2)}"
            if "arc_minutes" in numbers
            else ""
        )
        costs.append(f"the picture fills {now} degrees instead of {then}{pixel}")
    if "top_below_eyes_mm" in asks:
        way, top = numbers["lower_mm"], fixed(numbers["top_below_eyes_mm"], 0)
        where = "at eye level" if top == "0" else f"{top} mm under eye level"
        lower, chair = ("lower", "raising") if way > 0 else ("raise", "lowering")
        steps.append(
            f"{lower} the display by {fixed(abs(way), 0)} mm, so that its top edge is {where} ({chair} the chair does the same)"
        )
        costs.append(
            f"the centre lies {fixed(numbers['centre_deg'], 1)} degrees below the eyes and the bottom {fixed(numbers['bottom_deg'], 1)}"
        )
    costs.append("nothing to buy if desk and stand allow it")
    what, cost = ", and ".join(steps), "; ".join(costs)
    return f"{what[0].upper()}{what[1:]}.", f"{cost[0].upper()}{cost[1:]}."


def _buy(asks: Asks, numbers: dict[str, float]) -> tuple[str, str]:
    if "counts_per_mm" in asks:
        what = f"Only a tablet of at least {fixed(asks['counts_per_mm'], 0)} counts per mm reaches each pixel here."
        return what, "The price of a tablet. A coarse one still draws; it cannot reach every single pixel."
    if "display_px" in asks:
        zoom = f", at a zoom of {fixed(100 * asks['zoom'], 0)} %," if "zoom" in asks else ""
        what = f"Only a display of the same size with at least {asks['display_px'][0]} px across{zoom} shows no pixels at a comfortable distance."
        return what, "The price of a display. Visible pixels do no harm: leave it unless they bother you."
    width_mm, height_mm = asks["tablet_mm"]
    what = f"Only a tablet with an active area of at least {number(width_mm, 1)} x {number(height_mm, 1)} mm will do"
    return f"{what}: the scale factor becomes {fixed(numbers['scale_after'], 2)}.", "Its price, and room on the desk."


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
        head = ["", "here", "recommended", "source"]
        lines += ["", "Good:", *(f"  {line}" for line in text_lines(head, [_cells(each) for each in good], left=4))]
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
        ]
        lines += [
            f"  {line}"
            for line in text_lines(["", "here", "recommended", "source"], [_cells(each) for each in rest], left=4)
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
        what, cost = change_words(way)
        lines += _wrapped(what if way is change else f"Or: {what[0].lower()}{what[1:]}", "     ", "     ")
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
        "changes": [_change_data(change) for change in advice.changes],
        "unknown": list(advice.unknown),
        "area_used_percent": advice.area_used_percent,
        "screen_used_percent": advice.screen_used_percent,
        "caution": CAUTION,
        "before": before and [_finding_data(finding) for finding in before.findings],
    }


def _change_data(change: RequestChange) -> dict[str, Any]:
    do, costs = change_words(change)
    return {
        "about": change.about,
        "asks": change.asks,
        "buys": change.buys,
        "mends": list(change.mends),
        "after": change.numbers,
        "do": do,
        "costs": costs,
        "instead": [_change_data(way) for way in change.instead],
    }


def _finding_data(finding: Beside) -> dict[str, Any]:
    return {
        "key": finding.key,
        "value": finding.value,
        "side": finding.side,
        "recommended": finding.recommendation,
    }
