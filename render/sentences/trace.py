"""The result of a trace in sentences: the verdict, its causes and what to correct."""

from __future__ import annotations

from mapper.mapping.entry import Entry, entry_numbers
from mapper.mapping.forms import rect_forms
from mapper.mapping.solve import TabletMap
from mapper.phrases import phrase
from mapper.rect import Rect
from mapper.tracing.diagnosis import ALIKE, Cause, Diagnosis
from profiles.strokes.traces import TraceReport
from render.sentences.driver import (
    part_words,
    set_angle,
    set_no_mirror,
    set_rotation,
    way_words,
)
from render.sentences.entry import ToType, answer_sentences
from render.sentences.forms import UNIT_WORDS
from render.sentences.say import Name, listed, say, say_again, unmarked
from render.sentences.words import number, to_type, usual_entry


def verdict(report: TraceReport) -> str:
    """Whether the tablet uses the setting, in one sentence; without a profile, the shape alone."""
    finding = report.finding
    if finding is None:
        return _shape_verdict(report)
    desk = Name(report.profile)
    if finding.agrees:
        return _pass_verdict(report)
    if len(alike_causes(finding)) > 1:
        return say(
            "The trace does not agree with {desk}: shapes are right, sizes are not.",
            desk=desk,
        )
    if finding.cause.name == "orientation not told":
        return say(
            "The trace cannot tell whether the tablet is using the setting of {desk}.", desk=desk
        )
    if finding.cause.name == "no area of this tablet":
        return say(
            "The trace does not agree with {desk}, and no area of this tablet would produce it.",
            desk=desk,
        )
    return say(
        "The trace does not agree with {desk}. Likely cause: {cause}.",
        desk=desk,
        cause=say_again(CAUSE_NAMES[finding.cause.name]),
    )


def _pass_verdict(report: TraceReport) -> str:
    desk = Name(report.profile)
    if report.whole is None:
        return say(
            "The tablet seems to use this setting: the sizes of the trace agree with {desk}.",
            desk=desk,
        )
    return say("The tablet uses this setting: the traces agree with {desk}.", desk=desk)


def _shape_verdict(report: TraceReport) -> str:
    """What shape the trace has, where no setting is known."""
    measured = report.measured
    longer = (measured.stretch.value - 1) * 100
    half = number(100 * measured.ratio.half_width / measured.ratio.value, 2)
    if measured.ratio.holds(1.0) or longer < 0.1:
        return say("On square pixels the trace is round (± {half} %).", half=half)
    if measured.long_axis_deg is not None:
        return say(
            "The trace is {percent} % longer one way, along {degrees} degrees.",
            percent=number(longer, 1),
            degrees=number(measured.long_axis_deg.value, 0),
        )
    percent = number(longer, 1)
    if measured.ratio.value > 1:
        return say(
            "On square pixels the trace is {percent} ± {half} % wider than tall.",
            percent=percent,
            half=half,
        )
    return say(
        "On square pixels the trace is {percent} ± {half} % taller than wide.",
        percent=percent,
        half=half,
    )


#: The names of causes, as they stand behind "Likely cause:".
CAUSE_NAMES = {
    "agrees": phrase("none"),
    "proportions not locked": phrase("the area does not have the display's proportions"),
    "only one display mapped": phrase("the pen reaches only one display"),
    "whole desktop mapped": phrase("the pen reaches the whole desktop"),
    "wrong display": phrase("the pen reaches the wrong display"),
    "whole display mapped": phrase("the pen reaches the whole display"),
    "turned": phrase("strokes come out turned"),
    "mirrored": phrase("strokes come out mirrored"),
    "turned and mirrored": phrase("strokes come out turned and mirrored"),
    "several": phrase("several settings are wrong"),
    "askew": phrase("strokes come out askew"),
    "zoomed canvas": phrase("the canvas was not at 100 %"),
    "area scaled": phrase("the area has another size"),
    "scaled screenshot": phrase("the screenshot was saved at another size"),
    "part of a display mapped": phrase("the pen reaches only a part of a display"),
    "another thing": phrase("a different object was traced"),
    "area moved": phrase("the area is in another place"),
    "part of one side mapped": phrase("the pen reaches only a part of one side"),
    "width differs": phrase("the width is wrong"),
    "height differs": phrase("the height is wrong"),
    "both differ": phrase("width and height are wrong"),
    "orientation not told": phrase("it is not known how the object lay"),
    "no area of this tablet": phrase("no area of this tablet does this"),
}


