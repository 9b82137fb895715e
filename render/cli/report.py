"""``evenstroke report``: all about a saved profile, as text or as plain data.

The text is what ``map`` prints. The data holds the rectangle and the figures of the profile, and
what the profile leaves out: strips, reach, seams, the whole desktop's area.
"""

from __future__ import annotations

import click

from render.cli.options import as_option, desk_argument, echo_answer, examples
from render.cli.types import Command, NamedDesk, usual_desk
from render.reports.report_data import report_data
from render.reports.text import map_text


@click.command(
    "report",
    cls=Command,
    then=(
        "enter it, trace around a bank card once, and see: evenstroke trace shot.png --of card "
        "--against {desk}"
    ),
    epilog=examples("evenstroke report desk.yaml", 'evenstroke report "window desk@3" --as json'),
)
@desk_argument(required=False)
@as_option(
    "text",
    "yaml",
    "json",
    help_text="text: what map --all prints. yaml and json: the rectangle, the figures, the "
    "parts that are not used, the part that the pen reaches of each display, how precise the hand "
    "must be, where displays meet, and the area for all displays together.",
)
def command(desk: NamedDesk | None, form: str) -> None:
    """Show everything about a desk, from a file or the library.

    It prints the rectangle in every form, all numbers, what is not used, and where displays meet.

    If the tablet's settings accept only steps, it describes the rounded numbers.
    """
    workstation = (desk or usual_desk()).find().workstation
    echo_answer(
        form, workstation, text=lambda desk: map_text(desk.map, desk.entry), data=report_data
    )
