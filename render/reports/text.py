"""A map as plain text for the terminal: what to enter, what it does, and to which display."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from mapper.desk import Tablet
from mapper.mapping.entry import Entry, entry_numbers
from mapper.mapping.forms import FORM_PLACES, RectForm, rect_forms
from mapper.mapping.reach import in_reach_percent
from mapper.mapping.solve import DisplayFigures, TabletMap, unrotated
from mapper.rect import Rect
from mapper.solving import solve
from render.reports.map_reports import fineness_lines, left_over_lines, rows
from render.words import (
    circle_phrase,
    entry_words,
    fixed,
    map_sentence,
    number,
    rotation_sentence,
    step_words,
    turn_words,
)

#: Just under the smallest change of proportions that people see (mapper.distortion.NOTICED_STRETCH_PERCENT).
UNNOTICED_PERCENT = 1.5
#: A gain of area below this is not worth a line.
WORTH_TELLING_PERCENT = 5.0

_Row = tuple[str, str, str]

FORM_HEADS = {"mm": "mm", "inch": "inches", "percent": "% of active area", "counts": "counts"}
FORM_ROWS = (
    ("left", "left"),
    ("top", "top"),
    ("right", "right"),
    ("bottom", "bottom"),
    ("width", "width"),
    ("height", "height"),
    ("centre_x", "centre across"),
    ("centre_y", "centre down"),
    ("up_from_bottom", "up from bottom"),
)


def map_text(solved: TabletMap, entry: Entry | None = None) -> str:
    """The report of one map: sentence, rectangle, screen, figures and what is left over.

    The rectangle stands first in the form that ``entry`` says. With a driver's step there is what rounding costs; for a
    tablet that lies askew both the turned area and the best that is not turned.
    """
    lines = [map_sentence(solved), ""]
    if solved.exact.trims_both:
        lines[1:1] = ["Neither fit alone gives this scale, so part of the tablet and part of the display stay unused."]
    if solved.exact.area_angle_deg:
        lines += _slanted_lines(solved, entry)
    else:
        lines += _area_lines(solved, entry)
    lines += _rotation_lines(solved.request.tablet)
    lines += _step_lines(solved)
    if solved.exact.area_angle_deg:
        lines += ["", f"With the {'rounded' if solved.request.step else 'turned'} area:"]
    lines.append("")
    lines += _screen_lines(solved)
    lines += ["", *_figure_lines(solved)]
    lines += ["", *left_over_lines(solved)]
    displays = solved.request.desktop.displays
    if len(displays) > 1 or any(display.zoom != 1 for display in displays):
        # Imported where there is something to tell: most desks have one display.
        from render.reports.desktop_report import displays_lines

        lines += displays_lines(solved)
    return "\n".join(lines) + "\n"


def forms_text(rect_built_mm: Rect, tablet: Tablet) -> str:
    """One rectangle of the tablet in every form, and as it is seen where the tablet is turned."""
    return "\n".join(_both_frames(rect_built_mm, tablet, "In every form")) + "\n"


def forms_data(rect_built_mm: Rect, tablet: Tablet) -> dict[str, Any]:
    """The same as data, under the keys of a profile's ``area``."""
    forms: dict[str, Any] = dict(rect_forms(rect_built_mm, tablet.active_built_mm, tablet.counts_per_mm))
    if tablet.turn_deg:
        forms["seen"] = rect_forms(tablet.seen_rect_mm(rect_built_mm), tablet.active_seen_mm, tablet.counts_per_mm)
    return forms


def _area_lines(
    told: TabletMap, entry: Entry | None, first: str = "Enter this rectangle in the tablet driver"
) -> list[str]:
    tablet = told.request.tablet
    if told.request.area_built_mm is not None and told.request.step is None:
        first = "This rectangle is set now"
    if told.request.step is not None and not told.area_angle_deg:
        first += f", in steps of {step_words(told.request.step)}"
    if entry is None:
        return _both_frames(told.area_built_mm, tablet, first)
    numbers = entry_numbers(told, entry)
    return [
        f"{first}, {entry_words(entry)}:",
        *(f"  {each.label:<15}{each.text} {each.unit}" for each in numbers),
        "",
        *_both_frames(told.area_built_mm, tablet, "The same in every form"),
    ]


def _both_frames(rect_built_mm: Rect, tablet: Tablet, first: str) -> list[str]:
    """A rectangle in every form, as built and, where the tablet is turned, as seen."""
    forms = rect_forms(rect_built_mm, tablet.active_built_mm, tablet.counts_per_mm)
    if not tablet.turn_deg:
        return [f"{first}:", *_form_table(forms)]
    seen = rect_forms(tablet.seen_rect_mm(rect_built_mm), tablet.active_seen_mm, tablet.counts_per_mm)
    return [
        f"{first} (the tablet as it was built):",
        *_form_table(forms),
        "",
        f"The same as you see it, turned {turn_words(tablet.turn_deg)}:",
        *_form_table(seen),
    ]


