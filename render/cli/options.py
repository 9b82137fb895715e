"""Options and types that several commands share, so that each is worded and read in one place."""

from __future__ import annotations

import functools
from dataclasses import replace
from typing import TYPE_CHECKING, Any, TypeVar

import click

from mapper.desk import TURNS_DEG, Desktop, Tablet
from mapper.mapping.fits import FITS, HOLDS
from mapper.mapping.solve import MapRequest
from mapper.mapping.variations import varied
from mapper.problems import Collected, Problem, RequestError, quoted
from mapper.rect import Rect
from profiles.shorthand import parse_displays, parse_tablet
from profiles.written import as_written
from render.cli.spellings import Spelled
from render.cli.types import (
    DESK,
    DISPLAY_TEXT,
    STATION,
    TABLET_TEXT,
    NamedDesk,
    plain_number,
    remember_library,
    usual_desk,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    from mapper.mapping.feel import Feel
    from mapper.mapping.steps import Step
    from profiles.library.revisions import Library

F = TypeVar("F", bound="Callable[..., Any]")
T = TypeVar("T")


def examples(*lines: str) -> str:
    """The end of a command's help: lines that can be pasted."""
    return "\b\nExamples:\n" + "\n".join(f"  {line}" for line in lines)


def together(*options: Callable[[F], F]) -> Callable[[F], F]:
    """Several options as one, in the order of the help."""

    def decorate(command: F) -> F:
        for option in reversed(options):
            command = option(command)
        return command

    return decorate


force_option = click.option("--force", is_flag=True, help="Replace files that exist.")
same_desk_option = click.option(
    "--same-desk", is_flag=True, help="It is the same desk, with another tablet or other displays."
)


def as_option(
    *forms: str, help_text: str = "Output format; all but text is for other programs."
) -> Callable[[F], F]:
    """``--as``: one of ``forms``, the first of them unless another is typed."""
    return click.option(
        "--as",
        "form",
        type=click.Choice(forms),
        default=forms[0],
        show_default=True,
        help=help_text,
    )


turn_option = click.option(
    "--turn",
    "turn_deg",
    type=click.Choice([str(turn) for turn in TURNS_DEG]),
    help=(
        "How far the tablet is turned clockwise on the desk, in degrees.  [default: DESK's, else 0]"
    ),
)

#: The options that describe a desk and what is wanted of it; ``map_request`` reads them. They stay
#: texts until then: the letter of the desk page says the same texts, what they mean depends on each
#: other (percent of which tablet, pixels of which display), and all that is wrong in them is told
#: at once.
request_options = together(
    click.option(
        "--tablet",
        metavar="SIZE",
        type=TABLET_TEXT,
        help="Active area: 240x152mm, 9.4x6in; with counts: 240x152mm@150/mm, @3810/in. "
        "From the tablet itself: @connected, @hid:FILE.",
    ),
    click.option(
        "--display",
        "displays",
        metavar="DISPLAY",
        type=DISPLAY_TEXT,
        multiple=True,
        help='"27in 2560x1440", "597x336mm 2560x1440" or "2560x1440" (size unknown); several are '
        "allowed, "
        'with label, place, zoom and frame: "left: 24in 1920x1080 at -1920,0 zoom 1.5 bezel '
        '8mm". From the display itself: @connected, @edid:FILE.',
    ),
    turn_option,
    click.option(
        "--fit",
        type=click.Choice(FITS),
        help="full: whole tablet, whole target. locked: tablet trimmed, shapes true. cropped: "
        "screen trimmed, shapes true.  "
        "[default: locked]",
    ),
    click.option(
        "--hold",
        type=Spelled(list(HOLDS)),
        help="The part that stays when something is trimmed.  [default: centre]",
    ),
    click.option(
        "--onto",
        metavar="LABELS",
        help=(
            "The displays that the pen may reach: main, main+left or all.  [default: the primary "
            "display]"
        ),
    ),
    click.option(
        "--true-on",
        metavar="LABEL",
        help=(
            "The display on which shapes come out true.  [default: the primary display if it is "
            "reached]"
        ),
    ),
    click.option(
        "--slant",
        "slant",
        metavar="DEGREES",
        help="How far the tablet lies askew beyond its turn, clockwise, from -45 to 45.",
    ),
    click.option(
        "--within",
        metavar="RECT",
        help="The part of the active area that may be used, as built: 20,0,220x152mm (left, top, "
        "size), "
        '"20,0 to 240,152mm", also in %, inches or counts; "... from bottom-left", "... as seen".',
    ),
    click.option(
        "--area",
        metavar="RECT",
        help=(
            "The area that is set now, taken as it is: 10,5,200x120mm and the other forms of "
            "--within."
        ),
    ),
    click.option(
        "--window",
        metavar="RECT",
        help=(
            "The part of the screen that the pen may reach: 100,80,1600x900px of the desktop, "
            '10,10,80x80%, 50,40,800x450logical (zoomed px), "... of LABEL".'
        ),
    ),
    click.option(
        "--scale",
        metavar="FACTOR",
        help=(
            "The wanted scale factor, screen size ÷ hand size: locked finds the area, cropped "
            "the window."
        ),
    ),
    click.option(
        "--feel-of",
        metavar="DESK",
        type=DESK,
        help="Make your hand movements feel as they do at this desk, from a file or the library.",
    ),
    click.option(
        "--step",
        metavar="STEP",
        help="The step of your driver's form: 0.5mm, 0.01in, 0.1%, 1count.",
    ),
    click.option(
        "--shape-tolerance",
        metavar="PERCENT",
        help=(
            "The most stretch to accept for a larger area when rounding to a step.  [default: 0.5%]"
        ),
    ),
)


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
    feel_of: NamedDesk | None,
    step: str | None,
    shape_tolerance: str | None,
) -> MapRequest:
    """What ``request_options`` collected, as a request; all problems of tablet, displays and the
    rest at once.

    With a ``base`` it is that one with what was said changed; ``none`` takes back what the base
    has.
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
    parsed_tablet = _read(problems, lambda: tablet_said(base, tablet, turn_deg, slant))
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


#: What takes back what a desk has: ``--step none``.
NONE = "none"


def _said(text: str | None) -> str | None:
    """What an option says, None where it says ``none``."""
    return None if text is None or text.strip().lower() == NONE else text


def tablet_said(
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


def _feel(scale: str | None, feel_of: NamedDesk | None) -> Feel | None:
    if scale is None and feel_of is None:
        return None
    if scale is not None and feel_of is not None:
        raise RequestError(Problem("--scale", "does not go with --feel-of, which sets the scale"))
    from mapper.mapping.feel import Feel

    if scale is not None:
        wanted = plain_number(scale, "--scale")
        return Feel(wanted, wanted)
    assert feel_of is not None
    workstation = feel_of.find().workstation
    figures = workstation.map.figures_on(workstation.map.reference)
    if not figures.size_known:
        must = "must be a profile whose display has a size in mm: without one the feel is unknown"
        raise RequestError(Problem("--feel-of", must, quoted(feel_of.typed)))
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


library_option = click.option(
    "--library",
    metavar="DIR",
    envvar="EVENSTROKE_LIBRARY",
    type=click.Path(),
    is_eager=True,
    expose_value=False,
    callback=remember_library,
    help=(
        "The library's folder.  [env var: EVENSTROKE_LIBRARY; default: a folder in your user data]"
    ),
)


#: The workstation to look up in the library: the usual one where none is named.
station_argument = click.argument(
    "workstation",
    type=STATION,
    required=False,
    callback=lambda ctx, _, name: name or (None if ctx.resilient_parsing else usual_desk().typed),
)


def desk_argument(
    *, required: bool = True, several: bool = False, metavar: str | None = None
) -> Callable[[F], F]:
    """The argument ``desk`` (``desks`` where there may be several): a profile's file or a
    workstation of the library.
    """
    name = f"DESK{'...' if several else ''}"

    def decorate(command: F) -> F:
        argument = click.argument(
            "desks" if several else "desk",
            metavar=metavar or (name if required else f"[{name}]"),
            nargs=-1 if several else 1,
            required=required,
            type=DESK,
        )
        return library_option(argument(command))

    return decorate


def desk_and_out(out_metavar: str) -> Callable[[F], F]:
    """The arguments ``desk``, which may be left out for the usual one, and ``out``, the file to
    write.
    """

    def decorate(command: F) -> F:
        @functools.wraps(command)
        def split(*args: Any, desks: tuple[NamedDesk, ...], **more: Any) -> Any:
            if len(desks) > 2:
                raise click.UsageError(f"Got unexpected extra argument ({desks[2].typed})")
            return command(
                *args,
                desk=desks[0] if len(desks) > 1 else usual_desk(),
                out=desks[-1].typed,
                **more,
            )

        return desk_argument(several=True, metavar=f"[DESK] {out_metavar}")(split)  # type: ignore[return-value]

    return decorate


#: Whose entries of the trial book, and about what.
book_options = together(
    click.option("--who", metavar="NAME", help="Only this person's entries."),
    click.option("--doing", metavar="WORK", help="Only this kind of work, for example drawing."),
)


def nothing_fits(library: Library) -> Problem:
    """What to say of a trial book in which no entry fits."""
    instead = "Note one: evenstroke felt desk.yaml --score 4"
    return Problem(str(library.root), "must hold an entry that fits", "none", instead)


def echo_answer(form: str, *found: Any, text: Callable[..., str], data: Callable[..., Any]) -> None:
    """Print what was found as ``--as`` asks for it: what ``text`` makes of it, or what ``data``
    does, as yaml or json.
    """
    if form == "text":
        click.echo(text(*found), nl=False)
    else:
        echo_data(data(*found), form)


def echo_data(data: Any, form: str) -> None:
    """Print data as yaml or json."""
    from profiles.plain import json_text, plain
    from profiles.yaml_text import dump

    click.echo(dump(plain(data)) if form == "yaml" else json_text(data), nl=False)
