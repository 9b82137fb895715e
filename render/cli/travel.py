"""``evenstroke travel``: how scale trades reach against precision."""

from __future__ import annotations

import click

from mapper.choosing.pairing import pair
from mapper.choosing.recommended import OWN, PRACTICE
from mapper.choosing.travel import TARGETS_PX, Crossing, HandScatter
from mapper.desk import Display, Tablet
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, nearest, quoted
from mapper.units import positive
from profiles.numbers import plain_number
from profiles.plain import DATA_FORMS
from profiles.unlikely import likely_length_mm
from render.cli.options import as_option, desk_argument, echo_data, examples, force_option
from render.cli.own_band import comfortable_band, own_hand, use_option
from render.cli.sheets import draw_chart, picture_option, theme_option
from render.cli.types import (
    DISPLAY,
    LENGTH_ABOVE_0,
    TABLET,
    Command,
    NamedDesk,
    usual_desk_if_any,
)
from render.reports.travel_text import travel_csv, travel_data, travel_text
from render.sentences.travel import SOURCES, target_words


@click.command(
    "travel",
    cls=Command,
    then="draw for a day, then evenstroke felt {desk} --score 4",
    epilog=examples(
        'evenstroke travel --display "27in 2560x1440"',
        'evenstroke travel --tablet 240x152mm --display "27in 2560x1440" --target swatch '
        "--picture travel.png",
        'evenstroke travel "window desk" --target 8px',
    ),
)
@desk_argument(required=False)
@click.option(
    "--tablet",
    metavar="SIZE",
    type=TABLET,
    help="The tablet, to see your own scale factor among the others: 240x152mm.",
)
@click.option(
    "--display", metavar="DISPLAY", type=DISPLAY, help='The display to cross: "27in 2560x1440".'
)
@click.option(
    "--target",
    metavar="SIZE",
    default="button",
    show_default=True,
    help=f"What to hit: {', '.join(TARGETS_PX)}, or a size such as 20px or 4mm.",
)
@click.option(
    "--scatter",
    metavar="LENGTH",
    type=LENGTH_ABOVE_0,
    help="How far your taps usually land from the target (one standard deviation).  [default: "
    "as measured by your last test with 18 touches, else 0.5mm]",
)
@use_option(help_text="Kind of work; sets the usual band.")
@as_option("text", "csv", "yaml", "json")
@picture_option(help_text="Draw hand movement and precision: .png, .svg, .pdf or .webp.")
@theme_option
@force_option
def command(
    *,
    desk: NamedDesk | None,
    tablet: Tablet | None,
    display: Display | None,
    target: str,
    scatter: float | None,
    use: str,
    form: str,
    picture: str | None,
    theme: str,
    language: str,
    force: bool,
) -> None:
    """See how far the hand moves to cross the display, and how often it hits a small target.

    A small scale factor needs long movements; a large one makes targets small under the hand.
    """
    if desk is None and tablet is None and display is None:
        desk = usual_desk_if_any()
    shown, own_scale = _desk(desk, tablet, display)
    target_mm, words = _target(target, shown)
    hand = own_hand() if scatter is None else HandScatter(scatter, OWN)
    crossed = Crossing(
        shown, target_mm, words, comfortable_band(use), own_scale=own_scale, hand=hand
    )
    if picture:
        from render.pictures.travel_chart import travel_scene

        draw_chart(
            lambda: travel_scene(crossed), picture, language=language, theme=theme, force=force
        )
    if form in DATA_FORMS:
        echo_data(travel_data(crossed), form)
    else:
        click.echo(travel_csv(crossed) if form == "csv" else travel_text(crossed), nl=False)


def _desk(
    desk: NamedDesk | None, tablet: Tablet | None, display: Display | None
) -> tuple[Display, float | None]:
    """The display to cross and, where there is a tablet, the scale factor of its map."""
    if (desk is None) == (display is None) or (desk is not None and tablet is not None):
        instead = phrase("Type for example {option}", option='--display "27in 2560x1440"')
        must = phrase("needs a desk, or --display and perhaps --tablet")
        raise RequestError(Problem("travel", must, instead=instead))
    if desk is not None:
        solved = desk.find().workstation.map
        shown, scale = solved.reference, solved.summary.scale_factor
    else:
        assert display is not None
        shown, scale = display, None
        if tablet is not None:
            scale = pair(tablet, shown).scale_factor
    if shown.width_mm is None:
        came = phrase("{width}x{height} px alone", width=shown.width_px, height=shown.height_px)
        must = phrase("its size is needed to know how wide it is")
        instead = phrase("Type for example {display}", display='"27in 2560x1440"')
        raise RequestError(Problem("display", must, came, instead))
    return shown, scale


def _target(text: str, display: Display) -> tuple[float, str]:
    """The size of the target on the display in mm, and the words for it."""
    pitch_mm = (display.mm_per_px or (1.0, 1.0))[0]
    if text in TARGETS_PX:
        size_px = TARGETS_PX[text] * display.zoom
        source = SOURCES.get(text, PRACTICE)
        size_mm = size_px * pitch_mm
        return size_mm, target_words(size_mm, size_px, text, source)
    if text.strip().endswith("px"):
        size_px = positive(plain_number(text.strip().removesuffix("px"), "--target"), "--target")
        return size_px * pitch_mm, target_words(size_px * pitch_mm, size_px)
    near = nearest(text, TARGETS_PX)
    if near and not any(char.isdigit() for char in text):
        must = phrase("must be one of {choices}, or a size", choices=", ".join(TARGETS_PX))
        did_you = phrase("Did you mean {near}?", near=near)
        raise RequestError(Problem("--target", must, quoted(text), did_you))
    size_mm = positive(likely_length_mm(text, "--target"), "--target")
    return size_mm, target_words(size_mm)
