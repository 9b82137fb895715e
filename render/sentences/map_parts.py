"""A map in parts: what to enter, what it does, and to which display."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from mapper.desk import Tablet
from mapper.mapping.entry import Entry, EntryNumber, entry_numbers
from mapper.mapping.forms import UNITS, RectForm, rect_forms
from mapper.mapping.reach import in_reach_percent
from mapper.mapping.solve import DisplayFigures, TabletMap, unturned_map
from mapper.phrases import phrase
from mapper.rect import Rect
from mapper.solving import solve
from render.sentences.forms import UNIT_WORDS, entry_words, step_words
from render.sentences.left_over import fineness_part, left_over_part
from render.sentences.parts import Hint, Part, Row, Table
from render.sentences.say import Name, row_of, say, say_again
from render.sentences.words import (
    circle_phrase,
    fixed,
    fixed_to_type,
    map_sentence,
    number,
    placed,
    rotation_sentence,
    share_words,
    signed,
    to_type,
    turn_words,
    usual_entry,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

#: Just under the smallest change of proportions that people see
#: (mapper.distortion.NOTICED_STRETCH_PERCENT).
UNNOTICED_PERCENT = 1.5
#: A gain of area below this is not worth a line.
WORTH_TELLING_PERCENT = 5.0

FORM_ROWS = (
    ("left", phrase("left")),
    ("top", phrase("top")),
    ("right", phrase("right")),
    ("bottom", phrase("bottom")),
    ("width", phrase("width")),
    ("height", phrase("height")),
    ("centre_x", phrase("centre across")),
    ("centre_y", phrase("centre down")),
    ("up_from_bottom", phrase("from bottom")),
)


def map_parts(
    solved: TabletMap, entry: Entry | None = None, *, every_form: bool = True
) -> list[Part]:
    """The report of one map: sentence, rectangle, screen, figures and what is not used.

    The rectangle stands first in the form that ``entry`` says; without ``every_form`` it stands in
    that form alone, in one line. With a driver's step there is what rounding costs; for a tablet
    that lies askew both the turned area and the best that is not turned.
    """
    slanted = bool(solved.exact.area_angle_deg)
    parts = [Part([map_sentence(solved)])]
    if solved.exact.trims_both:
        parts[0].items.append(
            say(
                "Neither fit alone gives this scale factor, so a part of the tablet and a part of "
                "the display are not used."
            )
        )
    form = usual_entry(entry)
    shown = _Shown(entry, every_form)
    parts += _slanted_parts(solved, shown) if slanted else _area_parts(solved, shown)
    if not every_form:
        parts.append(Part([*_other_forms(entry)]))
    parts += _rotation_parts(solved.request.tablet)
    parts += _step_parts(solved)
    if slanted:
        rounded = solved.request.step is not None
        parts.append(
            Part(heading=say("With the rounded area") if rounded else say("With the turned area"))
        )
    parts.append(
        Part(
            [
                say(
                    "On the display the pen reaches {place} ({displays})",
                    place=placed(solved.screen_px, entry=form),
                    displays=" + ".join(display.label for display in solved.reached),
                )
            ]
        )
    )
    parts += _figure_parts(solved)
    parts.append(left_over_part(solved))
    displays = solved.request.desktop.displays
    if len(displays) > 1 or any(display.zoom != 1 for display in displays):
        # Imported where there is something to tell: most desks have one display.
        from render.sentences.displays import displays_parts

        parts += displays_parts(solved, form)
    return parts


class _Shown(NamedTuple):
    """The form in which the rectangle stands first, and whether every form follows."""

    entry: Entry | None
    every_form: bool


def _other_forms(entry: Entry | None) -> list[Hint]:
    """How to get the rectangle in other forms than the one that is shown."""
    hints = [Hint(say("In every form"), "--all")]
    if entry is None:
        hints.append(Hint(say("In another form, for example"), '--entry "corners mm"'))
    return hints


def _area_parts(solved: TabletMap, shown: _Shown, first: str = "") -> list[Part]:
    tablet = solved.request.tablet
    if not first:
        first = say("Enter this rectangle in the tablet's settings")
    if solved.request.area_built_mm is not None and solved.request.step is None:
        first = say("This rectangle is set now")
    if solved.request.step is not None and not solved.area_angle_deg:
        first = say(
            "{first}, in steps of {step}", first=first, step=step_words(solved.request.step)
        )
    if not shown.every_form:
        return _short_area_parts(solved, usual_entry(shown.entry), first)
    entry = shown.entry
    if entry is None:
        return form_parts(solved.area_built_mm, tablet, first, entry)
    numbers = [
        Row(say_again(each.label), f"{each.text} {each.unit}")
        for each in entry_numbers(solved, entry)
    ]
    return [
        Part([*numbers], say("{first}, {form}", first=first, form=entry_words(entry))),
        *form_parts(solved.area_built_mm, tablet, say("The same in every form"), entry),
    ]


def _short_area_parts(solved: TabletMap, entry: Entry, first: str) -> list[Part]:
    """The rectangle in one line, and in another as seen where the tablet is turned."""
    heading = say("{first}, {form}", first=first, form=entry_words(entry))
    line = _numbers_line(entry_numbers(solved, entry))
    if not solved.request.tablet.turn_deg:
        return [Part([line], heading)]
    turn = turn_words(solved.request.tablet.turn_deg)
    return [
        Part([line], say("{first} (for the tablet when it is not turned)", first=heading)),
        Part(
            [_numbers_line(entry_numbers(solved, entry, as_seen=True))],
            say("The same as you see it, turned {turn}", turn=turn),
        ),
    ]


def _numbers_line(numbers: Sequence[EntryNumber]) -> str:
    return row_of(
        [
            say(
                "{label} {number} {unit}",
                label=say_again(each.label),
                number=each.text,
                unit=say_again(each.unit),
            )
            for each in numbers
        ]
    )


def form_parts(
    rect_built_mm: Rect, tablet: Tablet, first: str, entry: Entry | None = None
) -> list[Part]:
    """A rectangle in every form, as built and, where the tablet is turned, as seen.

    Its numbers have the decimal mark of ``entry``.
    """
    entry = usual_entry(entry)
    forms = rect_forms(rect_built_mm, tablet.active_built_mm, tablet.counts_per_mm)
    if not tablet.turn_deg:
        return [Part([_form_table(forms, entry)], first)]
    seen = rect_forms(
        tablet.seen_rect_mm(rect_built_mm), tablet.active_seen_mm, tablet.counts_per_mm
    )
    return [
        Part(
            [_form_table(forms, entry)],
            say("{first} (for the tablet when it is not turned)", first=first),
        ),
        Part(
            [_form_table(seen, entry)],
            say("The same as you see it, turned {turn}", turn=turn_words(tablet.turn_deg)),
        ),
    ]


def _as_built(turn_deg: int) -> str:
    """Where the corner lies now from which the tablet as built is counted."""
    return {
        90: say(
            "The numbers count from the corner that is at the top left when the tablet is not "
            "turned; it is now at the "
            "top right."
        ),
        180: say(
            "The numbers count from the corner that is at the top left when the tablet is not "
            "turned; it is now at the "
            "bottom right."
        ),
        270: say(
            "The numbers count from the corner that is at the top left when the tablet is not "
            "turned; it is now at the "
            "bottom left."
        ),
    }[turn_deg]


def _rotation_parts(tablet: Tablet) -> list[Part]:
    """The rotation to set for a turned tablet, and which of the two tables to use."""
    if not tablet.turn_deg:
        return []
    if tablet.turn_deg == 180:
        second = say(
            "Use the numbers “as you see it” only if your settings show the turned tablet, with "
            "0,0 at the top left as you see it now."
        )
    else:
        active = tablet.active_seen_mm
        second = say(
            "Use the numbers “as you see it” only if your settings show the turned tablet, {width} "
            "× {height} mm, with 0,0 at the top left as you see it now.",
            width=number(active.width),
            height=number(active.height),
        )
    return [Part([rotation_sentence(tablet.turn_deg), _as_built(tablet.turn_deg), second])]


def _slanted_parts(solved: TabletMap, shown: _Shown) -> list[Part]:
    """The turned area, and what a driver gets whose area cannot be turned."""
    turned = solved.exact
    slant, angle = turned.request.tablet.slant_deg, turned.area_angle_deg
    straight = unturned_map(solved)
    tilt_deg = straight.figures_on(straight.reference).tilt_deg
    upright = solved if solved.request.step else straight
    form = usual_entry(shown.entry)
    able = _area_parts(
        turned,
        shown,
        say(
            "If the tablet's settings can turn the area, enter this rectangle with an angle of "
            "{degrees} degrees",
            degrees=to_type(angle, 2, form),
        ),
    )
    able[-1].items.append(
        say("(the rectangle before it is turned around its centre; positive angles are clockwise)")
    )
    unable = _area_parts(upright, shown, say("If they cannot, enter this rectangle"))
    # Each area with its own part of the screen, where the fit trims that too.
    if upright.screen_px != turned.screen_px:
        for part, area in ((able[-1], turned), (unable[-1], upright)):
            part.items.append(
                say(
                    "with this part of the display: {place}",
                    place=placed(area.screen_px, entry=form),
                )
            )
    off_mm = 200 * math.sin(math.radians(abs(tilt_deg)) / 2)
    costs = Part(
        [
            say("Your strokes come out askew by {turn}.", turn=_turned(tilt_deg)),
            say(
                "A stroke of 100 mm ends {off} mm from where you expect it, measured under the "
                "hand.",
                off=number(off_mm, 1),
            ),
        ],
        say("What changes then"),
    )
    scales = turned.summary.scale_factor, straight.summary.scale_factor
    if scales[0] is not None and scales[1] is not None and number(scales[0]) != number(scales[1]):
        costs.items.append(
            say(
                "The scale factor is {now} instead of {before}.",
                now=number(scales[1]),
                before=number(scales[0]),
            )
        )
    distortion = straight.figures_on(straight.reference).distortion
    if distortion.longer_axis_deg is not None:
        costs.items.append(say("A circle {becomes}.", becomes=circle_phrase(distortion)))
    from render.sentences.letter import askew_words

    askew = say("The tablet lies {askew}.", askew=askew_words(slant))
    return [Part([askew]), *able, *unable, costs]


def _turned(angle_deg: float) -> str:
    degrees = number(abs(angle_deg), 2)
    if angle_deg > 0:
        return say("{degrees} degrees to the right", context="the turn of an area", degrees=degrees)
    return say("{degrees} degrees to the left", context="the turn of an area", degrees=degrees)


def _step_parts(solved: TabletMap) -> list[Part]:
    """What rounding to the driver's step costs, and the rectangle before it."""
    if solved.request.step is None:
        return []
    from mapper.rounding.rounded import before_rounding, rounding_cost

    cost, area = rounding_cost(solved), before_rounding(solved).area_built_mm
    slots = {
        "stretch": _change(cost.stretch_percent),
        "area": _change(cost.area_percent),
    }
    costs = say("Rounding changes: stretch {stretch}, area {area}", **slots)
    if cost.scale_percent is not None:
        costs = say(
            "Rounding changes: stretch {stretch}, area {area}, scale factor {scale}",
            scale=_change(cost.scale_percent),
            **slots,
        )
    shift = number(cost.shift_mm, 2)
    if {slots["stretch"], slots["area"], _change(cost.scale_percent or 0)} == {_change(0)}:
        costs = say("Rounding changes nothing that you would notice")
    if shift != "0":
        costs = say("{costs}; the centre moves by {shift} mm", costs=costs, shift=shift)
    place = (
        f"{number(area.left, 4)}, {number(area.top, 4)}, {number(area.width, 4)} × "
        f"{number(area.height, 4)} mm"
    )
    return [
        Part(
            [
                costs,
                say("Before rounding: {place}", place=place),
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
        smaller = number(-gain, 1)
        words = say("A perfectly round circle needs an area {percent} % smaller", percent=smaller)
        if round(stretch, 2):
            words = say(
                "A stretch of only {stretch} % needs an area {percent} % smaller",
                stretch=fixed(stretch, 2),
                percent=smaller,
            )
        hints.append(Hint(words, "--shape-tolerance 0%"))
    if step.shape_tolerance_percent < UNNOTICED_PERCENT:
        stretch, gain = at(UNNOTICED_PERCENT)
        if gain >= WORTH_TELLING_PERCENT:
            words = say(
                "An area {percent} % larger has a stretch of {stretch} %, which few people notice",
                percent=number(gain, 0),
                stretch=fixed(stretch, 2),
            )
            hints.append(Hint(words, f"--shape-tolerance {UNNOTICED_PERCENT:g}%"))
    return hints


def _change(percent: float) -> str:
    text = number(percent, 2)
    return say("{percent} %", percent=signed(text if percent < 0 or text == "0" else f"+{text}"))


def _form_table(forms: dict[str, RectForm], entry: Entry) -> Table:
    return Table(
        tuple(say_again(label) for _, label in FORM_ROWS),
        tuple(
            (
                say_again(UNIT_WORDS[unit].head),
                *(
                    fixed_to_type(getattr(form, key), UNITS[unit].places, entry)
                    for key, _ in FORM_ROWS
                ),
            )
            for unit, form in forms.items()
        ),
    )


def _figure_parts(solved: TabletMap) -> list[Part]:
    """The figures; where the map is a rounded one, the exact ones outside the displays."""
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
        heading = say("On {display}", display=Name(figures.display))
        parts.append(Part([*_beside(shown, others)], heading))
        if not figures.size_known:
            parts[-1].items.append(
                say(
                    "Its size is not known: square pixels are assumed, and everything that is "
                    "calculated from its size is left out."
                )
            )
    return [*parts, fineness_part(solved)]


def _beside(rounded: list[Row], exact: list[Row]) -> list[Row]:
    values = {row.label: row.value for row in exact}
    return [
        row
        if values.get(row.label, row.value) == row.value
        else row._replace(remark=say("{value} before rounding", value=values[row.label]))
        for row in rounded
    ]


def _summary_rows(solved: TabletMap) -> list[Row]:
    summary, several = solved.summary, len(solved.request.onto) > 1
    rows: list[Row] = []
    if len(solved.reached) == 1:
        rows += _scale_rows(summary.scale_factor)
    rows.append(
        Row(say("area used"), share_words(summary.area_used_percent), say("of the active area"))
    )
    of_them = say("of the displays") if several else say("of the display")
    rows.append(Row(say("reached"), share_words(in_reach_percent(solved)), of_them))
    if solved.request.window_px is not None and summary.screen_used_percent < 100:
        rows.append(
            Row(
                say("part used"),
                share_words(summary.screen_used_percent),
                say("of the part that was asked for"),
            )
        )
    return rows


def _scale_rows(scale_factor: float | None) -> list[Row]:
    if scale_factor is None:
        return []
    return [
        Row(
            say("scale factor"),
            number(scale_factor),
            say("size on the display \N{DIVISION SIGN} size under the hand, on the diagonal"),
        )
    ]


def _display_rows(figures: DisplayFigures, *, alone: bool) -> list[Row]:
    distortion = figures.distortion
    listed = [
        *([] if alone else _scale_rows(figures.scale_factor)),
        Row(
            say("stretch"),
            number(distortion.stretch, 4),
            say("longer axis of a circle \N{DIVISION SIGN} shorter; 1 = it stays round"),
        ),
        Row(
            say("angle error"),
            say("{degrees} degrees", degrees=number(distortion.angle_error_deg, 2)),
            say("the largest error of any angle that you draw"),
        ),
    ]
    # Where both are the same, they are the scale factor, which stands above.
    if figures.size_known and number(distortion.scale_x) != number(distortion.scale_y):
        listed.append(
            Row(
                say("scale factor across"),
                number(distortion.scale_x),
                say("mm on the display for 1 mm of hand movement"),
            )
        )
        listed.append(Row(say("scale factor down"), number(distortion.scale_y), ""))
    if figures.counts_per_px_x is not None and figures.counts_per_px_y is not None:
        counts = f"{number(figures.counts_per_px_x, 2)} × {number(figures.counts_per_px_y, 2)}"
        listed.append(Row(say("counts per px"), counts, say("across × down")))
    return listed
