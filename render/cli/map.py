"""``evenstroke map``: from tablet and displays to the rectangle, the figures, a picture and a profile."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from mapper.mapping.solve import TabletMap, solve
from mapper.problems import Problem, RequestError
from mapper.units import parse_length_mm
from render.cli.options import echo_data, examples, force_option, map_request, request_options
from render.cli.sheets import to_type

if TYPE_CHECKING:
    from mapper.seat import Seat


@click.command(
    "map",
    short_help="The rectangle to enter in your tablet's driver.",
    epilog=examples(
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440"',
        'evenstroke map --tablet 9.4x6in@3810/in --display "27in 2560x1440" --fit cropped --hold top',
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --picture preview.png --save desk.yaml',
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --display "left: 24in 1920x1080 at -1920,0" --onto all',
        "evenstroke map --tablet @connected --display @connected --save desk.yaml",
        'evenstroke map --tablet 240x152mm@150/mm --display "27in 2560x1440" --step 0.5mm',
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --step 1mm --step-choices',
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --within 20,0,220x152mm --scale 3',
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --fit cropped --window 10,10,80x80%',
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --area 10,5,200x120mm',
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --feel-of studio.yaml --slant 10',
    ),
)
@request_options
@click.option(
    "--step-choices",
    is_flag=True,
    help="List every rectangle on the step that no other beats both in size and in shape, and do nothing else.",
)
@click.option(
    "--workstation", metavar="NAME", default="my workstation", show_default=True, help="Its name in the profile."
)
@click.option("--note", metavar="TEXT", help="A note to keep in the profile.")
@click.option("--distance", metavar="LENGTH", help="From your eyes to the main display, for example 70cm.")
@click.option("--picture", metavar="FILE", type=click.Path(), help="Draw it: a name in .png, .svg, .pdf or .webp.")
@click.option("--save", metavar="FILE", type=click.Path(), help="Write the profile, a YAML document.")
@force_option
@click.option(
    "--as",
    "form",
    type=click.Choice(["text", "yaml", "json"]),
    default="text",
    show_default=True,
    help="What standard output gets; yaml and json are the profile itself.",
)
def command(
    *,
    workstation: str,
    note: str | None,
    distance: str | None,
    picture: str | None,
    save: str | None,
    force: bool,
    form: str,
    step_choices: bool,
    **asked: Any,
) -> None:
    """Compute the rectangle to enter in your tablet's driver, and what it does to your strokes."""
    solved = solve(map_request(**asked))
    if step_choices:
        if picture or save:
            raise RequestError(Problem("--step-choices", "only lists, so it goes without --picture and --save"))
        _list_choices(solved, form)
        return
    seat = None if distance is None else _seat(distance)
    if save or form != "text":
        from profiles.format.document import Workstation, to_json, to_yaml

        described = Workstation(workstation, solved, note, seat)
    if picture:
        from profiles.files import refuse_existing
        from render.canvas.draw import save as save_picture
        from render.pictures.preview import preview_scene

        if save:
            # Both or neither: no picture where the profile that was asked for too cannot be written.
            refuse_existing(save, force=force)
        save_picture(preview_scene(to_type(solved)), picture, force=force)
    if save:
        from profiles.files import write_whole

        write_whole(save, to_yaml(described).encode(), force=force)
    if form == "text":
        from render.reports.text import map_text

        click.echo(map_text(solved), nl=False)
        scale = solved.summary.scale_factor
        if asked["scale"] is not None and scale is not None:
            from render.cli.own_band import own_band_sentence

            own = own_band_sentence(scale)
            if own:
                click.echo(f"\n{own}")
    else:
        click.echo(to_yaml(described) if form == "yaml" else to_json(described), nl=False)


def _seat(distance: str) -> Seat:
    from mapper.seat import Seat

    return Seat(parse_length_mm(distance, "--distance"))


def _list_choices(solved: TabletMap, form: str) -> None:
    step = solved.request.step
    if step is None:
        raise RequestError(Problem("--step-choices", "needs --step", instead="Add for example --step 1mm"))
    from mapper.rounding.rounded import step_choices
    from render.reports.choices import choice_rows, choices_text

    choices = step_choices(solved)
    if form == "text":
        click.echo(choices_text(choices, step), nl=False)
        return
    echo_data({"choices": list(choice_rows(choices, step))}, form)
