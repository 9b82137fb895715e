"""The result of touched crosses in sentences: the verdict, what to set, and wrong touches."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mapper.touching.slips import Slip
from mapper.touching.verdict import CANNOT_TELL, RIGHT, Cause, TouchVerdict
from render.sentences.say import Name, listed, say, say_count
from render.sentences.words import number, turn_words

if TYPE_CHECKING:
    from mapper.rect import Rect

_SIDES = ("width", "height", "left", "top")


def verdict_sentence(verdict: TouchVerdict, desk: str) -> str:
    """Whether the driver does what was meant, in one sentence."""
    if verdict.answer == RIGHT:
        return say(
            "The driver is using this setting: {area}, {sure}.",
            area=area_words(verdict),
            sure=sure_words(verdict),
        )
    if verdict.answer == CANNOT_TELL:
        return say(
            "The touches cannot tell whether the driver is using the setting of {desk}.",
            desk=Name(desk),
        )
    return say("The driver is not using the setting of {desk}.", desk=Name(desk))


def area_words(verdict: TouchVerdict) -> str:
    """The measured area: its size, and its place where the sheet's is known."""
    found = verdict.found
    if found is None:
        return ""
    area = found.setting.area_built_mm
    size = say("{width} × {height} mm", width=number(area.width, 1), height=number(area.height, 1))
    if verdict.anywhere:
        return size
    return say(
        "{size}, {left} from the left, {top} from the top",
        size=size,
        left=number(area.left, 1),
        top=number(area.top, 1),
    )


def sure_words(verdict: TouchVerdict) -> str:
    """How sure that is: the largest stated limit of the sizes, and of the places."""
    limits = verdict.limits_mm
    sizes = number(max(limits["width"], limits["height"]), 1)
    if "left" not in limits:
        return say("its size within {sizes} mm", sizes=sizes)
    places = number(max(limits["left"], limits["top"]), 1)
    return say(
        "its size within {sizes} mm and its place within {places} mm", sizes=sizes, places=places
    )


def cause_sentence(cause: Cause, verdict: TouchVerdict) -> str:
    """What the driver does instead, or why it cannot be told; empty where it is right."""
    area = ""
    if verdict.found is not None:
        area = area_words(verdict)
    return {
        "agrees": "",
        "turned": say("The picture is turned against the hand."),
        "mirrored": _mirror_words(cause),
        "turned and mirrored": say("The picture is turned and mirrored against the hand."),
        "whole tablet": say("The whole active area is used, not the part that was meant."),
        "another display": say("The pen is on {display}.", display=Name(cause.display)),
        "all displays": say("The pen is spread over all displays."),
        "part of a display": say(
            "The pen fills another part of {display} than was meant.", display=Name(cause.display)
        ),
        "area moved": say("The area has the right size and lies elsewhere: {area}.", area=area),
        "inches for mm": say("The numbers were typed as inches where mm are asked, or reversed."),
        "zoomed desktop": say(
            "The desktop is zoomed to {percent} %: either the pen reaches only that part of the "
            "screen, or the file holds zoomed pixels.",
            percent=number(100 * cause.zoom, 0),
        ),
        "angle not set": say("The driver turns the area by another angle than was meant."),
        "another area": say("The driver uses another area: {area}.", area=area),
        "several": say("Several things are set otherwise than was meant."),
        "sheet turned": say("The sheet lay turned; the driver may be right."),
        "askew": say("The sheet lay askew, or the driver turns what you draw."),
        "place not told": say(
            "All that a sheet at no known place can tell is as meant: {area}, {sure}. "
            "Where the area lies was not tested.",
            area=area,
            sure=sure_words(verdict) if verdict.found else "",
        ),
        "crosses outside": say(
            "At most crosses the cursor stopped at an edge: they lie outside the area."
        ),
        "too few inside": say("Too few crosses lie inside the area."),
        "too few touches": say("There are too few touches: three fit any map."),
        "on one line": say("All crosses lie along one line."),
        "too rough": say("The touches scatter too much to tell."),
        "no setting": say("No usual setting explains these touches."),
    }[cause.name]


