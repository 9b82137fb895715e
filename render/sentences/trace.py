"""The result of a trace in sentences: the verdict, its causes and what to correct."""

from __future__ import annotations

from mapper.mapping.entry import Entry, entry_numbers
from mapper.mapping.forms import rect_forms
from mapper.mapping.solve import TabletMap
from mapper.phrases import phrase
from mapper.rect import Rect
from mapper.tracing.diagnosis import ALIKE, Cause, Diagnosis
from mapper.tracing.measure import LEAST_TURN_DEG
from profiles.strokes.traces import TraceReport
from render.sentences.entry import ToType, answer_sentences
from render.sentences.forms import UNIT_WORDS
from render.sentences.say import Name, listed, say, say_again, unmarked
from render.sentences.words import number

_MM = Entry()
STRAIGHTEN = phrase("Reset the rotation of the canvas, lay the tablet straight, and trace again.")


def verdict(report: TraceReport) -> str:
    """Whether the tablet uses the setting, in one sentence; without a profile, the shape alone."""
    finding = report.finding
    if finding is None:
        return _shape_verdict(report)
    profile = Name(report.profile)
    if len(alike_causes(finding)) > 1:
        return say(
            "The trace does not agree with {desk}: shapes come out as meant, sizes do not.",
            desk=profile,
        )
    if finding.agrees:
        return say("The tablet is using this setting: the trace agrees with {desk}.", desk=profile)
    if finding.cause.name == "no area of this tablet":
        return say(
            "The trace does not agree with {desk}, and no area of this tablet would produce it.",
            desk=profile,
        )
    return say(
        "The trace does not agree with {desk}. Likely cause: {cause}.",
        desk=profile,
        cause=say_again(CAUSE_NAMES[finding.cause.name]),
    )


def _shape_verdict(report: TraceReport) -> str:
    """What shape the trace has, where no setting is known."""
    measured = report.measured
    longer = (measured.stretch.value - 1) * 100
    half = number(100 * measured.ratio.half_width / measured.ratio.value, 2)
    if measured.ratio.holds(1.0) or longer < 0.1:
        return say("On square pixels the trace is round, give or take {half} %.", half=half)
    if measured.long_axis_deg is not None:
        return say(
            "The trace is {percent} % longer one way, along {degrees} degrees.",
            percent=number(longer, 1),
            degrees=number(measured.long_axis_deg.value, 0),
        )
    percent = number(longer, 1)
    if measured.ratio.value > 1:
        return say(
            "On square pixels the trace is {percent} % wider than tall, give or take {half} %.",
            percent=percent,
            half=half,
        )
    return say(
        "On square pixels the trace is {percent} % taller than wide, give or take {half} %.",
        percent=percent,
        half=half,
    )


#: The names of causes, as they stand behind "Likely cause:".
CAUSE_NAMES = {
    "agrees": phrase("none"),
    "proportions not locked": phrase("proportions not kept"),
    "only one display mapped": phrase("only one display mapped"),
    "whole desktop mapped": phrase("whole desktop mapped"),
    "wrong display": phrase("wrong display"),
    "whole display mapped": phrase("whole display mapped"),
    "turned": phrase("turned"),
    "zoomed canvas": phrase("zoomed canvas"),
    "area scaled": phrase("area scaled"),
    "scaled screenshot": phrase("scaled screenshot"),
    "part of a display mapped": phrase("part of a display mapped"),
    "area moved": phrase("area moved"),
    "width differs": phrase("width differs"),
    "height differs": phrase("height differs"),
    "both differ": phrase("both differ"),
    "no area of this tablet": phrase("no area of this tablet"),
}


def alike_causes(finding: Diagnosis) -> list[Cause]:
    """The causes that no trace alone can tell apart; empty where the likeliest is none of them."""
    if finding.cause.name not in ALIKE:
        return []
    return [cause for cause in (finding.cause, *finding.also) if cause.name in ALIKE]


