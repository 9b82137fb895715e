"""The sentences that say what a map does, for the text, the pictures and the pages alike."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from mapper.mapping.entry import Entry
from mapper.mapping.solve import TabletMap
from render.sentences.say import Name, listed, say, say_count, spoken

if TYPE_CHECKING:
    from mapper.mapping.solve import DisplayFigures
    from mapper.phrases import Phrase
    from mapper.rect import Rect

#: Below this a circle is called round: a sixteenth of the smallest change of proportions that
#: people see.
ROUND_PERCENT = 0.1
#: From this stretch on a circle is told as a multiple: 2.2 times as wide as tall.
TWICE = 2.0
#: Below this nothing is called turned: a stroke of 100 mm ends less than a tenth of a mm off.
_SEEN_TILT_DEG = 0.05
#: At or below this share nobody sees that a part is not used.
SEEN_SHARE_PERCENT = 0.05
# More displays than this share one phrase.
_MOST_NAMED = 2


def fixed(value: float, places: int) -> str:
    """``value`` with ``places`` decimals, never as -0, as the language in use writes it."""
    return in_language(_fixed(value, places))


def number(value: float, places: int = 2) -> str:
    """``value`` with at most ``places`` decimals, without trailing zeros and never as -0.

    It is for people: with the decimal mark of the language in use.
    """
    return in_language(plain(value, places))


def plain(value: float, places: int = 2) -> str:
    """The same with a decimal point in every language: for what is typed, and for programs."""
    text = _fixed(value, places)
    return text.rstrip("0").rstrip(".") if places else text


def usual_entry(said: Entry | None) -> Entry:
    """The form of the tablet's settings; where nobody ``said`` one, the usual one.

    That has the decimal mark of the language in use, as settings in that language most likely do.
    """
    return Entry(comma=in_language(".") == ",") if said is None else said


def to_type(value: float, places: int, entry: Entry) -> str:
    """``plain`` with the decimal mark of the tablet's settings."""
    text = plain(value, places)
    return text.replace(".", ",") if entry.comma else text


def fixed_to_type(value: float, places: int, entry: Entry) -> str:
    """The same with all ``places``, for columns of numbers."""
    text = _fixed(value, places)
    return text.replace(".", ",") if entry.comma else text


def in_language(text: str) -> str:
    """A number that has a decimal point with the decimal mark of the language in use."""
    language = spoken()
    return text if language is None else text.replace(".", language.decimal_mark)


def _fixed(value: float, places: int) -> str:
    text = f"{value:.{places}f}"
    return text.removeprefix("-") if float(text) == 0 else text


def signed(text: str) -> str:
    """A number for people, with a true minus sign; what can be copied keeps its hyphen."""
    return f"\N{MINUS SIGN}{text[1:]}" if text.startswith("-") else text


def share_words(percent: float) -> str:
    """A share in whole percent, near 0 and 100 to a tenth: ``11 %``, ``0.4 %``.

    What is used and what is not used add up as they are shown.
    """
    near_an_end = not 10 <= percent <= 90
    return say("{percent} %", percent=number(percent, 1 if near_an_end else 0))


def days_words(days: int) -> str:
    """``1 day``, ``3 days``."""
    return say_count("{count} day", "{count} days", days)


def displays_count(displays: int) -> Phrase:
    """``1 display``, ``3 displays``."""
    return say_count("{count} display", "{count} displays", displays)


class Shape(Protocol):
    """What a circle becomes: the ratio of its axes, and the direction of the longer one."""

    @property
    def stretch(self) -> float: ...
    @property
    def longer_axis_deg(self) -> float | None: ...


def oval_figure(shape: Shape) -> str:
    """The shape of a drawn circle as one figure: ``round``, ``12.6 %``, ``2.2 times``.

    It is the longer side over the shorter one, whichever it is: 25 % taller is what 20 % narrower
    looks like. What it is a figure of says ``oval_caption``.
    """
    if oval_way(shape) == "round":
        return say("round", context="a figure")
    if shape.stretch >= TWICE:
        return say("{times} times", times=number(shape.stretch, 1))
    return say("{percent} %", percent=number((shape.stretch - 1) * 100, 1))


