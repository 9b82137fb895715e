"""``evenstroke band``: the range of scale factors, or of viewing angles, that suits one person."""

from __future__ import annotations

import click

from mapper.desk import Tablet
from mapper.phrases import phrase
from mapper.problems import AnswerIsNo, Problem, RequestError
from profiles.library.personal import found_band
from render.cli.options import (
    as_option,
    book_options,
    echo_data,
    examples,
    force_option,
    library_option,
)
from render.cli.sheets import draw_chart, picture_option
from render.cli.types import TABLET, Command, open_library
from render.reports.band_text import band_data, band_lines
from render.reports.suiting_text import sizes_data, sizes_lines


@click.command(
    "band",
    cls=Command,
    then="evenstroke pair, which now goes by it",
    epilog=examples(
        "evenstroke band",
        "evenstroke band --doing lettering --who Kim",
        "evenstroke band --angle",
        'evenstroke band --sizes --tablet "medium: 240x152mm"',
        "evenstroke band --picture band.png",
    ),
)
@book_options
@click.option(
    "--angle",
    is_flag=True,
    help="Use the viewing angle of the display instead of the scale factor.",
)
@click.option(
    "--sizes",
    is_flag=True,
    help=(
        "Which sizes of display suit each tablet, by your band, or by the usual band until there "
        "is one."
    ),
)
@click.option(
    "--tablet",
    "tablets",
    metavar="SIZE",
    multiple=True,
    type=TABLET,
    help="For --sizes: a tablet besides the usual sizes; several are allowed.",
)
@picture_option(help_text="Draw scores and band: .png, .svg, .pdf or .webp.")
@force_option
@as_option("text", "yaml", "json")
@library_option
def command(
    *,
    who: str | None,
    doing: str | None,
    angle: bool,
    sizes: bool,
    tablets: tuple[Tablet, ...],
    picture: str | None,
    language: str,
    force: bool,
    form: str,
) -> None:
    """Find the band of scale factors that felt best to you, and say how sure that is.

    It starts from the usual band and moves as notes come in; where there are too few it says so.
    The method is explained in gallery/comfortable-band.md.
    """
    if tablets and not sizes:
        raise RequestError(
            Problem("--tablet", phrase("is for --sizes"), instead=phrase("Type --sizes too"))
        )
    if sizes and (angle or picture):
        raise RequestError(
            Problem(
                "--sizes",
                phrase("goes by the scale factor and has no picture"),
                instead=phrase("Leave out --angle and --picture"),
            )
        )
    found, problems = found_band(
        open_library(),
        doing=doing,
        who=who,
        measure="viewing_angle_deg" if angle else "scale_factor",
    )
    if picture:
        from render.pictures.band_chart import band_chart_scene

        draw_chart(lambda: band_chart_scene(found), picture, language=language, force=force)
    if form == "text":
        click.echo("\n".join(sizes_lines(found, tablets) if sizes else band_lines(found)))
    else:
        echo_data(sizes_data(found, tablets) if sizes else band_data(found), form)
    if problems:
        raise AnswerIsNo(*problems)