def tell_apart(cause: Cause, report: TraceReport) -> str:
    """Where to look to learn whether it is this cause."""
    zoom = (cause.zoom_percent or 100.0) * report.canvas_zoom_percent / 100
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
            "the system shows things at {zoom} %: then add --pixel-ratio {ratio}",
            zoom=number(max(zoom, 1e4 / zoom), 0),
            ratio=number(zoom / 100, 3),
        ),
        "part of a display mapped": say(
            "the tablet's settings map to a window of about {width} × {height} px: then correct "
            "the target",
            width=number(cause.target_px.width, 0),
            height=number(cause.target_px.height, 0),
        ),
    }[cause.name]


def cause_sentence(cause: Cause, report: TraceReport) -> str:
    """What the cause means; what to do about it is said elsewhere."""
    meant = report.meant
    labels = " + ".join(display.label for display in meant.reached) if meant else ""
    zoom = (cause.zoom_percent or 100.0) * report.canvas_zoom_percent / 100
    display, displays = Name(cause.display), Name(labels)
    if cause.name == "turned" and _askew(report):
        return say(
            "The picture is turned against the hand: the tablet's turn is not set, or the canvas "
            "was turned on the screen."
        )
    return {
        "agrees": say("The pen moves as the profile says."),
        "proportions not locked": say(
            "The whole active area is on the whole display: its proportions were not kept."
        ),
        "only one display mapped": say(
            "The pen reaches only {display}, not all of {displays}.",
            display=display,
            displays=displays,
        ),
        "whole desktop mapped": say(
            "The pen is spread over the whole desktop instead of {displays}.", displays=displays
        ),
        "wrong display": say(
            "The pen is on {display} instead of {displays}.", display=display, displays=displays
        ),
        "whole display mapped": say(
            "The pen is spread over all of {display}, not the part of it that was meant.",
            display=display,
        ),
        "turned": say(
            "Width and height have changed places: the turn in the tablet's settings is not the "
            "tablet's, or the two numbers were swapped."
        ),
        "zoomed canvas": say(
            "The canvas was not at 100 % but, it seems, at {zoom} %; shapes are as meant.",
            zoom=number(zoom, 1),
        ),
        "area scaled": say(
            "The area has the right shape, but is about {width} × {height} mm.",
            width=number(cause.area_width_mm, 1),
            height=number(cause.area_height_mm, 1),
        ),
        "scaled screenshot": say(
            "The screenshot has {percent} % of the pixels that the profile's displays have.",
            percent=number(cause.zoom_percent or 100, 1),
        ),
        "part of a display mapped": say(
            "The pen reaches only a part of the target, of the same shape."
        ),
        "no area of this tablet": say(
            "Check the zoom of the canvas, how the screenshot was saved, and the size of the thing."
        ),
        "area moved": say("The size is right, but the area lies elsewhere on the tablet."),
        "width differs": say("The height is as meant, the width is not."),
        "height differs": say("The width is as meant, the height is not."),
        "both differ": say("Neither side is as meant, and no common mistake explains it."),
    }[cause.name]


def _askew(report: TraceReport) -> bool:
    """Whether the picture leans, or is turned by other than quarters, as no driver turns it."""
    whole = report.whole
    odd = (
        whole is not None
        and whole.turns
        and abs((whole.turn_deg.value + 45) % 90 - 45) > LEAST_TURN_DEG
    )
    return report.measured.leans or odd


def corrections(report: TraceReport, entry: Entry = _MM) -> list[str]:
    """What to correct, one line each, for somebody who types commands."""
    finding, meant = report.finding, report.meant
    if finding is None or meant is None or finding.agrees:
        return []
    alike = alike_causes(finding)
    if len(alike) > 1:
        return [say("if {sign}", sign=tell_apart(cause, report)) for cause in alike]
    lines: list[str] = []
    if "zoom" in finding.correct:
        zoom = (finding.cause.zoom_percent or 100.0) * report.canvas_zoom_percent / 100
        lines.append(
            say(
                "Nothing in the tablet's settings: trace again at 100 %, or add --canvas-zoom "
                "{zoom}%.",
                zoom=number(zoom, 1),
            )
        )
        if 45 < zoom < 55:
            lines.append(
                say("If your screenshots have twice the display's pixels, add --pixel-ratio 2.")
            )
    if "turn" in finding.correct and _askew(report):
        lines.append(say_again(STRAIGHTEN))
    return lines + [unmarked(each) for each in driver_corrections(finding.cause, report, entry)]


