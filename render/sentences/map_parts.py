"""A map in parts: what to enter, what it does, and to which display."""

from __future__ import annotations

import math
from dataclasses import replace

from mapper.desk import Tablet
from mapper.mapping.entry import Entry, entry_numbers
from mapper.mapping.forms import UNITS, RectForm, rect_forms
from mapper.mapping.reach import in_reach_percent
from mapper.mapping.solve import DisplayFigures, TabletMap, unturned_map
from mapper.rect import Rect
from mapper.solving import solve
from render.sentences.forms import UNIT_WORDS, entry_words, step_words
from render.sentences.left_over import fineness_part, left_over_part
from render.sentences.parts import Hint, Part, Row, Table
from render.sentences.words import (
    circle_phrase,
    fixed,
    map_sentence,
    number,
    placed,
    rotation_sentence,
    turn_words,
)

#: Just under the smallest change of proportions that people see
#: (mapper.distortion.NOTICED_STRETCH_PERCENT).
UNNOTICED_PERCENT = 1.5
#: A gain of area below this is not worth a line.
WORTH_TELLING_PERCENT = 5.0

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


def map_parts(solved: TabletMap, entry: Entry | None = None) -> list[Part]:
    """The report of one map: sentence, rectangle, screen, figures and what is left over.

    The rectangle stands first in the form that ``entry`` says. With a driver's step there is what
    rounding costs; for a tablet that lies askew both the turned area and the best that is not
    turned.
    """
    slanted = bool(solved.exact.area_angle_deg)
    parts = [Part([map_sentence(solved)])]
    if solved.exact.trims_both:
        parts[0].items.append(
            "Neither fit alone gives this scale, so part of the tablet and part of the display "
            "stay unused."
        )
    parts += _slanted_parts(solved, entry) if slanted else _area_parts(solved, entry)
    parts += _rotation_parts(solved.request.tablet)
    parts += _step_parts(solved)
    if slanted:
        parts.append(
            Part(heading=f"With the {'rounded' if solved.request.step else 'turned'} area")
        )
    labels = " + ".join(display.label for display in solved.reached)
    parts.append(Part([f"On screen the pen covers {placed(solved.screen_px)} ({labels})"]))
    parts += _figure_parts(solved)
    parts.append(left_over_part(solved))
    displays = solved.request.desktop.displays
    if len(displays) > 1 or any(display.zoom != 1 for display in displays):
        # Imported where there is something to tell: most desks have one display.
        from render.sentences.displays import displays_parts

        parts += displays_parts(solved)
    return parts


def _area_parts(
    solved: TabletMap, entry: Entry | None, first: str = "Enter this rectangle in the tablet driver"
) -> list[Part]:
    tablet = solved.request.tablet
    if solved.request.area_built_mm is not None and solved.request.step is None:
        first = "This rectangle is set now"
    if solved.request.step is not None and not solved.area_angle_deg:
        first += f", in steps of {step_words(solved.request.step)}"
    if entry is None:
        return form_parts(solved.area_built_mm, tablet, first)
    numbers = [Row(each.label, f"{each.text} {each.unit}") for each in entry_numbers(solved, entry)]
    return [
        Part([*numbers], f"{first}, {entry_words(entry)}"),
        *form_parts(solved.area_built_mm, tablet, "The same in every form"),
    ]


def form_parts(rect_built_mm: Rect, tablet: Tablet, first: str) -> list[Part]:
    """A rectangle in every form, as built and, where the tablet is turned, as seen."""
    forms = rect_forms(rect_built_mm, tablet.active_built_mm, tablet.counts_per_mm)
    if not tablet.turn_deg:
        return [Part([_form_table(forms)], first)]
    seen = rect_forms(
        tablet.seen_rect_mm(rect_built_mm), tablet.active_seen_mm, tablet.counts_per_mm
    )
    return [
        Part([_form_table(forms)], f"{first} (the tablet as it was built)"),
        Part([_form_table(seen)], f"The same as you see it, turned {turn_words(tablet.turn_deg)}"),
    ]


_NOW_AT = {90: "top right", 180: "bottom right", 270: "bottom left"}


