"""What each change of the advice asks for and what it costs, in sentences."""

from __future__ import annotations

import shlex

from mapper.choosing.remedies import Change, RequestChange
from render.sentences.seat import distance_words
from render.sentences.words import capital, fixed, listed, number

# A loss below this, in percent, is not worth a word.
_WORTH_SAYING = 0.5


def change_words(change: RequestChange, *, options: bool = False) -> tuple[str, str]:
    """What to do, and what it costs, in one or two sentences each.

    With ``options``, for the terminal, what to do names the options of ``map`` as well.
    """
    asks, numbers = change.asks, change.numbers
    if change.buys:
        return _buy(asks, numbers)
    if asks.keys() & {"distance_mm", "top_below_eyes_mm", "ahead"}:
        what, cost = _sit(asks, numbers)
        if options and "ahead" in asks:
            what += (
                f" Write it down with evenstroke seat DESK --ahead {asks['ahead']} --save NEW.yaml."
            )
        return what, cost
    if asks.keys() == {"zoom"}:
        zoom = fixed(100 * asks["zoom"], 0)
        return (
            f"Set the system's zoom, or the size of your program's buttons, to {zoom} %.",
            "Buttons and panels take more room. Strokes do not change; there is nothing to buy.",
        )
    typed = map_options(change) if options else ""
    return _map(asks, numbers, typed), _map_cost(asks, numbers)


def map_options(change: RequestChange) -> str:
    """The options of the command ``map`` for a change of the map; empty for any other change."""
    asks = change.asks
    if change.buys:
        return ""
    typed = {}
    if "turn_deg" in asks:
        typed["turn"] = asks["turn_deg"]
    if "onto" in asks:
        typed["onto"] = shlex.quote("+".join(asks["onto"]))
    typed |= {name: "none" for name in ("area", "window") if name in asks}
    if "fit" in asks:
        typed["fit"] = asks["fit"]
    if "scale" in asks:
        typed["scale"] = number(asks["scale"], 3) if asks["scale"] else "none"
    return " ".join(f"--{option} {value}" for option, value in typed.items())


_FIT_STEPS = {
    "locked": "keep round shapes round by trimming the tablet",
    "cropped": "keep round shapes round by trimming the screen",
    "full": "use the whole tablet for the whole screen",
}


def _map_steps(asks: Change) -> list[str]:
    steps = []
    if "onto" in asks:
        steps.append(f"let the pen reach {listed(asks['onto'])} alone")
    if "turn_deg" in asks:
        steps.append("turn the tablet by a quarter")
    if "fit" in asks:
        steps.append(_FIT_STEPS[asks["fit"]])
    if asks.get("scale"):
        steps.append(f"ask for a scale factor of {number(asks['scale'], 3)}")
    given_up = [
        words
        for key, words in (
            ("area", "the area that is set now"),
            ("window", "the window"),
            ("scale", "the wanted scale factor"),
        )
        if key in asks and not asks[key]
    ]
    return [*steps, f"give up {listed(given_up)}"] if given_up else steps


def _map(asks: Change, numbers: dict[str, float], options: str) -> str:
    results = []
    if asks.get("fit") != "cropped":
        width, height = (number(numbers[f"area_{side}_mm"], 1) for side in ("width", "height"))
        results.append(f"the area becomes {width} x {height} mm")
    if numbers["screen_lost_percent"] >= _WORTH_SAYING and "onto" not in asks:
        width, height = (fixed(numbers[f"window_{side}_px"], 0) for side in ("width", "height"))
        results.append(f"the pen reaches a window of {width} x {height} px")
    if "scale_after" in numbers:
        results.append(f"strokes come out {fixed(numbers['scale_after'], 2)} times as large")
    steps = listed(_map_steps(asks))
    what = capital(f"{steps}: {', '.join(results)}." if results else f"{steps}.")
    if options:
        what += f" Map with {options}."
    if "zoom" in asks:
        zoom = fixed(100 * asks["zoom"], 0)
        what += (
            f" And set the system's zoom to {zoom} %, so that buttons stay large enough for the "
            f"hand."
        )
    return what


def _map_cost(asks: Change, numbers: dict[str, float]) -> str:
    costs = []
    if numbers["area_lost_percent"] >= _WORTH_SAYING:
        costs.append(f"{fixed(numbers['area_lost_percent'], 1)} % of the active area is unused")
    if numbers["screen_lost_percent"] >= _WORTH_SAYING:
        costs.append(
            f"{fixed(numbers['screen_lost_percent'], 0)} % of what the pen reached before is now "
            f"out of reach"
        )
    if "turn_deg" in asks:
        costs.append("the turn must be set in the driver too")
    cost = "; ".join([*costs, "nothing to buy"])
    return f"{capital(cost)}."


def _sit(asks: Change, numbers: dict[str, float]) -> tuple[str, str]:
    steps, costs = [], []
    if "ahead" in asks:
        steps.append(
            "while you use all displays, sit in front of their middle and turn each to face you"
        )
        costs.append(
            f"the display you draw on stands {fixed(numbers['main_deg'], 0)} degrees to one side"
        )
    if "distance_mm" in asks:
        way = numbers["distance_mm"] - numbers["distance_before_mm"]
        steps.append(
            f"sit {distance_words(numbers['distance_mm'])} from the display, "
            f"{fixed(abs(way), 0)} mm {'farther' if way > 0 else 'nearer'} than now"
        )
        now, then = fixed(numbers["horizontal_deg"], 1), fixed(numbers["horizontal_before_deg"], 1)
        pixel = (
            f", a pixel {fixed(numbers['arc_minutes'], 2)} arc-minutes instead of "
            f"{fixed(numbers['arc_minutes_before'], 2)}"
            if "arc_minutes" in numbers
            else ""
        )
        costs.append(f"the picture fills {now} degrees instead of {then}{pixel}")
    if "top_below_eyes_mm" in asks:
        way, top = numbers["lower_mm"], fixed(numbers["top_below_eyes_mm"], 0)
        where = "at eye level" if top == "0" else f"{top} mm under eye level"
        lower, chair = ("lower", "raising") if way > 0 else ("raise", "lowering")
        steps.append(
            f"{lower} the display by {fixed(abs(way), 0)} mm, so that its top edge is {where} "
            f"({chair} the chair does the same)"
        )
        costs.append(
            f"the centre lies {fixed(numbers['centre_deg'], 1)} degrees below the eyes and the "
            f"bottom {fixed(numbers['bottom_deg'], 1)}"
        )
    costs.append("nothing to buy if desk and stand allow it")
    what, cost = ", and ".join(steps), "; ".join(costs)
    return f"{capital(what)}.", f"{capital(cost)}."


def _buy(asks: Change, numbers: dict[str, float]) -> tuple[str, str]:
    if "counts_per_mm" in asks:
        what = (
            f"Only a tablet of at least {fixed(asks['counts_per_mm'], 0)} counts per mm reaches "
            f"each pixel here."
        )
        return (
            what,
            "The price of a tablet. A coarse one still draws; it cannot reach every single pixel.",
        )
    width_mm, height_mm = asks["tablet_mm"]
    what = (
        f"Only a tablet with an active area of at least {number(width_mm, 1)} x "
        f"{number(height_mm, 1)} mm will do"
    )
    return (
        f"{what}: strokes come out {fixed(numbers['scale_after'], 2)} times as large.",
        "Its price, and room on the desk.",
    )
