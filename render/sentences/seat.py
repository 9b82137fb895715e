"""How a display looks from a seat, in sentences."""

from __future__ import annotations

from mapper.choosing.recommended import Recommendation
from mapper.choosing.sitting import Finding, Sitting, seat_findings
from render.sentences.lengths import Lengths, distance_words
from render.sentences.measures import display_words
from render.sentences.say import Name, say, say_again
from render.sentences.seat_heading import outside, outside_sentence, pixels_sentence
from render.sentences.words import capital, fixed, number, signed

_PLACES = {"mm": 0, "degrees": 1, "arc-minutes": 2, "times": 3, "counts": 2, "px": 0}


def turn_words(turn_deg: float) -> str:
    """``straight ahead``, ``43.2 degrees to the left``."""
    if abs(turn_deg) < 0.05:
        return say("straight ahead")
    degrees = fixed(abs(turn_deg), 1)
    if turn_deg > 0:
        return say("{degrees} degrees to the right", degrees=degrees)
    return say("{degrees} degrees to the left", degrees=degrees)


def value_words(value: float, unit: str) -> str:
    """A value with its unit, with the decimals usual for that unit."""
    text = signed(number(value, _PLACES.get(unit, 2)))
    one = text == "1"
    return {
        "": text,
        "mm": say("{value} mm", value=text),
        "px": say("{value} px", value=text),
        "times": text,
        "degrees": say("{value} degree", value=text) if one else say("{value} degrees", value=text),
        "arc-minutes": (
            say("{value} arc-minute", value=text) if one else say("{value} arc-minutes", value=text)
        ),
        "counts": say("{value} count", value=text) if one else say("{value} counts", value=text),
    }[unit]


def band_words(recommendation: Recommendation) -> str:
    """``508 to 1016 mm``, ``up to 35 degrees``, ``0 degrees or more``."""
    low, high, unit = recommendation.low, recommendation.high, recommendation.unit
    if low is None:
        return say("up to {high}", high=value_words(high or 0.0, unit))
    if high is None:
        return say("{low} or more", low=value_words(low, unit))
    return say(
        "{low} to {high}", low=number(low, _PLACES.get(unit, 2)), high=value_words(high, unit)
    )


def seat_sentences(sitting: Sitting) -> list[str]:
    """What is seen from a seat, and how that compares with what is recommended."""
    main, view = sitting.places[sitting.main].display, sitting.view
    sentences: list[str] = [
        say("The desk from above and from the side, both to one scale."),
        say(
            "The eyes are {distance} from {display}, {size}.",
            distance=distance_words(sitting.seat.distance_mm),
            display=Name(main.label),
            size=display_words(main),
        ),
        say(
            "It fills {across} degrees across and {down} up and down.",
            across=fixed(view.horizontal_deg, 1),
            down=fixed(view.vertical_deg, 1),
        ),
        say(
            "Its side edges lie {left} and {right}.",
            left=turn_words(view.left_deg),
            right=turn_words(view.right_deg),
        ),
    ]
    if sitting.height_known:
        sentences.append(
            say(
                "Its top lies {top}, its centre {centre}, its bottom {bottom}, seen from eye "
                "level.",
                top=below_words(view.top_deg),
                centre=below_words(view.centre_deg),
                bottom=below_words(view.bottom_deg),
            )
        )
    else:
        sentences.append(
            say("Display height not given, so it is drawn with its top edge at eye level.")
        )
    sentences += _turned_sentences(sitting)
    return sentences + [_finding_sentence(finding) for finding in seat_findings(sitting)]


def _turned_sentences(sitting: Sitting) -> list[str]:
    """How each display beside the main one is turned; nothing of one that is not."""
    return [
        say(
            "{display} is turned {turn}.",
            display=Name(place.display.label),
            turn=turn_words(place.view.stand.turned_deg),
        )
        for index, place in enumerate(sitting.places)
        if index != sitting.main and abs(place.view.stand.turned_deg) >= 0.05
    ]


