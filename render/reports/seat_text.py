"""What a person sees from the chair, as text and as plain data."""

from __future__ import annotations

import textwrap
from typing import Any

from mapper.choosing.recommended import (
    CAUTION,
    RECOMMENDED,
    REFERENCE_DISTANCE_MM,
    REFERENCE_PIXEL_MM,
)
from mapper.choosing.sitting import (
    Sitting,
    comfortable_distance_mm,
    seat_findings,
    top_for_centre_mm,
)
from mapper.choosing.viewing import (
    EYES_ALONE_DEG,
    below_deg_of_top,
    distance_for_angle_mm,
    distance_for_arc_minutes_mm,
    visual_angle_deg,
)
from mapper.phrases import phrase
from profiles.plain import headed, plain
from render.sentences.lengths import distance_words
from render.sentences.measures import display_words
from render.sentences.say import Name, listed, paragraph, say, say_again
from render.sentences.seat import band_words, below_words, turn_words, value_words
from render.sentences.words import fixed, number
from render.tables import text_lines

#: How a value lies to its band. A band is a suggestion: nothing here is called wrong.
_SIDE_WORDS = {
    "below": phrase("too little"),
    "inside": phrase("within"),
    "above": phrase("too much"),
}
_WIDE = 116


def seat_text(sitting: Sitting, wanted: dict[str, float]) -> str:
    """What is seen from the chair, as text: distances, angles, edges, and what is recommended.

    ``wanted`` has ``angle_deg`` or ``arc_minutes`` where a distance for them was asked for.
    """
    main = sitting.places[sitting.main]
    lines: list[str] = [
        say(
            "{distance} from {display}, {size}",
            distance=distance_words(sitting.seat.distance_mm),
            display=Name(main.display.label),
            size=display_words(main.display),
        )
    ]
    lines += ["", *_rows(_view_rows(sitting))]
    if len(sitting.places) > 1:
        lines += [
            "",
            say("Displays in an arc, each facing the eyes at the same distance:"),
            *_arc_lines(sitting),
        ]
    if sitting.stacked:
        labels = listed([Name(display.label) for display in sitting.stacked])
        lines += [
            "",
            say(
                "Not in the arc, because it is above or below another on the desktop: {displays}",
                displays=labels,
            ),
        ]
    lines += [
        "",
        say("Distance from the eyes to the middle of the picture for"),
        *_rows(_distance_rows(sitting, wanted)),
    ]
    heading = say("Compared with recommendations (they are only advice):")
    lines += ["", heading, *_finding_lines(sitting)]
    if not sitting.height_known:
        lines += ["", *_height_lines(sitting)]
    return "\n".join([*lines, "", *textwrap.wrap(say_again(CAUTION), _WIDE)]) + "\n"


def _rows(rows: list[tuple[str, str]]) -> list[str]:
    wide = max(len(label) for label, _ in rows)
    return [f"  {label:<{wide}}  {value}" for label, value in rows]


def _view_rows(sitting: Sitting) -> list[tuple[str, str]]:
    view = sitting.view
    rows: list[tuple[str, str]] = [
        (
            say("display looks"),
            say(
                "{across} degrees across, {down} up and down, {diagonal} along the diagonal",
                across=fixed(view.horizontal_deg, 1),
                down=fixed(view.vertical_deg, 1),
                diagonal=fixed(view.diagonal_deg, 1),
            ),
        ),
    ]
    if view.arc_minutes_per_px_x is not None and view.px_per_degree_x is not None:
        words = say(
            "{minutes} arc-minutes, so {middle} px per degree in the middle and {edge} at the "
            "sides",
            minutes=fixed(view.arc_minutes_per_px_x, 2),
            middle=fixed(view.px_per_degree_x, 1),
            edge=fixed(view.px_per_degree_edge or 0.0, 1),
        )
        rows.append((say("one pixel"), words))
        low, high = (
            _letter_px(sitting, end) for end in (RECOMMENDED["text"].low, RECOMMENDED["text"].high)
        )
        words = say(
            "capitals of {low} to {high} px are {band} high",
            low=low,
            high=high,
            band=band_words(RECOMMENDED["text"]),
        )
        rows.append((say("letters"), words))
    rows.append((say("side edges"), _edges_words(sitting)))
    if sitting.height_known:
        words = say(
            "top {top}, centre {centre}, bottom {bottom}",
            top=below_words(view.top_deg),
            centre=below_words(view.centre_deg),
            bottom=below_words(view.bottom_deg),
        )
        rows.append((say("up and down"), words))
    words = say(
        "nearest {nearest} mm, farthest corner {farthest} mm",
        nearest=fixed(view.nearest_mm, 0),
        farthest=fixed(view.farthest_mm, 0),
    )
    rows.append((say("for the eyes"), words))
    if view.glass.radius_mm is not None:
        words = say(
            "radius {radius} mm, edges {depth} mm in front of the middle",
            radius=fixed(view.glass.radius_mm, 0),
            depth=fixed(view.glass.depth_mm, 0),
        )
        rows.append((say("curve"), words))
    return rows


