"""Options and types that several commands share, so that each is worded and read in one place."""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING, Any, TypeVar

import click

from mapper.desk import TURNS_DEG
from mapper.mapping.fits import FITS, HOLDS
from mapper.problems import Problem
from render.cli.spellings import Spelled
from render.cli.types import (
    DESK,
    DISPLAY_TEXT,
    STATION,
    TABLET_TEXT,
    NamedDesk,
    remember_library,
    usual_desk,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    from profiles.library.revisions import Library

F = TypeVar("F", bound="Callable[..., Any]")


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

#: The options that describe a desk and what is wanted of it. They stay texts until
#: ``profiles.requests.map_request`` reads them together.
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
