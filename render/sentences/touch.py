"""The result of touched crosses in sentences: the verdict, what to set, and wrong touches."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mapper.touching.sheets import SQUARE_MM
from mapper.touching.slips import Slip
from mapper.touching.verdict import CANNOT_TELL, RIGHT, Cause, TouchVerdict
from render.sentences.driver import (
    part_words,
    set_angle,
    set_no_mirror,
    set_rotation,
    way_words,
)
from render.sentences.entry import answer_sentences
from render.sentences.say import Name, listed, say, say_count
from render.sentences.words import number, signed, usual_entry

if TYPE_CHECKING:
    from mapper.mapping.entry import Entry
    from mapper.mapping.solve import TabletMap
    from mapper.touching.sheets import Sheet

_SIDES = ("width", "height", "left", "top")


def verdict_sentence(verdict: TouchVerdict, desk: str) -> str:
    """Whether the driver does what was meant, in one sentence."""
    if verdict.answer == RIGHT:
        return say(
            "The tablet uses this setting: {area}; {sure}.",
            area=area_words(verdict),
            sure=sure_words(verdict),
        )
    if verdict.answer == CANNOT_TELL:
        return say(
            "The touches cannot tell whether the tablet uses the setting of {desk}.",
            desk=Name(desk),
        )
    return say("The tablet does not use the setting of {desk}.", desk=Name(desk))


def touched_title(verdict: TouchVerdict) -> str:
    """The verdict as the title of a picture."""
    if verdict.answer == RIGHT:
        return say("The tablet uses this setting: {area}", area=area_words(verdict))
    if verdict.answer == CANNOT_TELL:
        return say("The touches cannot tell whether the tablet uses this setting")
    return say("The tablet does not use this setting")


def area_words(verdict: TouchVerdict) -> str:
    """The measured area: its size, and its place where the sheet's is known; else empty."""
    found = verdict.found
    if found is None:
        return ""
    area = found.setting.area_built_mm
    size = say("{width} × {height} mm", width=number(area.width, 1), height=number(area.height, 1))
    if verdict.anywhere:
        return size
    return say(
        "{size}, {left} mm from the left, {top} mm from the top",
        size=size,
        left=signed(number(area.left, 1)),
        top=signed(number(area.top, 1)),
    )


def sure_words(verdict: TouchVerdict) -> str:
    """How sure that is: the largest stated limit of the sizes, and of the places."""
    limits = verdict.limits_mm
    sizes = number(max(limits["width"], limits["height"]), 1)
    if "left" not in limits:
        return say("its size is accurate to {sizes} mm", sizes=sizes)
    places = number(max(limits["left"], limits["top"]), 1)
    if places == sizes:
        return say("size and place are accurate to {mm} mm", mm=sizes)
    return say(
        "its size is accurate to {sizes} mm, its place to {places} mm", sizes=sizes, places=places
    )


def side_words() -> dict[str, str]:
    """What each measured number of the area is called."""
    return {
        "width": say("width"),
        "height": say("height"),
        "left": say("from the left"),
        "top": say("from the top"),
    }


def cause_sentence(cause: Cause, verdict: TouchVerdict) -> str:
    """What the driver does instead, or why it cannot be told; empty where it is right."""
    area = area_words(verdict)
    return {
        "agrees": "",
        "turned": way_words("turned"),
        "mirrored": way_words(
            "mirrored",
            top_to_bottom=cause.setting is not None and cause.setting.mirror == "top to bottom",
        ),
        "turned and mirrored": way_words("turned and mirrored"),
        "whole tablet": say("The whole active area is used, not only the intended part."),
        "another display": say("The pen is on {display}.", display=Name(cause.display)),
        "all displays": say("The pen reaches all displays."),
        "part of a display": say(
            "The pen reaches the wrong part of {display}.", display=Name(cause.display)
        ),
        "area moved": say("The area has the right size and lies elsewhere: {area}.", area=area),
        "inches for mm": say("Inches were typed where mm are asked for, or mm where inches are."),
        "zoomed desktop": say(
            "The desktop is zoomed to {percent} %: either the pen reaches only that part of "
            "the display, or the file holds zoomed pixels.",
            percent=number(100 * cause.zoom, 0),
        ),
        "angle not set": say("The tablet's settings turn the area by the wrong angle."),
        "another area": say("The tablet uses another area: {area}.", area=area),
        "several": way_words("several"),
        "sheet turned": say("The touch sheet lay turned; the tablet's settings may be right."),
        "askew": say("The touch sheet lay askew, or the tablet's settings turn what you draw."),
        "place not told": say(
            "The touch sheet lay in an unknown place, so only the size was tested, and it is "
            "right: "
            "{area}; {sure}.",
            area=area,
            sure=sure_words(verdict) if verdict.found else "",
        ),
        "crosses outside": say(
            "At most crosses the cursor stopped at an edge: they lie outside the area."
        ),
        "too few inside": say("Too few crosses lie inside the area."),
        "too few touches": say(
            "There are too few touches: three touches prove nothing, since they agree with every "
            "setting."
        ),
        "on one line": say("All crosses lie along one line."),
        "too rough": say("The touches scatter too much to tell."),
        "no setting": say("No usual setting explains these touches."),
    }[cause.name]


