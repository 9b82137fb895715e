"""The findings of touched crosses as text and as plain data."""

from __future__ import annotations

from typing import Any

from mapper.touching.area import TouchedArea
from mapper.touching.verdict import RIGHT, TouchVerdict
from profiles.plain import headed
from render.reports.sizes_text import area_data, area_text
from render.sentences.say import say, say_count
from render.sentences.touch import (
    cause_sentence,
    corner_sentence,
    cures,
    held_sentence,
    side_words,
    slip_sentence,
    verdict_sentence,
)
from render.sentences.words import fixed, number, signed
from render.tables import text_lines


def touch_text(verdict: TouchVerdict, desk: str) -> str:
    """The verdict, what to set, wrong touches and the figures."""
    lines = [verdict_sentence(verdict, desk)]
    for cause in (verdict.cause, *verdict.also):
        sentence = cause_sentence(cause, verdict)
        lines += [sentence] if sentence else []
        lines += [f"  {cure}" for cure in cures(cause, verdict)]
    if verdict.ask_corner:
        lines.append(corner_sentence())
    lines += [slip_sentence(slip) for slip in verdict.slips]
    if verdict.held:
        lines.append(held_sentence(verdict))
    if verdict.found is not None and verdict.fit is not None:
        lines += ["", *_figures(verdict)]
    return "\n".join(lines) + "\n"


def _figures(verdict: TouchVerdict) -> list[str]:
    assert verdict.found is not None and verdict.fit is not None  # noqa: PT018 - said above
    found, limits = verdict.found, verdict.limits_mm
    words = side_words()
    rows = [
        [
            words[name],
            f"{signed(fixed(known.value, 1))} mm",
            f"{fixed(known.half_width, 1)} mm",
            f"{fixed(limits[name], 1)} mm",
            f"{fixed(getattr(verdict.meant.area_built_mm, name), 1)} mm",
        ]
        for name, known in found.sizes_known.items()
        if name in limits
    ]
    heads = ["", "", say("random error up to"), say("total error up to"), say("should be")]
    scatter = number(verdict.fit.scatter_mm, 2)
    title = say_count(
        "{count} touch, about {mm} mm off. Possible errors (95 % sure):",
        "{count} touches, about {mm} mm off. Possible errors (95 % sure):",
        verdict.touches,
        mm=scatter,
    )
    return [title, *(f"  {line}" for line in text_lines(heads, rows))]


def touched_area_text(found: TouchedArea, displays: list[str]) -> str:
    """The size of the active area by touched crosses, wrong touches, and how to go on."""
    lines = [slip_sentence(slip) for slip in found.slips]
    scatter = say_count(
        "{count} touch was used; it lands about {mm} mm off.",
        "{count} touches were used; they land about {mm} mm off.",
        found.touches,
        mm=number(found.scatter_mm, 2),
    )
    return "\n".join([*lines, scatter, area_text(found.size, displays)])


def touched_area_data(found: TouchedArea) -> dict[str, Any]:
    """The size of the active area by touched crosses as plain data."""
    more = {"touches": found.touches, "scatter_mm": found.scatter_mm, "slips": list(found.slips)}
    return area_data(found.size, more)


def touch_data(verdict: TouchVerdict, desk: str) -> dict[str, Any]:
    """The findings as plain data; what is not known is absent."""
    found, fit, limits = verdict.found, verdict.fit, verdict.limits_mm
    data: dict[str, Any] = {
        "desk": desk,
        "agrees": verdict.answer == RIGHT,
        "answer": verdict.answer,
        "cause": {"name": verdict.cause.name, "correct": list(verdict.cause.correct)},
        "also": [{"name": each.name, "correct": list(each.correct)} for each in verdict.also],
        "to_set": cures(verdict.cause, verdict),
        "ask_corner": verdict.ask_corner,
        "touches": verdict.touches,
        "held_at_an_edge": verdict.held,
        "slips": list(verdict.slips),
    }
    if found is None or fit is None:
        return headed("touch", data, "built", "desktop")
    area = found.setting.area_built_mm
    sizes = found.sizes_known
    scales = {
        "across": (found.setting.target_px.width, "width"),
        "down": (found.setting.target_px.height, "height"),
    }
    if found.setting.turn_deg % 180:
        scales = {
            "across": (scales["across"][0], "height"),
            "down": (scales["down"][0], "width"),
        }
    data |= {
        "area_built_mm": {
            name: {
                "value": getattr(area, name),
                "low": sizes[name].low,
                "high": sizes[name].high,
                "limit": limits[name],
            }
            for name in limits
        },
        "turn_deg": found.setting.turn_deg,
        "mirror": found.setting.mirror or None,
        "askew_deg": found.turned_deg,
        "scale_px_per_mm": {
            name: {
                "value": px / sizes[side].value,
                "low": px / sizes[side].high,
                "high": px / sizes[side].low,
            }
            for name, (px, side) in scales.items()
            if sizes[side].low > 0
        },
        "scatter_mm": fit.scatter_mm,
        "built_mm_to_desktop_px": fit.to_px.rows,
    }
    return headed("touch", data, "built", "desktop")
