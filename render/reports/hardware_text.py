"""What displays and tablets report about themselves, as plain text."""

from __future__ import annotations

import textwrap

from mapper.problems import Problem
from mapper.units import MM_PER_INCH
from profiles.hardware.edid import DisplayFacts
from profiles.hardware.pen_facts import PenFacts
from render.sentences.say import Name, say, say_again
from render.sentences.words import number

_LABEL, _VALUE, _LINE = 14, 18, 110


def display_text(place: str, facts: DisplayFacts, use: str, *, in_use: bool = True) -> str:
    """One display: ``place`` is its connector or file, ``use`` what to type for it."""
    pixels = f"{facts.width_px} × {facts.height_px}"
    if facts.width_px is None:
        pixels = say("unknown")
    slots = {"place": place, "display": Name(facts.title)}
    lines: list[str] = [say("{place}: {display}", **slots)]
    if not in_use:
        lines = [say("{place}: {display} (connected, not in use)", **slots)]
    lines.append(_row(say("pixels"), pixels, say_again(facts.pixels_source)))
    if facts.width_mm is None or facts.height_mm is None:
        lines.append(_row(say("size"), say("unknown"), ""))
        typed: str = say(
            "{option} with the size that you measured",
            option=f'--display "WIDTHxHEIGHTmm {_px(facts)}"',
        )
    else:
        lines.append(
            _row(
                say("size"),
                f"{number(facts.width_mm, 1)} × {number(facts.height_mm, 1)} mm",
                say_again(facts.size_source),
            )
        )
        diagonal_in = (facts.width_mm**2 + facts.height_mm**2) ** 0.5 / MM_PER_INCH
        per_inch = ""
        if facts.width_px:
            count = number(facts.width_px * MM_PER_INCH / facts.width_mm, 0)
            per_inch = say("{count} px per inch", count=count)
        lines.append(_row(say("diagonal"), f"{number(diagonal_in, 1)} in", per_inch))
        typed = f'--display "{facts.width_mm:.10g}x{facts.height_mm:.10g}mm {_px(facts)}"'
    return _with_use(lines, facts.doubts, f"--display {use}" if facts.width_px else "", typed)


def silent_text(place: str, problem: Problem, use: str) -> str:
    """A device that is connected but could not be read; ``use`` is what to type instead."""
    said = say("{place}: says nothing about itself", place=place)
    return _with_use([said], (say_again(problem.sentence),), "", use)


def tablet_text(place: str, name: str, pen: PenFacts, doubts: tuple[str, ...], use: str) -> str:
    """One tablet as text: ``place`` is its node or file.

    ``use`` is what to type for it, empty where nothing can be typed.
    """
    size = pen.size_mm
    area: str = say("unknown")
    if size is not None:
        area = f"{number(size[0], 2)} × {number(size[1], 2)} mm"
    lines: list[str] = [
        say("{place}: {tablet}", place=place, tablet=Name(name))
        if name
        else say("{place}: a tablet without a name", place=place)
    ]
    lines.append(_row(say("active area"), area, "" if size is None else say_again(pen.source)))
    per_mm = ""
    if pen.counts_per_mm is not None:
        per_mm = say("{count} per mm", count=number(pen.counts_per_mm, 3))
    lines.append(_row(say("counts"), f"{pen.x.counts} × {pen.y.counts}", per_mm))
    if pen.pressure:
        low, high = map(str, pen.pressure[:2])
        lines.append(_row(say("pressure"), say("{low} to {high}", low=low, high=high), ""))
    if pen.tilt:
        reach = say("yes")
        if pen.tilt_deg:
            low, high = (number(each, 0) for each in pen.tilt_deg[:2])
            reach = say("{low} to {high} degrees", low=low, high=high)
        lines.append(_row(say("tilt"), reach, ""))
    if size is None:
        typed = say(
            "{option} with the size from its manual, or measured",
            option="--tablet WIDTHxHEIGHTmm",
        )
        return _with_use(lines, doubts, "", typed)
    counts = "" if pen.counts_per_mm is None else f"@{pen.counts_per_mm:.10g}/mm"
    return _with_use(
        lines, doubts, f"--tablet {use}", f"--tablet {size[0]:.10g}x{size[1]:.10g}mm{counts}"
    )


def _px(facts: DisplayFacts) -> str:
    return "WIDTHxHEIGHT" if facts.width_px is None else f"{facts.width_px}x{facts.height_px}"


def _row(label: str, value: str, remark: str) -> str:
    return f"  {label:<{_LABEL}}{value:<{_VALUE}}{remark}".rstrip()


def _with_use(lines: list[str], doubts: tuple[str, ...], use: str, typed: str) -> str:
    """The lines, then each doubt, then how to use it."""
    for doubt in doubts:
        wrapped = textwrap.wrap(
            say_again(doubt), _LINE - _LABEL, break_long_words=False, break_on_hyphens=False
        )
        lines += [
            _row("" if index else say("note"), text, "") for index, text in enumerate(wrapped)
        ]
    if use:
        lines.append(_row(say("use it"), use, ""))
    lines.append(_row(say("or type") if use else say("type"), typed, ""))
    return "\n".join(lines) + "\n"
