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
from profiles.plain import headed, plain
from render.sentences.measures import display_words
from render.sentences.say import say
from render.sentences.seat import band_words, below_words, distance_words, turn_words, value_words
from render.sentences.words import fixed, number
from render.tables import text_lines

#: How a value lies to its band. A band is a suggestion: nothing here is called wrong.
_SIDE_WORDS = {"below": "below it", "inside": "within", "above": "above it"}
_WIDE = 116


def seat_text(sitting: Sitting, wanted: dict[str, float]) -> str:
    """What is seen from the chair, as text: distances, angles, edges, and what is recommended.

    ``wanted`` has ``angle_deg`` or ``arc_minutes`` where a distance for them was asked for.
    """
    main = sitting.places[sitting.main]
    lines = [
        (
            f"{distance_words(sitting.seat.distance_mm)} from {main.display.label}, "
            f"{display_words(main.display)}"
        )
    ]
    lines += ["", *_rows(_view_rows(sitting))]
    if len(sitting.places) > 1:
        lines += [
            "",
            "Displays in an arc, each facing the eyes and as far from them:",
            *_arc_lines(sitting),
        ]
    if sitting.stacked:
        labels = ", ".join(display.label for display in sitting.stacked)
        lines += [
            "",
            f"Not in the arc, because it is above or below another on the desktop: {labels}",
        ]
    lines += [
        "",
        "Distance from the eyes to the middle of the picture for",
        *_rows(_distance_rows(sitting, wanted)),
    ]
    lines += ["", "Compared with recommendations (guides, not verdicts):", *_finding_lines(sitting)]
    if not sitting.height_known:
        lines += ["", *_height_lines(sitting)]
    return "\n".join([*lines, "", *textwrap.wrap(CAUTION, _WIDE)]) + "\n"


def _rows(rows: list[tuple[str, str]]) -> list[str]:
    wide = max(len(label) for label, _ in rows)
    return [f"  {label:<{wide}}  {value}" for label, value in rows]


def _view_rows(sitting: Sitting) -> list[tuple[str, str]]:
    view = sitting.view
    angles = [
        fixed(angle, 1) for angle in (view.horizontal_deg, view.vertical_deg, view.diagonal_deg)
    ]
    rows = [
        (
            "picture seen",
            f"{angles[0]} degrees across, {angles[1]} up and down, {angles[2]} along the diagonal",
        ),
    ]
    if view.arc_minutes_per_px_x is not None and view.px_per_degree_x is not None:
        middle, edge = fixed(view.px_per_degree_x, 1), fixed(view.px_per_degree_edge or 0.0, 1)
        words = (
            f"{fixed(view.arc_minutes_per_px_x, 2)} arc-minutes, so {middle} px per degree in "
            f"the middle"
        )
        rows.append(("one pixel", f"{words} and {edge} at the sides"))
        low, high = (
            _letter_px(sitting, end) for end in (RECOMMENDED["text"].low, RECOMMENDED["text"].high)
        )
        words = f"capitals of {low} to {high} px are {band_words(RECOMMENDED['text'])} high"
        rows.append(("letters", words))
    neck = "the neck can rest"
    if view.neck_deg > 0.05:
        neck = f"the neck turns {fixed(view.neck_deg, 1)}"
    words = (
        f"{turn_words(view.left_deg)}, {turn_words(view.right_deg)}; "
        f"the eyes alone reach {number(EYES_ALONE_DEG)}; {neck}"
    )
    rows.append(("side edges", words))
    if sitting.height_known:
        words = (
            f"top {below_words(view.top_deg)}, centre {below_words(view.centre_deg)}, "
            f"bottom {below_words(view.bottom_deg)}"
        )
        rows.append(("up and down", words))
    nearest, farthest = fixed(view.nearest_mm, 0), fixed(view.farthest_mm, 0)
    rows.append(("for the eyes", f"nearest {nearest} mm, farthest corner {farthest} mm"))
    if view.glass.radius_mm is not None:
        radius, depth = fixed(view.glass.radius_mm, 0), fixed(view.glass.depth_mm, 0)
        words = f"radius {radius} mm, edges {depth} mm in front of the middle"
        rows.append(("curve", words))
    return rows