def plain_seat_sentences(sitting: Sitting, lengths: Lengths) -> list[str]:
    """What is seen from a seat and what is not as recommended, without sources or arc-minutes."""
    main, view = sitting.places[sitting.main].display, sitting.view
    slots = {
        "distance": lengths.far(sitting.seat.distance_mm),
        "across": number(view.horizontal_deg, 0),
        "down": number(view.vertical_deg, 0),
    }
    sentences: list[str] = [
        say(
            "At {distance} the display fills {across}° of your view from side to side and {down}° "
            "from top to bottom.",
            **slots,
        )
        if len(sitting.places) == 1
        else say(
            "At {distance} {display} fills {across}° of your view from side to side "
            "and {down}° from top to bottom.",
            display=Name(main.label),
            **slots,
        )
    ]
    if sitting.height_known:
        sentences.append(
            say(
                "Its top lies {top}, its bottom {bottom}, seen from eye level.",
                top=below_words(view.top_deg),
                bottom=below_words(view.bottom_deg),
            )
        )
    sentences += _turned_sentences(sitting)
    sentences += [outside_sentence(sitting, each, lengths) for each in outside(sitting)]
    pixels = pixels_sentence(sitting, lengths)
    return [*sentences, pixels] if pixels else sentences


def small_print(sitting: Sitting, lengths: Lengths) -> list[str]:
    """Every figure of a seat beside what is recommended, with who recommends it."""
    return [_cited(finding, lengths) for finding in seat_findings(sitting)]


def _cited(finding: Finding, lengths: Lengths) -> str:
    known, value = finding.recommendation, value_words(finding.value, finding.recommendation.unit)
    band = band_words(known)
    if known.unit == "mm" and known.low is not None and known.high is not None:
        value = lengths.far(finding.value)
        ends = {"low": lengths.far(known.low), "high": lengths.far(known.high)}
        band = say("{low} to {high}", **ends)
    slots = _beside(known, value, band)
    if not known.comfort:
        return _usual_sentence(slots)
    return say("{figure}: {value}; recommended {band} ({source}).", **slots)


def _beside(known: Recommendation, value: str, band: str) -> dict[str, str]:
    """The slots of a figure beside what is recommended, and by whom."""
    about, cited = say_again(known.about), say_again(known.cited)
    return {"figure": capital(about), "value": value, "band": band, "source": cited}


def _usual_sentence(slots: dict[str, str]) -> str:
    """A figure beside what is usual, where that is no limit of comfort."""
    return say("{figure}: {value} (usual: {band}, {source}; this is not a comfort limit).", **slots)


def _finding_sentence(finding: Finding) -> str:
    """One figure of the seat beside what is recommended, or what is known of it."""
    known = finding.recommendation
    if finding.key == "top":
        return _top_sentence(finding)
    if finding.key == "eyes":
        return say(
            "Side edges: {value} away; beyond {most} the head turns with the eyes ({source}). This "
            "is not a comfort limit.",
            value=value_words(finding.value, known.unit),
            most=value_words(known.high or 0.0, known.unit),
            source=say_again(known.cited),
        )
    slots = _beside(known, value_words(finding.value, known.unit), band_words(known))
    if not known.comfort:
        return _usual_sentence(slots)
    return {
        "below": say("{figure}: {value}, less than recommended ({band}).", **slots),
        "inside": say("{figure}: {value}, as recommended ({band}).", **slots),
        "above": say("{figure}: {value}, more than recommended ({band}).", **slots),
    }[finding.side]


def _top_sentence(finding: Finding) -> str:
    """Where the top edge is beside eye level, and that it should not be above it."""
    degrees = fixed(abs(finding.value), 1)
    if finding.side != "inside":
        return say(
            "The top edge is {degrees} degrees above eye level; recommended: at or below it.",
            degrees=degrees,
        )
    if degrees == "0.0":
        return say("The top edge is at eye level, as recommended (at or below it).")
    return say(
        "The top edge is {degrees} degrees below eye level, as recommended (at or below it).",
        degrees=degrees,
    )


def below_words(below_deg: float) -> str:
    """``at eye level``, ``3.2 degrees below``."""
    if abs(below_deg) < 0.05:
        return say("at eye level")
    degrees = fixed(abs(below_deg), 1)
    if below_deg > 0:
        return say("{degrees} degrees below", degrees=degrees)
    return say("{degrees} degrees above", degrees=degrees)