def _edges_words(sitting: Sitting) -> str:
    """Where the side edges lie, and whether the neck has to turn to look at them."""
    view = sitting.view
    slots = {
        "left": turn_words(view.left_deg),
        "right": turn_words(view.right_deg),
        "eyes": number(EYES_ALONE_DEG),
    }
    if view.neck_deg > 0.05:
        return say(
            "{left}, {right}; the eyes alone reach {eyes} degrees; the neck turns {neck} degrees",
            neck=fixed(view.neck_deg, 1),
            **slots,
        )
    return say("{left}, {right}; the eyes alone reach {eyes} degrees; the neck can rest", **slots)


def _letter_px(sitting: Sitting, arc_minutes: float | None) -> str:
    minutes_y = sitting.view.arc_minutes_per_px_y or 1.0
    return fixed((arc_minutes or 0.0) / minutes_y, 0)


def _arc_lines(sitting: Sitting) -> list[str]:
    rows = []
    for index, place in enumerate(sitting.places):
        view = place.view
        step = sitting.step_mm(index) if index + 1 < len(sitting.places) else None
        left, right = fixed(view.left_deg, 1), fixed(view.right_deg, 1)
        rows.append(
            [
                place.display.label,
                turn_words(view.stand.turned_deg),
                say("{left} to {right}", left=left, right=right),
                fixed(view.horizontal_deg, 1),
                "" if step is None else _next_edge_words(step),
            ]
        )
    head = [
        say("display"),
        say("turn it to face"),
        say("edges, degrees"),
        say("seen, degrees"),
        say("next display's edge"),
    ]
    return [f"  {line}" for line in text_lines(head, rows, left=2)]


def _next_edge_words(step_mm: float) -> str:
    """Where the edge of the next display stands: ``3 mm in front of this one``."""
    if abs(step_mm) < 0.5:
        return say("level")
    mm = fixed(abs(step_mm), 0)
    if step_mm > 0:
        return say("{mm} mm in front of this one", mm=mm)
    return say("{mm} mm behind this one", mm=mm)


def _distance_rows(sitting: Sitting, wanted: dict[str, float]) -> list[tuple[str, str]]:
    glass = sitting.view.glass
    rows: list[tuple[str, str]] = []
    if "angle_deg" in wanted:
        distance_mm = distance_for_angle_mm(glass, wanted["angle_deg"])
        asked = say("{degrees} degrees across, as you asked", degrees=number(wanted["angle_deg"]))
        rows.append((asked, distance_words(distance_mm)))
    if glass.pitch_mm is not None:
        if "arc_minutes" in wanted:
            distance_mm = distance_for_arc_minutes_mm(glass.pitch_mm[0], wanted["arc_minutes"])
            minutes = value_words(wanted["arc_minutes"], "arc-minutes")
            asked = say("{minutes} per px, as you asked", minutes=minutes)
            rows.append((asked, distance_words(distance_mm)))
        one = distance_for_arc_minutes_mm(glass.pitch_mm[0])
        rows.append((say("one arc-minute per px (ITU-R BT.500, not checked)"), distance_words(one)))
        reference_deg = visual_angle_deg(REFERENCE_PIXEL_MM, REFERENCE_DISTANCE_MM)
        reference = distance_for_arc_minutes_mm(glass.pitch_mm[0], 60 * reference_deg)
        words = say(
            "{minutes} arc-minutes per px (reference pixel, W3C CSS Values)",
            minutes=number(60 * reference_deg),
        )
        rows.append((words, distance_words(reference)))
    near, far, reasons = comfortable_distance_mm(glass)
    about = {"distance": say("distance"), "width": say("width of view")}
    named = say("recommended for {reasons}", reasons=listed([about[key] for key in reasons]))
    rows.append((named, say("{near} to {far} mm", near=fixed(near, 0), far=fixed(far, 0))))
    return rows