def _rotation_parts(tablet: Tablet) -> list[Part]:
    """The rotation to set for a turned tablet, and which of the two tables to use."""
    if not tablet.turn_deg:
        return []
    if tablet.turn_deg == 180:
        form = "that counts from the corner you now see at the top left"
    else:
        active = tablet.active_seen_mm
        form = (
            f"whose whole tablet becomes {number(active.width)} x {number(active.height)} mm "
            f"once the rotation is set"
        )
    return [
        Part(
            [
                rotation_sentence(tablet.turn_deg),
                (
                    f"As built: counted from the corner that is top left on the unturned tablet, "
                    f"now at the {_NOW_AT[tablet.turn_deg]}."
                ),
                f"Use the second table only in a form {form}.",
            ]
        )
    ]


def _slanted_parts(solved: TabletMap, entry: Entry | None) -> list[Part]:
    """The turned area, and what a driver gets whose area cannot be turned."""
    turned = solved.exact
    slant, angle = turned.request.tablet.slant_deg, turned.area_angle_deg
    straight = unturned_map(solved)
    tilt_deg = straight.figures_on(straight.reference).tilt_deg
    upright = solved if solved.request.step else straight
    able = _area_parts(
        turned,
        entry,
        f"If the driver can turn its area, enter this one and turn it by {number(angle, 2)} "
        f"degrees",
    )
    able[-1].items.append(
        "(the rectangle before it is turned about its own centre; positive angles are clockwise)"
    )
    unable = _area_parts(upright, entry, "If it cannot, enter this one")
    # Each area with its own part of the screen, where the fit trims that too.
    if upright.screen_px != turned.screen_px:
        able[-1].items.append(f"with this part of the screen: {placed(turned.screen_px)}")
        unable[-1].items.append(f"with this part of the screen: {placed(upright.screen_px)}")
    costs = Part(
        [
            f"your strokes come out turned by {_turned(tilt_deg)};",
            (
                f"a stroke of 100 mm ends "
                f"{number(200 * math.sin(math.radians(abs(tilt_deg)) / 2), 1)} mm off, measured at "
                f"the hand."
            ),
        ],
        "What that costs",
    )
    scales = turned.summary.scale_factor, straight.summary.scale_factor
    if scales[0] is not None and scales[1] is not None and number(scales[0]) != number(scales[1]):
        costs.items.append(
            f"The scale factor is {number(scales[1])} instead of {number(scales[0])}."
        )
    distortion = straight.figures_on(straight.reference).distortion
    if distortion.longer_axis_deg is not None:
        costs.items.append(f"And a circle {circle_phrase(distortion)}.")
    return [Part([f"The tablet lies askew, by {_turned(slant)}."]), *able, *unable, costs]


def _turned(angle_deg: float) -> str:
    return (
        f"{number(abs(angle_deg), 2)} degrees {'clockwise' if angle_deg > 0 else 'anticlockwise'}"
    )


def _step_parts(solved: TabletMap) -> list[Part]:
    """What rounding to the driver's step costs, and the rectangle before it."""
    if solved.request.step is None:
        return []
    from mapper.rounding.rounded import before_rounding, rounding_cost

    cost, area = rounding_cost(solved), before_rounding(solved).area_built_mm
    scale = "" if cost.scale_percent is None else f", scale factor {_change(cost.scale_percent)}"
    changes = f"stretch {_change(cost.stretch_percent)}, area {_change(cost.area_percent)}{scale}"
    place = (
        f"{number(area.left, 4)}, {number(area.top, 4)}, {number(area.width, 4)} x "
        f"{number(area.height, 4)} mm"
    )
    return [
        Part(
            [
                f"Rounding costs: {changes}; the middle moves by {number(cost.shift_mm, 3)} mm",
                f"Before rounding: {place}",
                *_tolerance_hints(solved),
            ]
        )
    ]


def _tolerance_hints(solved: TabletMap) -> list[Hint]:
    """What less stretch would cost, and how much area a stretch that few people notice would buy.

    The second is given only where the gain is worth a line.
    """
    step = solved.request.step
    if step is None or solved.request.fit != "locked":
        return []

    def at(tolerance_percent: float) -> tuple[float, float]:
        """Stretch and gain of area, both in percent, with another tolerance."""
        other = solve(
            replace(solved.request, step=replace(step, shape_tolerance_percent=tolerance_percent))
        )
        stretch = other.figures_on(other.reference).distortion.stretch
        return (stretch - 1) * 100, (
            other.summary.area_used_percent / solved.summary.area_used_percent - 1
        ) * 100

    hints = []
    stretch, gain = at(0.0)
    if gain < 0:
        shapes = (
            f"A stretch of {fixed(stretch, 2)} %"
            if float(fixed(stretch, 2))
            else "Shapes that are true"
        )
        hints.append(
            Hint(f"{shapes} would cost {number(-gain, 1)} % of the area", "--shape-tolerance 0%")
        )
    if step.shape_tolerance_percent < UNNOTICED_PERCENT:
        stretch, gain = at(UNNOTICED_PERCENT)
        if gain >= WORTH_TELLING_PERCENT:
            buys = (
                f"A stretch of {fixed(stretch, 2)} %, which few people notice, would buy "
                f"{number(gain, 0)} % more area"
            )
            hints.append(Hint(buys, f"--shape-tolerance {UNNOTICED_PERCENT:g}%"))
    return hints