def oval_caption(shape: Shape) -> str:
    """What ``oval_figure`` is a figure of: ``wider than tall``; of a round one ``a circle``."""
    twice = shape.stretch >= TWICE
    return {
        "round": say("a circle"),
        "wide": say("as wide as tall", context="multiple") if twice else say("wider than tall"),
        "tall": say("as tall as wide", context="multiple") if twice else say("taller than wide"),
        "slant": say("as long as wide", context="multiple") if twice else say("longer than wide"),
    }[oval_way(shape)]


def oval_way(shape: Shape) -> str:
    """Which way a drawn circle comes out longer: round, wide, tall or slant."""
    if shape.longer_axis_deg is None or (shape.stretch - 1) * 100 < ROUND_PERCENT:
        return "round"
    return {0.0: "wide", 90.0: "tall"}.get(shape.longer_axis_deg, "slant")


def circle_words(shape: Shape) -> str:
    """The shape of a drawn circle: ``round``, ``17 % wider than tall``."""
    way = oval_way(shape)
    if way == "round":
        return say("round")
    if shape.stretch >= TWICE:
        times = number(shape.stretch, 1)
        return {
            "wide": say("{times} times as wide as tall", times=times),
            "tall": say("{times} times as tall as wide", times=times),
            "slant": say("{times} times as long as wide", times=times),
        }[way]
    percent = number((shape.stretch - 1) * 100, 1)
    return {
        "wide": say("{percent} % wider than tall", percent=percent),
        "tall": say("{percent} % taller than wide", percent=percent),
        "slant": say("{percent} % longer than wide", percent=percent),
    }[way]


def circle_phrase(shape: Shape) -> str:
    """What a drawn circle does: ``stays round``, ``comes out oval, 12.6 % wider than tall``."""
    way = oval_way(shape)
    if way == "round":
        return say("stays round")
    if way == "slant":
        return say("comes out as an oval, {shape}", shape=circle_words(shape))
    return say("comes out oval, {shape}", shape=circle_words(shape))


def capital(words: str) -> str:
    """``words`` as the beginning of a sentence."""
    return words[:1].upper() + words[1:]


def placed(rect: Rect, unit: str = "px", places: int = 1, *, entry: Entry | None = None) -> str:
    """A rectangle's size and its left and top: ``2560 × 1440 px at 0, 0``.

    Its numbers are for people, or with ``entry`` for the tablet's settings.
    """
    width, height, left, top = (
        number(side, places) if entry is None else to_type(side, places, entry)
        for side in (rect.width, rect.height, rect.left, rect.top)
    )
    return say(
        "{width} × {height} {unit} at {left}, {top}",
        width=width,
        height=height,
        unit=unit,
        left=left,
        top=top,
    )


def tilt_words(tilt_deg: float) -> str:
    """How far strokes come out turned: ``by 12° to the left``; empty where nobody can see it."""
    if abs(tilt_deg) < _SEEN_TILT_DEG:
        return ""
    degrees = number(abs(tilt_deg), 1)
    if tilt_deg > 0:
        return say("by {degrees}° to the right", degrees=degrees)
    return say("by {degrees}° to the left", degrees=degrees)


def map_sentence(solved: TabletMap) -> str:
    """What the map does to a circle on each display, and whether it turns strokes.

    The scale factor stands with it: ``2.49 times as large``.
    """
    return say("{map}.", map=_map_words(solved, factor=True))


def map_title(solved: TabletMap) -> str:
    """What the map does, as a title: no full stop, and the scale factor of round circles alone."""
    return _map_words(solved, factor=False)


def _map_words(solved: TabletMap, *, factor: bool) -> str:
    becomes = _becomes(solved, factor=factor)
    tilt = tilt_words(solved.figures_on(solved.reference).tilt_deg)
    if tilt:
        return say(
            "A circle {becomes}, and your strokes come out askew {tilt}", becomes=becomes, tilt=tilt
        )
    return say("A circle {becomes}", becomes=becomes)


