"""``evenstroke explain``: one form of a rectangle turned into all the others."""

from __future__ import annotations

import click

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, quoted
from profiles.rectangles import parse_rect
from profiles.requests import read_tablet
from render.cli.options import (
    as_option,
    desk_argument,
    echo_answer,
    examples,
    turn_option,
)
from render.cli.types import Command, NamedDesk, usual_desk
from render.reports.map_data import explained
from render.reports.text import forms_text


@click.command(
    "explain",
    cls=Command,
    then="evenstroke map {desk} --area {rectangle}, to see what it does",
    epilog=examples(
        "evenstroke explain 10,5,200x120mm",
        'evenstroke explain 10,5,200x120mm "window desk"',
        'evenstroke explain "1500,750 to 31500,18750 counts" --tablet 240x152mm@150/mm',
        'evenstroke explain "centre 50,50,90x80%" --tablet 9.4x6in --turn 90',
        'evenstroke explain "10,27,200x120mm from bottom-left" --tablet 240x152mm --as json',
    ),
)
@click.argument("rectangle", metavar="RECT")
@desk_argument(required=False)
@click.option(
    "--tablet",
    metavar="SIZE",
    help="Active area, for counts with its resolution: 240x152mm@150/mm.  [default: DESK's]",
)
@turn_option
@as_option("text", "yaml", "json")
def command(
    *, rectangle: str, desk: NamedDesk | None, tablet: str | None, turn: str | None, form: str
) -> None:
    """Convert a rectangle from one form to every other, on DESK's tablet or on --tablet.

    RECT is left,top,width x height, or two corners (left,top to right,bottom), or centre x,y,width
    x height; in mm, cm, in, % of the active area or counts; from the top left of the tablet when
    it is not turned. You can add "from bottom-left" after it, or "as seen" for the tablet as it
    lies.
    """
    if tablet is not None and desk is not None:
        raise RequestError(
            Problem("--tablet", phrase("goes without a desk, which has its own"), quoted(tablet))
        )
    base = None if tablet else (desk or usual_desk()).find().workstation.map.request
    described = read_tablet(base, tablet, turn)
    rect = parse_rect(rectangle, "RECT", described)
    active = described.active_built_mm
    if not active.holds(rect, slack=1e-9 * max(active.width, active.height)):
        came = phrase(
            "{size} mm at {place}",
            size=f"{rect.width:g}x{rect.height:g}",
            place=f"{rect.left:g},{rect.top:g}",
        )
        size = f"{active.width:g}x{active.height:g}"
        must = phrase("must lie within the active area, {size} mm", size=size)
        raise RequestError(Problem("RECT", must, came))
    echo_answer(form, rect, described, text=forms_text, data=explained)
