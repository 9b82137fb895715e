"""Options and types that several commands share, so that each is worded and read in one place."""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING, Any, TypeVar

import click

from mapper.mapping.fits import FITS, HOLDS
from mapper.phrases import phrase
from mapper.problems import Problem
from render.cli.spellings import Spelled
from render.cli.types import (
    DESK,
    DESK_NAME,
    DISPLAY_TEXT,
    LABELLED_LENGTH,
    LENGTH,
    NUMBER_TYPE,
    STATION,
    TABLET_TEXT,
    TURN,
    NamedDesk,
    make_way,
    one_too_many,
    remember_library,
    usual_desk,
)
from render.fields import SHOWN_FIELDS

if TYPE_CHECKING:
    from collections.abc import Callable

    from profiles.library.revisions import Library

F = TypeVar("F", bound="Callable[..., Any]")


def examples(*lines: str, heading: str = "Examples:") -> str:
    """A part of a command's help: lines that can be pasted."""
    return f"\b\n{heading}\n" + "\n".join(f"  {line}" for line in lines)


def together(*options: Callable[[F], F]) -> Callable[[F], F]:
    """Several options as one, in the order of the help."""

    def decorate(command: F) -> F:
        for option in reversed(options):
            command = option(command)
        return command

    return decorate


force_option = click.option("--force", is_flag=True, help="Replace files that exist.")
same_desk_option = click.option(
    "--same-desk",
    is_flag=True,
    help="Keep it under this name although it has another tablet or other displays.",
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


_TYPES: dict[str, click.ParamType[Any]] = {
    "name": DESK_NAME,
    "tablet": TABLET_TEXT,
    "displays": DISPLAY_TEXT,
    "turn": TURN,
    "fit": click.Choice(FITS),
    "hold": Spelled(list(HOLDS)),
    "feel": DESK,
    "distance": LENGTH,
    "drop": LENGTH,
    "tilt": NUMBER_TYPE,
    "curve": LABELLED_LENGTH,
}


def field_option(name: str, parameter: str | None = None) -> Callable[[F], F]:
    """The option that takes a field of a desk (``render.fields``), as the ``parameter``."""
    field = SHOWN_FIELDS[name]
    return click.option(
        field.option,
        parameter or name,
        metavar=field.metavar,
        type=_TYPES.get(name),
        multiple=name in {"displays", "curve"},
        help=field.help,
    )


turn_option = field_option("turn")

#: The options that describe a desk and what is wanted of it, in the order of the help. They stay
#: texts until ``profiles.requests.map_request`` reads them together.
request_options = together(
    *(
        field_option(name)
        for name in (
            "tablet",
            "displays",
            "turn",
            "fit",
            "hold",
            "onto",
            "true_on",
            "slant",
            "within",
            "area",
            "window",
            "scale",
            "feel",
            "step",
            "shape_tolerance",
        )
    )
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
    """The argument ``desk``: a profile's file or a workstation of the library.

    It is called ``desks`` where there may be several.
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
    """The arguments ``desk`` and ``out``, the file to write.

    The desk may be left out for the usual one.
    """

    def decorate(command: F) -> F:
        @functools.wraps(command)
        def split(*args: Any, desks: tuple[NamedDesk, ...], **more: Any) -> Any:
            if len(desks) > 2:
                raise click.UsageError(one_too_many([desks[2].typed]))
            from profiles.library.desks import refuse_swapped

            refuse_swapped([desk.typed for desk in desks[:-1]], desks[-1].typed)
            make_way(desks[-1].typed)
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
    click.option("--who", metavar="NAME", help="Only this person's notes."),
    click.option("--doing", metavar="WORK", help="Only this kind of work, for example drawing."),
)


def nothing_fits(library: Library) -> Problem:
    """What to say of a trial book in which no entry fits."""
    instead = phrase("Note one: {command}", command="evenstroke felt desk.yaml --score 4")
    must = phrase("must hold an entry that fits")
    return Problem(str(library.root), must, phrase("none"), instead)


def echo_answer(
    form: str, *found: Any, text: Callable[..., str], data: Callable[..., dict[str, Any]]
) -> None:
    """Print the answer in the form that ``--as`` asks for.

    ``text`` makes the text of what was ``found``, ``data`` what is printed as yaml or json.
    """
    if form == "text":
        click.echo(text(*found), nl=False)
    else:
        echo_data(data(*found), form)


def echo_data(data: dict[str, Any], form: str) -> None:
    """Print ``data``, which states its format (``profiles.plain.headed``), as yaml or json."""
    from profiles.plain import data_text

    click.echo(data_text(data, form), nl=False)
