"""What changed between two settings, in words of hands and displays."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from mapper.phrases import phrase, template
from mapper.rect import Rect
from profiles.fields import FIELDS
from profiles.format.compare import Setting, changes, setting_of
from profiles.plain import plain
from render.fields import SHOWN_FIELDS
from render.sentences.forms import entry_words, step_words
from render.sentences.measures import display_words
from render.sentences.say import Name, listed, say, say_again, scraps
from render.sentences.words import circle_words, number, oval_way, placed

if TYPE_CHECKING:
    from collections.abc import Iterable

    from mapper.mapping.feel import Feel
    from mapper.mapping.solve import MapRequest
    from mapper.mapping.steps import Step
    from profiles.format.compare import Change
    from profiles.format.document import Workstation

#: How the keys that need no sentence of their own are called.
_NAMES = {
    "map.fit": phrase("circles"),
    "map.hold": phrase("side that stays in use"),
    "map.true_on": phrase("display on which circles are round"),
    "map.onto": phrase("displays to reach"),
    "tablet.label": phrase("name of the tablet"),
    "tablet.slant_deg": phrase("askew by"),
    "seat.top_below_eyes_mm": phrase("top edge below your eyes"),
    "seat.tilt_deg": phrase("tilt of the display"),
    "seat.curve_radius_mm": phrase("radius of the display's curve"),
    "seat.ahead": phrase("straight ahead"),
}
#: The same for the keys of one display.
_DISPLAY_NAMES = {
    "zoom": template("zoom of {display}"),
    "bezel_mm": template("frame of {display}"),
    "bezel_in": template("frame of {display}"),
    "radius_mm": template("radius of {display}"),
}
#: The beginnings of the keys that no hand feels and no circle shows.
_UNFELT = (
    "tablet.label",
    *(key for shown in SHOWN_FIELDS.values() if not shown.felt for key in FIELDS[shown.name].keys),
)
_DISPLAY = re.compile(r"displays\[(.*)\]\.([a-z_]+)", re.DOTALL)


def setting_sentence(workstation: Workstation) -> str:
    """One setting in a line: area, scale factor, what a circle becomes."""
    setting = setting_of(workstation)
    phrases: list[str] = [
        say("area {size}", size=_size((setting.width_mm, setting.height_mm), "mm", 1))
    ]
    if setting.scale_factor is not None:
        phrases.append(say("scale factor {factor}", factor=number(setting.scale_factor)))
    if oval_way(setting) == "round":
        phrases.append(say("circles stay round"))
    else:
        phrases.append(say("a circle comes out {shape}", shape=circle_words(setting)))
    return scraps(phrases)


def changes_sentence(before: Workstation, after: Workstation) -> str:
    """What changed from one setting to another, in a line; says so where nothing did."""
    found = {change.what: change for change in changes(before, after)}
    if not found:
        return say("nothing changed")
    one, two = setting_of(before), setting_of(after)
    felt = any(not name.startswith(_UNFELT) for name in found)
    tablet = _tablet(found, before, after)
    phrases = [*_area(found, moves=not tablet), *_screen(found, one, two), *_scale(found, one, two)]
    phrases += [_circle_phrase(one, two)] if felt else []
    phrases += [*_reached(found), *tablet, *_displays(found, before, after), *_seat(found)]
    phrases += [*_asked(found, before, after), *_rest(found)]
    return scraps(phrases) or say("nothing that hand or eye would notice")


def beside_sentence(before: Workstation, after: Workstation) -> str:
    """What a variation changes, beside the desk that it starts from."""
    slots = {"desk": Name(before.name), "changes": changes_sentence(before, after)}
    if before.revision:
        revision = str(before.revision.number)
        return say(
            "Compared with {desk}, setting {revision}: {changes}.", revision=revision, **slots
        )
    return say("Compared with {desk}: {changes}.", **slots)


def replaced_sentence(
    before: Workstation, after: Workstation, replaced: Iterable[str], revision: int
) -> str:
    """Which hardware is quite another than in the newest ``revision``."""
    words = {"tablet": _tablet_words, "displays": _displays_words}
    return listed(
        [
            say(
                "{now} where setting {revision} has {before}",
                now=words[part](after),
                revision=str(revision),
                before=words[part](before),
            )
            for part in replaced
        ]
    )


def _tablet_words(workstation: Workstation) -> str:
    tablet = workstation.map.request.tablet
    return say("a tablet of {size}", size=_size((tablet.width_mm, tablet.height_mm), "mm", 1))


def _displays_words(workstation: Workstation) -> str:
    displays = workstation.map.request.desktop.displays
    return listed([display_words(display) for display in displays])


def changes_data(before: Workstation, after: Workstation) -> list[dict[str, Any]]:
    """What changed, for other programs.

    Each change says what it is, its value before and after, and the difference of numbers.
    """
    return [{**plain(change), **plain({"by": change.by})} for change in changes(before, after)]


def _circle_phrase(before: Setting, after: Setting) -> str:
    was, now = circle_words(before), circle_words(after)
    if was != now:
        return say("a circle is now {now} (before: {before})", now=now, before=was)
    if oval_way(after) == "round":
        return say("circles stay round")
    return say("a circle is still {shape}", shape=now)


def _more(
    found: dict[str, Change], what: str, more: str, less: str, *, places: int = 1
) -> list[str]:
    """``8 mm wider`` or ``narrower``, in a list, said by the templates ``more`` and ``less``.

    Empty where it did not change by anything that could be shown.
    """
    change = found.pop(what, None)
    if change is None or change.by is None:
        return []
    size = abs(change.by)
    if size < 0.5 * 10**-places:
        places = 3
    text = number(size, places)
    return [say(more if change.by > 0 else less, mm=text)] if text != "0" else []


def _area(found: dict[str, Change], *, moves: bool) -> list[str]:
    """Its size and, where ``moves`` (on one and the same tablet), its place."""
    sizes = [
        *_more(found, "area.width_mm", template("{mm} mm wider"), template("{mm} mm narrower")),
        *_more(found, "area.height_mm", template("{mm} mm taller"), template("{mm} mm shorter")),
    ]
    shifts = [
        *_more(
            found,
            "area.centre_x_mm",
            template("{mm} mm to the right"),
            template("{mm} mm to the left"),
        ),
        *_more(found, "area.centre_y_mm", template("{mm} mm down"), template("{mm} mm up")),
    ]
    phrases: list[str] = []
    if sizes:
        phrases.append(say("area {sizes}", sizes=listed(sizes)))
    if shifts and moves:
        phrases.append(say("its middle moved {shifts}", shifts=listed(shifts)))
        if not sizes:
            phrases = [say("area moved {shifts}", shifts=listed(shifts))]
    angle = found.pop("area.angle_deg", None)
    if angle is not None:
        was, now = _apart(angle.before or 0.0, angle.after or 0.0)
        phrases.append(say("area turned {before} → {now} degrees", before=was, now=now))
    return phrases


def _screen(found: dict[str, Change], before: Setting, after: Setting) -> list[str]:
    names = ("screen.left_px", "screen.top_px", "screen.width_px", "screen.height_px")
    changed = [name for name in names if found.pop(name, None) is not None]
    if not changed:
        return []
    was = _size((before.width_px, before.height_px), "px", 1)
    now = _size((after.width_px, after.height_px), "px", 1)
    if was == now:
        left, top = number(after.left_px, 1), number(after.top_px, 1)
        return [say("the pen now reaches the screen from {left}, {top}", left=left, top=top)]
    return [say("the pen reaches {before} → {now}", before=was, now=now)]


def _scale(found: dict[str, Change], before: Setting, after: Setting) -> list[str]:
    change = found.pop("scale_factor", None)
    if change is None:
        return []
    if change.before is None:
        return [say("scale factor now known, {factor}", factor=number(change.after))]
    if change.after is None:
        return [say("scale factor {factor} → not known", factor=number(change.before))]
    was, now = _apart(change.before, change.after, 2)
    if before.display != after.display:
        return [
            say(
                "scale factor {before} on {display} → {now} on {other}",
                before=was,
                display=Name(before.display),
                now=now,
                other=Name(after.display),
            )
        ]
    return [say("scale factor {before} → {now}", before=was, now=now)]


def _reached(found: dict[str, Change]) -> list[str]:
    for name in ("stretch", "oval_percent"):
        found.pop(name, None)
    change = found.pop("reached", None)
    if change is None:
        return []
    found.pop("map.onto", None)
    gained = [Name(label) for label in change.after if label not in change.before]
    gone = [Name(label) for label in change.before if label not in change.after]
    phrases: list[str] = []
    if gained:
        phrases.append(say("the pen now reaches {displays}", displays=listed(gained)))
    if gone:
        phrases.append(say("the pen no longer reaches {displays}", displays=listed(gone)))
    return phrases


def _tablet(found: dict[str, Change], before: Workstation, after: Workstation) -> list[str]:
    phrases: list[str] = []
    # A list, so that both are taken out.
    if any([found.pop("tablet.width_mm", None), found.pop("tablet.height_mm", None)]):
        was, now = before.map.request.tablet, after.map.request.tablet
        sizes = _sizes((was.width_mm, was.height_mm), (now.width_mm, now.height_mm), "mm")
        phrases.append(say("tablet {before} → {now}", before=sizes[0], now=sizes[1]))
    # A list, so that both are taken out.
    if any([found.pop("tablet.counts_per_mm", None), found.pop("tablet.counts_per_in", None)]):
        first, then = _apart(
            before.map.request.tablet.counts_per_mm, after.map.request.tablet.counts_per_mm
        )
        phrases.append(
            say("tablet resolution {before} → {now} counts per mm", before=first, now=then)
        )
    turn = found.pop("tablet.turn_deg", None)
    if turn is not None:
        first, then = _apart(turn.before, turn.after)
        phrases.append(
            say("tablet turned {before} → {now} degrees clockwise", before=first, now=then)
        )
    return phrases


def _displays(found: dict[str, Change], before: Workstation, after: Workstation) -> list[str]:
    by_label: dict[str, dict[str, Change]] = {}
    for name in list(found):
        match = _DISPLAY.fullmatch(name)
        if match:
            by_label.setdefault(match.group(1), {})[match.group(2)] = found.pop(name)
    olds = {display.label: display for display in before.map.request.desktop.displays}
    news = {display.label: display for display in after.map.request.desktop.displays}
    phrases: list[str] = []
    for label, parts in by_label.items():
        display = Name(label)
        if label not in olds:
            phrases.append(say("display {display} is new", display=display))
            continue
        if label not in news:
            phrases.append(say("display {display} is gone", display=display))
            continue
        was, now = olds[label], news[label]
        sizes = []
        if any([parts.pop("width_px", None), parts.pop("height_px", None)]):
            sizes.append(_sizes((was.width_px, was.height_px), (now.width_px, now.height_px), "px"))
        in_mm = [
            parts.pop(key, None) for key in ("width_mm", "height_mm", "diagonal_in", "diagonal_mm")
        ]
        if any(in_mm):
            sizes.append(_sizes((was.width_mm, was.height_mm), (now.width_mm, now.height_mm), "mm"))
        phrases += [
            say("display {display} {before} → {now}", display=display, before=first, now=then)
            for first, then in sizes
        ]
        if any([parts.pop("left_px", None), parts.pop("top_px", None)]):
            phrases.append(say("display {display} moved on the desktop", display=display))
        phrases += [_plainly(_part_name(key, display), key, part) for key, part in parts.items()]
    return phrases


Sides = tuple[float | None, float | None]


def _sizes(before: Sides, after: Sides, unit: str) -> tuple[str, str]:
    """Both sizes with as many places as tell them apart."""
    places = 1
    while (was := _size(before, unit, places)) == (
        now := _size(after, unit, places)
    ) and places < 9:
        places += 1
    return was, now


def _size(sides: Sides, unit: str, places: int) -> str:
    width, height = sides
    if width is None or height is None:
        return say("size unknown")
    return f"{number(width, places)} × {number(height, places)} {unit}"


def _seat(found: dict[str, Change]) -> list[str]:
    distance = found.get("seat.distance_mm")
    if distance is not None and distance.by is None:
        del found["seat.distance_mm"]
        if distance.before is None:
            return [say("you sit {mm} mm away", mm=number(distance.after, 0))]
        return [say("where you sit is no longer noted")]
    return _more(
        found,
        "seat.distance_mm",
        template("you sit {mm} mm farther away"),
        template("you sit {mm} mm closer"),
        places=0,
    )


def _asked(found: dict[str, Change], before: Workstation, after: Workstation) -> list[str]:
    """The changes of wishes that stand in several keys, each in one phrase.

    They are a window, a part of the tablet, a step, a wanted scale factor and the form of entry.
    """
    phrases = []
    for (words, attribute), keys in _ASKED.items():
        if not [found.pop(name) for name in list(found) if name.startswith(keys)]:
            continue
        if attribute == "entry":
            was, now = (entry_words(each.entry) if each.entry else None for each in (before, after))
        else:
            was, now = (_asked_words(each.map.request, attribute) for each in (before, after))
        phrases.append(_from_to(say_again(words), was, now))
    return phrases


def _from_to(what: str, was: str | None, now: str | None) -> str:
    if was is None:
        return say("{what}: now {now}", what=what, now=now or say("unknown"))
    if now is None:
        return say("{what}: no longer {before}", what=what, before=was)
    return say("{what}: {before} → {now}", what=what, before=was, now=now)


def _asked_words(request: MapRequest, attribute: str) -> str | None:
    """What a request asks in one attribute; None where it asks nothing there."""
    value = getattr(request, attribute)
    if value is None:
        return None
    if isinstance(value, Rect):
        return placed(value, attribute.rpartition("_")[2], 3)
    return _step(value) if attribute == "step" else _wanted(value)


def _step(step: Step) -> str:
    return say(
        "{step}, stretch up to {percent} %",
        step=step_words(step),
        percent=number(step.shape_tolerance_percent, 3),
    )


def _wanted(feel: Feel) -> str:
    scale = number(feel.scale_x, 4)
    if feel.scale_x != feel.scale_y:
        scale = say("{across} across and {down} down", across=scale, down=number(feel.scale_y, 4))
    return say("{scale}, as at {desk}", scale=scale, desk=Name(feel.of)) if feel.of else scale


#: What is asked for in several keys: what it is called, the attribute that holds it, and its keys.
_ASKED = {
    (shown.changed, FIELDS[shown.name].sets): tuple(
        key
        for field in FIELDS.values()
        if field.sets == FIELDS[shown.name].sets
        for key in field.keys
    )
    for shown in SHOWN_FIELDS.values()
    if shown.changed
}


def _rest(found: dict[str, Change]) -> list[str]:
    """What has no sentence of its own: its name, and its value before and after."""
    phrases: list[str] = []
    for name, change in found.items():
        if name == "note":
            phrases.append(say("note changed"))
        elif name == "workstation":
            was, now = Name(change.before), Name(change.after)
            phrases.append(say("renamed {before} → {now}", before=was, now=now))
        elif name == "map.fit":
            fits = (say_again(_FITS[each]) for each in (change.before, change.after))
            phrases.append(_from_to(_key_name(name), *fits))
        else:
            phrases.append(_plainly(_key_name(name), name, change))
    return phrases


#: What each fit does to circles, as a value that changed.
_FITS = {
    "full": phrase("may come out oval"),
    "locked": phrase("stay round, on part of the tablet"),
    "cropped": phrase("stay round, on part of the display"),
}


def _key_name(key: str) -> str:
    """How a key of the profile is called; a key that has no words stands as it is written."""
    known = _NAMES.get(key)
    if known is not None:
        return say_again(known)
    return key.removeprefix("map.").replace(".", " ").replace("_", " ")


def _part_name(key: str, display: Name) -> str:
    known = _DISPLAY_NAMES.get(key)
    if known is not None:
        return say(known, display=display)
    return say("display {display}, {part}", display=display, part=key.replace("_", " "))


def _plainly(name: str, key: str, change: Change) -> str:
    """A change by its name; its unit, which the ``key`` ends in, stands behind the values."""
    with_unit = _WITH_UNIT.get(key.rpartition("_")[2], "{value}")
    was, now = change.before, change.after
    if was is not None and now is not None:
        first, then = _apart(was, now)
        return _from_to(name, first, say(with_unit, value=then))
    value = say(with_unit, value=_value(now if was is None else was, 3))
    return _from_to(name, *((None, value) if was is None else (value, None)))


#: The unit that the last part of a key says, behind a value.
_WITH_UNIT = {
    "mm": template("{value} mm"),
    "in": template("{value} in"),
    "px": template("{value} px"),
    "deg": template("{value} degrees"),
    "percent": template("{value} %"),
    "minutes": template("{value} minutes"),
}


def _apart(before: Any, after: Any, places: int = 3) -> tuple[str, str]:
    """Both values with as many places as tell them apart."""
    was, now = _value(before, places), _value(after, places)
    while was == now and places < 9:
        places += 1
        was, now = _value(before, places), _value(after, places)
    return was, now


def _value(value: Any, places: int) -> str:
    if value is None:
        return say("unknown")
    if isinstance(value, float):
        return number(value, places)
    if isinstance(value, (list, tuple)):
        return listed([Name(str(each)) for each in value])
    return str(value)