def cures(cause: Cause, verdict: TouchVerdict) -> list[str]:
    """What to set or do if this is the cause, a sentence each, with the numbers in mm."""
    lines = _settings(cause, verdict, usual_entry(None))
    if "pixels" in cause.correct:
        lines.insert(
            0,
            say(
                "If the cursor stops short of the display's bottom right corner, set the part of "
                "the display to {part}; if it reaches it, multiply x_px and y_px by {zoom}.",
                part=part_words(verdict.meant.target_px),
                zoom=number(cause.zoom, 2),
            ),
        )
    area = verdict.meant.area_built_mm
    words = {
        "width": say("{mm} mm wide", mm=number(area.width, 2)),
        "height": say("{mm} mm high", mm=number(area.height, 2)),
        "left": say("{mm} mm from the left", mm=number(area.left, 2)),
        "top": say("{mm} mm from the top", mm=number(area.top, 2)),
    }
    typed = [words[side] for side in _SIDES if side in cause.correct]
    if typed:
        lines.append(say("Type {numbers}.", numbers=listed(typed)))
    return lines + _ways_on(cause)


def page_cures(cause: Cause, verdict: TouchVerdict, solved: TabletMap, entry: Entry) -> list[str]:
    """The same for the page, with the numbers in the form that this person's settings ask for.

    ``solved`` is the map that was meant. Numbers to type stand in brackets with their words
    (``say.groups``).
    """
    lines = _settings(cause, verdict, entry)
    if "pixels" in cause.correct:
        part = part_words(verdict.meant.target_px)
        lines.insert(0, say("Set the part of the display to {part}.", part=part))
    if set(_SIDES) & set(cause.correct):
        lines += [*answer_sentences(solved, entry)]
    return lines + _ways_on(cause)


def _settings(cause: Cause, verdict: TouchVerdict, entry: Entry) -> list[str]:
    """What to set besides the numbers of the area."""
    meant = verdict.meant
    lines: list[str] = []
    if "target" in cause.correct:
        lines.append(
            say("Set the part of the display to {part}.", part=part_words(meant.target_px))
        )
    if "turn" in cause.correct:
        lines.append(set_rotation(meant.turn_deg))
    if "mirror" in cause.correct:
        lines.append(set_no_mirror())
    if "angle" in cause.correct and (meant.area_angle_deg or cause.setting is not None):
        lines.append(set_angle(meant.area_angle_deg, entry))
    return lines


def _ways_on(cause: Cause) -> list[str]:
    """What to do with the sheet or the pen, where nothing in the driver is to be set."""
    sentence = {
        "sheet turned": say(
            "Lay the touch sheet with its top edge away from you, and touch again."
        ),
        "askew": say(
            "Lay the touch sheet along the tablet's edges and touch again. If the result is the "
            "same, "
            "set the angle in the tablet's settings to that of this desk."
        ),
        "place not told": say(
            "Lay the touch sheet along the tablet's edges to test the place too."
        ),
        "too few inside": say("Touch at least five crosses inside the area, in two directions."),
        "too few touches": say("Touch nine crosses, spread over the area."),
        "on one line": say("Touch crosses in two directions: nine, in three rows."),
        "too rough": say("Touch nine more, slowly, or crosses that lie farther apart."),
        "no setting": say(
            "Check that the touch sheet, the order of the crosses and the tablet are those of the "
            "desk, "
            "and touch again, slowly."
        ),
        "crosses outside": say("Then touch again."),
    }.get(cause.name)
    return [sentence] if sentence else []


def corner_sentence() -> str:
    """The one touch more that tells a turned driver from a turned sheet."""
    return say(
        "To find out which, touch the tablet's own top left corner and add --corner with the "
        "pixel where the cursor went."
    )


def page_corner_sentence() -> str:
    """The same for the page."""
    return say(
        "To find out which, touch the tablet's own top left corner once: the corner of the active "
        "area, when the tablet is not turned."
    )


def mouse_sentence() -> str:
    """What is to be thought of touches that the browser takes for a mouse."""
    return say(
        "Your browser reported the pen as a mouse; some tablet settings cause this. If these were "
        "mouse clicks, they prove nothing: touch again with the pen."
    )


def cross_words(sheet: Sheet, index: int) -> str:
    """Where a cross of a sheet is to be found."""
    x_mm, y_mm = sheet.seen_mm[index]
    slots = {"number": str(sheet.numbers[index]), "x": number(x_mm, 1), "y": number(y_mm, 1)}
    if sheet.kind == "squared":
        return say(
            "{number}: {x} mm from the left and {y} mm from the top of the paper, {right} squares "
            "and {down} squares.",
            right=number(x_mm / SQUARE_MM, 0),
            down=number(y_mm / SQUARE_MM, 0),
            **slots,
        )
    return say("{number}: {x} mm from the left and {y} mm from the top.", **slots)


def slip_sentence(slip: Slip) -> str:
    """What was wrong with touches, and what was done about it."""
    numbers = listed([str(each) for each in slip.touches])
    return {
        "missed": say(
            "Touch number {touch} missed its cross by {mm} mm and was left out.",
            touch=numbers,
            mm=number(slip.off_mm, 1),
        ),
        "changed places": say(
            "Touches {touches} were swapped and were read the other way round.", touches=numbers
        ),
        "touched twice": say(
            "Touches {touches} are of one cross; the second was left out.", touches=numbers
        ),
    }[slip.name]


def held_sentence(verdict: TouchVerdict) -> str:
    """How many cursors stopped at an edge, which is no error."""
    return say_count(
        "{count} cursor stopped at the edge of the display: its cross lies outside the area.",
        "{count} cursors stopped at the edge of the display: their crosses lie outside the area.",
        verdict.held,
    )
