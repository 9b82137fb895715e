"""What displays and tablets report about themselves, as plain text."""

from __future__ import annotations

import textwrap

from mapper.problems import Problem
from mapper.units import MM_PER_INCH
from profiles.hardware.edid import DisplayFacts
from profiles.hardware.pen_facts import PenFacts
from render.sentences.words import number

_LABEL, _VALUE, _LINE = 14, 18, 110


def display_text(place: str, facts: DisplayFacts, use: str, *, in_use: bool = True) -> str:
    """One display: ``place`` is its connector or file, ``use`` what to type for it."""
    pixels = "unknown" if facts.width_px is None else f"{facts.width_px} x {facts.height_px}"
    lines = [f"{place}: {facts.title}{'' if in_use else ' (connected, not in use)'}"]
    lines.append(_row("pixels", pixels, facts.pixels_source))
    if facts.width_mm is None or facts.height_mm is None:
        lines.append(_row("size", "unknown", ""))
        typed = f'--display "WIDTHxHEIGHTmm {_px(facts)}" with the size you measured'
    else:
        lines.append(
            _row(
                "size",
                f"{number(facts.width_mm, 1)} x {number(facts.height_mm, 1)} mm",
                facts.size_source,
            )
        )
        diagonal_in = (facts.width_mm**2 + facts.height_mm**2) ** 0.5 / MM_PER_INCH
        per_inch = (
            f"{facts.width_px * MM_PER_INCH / facts.width_mm:.0f} px per inch"
            if facts.width_px
            else ""
        )
        lines.append(_row("diagonal", f"{number(diagonal_in, 1)} in", per_inch))
        typed = f'--display "{facts.width_mm:.10g}x{facts.height_mm:.10g}mm {_px(facts)}"'
    return _with_use(lines, facts.doubts, f"--display {use}" if facts.width_px else "", typed)


def silent_text(place: str, problem: Problem, use: str) -> str:
    """A device that is connected but could not be read; ``use`` is what to type instead."""
    return _with_use([f"{place}: says nothing about itself"], (str(problem),), "", use)


def tablet_text(place: str, name: str, pen: PenFacts, doubts: tuple[str, ...], use: str) -> str:
    """One tablet as text: ``place`` is its node or file.

    ``use`` is what to type for it, empty where nothing can be typed.
    """
    size = pen.size_mm
    area = "unknown" if size is None else f"{number(size[0], 2)} x {number(size[1], 2)} mm"
    lines = [f"{place}: {name or 'a tablet without a name'}"]
    lines.append(_row("active area", area, "" if size is None else pen.source))
    per_mm = "" if pen.counts_per_mm is None else f"{number(pen.counts_per_mm, 3)} per mm"
    lines.append(_row("counts", f"{pen.x.counts} x {pen.y.counts}", per_mm))
    if pen.pressure:
        lines.append(_row("pressure", f"{pen.pressure[0]} to {pen.pressure[1]}", ""))
    if pen.tilt:
        reach = (
            f"{number(pen.tilt_deg[0], 0)} to {number(pen.tilt_deg[1], 0)} degrees"
            if pen.tilt_deg
            else "yes"
        )
        lines.append(_row("tilt", reach, ""))
    if size is None:
        return _with_use(
            lines, doubts, "", "--tablet WIDTHxHEIGHTmm with the size from its manual, or measured"
        )
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
            doubt, _LINE - _LABEL, break_long_words=False, break_on_hyphens=False
        )
        lines += [
            _row("note" if index == 0 else "", text, "") for index, text in enumerate(wrapped)
        ]
    if use:
        lines.append(_row("use it", use, ""))
    lines.append(_row("or type" if use else "type", typed, ""))
    return "\n".join(lines) + "\n"
