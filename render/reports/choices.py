"""The choices that a driver's step leaves, as a table and as plain rows."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mapper.mapping.forms import UNITS
from mapper.mapping.steps import Step
from profiles.plain import headed
from render.sentences.forms import side_heads, step_words
from render.sentences.say import say, say_again
from render.sentences.words import fixed, number
from render.tables import text_lines

if TYPE_CHECKING:
    from collections.abc import Iterator

    from mapper.rounding.rounded import StepChoices


def choices_text(choices: StepChoices, step: Step) -> str:
    """The choices as a table, the truest first; a star marks the one that rounding takes."""
    unit = "px" if choices.of_window else say_again(UNITS[step.unit].sign)
    first = say(
        "Areas in steps of {step}, for the tablet when it is not turned. No other area is both "
        "larger and rounder than one of "
        "these; * marks the one that rounding takes:",
        step=step_words(step),
    )
    if choices.of_window:
        first = say(
            "Windows of whole pixels. No other window is both larger and rounder than one of "
            "these; * marks the one that rounding takes:"
        )
    heads = (
        *side_heads(unit),
        say("stretch"),
        say("area used"),
        say("scale factor"),
    )
    sides = ("left", "top", "width", "height")
    rows = []
    for place, row in _rows(choices, step):
        columns = ["*" if row["taken"] else ""]
        columns += [number(getattr(place, side), 4) for side in sides]
        columns.append(fixed(row["stretch"], 6))
        columns.append(f"{fixed(row['area_used_percent'], 2)} %")
        factor = row["scale_factor"]
        columns.append(say("unknown") if factor is None else fixed(factor, 4))
        rows.append(columns)
    lines = [first, "", *text_lines(["", *heads], rows)]
    return "\n".join(lines) + "\n"


def choices_data(choices: StepChoices, step: Step) -> dict[str, Any]:
    """The choices as plain data."""
    of_window = choices.of_window
    frame, unit, key = ("desktop", "px", "screen") if of_window else ("built", step.unit, "area")
    rows = [
        {key: {"frame": frame, unit: place}, **figures} for place, figures in _rows(choices, step)
    ]
    return headed("step-choices", {"choices": rows}, frame)


def _rows(choices: StepChoices, step: Step) -> Iterator[tuple[Any, dict[str, Any]]]:
    """The rectangle of each choice, in the step's own unit, px for a window; its figures."""
    for sides in choices.sides:
        solved = choices.map(sides)
        place: Any = solved.screen_px if choices.of_window else solved.forms[step.unit]
        figures = {
            "stretch": choices.stretch(sides),
            "area_used_percent": solved.summary.area_used_percent,
            "screen_used_percent": solved.summary.screen_used_percent,
            "scale_factor": solved.summary.scale_factor,
            "taken": sides == choices.chosen,
        }
        yield place, figures