def driver_corrections(cause: Cause, report: TraceReport, entry: Entry = _MM) -> list[str]:
    """What to set in the tablet's settings if this is the cause, in the form that they ask for.

    A number to type stands in brackets with its words (``say.groups``). Empty where the settings
    are right and the trace was made otherwise.
    """
    finding, meant = report.finding, report.meant
    if finding is None or meant is None:
        return []
    names = set(finding.correct if cause == finding.cause else _ALIKE_NUMBERS.get(cause.name, ()))
    if "turn" in names:
        if _askew(report):
            return []
        return [_rotation(meant.request.tablet.turn_deg), *answer_sentences(meant, entry)]
    found: list[str] = []
    if "target" in names:
        screen = meant.screen_px
        found.append(
            say(
                "Choose {displays} in the tablet's settings: {width} × {height} pixels, {left} "
                "from the left and {top} from the top.",
                displays=listed([Name(display.label) for display in meant.reached]),
                width=number(screen.width, 0),
                height=number(screen.height, 0),
                left=number(screen.left, 0),
                top=number(screen.top, 0),
            )
        )
    return [*found, *_area_corrections(names, cause, report, meant, entry)]


#: What has to be corrected for each of the causes that no trace alone tells from each other.
_ALIKE_NUMBERS = {"area scaled": ("width", "height"), "part of a display mapped": ("target",)}


def _rotation(turn_deg: int) -> str:
    return {
        0: say("Set the rotation in the tablet's settings: not turned."),
        90: say("Set the rotation in the tablet's settings: turned 90 degrees clockwise."),
        180: say("Set the rotation in the tablet's settings: turned 180 degrees."),
        270: say("Set the rotation in the tablet's settings: turned 90 degrees anticlockwise."),
    }[turn_deg]


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
    if entry.numbers == "corners" or (moved and entry.numbers == "centre"):
        return list(answer_sentences(meant, entry))
    left, top = _built_place(report) or (meant.area_built_mm.left, meant.area_built_mm.top)
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
    return [
        _typed_sentence(each.label, ToType(each.text), _spelled(values[each.label], entry), entry)
        for each in entry_numbers(meant, entry)
        if each.label in values
    ]


def _typed_sentence(label: str, typed: str, now: str, entry: Entry) -> str:
    """One number to type, and what the tablet uses in its place now."""
    slots = {"number": typed, "now": now, "unit": say_again(UNIT_WORDS[entry.unit].page)}
    return {
        "left": say(
            "Type [{number} {unit} from the left] in place of about {now} {unit}.", **slots
        ),
        "top": say("Type [{number} {unit} from the top] in place of about {now} {unit}.", **slots),
        "bottom": say(
            "Type [{number} {unit} from the bottom] in place of about {now} {unit}.", **slots
        ),
        "width": say("Type [{number} {unit} wide] in place of about {now} {unit}.", **slots),
        "height": say("Type [{number} {unit} high] in place of about {now} {unit}.", **slots),
    }[label]


def _spelled(value: float, entry: Entry) -> str:
    text = number(value, 0 if entry.unit == "counts" else 1)
    return text.replace(".", ",") if entry.comma else text


def _built_place(report: TraceReport) -> tuple[float, float] | None:
    finding, meant = report.finding, report.meant
    if finding is None or meant is None or finding.left_mm is None or finding.top_mm is None:
        return None
    area = meant.area_seen_mm
    built = meant.request.tablet.built_rect_mm(
        Rect(finding.left_mm.value, finding.top_mm.value, area.width, area.height)
    )
    return built.left, built.top