def _letter_px(sitting: Sitting, arc_minutes: float | None) -> str:
    minutes_y = sitting.view.arc_minutes_per_px_y or 1.0
    return fixed((arc_minutes or 0.0) / minutes_y, 0)


def _arc_lines(sitting: Sitting) -> list[str]:
    rows = []
    for index, place in enumerate(sitting.places):
        view = place.view
        step = sitting.step_mm(index) if index + 1 < len(sitting.places) else None
        if step is None:
            next_edge = ""
        elif abs(step) < 0.5:
            next_edge = "level"
        else:
            side = "in front of" if step > 0 else "behind"
            next_edge = f"{fixed(abs(step), 0)} mm {side} this one"
        rows.append(
            [
                place.display.label,
                turn_words(view.stand.turned_deg),
                f"{fixed(view.left_deg, 1)} to {fixed(view.right_deg, 1)}",
                fixed(view.horizontal_deg, 1),
                next_edge,
            ]
        )
    head = ["display", "turn it to face", "edges, degrees", "seen, degrees", "next edge stands"]
    return [f"  {line}" for line in text_lines(head, rows, left=2)]


def _distance_rows(sitting: Sitting, wanted: dict[str, float]) -> list[tuple[str, str]]:
    glass = sitting.view.glass
    rows = []
    if "angle_deg" in wanted:
        distance_mm = distance_for_angle_mm(glass, wanted["angle_deg"])
        rows.append(
            (f"{number(wanted['angle_deg'])} degrees across, as asked", distance_words(distance_mm))
        )
    if glass.pitch_mm is not None:
        if "arc_minutes" in wanted:
            distance_mm = distance_for_arc_minutes_mm(glass.pitch_mm[0], wanted["arc_minutes"])
            rows.append(
                (
                    f"{number(wanted['arc_minutes'])} arc-minutes per px, as asked",
                    distance_words(distance_mm),
                )
            )
        one = distance_for_arc_minutes_mm(glass.pitch_mm[0])
        rows.append(("one arc-minute per px (ITU-R BT.500, not checked)", distance_words(one)))
        reference_deg = visual_angle_deg(REFERENCE_PIXEL_MM, REFERENCE_DISTANCE_MM)
        reference = distance_for_arc_minutes_mm(glass.pitch_mm[0], 60 * reference_deg)
        words = f"{number(60 * reference_deg)} arc-minutes per px (reference pixel, W3C CSS Values)"
        rows.append((words, distance_words(reference)))
    near, far, reasons = comfortable_distance_mm(glass)
    about = {"distance": "distance", "width": "width of view"}
    named = ", ".join(about[key] for key in reasons)
    rows.append((f"recommended for {named}", f"{fixed(near, 0)} to {fixed(far, 0)} mm"))
    return rows


def _finding_lines(sitting: Sitting) -> list[str]:
    rows = []
    for finding in seat_findings(sitting):
        recommended = finding.recommendation
        side, band = _SIDE_WORDS[finding.side], band_words(recommended)
        if not recommended.comfort:
            side, band = "", say("no limit of comfort ({band})", band=band)
        value = value_words(finding.value, recommended.unit)
        rows.append([recommended.about, value, side, band, recommended.cited])
    return [
        f"  {line}" for line in text_lines(["", "here", "", "recommended", "source"], rows, left=5)
    ]


def _height_lines(sitting: Sitting) -> list[str]:
    """Where the display should stand, for people who have not said where it stands."""
    view = sitting.view
    distance_mm = view.stand.distance_mm
    level = below_deg_of_top(view.glass, distance_mm, 0.0, None)
    tops = [
        top_for_centre_mm(view.glass, distance_mm, below or 0.0, None) for below in (15.0, 20.0)
    ]
    drops = " to ".join(
        f"{fixed(abs(top), 0)} mm {'below' if top >= 0 else 'above'}" for top in tops
    )
    text = (
        "Display height not given (--top-below-eyes), so vertical angles are left out. "
        "With its top edge at eye level and tilted to face you, "
        f"its centre would lie {fixed(level, 1)} degrees below; "
        f"for a centre 15 to 20 degrees below, the top edge stands {drops} eye level."
    )
    return textwrap.wrap(text, _WIDE)


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