def alike_causes(finding: Diagnosis) -> list[Cause]:
    """The causes that no trace alone can tell apart; empty where the likeliest is none of them."""
    if finding.cause.name not in ALIKE:
        return []
    return [cause for cause in (finding.cause, *finding.also) if cause.name in ALIKE]


def tell_apart(cause: Cause, report: TraceReport) -> str:
    """Where to look to learn whether it is this cause."""
    zoom = _canvas_zoom_percent(cause, report)
    return {
        "zoomed canvas": say(
            "the paint program says {zoom} % and not 100 %: then trace again at 100 %, or add "
            "--canvas-zoom {zoom}%",
            zoom=number(zoom, 1),
        ),
        "area scaled": say(
            "the tablet's settings say about {width} × {height} mm, as you see the tablet: then "
            "correct width and height",
            width=number(cause.area_width_mm, 1),
            height=number(cause.area_height_mm, 1),
        ),
        "scaled screenshot": say(
            "the system shows everything at {zoom} %: then add --pixel-ratio {ratio}",
            zoom=number(max(zoom, 1e4 / zoom), 0),
            ratio=number(zoom / 100, 3),
        ),
        "part of a display mapped": say(
            "the pen reaches a part of the display of about {width} × {height} px: then correct "
            "what the pen reaches",
            width=number(cause.target_px.width, 0),
            height=number(cause.target_px.height, 0),
        ),
        "another thing": say(
            "the object measures about {sizes}: then say so, {typed}",
            sizes=_thing_sizes(cause, report),
            typed=_typed_thing(cause, report),
        ),
    }[cause.name]


def _canvas_zoom_percent(cause: Cause, report: TraceReport) -> float:
    """The zoom at which the canvas seems to have been, by the one that was said."""
    return (cause.zoom_percent or 100.0) * report.canvas_zoom_percent / 100


def cause_sentence(cause: Cause, report: TraceReport) -> str:
    """What the cause means; what to do about it is said elsewhere."""
    meant = report.meant
    labels = " + ".join(display.label for display in meant.reached) if meant else ""
    zoom = _canvas_zoom_percent(cause, report)
    display, displays = Name(cause.display), Name(labels)
    return {
        "agrees": say("The pen moves as the profile says."),
        "proportions not locked": say(
            "The whole active area is on the whole display, which has other proportions."
        ),
        "only one display mapped": say(
            "The pen reaches only {display}, not all of {displays}.",
            display=display,
            displays=displays,
        ),
        "whole desktop mapped": say(
            "The pen reaches the whole desktop instead of {displays}.", displays=displays
        ),
        "wrong display": say(
            "The pen is on {display} instead of {displays}.", display=display, displays=displays
        ),
        "whole display mapped": say(
            "The pen reaches all of {display}, not only the intended part.",
            display=display,
        ),
        "turned": _turned_sentence(report),
        "mirrored": way_words("mirrored", top_to_bottom=cause.way.turn_deg == 180),
        "turned and mirrored": way_words("turned and mirrored"),
        "several": way_words("several"),
        "askew": say(
            "Strokes come out turned, but not by 90 or 180 degrees: the tablet lay askew, "
            "the canvas was turned on the screen, or the tablet's settings turn the area."
        ),
        "zoomed canvas": say(
            "The canvas seems to have been at {zoom} %, not at 100 %; shapes are right.",
            zoom=number(zoom, 1),
        ),
        "area scaled": say(
            "The area has the right shape, but is about {width} × {height} mm.",
            width=number(cause.area_width_mm, 1),
            height=number(cause.area_height_mm, 1),
        ),
        "scaled screenshot": say(
            "The screenshot has {percent} % of the pixels of your displays.",
            percent=number(cause.zoom_percent or 100, 1),
        ),
        "part of a display mapped": say(
            "The pen reaches only a part of the displays that you chose, of the same shape."
        ),
        "no area of this tablet": say(
            "Check the zoom of the canvas, how the screenshot was saved, and the size of the "
            "object."
        )
        if report.whole is None
        else say(
            "Check the places of the objects, where the screenshot begins, the zoom of the "
            "canvas, and the size of the objects."
        ),
        "another thing": say(
            "The setting may be right and the object a different one: it measures about {sizes}.",
            sizes=_thing_sizes(cause, report),
        ),
        "part of one side mapped": say(
            "The pen reaches only a part of the display, about {width} × {height} pixels.",
            width=number(cause.target_px.width, 0),
            height=number(cause.target_px.height, 0),
        ),
        "orientation not told": _untold_sentence(report),
        "area moved": say("The size is right, but the area lies elsewhere on the tablet."),
        "width differs": say("The height is right, the width is not."),
        "height differs": say("The width is right, the height is not."),
        "both differ": say("Both sides are wrong, and no common mistake explains it."),
    }[cause.name]