def drawn_title(solved: TabletMap, subject: str) -> str:
    """What becomes of the drawn ``subject``, as a title: ``The face comes out 12.6 % too wide``.

    What displays with different shapes make of it is what they make of a circle.
    """
    shapes = {drawn_shape(solved.figures_on(display).distortion) for display in solved.reached}
    if len(shapes) != 1 or tilt_words(solved.figures_on(solved.reference).tilt_deg):
        return map_title(solved)
    factor = solved.summary.scale_factor
    if oval_way(solved.figures_on(solved.reference).distortion) != "round":
        return say("{subject} comes out {shape}", subject=subject, shape=shapes.pop())
    if factor is None:
        return say("{subject} keeps its shape", subject=subject)
    times = number(factor)
    return say("{subject} keeps its shape, {times} times as large", subject=subject, times=times)


def drawn_shape(shape: Shape) -> str:
    """What becomes of a drawing's shape: ``12.6 % too wide``, ``2.2 times too tall``."""
    way = oval_way(shape)
    if way == "round":
        return say("as it was drawn")
    if shape.stretch >= TWICE:
        times = number(shape.stretch, 1)
        multiples = {
            "wide": say("{times} times too wide", times=times),
            "tall": say("{times} times too tall", times=times),
            "slant": say("{times} times too long along a diagonal", times=times),
        }
        return multiples[way]
    percent = number((shape.stretch - 1) * 100, 1)
    shares = {
        "wide": say("{percent} % too wide", percent=percent),
        "tall": say("{percent} % too tall", percent=percent),
        "slant": say("{percent} % too long along a diagonal", percent=percent),
    }
    return shares[way]


def _becomes(solved: TabletMap, *, factor: bool) -> str:
    """What a circle does on all displays: one predicate, or one for each shape that it gets."""
    on_each = sorted(solved.figures, key=lambda figures: figures.display != solved.reference.label)
    alike: dict[str, list[DisplayFigures]] = {}
    for figures in on_each or [solved.figures_on(solved.reference)]:
        alike.setdefault(circle_phrase(figures.distortion), []).append(figures)
    first, *others = [
        _on_displays(
            on, named=len(alike) > 1, factor=factor or oval_way(on[0].distortion) == "round"
        )
        for on in alike.values()
    ]
    for other in others:
        first = say("{becomes}; it {further}", becomes=first, further=other)
    return first


def _on_displays(on: list[DisplayFigures], *, named: bool, factor: bool) -> str:
    """``stays round, 2.66 times as large on main and 3.15 on side``."""
    shape = on[0].distortion
    becomes = circle_phrase(shape)
    if named:
        displays = listed([Name(figures.display) for figures in on])
        if oval_way(shape) == "round":
            becomes = say("stays round on {displays}", displays=displays)
        else:
            becomes = say("{becomes}, on {displays}", becomes=becomes, displays=displays)
    sized = [
        (number(figures.scale_factor), Name(figures.display))
        for figures in on
        if figures.scale_factor is not None
    ]
    if not sized or not factor:
        return becomes
    if {times for times, _ in sized} == {"1"}:
        return say("{becomes}, as large as under your hand", becomes=becomes)
    if len({times for times, _ in sized}) == 1:
        return say("{becomes}, {times} times as large", becomes=becomes, times=sized[0][0])
    (times, display), *others = sized
    first = say("{times} times as large on {display}", times=times, display=display)
    if len(others) > _MOST_NAMED:
        factors = [figures.scale_factor for figures in on[1:] if figures.scale_factor is not None]
        rest = [
            say_count(
                "{low} to {high} on the {count} other",
                "{low} to {high} on the {count} others",
                len(others),
                low=number(min(factors)),
                high=number(max(factors)),
            )
        ]
    else:
        rest = [say("{times} on {display}", times=each, display=label) for each, label in others]
    # The displays are named behind their factors.
    return say("{becomes}, {factors}", becomes=circle_phrase(shape), factors=listed([first, *rest]))


def turn_words(turn_deg: int) -> str:
    """How a tablet is turned, the short way round: ``90 degrees to the right``; empty for 0."""
    return {
        0: "",
        90: say("90 degrees to the right"),
        180: say("180 degrees"),
        270: say("90 degrees to the left"),
    }[turn_deg]


def rotation_sentence(turn_deg: int) -> str:
    """The rotation to set beside the rectangle of a turned tablet; empty where it is not turned."""
    if not turn_deg:
        return ""
    return say(
        "Also set the rotation in the tablet's settings: turned {turn}.", turn=turn_words(turn_deg)
    )
