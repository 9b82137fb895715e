"""``evenstroke seat``: what a display looks like from the chair, and where it should stand."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from mapper.choosing.sitting import sitting_in_arc, straight_ahead
from mapper.choosing.viewing import Glass, distance_for_angle_mm, distance_for_arc_minutes_mm
from mapper.desk import Desktop, Display
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.seat import MIDDLE, Seat
from profiles.shorthand import parse_displays
from profiles.unlikely import doubt_length
from render.cli.options import (
    as_option,
    desk_argument,
    echo_answer,
    examples,
    field_option,
    force_option,
)
from render.cli.sheets import draw_chart, picture_option, theme_option
from render.cli.types import (
    DISPLAY_TEXT,
    LENGTH,
    NUMBER_TYPE,
    PROFILE,
    Command,
    NamedDesk,
    then,
    typed,
    usual_desk_if_any,
)
from render.reports.seat_text import seat_data, seat_text

if TYPE_CHECKING:
    from profiles.format.document import Workstation


@click.command(
    "seat",
    cls=Command,
    then="evenstroke advise {desk}",
    epilog=examples(
        'evenstroke seat --display "27in 2560x1440" --distance 70cm --top-below-eyes 2cm '
        "--picture seat.png",
        'evenstroke seat --display "34in 3440x1440" --radius 1500mm --angle 50',
        'evenstroke seat --display "left: 24in 1920x1200 at -1920,0" --display "main: 27in '
        '2560x1440 at 0,0" --distance 28in',
        'evenstroke seat "window desk" --arc-minutes 1',
        "evenstroke seat desk.yaml --distance 75cm --save after.yaml",
    ),
)
@desk_argument(required=False)
@click.option(
    "--display",
    "displays",
    metavar="DISPLAY",
    type=DISPLAY_TEXT,
    multiple=True,
    help='"27in 2560x1440"; several stand in an arc around you, in the order of their places.',
)
@field_option("distance", "distance_mm")
@field_option("drop", "top_below_eyes_mm")
@field_option("tilt", "tilt_deg")
@field_option("curve", "radii")
@click.option(
    "--bezel",
    metavar="LENGTH",
    type=LENGTH,
    help="Width of the frame, for displays whose profile does not give it.",
)
@field_option("ahead")
@click.option(
    "--angle",
    metavar="DEGREES",
    type=NUMBER_TYPE,
    help="Calculate the distance at which the display is this many degrees wide.",
)
@click.option(
    "--arc-minutes",
    metavar="NUMBER",
    type=NUMBER_TYPE,
    help="Calculate the distance at which one pixel is this many arc-minutes wide.",
)
@as_option("text", "yaml", "json")
@picture_option(
    help_text="Draw the desk from above and from the side, to scale: .png, .svg, .pdf or .webp."
)
@theme_option
@click.option("--save", metavar="FILE", type=PROFILE, help="Save DESK's profile with this seat.")
@force_option
def command(
    *,
    desk: NamedDesk | None,
    displays: tuple[str, ...],
    radii: tuple[tuple[str | None, float], ...],
    bezel: float | None,
    ahead: str | None,
    angle: float | None,
    arc_minutes: float | None,
    form: str,
    picture: str | None,
    theme: str,
    language: str,
    save: str | None,
    force: bool,
    **typed_seat: float | None,
) -> None:
    """See how large a display looks from your seat, and how several stand in an arc.

    Displays and seat come from DESK's profile or from the options; --angle or --arc-minutes can
    take the place of --distance. Recommendations are only advice.
    """
    if desk is None and not displays:
        desk = usual_desk_if_any()
    row, main, workstation = _displays(desk, displays)
    if bezel is not None:
        row = tuple(
            each if each.bezel_mm is not None else replace(each, bezel_mm=bezel) for each in row
        )
        main = next(each for each in row if each.label == main.label)
    curves = _radii(radii, row)
    wanted = {
        key: value
        for key, value in (("angle_deg", angle), ("arc_minutes", arc_minutes))
        if value is not None
    }
    seat = _seat(workstation, main, typed_seat, curves.get(main.label), wanted)
    if ahead is not None:
        seat = replace(seat, ahead=ahead if ahead == MIDDLE else _named(ahead, row))
    straight = straight_ahead(seat, row, main)
    sitting = sitting_in_arc(row, seat, main, ahead=straight, radii_mm=curves)
    if save is not None:
        if workstation is None:
            raise RequestError(
                Problem(
                    "--save",
                    phrase("needs a desk to write again"),
                    instead=phrase(
                        "Type {command}", command="evenstroke seat desk.yaml --save after.yaml"
                    ),
                )
            )
        from profiles.format.document import save as save_profile

        then(f"evenstroke keep {typed(save)}")
        save_profile(replace(workstation, seat=seat), save, force=force)
    if picture is not None:
        from render.pictures.seat_view import seat_scene

        draw_chart(
            lambda: seat_scene(sitting), picture, language=language, theme=theme, force=force
        )
    echo_answer(form, sitting, wanted, text=seat_text, data=seat_data)


def _displays(
    desk: NamedDesk | None, typed: tuple[str, ...]
) -> tuple[tuple[Display, ...], Display, Workstation | None]:
    """The displays, the one in front of the seat, and the desk that they are from, if any."""
    if (desk is None) == (not typed):
        raise RequestError(
            Problem(
                "seat",
                phrase("needs a desk or --display, one of the two"),
                instead=phrase("Type for example {option}", option='--display "27in 2560x1440"'),
            )
        )
    if desk is not None:
        workstation = desk.find().workstation
        return (
            workstation.map.request.desktop.displays,
            workstation.map.request.desktop.primary,
            workstation,
        )
    desktop = Desktop(parse_displays(typed, "--display"))
    return desktop.displays, desktop.primary, None


def _radii(
    typed: tuple[tuple[str | None, float], ...], row: tuple[Display, ...]
) -> dict[str, float]:
    radii: dict[str, float] = {}
    for label, radius_mm in typed:
        labels = [each.label for each in row] if label is None else [_named(label, row)]
        radii |= dict.fromkeys(labels, radius_mm)
    return radii


def _named(label: str, row: tuple[Display, ...]) -> str:
    return Desktop(row).named(label, "display").label


def _seat(
    workstation: Workstation | None,
    main: Display,
    typed_seat: dict[str, float | None],
    radius_mm: float | None,
    wanted: dict[str, float],
) -> Seat:
    """The seat of the desk, in which the options replace what they name."""
    known = workstation.seat if workstation else None
    if radius_mm is None and known is not None:
        radius_mm = known.curve_radius_mm
    values: dict[str, Any] = {
        name: value
        for name, value in (typed_seat | {"curve_radius_mm": radius_mm}).items()
        if value is not None
    }
    if known is not None:
        return replace(known, **values)
    glass = Glass.of_display(main, radius_mm)
    if "distance_mm" in values:
        return Seat(**values)
    if "angle_deg" in wanted:
        values["distance_mm"] = distance_for_angle_mm(glass, wanted["angle_deg"])
    elif "arc_minutes" in wanted and glass.pitch_mm is not None:
        values["distance_mm"] = distance_for_arc_minutes_mm(
            glass.pitch_mm[0], wanted["arc_minutes"]
        )
    else:
        instead = phrase(
            "Type {distance}, or {angle} or {arc_minutes} to get one",
            distance="--distance 70cm",
            angle="--angle 40",
            arc_minutes="--arc-minutes 1",
        )
        raise RequestError(Problem("--distance", phrase("is needed"), instead=instead))
    # Nobody typed a distance that follows from an angle, so it is doubted here.
    doubt_length(values["distance_mm"], phrase("the distance"), "--distance")
    return Seat(**values)