def _change(percent: float) -> str:
    text = fixed(percent, 3)
    return f"{text} %" if text.startswith("-") or float(text) == 0 else f"+{text} %"


def _form_table(forms: dict[str, RectForm]) -> Table:
    return Table(
        tuple(label for _, label in FORM_ROWS),
        tuple(
            (
                UNIT_WORDS[unit].head,
                *(fixed(getattr(form, key), UNITS[unit].places) for key, _ in FORM_ROWS),
            )
            for unit, form in forms.items()
        ),
    )


def _figure_parts(solved: TabletMap) -> list[Part]:
    """The figures; where the map is a rounded one, the exact ones beside them."""
    exact = solved
    if solved.request.step is not None:
        from mapper.rounding.rounded import before_rounding

        exact = before_rounding(solved)
    parts = [Part([*_beside(_summary_rows(solved), _summary_rows(exact))])]
    for figures in solved.figures:
        display = exact.request.desktop.named(figures.display, "display")
        alone = len(solved.reached) == 1
        shown, others = (
            _display_rows(each, alone=alone) for each in (figures, exact.figures_on(display))
        )
        parts.append(Part([*_beside(shown, others)], f"On {figures.display}"))
        if not figures.size_known:
            parts[-1].items.append(
                "Its size is not known: square pixels are assumed, and what needs mm is left out."
            )
    return [*parts, fineness_part(solved)]


def _beside(rounded: list[Row], exact: list[Row]) -> list[Row]:
    values = {row.label: row.value for row in exact}
    return [
        row
        if values.get(row.label, row.value) == row.value
        else row._replace(remark=f"{values[row.label]} before rounding")
        for row in rounded
    ]


def _summary_rows(solved: TabletMap) -> list[Row]:
    summary, several = solved.summary, len(solved.request.onto) > 1
    listed = []
    if len(solved.reached) == 1:
        listed += _scale_rows(summary.scale_factor)
    listed.append(
        Row("area used", f"{number(summary.area_used_percent, 1)} %", "of the active area")
    )
    in_reach = in_reach_percent(solved)
    listed.append(
        Row("in reach", f"{number(in_reach, 1)} %", f"of the screen{'s' if several else ''}")
    )
    if solved.request.window_px is not None and summary.screen_used_percent < 100:
        listed.append(
            Row(
                "window used",
                f"{number(summary.screen_used_percent, 1)} %",
                "of the window that was asked for",
            )
        )
    return listed


def _scale_rows(scale_factor: float | None) -> list[Row]:
    if scale_factor is None:
        return []
    return [
        Row(
            "scale factor",
            number(scale_factor, 3),
            "screen size \N{DIVISION SIGN} hand size, on the diagonal",
        )
    ]


def _display_rows(figures: DisplayFigures, *, alone: bool) -> list[Row]:
    distortion = figures.distortion
    listed = [
        *([] if alone else _scale_rows(figures.scale_factor)),
        Row(
            "stretch",
            number(distortion.stretch, 4),
            "largest scale \N{DIVISION SIGN} smallest; 1 = no stretch",
        ),
        Row(
            "angle error",
            f"{number(distortion.angle_error_deg, 2)} deg",
            "the largest of any angle drawn",
        ),
    ]
    # Where both are the same, they are the scale factor, which stands above.
    if figures.size_known and number(distortion.scale_x, 3) != number(distortion.scale_y, 3):
        listed.append(
            Row("scale across", number(distortion.scale_x, 3), "mm on the glass for 1 mm of hand")
        )
        listed.append(Row("scale down", number(distortion.scale_y, 3), ""))
    if figures.counts_per_px_x is not None and figures.counts_per_px_y is not None:
        counts = f"{number(figures.counts_per_px_x, 2)} x {number(figures.counts_per_px_y, 2)}"
        listed.append(Row("counts per px", counts, "across x down"))
    return listed
