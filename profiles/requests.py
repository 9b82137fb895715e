"""A whole request from the texts that a person types, as the options of ``map`` and the desk page
hold them.

The texts are read together: what they mean depends on each other (percent of which tablet, pixels
of which display), and all that is wrong in them is raised at once.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, TypeVar

from mapper.desk import Desktop, Tablet
from mapper.mapping.solve import MapRequest
from mapper.mapping.variations import varied
from mapper.problems import Collected, Problem, RequestError, quoted
from mapper.rect import Rect
from profiles.numbers import plain_number
from profiles.shorthand import parse_displays, parse_tablet
from profiles.written import as_written

if TYPE_CHECKING:
    from collections.abc import Callable

    from mapper.mapping.feel import Feel
    from mapper.mapping.steps import Step
    from profiles.library.desks import FoundDesk

T = TypeVar("T")

#: What takes back what a desk has: ``--step none``.
NONE = "none"


def map_request(
    base: MapRequest | None,
    *,
    tablet: str | None,
    displays: tuple[str, ...],
    turn_deg: str | None,
    slant: str | None,
    fit: str | None,
    hold: str | None,
    onto: str | None,
    true_on: str | None,
    within: str | None,
    area: str | None,
    window: str | None,
    scale: str | None,
    feel_of: Callable[[], FoundDesk] | None,
    step: str | None,
    shape_tolerance: str | None,
) -> MapRequest:
    """A request from the texts that were typed, each as after the option of its name.

    With a ``base`` it is that one, changed by what was typed; the text ``none`` takes back what the
    base has. ``feel_of`` finds the desk whose feel is wanted. Raises RequestError with all
    problems of tablet and displays, else with all of the rest.
    """
    if base is None:
        missing = [
            name for name, value in (("--tablet", tablet), ("--display", displays)) if not value
        ]
        if missing:
            must = "is needed, or a desk to start from"
            instead = (
                'Type for example --tablet 240x152mm --display "27in 2560x1440", or evenstroke '
                'map "window desk"'
            )
            raise RequestError(*(Problem(name, must, "", instead) for name in missing))
    problems: list[Problem] = []
    parsed_tablet = _read(problems, lambda: read_tablet(base, tablet, turn_deg, slant))
    desktop = _read(
        problems,
        lambda: (
            base.desktop
            if base and not displays
            else Desktop(parse_displays(displays, "--display"))
        ),
    )
    if problems:
        raise RequestError(*problems)
    labels = _read(problems, lambda: onto_labels(onto, desktop)) or ()
    # Percentages are of the displays that were named, and the window need not touch them all.
    relative = window is not None and not window.strip().lower().endswith(("px", NONE))
    values: dict[str, tuple[Any, Any]] = {
        "tablet": (parsed_tablet, parsed_tablet),
        "desktop": (displays or None, desktop),
        "fit": (fit, fit),
        "hold": (hold, hold),
        "onto": (onto, () if relative else labels),
        "true_on": (true_on, true_on),
        "within_built_mm": (
            within,
            _read(problems, lambda: _rect(_said(within), "--within", parsed_tablet)),
        ),
        "area_built_mm": (
            area,
            _read(problems, lambda: _rect(_said(area), "--area", parsed_tablet)),
        ),
        "window_px": (window, _read(problems, lambda: _window(_said(window), desktop, labels))),
        "feel": (scale or feel_of, _read(problems, lambda: _feel(_said(scale), feel_of))),
        "step": (
            step or shape_tolerance,
            _read(problems, lambda: _step(base, step, shape_tolerance)),
        ),
    }
    if problems:
        raise RequestError(*problems)
    said = {name: value for name, (typed, value) in values.items() if typed is not None}
    if base is not None:
        return as_written(varied(base, said))
    if said.get("area_built_mm") and fit is None:
        said["fit"] = "full"
    # What is computed from is what a profile of it would hold.
    return as_written(MapRequest(**{"desktop": desktop} | said))


def _said(text: str | None) -> str | None:
    """What an option says, None where it says ``none``."""
    return None if text is None or text.strip().lower() == NONE else text


def read_tablet(
    base: MapRequest | None, tablet: str | None, turn_deg: str | None, slant: str | None
) -> Tablet:
    """The tablet that was typed, or that of ``base``, lying as was said or as it lay."""
    lies = base.tablet if base else None
    turn = int(turn_deg) if turn_deg is not None else lies.turn_deg if lies else 0
    slant_deg = (
        plain_number(_said(slant) or "0", "--slant")
        if slant is not None
        else lies.slant_deg
        if lies
        else 0.0
    )
    described = (
        lies if lies and tablet is None else parse_tablet(tablet or "", "--tablet", turn_deg=turn)
    )
    return replace(described, turn_deg=turn, slant_deg=slant_deg)


def _read(problems: list[Problem], value: Callable[[], T]) -> T:
    """What ``value`` computes; where that fails, its problems are added and nothing comes back."""
    with Collected(problems):
        return value()
    return None  # type: ignore[return-value]


# The modules that read these are imported where one was typed: most maps have none, and start-up is
# a feature.
def _rect(text: str | None, where: str, tablet: Tablet) -> Rect | None:
    if text is None:
        return None
    from profiles.rectangles import parse_rect

    return parse_rect(text, where, tablet)


def _window(text: str | None, desktop: Desktop, labels: tuple[str, ...]) -> Rect | None:
    if text is None:
        return None
    from profiles.rectangles import parse_window

    return parse_window(text, "--window", desktop, labels)


def _feel(scale: str | None, feel_of: Callable[[], FoundDesk] | None) -> Feel | None:
    if scale is None and feel_of is None:
        return None
    if scale is not None and feel_of is not None:
        raise RequestError(Problem("--scale", "does not go with --feel-of, which sets the scale"))
    from mapper.mapping.feel import Feel

    if scale is not None:
        wanted = plain_number(scale, "--scale")
        return Feel(wanted, wanted)
    assert feel_of is not None
    found = feel_of()
    workstation = found.workstation
    figures = workstation.map.figures_on(workstation.map.reference)
    if not figures.size_known:
        must = "must be a profile whose display has a size in mm: without one the feel is unknown"
        raise RequestError(Problem("--feel-of", must, quoted(found.typed)))
    return Feel(figures.distortion.scale_x, figures.distortion.scale_y, workstation.name)


def _step(base: MapRequest | None, step: str | None, shape_tolerance: str | None) -> Step | None:
    known = base.step if base and step is None else None
    if _said(step) is None and (known is None or shape_tolerance is None):
        if shape_tolerance is not None:
            raise RequestError(
                Problem("--shape-tolerance", "is for rounding, so it needs --step", shape_tolerance)
            )
        return known
    from mapper.mapping.steps import SHAPE_TOLERANCE_PERCENT
    from profiles.rectangles import parse_percent, parse_step

    tolerance = base.step.shape_tolerance_percent if base and base.step else SHAPE_TOLERANCE_PERCENT
    if shape_tolerance is not None:
        tolerance = parse_percent(shape_tolerance, "--shape-tolerance")
    if known is not None:
        return replace(known, shape_tolerance_percent=tolerance)
    return parse_step(step or "", "--step", shape_tolerance_percent=tolerance)


def onto_labels(onto: str | None, desktop: Desktop) -> tuple[str, ...]:
    """The labels of ``--onto``: joined by +, or ``all``; empty where nothing was said."""
    if onto is None:
        return ()
    if any(display.label == onto.strip() for display in desktop.displays):
        # A label may hold a plus of its own, or be "all".
        return (onto.strip(),)
    if onto.strip() == "all":
        return tuple(display.label for display in desktop.displays)
    return tuple(desktop.named(label.strip(), "--onto").label for label in onto.split("+"))