def _turned_sentence(report: TraceReport) -> str:
    if report.whole is not None:
        return way_words("turned")
    return say(
        "Width and height are swapped: the rotation in the tablet's settings does not match how "
        "the tablet lies, or the two numbers were typed in the wrong order."
    )


def _untold_sentence(report: TraceReport) -> str:
    """What the trace leaves open where all that it tells is as meant."""
    if report.whole is not None:
        return say(
            "Everything fits, but these places look the same if the picture is turned or mirrored."
        )
    untold = report.measured.thing_turn_deg is None
    if untold or report.thing is None or report.thing.is_even_sided:
        return say(
            "The sizes are right, but an object that is as wide as tall looks the same when "
            "turned by 90 degrees."
        )
    if report.lies_upright:
        return say(
            "The sizes are right if the long side lay up and down, away from you. If it lay "
            "across, along the display's width, the tablet's settings turn what you draw by 90 "
            "degrees."
        )
    return say(
        "The sizes are right if the long side lay across, along the display's width. If it lay up "
        "and down, away from you, the tablet's settings turn what you draw by 90 degrees."
    )


def _orientation_cure(report: TraceReport) -> str:
    thing = report.thing
    if report.whole is not None:
        return say("Trace the second object at the opposite corner of the tablet, not in line.")
    if thing is None or thing.is_even_sided:
        return say(
            'Trace a card and say how it lay, --of "card across", or two objects, each with its '
            "place."
        )
    return say(
        "Say how it lay, {across} or {upright}; or trace two objects, each with its place.",
        across=thing.typed(lay="across"),
        upright=thing.typed(lay="upright"),
    )


def _sides_now(cause: Cause, report: TraceReport) -> tuple[float, float]:
    """The long and the short side of the thing if it is another than was said, mm."""
    thing = report.thing
    assert thing is not None
    along_x, along_y = cause.thing_times
    if report.lies_upright:
        along_x, along_y = along_y, along_x
    return thing.width_mm * along_x, thing.height_mm * along_y


def _thing_sizes(cause: Cause, report: TraceReport) -> str:
    if report.thing is None:
        return ""
    long, short = _sides_now(cause, report)
    if report.thing.is_even_sided:
        return say("{mm} mm", mm=number((long + short) / 2, 1))
    return say("{width} × {height} mm", width=number(long, 1), height=number(short, 1))


def _typed_thing(cause: Cause, report: TraceReport) -> str:
    if report.thing is None:
        return ""
    return report.thing.typed(sides_mm=_sides_now(cause, report))


def corrections(report: TraceReport, entry: Entry | None = None) -> list[str]:
    """What to correct, one line each, for somebody who types commands."""
    finding, meant = report.finding, report.meant
    if finding is None or meant is None or finding.agrees:
        return []
    alike = alike_causes(finding)
    if len(alike) > 1:
        return [say("if {sign}", sign=tell_apart(cause, report)) for cause in alike]
    return cures(finding.cause, report, entry)


def cures(cause: Cause, report: TraceReport, entry: Entry | None = None) -> list[str]:
    """What to do if this is the cause: with the trace, then in the tablet's settings."""
    return [
        *trace_cures(cause, report),
        *(unmarked(each) for each in driver_corrections(cause, report, entry)),
    ]


def trace_cures(cause: Cause, report: TraceReport) -> list[str]:
    """What to do with the trace if this is the cause."""
    lines: list[str] = []
    if "zoom" in cause.correct:
        zoom = _canvas_zoom_percent(cause, report)
        lines.append(
            say(
                "Change nothing in the tablet's settings: trace again at 100 %, or add "
                "--canvas-zoom "
                "{zoom}%.",
                zoom=number(zoom, 1),
            )
        )
        if 45 < zoom < 55:
            lines.append(
                say("If your screenshots have twice the display's pixels, add --pixel-ratio 2.")
            )
    if "thing" in cause.correct:
        lines.append(
            say(
                "Measure the object; if that is its size, say so: {typed}.",
                typed=_typed_thing(cause, report),
            )
        )
    if "orientation" in cause.correct:
        lines.append(_orientation_cure(report))
    if "angle" in cause.correct:
        lines.append(
            say("Reset the rotation of the canvas, lay the tablet straight, and trace again.")
        )
    return lines