def _mirror_words(cause: Cause) -> str:
    if cause.setting is not None and cause.setting.mirror == "top to bottom":
        return say("The picture is mirrored, top to bottom.")
    return say("The picture is mirrored, left to right.")


def cures(cause: Cause, verdict: TouchVerdict) -> list[str]:
    """What to set or do if this is the cause, a sentence each, with the numbers."""
    meant, lines = verdict.meant, []
    if "target" in cause.correct:
        lines.append(
            say("Set the part of the screen to {part}.", part=_part_words(meant.target_px))
        )
    if "pixels" in cause.correct:
        lines.append(
            say(
                "If the cursor stops short of the screen's bottom right corner, set the part of "
                "the screen to {part}; if it reaches it, multiply x_px and y_px by {zoom}.",
                part=_part_words(meant.target_px),
                zoom=number(cause.zoom, 2),
            )
        )
    if "turn" in cause.correct:
        turned = turn_words(meant.turn_deg)
        if turned:
            lines.append(
                say("Set the rotation in the tablet's settings: turned {turn}.", turn=turned)
            )
        else:
            lines.append(say("Set the rotation in the tablet's settings: not turned."))
    if "mirror" in cause.correct:
        lines.append(say("Switch mirroring off."))
    if "angle" in cause.correct and (meant.area_angle_deg or cause.setting is not None):
        lines.append(
            say("Turn the area by {angle} degrees.", angle=number(meant.area_angle_deg, 2))
        )
    area = meant.area_built_mm
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


def _ways_on(cause: Cause) -> list[str]:
    """What to do with the sheet or the pen, where nothing in the driver is to be set."""
    sentence = {
        "sheet turned": say("Lay the sheet upright, its top edge away from you, and touch again."),
        "askew": say(
            "Lay the sheet along the tablet's edges and touch again. If it comes out so again, "
            "set the angle in the tablet's settings to the one of the desk."
        ),
        "place not told": say("Lay the sheet into the tablet's corner to test the place too."),
        "too few inside": say("Touch at least five crosses inside the area, in two directions."),
        "too few touches": say("Touch nine crosses, spread over the area."),
        "on one line": say("Touch crosses in two directions: nine, in three rows."),
        "too rough": say("Touch nine more, slowly, or crosses that lie farther apart."),
        "no setting": say(
            "Check that the sheet, the order of the crosses and the tablet are those of the desk, "
            "and touch again, slowly."
        ),
        "crosses outside": say("Then touch again."),
    }.get(cause.name)
    return [sentence] if sentence else []


def corner_sentence() -> str:
    """The one touch more that tells a turned driver from a turned sheet."""
    return say(
        "To tell them apart, touch the tablet's own top left corner and add --corner with the "
        "pixel where the cursor went."
    )


def slip_sentence(slip: Slip) -> str:
    """What was wrong with touches, and what was done about it."""
    numbers = listed([str(each) for each in slip.touches])
    return {
        "missed": say(
            "Touch {touch} missed its cross by {mm} mm and was left out.",
            touch=numbers,
            mm=number(slip.off_mm, 1),
        ),
        "changed places": say(
            "Touches {touches} had changed places and were read so.", touches=numbers
        ),
        "touched twice": say(
            "Touches {touches} are of one cross; the second was left out.", touches=numbers
        ),
    }[slip.name]


def held_sentence(verdict: TouchVerdict) -> str:
    """How many cursors stopped at an edge, which is no error."""
    return say_count(
        "{count} cursor stopped at the edge of the screen: its cross lies outside the area.",
        "{count} cursors stopped at the edge of the screen: their crosses lie outside the area.",
        verdict.held,
    )


def _part_words(rect: Rect) -> str:
    return say(
        "{width} × {height} pixels, {left} from the left and {top} from the top",
        width=number(rect.width, 0),
        height=number(rect.height, 0),
        left=number(rect.left, 0),
        top=number(rect.top, 0),
    )