_NOW_AT = {90: "top right", 180: "bottom right", 270: "bottom left"}


def _rotation_lines(tablet: Tablet) -> list[str]:
    """What a turned tablet asks of the driver besides the rectangle, and in which frame that is to be entered."""
    if not tablet.turn_deg:
        return []
    lines = [
        "",
        rotation_sentence(tablet.turn_deg),
        f"As built: counted from the corner that is top left on the unturned tablet, now at the {_NOW_AT[tablet.turn_deg]}.",
    ]
    if tablet.turn_deg == 180:
        return [*lines, "Use the second table only in a form that counts from the corner you now see at the top left."]
    active = tablet.active_seen_mm
    size = f"{number(active.width)} x {number(active.height)} mm"
    return [*lines, f"Use the second table only in a form whose whole tablet becomes {size} once the rotation is set."]


def _slanted_lines(solved: TabletMap, entry: Entry | None) -> list[str]:
    """The turned area, and what a driver gets whose area cannot be turned."""
    turned = solved.exact
    slant, angle = turned.request.tablet.slant_deg, turned.area_angle_deg
    straight = unrotated(solved)
    tilt_deg = straight.figures_on(straight.reference).tilt_deg
    told = solved if solved.request.step else straight
    # Each area with its own part of the screen, where the fit trims that too.
    parted = told.screen_px != turned.screen_px
    lines = [
        f"The tablet lies askew, by {_turned(slant)}.",
        "",
        *_area_lines(
            turned,
            entry,
            f"If the driver can turn its area, enter this one and turn it by {number(angle, 2)} degrees",
        ),
        "  (the rectangle before it is turned about its own centre; positive angles are clockwise)",
        *([f"  with this part of the screen: {_placed(turned.screen_px)}"] if parted else []),
        "",
        *_area_lines(told, entry, "If it cannot, enter this one"),
        *([f"  with this part of the screen: {_placed(told.screen_px)}"] if parted else []),
        "",
        f"What that costs: your strokes come out turned by {_turned(tilt_deg)};",
        f"  a stroke of 100 mm ends {number(200 * math.sin(math.radians(abs(tilt_deg)) / 2), 1)} mm off, measured at the hand.",
    ]
    scales = turned.summary.scale_factor, straight.summary.scale_factor
    if scales[0] is not None and scales[1] is not None and number(scales[0]) != number(scales[1]):
        lines.append(f"  The scale factor is {number(scales[1])} instead of {number(scales[0])}.")
    distortion = straight.figures_on(straight.reference).distortion
    if distortion.longer_axis_deg is not None:
        lines.append(f"  And a circle {circle_phrase(distortion)}.")
    return lines


def _turned(angle_deg: float) -> str:
    return f"{number(abs(angle_deg), 2)} degrees {'clockwise' if angle_deg > 0 else 'anticlockwise'}"


def _step_lines(solved: TabletMap) -> list[str]:
    """What rounding costs, and the exact rectangle in one line."""
    if solved.request.step is None:
        return []
    from mapper.rounding.rounded import before_rounding, cost_of

    cost, area = cost_of(solved), before_rounding(solved).area_built_mm
    scale = "" if cost.scale_percent is None else f", scale factor {_change(cost.scale_percent)}"
    changes = f"stretch {_change(cost.stretch_percent)}, area {_change(cost.area_percent)}{scale}"
    place = f"{number(area.left, 4)}, {number(area.top, 4)}, {number(area.width, 4)} x {number(area.height, 4)} mm"
    return [
        "",
        f"Rounding costs: {changes}; the middle moves by {number(cost.shift_mm, 3)} mm",
        f"Before rounding: {place}",
        *_tolerance_lines(solved),
    ]


def _tolerance_lines(solved: TabletMap) -> list[str]:
    """What less stretch would cost, and what more that few people notice would buy where that is a good deal of area."""
    step = solved.request.step
    if step is None or solved.request.fit != "locked":
        return []

    def at(tolerance_percent: float) -> tuple[float, float]:
        """Stretch and gain of area, both in percent, with another tolerance."""
        other = solve(replace(solved.request, step=replace(step, shape_tolerance_percent=tolerance_percent)))
        stretch = other.figures_on(other.reference).distortion.stretch
        return (stretch - 1) * 100, (other.summary.area_used_percent / solved.summary.area_used_percent - 1) * 100

    lines = []
    stretch, gain = at(0.0)
    if gain < 0:
        shapes = f"A stretch of {fixed(stretch, 2)} %" if float(fixed(stretch, 2)) else "Shapes that are true"
        lines.append(f"{shapes} would cost {number(-gain, 1)} % of the area: --shape-tolerance 0%")
    if step.shape_tolerance_percent < UNNOTICED_PERCENT:
        stretch, gain = at(UNNOTICED_PERCENT)
        if gain >= WORTH_TELLING_PERCENT:
            buys = (
                f"A stretch of {fixed(stretch, 2)} %, which few people notice, would buy {number(gain, 0)} % more area"
            )
            lines.append(f"{buys}: --shape-tolerance {UNNOTICED_PERCENT:g}%")
    return lines


