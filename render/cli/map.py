"""``evenstroke map``: from tablet and displays to the rectangle, the figures, a picture and a profile."""

from __future__ import annotations

from typing import Any

import click

from mapper.seat import Seat
from mapper.solve import solve
from mapper.units import parse_length_mm
from render.cli.options import examples, force_option, map_request, request_options

__all__ = ["command"]


@click.command(
    "map",
    epilog=examples(
        'evenstroke map --tablet 224x148mm --display "27in 2560x1440"',
        'evenstroke map --tablet 8.8x5.8in@5080/in --display "27in 2560x1440" --fit cropped --hold top',
        'evenstroke map --tablet 224x148mm --display "27in 2560x1440" --picture preview.png --save desk.yaml',
        'evenstroke map --tablet 224x148mm --display "27in 2560x1440" --display "left: 24in 1920x1080 at -1920,0" --onto all',
        "evenstroke map --tablet @connected --display @connected --save desk.yaml",
    ),
)
@request_options
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
    **asked: Any,
) -> None:
    """Compute the rectangle to enter in your tablet's driver, and what it does to your strokes."""
    solved = solve(map_request(**asked))
    seat = None if distance is None else Seat(parse_length_mm(distance, "--distance"))
    if save or form != "text":
        from profiles.document import Workstation, to_json, to_yaml

        described = Workstation(workstation, solved, note, seat)
    if picture:
        from profiles.files import refuse_existing
        from render.draw import save as save_picture
        from render.preview import preview_scene

        if save:
            # Both or neither: no picture where the profile that was asked for too cannot be written.
            refuse_existing(save, force=force)
        save_picture(preview_scene(solved), picture, force=force)
    if save:
        from profiles.files import write_whole

        write_whole(save, to_yaml(described).encode(), force=force)
    if form == "text":
        from render.text import map_text

        click.echo(map_text(solved), nl=False)
    else:
        click.echo(to_yaml(described) if form == "yaml" else to_json(described), nl=False)
