"""The sentences that say what a map does, for the text, the pictures and the pages alike."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from mapper.mapping.solve import TabletMap

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.mapping.solve import DisplayFigures
    from mapper.rect import Rect

#: Below this a circle is called round: a sixteenth of the smallest change of proportions that
#: people see.
ROUND_PERCENT = 0.1
#: Below this nothing is called turned: a stroke of 100 mm ends less than a tenth of a mm off.
SEEN_TILT_DEG = 0.05
# More displays than this share one phrase.
_MOST_NAMED = 2


def fixed(value: float, places: int) -> str:
    """``value`` with ``places`` decimals, never as -0."""
    text = f"{value:.{places}f}"
    return text.removeprefix("-") if float(text) == 0 else text


def number(value: float, places: int = 2) -> str:
    """``value`` with at most ``places`` decimals, without trailing zeros and never as -0."""
    text = fixed(value, places)
    return text.rstrip("0").rstrip(".") if places else text


class Shape(Protocol):
    """What a circle becomes: the ratio of its axes, and the direction of the longer one."""

    @property
    def stretch(self) -> float: ...
    @property
    def longer_axis_deg(self) -> float | None: ...


def circle_parts(shape: Shape) -> tuple[str, str]:
    """The shape of a drawn circle as a share and a direction: ``17 %``, ``wider than tall``.

    A circle that stays round is ``round`` and has no direction. The share is the longer side over
    the shorter one, whichever it is: 25 % taller is what 20 % narrower looks like.
    """
    longer_percent = (shape.stretch - 1) * 100
    if shape.longer_axis_deg is None or longer_percent < ROUND_PERCENT:
        return "round", ""
    directions = {0.0: "wider than tall", 90.0: "taller than wide"}
    direction = directions.get(shape.longer_axis_deg, "longer than wide")
    return f"{number(longer_percent, 1)} %", direction


def circle_words(shape: Shape) -> str:
    """The shape of a drawn circle: ``round``, ``17 % wider than tall``."""
    return " ".join(circle_parts(shape)).rstrip()


def circle_phrase(shape: Shape) -> str:
    """What a drawn circle does: ``stays round``, ``comes out oval, 12.6 % wider than tall``."""
    share, direction = circle_parts(shape)
    if share == "round":
        return "stays round"
    oval = "as an oval" if direction == "longer than wide" else "oval"
    return f"comes out {oval}, {share} {direction}"


def capital(words: str) -> str:
    """``words`` as the beginning of a sentence."""
    return words[:1].upper() + words[1:]


def placed(rect: Rect, unit: str = "px", places: int = 1) -> str:
    """A rectangle's size and its left and top: ``2560 x 1440 px at 0, 0``."""
    width, height, left, top = (
        number(side, places) for side in (rect.width, rect.height, rect.left, rect.top)
    )
    return f"{width} x {height} {unit} at {left}, {top}"


def tilt_words(tilt_deg: float) -> str:
    """How far strokes come out turned: ``by 12° anticlockwise``; empty where nobody can see it."""
    if abs(tilt_deg) < SEEN_TILT_DEG:
        return ""
    return f"by {number(abs(tilt_deg), 1)}° {'clockwise' if tilt_deg > 0 else 'anticlockwise'}"


def map_sentence(solved: TabletMap, *, factor: bool = True) -> str:
    """What the map does to a circle on each display, and whether it turns strokes.

    The scale factor stands with it: ``2.49 times as large``. Without ``factor`` it is left out
    where circles come out oval.
    """
    on_each = sorted(solved.figures, key=lambda figures: figures.display != solved.reference.label)
    groups: dict[str, list[DisplayFigures]] = {}
    for figures in on_each or [solved.figures_on(solved.reference)]:
        groups.setdefault(circle_phrase(figures.distortion), []).append(figures)
    sentence = "A circle " + "; it ".join(
        _on_displays(phrase, on, named=len(groups) > 1, factor=factor or phrase == "stays round")
        for phrase, on in groups.items()
    )
    tilt = tilt_words(solved.figures_on(solved.reference).tilt_deg)
    return f"{sentence}, and your strokes turn {tilt}." if tilt else f"{sentence}."


def _on_displays(phrase: str, on: list[DisplayFigures], *, named: bool, factor: bool) -> str:
    """``stays round, 2.66 times as large on main and 3.15 on side``."""
    where = f" on {listed([figures.display for figures in on])}" if named else ""
    if where and phrase != "stays round":
        where = f",{where}"
    sized = [
        (number(figures.scale_factor), figures.display)
        for figures in on
        if figures.scale_factor is not None
    ]
    if not sized or not factor:
        return f"{phrase}{where}"
    if len({times for times, _ in sized}) == 1:
        return f"{phrase}{where}, {sized[0][0]} times as large"
    (first, label), *others = sized
    if len(others) > _MOST_NAMED:
        factors = [float(times) for times, _ in others]
        rest = f"{number(min(factors))} to {number(max(factors))} on the {len(others)} others"
    else:
        rest = listed([f"{times} on {display}" for times, display in others])
    return f"{phrase}, {first} times as large on {label} and {rest}"


def listed(words: Sequence[str]) -> str:
    """``main``, ``main and left``, ``main, left and right``."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def counted(count: int, one: str, many: str = "") -> str:
    """``1 day``, ``3 days``, ``2 entries``."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def turn_words(turn_deg: int) -> str:
    """How a tablet is turned, the short way round: ``90 degrees clockwise``; empty for 0."""
    return {90: "90 degrees clockwise", 180: "180 degrees", 270: "90 degrees anticlockwise"}.get(
        turn_deg, ""
    )


def rotation_sentence(turn_deg: int) -> str:
    """The rotation to set beside the rectangle of a turned tablet; empty where it is not turned."""
    if not turn_deg:
        return ""
    return f"Also set the rotation in the tablet's settings: turned {turn_words(turn_deg)}."
