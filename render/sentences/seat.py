"""How a display looks from a seat, in sentences."""

from __future__ import annotations

from mapper.choosing.recommended import Recommendation
from mapper.choosing.sitting import Sitting, seat_findings
from mapper.units import MM_PER_INCH
from render.sentences.measures import display_words
from render.sentences.words import capital, fixed, number

_PLACES = {"mm": 0, "degrees": 1, "arc-minutes": 2, "times": 3, "counts": 2, "px": 0}


def distance_words(value_mm: float) -> str:
    """``700 mm (27.6 in)``."""
    return f"{fixed(value_mm, 0)} mm ({fixed(value_mm / MM_PER_INCH, 1)} in)"


def turn_words(turn_deg: float) -> str:
    """``straight ahead``, ``43.2 degrees to the left``."""
    if abs(turn_deg) < 0.05:
        return "straight ahead"
    return f"{fixed(abs(turn_deg), 1)} degrees to the {'right' if turn_deg > 0 else 'left'}"


def value_words(value: float, unit: str) -> str:
    """A value with its unit, with the decimals usual for that unit."""
    text = number(value, _PLACES.get(unit, 2))
    return f"{text} {unit.removesuffix('s') if text == '1' and unit != 'times' else unit}".rstrip()


def band_words(recommendation: Recommendation) -> str:
    """``508 to 1016 mm``, ``up to 35 degrees``, ``0 degrees or more``."""
    low, high, unit = recommendation.low, recommendation.high, recommendation.unit
    if low is None:
        return f"up to {value_words(high or 0.0, unit)}"
    if high is None:
        return f"{value_words(low, unit)} or more"
    return f"{number(low, _PLACES.get(unit, 2))} to {value_words(high, unit)}"


def seat_sentences(sitting: Sitting) -> list[str]:
    """What is seen from a seat, and how that compares with what is recommended."""
    main, view = sitting.places[sitting.main].display, sitting.view
    sentences = [
        "The desk from above and from the side, both to one scale.",
        (
            f"The eyes are {distance_words(sitting.seat.distance_mm)} from {main.label}, "
            f"{display_words(main)}."
        ),
        (
            f"It fills {fixed(view.horizontal_deg, 1)} degrees across and "
            f"{fixed(view.vertical_deg, 1)} up and down."
        ),
        f"Its side edges lie {turn_words(view.left_deg)} and {turn_words(view.right_deg)}.",
    ]
    if sitting.height_known:
        sentences.append(
            f"Its top lies {below_words(view.top_deg)}, its centre "
            f"{below_words(view.centre_deg)}, its bottom "
            f"{below_words(view.bottom_deg)}, seen from eye level."
        )
    else:
        sentences.append("Display height not given, so it is drawn with its top edge at eye level.")
    sentences += [
        f"{place.display.label} is turned {turn_words(place.view.stand.turned_deg)}."
        for index, place in enumerate(sitting.places)
        if index != sitting.main and abs(place.view.stand.turned_deg) >= 0.05
    ]
    for finding in seat_findings(sitting):
        known = finding.recommendation
        if not known.comfort:
            value, band = value_words(finding.value, known.unit), band_words(known)
            sentences.append(
                f"{capital(known.about)}: {value}; no limit of comfort ({band}: {known.cited})."
            )
            continue
        lies = {"below": "which is less than", "inside": "within", "above": "which is more than"}[
            finding.side
        ]
        value = value_words(finding.value, known.unit)
        sentences.append(
            f"{capital(known.about)}: {value}, {lies} the recommended {band_words(known)}."
        )
    return sentences


def below_words(below_deg: float) -> str:
    """``at eye level``, ``3.2 degrees below``."""
    if abs(below_deg) < 0.05:
        return "at eye level"
    return f"{fixed(abs(below_deg), 1)} degrees {'below' if below_deg > 0 else 'above'}"