def driver_corrections(cause: Cause, report: TraceReport, entry: Entry | None = None) -> list[str]:
    """What to set in the tablet's settings if this is the cause, in the form that they ask for.

    A number to type stands in brackets with its words (``say.groups``). Empty where the settings
    are right and the trace was made otherwise.
    """
    meant, names, entry = report.meant, set(cause.correct), usual_entry(entry)
    if meant is None:
        return []
    found: list[str] = []
    if "target" in names:
        found.append(
            say(
                "Choose {displays} in the tablet's settings: {part}.",
                displays=listed([Name(display.label) for display in meant.reached]),
                part=part_words(meant.screen_px),
            )
        )
    if "mirror" in names:
        found.append(set_no_mirror())
    if "angle" in names:
        found.append(set_angle(meant.area_angle_deg, entry))
    if "turn" in names:
        # What is typed after a turn is read in the turned frame, so all of it is looked at again.
        turn_deg = meant.request.tablet.turn_deg
        return [*found, set_rotation(turn_deg), *answer_sentences(meant, entry)]
    return [*found, *_area_corrections(names, cause, report, meant, entry)]


def _area_corrections(
    names: set[str], cause: Cause, report: TraceReport, meant: TabletMap, entry: Entry
) -> list[str]:
    """The numbers of the area to type, each in place of what the tablet uses now."""
    tablet = meant.request.tablet
    moved = bool(names & {"left", "top"})
    resized = names & {"width", "height"}
    used = Rect(0, 0, cause.area_width_mm, cause.area_height_mm)
    # The settings have the tablet as it was built.
    if tablet.turn_deg % 180:
        used = Rect(0, 0, used.height, used.width)
        resized = {{"width": "height", "height": "width"}[name] for name in resized}
    if not moved and not resized:
        return []
    left, top = _built_place(cause, report, used)
    now = rect_forms(
        Rect(left, top, used.width, used.height), tablet.active_built_mm, tablet.counts_per_mm
    )[entry.unit]
    values = {"width": now.width, "height": now.height} if resized else {}
    values = {label: value for label, value in values.items() if label in resized}
    if moved:
        values["left"] = now.left
        values["bottom" if entry.from_bottom else "top"] = (
            now.up_from_bottom if entry.from_bottom else now.top
        )
    numbers = entry_numbers(meant, entry)
    if not values.keys() <= {each.label for each in numbers}:
        # The settings ask for other numbers, each of which changes.
        return list(answer_sentences(meant, entry))
    # The sizes first: a wrong size is seen in every stroke, a wrong place is not.
    sizes_first = sorted(numbers, key=lambda each: each.label not in resized)
    return [
        _typed_sentence(each.label, ToType(each.text), _spelled(values[each.label], entry), entry)
        for each in sizes_first
        if each.label in values and _spelled(values[each.label], entry) != each.text
    ]


def _typed_sentence(label: str, typed: str, now: str, entry: Entry) -> str:
    """One number to type, and what the tablet uses in its place now."""
    slots = {"number": typed, "now": now, "unit": say_again(UNIT_WORDS[entry.unit].page)}
    return {
        "left": say(
            "Change the distance from the left from about {now} {unit} to [{number} {unit}].",
            **slots,
        ),
        "top": say(
            "Change the distance from the top from about {now} {unit} to [{number} {unit}].",
            **slots,
        ),
        "bottom": say(
            "Change the distance from the bottom from about {now} {unit} to [{number} {unit}].",
            **slots,
        ),
        "width": say("Change the width from about {now} {unit} to [{number} {unit}].", **slots),
        "height": say("Change the height from about {now} {unit} to [{number} {unit}].", **slots),
    }[label]


def _spelled(value: float, entry: Entry) -> str:
    return to_type(value, 0 if entry.unit == "counts" else 1, entry)


def _built_place(cause: Cause, report: TraceReport, used: Rect) -> tuple[float, float]:
    """Where the area lies that the driver uses: as measured, as the cause says, or as meant."""
    finding, meant = report.finding, report.meant
    assert finding is not None and meant is not None  # noqa: PT018 - whoever corrects has both
    active = meant.request.tablet.active_built_mm
    if (used.width, used.height) == (active.width, active.height):
        return active.left, active.top
    if finding.left_mm is None or finding.top_mm is None:
        return meant.area_built_mm.left, meant.area_built_mm.top
    seen = Rect(
        finding.left_mm.value, finding.top_mm.value, cause.area_width_mm, cause.area_height_mm
    )
    built = meant.request.tablet.built_rect_mm(seen)
    return built.left, built.top
