"""Options and types that several commands share, so that each is worded and read in one place."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar

import click

from mapper.desk import TURNS_DEG, Desktop
from mapper.fits import FITS, HOLDS
from mapper.problems import Problem, RequestError
from mapper.solve import MapRequest
from profiles.shorthand import parse_displays, parse_tablet

if TYPE_CHECKING:
    from collections.abc import Callable

    from profiles.library import Library

__all__ = [
    "data_option",
    "described_option",
    "echo_data",
    "examples",
    "force_option",
    "library_option",
    "map_request",
    "open_library",
    "print_described",
    "request_options",
]

F = TypeVar("F", bound="Callable[..., Any]")


def examples(*lines: str) -> str:
    """The end of a command's help: lines that can be pasted."""
    return "\b\nExamples:\n" + "\n".join(f"  {line}" for line in lines)


force_option = click.option("--force", is_flag=True, help="Replace files that exist.")

described_option = click.option(
    "--as",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    help="What standard output gets; json holds the same facts for another program.",
)


def print_described(texts: list[str], data: list[dict[str, Any]], form: str) -> None:
    """What hardware says of itself, as ``described_option`` asks for it: the texts, or the data behind them."""
    if form == "text":
        click.echo("\n".join(texts), nl=False)
        return
    import json

    import msgspec

    click.echo(json.dumps(msgspec.to_builtins(data), indent=2))


_REQUEST_OPTIONS = (
    click.option(
        "--tablet",
        metavar="SIZE",
        required=True,
        help="Active area: 224x148mm, 8.8x5.8in; with counts: 224x148mm@200/mm, @5080/in. "
        "As the tablet says itself: @connected, @hid:FILE.",
    ),
    click.option(
        "--display",
        "displays",
        metavar="DISPLAY",
        multiple=True,
        required=True,
        help='"27in 2560x1440", "597x336mm 2560x1440" or "2560x1440" (size unknown); several are allowed, '
        'with label and place: "left: 24in 1920x1080 at -1920,0". As the display says itself: @connected, @edid:FILE.',
    ),
    click.option(
        "--turn",
        "turn_deg",
        type=click.Choice([str(turn) for turn in TURNS_DEG]),
        default="0",
        show_default=True,
        help="How far the tablet has been turned clockwise on the desk, in degrees.",
    ),
    click.option(
        "--fit",
        type=click.Choice(FITS),
        default="locked",
        show_default=True,
        help="full: whole tablet, whole target. locked: tablet trimmed, shapes true. cropped: screen trimmed, shapes true.",
    ),
    click.option(
        "--hold",
        type=click.Choice(list(HOLDS)),
        default="centre",
        show_default=True,
        help="The part that stays where something is trimmed.",
    ),
    click.option(
        "--onto",
        metavar="LABELS",
        help="The displays that the pen may reach: main, main+left or all.  [default: the primary display]",
    ),
    click.option(
        "--true-on",
        metavar="LABEL",
        help="The display on which shapes are to be true.  [default: the primary display if it is reached]",
    ),
)


def request_options(command: F) -> F:
    """The options that describe a desk and what is wanted of it; ``map_request`` reads them."""
    for option in reversed(_REQUEST_OPTIONS):
        command = option(command)
    return command


def map_request(
    *,
    tablet: str,
    displays: tuple[str, ...],
    turn_deg: str,
    fit: str,
    hold: str,
    onto: str | None,
    true_on: str | None,
) -> MapRequest:
    """What ``request_options`` collected, as a request; all problems of tablet and displays at once."""
    problems: list[Problem] = []
    parsed_tablet = parsed_displays = None
    try:
        parsed_tablet = parse_tablet(tablet, "--tablet", turn_deg=int(turn_deg))
    except RequestError as error:
        problems.extend(error.problems)
    try:
        parsed_displays = parse_displays(displays, "--display")
    except RequestError as error:
        problems.extend(error.problems)
    if parsed_tablet is None or parsed_displays is None:
        raise RequestError(*problems)
    desktop = Desktop(parsed_displays)
    return MapRequest(parsed_tablet, desktop, fit=fit, hold=hold, onto=onto_labels(onto, desktop), true_on=true_on)


def onto_labels(onto: str | None, desktop: Desktop) -> tuple[str, ...]:
    """The labels of ``--onto``: joined by +, or ``all``; empty where nothing was said."""
    if onto is None:
        return ()
    if onto.strip() == "all":
        return tuple(display.label for display in desktop.displays)
    return tuple(desktop.named(label.strip(), "--onto").label for label in onto.split("+"))


library_option = click.option(
    "--library",
    "library_folder",
    metavar="DIR",
    envvar="EVENSTROKE_LIBRARY",
    type=click.Path(),
    help="The library's folder.  [env var: EVENSTROKE_LIBRARY; default: a folder among your user data]",
)


def open_library(folder: str | None) -> Library:
    """The library that ``library_option`` names, or the one in the platform's place for a user's data."""
    from profiles.library import Library, default_folder

    return Library(folder or default_folder())


def data_option(help_text: str = "yaml and json are for other programs.") -> Callable[[F], F]:
    """``--as text|yaml|json``; ``echo_data`` prints the latter two."""
    return click.option(
        "--as",
        "form",
        type=click.Choice(["text", "yaml", "json"]),
        default="text",
        show_default=True,
        help=help_text,
    )


def echo_data(data: Any, form: str) -> None:
    """Print plain data as yaml or json."""
    import json

    from profiles.yaml_text import dump

    click.echo(dump(data) if form == "yaml" else json.dumps(data, indent=2, ensure_ascii=False) + "\n", nl=False)
