"""What changed between two settings, in words of hands and screens."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from mapper.rect import Rect
from profiles.fields import FIELDS
from profiles.format.compare import Setting, changes, setting_of
from profiles.plain import plain
from render.fields import SHOWN_FIELDS
from render.sentences.forms import entry_words, step_words
from render.sentences.measures import display_words
from render.sentences.words import circle_words, fixed, number, placed

if TYPE_CHECKING:
    from collections.abc import Iterable

    from mapper.mapping.feel import Feel
    from mapper.mapping.solve import MapRequest
    from mapper.mapping.steps import Step
    from profiles.format.compare import Change
    from profiles.format.document import Workstation

ARROW = "\N{RIGHTWARDS ARROW}"
#: The last part of a key says its unit.
_UNITS = {"mm": "mm", "px": "px", "deg": "degrees", "percent": "%", "minutes": "minutes"}
#: The beginnings of the keys that no hand feels and no circle shows.
_UNFELT = (
    "tablet.label",
    *(key for shown in SHOWN_FIELDS.values() if not shown.felt for key in FIELDS[shown.name].keys),
)
_DISPLAY = re.compile(r"displays\[(.*)\]\.([a-z_]+)", re.DOTALL)


def setting_sentence(workstation: Workstation) -> str:
    """One setting in a line: area, scale factor, what a circle becomes."""
    setting = setting_of(workstation)
    scale = "" if setting.scale_factor is None else f"; scale factor {number(setting.scale_factor)}"
    return (
        f"area {number(setting.width_mm, 1)} x {number(setting.height_mm, 1)} mm{scale}; circle "
        f"{_circle(setting)}"
    )


def changes_sentence(before: Workstation, after: Workstation) -> str:
    """What changed from one setting to another, in a line; says so where nothing did."""
    found = {change.what: change for change in changes(before, after)}
    if not found:
        return "nothing changed"
    one, two = setting_of(before), setting_of(after)
    felt = any(not name.startswith(_UNFELT) for name in found)
    tablet = _tablet(found, before, after)
    phrases = [*_area(found, moves=not tablet), *_screen(found, one, two), *_scale(found, one, two)]
    phrases += [_circle_phrase(one, two)] if felt else []
    phrases += [*_reached(found), *tablet, *_displays(found, before, after), *_seat(found)]
    phrases += [*_asked(found, before, after), *_rest(found)]
    return "; ".join(phrases) or "nothing that hand or eye would notice"


def beside_sentence(before: Workstation, after: Workstation) -> str:
    """What a variation changes, beside the desk that it starts from."""
    revision = f", revision {before.revision.number}" if before.revision else ""
    return f"Beside {before.name}{revision}: {changes_sentence(before, after)}."


def replaced_sentence(
    before: Workstation, after: Workstation, replaced: Iterable[str], revision: int
) -> str:
    """Which hardware is quite another than in the newest ``revision``."""
    words = {"tablet": _tablet_words, "displays": _displays_words}
    replacements = [
        f"{words[part](after)} where revision {revision} has {words[part](before)}"
        for part in replaced
    ]
    return ", and ".join(replacements)


def _tablet_words(workstation: Workstation) -> str:
    tablet = workstation.map.request.tablet
    return f"a tablet of {_size((tablet.width_mm, tablet.height_mm), 'mm', 1)}"


def _displays_words(workstation: Workstation) -> str:
    return " and ".join(
        display_words(display) for display in workstation.map.request.desktop.displays
    )


def changes_data(before: Workstation, after: Workstation) -> list[dict[str, Any]]:
    """What changed, for other programs.

    Each change says what it is, its value before and after, and the difference of numbers.
    """
    return [{**plain(change), **plain({"by": change.by})} for change in changes(before, after)]


def _circle(setting: Setting) -> str:
    return circle_words(setting)


def _circle_phrase(before: Setting, after: Setting) -> str:
    was, now = _circle(before), _circle(after)
    if was == now:
        return f"circle still {now}"
    return "circle now round, was " + was if now == "round" else f"circle now {now}, was {was}"


def _more(
    found: dict[str, Change], what: str, unit: str, *, more: str, less: str, places: int = 1
) -> list[str]:
    """``8.0 mm wider`` or ``narrower``, in a list.

    Empty where it did not change by anything that could be shown.
    """
    change = found.pop(what, None)
    if change is None or change.by is None:
        return []
    size = abs(change.by)
    if size < 0.5 * 10**-places:
        places = 3
    text = fixed(size, places)
    return [f"{text} {unit} {more if change.by > 0 else less}"] if float(text) else []


def _area(found: dict[str, Change], *, moves: bool) -> list[str]:
    """Its size and, where ``moves`` (on one and the same tablet), its place."""
    sizes = [
        *_more(found, "area.width_mm", "mm", more="wider", less="narrower"),
        *_more(found, "area.height_mm", "mm", more="taller", less="shorter"),
    ]
    shifts = [
        *_more(found, "area.centre_x_mm", "mm", more="right", less="left"),
        *_more(found, "area.centre_y_mm", "mm", more="down", less="up"),
    ]
    phrases = [f"area {' and '.join(sizes)}"] if sizes else []
    if shifts and moves:
        phrases.append(f"{'its' if sizes else 'area moved, its'} middle {' and '.join(shifts)}")
    angle = found.pop("area.angle_deg", None)
    if angle is not None:
        phrases.append(f"area turned {_arrow(angle.before or 0.0, angle.after or 0.0)} degrees")
    return [", ".join(phrases)] if phrases else []


def _screen(found: dict[str, Change], before: Setting, after: Setting) -> list[str]:
    names = ("screen.left_px", "screen.top_px", "screen.width_px", "screen.height_px")
    changed = [name for name in names if found.pop(name, None) is not None]
    if not changed:
        return []
    was = f"{number(before.width_px, 1)} x {number(before.height_px, 1)}"
    now = f"{number(after.width_px, 1)} x {number(after.height_px, 1)}"
    place = f"from {number(after.left_px, 1)}, {number(after.top_px, 1)}"
    if was == now:
        return [f"screen now reached {place}"]
    return [f"screen reached {was} px {ARROW} {now} px"]


def _scale(found: dict[str, Change], before: Setting, after: Setting) -> list[str]:
    change = found.pop("scale_factor", None)
    if change is None:
        return []
    if change.before is None:
        return [f"scale factor now known, {number(change.after)}"]
    if change.after is None:
        return [f"scale factor {number(change.before)} {ARROW} not known"]
    factors = _arrow(change.before, change.after, 2)
    if before.display != after.display:
        factors = f"{factors.replace(ARROW, f'on {before.display} {ARROW}')} on {after.display}"
    return [f"scale factor {factors}"]


def _reached(found: dict[str, Change]) -> list[str]:
    for name in ("stretch", "oval_percent"):
        found.pop(name, None)
    change = found.pop("reached", None)
    if change is None:
        return []
    found.pop("map.onto", None)
    gained = [label for label in change.after if label not in change.before]
    lost = [label for label in change.before if label not in change.after]
    phrases = [f"pen now reaches {' + '.join(gained)}"] if gained else []
    return [*phrases, f"pen no longer reaches {' + '.join(lost)}"] if lost else phrases


def _tablet(found: dict[str, Change], before: Workstation, after: Workstation) -> list[str]:
    phrases = []
    # A list, so that both are taken out.
    if any([found.pop("tablet.width_mm", None), found.pop("tablet.height_mm", None)]):
        was, now = before.map.request.tablet, after.map.request.tablet
        phrases.append(
            f"tablet {_sizes((was.width_mm, was.height_mm), (now.width_mm, now.height_mm), 'mm')}"
        )
    # A list, so that both are taken out.
    if any([found.pop("tablet.counts_per_mm", None), found.pop("tablet.counts_per_in", None)]):
        counts = before.map.request.tablet.counts_per_mm, after.map.request.tablet.counts_per_mm
        phrases.append(f"tablet resolution {_arrow(*counts)} counts per mm")
    turn = found.pop("tablet.turn_deg", None)
    if turn is not None:
        phrases.append(f"tablet turned {_arrow(turn.before, turn.after)} degrees clockwise")
    return phrases


def _displays(found: dict[str, Change], before: Workstation, after: Workstation) -> list[str]:
    by_label: dict[str, dict[str, Change]] = {}
    for name in list(found):
        match = _DISPLAY.fullmatch(name)
        if match:
            by_label.setdefault(match.group(1), {})[match.group(2)] = found.pop(name)
    olds = {display.label: display for display in before.map.request.desktop.displays}
    news = {display.label: display for display in after.map.request.desktop.displays}
    phrases = []
    for label, parts in by_label.items():
        if label not in olds or label not in news:
            phrases.append(f"display {label} {'added' if label in news else 'gone'}")
            continue
        was, now = olds[label], news[label]
        if any([parts.pop("width_px", None), parts.pop("height_px", None)]):
            pixels = _sizes((was.width_px, was.height_px), (now.width_px, now.height_px), "px")
            phrases.append(f"display {label} {pixels}")
        sizes_of = [
            parts.pop(key, None) for key in ("width_mm", "height_mm", "diagonal_in", "diagonal_mm")
        ]
        if any(sizes_of):
            sizes = _sizes((was.width_mm, was.height_mm), (now.width_mm, now.height_mm), "mm")
            phrases.append(f"display {label} {sizes}")
        if any([parts.pop("left_px", None), parts.pop("top_px", None)]):
            phrases.append(f"display {label} moved on the desktop")
        phrases += [_plainly(f"display {label} {key}", part) for key, part in parts.items()]
    return phrases


Sides = tuple[float | None, float | None]


def _sizes(before: Sides, after: Sides, unit: str) -> str:
    """Both sizes with as many places as tell them apart."""
    places = 1
    while (was := _size(before, unit, places)) == (
        now := _size(after, unit, places)
    ) and places < 9:
        places += 1
    return f"{was} {ARROW} {now}"


def _size(sides: Sides, unit: str, places: int) -> str:
    width, height = sides
    if width is None or height is None:
        return "size unknown"
    return f"{number(width, places)} x {number(height, places)} {unit}"


def _seat(found: dict[str, Change]) -> list[str]:
    distance = found.get("seat.distance_mm")
    if distance is not None and distance.by is None:
        del found["seat.distance_mm"]
        return [
            f"you sit {number(distance.after, 0)} mm away"
            if distance.before is None
            else "seat no longer noted"
        ]
    return [
        f"you sit {text}"
        for text in _more(
            found, "seat.distance_mm", "mm", more="further away", less="closer", places=0
        )
    ]


def _asked(found: dict[str, Change], before: Workstation, after: Workstation) -> list[str]:
    """The changes of wishes that stand in several keys, each in one phrase.

    They are a window, a part of the tablet, a step, a wanted scale and the form of entry.
    """
    phrases = []
    for (words, attribute), keys in _ASKED.items():
        if not [found.pop(name) for name in list(found) if name.startswith(keys)]:
            continue
        if attribute == "entry":
            was, now = (entry_words(each.entry) if each.entry else None for each in (before, after))
        else:
            was, now = (_asked_words(each.map.request, attribute) for each in (before, after))
        phrases.append(_from_to(words, was, now))
    return phrases


def _from_to(words: str, was: str | None, now: str | None) -> str:
    if was is None:
        return f"{words} now {now}"
    return f"{words} no longer {was}" if now is None else f"{words} {was} {ARROW} {now}"


def _asked_words(request: MapRequest, attribute: str) -> str | None:
    """What a request asks in one attribute; None where it asks nothing there."""
    value = getattr(request, attribute)
    if value is None:
        return None
    if isinstance(value, Rect):
        return placed(value, attribute.rpartition("_")[2], 3)
    return _step(value) if attribute == "step" else _wanted(value)


def _step(step: Step) -> str:
    stretch = number(step.shape_tolerance_percent, 3)
    return f"{step_words(step)} with {stretch} % of stretch"


def _wanted(feel: Feel) -> str:
    across, down = number(feel.scale_x, 4), number(feel.scale_y, 4)
    scale = across if feel.scale_x == feel.scale_y else f"{across} across by {down} down"
    return f"{scale}, as at {feel.of}" if feel.of else scale


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
    """What has no words of its own: the key without its part, its unit after the values."""
    phrases = []
    for name, change in found.items():
        if name == "note":
            phrases.append("note changed")
        elif name == "workstation":
            phrases.append(f"renamed {_arrow(change.before, change.after)}")
        else:
            phrases.append(_plainly(name.removeprefix("map.").replace(".", " "), change))
    return phrases


def _plainly(name: str, change: Change) -> str:
    words = name.split("_")
    unit = _UNITS.get(words[-1])
    name = " ".join(words[:-1] if unit else words)
    after = f" {unit}" if unit else ""
    if change.before is None:
        return f"{name} now {_value(change.after, 3)}{after}"
    if change.after is None:
        return f"{name} no longer {_value(change.before, 3)}{after}"
    return f"{name} {_arrow(change.before, change.after)}{after}"


def _arrow(before: Any, after: Any, places: int = 3) -> str:
    """Both values with as many places as tell them apart."""
    was, now = _value(before, places), _value(after, places)
    while was == now and places < 9:
        places += 1
        was, now = _value(before, places), _value(after, places)
    return f"{was} {ARROW} {now}"


def _value(value: Any, places: int) -> str:
    if value is None:
        return "unknown"
    if isinstance(value, float):
        return fixed(value, 2) if places == 2 else number(value, places)
    return " + ".join(map(str, value)) if isinstance(value, (list, tuple)) else str(value)
