"""What a desk is described by: one row for each thing that a person says of it.

A row says how the text is read and written, where the profile keeps it, and what gives way when it
is set. How it is asked for and shown stands in ``render.fields``, under the same names. The command
line, the desk page and its drafts hold the texts; ``profiles.requests`` makes a request of them.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, NamedTuple

from mapper.desk import Desktop, turn_of
from mapper.mapping.forms import UNITS
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, quoted
from profiles.numbers import plain_number, whole_number
from profiles.shorthand import (
    display_text,
    number_text,
    parse_displays,
    parse_tablet,
    rect_text,
    tablet_text,
)
from profiles.written import rect_as_described

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from mapper.desk import Tablet
    from mapper.mapping.entry import Entry
    from mapper.mapping.feel import Feel
    from mapper.mapping.solve import MapRequest
    from mapper.mapping.steps import Step
    from mapper.rect import Rect
    from profiles.format.document import Workstation

#: What takes back what a desk has: ``--step none``.
NONE = "none"


class Reading:
    """What was read so far of one request: attributes of MapRequest, over those of ``base``."""

    def __init__(self, base: MapRequest | None) -> None:
        self.base = base
        self.new: dict[str, Any] = {}

    def now(self, attribute: str) -> Any:
        """What was read of ``attribute``, else what ``base`` has; None where neither has it."""
        return self.new.get(attribute, getattr(self.base, attribute, None))


class Field(NamedTuple):
    """One thing that a desk is described by.

    ``name`` is its keyword in ``profiles.requests.map_request`` and in the page's description;
    ``called`` are the names by which problems speak of it, the first one that of its option.
    ``sets`` is the attribute that holds it, of the Workstation, its seat or its request; ``keys``
    are the keys of the profile. ``read`` makes the attribute's value of the text, ``write`` the
    text of a workstation's. ``unsaid`` is the text where nothing was said. ``clears`` names the
    fields that give way when this one is set, ``clears_if`` those for one text of it.
    """

    name: str
    called: tuple[str, ...]
    sets: str
    keys: tuple[str, ...]
    write: Callable[[Workstation], Any]
    read: Callable[[Any, str, Reading], Any]
    unsaid: Any = ""
    clears: tuple[str, ...] = ()
    clears_if: Mapping[str, tuple[str, ...]] = {}

    @property
    def option(self) -> str:
        """The option that takes it, which problems name."""
        return f"--{self.called[0]}"


# -- readers: a text, the option that problems name, and what was read before it


def _as_typed(text: str, _where: str, _reading: Reading) -> str:
    return text


def _name(text: str, where: str, _reading: Reading) -> str:
    from profiles.library.station_names import new_name

    return new_name(text, where)


def _tablet(text: str, where: str, reading: Reading) -> Tablet:
    """The tablet, lying as the one before it."""
    before = reading.now("tablet")
    if not before:
        return parse_tablet(text, where)
    tablet = parse_tablet(text, where, turn_deg=before.turn_deg)
    return replace(tablet, slant_deg=before.slant_deg)


def _turned(text: str, where: str, reading: Reading) -> Tablet:
    tablet: Tablet = reading.now("tablet")
    return replace(tablet, turn_deg=turn_of(whole_number(text, where)))


def _slanted(text: str, where: str, reading: Reading) -> Tablet:
    tablet: Tablet = reading.now("tablet")
    return replace(tablet, slant_deg=0.0 if is_none(text) else plain_number(text, where))


def _desktop(texts: tuple[str, ...], where: str, _reading: Reading) -> Desktop:
    return Desktop(parse_displays(texts, where))


def _onto(text: str, where: str, reading: Reading) -> tuple[str, ...]:
    """Labels of displays, joined by +, or ``all``."""
    desktop: Desktop = reading.now("desktop")
    if any(display.label == text.strip() for display in desktop.displays):
        # A label may hold a plus of its own, or be "all".
        return (text.strip(),)
    if text.strip() == "all":
        return tuple(display.label for display in desktop.displays)
    labels = {display.label for display in desktop.displays}
    parts = [part.strip() for part in text.split(",")]
    if len(parts) > 1 and labels.issuperset(parts):
        must = phrase("must have + between displays")
        instead = phrase("Type {labels}", labels="+".join(parts))
        raise RequestError(Problem(where, must, quoted(text), instead))
    return tuple(desktop.named(label.strip(), where).label for label in text.split("+"))


# What few requests hold is imported where it was typed: start-up is a feature.
def _on_tablet(text: str, where: str, reading: Reading) -> Rect | None:
    if is_none(text):
        return None
    from profiles.rectangles import parse_rect

    return parse_rect(text, where, reading.now("tablet"))


def _window(text: str, where: str, reading: Reading) -> Rect | None:
    if is_none(text):
        return None
    from profiles.rectangles import parse_window

    labels = reading.new.get("onto", ())
    window = parse_window(text, where, reading.now("desktop"), labels)
    if labels and not text.strip().lower().endswith("px"):
        # Percentages are of the displays that were named, and the window need not touch them all.
        reading.new["onto"] = ()
    return window


def _scale(text: str, where: str, _reading: Reading) -> Feel | None:
    if is_none(text):
        return None
    from mapper.mapping.feel import Feel

    wanted = plain_number(text, where)
    return Feel(wanted, wanted)


def _feel(find: Callable[[], Feel], _where: str, reading: Reading) -> Feel:
    if reading.new.get("feel") is not None:
        raise RequestError(
            Problem("--scale", phrase("does not go with --feel-of, which sets the scale"))
        )
    return find()


def _step(text: str, where: str, reading: Reading) -> Step | None:
    if is_none(text):
        return None
    from mapper.mapping.steps import SHAPE_TOLERANCE_PERCENT
    from profiles.rectangles import parse_step

    before = reading.now("step")
    percent = before.shape_tolerance_percent if before else SHAPE_TOLERANCE_PERCENT
    return parse_step(text, where, shape_tolerance_percent=percent)


def _tolerance(text: str, where: str, reading: Reading) -> Step:
    step: Step | None = reading.now("step")
    if step is None:
        raise RequestError(Problem(where, phrase("is for rounding, so it needs --step"), text))
    from profiles.rectangles import parse_percent

    return replace(step, shape_tolerance_percent=parse_percent(text, where))


def _seat_length(name: str) -> Callable[[str, str, Reading], float]:
    def read(text: str, where: str, _reading: Reading) -> float:
        from profiles.unlikely import likely_length_mm

        return likely_length_mm(text, where, name)

    return read


def _degrees(text: str, where: str, _reading: Reading) -> float:
    try:
        return plain_number(text, where)
    except RequestError:
        must = phrase("must be an angle in degrees")
        raise RequestError(
            Problem(where, must, quoted(text), phrase("Type for example 10"))
        ) from None


def _entry(text: str, where: str, _reading: Reading) -> Entry | None:
    if is_none(text):
        return None
    from profiles.rectangles import parse_entry

    return parse_entry(text, where)


def is_none(text: str) -> bool:
    """Whether a text takes back what a desk has."""
    return text.strip().lower() == NONE


# -- writers: the text that says the same as a workstation


def _request(write: Callable[[MapRequest], Any]) -> Callable[[Workstation], Any]:
    return lambda workstation: write(workstation.map.request)


def _display_texts(request: MapRequest) -> tuple[str, ...]:
    displays = request.desktop.displays
    return tuple(display_text(display, alone=len(displays) == 1) for display in displays)


def _onto_text(request: MapRequest) -> str:
    if request.window_px is not None or request.onto == (request.desktop.primary.label,):
        return ""
    if len(request.onto) == len(request.desktop.displays) > 1:
        return "all"
    return "+".join(request.onto)


def _true_on_text(request: MapRequest) -> str:
    primary = request.desktop.primary.label
    usual = primary if primary in request.onto else request.onto[0]
    return "" if request.true_on in {None, usual} else str(request.true_on)


def _part_text(rect_mm: Rect | None, tablet: Tablet) -> str:
    """In the unit in which it was described: ``10,5,200x120mm``, ``5,5,90x90%``."""
    if rect_mm is None:
        return ""
    unit, rect = rect_as_described(rect_mm, tablet)
    return rect_text(rect, UNITS[unit].sign)


def _is_scale(feel: Feel | None) -> bool:
    """Whether a feel is no more than one scale factor."""
    return feel is not None and not feel.of and feel.scale_x == feel.scale_y


def _scale_text(request: MapRequest) -> str:
    feel = request.feel
    return number_text(feel.scale_x) if feel is not None and _is_scale(feel) else ""


def _feel_or_none(request: MapRequest) -> Feel | None:
    return None if _is_scale(request.feel) else request.feel


def _step_text(request: MapRequest) -> str:
    step = request.step
    return "" if step is None else f"{number_text(step.size)}{UNITS[step.unit].one}"


def _tolerance_text(request: MapRequest) -> str:
    step = request.step
    return "" if step is None else f"{number_text(step.shape_tolerance_percent)}%"


def _seat_text(attribute: str, unit: str, mm: int = 1) -> Callable[[Workstation], str]:
    def write(workstation: Workstation) -> str:
        value = getattr(workstation.seat, attribute, None)
        return "" if value is None else f"{number_text(value / mm)}{unit}"

    return write


def _entry_text(workstation: Workstation) -> str:
    from mapper.mapping.entry import Entry

    return entry_text(workstation.entry or Entry())


def entry_text(entry: Entry) -> str:
    """The form as a person would type it: ``size mm``, ``corners % from bottom-left comma``."""
    origin = " from bottom-left" if entry.from_bottom else ""
    return f"{entry.numbers} {UNITS[entry.unit].sign}{origin}{' comma' if entry.comma else ''}"


_ROWS = (
    Field("name", ("workstation",), "name", ("workstation",), lambda desk: desk.name, _name),
    Field("note", ("note",), "note", ("note",), lambda desk: desk.note or "", _as_typed),
    Field(
        "tablet",
        ("tablet",),
        "tablet",
        (
            "tablet.label",
            "tablet.width_mm",
            "tablet.height_mm",
            "tablet.counts_per_mm",
            "tablet.counts_per_in",
        ),
        _request(lambda request: tablet_text(request.tablet)),
        _tablet,
    ),
    Field(
        "turn",
        ("turn",),
        "tablet",
        ("tablet.turn_deg",),
        _request(lambda request: str(request.tablet.turn_deg)),
        _turned,
        unsaid="0",
    ),
    Field(
        "slant",
        ("slant",),
        "tablet",
        ("tablet.slant_deg",),
        _request(lambda request: number_text(request.tablet.slant_deg)),
        _slanted,
        unsaid="0",
    ),
    Field(
        "displays",
        ("display", "displays", "@connected", "@desktop", "@edid"),
        "desktop",
        ("displays",),
        _request(_display_texts),
        _desktop,
        unsaid=(),
        clears=("window",),
    ),
    Field(
        "distance",
        ("distance", "seat"),
        "distance_mm",
        ("seat.distance_mm",),
        _seat_text("distance_mm", "cm", 10),
        _seat_length("--distance"),
    ),
    Field(
        "drop",
        ("top", "top-below-eyes", "seat top_below_eyes_mm"),
        "top_below_eyes_mm",
        ("seat.top_below_eyes_mm",),
        _seat_text("top_below_eyes_mm", "mm"),
        _seat_length("--top-below-eyes"),
    ),
    Field(
        "tilt",
        ("tilt", "seat tilt_deg"),
        "tilt_deg",
        ("seat.tilt_deg",),
        _seat_text("tilt_deg", ""),
        _degrees,
    ),
    Field(
        "curve",
        ("curve", "radius", "seat curve_radius_mm"),
        "curve_radius_mm",
        ("seat.curve_radius_mm",),
        _seat_text("curve_radius_mm", "mm"),
        _seat_length("--radius"),
    ),
    Field(
        "ahead",
        ("ahead",),
        "ahead",
        ("seat.ahead",),
        lambda desk: getattr(desk.seat, "ahead", None) or "",
        _as_typed,
    ),
    Field(
        "fit",
        ("fit",),
        "fit",
        ("map.fit",),
        _request(lambda request: request.fit),
        _as_typed,
        unsaid="locked",
        clears=("area",),
        clears_if={"full": ("scale", "feel")},
    ),
    Field(
        "hold",
        ("hold",),
        "hold",
        ("map.hold",),
        _request(lambda request: request.hold),
        _as_typed,
        unsaid="centre",
    ),
    Field(
        "onto",
        ("onto",),
        "onto",
        ("map.onto",),
        _request(_onto_text),
        _onto,
        clears=("window",),
    ),
    Field(
        "true_on",
        ("true-on",),
        "true_on",
        ("map.true_on",),
        _request(_true_on_text),
        _as_typed,
    ),
    Field(
        "within",
        ("within",),
        "within_built_mm",
        ("map.within",),
        _request(lambda request: _part_text(request.within_built_mm, request.tablet)),
        _on_tablet,
        clears=("area",),
    ),
    Field(
        "area",
        ("area",),
        "area_built_mm",
        ("map.area",),
        _request(lambda request: _part_text(request.area_built_mm, request.tablet)),
        _on_tablet,
        clears=("within", "scale", "feel"),
    ),
    Field(
        "window",
        ("window",),
        "window_px",
        ("map.window_px",),
        _request(lambda request: "" if not request.window_px else rect_text(request.window_px)),
        _window,
        clears=("onto",),
    ),
    Field(
        "scale",
        ("scale",),
        "feel",
        ("map.scale",),
        _request(_scale_text),
        _scale,
        clears=("area", "feel"),
    ),
    Field(
        "feel",
        ("feel-of",),
        "feel",
        ("map.feel",),
        _request(_feel_or_none),
        _feel,
        unsaid=None,
        clears=("area", "scale"),
    ),
    Field(
        "step",
        ("step",),
        "step",
        ("map.step.size", "map.step.unit"),
        _request(_step_text),
        _step,
    ),
    Field(
        "shape_tolerance",
        ("shape-tolerance",),
        "step",
        ("map.step.shape_tolerance_percent",),
        _request(_tolerance_text),
        _tolerance,
    ),
    Field("entry", ("entry",), "entry", ("entry",), _entry_text, _entry, unsaid="size mm"),
)
#: Every field of a desk by its name, in the order in which they are read.
FIELDS = {field.name: field for field in _ROWS}


def set_to(texts: Mapping[str, Any]) -> dict[str, Any]:
    """``texts``, and what gives way where they are set: the whole change of a description.

    A text that is taken back (its field's ``unsaid``) clears nothing, and what ``texts`` say
    themselves stays.
    """
    cleared: dict[str, Any] = {}
    for name, text in texts.items():
        field = FIELDS[name]
        gone = field.clears if text else ()
        if isinstance(text, str):
            gone = (*gone, *field.clears_if.get(text, ()))
        cleared |= unsaid(*gone)
    return {**texts, **{name: text for name, text in cleared.items() if name not in texts}}


def unsaid(*names: str) -> dict[str, Any]:
    """The change of a description that takes back the fields of these names."""
    return {name: FIELDS[name].unsaid for name in names}
