"""``evenstroke pair``: every tablet with every display, and what gives a wanted scale."""

from __future__ import annotations

import re
import sys
from typing import TYPE_CHECKING

import click

from mapper.problems import Problem, RequestError, quoted
from mapper.units import positive
from render.cli.options import band_of, examples, force_option, plain_number
from render.cli.own_band import comfortable_band, use_option
from render.cli.sheets import theme_option
from render.cli.things import things, things_options
from render.cli.types import Command
from render.reports.pairs import PAIR_FORMS

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator


# Below this the answer is there before a bar could be read.
_PAIRS_FOR_A_BAR = 50_000


@click.command(
    "pair",
    cls=Command,
    then='evenstroke map --tablet 240x152mm --display "27in 2560x1440" --save desk.yaml, with the pair you choose',
    short_help="Which tablet goes with which display.",
    epilog=examples(
        "evenstroke pair",
        'evenstroke pair --tablet 240x152mm@150/mm --display "27in 2560x1440" --display "43in 3840x2160"',
        "evenstroke pair --tablets shop.csv --displays screens.csv --comfortable --as csv --out pairs.csv",
        "evenstroke pair --want 2.5",
        'evenstroke pair --want 2.2 --display "32in 3840x2160" --aspect 16:10',
        "evenstroke pair --tablets shop.csv --use handwriting --picture pairs.png",
    ),
)
@things_options
@use_option("Kind of work; sets the comfortable band, a rule of thumb.")
@click.option("--band", "typed_band", metavar="LOW-HIGH", help="A comfortable band of your own, for example 2.2-3.")
@click.option("--comfortable", is_flag=True, help="Only pairs inside the band.")
@click.option("--want", metavar="SCALE", help="List the displays, or active areas, that give this scale factor.")
@click.option(
    "--aspect",
    "aspects",
    metavar="W:H",
    multiple=True,
    help="With --want: proportions, for example 16:9; several are allowed.  [default: six usual ones]",
)
@click.option(
    "--as",
    "form",
    type=click.Choice(PAIR_FORMS),
    default="text",
    show_default=True,
    help="What is printed or written to --out.",
)
@click.option("--out", metavar="FILE", type=click.Path(), help="Write to a file instead of standard output.")
@click.option("--picture", metavar="FILE", type=click.Path(), help="Draw the pairs: .png, .svg, .pdf or .webp.")
@theme_option
@force_option
def command(
    *,
    tablet_file: str | None,
    display_file: str | None,
    tablets: tuple[str, ...],
    displays: tuple[str, ...],
    use: str,
    typed_band: str | None,
    comfortable: bool,
    want: str | None,
    aspects: tuple[str, ...],
    form: str,
    out: str | None,
    picture: str | None,
    theme: str,
    force: bool,
) -> None:
    """See which tablet goes with which display: scale factor, area lost and counts for a pixel.

    The scale factor is the true one, with the area locked to the display's proportions. Bands of comfort are rules
    of thumb, not verdicts: what fits you is what you can draw with all day without tiring.
    """
    from mapper.choosing.pairing import CUSTOMARY_TABLETS, USUAL_ASPECTS, USUAL_DISPLAYS

    band = band_of(typed_band, "--band") if typed_band else comfortable_band(use)
    purpose = None if typed_band else use
    some_tablets, some_displays = things(tablets, displays, tablet_file, display_file)
    if want is None:
        if aspects:
            raise RequestError(Problem("--aspect", "goes with --want", ", ".join(aspects)))
        some_tablets, some_displays = some_tablets or CUSTOMARY_TABLETS, some_displays or USUAL_DISPLAYS
        if picture:
            from render.canvas.draw import save
            from render.pictures.pair_chart import pair_chart_scene

            save(pair_chart_scene(some_tablets, some_displays, band, purpose), picture, theme=theme, force=force)
        from render.reports.pairs import pair_chunks

        chunks = pair_chunks(form, some_tablets, some_displays, band, purpose, only=comfortable)
        count = len(some_tablets) * len(some_displays)
        _deliver(_with_bar(chunks, len(some_tablets), count), out, force=force)
        return
    if picture or comfortable:
        raise RequestError(Problem("--picture" if picture else "--comfortable", "does not go with --want"))
    from render.reports.wanted import wanted, wanted_text

    if not some_displays:
        some_tablets = some_tablets or CUSTOMARY_TABLETS
    scale = positive(plain_number(want, "--want"), "--want")
    answers = wanted(scale, some_tablets, some_displays, [_aspect(each) for each in aspects] or USUAL_ASPECTS, band)
    _deliver(iter([wanted_text(form, scale, answers, band, purpose)]), out, force=force)


def _aspect(text: str) -> tuple[float, float]:
    match = re.fullmatch(r"\s*([0-9.,]+)\s*[:x/]\s*([0-9.,]+)\s*", text)
    if not match:
        raise RequestError(Problem("--aspect", "must be width to height", quoted(text), "Type for example 16:9"))
    across, down = (positive(plain_number(part, "--aspect"), "--aspect") for part in match.groups())
    return across, down


def _with_bar(chunks: Iterable[tuple[int, str]], tablets: int, pairs: int) -> Iterator[str]:
    """The text of ``chunks``, with a bar on standard error where there is much to do and somebody to see it."""
    if pairs < _PAIRS_FOR_A_BAR or not sys.stderr.isatty():
        yield from (text for _, text in chunks)
        return
    with click.progressbar(length=tablets, label="pairing", file=sys.stderr) as bar:
        for done, text in chunks:
            yield text
            bar.update(done)


def _deliver(texts: Iterator[str], out: str | None, *, force: bool) -> None:
    if out is None:
        for text in texts:
            click.echo(text, nl=False)
        return
    from profiles.files import write_whole

    write_whole(out, (text.encode() for text in texts), force=force)
