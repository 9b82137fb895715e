"""What each remedy asks for and what it costs, in sentences."""

from __future__ import annotations

import shlex

from mapper.choosing.remedies import Change, RequestChange
from render.sentences.seat import distance_words
from render.sentences.words import capital, fixed, number

# A loss below this, in percent, is not worth a word.
_WORTH_SAYING = 0.5


def change_words(change: RequestChange) -> tuple[str, str]:
    """What to do, and what it costs, in one or two sentences each."""
    asks, numbers = change.asks, change.numbers
    if change.buys:
        return _buy(asks, numbers)
    if asks.keys() & {"distance_mm", "top_below_eyes_mm", "ahead"}:
        return _sit(asks, numbers)
    if asks.keys() == {"zoom"}:
        return (
            (
                f"Set the system's zoom, or the size of your program's buttons, to "
                f"{fixed(100 * asks['zoom'], 0)} %."
            ),
            (
                "Buttons and panels take more room; strokes do not change, and there is nothing to "
                "buy."
            ),
        )
    return _map(asks, numbers)


def map_options(asks: Change) -> str:
    """A change of the map as options of the command ``map``."""
    typed = {
        "turn": asks.get("turn_deg"),
        "onto": shlex.quote("+".join(asks["onto"])) if "onto" in asks else None,
        "area": "none" if "area" in asks else None,
        "window": "none" if "window" in asks else None,
        "fit": asks.get("fit"),
        "scale": (number(asks["scale"], 3) if asks["scale"] else "none")
        if "scale" in asks
        else None,
    }
    return " ".join(f"--{option} {value}" for option, value in typed.items() if value is not None)


def _area(numbers: dict[str, float]) -> str:
    return f"{number(numbers['area_width_mm'], 1)} x {number(numbers['area_height_mm'], 1)} mm"


def _map(asks: Change, numbers: dict[str, float]) -> tuple[str, str]:
    steps = []
    if "onto" in asks:
        steps.append(f"let the pen reach {asks['onto'][0]} alone")
    if "turn_deg" in asks:
        steps.append("turn the tablet by a quarter")
    steps.append(f"map with {map_options(asks)}")
    results = []
    if asks.get("fit") != "cropped":
        results.append(f"the area becomes {_area(numbers)}")
    if numbers["screen_lost_percent"] >= _WORTH_SAYING and "onto" not in asks:
        window = (
            f"{fixed(numbers['window_width_px'], 0)} x {fixed(numbers['window_height_px'], 0)} px"
        )
        results.append(f"the pen reaches a window of {window}")
    if "scale_after" in numbers:
        results.append(f"the scale factor becomes {fixed(numbers['scale_after'], 2)}")
    what = f"{' and '.join(steps)}: {', '.join(results)}."
    if "zoom" in asks:
        what += (
            f" And set the system's zoom to {fixed(100 * asks['zoom'], 0)} %, so that buttons "
            f"stay large enough for the hand."
        )
    return capital(what), _map_cost(asks, numbers)


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
    if "display_px" in asks:
        zoom = f", at a zoom of {fixed(100 * asks['zoom'], 0)} %," if "zoom" in asks else ""
        what = (
            f"Only a display of the same size with at least {asks['display_px'][0]} px "
            f"across{zoom} shows no pixels at a comfortable distance."
        )
        return (
            what,
            "The price of a display. Visible pixels do no harm: leave it unless they bother you.",
        )
    width_mm, height_mm = asks["tablet_mm"]
    what = (
        f"Only a tablet with an active area of at least {number(width_mm, 1)} x "
        f"{number(height_mm, 1)} mm will do"
    )
    return (
        f"{what}: the scale factor becomes {fixed(numbers['scale_after'], 2)}.",
        "Its price, and room on the desk.",
    )
