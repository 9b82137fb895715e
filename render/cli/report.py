"""``evenstroke report``: all about a saved profile, as the command ``map`` tells it, or as plain data."""

from __future__ import annotations

import click

from render.cli.options import echo_data, examples


@click.command(
    "report",
    short_help="All about a saved profile.",
    epilog=examples("evenstroke report desk.yaml", "evenstroke report desk.yaml --as json"),
)
@click.argument("file", metavar="FILE.yaml", type=click.Path())
@click.option(
    "--as",
    "form",
    type=click.Choice(["text", "yaml", "json"]),
    default="text",
    show_default=True,
    help="text: what map prints. yaml and json: strips left over, what is reached of each display, how fine the hand "
    "has to be, seams, and the area for the whole desktop.",
)
def command(file: str, form: str) -> None:
    """Tell all about a saved profile: what to enter, figures, what is left over, and where displays meet.

    Where a driver's step was asked for, of the rounded map, since that is what was typed.
    """
    from profiles.format.document import load

    workstation = load(file)
    if form == "text":
        from render.reports.text import map_text

        click.echo(map_text(workstation.map, workstation.entry), nl=False)
        return
    from render.reports.report_data import report_data

    echo_data(report_data(workstation.map), form)
