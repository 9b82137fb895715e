"""What each change of the advice asks for and what it costs, in sentences."""

from __future__ import annotations

import shlex

from mapper.choosing.recommended import RECOMMENDED
from mapper.choosing.remedies import Change, RequestChange
from render.sentences.lengths import IN_BOTH, Lengths
from render.sentences.say import Name, listed, paragraph, say, scraps
from render.sentences.words import capital, fixed, number, share_words, turn_words

# A loss below this, in percent, is not worth a word.
_WORTH_SAYING = 0.5


def change_words(
    change: RequestChange, *, options: bool = False, lengths: Lengths = IN_BOTH
) -> tuple[str, str]:
    """What to do, and what it costs, in one or two sentences each.

    With ``options``, for the terminal, what to do names the options of ``map`` as well;
    ``lengths`` says how far to sit.
    """
    asks, numbers = change.asks, change.numbers
    if change.buys:
        return _buy(asks, numbers)
    if asks.keys() & {"distance_mm", "top_below_eyes_mm", "ahead"}:
        what, cost = _sit(asks, numbers, lengths)
        if options and "ahead" in asks:
            what = say(
                "{advice} Save it with evenstroke seat DESK --ahead {ahead} --save NEW.yaml.",
                advice=what,
                ahead=str(asks["ahead"]),
            )
        return what, cost
    if asks.keys() == {"zoom"}:
        zoom = fixed(100 * asks["zoom"], 0)
        return (
            say(
                "Set the system's zoom, or the size of your program's buttons, to {percent} %.",
                percent=zoom,
            ),
            say(
                "Buttons and panels take more room. Strokes do not change; there is nothing to buy."
            ),
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


def _fit_step(fit: str) -> str:
    return {
        "locked": say("keep circles round by not using all of the tablet"),
        "cropped": say("keep circles round by not using all of the display"),
        "full": say("use the whole tablet for the whole display"),
    }[fit]


def _map_steps(asks: Change) -> list[str]:
    steps: list[str] = []
    if "onto" in asks:
        onto = listed([Name(label) for label in asks["onto"]])
        steps.append(say("let the pen reach only {displays}", displays=onto))
    if "turn_deg" in asks:
        turn = turn_words(asks["turn_deg"])
        steps.append(
            say("lay the tablet turned {turn}", turn=turn)
            if turn
            else say("lay the tablet straight, not turned")
        )
    if "fit" in asks:
        steps.append(_fit_step(asks["fit"]))
    if asks.get("scale"):
        steps.append(say("ask for a scale factor of {scale}", scale=number(asks["scale"], 3)))
    given_up = [
        words
        for key, words in (
            ("area", say("the area that is set now")),
            ("window", say("the part of the display")),
            ("scale", say("the wanted scale factor")),
        )
        if key in asks and not asks[key]
    ]
    return [*steps, say("give up {wishes}", wishes=listed(given_up))] if given_up else steps


def _map(asks: Change, numbers: dict[str, float], options: str) -> str:
    results = []
    if asks.get("fit") != "cropped":
        width, height = (number(numbers[f"area_{side}_mm"], 1) for side in ("width", "height"))
        results.append(say("the area becomes {width} × {height} mm", width=width, height=height))
    if numbers["screen_lost_percent"] >= _WORTH_SAYING and "onto" not in asks:
        width, height = (fixed(numbers[f"window_{side}_px"], 0) for side in ("width", "height"))
        results.append(
            say(
                "the pen reaches {width} × {height} px of the display",
                width=width,
                height=height,
            )
        )
    if "scale_after" in numbers:
        times = number(numbers["scale_after"])
        results.append(say("strokes come out {times} times as large", times=times))
    steps = capital(listed(_map_steps(asks)))
    what = [say("{steps}.", steps=steps)]
    if results:
        what = [say("{steps}: {results}.", steps=steps, results=listed(results))]
    if options:
        what.append(say("Map with {options}.", options=options))
    if "zoom" in asks:
        what.append(
            say(
                "And set the system's zoom to {percent} %, so that buttons stay large enough for "
                "the hand.",
                percent=fixed(100 * asks["zoom"], 0),
            )
        )
    return paragraph(what)


def _map_cost(asks: Change, numbers: dict[str, float]) -> str:
    costs = []
    if numbers["area_lost_percent"] >= _WORTH_SAYING:
        share = share_words(numbers["area_lost_percent"])
        costs.append(say("part of the active area is not used: {share}", share=share))
    if numbers["screen_lost_percent"] >= _WORTH_SAYING:
        costs.append(
            say(
                "the pen reaches {share} less of the display than before",
                share=share_words(numbers["screen_lost_percent"]),
            )
        )
    if "turn_deg" in asks:
        costs.append(say("the rotation must be set in the tablet's settings too"))
    return _costs([*costs, say("nothing to buy")])


def _costs(costs: list[str]) -> str:
    return say("{costs}.", costs=capital(scraps(costs)))


def _sit(asks: Change, numbers: dict[str, float], lengths: Lengths) -> tuple[str, str]:
    steps: list[str] = []
    costs: list[str] = []
    if "ahead" in asks:
        steps.append(
            say(
                "While you use all displays, sit in front of their middle and turn each to face "
                "you."
            )
        )
        costs.append(
            say(
                "the display you draw on stands {degrees} degrees to one side",
                degrees=fixed(numbers["main_deg"], 0),
            )
        )
    if "distance_mm" in asks:
        steps.append(_nearer_or_farther(numbers, lengths))
        costs.append(
            say(
                "the display fills {now} degrees instead of {before}",
                now=fixed(numbers["horizontal_deg"], 1),
                before=fixed(numbers["horizontal_before_deg"], 1),
            )
        )
        if "arc_minutes" in numbers and lengths.unit:
            costs += _pixels_after(numbers)
        elif "arc_minutes" in numbers:
            costs.append(
                say(
                    "a pixel {now} arc-minutes instead of {before}",
                    now=fixed(numbers["arc_minutes"], 2),
                    before=fixed(numbers["arc_minutes_before"], 2),
                )
            )
    if "top_below_eyes_mm" in asks:
        steps.append(_higher_or_lower(numbers, lengths))
        costs.append(
            say(
                "the centre lies {centre} degrees below the eyes and the bottom {bottom}",
                centre=fixed(numbers["centre_deg"], 1),
                bottom=fixed(numbers["bottom_deg"], 1),
            )
        )
    costs.append(say("nothing to buy if desk and stand allow it"))
    return paragraph(steps), _costs(costs)


def _pixels_after(numbers: dict[str, float]) -> list[str]:
    """What becomes of single pixels where that changes, in plain words."""
    most = RECOMMENDED["sharpness"].high or 1.0
    now, before = numbers["arc_minutes"] <= most, numbers["arc_minutes_before"] <= most
    if now == before:
        return []
    if now:
        return [say("single pixels can no longer be seen")]
    return [say("single pixels can be seen")]


def _nearer_or_farther(numbers: dict[str, float], lengths: Lengths) -> str:
    before = numbers["distance_before_mm"]
    distance = lengths.seat_mm(numbers["distance_mm"], before)
    slots = {"distance": lengths.far(distance), "way": lengths.short(abs(distance - before))}
    if distance > before:
        return say("Sit {distance} from the display, {way} farther than now.", **slots)
    return say("Sit {distance} from the display, {way} nearer than now.", **slots)


def _higher_or_lower(numbers: dict[str, float], lengths: Lengths) -> str:
    way, top = numbers["lower_mm"], numbers["top_below_eyes_mm"]
    where = say("at eye level")
    if round(top):
        where = say("{top} below eye level", top=lengths.short(top))
    slots = {"way": lengths.short(abs(way)), "where": where}
    if way > 0:
        return say(
            "Lower the display by {way}, so that its top edge is {where} (raising the chair "
            "does the same).",
            **slots,
        )
    return say(
        "Raise the display by {way}, so that its top edge is {where} (lowering the chair does "
        "the same).",
        **slots,
    )


def _buy(asks: Change, numbers: dict[str, float]) -> tuple[str, str]:
    if "counts_per_mm" in asks:
        return (
            say(
                "Only a tablet of at least {counts} counts per mm reaches each pixel here.",
                counts=fixed(asks["counts_per_mm"], 0),
            ),
            say("The price of a tablet. A coarse one still draws, but cannot reach every pixel."),
        )
    width_mm, height_mm = asks["tablet_mm"]
    return (
        say(
            "Only a tablet with an active area of at least {width} × {height} mm will do: strokes "
            "come out {times} times as large.",
            width=number(width_mm, 1),
            height=number(height_mm, 1),
            times=number(numbers["scale_after"]),
        ),
        say("Its price, and room on the desk."),
    )