def _finding_lines(sitting: Sitting) -> list[str]:
    rows = []
    for finding in seat_findings(sitting):
        recommended = finding.recommendation
        side, band = say_again(_SIDE_WORDS[finding.side]), band_words(recommended)
        if not recommended.comfort:
            side, band = "", say("usual: {band}; this is not a comfort limit", band=band)
        value = value_words(finding.value, recommended.unit)
        about, cited = say_again(recommended.about), say_again(recommended.cited)
        rows.append([about, value, side, band, cited])
    head = ["", say("here"), "", say("recommended"), say("source")]
    return [f"  {line}" for line in text_lines(head, rows, left=5)]


def _height_lines(sitting: Sitting) -> list[str]:
    """Where the display should stand, for people who have not said where it stands."""
    view = sitting.view
    distance_mm = view.stand.distance_mm
    level = below_deg_of_top(view.glass, distance_mm, 0.0, None)
    tops = [
        top_for_centre_mm(view.glass, distance_mm, below or 0.0, None) for below in (15.0, 20.0)
    ]
    text = paragraph(
        [
            say(
                "The height of the display is not given ({option}), so angles up and down are left "
                "out.",
                option="--top-below-eyes",
            ),
            say(
                "With its top edge at eye level and tilted to face you, its centre lies {degrees} "
                "degrees below eye level.",
                degrees=fixed(level, 1),
            ),
            _top_sentence(*tops),
        ]
    )
    return textwrap.wrap(text, _WIDE)


def _top_sentence(first_mm: float, second_mm: float) -> str:
    """Where the top edge has to stand for a recommended centre; mm below eye level."""
    high, low = sorted((first_mm, second_mm))
    above, below = fixed(abs(high), 0), fixed(abs(low), 0)
    if high >= 0:
        return say(
            "For a centre 15 to 20 degrees below eye level, put its top edge {high} to {low} mm "
            "below eye level.",
            high=above,
            low=below,
        )
    if low < 0:
        return say(
            "For a centre 15 to 20 degrees below eye level, put its top edge {low} to {high} mm "
            "above eye level.",
            low=below,
            high=above,
        )
    return say(
        "For a centre 15 to 20 degrees below eye level, put its top edge between {above} mm above "
        "and {below} mm below eye level.",
        above=above,
        below=below,
    )


def seat_data(sitting: Sitting, wanted: dict[str, float]) -> dict[str, Any]:
    """What is seen from the chair, as plain data; what is not known is absent."""
    glass = sitting.view.glass
    distances: dict[str, float] = {}
    if "angle_deg" in wanted:
        distances["for_angle_mm"] = distance_for_angle_mm(glass, wanted["angle_deg"])
    if glass.pitch_mm is not None:
        if "arc_minutes" in wanted:
            distances["for_arc_minutes_mm"] = distance_for_arc_minutes_mm(
                glass.pitch_mm[0], wanted["arc_minutes"]
            )
        distances["one_arc_minute_per_px_mm"] = distance_for_arc_minutes_mm(glass.pitch_mm[0])
    data = {
        "distance_mm": sitting.seat.distance_mm,
        "main": sitting.places[sitting.main].display.label,
        "displays": [_place_data(sitting, index) for index in range(len(sitting.places))],
        "not_in_arc": [display.label for display in sitting.stacked] or None,
        "distances": distances,
        "recommended": [
            {"value": finding.value, "side": finding.side, **plain(finding.recommendation)}
            for finding in seat_findings(sitting)
        ],
        "caution": CAUTION,
    }
    return headed("seat", data)


_VIEW_KEYS = (
    "horizontal_deg",
    "vertical_deg",
    "diagonal_deg",
    "left_deg",
    "right_deg",
    "nearest_mm",
    "farthest_mm",
    "arc_minutes_per_px_x",
    "arc_minutes_per_px_y",
    "px_per_degree_x",
    "px_per_degree_y",
    "px_per_degree_edge",
    "neck_deg",
)


def _place_data(sitting: Sitting, index: int) -> dict[str, Any]:
    place = sitting.places[index]
    view = place.view
    keys = (*_VIEW_KEYS, *(("top_deg", "centre_deg", "bottom_deg") if sitting.height_known else ()))
    data: dict[str, Any] = {"display": place.display.label, "turn_deg": view.stand.turned_deg}
    data |= {key: getattr(view, key) for key in keys}
    if index + 1 < len(sitting.places):
        data["next_edge_nearer_by_mm"] = sitting.step_mm(index)
    return data
