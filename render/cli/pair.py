"""``evenstroke pair``: every tablet with every display, and what gives a wanted scale."""

from __future__ import annotations

import click

from mapper.choosing.pairing import (
    CUSTOMARY_TABLETS,
    USUAL_ASPECTS,
    USUAL_DISPLAYS,
    sizes_for_scale,
)
from mapper.choosing.recommended import Band
from mapper.desk import Display, Tablet
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from profiles.files import judge_names, write_whole
from profiles.unlikely import doubt_scale
from render.cli.hardware_lists import hardware_options
from render.cli.options import as_option, examples, force_option
from render.cli.own_band import band_and_purpose, band_option, use_option
from render.cli.sheets import draw_chart, picture_option, theme_option
from render.cli.types import ASPECT, NUMBER_ABOVE_0, Command, FileType
from render.reports.pairs import PAIR_FORMS, pairs_text
from render.reports.wanted import wanted_text


def _once(_ctx: click.Context, param: click.Parameter, values: tuple[float, ...]) -> float | None:
    """The value of an option that was typed once; None where it was not typed."""
    if len(values) > 1:
        instead = phrase("Ask once for each")
        raise RequestError(
            Problem(param.opts[0], phrase("takes one value"), str(len(values)), instead)
        )
    return values[0] if values else None


@click.command(
    "pair",
    cls=Command,
    then=(
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --save desk.yaml, with the '
        "pair you choose"
    ),
    epilog=examples(
        "evenstroke pair",
        'evenstroke pair --tablet 240x152mm@150/mm --display "27in 2560x1440" --display "43in '
        '3840x2160"',
        "evenstroke pair --tablets shop.csv --displays screens.csv --comfortable --as csv --out "
        "pairs.csv",
        "evenstroke pair --want 2.5",
        'evenstroke pair --want 2.2 --display "32in 3840x2160" --aspect 16:10',
        "evenstroke pair --tablets shop.csv --use handwriting --picture pairs.png",
    ),
)
@hardware_options
@use_option(help_text="Kind of work; sets the usual band, a rule of thumb.")
@band_option
@click.option("--comfortable", is_flag=True, help="Only pairs inside the band.")
@click.option(
    "--want",
    metavar="SCALE",
    type=NUMBER_ABOVE_0,
    multiple=True,
    callback=_once,
    help="List the displays, or active areas, that give this scale factor.",
)
@click.option(
    "--aspect",
    "aspects",
    metavar="W:H",
    type=ASPECT,
    multiple=True,
    help=(
        "With --want: proportions, for example 16:9; several are allowed.  [default: six usual "
        "ones]"
    ),
)
@as_option(*PAIR_FORMS, help_text="Output format.")
@click.option(
    "--out",
    metavar="FILE",
    type=FileType(".csv", ".md", ".json", ".yaml", ".txt", written=True),
    help="Write to a file instead of standard output.",
)
@picture_option(help_text="Draw the pairs: .png, .svg, .pdf or .webp.")
@theme_option
@force_option
def command(
    *,
    tablets: tuple[Tablet, ...],
    displays: tuple[Display, ...],
    use: str,
    typed_band: Band | None,
    comfortable: bool,
    want: float | None,
    aspects: tuple[tuple[float, float], ...],
    form: str,
    out: str | None,
    picture: str | None,
    theme: str,
    language: str,
    force: bool,
) -> None:
    """See which tablet goes with which display.

    You get the scale factor, how much of the tablet is not used, and how many counts (steps of
    the tablet) make one pixel. Circles stay round in all of them. The usual bands are only rules of
    thumb: a pair that you can use all day without tiring is right for you.
    """
    doubt_scale(want)
    band, purpose = band_and_purpose(typed_band, use)
    judge_names((picture, out), force=force)
    if want is None:
        if aspects:
            raise RequestError(Problem("--aspect", phrase("goes with --want")))
        displays = displays or USUAL_DISPLAYS
        if picture:
            from render.pictures.pair_chart import pair_chart_scene
            from render.sentences.pairs import customary_tablets

            draw_chart(
                lambda: pair_chart_scene(tablets or customary_tablets(), displays, band, purpose),
                picture,
                language=language,
                theme=theme,
                force=force,
            )
        tablets = tablets or CUSTOMARY_TABLETS
        text = pairs_text(form, tablets, displays, band, purpose, only=comfortable)
        _deliver(text, out, force=force)
        return
    if picture or comfortable:
        where = "--picture" if picture else "--comfortable"
        raise RequestError(Problem(where, phrase("does not go with --want")))
    if not displays:
        tablets = tablets or CUSTOMARY_TABLETS
    answers = sizes_for_scale(want, tablets, displays, aspects or USUAL_ASPECTS, band)
    _deliver(wanted_text(form, want, answers, band, purpose), out, force=force)


def _deliver(text: str, out: str | None, *, force: bool) -> None:
    if out is None:
        click.echo(text, nl=False, color=True)
    else:
        write_whole(out, text.encode(), force=force)