def _change(percent: float) -> str:
    text = fixed(percent, 3)
    return f"{text} %" if text.startswith("-") or float(text) == 0 else f"+{text} %"


def _form_table(forms: dict[str, RectForm]) -> list[str]:
    columns = [
        [FORM_HEADS[unit], *(fixed(getattr(form, key), FORM_PLACES[unit]) for key, _ in FORM_ROWS)]
        for unit, form in forms.items()
    ]
    widths = [max(map(len, column)) for column in columns]
    labels = ["", *(label for _, label in FORM_ROWS)]
    return [
        f"  {label:<15}" + "  ".join(f"{column[row]:>{width}}" for column, width in zip(columns, widths, strict=True))
        for row, label in enumerate(labels)
    ]


def _screen_lines(solved: TabletMap) -> list[str]:
    labels = " + ".join(display.label for display in solved.reached)
    return [f"On screen the pen covers {_placed(solved.screen_px)} ({labels})"]


def _placed(screen: Rect) -> str:
    size = f"{number(screen.width, 1)} x {number(screen.height, 1)} px"
    return f"{size}, starting at {number(screen.left, 1)}, {number(screen.top, 1)}"


def _figure_lines(told: TabletMap) -> list[str]:
    """The figures; where the map is a rounded one, the exact ones beside them."""
    exact = told
    if told.request.step is not None:
        from mapper.rounding.rounded import before_rounding

        exact = before_rounding(told)
    lines = rows(_beside(_summary_rows(told), _summary_rows(exact)))
    for figures in told.figures:
        display = exact.request.desktop.named(figures.display, "display")
        alone = len(told.reached) == 1
        shown, others = (_display_rows(each, alone=alone) for each in (figures, exact.figures_on(display)))
        lines += ["", f"On {figures.display}:", *rows(_beside(shown, others))]
        if not figures.size_known:
            lines.append("  Its size is not known: square pixels are assumed, and what needs mm is left out.")
    return [*lines, "", *fineness_lines(told)]


def _beside(told: list[_Row], exact: list[_Row]) -> list[_Row]:
    values = {label: value for label, value, _ in exact}
    return [
        (label, value, remark if values.get(label, value) == value else f"{values[label]} before rounding")
        for label, value, remark in told
    ]


def _summary_rows(told: TabletMap) -> list[_Row]:
    summary, several = told.summary, len(told.request.onto) > 1
    listed = []
    if len(told.reached) == 1:
        listed += _scale_rows(summary.scale_factor)
    listed.append(("area used", f"{number(summary.area_used_percent, 1)} %", "of the active area"))
    in_reach = in_reach_percent(told)
    listed.append(("in reach", f"{number(in_reach, 1)} %", f"of the screen{'s' if several else ''}"))
    if told.request.window_px is not None and summary.screen_used_percent < 100:
        listed.append(
            ("window used", f"{number(summary.screen_used_percent, 1)} %", "of the window that was asked for")
        )
    return listed


def _scale_rows(scale_factor: float | None) -> list[_Row]:
    if scale_factor is None:
        return []
    return [("scale factor", number(scale_factor, 3), "screen size \N{DIVISION SIGN} hand size, on the diagonal")]


def _display_rows(figures: DisplayFigures, *, alone: bool) -> list[_Row]:
    distortion = figures.distortion
    listed = [
        *([] if alone else _scale_rows(figures.scale_factor)),
        ("stretch", number(distortion.stretch, 4), "largest scale \N{DIVISION SIGN} smallest; 1 = no stretch"),
        ("angle error", f"{number(distortion.angle_error_deg, 2)} deg", "the largest of any angle drawn"),
    ]
    # Where both are one, it is the scale factor, and told already.
    if figures.size_known and number(distortion.scale_x, 3) != number(distortion.scale_y, 3):
        listed.append(("scale across", number(distortion.scale_x, 3), "mm on the glass for 1 mm of hand"))
        listed.append(("scale down", number(distortion.scale_y, 3), ""))
    if figures.counts_per_px_x is not None and figures.counts_per_px_y is not None:
        counts = f"{number(figures.counts_per_px_x, 2)} x {number(figures.counts_per_px_y, 2)}"
        listed.append(("counts per px", counts, "across x down"))
    return listed
