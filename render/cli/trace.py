"""``evenstroke trace``: measures a traced object and finds out what the driver really does."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from mapper.desk import Desktop
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.rect import Rect
from profiles.files import refuse_existing
from profiles.known_things import KnownThing
from profiles.library.desks import refuse_profiles
from profiles.library.proofs import note_trace
from profiles.pixels import parse_crop, parse_pixel
from profiles.shorthand import parse_displays
from profiles.strokes.traces import TraceRequest, area_of, trace_report
from render.cli.noting import note_test, then_draw
from render.cli.options import as_option, echo_answer, examples, force_option, library_option
from render.cli.sheets import draw_chart, picture_option
from render.cli.types import (
    LENGTH,
    THING,
    Command,
    FileType,
    NamedDesk,
    Typed,
    number_type,
    percent_type,
    then,
    typed,
)
from render.cli.whole_tablet import against_option, whole_or_against, whole_tablet_options
from render.reports.sizes_text import area_data, area_text
from render.reports.trace_text import report_data, report_text
from render.sentences.say import say
from render.sentences.trace import corrections

if TYPE_CHECKING:
    from collections.abc import Sequence

T = TypeVar("T")


@click.command(
    "trace",
    cls=Command,
    then="the same with --against DESK, to see whether it is what you set",
    epilog=examples(
        'evenstroke trace shot.png --of "card across" --against desk.yaml',
        'evenstroke trace shot.png --of "coin 23.25mm" --against "window desk" --picture fit.png',
        'evenstroke trace one.png two.png --of "card at 60,45mm" --of "card at 160,100mm" '
        "--against desk.yaml",
        'evenstroke trace shot.png --of "circle 60mm" --crop 300,200,900x800px --canvas-zoom 50%',
        "evenstroke trace strokes.json --of disc",
        'evenstroke trace lying.png upright.png --of card --whole-tablet --display "27in '
        '2560x1440"',
    ),
)
@click.argument(
    "files",
    metavar="PICTURE...",
    nargs=-1,
    required=True,
    type=FileType(".png", ".jpg", ".csv", ".json", ".svg"),
)
@click.option(
    "--of",
    "things",
    metavar="THING",
    type=THING,
    multiple=True,
    required=True,
    help='What was traced: card, disc, a4, a5, a6, letter, "coin 23.25mm", "circle 60mm", "square '
    '50mm", "rectangle 80x50mm"; as it lay: "card across", "card upright"; with its place: "card '
    'at 60,45mm". Give it once for all pictures, or once for each.',
)
@against_option
@click.option(
    "--nib",
    "nib_mm",
    metavar="LENGTH",
    type=LENGTH,
    default=0.0,
    help="Thickness of the pen's tip; the line runs half of it outside the edge.",
)
@click.option(
    "--canvas-zoom",
    "canvas_zoom_percent",
    metavar="PERCENT",
    type=percent_type(1, 10_000),
    help="The zoom of the canvas.  [default: 100%]",
)
@click.option(
    "--pixel-ratio",
    metavar="NUMBER",
    type=number_type(0.1, 10),
    default=1.0,
    help="Pixels of the picture per pixel of the display: 2 for a screenshot at double size.  "
    "[default: 1]",
)
@click.option(
    "--crop",
    "crops",
    metavar="WINDOW",
    type=Typed("window", parse_crop),
    multiple=True,
    help="The part to look at: 300,200,900x800px. Give it once for all pictures, or once for each.",
)
@click.option(
    "--from",
    "origin_px",
    metavar="X,Y",
    type=Typed("place", parse_pixel),
    default=(0.0, 0.0),
    help="Desktop pixel at the picture's top left.  [default: 0,0]",
)
@click.option(
    "--place-error",
    "place_error_mm",
    metavar="LENGTH",
    type=LENGTH,
    default=0.5,
    help="Possible error in the object's stated position.  [default: 0.5mm]",
)
@click.option(
    "--tolerance",
    "tolerance_percent",
    metavar="PERCENT",
    type=percent_type(0, 20),
    default=1.0,
    help="Largest difference that still counts as a match.  [default: 1%]",
)
@picture_option(help_text="Draw what was fitted over what was traced.")
@whole_tablet_options
@as_option("text", "yaml", "json")
@library_option
@force_option
def command(
    *,
    files: tuple[str, ...],
    things: tuple[KnownThing, ...],
    against: NamedDesk | None,
    crops: tuple[Rect, ...],
    picture: str | None,
    language: str,
    whole_tablet: bool,
    displays: tuple[str, ...],
    form: str,
    force: bool,
    **measured: Any,
) -> None:
    """Trace an object of known size to see what your tablet's settings really do.

    Lay a coin, a card or the printed shapes (evenstroke stencil) on the tablet, trace around it
    once in any paint program at 100 %, and save the picture; strokes as points in .csv, .json or
    .svg work too. Larger objects give more reliable numbers, and so do two pictures. Say how a card
    or sheet lay: "card across", its long side along the display's width, or "card upright". Exit
    code 0: the tablet uses this setting, as far as traces can show; 1: it does not, or the traces
    cannot tell, and the output says why.
    """
    if picture:
        from render.canvas.draw import kind_of

        kind_of(picture)
        refuse_existing(picture, force=force)
    refuse_profiles(files)
    meant = against.find() if against else None
    request = TraceRequest(
        files=files,
        things=_for_each(things, files, "--of"),
        crops=_for_each(crops or (None,), files, "--crop"),
        meant=meant.workstation.map if meant else None,
        profile=Path(meant.typed).name if meant else "",
        **measured,
    )
    whole_or_against(whole_tablet, displays, against)
    report, traced = trace_report(request)
    if picture:
        from render.pictures.trace_view import trace_scene

        draw_chart(lambda: trace_scene(report, traced), picture, language=language, force=force)
    if whole_tablet:
        size = area_of(request, traced, Desktop(parse_displays(displays, "--display")))
        echo_answer(form, size, text=lambda size: area_text(size, list(displays)), data=area_data)
        return
    echo_answer(form, report, text=report_text, data=report_data)
    if report.finding is None or against is None or meant is None:
        return
    note_test(
        against,
        meant,
        lambda library, revision: note_trace(library, revision, report),
        aloud=form == "text",
    )
    if report.finding.agrees:
        then_draw(against)
        return
    for correction in corrections(report)[:1]:
        every = f"evenstroke report {typed(against.typed)}"
        then(say("{step} Then trace again. All numbers: {command}", step=correction, command=every))
    click.get_current_context().exit(1)


def _for_each(values: Sequence[T], files: tuple[str, ...], where: str) -> tuple[T, ...]:
    if len(values) not in {1, len(files)}:
        must = phrase("must be given once, or once for each picture")
        came = phrase("{count} for {pictures} pictures", count=len(values), pictures=len(files))
        raise RequestError(Problem(where, must, came))
    return tuple(values) * (len(files) if len(values) == 1 else 1)
